"""How far bodies reach aside that run out of a curve, against bodies that are laid down
by hand at every half mm and measured by shapely.
"""

from itertools import product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from standage.railway.lineside.beyond_curves import CurveEnd, Reached, Sweep
from standage.railway.passing.gaps import Passer
from standage.railway.track.paths.outlines import Outline
from standage.railway.track.paths.wheels import Wheels
from support.laid_beside import Laid, Line
from support.walks import at_each

COACH = Laid(186, 0, 129, 129, 36)
WELL_WAGON = Laid(150, 26, 140, 118, 34)
"""Its ends lie unevenly about its bogies."""
ENGINE = Laid(70, 0, 95, 60, 37)
NEAR_MM = 0.03
"""Between two places of half a mm a body's reach changes by less."""


def outline(body: Laid) -> Outline:
    return Outline(
        wheels=Wheels(pivots_mm=body.pivots_mm, bogie_wheelbase_mm=body.bogie_mm),
        ahead_mm=body.ahead_mm,
        behind_mm=body.behind_mm,
        half_width_mm=body.width_mm / 2,
    )


def reached(body: Outline, curve: CurveEnd) -> Reached:
    sweep = Sweep(body, curve)
    return Reached(sweep.inside_mm, sweep.outside_mm, sweep.ends_mm)


CASES = [
    *product([COACH], [438.0, 610.0], [-120.0, -20.0, 0.0, 40.0, 400.0]),
    *product([WELL_WAGON, ENGINE], [371.0], [-60.0, 0.0, 75.0]),
]


@at_each("body, radius_mm, ends_at_mm", CASES)
def test_a_platform_just_so_far_off_is_not_touched_and_one_nearer_is(
    body: Laid, radius_mm: float, ends_at_mm: float
) -> None:
    far = reached(outline(body), CurveEnd(radius_mm, ends_at_mm))
    line = Line(radius_mm, -ends_at_mm)
    bodies = line.bodies(body)
    for edge_mm, is_inside in ((far.inside_mm, True), (far.outside_mm, False)):
        touches_mm = edge_mm - NEAR_MM
        clears_mm = edge_mm + 0.002
        assert line.is_fouled(bodies, touches_mm, is_inside=is_inside)
        assert not line.is_fouled(bodies, clears_mm, is_inside=is_inside)


@at_each("radius_mm, swing_mm", [(438.0, 7.2), (610.0, 5.3), (914.0, 3.6)])
def test_a_coach_swings_over_a_straight_platform_as_published(
    radius_mm: float, swing_mm: float
) -> None:
    """Coach 258, pivots 186, 36 wide: worked examples from outside the project, the
    leading pivot where the curve ends.
    """
    far = reached(outline(COACH), CurveEnd(radius_mm, 0.0))
    assert far.ends_mm - 18 == pytest.approx(swing_mm, abs=0.05)


BODIES = st.builds(
    Laid,
    pivots_mm=st.floats(20, 220),
    bogie_mm=st.floats(0, 40),
    ahead_mm=st.floats(20, 180),
    behind_mm=st.floats(20, 180),
    width_mm=st.floats(10, 60),
)


@settings(max_examples=25)
@given(body=BODIES, radius_mm=st.floats(200, 1500), ends_at_mm=st.floats(-300, 900))
def test_a_body_reaches_hardly_farther_beyond_a_curve_than_on_it(
    body: Laid, radius_mm: float, ends_at_mm: float
) -> None:
    """What makes it crooked is the curve. A body that ends inside its pivots, or stands
    on bogies, comes out a little farther with one of them on the straight.
    """
    assume(max(body[:4]) < radius_mm / 2)
    far = reached(outline(body), CurveEnd(radius_mm, ends_at_mm))
    passer = Passer(
        vehicle="body",
        width_mm=body.width_mm,
        pivots_mm=body.pivots_mm,
        bogie_wheelbase_mm=body.bogie_mm,
        half_length_mm=max(body.ahead_mm, body.behind_mm),
    )
    half_mm = body.width_mm / 2
    inside_mm = passer.stands_in_mm(radius_mm)
    a_quarter_mm = (inside_mm - half_mm) / 4
    outside_mm = max(half_mm, passer.stands_out_mm(radius_mm)) + a_quarter_mm
    assert far.inside_mm <= inside_mm + 1e-6
    assert far.outside_mm <= outside_mm
    assert half_mm <= far.ends_mm <= far.outside_mm + 1e-9
    at_most = Sweep(outline(body), CurveEnd(radius_mm, ends_at_mm)).at_most
    for one, other in zip(far, at_most, strict=True):
        assert one <= other + 1e-9


@settings(max_examples=25)
@given(
    body=BODIES,
    radius_mm=st.floats(200, 1500),
    ends_at_mm=st.floats(-300, 300),
    farther_mm=st.floats(0, 200),
)
def test_a_platform_that_begins_farther_beyond_the_curve_may_lie_as_near(
    body: Laid, radius_mm: float, ends_at_mm: float, farther_mm: float
) -> None:
    near = reached(outline(body), CurveEnd(radius_mm, ends_at_mm))
    far = reached(outline(body), CurveEnd(radius_mm, ends_at_mm - farther_mm))
    for one, other in zip(far, near, strict=True):
        assert one <= other + 1e-4


@at_each("ends_at_mm", [-1e6, -1000.0, -1e-6, 0.0, 1e-6, 1e4, 1e6])
def test_the_largest_and_the_smallest_figures_give_figures(ends_at_mm: float) -> None:
    """Pivots that just span the circle, a body far longer than it, and a kilometre."""
    tight = outline(Laid(199.999, 0, 300, 100, 36))
    long = outline(Laid(10, 0, 1e6, 1e6, 1e-3))
    tiny = outline(Laid(0.01, 0, 0.01, 0.01, 0.01))
    on_circles = ((tight, 100.0), (long, 300.0), (tiny, 1e6), (long, 1e6), (tiny, 1e-9))
    for body, radius_mm in on_circles:
        for figure in reached(body, CurveEnd(radius_mm, ends_at_mm)):
            assert body.half_width_mm <= figure < 1e7
