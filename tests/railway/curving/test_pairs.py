"""Two coupled vehicles on a path: the constant radius in closed form, and drawings that are measured."""

from math import asin, atan2, cos, degrees, hypot, sin, sqrt

import pytest

from standage.railway.curving.buffers import Faces
from standage.railway.curving.pairs import CoupledPair, PairBody, PairStanding, stand
from standage.railway.curving.path import Path, Piece, path
from support.coupled_in_plan import Stock, coupled, drawn

COACH = PairBody(pivots_mm=218.0, bogie_wheelbase_mm=30.0, half_length_mm=151.0, pivot_behind_mm=9.0)
NOSE = PairBody(pivots_mm=120.0, bogie_wheelbase_mm=36.0, half_length_mm=118.0, pivot_behind_mm=12.0)
WAGON = PairBody(pivots_mm=55.0, half_length_mm=52.0, pivot_behind_mm=6.0)
SHORT = PairBody(pivots_mm=40.0, half_length_mm=41.0, pivot_behind_mm=2.5)
PAIRS = [(COACH, COACH), (COACH, WAGON), (WAGON, COACH), (NOSE, COACH), (SHORT, NOSE), (WAGON, SHORT)]


def middle_radius(radius_mm: float, body: PairBody) -> float:
    """**Source** design: R_m = √(R² − (p/2)² − (a/2)²)."""
    return sqrt(radius_mm**2 - (body.bogie_wheelbase_mm / 2) ** 2 - (body.pivots_mm / 2) ** 2)


def half_bend(radius_mm: float, pair: CoupledPair) -> float:
    """Return half the angle between two bodies on a circle.

    Derived: with the mean of the axes level, the leading middle stands R₁ sin θ ahead of the circle's centre and its
    end c₁ cos θ behind that, so that the gap is (R₁ + R₂) sin θ − (c₁ + c₂) cos θ, which one arc-sine solves.
    """
    across = middle_radius(radius_mm, pair.leading) + middle_radius(radius_mm, pair.following)
    along = pair.leading.half_length_mm + pair.following.half_length_mm
    return atan2(along, across) + asin(pair.gap_mm / hypot(along, across))


def steady_points(radius_mm: float, pair: CoupledPair, cut_mm: tuple[float, float]) -> tuple[complex, complex]:
    """Return the two ends, each cut short, in the same frame: x along the mean, y to the left, the centre at (0, 0)."""
    half = half_bend(radius_mm, pair)
    out = [body.half_length_mm - cut for body, cut in zip((pair.leading, pair.following), cut_mm, strict=True)]
    radii = [middle_radius(radius_mm, body) for body in (pair.leading, pair.following)]
    leading = complex(radii[0] * sin(half) - out[0] * cos(half), -radii[0] * cos(half) - out[0] * sin(half))
    following = complex(-radii[1] * sin(half) + out[1] * cos(half), -radii[1] * cos(half) - out[1] * sin(half))
    return leading, following


def steady(radius_mm: float, pair: CoupledPair) -> PairStanding:
    found = stand(path([Piece(curvature=1 / radius_mm)]), pair, first_axle_mm=123.0)
    assert found is not None
    return found


@pytest.mark.parametrize("bodies", PAIRS)
@pytest.mark.parametrize("radius_mm", [371.0, 438.0, 600.0, 1500.0, 1_000_000.0])
def test_on_one_radius_the_ends_stand_aside_as_the_closed_form_says(
    bodies: tuple[PairBody, PairBody], radius_mm: float
) -> None:
    pair = CoupledPair(leading=bodies[0], following=bodies[1], gap_mm=7.0)
    found = steady(radius_mm, pair)
    leading, following = steady_points(radius_mm, pair, (0.0, 0.0))
    assert found.offset_mm == pytest.approx((leading - following).imag, abs=1e-6)
    assert found.bend == pytest.approx(2 * half_bend(radius_mm, pair), abs=1e-9)


@pytest.mark.parametrize("bodies", PAIRS)
@pytest.mark.parametrize("radius_mm", [371.0, 600.0, 1500.0])
def test_on_one_radius_the_couplings_swing_as_the_closed_form_says(
    bodies: tuple[PairBody, PairBody], radius_mm: float
) -> None:
    pair = CoupledPair(leading=bodies[0], following=bodies[1], gap_mm=7.0)
    found = steady(radius_mm, pair)
    leading, following = steady_points(
        radius_mm, pair, (bodies[0].pivot_behind_mm or 0.0, bodies[1].pivot_behind_mm or 0.0)
    )
    line = atan2((leading - following).imag, (leading - following).real)
    half = half_bend(radius_mm, pair)
    assert found.leading_swing is not None
    assert found.following_swing is not None
    assert degrees(abs(found.leading_swing)) == pytest.approx(degrees(abs(half - line)), abs=1e-6)
    assert degrees(abs(found.following_swing)) == pytest.approx(degrees(abs(half + line)), abs=1e-6)


def test_like_vehicles_do_not_stand_aside_on_one_radius_and_both_couplings_swing_half_the_bend() -> None:
    found = steady(438, CoupledPair(leading=COACH, following=COACH, gap_mm=7.0))
    assert found.offset_mm == pytest.approx(0, abs=1e-9)
    assert found.leading_swing == pytest.approx(-found.bend / 2)
    assert found.following_swing == pytest.approx(found.bend / 2)


