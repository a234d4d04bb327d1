"""Fouling points: closed forms, published marks, and a walk with shapely's
distances."""

from math import atan, ceil, cos, inf, isclose, pi, radians, sin, sqrt
from typing import Any

import numpy as np
import pytest
from shapely import LineString, Point  # type: ignore[import-untyped] # ships no types

from standage.railway.terms.scales import ScaleName
from standage.railway.track.fouling.fouling import Rules, fouling_point
from standage.railway.track.fouling.spacings import BY_SCALE, Spacing, spacing_of
from standage.railway.track.network.network import network
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import Run, arc, transition
from standage.railway.track.paths.runs import straight as straight_run
from standage.railway.track.placing.placing import placing
from support.track_plans import (
    Worked,
    curve,
    passing_loop,
    points,
    read_plan,
    straight,
    taped_points,
    worked,
)


def only_mm(document: Any, leg: str) -> float:
    (name,) = [
        name for name, one in document["pieces"].items() if "straight" not in one
    ]
    value = worked(document).leg_mm(name, leg)
    assert value is not None
    return value


def from_nose_mm(found: Worked, leg: str) -> float:
    (point,) = found.points
    (own,) = [one for one in point.legs if one.leg == leg]
    assert own.farthest.from_nose_mm is not None
    return own.farthest.from_nose_mm


def diamond(angle_deg: float) -> Any:
    piece = {
        "kind": "diamond",
        "angle_deg": angle_deg,
        "a_mm": [50, 50],
        "b_mm": [50, 50],
    }
    return {"pieces": {"D": piece}}


def test_the_published_mark_of_a_1_in_9_25_crossing() -> None:
    """1,970 mm between near rails: 18,328.7 mm out, the mark 1,972.86 mm, 106.18 off
    square.

    **Source** a permanent-way engineer's published example, 2023. Its lines are the
    near rails, here the centre lines.
    """
    turn = atan(1 / 9.25)
    found = worked({**diamond(turn * 180 / pi), "fouling_spacing_mm": 1970})
    (point,) = found.points
    out_mm = found.leg_mm("D", "a1")
    assert out_mm is not None
    assert isclose(out_mm, 18_328.7, abs_tol=0.05)
    assert point.mark_length_mm is not None
    assert isclose(point.mark_length_mm, 1_972.86, abs_tol=0.005)
    # Squared over from the one line, the other's place is taken nearer the nose.
    squared_mm = out_mm - out_mm * cos(turn)
    assert isclose(squared_mm, 106.18, abs_tol=0.05)


@pytest.mark.parametrize(
    ("scale", "spacing_mm", "number", "number_is", "wanted_mm"),
    [
        # Derived, straight legs, from the nose: 1 ÷ sin α = N + 1/4N.
        ("00", 45.0, 6, "centre_line", 172.875),
        ("H0", 46.0, 9, "tangent", 267.591),
        ("N", 25.0, 6, "centre_line", 97.042),
    ],
)
def test_straight_legs_have_the_mark_that_the_number_gives(
    scale: ScaleName,
    spacing_mm: float,
    number: int,
    number_is: str,
    wanted_mm: float,
) -> None:
    angle = atan(1 / number) if number_is == "tangent" else 2 * atan(1 / (2 * number))
    found = worked({"scale": scale, **diamond(angle * 180 / pi)})
    assert spacing_of(found.plan) is not None
    assert BY_SCALE[scale] == spacing_mm
    assert isclose(from_nose_mm(found, "a1"), wanted_mm, abs_tol=0.0005)


def test_the_mark_of_a_no_6_in_00_is_45_156_long() -> None:
    angle_deg = 2 * atan(1 / 12) * 180 / pi
    (point,) = worked(diamond(angle_deg)).points
    assert point.mark_length_mm is not None
    assert isclose(point.mark_length_mm, 45.156, abs_tol=0.0005)


def test_measured_points_with_a_nose_have_the_straight_legs_mark() -> None:
    document = {"pieces": {"P": taped_points(number=6, nose_mm=100)}}
    assert isclose(only_mm(document, "through"), 272.875, abs_tol=1e-9)


