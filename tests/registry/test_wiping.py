"""No byte of an erased member's name stays in the database's own files."""

from datetime import timedelta
from pathlib import Path
from threading import Event, Thread

import pytest
from sqlalchemy import select

from standage.registry.database.engine import Database
from standage.registry.database.tables import erasures
from standage.registry.database.wiping import is_to_be_wiped, wipe
from standage.registry.forgetting.erasing import Erasing
from standage.registry.records.bodies import MemberBody, TokenBody, VehicleBody
from standage.registry.records.kinds import MEMBERS, TOKENS, VEHICLES
from standage.registry.records.record import ANY_VERSION
from standage.shapes.refusals import Busy
from support.clubs import NOW, Club, new_club, renamed
from support.patience import PATIENCE_S

NAME, CONTACT = "Ottoline Fernsby-Quaile", "canary-2718@weir.example"
CANARIES = tuple(text.encode() for text in (NAME, NAME.casefold(), CONTACT))


def leave_traces(club: Club) -> str:
    """Put a member and what is theirs on record among many others, change and delete
    it; return the member's id.
    """
    member = club.make(MEMBERS, MemberBody(name=NAME, contact=CONTACT))
    for number in range(60):
        club.make(
            VEHICLES,
            VehicleBody(
                name=f"{NAME}'s van {number}",
                owner_id=member.id,
                notes=f"{CONTACT} " * 30,
            ),
        )
        club.make(VEHICLES, VehicleBody(name=f"Coal wagon {number}", notes="x" * 700))
        if number % 6 == 0:
            club.make(
                TOKENS,
                TokenBody(
                    label=f"{NAME} {number}", member_id=member.id, scopes=("read",)
                ),
            )
            with club.writing() as writing:
                writing.change(
                    MEMBERS,
                    club.permit,
                    member.id,
                    renamed(f"{NAME} {number}"),
                    if_match=ANY_VERSION,
                )
    return member.id


def erase(club: Club, member_id: str) -> None:
    with club.database.write() as connection:
        Erasing(connection, NOW + timedelta(hours=1)).erase_member(
            club.permit, member_id
        )


def files_of(database: Database) -> list[Path]:
    """Return the database's own files; of PostgreSQL all but its journal."""
    with database.read() as connection:
        if database.dialect == "sqlite":
            file = Path(
                str(
                    connection.exec_driver_sql(
                        "SELECT file FROM pragma_database_list"
                    ).scalar()
                )
            )
            return sorted(file.parent.glob(f"{file.name}*"))
        folder = Path(str(connection.exec_driver_sql("SHOW data_directory").scalar()))
        own = connection.exec_driver_sql(
            "SELECT oid FROM pg_database WHERE datname = current_database()"
        ).scalar()
    parts = (folder / "base" / str(own), folder / "global")
    return [
        path for part in parts for path in sorted(part.rglob("*")) if path.is_file()
    ]


def content_of(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except FileNotFoundError:  # the server's own business goes on
        return b""


def found_in_files(database: Database) -> set[str]:
    """Return the canaries that stand in the files, once all is written out to them."""
    if database.dialect == "postgresql":
        database.outside_transactions("CHECKPOINT")
    content = b"\n".join(map(content_of, files_of(database)))
    return {canary.decode() for canary in CANARIES if canary in content}


def when_wiped(database: Database) -> list[object]:
    with database.read() as connection:
        return list(connection.scalars(select(erasures.c.wiped_at)))


def test_no_byte_of_the_name_or_the_contact_is_left(
    database: Database, club: Club
) -> None:
    member_id = leave_traces(club)
    if database.dialect == "postgresql":
        database.outside_transactions("ANALYZE")
    assert found_in_files(database) == {NAME, NAME.casefold(), CONTACT}
    erase(club, member_id)
    assert (is_to_be_wiped(database), when_wiped(database)) == (True, [None])
    assert found_in_files(database) != set()
    wipe(database, NOW + timedelta(hours=2))
    assert found_in_files(database) == set()
    assert (is_to_be_wiped(database), when_wiped(database)) == (
        False,
        [NOW + timedelta(hours=2)],
    )


def test_the_file_of_sqlite_stays_whole_and_all_else_in_it(
    sqlite_database: Database,
) -> None:
    club = new_club(sqlite_database)
    member_id = leave_traces(club)
    erase(club, member_id)
    wipe(sqlite_database, NOW)
    with sqlite_database.read() as connection:
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    assert club.make_sample(VEHICLES).version == 1


def test_sqlite_is_not_wiped_while_somebody_reads_and_says_so(
    sqlite_database: Database,
) -> None:
    club = new_club(sqlite_database)
    erase(club, leave_traces(club))
    began, end = Event(), Event()

    def read_on() -> None:
        with sqlite_database.read() as connection:
            connection.execute(select(erasures)).all()
            began.set()
            end.wait(PATIENCE_S)

    reader = Thread(target=read_on)
    reader.start()
    assert began.wait(PATIENCE_S)
    sqlite_database.outside_transactions("PRAGMA busy_timeout = 50")
    with pytest.raises(Busy):
        wipe(sqlite_database, NOW)
    assert is_to_be_wiped(sqlite_database)
    end.set()
    reader.join()
    wipe(sqlite_database, NOW)
    assert found_in_files(sqlite_database) == set()
