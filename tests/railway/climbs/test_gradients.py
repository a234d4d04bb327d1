"""Climbs with eased ends, what trains feel of them, and helices."""

import math

import pytest

from standage.railway.climbs.gradients import (
    Climb,
    Helix,
    easing_needed_mm,
    felt_percent,
    greatest_rise_mm,
    headroom_mm,
    height_mm,
    least_rise_per_turn_mm,
    least_run_mm,
    mean_percent,
    one_in,
    steepest_percent,
)
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

EASED = Climb(rise_mm=60, run_mm=2400, foot_curve_mm=400, top_curve_mm=400)
SHARP = Climb(rise_mm=60, run_mm=2400)
LEVEL = Climb(rise_mm=0, run_mm=2400, foot_curve_mm=400, top_curve_mm=400)


def test_vertical_curves_make_the_rest_steeper_than_the_mean() -> None:
    assert mean_percent(EASED) == pytest.approx(2.5)
    assert steepest_percent(EASED) == pytest.approx(3.0)
    assert steepest_percent(SHARP) == pytest.approx(2.5)


def test_vertical_curves_that_fill_the_run_double_the_mean() -> None:
    filled = Climb(rise_mm=60, run_mm=2400, foot_curve_mm=1000, top_curve_mm=1400)
    assert steepest_percent(filled) == pytest.approx(5.0)


def test_unequal_vertical_curves_count_by_half_their_sum() -> None:
    assert steepest_percent(
        Climb(rise_mm=60, run_mm=2400, foot_curve_mm=800)
    ) == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("climb", "code", "pointer"),
    [
        ({"rise_mm": 100, "run_mm": 99}, "steeper_than_stairs", "/rise_mm"),
        (
            {"rise_mm": 10, "run_mm": 500, "foot_curve_mm": 300, "top_curve_mm": 201},
            "longer_than_run",
            "/foot_curve_mm",
        ),
    ],
)
def test_a_climb_that_cannot_be_built_is_refused(
    climb: dict[str, float], code: str, pointer: str
) -> None:
    with pytest.raises(Faulty) as refused:
        convert(climb, Climb)
    assert [(fault.code, fault.pointer) for fault in refused.value.faults] == [
        (code, pointer)
    ]


def test_a_climb_at_the_edge_of_what_can_be_built_is_not_refused() -> None:
    convert(
        {"rise_mm": 100, "run_mm": 100, "foot_curve_mm": 50, "top_curve_mm": 50}, Climb
    )


def test_the_track_leaves_the_level_and_comes_back_to_it_smoothly() -> None:
    assert height_mm(EASED, at_mm=-10) == 0
    assert height_mm(EASED, at_mm=0) == 0
    assert height_mm(EASED, at_mm=400) == pytest.approx(0.03 * 200)
    assert height_mm(EASED, at_mm=1200) == pytest.approx(30)
    assert height_mm(EASED, at_mm=2000) == pytest.approx(60 - 0.03 * 200)
    assert height_mm(EASED, at_mm=2400) == pytest.approx(60)
    assert height_mm(EASED, at_mm=3000) == pytest.approx(60)
    assert height_mm(EASED, at_mm=200) == pytest.approx(0.03 * 200**2 / 800)


@pytest.mark.parametrize(
    ("climb", "length_mm", "percent"),
    [
        (EASED, 1600, 3.0),
        (EASED, 100, 3.0),
        (EASED, 2400, 2.5),
        (EASED, 4800, 1.25),
        (EASED, 2000, 100 * (60 - 0.03 * 400**2 / 1600) / 2000),
        (SHARP, 2400, 2.5),
        (SHARP, 2399, 2.5),
        (SHARP, 3000, 2.0),
        (LEVEL, 700, 0.0),
    ],
)
def test_a_train_feels_what_separates_its_ends(
    climb: Climb, length_mm: float, percent: float
) -> None:
    assert felt_percent(climb, train_length_mm=length_mm) == pytest.approx(percent)


