"""Templates at 1:1: pages that join, hold all the track between them, and can be
checked with a rule.
"""

import re
from xml.etree import ElementTree as ET

import pytest

from standage.drawings.plans.looks import Look
from standage.drawings.plans.sheets import Pages, PaperName
from standage.drawings.plans.template_pages import template_pages
from standage.railway.track.survey.survey import survey
from support.plans_to_draw import ALL, many_pieces, measured, modules, yard
from support.sheets import SVG, off_the_paper, overlapping, read, words
from support.track_plans import Document, oval, passing_loop, read_plan, straight

OVERLAP_MM = 10.0


def template(document: Document, look: Look | None = None) -> Pages:
    plan = read_plan({"scale": "00", **document})
    return template_pages(survey(plan), look or Look())


def page_of(pages: Pages, number: int) -> ET.Element:
    return read(pages.written(number))


def lines_of_100_mm(drawing: ET.Element) -> list[str]:
    """Return which way the lines of just 100 mm run."""
    found = []
    for one in drawing.iter(f"{SVG}line"):
        x1, x2, y1, y2 = (float(one.get(name, 0)) for name in ("x1", "x2", "y1", "y2"))
        if (abs(x2 - x1), abs(y2 - y1)) == pytest.approx((100, 0)):
            found.append("across")
        if (abs(x2 - x1), abs(y2 - y1)) == pytest.approx((0, 100)):
            found.append("down")
    return sorted(found)


def window_mm(drawing: ET.Element) -> tuple[float, float]:
    (window,) = list(drawing.iter(f"{SVG}svg"))[1:]
    return float(window.get("width", 0)), float(window.get("height", 0))


def first_of_track(drawing: ET.Element) -> complex:
    """Return where the first strand of a page begins, in its window."""
    (window,) = list(drawing.iter(f"{SVG}svg"))[1:]
    path = next(window.iter(f"{SVG}path")).get("d") or ""
    x_mm, y_mm = re.findall(r"M([-\d.]+) ([-\d.]+)", path)[0]
    return complex(float(x_mm), float(y_mm))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_page_has_lines_of_100_mm_both_ways(paper: PaperName) -> None:
    pages = template(passing_loop(), Look(paper=paper))
    for number in range(2, pages.count + 1):
        drawing = page_of(pages, number)
        assert lines_of_100_mm(drawing) == ["across", "down"]
        assert "Print at 100 %: both lines must measure 100 mm." in words(drawing)


def test_a_page_s_user_unit_is_a_millimetre() -> None:
    drawing = page_of(template(passing_loop()), 2)
    (window,) = list(drawing.iter(f"{SVG}svg"))[1:]
    width, height = window.get("width"), window.get("height")
    assert window.get("viewBox") == f"0 0 {width} {height}"
    assert drawing.get("viewBox") == " ".join(
        ("0", "0", *((drawing.get(name) or "")[:-2] for name in ("width", "height")))
    )


def test_one_straight_goes_on_from_page_to_page() -> None:
    pages = template({"pieces": {"S": straight(900.0)}, "joins": []})
    drawings = [page_of(pages, number) for number in range(2, pages.count + 1)]
    width_mm, _ = window_mm(drawings[0])
    begins = [first_of_track(drawing) for drawing in drawings]
    for number, begin in enumerate(begins[1:], 1):
        moved = begins[0] - begin
        assert moved == pytest.approx(number * (width_mm - OVERLAP_MM) + 0j)


def test_track_of_a_metre_and_a_half_takes_as_many_pages_as_it_must() -> None:
    pages = template({"pieces": {"S": straight(1500.0)}, "joins": []})
    width_mm, _ = window_mm(page_of(pages, 2))
    step_mm = width_mm - OVERLAP_MM
    assert (pages.count - 2) * step_mm < 1550 <= pages.count * step_mm


