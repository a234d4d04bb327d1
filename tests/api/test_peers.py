"""By what address requests are counted: of IPv6 its first 64 bits, and of a forwarded one only what the proxy says."""

from collections.abc import Iterator

import pytest

from api.asking import NOBODY, PASSPHRASE, Clock, Service, refusal, serving
from standage.api.limits import PER_MINUTE
from standage.api.peers import counted_as, peer_of
from standage.registry.engine import Database
from standage.settings import Settings


@pytest.mark.parametrize(
    ("address", "counted"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("192.0.2.7:4711", "192.0.2.7"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("2001:db8:1:2::1", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff:ffff:ffff:ffff", "2001:db8:1:2::/64"),
        ("[2001:db8:1:2::9]:443", "2001:db8:1:2::/64"),
        ("2001:db8:1:3::1", "2001:db8:1:3::/64"),
        ("fe80::1%eth0", "fe80::/64"),
        ("testclient", "testclient"),
        ("x" * 500, "x" * 64),
        ("", ""),
    ],
)
def test_an_address_is_counted_as_whoever_can_choose_it(address: str, counted: str) -> None:
    """2001:db8::/32 and 192.0.2.0/24 are kept for documentation (RFC 3849, RFC 5737)."""
    assert counted_as(address) == counted


@pytest.mark.parametrize(
    ("host", "forwarded", "proxy", "peer"),
    [
        ("203.0.113.9", ["192.0.2.1"], None, "203.0.113.9"),
        ("203.0.113.9", ["192.0.2.1"], "203.0.113.10", "203.0.113.9"),
        ("203.0.113.9", ["192.0.2.1"], "203.0.113.9", "192.0.2.1"),
        ("::ffff:203.0.113.9", ["192.0.2.1"], "203.0.113.9", "192.0.2.1"),
        ("203.0.113.9", ["192.0.2.1, 192.0.2.2"], "203.0.113.9", "192.0.2.2"),
        ("203.0.113.9", ["192.0.2.1", "192.0.2.3"], "203.0.113.9", "192.0.2.3"),
        ("203.0.113.9", [], "203.0.113.9", "203.0.113.9"),
        ("203.0.113.9", [""], "203.0.113.9", "203.0.113.9"),
    ],
)
def test_only_the_trusted_proxys_own_word_is_believed(
    host: str, forwarded: list[str], proxy: str | None, peer: str
) -> None:
    assert peer_of(host, forwarded, trusted_proxy=proxy) == peer


@pytest.fixture
def behind_a_proxy(database: Database) -> Iterator[Service]:
    with serving(database, Clock(), Settings(rate_limits="on", trusted_proxy="testclient")) as running:
        yield running


def test_who_signs_in_often_is_told_to_wait_however_many_addresses_they_have(behind_a_proxy: Service) -> None:
    def sign_in(address: str, number: int) -> int:
        about = {"club_id": NOBODY, "sign_in_name": f"name {number}", "passphrase": PASSPHRASE}
        response = behind_a_proxy.stranger().ask("POST", "/v1/sessions", about, x_forwarded_for=address)
        if response.status_code == 429:
            refusal(response, 429, "too_many_requests")
            assert int(response.headers["retry-after"]) >= 1
        return response.status_code

    most = PER_MINUTE["sign_in"]
    statuses = [sign_in(f"2001:db8:1:2::{number:x}", number) for number in range(most + 5)]
    assert statuses[:most] == [401] * most
    assert 429 in statuses[most:]
    assert sign_in("2001:db8:1:3::1", 0) == 401
