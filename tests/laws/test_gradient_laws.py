"""What holds for every climb, against a train moved along it by brute force and against
a bent profile summed up.
"""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.climbs.gradients import (
    Climb,
    Helix,
    felt_percent,
    greatest_rise_mm,
    least_rise_per_turn_mm,
    least_run_mm,
    mean_percent,
    steepest_percent,
)

STEPS = 1500


@st.composite
def climbs(draw: st.DrawFn) -> Climb:
    run_mm = draw(st.floats(200, 10_000))
    foot_mm = draw(st.just(0.0) | st.floats(0, run_mm / 2))
    top_mm = draw(st.just(0.0) | st.floats(0, run_mm / 2))
    rise_mm = draw(st.floats(1, run_mm * 0.1))
    return Climb(
        rise_mm=rise_mm, run_mm=run_mm, foot_curve_mm=foot_mm, top_curve_mm=top_mm
    )


def summed_up(climb: Climb, *, steps: int = STEPS) -> list[float]:
    """Return heights at even steps along a profile whose slope rises, stays and falls
    evenly; scaled to the rise.

    Written without the formulas: slopes are added up step by step.
    """
    step = climb.run_mm / steps
    slopes = []
    for number in range(steps):
        at = (number + 0.5) * step
        foot = 1.0 if climb.foot_curve_mm == 0 else min(1.0, at / climb.foot_curve_mm)
        top = (
            1.0
            if climb.top_curve_mm == 0
            else min(1.0, (climb.run_mm - at) / climb.top_curve_mm)
        )
        slopes.append(min(foot, top))
    heights = [0.0]
    for slope in slopes:
        heights.append(heights[-1] + slope)
    return [height * climb.rise_mm / heights[-1] for height in heights]


@given(climbs())
def test_the_steepest_is_the_steepest_of_the_profile_summed_up(climb: Climb) -> None:
    heights = summed_up(climb)
    step = climb.run_mm / STEPS
    steepest = max(after - before for before, after in pairwise(heights)) / step * 100
    assert steepest_percent(climb) == pytest.approx(steepest, rel=5e-3)


@given(climbs(), st.floats(0.02, 2))
def test_what_a_train_feels_is_the_worst_of_all_its_positions(
    climb: Climb, share: float
) -> None:
    heights = summed_up(climb)
    cells = max(1, round(share * STEPS))
    padded = [0.0] * cells + heights + [climb.rise_mm] * cells
    worst_mm = max(padded[at + cells] - padded[at] for at in range(len(padded) - cells))
    length_mm = cells * climb.run_mm / STEPS
    assert felt_percent(climb, train_length_mm=length_mm) == pytest.approx(
        100 * worst_mm / length_mm, rel=5e-3
    )


@given(climbs(), st.floats(10, 20_000), st.floats(10, 20_000))
def test_a_longer_train_never_feels_more_and_none_feels_more_than_the_steepest(
    climb: Climb, one_mm: float, other_mm: float
) -> None:
    short, long = sorted((one_mm, other_mm))
    felt = felt_percent(climb, train_length_mm=short)
    assert felt_percent(climb, train_length_mm=long) <= felt * (1 + 1e-9)
    assert felt <= steepest_percent(climb) * (1 + 1e-9)


@given(climbs(), st.floats(10, 20_000))
def test_up_and_down_feel_alike(climb: Climb, train_mm: float) -> None:
    down = Climb(
        rise_mm=climb.rise_mm,
        run_mm=climb.run_mm,
        foot_curve_mm=climb.top_curve_mm,
        top_curve_mm=climb.foot_curve_mm,
    )
    assert felt_percent(down, train_length_mm=train_mm) == pytest.approx(
        felt_percent(climb, train_length_mm=train_mm)
    )


@given(climbs())
def test_the_steepest_lies_between_the_mean_and_twice_the_mean(climb: Climb) -> None:
    mean = mean_percent(climb)
    assert mean * (1 - 1e-12) <= steepest_percent(climb) <= 2 * mean * (1 + 1e-12)


@given(climbs(), st.floats(0.2, 10))
def test_the_run_needed_and_the_rise_allowed_invert_the_steepest(
    climb: Climb, limit: float
) -> None:
    curves = {"foot_curve_mm": climb.foot_curve_mm, "top_curve_mm": climb.top_curve_mm}
    run_mm = least_run_mm(climb, limit_percent=limit)
    stretched = Climb(rise_mm=climb.rise_mm, run_mm=run_mm, **curves)
    assert list(stretched.rules()) == [] or climb.rise_mm > run_mm
    assert steepest_percent(stretched) <= limit * (1 + 1e-9)
    if run_mm > climb.curves_mm * (1 + 1e-9):
        assert steepest_percent(stretched) == pytest.approx(limit)
    rise_mm = greatest_rise_mm(climb, limit_percent=limit)
    assert steepest_percent(
        Climb(rise_mm=rise_mm, run_mm=climb.run_mm, **curves)
    ) == pytest.approx(limit)


@given(climbs(), st.floats(0.05, 1))
def test_the_least_rise_per_turn_is_the_least_of_the_profile_summed_up(
    climb: Climb, share: float
) -> None:
    cells = max(1, round(share * STEPS))
    heights = summed_up(climb)
    least_mm = min(
        heights[at + cells] - heights[at] for at in range(len(heights) - cells)
    )
    turn_mm = cells * climb.run_mm / STEPS * (1 - 1e-12)
    helix = Helix(radius_mm=turn_mm / (2 * math.pi), deck_mm=0, track_mm=0)
    assert least_rise_per_turn_mm(climb, helix) == pytest.approx(
        least_mm, rel=5e-3, abs=climb.rise_mm * 1e-4
    )