def test_the_middle_of_an_oval_is_no_page() -> None:
    pages = template(oval(side_mm=900.0, radius_mm=700.0))
    said = [
        text
        for number in range(2, pages.count + 1)
        for text in words(page_of(pages, number))
        if text.startswith("row ")
    ]
    cells = {tuple(map(int, re.findall(r"\d+", text)[:2])) for text in said}
    rows = max(row for row, _ in cells)
    columns = max(column for _, column in cells)
    assert len(cells) == pages.count - 1
    assert len(cells) < rows * columns


def test_every_page_names_the_pieces_that_lie_on_it() -> None:
    """A straight of 600 mm lies on several pages, points on those of their legs."""
    pages = template({"pieces": {"long way": straight(600.0)}, "joins": []})
    assert pages.count > 3
    for number in range(2, pages.count + 1):
        assert "long way" in words(page_of(pages, number))
    loop = template(passing_loop())
    shown = {
        name
        for number in range(2, loop.count + 1)
        for name in words(page_of(loop, number))
    }
    assert {"W", "P1", "M", "C1", "L", "C2", "P2", "E"} <= shown


def test_a_page_shows_the_joint_of_two_boards_and_their_edges() -> None:
    """The joint lies at 800 mm, 30 mm to either side of the track; the boards' edges
    meet there.
    """
    pages = template(modules())
    drawings = [page_of(pages, number) for number in range(2, pages.count + 1)]
    named = [one for one in drawings if "west | corner" in words(one)]
    assert named
    for drawing in named:
        (window,) = list(drawing.iter(f"{SVG}svg"))[1:]
        outlines = list(window.iter(f"{SVG}polygon"))
        assert len(outlines) == 3
        dashed = [one.get("stroke-dasharray") for one in window.iter(f"{SVG}polyline")]
        assert "3 1 0.8 1" in dashed


def test_neighbours_name_each_other() -> None:
    pages = template({"pieces": {"S": straight(600.0)}, "joins": []})
    first = " ".join(words(page_of(pages, 2)))
    second = " ".join(words(page_of(pages, 3)))
    assert "right: page 3" in first
    assert "left: page 2" in second


def test_the_cover_has_the_key_and_says_what_to_take_care_of() -> None:
    pages = template(yard(), Look(revision="4", dated="1 May"))
    shown = words(page_of(pages, 1))
    for number in range(2, pages.count + 1):
        assert str(number) in shown
    text = " ".join(shown)
    assert "Print at 100 %" in text
    assert "before anything is cut" in text
    assert "what is usual where you work comes first" in text
    assert {"4", "1 May", "1 : 1"} <= set(shown)


def test_all_pages_stand_below_each_other_each_on_its_own_sheet() -> None:
    pages = template(passing_loop())
    drawing = read(pages.written())
    height_mm = float((drawing.get("height") or "")[:-2])
    assert height_mm == pytest.approx(pages.count * pages.paper.height_mm)


def test_of_very_many_pages_the_cover_stands_alone() -> None:
    pages = template(many_pieces(400))
    assert pages.count > 40
    height_mm = float((read(pages.written()).get("height") or "")[:-2])
    assert height_mm == pytest.approx(pages.paper.height_mm)


def test_a_kilometre_of_track_ends_in_words() -> None:
    pieces = {f"S{number}": straight(100_000.0) for number in range(10)}
    joins = [[f"S{number}.b", f"S{number + 1}.a"] for number in range(9)]
    pages = template({"pieces": pieces, "joins": joins})
    assert pages.count == 1
    assert any(
        "more track than is drawn at 1:1" in one for one in words(page_of(pages, 1))
    )


def test_a_plan_without_a_place_says_so() -> None:
    pages = template(measured())
    assert pages.count == 1
    shown = words(page_of(pages, 1))
    assert "Nothing of this plan has a place that could be drawn." in shown


@pytest.mark.parametrize("made", ALL)
def test_no_text_stands_over_another(made: str) -> None:
    pages = template(ALL[made](), Look(track="sleepered"))
    for number in range(1, min(pages.count, 8) + 1):
        drawing = page_of(pages, number)
        assert overlapping(drawing) == []
        assert off_the_paper(drawing) == []
