"""The gradients of a road: its heights against its length, each run with its per cent,
the steepest drawn heavy.

Heights are drawn larger than lengths, and the sheet says how many times.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import HALO, line
from standage.drawings.plans.free_room import Box, Room
from standage.drawings.plans.lettering import Words, words, wrapped, write
from standage.drawings.plans.looks import Look
from standage.drawings.plans.plan_layout import round_scale
from standage.drawings.plans.roads_drawn import StraightRoad
from standage.drawings.plans.sheets import PAPERS, Pages, Paper, Told, moved
from standage.drawings.plans.title_blocks import (
    BAR_HIGH_MM,
    BLOCK_MM,
    facts,
    name_of,
    scale_bar,
    title_block,
)
from standage.railway.terms.figures import millimetres
from standage.railway.track.network.heights import Slope
from standage.railway.track.network.lines import Line
from standage.railway.track.network.network import Course
from standage.railway.track.network.profiles import Known
from standage.railway.track.survey.survey import Survey

_TIMES = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_HEAD_MM = 20.0
_ABOVE_MM = 14.0
_BELOW_MM = 19.0
_EDGE_MM = 12.0
_MOST_HIGH_MM = 95.0
_SAME_MM = 1e-6
_LEVEL = 1e-9


class HeightAt(msgspec.Struct, frozen=True, kw_only=True):
    """How high the rail lies so far along a road, and the vertical curve about it."""

    along_mm: float
    height_mm: float
    vertical_curve_mm: float = 0.0


class ProfileRun(msgspec.Struct, frozen=True, kw_only=True):
    """A part of a road of one gradient, as steep as it gets there, in per cent."""

    start: HeightAt
    end: HeightAt
    percent: float

    @property
    def said(self) -> str:
        """Its gradient in words."""
        if self.percent <= _LEVEL:
            return "level"
        return f"{self.percent:.1f} %"


def profile_runs(found: Survey, road: StraightRoad) -> list[ProfileRun]:
    """Return the runs of a road of which the heights are known, in order.

    Takes as many steps as the road has pieces and its lines heights.
    """
    runs: list[ProfileRun] = []
    for course, part in zip(road.courses, road.parts, strict=False):
        for run in _of_course(found, course, part.from_mm):
            last = runs[-1] if runs else None
            if last is not None and _goes_on(last, run):
                runs[-1] = msgspec.structs.replace(
                    last,
                    end=run.end,
                )
            else:
                runs.append(run)
    return runs


def _goes_on(one: ProfileRun, two: ProfileRun) -> bool:
    """Tell whether a run is the same gradient as the one before, without a break."""
    if one.end.vertical_curve_mm or two.start.vertical_curve_mm:
        return False
    meets = abs(one.end.along_mm - two.start.along_mm) <= _SAME_MM
    is_one_way = _rise(one) * _rise(two) >= 0
    return meets and is_one_way and abs(one.percent - two.percent) <= _SAME_MM


def _rise(run: ProfileRun) -> float:
    return run.end.height_mm - run.start.height_mm


def _of_course(found: Survey, course: Course, from_mm: float) -> Iterator[ProfileRun]:
    high = found.heights
    number = high.line_of.get(course >> 1)
    if number is None or not high.known[number]:
        return
    of_line, known = high.lines[number], high.known[number]
    start_mm, end_mm = of_line.span_mm(course)
    places = _places(known, start_mm, end_mm)
    is_forward = course in of_line.spans_mm

    def at(place: Known) -> HeightAt:
        off_mm = place.at_mm - start_mm if is_forward else end_mm - place.at_mm
        return HeightAt(
            along_mm=from_mm + off_mm,
            height_mm=_height_mm(found, of_line, number, place.at_mm),
            vertical_curve_mm=place.vertical_curve_mm,
        )

    if not is_forward:
        places.reverse()
    for one, two in pairwise(places):
        middle_mm = (one.at_mm + two.at_mm) / 2
        percent = _percent(high.slopes[number], middle_mm)
        yield ProfileRun(
            start=at(one),
            end=at(two),
            percent=percent,
        )


def _height_mm(found: Survey, of_line: Line, number: int, at_mm: float) -> float:
    for course in of_line.courses:
        start_mm, end_mm = of_line.spans_mm[course]
        if start_mm - _SAME_MM <= at_mm <= end_mm + _SAME_MM:
            height_mm = found.heights.height_mm(
                course,
                at_mm - start_mm,
            )
            if height_mm is not None:
                return height_mm
    return found.heights.known[number][0].height_mm


def _places(known: Sequence[Known], start_mm: float, end_mm: float) -> list[Known]:
    """Return the heights that are known within a stretch, and places at its ends."""
    inside = [
        one for one in known if start_mm - _SAME_MM <= one.at_mm <= end_mm + _SAME_MM
    ]
    places: list[Known] = []
    if not inside or inside[0].at_mm > start_mm + _SAME_MM:
        places.append(Known(at_mm=start_mm, height_mm=0.0))
    places += inside
    if places[-1].at_mm < end_mm - _SAME_MM:
        places.append(Known(at_mm=end_mm, height_mm=0.0))
    return places


def _percent(slopes: Sequence[Slope], at_mm: float) -> float:
    for slope in slopes:
        if slope.from_mm <= at_mm <= slope.to_mm:
            return slope.percent or 0.0
    return 0.0


def profile_pages(found: Survey, look: Look, road: StraightRoad) -> Pages:
    """Return a road's gradients as one page; without heights it says what to give."""
    runs = profile_runs(found, road)
    paper = PAPERS[look.paper].across
    steepest = max((run.percent for run in runs), default=0.0)
    told = Told(
        title=f"{road.said}: gradients",
        description=f"{len(runs)} runs, the steepest of {steepest:.1f} per cent.",
    )
    drawing = _Profile(
        found,
        look,
        road,
        tuple(runs),
        paper,
    )
    return Pages(
        paper=drawing.paper, told=told, count=1, draw=lambda _page: drawing.draw()
    )


