"""Bodies as rectangles: throws on one radius by their formulas, gaps by shapely."""

from math import hypot, pi, sqrt

import numpy as np
import pytest
import shapely  # type: ignore[import-untyped] # ships no types
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.track.paths.outlines import (
    Outline,
    Rectangles,
    apart_mm,
    rectangles,
    surely_apart_mm,
)
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import arc
from standage.railway.track.paths.wheels import Wheels

places = st.complex_numbers(max_magnitude=60, allow_nan=False)
turns = st.floats(-pi, pi)
halves = st.floats(0.5, 40)


@pytest.mark.parametrize("radius_mm", [371.0, 438.0, 610.0, 914.0])
def test_a_body_on_one_radius_swings_by_the_text_books_throws(radius_mm: float) -> None:
    """R_m = √(R² − (p/2)² − (a/2)²) to its middle line, and corners by Pythagoras."""
    path = Path((arc(3000.0, radius_mm=radius_mm, hand="left"),))
    wheels = Wheels(pivots_mm=186.0, bogie_wheelbase_mm=34.0)
    body = Outline(wheels=wheels, ahead_mm=129.0, behind_mm=129.0, half_width_mm=18.0)
    placed = rectangles(path, np.array([900.0, 1500.0]), body)
    centre = 1j * radius_mm
    to_middle_mm = sqrt(radius_mm**2 - 93.0**2 - 17.0**2)
    corners_mm = np.abs(placed.corners - centre)
    assert np.allclose(corners_mm.max(axis=0), hypot(to_middle_mm + 18, 129), atol=1e-6)
    inner_mm = np.abs(placed.middle - centre) - 18
    assert np.allclose(inner_mm, to_middle_mm - 18, atol=1e-6)


def test_a_body_that_reaches_farther_ahead_lies_ahead_of_its_pivots() -> None:
    path = Path(()).going_on
    wheels = Wheels(pivots_mm=40.0)
    body = Outline(wheels=wheels, ahead_mm=50.0, behind_mm=30.0, half_width_mm=10.0)
    placed = rectangles(path, np.array([100.0]), body)
    assert sorted(placed.corners[:, 0].real) == pytest.approx([50, 50, 130, 130])
    turned = rectangles(path, np.array([100.0]), body.turned_about)
    assert sorted(turned.corners[:, 0].real) == pytest.approx([30, 30, 110, 110])


def one_rectangle(
    middle: complex, turn: float, sizes: tuple[float, float]
) -> Rectangles:
    axis = np.array([np.exp(1j * turn)])
    return Rectangles(np.array([middle]), axis, *sizes)


def polygon(of: Rectangles) -> shapely.Polygon:
    corners = of.corners[:, 0]
    in_turn = corners[[0, 1, 3, 2]]
    return shapely.Polygon([(one.real, one.imag) for one in in_turn])


@given(
    middle=places,
    turn=turns,
    sizes=st.tuples(halves, halves),
    other_sizes=st.tuples(halves, halves),
)
def test_rectangles_are_as_far_apart_as_shapely_has_them(
    middle: complex,
    turn: float,
    sizes: tuple[float, float],
    other_sizes: tuple[float, float],
) -> None:
    one = one_rectangle(0j, 0.0, sizes)
    other = one_rectangle(middle, turn, other_sizes)
    apart = float(apart_mm(one, other)[0])
    wanted = polygon(one).distance(polygon(other))
    assert max(apart, 0.0) == pytest.approx(wanted, abs=1e-9)
    overlap = polygon(one).intersection(polygon(other)).area
    assert (apart < -1e-9) <= (overlap > 0)
    assert float(surely_apart_mm(one, other)[0]) <= apart + 1e-12


@given(middle=places, turn=turns, sizes=st.tuples(halves, halves))
def test_rectangles_that_overlap_lie_side_by_side_once_moved_by_as_much(
    middle: complex, turn: float, sizes: tuple[float, float]
) -> None:
    one = one_rectangle(0j, 0.0, sizes)
    other = one_rectangle(middle, turn, (30.0, 20.0))
    into_mm = -float(apart_mm(one, other)[0])
    if into_mm <= 0:
        return
    axes = (1, -1, 1j, -1j, *(np.exp(1j * turn) * np.array([1, -1, 1j, -1j])))
    moved = [
        one_rectangle(middle + axis * into_mm, turn, (30.0, 20.0)) for axis in axes
    ]
    least_mm = max(float(apart_mm(one, there)[0]) for there in moved)
    assert least_mm == pytest.approx(0, abs=1e-9)
