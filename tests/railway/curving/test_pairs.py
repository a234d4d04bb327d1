"""Two coupled vehicles on a path: the constant radius in closed form, and drawings that
are measured.
"""

from math import acos, asin, atan2, cos, degrees, hypot, pi, sin, sqrt

import msgspec
import pytest

from standage.railway.curving.buffers import Faces
from standage.railway.curving.pairs import CoupledPair, PairBody, PairStanding, stand
from standage.railway.track.paths.endless import EndlessPath, endless
from standage.railway.track.paths.runs import even
from support.coupled_in_plan import Measured, Stock, coupled, drawn, linked

COACH = PairBody(
    pivots_mm=218.0, bogie_wheelbase_mm=30.0, half_length_mm=151.0, pivot_behind_mm=9.0
)
NOSE = PairBody(
    pivots_mm=120.0, bogie_wheelbase_mm=36.0, half_length_mm=118.0, pivot_behind_mm=12.0
)
WAGON = PairBody(pivots_mm=55.0, half_length_mm=52.0, pivot_behind_mm=6.0)
SHORT = PairBody(pivots_mm=40.0, half_length_mm=41.0, pivot_behind_mm=2.5)
PAIRS = [
    (COACH, COACH),
    (COACH, WAGON),
    (WAGON, COACH),
    (NOSE, COACH),
    (SHORT, NOSE),
    (WAGON, SHORT),
]


def middle_radius(radius_mm: float, body: PairBody) -> float:
    """**Source** design: R_m = √(R² − (p/2)² − (a/2)²)."""
    return sqrt(
        radius_mm**2 - (body.bogie_wheelbase_mm / 2) ** 2 - (body.pivots_mm / 2) ** 2
    )


def half_bend(radius_mm: float, pair: CoupledPair) -> float:
    """Return half the angle between two bodies on a circle.

    Derived: with the mean of the axes level, the leading middle stands R₁ sin θ ahead
    of the circle's centre and its end c₁ cos θ behind that, so that the gap is (R₁ +
    R₂) sin θ − (c₁ + c₂) cos θ, which one arc-sine solves.
    """
    across = middle_radius(radius_mm, pair.leading) + middle_radius(
        radius_mm, pair.following
    )
    along = pair.leading.half_length_mm + pair.following.half_length_mm
    return atan2(along, across) + asin(pair.gap_mm / hypot(along, across))


def steady_points(
    radius_mm: float, pair: CoupledPair, cut_mm: tuple[float, float]
) -> tuple[complex, complex]:
    """Return the two ends, each cut short, in the same frame: x along the mean, y to
    the left, the centre at (0, 0).
    """
    half = half_bend(radius_mm, pair)
    out = [
        body.half_length_mm - cut
        for body, cut in zip((pair.leading, pair.following), cut_mm, strict=True)
    ]
    radii = [middle_radius(radius_mm, body) for body in (pair.leading, pair.following)]
    leading = complex(
        radii[0] * sin(half) - out[0] * cos(half),
        -radii[0] * cos(half) - out[0] * sin(half),
    )
    following = complex(
        -radii[1] * sin(half) + out[1] * cos(half),
        -radii[1] * cos(half) - out[1] * sin(half),
    )
    return leading, following


def steady(radius_mm: float, pair: CoupledPair) -> PairStanding:
    found = stand(endless([even(1 / radius_mm)]), pair, first_axle_mm=123.0)
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
        radius_mm,
        pair,
        (bodies[0].pivot_behind_mm or 0.0, bodies[1].pivot_behind_mm or 0.0),
    )
    line = atan2((leading - following).imag, (leading - following).real)
    half = half_bend(radius_mm, pair)
    assert found.leading_swing is not None
    assert found.following_swing is not None
    assert degrees(abs(found.leading_swing)) == pytest.approx(
        degrees(abs(half - line)), abs=1e-6
    )
    assert degrees(abs(found.following_swing)) == pytest.approx(
        degrees(abs(half + line)), abs=1e-6
    )


def test_like_vehicles_do_not_stand_aside_on_one_radius_and_both_couplings_swing_half_the_bend() -> (
    None
):
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
    # like vehicles: the line between the coupling pivots is the mean of the axes
    swing = turned
    found = steady(radius_mm, pair)
    assert found.leading_swing == pytest.approx(-swing, abs=1e-9)
    assert found.following_swing == pytest.approx(swing, abs=1e-9)
    assert abs(swing) < half_bend(radius_mm, pair) / 2


def test_on_straight_track_nothing_stands_aside_and_the_follower_is_a_gap_behind() -> (
    None
):
    pair = CoupledPair(leading=COACH, following=WAGON, gap_mm=7.0)
    found = stand(endless([even(0.0)]), pair, first_axle_mm=0.0)
    assert found is not None
    assert (
        found.offset_mm,
        found.bend,
        found.leading_swing,
        found.following_swing,
    ) == (0, 0, 0, 0)
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
    circle = endless([even(1 / 110)])
    assert (
        stand(
            circle,
            CoupledPair(leading=COACH, following=WAGON, gap_mm=7.0),
            first_axle_mm=0,
        )
        is None
    )
    assert (
        stand(
            circle,
            CoupledPair(leading=WAGON, following=COACH, gap_mm=7.0),
            first_axle_mm=0,
        )
        is None
    )
    assert (
        stand(
            circle,
            CoupledPair(leading=WAGON, following=WAGON, gap_mm=7.0),
            first_axle_mm=0,
        )
        is not None
    )


