"""Fouling points by stock: against bodies that are placed by sampling, and the cases in
which ways end, meet again, or cannot be run."""

from math import cos, inf, radians, sin
from typing import Any

import pytest

from standage.railway.track.fouling.by_stock import StockLimit, stock_limit
from standage.railway.track.fouling.stock_bodies import (
    BodyEnd,
    Clearance,
    Stock,
    StockBody,
)
from standage.railway.track.paths.outlines import Outline
from standage.railway.track.paths.wheels import Wheels
from support.sampled_bodies import Body, Question, Sampled, stands_clear_mm
from support.track_plans import (
    Document,
    curve,
    ladder,
    oval,
    passing_loop,
    points,
    straight,
    taped_points,
    worked,
)

COACH = Body(pivots_mm=186, bogie_mm=34, head_mm=129, tail_mm=129, width_mm=36)
WAGON = Body(pivots_mm=40, bogie_mm=0, head_mm=41, tail_mm=41, width_mm=31)
ENGINE = Body(pivots_mm=80, bogie_mm=0, head_mm=95, tail_mm=75, width_mm=34)
MARGIN_MM = 2.0625


def stock(body: Body, end: BodyEnd | None = "rear") -> Stock:
    """A vehicle of one body, whose rear is its tail."""
    wheels = Wheels(pivots_mm=body.pivots_mm, bogie_wheelbase_mm=body.bogie_mm)
    outline = Outline(
        wheels=wheels,
        ahead_mm=body.head_mm,
        behind_mm=body.tail_mm,
        half_width_mm=body.width_mm / 2,
    )
    return Stock(bodies=(StockBody(outline=outline),), end=end)


def limit(
    document: Document,
    leg: str,
    *,
    of: str = "P",
    standing: Stock | None = None,
    moving: Stock | None = None,
    margin_mm: float = MARGIN_MM,
) -> StockLimit:
    wanted = Clearance(
        leg=leg,
        standing=standing or stock(COACH),
        moving=moving or stock(COACH),
        margin_mm=margin_mm,
    )
    return stock_limit(worked(document).network, of, wanted)


def clear_mm(document: Document, leg: str, **beside: Any) -> float:
    found = limit(document, leg, **beside)
    assert found.outcome == "clear"
    assert found.from_blades_mm is not None
    return found.from_blades_mm


def bend(radius_mm: float, angle_deg: float) -> tuple[float, float]:
    """A curve by its length and curvature, to the right for an angle below 0."""
    length_mm = radius_mm * radians(abs(angle_deg))
    return length_mm, (1 if angle_deg > 0 else -1) / radius_mm


STRAIGHT = (1800.0, 0.0)
THROUGH = Sampled(STRAIGHT)
BRANCH = Sampled(bend(610, 12), STRAIGHT)


@pytest.mark.parametrize(
    ("leg", "own", "other"),
    [("through", THROUGH, BRANCH), ("branch", BRANCH, THROUGH)],
)
@pytest.mark.parametrize(
    ("standing", "moving"), [(COACH, COACH), (WAGON, COACH), (COACH, ENGINE)]
)
def test_points_are_clear_where_sampled_bodies_are(
    leg: str, own: Sampled, other: Sampled, standing: Body, moving: Body
) -> None:
    found_mm = clear_mm(
        {"pieces": {"P": points()}}, leg, standing=stock(standing), moving=stock(moving)
    )
    asked = Question(own, standing, other, moving, MARGIN_MM, to_mm=620)
    assert found_mm == pytest.approx(stands_clear_mm(asked), abs=0.005)


def test_curved_points_are_clear_where_sampled_bodies_are() -> None:
    piece = {
        "kind": "curved_points",
        "hand": "right",
        "lead_in_mm": 20,
        "outer_radius_mm": 900,
        "inner_radius_mm": 600,
        "outer_angle_deg": 20,
        "inner_angle_deg": 30,
    }
    outer = Sampled(bend(900, -20), STRAIGHT)
    inner = Sampled(bend(600, -30), STRAIGHT)
    for leg, own, other in (("outer", outer, inner), ("inner", inner, outer)):
        asked = Question(own, COACH, other, COACH, MARGIN_MM, to_mm=760)
        found_mm = clear_mm({"pieces": {"P": piece}}, leg)
        assert found_mm == pytest.approx(stands_clear_mm(asked), abs=0.005)


