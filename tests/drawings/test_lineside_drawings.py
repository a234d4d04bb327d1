"""What stands beside the track and over it, drawn: true to scale, and what is not known
is not drawn.
"""

from itertools import combinations
from typing import Any
from xml.etree import ElementTree as ET

import pytest
import shapely  # type: ignore[import-untyped] # ships no types

from standage.drawings.paper import GREY, width_of
from standage.questions import headroom_drawing, lineside_drawing
from standage.questions.headroom import HeadroomRequest
from standage.questions.headroom import gather as gather_headroom
from standage.questions.lineside import LinesideRequest
from standage.questions.lineside import gather as gather_lineside
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.sheets import SVG, Said, off_the_paper, read, said, words
from support.walks import at_each

Json = dict[str, Any]
COACH: Json = {
    "name": "Coach",
    "kind": "coach",
    "length_mm": 258,
    "length_over": "buffers",
    "bogie_centres_mm": 186,
    "width_mm": 36,
    "height_mm": 52,
}


def beside(*vehicles: Json, **asked: Any) -> ET.Element:
    request = {
        "what": "platform",
        "radius_mm": 610,
        "scale": "00",
        "margin_mm": 1,
        "vehicles": list(vehicles or (COACH,)),
        **asked,
    }
    case = gather_lineside(Sources(None, ""), convert(request, LinesideRequest))
    return read(lineside_drawing.lineside_sheet(case))


def over(**asked: Any) -> ET.Element:
    request = convert({"rail_mm": 3.2, **asked}, HeadroomRequest)
    case = gather_headroom(Sources(None, ""), request)
    return read(headroom_drawing.headroom_sheet(case))


def shapes(root: ET.Element, **look: str) -> list[shapely.Polygon]:
    """Return what is drawn as polygons of that look, in mm of paper."""
    found = []
    for one in root.iter(f"{SVG}polygon"):
        if any(one.get(name.replace("_", "-")) != want for name, want in look.items()):
            continue
        pairs = [pair.split(",") for pair in (one.get("points") or "").split()]
        found.append(shapely.Polygon([(float(x), float(y)) for x, y in pairs]))
    return found


def bounds(polygon: shapely.Polygon) -> tuple[float, float, float, float]:
    left, upper, right, lower = polygon.bounds
    return left, upper, right, lower


def test_a_cross_section_is_true_to_scale() -> None:
    """Edges 26.13 and 25.13 as published, the coach 36 wide, the platform 12.0 high."""
    root = beside()
    left, right = shapes(root, fill=GREY, stroke_width="0.4")
    (body,) = shapes(root, fill="white", stroke_width="0.5")
    from_mm, _, to_mm, _ = bounds(body)
    scale = (to_mm - from_mm) / 36
    middle_mm = (from_mm + to_mm) / 2
    assert (middle_mm - bounds(left)[2]) / scale == pytest.approx(26.13, abs=0.02)
    assert (bounds(right)[0] - middle_mm) / scale == pytest.approx(25.13, abs=0.02)
    # the coach is 52 high above the rail, which lies as far beneath its roof
    rail_mm = bounds(body)[1] + 52 * scale
    assert (rail_mm - bounds(left)[1]) / scale == pytest.approx(12.0, abs=0.05)
    assert {"26.2 mm", "25.2 mm", "12 mm"} < {*words(root)}


@at_each("asked", [{}, {"radius_mm": 438}, {"ends_at_mm": 120}, {"what": "wall"}])
def test_on_the_plan_the_vehicle_keeps_its_margin_to_what_stands_beside(
    asked: Json,
) -> None:
    """Of 1 mm on the worse side, where it stands in the middle of the curve; where the
    curve ends it keeps that and more.
    """
    root = beside(**asked)
    (body,) = shapes(root, fill="none", stroke_width="0.6")
    rectangle = body.minimum_rotated_rectangle
    assert rectangle.area == pytest.approx(body.area, rel=1e-3)
    scale = (body.area / (258 * 36)) ** 0.5
    bands = shapes(root, fill=GREY, stroke_width="0.1")
    nearest_mm = min(body.distance(band) for band in bands) / scale
    if "ends_at_mm" in asked:
        assert nearest_mm > 0.98
    else:
        assert nearest_mm == pytest.approx(1.0, abs=0.06)


