"""What a plan is made of: sums against a walk over the document itself, which knows
nothing of surveys, strands or goods.
"""

from collections import Counter, defaultdict
from copy import deepcopy
from typing import Any

import pytest

from railway.materials.yard_of_all_sorts import (
    PLAIN,
    POINTS,
    STRAIGHT,
    YARD,
    Json,
    Made,
    count,
    counted_plan,
    length_mm,
    line,
    plain,
)
from standage.railway.materials.counting import altered, counted, lines_of
from standage.railway.materials.rules import Rules
from standage.railway.track.plans.plan import Plan
from standage.railway.track.survey.survey import survey
from standage.shapes.decoding import convert
from support.walks import at_each

MOTORS = {
    "points": 1,
    "y_points": 1,
    "curved_points": 1,
    "three_way": 2,
    "single_slip": 2,
    "double_slip": 2,
}
BRANCH: Json = {
    "scale": "00",
    "pieces": {
        "W": {"kind": "straight", "length_mm": 400},
        "P1": POINTS,
        "M": {"kind": "straight", "length_mm": 900},
        "S": {"kind": "curve", "radius_mm": 610, "angle_deg": 12, "hand": "right"},
    },
    "joins": [["W.b", "P1.toe"], ["P1.through", "M.a"], ["P1.branch", "S.a"]],
}
BOARD: Json = {
    "scale": "00",
    "pieces": {"T1": STRAIGHT, "P1": POINTS},
    "joins": [["T1.b", "P1.toe"]],
    "module_ends": [
        {"name": "west", "tracks": ["T1.a"]},
        {"name": "east", "tracks": ["P1.through"]},
    ],
}


@at_each("plan", [YARD, BRANCH])
def test_plain_track_adds_up_by_kind_and_radius(plan: Json) -> None:
    answer = counted_plan(plan)
    sums: defaultdict[tuple[str, float | None], float] = defaultdict(float)
    for _, piece in plain(plan):
        radii = [
            value
            for one in (piece, *piece.get("segments", ()))
            for field, value in one.items()
            if "radius" in field
        ]
        sums[piece["kind"], min(radii, default=None)] += length_mm(piece)
    told = {
        (one.what, one.geometry.get("radius_mm")): one.length_mm
        for one in answer.lines
        if one.what in PLAIN
    }
    assert told == {key: pytest.approx(mm, abs=1e-5) for key, mm in sums.items()}


def test_joints_are_counted_over_track_of_no_length_and_not_at_decks_and_ends() -> None:
    answer = counted_plan(YARD)
    no_rails = {"T", "L", "O"}
    pieces = [{end.split(".")[0] for end in join} for join in YARD["joins"]]
    # A–Z and Z–B are one joint: Z is no track at all
    joints = sum(not names & no_rails for names in pieces) - 1
    gapped = 2 + 1  # both rails at A's end, one at C2's
    assert count(answer, "joiners") + count(answer, "insulated_joiners") == 2 * joints
    assert count(answer, "insulated_joiners") == gapped
    # both rails of A, and one of M, away from any joint
    assert count(answer, "gaps") == 3
    assert count(answer, "board_joints") == 0


@at_each("length_mm", [0, 1e-7, 1e-300])
def test_track_of_next_to_no_length_is_none(length_mm: float) -> None:
    nothing = {"kind": "straight", "length_mm": length_mm}
    plan: Json = {
        "pieces": {"A": STRAIGHT, "Z": nothing, "Y": nothing, "B": STRAIGHT},
        "joins": [["A.b", "Z.a"], ["Z.b", "Y.b"], ["Y.a", "B.a"]],
        "fittings": [{"kind": "gap", "piece": "Y", "at_mm": 0, "rails": "left"}],
    }
    answer = counted_plan(plan)
    assert line(answer, "straight").pieces == ("A", "B")
    assert (count(answer, "joiners"), count(answer, "insulated_joiners")) == (1, 1)
    plan["joins"] = [["Z.a", "Z.b"], ["A.b", "Y.a"]]
    assert count(counted_plan(plan), "joiners") == 0


