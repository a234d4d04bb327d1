"""The paper that is drawn on: a page, words and lines on it, as SVG.

Everything is in millimetres of paper, from the left and from the upper edge.
"""

from collections.abc import Sequence
from xml.etree import ElementTree as ET

TEXT_MM = 3.2
LETTER = 0.58
"""A letter's width on the average, as a part of its height: it depends on the reader's
font.
"""
GREY = "#d4d4d4"
PAGE_MM = 210.0
"""A sheet is as wide as A4 is."""
MARGIN_MM = 10.0
WITHIN_MM = PAGE_MM - 2 * MARGIN_MM
LINE_MM = TEXT_MM * 1.5
LETTERS = 95
"""On a line of so wide a sheet."""
HALO = {"stroke": "white", "stroke_width": "0.9", "paint_order": "stroke"}
"""With it words can be read across a line."""
_TITLE_MM = 5.0
_NOT_IN_XML = (0xFFFE, 0xFFFF)
"""**Source** XML 1.0, section 2.2; control characters are in no name."""


def page(*, width_mm: float, height_mm: float, title: str) -> ET.Element:
    """Return an empty drawing of that size on white paper, its title for those who
    cannot see it.
    """
    width, height = f"{width_mm:.2f}", f"{height_mm:.2f}"
    attributes = {
        "xmlns": "http://www.w3.org/2000/svg",
        "width": f"{width}mm",
        "height": f"{height}mm",
        "viewBox": f"0 0 {width} {height}",
        "font-family": "sans-serif",
        "role": "img",
    }
    root = ET.Element("svg", attributes)
    ET.SubElement(root, "title").text = title
    paper = {"width": width, "height": height, "fill": "white"}
    ET.SubElement(root, "rect", paper)
    return root


def inside(root: ET.Element, *, margin_mm: float) -> ET.Element:
    """Return what is drawn in within a margin on the left and above, in mm."""
    moved = f"translate({margin_mm:g} {margin_mm:g})"
    return ET.SubElement(root, "g", {"transform": moved})


def written(root: ET.Element) -> str:
    """Return the drawing as text; what XML cannot hold of a name becomes the sign for
    that.
    """
    drawn = ET.tostring(root, encoding="unicode")
    unfit = dict.fromkeys(_NOT_IN_XML, "\ufffd")
    return drawn.translate(unfit)


def title(parent: ET.Element, words: str, *, width_mm: float) -> None:
    """Write what a drawing is of at its upper edge, in as many letters as there is
    room for.
    """
    shown = cut_short(
        words,
        width_mm=width_mm,
        text_mm=_TITLE_MM,
    )
    size = f"{_TITLE_MM:g}"
    text(
        parent,
        0,
        _TITLE_MM,
        shown,
        font_weight="bold",
        font_size=size,
    )


def text(
    parent: ET.Element, left_mm: float, base_mm: float, words: str, **more: str
) -> None:
    """Write words from a place on their base line."""
    style = {
        "x": f"{left_mm:.2f}",
        "y": f"{base_mm:.2f}",
        "font-size": f"{TEXT_MM:.2f}",
    }
    for name, value in more.items():
        style[name.replace("_", "-")] = value
    ET.SubElement(parent, "text", style).text = words


def line(
    group: ET.Element,
    one: tuple[float, float],
    other: tuple[float, float],
    *,
    width: str = "0.4",
) -> None:
    """Draw a straight line from one place to another."""
    style: dict[str, str] = {}
    for number, (x_mm, y_mm) in enumerate((one, other), 1):
        style[f"x{number}"] = f"{x_mm:.2f}"
        style[f"y{number}"] = f"{y_mm:.2f}"
    style["stroke"] = "black"
    style["stroke-width"] = width
    ET.SubElement(group, "line", style)


def polygon(group: ET.Element, corners: Sequence[str]) -> None:
    """Draw a black shape with these corners."""
    points = " ".join(corners)
    ET.SubElement(group, "polygon", {"points": points, "fill": "black"})


def corner(x_mm: float, y_mm: float) -> str:
    """Return a corner of a polygon, as SVG lists them."""
    return f"{x_mm:.2f},{y_mm:.2f}"


def width_of(words: str) -> float:
    """Return how wide words come out on the paper, in mm; it depends on the reader's
    font.
    """
    letter_mm = LETTER * TEXT_MM
    return letter_mm * len(words)


def cut_short(words: str, *, width_mm: float, text_mm: float = TEXT_MM) -> str:
    """Return the words, or as many of their letters as there is room for."""
    letter_mm = LETTER * text_mm
    letters = max(1, int(width_mm / letter_mm))
    if len(words) <= letters:
        return words
    return f"{words[: letters - 1]}…"
