"""A list of materials on paper: every page within its paper, and every cut named."""

import re
from typing import Any, get_args
from xml.etree import ElementTree as ET

import pytest

from questions.yard_of_all_sorts import YARD
from standage.drawings.plans.sheets import PAPERS
from standage.questions.materials_sheets import DRAWING, MaterialsPaper
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

SVG = "{http://www.w3.org/2000/svg}"
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


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own text


def texts(svg: str) -> list[str]:
    return ["".join(one.itertext()) for one in parsed(svg).iter(f"{SVG}text")]


def lowest_mm(element: ET.Element, at_mm: float = 0.0) -> float:
    moved = re.match(r"translate\(\S+ (\S+)\)", element.get("transform", ""))
    if moved is not None:
        at_mm += float(moved[1])
    own = at_mm + float(element.get("y", 0)) + float(element.get("height", 0))
    is_page = element.get("fill") == "white" and element.get("stroke") is None
    below = [lowest_mm(one, at_mm) for one in element]
    return max([0.0 if is_page else own, *below])


@at_each("paper", ["a4", "letter"])
def test_every_page_stays_within_its_paper(paper: Any) -> None:
    pages = int(re.findall(r"page 1 of (\d+)", drawn(MANY, paper=paper, page=1))[0])
    assert pages > 1
    for page in range(1, pages + 1):
        root = parsed(drawn(MANY, paper=paper, page=page))
        inside = [one for one in root if one.tag == f"{SVG}g"]
        lowest = max(map(lowest_mm, inside))
        assert lowest <= PAPERS[paper].height_mm - PAPERS[paper].margin_mm


def test_every_cut_is_named_however_short_it_is() -> None:
    said = " ".join(texts(drawn(MANY)))
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
