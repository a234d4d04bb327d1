"""A plan cut into pages at 1:1: which cells of a grid hold track, and which track."""

from collections.abc import Iterator, Sequence
from itertools import product
from math import ceil

import msgspec
import numpy as np

from standage.drawings.plans.plan_layout import Frame
from standage.drawings.plans.sheets import Paper
from standage.drawings.plans.ways import Bend
from standage.railway.track.paths.cells import Points
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
        return self.window_mm - complex(OVERLAP_MM, OVERLAP_MM)

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


def cells_of(
    strands: Sequence[Sequence[Bend]],
    frame: Frame,
    paper: Paper,
    *,
    reach_mm: float,
) -> Cells:
    """Return the pages that strands take, drawn so far to either side of their centre.

    The grid is moved by parts of what is left over, to where the fewest pages hold
    track. Takes a step for each 6 mm of track.
    """
    empty = Cells(
        paper=paper,
        corner=0j,
        held=(),
        strands={},
    )
    if not strands:
        return empty
    step_mm = empty.step_mm
    dense = [np.array(list(_dense(strand))) for strand in strands]
    whole = np.concatenate(dense)
    tried = [
        (
            _held(
                whole - corner,
                step_mm,
                reach_mm,
                behind_mm=0.0,
            ),
            corner,
        )
        for corner in _corners(frame, step_mm, reach_mm)
    ]
    held, corner = min(tried, key=_pages)
    drawn: dict[Cell, list[int]] = {}
    for number, points in enumerate(dense):
        for cell in _held(points - corner, step_mm, reach_mm, behind_mm=OVERLAP_MM):
            drawn.setdefault(cell, []).append(number)
    return Cells(
        paper=paper,
        corner=corner,
        held=tuple(sorted(held)),
        strands={cell: tuple(numbers) for cell, numbers in drawn.items()},
    )


def _pages(tried: tuple[set[Cell], complex]) -> int:
    held, _ = tried
    return len(held)


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
    held: set[Cell] = set()
    both = (reach_mm + behind_mm, -reach_mm)
    for back_x_mm, back_y_mm in product(both, both):
        columns = np.floor((off.real - back_x_mm) / step_mm.real)
        rows = np.floor((-off.imag - back_y_mm) / step_mm.imag)
        # Row and column as one number: such are sorted out much faster than pairs.
        codes = rows.clip(min=0.0) * _MOST_ACROSS + columns.clip(min=0.0)
        found = np.unique(codes).astype(int).tolist()
        held.update(divmod(code, _MOST_ACROSS) for code in found)
    return held
