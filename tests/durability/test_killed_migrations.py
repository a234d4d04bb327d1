"""Migrations up, down and up again over many rows, and killed on the way: the rows
stay, and the database starts.

STANDAGE_MIGRATION_ROWS says how many rows (1,000); STANDAGE_MIGRATION_KILLS, at how
many statements each way dies (2).
"""

import hashlib
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import ColumnClause, Table, column, insert, inspect, select, table

from contract.serving import environment
from durability.mortal_migrator import BEFORE_COMMIT, NEVER
from standage.registry.database.engine import Database
from standage.registry.database.ids import new_id
from standage.registry.database.migrate import downgrade, migrate, prepare, state_of
from standage.registry.database.tables import history, links, trains, vehicles
from standage.registry.moving.backup import back_up
from standage.registry.records.bodies import (
    RakeBody,
    RakeVehicle,
    TrainBody,
    TrainVehicle,
    VehicleBody,
)
from standage.registry.records.kinds import RAKES, TRAINS, VEHICLES
from support.clubs import NOW, Club, new_club
from support.tally import TOLD

ROWS = int(os.environ.get("STANDAGE_MIGRATION_ROWS", "1000"))
KILLS = int(os.environ.get("STANDAGE_MIGRATION_KILLS", "2"))
ROWS_OF_A_COPY = 7
OLDEST = "0001"
PROGRAM = Path(__file__).with_name("mortal_migrator.py")

Contents = dict[str, tuple[int, str]]
Kill = Callable[[Database, str, str, int], tuple[str, int]]
"""Change a database's tables and die at a statement; return whether it died, and at
which statement it ended.
"""


