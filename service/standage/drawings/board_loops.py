"""A board with the loops that go on it, true to scale: the oval black, the one laid
diagonally broken, and what is clear inside grey.

A loop that is too large is drawn all the same, and is seen to lie over the edge.
"""

import math
from collections.abc import Iterator
from textwrap import wrap
from typing import NamedTuple
from xml.etree import ElementTree as ET

import msgspec

from standage.drawings.paper import (
    GREY,
    HALO,
    LETTERS,
    LINE_MM,
    MARGIN_MM,
    PAGE_MM,
    WITHIN_MM,
    inside,
    line,
    page,
    text,
    title,
    width_of,
    written,
)
from standage.railway.terms.figures import millimetres

_LEFT_MM = 8.0  # for the dimension that stands on its side
_TOP_MM = 18.0  # for the title and the dimension beneath it
_MOST_HIGH_MM = 150.0
_LEAST_HIGH_MM = 20.0  # for the words that stand on their side


class DrawnBoard(msgspec.Struct, frozen=True, kw_only=True):
    """A board and what is drawn on it, in mm; ``radius_mm`` is None where no loop is
    meant.

    ``notes`` are what is said beneath it.
    """

    long_mm: float
    short_mm: float
    edge_mm: float
    radius_mm: float | None
    goes_in: bool
    notes: tuple[str, ...]

    @property
    def along_mm(self) -> float:
        """What is left between the middles of half circles, along the board."""
        return self._left_of(self.long_mm)

    @property
    def across_mm(self) -> float:
        """The same across it."""
        return self._left_of(self.short_mm)

    def _left_of(self, side_mm: float) -> float:
        taken_mm = 2 * (self.edge_mm + (self.radius_mm or 0.0))
        return max(0.0, side_mm - taken_mm)

    @property
    def span_mm(self) -> tuple[float, float]:
        """What board and loop take together, along and across."""
        round_mm = 2 * (self.radius_mm or 0.0)
        along_mm = max(self.long_mm, self.along_mm + round_mm)
        return along_mm, max(self.short_mm, round_mm)

    @property
    def scale(self) -> float:
        """How many mm of paper one of the board is."""
        along_mm, across_mm = self.span_mm
        room_mm = WITHIN_MM - _LEFT_MM
        return min(room_mm / along_mm, _MOST_HIGH_MM / across_mm)


class _Oval(NamedTuple):
    """A loop on the paper: half of the way between its middles, and its radius."""

    half_x_mm: float
    half_y_mm: float
    radius_mm: float


def board_drawing(board: DrawnBoard) -> str:
    """Return the board with its loops as SVG, and what is said of it beneath."""
    lines = list(_lines(board))
    high_mm = max(_LEAST_HIGH_MM, board.span_mm[1] * board.scale)
    words_mm = _TOP_MM + high_mm + 2.0
    height_mm = 2 * MARGIN_MM + words_mm + LINE_MM * (len(lines) + 1)
    called = f"Board {millimetres(board.long_mm)} by {millimetres(board.short_mm)}"
    root = page(width_mm=PAGE_MM, height_mm=height_mm, title=called)
    body = inside(root, margin_mm=MARGIN_MM)
    title(body, called, width_mm=WITHIN_MM)
    middle = (_LEFT_MM + (WITHIN_MM - _LEFT_MM) / 2, _TOP_MM + high_mm / 2)
    _board(body, board, middle)
    if board.radius_mm is not None:
        _loops(body, board, middle, radius_mm=board.radius_mm)
    for number, words in enumerate(lines, 1):
        text(body, 0, words_mm + LINE_MM * number, words)
    return written(root)


def _board(body: ET.Element, board: DrawnBoard, middle: tuple[float, float]) -> None:
    x_mm, y_mm = middle
    wide_mm, high_mm = board.long_mm * board.scale, board.short_mm * board.scale
    left_mm, top_mm = x_mm - wide_mm / 2, y_mm - high_mm / 2
    outline = {
        "x": f"{left_mm:.2f}",
        "y": f"{top_mm:.2f}",
        "width": f"{max(0.1, wide_mm):.2f}",
        "height": f"{max(0.1, high_mm):.2f}",
        "fill": "none",
        "stroke": "black",
        "stroke-width": "0.5",
    }
    ET.SubElement(body, "rect", outline)
    span_mm = board.span_mm[1] * board.scale
    upper_mm = y_mm - span_mm / 2 - 2.0
    _ticked(body, (left_mm, upper_mm), (left_mm + wide_mm, upper_mm))
    along = millimetres(board.long_mm)
    centred_mm = x_mm - width_of(along) / 2
    text(body, centred_mm, upper_mm - 1.0, along)
    _ticked(body, (_LEFT_MM - 2.0, top_mm), (_LEFT_MM - 2.0, top_mm + high_mm))
    _on_its_side(body, _LEFT_MM - 3.0, y_mm, millimetres(board.short_mm))


