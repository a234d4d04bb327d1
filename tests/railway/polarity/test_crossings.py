"""What live crossings need, as common practice wires them."""

from typing import Any

import msgspec
import pytest

from railway.polarity.test_circuits import track
from standage.railway.polarity.crossings import LiveCrossings, live_crossings
from standage.railway.polarity.metal import metal
from standage.railway.track.network.network import network
from standage.railway.track.plans.flat import flattened
from standage.railway.track.plans.plan import Plan

Told = dict[tuple[str, str], tuple[str | None, bool | None]]


def points(hand: str | None, crossing: str | None = "live") -> dict[str, Any]:
    piece = {"kind": "points", "toe_mm": 30, "through_mm": 150, "branch_mm": 150}
    if hand is not None:
        piece["hand"] = hand
    if crossing is not None:
        piece["crossing"] = crossing
    return piece


def found_on(document: dict[str, Any]) -> LiveCrossings:
    plan = msgspec.convert(document, Plan)
    flat = flattened(plan)
    return live_crossings(
        metal(network(flat, flat.shapes), plan.fittings), plan.fittings
    )


def gaps_on(document: dict[str, Any]) -> Told:
    found = found_on(document)
    return {(one.points, one.leg): (one.rails, one.there) for one in found.gaps}


def passing_loop(**fittings: Any) -> dict[str, Any]:
    """Return a loop to the left of a line that runs east."""
    return {
        "pieces": {
            "W": points("left"),
            "E": points("right"),
            "Main": track(900),
            "Loop": track(900),
        },
        "joins": [
            ["W.through", "Main.a"],
            ["Main.b", "E.through"],
            ["W.branch", "Loop.a"],
            ["Loop.b", "E.branch"],
        ],
        **fittings,
    }


def siding(hand: str | None = "left", **fittings: Any) -> dict[str, Any]:
    pieces = {"P": points(hand), "M": track(500), "S": track(400)}
    joins = [["P.through", "M.a"], ["P.branch", "S.a"]]
    return {"pieces": pieces, "joins": joins, **fittings}


def feed(piece: str, at_mm: float, rails: str = "both") -> dict[str, Any]:
    return {"kind": "feed", "piece": piece, "at_mm": at_mm, "rails": rails}


def gap(piece: str, at_mm: float, rails: str = "both") -> dict[str, Any]:
    return {"kind": "gap", "piece": piece, "at_mm": at_mm, "rails": rails}


def test_both_roads_of_a_loop_want_a_gap_in_the_rail_to_the_crossing() -> None:
    # The nose lies between the roads: right of the loop's, left of the line's.
    assert gaps_on(passing_loop()) == {
        ("W", "through"): ("left", False),
        ("W", "branch"): ("right", False),
        ("E", "through"): ("right", False),
        ("E", "branch"): ("left", False),
    }


def test_one_gap_in_a_road_serves_the_crossings_at_both_its_ends() -> None:
    fittings = [gap("Main", 450, "left"), gap("Loop", 450, "right")]
    told = gaps_on(passing_loop(fittings=fittings))
    assert [there for _, there in told.values()] == [True] * 4


def test_a_gap_in_the_other_rail_does_not_count() -> None:
    told = gaps_on(passing_loop(fittings=[gap("Main", 450, "right")]))
    assert told["W", "through"] == ("left", False)


def test_a_gap_beyond_a_feed_does_not_part_it_from_the_crossing() -> None:
    fittings = [feed("Main", 200), gap("Main", 450)]
    told = gaps_on(passing_loop(fittings=fittings))
    assert told["W", "through"] == ("left", False)
    assert told["E", "through"] == ("right", True)


def test_a_siding_without_a_feed_wants_no_gap() -> None:
    assert gaps_on(siding()) == {}


def test_a_siding_with_a_feed_wants_one_before_it() -> None:
    fed = [feed("S", 200)]
    assert gaps_on(siding(fittings=fed)) == {("P", "branch"): ("right", False)}
    parted = [*fed, gap("S", 0, "right")]
    assert gaps_on(siding(fittings=parted)) == {("P", "branch"): ("right", True)}


