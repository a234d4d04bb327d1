"""Angles of crossings, and the simple set of points, against figures published
elsewhere.
"""

import pytest

from standage.questions.points import PointsRequest, reckon
from standage.railway.terms.crossings import (
    crossing_angle_deg,
    crossing_number,
    simple_lead_mm,
    simple_radius_mm,
)

INCH_MM = 25.4


@pytest.mark.parametrize(
    ("number", "angle_deg"), [(4, 14.25), (5, 11.42), (6, 9.53), (8, 7.15), (10, 5.72)]
)
def test_frog_angles_are_those_of_north_american_practice(
    number: float, angle_deg: float
) -> None:
    """Source: N. American practice, 2·atan(1/(2N)), to a hundredth of a degree as
    tables give it.
    """
    assert crossing_angle_deg(number, measure="centre_line") == pytest.approx(
        angle_deg, abs=0.005
    )


def test_a_crossing_of_1_in_9_25_is_6_17_degrees() -> None:
    """Source: a permanent-way engineer's published example of 2023, by the tangent."""
    assert crossing_angle_deg(9.25, measure="tangent") == pytest.approx(6.17, abs=0.005)
    assert crossing_number(6.17, measure="tangent") == pytest.approx(9.25, abs=0.01)


def test_a_number_6_on_36_inches_has_a_lead_of_432_and_a_radius_of_2592_inches() -> (
    None
):
    """Source: text-books' simple turnout, R = 2gN² and lead 2gN; exact."""
    angle_deg = crossing_angle_deg(6, measure="centre_line")
    assert simple_lead_mm(angle_deg, gauge_mm=36 * INCH_MM) == pytest.approx(
        432 * INCH_MM
    )
    assert simple_radius_mm(angle_deg, gauge_mm=36 * INCH_MM) == pytest.approx(
        2592 * INCH_MM
    )


def test_the_question_answers_with_the_published_figures_by_either_measure() -> None:
    american = reckon(PointsRequest(number=6.0, gauge_mm=36 * INCH_MM))
    assert american.angle_deg == pytest.approx(9.53, abs=0.005)
    assert american.lead_mm == pytest.approx(432 * INCH_MM)
    continental = reckon(PointsRequest(number=9.25, scale="H0"))
    assert continental.angle_deg == pytest.approx(6.17, abs=0.005)
    assert continental.number_by_tangent == pytest.approx(9.25)
    assert reckon(PointsRequest(angle_deg=7.15)).number_by_centre_line == pytest.approx(
        8, abs=0.01
    )
