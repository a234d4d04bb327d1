"""What a track plan is made of, on paper: a list with what is to be got, laid and fixed,
then each length of track as a bar with its cuts, then what there is to say.

Everything is in mm of paper. Rows go on over as many pages as it takes; a heading never
stands last on a page.
"""

from collections.abc import Callable, Iterator
from typing import NamedTuple
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import GREY, line
from standage.drawings.plans.lettering import Words, width_mm, words, wrapped, write
from standage.drawings.plans.sheets import PAPERS, Pages, Paper, PaperName, Told, moved

_TITLE_MM = 10.0
_TEXT_MM = 2.8
_ROW_MM = 4.6
_LINE_MM = 4.0
_HEADING_MM = 7.5
_BAR_MM = 4.6
_BAR_ROW_MM = 6.4
_TIMES_MM = 12.0
_PAD_MM = 0.6
_LEAST_PART_MM = 0.15
"""A cut is drawn no narrower."""
_COLUMNS = ("to get", "mm to get", "laid", "fixed")
_COLUMN_MM = 18.0
_FIGURES_MM = len(_COLUMNS) * _COLUMN_MM
_KEY = "left over: grey; what the saw takes is not drawn"


class DrawnMaterialsLine(msgspec.Struct, frozen=True, kw_only=True):
    """A line of the list."""

    name: str
    to_get: int
    to_get_mm: float | None
    laid: int
    fixed: int


class DrawnMaterialsPart(msgspec.Struct, frozen=True, kw_only=True):
    """The lines of the whole plan, or of a module."""

    heading: str
    lines: tuple[DrawnMaterialsLine, ...]


class DrawnBar(msgspec.Struct, frozen=True, kw_only=True):
    """A length of track with its cuts, each a piece and its mm."""

    times: int
    cuts: tuple[tuple[str, float], ...]


class DrawnMaterials(msgspec.Struct, frozen=True, kw_only=True):
    """All that a list of materials shows."""

    title: str
    parts: tuple[DrawnMaterialsPart, ...]
    cut_heading: str
    stock_length_mm: float
    bars: tuple[DrawnBar, ...]
    notes: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]


class _Row(NamedTuple):
    """Something that stands across a page, so high."""

    high_mm: float
    draw: Callable[[ET.Element], None]
    is_heading: bool = False


def material_pages(drawn: DrawnMaterials, paper: PaperName) -> Pages:
    """Return a list of materials on pages of a paper, upright."""
    sheet = PAPERS[paper]
    pages = _paged(list(_Rows(drawn, sheet).rows()), sheet.high_mm - _TITLE_MM)

    def draw(page: int) -> ET.Element:
        group = ET.Element("g")
        within = moved(group, sheet.margin_mm, sheet.margin_mm)
        _title(within, drawn.title, sheet, f"page {page} of {len(pages)}")
        top_mm = _TITLE_MM
        for row in pages[page - 1]:
            row.draw(moved(within, 0, top_mm))
            top_mm += row.high_mm
        return group

    return Pages(
        paper=sheet,
        told=Told(title=drawn.title, description=" ".join(drawn.notes)),
        count=len(pages),
        draw=draw,
    )


def _paged(rows: list[_Row], high_mm: float) -> list[list[_Row]]:
    pages: list[list[_Row]] = [[]]
    left_mm = high_mm
    for number, row in enumerate(rows):
        needed_mm = row.high_mm
        if row.is_heading and number + 1 < len(rows):
            needed_mm += rows[number + 1].high_mm
        if needed_mm > left_mm and pages[-1]:
            pages.append([])
            left_mm = high_mm
        pages[-1].append(row)
        left_mm -= row.high_mm
    return pages


def _title(group: ET.Element, title: str, paper: Paper, page: str) -> None:
    beside = words(page, size_mm=_TEXT_MM, most_mm=40.0)
    left_mm = paper.wide_mm - beside.width_mm
    name = words(title, size_mm=4.5, most_mm=left_mm - 4.0, is_bold=True)
    write(group, 0, 4.5, name)
    write(group, left_mm, 4.5, beside)


