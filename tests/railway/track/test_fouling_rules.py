"""The rules of fouling points by spacing, one by one, each by another way of reckoning."""

from math import cos, isclose, radians, sin, sqrt
from typing import Any

import pytest

from standage.railway.terms.scales import ScaleName
from standage.railway.track.fouling.spacings import largest_stock, spacing_of, throw_mm
from support.track_plans import (
    Document,
    curve,
    passing_loop,
    points,
    read_plan,
    straight,
    taped_points,
    worked,
)

SPACINGS: list[tuple[ScaleName, float]] = [
    # NEM 112 on running lines
    ("H0", 46.0),
    ("N", 25.0),
    ("TT", 34.0),
    # NMRA S-8
    ("HO", 46.0),
    ("S", 62.0),
    # 11 ft 2 in, 4.0 m and 13 ft in full size, rounded up by common practice
    ("00", 45.0),
    ("EM", 45.0),
    ("P4", 45.0),
    ("N British", 25.0),
    ("0 British", 80.0),
    ("0", 89.0),
    ("O", 82.6),
    ("1", 125.0),
    ("Z", 18.2),
]


@pytest.mark.parametrize(("scale", "spacing_mm"), SPACINGS)
def test_each_scale_has_its_spacing(scale: ScaleName, spacing_mm: float) -> None:
    found = spacing_of(read_plan({"pieces": {}, "joins": [], "scale": scale}))
    assert found is not None
    assert found.mm == spacing_mm


@pytest.mark.parametrize("scale", ["009", "H0m", "HOn3"])
def test_other_scales_have_none(scale: str) -> None:
    plan = read_plan({"pieces": {}, "joins": [], "scale": scale})
    assert spacing_of(plan) is None


@pytest.mark.parametrize(
    ("scale", "sizes"),
    [
        ("00", (258.0, 186.0, 36.0)),
        ("N British", (133.0, 96.0, 19.0)),
        ("H0", (303.0, 218.0, 32.5)),
    ],
)
def test_the_largest_stock_that_is_usual(
    scale: ScaleName, sizes: tuple[float, float, float]
) -> None:
    stock = largest_stock(scale)
    assert (stock.length_mm, stock.pivots_mm, stock.width_mm) == sizes


def test_american_stock_is_85_feet_with_59_feet_6_inches_between_pivots() -> None:
    stock = largest_stock("HO")
    assert isclose(stock.length_mm, 85 * 304.8 / 87.1, abs_tol=0.1)
    assert isclose(stock.pivots_mm, 59.5 * 304.8 / 87.1, abs_tol=0.1)


def spacing_mm(document: Document) -> float:
    (point,) = worked(document).points
    assert point.spacing_mm is not None
    return point.spacing_mm


def end_throw_mm(radius_mm: float) -> float:
    """00's coach, 258 long on 186, 36 wide: its corner beyond the circle of its side."""
    middle_mm = sqrt(radius_mm**2 - 93**2)
    return sqrt((middle_mm + 18) ** 2 + 129**2) - radius_mm - 18


def centre_throw_mm(radius_mm: float) -> float:
    return radius_mm - sqrt(radius_mm**2 - 93**2)


def test_straight_legs_add_no_throw() -> None:
    piece = points(angle_deg=10, branch_straight_mm=900, through_after_blades_mm=900)
    assert spacing_mm({"pieces": {"P": piece}}) == 45


def test_both_legs_of_a_y_add_their_ends_throws_to_one_spacing() -> None:
    piece = {"kind": "y_points", "lead_in_mm": 20, "radius_mm": 900, "angle_deg": 30}
    wanted_mm = 45 + 2 * end_throw_mm(900)
    assert isclose(spacing_mm({"pieces": {"P": piece}}), wanted_mm, abs_tol=1e-9)


def test_a_leg_that_curves_round_the_other_adds_its_middles_throw() -> None:
    """The outer leg of curved points curves towards the inner one, the inner one away:
    both the same way round."""
    piece = {
        "kind": "curved_points",
        "hand": "left",
        "lead_in_mm": 20,
        "outer_radius_mm": 900,
        "inner_radius_mm": 500,
        "outer_angle_deg": 50,
        "inner_angle_deg": 60,
    }
    wanted_mm = 45 + centre_throw_mm(900) + end_throw_mm(500)
    assert isclose(spacing_mm({"pieces": {"P": piece}}), wanted_mm, abs_tol=1e-9)
    stock = largest_stock("00")
    assert throw_mm(stock, "centre", radius_mm=900) == pytest.approx(
        centre_throw_mm(900)
    )