def test_measured_figures_overrule_what_is_laid_out() -> None:
    document = {"pieces": {"P": points(fouling_through_mm=333)}}
    found = worked(document)
    assert found.leg_mm("P", "through") == 333
    assert found.leg_mm("P", "branch") != 333


def test_measured_points_without_fouling_figures_cannot_be_told() -> None:
    (point,) = worked({"pieces": {"P": taped_points()}}).points
    assert {one.farthest.from_blades_mm for one in point.legs} == {None}
    assert {one.farthest.unknown for one in point.legs} == {"P"}


def test_a_scale_without_a_spacing_cannot_be_told_unless_it_is_given() -> None:
    document = {"scale": "009", "pieces": {"P": points()}}
    assert worked(document).leg_mm("P", "through") is None
    found = worked({**document, "fouling_spacing_mm": 30})
    assert found.leg_mm("P", "through") is not None


def sampled_mm(own: Path, other: Path, spacing_mm: float) -> float:
    """Walk along one path, 0.05 mm a step, until shapely has the other one far enough
    off."""
    whole = np.arange(0, other.length_mm, 0.25)
    at = other.at(whole)
    corners = np.column_stack((at.x_mm, at.y_mm))
    for at_mm in np.arange(spacing_mm / 2, own.length_mm, 0.05):
        pose = own.pose(float(at_mm))
        upto = ceil((at_mm + spacing_mm) / 0.25)
        line = LineString(corners[: max(2, upto)])
        if line.distance(Point(pose.x_mm, pose.y_mm)) >= spacing_mm:
            return float(at_mm)
    return inf


def path_of(*runs: Run) -> Path:
    return Path((*runs, straight_run(3000.0)))


def turnout(radius_mm: float, angle_deg: float, hand: Any) -> Run:
    return arc(radius_mm * radians(angle_deg), radius_mm=radius_mm, hand=hand)


@pytest.mark.parametrize(
    ("radius_mm", "angle_deg"),
    [(610.0, 12.0), (438.0, 22.5), (300.0, 80.0), (2000.0, 9.0)],
)
def test_a_curved_branch_is_clear_where_a_walk_finds_it(
    radius_mm: float, angle_deg: float
) -> None:
    piece = points(
        radius_mm=radius_mm, angle_deg=angle_deg, branch_straight_mm=0, lead_in_mm=0
    )
    found = worked({"pieces": {"P": piece}, "fouling_spacing_mm": 45})
    through = path_of(straight_run(180))
    branch = path_of(turnout(radius_mm, angle_deg, "left"))
    for leg, own, other in (("through", through, branch), ("branch", branch, through)):
        at_mm = found.leg_mm("P", leg)
        assert at_mm is not None
        assert isclose(at_mm, sampled_mm(own, other, 45), abs_tol=0.06)


def test_curved_points_are_clear_where_a_walk_finds_it() -> None:
    piece = {
        "kind": "curved_points",
        "hand": "right",
        "lead_in_mm": 20,
        "outer_radius_mm": 900,
        "inner_radius_mm": 600,
        "outer_angle_deg": 20,
        "inner_angle_deg": 30,
    }
    found = worked({"pieces": {"P": piece}, "fouling_spacing_mm": 45})
    outer = path_of(turnout(900, 20, "right"))
    inner = path_of(turnout(600, 30, "right"))
    for leg, own, other in (("outer", outer, inner), ("inner", inner, outer)):
        at_mm = found.leg_mm("P", leg)
        assert at_mm is not None
        assert isclose(at_mm, sampled_mm(own, other, 45), abs_tol=0.06)


def test_a_transition_after_the_points_is_clear_where_a_walk_finds_it() -> None:
    bend = {
        "kind": "transition",
        "length_mm": 300,
        "radius_from_mm": None,
        "radius_to_mm": 500,
        "hand": "right",
    }
    document = {
        "pieces": {"P": points(branch_straight_mm=0), "T": bend, "S": straight(900)},
        "joins": [["P.branch", "T.a"], ["T.b", "S.a"]],
        "fouling_spacing_mm": 38,
    }
    found = worked(document)
    run = transition(300, radius_from_mm=None, radius_to_mm=500, hand="right")
    branch = path_of(turnout(610, 12, "left"), run)
    at_mm = found.leg_mm("P", "branch")
    assert at_mm is not None
    assert isclose(at_mm, sampled_mm(branch, path_of(), 38), abs_tol=0.06)


