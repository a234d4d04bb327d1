"""What is asked about the room on a board, and what is answered."""

import math
from fractions import Fraction
from typing import Any

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standage.questions.board_room import BoardRoomAnswer, BoardRoomRequest, reckon
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

SHEET = {"length_mm": 2440, "width_mm": 1220, "edge_mm": 50}
LOOP_FIGURES = (
    "oval_straight_mm",
    "diagonal_straight_mm",
    "clear_width_inside_mm",
    "way_round_mm",
    "diagonal_way_round_mm",
)


def answer(**asked: Any) -> BoardRoomAnswer:
    return reckon(convert(asked, BoardRoomRequest))


def codes(found: BoardRoomAnswer) -> list[str]:
    return [reason.code for reason in found.because]


def test_without_a_radius_the_figures_are_of_the_largest_loop() -> None:
    found = answer(**SHEET)
    # 1220 / 2 - 50; what is over of 2440 in length; 1220 less four edges of 50
    assert found.verdict == "fits"
    assert found.largest_half_circle_radius_mm == found.radius_mm == 560
    assert found.oval_straight_mm == found.diagonal_straight_mm == 1220
    assert found.clear_width_inside_mm == 1020
    assert found.way_round_mm == pytest.approx(math.tau * 560 + 2440, abs=1e-6)
    assert found.side_needed_mm == 1220
    assert found.spare_mm is None


def test_with_a_radius_that_goes_in_they_are_of_that_loop() -> None:
    found = answer(**SHEET, radius_mm=438)
    # 976 mm go for twice the radius and the edges: 1464 by 244 are left
    assert (found.verdict, found.spare_mm, found.side_needed_mm) == ("fits", 122, 976)
    assert found.oval_straight_mm == 1464
    assert found.diagonal_straight_mm == pytest.approx(math.hypot(1464, 244), abs=1e-6)
    assert found.clear_width_inside_mm == 776
    assert found.way_round_mm == pytest.approx(math.tau * 438 + 2928, abs=1e-6)
    assert codes(found) == ["loop_fits", "clear_inside"]


def test_a_radius_too_large_is_told_by_how_much_and_has_no_figures() -> None:
    found = answer(**SHEET, radius_mm=610)
    assert (found.verdict, found.spare_mm) == ("does_not_fit", -50)
    assert [getattr(found, name) for name in LOOP_FIGURES] == [None] * 5
    assert found.largest_half_circle_radius_mm == 560
    assert found.because[0].message == (
        "a radius of 610 mm is 50 mm too large: with the edges it takes 1320 mm across,"
        " the board has 1220 mm"
    )


@at_each("sides", [(609.6, 1219.2), (1219.2, 609.6)])
def test_it_does_not_matter_which_side_is_called_the_length(
    sides: tuple[float, float],
) -> None:
    found = answer(length_mm=sides[0], width_mm=sides[1], edge_mm=38.1, radius_mm=260)
    assert found == answer(
        length_mm=1219.2, width_mm=609.6, edge_mm=38.1, radius_mm=260
    )


@at_each("tenths", [1, 3, 7, 2667, 4381])
def test_equal_goes_in_to_a_tenth_and_a_tenth_more_does_not(tenths: int) -> None:
    for edge_tenths in (0, 1, 381):
        side = Fraction(2 * (tenths + edge_tenths), 10)
        board = {
            "length_mm": float(side * 2),
            "width_mm": float(side),
            "edge_mm": edge_tenths / 10,
        }
        exactly = answer(**board, radius_mm=tenths / 10)
        assert (exactly.verdict, exactly.spare_mm) == ("fits", 0)
        assert "no larger one does" in exactly.because[0].message
        over = answer(**board, radius_mm=(tenths + 1) / 10)
        assert (over.verdict, over.spare_mm) == ("does_not_fit", -0.1)


SIDES = st.integers(1, 40_000).map(lambda tenths: tenths / 10)


@settings(max_examples=80)
@given(SIDES, SIDES, st.integers(0, 20_000).map(lambda tenths: tenths / 10), SIDES)
def test_each_advice_is_asked_again_and_lets_the_loop_in(
    length_mm: float, width_mm: float, edge_mm: float, radius_mm: float
) -> None:
    asked = {
        "length_mm": length_mm,
        "width_mm": width_mm,
        "edge_mm": edge_mm,
        "radius_mm": radius_mm,
    }
    found = answer(**asked)
    advice = [reason for reason in found.because if reason.brings is not None]
    assert bool(advice) == (found.verdict == "does_not_fit")
    for reason in advice:
        assert reason.field is not None
        changed = {reason.field: reason.value_mm}
        if reason.code == "larger_board":
            changed = {
                "length_mm": max(length_mm, width_mm, reason.value_mm or 0),
                "width_mm": reason.value_mm,
            }
        assert answer(**asked | changed).verdict == reason.brings, reason
        # a tenth more of it does not
        if reason.code in {"smaller_radius", "narrower_edge"}:
            over_mm = {reason.field: (reason.value_mm or 0) + 0.1}
            assert answer(**asked | over_mm).verdict == found.verdict, reason
        if reason.code == "larger_board":
            changed["width_mm"] = max(0.1, (reason.value_mm or 0) - 0.1)
            assert answer(**asked | changed).verdict == found.verdict, reason


