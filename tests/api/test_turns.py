"""Writes take turns: in order, not too many, and nobody waits for ever; a repeated
request is told that it is one.
"""

import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace

import anyio
import anyio.to_thread
import pytest
from sqlalchemy import Connection

from api.asking import Clock, Service, refusal, serving
from standage.api.asking import write_turns
from standage.api.asking.write_turns import Turns
from standage.registry.database.engine import Database, open_database
from standage.shapes.refusals import Busy, KeyInProgress
from support.patience import PATIENCE_S, until

SHORT_S = 0.2


def wait_at_most(seconds: float) -> None:
    """Let whoever comes from now on wait so long for a turn."""
    write_turns.LONGEST_WAIT_S = seconds


@pytest.fixture(autouse=True)
def great_patience(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(write_turns, "LONGEST_WAIT_S", float(PATIENCE_S))


def taken(
    many: Turns,
    *,
    first: str | None,
    then: list[str | None],
    patience_s: float = SHORT_S,
) -> list[object]:
    """Let a write that does not end take a place and others queue; return what became
    of each of those.
    """
    begun, let_go = threading.Event(), threading.Event()
    results: list[object] = []

    def without_end() -> None:
        begun.set()
        let_go.wait(PATIENCE_S)

    async def one(same: str | None) -> None:
        try:
            results.append(await many.take(lambda: "written", same=same))
        except (Busy, KeyInProgress) as refused:
            results.append(type(refused))

    async def run() -> None:
        async with anyio.create_task_group() as tasks:
            tasks.start_soon(lambda: many.take(without_end, same=first))
            await anyio.to_thread.run_sync(begun.wait, PATIENCE_S)
            wait_at_most(patience_s)
            async with anyio.create_task_group() as others:
                for same in then:
                    others.start_soon(one, same)
            wait_at_most(PATIENCE_S)
            let_go.set()
        await one(first)

    anyio.run(run)
    return results


def test_who_waits_too_long_is_told_why_and_the_place_is_free_afterwards() -> None:
    assert taken(Turns(1), first="k", then=["k", "k"]) == [
        KeyInProgress,
        KeyInProgress,
        "written",
    ]
    assert taken(Turns(1), first="k", then=["other"]) == [Busy, "written"]
    assert taken(Turns(1), first=None, then=[None]) == [Busy, "written"]
    assert taken(Turns(2), first="k", then=["k"], patience_s=PATIENCE_S) == [
        "written",
        "written",
    ]


def test_one_too_many_is_refused_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(write_turns, "MOST_WAITING", 1)
    many, let_go = Turns(1), threading.Event()
    written: list[object] = []

    async def one() -> None:
        written.append(await many.take(lambda: let_go.wait(PATIENCE_S), same=None))

    async def run() -> None:
        async with anyio.create_task_group() as tasks:
            for _ in range(3):
                tasks.start_soon(one)
            await anyio.wait_all_tasks_blocked()
            with pytest.raises(Busy, match="Too many"):
                await many.take(lambda: True, same=None)
            let_go.set()

    anyio.run(run)
    assert written == [True, True, True]


class Held:
    """A database in which nobody comes to the end of a keyed creation meanwhile."""

    def __init__(
        self, database: Database, service: Database, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        self._database = database
        self._asked = threading.Event()
        plainly = service.write

        @contextmanager
        def noted() -> Iterator[Connection]:
            self._asked.set()
            with plainly() as connection:
                yield connection

        monkeypatch.setattr(service, "write", noted)

    def wait_for_the_first(self) -> None:
        """Wait until somebody has their turn to write, and of PostgreSQL until they
        wait for the table.
        """
        assert self._asked.wait(PATIENCE_S)
        if self._database.dialect == "postgresql":
            until(self._somebody_waits)

    def _somebody_waits(self) -> bool:
        waiting = (
            "SELECT count(*) FROM pg_locks WHERE NOT granted AND relation ="
            " 'vehicles'::regclass"
        )
        with self._database.read() as connection:
            return bool(connection.exec_driver_sql(waiting).scalar())


@contextmanager
def held(
    database: Database, service: Database, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Held]:
    other = open_database(database.url)
    with other.write() as connection:
        if other.dialect == "postgresql":
            connection.exec_driver_sql("LOCK TABLE vehicles IN EXCLUSIVE MODE")
        yield Held(other, service, monkeypatch)
    other.dispose()


@contextmanager
def patient(
    database: Database, wait_s: float, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Service]:
    """Give another process's service on the same database, one that waits so long for
    locks.
    """
    monkeypatch.setattr("standage.registry.database.engine.WRITE_WAIT_S", wait_s)
    monkeypatch.setattr(
        "standage.registry.database.engine._POSTGRESQL_SETTINGS",
        f"SET lock_timeout = '{wait_s}s'; SET timezone = 'UTC'",
    )
    opened = open_database(database.url)
    with serving(opened, Clock()) as service:
        yield service
    opened.dispose()


def test_a_repetition_that_comes_while_the_first_is_worked_on_is_told_so_and_later_has_its_answer(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On SQLite only one writes; so there it comes to the same process, where its turn
    does not come.
    """
    body = {"name": "Van"}
    with (
        patient(database, PATIENCE_S, monkeypatch) as service,
        patient(database, SHORT_S, monkeypatch) as other,
        ThreadPoolExecutor(1) as threads,
    ):
        steward = service.club()
        hasty = (
            steward
            if database.dialect == "sqlite"
            else replace(steward, http=other.http)
        )
        with held(database, service.database, monkeypatch) as meanwhile:
            first = threads.submit(
                steward.ask, "POST", "/v1/vehicles", body, idempotency_key="k"
            )
            meanwhile.wait_for_the_first()
            if database.dialect == "sqlite":
                wait_at_most(SHORT_S)
            again = hasty.ask("POST", "/v1/vehicles", body, idempotency_key="k")
            refusal(again, 409, "idempotency_key_in_progress")
            assert again.headers["retry-after"] == "1"
            if database.dialect == "sqlite":
                refusal(
                    steward.ask("POST", "/v1/layouts", {"name": "Quay"}), 503, "busy"
                )
        wait_at_most(PATIENCE_S)
        made = first.result(PATIENCE_S)
        later = hasty.ask("POST", "/v1/vehicles", body, idempotency_key="k")
        assert (made.status_code, later.status_code, later.content) == (
            201,
            201,
            made.content,
        )
        assert len(steward.read("/v1/vehicles")["items"]) == 1
