"""How a plan is laid out on paper: the largest round scale at which it goes on it."""

from collections.abc import Iterator
from math import ceil

import msgspec

from standage.drawings.plans.content import Content
from standage.drawings.plans.looks import Look
from standage.drawings.plans.sheets import PAPERS, Paper
from standage.drawings.plans.title_blocks import BAR_HIGH_MM, BLOCK_MM
from standage.drawings.plans.track_pen import Pen
from standage.drawings.plans.ways import View, along

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)
_ROOM_MM = 11.0
"""About the track, for names."""
_PHONE_HIGH_MM = 150.0
BELOW_MM = 3.0
"""Between a plan and what stands beneath it."""
_MOST_RAILED = 4_000
"""Strands: of more, each is one line, or the drawing would be very large."""


class Frame(msgspec.Struct, frozen=True, kw_only=True):
    """The plan's extent in its own mm."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float


class Laid(msgspec.Struct, frozen=True, kw_only=True):
    """A plan laid out on paper: its view, and the room that it takes up there."""

    paper: Paper
    view: View
    width_mm: float
    height_mm: float


def extent(shown: Content) -> Frame:
    """Return the room that a plan takes in its own mm; a dot's for nothing."""
    places = list(_outermost(shown)) or [0j]
    left_mm = min(place.real for place in places)
    top_mm = max(place.imag for place in places)
    right_mm = max(place.real for place in places)
    foot_mm = min(place.imag for place in places)
    return Frame(
        left_mm=left_mm,
        top_mm=top_mm,
        width_mm=right_mm - left_mm,
        height_mm=top_mm - foot_mm,
    )


def _outermost(shown: Content) -> Iterator[complex]:
    for strand in (*shown.sound, *shown.doubtful):
        for bend in strand:
            # A straight is where its ends are; an arc bulges between them.
            is_straight = bend.curvature == 0
            parts = 1 if is_straight else 12
            yield from along(
                [bend],
                step_mm=max(1e-9, bend.length_mm / parts),
            )
    for one in (*shown.boards, *shown.obstacles, *shown.joints):
        yield from one.outline
    for deck in shown.decks:
        yield from deck.ends
        reach_mm = deck.radius_mm or 0.0
        yield deck.middle + complex(reach_mm, reach_mm)
        yield deck.middle - complex(reach_mm, reach_mm)


def laid_out(shown: Content, look: Look, *, beneath_mm: float = 0.0) -> Laid:
    """Return the plan on paper: upright or across, whichever shows it larger.

    So much is left free beneath it, for its lists.
    """
    frame = extent(shown)
    upright = PAPERS[look.paper]
    if not upright.is_printed:
        turns = (1 + 0j, -1j)
        tried = [
            _on(
                upright,
                frame,
                turn,
                _PHONE_HIGH_MM,
            )
            for turn in turns
        ]
        return min(tried, key=_smallness)
    tried = []
    for paper in (upright.across, upright):
        foot_mm = BLOCK_MM + BAR_HIGH_MM + BELOW_MM
        high_mm = paper.high_mm - foot_mm - beneath_mm
        tried.append(
            _on(
                paper,
                frame,
                1 + 0j,
                high_mm,
            )
        )
    return min(tried, key=_smallness)


def laid_within(shown: Content, paper: Paper, *, high_mm: float) -> Laid:
    """Return the plan as it lies, as large as it goes on so high a part of a paper."""
    return _on(
        paper,
        extent(shown),
        1 + 0j,
        high_mm,
    )


def _smallness(laid: Laid) -> float:
    return laid.view.one_in


def _on(paper: Paper, frame: Frame, turn: complex, high_mm: float) -> Laid:
    is_turned = turn != 1
    width_mm = frame.height_mm if is_turned else frame.width_mm
    height_mm = frame.width_mm if is_turned else frame.height_mm
    across = width_mm / (paper.wide_mm - 2 * _ROOM_MM)
    down = height_mm / (high_mm - 2 * _ROOM_MM)
    one_in = round_scale(max(across, down))
    spare_mm = paper.wide_mm - width_mm / one_in
    border = complex(spare_mm / 2, -_ROOM_MM) * one_in
    corner = complex(frame.left_mm, frame.top_mm)
    if is_turned:
        # A quarter to the right: what was lowest is now on the left.
        corner = complex(frame.left_mm, frame.top_mm - frame.height_mm)
    return Laid(
        paper=paper,
        view=View(
            one_in,
            turn,
            corner - border / turn,
        ),
        width_mm=paper.wide_mm,
        height_mm=height_mm / one_in + 2 * _ROOM_MM,
    )


def round_scale(least: float) -> float:
    """Return the next smaller of the round scales: one in so many."""
    for one in SCALES:
        if one >= least:
            return float(one)
    return float(ceil(least / 50) * 50)


def pen_for(shown: Content, laid: Laid, look: Look) -> Pen:
    is_large = len(shown.sound) + len(shown.doubtful) > _MOST_RAILED
    style = "centre_lines" if is_large else look.track
    return Pen(laid.view, style, shown.gauge_mm)
