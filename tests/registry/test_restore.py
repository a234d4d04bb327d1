"""A restore brings back everything but the ways in, or changes nothing."""

import gzip
import time
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import msgspec
import pytest
from sqlalchemy import event, func, select

from standage.registry.database import tables
from standage.registry.database.engine import Database, open_database
from standage.registry.database.migrate import downgrade, migrate, state_of
from standage.registry.moving.backup import back_up
from standage.registry.moving.backup_file import BadBackup, check
from standage.registry.moving.restore import WayIn, restore
from standage.registry.people.credentials import issue_token, principal_for
from standage.registry.records import passphrases
from standage.registry.records.bodies import LayoutBody, MemberBody, TokenBody
from standage.registry.records.kinds import LAYOUTS, MEMBERS, TOKENS, TRAINS
from standage.registry.records.passphrases import Passphrase
from standage.registry.records.reading import Reading
from standage.registry.records.record import ANY_VERSION, Record
from standage.shapes.refusals import Busy
from support.clubs import NOW, Club, new_club
from support.databases import contents
from support.patience import PATIENCE_S

FORGOTTEN_TABLES = {
    "idempotency",
    "passphrases",
    "refused_changes",
    "sessions",
    "sign_in_attempts",
}
LATER = NOW + timedelta(days=3)


def test_everything_comes_back_on_either_database_but_the_ways_in(
    full_club: Club, file: Path, elsewhere: Database, tmp_path: Path
) -> None:
    before = contents(full_club.database)
    restored = restore(elsewhere, file, LATER)
    after = contents(elsewhere)
    ways_in = {"tokens", "invitations", "share_links"}
    for name in (
        set(before) - ways_in - FORGOTTEN_TABLES - {"history", "links", "clock"}
    ):
        assert after[name] == before[name], name
    assert before["history"] < after["history"]
    assert {row for row in before["links"] if row[0] not in ways_in} <= after["links"]
    assert restored.rows == {
        name: len(rows) for name, rows in before.items() if name not in FORGOTTEN_TABLES
    }
    assert state_of(elsewhere, thoroughly=True).ready
    added = sorted((row[2], row[5]) for row in after["history"] - before["history"])
    assert added == [
        ("invitations", "delete"),
        ("share-links", "delete"),
        ("tokens", "create"),
        ("tokens", "delete"),
        ("tokens", "delete"),
    ]
    only_one_gets_in(elsewhere, full_club, restored.ways_in)
    again = back_up(elsewhere, tmp_path / "again.backup", LATER)
    assert check(again.path) == again.rows
    assert again.rows["vehicles"] == restored.rows["vehicles"] == 10


def only_one_gets_in(database: Database, club: Club, ways_in: list[WayIn]) -> None:
    (way_in,) = ways_in
    assert (way_in.club_id, way_in.member_id) == (club.club_id, club.steward_id)
    with database.read() as connection:
        reading = Reading(connection)
        assert principal_for(reading, club.token, LATER) is None
        (token,) = reading.page(TOKENS, club.club_id)
        new = principal_for(reading, way_in.token, LATER)
        assert new is not None
        assert (new.role, sorted(new.scopes), new.token_id) == (
            "steward",
            ["read", "write"],
            token.id,
        )
        for table, left in (
            (tables.tokens, 1),
            (tables.invitations, 0),
            (tables.share_links, 0),
        ):
            secrets = connection.scalars(select(table.c.secret_sha256)).all()
            assert len([secret for secret in secrets if secret is not None]) == left, (
                table.name
            )
        for name in FORGOTTEN_TABLES:
            assert (
                connection.scalar(
                    select(func.count()).select_from(tables.metadata.tables[name])
                )
                == 0
            )


def test_each_of_several_clubs_has_its_own_way_in(
    database: Database, tmp_path: Path, other: Database
) -> None:
    clubs = {
        new_club(database, name).club_id
        for name in ("Harbour Bridge", "Upland Light", "Staithe Lane")
    }
    file = back_up(database, tmp_path / "three.backup", NOW).path
    assert {way_in.club_id for way_in in restore(other, file, LATER).ways_in} == clubs