def test_a_reverse_curve_after_the_points_is_clear_where_sampled_bodies_are() -> None:
    """The branch curves back beside the main line: its far end swings towards it."""
    document = {
        "pieces": {"P": points(branch_straight_mm=60), "C": curve(610, 12, "right")},
        "joins": [["P.branch", "C.a"]],
    }
    back = Sampled(bend(610, 12), (60.0, 0.0), bend(610, -12), STRAIGHT)
    asked = Question(back, COACH, THROUGH, COACH, MARGIN_MM, to_mm=800)
    found_mm = clear_mm(document, "branch")
    assert found_mm == pytest.approx(stands_clear_mm(asked), abs=0.005)


def test_a_three_way_sets_middle_is_clear_of_both_others() -> None:
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
    document = {"pieces": {"P": piece}}
    right = Sampled((60.0, 0.0), bend(610, -12), STRAIGHT)
    wanted_mm = [
        stands_clear_mm(Question(THROUGH, COACH, other, COACH, MARGIN_MM, to_mm=700))
        for other in (BRANCH, right)
    ]
    assert clear_mm(document, "middle") == pytest.approx(max(wanted_mm), abs=0.005)
    # From the first tips, as everything on a three-way set.
    asked = Question(right, COACH, THROUGH, COACH, MARGIN_MM, to_mm=700)
    assert clear_mm(document, "right") == pytest.approx(
        stands_clear_mm(asked), abs=0.005
    )


@pytest.mark.parametrize("angle_deg", [12.0, 30.0, 90.0])
def test_straight_roads_that_cross_are_clear_by_trigonometry(angle_deg: float) -> None:
    """Half of the other's width and the margin, square to the other road; the near
    corner reaches in by half of its own width times the cosine."""
    piece = {"kind": "diamond", "angle_deg": angle_deg, "a_mm": [9, 9], "b_mm": [9, 9]}
    turn = radians(angle_deg)
    wanted_mm = (18 + MARGIN_MM + 18 * cos(turn)) / sin(turn)
    for leg in ("a1", "a2", "b1", "b2"):
        found_mm = clear_mm({"pieces": {"D": piece}}, leg, of="D")
        assert found_mm == pytest.approx(wanted_mm, abs=1e-3)


def test_a_slips_arms_are_clear_where_its_crossing_would_be_less_half_the_core() -> (
    None
):
    slip = {"kind": "single_slip", "angle_deg": 12, "arm_mm": 50, "core_mm": 120}
    turn = radians(12)
    wanted_mm = (18 + MARGIN_MM + 18 * cos(turn)) / sin(turn) - 60
    document = {"pieces": {"X": slip}}
    assert clear_mm(document, "a1", of="X") == pytest.approx(wanted_mm, abs=1e-3)
    # What goes over the slip, from a1 to b2, swings out towards b1 besides.
    assert clear_mm(document, "b1", of="X") > wanted_mm + 1


def test_the_longer_end_counts_where_nobody_says_which_way_round() -> None:
    document = {"pieces": {"P": points()}}
    ways = {
        (own, other): limit(
            document,
            "branch",
            standing=stock(ENGINE, own),
            moving=stock(ENGINE, other),
        ).from_blades_mm
        for own in ("front", "rear")
        for other in ("front", "rear")
    }
    either = limit(
        document, "branch", standing=stock(ENGINE, None), moving=stock(ENGINE, None)
    )
    assert either.from_blades_mm == max(one or 0.0 for one in ways.values())
    assert either.standing_end is not None
    assert either.moving_end is not None
    decided = ways[either.standing_end, either.moving_end]
    assert decided == either.from_blades_mm


def test_a_vehicle_turned_about_is_the_one_whose_ends_are_exchanged() -> None:
    document = {"pieces": {"P": points()}}
    turned = ENGINE._replace(head_mm=ENGINE.tail_mm, tail_mm=ENGINE.head_mm)
    one = clear_mm(document, "through", standing=stock(ENGINE, "front"))
    other = clear_mm(document, "through", standing=stock(turned, "rear"))
    assert one == pytest.approx(other, abs=1e-6)


