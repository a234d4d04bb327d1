"""Sheets of track as builders write them: headings, lengths, and every fault by row."""

from collections.abc import Callable
from functools import partial
from typing import get_args

import msgspec
import pytest

from standage.exchange.cells import Row, Sheet
from standage.exchange.csv_in import read_csv
from standage.exchange.plans import templates
from standage.exchange.plans.fields import FIELDS
from standage.exchange.plans.plan_in import PlanRead, lists_track, plan_in
from standage.exchange.rows import RowFault
from standage.exchange.sheets_out import csv_bytes, xlsx_bytes
from standage.exchange.workbooks_in import read_ods, read_sheet, read_xlsx
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.pieces.plain_pieces import Curve, Flexible, Straight
from standage.railway.track.plans.plan import HeightPoint, Plan
from standage.shapes.faults import Faulty
from support.hostile import hostile
from support.walks import at_each
from support.workbooks import ods

READERS: dict[str, Callable[[bytes], Sheet]] = {
    "csv": read_csv,
    "xlsx": partial(read_xlsx, is_list=lists_track),
    "ods": partial(read_ods, is_list=lists_track),
}
HEADS = ("Piece", "Kind", "Hand", "Length (mm)", "Radius", "Angle", "End 1 joins")


def read(*rows: Row, onto: Plan | None = None) -> PlanRead:
    sheet = Sheet(format="csv", rows=rows)
    return plan_in(sheet, onto=Plan() if onto is None else onto)


def faults(found: PlanRead) -> dict[tuple[int, str | None], RowFault]:
    return {(row.row, fault.field): fault for row in found.rows for fault in row.faults}


def test_every_figure_of_every_kind_of_piece_has_a_column() -> None:
    figures = {
        field
        for kind in get_args(AnyPiece)
        for field in kind.__struct_fields__
        if field != "segments"
    }
    assert figures <= {field.name for field in FIELDS.every if field.path}


def test_no_two_columns_have_one_title() -> None:
    titles = [field.title for field in FIELDS.every]
    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize(
    ("head", "cell", "length_mm"),
    [
        ("Length (mm)", "610", 610.0),
        ("Length", '12"', 304.8),
        ("Length", "12 in", 304.8),
        ("Length (cm)", "30", 300.0),
        ("Track length (cm)", "30,5", 305.0),
        ("Length", "1.2 m", 1200.0),
        ("Len (ft)", "2", 609.6),
        ("Length", "2' 6\"", 762.0),
        ("Length", 88.9, 88.9),
        ("Lenght", "0.1234567890123", 0.1234567890123),
    ],
)
def test_a_length_is_read_as_people_write_it(
    head: str, cell: str | float, length_mm: float
) -> None:
    found = read(("Piece", "Kind", head), ("S1", "straight", cell))
    assert faults(found) == {}
    assert found.plan.pieces == {"S1": Straight(length_mm=length_mm)}


@pytest.mark.parametrize(
    ("head", "cell", "radius_mm"),
    [
        ("Radius (mm)", "438", 438.0),
        ("Rad.", '24"', 609.6),
        ("Curve radius (cm)", "43.8", 438.0),
        ("Radius", "36 in dia", 457.2),
    ],
)
def test_a_radius_is_read_as_people_write_it(
    head: str, cell: str, radius_mm: float
) -> None:
    found = read(
        ("Name of piece", "Type", "Side", head, "Turn (degrees)"),
        ("C1", "Bend", "LH", cell, "22.5°"),
    )
    assert faults(found) == {}
    curve = Curve(radius_mm=radius_mm, angle_deg=22.5, hand="left")
    assert found.plan.pieces == {"C1": curve}


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("Turnout", "points"),
        ("buffers", "buffer_stop"),
        ("Flex track", "flexible"),
        ("transfer table", "traverser"),
        ("Wye", "y_points"),
        ("easement", "transition"),
        ("3-way points", "three_way"),
    ],
)
def test_a_kind_is_known_by_the_words_of_the_trade(word: str, kind: str) -> None:
    found = read(("Piece", "Kind"), ("A", word))
    assert found.rows[0].kind == kind