class _Profile:
    """The page of one road."""

    def __init__(
        self,
        found: Survey,
        look: Look,
        road: StraightRoad,
        runs: tuple[ProfileRun, ...],
        paper: Paper,
    ) -> None:
        self._found = found
        self._look = look
        self._road = road
        self._runs = runs
        self.paper = paper
        self._wide_mm = paper.wide_mm - 2 * _EDGE_MM
        self._one_in = round_scale((road.length_mm or 1.0) / self._wide_mm)
        heights_mm = [one.height_mm for one in self._places]
        self._low_mm = min(heights_mm, default=0.0)
        self._rise_mm = max(heights_mm, default=0.0) - self._low_mm
        foot_mm = BLOCK_MM + BAR_HIGH_MM
        self._foot_mm = paper.high_mm - foot_mm
        room_mm = self._foot_mm - _HEAD_MM - _ABOVE_MM - _BELOW_MM
        self._times = self._exaggeration(min(_MOST_HIGH_MM, room_mm))
        drawn_mm = self._rise_mm * self._times / self._one_in
        self._base_mm = _HEAD_MM + _ABOVE_MM + drawn_mm
        self._room = Room(paper.wide_mm, self._foot_mm)

    @property
    def _places(self) -> list[HeightAt]:
        """Where runs begin and end, each once."""
        if not self._runs:
            return []
        return [self._runs[0].start, *(run.end for run in self._runs)]

    def _exaggeration(self, most_mm: float) -> float:
        """Return how many times larger heights are drawn than lengths."""
        fits = [
            times for times in _TIMES if self._rise_mm * times / self._one_in <= most_mm
        ]
        if self._rise_mm > 0:
            return float(max(fits, default=1))
        return 1.0

    def draw(self) -> ET.Element:
        """Return the page."""
        paper = self.paper
        drawn = ET.Element("g")
        group = moved(drawn, paper.margin_mm, paper.margin_mm)
        self._heading(group)
        if self._runs:
            self._profile(group)
        bar = moved(
            group,
            0,
            self._foot_mm + 3.0,
        )
        most_mm = min(80.0, 0.5 * paper.wide_mm)
        scale_bar(
            bar,
            one_in=self._one_in,
            most_mm=most_mm,
            text_mm=paper.text_mm,
        )
        told = list(
            facts(
                self._found.plan,
                self._look,
                f"1 : {self._one_in:g}",
            )
        )
        block = moved(
            group,
            0,
            self._foot_mm + BAR_HIGH_MM,
        )
        title_block(
            block,
            paper,
            name_of(self._found.plan),
            told,
        )
        return drawn

    def _heading(self, group: ET.Element) -> None:
        paper = self.paper
        head = words(
            f"{self._road.said}: gradients",
            size_mm=1.3 * paper.text_mm,
            most_mm=paper.wide_mm,
            is_bold=True,
        )
        write(group, 0, head.above_mm, head)
        base_mm = head.above_mm
        for one in self._said:
            base_mm += paper.line_mm
            write(group, 0, base_mm, one)

    @property
    def _said(self) -> list[Words]:
        """What is said beneath the heading."""
        if not self._runs:
            texts = ["No height is known on this road: give heights in the plan."]
        elif self._times == 1:
            texts = ["heights are drawn as large as lengths"]
        else:
            texts = [f"heights are drawn {self._times:g} times as large as lengths"]
        if any(place.vertical_curve_mm for place in self._places):
            texts.append("heavy on the base line: vertical curves")
        lines: list[Words] = []
        for text in texts:
            size_mm = self.paper.text_mm
            lines += wrapped(
                text,
                size_mm=size_mm,
                most_mm=self.paper.wide_mm,
            )
        return lines

    def _at(self, place: HeightAt) -> complex:
        right_mm = _EDGE_MM + place.along_mm / self._one_in
        up_mm = (place.height_mm - self._low_mm) * self._times / self._one_in
        return complex(right_mm, self._base_mm - up_mm)

    def _profile(self, group: ET.Element) -> None:
        base_mm = self._base_mm + 6.5
        steepest = max(run.percent for run in self._runs)
        first, last = self._at(self._places[0]), self._at(self._places[-1])
        line(
            group,
            (first.real, base_mm),
            (last.real, base_mm),
            width="0.3",
        )
        for run in self._runs:
            is_steepest = run.percent > _LEVEL and run.percent == steepest
            self._run(group, run, is_steepest=is_steepest)
        for number in range(len(self._places)):
            self._place(group, number, base_mm)
        for run in self._runs:
            is_steepest = run.percent > _LEVEL and run.percent == steepest
            self._name(group, run, is_steepest=is_steepest)

    def _run(self, group: ET.Element, run: ProfileRun, *, is_steepest: bool) -> None:
        one, other = self._at(run.start), self._at(run.end)
        width = "1.3" if is_steepest else "0.6"
        line(
            group,
            (one.real, one.imag),
            (other.real, other.imag),
            width=width,
        )
        steps = max(2, int(abs(other - one)))
        for step in range(steps + 1):
            self._room.draw(
                one + (other - one) * step / steps,
                reach_mm=0.7,
            )

    def _place(self, group: ET.Element, number: int, base_mm: float) -> None:
        """Draw a height down to the base line, with how far along it is."""
        place = self._places[number]
        at = self._at(place)
        line(
            group,
            (at.real, at.imag),
            (at.real, base_mm + 1.5),
            width="0.15",
        )
        half_mm = place.vertical_curve_mm / 2 / self._one_in
        if half_mm > 0:
            self._curve(group, at.real, half_mm, base_mm)
        size_mm = self.paper.text_mm
        said = words(
            millimetres(place.along_mm),
            size_mm=size_mm,
            most_mm=40.0,
        )
        left_mm = max(0.0, at.real - said.width_mm / 2)
        box = Box(
            left_mm,
            base_mm + 2.5,
            said.width_mm,
            size_mm,
        )
        if self._room.is_open(box):
            self._room.take(box)
            write(
                group,
                left_mm,
                box.top_mm + said.above_mm,
                said,
            )
        before = self._places[max(0, number - 1)]
        if number == 0 or place.height_mm != before.height_mm:
            self._label(
                group,
                at,
                f"height {millimetres(place.height_mm)}",
            )

    def _curve(
        self, group: ET.Element, at_mm: float, half_mm: float, base_mm: float
    ) -> None:
        """Mark the length of a vertical curve on the base line."""
        left_mm, right_mm = at_mm - half_mm, at_mm + half_mm
        line(
            group,
            (left_mm, base_mm),
            (right_mm, base_mm),
            width="1.6",
        )

    def _label(self, group: ET.Element, at: complex, text: str) -> None:
        said = words(
            text,
            size_mm=self.paper.text_mm,
            most_mm=60.0,
        )
        stand = self._room.stand(
            at, width_mm=said.width_mm, height_mm=said.size_mm, far=False
        )
        if stand is not None:
            base_mm = stand.box.top_mm + said.above_mm
            write(
                group,
                stand.box.left_mm,
                base_mm,
                said,
                **HALO,
            )

    def _name(self, group: ET.Element, run: ProfileRun, *, is_steepest: bool) -> None:
        middle = (self._at(run.start) + self._at(run.end)) / 2
        text = f"steepest: {run.said}" if is_steepest else run.said
        said = words(
            text, size_mm=self.paper.text_mm, most_mm=60.0, is_bold=is_steepest
        )
        stand = self._room.stand(
            middle,
            width_mm=said.width_mm,
            height_mm=said.size_mm,
        )
        if stand is None:
            return
        if stand.leader is not None:
            one, other = stand.leader
            line(
                group,
                (one.real, one.imag),
                (other.real, other.imag),
                width="0.15",
            )
        base_mm = stand.box.top_mm + said.above_mm
        write(
            group,
            stand.box.left_mm,
            base_mm,
            said,
            **HALO,
        )
