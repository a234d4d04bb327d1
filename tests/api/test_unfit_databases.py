"""A database that is damaged, read-only, full, older or newer: ready says why, and
nothing is served silently.
"""

import logging
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from api.asking import refusal
from api.unfit import (
    cut_in_half,
    done,
    full_disk,
    not_ready,
    served,
    serves_nothing,
    serves_reads_only,
    spoil_header,
    spoil_page,
    unwritable,
)
from standage.api.asking.ask import Asker
from standage.api.asking.readiness_gate import Gate
from standage.api.operations.health import Readiness
from standage.registry.database.engine import Database
from standage.registry.database.migrate import downgrade, migrate, state_of
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import VEHICLES
from standage.shapes.refusals import Unready
from support.clubs import new_club
from support.databases import statements

VANS = 300


@pytest.fixture(autouse=True)
def looks_each_time(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    if "too_soon" not in request.node.name:
        monkeypatch.setattr("standage.api.operations.health.LOOK_AGAIN_S", 0)
        monkeypatch.setattr("standage.api.operations.health.SHARE_OF_TIME", 0)


@pytest.fixture
def token(sqlite_database: Database) -> str:
    """Give the token of a club with stock, whose file nobody has open."""
    club = new_club(sqlite_database)
    with club.writing() as writing:
        for number in range(VANS):
            writing.create(
                VEHICLES,
                club.permit,
                VehicleBody(name=f"Van {number}", notes="x" * 200),
            )
    sqlite_database.dispose()
    return club.token


@pytest.fixture
def file(sqlite_database: Database) -> Path:
    return Path(sqlite_database.url.removeprefix("sqlite:///"))


@pytest.mark.parametrize(
    ("damage", "why"),
    [
        (spoil_header, "not a SQLite database"),
        (lambda file: spoil_page(file, "ix_history_club_id_at_id"), "damaged"),
        (lambda file: spoil_page(file, "places"), "damaged"),
        (cut_in_half, "damaged"),
    ],
)
def test_nothing_is_served_from_a_damaged_file(
    sqlite_database: Database,
    token: str,
    file: Path,
    damage: Callable[[Path], None],
    why: str,
    caplog: pytest.LogCaptureFixture,
) -> None:
    damage(file)
    with served(sqlite_database.url, token) as (_, caller):
        assert any(
            record.levelno >= logging.WARNING and why in record.getMessage()
            for record in caplog.records
        )
        serves_nothing(caller, why)


def test_damage_that_comes_while_the_service_runs_is_told_and_is_no_failure_of_the_service(
    sqlite_database: Database, token: str, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        Asker, "tidy_up", lambda _: None
    )  # which would write while the file is spoilt
    with served(sqlite_database.url, token) as (_, caller):
        assert len(caller.read("/v1/vehicles")["items"]) > 0
        spoil_page(
            file, "ix_modules_club_id_name_key_id"
        )  # which nothing has looked at yet
        problem = refusal(
            caller.ask("POST", "/v1/modules", {"name": "Quay"}), 503, "unready"
        )
        assert "damaged" in problem["detail"]
        not_ready(caller, "damaged")


def test_what_fails_beside_the_service_does_not_end_it(
    database: Database,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def fail(_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(Asker, "tidy_up", fail)
    monkeypatch.setattr(Gate, "look_through", fail)
    with served(database.url, new_club(database).token) as (_, caller):
        caller.made("/v1/vehicles", {"name": "Van"})
        assert caller.ask("GET", "/health/ready").status_code == 200
    assert {
        record.getMessage()
        for record in caplog.records
        if record.levelno == logging.ERROR
    } == {
        "could not tidy up",
        "the database could not be looked through",
    }


def test_a_file_that_may_not_be_written_to_is_read_and_says_so(
    token: str, file: Path
) -> None:
    with unwritable(file) as url, served(url, token) as (_, caller):
        serves_reads_only(caller, "may not be written to")


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Give a folder on a disk of four megabytes, where this process may make one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = (
        subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=4m", "none", str(folder)], check=False
        ).returncode
        == 0
    )
    if mounted:
        (folder / "on a small disk").touch()
    yield folder
    if mounted:
        assert done("umount", str(folder))


def test_a_full_disk_is_told_reads_go_on_and_so_do_writes_once_there_is_room(
    token: str, file: Path, small_disk: Path
) -> None:
    shutil.copy(file, small_disk)
    with served(f"sqlite:///{small_disk / file.name}", token) as (_, caller):
        caller.made("/v1/vehicles", {"name": "Before"})
        with full_disk(small_disk):
            serves_reads_only(caller, "disk that holds the database")
        caller.made("/v1/vehicles", {"name": "After"})
        assert caller.ask("GET", "/health/ready").status_code == 200


def test_a_refused_write_counts_until_one_goes_through(database: Database) -> None:
    token = new_club(database).token
    with served(database.url, token) as (asker, caller):
        caller.made("/v1/vehicles", {"name": "Van"})
        with pytest.raises(Unready), asker.database.write():
            raise Unready("the disk that holds the database is full")
        told = refusal(caller.ask("GET", "/health/ready"), 503, "unready")
        assert told["writable"] is False
        assert "the disk that holds the database is full" in told["detail"]
        assert len(caller.read("/v1/vehicles")["items"]) == 1
        caller.made("/v1/vehicles", {"name": "Tank"})
        assert caller.read("/health/ready") == {"status": "ready", "writable": True}


def test_a_write_that_was_refused_a_while_ago_is_no_reason_any_more(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    migrated = state_of(database, thoroughly=True)
    with pytest.raises(Unready), database.write():
        raise Unready("the disk that holds the database is full")
    assert (migrated.code, state_of(database, thoroughly=True).code) == (
        "ready",
        "not_writable",
    )
    monkeypatch.setattr("standage.registry.database.migrate.REFUSAL_HOLDS_S", 0.0)
    assert state_of(database, thoroughly=True).code == "ready"


def test_a_disk_without_room_is_told_although_a_small_write_would_go_through(
    file: Path, small_disk: Path, token: str
) -> None:
    shutil.copy(file, small_disk)
    with served(f"sqlite:///{small_disk / file.name}", token) as (_, caller):
        for number in range(3):
            caller.made("/v1/vehicles", {"name": f"Van {number}", "notes": "x" * 2000})
        with full_disk(small_disk):
            told = refusal(caller.ask("GET", "/health/ready"), 503, "unready")
        assert told["writable"] is False


def test_a_database_of_a_newer_service_is_left_alone(database: Database) -> None:
    token = new_club(database).token
    with database.write() as connection:
        (known,) = connection.exec_driver_sql(
            "SELECT version_num FROM alembic_version"
        ).scalars()
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    try:
        with served(database.url, token) as (_, caller):
            serves_nothing(caller, "newer version")
    finally:
        with database.write() as connection:
            connection.execute(
                text("UPDATE alembic_version SET version_num = :known"),
                {"known": known},
            )


def test_a_database_of_an_older_service_is_brought_up_to_date_or_says_how(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    club.make(VEHICLES, VehicleBody(name="Van"))
    downgrade(bare_database, "0001")
    with served(bare_database.url, club.token) as (_, caller):
        if bare_database.dialect == "sqlite":
            assert len(caller.read("/v1/vehicles")["items"]) == 1
            assert caller.ask("GET", "/health/ready").status_code == 200
        else:
            serves_nothing(caller, "run: standage migrate")
            migrate(bare_database)
            assert len(caller.read("/v1/vehicles")["items"]) == 1


def test_an_older_file_that_may_not_be_written_to_says_so(
    sqlite_database: Database, token: str, file: Path
) -> None:
    downgrade(sqlite_database, "0001")
    sqlite_database.dispose()
    with unwritable(file) as url, served(url, token) as (_, caller):
        not_ready(caller, "older version")
        problem = refusal(caller.ask("GET", "/v1/vehicles"), 503, "unready")
        assert "may not be written to" in problem["detail"]


def test_a_standby_is_read_and_says_so(bare_database: Database) -> None:
    """A SQLite file has no standby: there it is only opened as one that is read."""
    migrate(bare_database)
    club = new_club(bare_database)
    club.make(VEHICLES, VehicleBody(name="Van"))
    url = bare_database.url
    if bare_database.dialect == "postgresql":
        name = url.rpartition("/")[2]
        with bare_database.write() as connection:
            connection.exec_driver_sql(
                f'ALTER DATABASE "{name}" SET default_transaction_read_only = on'
            )
    else:
        url = f"sqlite:///file:{url.removeprefix('sqlite:///')}?mode=ro&uri=true"
    bare_database.dispose()
    with served(url, club.token) as (_, caller):
        serves_reads_only(caller, "may not be written to")
    bare_database.dispose()


def test_a_look_at_the_whole_file_is_not_taken_again_too_soon(
    sqlite_database: Database,
) -> None:
    """Each look takes two seconds here, so that the next is taken forty seconds after
    its end.
    """
    moments = iter([0.0, 2.0, 41.9, 42.0, 44.0])
    readiness = Readiness(lambda: next(moments))
    seen = []
    for _ in range(3):
        with statements(sqlite_database) as sent:
            readiness.say(sqlite_database)
        seen.append(
            any("user_version" in one for one in sent)
        )  # whether it may be written to is seen as well
    assert seen == [True, False, True]
