"""Told to stop, the service answers everything that it has received, takes nothing new,
and is gone.
"""

import json
import re
import time
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from datetime import datetime
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families

from durability import audit
from durability.born import Born, Nursery
from durability.conftest import Place
from standage.api.asking.write_turns import LONGEST_WAIT_S
from standage.registry.database.engine import open_database
from support.journal_lines import read
from support.long_search import LONG_BODY
from support.patience import PATIENCE_S, until

WRITES = 12
HELD_S = 0.5
SLOW = b'{"name": "Slowly typed"}'
METRICS_TOKEN = "a token for the metrics"
KILLED_AFTER_S = 15
"""Whatever has not ended by then."""


@contextmanager
def writes_held_up(place: Place) -> Iterator[None]:
    """Keep every write waiting for the database meanwhile."""
    database = open_database(place.url)
    with database.write() as connection:
        if database.dialect == "postgresql":
            connection.exec_driver_sql("LOCK TABLE vehicles IN EXCLUSIVE MODE")
        yield
    database.dispose()


def answered(connection: HTTPConnection) -> tuple[int, Any]:
    response = connection.getresponse()
    return response.status, json.loads(response.read())


def opened(service: Born) -> HTTPConnection:
    """Return a connection that the service has taken in."""
    connection = service.connection()
    connection.request("GET", "/health/live")
    assert answered(connection)[0] == 200
    return connection


def received(service: Born) -> tuple[float, float]:
    """Return how many requests the service has in hand, and how many long questions it
    has received, ended or not.
    """
    connection = service.connection()
    connection.request(
        "GET", "/metrics", headers={"Authorization": f"Bearer {METRICS_TOKEN}"}
    )
    page = connection.getresponse().read().decode()
    connection.close()
    counted: dict[str, float] = defaultdict(float)
    for family in text_string_to_metric_families(page):
        for sample in family.samples:
            counted[sample.name] += sample.value
    long_in_hand = counted["standage_long_questions_in_hand"]
    own = 1
    return (
        counted["standage_requests_in_hand"] - own - long_in_hand,
        long_in_hand + counted["standage_long_questions_total"],
    )


def wait_until_received(service: Born, requests: int, long_questions: int) -> None:
    """Wait until it is so twice over, since the service goes on counting while it
    tells.
    """
    until(
        lambda: all(received(service) == (requests, long_questions) for _ in range(2))
    )


def test_everything_received_is_answered_and_nothing_new_is_taken(
    place: Place, services: Nursery
) -> None:
    service = services.start(
        place.url, workers=2, settings={"STANDAGE_METRICS_TOKEN": METRICS_TOKEN}
    )
    headers = {
        "Authorization": f"Bearer {place.token}",
        "Content-Type": "application/json",
    }
    typing, searching, *writing = [opened(service) for _ in range(WRITES + 2)]
    typing.putrequest("POST", "/v1/layouts")
    for name, value in (headers | {"Content-Length": str(len(SLOW))}).items():
        typing.putheader(name, value)
    typing.endheaders(SLOW[:9])
    wait_until_received(service, 1, 0)
    with writes_held_up(place):
        began_s = time.monotonic()
        for connection in writing:
            connection.request(
                "POST", "/v1/vehicles", json.dumps({"name": "Held up"}), headers
            )
        wait_until_received(service, 1 + WRITES, 0)
        searching.request(
            "POST", "/v1/checks/shunting-plan", json.dumps(LONG_BODY), headers
        )
        wait_until_received(service, 1 + WRITES, 1)
        service.stop()
        wait_until_refused(service)
        typing.send(SLOW[9:])
        time.sleep(HELD_S)
    answers = [answered(connection) for connection in (*writing, typing, searching)]
    took_s = time.monotonic() - began_s
    service.wait_until_gone()
    *of_writes, of_search = [status for status, _ in answers]
    assert of_search == 200
    assert set(of_writes) <= ({201} if took_s < LONGEST_WAIT_S else {201, 503}), answers
    found = audit.kept(place.url)
    assert found.halves() == []
    made = {
        one.id
        for one in found.records.values()
        if re.search('"name":"(Held up|Slowly typed)"', one.body)
    }
    assert {answer["id"] for status, answer in answers if status == 201} == made


def wait_until_refused(service: Born) -> None:
    """Wait until nobody is let in any more: each process shuts its port as soon as it
    comes to the signal.
    """

    def is_refused() -> bool:
        connection = service.connection()
        try:
            connection.connect()
        except ConnectionRefusedError:
            return True
        except (
            ConnectionError
        ):  # taken in by a port that was shut before anybody looked
            return False
        finally:
            connection.close()
        return False

    until(is_refused, told=lambda: "the port is not shut")


def test_under_a_storm_every_request_is_answered_whole_or_refused(
    place: Place, services: Nursery
) -> None:
    service = services.start(place.url, workers=2)
    headers = {
        "Authorization": f"Bearer {place.token}",
        "Content-Type": "application/json",
    }

    statuses: list[int] = []

    def storm(_: int) -> None:
        """Send until cut off: refused, reset, or shut while sending. Half an answer is
        another error, and fails.
        """
        while True:
            connection, began_s = service.connection(), time.monotonic()
            try:
                connection.request(
                    "POST", "/v1/vehicles", json.dumps({"name": "Van"}), headers
                )
                status = answered(connection)[0]
            except ConnectionError:
                return
            finally:
                connection.close()
            if (
                status != 503 or time.monotonic() - began_s < LONGEST_WAIT_S
            ):  # nobody waits longer for a turn
                statuses.append(status)

    with ThreadPoolExecutor(WRITES) as threads:
        storms: list[Future[None]] = [
            threads.submit(storm, number) for number in range(WRITES)
        ]
        until(lambda: len(statuses) >= 2 * WRITES or all(one.done() for one in storms))
        service.stop()
        for one in storms:
            one.result(PATIENCE_S)
    service.wait_until_gone()
    assert set(statuses) == {201}
    vans = [
        one
        for one in audit.kept(place.url).records.values()
        if '"name":"Van"' in one.body
    ]
    assert len(vans) == len(statuses) >= 2 * WRITES, (
        "what was not answered was done all the same"
    )


BEGINNINGS = {
    "before it has set itself up": "granian.server.mp:configure_logging",
    "while it makes the service": "standage.app:create_app",
}


@pytest.mark.parametrize("moment", BEGINNINGS)
def test_told_to_stop_while_its_processes_begin_it_is_gone_and_nobody_had_to_be_killed(
    sqlite_place: Place, services: Nursery, tmp_path: Path, moment: str
) -> None:
    """Each process stands still at that moment, for ever: it ends by the signal, or is
    killed later.
    """
    at, log = tmp_path / "at", tmp_path / "log"
    at.mkdir()
    service = services.begin(
        sqlite_place.url, workers=2, held=(BEGINNINGS[moment], at), log=log
    )
    until(lambda: len(list(at.iterdir())) == 2, told=service.logged)
    service.stop()
    service.wait_until_gone()
    told, ended = (moment_of(log, event) for event in ("Shutting down", "completed"))
    assert (ended - told).total_seconds() < KILLED_AFTER_S


def moment_of(log: Path, event: str) -> datetime:
    """Return when the server said something; what it says of killing may also be of one
    that has just ended.
    """
    (line,) = [line for line in read(log.read_text()) if event in line["event"]]
    return datetime.fromisoformat(line["time"])
