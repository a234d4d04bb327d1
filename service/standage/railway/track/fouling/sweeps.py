"""What a body sweeps along a path, and which places of one sweep come near another.

A sweep is a body at places 2 mm apart or less. *Places* of a sweep go by their numbers.
"""

from math import ceil
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from standage.railway.track.paths.outlines import (
    Outline,
    Rectangles,
    apart_mm,
    rectangles,
    surely_apart_mm,
)
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import Floats

STEP_MM = 2.0
MOST_PLACES = 100_000
"""Of one sweep: 200 m of it."""
MOST_PAIRS = 3_000_000
"""So many pairs of places are looked at at once; more is too much."""
_BLOCKS = 64

Places = NDArray[np.intp]


class Swept(NamedTuple):
    """A body at many places of a path, by where its first axle stands.

    ``gone_mm`` is how far the fastest of its corners has gone up to each of them.
    """

    path: Path
    outline: Outline
    first_axles_mm: Floats
    bodies: Rectangles
    gone_mm: Floats

    @property
    def places(self) -> int:
        """How many places there are."""
        return len(self.first_axles_mm)

    def at(self, first_axles_mm: Floats) -> Rectangles:
        """Return the body at other places of the same path."""
        return rectangles(self.path, first_axles_mm, self.outline)


class NearPairs(NamedTuple):
    """Places of a standing body and of a moving one that are near each other.

    ``blocked`` are the standing body's places at which the two overlap, whether or not a
    pair of theirs is here.
    """

    standing: Places
    moving: Places
    apart_mm: Floats
    blocked: NDArray[np.bool_]


class TooMuchError(Exception):
    """There are more places, or pairs of places near each other, than are looked at."""


def swept(path: Path, outline: Outline, from_mm: float, to_mm: float) -> Swept:
    """Return what a body sweeps from one place of its first axle to another.

    Raises ``TooMuchError`` for more than ``MOST_PLACES``, and ValueError for wheels off the
    path, but where that goes on. **Source** derived.
    """
    last_mm = max(from_mm, to_mm)
    steps = ceil((last_mm - from_mm) / STEP_MM)
    places = steps + 1
    if places > MOST_PLACES:
        raise TooMuchError
    first_axles_mm = np.linspace(from_mm, last_mm, places)
    bodies = rectangles(path, first_axles_mm, outline)
    moves = np.diff(bodies.corners, axis=1)
    steps_mm = np.abs(moves).max(axis=0)
    gone_mm = np.zeros(places)
    np.cumsum(steps_mm, out=gone_mm[1:])
    return Swept(
        path,
        outline,
        first_axles_mm,
        bodies,
        gone_mm,
    )


def near_pairs(standing: Swept, moving: Swept, *, within_mm: float) -> NearPairs:
    """Return all pairs of places that are nearer than ``within_mm``.

    Blocks of places are left out at once where their middles are farther apart than any
    of them can have gone from there, and the rest is halved. Raises ``TooMuchError`` for
    more than ``MOST_PAIRS``. **Source** derived.
    """
    blocked = np.zeros(standing.places, np.bool_)
    size = _first_size(max(standing.places, moving.places))
    rows, columns = _all_blocks(standing, moving, size)
    while True:
        own = _blocks(standing, size)
        other = _blocks(moving, size)
        least_mm = surely_apart_mm(
            standing.bodies.only(own.middle[rows]),
            moving.bodies.only(other.middle[columns]),
        )
        # A block that overlaps deeply is blocked whole: no part of it comes free.
        deep = least_mm + own.radius_mm[rows] < 0
        for block in np.unique(rows[deep]):
            blocked[own.slice_of(block)] = True
        reach_mm = within_mm + own.radius_mm[rows] + other.radius_mm[columns]
        is_left = (least_mm < reach_mm) & ~blocked[own.middle[rows]]
        rows, columns = rows[is_left], columns[is_left]
        if size == 1:
            break
        size //= 2
        rows, columns = _halved(
            rows,
            columns,
            (standing, moving),
            size,
        )
        if len(rows) > MOST_PAIRS:
            raise TooMuchError
    gap_mm = apart_mm(standing.bodies.only(rows), moving.bodies.only(columns))
    near = gap_mm < within_mm
    return NearPairs(
        rows[near],
        columns[near],
        gap_mm[near],
        blocked,
    )


class _Blocks(NamedTuple):
    """Runs of so many places: the middle one of each, and how far others lie from it.

    Farther than any corner goes up to the first place of the next block.
    """

    size: int
    middle: Places
    radius_mm: Floats

    def slice_of(self, block: int) -> slice:
        return slice(block * self.size, (block + 1) * self.size)


def _first_size(places: int) -> int:
    size = 1
    while size * _BLOCKS < places:
        size *= 2
    return size


def _all_blocks(standing: Swept, moving: Swept, size: int) -> tuple[Places, Places]:
    rows = _count(standing.places, size)
    columns = _count(moving.places, size)
    every_pair = np.indices((rows, columns))
    every_row, every_column = every_pair
    return every_row.ravel(), every_column.ravel()


def _count(places: int, size: int) -> int:
    return ceil(places / size)


def _blocks(one: Swept, size: int) -> _Blocks:
    last = one.places - 1
    gone_mm = one.gone_mm
    first = np.arange(0, one.places, size)
    beyond = first + size
    half_way = first + size // 2
    end = np.minimum(beyond, last)
    middle = np.minimum(half_way, last)
    middle_mm = gone_mm[middle]
    before_mm = middle_mm - gone_mm[first]
    after_mm = gone_mm[end] - middle_mm
    radius_mm = np.maximum(before_mm, after_mm)
    return _Blocks(size, middle, radius_mm)


def _halved(
    rows: Places, columns: Places, both: tuple[Swept, Swept], size: int
) -> tuple[Places, Places]:
    """Return the blocks of half the size that pairs of blocks consist of."""
    standing, moving = both
    first_row = 2 * rows
    first_column = 2 * columns
    second_row = first_row + 1
    second_column = first_column + 1
    own = np.concatenate((first_row, first_row, second_row, second_row))
    other = np.concatenate(
        (
            first_column,
            second_column,
            first_column,
            second_column,
        )
    )
    own_count = _count(standing.places, size)
    other_count = _count(moving.places, size)
    is_there = (own < own_count) & (other < other_count)
    return own[is_there], other[is_there]


def turning_pairs(pairs: NearPairs) -> Places:
    """Return the pairs, by number, that no neighbour in the moving sweep is nearer than.

    By the standing body's place, and then by the moving one's. **Source** derived.
    """
    order = np.lexsort((pairs.moving, pairs.standing))
    rows = pairs.standing[order]
    columns = pairs.moving[order]
    gaps_mm = pairs.apart_mm[order]
    growing_mm = np.diff(gaps_mm)
    is_same_row = np.diff(rows) == 0
    is_next = np.diff(columns) == 1
    are_beside = is_same_row & is_next
    next_is_nearer = are_beside & (growing_mm < 0)
    one_before_is_nearer = are_beside & (growing_mm > 0)
    is_turning = np.ones(len(order), np.bool_)
    is_turning[:-1] &= ~next_is_nearer
    is_turning[1:] &= ~one_before_is_nearer
    turning: Places = order[is_turning]
    return turning
