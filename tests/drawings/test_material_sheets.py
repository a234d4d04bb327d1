"""A list of materials on paper: every page within its paper, and every cut named."""

import re
from typing import Any, get_args

import pytest

from railway.materials.yard_of_all_sorts import YARD
from standage.drawings.plans.sheets import PAPERS
from standage.questions.materials_sheets import DRAWING, MaterialsPaper
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.sheets import off_the_paper, overlapping, read, words
from support.walks import at_each

LONG = (
    "A name as long as any builder would ever think of, who likes them to be very long"
)
MANY: dict[str, Any] = {
    **YARD,
    "name": LONG + " & <more>",
    "pieces": {
        **YARD["pieces"],
        LONG[:80].strip(): {"kind": "straight", "length_mm": 1},
        "Huge": {"kind": "straight", "length_mm": 1_000_000},
        **{
            f"N{n}": {"kind": "straight", "length_mm": 7.7 * (n + 1)} for n in range(90)
        },
    },
}


def drawn(plan: dict[str, Any], **look: Any) -> str:
    request = convert({"plan": plan}, DRAWING.request)
    case = DRAWING.gather(Sources(None, ""), request, convert(look, MaterialsPaper))
    return DRAWING.draw(case)


@at_each("paper", ["a4", "letter"])
def test_every_page_stays_within_its_paper_and_no_words_overlap(paper: Any) -> None:
    pages = int(re.findall(r"page 1 of (\d+)", drawn(MANY, paper=paper, page=1))[0])
    assert pages > 1
    for page in range(1, pages + 1):
        root = read(drawn(MANY, paper=paper, page=page))
        assert off_the_paper(root) == []
        assert overlapping(root) == []


def test_every_cut_is_named_however_short_it_is() -> None:
    said = " ".join(words(read(drawn(MANY))))
    for number in range(90):
        assert f"N{number} {7.7 * (number + 1):.1f}" in said
    assert f"{LONG[:80].strip()} 1.0" in said


def test_a_page_that_is_not_there_is_refused() -> None:
    with pytest.raises(Faulty) as refused:
        drawn(YARD, page=9)
    assert [fault.parameter for fault in refused.value.faults] == ["page"]


def test_the_papers_are_those_that_are_printed() -> None:
    kinds = get_args(get_args(MaterialsPaper.__annotations__["paper"])[0])
    assert all(PAPERS[kind].is_printed for kind in kinds)
