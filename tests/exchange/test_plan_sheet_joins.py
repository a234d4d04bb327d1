"""What the ends of pieces join, as builders write it: once or twice, with the end or
the piece alone.
"""

import pytest

from standage.exchange.cells import Row, Sheet
from standage.exchange.plans.plan_in import PlanRead, plan_in
from standage.exchange.rows import RowFault
from standage.railway.track.plans.plan import Plan

HEADS = ("Piece", "Kind", "Length", "End 1 joins", "End 2 joins", "End 3 joins")
POINTS = (
    *("Piece", "Kind", "Length", "Toe", "Through", "Branch"),
    *("Toe joins", "Through joins", "Branch joins", "End 1 joins"),
)


def read(*rows: Row) -> PlanRead:
    return plan_in(Sheet(format="csv", rows=rows), onto=Plan())


def faults(found: PlanRead) -> dict[tuple[int, str | None], RowFault]:
    return {(row.row, fault.field): fault for row in found.rows for fault in row.faults}


def joined(found: PlanRead) -> set[frozenset[str]]:
    assert faults(found) == {}
    return {frozenset(join) for join in found.plan.joins}


def test_a_join_told_on_both_rows_is_one_join() -> None:
    found = read(
        HEADS,
        ("A", "straight", "1", "", "B.a", ""),
        ("B", "straight", "1", "A.b", "", ""),
    )
    assert found.plan.joins == (("A.b", "B.a"),)


@pytest.mark.parametrize(
    "written", ["B.a", "B.A", " b.a ", "B a", "b A", '"B".a', "B. a"]
)
def test_an_end_is_known_however_it_is_written(written: str) -> None:
    found = read(
        HEADS,
        ("A", "straight", "1", "", written, ""),
        ("B", "straight", "1", "", "", ""),
    )
    assert joined(found) == {frozenset({"A.b", "B.a"})}


def test_a_piece_alone_is_enough_where_it_has_one_end() -> None:
    found = read(
        HEADS,
        ("A", "straight", "1", "Stop", "", ""),
        ("Stop", "buffers", "", "", "", ""),
    )
    assert joined(found) == {frozenset({"A.a", "Stop.a"})}


def test_a_piece_alone_is_enough_where_it_names_the_other_back() -> None:
    found = read(
        HEADS,
        ("A", "straight", "1", "", "B", ""),
        ("B", "straight", "1", "A", "C", ""),
        ("C", "straight", "1", "B", "", ""),
    )
    assert joined(found) == {frozenset({"A.b", "B.a"}), frozenset({"B.b", "C.a"})}


def test_a_piece_alone_is_enough_where_one_of_its_ends_is_left() -> None:
    found = read(
        HEADS,
        ("A", "straight", "1", "", "B", ""),
        ("B", "straight", "1", "", "C.a", ""),
        ("C", "straight", "1", "", "D", ""),
        ("D", "straight", "1", "E.b", "", ""),
        ("E", "straight", "1", "", "", ""),
    )
    assert joined(found) == {
        frozenset({"A.b", "B.a"}),
        frozenset({"B.b", "C.a"}),
        frozenset({"C.b", "D.b"}),
        frozenset({"D.a", "E.b"}),
    }


def test_a_piece_alone_that_has_several_ends_free_is_a_fault_that_lists_them() -> None:
    found = read(
        HEADS,
        ("A", "straight", "1", "", "B", ""),
        ("B", "straight", "1", "", "", ""),
    )
    told = faults(found)
    fault = told[2, "end_2"]
    assert fault.message == (
        "names B alone, and which of its ends is meant is not clear"
    )
    assert fault.mend == "write B.a or B.b"
    assert found.plan.joins == ()


def test_columns_may_be_headed_by_the_ends_names() -> None:
    found = read(
        POINTS,
        ("P", "points", "", "30", "200", "200", "A", "B", "C", ""),
        ("A", "straight", "1", "", "", "", "", "", "", ""),
        ("B", "straight", "1", "", "", "", "", "", "", "P.through"),
        ("C", "buffers", "", "", "", "", "", "", "", ""),
    )
    assert (2, "end.toe") in faults(found)
    assert {frozenset(join) for join in found.plan.joins} == {
        frozenset({"P.through", "B.a"}),
        frozenset({"P.branch", "C.a"}),
    }


