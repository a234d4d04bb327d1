"""A figure on one sheet of paper: to the largest round scale, with its dimensions, the
list of what they are, and what is said of it.
"""

from collections.abc import Iterator, Sequence
from math import ceil, copysign
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import HALO, line
from standage.drawings.plans.free_room import Room
from standage.drawings.plans.lettering import words, write
from standage.drawings.plans.listings import Listing, columns
from standage.drawings.plans.looks import TrackStyle
from standage.drawings.plans.plan_layout import round_scale
from standage.drawings.plans.sheets import PAPERS, Pages, Paper, PaperName, Told, moved
from standage.drawings.plans.title_blocks import (
    BAR_HIGH_MM,
    BLOCK_MM,
    narrow_head,
    scale_bar,
    title_block,
)
from standage.drawings.plans.track_pen import Pen
from standage.drawings.plans.ways import Bend, View, along, path
from standage.drawings.pointwork.figures import Dimension, Figure, Weight
from standage.railway.track.paths.spots import Spot

_LARGER = (0.1, 0.2, 0.5)
"""Scales at which a small figure is drawn larger than it is: 10 : 1 to 2 : 1."""
_ROOM_MM = 9.0
"""About a figure, beyond its dimensions, for their words."""
_BELOW_MM = 4.0
_PHONE_HIGH_MM = 110.0
_TICK_MM = 1.2
_BEYOND_MM = 1.0
_DOT_MM = 0.7
_MOST_WORDS_MM = 60.0
_ASIDE_MM = 0.8
_WIDTHS: dict[Weight, str] = {"thin": "0.15", "broken": "0.2", "heavy": "1"}


def figure_pages(figure: Figure, paper: PaperName) -> Pages:
    """Return a figure as one page, turned as shows it larger; a phone's is as high as it
    takes.
    """
    upright = PAPERS[paper]
    sheet = _Sheet(figure, upright.across)
    # A phone is not turned: both are then the same.
    tall = _Sheet(figure, upright)
    if tall.one_in < sheet.one_in:
        sheet = tall
    said = map(_sentence, figure.notes)
    told = Told(title=figure.title, description=" ".join(said))
    return Pages(
        paper=sheet.page,
        told=told,
        count=1,
        draw=lambda _page: sheet.drawn(),
    )