REVERSE = [(500.0, 1 / 438), (60.0, 0.0), (500.0, -1 / 505)]
ENTRY = [(500.0, 0.0), (500.0, 1 / 371)]


def as_path(runs: list[tuple[float, float]]) -> EndlessPath:
    return endless([even(curvature, length_mm=length) for length, curvature in runs])


@pytest.mark.parametrize(
    ("runs", "bodies", "axle_mm"),
    [
        (REVERSE, (COACH, COACH), 160.0),
        (REVERSE, (SHORT, NOSE), 40.0),
        (ENTRY, (COACH, WAGON), 290.0),
        (ENTRY, (NOSE, COACH), 90.0),
    ],
)
def test_a_drawing_of_the_passage_measures_the_same(
    runs: list[tuple[float, float]], bodies: tuple[PairBody, PairBody], axle_mm: float
) -> None:
    pair = CoupledPair(leading=bodies[0], following=bodies[1], gap_mm=7.0)
    found = stand(as_path(runs), pair, first_axle_mm=axle_mm)
    assert found is not None
    first, second = (
        Stock(
            each.pivots_mm,
            each.bogie_wheelbase_mm,
            each.half_length_mm,
            each.pivot_behind_mm or 0.0,
        )
        for each in bodies
    )
    seen = coupled(drawn(runs), 500.0 + axle_mm, (first, second), 7.0, buffers=20.0)
    assert found.offset_mm == pytest.approx(seen.offset, abs=0.002)
    assert found.leading_swing is not None
    assert found.following_swing is not None
    assert abs(degrees(found.leading_swing)) == pytest.approx(
        abs(seen.leading_swing), abs=0.01
    )
    assert abs(degrees(found.following_swing)) == pytest.approx(
        abs(seen.following_swing), abs=0.01
    )
    inside = Faces(centres_mm=(20.0, 20.0)).gap_mm(7.0, bend=found.bend)
    assert inside == pytest.approx(min(seen.left_gap, seen.right_gap), abs=0.002)


# --- a link between the two pivots


def closed_link(radius_mm: float, pair: CoupledPair) -> tuple[float, float, float]:
    """Return the angle between two bodies joined by a link on a circle, and the two
    swings, all in radians.

    Derived: a pivot u from its body's middle runs on a circle of √(R_m² + u²), and
    stands atan(u ÷ R_m) round from that middle; two circles, and the link between them,
    make a triangle, which the cosine rule solves.
    """
    out = [
        each.half_length_mm - (each.pivot_behind_mm or 0.0)
        for each in (pair.leading, pair.following)
    ]
    middles = [
        middle_radius(radius_mm, each) for each in (pair.leading, pair.following)
    ]
    circles = [hypot(middle, along) for middle, along in zip(middles, out, strict=True)]
    link = pair.gap_mm + sum(
        each.pivot_behind_mm or 0.0 for each in (pair.leading, pair.following)
    )
    between = acos(
        (circles[0] ** 2 + circles[1] ** 2 - link**2) / (2 * circles[0] * circles[1])
    )
    round_from = [
        atan2(along, middle) for along, middle in zip(out, middles, strict=True)
    ]
    at_leading = acos(
        (circles[0] ** 2 + link**2 - circles[1] ** 2) / (2 * circles[0] * link)
    )
    at_following = acos(
        (circles[1] ** 2 + link**2 - circles[0] ** 2) / (2 * circles[1] * link)
    )
    swings = [
        pi / 2 + one - at
        for one, at in zip(round_from, (at_leading, at_following), strict=True)
    ]
    return between + sum(round_from), swings[0], swings[1]


@pytest.mark.parametrize("bodies", PAIRS)
@pytest.mark.parametrize("radius_mm", [371.0, 438.0, 600.0, 1500.0, 1_000_000.0])
def test_on_one_radius_a_link_swings_as_the_triangle_says(
    bodies: tuple[PairBody, PairBody], radius_mm: float
) -> None:
    pair = CoupledPair(leading=bodies[0], following=bodies[1], gap_mm=7.0, linked=True)
    found = steady(radius_mm, pair)
    bend, leading, following = closed_link(radius_mm, pair)
    assert found.leading_swing is not None
    assert found.following_swing is not None
    tolerance = 1e-6 if radius_mm < 1e5 else 1e-4  # an arc cosine near 1 is no better
    assert degrees(found.bend) == pytest.approx(degrees(bend), abs=tolerance)
    assert degrees(abs(found.leading_swing)) == pytest.approx(
        degrees(abs(leading)), abs=tolerance
    )
    assert degrees(abs(found.following_swing)) == pytest.approx(
        degrees(abs(following)), abs=tolerance
    )


