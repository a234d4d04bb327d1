"""A plan at 1:1 on pages that join: templates to lay on a board, and a cover with the
key of the pages.

Each page has crosses that cover those of its neighbours, two lines to check its size
by, and its row and column. Only pages that hold track are drawn.
"""

from collections.abc import Iterator, Sequence
from functools import cached_property
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import HALO
from standage.drawings.plans.content import Content, content
from standage.drawings.plans.free_room import Room
from standage.drawings.plans.lettering import words, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import extent
from standage.drawings.plans.plan_strokes import draw_boards, draw_on_track, open_line
from standage.drawings.plans.sheets import PAPERS, Pages, Told, moved
from standage.drawings.plans.spots_on_track import Line
from standage.drawings.plans.template_cells import (
    Cell,
    Cells,
    cells_of,
)
from standage.drawings.plans.template_cover import Cover
from standage.drawings.plans.template_marks import check_lines, joining_marks
from standage.drawings.plans.title_blocks import (
    name_of,
)
from standage.drawings.plans.track_pen import Pen
from standage.drawings.plans.ways import View, along
from standage.railway.terms.figures import counted
from standage.railway.track.survey.survey import Survey

MOST_MM = 500_000.0
"""So much track is drawn at 1:1; more is done a module at a time."""
_NEAR_MM = 100.0
_BESIDE_MM = 4.0
"""So far beyond its sleepers track is kept off a page's edge."""
_NAME_MM = 4.0
_PIECE_MM = 3.0
_LONGEST_NAME_MM = 80.0
_TICK_MM = 1.2
"""Of the gauge: half the line across track where two pieces meet."""


def template_pages(found: Survey, look: Look) -> Pages:
    """Return a plan at 1:1: a cover, then every page that holds track, row by row.

    Of a plan with more than ``MOST_MM`` of track the cover alone, which says so.
    """
    template = _Template(found, look)
    count = len(template.cells.held)
    pages = counted(count, "page")
    told = Told(
        title=f"{name_of(found.plan)}: templates at 1:1",
        description=f"A cover, and {pages} of the plan at 1:1 that join.",
    )
    return Pages(
        paper=template.cells.paper, told=told, count=1 + count, draw=template.draw
    )