def test_a_gap_named_on_both_sides_of_a_joint_is_one() -> None:
    plan: Json = {
        "pieces": {"A": STRAIGHT, "B": STRAIGHT},
        "joins": [["A.b", "B.b"]],
        "fittings": [
            {"kind": "gap", "piece": "A", "at_mm": 300, "rails": "left"},
            {"kind": "gap", "piece": "B", "at_mm": 300, "rails": "right"},
        ],
    }
    assert count(counted_plan(plan), "insulated_joiners") == 1
    plan["fittings"][1]["rails"] = "left"
    assert count(counted_plan(plan), "insulated_joiners") == 2
    assert count(counted_plan(plan), "joiners") == 0


def test_points_alike_stand_together_and_others_apart() -> None:
    answer = counted_plan(YARD)
    assert line(answer, "points", hand="left").pieces == ("P1", "P2")
    assert line(answer, "points", hand="right", radius_mm=610).pieces == ("P3",)
    kinds = Counter(piece["kind"] for piece in YARD["pieces"].values())
    assert count(answer, "point_motors") == sum(
        number * MOTORS.get(kind, 0) for kind, number in kinds.items()
    )
    assert line(answer, "turntable").geometry == {"deck_mm": 300, "roads": 2}
    assert count(answer, "buffer_stop") == 2


def test_numbers_are_told_apart_by_how_they_are_reckoned() -> None:
    bare = {key: value for key, value in POINTS.items() if key != "angle_deg"}
    pieces = {
        "P1": {**bare, "number": 6},
        "P2": {**bare, "number": 6, "number_is": "centre_line"},
        "P3": {**bare, "number": 6, "number_is": "tangent"},
        "P4": {**bare, "number": 6, "crossing": "live"},
    }
    answer = counted_plan({"scale": "00", "pieces": pieces})
    together = [one.pieces for one in answer.lines if one.what == "points"]
    # Source: British practice reckons a number by the centre line.
    assert sorted(together) == [("P1", "P2"), ("P3",), ("P4",)]


def test_what_is_planned_is_to_be_got_and_what_is_laid_is_not() -> None:
    answer = counted_plan(YARD)
    left = line(answer, "points", hand="left")
    assert (left.laid.count, left.planned.count, left.fixed.count) == (0, 1, 1)
    straight = line(answer, "straight")
    assert (straight.laid.length_mm, straight.planned.length_mm) == (2400, 99.9)
    for one in answer.lines:
        assert one.count == one.laid.count + one.planned.count + one.fixed.count
    everything = deepcopy(YARD)
    for piece in everything["pieces"].values():
        piece["state"] = "laid"
    laid = counted_plan(everything)
    assert laid.cutting.needed == 0
    assert {one.planned.count for one in laid.lines} == {0}
    assert [one.count for one in laid.lines] == [one.count for one in answer.lines]


def test_long_track_takes_joints_and_wires_for_each_length() -> None:
    plan = {"pieces": {"A": {"kind": "straight", "length_mm": 2400}}}
    answer = counted_plan(plan)
    # 914, 914 and 572: two joints within, and wires to each
    assert count(answer, "joiners_within") == 4
    assert count(answer, "droppers") == 3
    assert count(counted_plan(plan, dropper_over_mm=572), "droppers") == 2
    assert count(counted_plan(plan, dropper_over_mm=571.9), "droppers") == 3
    assert count(counted_plan(plan, dropper_over_mm=914), "droppers") == 0
    assert count(counted_plan(plan, stock_length_mm=1200), "joiners_within") == 2


def test_splitting_a_straight_changes_joints_and_no_length() -> None:
    split = deepcopy(BRANCH)
    split["pieces"]["M"]["length_mm"] = 350
    split["pieces"]["N"] = {"kind": "straight", "length_mm": 550}
    split["joins"].append(["M.b", "N.a"])
    whole, parts = counted_plan(BRANCH), counted_plan(split)
    lengths = [
        {one.what: one.length_mm for one in answer.lines} for answer in (whole, parts)
    ]
    assert lengths[0] == lengths[1]
    assert count(parts, "joiners") == count(whole, "joiners") + 2


def mirrored(piece: Json) -> Json:
    """Return a piece as a mirror shows it."""
    other = {"left": "right", "right": "left"}
    seen: Json = {}
    for field, value in piece.items():
        name = field
        for side, far in other.items():
            if field.startswith(f"{side}_"):
                name = far + field.removeprefix(side)
        seen[name] = other.get(value, value) if isinstance(value, str) else value
    if "segments" in piece:
        seen["segments"] = [mirrored(one) for one in piece["segments"]]
    return seen


