"""Marks beyond points, against lines and arcs that are laid in the plane and walked
along, with shapely's distances.
"""

from functools import cache
from math import cos, isclose, radians, sin, tan
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import LineString, distance, points  # type: ignore[import-untyped] # ships no types

from standage.railway.pointwork.marks import (
    Between,
    MarkWanted,
    WayBack,
    greatest_radius_mm,
    held_roads,
    least_parallel_mm,
    marks,
    outcome,
)
from standage.railway.pointwork.parting import Parting
from support.walks import at_each

STEP_MM = 0.02
SOME = 50
UP_TO_MM = 420.0
FAR_MM = 4_000.0


class LaidLeg(NamedTuple):
    """A leg as places a step apart: how far along its centre line, the centre line, and
    the rail nearer the other leg.
    """

    along_mm: NDArray[np.float64]
    centre: NDArray[np.float64]
    near_rail: NDArray[np.float64]


def laid(headings: NDArray[np.float64], near_side: float, gauge_mm: float) -> LaidLeg:
    """Lay a leg by its heading at every step, from where the lines cross."""
    middle = (headings[1:] + headings[:-1]) / 2
    steps = STEP_MM * np.column_stack([np.cos(middle), np.sin(middle)])
    centre = np.vstack([[0.0, 0.0], np.cumsum(steps, axis=0)])
    left = np.column_stack([-np.sin(headings), np.cos(headings)])
    near_rail = centre + near_side * gauge_mm / 2 * left
    along_mm = STEP_MM * np.arange(len(centre), dtype=np.float64)
    return LaidLeg(along_mm, centre, near_rail)


@cache
def both_legs(wanted: MarkWanted) -> tuple[LaidLeg, LaidLeg]:
    """Lay the through leg and the branch."""
    along_mm = STEP_MM * np.arange(int(UP_TO_MM / STEP_MM))
    turned = np.zeros(len(along_mm))
    angle = radians(wanted.parting.angle_deg)
    if wanted.back is not None:
        # Where a straight at that height would be met, less the tangent of the curve.
        meets_mm = wanted.back.parallel_mm / sin(angle)
        begins_mm = meets_mm - wanted.back.radius_mm * tan(angle / 2)
        turned = np.clip((along_mm - begins_mm) / wanted.back.radius_mm, 0.0, angle)
    through = laid(np.zeros(len(along_mm)), 1.0, wanted.gauge_mm)
    return through, laid(angle - turned, -1.0, wanted.gauge_mm)


def walked_mm(wanted: MarkWanted) -> tuple[float, float]:
    """Return the first places along both legs from which on nothing of the other leg is
    nearer, by trying places a mm apart, and about the last that is nearer all of them.
    """
    legs = both_legs(wanted)
    by_rails = wanted.between == "near_rails"
    lines = [leg.near_rail if by_rails else leg.centre for leg in legs]
    found = []
    for leg, own, other in zip(legs, lines, reversed(lines), strict=True):
        first, last = other[0] - other[1], other[-1] - other[-2]
        # The other leg goes on at both its ends: points lie in track.
        before = other[0] + first / STEP_MM * FAR_MM
        beyond = other[-1] + last / STEP_MM * FAR_MM
        line = LineString([before, *other[::SOME], beyond])
        # A leg's rail begins at the nose: before it both rails are one road's.
        begins = int(np.argmax(own[:, 0] > 0))
        some = np.arange(begins, len(own), SOME)
        row = some[near_rows(own[some], line, wanted.apart_mm)[-1]]
        every = np.arange(row, min(row + SOME + 1, len(own)))
        row = every[near_rows(own[every], line, wanted.apart_mm)[-1]]
        found.append(leg.along_mm[row + 1])
    return found[0], found[1]


def near_rows(
    places: NDArray[np.float64], line: LineString, apart_mm: float
) -> NDArray[np.int64]:
    """Return the rows of places that are nearer to a line."""
    return np.flatnonzero(distance(points(places), line) < apart_mm - 1e-7)


def wanted(
    angle_deg: float,
    apart_mm: float,
    back: tuple[float, float] | None = None,
    between: Between = "centre_lines",
) -> MarkWanted:
    way_back = None
    if back is not None:
        parallel_mm, radius_mm = back
        way_back = WayBack(parallel_mm=parallel_mm, radius_mm=radius_mm)
    return MarkWanted(
        parting=Parting(angle_deg),
        gauge_mm=16.5,
        apart_mm=apart_mm,
        between=between,
        back=way_back,
    )


WALKED = [
    wanted(9.527, 45),
    wanted(9.527, 45, (50, 914)),
    wanted(9.527, 45, (46, 914)),
    wanted(9.527, 45, (80, 914)),  # clear on the straight
    wanted(
        9.527, 45, (57.5, 914)
    ),  # the through leg's on the straight, not the branch's
    wanted(12, 45, (52, 610)),
    wanted(22.5, 45, (67, 438)),
    wanted(45, 45, (50, 46)),  # the curve's middle lies between the roads
    wanted(53, 45, (50, 20)),
    wanted(9.527, 28.5, None, "near_rails"),
    wanted(9.527, 28.5, (50, 914), "near_rails"),
    wanted(12, 30, (49, 610), "near_rails"),
    wanted(45, 28, (50, 46), "near_rails"),
]