def test_a_file_that_is_damaged_cut_short_or_of_a_newer_service_changes_nothing(
    full_club: Club, file: Path, other: Database
) -> None:
    """Every way in which a file can be wrong stands in test_backup_file.py."""
    whole = file.read_bytes()
    file.write_bytes(whole[:-30])
    refuses(other, file, "not a whole backup")
    text = gzip.decompress(whole)
    assert b"Harbour Bridge" in text
    file.write_bytes(gzip.compress(text.replace(b"Harbour Bridge", b"Harbour Bridle")))
    refuses(other, file, "not a whole backup")
    file.write_bytes(gzip.compress(text.replace(b'"revision":"', b'"revision":"9', 1)))
    refuses(other, file, r"made by a newer version of Standage .*revision 9")


def refuses(database: Database, file: Path, why: str) -> None:
    before = contents(database)
    database.dispose()
    with pytest.raises(BadBackup, match=why):
        restore(database, file, LATER)
    assert contents(database) == before


def test_a_backup_from_before_an_upgrade_is_restored_and_brought_up_to_date(
    bare_database: Database, other: Database, tmp_path: Path
) -> None:
    migrate(bare_database)
    club = new_club(bare_database)
    train = club.make_sample(TRAINS)
    downgrade(bare_database, "0001")
    file = back_up(bare_database, tmp_path / "older.backup", NOW).path
    restore(other, file, LATER)
    assert state_of(other, thoroughly=True).ready
    with other.read() as connection:
        assert Reading(connection).get(TRAINS, club.club_id, train.id) == train


def test_a_club_that_is_there_is_not_replaced_unasked(
    full_club: Club, file: Path
) -> None:
    refuses(full_club.database, file, "holds a club already, and nothing was changed")


def test_a_club_that_is_replaced_is_backed_up_first(
    full_club: Club, file: Path, tmp_path: Path
) -> None:
    database = full_club.database
    since = full_club.make(LAYOUTS, LayoutBody(name="Since the backup"))
    full_club.database.dispose()
    restore(database, file, LATER, keep_present_in=tmp_path / "old.backup")
    assert since.id not in str(contents(database)["layouts"])
    database.dispose()
    restore(
        database,
        tmp_path / "old.backup",
        LATER,
        keep_present_in=tmp_path / "older.backup",
    )
    with database.read() as connection:
        assert Reading(connection).get(LAYOUTS, full_club.club_id, since.id) == since


def with_passphrase(club: Club, name: str, *, hashed: str = "a hash") -> Record:
    """Return a new steward who signs in with a passphrase."""
    member = club.make(MEMBERS, MemberBody(name=name, role="steward"))
    kept = Passphrase(member.id, club.club_id, name.casefold(), hashed)
    with club.database.write() as connection:
        passphrases.keep(connection, kept, values={"changed_at": NOW})
    return member


def changed(club: Club, member: Record, **fields: Any) -> None:
    with club.writing(LATER) as writing:
        writing.change(
            MEMBERS,
            club.permit,
            member.id,
            lambda present: msgspec.structs.replace(present.body, **fields),
            if_match=ANY_VERSION,
        )


def test_what_was_taken_from_stewards_since_a_backup_is_not_given_back(
    club: Club, tmp_path: Path
) -> None:
    lowered, gone, kept = (with_passphrase(club, name) for name in ("Jo", "Kim", "Lee"))
    file = back_up(club.database, tmp_path / "club.backup", NOW).path
    changed(club, lowered, role="layout_keeper")
    with club.writing(LATER) as writing:
        writing.remove(MEMBERS, club.permit, gone.id, if_match=ANY_VERSION)
    club.database.dispose()
    restored = restore(
        club.database, file, LATER, keep_present_in=tmp_path / "old.backup"
    )
    assert restored.stewards == ["Lee", "Robin Vale"]
    assert restored.lowered == ["Jo", "Kim"]
    roles = {
        member.id: msgspec.structs.asdict(member.body)["role"]
        for member in members(club)
    }
    assert (roles[lowered.id], roles[gone.id], roles[kept.id]) == (
        "layout_keeper",
        "member",
        "steward",
    )


