"""How roads and places of a plan bend and climb, and how far their limits are from the
blades and from the stopping marks, against plans reckoned by hand, sampled and
enumerated.
"""

from itertools import pairwise
from math import pi, tan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.questions.plan import PlanAnswer, PlanRequest, gather, reckon
from standage.questions.plan_report import ToldPlace, ToldRoad
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.track_plans import Document, curve, straight, taped_points

lengths = st.integers(0, 400).map(float)
radii = st.sampled_from((300.0, 450.0, 610.0))
angles = st.sampled_from((5.0, 12.0, 30.0))
hands = st.sampled_from(("left", "right"))
chains = st.lists(
    st.one_of(st.builds(straight, lengths), st.builds(curve, radii, angles, hands)),
    min_size=1,
    max_size=7,
)
ways_round = st.lists(st.booleans(), min_size=7, max_size=7)


def answered(document: Document) -> PlanAnswer:
    body = {"plan": {"scale": "00", **document}}
    return reckon(gather(Sources(None, ""), convert(body, PlanRequest)))


def only_road(document: Document) -> ToldRoad:
    (road,) = answered(document).roads
    return road


def in_a_row(pieces: list[Document], forward: list[bool]) -> Document:
    """Return pieces joined one after the other, some laid from end b to end a."""
    names = [f"T{number}" for number in range(len(pieces))]
    ends = [("a", "b") if on else ("b", "a") for on in forward]
    joins = [
        [f"{names[one]}.{ends[one][1]}", f"{names[one + 1]}.{ends[one + 1][0]}"]
        for one in range(len(pieces) - 1)
    ]
    return {"pieces": dict(zip(names, pieces, strict=True)), "joins": joins}


def bends(pieces: list[Document], forward: list[bool]) -> list[tuple[float, float]]:
    """Return length and curvature of each piece as it is run: positive to the left."""
    found = []
    for piece, on in zip(pieces, forward, strict=False):
        if piece["kind"] == "straight":
            found.append((piece["length_mm"], 0.0))
            continue
        is_left = (piece["hand"] == "left") == on
        sign = 1.0 if is_left else -1.0
        arc_mm = piece["radius_mm"] * piece["angle_deg"] * pi / 180
        found.append((arc_mm, sign / piece["radius_mm"]))
    return found


def reversals(track: list[tuple[float, float]]) -> list[tuple[float, float, float]]:
    """Return the straight between every two curves of opposite hands that follow each
    other, and their radii: every pair is tried.
    """
    curves = [number for number, (_, curvature) in enumerate(track) if curvature]
    found = []
    for one, other in pairwise(curves):
        first, second = track[one][1], track[other][1]
        if first * second < 0:
            between_mm = sum(length_mm for length_mm, _ in track[one + 1 : other])
            found.append((between_mm, 1 / abs(first), 1 / abs(second)))
    return found


def told(road: ToldRoad | ToldPlace) -> list[tuple[float, float, float]]:
    return [
        (one.straight_between_mm, one.first_radius_mm, one.second_radius_mm)
        for one in road.reverse_curves
    ]


@given(chains, ways_round)
def test_reverse_curves_and_the_sharpest_are_those_of_the_pieces_as_they_are_run(
    pieces: list[Document], forward: list[bool]
) -> None:
    forward = forward[: len(pieces)]
    plan = in_a_row(pieces, forward)
    answer = answered({**plan, "places": [{"name": "All", "on": [*plan["pieces"]]}]})
    track = bends(pieces, forward)
    sharpest = [1 / abs(curvature) for _, curvature in track if curvature]
    (road,), (place,) = answer.roads, answer.places
    # A road may be told from either end.
    other_way = [(length_mm, -curvature) for length_mm, curvature in track[::-1]]
    expected = {True: reversals(track), False: reversals(other_way)}
    as_listed = road.pieces[0] == "T0" or len(pieces) == 1
    for one in (road, place):
        assert one.minimum_radius_mm == pytest.approx(min(sharpest, default=None))
        assert one.of_unknown_radius == ()
    if len(pieces) > 1:
        assert told(road) == [pytest.approx(one) for one in expected[as_listed]]
        assert told(place) == [pytest.approx(one) for one in expected[True]]