def test_a_mirrored_plan_takes_points_of_the_other_hand_and_the_same_track() -> None:
    there = {name: mirrored(piece) for name, piece in YARD["pieces"].items()}
    swap = {"left": "right", "right": "left"}
    ends = {"W.left": "W.right", "W.right": "W.left"}
    joins = [[ends.get(end, end) for end in join] for join in YARD["joins"]]
    plan = {**YARD, "pieces": there, "joins": joins}

    def told(answer: Made, *, seen: bool) -> set[Any]:
        found = set()
        for one in answer.lines:
            geometry = {
                field: swap.get(str(value), value) if seen else value
                for field, value in one.geometry.items()
            }
            found.add(
                (one.what, tuple(sorted(geometry.items())), one.count, one.length_mm)
            )
        return found

    assert told(counted_plan(plan), seen=True) == told(counted_plan(YARD), seen=False)
    assert told(counted_plan(plan), seen=False) != told(counted_plan(YARD), seen=False)


def test_fitted_track_is_as_long_as_it_comes_out() -> None:
    plan = {
        "pieces": {
            "A": STRAIGHT,
            "B": STRAIGHT,
            "F": {"kind": "flexible", "fitted": True},
        },
        "joins": [["A.b", "F.a"], ["F.b", "B.a"]],
        "placed": [
            {"piece": "A", "x_mm": 0, "y_mm": 0, "heading_deg": 0},
            {"piece": "B", "x_mm": 712.5, "y_mm": 0, "heading_deg": 0},
        ],
    }
    assert line(counted_plan(plan), "flexible").length_mm == 412.5


def test_boards_meet_without_joiners() -> None:
    plan = {
        "modules": {"one": {"plan": BOARD}, "two": {"plan": BOARD}},
        "module_joins": [["one.east", "two.west"]],
    }
    made = counted_plan(plan)
    assert (count(made, "board_joints"), count(made, "joiners")) == (1, 4)
    goods = counted(survey(convert(plan, Plan)), Rules()).goods
    modules = Counter(one.module for one in goods if "joint" in one.what)
    joiners = Counter(one.module for one in goods if one.what == "joiners")
    assert (modules, joiners) == ({"": 1}, {"one": 1, "two": 1})


def test_a_stop_is_joined_where_it_has_track_of_its_own() -> None:
    for long_mm, joiners in ((0, 0), (20, 2)):
        stop = {"kind": "buffer_stop", "length_mm": long_mm}
        plan = {"pieces": {"A": STRAIGHT, "K": stop}, "joins": [["A.b", "K.a"]]}
        assert count(counted_plan(plan), "joiners") == joiners


def test_a_joint_with_both_rails_gapped_has_no_plain_joiner() -> None:
    gap = {"kind": "gap", "piece": "A", "at_mm": 300}
    plan: Json = {
        "pieces": {"A": STRAIGHT, "B": STRAIGHT},
        "joins": [["A.b", "B.a"]],
        "fittings": [gap],
    }
    whats = [one.what for one in counted_plan(plan).lines]
    assert "joiners" not in whats
    assert "insulated_joiners" in whats


def test_track_of_100_mm_has_no_wires_of_its_own_unless_it_is_said() -> None:
    for long_mm, pairs in ((100, 0), (100.1, 1)):
        straight = {"kind": "straight", "length_mm": long_mm}
        assert count(counted_plan({"pieces": {"A": straight}}), "droppers") == pairs


def test_a_joint_of_which_a_piece_is_altered_is_made_anew_and_no_other() -> None:
    pieces = {name: {**STRAIGHT, "state": "laid"} for name in "ABCD"}
    joins = [["A.b", "B.a"], ["B.b", "C.a"], ["D.b", "C.b"]]
    before: Json = {"pieces": pieces, "joins": joins}
    after = {**before, "pieces": {**pieces, "D": {**pieces["D"], "length_mm": 310}}}
    whole = [counted(survey(convert(one, Plan)), Rules()) for one in (before, after)]
    lay, up = altered(*whole)
    for goods in (lay, up):
        joined = [one.pieces for one in goods if one.what == "joiners"]
        assert joined == [("C", "D")]


