"""What a plan is made of: sums against a walk over the document itself, which knows
nothing of surveys, strands or goods.
"""

from collections import Counter, defaultdict
from copy import deepcopy
from math import pi
from typing import Any

import pytest

from questions.yard_of_all_sorts import (
    PLAIN,
    POINTS,
    STRAIGHT,
    YARD,
    Json,
    length_mm,
    made_of,
    plain,
)
from standage.questions.materials import QUESTION
from standage.questions.materials_answer import MaterialsAnswer, ToldLine
from standage.questions.plan import MALT_HOUSE
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

MOTORS = {
    "points": 1,
    "y_points": 1,
    "curved_points": 1,
    "three_way": 2,
    "single_slip": 2,
    "double_slip": 2,
}


def line(answer: MaterialsAnswer, what: str, **geometry: Any) -> ToldLine:
    (found,) = [
        one
        for one in answer.lines
        if one.what == what and geometry.items() <= one.geometry.items()
    ]
    return found


def count(answer: MaterialsAnswer, what: str) -> int:
    return sum(one.count for one in answer.lines if one.what == what)


@at_each("plan", [YARD, MALT_HOUSE])
def test_plain_track_adds_up_by_kind_and_radius(plan: Json) -> None:
    answer = made_of(plan)
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


@at_each("plan", [YARD, MALT_HOUSE])
def test_all_track_to_be_got_is_cut_and_none_that_is_laid(plan: Json) -> None:
    answer = made_of(plan, stock_length_mm=500, saw_mm=2)
    got: defaultdict[str, float] = defaultdict(float)
    for one in answer.cutting.lengths:
        cuts = [cut.length_mm for cut in one.cuts]
        assert sum(cuts) + 2 * (len(cuts) - 1) <= 500 + 1e-9
        for cut in one.cuts:
            got[cut.piece] += one.times * cut.length_mm
    wanted = {
        name: length_mm(piece)
        for name, piece in plain(plan)
        if piece.get("state", "planned") == "planned"
    }
    assert dict(got) == {
        name: pytest.approx(mm, abs=1e-5) for name, mm in wanted.items()
    }
    assert answer.cutting.needed == sum(one.times for one in answer.cutting.lengths)


def test_joints_are_counted_over_track_of_no_length_and_not_at_decks_and_ends() -> None:
    answer = made_of(YARD)
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


def test_a_gap_named_on_both_sides_of_a_joint_is_one() -> None:
    plan: Json = {
        "pieces": {"A": STRAIGHT, "B": STRAIGHT},
        "joins": [["A.b", "B.b"]],
        "fittings": [
            {"kind": "gap", "piece": "A", "at_mm": 300, "rails": "left"},
            {"kind": "gap", "piece": "B", "at_mm": 300, "rails": "right"},
        ],
    }
    assert count(made_of(plan), "insulated_joiners") == 1
    plan["fittings"][1]["rails"] = "left"
    assert count(made_of(plan), "insulated_joiners") == 2
    assert count(made_of(plan), "joiners") == 0


def test_points_alike_stand_together_and_others_apart() -> None:
    answer = made_of(YARD)
    assert line(answer, "points", hand="left").pieces == ("P1", "P2")
    assert line(answer, "points", hand="right", radius_mm=610).pieces == ("P3",)
    measured = [one for one in answer.because if one.code == "measured"]
    assert [one.field for one in measured] == ["P4", "W"]
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
    answer = made_of({"scale": "00", "pieces": pieces})
    together = [one.pieces for one in answer.lines if one.what == "points"]
    # Source: British practice reckons a number by the centre line.
    assert sorted(together) == [("P1", "P2"), ("P3",), ("P4",)]


def test_what_is_planned_is_to_be_got_and_what_is_laid_is_not() -> None:
    answer = made_of(YARD)
    left = line(answer, "points", hand="left")
    assert (left.laid.count, left.planned.count, left.fixed.count) == (0, 1, 1)
    straight = line(answer, "straight")
    assert (straight.laid.length_mm, straight.planned.length_mm) == (2400, 99.9)
    for one in answer.lines:
        assert one.count == one.laid.count + one.planned.count + one.fixed.count
    everything = deepcopy(YARD)
    for piece in everything["pieces"].values():
        piece["state"] = "laid"
    laid = made_of(everything)
    assert laid.cutting.needed == 0
    assert {one.planned.count for one in laid.lines} == {0}
    assert [one.count for one in laid.lines] == [one.count for one in answer.lines]


def test_long_track_takes_joints_and_wires_for_each_length() -> None:
    plan = {"pieces": {"A": {"kind": "straight", "length_mm": 2400}}}
    answer = made_of(plan)
    # 914, 914 and 572: two joints within, and wires to each
    assert count(answer, "joiners_within") == 4
    assert count(answer, "droppers") == 3
    assert count(made_of(plan, dropper_over_mm=572), "droppers") == 2
    assert count(made_of(plan, dropper_over_mm=571.9), "droppers") == 3
    assert count(made_of(plan, dropper_over_mm=914), "droppers") == 0
    assert count(made_of(plan, stock_length_mm=1200), "joiners_within") == 2