class _Rows:
    """All rows of a list, one below the other."""

    def __init__(self, drawn: DrawnMaterials, paper: Paper) -> None:
        self._drawn = drawn
        self._wide_mm = paper.wide_mm

    def rows(self) -> Iterator[_Row]:
        """Yield them from the top."""
        for part in self._drawn.parts:
            yield self._heading(part.heading, figures=True)
            for one in part.lines:
                yield self._line(one)
        if self._drawn.bars:
            yield self._heading(f"{self._drawn.cut_heading} ({_KEY})")
            for bar in self._drawn.bars:
                yield self._bar(bar)
        yield from self._texts("What is said of it", self._drawn.notes)
        yield from self._texts("What is assumed", self._drawn.assumed)
        yield from self._texts("Take care", self._drawn.cautions)

    def _heading(self, heading: str, *, figures: bool = False) -> _Row:
        free_mm = self._wide_mm - figures * _FIGURES_MM
        said = words(heading, size_mm=3.2, most_mm=free_mm - 2.0, is_bold=True)

        def draw(group: ET.Element) -> None:
            write(group, 0, 5.6, said)
            if figures:
                for number, name in enumerate(_COLUMNS):
                    self._figure(group, number, name, base_mm=5.6)
            line(group, (0, 7.0), (self._wide_mm, 7.0), width="0.3")

        return _Row(_HEADING_MM, draw, is_heading=True)

    def _line(self, one: DrawnMaterialsLine) -> _Row:
        free_mm = self._wide_mm - _FIGURES_MM - 2.0
        names = wrapped(one.name, size_mm=_TEXT_MM, most_mm=free_mm, most_lines=3)
        high_mm = _ROW_MM + (len(names) - 1) * _LINE_MM
        shown_mm = "" if one.to_get_mm is None else f"{one.to_get_mm:.1f}"
        figures = (f"{one.to_get}", shown_mm, f"{one.laid}", f"{one.fixed}")

        def draw(group: ET.Element) -> None:
            for number, name in enumerate(names):
                write(group, 0, 3.2 + number * _LINE_MM, name)
            for number, figure in enumerate(figures):
                self._figure(group, number, figure, base_mm=3.2)
            line(group, (0, high_mm), (self._wide_mm, high_mm), width="0.1")

        return _Row(high_mm, draw)

    def _figure(
        self, group: ET.Element, number: int, said: str, *, base_mm: float
    ) -> None:
        """Write a figure at the right edge of its column, as small as it must be."""
        room_mm = _COLUMN_MM - 1.0
        whole_mm = width_mm(said, size_mm=_TEXT_MM)
        size_mm = _TEXT_MM
        if whole_mm > room_mm:
            size_mm = _TEXT_MM * room_mm / whole_mm
        one = words(said, size_mm=round(size_mm, 2), most_mm=_COLUMN_MM)
        right_mm = self._wide_mm - (len(_COLUMNS) - 1 - number) * _COLUMN_MM
        write(group, right_mm - one.width_mm, base_mm, one)

    def _bar(self, bar: DrawnBar) -> _Row:
        long_mm = self._wide_mm - _TIMES_MM
        to_scale = long_mm / self._drawn.stock_length_mm
        said = [f"{piece} {cut_mm:.1f}" for piece, cut_mm in bar.cuts]
        wide_mm = [max(_LEAST_PART_MM, cut_mm * to_scale) for _, cut_mm in bar.cuts]
        shown = [
            words(one, size_mm=_TEXT_MM, most_mm=max(0.0, mm - 2 * _PAD_MM))
            for one, mm in zip(said, wide_mm, strict=True)
        ]
        beneath: list[Words] = []
        if any(one.whole is not None for one in shown):
            # what a short cut is for does not go into it
            every = " · ".join(said)
            beneath = wrapped(every, size_mm=_TEXT_MM, most_mm=long_mm)

        def draw(group: ET.Element) -> None:
            times = words(f"{bar.times} ×", size_mm=_TEXT_MM, most_mm=_TIMES_MM - 1.0)
            write(group, 0, 3.6, times)
            _box(group, _TIMES_MM, long_mm, fill=GREY)
            at_mm = _TIMES_MM
            for one, mm in zip(shown, wide_mm, strict=True):
                _box(group, at_mm, mm, fill="white")
                if one.whole is None:
                    write(group, at_mm + _PAD_MM, 3.6, one)
                at_mm += mm
            for number, one in enumerate(beneath, 1):
                write(group, _TIMES_MM, 3.9 + number * _LINE_MM, one)

        return _Row(_BAR_ROW_MM + len(beneath) * _LINE_MM, draw)

    def _texts(self, heading: str, texts: tuple[str, ...]) -> Iterator[_Row]:
        if texts:
            yield self._heading(heading)
        for text in texts:
            for one in wrapped(text, size_mm=_TEXT_MM, most_mm=self._wide_mm):
                yield _text(one)


def _text(one: Words) -> _Row:
    def draw(group: ET.Element) -> None:
        write(group, 0, 3.0, one)

    return _Row(_LINE_MM, draw)


def _box(group: ET.Element, left_mm: float, wide_mm: float, *, fill: str) -> None:
    box = {
        "x": f"{left_mm:.2f}",
        "y": "0.30",
        "width": f"{wide_mm:.2f}",
        "height": f"{_BAR_MM:g}",
        "fill": fill,
        "stroke": "black",
        "stroke-width": "0.2",
    }
    ET.SubElement(group, "rect", box)