def test_a_joint_is_laid_where_both_its_pieces_are() -> None:
    states = {
        ("laid", "laid"): (2, 0, 0),
        ("laid", "fixed"): (2, 0, 0),
        ("fixed", "fixed"): (0, 0, 2),
        ("laid", None): (0, 2, 0),
        ("planned", "fixed"): (0, 2, 0),
    }
    for (one, other), expected in states.items():
        pieces = {"A": {**STRAIGHT, "state": one}, "B": {**STRAIGHT, "state": other}}
        made = counted_plan({"pieces": pieces, "joins": [["A.b", "B.a"]]})
        told = line(made, "joiners")
        assert (told.laid.count, told.planned.count, told.fixed.count) == expected


def test_gaps_where_nothing_is_joined_are_none_and_each_rail_is_one() -> None:
    gaps = [
        {"kind": "gap", "piece": "A", "at_mm": at_mm, "rails": rails}
        for at_mm, rails in ((0, "both"), (300, "left"), (100, "both"), (200, "right"))
    ]
    made = counted_plan({"pieces": {"A": STRAIGHT}, "fittings": gaps})
    assert count(made, "gaps") == 3


def test_underlay_lies_along_every_leg() -> None:
    measured = {"kind": "points", "toe_mm": 40, "through_mm": 160, "branch_mm": 165}
    stop = {"kind": "buffer_stop", "length_mm": 20}
    deck = {"kind": "turntable", "deck_mm": 300, "roads": [0]}
    made = counted_plan({"pieces": {"P": measured, "K": stop, "T": deck}})
    assert line(made, "underlay").length_mm == 40 + 160 + 165 + 20


def test_fitted_track_that_does_not_fit_is_not_known() -> None:
    fitted = {"kind": "flexible", "fitted": True}
    made = counted_plan({"pieces": {"A": STRAIGHT, "F": fitted}})
    assert made.unknown == ("F",)
    assert line(made, "underlay").length_mm == 300
    assert [cut.piece for one in made.cutting.lengths for cut in one.cuts] == ["A"]


def test_flexible_track_stands_by_its_least_radius_and_decks_by_their_roads() -> None:
    parts = [
        {"kind": "transition", "length_mm": 90, "radius_to_mm": 500, "hand": "left"},
        {"kind": "curve", "radius_mm": 610, "length_mm": 10, "hand": "left"},
    ]
    pieces = {
        "F": {"kind": "flexible", "segments": parts},
        "M": {"kind": "track", "length_mm": 50, "minimum_radius_mm": 438},
        "D": {"kind": "sector_plate", "deck_mm": 400, "roads": [0, 5, 10]},
        "V": {"kind": "traverser", "deck_mm": 400, "left": [0], "right": [0, 50]},
        "C": {"kind": "cassette", "length_mm": 600},
    }
    made = counted_plan({"pieces": pieces})
    assert {one.what: one.geometry for one in made.lines if one.pieces} == {
        "flexible": {"radius_mm": 500},
        "track": {"radius_mm": 438},
        "sector_plate": {"deck_mm": 400, "roads": 3},
        "traverser": {"deck_mm": 400, "roads": 3},
        "cassette": {"length_mm": 600},
    }


def test_one_plan_with_what_is_laid_less_what_comes_up_is_the_other() -> None:
    before = deepcopy(YARD)
    for piece in before["pieces"].values():
        piece["state"] = "laid"
    after = deepcopy(before)
    after["pieces"]["C1"]["angle_deg"] = 20
    after["pieces"]["P3"]["hand"] = "left"
    after["joins"] = [join for join in after["joins"] if "X.a1" not in join]
    after["fittings"] = after["fittings"][1:]
    whole = [counted(survey(convert(one, Plan)), Rules()) for one in (before, after)]
    lay, up = altered(*whole)
    assert {one.pieces[0] for one in lay if one.what in ("curve", "points")} == {
        "C1",
        "P3",
    }

    def counts(goods: Any) -> Counter[Any]:
        lines = lines_of(goods)
        return Counter(
            {(one.what, tuple(one.geometry.items())): one.count for one in lines}
        )

    assert counts(whole[0].goods) + counts(lay) - counts(up) == counts(whole[1].goods)
    assert altered(whole[0], whole[0]) == ([], [])
