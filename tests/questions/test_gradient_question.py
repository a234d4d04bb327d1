"""The gradient question as it is asked over the wire, without the wire."""

import math

import pytest

from standage.questions.gradient import GradientRequest, reckon
from standage.questions.gradient_answer import GradientAnswer
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


def answer(**asked: object) -> GradientAnswer:
    return reckon(convert({"rise_mm": 60, "run_mm": 2400, **asked}, GradientRequest))


def test_mean_and_steepest_are_told_apart() -> None:
    found = answer(vertical_curve_mm=400)
    assert (found.mean_percent, found.steepest_percent) == (2.5, 3.0)
    assert found.mean_one_in == 40.0
    assert found.steepest_one_in == pytest.approx(100 / 3, abs=1e-6)
    assert found.train_feels_percent is None
    assert "steeper_than_mean" in [reason.code for reason in found.because]


def test_without_vertical_curves_it_is_said_that_none_are_reckoned_with() -> None:
    found = answer()
    assert found.steepest_percent == found.mean_percent == 2.5
    assert {assumed.field for assumed in found.assumed} == {
        "vertical_curve_mm",
        "limit_percent",
    }
    assert "steeper_than_mean" not in [reason.code for reason in found.because]


def test_the_one_at_the_top_may_be_another() -> None:
    assert answer(
        vertical_curve_mm=400, top_vertical_curve_mm=0
    ).steepest_percent == pytest.approx(100 * 60 / 2200, abs=1e-6)


def test_a_train_s_own_gradient_decides_where_its_length_is_given() -> None:
    found = answer(vertical_curve_mm=400, train_length_mm=4800, limit_percent=1.25)
    assert (found.train_feels_percent, found.train_feels_one_in) == (1.25, 80.0)
    assert found.verdict == "good"
    assert answer(vertical_curve_mm=400, limit_percent=1.25).verdict == "too_steep"


@pytest.mark.parametrize(
    ("asked", "verdict", "limit"),
    [
        ({"rise_mm": 48}, "good", 2.0),
        ({"rise_mm": 49}, "steep", 2.0),
        ({"rise_mm": 80}, "steep", 2.0),
        ({"rise_mm": 81}, "too_steep", 2.0),
        ({"rise_mm": 60, "limit_percent": 2.5}, "good", 2.5),
        ({"rise_mm": 61, "limit_percent": 2.5}, "too_steep", 2.5),
        ({"rise_mm": 60, "limit_one_in": 40}, "good", 2.5),
        ({"rise_mm": 0}, "good", 2.0),
    ],
)
def test_a_limit_decides_and_practice_where_there_is_none(
    asked: dict[str, float], verdict: str, limit: float
) -> None:
    found = answer(**asked)
    assert (found.verdict, found.limit_percent) == (verdict, limit)


def test_what_would_do_instead_is_told() -> None:
    found = answer(vertical_curve_mm=400, limit_percent=2, longest_vehicle_mm=150)
    assert (
        found.run_needed_mm,
        found.instead.run_needed_mm,
        found.instead.rise_allowed_mm,
    ) == (3400.0, 3400.0, 40.0)
    assert found.instead.vertical_curve_mm == pytest.approx(
        (2400 - math.sqrt(2400**2 - 400 * 150 * 60)) / 2, abs=1e-6
    )
    assert "vertical_curve_short" in [reason.code for reason in found.because]


def test_a_vertical_curve_long_enough_raises_no_reason_and_a_run_without_room_says_so() -> (
    None
):
    assert "vertical_curve_short" not in [
        reason.code
        for reason in answer(vertical_curve_mm=600, longest_vehicle_mm=150).because
    ]
    uneven = answer(
        vertical_curve_mm=600, top_vertical_curve_mm=0, longest_vehicle_mm=150
    )
    assert [
        reason.value_mm
        for reason in uneven.because
        if reason.code == "vertical_curve_short"
    ] == [0.0]
    assert "no_room_to_ease" in [
        reason.code for reason in answer(longest_vehicle_mm=300).because
    ]


def test_the_level_has_no_one_in() -> None:
    found = answer(rise_mm=0)
    assert (found.mean_percent, found.mean_one_in, found.steepest_one_in) == (
        0.0,
        None,
        None,
    )
    assert (
        found.because[0].message
        == "the climb is level, within the limit of 2.00 % (1 in 50)"
    )


