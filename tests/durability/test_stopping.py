"""Told to stop, the service answers everything that it has received, takes nothing new, and is gone."""

import json
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from http.client import HTTPConnection
from threading import Event
from typing import Any

import pytest

from durability import audit
from durability.born import Born, Nursery
from durability.conftest import Place
from standage.registry.engine import open_database
from support.long_search import LONG_BODY

WRITES = 12
HELD_S = 1.0
SLOW = b'{"name": "Slowly typed"}'


@contextmanager
def writes_held_up(place: Place) -> Iterator[Event]:
    """Keep every write waiting for the database until the event is set."""
    database = open_database(place.url)
    let_go = Event()
    with database.write() as connection:
        if database.dialect == "postgresql":
            connection.exec_driver_sql("LOCK TABLE vehicles IN EXCLUSIVE MODE")
        yield let_go
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


def test_everything_received_is_answered_and_nothing_new_is_taken(place: Place, services: Nursery) -> None:
    service = services.start(place.url, workers=2)
    headers = {"Authorization": f"Bearer {place.token}", "Content-Type": "application/json"}
    typing, searching, *writing = [opened(service) for _ in range(WRITES + 2)]
    typing.putrequest("POST", "/v1/layouts")
    for name, value in (headers | {"Content-Length": str(len(SLOW))}).items():
        typing.putheader(name, value)
    typing.endheaders(SLOW[:9])
    searching.request("POST", "/v1/checks/shunting-plan", json.dumps(LONG_BODY), headers)
    with writes_held_up(place):
        for connection in writing:
            connection.request("POST", "/v1/vehicles", json.dumps({"name": "Held up"}), headers)
        time.sleep(HELD_S / 2)
        told = time.monotonic()
        service.stop()
        wait_until_refused(service)
        typing.send(SLOW[9:])
        time.sleep(HELD_S / 2)
    answers = [answered(connection) for connection in (*writing, typing, searching)]
    service.wait_until_gone()
    assert [status for status, _ in answers] == [*[201] * WRITES, 201, 200], answers
    assert time.monotonic() - told < 30
    found = audit.kept(place.url)
    assert found.halves() == []
    assert {answer["id"] for _, answer in answers[: WRITES + 1]} <= set(found.records)


def wait_until_refused(service: Born) -> None:
    """Wait until nobody is let in any more: each process shuts its port as soon as it comes to the signal."""
    end = time.monotonic() + 15
    while time.monotonic() < end:
        connection = service.connection()
        try:
            connection.connect()
        except ConnectionRefusedError:
            return
        except ConnectionError:  # taken in by a port that was shut before anybody looked
            pass
        finally:
            connection.close()
        time.sleep(0.02)
    pytest.fail("the port was not shut 15 s after the signal")


def test_under_a_storm_every_request_is_answered_whole_or_refused(place: Place, services: Nursery) -> None:
    service = services.start(place.url, workers=2)
    headers = {"Authorization": f"Bearer {place.token}", "Content-Type": "application/json"}

    def storm(_: int) -> list[int]:
        """Send until cut off: refused, reset, or shut while sending. Half an answer is another error, and fails."""
        statuses: list[int] = []
        while True:
            connection = service.connection()
            try:
                connection.request("POST", "/v1/vehicles", json.dumps({"name": "Van"}), headers)
                statuses.append(answered(connection)[0])
            except ConnectionError:
                return statuses
            finally:
                connection.close()

    with ThreadPoolExecutor(WRITES) as threads:
        storms: list[Future[list[int]]] = [threads.submit(storm, number) for number in range(WRITES)]
        time.sleep(HELD_S / 3)
        service.stop()
        ended = [one.result(60) for one in storms]
    service.wait_until_gone()
    assert {status for statuses in ended for status in statuses} == {201}
    acknowledged = sum(map(len, ended))
    vans = [one for one in audit.kept(place.url).records.values() if '"name":"Van"' in one.body]
    assert len(vans) == acknowledged > 0, "what was not answered was done all the same"