class _Template:
    """The pages of a plan."""

    def __init__(self, found: Survey, look: Look) -> None:
        self._found = found
        self._look = look
        self._shown = content(found)
        self._strands = (*self._shown.sound, *self._shown.doubtful)
        self._pen = self._pen_at(0j)

    def _pen_at(self, corner: complex) -> Pen:
        view = View(1.0, 1 + 0j, corner)
        return Pen(
            view,
            self._look.track,
            self._shown.gauge_mm,
        )

    @cached_property
    def is_too_large(self) -> bool:
        """Whether there is more track than is drawn."""
        lengths_mm = (bend.length_mm for strand in self._strands for bend in strand)
        return sum(lengths_mm) > MOST_MM

    @cached_property
    def cells(self) -> Cells:
        """The pages, on paper upright or across: whichever takes fewer."""
        upright = PAPERS[self._look.paper]
        strands = () if self.is_too_large else self._strands
        track = msgspec.structs.replace(
            self._shown, boards=(), joints=(), obstacles=(), decks=()
        )
        frame = extent(track)
        reach_mm = self._pen.reach_mm + _BESIDE_MM
        papers = (upright, upright.across)
        return cells_of(strands, frame, papers, reach_mm=reach_mm)

    def draw(self, page: int) -> ET.Element:
        """Return the cover, or one of the pages behind it."""
        if page == 1:
            return Cover(
                plan=self._found.plan,
                look=self._look,
                strands=self._strands,
                gauge_mm=self._shown.gauge_mm,
                cells=self.cells,
                is_too_large=self.is_too_large,
            ).draw()
        return self._page(
            page,
            self.cells.held[page - 2],
        )

    def _page(self, page: int, cell: Cell) -> ET.Element:
        paper = self.cells.paper
        drawn = ET.Element("g")
        group = moved(drawn, paper.margin_mm, paper.margin_mm)
        window = self._window(group)
        self._track(window, cell)
        joining_marks(group, self.cells, cell)
        check_lines(group, self.cells)
        foot = moved(
            group,
            0,
            self.cells.window_mm.imag + 3.0,
        )
        self._foot(foot, page, cell)
        return drawn

    def _window(self, group: ET.Element) -> ET.Element:
        """Return what clips a page's drawing to its window."""
        size_mm = self.cells.window_mm
        width, height = f"{size_mm.real:.2f}", f"{size_mm.imag:.2f}"
        style = {
            "width": width,
            "height": height,
            "viewBox": f"0 0 {width} {height}",
            "overflow": "hidden",
        }
        return ET.SubElement(group, "svg", style)

    def _track(self, window: ET.Element, cell: Cell) -> None:
        corner = self.cells.corner_of(cell)
        pen = self._pen_at(corner)
        draw_boards(window, self._shown, pen.view)
        numbers = self.cells.strands.get(cell, ())
        shown = [self._strands[number] for number in numbers]
        pen.draw(window, shown)
        for strand in shown:
            for end in (strand[0].start, strand[-1].end):
                aside = 1j * end.direction * self._shown.gauge_mm * _TICK_MM
                ends = (end.point + aside, end.point - aside)
                open_line(window, ends, pen.view, width="0.3")
        draw_on_track(
            window,
            self._near(corner),
            pen.view,
        )
        self._names(window, pen, numbers)

    def _near(self, corner: complex) -> Content:
        """Return what is on the track of a page, and nothing of the others."""
        size_mm = self.cells.window_mm
        shown = self._shown

        def is_near(place: complex) -> bool:
            off = place - corner
            across = -_NEAR_MM <= off.real <= size_mm.real + _NEAR_MM
            return across and -_NEAR_MM <= -off.imag <= size_mm.imag + _NEAR_MM

        def lines(of: tuple[Line, ...]) -> tuple[Line, ...]:
            return tuple(one for one in of if any(map(is_near, one)))

        return msgspec.structs.replace(
            shown,
            marks=lines(shown.marks),
            stops=lines(shown.stops),
            open_ends=tuple(one for one in shown.open_ends if is_near(one.point)),
            signs=tuple(one for one in shown.signs if is_near(one.spot.point)),
            gaps=tuple(one for one in shown.gaps if is_near(one.place)),
            joints=tuple(one for one in shown.joints if any(map(is_near, one.outline))),
        )

    def _names(self, window: ET.Element, pen: Pen, numbers: Sequence[int]) -> None:
        """Write the names of points, joints, roads and pieces where there is room."""
        size_mm = self.cells.window_mm
        room = Room(size_mm.real, size_mm.imag)
        on_page: dict[str, list[complex]] = {}
        for number in numbers:
            places = on_page.setdefault(self._shown.pieces[number], [])
            for point in along(self._strands[number], step_mm=3.0):
                place = pen.view.place(point)
                room.draw(place, reach_mm=pen.reach_mm)
                if _is_on(size_mm, place):
                    places.append(place)
        for name, point in self._named():
            place = pen.view.place(point)
            if _is_on(size_mm, place):
                _write_name(
                    window,
                    room,
                    name,
                    place,
                    size_mm=_NAME_MM,
                )
                on_page.pop(name, None)
        for piece, places in on_page.items():
            if places:
                middle = places[len(places) // 2]
                _write_name(
                    window,
                    room,
                    piece,
                    middle,
                    size_mm=_PIECE_MM,
                )

    def _named(self) -> Iterator[tuple[str, complex]]:
        for name in self._shown.points:
            yield name.name, name.place
        for joint in self._shown.joints:
            yield joint.name, joint.outline[0]
        for road in self._shown.roads:
            if road.middle is not None:
                yield f"{road.said}  {road.length}", road.middle

    def _foot(self, group: ET.Element, page: int, cell: Cell) -> None:
        paper = self.cells.paper
        row, column = cell
        where = [
            f"row {row + 1}, column {column + 1}",
            f"page {page} of {1 + len(self.cells.held)}",
            *self._neighbours(cell),
        ]
        first = words(
            "Print at 100 %: both lines must measure 100 mm.",
            size_mm=paper.text_mm,
            most_mm=paper.wide_mm,
            is_bold=True,
        )
        write(group, 0, 9.5, first)
        text = f"{' · '.join(where)} · {name_of(self._found.plan)}"
        if self._look.revision is not None:
            text = f"{text}, revision {self._look.revision}"
        second = words(
            text,
            size_mm=paper.text_mm,
            most_mm=paper.wide_mm,
        )
        write(group, 0, 14.5, second)

    def _neighbours(self, cell: Cell) -> Iterator[str]:
        row, column = cell
        pages = {
            held: page
            for page, held in enumerate(
                self.cells.held,
                2,
            )
        }
        beside = {
            "left": (row, column - 1),
            "right": (row, column + 1),
            "above": (row - 1, column),
            "below": (row + 1, column),
        }
        for where, neighbour in beside.items():
            if neighbour in pages:
                yield f"{where}: page {pages[neighbour]}"


def _is_on(size_mm: complex, place: complex) -> bool:
    """Tell whether a place lies in a window of that size."""
    return 0 <= place.real <= size_mm.real and 0 <= place.imag <= size_mm.imag


def _write_name(
    window: ET.Element, room: Room, name: str, place: complex, *, size_mm: float
) -> None:
    said = words(name, size_mm=size_mm, most_mm=_LONGEST_NAME_MM)
    stand = room.stand(
        place,
        width_mm=said.width_mm,
        height_mm=said.size_mm,
        far=True,
    )
    if stand is not None:
        base_mm = stand.box.top_mm + said.above_mm
        write(window, stand.box.left_mm, base_mm, said, **HALO)