def test_a_circuits_last_curve_is_followed_by_its_first() -> None:
    # An S of two half-turns each way does not close; joined so, the hand changes twice.
    pieces = [straight(50.0), curve(400, 90), straight(30.0), curve(300, 90, "right")]
    plan = in_a_row(pieces, [True] * 4)
    plan["joins"].append(["T3.b", "T0.a"])
    road = only_road(plan)
    assert road.kind == "circuit"
    assert [one[0] for one in told(road)] == [pytest.approx(50), pytest.approx(30)]


def test_a_transition_meeting_another_at_its_inflection_has_no_straight_between() -> (
    None
):
    ease: Document = {"kind": "transition", "length_mm": 200.0, "hand": "left"}
    pieces = [
        ease | {"radius_from_mm": 600.0, "radius_to_mm": None},
        ease | {"radius_from_mm": None, "radius_to_mm": 500.0, "hand": "right"},
    ]
    assert told(only_road(in_a_row(pieces, [True, True]))) == [
        pytest.approx((0.0, 600.0, 500.0))
    ]


def risen(percent: float, run_mm: float, curves_mm: tuple[float, float]) -> float:
    """Return the height gained over a run that eases from level into a gradient and
    out of it again: summed up in steps of a tenth of a millimetre.
    """
    first_mm, last_mm = curves_mm
    steps = round(run_mm * 10)
    height_mm = 0.0
    for step in range(steps):
        at_mm = (step + 0.5) / 10
        share = 1.0
        if at_mm < first_mm:
            share = at_mm / first_mm
        if run_mm - at_mm < last_mm:
            share = min(share, (run_mm - at_mm) / last_mm)
        height_mm += share * percent / 100 / 10
    return height_mm


@pytest.mark.parametrize(
    ("run_mm", "rise_mm", "curves_mm"),
    [
        (1000.0, 20.0, (0.0, 0.0)),
        (1000.0, 20.0, (200.0, 100.0)),
        (900.0, 33.0, (450.0, 450.0)),
        (640.0, 8.0, (0.0, 300.0)),
    ],
)
def test_the_steepest_gradient_with_its_vertical_curves_gains_the_height(
    run_mm: float, rise_mm: float, curves_mm: tuple[float, float]
) -> None:
    heights: list[Document] = [
        {"piece": "T0", "at_mm": 0.0, "height_mm": 0.0},
        {"piece": "T0", "at_mm": run_mm, "height_mm": rise_mm},
    ]
    for height, curve_mm in zip(heights, curves_mm, strict=True):
        if curve_mm:
            height["vertical_curve_mm"] = curve_mm
    plan = in_a_row([straight(run_mm), straight(100.0)], [True, True])
    document = {**plan, "heights": heights, "places": [{"name": "Up", "on": ["T0"]}]}
    answer = answered(document)
    for percent in (
        answer.roads[0].steepest_percent,
        answer.places[0].steepest_percent,
    ):
        assert percent is not None
        gained_mm = risen(percent, run_mm, curves_mm)
        assert gained_mm == pytest.approx(rise_mm, abs=1e-3)


def test_of_several_gradients_the_steepest_counts_up_or_down() -> None:
    plan = in_a_row([straight(500.0)] * 3, [True, False, True])
    at = {"piece": "T0", "at_mm": 0.0, "height_mm": 0.0}
    climbs = [
        at,
        at | {"at_mm": 500.0, "height_mm": 5.0},
        at | {"at_mm": 1000.0, "height_mm": -7.5},
        at | {"at_mm": 1500.0, "height_mm": -2.5},
    ]
    # 1 per cent up, 2.5 down, 1 up
    assert only_road({**plan, "heights": climbs}).steepest_percent == pytest.approx(2.5)