@pytest.fixture
def filled(bare_database: Database) -> Database:
    """Give a database of the newest revision with many rows: vehicles, trains with a
    rake, their links and history.
    """
    migrate(bare_database)
    club = new_club(bare_database)
    van = club.make(VEHICLES, VehicleBody(name="Van", number="0047", count=9))
    rake = club.make(
        RAKES, RakeBody(name="Set", vehicles=(RakeVehicle(vehicle_id=van.id),))
    )
    entries = (TrainVehicle(vehicle_id=van.id), TrainVehicle(rake_id=rake.id))
    train = club.make(TRAINS, TrainBody(name="Milk", vehicles=entries))
    multiply(club, {vehicles: van.id, trains: train.id}, copies=ROWS // ROWS_OF_A_COPY)
    return bare_database


def multiply(club: Club, samples: dict[Table, str], *, copies: int) -> None:
    """Copy records by their rows: each with its history, at a moment of its own, and
    its links.
    """
    with club.database.write() as connection:
        for kept, sample_id in samples.items():
            row = (
                connection.execute(select(kept).where(kept.c.id == sample_id))
                .one()
                ._asdict()
            )
            change = (
                connection.execute(
                    select(history).where(history.c.record_id == sample_id)
                )
                .one()
                ._asdict()
            )
            leaning = [
                one._asdict()
                for one in connection.execute(
                    select(links).where(links.c.source_id == sample_id)
                )
            ]
            ids = [new_id() for _ in range(copies)]
            connection.execute(insert(kept), [row | {"id": one} for one in ids])
            changes = [
                change
                | {
                    "id": new_id(),
                    "record_id": one,
                    "action_id": new_id(),
                    "at": change["at"] + timedelta(seconds=number),
                }
                for number, one in enumerate(ids, start=1)
            ]
            connection.execute(insert(history), changes)
            if leaning:
                connection.execute(
                    insert(links),
                    [one | {"source_id": id_} for id_ in ids for one in leaning],
                )


def contents(database: Database) -> Contents:
    """Return, for every table there is, how many rows it has and the sum of all of
    them.
    """
    found = {}
    with database.read() as connection:
        inspector = inspect(connection)
        for name in inspector.get_table_names():
            columns: list[ColumnClause[Any]] = [
                column(one["name"]) for one in inspector.get_columns(name)
            ]
            sum_, count = hashlib.sha256(), 0
            for row in connection.execute(
                select(*columns).select_from(table(name)).order_by(*columns)
            ):
                sum_.update(repr(tuple(row)).encode())
                count += 1
            found[name] = count, sum_.hexdigest()
    return found


@pytest.fixture(scope="module")
def kill() -> Iterator[Kill]:
    """Give the means to change a database's tables in a process that dies at a
    statement.
    """
    path = f"{PROGRAM.parents[2] / 'service'}{os.pathsep}{PROGRAM.parents[1]}"
    env = environment("sqlite:///none.sqlite3") | {"PYTHONPATH": path}
    with subprocess.Popen(
        [sys.executable, str(PROGRAM)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=env,
    ) as process:
        stdin, stdout = process.stdin, process.stdout
        assert stdin is not None
        assert stdout is not None

        def change(
            database: Database, way: str, aim: str, statement: int
        ) -> tuple[str, int]:
            order: dict[str, Any] = {
                "url": database.url,
                "way": way,
                "aim": aim,
                "statement": statement,
            }
            stdin.write(json.dumps(order) + "\n")
            stdin.flush()
            how, reached = stdout.readline().split()
            return how, int(reached)

        yield change
        stdin.close()


def spread(count: int) -> list[int]:
    """Return numbers of statements to die at: the first, the last, and evenly
    between.
    """
    return sorted({1 + (count - 1) * number // (KILLS - 1) for number in range(KILLS)})


def test_rows_outlive_migrations_up_and_down_and_every_kill_on_the_way(
    filled: Database, kill: Kill, record_property: Callable[[str, object], None]
) -> None:
    """What is known again only in part after going down: which rake a train was made up
    of, and what was one action.
    """
    newest = contents(filled)
    began = time.monotonic()
    down = dies_on_the_way(filled, kill, "down", OLDEST, newest)
    oldest = contents(filled)
    assert {
        name: count
        for name, (count, _) in oldest.items()
        if name in {"vehicles", "trains"}
    } == {name: newest[name][0] for name in ("vehicles", "trains")}
    up = dies_on_the_way(filled, kill, "up", "head", oldest)
    again = contents(filled)
    took_s = time.monotonic() - began
    assert again["vehicles"] == newest["vehicles"], "the key of each is reckoned again"
    for name in ("members", "clubs", "trains"):
        assert again[name] == oldest[name], name
    assert again["history"][0] == oldest["history"][0]
    assert set(again) == set(newest)
    prepare(filled)
    assert state_of(filled, thoroughly=True).ready
    downgrade(filled, OLDEST)
    migrate(filled)
    assert contents(filled) == again
    rows = sum(count for count, _ in newest.values())
    record_property(
        TOLD,
        f"{filled.dialect}: {rows} rows down and up, killed {down} + {up} times on the"
        f" way, {took_s:.1f} s in all",
    )


def dies_on_the_way(
    database: Database, kill: Kill, way: str, aim: str, before: Contents
) -> int:
    """Let changes die, before the commit and at statements first to last; each time all
    is as it was.

    At last let one come to its end. Return how many died.
    """
    state = "older" if way == "up" else "ready"
    points = [BEFORE_COMMIT]
    for point in points:
        database.dispose()
        how, reached = kill(database, way, aim, point)
        assert how == "died"
        found = state_of(database, thoroughly=True)
        assert (found.code, bool(found.message)) == (state, state == "older")
        assert contents(database) == before
        if point == BEFORE_COMMIT:
            points += spread(reached)
    database.dispose()
    assert kill(database, way, aim, NEVER)[0] == "ended"
    return len(points)


def test_a_restore_that_is_killed_changes_nothing(
    filled: Database, kill: Kill, tmp_path: Path
) -> None:
    file = back_up(filled, tmp_path / "club.backup", NOW).path
    backed_up = contents(filled)
    new_club(filled, "Upland Light Railway Society")
    before = contents(filled)
    assert dies_on_the_way(filled, kill, "back", str(file), before) == KILLS + 1
    assert contents(filled)["vehicles"] == backed_up["vehicles"]
    assert contents(filled)["clubs"] == backed_up["clubs"] != before["clubs"]
