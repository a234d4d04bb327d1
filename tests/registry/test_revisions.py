"""Revisions: numbered, never changed, and gone only with their record."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from threading import Barrier, Thread
from typing import Any

import msgspec
import pytest
from sqlalchemy import func, select

from standage.exchange.json_parts import parts
from standage.registry.database.engine import Database
from standage.registry.database.migrate import downgrade, migrate
from standage.registry.database.tables import history, revisions
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.purging import purge
from standage.registry.moving.backup import back_up
from standage.registry.moving.club_arrival import arrive
from standage.registry.moving.club_document import written
from standage.registry.moving.restore import restore
from standage.registry.records.bodies import LayoutBody, MemberBody, VehicleBody
from standage.registry.records.kind import Kind
from standage.registry.records.kinds import KINDS, LAYOUTS, MEMBERS, VEHICLES, YARDS
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import ANY_VERSION, Permit, Record
from standage.registry.records.revisions import (
    Revision,
    Saved,
    page_of_revisions,
    position_of_revision,
    revision_of,
)
from standage.registry.writing import revising
from standage.registry.writing.revising import save_revision
from standage.registry.writing.undoing import Undoing
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Absent, Forbidden
from support.clubs import DAY, NOW, Club, new_club
from support.databases import statements
from support.drawings import (
    DRAWINGS,
    MEGABYTE,
    DrawingBody,
    DrawingSummary,
    revised,
    with_drawings,
)

LATER = NOW + timedelta(hours=1)
NAME = "Quillfeather"


@pytest.fixture
def drawings(database: Database) -> Iterator[Kind[Any]]:
    with with_drawings(database) as kind:
        yield kind


@pytest.fixture
def drawing(drawings: Kind[Any], club: Club) -> Record:
    layout = club.make(LAYOUTS, LayoutBody(name="Quay"))
    return club.make(drawings, DrawingBody(name="Plan"), parent_id=layout.id)


def lines(*wanted: str) -> Callable[[Record], msgspec.Struct]:
    return lambda record: msgspec.structs.replace(record.body, lines=wanted)


def drawn(club: Club, record: Record, *wanted: str) -> Record:
    with club.writing() as writing:
        return writing.change(
            DRAWINGS, club.permit, record.id, lines(*wanted), if_match=ANY_VERSION
        )


def saved(
    club: Club,
    record: Record,
    remark: str = "",
    *,
    permit: Permit | None = None,
) -> Revision:
    kind, by = KINDS[record.kind], permit or club.permit
    with club.writing() as writing:
        draft = writing.hold_one(kind, by, record.id)
        return save_revision(writing, kind, by, draft, remark=remark)


def listed(club: Club, record: Record, **listing: Any) -> list[Saved]:
    with club.database.read() as connection:
        kind = KINDS[record.kind]
        return page_of_revisions(connection, kind, record, Listing(**listing))


def read(club: Club, record: Record, number: int) -> Revision:
    with club.reading() as reading:
        kind = KINDS[record.kind]
        there = reading.get(kind, club.club_id, record.id)
        return revision_of(reading.connection, kind, there, number)


def rows_of(database: Database) -> int:
    with database.read() as connection:
        return connection.scalar(select(func.count()).select_from(revisions)) or 0


def test_what_is_saved_is_the_draft_as_it_stood_numbered_from_one(
    club: Club, drawing: Record
) -> None:
    saved(club, drawing, "empty")
    drawn(club, drawing, "a")
    saved(club, drawing, "one line")
    drawn(club, drawing, "a", "b")
    assert [read(club, drawing, number).body for number in (1, 2)] == [
        DrawingBody(name="Plan"),
        DrawingBody(name="Plan", lines=("a",)),
    ]
    assert [
        (one.number, one.remark, one.version, one.at, one.author_id)
        for one in listed(club, drawing)
    ] == [
        (1, "empty", 1, NOW, club.steward_id),
        (2, "one line", 2, NOW, club.steward_id),
    ]


def test_saving_is_no_change_of_the_draft(club: Club, drawing: Record) -> None:
    before = rows_of(club.database)
    saved(club, drawing)
    with club.reading() as reading:
        there = reading.get(DRAWINGS, club.club_id, drawing.id)
        told = reading.changes(DRAWINGS, club.club_id, drawing.id)
    assert (there, there.etag) == (drawing, drawing.etag)
    assert [change.action for change in told] == ["create"]
    assert rows_of(club.database) == before + 1


def test_a_list_of_revisions_reads_summaries_and_no_bodies(
    club: Club, drawing: Record
) -> None:
    drawn(club, drawing, "a", "b")
    saved(club, drawing)
    with statements(club.database) as sent:
        (one,) = listed(club, drawing)
    assert one.summary == DrawingSummary(name="Plan", line_count=2)
    assert len(sent) == 1
    assert "revisions.body" not in sent[0]


@pytest.mark.parametrize("descending", [False, True])
def test_pages_of_revisions_join_up(
    club: Club, drawing: Record, *, descending: bool
) -> None:
    for _ in range(12):
        saved(club, drawing)
    found: list[int] = []
    after = None
    while page := listed(club, drawing, limit=5, after=after, descending=descending):
        found += [one.number for one in page]
        after = position_of_revision(drawing, page[-1])
    wanted = list(range(1, 13))
    assert found == (wanted[::-1] if descending else wanted)


@pytest.mark.parametrize("number", [0, -1, 2, 2**40])
def test_a_number_that_none_has_is_absent(
    club: Club, drawing: Record, number: int
) -> None:
    saved(club, drawing)
    with pytest.raises(Absent):
        read(club, drawing, number)


def test_two_who_save_at_once_get_two_numbers(club: Club, drawing: Record) -> None:
    start, found = Barrier(6), []

    def save() -> None:
        start.wait()
        found.append(saved(club, drawing).saved.number)

    threads = [Thread(target=save) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(found) == [1, 2, 3, 4, 5, 6]


def test_there_is_a_most(
    club: Club, drawing: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(revising, "MOST_REVISIONS", 2)
    saved(club, drawing)
    saved(club, drawing)
    with pytest.raises(Faulty) as refused:
        saved(club, drawing)
    assert [fault.code for fault in refused.value.faults] == ["too_many"]


def test_only_who_may_change_the_draft_may_save_it(
    club: Club, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(KINDS, VEHICLES.name, revised(VEHICLES))
    van = club.make(VEHICLES, VehicleBody(name="Van"))
    member = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    with pytest.raises(Forbidden):
        saved(club, van, permit=club.member_permit(member))
    assert rows_of(club.database) == 0


def test_revisions_go_and_come_back_with_their_record(
    club: Club, drawing: Record
) -> None:
    saved(club, drawing, "kept")
    with club.writing() as writing:
        writing.remove(
            LAYOUTS, club.permit, drawing.parent_id or "", if_match=ANY_VERSION
        )
    with pytest.raises(Absent):
        read(club, drawing, 1)
    with club.database.write() as connection:
        Undoing(connection, LATER).restore(
            club.permit.principal, drawing.parent_id or "", lambda *_: club.permit
        )
    assert read(club, drawing, 1).saved.remark == "kept"


def test_thirty_days_after_their_record_they_are_gone_for_good(
    club: Club, drawing: Record
) -> None:
    layout = club.make(LAYOUTS, LayoutBody(name="Mine"))
    other = club.make(DRAWINGS, DrawingBody(name="Plan"), parent_id=layout.id)
    saved(club, drawing)
    saved(club, other)
    with club.writing() as writing:
        writing.remove(DRAWINGS, club.permit, drawing.id, if_match=ANY_VERSION)
    with club.database.write() as connection:
        purge(Erasing(connection, NOW + 31 * DAY))
    assert rows_of(club.database) == 1
    assert read(club, other, 1).saved.number == 1


def test_undoing_a_change_of_the_draft_leaves_what_was_saved(
    club: Club, drawing: Record
) -> None:
    drawn(club, drawing, "a")
    saved(club, drawing)
    with club.reading() as reading:
        last = reading.changes(DRAWINGS, club.club_id, drawing.id)[-1]
    with club.database.write() as connection:
        Undoing(connection, LATER).undo_change(
            club.permit.principal, last.id, lambda *_: club.permit
        )
    with club.reading() as reading:
        draft = reading.get(DRAWINGS, club.club_id, drawing.id)
    assert draft.body == DrawingBody(name="Plan")
    assert read(club, drawing, 1).body == DrawingBody(name="Plan", lines=("a",))


def test_a_revision_is_brought_back_by_changing_the_draft(
    club: Club, drawing: Record
) -> None:
    saved(club, drawing)
    drawn(club, drawing, "a")
    with club.writing() as writing:
        old = revision_of(writing.connection, DRAWINGS, drawing, 1)
        back = writing.change(
            DRAWINGS, club.permit, drawing.id, lambda _: old.body, if_match=ANY_VERSION
        )
    assert (back.version, back.body) == (3, DrawingBody(name="Plan"))


def test_an_erased_members_words_leave_revisions_and_an_id_stays(
    club: Club, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(KINDS, VEHICLES.name, revised(VEHICLES))
    member = club.make(MEMBERS, MemberBody(name=NAME))
    own = club.member_permit(member)
    theirs = club.make(VEHICLES, VehicleBody(name=f"{NAME}'s van", owner_id=member.id))
    other = club.make(VEHICLES, VehicleBody(name="Club's van"))
    tag = saved(club, theirs, f"by {NAME}", permit=own).etag
    saved(club, other, "as it came")
    with database.write() as connection:
        Erasing(connection, LATER).erase_member(club.permit, member.id)
    struck, kept = read(club, theirs, 1), read(club, other, 1)
    assert (struck.saved.remark, struck.saved.author_id) == ("by *", member.id)
    assert getattr(struck.body, "name", None) == "*'s van"
    assert struck.etag != tag
    assert kept.saved.remark == "as it came"
    with database.read() as connection:
        assert NAME not in str(connection.execute(select(revisions)).all())


def test_a_restored_database_has_them_again(
    club: Club,
    database: Database,
    elsewhere: Database,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(KINDS, YARDS.name, revised(YARDS))
    yard = club.make_sample(YARDS)
    wanted = saved(club, yard, "before the show")
    database.dispose()
    restore(elsewhere, back_up(database, tmp_path / "backup", NOW).path, LATER)
    with elsewhere.read() as connection:
        there = Reading(connection).get(KINDS[YARDS.name], club.club_id, yard.id)
        assert revision_of(connection, KINDS[YARDS.name], there, 1) == wanted


def document_of(club: Club, *, member_id: str | None = None) -> bytes:
    with club.reading() as reading:
        return b"".join(written(reading, club.club_id, member_id=member_id))


def test_a_clubs_document_carries_them_both_ways(
    sqlite_database: Database,
    postgresql_database: Database,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(KINDS, YARDS.name, revised(YARDS))
    club = new_club(sqlite_database)
    yard = club.make_sample(YARDS)
    for remark in ("first", "second"):
        saved(club, yard, remark)
    document = document_of(club)
    arrive(postgresql_database, parts([document]), LATER)
    with postgresql_database.read() as connection:
        there = b"".join(written(Reading(connection), club.club_id))
    assert [one["remark"] for one in msgspec.json.decode(document)["revisions"]] == [
        "first",
        "second",
    ]
    assert (
        msgspec.json.decode(there)["revisions"]
        == msgspec.json.decode(document)["revisions"]
    )


def test_a_document_with_a_revision_of_nothing_in_it_is_unsound(
    sqlite_database: Database,
    postgresql_database: Database,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(KINDS, YARDS.name, revised(YARDS))
    club = new_club(sqlite_database)
    saved(club, club.make_sample(YARDS))
    document = msgspec.json.decode(document_of(club))
    document["revisions"][0]["record_id"] = club.steward_id
    with pytest.raises(Faulty):
        arrive(postgresql_database, parts([msgspec.json.encode(document)]), LATER)
    assert rows_of(postgresql_database) == 0


def test_a_members_own_document_has_what_they_saved_and_bodies_of_their_own_only(
    club: Club, monkeypatch: pytest.MonkeyPatch
) -> None:
    for kind in (VEHICLES, YARDS):
        monkeypatch.setitem(KINDS, kind.name, revised(kind))
    member = club.make(MEMBERS, MemberBody(name="Kit Marsh"))
    keeper = msgspec.structs.replace(club.member_permit(member), whose="club")
    saved(club, club.make_sample(YARDS), "a yard", permit=keeper)
    own = club.make(VEHICLES, VehicleBody(name="Van", owner_id=member.id))
    saved(club, own, "a van")
    saved(club, club.make_sample(VEHICLES), "another's")
    document = msgspec.json.decode(document_of(club, member_id=member.id))
    assert {one["remark"]: "body" in one for one in document["revisions"]} == {
        "a yard": False,
        "a van": True,
    }


def test_a_club_without_revisions_has_the_document_that_it_had(club: Club) -> None:
    assert list(msgspec.json.decode(document_of(club))) == [
        *("format", "version", "club_id", "records", "history")
    ]


def test_there_is_one_drawing_of_a_layout(club: Club, drawing: Record) -> None:
    with pytest.raises(Faulty) as refused:
        club.make(DRAWINGS, DrawingBody(name="Another"), parent_id=drawing.parent_id)
    assert [fault.code for fault in refused.value.faults] == ["already_there"]
    elsewhere = club.make(LAYOUTS, LayoutBody(name="Mine"))
    club.make(DRAWINGS, DrawingBody(name="Plan"), parent_id=elsewhere.id)


def test_a_list_shows_summaries_and_reads_no_bodies(
    club: Club, drawing: Record
) -> None:
    now = drawn(club, drawing, "a", "b", "c")
    with statements(club.database) as sent, club.reading() as reading:
        (one,) = reading.page(DRAWINGS, club.club_id)
    assert one == msgspec.structs.replace(
        now, body=DrawingSummary(name="Plan", line_count=3)
    )
    assert "drawings.body" not in sent[-1]


def test_the_whole_list_has_whole_bodies_however_many_pages_it_takes(
    club: Club, drawings: Kind[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("standage.registry.records.reading._PAGE", 2)
    bodies = [DrawingBody(name="Plan", lines=(str(number),)) for number in range(5)]
    for number, body in enumerate(bodies):
        layout = club.make(LAYOUTS, LayoutBody(name=f"Layout {number}"))
        club.make(drawings, body, parent_id=layout.id)
    with club.reading() as reading:
        found = reading.every(drawings, club.club_id)
    assert [one.body for one in found] == bodies


def test_a_big_body_is_kept_and_saved_whole(club: Club, drawing: Record) -> None:
    big = ("x" * (MEGABYTE - 100),)
    drawn(club, drawing, *big)
    saved(club, drawing)
    body = read(club, drawing, 1).body
    assert isinstance(body, DrawingBody)
    assert body.lines == big


def test_the_migration_goes_down_and_up_with_drafts_left_as_they_were(
    bare_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(KINDS, YARDS.name, revised(YARDS))
    migrate(bare_database)
    club = new_club(bare_database)
    yard = club.make_sample(YARDS)
    saved(club, yard)
    downgrade(bare_database, "0009")
    migrate(bare_database)
    with club.reading() as reading:
        assert reading.get(YARDS, club.club_id, yard.id) == yard
    assert rows_of(bare_database) == 0
    assert saved(club, yard).saved.number == 1


def test_nothing_of_a_revision_is_told_in_history(club: Club, drawing: Record) -> None:
    remark = "never in history"
    saved(club, drawing, remark)
    with club.database.read() as connection:
        assert remark not in str(connection.execute(select(history)).all())
