"""Roads straightened, as strips to lay along a board's edge: limits, blades, marks,
fittings, joints and usable length, and a train above.

At 1:1 a strip goes on from row to row, to be cut and laid end to end; to a smaller
scale it is one row. Looked at from the side, its first end on the left.
"""

from collections.abc import Iterator, Sequence
from math import ceil
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.plans.lettering import words, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import round_scale
from standage.drawings.plans.roads_drawn import StraightRoad
from standage.drawings.plans.sheets import PAPERS, Pages, Paper, Told, moved
from standage.drawings.plans.strip_rows import ROW_MM, Row, StripRow
from standage.drawings.plans.title_blocks import (
    BLOCK_MM,
    facts,
    name_of,
    scale_bar,
    title_block,
)
from standage.drawings.plans.train_stands import EMPTY, OnTheRoad
from standage.railway.track.survey.survey import Survey

_HEAD_MM = 12.0
_MOST_ROWS = 2_000
_KEY = "grey: where trains may stand · heavy stroke: limit · tick: rail joint"


class Strips(msgspec.Struct, frozen=True, kw_only=True):
    """What is drawn as strips: roads, to one scale, and a train in the first of them.

    Without ``one_in`` the longest road goes across the paper.
    """

    roads: tuple[StraightRoad, ...]
    one_in: float | None = None
    on_it: OnTheRoad = EMPTY


def strip_pages(found: Survey, look: Look, strips: Strips) -> Pages:
    """Return roads as strips, row below row on as many pages as they take."""
    upright = PAPERS[look.paper]
    paper = upright.across
    lengths_mm = [road.length_mm or 0.0 for road in strips.roads]
    longest_mm = max(lengths_mm, default=0.0)
    one_in = strips.one_in or round_scale(longest_mm / paper.wide_mm)
    rows = tuple(
        _rows(
            strips.roads,
            one_in * paper.wide_mm,
        )
    )[:_MOST_ROWS]
    names = ", ".join(road.name for road in strips.roads[:5])
    told = Told(
        title=f"{name_of(found.plan)}: {names}",
        description=f"Roads straightened, at 1 : {one_in:g}: {names}.",
    )
    sheet = _Sheet(
        found=found,
        look=look,
        paper=paper,
        one_in=one_in,
        rows=rows,
        on_it=strips.on_it,
    )
    return Pages(
        paper=sheet.whole,
        told=told,
        count=sheet.pages,
        draw=sheet.draw,
    )


def _rows(roads: Sequence[StraightRoad], row_mm: float) -> Iterator[Row]:
    for road in roads:
        length_mm = road.length_mm or 0.0
        count = min(_MOST_ROWS, max(1, ceil(length_mm / row_mm - 1e-9)))
        for number in range(count):
            from_mm = number * row_mm
            to_mm = min(length_mm, from_mm + row_mm)
            yield Row(
                road=road, from_mm=from_mm, to_mm=to_mm, number=number + 1, of=count
            )


class _Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """Rows on pages."""

    found: Survey
    look: Look
    paper: Paper
    one_in: float
    rows: tuple[Row, ...]
    on_it: OnTheRoad

    @property
    def _per_page(self) -> int:
        if not self.paper.is_printed:
            return max(1, len(self.rows))
        room_mm = self.paper.high_mm - BLOCK_MM - _HEAD_MM
        return max(1, int(room_mm / ROW_MM))

    @property
    def pages(self) -> int:
        """How many pages the rows take."""
        return max(1, ceil(len(self.rows) / self._per_page))

    @property
    def whole(self) -> Paper:
        """The paper of one page; a phone's is as high as all rows."""
        if self.paper.is_printed:
            return self.paper
        high_mm = self._per_page * ROW_MM + BLOCK_MM + _HEAD_MM
        height_mm = high_mm + 2 * self.paper.margin_mm
        return msgspec.structs.replace(self.paper, height_mm=height_mm)

    def draw(self, page: int) -> ET.Element:
        """Return one page."""
        paper = self.whole
        drawn = ET.Element("g")
        group = moved(drawn, paper.margin_mm, paper.margin_mm)
        first = (page - 1) * self._per_page
        for place, row in enumerate(self.rows[first : first + self._per_page]):
            self._row(
                moved(group, 0, place * ROW_MM),
                row,
            )
        foot_mm = paper.high_mm - BLOCK_MM
        bar = moved(group, 0, foot_mm - 6.0)
        size_mm = paper.text_mm
        most_mm = min(80.0, 0.4 * paper.wide_mm)
        long_mm = scale_bar(
            bar,
            one_in=self.one_in,
            most_mm=most_mm,
            text_mm=size_mm,
        )
        key = _KEY
        if any(row.of > 1 for row in self.rows):
            key = f"{_KEY} · cut strips at their ends"
        said = words(
            key,
            size_mm=size_mm,
            most_mm=paper.wide_mm - long_mm - 8.0,
        )
        write(
            bar,
            paper.wide_mm - said.width_mm,
            0.8 + said.above_mm / 2,
            said,
        )
        scale = f"1 : {self.one_in:g}"
        told = list(
            facts(
                self.found.plan,
                self.look,
                scale,
            )
        )
        if self.pages > 1:
            told.append(("page", f"{page} of {self.pages}"))
        title_block(
            moved(group, 0, foot_mm),
            paper,
            name_of(self.found.plan),
            told,
        )
        return drawn

    def _row(self, group: ET.Element, row: Row) -> None:
        drawing = StripRow(
            group,
            row,
            self.one_in,
            self.paper,
            self.on_it,
        )
        drawing.draw()
