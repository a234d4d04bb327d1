"""Laws of points: number and angle are one thing told twice, and the simple set's curve
is drawn with a compass.
"""

from math import atan2, cos, degrees, hypot, isclose, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.terms.crossings import (
    Measure,
    crossing_angle_deg,
    crossing_number,
    simple_lead_mm,
    simple_radius_mm,
)

numbers = st.floats(1.0, 100.0)
gauges_mm = st.floats(3.0, 150.0)
measures: st.SearchStrategy[Measure] = st.sampled_from(("centre_line", "tangent"))


@given(number=numbers, measure=measures)
def test_a_number_comes_back_from_its_angle(number: float, measure: Measure) -> None:
    angle_deg = crossing_angle_deg(number, measure=measure)
    assert isclose(crossing_number(angle_deg, measure=measure), number, rel_tol=1e-9)


@given(number=numbers, more=st.floats(1.001, 3.0), measure=measures)
def test_a_greater_number_parts_more_slowly(
    number: float, more: float, measure: Measure
) -> None:
    assert crossing_angle_deg(number * more, measure=measure) < crossing_angle_deg(
        number, measure=measure
    )


@given(number=numbers)
def test_the_angle_is_where_its_measure_puts_it(number: float) -> None:
    """Far out by the number along the measured line, the other rail is one away, square
    to that line.
    """
    angle = radians(crossing_angle_deg(number, measure="tangent"))
    assert isclose(degrees(atan2(1, number)), degrees(angle), rel_tol=1e-9)
    angle = radians(crossing_angle_deg(number, measure="centre_line"))
    halves = [
        (cos(half) / cos(angle / 2), sin(half) / cos(angle / 2))
        for half in (angle / 2, -angle / 2)
    ]
    (x, up), (_, down) = halves
    assert isclose(x / (up - down), number, rel_tol=1e-9)


@given(number=numbers, gauge_mm=gauges_mm)
def test_the_simple_set_s_outer_rail_meets_the_straight_rail_at_the_nose(
    number: float, gauge_mm: float
) -> None:
    """Drawn from the blade tips, it reaches the far straight rail at the lead and at
    the angle.
    """
    angle_deg = crossing_angle_deg(number, measure="centre_line")
    radius_mm, lead_mm = (
        simple_radius_mm(angle_deg, gauge_mm=gauge_mm),
        simple_lead_mm(angle_deg, gauge_mm=gauge_mm),
    )
    outer_mm = radius_mm + gauge_mm / 2
    across_mm = outer_mm - gauge_mm
    assert isclose(hypot(lead_mm, across_mm), outer_mm, rel_tol=1e-9)
    assert isclose(degrees(atan2(lead_mm, across_mm)), angle_deg, rel_tol=1e-9)


@pytest.mark.parametrize("number", [0.0, -6.0, float("inf"), float("nan")])
def test_a_number_that_is_none_is_refused_by_name(number: float) -> None:
    with pytest.raises(ValueError, match=r"number .* must be above 0"):
        crossing_angle_deg(number, measure="tangent")


@pytest.mark.parametrize("angle_deg", [0.0, -1.0, 90.0, 120.0])
def test_an_angle_that_is_none_is_refused_by_name(angle_deg: float) -> None:
    with pytest.raises(ValueError, match="angle_deg"):
        crossing_number(angle_deg, measure="tangent")


def test_a_track_without_a_gauge_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match="gauge_mm 0 must be above 0"):
        simple_lead_mm(9.5, gauge_mm=0)
    with pytest.raises(ValueError, match="gauge_mm 0 must be above 0"):
        simple_radius_mm(9.5, gauge_mm=0)
