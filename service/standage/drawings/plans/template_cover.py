"""The cover of pages at 1:1: what to do with them, and the key of where each belongs."""

from collections.abc import Sequence
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import HALO
from standage.drawings.plans.lettering import words, wrapped, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.sheets import moved
from standage.drawings.plans.template_cells import Cells
from standage.drawings.plans.title_blocks import (
    BLOCK_MM,
    facts,
    name_of,
    title_block,
)
from standage.drawings.plans.track_pen import Pen
from standage.drawings.plans.ways import Bend, View
from standage.railway.terms.figures import counted
from standage.railway.track.plans.plan import Plan

_LEAST_NUMBERED_MM = 4.0
_PRINT = (
    "Print at 100 %, without fitting to the page. On every page both lines must"
    " measure 100 mm: check them before anything is cut."
)
_JOIN = (
    "Cut each page along its left and its upper edge and lay it on the broken line of"
    " its neighbour; the crosses cover each other."
)
_CARE = (
    "Lay all pages out on the board once before you glue, drill or saw. Usual care"
    " with knives and saws holds, and what is usual where you work comes first."
)
_TO_DO = (_PRINT, _JOIN, _CARE)
_TOO_LARGE = (
    "This plan has more track than is drawn at 1:1 in one piece: ask for its modules"
    " one at a time."
)


class Cover(msgspec.Struct, frozen=True, kw_only=True):
    """The cover of a plan's pages; of one that is too large there are none."""

    plan: Plan
    look: Look
    strands: Sequence[Sequence[Bend]]
    gauge_mm: float
    cells: Cells
    is_too_large: bool

    def draw(self) -> ET.Element:
        """Return the page."""
        paper = self.cells.paper
        drawn = ET.Element("g")
        group = moved(drawn, paper.margin_mm, paper.margin_mm)
        down_mm = self._instructions(group)
        foot_mm = paper.high_mm - BLOCK_MM
        room_mm = complex(paper.wide_mm, foot_mm - down_mm - 4.0)
        if self.cells.held:
            self._key(
                moved(group, 0, down_mm),
                room_mm,
            )
        told = list(
            facts(
                self.plan,
                self.look,
                "1 : 1",
            )
        )
        name = f"{name_of(self.plan)}, templates"
        title_block(
            moved(group, 0, foot_mm),
            paper,
            name,
            told,
        )
        return drawn

    def _instructions(self, group: ET.Element) -> float:
        """Write what to do with the pages; return how far down that reaches."""
        paper = self.cells.paper
        count = len(self.cells.held)
        said = [f"{counted(count, 'page')} at 1:1, and this one.", *_TO_DO]
        if self.is_too_large:
            said = [_TOO_LARGE]
        elif not count:
            said = ["Nothing of this plan has a place that could be drawn."]
        down_mm = 0.0
        size_mm = 1.15 * paper.text_mm
        for text in said:
            for one in wrapped(text, size_mm=size_mm, most_mm=paper.wide_mm):
                down_mm += 1.45 * size_mm
                write(group, 0, down_mm, one)
            down_mm += 1.0
        return down_mm + 4.0

    def _key(self, group: ET.Element, room_mm: complex) -> None:
        """Draw the plan small, with the pages that lie over it by number."""
        rows = [row for row, _ in self.cells.held]
        columns = [column for _, column in self.cells.held]
        step_mm = self.cells.step_mm
        wide_mm = (max(columns) + 1) * step_mm.real
        high_mm = (max(rows) + 1) * step_mm.imag
        one_in = max(wide_mm / room_mm.real, high_mm / room_mm.imag)
        view = View(
            one_in,
            1 + 0j,
            self.cells.corner,
        )
        pen = Pen(view, "centre_lines", self.gauge_mm)
        pen.draw(group, self.strands)
        for page, cell in enumerate(self.cells.held, 2):
            place = view.place(self.cells.corner_of(cell))
            self._key_of(
                moved(group, place.real, place.imag),
                page,
                one_in,
            )

    def _key_of(self, group: ET.Element, page: int, one_in: float) -> None:
        step_mm = self.cells.step_mm / one_in
        box = {
            "width": f"{step_mm.real:.2f}",
            "height": f"{step_mm.imag:.2f}",
            "fill": "none",
            "stroke": "black",
            "stroke-width": "0.2",
        }
        ET.SubElement(group, "rect", box)
        size_mm = min(4.0, 0.4 * step_mm.imag)
        if step_mm.imag < _LEAST_NUMBERED_MM:
            return
        said = words(
            f"{page}",
            size_mm=size_mm,
            most_mm=step_mm.real,
            is_bold=True,
        )
        write(
            group,
            1.0,
            1.0 + said.above_mm,
            said,
            **HALO,
        )