@settings(max_examples=60)
@given(
    st.floats(1e-9, 1e6),
    st.floats(1e-9, 1e6),
    st.floats(0, 1e6),
    st.none() | st.floats(1e-9, 1e6),
)
def test_every_figure_is_a_number_and_the_largest_radius_goes_in_when_asked_for(
    length_mm: float, width_mm: float, edge_mm: float, radius_mm: float | None
) -> None:
    board = {"length_mm": length_mm, "width_mm": width_mm, "edge_mm": edge_mm}
    found = answer(**board, radius_mm=radius_mm)
    figures = msgspec.to_builtins(found)
    for name, figure in figures.items():
        if isinstance(figure, float):
            assert math.isfinite(figure), name
            assert figure >= 0 or name == "spare_mm"
    largest_mm = found.largest_half_circle_radius_mm
    if largest_mm is not None:
        assert answer(**board, radius_mm=largest_mm).verdict == "fits"


def test_where_the_edges_take_all_there_is_nothing_and_it_is_said() -> None:
    found = answer(length_mm=2000, width_mm=300, edge_mm=150)
    assert found.verdict == "does_not_fit"
    assert found.largest_half_circle_radius_mm is None
    assert found.radius_mm is found.side_needed_mm is None
    # a half circle by itself has but one edge across, and goes in
    assert found.turn_back_radius_mm == 150
    assert codes(found) == ["no_room_between_edges"]


def test_an_edge_wider_than_the_radius_leaves_nothing_clear_inside() -> None:
    found = answer(length_mm=2000, width_mm=600, edge_mm=200, radius_mm=90)
    assert found.clear_width_inside_mm == 0
    assert found.because[-1].message.startswith("nothing stays clear inside")


def test_a_half_circle_alone_is_offered_where_the_whole_loop_does_not_go_in() -> None:
    # 1200 long: 600 less the edge; 500 across: 500 less the edge
    found = answer(length_mm=1200, width_mm=500, edge_mm=50, radius_mm=438)
    assert found.turn_back_radius_mm == 450
    assert codes(found)[-1] == "turns_back"
    assert codes(answer(length_mm=1200, width_mm=450, edge_mm=50, radius_mm=438))[
        -1
    ] != ("turns_back")


def test_a_board_in_inches_and_a_diameter_for_a_radius_are_pointed_out() -> None:
    inches = answer(length_mm=48, width_mm=24, edge_mm=50)
    assert [(slip.field, slip.likely_value) for slip in inches.warnings] == [
        ("length_mm", 1219.2),
        ("width_mm", 609.6),
    ]
    diameter = answer(**SHEET, radius_mm=876, scale="00")
    assert [(slip.code, slip.likely_value) for slip in diameter.warnings] == [
        ("radius_or_diameter", 438)
    ]


@at_each("name, value", [("length_mm", 0), ("edge_mm", -0.1), ("radius_mm", 0)])
def test_what_is_no_board_is_refused(name: str, value: float) -> None:
    with pytest.raises(Faulty) as caught:
        convert({**SHEET, name: value}, BoardRoomRequest)
    assert [fault.pointer for fault in caught.value.faults] == [f"/{name}"]


def test_no_board_is_advised_that_nobody_can_ask_about() -> None:
    found = answer(length_mm=2440, width_mm=1220, edge_mm=50, radius_mm=600_000)
    codes = {one.code for one in found.because}
    assert "smaller_radius" in codes
    assert "larger_board" not in codes


@at_each("length_mm, ways", [(1000, "across"), (976, "across"), (975, "both ways")])
def test_a_board_that_is_also_too_short_is_advised_both_ways(
    length_mm: float, ways: str
) -> None:
    """A loop of 438 mm with edges of 50 takes 2 × 488 = 976 mm each way."""
    found = answer(length_mm=length_mm, width_mm=600, edge_mm=50, radius_mm=438)
    (larger,) = [one for one in found.because if one.code == "larger_board"]
    assert larger.message == f"a board of at least 976 mm {ways} takes it"