def test_a_feed_of_the_other_rail_alone_does_not_reach_the_crossing() -> None:
    assert gaps_on(siding(fittings=[feed("S", 200, "left")])) == {}


def test_where_nobody_says_the_hand_both_rails_tell_and_one_does_not() -> None:
    fed = [feed("S", 200)]
    assert gaps_on(siding(None, fittings=fed)) == {("P", "branch"): (None, False)}
    both = [*fed, gap("S", 0)]
    assert gaps_on(siding(None, fittings=both)) == {("P", "branch"): (None, True)}
    one = [*fed, gap("S", 0, "left")]
    assert gaps_on(siding(None, fittings=one)) == {("P", "branch"): (None, None)}


def test_a_crossing_of_which_nobody_says_is_named_and_a_dead_one_is_not() -> None:
    document = passing_loop()
    document["pieces"]["W"] = points("left", None)
    document["pieces"]["E"] = points("right", "dead")
    found = found_on(document)
    assert (found.not_said, found.switched_feeds, found.gaps) == (("W",), (), ())


def test_every_live_crossing_wants_a_feed_switched_with_its_blades() -> None:
    assert found_on(passing_loop()).switched_feeds == ("W", "E")


def test_track_from_a_heel_to_a_toe_is_fed_only_from_beyond() -> None:
    # a ladder: the second set is met by its toe, and its roads end
    pieces = {"P": points("left"), "Q": points("left"), "A": track(100)}
    joins = [["P.branch", "A.a"], ["A.b", "Q.toe"]]
    document = {"pieces": pieces | {"S": track(300)}, "joins": joins}
    document["joins"] = [*joins, ["Q.through", "S.a"]]
    assert gaps_on(document) == {}
    # a feed on the last road is beyond both crossings
    fed = gaps_on(document | {"fittings": [feed("S", 100)]})
    assert set(fed) == {("P", "branch"), ("Q", "through")}


SLIP = {
    "kind": "double_slip",
    "arm_mm": 50,
    "core_mm": 100,
    "core_slip_mm": 100,
    "crossing": "live",
}


@pytest.mark.parametrize(
    ("end", "rail"),
    [("a1", "left"), ("b1", "right"), ("a2", "left"), ("b2", "right")],
)
def test_a_slip_s_inner_rails_lie_towards_the_other_arm(end: str, rail: str) -> None:
    # Out of a1, b1 lies to the left; out of a2, b2 does (b is a turned to the left).
    document = {
        "pieces": {"X": SLIP, "T": track(300)},
        "joins": [[f"X.{end}", "T.a"]],
        "fittings": [feed("T", 200)],
    }
    assert gaps_on(document) == {("X", end): (rail, False)}


def test_three_way_points_have_a_crossing_on_both_sides_of_the_middle() -> None:
    piece = {
        "kind": "three_way",
        "first_hand": "left",
        "toe_mm": 30,
        "second_after_mm": 40,
        "left_mm": 150,
        "middle_mm": 150,
        "right_mm": 150,
        "crossing": "live",
    }
    roads = {leg: track(300) for leg in ("left", "middle", "right")}
    document = {
        "pieces": {"P": piece} | roads,
        "joins": [[f"P.{leg}", f"{leg}.a"] for leg in roads],
        "fittings": [feed(leg, 200) for leg in roads],
    }
    assert {leg: rails for (_, leg), (rails, _) in gaps_on(document).items()} == {
        "left": "right",
        "middle": "both",
        "right": "left",
    }


def test_a_mirrored_plan_wants_the_gaps_in_the_other_rails() -> None:
    other = {"left": "right", "right": "left", "both": "both"}
    fittings = [gap("Main", 450, "left"), feed("Loop", 300)]
    document = passing_loop(fittings=fittings)
    mirrored = passing_loop(
        fittings=[one | {"rails": other[one["rails"]]} for one in fittings]
    )
    for name in ("W", "E"):
        hand = document["pieces"][name]["hand"]
        mirrored["pieces"][name] = points(other[hand])
    expected = {
        leg: (other[rails or "both"], there)
        for leg, (rails, there) in gaps_on(document).items()
    }
    assert gaps_on(mirrored) == expected
