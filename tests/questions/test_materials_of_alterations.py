"""What an alteration lays and takes up: with it one plan's list makes the other's."""

from collections import Counter
from collections.abc import Sequence
from copy import deepcopy
from typing import Any

import pytest

from railway.materials.yard_of_all_sorts import YARD, counted_plan, length_mm, plain
from standage.questions.materials_answer import AlterationMaterials, ToldLine
from standage.questions.plan_compare import QUESTION
from standage.questions.plan_compare_answer import PlanCompareAnswer
from standage.questions.sources import Sources
from standage.railway.materials.counting import Line
from standage.shapes.decoding import convert
from support.walks import at_each

Json = dict[str, Any]


def compared(before: Json, after: Json) -> AlterationMaterials:
    return answered(before, after).materials


def answered(before: Json, after: Json) -> PlanCompareAnswer:
    request = convert({"before": before, "after": after}, QUESTION.request)
    return QUESTION.reckon(QUESTION.gather(Sources(None, ""), request))


def laid(plan: Json) -> Json:
    """Return a plan with all its track laid."""
    whole = deepcopy(plan)
    for piece in whole["pieces"].values():
        piece["state"] = "laid"
    return whole


def without(plan: Json, *names: str) -> Json:
    left = deepcopy(plan)
    for name in names:
        del left["pieces"][name]
    left["joins"] = [
        join
        for join in left["joins"]
        if not {end.split(".")[0] for end in join} & {*names}
    ]
    left["fittings"] = [one for one in left["fittings"] if one["piece"] not in names]
    return left


def with_piece(plan: Json, name: str, **figures: Any) -> Json:
    altered = deepcopy(plan)
    altered["pieces"][name] = {**altered["pieces"].get(name, {}), **figures}
    return altered


BEFORE = laid(YARD)
OTHERS = [
    with_piece(BEFORE, "C1", angle_deg=20),
    with_piece(BEFORE, "P1", through_after_blades_mm=220),
    with_piece(BEFORE, "P2", hand="right", branch_straight_mm=0),
    with_piece(BEFORE, "New", kind="straight", length_mm=2000),
    with_piece(without(BEFORE, "M", "K"), "A", length_mm=1200),
    without(BEFORE, "X", "D"),
    {**BEFORE, "joins": BEFORE["joins"][:-3]},
    {**BEFORE, "fittings": BEFORE["fittings"][2:]},
]


def sums(lines: Sequence[ToldLine | Line]) -> tuple[Counter[Any], Counter[Any]]:
    counts: Counter[Any] = Counter()
    lengths: Counter[Any] = Counter()
    for one in lines:
        key = one.what, tuple(one.geometry.items())
        counts[key] += one.count
        lengths[key] += round(1000 * (one.length_mm or 0.0))
    return counts, lengths


@at_each("after", OTHERS)
def test_one_list_with_what_is_laid_less_what_comes_up_is_the_other(
    after: Json,
) -> None:
    found = compared(BEFORE, after)
    assert found.to_lay or found.to_take_up
    was, now = sums(counted_plan(BEFORE).lines), sums(counted_plan(after).lines)
    lay, up = sums(found.to_lay), sums(found.to_take_up)
    for number in (0, 1):
        left = Counter(was[number])
        left.update(lay[number])
        left.subtract(up[number])
        assert +left == +now[number]
        assert not -left


@at_each("after", OTHERS)
def test_the_other_way_round_what_came_up_is_laid(after: Json) -> None:
    there, back = compared(BEFORE, after), compared(laid(after), BEFORE)
    assert sums(there.to_lay) == sums(back.to_take_up)
    assert sums(there.to_take_up) == sums(back.to_lay)


def test_what_stays_and_what_only_moves_or_is_laid_is_neither() -> None:
    assert compared(YARD, YARD) == AlterationMaterials(to_lay=(), to_take_up=())
    assert compared(YARD, BEFORE) == AlterationMaterials(to_lay=(), to_take_up=())
    moved = {
        **BEFORE,
        "placed": [{"piece": "A", "x_mm": 500, "y_mm": 7, "heading_deg": 30}],
    }
    assert compared(BEFORE, moved) == AlterationMaterials(to_lay=(), to_take_up=())


def test_only_what_is_laid_comes_up() -> None:
    # A is laid and P1 fixed for good; all else of the yard is planned
    gone = without(YARD, "A", "P1", "P2", "C1", "M")
    found = compared(YARD, gone)
    pieces = {name for one in found.to_take_up for name in one.pieces}
    assert pieces == {"A", "P1"}
    assert found.to_lay == ()


@pytest.mark.parametrize("name", ["C1", "New"])
def test_what_is_laid_is_what_the_document_adds_or_alters(name: str) -> None:
    after = with_piece(
        with_piece(BEFORE, "C1", angle_deg=20),
        "New",
        kind="straight",
        length_mm=333,
        state="planned",
    )
    document = {
        one: length_mm(piece)
        for one, piece in plain(after)
        if piece != BEFORE["pieces"].get(one)
    }
    found = compared(BEFORE, after)
    (told,) = [one for one in found.to_lay if one.pieces == (name,)]
    assert told.length_mm == pytest.approx(document[name], abs=1e-5)
    assert {piece for one in found.to_lay for piece in one.pieces} == {*document}


def test_by_what_an_alteration_is_counted_is_assumed_where_anything_is_laid() -> None:
    longer = with_piece(BEFORE, "New", kind="straight", length_mm=2000)
    fields = {one.field for one in answered(BEFORE, longer).assumed}
    assert {"stock_length_mm", "dropper_over_mm"} <= fields
    assert "saw_mm" not in fields
    same = {one.field for one in answered(BEFORE, BEFORE).assumed}
    assert not same & {"stock_length_mm", "dropper_over_mm", "joiners"}