CARRIAGE = PairBody(pivots_mm=186.0, half_length_mm=129.0, pivot_behind_mm=10.0)
LINKED = [
    (REVERSE, (COACH, COACH), 160.0),
    (REVERSE, (SHORT, NOSE), 40.0),
    (REVERSE, (COACH, WAGON), 330.0),
    (ENTRY, (COACH, WAGON), 290.0),
    (ENTRY, (NOSE, COACH), 90.0),
]


@pytest.mark.parametrize(("runs", "bodies", "axle_mm"), LINKED)
def test_a_drawing_with_a_link_from_pivot_to_pivot_measures_the_same(
    runs: list[tuple[float, float]], bodies: tuple[PairBody, PairBody], axle_mm: float
) -> None:
    pair = CoupledPair(leading=bodies[0], following=bodies[1], gap_mm=7.0, linked=True)
    found = stand(as_path(runs), pair, first_axle_mm=axle_mm)
    assert found is not None
    seen = drawn_linked(runs, pair, axle_mm)
    assert found.offset_mm == pytest.approx(seen.offset, abs=0.002)
    assert found.leading_swing is not None
    assert found.following_swing is not None
    assert abs(degrees(found.leading_swing)) == pytest.approx(
        abs(seen.leading_swing), abs=0.01
    )
    assert abs(degrees(found.following_swing)) == pytest.approx(
        abs(seen.following_swing), abs=0.01
    )


def drawn_linked(
    runs: list[tuple[float, float]], pair: CoupledPair, axle_mm: float
) -> Measured:
    first, second = (
        Stock(
            each.pivots_mm,
            each.bogie_wheelbase_mm,
            each.half_length_mm,
            each.pivot_behind_mm or 0.0,
        )
        for each in (pair.leading, pair.following)
    )
    link_mm = pair.gap_mm + first.behind + second.behind
    return linked(drawn(runs), 500.0 + axle_mm, (first, second), link_mm, buffers=20.0)


@pytest.mark.parametrize(
    ("straight_mm", "swing_deg", "offset_mm"),
    [(0.0, 31.06, 14.68), (100.0, 25.20, None), (104.0, 24.96, None)],
)
def test_two_coaches_pull_through_a_reverse_curve_as_the_design_reckons(
    straight_mm: float, swing_deg: float, offset_mm: float | None
) -> None:
    """Coaches 258 over buffers, pivots 186, reach 4.5, coupling pivots 10 behind, R
    600; the worst place drawn too.
    """
    runs = [(500.0, 1 / 600), (straight_mm, 0.0), (700.0, -1 / 600)]
    pair = CoupledPair(leading=CARRIAGE, following=CARRIAGE, gap_mm=9.0, linked=True)
    steps_mm = range(150, 520, 2)
    found = [stand(as_path(runs), pair, first_axle_mm=each) for each in steps_mm]
    swings = [
        degrees(abs(each.leading_swing or 0.0)) for each in found if each is not None
    ]
    assert max(swings) == pytest.approx(swing_deg, abs=0.01)
    if offset_mm is not None:
        assert max(
            abs(each.offset_mm) for each in found if each is not None
        ) == pytest.approx(offset_mm, abs=0.01)
    worst_mm = steps_mm[swings.index(max(swings))]
    seen = drawn_linked(runs, pair, worst_mm)
    assert max(abs(seen.leading_swing), abs(seen.following_swing)) == pytest.approx(
        swing_deg, abs=0.02
    )


def test_a_link_too_short_to_reach_sideways_couples_nothing() -> None:
    short = msgspec.structs.replace(CARRIAGE, pivot_behind_mm=1.0)
    pair = CoupledPair(leading=short, following=short, gap_mm=1.0, linked=True)
    sharp = as_path([(500.0, 1 / 600), (0.0, 0.0), (700.0, -1 / 600)])
    assert stand(sharp, pair, first_axle_mm=240) is None
    assert (
        stand(sharp, msgspec.structs.replace(pair, linked=False), first_axle_mm=240)
        is not None
    )


@pytest.mark.parametrize("missing", ["leading", "following"])
def test_without_a_pivot_there_is_no_link_and_the_gap_is_held(missing: str) -> None:
    bare = msgspec.structs.replace(COACH, pivot_behind_mm=None)
    bodies = {"leading": COACH, "following": WAGON} | {missing: bare}
    pair = CoupledPair(**bodies, gap_mm=7.0, linked=True)
    assert pair.link_mm is None
    assert steady(438, pair) == steady(438, msgspec.structs.replace(pair, linked=False))


def test_where_the_search_begins_makes_no_difference() -> None:
    pair = CoupledPair(leading=COACH, following=WAGON, gap_mm=7.0)
    one = stand(as_path(REVERSE), pair, first_axle_mm=200)
    other = stand(as_path(REVERSE), pair, first_axle_mm=200, follows_by_mm=330)
    assert one is not None
    assert other is not None
    assert other.offset_mm == pytest.approx(one.offset_mm, abs=1e-7)
