"""Labels for a board's edge: a road's name, and what stands there."""

from collections.abc import Mapping, Sequence
from math import ceil, floor
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.plans.content import drawn_roads
from standage.drawings.plans.lettering import width_mm, words, wrapped, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.sheets import PAPERS, Pages, Paper, Told, moved
from standage.drawings.plans.title_blocks import name_of
from standage.railway.track.survey.survey import Survey

_LABEL_MM = 90.0
_LABEL_HIGH_MM = 34.0
_PAD_MM = 4.0
_NAME_MM = 8.0
_LEAST_NAME_MM = 5.0
"""A longer name is written smaller before it is cut."""
_STANDS_MM = 5.0
_LENGTH_MM = 3.2
_MOST_LINES = 2


class EdgeLabel(msgspec.Struct, frozen=True, kw_only=True):
    """A label: what a road is called, and what stands there."""

    road: str
    stands: str


def label_pages(found: Survey, look: Look, labels: Sequence[EdgeLabel]) -> Pages:
    """Return labels to cut out, as many on a page as it holds; with none given, one for
    each road of the plan.
    """
    lengths = {road.name: road.length for road in drawn_roads(found)}
    given = list(labels)
    if not given:
        given = [EdgeLabel(road=name, stands="") for name in lengths]
    paper = PAPERS[look.paper]
    grid = _Grid(
        paper=paper,
        labels=tuple(given),
        lengths=lengths,
    )
    told = Told(
        title=f"{name_of(found.plan)}: labels",
        description=f"Labels to cut out for the board's edge: {len(given)} of them.",
    )
    return Pages(
        paper=grid.whole,
        told=told,
        count=grid.pages,
        draw=grid.draw,
    )


class _Grid(msgspec.Struct, frozen=True, kw_only=True):
    """Labels in columns and rows."""

    paper: Paper
    labels: tuple[EdgeLabel, ...]
    lengths: Mapping[str, str]

    @property
    def _across(self) -> int:
        return max(1, int(self.paper.wide_mm / _LABEL_MM))

    @property
    def _down(self) -> int:
        """How many stand below each other: on a phone all of them."""
        if not self.paper.is_printed:
            return max(1, len(self.labels))
        return int(self.paper.high_mm / _LABEL_HIGH_MM)

    @property
    def _per_page(self) -> int:
        return self._across * self._down

    @property
    def wide_mm(self) -> float:
        """How wide a label is."""
        return min(_LABEL_MM, self.paper.wide_mm)

    @property
    def pages(self) -> int:
        """How many pages they take."""
        return max(1, ceil(len(self.labels) / self._per_page))

    @property
    def whole(self) -> Paper:
        """The paper that one page is drawn on."""
        if self.paper.is_printed:
            return self.paper
        height_mm = self._down * _LABEL_HIGH_MM + 2 * self.paper.margin_mm
        return msgspec.structs.replace(self.paper, height_mm=height_mm)

    def draw(self, page: int) -> ET.Element:
        """Return one page of them."""
        drawn = ET.Element("g")
        group = moved(
            drawn,
            self.paper.margin_mm,
            self.paper.margin_mm,
        )
        first = (page - 1) * self._per_page
        shown = self.labels[first : first + self._per_page]
        for number, label in enumerate(shown):
            row, column = divmod(number, self._across)
            left_mm = column * _LABEL_MM
            top_mm = row * _LABEL_HIGH_MM
            self._label(
                moved(group, left_mm, top_mm),
                label,
            )
        return drawn

    def _label(self, group: ET.Element, label: EdgeLabel) -> None:
        box = {
            "width": f"{self.wide_mm:.2f}",
            "height": f"{_LABEL_HIGH_MM:.2f}",
            "fill": "white",
            "stroke": "black",
            "stroke-width": "0.2",
            "stroke-dasharray": "2 2",
        }
        ET.SubElement(group, "rect", box)
        room_mm = self.wide_mm - 2 * _PAD_MM
        whole_mm = width_mm(label.road, size_mm=_NAME_MM, is_bold=True)
        smaller_mm = _NAME_MM * room_mm / max(room_mm, whole_mm)
        name = words(
            label.road,
            size_mm=max(_LEAST_NAME_MM, floor(10 * smaller_mm) / 10),
            most_mm=room_mm,
            is_bold=True,
        )
        write(group, _PAD_MM, 10.5, name)
        stands = wrapped(
            label.stands, size_mm=_STANDS_MM, most_mm=room_mm, most_lines=_MOST_LINES
        )
        base_mm = 18.0
        for one in stands:
            write(group, _PAD_MM, base_mm, one)
            base_mm += 1.25 * _STANDS_MM
        length = self.lengths.get(label.road)
        if length is not None:
            said = words(length, size_mm=_LENGTH_MM, most_mm=room_mm)
            left_mm = self.wide_mm - _PAD_MM - said.width_mm
            write(group, left_mm, _LABEL_HIGH_MM - 2.5, said)
