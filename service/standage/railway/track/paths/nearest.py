"""The place of a path that is nearest to a point: the foot of the perpendicular on it.

Of each cell the chord is known, and how little the path bows out from it; so all cells
that cannot hold the nearest place are left out before any foot is looked for.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from standage.railway.track.paths.cells import Cells, Points, trace
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import Floats

_AT_ONCE = 256
_HALVINGS = 60
_BOW = 1 / 32
"""Of its length, more than any cell bows out from its chord: its turn's eighth part."""


class Feet(NamedTuple):
    """The nearest place to each of many points: how far along, and how far off.

    ``left_mm`` is the distance, less than 0 where the point lies to the right of the
    path as seen going along it.
    """

    position_mm: Floats
    left_mm: Floats


def nearest(path: Path, x_mm: ArrayLike, y_mm: ArrayLike) -> Feet:
    """Return the place of ``path`` that is nearest to each point, the first of two.

    To 1e-9 mm along the path, but near a curve's centre, from where many places are
    equally far; the distance is as exact everywhere. Where the path goes on, its
    straight ends count too. **Source** derived.
    """
    x, y = np.broadcast_arrays(np.asarray(x_mm, float), np.asarray(y_mm, float))
    points = (x + 1j * y).ravel()
    positions = np.empty(points.size)
    distances = np.empty(points.size)
    for first in range(0, points.size, _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        positions[some], distances[some] = _nearest(path, points[some])
    found = Feet(positions, distances)
    return Feet(*(figures.reshape(x.shape) for figures in found))


def _nearest(path: Path, points: Points) -> tuple[Floats, Floats]:
    cells = path.cells
    ends_mm = np.append(cells.start_mm[1:-1], path.length_mm)
    point, cell = np.nonzero(_may_be_nearest(cells, points))
    foot_mm = _feet(
        cells,
        points[point],
        ends_mm[cell],
        ends_mm[cell + 1],
    )
    if path.goes_on:
        beyond_point, beyond_mm = _beyond(cells, points, path.length_mm)
        point = np.append(point, beyond_point)
        foot_mm = np.append(foot_mm, beyond_mm)
    there = trace(cells, foot_mm)
    away = (points[point] - there.point) * np.conj(there.direction)
    distance_mm = np.abs(away)
    # By point, then distance, then position: the first row of each point is its foot.
    order = np.lexsort((foot_mm, distance_mm, point))
    _, first = np.unique(point[order], return_index=True)
    chosen = order[first]
    signed_mm = np.copysign(distance_mm[chosen], away.imag[chosen])
    return foot_mm[chosen], signed_mm


def _may_be_nearest(cells: Cells, points: Points) -> NDArray[np.bool_]:
    """Tell of each point and cell whether the nearest place may lie there."""
    corners = cells.point[1:]
    chords = np.diff(corners)
    lengths_mm = np.abs(chords)
    from_start = points[:, np.newaxis] - corners[:-1]
    squares = np.where(lengths_mm > 0, lengths_mm**2, 1.0)
    along = (from_start * np.conj(chords)).real / squares
    distance_mm = np.abs(from_start - np.clip(along, 0, 1) * chords)
    bow_mm = lengths_mm * _BOW
    surely_mm = (distance_mm + bow_mm).min(axis=1, keepdims=True)
    may: NDArray[np.bool_] = distance_mm - bow_mm <= surely_mm
    return may


def _feet(cells: Cells, points: Points, from_mm: Floats, to_mm: Floats) -> Floats:
    """Return the nearest place within one cell each, by halving it.

    The point lies ahead of all places before the foot, and behind all beyond it. Seen
    from beyond the centre of a curve it is the other way about: an end is nearest.
    """
    low_mm, high_mm = from_mm.copy(), to_mm.copy()
    turned = (_ahead(cells, points, from_mm) < 0) & (_ahead(cells, points, to_mm) > 0)
    for _ in range(_HALVINGS):
        middle_mm = (low_mm + high_mm) / 2
        ahead = _ahead(cells, points, middle_mm) > 0
        low_mm = np.where(ahead, middle_mm, low_mm)
        high_mm = np.where(ahead, high_mm, middle_mm)
    from_off = np.abs(points - trace(cells, from_mm).point)
    to_off = np.abs(points - trace(cells, to_mm).point)
    nearer_end_mm = np.where(from_off <= to_off, from_mm, to_mm)
    return np.where(turned, nearer_end_mm, low_mm)


def _ahead(cells: Cells, points: Points, positions_mm: Floats) -> Floats:
    """Return how far ahead of each place its point lies, along the direction there."""
    there = trace(cells, positions_mm)
    away = points - there.point
    ahead: Floats = (away * np.conj(there.direction)).real
    return ahead


def _beyond(
    cells: Cells, points: Points, length_mm: float
) -> tuple[NDArray[np.intp], Floats]:
    """Return which points have a foot on the straights beyond the ends, and where."""
    before_mm = _ahead(cells, points, np.zeros(points.size))
    after_mm = _ahead(cells, points, np.full(points.size, length_mm))
    before = np.flatnonzero(before_mm < 0)
    after = np.flatnonzero(after_mm > 0)
    feet_mm = np.concatenate((before_mm[before], length_mm + after_mm[after]))
    return np.concatenate((before, after)), feet_mm