def test_each_end_of_a_loop_is_its_own_points_business() -> None:
    """Both legs meet again at the far points: the limit here is this end's."""
    found = limit(passing_loop(), "branch", of="P1")
    far = limit(passing_loop(), "branch", of="P2")
    assert found.from_blades_mm == pytest.approx(far.from_blades_mm, abs=1e-4)
    back = Sampled(bend(610, 12), (95.0, 0.0), bend(610, -12), STRAIGHT)
    asked = Question(back, COACH, THROUGH, COACH, MARGIN_MM, to_mm=800)
    assert found.from_blades_mm == pytest.approx(stands_clear_mm(asked), abs=0.005)


def test_a_loop_that_is_too_narrow_is_too_close_all_along() -> None:
    """46.4 mm between the roads: 60 and 36 mm of width leave less than nothing."""
    wide = stock(COACH._replace(width_mm=60))
    found = limit(passing_loop(), "through", of="P1", standing=wide)
    assert found.outcome == "too_close"
    assert found.from_blades_mm == inf


def test_a_vehicle_longer_than_its_loop_is_too_close_all_along() -> None:
    long = stock(COACH._replace(head_mm=900, tail_mm=900))
    found = limit(passing_loop(), "through", of="P1", standing=long)
    assert found.outcome == "too_close"


def balloon() -> Document:
    """Points whose legs lead round to each other, the last of it fitted."""
    bends = {f"C{number}": curve(438, 45) for number in range(1, 6)}
    pieces = {"W": straight(500), "P": points(), **bends}
    pieces["F"] = {"kind": "flexible", "fitted": True}
    joins = [["W.b", "P.toe"], ["P.branch", "C1.a"], ["F.b", "P.through"]]
    joins += [[f"C{number}.b", f"C{number + 1}.a"] for number in range(1, 5)]
    return {"pieces": pieces, "joins": [*joins, ["C5.b", "F.a"]]}


def test_a_balloons_legs_are_told_from_each_other_half_way_round() -> None:
    """The branch goes on to the left, the other way to the right: no nearer again."""
    asked = Question(
        Sampled(bend(610, 12), (95.0, 0.0), bend(438, 180)),
        COACH,
        Sampled((180.0, 0.0), *balloons_other_end()),
        COACH,
        MARGIN_MM,
        to_mm=900,
    )
    found_mm = clear_mm(balloon(), "branch")
    assert found_mm == pytest.approx(stands_clear_mm(asked), abs=0.005)


def balloons_other_end() -> list[tuple[float, float]]:
    """The fitted track as the plan laid it, run from the points."""
    runs = worked(balloon()).placed.fits["F"].runs or ()
    return [(run.length_mm, -run.curvature_from) for run in reversed(runs)]


def test_an_ovals_other_way_that_comes_round_to_the_toe_moves_no_limit() -> None:
    """The main line goes on round the oval: as far as the siding is concerned, the
    first curve to the left decides alone."""
    ring = oval()
    ring["pieces"]["P"] = points(hand="right")
    ring["joins"] = [join for join in ring["joins"] if join != ["S1.b", "C1.a"]]
    ring["joins"] += [["S1.b", "P.toe"], ["P.through", "C1.a"]]
    main = Sampled((180.0, 0.0), bend(438, 180), STRAIGHT)
    siding = Sampled(bend(610, -12), STRAIGHT)
    for leg, own, other in (("through", main, siding), ("branch", siding, main)):
        asked = Question(own, COACH, other, COACH, MARGIN_MM, to_mm=700)
        found_mm = clear_mm(ring, leg)
        assert found_mm == pytest.approx(stands_clear_mm(asked), abs=0.005)


def test_a_way_that_comes_back_beyond_is_fouled_there() -> None:
    """The branch leads away, and 900 mm on near the main line again and past it: the
    last place in the way counts, not the first that is clear."""
    document = {
        "pieces": {
            "P": points(),
            "A": curve(800, 12, "right"),
            "B": straight(350),
            "C": curve(500, 8, "right"),
            "D": curve(500, 30, "left"),
            "E": straight(900),
        },
        "joins": [
            ["P.branch", "A.a"],
            ["A.b", "B.a"],
            ["B.b", "C.a"],
            ["C.b", "D.a"],
            ["D.b", "E.a"],
        ],
    }
    back = Sampled(
        bend(610, 12),
        (95.0, 0.0),
        bend(800, -12),
        (350.0, 0.0),
        bend(500, -8),
        bend(500, 30),
        STRAIGHT,
    )
    asked = Question(
        back, COACH, Sampled((2600.0, 0.0)), COACH, MARGIN_MM, 1700, other_to_mm=1900
    )
    found_mm = clear_mm(document, "branch")
    assert found_mm > 700
    assert found_mm == pytest.approx(stands_clear_mm(asked), abs=0.005)