def test_an_island_lies_between_its_two_tracks() -> None:
    root = beside(what="island", radius_mm=None)
    (island,) = shapes(root, fill=GREY, stroke_width="0.4")
    one, other = shapes(root, fill="white", stroke_width="0.5")
    from_mm, _, to_mm, _ = bounds(island)
    scale = (to_mm - from_mm) / 48
    assert (from_mm - bounds(one)[2]) / scale == pytest.approx(1.0, abs=0.02)
    assert (bounds(other)[0] - to_mm) / scale == pytest.approx(1.0, abs=0.02)
    assert words(root).count("19 mm") == 2


def test_of_what_is_not_known_words_alone_are_drawn() -> None:
    engine = {"name": "Engine", "kind": "engine", "length_mm": 200}
    root = beside(COACH, {**engine, "length_over": "buffers"})
    assert not shapes(root)
    assert any("Engine: measure" in one for one in words(root))
    root = over(vehicles=[{"name": "Tank"}])
    assert not shapes(root)
    assert any("Tank: measure its height" in one for one in words(root))


def test_a_stack_is_as_high_as_its_layers() -> None:
    """3.2 + 10 + 37 = 50.2: published, and so the deck is 10 / 37 of the stock."""
    root = over(deck_mm=10, stock_mm=37)
    (deck,) = shapes(root, fill=GREY, stroke_width="0.3")
    (stock,) = shapes(root, fill="white", stroke_width="0.5")
    (rail,) = shapes(root, fill="white", stroke_width="0.3")
    scale = (bounds(stock)[3] - bounds(stock)[1]) / 37
    assert (bounds(deck)[3] - bounds(deck)[1]) / scale == pytest.approx(10, abs=0.02)
    assert bounds(deck)[3] == pytest.approx(bounds(stock)[1], abs=0.01)
    assert bounds(rail)[3] == pytest.approx(bounds(deck)[1], abs=0.01)
    assert {"rail 3.2 mm", "deck 10 mm", "stock 37 mm"} < {*words(root)}


NARROW = {**COACH, "width_mm": 2, "height_mm": 900}
LONG_NAME = {**COACH, "name": "Saloon " * 16}
LARGE = {**COACH, "length_mm": 1e6, "bogie_centres_mm": 5e5, "height_mm": 1e-3}


def awkward() -> list[ET.Element]:
    return [
        beside(NARROW, radius_mm=None),
        beside(NARROW, what="island", radius_mm=None, island_width_mm=3),
        beside(LONG_NAME, what="portal", radius_mm=94, ends_at_mm=1e6),
        beside(LARGE, radius_mm=1e6, margin_mm=1e6),
        beside(radius_mm=1e6, ends_at_mm=-1e6),
        over(stock_mm=1e6, deck_mm=1e-3, wire_mm=0, reserve_mm=0, rail_to_rail_mm=1),
        over(stock_mm=1e-3, deck_mm=1e6, wire_mm=1e6, reserve_mm=0.1, rail_mm=0),
        over(stock_mm=1e-6, rail_mm=0),
    ]


@at_each("root", awkward)
def test_awkward_figures_are_drawn_on_the_paper_and_no_words_over_others(
    root: ET.Element,
) -> None:
    assert off_the_paper(root) == []
    boxes = [
        one._replace(right_mm=one.left_mm + width_of(one.text)) for one in level(root)
    ]
    over_others = [
        (one.text, other.text)
        for one, other in combinations(boxes, 2)
        if one.overlaps(other, by_mm=0.3)
    ]
    assert over_others == []


def level(root: ET.Element) -> list[Said]:
    """Return the texts that begin where they say, so that their boxes are known; the
    title is in larger letters.
    """
    anchored = {
        one.text
        for one in root.iter(f"{SVG}text")
        if one.get("text-anchor") is not None
    }
    return [one for one in said(root)[1:] if one.text not in anchored]


def test_no_rail_runs_through_the_words_beneath() -> None:
    """An island's outer track lies lowest in plan, and its outer rail lower still."""
    root = beside(what="island", scale="00")
    rails = [
        float(pair.split(",")[1])
        for line in root.iter(f"{SVG}polyline")
        for pair in (line.get("points") or "").split()
    ]
    first = min(one.top_mm for one in said(root) if one.text.startswith("Outside the"))
    assert max(rails) < first
