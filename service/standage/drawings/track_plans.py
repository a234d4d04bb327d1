"""A track plan, true to scale: rails, the stretches that trains may use, fouling marks,
points and roads by name, boards, and a bar to measure by.

Track is a white line between two black ones; where trains may stand it lies on a grey
band. A heavy stroke across two legs is the mark to paint. Everything is black, white
and one grey, so that it prints anywhere.
"""

from cmath import phase
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import degrees
from textwrap import wrap
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import (
    GREY,
    TEXT_MM,
    cut_short,
    line,
    page,
    text,
    width_of,
    written,
)
from standage.railway.terms.phrases import millimetres

PAGE_MM = 297.0
MARGIN_MM = 10.0
_WIDE_MM = PAGE_MM - 2 * MARGIN_MM
_HIGH_MM = 150.0
_ROOM_MM = 8.0  # around the track, for names
_SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)
_LETTERS = 140
_LINE_MM = TEXT_MM * 1.5
_BAR_MM = 80.0  # of paper, at most
_BARS_MM = (50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 50_000)
_HEAD_MM = 12.0
_QUARTER_DEG = 90.0

Line = tuple[complex, ...]


class DrawnRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road by name; ``usable`` is the line along which trains may stand, empty where
    nobody knows or nothing is left.
    """

    name: str
    usable: Line
    usable_mm: float | None
    too_close: bool = False


class DrawnName(msgspec.Struct, frozen=True, kw_only=True):
    """A name, beside the place that it is of."""

    name: str
    place: complex


class DrawnPlan(msgspec.Struct, frozen=True, kw_only=True):
    """What is drawn of a plan, in mm of the plan; y is up.

    ``doubtful`` is track of pieces with faults, drawn broken. ``stops`` are the faces
    of buffers as lines, ``notes`` are written beneath.
    """

    title: str
    tracks: tuple[Line, ...]
    doubtful: tuple[Line, ...]
    roads: tuple[DrawnRoad, ...]
    points: tuple[DrawnName, ...]
    marks: tuple[Line, ...]
    stops: tuple[Line, ...]
    gaps: tuple[DrawnName, ...]
    boards: tuple[Line, ...]
    notes: tuple[str, ...]


class _Paper(msgspec.Struct, frozen=True, kw_only=True):
    """How a plan comes on the paper: one in so many, its left upper corner at 0."""

    one_in: float
    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    def place(self, point: complex) -> tuple[float, float]:
        """Return where a point of the plan lies on the paper."""
        x_mm = (point.real - self.left_mm) / self.one_in
        y_mm = (self.top_mm - point.imag) / self.one_in
        return x_mm + _ROOM_MM, y_mm + _ROOM_MM


def plan_drawing(plan: DrawnPlan) -> str:
    """Return the plan as SVG; where nothing has a place it says so."""
    paper = _paper(plan)
    words = list(_words(plan))
    legend_mm = _HEAD_MM + paper.height_mm + 12.0
    height_mm = 2 * MARGIN_MM + legend_mm + _LINE_MM * (len(words) + 1)
    root = page(width_mm=PAGE_MM, height_mm=height_mm, title=plan.title)
    shift = {"transform": f"translate({MARGIN_MM:g} {MARGIN_MM:g})"}
    body = ET.SubElement(root, "g", shift)
    title = cut_short(plan.title, width_mm=_WIDE_MM - 40, text_mm=5)
    text(body, 0, 5, title, font_weight="bold", font_size="5")
    if plan.tracks or plan.doubtful:
        text(body, _WIDE_MM, 5, f"1 : {paper.one_in:g}", text_anchor="end")
        down = {"transform": f"translate(0 {_HEAD_MM:g})"}
        _draw(ET.SubElement(body, "g", down), plan, paper)
        _scale_bar(body, paper, top_mm=_HEAD_MM + paper.height_mm + 4)
    for number, one in enumerate(words, 1):
        text(body, 0, legend_mm + _LINE_MM * number, one)
    return written(root)


def _paper(plan: DrawnPlan) -> _Paper:
    """Return the largest round scale at which the plan goes on the paper."""
    lines = [*plan.tracks, *plan.doubtful, *plan.boards]
    places = [place for one in lines for place in one] or [0j]
    left_mm = min(place.real for place in places)
    right_mm = max(place.real for place in places)
    top_mm = max(place.imag for place in places)
    low_mm = min(place.imag for place in places)
    across_mm = (right_mm - left_mm) / (_WIDE_MM - 2 * _ROOM_MM)
    up_mm = (top_mm - low_mm) / (_HIGH_MM - 2 * _ROOM_MM)
    least = max(across_mm, up_mm)
    one_in = next((float(one) for one in _SCALES if one >= least), least)
    return _Paper(
        one_in=one_in,
        left_mm=left_mm,
        top_mm=top_mm,
        width_mm=_WIDE_MM,
        height_mm=(top_mm - low_mm) / one_in + 2 * _ROOM_MM,
    )


def _draw(group: ET.Element, plan: DrawnPlan, paper: _Paper) -> None:
    """Draw from what lies beneath to what lies on top, words last."""
    for board in plan.boards:
        style = {"fill": "none", "stroke": "black", "stroke-width": "0.15"}
        corners = _points(board, paper)
        ET.SubElement(group, "polygon", {"points": corners, **style})
    _draw_track(group, plan, paper)
    _draw_gaps(group, plan, paper)
    for number, road in enumerate(plan.roads, 1):
        if road.usable:
            _road_name(group, road, paper, number)
    for name in plan.points:
        x_mm, y_mm = paper.place(name.place)
        dot = {"cx": f"{x_mm:.2f}", "cy": f"{y_mm:.2f}", "r": "0.7", "fill": "black"}
        ET.SubElement(group, "circle", dot)
        _halo(group, x_mm - 1, y_mm + 4.2, name.name, font_weight="bold")


def _draw_track(group: ET.Element, plan: DrawnPlan, paper: _Paper) -> None:
    for road in plan.roads:
        if road.usable:
            _stroke(group, road.usable, paper, width="3.2", stroke=GREY)
    for track in plan.tracks:
        _stroke(group, track, paper, width="1.1", stroke="black")
    for track in plan.doubtful:
        _stroke(group, track, paper, width="1.1", stroke="black", dashed="2 1.4")
    for track in (*plan.tracks, *plan.doubtful):
        _stroke(group, track, paper, width="0.6", stroke="white")
    for mark in plan.marks:
        _stroke(group, mark, paper, width="0.8", stroke="black")
    for stop in plan.stops:
        _stroke(group, stop, paper, width="1.2", stroke="black")


def _draw_gaps(group: ET.Element, plan: DrawnPlan, paper: _Paper) -> None:
    for gap in plan.gaps:
        x_mm, y_mm = paper.place(gap.place)
        ring = {"cx": f"{x_mm:.2f}", "cy": f"{y_mm:.2f}", "r": "2.2", "fill": "none"}
        line_of = {"stroke": "black", "stroke-width": "0.4"}
        ET.SubElement(group, "circle", ring | line_of)
        _halo(group, x_mm + 3, y_mm - 2, gap.name)


def _points(places: Sequence[complex], paper: _Paper) -> str:
    return " ".join("{:.3f},{:.3f}".format(*paper.place(one)) for one in places)


def _stroke(
    group: ET.Element,
    places: Sequence[complex],
    paper: _Paper,
    *,
    width: str,
    stroke: str,
    dashed: str = "",
) -> None:
    style = {"fill": "none", "stroke": stroke, "stroke-width": width}
    if dashed:
        style["stroke-dasharray"] = dashed
    ET.SubElement(group, "polyline", {"points": _points(places, paper), **style})


def _halo(
    group: ET.Element, left_mm: float, base_mm: float, words: str, **more: str
) -> None:
    """Write words that can be read across track."""
    halo = {"stroke": "white", "stroke_width": "0.8", "paint_order": "stroke"}
    text(group, left_mm, base_mm, words, **halo, **more)


def _road_name(group: ET.Element, road: DrawnRoad, paper: _Paper, number: int) -> None:
    """Write a road's name along its middle; its number alone where that is too
    short.
    """
    along_mm = sum(abs(two - one) for one, two in pairwise(road.usable))
    label = f"{number}  {_length(road)}"
    if width_of(label) > along_mm / paper.one_in:
        label = f"{number}"
    middle, direction = _middle(road.usable, along_mm / 2)
    x_mm, y_mm = paper.place(middle)
    turn = -degrees(phase(direction))
    if abs(turn) > _QUARTER_DEG:
        turn += 180.0 if turn < 0 else -180.0
    turned = {"transform": f"rotate({turn:.2f} {x_mm:.2f} {y_mm:.2f})"}
    inner = ET.SubElement(group, "g", turned)
    _halo(inner, x_mm, y_mm - 1.2, label, text_anchor="middle")


def _middle(line: Sequence[complex], left_mm: float) -> tuple[complex, complex]:
    """Return the place so far along a line, and the direction there."""
    for one, two in pairwise(line):
        long_mm = abs(two - one)
        if long_mm > 0 and left_mm <= long_mm:
            direction = (two - one) / long_mm
            return one + direction * left_mm, direction
        left_mm -= long_mm
    return line[-1], 1 + 0j


def _length(road: DrawnRoad) -> str:
    if road.too_close:
        return f"{road.name}: tracks too close"
    if road.usable_mm is None:
        return f"{road.name}: usable length not known"
    return f"{road.name}: {millimetres(road.usable_mm)}"


def _scale_bar(group: ET.Element, paper: _Paper, *, top_mm: float) -> None:
    fits = [bar for bar in _BARS_MM if bar / paper.one_in <= _BAR_MM]
    bar_mm = fits[-1] if fits else _BARS_MM[0]
    long_mm = bar_mm / paper.one_in
    for part in range(5):
        fill = "black" if part % 2 == 0 else "white"
        box = {"x": f"{part * long_mm / 5:.3f}", "y": f"{top_mm:.2f}", "height": "1.6"}
        style = {"fill": fill, "stroke": "black", "stroke-width": "0.2"}
        ET.SubElement(group, "rect", {**box, "width": f"{long_mm / 5:.3f}", **style})
    line(group, (0, top_mm), (long_mm, top_mm), width="0.2")
    text(group, 0, top_mm + 5, "0")
    text(group, long_mm, top_mm + 5, millimetres(bar_mm), text_anchor="end")


def _words(plan: DrawnPlan) -> Iterator[str]:
    if not plan.tracks and not plan.doubtful:
        yield "Nothing of this plan has a place that could be drawn."
    for number, road in enumerate(plan.roads, 1):
        yield f"{number}  {_length(road)}"
    for note in plan.notes:
        yield from wrap(note, _LETTERS)
