"""What is answered to the question how high one track must lie above another."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standage.questions.headroom import HeadroomAnswer, HeadroomRequest, gather, reckon
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

Json = dict[str, Any]
LOW: Json = {"name": "Low wagon", "height_mm": 30}
TALL: Json = {"name": "Tall van", "height_mm": 37}
UNKNOWN: Json = {"name": "Tank"}


def ask(**asked: Any) -> HeadroomAnswer:
    request = convert({"rail_mm": 3.2, **asked}, HeadroomRequest)
    return reckon(gather(Sources(None, ""), request))


def test_a_stack_in_n_is_as_published() -> None:
    """6.0 + 4.0 + 3.2 + 37.0 = 50.2, shown as a stack: deck 6, bed 4, rail, stock."""
    answer = ask(deck_mm=10, stock_mm=37)
    assert (answer.verdict, answer.rail_to_rail_mm, answer.clear_mm) == (
        "found",
        50.2,
        37,
    )
    shown = [(one.layer, one.height_mm, one.from_mm) for one in answer.stack]
    assert shown == [("rail", 3.2, 47), ("deck", 10, 37), ("stock", 37, 0)]
    (summed,) = [one.message for one in answer.because if one.code == "stack"]
    assert summed == "rail 3.2 + deck 10 + stock 37 = 50.2 mm from rail to rail"


TENTHS = st.integers(0, 2000)


@settings(max_examples=60)
@given(
    rail=TENTHS,
    deck=TENTHS,
    stock=st.integers(1, 2000),
    wire=TENTHS,
    reserve=TENTHS,
    over=st.integers(-3, 3),
)
def test_rail_to_rail_is_the_sum_to_the_tenth_and_just_that_is_clear(  # the layers
    rail: int, deck: int, stock: int, wire: int, reserve: int, over: int
) -> None:
    """In exact fractions; a tenth less is not enough."""
    tenths = rail + deck + stock + wire + reserve
    there = max(1, tenths + over)
    answer = ask(
        rail_mm=rail / 10,
        deck_mm=deck / 10,
        stock_mm=stock / 10,
        wire_mm=wire / 10,
        reserve_mm=reserve / 10,
        rail_to_rail_mm=there / 10,
    )
    assert answer.rail_to_rail_mm is not None
    assert Fraction(str(answer.rail_to_rail_mm)) == Fraction(tenths, 10)
    assert answer.spare_mm is not None
    assert Fraction(str(answer.spare_mm)) == Fraction(there - tenths, 10)
    assert answer.verdict == ("clear" if there >= tenths else "no_headroom")
    # each layer stands on the next, from the rail's top down to the other's
    assert answer.stack[-1].from_mm == 0
    for upper, lower in zip(answer.stack[:-1], answer.stack[1:], strict=True):
        assert upper.from_mm == lower.to_mm


def test_the_tallest_of_the_vehicles_counts_and_is_named() -> None:
    answer = ask(deck_mm=10, vehicles=[LOW, TALL, LOW])
    assert (answer.rail_to_rail_mm, answer.tallest) == (50.2, "Tall van")


def test_a_scale_alone_stands_for_any_stock_of_it() -> None:
    """NEM 102 (2017), HL4 in N: 33."""
    answer = ask(deck_mm=10, scale="N")
    assert answer.rail_to_rail_mm == 46.2
    assert "stock_mm" in {one.field for one in answer.assumed}


def test_a_vehicle_without_a_height_is_to_be_measured_where_no_scale_bounds_it() -> (
    None
):
    answer = ask(vehicles=[TALL, UNKNOWN])
    assert (answer.verdict, answer.rail_to_rail_mm) == ("cannot_tell", None)
    (lack,) = [one for one in answer.because if one.code == "missing_figure"]
    assert (lack.vehicle, lack.field) == ("Tank", "height_mm")


def test_a_vehicle_without_a_height_counts_as_high_as_any_of_its_scale() -> None:
    answer = ask(vehicles=[TALL, UNKNOWN | {"scale": "H0"}])
    assert (answer.verdict, answer.clear_mm) == ("found", 59)
    assert "height_mm" in {one.field for one in answer.assumed}


@at_each(
    "there_mm, verdict",
    [
        (62.2, "clear"),
        (62.1, "cannot_tell"),
        (40.2, "cannot_tell"),
        (40, "no_headroom"),
    ],
)
def test_what_may_be_among_the_unmeasured_never_makes_a_no(
    there_mm: float, verdict: str
) -> None:
    """37 was measured, 59 may be: 40.2 and 62.2 with the rail."""
    vehicles = [TALL, UNKNOWN | {"scale": "H0"}]
    answer = ask(vehicles=vehicles, rail_to_rail_mm=there_mm)
    assert answer.verdict == verdict
    told = {reason.code for reason in answer.because}
    assert ("no_headroom" in told) == (verdict == "no_headroom")
    assert ("missing_figure" in told) == (verdict == "cannot_tell")


def test_a_measured_one_that_is_too_high_decides_whatever_is_lacking() -> None:
    answer = ask(vehicles=[TALL, UNKNOWN], rail_to_rail_mm=40)
    assert (answer.verdict, answer.because[0].code) == ("no_headroom", "no_headroom")
    assert "Tank" in {one.vehicle for one in answer.because}


def test_to_raise_the_track_by_what_is_too_little_turns_the_verdict() -> None:
    low = ask(deck_mm=8, stock_mm=52.3, rail_to_rail_mm=60)
    assert (low.verdict, low.spare_mm) == ("no_headroom", -3.5)
    raised = ask(deck_mm=8, stock_mm=52.3, rail_to_rail_mm=63.5)
    assert raised.verdict == "clear"


def test_what_standards_have_stands_beside_it() -> None:
    """NEM 102's HL4 in H0 59; UIC G1 and GC 4.28 and 4.65 m; wire 5.50 and 4.95 m."""
    rows = ask(stock_mm=50, wire_mm=8, scale="H0").by_table
    has = [row.table_mm for row in rows]
    full_mm = [4280, 4650, 5500, 4950]
    assert has == pytest.approx([59, *(mm / 87 for mm in full_mm)])
    assert rows[-1].difference_mm == pytest.approx(58 - 4950 / 87, abs=1e-5)


def test_american_headroom_stands_beside_23_ft() -> None:
    """AREMA: HO 80.5."""
    (row,) = ask(stock_mm=60, scale="HO").by_table
    assert row.table_mm == pytest.approx(80.5, abs=0.05)


def test_without_a_scale_no_standard_is_named() -> None:
    assert not ask(stock_mm=37).by_table


def test_a_wire_brings_its_caution() -> None:
    assert any("mains" in one for one in ask(stock_mm=37, wire_mm=6).cautions)
    assert not ask(stock_mm=37).cautions


@at_each(
    "asked, pointer",
    [
        ({}, "/stock_mm"),
        ({"stock_mm": 37, "vehicles": [TALL]}, "/vehicles"),
        ({"stock_mm": 0}, "/stock_mm"),
        ({"stock_mm": 37, "rail_mm": -0.1}, "/rail_mm"),
        ({"stock_mm": 37, "rail_to_rail_mm": 0}, "/rail_to_rail_mm"),
        ({"vehicles": []}, "/vehicles"),
    ],
)
def test_what_does_not_go_together_is_refused(asked: Json, pointer: str) -> None:
    with pytest.raises(Faulty) as raised:
        ask(**asked)
    assert pointer in {fault.pointer for fault in raised.value.faults}
