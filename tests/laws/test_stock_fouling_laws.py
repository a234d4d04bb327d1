"""Laws of fouling points by stock, on points of every hand, radius and angle."""

from math import isclose
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from standage.railway.track.fouling.by_stock import stock_limit
from standage.railway.track.fouling.stock_bodies import Clearance, Stock, StockBody
from standage.railway.track.paths.outlines import Outline
from standage.railway.track.paths.wheels import Wheels
from support.track_plans import Document, points, worked

EXACT_MM = 1e-3


def vehicle(length_mm: float, pivots: float, width_mm: float) -> Stock:
    outline = Outline(
        wheels=Wheels(pivots_mm=length_mm * pivots),
        ahead_mm=length_mm / 2,
        behind_mm=length_mm / 2,
        half_width_mm=width_mm / 2,
    )
    return Stock(bodies=(StockBody(outline=outline),))


vehicles = st.builds(
    vehicle, st.floats(60, 300), st.floats(0.4, 0.8), st.floats(25, 45)
)
margins = st.floats(0, 6)
sets = st.fixed_dictionaries(
    {
        "radius_mm": st.floats(300, 2000),
        "angle_deg": st.floats(6, 30),
        "branch_straight_mm": st.just(900.0),
        "through_after_blades_mm": st.just(1200.0),
        "hand": st.sampled_from(("left", "right")),
    }
)


def clear_mm(document: Document, leg: str, wanted: tuple[Stock, Stock, float]) -> float:
    standing, moving, margin_mm = wanted
    asked = Clearance(leg=leg, standing=standing, moving=moving, margin_mm=margin_mm)
    found = stock_limit(worked(document).network, "P", asked)
    assert found.outcome == "clear"
    assert found.from_blades_mm is not None
    return found.from_blades_mm


def plan(figures: Any) -> Document:
    return {"pieces": {"P": points(**figures)}}


@settings(max_examples=15)
@given(figures=sets, one=vehicles, margin_mm=margins)
def test_the_through_leg_is_fouled_farther_out_than_the_branch(
    figures: Any, one: Stock, margin_mm: float
) -> None:
    wanted = (one, one, margin_mm)
    through_mm = clear_mm(plan(figures), "through", wanted)
    assert through_mm >= clear_mm(plan(figures), "branch", wanted) - EXACT_MM


@settings(max_examples=10)
@given(figures=sets, standing=vehicles, moving=vehicles)
def test_points_of_the_other_hand_have_the_same_limits(
    figures: Any, standing: Stock, moving: Stock
) -> None:
    other = {"left": "right", "right": "left"}[figures["hand"]]
    for leg in ("through", "branch"):
        wanted = (standing, moving, 2.0)
        one_mm = clear_mm(plan(figures), leg, wanted)
        mirrored_mm = clear_mm(plan({**figures, "hand": other}), leg, wanted)
        assert isclose(one_mm, mirrored_mm, abs_tol=EXACT_MM)


@settings(max_examples=10)
@given(figures=sets, one=vehicles, margin_mm=margins, more_mm=st.floats(0.1, 5))
def test_a_greater_margin_lies_farther_from_the_blades(
    figures: Any, one: Stock, margin_mm: float, more_mm: float
) -> None:
    for leg in ("through", "branch"):
        less = clear_mm(plan(figures), leg, (one, one, margin_mm))
        more = clear_mm(plan(figures), leg, (one, one, margin_mm + more_mm))
        assert more > less - EXACT_MM


@settings(max_examples=10)
@given(
    figures=sets,
    size=st.tuples(st.floats(60, 300), st.floats(0.4, 0.8), st.floats(25, 45)),
    more_mm=st.floats(0.1, 8),
    other=vehicles,
)
def test_a_wider_vehicle_is_clear_farther_from_the_blades(
    figures: Any, size: tuple[float, float, float], more_mm: float, other: Stock
) -> None:
    length_mm, pivots, width_mm = size
    narrow = vehicle(length_mm, pivots, width_mm)
    wide = vehicle(length_mm, pivots, width_mm + more_mm)
    for leg in ("through", "branch"):
        standing_mm = clear_mm(plan(figures), leg, (narrow, other, 2.0))
        assert clear_mm(plan(figures), leg, (wide, other, 2.0)) > standing_mm
        moving_mm = clear_mm(plan(figures), leg, (other, narrow, 2.0))
        assert clear_mm(plan(figures), leg, (other, wide, 2.0)) > moving_mm - EXACT_MM


@settings(max_examples=10)
@given(figures=sets, one=vehicles, at=st.floats(0.05, 0.95))
def test_a_leg_that_is_laid_in_two_pieces_has_the_same_limit(
    figures: Any, one: Stock, at: float
) -> None:
    whole = plan(figures)
    cut = plan({**figures, "branch_straight_mm": 900.0 * at})
    cut["pieces"]["S"] = {"kind": "straight", "length_mm": 900.0 * (1 - at)}
    cut["joins"] = [["P.branch", "S.a"]]
    for leg in ("through", "branch"):
        wanted = (one, one, 2.0)
        one_mm = clear_mm(whole, leg, wanted)
        assert isclose(one_mm, clear_mm(cut, leg, wanted), abs_tol=EXACT_MM)
