"""Nobody may ask without end: so many requests of each class in a minute, then 429
until the bucket fills again.
"""

import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any, cast

import anyio
import httpx
import pytest

from api.asking import Caller, Clock, Service, refusal, serving
from api.ground import CHECKS
from standage.api.web.limits import PER_MINUTE, Limits
from standage.api.web.problems import Rejected
from standage.app import create_app
from standage.registry.database.engine import Database
from standage.settings import Settings

MORE_THAN_ENOUGH = 500


@pytest.fixture
def limited(
    database: Database, small_buckets: None, still_buckets: None
) -> Iterator[Service]:
    with serving(database, Clock(), Settings(rate_limits="on")) as running:
        yield running


class Seconds:
    """A clock of seconds that is moved by hand."""

    def __init__(self) -> None:
        self.now = 0.0

    def __call__(self) -> float:
        return self.now


def taken(limits: Limits, caller: str = "member a") -> int:
    """Return how many writes go through until one does not."""
    for number in range(10 * PER_MINUTE["write"]):
        try:
            limits.take(caller, "write")
        except Rejected:
            return number
    raise AssertionError("there is no end")


def test_a_full_bucket_holds_a_minutes_worth_and_fills_steadily() -> None:
    seconds = Seconds()
    limits = Limits(seconds)
    assert taken(limits) == PER_MINUTE["write"]
    seconds.now += 30
    assert taken(limits) == PER_MINUTE["write"] // 2
    seconds.now += 3600
    assert taken(limits) == PER_MINUTE["write"]


def test_each_caller_and_each_class_has_a_bucket_of_its_own() -> None:
    limits = Limits(Seconds())
    assert taken(limits) == PER_MINUTE["write"]
    assert taken(limits, "member b") == PER_MINUTE["write"]
    limits.take("member a", "read")
    limits.take("member a", "check")


def test_the_limit_is_shared_by_the_processes() -> None:
    assert taken(Limits(Seconds(), processes=4)) == PER_MINUTE["write"] // 4


@pytest.fixture
def threads_that_change_often() -> Iterator[None]:
    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    yield
    sys.setswitchinterval(usual)


@pytest.mark.usefixtures("threads_that_change_often")
def test_requests_at_the_same_moment_share_one_bucket() -> None:
    limits = Limits(Seconds())
    with ThreadPoolExecutor(8) as threads:
        through = sum(threads.map(lambda _: taken(limits), range(8)))
    assert through == PER_MINUTE["write"]


def test_the_wait_that_is_told_is_long_enough() -> None:
    seconds = Seconds()
    limits = Limits(seconds)
    taken(limits)
    with pytest.raises(Rejected) as refused:
        limits.take("member a", "write")
    seconds.now += int(dict(refused.value.headers)["retry-after"])
    limits.take("member a", "write")


def test_writing_is_bounded_more_closely_than_reading() -> None:
    assert (
        PER_MINUTE["sign_in"]
        < PER_MINUTE["import"]
        < PER_MINUTE["write"]
        < PER_MINUTE["check"]
        <= PER_MINUTE["read"]
    )


def first_refused(caller: Caller, method: str, path: str, body: object = None) -> int:
    for number in range(MORE_THAN_ENOUGH):
        response = caller.ask(method, path, body)
        if response.status_code == 429:
            problem = refusal(response, 429, "too_many_requests")
            assert int(response.headers["retry-after"]) >= 1
            assert problem["detail"]
            return number
    raise AssertionError("there is no end")


def test_who_writes_too_much_is_told_to_wait_and_may_still_read(
    limited: Service,
) -> None:
    steward = limited.club()
    other = limited.club("Millpond Society")
    first = first_refused(steward, "POST", "/v1/vehicles", {"name": ""})
    assert PER_MINUTE["write"] <= first < MORE_THAN_ENOUGH
    assert steward.ask("GET", "/v1/vehicles").status_code == 200
    assert other.ask("POST", "/v1/vehicles", {"name": "Ore wagon"}).status_code == 201


def test_a_second_token_of_the_same_member_opens_no_second_bucket(
    limited: Service,
) -> None:
    steward = limited.club()
    another = steward.with_token()
    first_refused(steward, "POST", "/v1/vehicles", {"name": ""})
    refused = [
        another.ask("POST", "/v1/vehicles", {"name": ""}).status_code for _ in range(3)
    ]
    assert 429 in refused


def test_who_guesses_tokens_is_stopped_whatever_token_is_guessed(
    limited: Service,
) -> None:
    steward = limited.club()
    stranger = limited.stranger()
    statuses = [
        stranger.ask(
            "GET", "/v1/club", authorization=f"Bearer stg_{number:032}"
        ).status_code
        for number in range(PER_MINUTE["write"] + 40)
    ]
    assert statuses[0] == 401
    assert statuses.count(429) > 0
    assert steward.ask("GET", "/v1/club").status_code == 200


def test_open_pages_are_not_counted(limited: Service) -> None:
    stranger = limited.stranger()
    first_refused(stranger, "GET", "/v1/club")
    assert stranger.ask("GET", "/health/live").status_code == 200
    assert stranger.ask("GET", "/docs").status_code == 200


@pytest.mark.usefixtures("small_buckets")
def test_switched_off_there_is_no_end(service: Service) -> None:
    stranger = service.stranger()
    statuses = {
        stranger.ask("GET", "/v1/club").status_code
        for _ in range(PER_MINUTE["write"] + 40)
    }
    assert statuses == {401}


def forwarded(service: Service, first: int, count: int) -> list[int]:
    return [
        service.stranger()
        .ask(
            "POST",
            "/v1/checks/curve",
            CHECKS["checkCurve"],
            x_forwarded_for=f"192.0.2.{number}, 198.51.100.{number}",
        )
        .status_code
        for number in range(first, first + count)
    ]


@pytest.mark.usefixtures("small_buckets", "still_buckets")
def test_who_asks_is_told_by_a_trusted_proxy_only(database: Database) -> None:
    count = PER_MINUTE["write"] + 60
    with serving(database, Clock(), Settings(rate_limits="on")) as service:
        assert 429 in forwarded(service, 0, count)
    with serving(
        database, Clock(), Settings(rate_limits="on", trusted_proxy="testclient")
    ) as service:
        assert set(forwarded(service, 0, count)) == {401}


async def statuses_behind_a_proxy(
    database: Database, proxy: str, count: int
) -> list[int]:
    """Ask as a caller who invents a line of the header, through a proxy that adds its
    own: each stays a line.
    """
    app = create_app(
        Settings(rate_limits="on", trusted_proxy=proxy),
        database=database,
        clock=Clock(),
    )
    transport = httpx.ASGITransport(cast("Any", app), client=(proxy, 4711))
    async with httpx.AsyncClient(
        transport=transport, base_url="http://testserver"
    ) as http:
        lines = [
            [
                ("x-forwarded-for", f"192.0.2.{number}"),
                ("x-forwarded-for", "198.51.100.1"),
            ]
            for number in range(count)
        ]
        return [(await http.get("/v1/club", headers=one)).status_code for one in lines]


@pytest.mark.usefixtures("small_buckets", "still_buckets")
def test_a_line_that_a_caller_puts_before_the_trusted_proxys_own_is_not_believed(
    database: Database,
) -> None:
    assert 429 in anyio.run(
        statuses_behind_a_proxy, database, "203.0.113.9", PER_MINUTE["write"] + 60
    )