def test_the_legs_of_a_y_are_clear_at_one_place_by_symmetry() -> None:
    piece = {"kind": "y_points", "lead_in_mm": 20, "radius_mm": 900, "angle_deg": 12}
    found = worked({"pieces": {"P": piece}, "fouling_spacing_mm": 45})
    left, right = found.leg_mm("P", "left"), found.leg_mm("P", "right")
    assert left is not None
    assert right is not None
    assert isclose(left, right)
    near, far = (path_of(turnout(900, 12, hand)) for hand in ("left", "right"))
    assert isclose(left, sampled_mm(near, far, 45), abs_tol=0.06)


def test_a_three_way_set_is_clear_of_both_others_on_every_leg() -> None:
    piece = {
        "kind": "three_way",
        "first_hand": "left",
        "lead_in_mm": 20,
        "first_radius_mm": 610,
        "first_angle_deg": 12,
        "second_after_mm": 60,
        "second_radius_mm": 610,
        "second_angle_deg": 12,
        "middle_after_blades_mm": 240,
    }
    found = worked({"pieces": {"P": piece}, "fouling_spacing_mm": 45})
    left = path_of(turnout(610, 12, "left"))
    right = path_of(straight_run(60), turnout(610, 12, "right"))
    ways = {"left": left, "middle": path_of(), "right": right}
    for leg, own in ways.items():
        others = [way for name, way in ways.items() if name != leg]
        wanted_mm = max(sampled_mm(own, other, 45) for other in others)
        at_mm = found.leg_mm("P", leg)
        assert at_mm is not None
        assert isclose(at_mm, wanted_mm, abs_tol=0.06)


def test_a_slips_arms_are_clear_where_the_crossings_would_be_less_half_the_core() -> (
    None
):
    slip = {"kind": "double_slip", "angle_deg": 12, "arm_mm": 50, "core_mm": 120}
    found = worked({"pieces": {"X": slip}})
    at_mm = found.leg_mm("X", "b2")
    assert at_mm is not None
    assert isclose(at_mm, 45 / sin(radians(12)) - 60)


def test_a_ways_throw_is_added_where_it_curves_at_the_bare_point() -> None:
    """00's coach at R 610 swings 6.13 mm out at its end: 45 + 6.13 at a curved
    branch."""
    piece = points(angle_deg=30.0)
    found = worked({"pieces": {"P": piece}})
    (point,) = found.points
    middle_mm = sqrt(610**2 - 93**2)
    end_mm = sqrt((middle_mm + 18) ** 2 + 129**2) - 610 - 18
    assert point.spacing_mm is not None
    assert isclose(point.spacing_mm, 45 + end_mm)
    same = worked({"pieces": {"P": piece}, "fouling_spacing_mm": point.spacing_mm})
    assert same.leg_mm("P", "through") == found.leg_mm("P", "through")


def test_a_spacing_that_is_given_stands_without_a_throw() -> None:
    found = worked({"pieces": {"P": points(angle_deg=30.0)}, "fouling_spacing_mm": 45})
    assert found.points[0].spacing_mm == 45


def test_a_loop_too_near_for_curves_is_clear_where_both_roads_are_straight() -> None:
    """At 46.4 mm 45 and a throw is never reached: the limit is where the curve ends."""
    found = worked(passing_loop())
    at_mm = found.leg_mm("P1", "branch")
    assert at_mm is not None
    assert isclose(at_mm, 610 * radians(12) * 2 + 95, abs_tol=1e-6)


def test_tracks_that_never_part_by_the_spacing_leave_nothing() -> None:
    found = worked({**passing_loop(), "fouling_spacing_mm": 47})
    assert found.leg_mm("P1", "through") == inf
    assert found.usable_mm("loop M") == found.usable_mm("loop C1") == 0
    # Where both have met again it bars nothing more.
    assert found.usable_mm("headshunt E") == 330