def test_couplings_on_the_bogies_swing_from_the_bogies_axes() -> None:
    radius_mm, out_mm = 438.0, 20.0
    body = PairBody(
        pivots_mm=COACH.pivots_mm,
        bogie_wheelbase_mm=COACH.bogie_wheelbase_mm,
        half_length_mm=COACH.half_length_mm,
        pivot_behind_mm=COACH.half_length_mm - COACH.pivots_mm / 2 - out_mm,
        on_bogie=True,
    )
    pair = CoupledPair(leading=body, following=body, gap_mm=7.0)
    bogie_radius = sqrt(radius_mm**2 - 15.0**2)
    turned = half_bend(radius_mm, pair) - asin(109 / bogie_radius)
    swing = turned  # like vehicles: the line between the coupling pivots is the mean of the axes
    found = steady(radius_mm, pair)
    assert found.leading_swing == pytest.approx(-swing, abs=1e-9)
    assert found.following_swing == pytest.approx(swing, abs=1e-9)
    assert abs(swing) < half_bend(radius_mm, pair) / 2


def test_on_straight_track_nothing_stands_aside_and_the_follower_is_a_gap_behind() -> None:
    pair = CoupledPair(leading=COACH, following=WAGON, gap_mm=7.0)
    found = stand(path([Piece(curvature=0.0)]), pair, first_axle_mm=0.0)
    assert found is not None
    assert (found.offset_mm, found.bend, found.leading_swing, found.following_swing) == (0, 0, 0, 0)
    assert found.follows_by_mm == pytest.approx(15 + 109 + 151 + 7 + 52 - 27.5)
    assert found.last_axle_mm == pytest.approx(-(found.follows_by_mm + 55))


def test_without_one_couplings_pivot_neither_swing_is_known() -> None:
    bare = PairBody(pivots_mm=55.0, half_length_mm=52.0)
    for pair in (
        CoupledPair(leading=COACH, following=bare, gap_mm=7.0),
        CoupledPair(leading=bare, following=COACH, gap_mm=7.0),
    ):
        found = steady(438, pair)
        assert (found.leading_swing, found.following_swing) == (None, None)
        assert found.offset_mm != 0


def test_wheels_that_span_the_circle_cannot_stand_on_it() -> None:
    circle = path([Piece(curvature=1 / 110)])
    assert stand(circle, CoupledPair(leading=COACH, following=WAGON, gap_mm=7.0), first_axle_mm=0) is None
    assert stand(circle, CoupledPair(leading=WAGON, following=COACH, gap_mm=7.0), first_axle_mm=0) is None
    assert stand(circle, CoupledPair(leading=WAGON, following=WAGON, gap_mm=7.0), first_axle_mm=0) is not None


REVERSE = [(500.0, 1 / 438), (60.0, 0.0), (500.0, -1 / 505)]
ENTRY = [(500.0, 0.0), (500.0, 1 / 371)]


def as_path(pieces: list[tuple[float, float]]) -> Path:
    return path([Piece(curvature=curvature, length_mm=length) for length, curvature in pieces])


@pytest.mark.parametrize(
    ("pieces", "bodies", "axle_mm"),
    [
        (REVERSE, (COACH, COACH), 160.0),
        (REVERSE, (SHORT, NOSE), 40.0),
        (ENTRY, (COACH, WAGON), 290.0),
        (ENTRY, (NOSE, COACH), 90.0),
    ],
)
def test_a_drawing_of_the_passage_measures_the_same(
    pieces: list[tuple[float, float]], bodies: tuple[PairBody, PairBody], axle_mm: float
) -> None:
    pair = CoupledPair(leading=bodies[0], following=bodies[1], gap_mm=7.0)
    found = stand(as_path(pieces), pair, first_axle_mm=axle_mm)
    assert found is not None
    first, second = (
        Stock(each.pivots_mm, each.bogie_wheelbase_mm, each.half_length_mm, each.pivot_behind_mm or 0.0)
        for each in bodies
    )
    seen = coupled(drawn(pieces), 500.0 + axle_mm, (first, second), 7.0, buffers=20.0)
    assert found.offset_mm == pytest.approx(seen.offset, abs=0.002)
    assert found.leading_swing is not None
    assert found.following_swing is not None
    assert abs(degrees(found.leading_swing)) == pytest.approx(abs(seen.leading_swing), abs=0.01)
    assert abs(degrees(found.following_swing)) == pytest.approx(abs(seen.following_swing), abs=0.01)
    inside = Faces(centres_mm=(20.0, 20.0)).gap_mm(7.0, bend=found.bend)
    assert inside == pytest.approx(min(seen.left_gap, seen.right_gap), abs=0.002)


def test_where_the_search_begins_makes_no_difference() -> None:
    pair = CoupledPair(leading=COACH, following=WAGON, gap_mm=7.0)
    one = stand(as_path(REVERSE), pair, first_axle_mm=200)
    other = stand(as_path(REVERSE), pair, first_axle_mm=200, follows_by_mm=330)
    assert one is not None
    assert other is not None
    assert other.offset_mm == pytest.approx(one.offset_mm, abs=1e-7)