@pytest.mark.parametrize(
    ("asked", "faults"),
    [
        ({"vertical_curve_mm": 1201}, {("longer_than_run", "/vertical_curve_mm")}),
        ({"rise_mm": 2401}, {("steeper_than_stairs", "/rise_mm")}),
        (
            {"limit_percent": 2, "limit_one_in": 50},
            {("one_or_the_other", "/limit_one_in")},
        ),
        (
            {"helix": {"radius_mm": 5}},
            {("too_small", "/helix/radius_mm")},
        ),
    ],
)
def test_what_cannot_be_built_is_refused_at_its_place(
    asked: dict[str, object], faults: set[tuple[str, str]]
) -> None:
    with pytest.raises(Faulty) as refused:
        answer(**asked)
    assert faults <= {(fault.code, fault.pointer) for fault in refused.value.faults}


def helix(**asked: object) -> dict[str, object]:
    return {"radius_mm": 500, "deck_mm": 6, "track_mm": 4, **asked}


TWO_TURNS = {"rise_mm": 160, "run_mm": 2 * math.pi * 500 * 2, "limit_percent": 5}


def test_a_helix_leaves_its_rise_less_deck_and_track() -> None:
    found = answer(**TWO_TURNS, helix=helix(headroom_needed_mm=70)).helix
    assert found is not None
    assert (found.verdict, found.turns, found.headroom_needed_mm) == (
        "clear",
        2.0,
        70.0,
    )
    assert found.rise_per_turn_mm == pytest.approx(80)
    assert found.headroom_mm == pytest.approx(70)
    assert found.turn_rise_needed_mm == pytest.approx(80)


def test_a_helix_too_low_is_the_worst_of_it() -> None:
    found = answer(**TWO_TURNS, helix=helix(headroom_needed_mm=70.5))
    assert found.verdict == "no_headroom"
    assert found.because[0].code == "no_headroom"
    assert found.because[0].amount_mm == pytest.approx(0.5, abs=1e-6)
    assert answer(**TWO_TURNS, helix=helix(deck_mm=90)).verdict == "no_headroom"


def test_the_structure_gauge_of_the_scale_stands_in_for_a_height_and_is_said_to() -> (
    None
):
    found = answer(**TWO_TURNS, helix=helix(), scale="H0")
    assert found.helix is not None
    assert (found.helix.verdict, found.helix.headroom_needed_mm) == ("clear", 59.0)
    assert "helix/headroom_needed_mm" in [assumed.field for assumed in found.assumed]


def test_without_a_height_nobody_can_tell_whether_a_helix_is_high_enough() -> None:
    found = answer(**TWO_TURNS, helix=helix())
    assert found.helix is not None
    assert found.helix.verdict == "cannot_tell"
    assert found.because[0].field == "helix/headroom_needed_mm"
    assert found.verdict == "good"


def test_turns_that_stand_inside_each_other_are_said_to() -> None:
    """80 mm a turn less a deck of 90 mm and track of 4 mm: 14 mm short of any room at
    all, whatever the stock.
    """
    reason = answer(**TWO_TURNS, helix=helix(deck_mm=90)).because[0]
    assert reason.code == "turns_overlap"
    assert reason.amount_mm == pytest.approx(14, abs=1e-6)
    assert (
        reason.message
        == "the turns of the helix cannot be built: a turn rises 80 mm, and the deck"
        " and the track on it need 94 mm, 14 mm more"
    )


def test_one_gradient_is_said_one_way_in_one_answer() -> None:
    """80 in 2400 - 100 is 1 in 28.75 exactly, which was said as 28.7 and as 28.8."""
    messages = " ".join(
        reason.message for reason in answer(rise_mm=80, vertical_curve_mm=100).because
    )
    assert messages.count("(1 in 28.8)") == 2
    assert "28.7)" not in messages


def test_less_than_a_turn_needs_no_headroom() -> None:
    found = answer(helix=helix(headroom_needed_mm=70))
    assert found.helix is not None
    assert (found.helix.verdict, found.helix.headroom_mm) == ("clear", None)
    assert found.because[0].code == "less_than_a_turn"


def test_slips_are_warned_of_and_refuse_nothing() -> None:
    found = answer(
        limit_percent=50, helix=helix(radius_mm=24, headroom_needed_mm=80), scale="00"
    )
    assert [(slip.field, slip.likely) for slip in found.warnings] == [
        ("limit_percent", "one_in"),
        ("helix/radius_mm", "inches"),
    ]
    assert answer().warnings == ()
