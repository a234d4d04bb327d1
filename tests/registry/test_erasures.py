"""The list of erasures: written to the disk before anybody is erased, read whole, and
gone through after a restore.
"""

from datetime import timedelta
from pathlib import Path

import pytest

from standage.registry.database.engine import Database, open_database
from standage.registry.database.wiping import is_to_be_wiped
from standage.registry.forgetting.erasing import FORMER, NAMELESS_STEWARD, Erasing
from standage.registry.forgetting.erasures import Erasure, append, read, replay
from standage.registry.moving.backup import back_up
from standage.registry.moving.restore import restore
from standage.registry.records.bodies import MemberBody, TokenBody
from standage.registry.records.kinds import MEMBERS, TOKENS
from standage.registry.records.reading import Reading
from standage.shapes.refusals import Unready
from support.clubs import NOW, Club, new_club
from support.databases import contents

ONE = Erasure(club_id="club-1", member_id="member-1", at=NOW)
OTHER = Erasure(club_id="club-1", member_id="member-2", at=NOW + timedelta(days=1))


def test_what_is_put_down_is_read_in_order(tmp_path: Path) -> None:
    file = tmp_path / "club.erasures"
    assert read(file) == []
    for erasure in (ONE, OTHER, ONE):
        append(file, erasure)
    assert read(file) == [ONE, OTHER, ONE]
    assert file.stat().st_mode & 0o077 == 0


def test_a_line_that_a_power_cut_tore_hides_no_other(tmp_path: Path) -> None:
    file = tmp_path / "club.erasures"
    append(file, ONE)
    whole = file.read_bytes()
    file.write_bytes(whole + whole[:20])
    assert read(file) == [ONE]
    append(file, OTHER)
    assert read(file) == [ONE, OTHER]


def test_a_list_that_cannot_be_kept_is_said_so(tmp_path: Path) -> None:
    with pytest.raises(Unready, match="STANDAGE_ERASURES_FILE"):
        append(None, ONE)
    with pytest.raises(Unready, match="nobody was erased"):
        append(tmp_path / "missing" / "club.erasures", ONE)
    assert read(None) == []


def test_the_list_lies_beside_a_sqlite_file_unless_told_otherwise(
    tmp_path: Path,
) -> None:
    url = f"sqlite:///{tmp_path / 'club.sqlite3'}"
    assert open_database(url).erasures_file == tmp_path / "club.sqlite3.erasures"
    assert (
        open_database(url, erasures_file=str(tmp_path / "list")).erasures_file
        == tmp_path / "list"
    )
    elsewhere = "postgresql+psycopg://nobody@127.0.0.1:1/nothing"
    assert open_database(elsewhere).erasures_file is None
    assert (
        open_database(elsewhere, erasures_file=str(tmp_path / "list")).erasures_file
        == tmp_path / "list"
    )


def test_who_is_on_the_list_is_erased_again_and_nobody_else(
    database: Database, club: Club
) -> None:
    members = [
        club.make(MEMBERS, MemberBody(name=name, contact="the weir"))
        for name in ("Kit Marsh", "Hazel Marsh")
    ]
    for member in members:
        club.make(
            TOKENS,
            TokenBody(
                label=f"{member.id} laptop", member_id=member.id, scopes=("read",)
            ),
        )
    gone = members[0]
    entries = [Erasure(club_id=club.club_id, member_id=gone.id, at=NOW)] * 2
    elsewhere = Erasure(
        club_id=new_club(database, "Millpond Society").club_id,
        member_id=members[1].id,
        at=NOW,
    )
    with database.write() as connection:
        assert (
            replay(
                Erasing(connection, NOW + timedelta(days=1)), [*entries, elsewhere, ONE]
            )
            == 1
        )
    with club.reading() as reading:
        assert reading.get(MEMBERS, club.club_id, gone.id).body == FORMER
        assert reading.get(MEMBERS, club.club_id, members[1].id) == members[1]
        left = [one.body for one in reading.page(TOKENS, club.club_id)]
        assert [one.member_id for one in left if isinstance(one, TokenBody)].count(
            gone.id
        ) == 0
        rows = reading.changes(MEMBERS, club.club_id, gone.id)
    assert [row.action for row in rows] == ["create", "erase"]
    assert "Kit Marsh" not in "".join(f"{row.before}{row.after}" for row in rows)


def test_the_last_steward_whom_a_backup_brought_back_stays_one_without_a_name(
    club: Club,
) -> None:
    with club.database.write() as connection:
        entry = Erasure(club_id=club.club_id, member_id=club.steward_id, at=NOW)
        assert replay(Erasing(connection, NOW), [entry]) == 1
    with club.reading() as reading:
        assert (
            reading.get(MEMBERS, club.club_id, club.steward_id).body == NAMELESS_STEWARD
        )
    assert (NAMELESS_STEWARD.name, NAMELESS_STEWARD.contact) == ("Former member", None)


def test_whoever_was_erased_after_a_backup_does_not_come_back_with_it(
    database: Database, club: Club, tmp_path: Path
) -> None:
    member = club.make(MEMBERS, MemberBody(name="Kit Marsh", contact="the weir"))
    backup = back_up(database, tmp_path / "club.backup", NOW).path
    with database.write() as connection:
        Erasing(connection, NOW).erase_member(club.permit, member.id)
        append(
            database.erasures_file,
            Erasure(club_id=club.club_id, member_id=member.id, at=NOW),
        )
    old = open_database(database.url, erasures_file=str(database.erasures_file))
    database.dispose()
    later = NOW + timedelta(days=2)
    restored = restore(old, backup, later, keep_present_in=tmp_path / "present.backup")
    assert (
        restored.erased_again,
        [way_in.member_id for way_in in restored.ways_in],
    ) == (1, [club.steward_id])
    with old.read() as connection:
        assert Reading(connection).get(MEMBERS, club.club_id, member.id).body == FORMER
        assert is_to_be_wiped(old)
    assert "Kit Marsh" not in str(contents(old))
    old.dispose()