def _ticked(
    body: ET.Element, one: tuple[float, float], other: tuple[float, float]
) -> None:
    """Draw a dimension, level or upright, between two ticks."""
    line(body, one, other, width="0.2")
    is_level = one[1] == other[1]
    tick_x_mm, tick_y_mm = (0.0, 1.0) if is_level else (1.0, 0.0)
    for x_mm, y_mm in (one, other):
        start = (x_mm - tick_x_mm, y_mm - tick_y_mm)
        line(body, start, (x_mm + tick_x_mm, y_mm + tick_y_mm), width="0.2")


def _on_its_side(body: ET.Element, x_mm: float, y_mm: float, words: str) -> None:
    turned = f"rotate(-90 {x_mm:.2f} {y_mm:.2f})"
    text(body, x_mm, y_mm, words, text_anchor="middle", transform=turned)


def _loops(
    body: ET.Element,
    board: DrawnBoard,
    middle: tuple[float, float],
    *,
    radius_mm: float,
) -> None:
    half_x_mm = board.along_mm / 2 * board.scale
    half_y_mm = board.across_mm / 2 * board.scale
    on_paper_mm = radius_mm * board.scale
    oval = _Oval(half_x_mm, 0.0, on_paper_mm)
    clear_mm = on_paper_mm - board.edge_mm * board.scale
    if board.goes_in and clear_mm > 0:
        clear = oval._replace(radius_mm=clear_mm)
        _path(body, clear, middle, fill=GREY, stroke="none")
    if board.goes_in and half_y_mm > 0:
        diagonal = _Oval(half_x_mm, half_y_mm, on_paper_mm)
        _path(
            body,
            diagonal,
            middle,
            stroke="black",
            stroke_width="0.35",
            stroke_dasharray="2 1.2",
        )
    _path(body, oval, middle, stroke="black", stroke_width="0.8")
    x_mm, y_mm = middle
    centre_mm = x_mm + half_x_mm
    line(body, (centre_mm, y_mm), (centre_mm + on_paper_mm, y_mm), width="0.2")
    line(body, (centre_mm, y_mm - 1.0), (centre_mm, y_mm + 1.0), width="0.2")
    _radius_words(body, (centre_mm + on_paper_mm / 2, y_mm), radius_mm)


def _radius_words(
    body: ET.Element, over: tuple[float, float], radius_mm: float
) -> None:
    words = f"R {millimetres(radius_mm)}"
    words_mm = width_of(words)
    rightmost_mm = WITHIN_MM - words_mm
    start_mm = min(over[0] - words_mm / 2, rightmost_mm)
    text(body, start_mm, over[1] - 1.0, words, **HALO)


def _path(
    body: ET.Element, oval: _Oval, middle: tuple[float, float], **style: str
) -> None:
    """Draw a loop: a half circle about each middle, and straights along both sides."""
    half = complex(oval.half_x_mm, oval.half_y_mm)
    ahead = complex(*middle) + half
    behind = complex(*middle) - half
    # without a straight it lies along the board
    along = half / abs(half) if half else 1 + 0j
    aside = along * complex(0, oval.radius_mm)
    bow = f"A{oval.radius_mm:.3f} {oval.radius_mm:.3f} 0 0 1"
    first = f"M{_at(ahead - aside)}{bow} {_at(ahead + aside)}"
    second = f"L{_at(behind + aside)}{bow} {_at(behind - aside)}"
    drawn = f"{first}{second}Z"
    look = {"d": drawn, "fill": "none"}
    for name, value in style.items():
        look[name.replace("_", "-")] = value
    ET.SubElement(body, "path", look)


def _at(place: complex) -> str:
    return f"{place.real:.3f} {place.imag:.3f}"


def _lines(board: DrawnBoard) -> Iterator[str]:
    said = (*board.notes, *_key(board))
    for words in said:
        first, rest = words[0].upper(), words[1:]
        yield from wrap(f"{first}{rest}.", LETTERS)


def _key(board: DrawnBoard) -> Iterator[str]:
    if board.radius_mm is None:
        return
    if not board.goes_in:
        yield "black: the loop, which lies too near the edge or over it"
        return
    yield f"black: the oval, straights of {millimetres(board.along_mm)}"
    if board.across_mm > 0:
        diagonal_mm = math.hypot(board.along_mm, board.across_mm)
        yield f"broken: laid diagonally, straights of {millimetres(diagonal_mm)}"
    if board.radius_mm > board.edge_mm:
        yield "grey: clear inside the oval"
