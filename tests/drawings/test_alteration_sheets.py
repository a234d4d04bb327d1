"""Two plans over each other: which track is grey, which broken, where the rings stand."""

from copy import deepcopy
from itertools import pairwise
from typing import Any

import pytest

from standage.drawings.paper import GREY
from standage.drawings.plans.sheets import PaperName
from standage.questions.drawing_cases import OnSheet
from standage.questions.plan_compare import PlanCompareRequest, gather
from standage.questions.plan_compare_drawing import alteration_sheet
from standage.questions.plan_drawing import PaperQuery
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.plans_to_draw import balloon, measured, yard
from support.sheets import SVG, off_the_paper, overlapping, path_length_mm, read, words
from support.track_plans import Document, straight

BOARD = {"outline": [[-50, -150], [1900, -150], [1900, 150], [-50, 150]]}


def sheet(before: Document, after: Document, look: PaperQuery | None = None) -> str:
    plans = {"before": before, "after": after}
    body = {name: {"scale": "00", **plan} for name, plan in plans.items()}
    case = gather(Sources(None, ""), convert(body, PlanCompareRequest))
    return alteration_sheet(OnSheet(case=case, look=look or PaperQuery()))


def scale_of(drawing: str) -> float:
    (said,) = [one for one in words(read(drawing)) if one.startswith("1 : ")]
    return float(said.removeprefix("1 : "))


def rings(drawing: str) -> int:
    return sum(one.get("r") == "2.2" for one in read(drawing).iter(f"{SVG}circle"))


def broken(drawing: str) -> int:
    """Return how many lines of track are broken."""
    return sum(
        one.get("stroke-dasharray") is not None
        for one in read(drawing).iter(f"{SVG}path")
    )


def line(*lengths_mm: float, state: str = "planned", **about: Any) -> Document:
    names = "ABCD"[: len(lengths_mm)]
    pieces = {
        name: straight(mm) | {"state": state}
        for name, mm in zip(names, lengths_mm, strict=True)
    }
    joins = [[f"{one}.b", f"{two}.a"] for one, two in pairwise(names)]
    return {"pieces": pieces, "joins": joins, "board": BOARD, **about}


def grey_mm(drawing: str) -> float:
    return path_length_mm(read(drawing), GREY) * scale_of(drawing)


def test_what_is_added_is_grey_along_all_its_length_and_nothing_else_is() -> None:
    drawing = sheet(line(300, 400), line(300, 400, 250))
    assert grey_mm(drawing) == pytest.approx(250, abs=0.2)
    assert (broken(drawing), rings(drawing)) == (0, 0)


def test_what_is_taken_out_is_broken_and_ringed_where_it_is_laid() -> None:
    drawing = sheet(line(300, 400, 250, state="laid"), line(300, 400, state="laid"))
    assert grey_mm(drawing) == 0
    assert broken(drawing) > 0
    assert rings(drawing) == 1
    planned = sheet(line(300, 400, 250), line(300, 400))
    assert rings(planned) == 0
    assert broken(planned) == broken(drawing)


def test_what_is_altered_and_what_moves_for_it_are_both() -> None:
    before = line(300, 400, 250, state="laid")
    drawing = sheet(before, line(300, 460, 250, state="laid"))
    assert grey_mm(drawing) == pytest.approx(460 + 250, abs=0.3)
    assert rings(drawing) == 2
    said = [one.split() for one in words(read(drawing))]
    assert ["C", "by", "60", "mm", "at", "most"] in said


def test_of_two_equal_plans_nothing_is_grey_broken_or_ringed() -> None:
    drawing = sheet(line(300, 400), line(300, 400))
    assert (grey_mm(drawing), broken(drawing), rings(drawing)) == (0, 0, 0)
    assert "the two plans have the same track, and nothing changes" in words(
        read(drawing)
    )


@pytest.mark.parametrize("paper", ["a4", "letter", "phone"])
@pytest.mark.parametrize("plan", [balloon, measured, yard])
def test_no_words_stand_over_others_or_off_the_paper(
    paper: PaperName, plan: Any
) -> None:
    before, after = plan(), deepcopy(plan())
    for name in list(after["pieces"])[:3]:
        if "length_mm" in after["pieces"][name]:
            after["pieces"][name]["length_mm"] += 35.0
    drawing = sheet(before, after, PaperQuery(paper=paper))
    assert overlapping(read(drawing)) == []
    assert off_the_paper(read(drawing)) == []
