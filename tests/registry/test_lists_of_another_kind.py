"""The machinery of imports knows no kind of record: a list of types of coupling goes
through it from its headings to its undoing.
"""

import pickle

import msgspec
import pytest

from standage.exchange.headings import SheetColumn, SheetMapping
from standage.importing import preview
from standage.importing.preview import Case
from standage.importing.taking import Rejects, commit, head_of, rejected, undo
from standage.registry.database.migrate import downgrade, migrate
from standage.registry.records.bodies import CouplingTypeBody
from standage.registry.records.kinds import COUPLING_TYPES, MEMBERS
from standage.registry.records.reading import live, record_from
from standage.registry.writing import list_imports
from standage.registry.writing.list_imports import Asked, KeptImport, Sort
from standage.shapes.refusals import Absent, Forbidden, Outdated
from support.clubs import NOW, Club
from support.coupling_lists import COUPLING_LIST

LIST = """\
Our couplings,,
Called,Pulled out (in),Turns
Long hook,1/4,12
Short hook,,9°
Loop,much,7
"""
STOCK = Sort(kind="vehicles", called="stock import")


def previewed(
    club: Club, text: str = LIST, mapping: SheetMapping | None = None
) -> KeptImport:
    with club.reading() as reading:
        case = Case(about=None, raw=text.encode(), mapping=mapping)
        listed = preview.read(COUPLING_LIST, case)
        listed = COUPLING_LIST.look_up(reading, club.permit, listed)
    # what goes between processes
    listed = pickle.loads(pickle.dumps(listed))  # noqa: S301 - made here
    looked = preview.reckon(COUPLING_LIST, listed)
    with club.writing() as writing:
        return list_imports.keep(writing, club.permit, COUPLING_LIST.sort, looked)


def couplings(club: Club) -> dict[str, CouplingTypeBody]:
    with club.reading() as reading:
        rows = reading.connection.execute(live(COUPLING_TYPES, club.club_id))
        bodies = [record_from(COUPLING_TYPES, row).body for row in rows]
    known = [body for body in bodies if isinstance(body, CouplingTypeBody)]
    return {body.name: body for body in known}


def test_its_headings_are_known_by_its_own_words_and_units(club: Club) -> None:
    head = head_of(COUPLING_LIST, previewed(club))
    assert head.mapping == SheetMapping(
        header_row=2,
        columns=(
            SheetColumn(column=1, field="name"),
            SheetColumn(column=2, field="reach_mm", unit="in"),
            SheetColumn(column=3, field="swing_deg"),
        ),
    )
    assert (head.counts.create, head.counts.fault) == (2, 1)


def test_its_good_rows_become_records_and_the_others_a_file_to_mend(club: Club) -> None:
    kept = previewed(club)
    with club.writing() as writing:
        done = commit(COUPLING_LIST, writing, club.permit, kept.id, "good")
    assert done.state == "committed"
    assert couplings(club) == {
        "Long hook": CouplingTypeBody(name="Long hook", reach_mm=6.35, swing_deg=12),
        "Short hook": CouplingTypeBody(name="Short hook", swing_deg=9),
    }
    with club.reading() as reading:
        rejects = Rejects(
            sheet=list_imports.sheet_of(reading, done),
            header_row=head_of(COUPLING_LIST, done).mapping.header_row,
            rows=tuple(list_imports.rows_of(reading, done, outcomes=("fault",))),
        )
    titles, loop = rejected(rejects)
    assert titles[:3] == ["Called", "Pulled out (in)", "Turns"]
    assert loop[:3] == ["Loop", "much", "7"]
    assert str(loop[3]).startswith("Pulled out (in) “much”: ")


def test_sent_again_it_changes_what_differs_and_undone_that_is_as_it_was(
    club: Club,
) -> None:
    first = previewed(club)
    with club.writing() as writing:
        commit(COUPLING_LIST, writing, club.permit, first.id, "good")
    before = couplings(club)
    again = previewed(club, "Coupling,Reach\nshort HOOK,3\nLong hook,0.25 in\n")
    counts = head_of(COUPLING_LIST, again).counts
    assert (counts.update, counts.unchanged) == (1, 1)
    with club.writing() as writing:
        commit(COUPLING_LIST, writing, club.permit, again.id, "all")
    assert couplings(club)["short HOOK"].reach_mm == 3
    with club.writing() as writing:
        undo(COUPLING_LIST, writing, club.permit, again.id)
    assert couplings(club) == before


def test_two_rows_of_one_thing_are_both_held_back(club: Club) -> None:
    kept = previewed(club, "Coupling,Reach\nLoop,3\nLOOP,4\n")
    with club.reading() as reading:
        rows = list_imports.rows_of(reading, kept)
    assert [row.outcome for row in rows] == ["fault", "fault"]
    assert "stands in row 3 too" in rows[0].content


def test_what_changed_since_the_preview_refuses_it_in_its_own_words(club: Club) -> None:
    kept = previewed(club)
    club.make(COUPLING_TYPES, CouplingTypeBody(name="Loop", reach_mm=4.0))
    with club.writing() as writing, pytest.raises(Outdated) as refused:
        commit(COUPLING_LIST, writing, club.permit, kept.id, "good")
    assert "what is known of couplings has changed since" in str(refused.value)


def test_lists_of_one_kind_are_not_found_among_those_of_another(club: Club) -> None:
    kept = previewed(club)
    asked = Asked(limit=10)
    with club.reading() as reading:
        found = [
            list_imports.listed(reading, club.permit, sort, asked, now=NOW)
            for sort in (COUPLING_LIST.sort, STOCK)
        ]
        assert [[one.id for one in some] for some in found] == [[kept.id], []]
        with pytest.raises(Absent) as refused:
            list_imports.find(reading, club.permit, kept.id, STOCK, now=NOW)
    assert "there is no such stock import" in str(refused.value)


def test_a_list_is_whose_it_is_whatever_its_kind(club: Club) -> None:
    kept = previewed(club)
    other = club.member_permit(club.make_sample(MEMBERS, "Ash"))
    with club.reading() as reading, pytest.raises(Forbidden) as refused:
        list_imports.find(reading, other, kept.id, COUPLING_LIST.sort, now=NOW)
    assert "this list of couplings is not yours" in str(refused.value)


def test_going_down_takes_lists_of_other_kinds_along(club: Club) -> None:
    coupling_list = previewed(club)
    told = msgspec.json.encode({"seen": ""}).decode()
    looked = list_imports.Looked(head=told, sheet=b"", wanted=b"", rows=())
    with club.writing() as writing:
        stock = list_imports.keep(writing, club.permit, STOCK, looked)
    downgrade(club.database, "0010")
    migrate(club.database)
    with club.reading() as reading:
        list_imports.find(reading, club.permit, stock.id, STOCK, now=NOW)
        with pytest.raises(Absent):
            list_imports.find(
                reading, club.permit, coupling_list.id, COUPLING_LIST.sort, now=NOW
            )