class _Sheet:
    """A figure on one sort of paper."""

    def __init__(self, figure: Figure, paper: Paper) -> None:
        self._figure = figure
        self._paper = paper
        self._lists = columns(paper, list(_listings(figure)))
        places = list(figure.places)
        # Rails lie beyond the centre lines.
        rail_mm = (figure.gauge_mm or 0.0) / 2
        across_mm = [place.real for place in places]
        up_mm = [place.imag for place in places]
        self._left_mm = min(across_mm) - rail_mm
        self._upper_mm = max(up_mm) + rail_mm
        right_mm = max(across_mm) + rail_mm
        lower_mm = min(up_mm) - rail_mm
        self._wide_mm = right_mm - self._left_mm
        self._high_mm = self._upper_mm - lower_mm
        asides = [abs(one.aside_mm) for one in figure.dimensions]
        self._border_mm = _ROOM_MM + max(asides, default=0.0)
        self.one_in = self._largest()

    def _largest(self) -> float:
        across_mm = self._paper.wide_mm - 2 * self._border_mm
        down_mm = self._most_high_mm - 2 * self._border_mm
        down = self._high_mm / max(1.0, down_mm)
        least = max(self._wide_mm / across_mm, down)
        for one_in in _LARGER:
            if one_in >= least:
                return one_in
        return round_scale(least)

    @property
    def _most_high_mm(self) -> float:
        """How high the figure may be, with its border."""
        if not self._paper.is_printed:
            return _PHONE_HIGH_MM
        foot_mm = BLOCK_MM + BAR_HIGH_MM + _BELOW_MM
        return self._paper.high_mm - foot_mm - self._lists.high_mm() - _BELOW_MM

    @property
    def _panel_mm(self) -> float:
        """How high the figure is, with its border."""
        return self._high_mm / self.one_in + 2 * self._border_mm

    @property
    def page(self) -> Paper:
        """The paper; a phone's is as high as what stands on it."""
        paper = self._paper
        if paper.is_printed:
            return paper
        head_mm = 2.0 * paper.line_mm * (2 + len(self._figure.facts))
        lists_mm = self._lists.high_mm()
        high_mm = head_mm + self._panel_mm + BAR_HIGH_MM + 2 * _BELOW_MM + lists_mm
        return msgspec.structs.replace(
            paper, height_mm=ceil(high_mm + 2 * paper.margin_mm)
        )

    @property
    def _scale_said(self) -> str:
        if self.one_in < 1:
            return f"{1 / self.one_in:.10g} : 1"
        return f"1 : {self.one_in:.10g}"

    def drawn(self) -> ET.Element:
        """Return the page."""
        paper = self._paper
        whole = ET.Element("g")
        group = moved(whole, paper.margin_mm, paper.margin_mm)
        facts = [*self._figure.facts, ("drawn at", self._scale_said)]
        top_mm = 0.0
        if not paper.is_printed:
            top_mm = narrow_head(group, paper, self._figure.title, facts)
        self._panel(moved(group, 0, top_mm))
        below_mm = top_mm + self._panel_mm
        scale_bar(
            moved(group, 0, below_mm),
            one_in=self.one_in,
            most_mm=min(80.0, 0.5 * paper.wide_mm),
            text_mm=paper.text_mm,
        )
        lists = moved(group, 0, below_mm + BAR_HIGH_MM)
        self._lists.draw(lists, self._lists.lines, deep=self._lists.deep)
        if paper.is_printed:
            foot = moved(group, 0, paper.high_mm - BLOCK_MM)
            title_block(foot, paper, self._figure.title, facts)
        return whole

    def _panel(self, group: ET.Element) -> None:
        on_paper_mm = self._wide_mm / self.one_in
        spare_mm = self._paper.wide_mm - on_paper_mm
        border = complex(spare_mm / 2, -self._border_mm) * self.one_in
        upper_left = complex(self._left_mm, self._upper_mm)
        view = View(self.one_in, 1 + 0j, upper_left - border)
        room = Room(self._paper.wide_mm, self._panel_mm)
        drawing = _Panel(group, view, room, self._paper)
        drawing.draw(self._figure)