def test_track_that_ends_goes_straight_on_and_says_so() -> None:
    short = points(through_after_blades_mm=10.0, branch_straight_mm=0.0)
    whole = points(through_after_blades_mm=9000.0, branch_straight_mm=9000.0)
    one = limit({"pieces": {"P": short}}, "branch")
    other = limit({"pieces": {"P": whole}}, "branch")
    assert one.from_blades_mm == pytest.approx(other.from_blades_mm, abs=1e-3)
    assert one.runs_off_the_end
    assert not other.runs_off_the_end


def test_a_leg_of_two_hundred_metres_is_as_one_of_two() -> None:
    long = limit({"pieces": {"P": points(through_after_blades_mm=2e5)}}, "through")
    short = limit({"pieces": {"P": points(through_after_blades_mm=4e3)}}, "through")
    assert long.from_blades_mm == pytest.approx(short.from_blades_mm, abs=1e-3)


def test_nothing_stands_on_a_leg_that_leads_to_a_trap_nor_comes_from_one() -> None:
    trapped = {
        "pieces": {"P": points(), "T": {"kind": "trap"}},
        "joins": [["P.branch", "T.a"]],
    }
    assert limit(trapped, "branch").outcome == "trap"
    assert clear_mm(trapped, "through") == 0


def test_what_has_no_shape_is_named_where_it_matters_and_assumed_beyond() -> None:
    near, far = (
        {
            "pieces": {
                "P": points(branch_straight_mm=length_mm),
                "T": {"kind": "track", "length_mm": 900},
            },
            "joins": [["P.branch", "T.a"]],
        }
        for length_mm in (0.0, 600.0)
    )
    assert limit(near, "through").outcome == "no_shape"
    assert limit(near, "through").because == "T"
    assert limit(far, "through").taken_on == "T"
    known_mm = clear_mm({"pieces": {"P": points()}}, "through")
    assert clear_mm(far, "through") == pytest.approx(known_mm, abs=1e-3)
    taped = limit({"pieces": {"P": taped_points()}}, "through")
    assert (taped.outcome, taped.because) == ("no_shape", "P")


def test_what_cannot_stand_on_a_leg_is_told_and_what_cannot_run_there() -> None:
    """186 mm between pivots stand on no circle that is 160 mm across."""
    sharp = {"pieces": {"P": points(radius_mm=80, angle_deg=60)}}
    assert limit(sharp, "branch").outcome == "cannot_stand"
    assert limit(sharp, "through").outcome == "cannot_move"
    both = limit(sharp, "through", standing=stock(WAGON), moving=stock(WAGON))
    assert both.outcome == "clear"


def test_too_much_to_try_is_told_and_not_tried() -> None:
    endless = stock(COACH._replace(head_mm=5e5, tail_mm=5e5))
    found = limit({"pieces": {"P": points()}}, "through", standing=endless)
    assert found.outcome == "too_much"


def test_every_way_on_over_later_points_counts() -> None:
    """In a fan of roads the second set's branch is what the first leg's vehicle meets
    least; the way straight on is the same as without the fan."""
    alone = clear_mm({"pieces": {"P": points()}}, "through")
    fan = limit(ladder(roads=3), "through", of="P1")
    assert fan.from_blades_mm is not None
    assert fan.from_blades_mm >= alone - 1e-3


def test_asking_for_a_leg_that_nothing_parts_from_is_an_error() -> None:
    with pytest.raises(ValueError, match="no other way"):
        limit({"pieces": {"P": points()}}, "toe")


def test_several_bodies_stand_as_far_in_as_the_worst_of_them() -> None:
    """A second body behind the first needs as much, less how far it stands behind."""
    wagon = stock(WAGON).bodies[0].outline
    coach = stock(COACH).bodies[0].outline
    alone_mm = clear_mm({"pieces": {"P": points()}}, "through")
    pair = Stock(
        bodies=(
            StockBody(outline=wagon, from_front_mm=0.0, from_rear_mm=260.0),
            StockBody(outline=coach, from_front_mm=4.0, from_rear_mm=0.0),
        ),
        end="front",
    )
    found_mm = clear_mm({"pieces": {"P": points()}}, "through", standing=pair)
    assert found_mm == pytest.approx(alone_mm - 4.0, abs=1e-3)