def test_every_fault_is_told_by_row_and_column_with_how_to_mend_it() -> None:
    found = read(
        HEADS,
        ("S1", "straight", "", "long", "", "", ""),
        ("", "straight", "", "100", "", "", ""),
        ("S3", "thing", "", "100", "", "", ""),
        ("S.4", "straight", "", "100", "", "", ""),
        ("C5", "curve", "left", "", "", "45", ""),
        ("S6", "straight", "", "100", "438", "", ""),
        ("B7", "buffer stop", "", "", "", "", "S9.a"),
        ("S8", "straight", "", "-5", "", "", ""),
    )
    told = faults(found)
    assert {place: fault.code for place, fault in told.items()} == {
        (2, "length_mm"): "not_a_length",
        (3, "piece"): "missing",
        (4, "kind"): "not_a_choice",
        (5, "piece"): "bad_characters",
        (6, "radius_mm"): "missing",
        (7, "radius_mm"): "not_of_kind",
        (8, "end_1"): "unknown_piece",
        (9, "length_mm"): "too_small",
    }
    assert all(fault.mend and fault.message for fault in told.values())
    assert told[2, "length_mm"].letters == "D"
    assert told[2, "length_mm"].header == "Length (mm)"
    assert told[2, "length_mm"].value == "long"
    assert told[7, "radius_mm"].message == "is no figure of a piece that is straight"
    assert list(found.plan.pieces) == ["B7"]


def test_two_pieces_of_one_name_are_both_held_back() -> None:
    found = read(
        ("Piece", "Kind", "Length"), ("A", "straight", "1"), ("A", "straight", "2")
    )
    assert [fault.code for fault in faults(found).values()] == ["twice_in_the_file"] * 2
    assert found.plan.pieces == {}


def test_a_row_that_says_no_kind_and_looks_like_a_total_is_no_piece() -> None:
    found = read(
        ("Piece", "Kind", "Length"),
        ("A", "straight", "1"),
        ("Total", "straight", "2"),
        ("Total", "", "3"),
    )
    assert list(found.plan.pieces) == ["A", "Total"]
    assert [fault.code for fault in faults(found).values()] == ["totals"]


def test_what_is_beyond_a_sheet_stays_as_the_draft_has_it() -> None:
    bend = Curve(radius_mm=600.0, angle_deg=20.0, hand="left")
    draft = Plan(
        scale="00",
        pieces={"F": Flexible(segments=(bend,)), "Gone": Straight(length_mm=1.0)},
        heights=(HeightPoint(piece="F", at_mm=0.0, height_mm=50.0),),
        joins=(("F.b", "Gone.a"),),
    )
    found = read(
        ("Piece", "Kind", "Length", "End 2 joins"),
        ("F", "flexible", "", "S.a"),
        ("S", "straight", "80", ""),
        onto=draft,
    )
    assert faults(found) == {}
    assert found.plan == msgspec.structs.replace(
        draft,
        pieces={"F": Flexible(segments=(bend,)), "S": Straight(length_mm=80.0)},
        joins=(("F.b", "S.a"),),
    )


def test_flexible_track_that_a_sheet_alone_cannot_bend_says_so() -> None:
    found = read(("Piece", "Kind", "Fitted"), ("F", "flex", ""))
    (fault,) = faults(found).values()
    assert fault.message == "a sheet cannot say how flexible track is bent"


@pytest.mark.parametrize("form", ["csv", "xlsx", "ods"])
def test_the_same_plan_comes_of_every_sort_of_file(form: str) -> None:
    rows = templates.laid_out()
    raw = {
        "csv": csv_bytes(rows),
        "xlsx": xlsx_bytes(rows, sheet="Track"),
        "ods": ods(rows),
    }[form]
    found = plan_in(read_sheet(raw, lists_track), onto=Plan())
    assert faults(found) == {}
    assert len(found.plan.pieces) == 10


def test_of_a_workbook_the_sheet_of_track_is_taken() -> None:
    raw = xlsx_bytes(
        [["Remarks"], ["Our plan of May"]],
        sheet="Notes",
        beside={"Plan": templates.measured()},
    )
    found = plan_in(read_sheet(raw, lists_track), onto=Plan())
    assert len(found.plan.pieces) == 10


@at_each("what", lambda: sorted(hostile()))
def test_what_is_meant_to_do_harm_is_refused_with_the_reason(what: str) -> None:
    form, raw, code = hostile()[what]
    with pytest.raises(Faulty) as refused:
        plan_in(READERS[form](raw), onto=Plan())
    assert refused.value.faults[0].code == code
