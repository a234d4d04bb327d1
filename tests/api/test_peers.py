"""By what address requests are counted: of IPv6 its first 64 bits, and of a forwarded
one only what the proxy says.
"""

from collections.abc import Iterator
from datetime import timedelta
from typing import cast

import pytest

from api.asking import NOBODY, PASSPHRASE, Clock, Service, refusal, serving
from standage.api.web.arrival import counted_as, peer_of
from standage.api.web.limits import PER_MINUTE
from standage.registry.database.engine import Database
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
def test_an_address_is_counted_as_whoever_can_choose_it(
    address: str, counted: str
) -> None:
    """2001:db8::/32 and 192.0.2.0/24 are kept for documentation (RFC 3849, RFC
    5737).
    """
    assert counted_as(address) == counted


@pytest.mark.parametrize(
    ("host", "forwarded", "proxy", "peer"),
    [
        ("203.0.113.9", "192.0.2.1", None, "203.0.113.9"),
        ("203.0.113.9", "192.0.2.1", "203.0.113.10", "203.0.113.9"),
        ("203.0.113.9", "192.0.2.1", "203.0.113.9", "192.0.2.1"),
        ("::ffff:203.0.113.9", "192.0.2.1", "203.0.113.9", "192.0.2.1"),
        ("203.0.113.9", "192.0.2.1, 192.0.2.2", "203.0.113.9", "192.0.2.2"),
        ("203.0.113.9", "192.0.2.1, 192.0.2.3", "203.0.113.9", "192.0.2.3"),
        ("203.0.113.9", "", "203.0.113.9", "203.0.113.9"),
        ("203.0.113.9", " , ", "203.0.113.9", "203.0.113.9"),
    ],
)
def test_only_the_trusted_proxys_own_word_is_believed(
    host: str, forwarded: str, proxy: str | None, peer: str
) -> None:
    assert peer_of(host, forwarded, trusted_proxy=proxy) == peer


@pytest.fixture
def behind_a_proxy(database: Database, still_buckets: None) -> Iterator[Service]:
    with serving(
        database, Clock(), Settings(rate_limits="on", trusted_proxy="testclient")
    ) as running:
        yield running


def sign_in(service: Service, address: str, number: int) -> int:
    about = {
        "club_id": NOBODY,
        "sign_in_name": f"name {number}",
        "passphrase": PASSPHRASE,
    }
    response = service.stranger().ask(
        "POST", "/v1/sessions", about, x_forwarded_for=address
    )
    if response.status_code == 429:
        refusal(response, 429, "too_many_requests")
        assert 1 <= int(response.headers["retry-after"]) <= 15 * 60
    return response.status_code


def test_who_signs_in_often_is_told_to_wait_however_many_addresses_they_have(
    behind_a_proxy: Service,
) -> None:
    most = PER_MINUTE["sign_in"]
    statuses = [
        sign_in(behind_a_proxy, f"2001:db8:1:2::{number:x}", number)
        for number in range(most + 5)
    ]
    assert statuses == [401] * most + [429] * 5
    assert sign_in(behind_a_proxy, "2001:db8:1:3::1", 0) == 401


def test_attempts_from_an_address_are_counted_by_all_processes_together_for_a_quarter_of_an_hour(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two services on one database stand for two processes; each tries another name,
    and so comes to no other limit.
    """
    monkeypatch.setitem(cast("dict[str, int]", PER_MINUTE), "sign_in", 1000)
    settings = Settings(rate_limits="on", trusted_proxy="testclient")
    with (
        serving(database, Clock(), settings) as one,
        serving(database, Clock(), settings) as other,
    ):
        services = (one, other)
        tried = [
            sign_in(services[number % 2], f"2001:db8:1:2::{number:x}", number)
            for number in range(50)
        ]
        assert tried == [401] * 50
        assert [sign_in(service, "2001:db8:1:2::ffff", 50) for service in services] == [
            429,
            429,
        ]
        assert sign_in(one, "2001:db8:1:3::1", 50) == 401
        for service in services:
            service.clock.move(timedelta(minutes=15) - timedelta(seconds=1))
        assert sign_in(one, "2001:db8:1:2::1", 51) == 429
        one.clock.move(timedelta(seconds=1))
        assert sign_in(one, "2001:db8:1:2::1", 51) == 401