def test_splitting_a_straight_changes_joints_and_no_length() -> None:
    split = deepcopy(MALT_HOUSE)
    split["pieces"]["M"]["length_mm"] = 350
    split["pieces"]["N"] = {"kind": "straight", "length_mm": 550}
    split["joins"].append(["M.b", "N.a"])
    whole, parts = made_of(MALT_HOUSE), made_of(split)
    lengths = [
        {one.what: one.length_mm for one in answer.lines} for answer in (whole, parts)
    ]
    assert lengths[0] == lengths[1]
    assert whole.underlay_to_get_m2 == parts.underlay_to_get_m2
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

    def told(answer: MaterialsAnswer, *, seen: bool) -> set[Any]:
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

    assert told(made_of(plan), seen=True) == told(made_of(YARD), seen=False)
    assert told(made_of(plan), seen=False) != told(made_of(YARD), seen=False)


def test_track_whose_length_nobody_knows_is_named_and_in_no_sum() -> None:
    plan = deepcopy(MALT_HOUSE)
    plan["pieces"]["Gap"] = {"kind": "flexible", "fitted": True}
    plan["joins"].append(["M.b", "Gap.a"])
    answer = made_of(plan)
    assert answer.verdict == "cannot_tell"
    assert answer.not_known == ("Gap",)
    assert line(answer, "flexible").length_mm is None
    assert any(one.field == "Gap" for one in answer.because)
    assert (
        line(answer, "underlay").length_mm
        == line(made_of(MALT_HOUSE), "underlay").length_mm
    )
    assert "Gap" not in {c.piece for one in answer.cutting.lengths for c in one.cuts}


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
    assert line(made_of(plan), "flexible").length_mm == 412.5


BOARD: Json = {
    "scale": "00",
    "pieces": {"T1": STRAIGHT, "P1": POINTS},
    "joins": [["T1.b", "P1.toe"]],
    "module_ends": [
        {"name": "west", "tracks": ["T1.a"]},
        {"name": "east", "tracks": ["P1.through"]},
    ],
}


def test_modules_add_up_to_the_whole_and_boards_meet_without_joiners() -> None:
    plan = {
        "modules": {"one": {"plan": BOARD}, "two": {"plan": BOARD}},
        "module_joins": [["one.east", "two.west"]],
    }
    answer = made_of(plan)
    sums: Counter[tuple[str, str]] = Counter()
    for module in answer.modules:
        for one in module.lines:
            sums[one.what, one.message] += one.count
    assert sums == {(one.what, one.message): one.count for one in answer.lines}
    assert [one.module for one in answer.modules] == [None, "one", "two"]
    assert count(answer, "board_joints") == 1
    assert count(answer, "joiners") == 4
    assert answer.underlay_to_get_m2 == pytest.approx(
        38e-6 * 2 * (300 + 30 + 180 + 610 * 12 * pi / 180), abs=1e-6
    )


@at_each(
    "rules, field",
    [
        ({"stock_length_mm": 0}, "stock_length_mm"),
        ({"stock_length_mm": 49.9}, "stock_length_mm"),
        ({"saw_mm": -1}, "saw_mm"),
        ({"dropper_over_mm": -0.1}, "dropper_over_mm"),
        ({"underlay_width_mm": 0}, "underlay_width_mm"),
        ({"stock_length_mm": "long"}, "stock_length_mm"),
    ],
)
def test_rules_out_of_bounds_are_refused_by_name(rules: Json, field: str) -> None:
    with pytest.raises(Faulty) as refused:
        convert({"plan": MALT_HOUSE, **rules}, QUESTION.request)
    assert [fault.pointer for fault in refused.value.faults] == [f"/{field}"]


def test_whatever_nobody_said_is_assumed_and_what_is_said_is_not() -> None:
    fields = {one.field for one in made_of(MALT_HOUSE).assumed}
    assert {"stock_length_mm", "saw_mm", "dropper_over_mm"} <= fields
    assert "underlay_width_mm" in fields
    said = made_of(MALT_HOUSE, stock_length_mm=914, saw_mm=1, underlay_width_mm=40)
    assert not {"stock_length_mm", "saw_mm", "underlay_width_mm"} & {
        one.field for one in said.assumed
    }
    without = {key: value for key, value in MALT_HOUSE.items() if key != "scale"}
    assert made_of(without).underlay_to_get_m2 is None


@at_each(
    "plan",
    [
        {},
        {
            "pieces": {"A": {"kind": "straight", "length_mm": 0}},
            "joins": [["A.a", "A.b"]],
        },
        {"pieces": {"A": {"kind": "straight", "length_mm": 1_000_000}}},
        {
            "pieces": {"A": STRAIGHT, "B": STRAIGHT},
            "joins": [["A.b", "B.a"], ["A.a", "B.b"], ["A.a", "A.a"], ["Q.a", "A.b"]],
        },
        {"pieces": {"C": {"kind": "curve", "radius_mm": 600, "hand": "left"}}},
        {"modules": {"x": {}}},
    ],
)
def test_awkward_plans_are_answered(plan: Json) -> None:
    answer = made_of(plan, stock_length_mm=50, saw_mm=20)
    assert answer.cutting.at_least <= answer.cutting.needed
    assert all(one.count > 0 for one in answer.lines)
    assert answer.because


def test_a_rest_that_is_hardly_laid_is_told() -> None:
    plan: Json = {"pieces": {"A": {"kind": "straight", "length_mm": 915}}}
    (short,) = [one for one in made_of(plan).because if one.code == "short_piece"]
    assert (short.field, short.value_mm) == ("A", 1)
    plan["pieces"]["A"]["length_mm"] = 914
    assert not [one for one in made_of(plan).because if one.code == "short_piece"]