@pytest.mark.parametrize(("short_mm", "is_reached"), [(0.009, True), (0.011, False)])
def test_within_a_hundredth_of_the_spacing_is_reached(
    short_mm: float, *, is_reached: bool
) -> None:
    turn = radians(12)
    apart_mm = 2 * 610 * (1 - cos(turn)) + 95 * sin(turn)
    document = {**passing_loop(), "fouling_spacing_mm": apart_mm + short_mm}
    at_mm = worked(document).leg_mm("P1", "through")
    assert (at_mm != inf) == is_reached


def test_a_gap_elsewhere_in_the_plan_moves_no_limit() -> None:
    whole = passing_loop()
    broken = passing_loop()
    broken["pieces"]["L"] = straight(400.0)
    one, two = worked(whole), worked(broken)
    assert one.leg_mm("P1", "through") == two.leg_mm("P1", "through")


def test_a_way_without_shape_within_reach_names_the_piece() -> None:
    document = {
        "pieces": {
            "P": points(branch_straight_mm=0),
            "T": {"kind": "track", "length_mm": 900},
        },
        "joins": [["P.branch", "T.a"]],
    }
    (point,) = worked(document).points
    assert {one.farthest.unknown for one in point.legs} == {"T"}


def test_every_way_on_over_later_points_is_followed() -> None:
    """A second set on the branch turns back towards the main line: its leg needs
    more."""
    later = points(hand="right", radius_mm=610, angle_deg=8, branch_straight_mm=900)
    document = {
        "pieces": {"P": points(branch_straight_mm=0), "Q": later},
        "joins": [["P.branch", "Q.toe"]],
        "fouling_spacing_mm": 45,
    }
    found = worked(document)
    (point,) = [one for one in found.points if one.points == "P"]
    ways = {one.courses for one in point.reaches if one.leg == "branch"}
    assert len(ways) == 2
    branch = path_of(
        turnout(610, 12, "left"), straight_run(30), turnout(610, 8, "right")
    )
    at_mm = found.leg_mm("P", "branch")
    assert at_mm is not None
    assert isclose(at_mm, sampled_mm(branch, path_of(), 45), abs_tol=0.06)


def test_asking_for_the_fouling_point_of_plain_track_is_an_error() -> None:
    placed = placing(read_plan({"pieces": {"S": straight(5)}}))
    laid = network(placed.flat, placed.shapes)
    rules = Rules(spacing=Spacing(mm=45), gauge_mm=16.5)
    with pytest.raises(ValueError, match="no two ways"):
        fouling_point(laid, "S", rules)


def test_the_nose_of_curved_points_is_where_the_rails_cross() -> None:
    """The branch's outer rail of radius R + g/2 reaches the far side of g at the
    nose."""
    gauge_mm = 16.5
    found = worked({"pieces": {"P": points(lead_in_mm=0, angle_deg=40)}})
    at_mm = found.leg_mm("P", "through")
    assert at_mm is not None
    # Nearer rails: the straight road's left one, y = g/2, and the branch's right one.
    outer_mm = 610 + gauge_mm / 2
    nose_mm = sqrt(outer_mm**2 - (610 - gauge_mm / 2) ** 2)
    assert isclose(at_mm - from_nose_mm(found, "through"), nose_mm, abs_tol=1e-6)


def test_a_loops_curve_may_lie_beyond_the_points() -> None:
    document = {
        "pieces": {
            "P": points(branch_straight_mm=0),
            "C": curve(610, 12, "right"),
            "S": straight(800),
        },
        "joins": [["P.branch", "C.a"], ["C.b", "S.a"]],
        "fouling_spacing_mm": 20,
    }
    branch = path_of(turnout(610, 12, "left"), turnout(610, 12, "right"))
    at_mm = worked(document).leg_mm("P", "branch")
    assert at_mm is not None
    assert isclose(at_mm, sampled_mm(branch, path_of(), 20), abs_tol=0.06)
