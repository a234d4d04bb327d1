"""What stands on a drawing: its words with the boxes they take up, and its lines, in mm
of the paper.
"""

import re
from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import NamedTuple
from xml.etree import ElementTree as ET

SVG = "{http://www.w3.org/2000/svg}"
_MOVED = re.compile(r"translate\(([-\d.]+) ([-\d.]+)\)")
_HANGS = 0.22
"""Of a letter's height, what hangs below the base line."""


class Said(NamedTuple):
    """Words, and the box that they take up."""

    text: str
    left_mm: float
    top_mm: float
    right_mm: float
    foot_mm: float

    def overlaps(self, other: "Said", *, by_mm: float = 0.05) -> bool:
        """Tell whether two boxes share more than a hair's breadth."""
        across = min(self.right_mm, other.right_mm) - max(self.left_mm, other.left_mm)
        down = min(self.foot_mm, other.foot_mm) - max(self.top_mm, other.top_mm)
        return across > by_mm and down > by_mm


def read(drawing: str) -> ET.Element:
    """Return a drawing's root."""
    return ET.fromstring(drawing)  # noqa: S314 - our own text


def words(root: ET.Element) -> list[str]:
    """Return all that is written, what is cut short included."""
    return [one.text for one in said(root)]


def said(root: ET.Element) -> list[Said]:
    """Return every text with its box, wherever its groups are moved to."""
    return list(_said(root, 0j, upwards=False))


def _said(element: ET.Element, moved: complex, *, upwards: bool) -> Iterator[Said]:
    transform = element.get("transform") or ""
    found = _MOVED.search(transform)
    if found:
        moved += complex(float(found[1]), float(found[2]))
    upwards = upwards or "rotate(-90)" in transform
    if element.tag == f"{SVG}text":
        yield _turned(element, moved) if upwards else _box(element, moved)
    for inner in element:
        yield from _said(inner, moved, upwards=upwards)


def _turned(element: ET.Element, moved: complex) -> Said:
    """Return words that run upwards: to the right of them is up."""
    flat = _box(element, 0j)
    return Said(
        text=flat.text,
        left_mm=moved.real + flat.top_mm,
        right_mm=moved.real + flat.foot_mm,
        top_mm=moved.imag - flat.right_mm,
        foot_mm=moved.imag - flat.left_mm,
    )


def _box(element: ET.Element, moved: complex) -> Said:
    size_mm = float(element.get("font-size", 0))
    width_mm = float(element.get("textLength", 0))
    left_mm = float(element.get("x", 0)) + moved.real
    base_mm = float(element.get("y", 0)) + moved.imag
    shown = element.text or ""
    for title in element:
        shown += title.tail or ""
    return Said(
        text=shown,
        left_mm=left_mm,
        top_mm=base_mm - (1 - _HANGS) * size_mm,
        right_mm=left_mm + width_mm,
        foot_mm=base_mm + _HANGS * size_mm,
    )


def overlapping(root: ET.Element) -> list[tuple[str, str]]:
    """Return the pairs of texts that stand over each other."""
    return [
        (one.text, other.text)
        for one, other in combinations(said(root), 2)
        if one.overlaps(other)
    ]


def off_the_paper(root: ET.Element) -> list[str]:
    """Return the texts that do not stand wholly on the paper."""
    width_mm = float((root.get("width") or "0").removesuffix("mm"))
    height_mm = float((root.get("height") or "0").removesuffix("mm"))
    return [
        one.text
        for one in said(root)
        if one.left_mm < 0
        or one.top_mm < 0
        or one.right_mm > width_mm
        or one.foot_mm > height_mm
    ]


def path_length_mm(root: ET.Element, stroke: str) -> float:
    """Return how long the straight lines of a colour are together."""
    whole_mm = 0.0
    for one in root.iter(f"{SVG}polyline"):
        if one.get("stroke") == stroke:
            pairs = [pair.split(",") for pair in (one.get("points") or "").split()]
            places = [complex(float(x_mm), float(y_mm)) for x_mm, y_mm in pairs]
            whole_mm += sum(abs(two - first) for first, two in pairwise(places))
    return whole_mm