def test_no_passphrase_of_a_backup_opens_anything(
    club: Club, tmp_path: Path, elsewhere: Database
) -> None:
    with_passphrase(club, "Jo")
    file = back_up(club.database, tmp_path / "club.backup", NOW).path
    club.database.dispose()
    assert b"a hash" not in gzip.decompress(file.read_bytes())
    for database in (elsewhere, club.database):
        restore(
            database,
            file,
            LATER,
            keep_present_in=tmp_path / f"old-{database.dialect}.backup",
        )
        with database.read() as connection:
            assert passphrases.for_name(connection, club.club_id, "Jo") is None
        database.dispose()


def test_the_way_in_goes_to_who_was_a_steward_to_the_last(
    club: Club, tmp_path: Path
) -> None:
    last = with_passphrase(club, "Lee")
    file = back_up(club.database, tmp_path / "club.backup", NOW).path
    with club.writing(LATER) as writing:
        body = TokenBody(label="hall", member_id=last.id, scopes=("read", "write"))
        token, _ = issue_token(writing, club.permit, body)
        writing.change(
            MEMBERS, club.permit, club.steward_id, as_member, if_match=ANY_VERSION
        )
    assert token.kind == "tokens"
    club.database.dispose()
    restored = restore(
        club.database, file, LATER, keep_present_in=tmp_path / "old.backup"
    )
    assert [one.member_id for one in restored.ways_in] == [last.id]
    assert (restored.stewards, restored.lowered) == (["Lee"], ["Robin Vale"])


def as_member(present: Record) -> msgspec.Struct:
    return msgspec.structs.replace(present.body, role="member")


def members(club: Club) -> list[Record]:
    with club.reading() as reading:
        return reading.every(MEMBERS, club.club_id)


def test_nothing_is_replaced_where_it_cannot_be_backed_up(
    full_club: Club, file: Path
) -> None:
    before = contents(full_club.database)
    full_club.database.dispose()
    with pytest.raises(BadBackup, match="there is a file"):
        restore(full_club.database, file, LATER, keep_present_in=file)
    assert contents(full_club.database) == before


def test_a_restore_that_fails_on_the_way_changes_nothing(
    full_club: Club, file: Path, tmp_path: Path
) -> None:
    before = contents(full_club.database)
    full_club.database.dispose()

    def fail(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        if statement.startswith("INSERT INTO yards"):
            raise ZeroDivisionError

    engine_class = type(
        full_club.database._writing
    )  # the engine that a restore makes for itself is not to be had
    event.listen(engine_class, "before_cursor_execute", fail)
    try:
        with pytest.raises(ZeroDivisionError):
            restore(
                full_club.database, file, LATER, keep_present_in=tmp_path / "old.backup"
            )
    finally:
        event.remove(engine_class, "before_cursor_execute", fail)
    assert contents(full_club.database) == before


def test_a_database_that_somebody_has_open_is_not_restored_into(
    full_club: Club, file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("standage.registry.database.engine.WRITE_WAIT_S", 0.1)
    before = contents(full_club.database)
    full_club.database.dispose()
    somebody = open_database(full_club.database.url)
    with somebody.read() as connection:
        connection.execute(select(tables.clubs)).all()
    with pytest.raises(Busy, match="stop the service"):
        restore(
            full_club.database, file, LATER, keep_present_in=tmp_path / "old.backup"
        )
    somebody.dispose()
    assert contents(full_club.database) == before


def test_who_has_just_gone_is_waited_for(
    postgresql_database: Database,
    sqlite_database: Database,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of a server it is told a moment longer that somebody is connected. Here they go
    once they were seen.
    """
    new_club(sqlite_database)
    file = back_up(sqlite_database, tmp_path / "club.backup", LATER).path
    postgresql_database.dispose()
    somebody = open_database(postgresql_database.url)
    with somebody.read() as connection:
        connection.execute(select(tables.clubs)).all()

    def go(seconds: float) -> None:
        somebody.dispose()
        time.sleep(seconds)

    monkeypatch.setattr("standage.registry.database.engine.WRITE_WAIT_S", PATIENCE_S)
    monkeypatch.setattr(
        "standage.registry.database.engine.time",
        SimpleNamespace(monotonic=time.monotonic, sleep=go),
    )
    assert restore(postgresql_database, file, LATER).rows["clubs"] == 1
