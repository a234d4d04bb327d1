"""A plan cut into pages at 1:1: which cells of a grid hold track, and which track."""

from collections.abc import Iterator, Sequence
from itertools import product
from math import ceil
from typing import NamedTuple

import msgspec
import numpy as np

from standage.drawings.plans.plan_layout import Frame
from standage.drawings.plans.sheets import Paper
from standage.drawings.plans.ways import Bend
from standage.railway.track.paths.cells import Points
from standage.railway.track.paths.runs import Floats
from standage.railway.track.paths.spots import along_arc

OVERLAP_MM = 10.0
FOOT_MM = 19.0
SIDE_MM = 9.0
"""What a page keeps free beside and beneath its window, for the lines to check by."""
_STEP_MM = 6.0
_MOST_ACROSS = 1_000_000
_PARTS = (0.5, 0.0, 1.0)
Cell = tuple[int, int]
"""A row, from the top, and a column, from the left, both from 0."""


class Cells(msgspec.Struct, frozen=True, kw_only=True):
    """Cells that hold track, in rows; ``strands`` are those to be drawn in each.

    ``corner`` is the upper left corner of the first cell's window, in the plan's mm.
    """

    paper: Paper
    corner: complex
    held: tuple[Cell, ...]
    strands: dict[Cell, tuple[int, ...]]

    @property
    def window_mm(self) -> complex:
        """What a page shows: so wide and so high."""
        return window_mm(self.paper)

    @property
    def step_mm(self) -> complex:
        """From one window to the next, to the right and down."""
        return _step_mm(self.paper)

    def corner_of(self, cell: Cell) -> complex:
        """Return the place of the plan at a window's upper left corner."""
        row, column = cell
        right_mm = column * self.step_mm.real
        down_mm = row * self.step_mm.imag
        return self.corner + complex(right_mm, -down_mm)


def window_mm(paper: Paper) -> complex:
    """Return what of the plan goes on a page of a paper: so wide and so high."""
    wide_mm = paper.wide_mm - SIDE_MM
    high_mm = paper.high_mm - FOOT_MM
    return complex(wide_mm, high_mm)


def _step_mm(paper: Paper) -> complex:
    return window_mm(paper) - complex(OVERLAP_MM, OVERLAP_MM)


class _Grid(NamedTuple):
    """A way to lay pages over a plan, and the cells that then hold track."""

    paper: Paper
    corner: complex
    held: set[Cell]


def cells_of(
    strands: Sequence[Sequence[Bend]],
    frame: Frame,
    papers: Sequence[Paper],
    *,
    reach_mm: float,
) -> Cells:
    """Return the pages that strands take, drawn so far to either side of their centre.

    On the first of the papers that takes the fewest. The grid is moved by parts of what
    is left over, to where the fewest pages hold track. Takes a step for each 6 mm of
    track.
    """
    if not strands:
        return Cells(
            paper=papers[0],
            corner=0j,
            held=(),
            strands={},
        )
    dense = [np.array(list(_dense(strand))) for strand in strands]
    whole = np.concatenate(dense)
    grids = [
        grid
        for paper in papers
        for grid in _grids(
            whole,
            frame,
            paper,
            reach_mm,
        )
    ]
    best = min(grids, key=_pages)
    step_mm = _step_mm(best.paper)
    drawn: dict[Cell, list[int]] = {}
    for number, points in enumerate(dense):
        off = points - best.corner
        for cell in _held(off, step_mm, reach_mm, behind_mm=OVERLAP_MM):
            drawn.setdefault(cell, []).append(number)
    return Cells(
        paper=best.paper,
        corner=best.corner,
        held=tuple(sorted(best.held)),
        strands={cell: tuple(numbers) for cell, numbers in drawn.items()},
    )


def _grids(
    whole: Points, frame: Frame, paper: Paper, reach_mm: float
) -> Iterator[_Grid]:
    """Yield the grids of a paper that are tried."""
    step_mm = _step_mm(paper)
    for corner in _corners(frame, step_mm, reach_mm):
        off = whole - corner
        held = _held(off, step_mm, reach_mm, behind_mm=0.0)
        yield _Grid(paper, corner, held)


def _pages(grid: _Grid) -> int:
    return len(grid.held)


def _corners(frame: Frame, step_mm: complex, reach_mm: float) -> Iterator[complex]:
    """Yield where the grid may begin, so that it still covers all track."""
    width_mm = frame.width_mm + 2 * reach_mm
    height_mm = frame.height_mm + 2 * reach_mm
    spare_x_mm = _spare_mm(width_mm, step_mm.real)
    spare_y_mm = _spare_mm(height_mm, step_mm.imag)
    for across, down in product(_PARTS, _PARTS):
        left_mm = frame.left_mm - reach_mm - spare_x_mm * across
        top_mm = frame.top_mm + reach_mm + spare_y_mm * down
        yield complex(left_mm, top_mm)


def _spare_mm(needed_mm: float, step_mm: float) -> float:
    cells = max(1, ceil(needed_mm / step_mm))
    return cells * step_mm - needed_mm


def _dense(strand: Sequence[Bend]) -> Iterator[complex]:
    for bend in strand:
        steps = max(1, ceil(bend.length_mm / _STEP_MM))
        part_mm = bend.length_mm / steps
        for step in range(steps + 1):
            along_mm = step * part_mm
            yield along_arc(
                bend.start,
                along_mm,
                bend.curvature,
            ).point


def _held(
    off: Points, step_mm: complex, reach_mm: float, *, behind_mm: float
) -> set[Cell]:
    """Return the cells that what is drawn about places touches; these count from the
    grid's corner. ``behind_mm`` is how far a cell's window goes on beyond it.
    """
    backs_mm = (reach_mm + behind_mm, -reach_mm)
    columns = [_numbers(off.real - back_mm, step_mm.real) for back_mm in backs_mm]
    rows = [_numbers(-off.imag - back_mm, step_mm.imag) for back_mm in backs_mm]
    found: set[float] = set()
    for row, column in product(rows, columns):
        codes = row * _MOST_ACROSS + column
        # Track stays in a cell for many places: only where it enters one counts.
        enters = np.append(True, codes[1:] != codes[:-1])
        found.update(codes[enters].tolist())
    return {divmod(int(code), _MOST_ACROSS) for code in found}


def _numbers(off_mm: Floats, step_mm: float) -> Floats:
    """Return the rows or columns in which places lie that far from the first."""
    numbers = np.floor(off_mm / step_mm)
    return np.maximum(numbers, 0.0)