def test_the_run_needed_keeps_the_steepest_within_the_limit() -> None:
    needed_mm = least_run_mm(EASED, limit_percent=2.0)
    assert needed_mm == pytest.approx(3400)
    assert least_run_mm(SHARP, limit_percent=2.0) == pytest.approx(3000)


def test_the_run_needed_never_lacks_room_for_the_vertical_curves() -> None:
    assert (
        least_run_mm(
            Climb(rise_mm=1, run_mm=2400, foot_curve_mm=400, top_curve_mm=400),
            limit_percent=2,
        )
        == 800
    )
    assert least_run_mm(LEVEL, limit_percent=2) == 800


def test_the_rise_allowed_is_what_the_eased_run_gains() -> None:
    assert greatest_rise_mm(EASED, limit_percent=2.0) == pytest.approx(40)


def test_a_vertical_curve_takes_a_vehicle_s_length_for_each_per_cent_of_the_climb_that_it_leaves() -> (
    None
):
    needed_mm = easing_needed_mm(SHARP, longest_vehicle_mm=150)
    assert needed_mm is not None
    eased = Climb(
        rise_mm=60, run_mm=2400, foot_curve_mm=needed_mm, top_curve_mm=needed_mm
    )
    assert needed_mm == pytest.approx(150 * steepest_percent(eased))
    assert needed_mm < 1200


def test_no_vertical_curve_of_practice_fits_a_short_sharp_climb() -> None:
    assert easing_needed_mm(
        Climb(rise_mm=60, run_mm=2400), longest_vehicle_mm=240
    ) == pytest.approx(1200)
    assert (
        easing_needed_mm(Climb(rise_mm=60, run_mm=2400), longest_vehicle_mm=241) is None
    )
    assert easing_needed_mm(LEVEL, longest_vehicle_mm=300) == 0


@pytest.mark.parametrize(
    ("percent", "run"),
    [(2.0, 50.0), (100 / 30, 30.0), (100.0, 1.0), (0.0, None), (1e-9, None)],
)
def test_a_gradient_post_shows_the_run_for_one_of_rise(
    percent: float, run: float | None
) -> None:
    assert one_in(percent) == (None if run is None else pytest.approx(run))


def turn(radius_mm: float = 500, *, deck_mm: float = 6, track_mm: float = 4) -> Helix:
    return Helix(radius_mm=radius_mm, deck_mm=deck_mm, track_mm=track_mm)


def test_a_turn_s_headroom_is_its_rise_less_deck_and_track() -> None:
    climb = Climb(rise_mm=160, run_mm=2 * math.pi * 500 * 2)
    assert least_rise_per_turn_mm(climb, turn()) == pytest.approx(80)
    assert headroom_mm(climb, turn()) == pytest.approx(70)
    assert headroom_mm(climb, turn(deck_mm=60, track_mm=30)) == pytest.approx(-10)


def test_a_vertical_curve_at_the_foot_takes_headroom_from_the_first_turn() -> None:
    run_mm = 2 * math.pi * 500 * 3
    climb = Climb(rise_mm=240, run_mm=run_mm, foot_curve_mm=600)
    gained_mm = 240 / (run_mm - 300)
    assert headroom_mm(climb, turn()) == pytest.approx(
        gained_mm * (2 * math.pi * 500 - 300) - 10
    )


def test_a_vertical_curve_at_the_top_takes_headroom_from_the_last_turn() -> None:
    run_mm = 2 * math.pi * 500 * 3
    at_top = Climb(rise_mm=240, run_mm=run_mm, top_curve_mm=600)
    at_foot = Climb(rise_mm=240, run_mm=run_mm, foot_curve_mm=600)
    assert headroom_mm(at_top, turn()) == pytest.approx(headroom_mm(at_foot, turn()))


def test_less_than_a_turn_lies_over_nothing() -> None:
    short = Climb(rise_mm=60, run_mm=3141)
    assert least_rise_per_turn_mm(short, turn()) is None
    assert headroom_mm(short, turn()) is None
    assert headroom_mm(
        Climb(rise_mm=60, run_mm=math.pi * 1000), turn()
    ) == pytest.approx(50)