@at_each("case", WALKED)
def test_the_mark_is_the_first_place_from_which_on_nothing_is_nearer(
    case: MarkWanted,
) -> None:
    found = marks(case)
    through_mm, branch_mm = walked_mm(case)
    assert isclose(found.through.from_crossing_mm, through_mm, abs_tol=0.05)
    assert isclose(found.branch.from_crossing_mm, branch_mm, abs_tol=0.05)
    assert found.from_crossing_mm >= max(through_mm, branch_mm) - 0.05


@at_each("case", WALKED)
def test_the_mark_joins_the_places_of_both_legs(case: MarkWanted) -> None:
    found = marks(case)
    by_rails = case.between == "near_rails"
    places = []
    for leg, mark in zip(both_legs(case), (found.through, found.branch), strict=True):
        row = round(mark.from_crossing_mm / STEP_MM)
        line = leg.near_rail if by_rails else leg.centre
        places.append(complex(*line[row]))
        assert abs(places[-1] - mark.place) < 0.05
    assert isclose(found.length_mm, abs(places[1] - places[0]), abs_tol=0.1)


@at_each("case", WALKED)
def test_a_mark_squared_across_from_the_branch_is_too_near_by_what_is_told(
    case: MarkWanted,
) -> None:
    """Square across from the branch's mark the through leg is nearer to the nose; there
    a place of the branch is closer than it should be.
    """
    found = marks(case)
    squared_mm = found.branch.place.real
    error_mm = found.through.place.real - squared_mm
    assert isclose(found.squaring_mm, error_mm, abs_tol=1e-9)
    assert found.squaring_mm >= 0


@at_each("case", WALKED)
def test_the_way_from_the_nose_is_what_the_tape_shows(case: MarkWanted) -> None:
    """Along the centre line from abreast of the nose, or along the near rail from the
    nose itself.
    """
    found = marks(case)
    _, branch = both_legs(case)
    rows = round(found.branch.from_crossing_mm / STEP_MM)
    by_rails = case.between == "near_rails"
    line = branch.near_rail if by_rails else branch.centre
    # The near rails meet half a gauge off both lines.
    nose = complex(8.25 / tan(radians(case.parting.angle_deg) / 2), 8.25)
    abreast_mm = abs(nose) * cos(radians(case.parting.angle_deg) / 2)
    first = round(abreast_mm / STEP_MM)
    steps_mm = np.hypot(*np.diff(line[first : rows + 1], axis=0).T)
    assert isclose(found.branch.from_nose_mm, steps_mm.sum(), abs_tol=0.05)


def test_roads_that_stay_closer_than_the_mark_are_never_clear() -> None:
    assert outcome(wanted(9.527, 45, (44.9, 914))) == "never_clear"
    assert outcome(wanted(9.527, 45, (45, 914))) == "clear"
    assert outcome(wanted(9.527, 28.5, (44.9, 914), "near_rails")) == "never_clear"
    assert outcome(wanted(9.527, 28.5, (45, 914), "near_rails")) == "clear"
    # Worse than that it cannot be laid either.
    assert outcome(wanted(9.527, 45, (44, 9140))) == "never_clear"


def test_a_curve_back_that_begins_within_the_points_is_not_laid() -> None:
    """R tan(α ÷ 2) before where the branch would meet its parallel it must still be
    beyond the nose: at 90 degrees between them it is easily seen.
    """
    case = wanted(53.130102354155978, 30, (40, 10))
    # sin α = 4/5, tan(α ÷ 2) = 1/2: 50 less 5 against a nose at 16.5.
    assert outcome(case) == "clear"
    assert isclose(greatest_radius_mm(case, parallel_mm=40), 67.0)
    assert outcome(wanted(53.130102354155978, 30, (40, 66.99))) == "clear"
    assert outcome(wanted(53.130102354155978, 30, (40, 67.01))) == "cannot_be_laid"
    assert isclose(least_parallel_mm(case, radius_mm=67), 40.0)
    with pytest.raises(ValueError, match="cannot_be_laid"):
        marks(wanted(53.130102354155978, 30, (40, 67.01)))


def test_a_road_holds_its_length_beyond_the_mark_at_each_end_with_points() -> None:
    found = marks(wanted(30.0, 45))
    nose_mm = 8.25 / tan(radians(15))
    out_mm = 90.0 - nose_mm
    both = held_roads(found, standing_length_mm=1000, ends=None)
    assert both.nose_to_nose_mm is not None
    assert both.nose_to_stop_mm is not None
    assert isclose(both.nose_to_nose_mm, 1000 + 2 * out_mm)
    assert isclose(both.nose_to_stop_mm, 1000 + out_mm)
    one, two = (held_roads(found, standing_length_mm=1000, ends=n) for n in (1, 2))
    assert (one.nose_to_nose_mm, one.nose_to_stop_mm) == (None, both.nose_to_stop_mm)
    assert (two.nose_to_nose_mm, two.nose_to_stop_mm) == (both.nose_to_nose_mm, None)
    assert held_roads(found, standing_length_mm=None, ends=None) == held_roads(
        found, standing_length_mm=None, ends=2
    )


def test_lines_that_do_not_part_are_refused() -> None:
    for angle_deg in (0.0, -1.0, 90.0):
        with pytest.raises(ValueError, match="angle_deg"):
            Parting(angle_deg)
