"""What a plan is made of: sums against a walk over the document itself, which knows
nothing of surveys, strands or goods.
"""

from collections import Counter, defaultdict
from copy import deepcopy
from math import pi

import pytest

from railway.materials.yard_of_all_sorts import (
    POINTS,
    STRAIGHT,
    YARD,
    Json,
    count,
    length_mm,
    line,
    plain,
)
from standage.questions.materials import QUESTION
from standage.questions.materials_answer import MaterialsAnswer
from standage.questions.plan import MALT_HOUSE
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each


def made_of(plan: Json, **rules: float) -> MaterialsAnswer:
    request = convert({"plan": plan, **rules}, QUESTION.request)
    return QUESTION.reckon(QUESTION.gather(Sources(None, ""), request))


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


def test_points_of_which_only_lengths_are_known_are_told() -> None:
    answer = made_of(YARD)
    measured = [one for one in answer.because if one.code == "measured"]
    assert [one.field for one in measured] == ["P4", "W"]
    assert line(answer, "points", hand="left").message == (
        "points, left hand, radius 610 mm, 12°"
    )