def test_a_column_of_an_end_that_the_piece_has_not_is_a_fault() -> None:
    found = read(
        POINTS,
        ("A", "straight", "1", "", "", "", "", "", "B.a", ""),
        ("B", "straight", "1", "", "", "", "", "", "", ""),
    )
    fault = faults(found)[2, "end.branch"]
    assert fault.message == "is no end of this piece; it has a and b"


def test_rows_that_contradict_each_other_are_told_at_the_later_one() -> None:
    found = read(
        HEADS,
        ("A", "straight", "1", "", "B.a", ""),
        ("B", "straight", "1", "C.b", "", ""),
        ("C", "straight", "1", "", "", ""),
    )
    ((place, fault),) = faults(found).items()
    assert place == (3, "end_1")
    assert fault.message == "B.a is joined twice: to A.b and to C.b"
    assert fault.letters == "D"


def test_a_name_that_no_row_has_is_told_with_what_is_near_it() -> None:
    found = read(
        HEADS,
        ("Loop 1", "straight", "1", "", "Loop 3.a", ""),
        ("Loop 2", "straight", "1", "Lop", "", ""),
    )
    told = faults(found)
    assert told[2, "end_2"].code == "unknown_piece"
    assert told[3, "end_1"].message == "is the name of no piece of this sheet"


@pytest.mark.parametrize("nothing", ["", "-", "open", "none", "?"])
def test_an_end_that_joins_nothing_is_an_open_end(nothing: str) -> None:
    found = read(HEADS, ("A", "straight", "1", nothing, "", ""))
    assert joined(found) == set()


def test_a_deck_tells_its_roads_in_one_column() -> None:
    found = read(
        ("Piece", "Kind", "Deck", "Roads", "Length", "Joins"),
        ("T", "turntable", "300", "0; 15; 30; 45; 180", "", "r5: E.a; r1: S.b"),
        ("E", "straight", "", "", "100", ""),
        ("S", "straight", "", "", "100", "b: T.r1"),
    )
    assert joined(found) == {frozenset({"T.r5", "E.a"}), frozenset({"T.r1", "S.b"})}


def test_the_order_of_joins_follows_its_column() -> None:
    found = read(
        (*HEADS, "Join order"),
        ("A", "straight", "1", "", "B.a", "", "2"),
        ("B", "straight", "1", "A.b", "C.a", "", ".; -1"),
        ("C", "straight", "1", "", "D.a", "", ""),
        ("D", "straight", "1", "", "", "", ""),
    )
    assert found.plan.joins == (("C.a", "B.b"), ("A.b", "B.a"), ("C.b", "D.a"))


def test_an_order_that_does_not_fit_its_row_is_a_fault() -> None:
    found = read(
        (*HEADS, "Join order"),
        ("A", "straight", "1", "", "B.a", "", "2; 3"),
        ("B", "straight", "1", "", "", "", ""),
    )
    assert faults(found)[2, "join_order"].code == "wrong_order"
    assert found.plan.joins == (("A.b", "B.a"),)


def test_pieces_at_fault_are_told_once_and_not_again_by_what_joins_them() -> None:
    found = read(
        HEADS,
        ("A", "straight", "long", "", "B.a", ""),
        ("B", "straight", "1", "A.b", "", ""),
    )
    assert list(faults(found)) == [(2, "length_mm")]
    assert found.plan.joins == ()


def test_places_lie_on_the_pieces_of_their_rows() -> None:
    found = read(
        ("Piece", "Kind", "Length", "Place", "Place kind"),
        ("A", "track", "1", "Coal road", "spur"),
        ("B", "track", "1", "Coal road", ""),
        ("C", "track", "1", "", ""),
    )
    (place,) = found.plan.places
    assert (place.name, place.kind, place.on) == ("Coal road", "siding", ("A", "B"))
    (told,) = found.places
    assert (told.name, told.kind, told.pieces) == (place.name, place.kind, place.on)
    assert told.row == 2
