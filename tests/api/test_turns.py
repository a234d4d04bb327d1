"""Writes take turns: in order, not too many, and nobody waits for ever; a repeated request is told that it is one."""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace

import anyio
import pytest

from api.asking import Clock, Service, refusal, serving
from standage.api.turns import Turns
from standage.registry.engine import Database, open_database
from standage.registry.records import Busy, KeyInProgress

SHORT_S = 0.3


@pytest.fixture(autouse=True)
def little_patience(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("standage.api.turns.LONGEST_WAIT_S", SHORT_S)


def taken(turns: Turns, *, first: str | None, then: list[str | None]) -> list[object]:
    """Let a write that does not end take the one place and others queue; return what became of each of those."""
    let_go = threading.Event()
    results: list[object] = []

    async def one(same: str | None) -> None:
        try:
            results.append(await turns.take(lambda: "written", same=same))
        except (Busy, KeyInProgress) as refused:
            results.append(type(refused))

    async def run() -> None:
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(lambda: turns.take(lambda: let_go.wait(10), same=first))
            await anyio.sleep(0.05)
            for same in then:
                tasks.start_soon(one, same)
            await anyio.sleep(2 * SHORT_S)
            let_go.set()
        await one(first)

    anyio.run(run)
    return results


def test_who_waits_too_long_is_told_why_and_the_place_is_free_afterwards() -> None:
    assert taken(Turns(1), first="k", then=["k", "k"]) == [KeyInProgress, KeyInProgress, "written"]
    assert taken(Turns(1), first="k", then=["other"]) == [Busy, "written"]
    assert taken(Turns(1), first=None, then=[None]) == [Busy, "written"]
    assert taken(Turns(2), first="k", then=["k"]) == ["written", "written"]


def test_one_too_many_is_refused_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("standage.api.turns.MOST_WAITING", 1)
    monkeypatch.setattr("standage.api.turns.LONGEST_WAIT_S", 30)
    turns, let_go = Turns(1), threading.Event()
    written: list[object] = []

    async def one() -> None:
        written.append(await turns.take(lambda: let_go.wait(10), same=None))

    async def run() -> None:
        async with anyio.create_task_group() as tasks:
            for _ in range(3):
                tasks.start_soon(one)
            await anyio.sleep(0.05)
            with pytest.raises(Busy, match="Too many"):
                await turns.take(lambda: True, same=None)
            let_go.set()

    anyio.run(run)
    assert written == [True, True, True]


@contextmanager
def held(database: Database) -> Iterator[None]:
    """Let nobody come to the end of a keyed creation meanwhile."""
    other = open_database(database.url)
    with other.write() as connection:
        if other.dialect == "postgresql":
            connection.exec_driver_sql("LOCK TABLE vehicles IN EXCLUSIVE MODE")
        yield
    other.dispose()


@contextmanager
def impatient(database: Database, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Iterator[Service]:
    """Give another process's service on the same database, one that waits for locks only shortly."""
    monkeypatch.setattr(
        "standage.registry.engine._POSTGRESQL_SETTINGS", f"SET lock_timeout = '{SHORT_S}s'; SET timezone = 'UTC'"
    )
    opened = open_database(database.url)
    with serving(opened, clock) as service:
        yield service
    opened.dispose()


def test_a_repetition_that_comes_while_the_first_is_worked_on_is_told_so_and_later_has_its_answer(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On SQLite only one writes; so there it comes to the same process, where its turn does not come."""
    body, clock = {"name": "Van"}, Clock()
    with serving(database, clock) as service, ThreadPoolExecutor(1) as threads:
        steward = service.club()
        with impatient(database, clock, monkeypatch) as other:
            hasty = steward if database.dialect == "sqlite" else replace(steward, http=other.http)
            with held(database):
                first = threads.submit(steward.ask, "POST", "/v1/vehicles", body, idempotency_key="k")
                threading.Event().wait(SHORT_S)
                again = hasty.ask("POST", "/v1/vehicles", body, idempotency_key="k")
                refusal(again, 409, "idempotency_key_in_progress")
                assert again.headers["retry-after"] == "1"
                if database.dialect == "sqlite":
                    refusal(steward.ask("POST", "/v1/layouts", {"name": "Quay"}), 503, "busy")
            made = first.result(10)
            later = hasty.ask("POST", "/v1/vehicles", body, idempotency_key="k")
        assert (made.status_code, later.status_code, later.content) == (201, 201, made.content)
        assert len(steward.read("/v1/vehicles")["items"]) == 1
