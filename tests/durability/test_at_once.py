"""Many at once over HTTP, with two processes serving: no change is lost, and what is
sent often is done once.
"""

import json
import os
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from threading import Barrier
from typing import Any

import pytest

from durability import audit
from durability.born import Born, Nursery
from durability.conftest import Place
from durability.dying import HEADER
from standage.api.asking.write_turns import LONGEST_WAIT_S
from support.patience import PATIENCE_S
from support.tally import TOLD

CLIENTS = 32
EACH = int(os.environ.get("STANDAGE_COUNTS", "1"))
"""How many accepted changes each of the clients goes on for."""

SAME = 50


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def json(self) -> Any:
        return json.loads(self.body)


def ask(
    service: Born,
    place: Place,
    method: str,
    path: str,
    body: object = None,
    **headers: str,
) -> Answer:
    """Send one request on a connection of its own."""
    connection = service.connection()
    sent = {"Authorization": f"Bearer {place.token}"} | {
        name.replace("_", "-"): value for name, value in headers.items()
    }
    if body is not None:
        sent.setdefault("content-type", "application/json")
    try:
        connection.request(
            method, path, None if body is None else json.dumps(body), sent
        )
        response = connection.getresponse()
        return Answer(
            response.status,
            {name.lower(): value for name, value in response.getheaders()},
            response.read(),
        )
    finally:
        connection.close()


def assert_busy(answer: Answer) -> None:
    """See that whoever was refused was told to come again: because of the crowd, or of
    whom they repeat.
    """
    assert answer.status in {409, 503}, answer
    assert "retry-after" in answer.headers


def test_thirty_two_who_fetch_change_and_send_back_lose_nothing(
    place: Place, services: Nursery, record_property: Callable[[str, object], None]
) -> None:
    service = services.start(place.url, workers=2)
    counter = ask(
        service, place, "POST", "/v1/vehicles", {"name": "Counter", "notes": "0"}
    ).headers["location"]
    together = Barrier(CLIENTS)

    def count(_: int) -> list[int]:
        seen = look()
        together.wait(
            PATIENCE_S
        )  # so that all have seen the first version, and one can go through with it
        statuses = [one_more(seen)]
        while statuses.count(200) < EACH:
            statuses.append(one_more(look()))
        return statuses

    def look() -> Answer:
        while (seen := ask(service, place, "GET", counter)).status != 200:
            assert_busy(seen)
        return seen

    def one_more(seen: Answer) -> int:
        changed = {"notes": str(int(seen.json["notes"]) + 1)}
        merge = {"content-type": "application/merge-patch+json"}
        return ask(
            service,
            place,
            "PATCH",
            counter,
            changed,
            if_match=seen.headers["etag"],
            **merge,
        ).status

    with ThreadPoolExecutor(CLIENTS) as threads:
        statuses = [
            status for of_one in threads.map(count, range(CLIENTS)) for status in of_one
        ]
    accepted = CLIENTS * EACH
    last = look().json
    assert set(statuses) <= {200, 412, 503}, statuses
    assert (int(last["notes"]), last["version"]) == (accepted, accepted + 1)
    assert statuses.count(412) > 0, "nobody met anybody"
    assert audit.kept(place.url).halves() == []
    record_property(
        TOLD,
        f"{CLIENTS} clients, {len(statuses)} changes sent: {accepted} accepted, count"
        f" {last['notes']}",
    )
    service.end()


def test_of_fifty_equal_requests_one_is_done_and_all_have_its_answer(
    place: Place, services: Nursery
) -> None:
    service = services.start(place.url, workers=2)
    together = Barrier(SAME)

    def send(_: int) -> Answer:
        together.wait(PATIENCE_S)
        while True:
            began_s = time.monotonic()
            answer = ask(
                service,
                place,
                "POST",
                "/v1/vehicles",
                {"name": "Once"},
                idempotency_key="k",
            )
            if answer.status == 201:
                return answer
            assert time.monotonic() - began_s >= LONGEST_WAIT_S, (
                "its turn would have come"
            )
            assert_busy(answer)

    with ThreadPoolExecutor(SAME) as threads:
        answers = list(threads.map(send, range(SAME)))
    (made,) = ask(service, place, "GET", "/v1/vehicles").json["items"]
    assert {one.body for one in answers} == {answers[0].body}
    assert answers[0].json["id"] == made["id"]
    service.end()


def test_what_was_committed_before_the_service_died_is_answered_when_it_is_sent_again(
    place: Place, services: Nursery
) -> None:
    service = services.start(place.url, instead="durability.dying:served")
    body = {"name": "Once"}
    with pytest.raises((OSError, ConnectionError)):
        ask(
            service,
            place,
            "POST",
            "/v1/vehicles",
            body,
            idempotency_key="k",
            **{HEADER.decode(): "yes"},
        )
    service.kill()
    after = audit.kept(place.url)
    assert after.halves() == []
    (kept,) = after.keys.values()
    service = services.start(place.url, port=service.port)
    again = ask(service, place, "POST", "/v1/vehicles", body, idempotency_key="k")
    assert (again.status, again.body) == (201, bytes(kept.body))
    assert [
        one["id"] for one in ask(service, place, "GET", "/v1/vehicles").json["items"]
    ] == [again.json["id"]]
    service.end()