def test_the_mark_is_the_line_that_joins_the_two_points() -> None:
    piece = points(angle_deg=12.0, lead_in_mm=0.0, branch_straight_mm=900.0)
    (point,) = worked({"pieces": {"P": piece}}).points
    out_mm = {leg.leg: leg.farthest.from_blades_mm or 0.0 for leg in point.legs}
    through = complex(out_mm["through"], 0)
    turn = radians(12)
    beyond_mm = out_mm["branch"] - 610 * turn
    branch = complex(610 * sin(turn), 610 * (1 - cos(turn)))
    branch += beyond_mm * complex(cos(turn), sin(turn))
    assert point.mark_length_mm == pytest.approx(abs(through - branch))


def test_what_comes_back_from_beyond_does_not_count() -> None:
    """The branch turns round and comes back over the main line 250 mm out, some 900 mm
    along its own way: only what is no farther than the place and the spacing counts."""
    plain = {"pieces": {"P": points(angle_deg=30, branch_straight_mm=60)}}
    round_again = {
        "pieces": {
            **plain["pieces"],
            "C": curve(150, 200, "right"),
            "S": straight(700),
        },
        "joins": [["P.branch", "C.a"], ["C.b", "S.a"]],
        "fouling_spacing_mm": 45,
    }
    there = worked(round_again).leg_mm("P", "through")
    here = worked({**plain, "fouling_spacing_mm": 45}).leg_mm("P", "through")
    assert there == pytest.approx(here)


def test_a_limit_on_the_next_piece_lies_there() -> None:
    """45 mm of spacing lie beyond the branch's 127.8 mm of curve: on what follows."""
    document = {
        "pieces": {"P": points(branch_straight_mm=0), "S": straight(600)},
        "joins": [["P.branch", "S.a"]],
    }
    found = worked(document)
    out_mm = found.leg_mm("P", "branch")
    assert out_mm is not None
    (limits,) = [one.limits for one in found.usable if "S" in one.road.pieces]
    position = limits[0].position
    assert position is not None
    assert position.piece == "S"
    assert position.at_mm == pytest.approx(out_mm - 610 * radians(12), abs=1e-6)


def chained(far_mm: float) -> Document:
    """Two sets of points, the second on the first's branch; both measured."""
    return {
        "pieces": {
            "P": taped_points(fouling_through_mm=300, fouling_branch_mm=far_mm),
            "Q": taped_points(fouling_through_mm=240, fouling_branch_mm=270),
            "S": straight(900),
        },
        "joins": [["P.branch", "Q.toe"], ["Q.through", "S.a"]],
    }


@pytest.mark.parametrize(
    ("far_mm", "because", "in_mm"),
    [
        # Q's tips lie 190 + 30 mm from P's: P's limit reaches 239 or 241 mm beyond.
        (190.0 + 30 + 239, "Q", 240.0),
        (190.0 + 30 + 241, "P", 241.0),
        (10.0, "Q", 240.0),
    ],
)
def test_a_road_ends_at_the_farthest_limit_whichever_points_put_it_there(
    far_mm: float, because: str, in_mm: float
) -> None:
    (road,) = [one for one in worked(chained(far_mm)).usable if "S" in one.road.pieces]
    limit = road.limits[0]
    assert (limit.because, limit.from_blades_mm) == (because, in_mm)
    # 180 mm of Q's through and 900 of S, less the limit: an open end adds nothing.
    assert road.usable_length_mm == 180 + 900 - in_mm


def only_nearly(short_mm: float) -> list[bool]:
    turn = radians(12)
    apart_mm = 2 * 610 * (1 - cos(turn)) + 95 * sin(turn)
    document: Any = {**passing_loop(), "fouling_spacing_mm": apart_mm + short_mm}
    return [
        leg.farthest.only_nearly
        for point in worked(document).points
        for leg in point.legs
    ]


@pytest.mark.parametrize(("short_mm", "nearly"), [(0.009, True), (-0.009, False)])
def test_a_point_that_is_only_nearly_clear_says_so(
    short_mm: float, *, nearly: bool
) -> None:
    assert only_nearly(short_mm) == [nearly] * 4


def test_track_that_ends_goes_straight_on_for_this_alone() -> None:
    """As if as much straight track were laid there as is wanted."""
    short = points(branch_straight_mm=0.0, through_after_blades_mm=5.0)
    long = points(branch_straight_mm=900.0, through_after_blades_mm=900.0)
    one, other = (worked({"pieces": {"P": piece}}) for piece in (short, long))
    for leg in ("through", "branch"):
        assert one.leg_mm("P", leg) == pytest.approx(other.leg_mm("P", leg))
    assert all(leg.farthest.runs_off_the_end for leg in one.points[0].legs)
    assert not any(leg.farthest.runs_off_the_end for leg in other.points[0].legs)
