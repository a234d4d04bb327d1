"""Sheets of paper: A4, Letter and a phone's narrow strip, with the room within their
margins.

A sheet says its paper to the browser, so that it prints at 100 % without a setting.
Everything is in mm of paper, from the left and from the upper edge.
"""

from collections.abc import Callable
from typing import Literal
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import page, written

PaperName = Literal["a4", "letter", "phone"]
MOST_TOGETHER = 40
"""So many pages are drawn below each other; of more, one at a time."""


class Paper(msgspec.Struct, frozen=True, kw_only=True):
    """A sort of paper, upright, and the letters that are read on it.

    A phone's has no end: it is as high as what stands on it, and is not printed.
    """

    width_mm: float
    height_mm: float
    text_mm: float
    margin_mm: float
    is_printed: bool = True

    @property
    def across(self) -> "Paper":
        """The same paper turned on its side; a phone's stays as it is."""
        if not self.is_printed:
            return self
        return msgspec.structs.replace(
            self, width_mm=self.height_mm, height_mm=self.width_mm
        )

    @property
    def wide_mm(self) -> float:
        """What lies between its margins, from left to right."""
        return self.width_mm - 2 * self.margin_mm

    @property
    def high_mm(self) -> float:
        """What lies between its margins, from top to bottom."""
        return self.height_mm - 2 * self.margin_mm

    @property
    def line_mm(self) -> float:
        """From one line of words to the next."""
        return 1.5 * self.text_mm


PAPERS: dict[PaperName, Paper] = {
    "a4": Paper(width_mm=210.0, height_mm=297.0, text_mm=3.0, margin_mm=9.0),
    "letter": Paper(width_mm=215.9, height_mm=279.4, text_mm=3.0, margin_mm=9.0),
    "phone": Paper(
        width_mm=95.0, height_mm=165.0, text_mm=4.2, margin_mm=3.0, is_printed=False
    ),
}
"""A phone shows 360 to 412 px across, 96 to the inch: 95 to 109 mm.

**Source** ISO 216; ANSI Y14.1; the CSS pixel of CSS Values 3.
"""


class Told(msgspec.Struct, frozen=True, kw_only=True):
    """What a drawing says of itself to those who cannot see it."""

    title: str
    description: str


class Pages(msgspec.Struct, frozen=True, kw_only=True):
    """A drawing of one or more pages of the same paper; ``draw`` returns one of them,
    counted from 1, about its own upper left corner.
    """

    paper: Paper
    told: Told
    count: int
    draw: Callable[[int], ET.Element]

    def written(self, page: int | None = None) -> str:
        """Return one page as SVG, or the first ones of all below each other.

        A browser prints each on a sheet of its own.
        """
        shown = [page] if page is not None else self._together
        root = _sheet(
            self.paper,
            self.told,
            pages=len(shown),
        )
        for place, number in enumerate(shown):
            top_mm = place * self.paper.height_mm
            moved(root, 0, top_mm).append(self.draw(number))
        return written(root)

    def followed_by(self, more: "Pages") -> "Pages":
        """Return these pages, and behind them more on the same paper."""
        first = self.count

        def draw(page: int) -> ET.Element:
            if page <= first:
                return self.draw(page)
            return more.draw(page - first)

        return Pages(
            paper=self.paper,
            told=self.told,
            count=first + more.count,
            draw=draw,
        )

    @property
    def _together(self) -> list[int]:
        """The pages of a sheet with all: of too many, the first alone."""
        if self.count > MOST_TOGETHER:
            return [1]
        return list(range(1, self.count + 1))


def _sheet(paper: Paper, told: Told, *, pages: int) -> ET.Element:
    height_mm = paper.height_mm * pages
    root = page(
        width_mm=paper.width_mm,
        height_mm=height_mm,
        title=told.title,
    )
    description = ET.Element("desc")
    description.text = told.description
    root.insert(1, description)
    if paper.is_printed:
        size = f"{paper.width_mm:g}mm {paper.height_mm:g}mm"
        style = ET.Element("style")
        style.text = f"@page{{size:{size};margin:0}}"
        root.insert(2, style)
    return root


def moved(parent: ET.Element, left_mm: float, top_mm: float) -> ET.Element:
    """Return what is drawn from a place of its own."""
    where = {"transform": f"translate({left_mm:.2f} {top_mm:.2f})"}
    return ET.SubElement(parent, "g", where)