SIDING: Document = {
    "pieces": {
        "P": taped_points(fouling_through_mm=150.0, fouling_branch_mm=260.0),
        "S1": {"kind": "track", "length_mm": 400.0},
        "S2": {"kind": "track", "length_mm": 570.0},
        "B": {"kind": "buffer_stop", "length_mm": 20.0},
    },
    "joins": [["P.branch", "S1.a"], ["S1.b", "S2.b"], ["S2.a", "B.a"]],
}
"""190 of the points' branch, 400, 570 laid from b to a, and 20 to the stop's face:
1,180 from blades to face, fouled for 260 of them.
"""


@pytest.mark.parametrize("on", [["S1", "S2"], ["S2", "S1"]])
def test_limits_tell_how_far_they_are_from_blades_and_from_marks(
    on: list[str],
) -> None:
    marks: list[Any] = [
        {"kind": "stopping_mark", "piece": "S1", "at_mm": 130.0},
        {"kind": "stopping_mark", "piece": "S2", "at_mm": 45.0},
    ]
    # 190 + 130 and 190 + 400 + (570 - 45) from the blades
    places = [{"name": "Coal", "on": on}]
    answer = answered({**SIDING, "fittings": marks, "places": places})
    (road,) = [one for one in answer.roads if one.name == "Coal"]
    (place,) = answer.places
    for one in (road, place):
        limits = {limit.kind: limit for limit in one.limits}
        fouling, stop = limits["fouling_point"], limits["buffer_stop"]
        assert (fouling.from_blades_mm, fouling.from_stopping_mark_mm) == (260, 60)
        assert (stop.from_blades_mm, stop.from_stopping_mark_mm) == (0, 65)
        assert (one.usable_length_mm, one.blades_to_blades_mm) == (920, 1180)
        assert one.stop_to_stop_mm == 795
    assert [limit.kind for limit in place.limits][on.index("S1")] == "fouling_point"


def test_a_place_over_a_three_way_runs_over_what_lies_between_its_blades() -> None:
    three_way = {
        "kind": "three_way",
        "first_hand": "left",
        "lead_in_mm": 30.0,
        "first_radius_mm": 610.0,
        "first_angle_deg": 12.0,
        "second_after_mm": 60.0,
        "second_radius_mm": 500.0,
        "second_angle_deg": 12.0,
        "left_straight_mm": 0.0,
        "middle_after_blades_mm": 240.0,
        "right_straight_mm": 25.0,
    }
    plan = {
        "pieces": {"W": straight(300.0), "T": three_way, "R": straight(450.0)},
        "joins": [["W.b", "T.toe"], ["T.right", "R.a"]],
        "places": [{"name": "Right through", "on": ["W", "T", "R"]}],
    }
    (place,) = answered(plan).places
    right_leg_mm = 500.0 * pi * 12.0 / 180 + 25.0
    whole_mm = 300.0 + 30.0 + 60.0 + right_leg_mm + 450.0
    assert place.blades_to_blades_mm == pytest.approx(whole_mm)
    assert place.minimum_radius_mm == pytest.approx(500.0)


def test_a_place_over_a_slip_runs_over_its_core() -> None:
    # An arc of 10 degrees touches both roads half the core from where they cross.
    arc_mm = 500.0 * 10.0 * pi / 180
    slip = {
        "kind": "single_slip",
        "angle_deg": 10.0,
        "arm_mm": 60.0,
        "core_mm": 2 * 500.0 * tan(5.0 * pi / 180),
        "core_slip_mm": arc_mm,
        "slip_radius_mm": 500.0,
    }
    plan = {
        "pieces": {"W": straight(300.0), "D": slip, "E": straight(200.0)},
        "joins": [["W.b", "D.a1"], ["D.b2", "E.a"]],
        "places": [{"name": "Slipped", "on": ["W", "D", "E"]}],
    }
    (place,) = answered(plan).places
    assert place.blades_to_blades_mm == pytest.approx(300 + 60 + arc_mm + 60 + 200)
    assert place.minimum_radius_mm == pytest.approx(500.0)