class _Panel:
    """The figure itself, on paper."""

    def __init__(self, group: ET.Element, view: View, room: Room, paper: Paper) -> None:
        self._group = group
        self._view = view
        self._room = room
        self._paper = paper
        self._rail_mm = 0.0

    def draw(self, figure: Figure) -> None:
        """Draw all of it; words last, where there is room."""
        pen = Pen(self._view, _style_of(figure), figure.gauge_mm or 0.0)
        self._rail_mm = pen.reach_mm
        pen.draw(self._group, figure.tracks)
        for track in figure.tracks:
            self._note(track, reach_mm=pen.reach_mm)
        for stroke in figure.strokes:
            self._stroke(stroke.bends, stroke.weight)
            self._note(stroke.bends, reach_mm=0.3)
        for dimension in figure.dimensions:
            self._dimension(dimension)
        for dimension in figure.dimensions:
            self._label(self._middle(dimension), dimension.said, is_bold=True)
        for named in figure.names:
            place = self._view.place(named.place)
            if named.has_dot:
                self._dot(place)
            self._label(place, named.name)

    def _note(self, bends: Sequence[Bend], *, reach_mm: float) -> None:
        for place in along(bends, step_mm=self._view.one_in):
            self._room.draw(self._view.place(place), reach_mm=reach_mm)

    def _stroke(self, bends: Sequence[Bend], weight: Weight) -> None:
        style = {
            "d": path(bends, self._view),
            "fill": "none",
            "stroke": "black",
            "stroke-width": _WIDTHS[weight],
        }
        if weight == "broken":
            style["stroke-dasharray"] = "2 1.4"
        ET.SubElement(self._group, "path", style)

    def _aside_mm(self, dimension: Dimension) -> float:
        """Return how far a dimension stands to the left on the paper, rails apart."""
        if dimension.aside_mm == 0:
            return 0.0
        return copysign(abs(dimension.aside_mm) + self._rail_mm, dimension.aside_mm)

    def _dimension(self, dimension: Dimension) -> None:
        """Draw the line beside what is measured, and a line out to it at both ends."""
        aside_mm = self._aside_mm(dimension)
        drawn = {
            "d": path(
                dimension.bends, self._view, aside_mm=aside_mm * self._view.one_in
            ),
            "fill": "none",
            "stroke": "black",
            "stroke-width": "0.2",
            "class": "dimension",
        }
        ET.SubElement(self._group, "path", drawn)
        for spot in (dimension.bends[0].start, dimension.bends[-1].end):
            self._end(spot, aside_mm)

    def _end(self, spot: Spot, aside_mm: float) -> None:
        begin = self._view.place(spot.point)
        # Paper counts y downwards.
        left = (1j * spot.direction).conjugate()
        on_line = begin + left * aside_mm
        tick = left * _TICK_MM
        self._line(on_line - tick, on_line + tick, "0.25")
        if aside_mm != 0:
            beyond = left * copysign(_BEYOND_MM, aside_mm)
            self._line(begin, on_line + beyond, "0.12")

    def _line(self, one: complex, other: complex, width: str) -> None:
        line(
            self._group,
            (one.real, one.imag),
            (other.real, other.imag),
            width=width,
        )

    def _middle(self, dimension: Dimension) -> complex:
        """Return the middle of a dimension's line on the paper."""
        half_mm = sum(bend.length_mm for bend in dimension.bends) / 2
        for bend in dimension.bends:
            if half_mm <= bend.length_mm:
                break
            half_mm -= bend.length_mm
        spot = bend._replace(length_mm=min(half_mm, bend.length_mm)).end
        aside = 1j * spot.direction * self._aside_mm(dimension) * self._view.one_in
        return self._view.place(spot.point + aside)

    def _dot(self, place: complex) -> None:
        circle = {
            "cx": f"{place.real:.2f}",
            "cy": f"{place.imag:.2f}",
            "r": f"{_DOT_MM:g}",
            "fill": "black",
        }
        ET.SubElement(self._group, "circle", circle)

    def _label(self, place: complex, text: str, *, is_bold: bool = False) -> None:
        said = words(
            text,
            size_mm=self._paper.text_mm,
            most_mm=_MOST_WORDS_MM,
            is_bold=is_bold,
        )
        # Two that stand side by side are not read as one.
        wide_mm = said.width_mm + 2 * _ASIDE_MM
        stand = self._room.stand(place, width_mm=wide_mm, height_mm=said.size_mm)
        if stand is None:
            return
        if stand.leader is not None:
            self._line(*stand.leader, "0.12")
        base_mm = stand.box.top_mm + said.above_mm
        write(self._group, stand.box.left_mm + _ASIDE_MM, base_mm, said, **HALO)


def _style_of(figure: Figure) -> TrackStyle:
    return "centre_lines" if figure.gauge_mm is None else "plain"


def _listings(figure: Figure) -> Iterator[Listing]:
    measured = map(_measured, figure.dimensions)
    # Of two that say the same, one.
    entries = tuple(dict.fromkeys(measured))
    yield Listing(heading="Measured", entries=entries)
    sentences = tuple(map(_sentence, figure.notes))
    yield Listing(heading="What is said of it", entries=sentences)


def _measured(dimension: Dimension) -> str:
    return f"{dimension.said}  {dimension.meaning}"


def _sentence(note: str) -> str:
    first, rest = note[0].upper(), note[1:]
    return f"{first}{rest}."
