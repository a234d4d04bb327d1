"""Crossovers and ladders, against track that is laid in the plane step by step, and
against lines that are cut with each other by shapely.
"""

from math import cos, isclose, pi, radians, sin
from typing import NamedTuple

import numpy as np
from shapely import LineString, Point  # type: ignore[import-untyped] # ships no types

from standage.railway.pointwork.crossovers import Crossover
from standage.railway.pointwork.ladders import (
    Ladder,
    spacing_for_curves_mm,
    spacing_for_points_mm,
)
from standage.railway.pointwork.parting import Parting
from standage.railway.terms.crossings import crossing_angle_deg
from support.walks import at_each

FAR_MM = 20_000.0


class Points(NamedTuple):
    """Points by their angle, at a spacing, on a gauge, with a curve."""

    angle_deg: float
    spacing_mm: float
    gauge_mm: float
    radius_mm: float


CASES = [
    Points(12.0, 50.0, 16.5, 610.0),
    Points(12.0, 50.0, 16.5, 914.0),
    Points(crossing_angle_deg(6, measure="centre_line"), 67.0, 16.5, 438.0),
    Points(crossing_angle_deg(9, measure="tangent"), 46.0, 16.5, 700.0),
    Points(crossing_angle_deg(8, measure="tangent"), 25.0, 9.0, 360.0),
    Points(22.5, 120.0, 32.0, 900.0),
    Points(45.0, 50.0, 16.5, 60.0),
]


def line_of(start: complex, angle: float) -> LineString:
    """Return a long line through a place."""
    ahead = FAR_MM * complex(cos(angle), sin(angle))
    ends = [start - ahead, start + ahead]
    return LineString([(end.real, end.imag) for end in ends])


def cut(one: LineString, other: LineString) -> complex:
    """Return where two lines cross."""
    place: Point = one.intersection(other)
    return complex(place.x, place.y)


def risen_mm(angle: float, radius_mm: float, straight_mm: float) -> float:
    """Return how far aside a curve, a straight and a curve back lead, laid in 400,000
    steps.
    """
    steps = 200_000
    turning = (np.arange(steps) + 0.5) / steps * angle
    curve_mm = np.sin(turning).sum() * radius_mm * angle / steps
    return float(2 * curve_mm + straight_mm * sin(angle))


@at_each("case", CASES)
def test_the_curves_of_a_crossover_and_its_straight_lead_from_road_to_road(
    case: Points,
) -> None:
    laid = Crossover(
        parting=Parting(case.angle_deg),
        spacing_mm=case.spacing_mm,
        gauge_mm=case.gauge_mm,
    )
    straight_mm = laid.straight_mm(radius_mm=case.radius_mm)
    angle = radians(case.angle_deg)
    assert isclose(
        risen_mm(angle, case.radius_mm, straight_mm), case.spacing_mm, abs_tol=1e-3
    )
    assert isclose(
        laid.greatest_radius_mm(straight_mm=straight_mm), case.radius_mm, rel_tol=1e-9
    )


@at_each("case", CASES)
def test_noses_lie_where_the_rails_of_the_crossover_cut_those_of_the_roads(
    case: Points,
) -> None:
    angle, half_mm = radians(case.angle_deg), case.gauge_mm / 2
    aside = half_mm * complex(-sin(angle), cos(angle))
    # The crossover leaves the lower road to the left: its right rail cuts the left one.
    lower = cut(line_of(complex(0, half_mm), 0), line_of(-aside, angle))
    upper_rail = line_of(complex(0, case.spacing_mm - half_mm), 0)
    upper = cut(upper_rail, line_of(aside, angle))
    between = upper - lower
    laid = Crossover(
        parting=Parting(case.angle_deg),
        spacing_mm=case.spacing_mm,
        gauge_mm=case.gauge_mm,
    )
    assert isclose(laid.noses_along_line_mm, between.real, abs_tol=1e-6)
    ahead = complex(cos(angle), sin(angle))
    # Each nose is counted on the crossover's own line, square across from it.
    along_mm = (between * ahead.conjugate()).real
    abreast_mm = laid.noses_along_crossover_mm
    nose_mm = laid.parting.nose_mm(case.gauge_mm)
    assert isclose(abreast_mm, along_mm, abs_tol=1e-6)
    assert isclose(abs(lower - complex(nose_mm, half_mm)), 0.0, abs_tol=1e-6)


@at_each("case", CASES)
def test_a_ladder_crosses_its_roads_a_pitch_apart(case: Points) -> None:
    laid = Ladder(
        parting=Parting(case.angle_deg),
        spacing_mm=case.spacing_mm,
        roads=4,
        lead_counts=False,
    )
    ladder = line_of(0j, radians(case.angle_deg))
    roads = [line_of(complex(0, case.spacing_mm * road), 0) for road in range(5)]
    places = [cut(road, ladder) for road in roads]
    assert laid.pitches == len(places) - 1
    assert isclose(
        laid.pitches * laid.along_line_mm,
        places[-1].real - places[0].real,
        abs_tol=1e-6,
    )
    assert isclose(
        laid.pitches * laid.along_ladder_mm, abs(places[-1] - places[0]), abs_tol=1e-6
    )


@at_each("case", CASES)
def test_at_the_least_spacing_points_fill_the_ladder_and_curves_the_pitch(
    case: Points,
) -> None:
    parting = Parting(case.angle_deg)
    angle = radians(case.angle_deg)
    points_mm = 3.5 * case.gauge_mm * 4
    by_points_mm = spacing_for_points_mm(parting, points_length_mm=points_mm)
    places = [
        cut(line_of(complex(0, by_points_mm * road), 0), line_of(0j, angle))
        for road in (1, 2)
    ]
    assert isclose(abs(places[1] - places[0]), points_mm, abs_tol=1e-6)
    for straight_mm in (0.0, 258.0):
        by_curves_mm = spacing_for_curves_mm(
            parting, radius_mm=case.radius_mm, straight_mm=straight_mm
        )
        assert isclose(
            risen_mm(angle, case.radius_mm, straight_mm), by_curves_mm, abs_tol=1e-3
        )


def test_two_curves_without_a_straight_lead_as_far_as_the_text_books_say() -> None:
    """2R (1 − cos α). **Source** permanent-way text-books, reverse curves."""
    least_mm = spacing_for_curves_mm(Parting(30.0), radius_mm=600.0, straight_mm=0.0)
    assert isclose(least_mm, 2 * 600 * (1 - cos(pi / 6)))


def test_the_lead_s_own_road_is_one_pitch_less() -> None:
    for roads in (1, 2, 7):
        without, with_it = (
            Ladder(
                parting=Parting(10.0),
                spacing_mm=50.0,
                roads=roads,
                lead_counts=lead_counts,
            ).pitches
            for lead_counts in (False, True)
        )
        assert (without, with_it) == (roads, roads - 1)
