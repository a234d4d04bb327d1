"""From where on a body that stands on one way keeps clear of one that moves on another.

Both are tried at places 2 mm apart or less, all against all; the worst of them is then
closed in on, in the moving body's place and in the standing one's.
"""

from math import inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from standage.railway.track.fouling.sweeps import (
    NearPairs,
    Places,
    Swept,
    near_pairs,
    turning_pairs,
)
from standage.railway.track.paths.outlines import apart_mm
from standage.railway.track.paths.runs import Floats

KEPT_MM = 1e-7
"""A gap so little short of the margin is the margin, to rounding."""
_PARTS = 9
_SHRINKS = _PARTS // 2
_ROUNDS = 6
"""Each leaves a quarter of the span before: 2 mm come to 0.0005 mm, where a gap is least
to some millionths."""
_SECTIONS = 17
_SECTION_ROUNDS = 4
"""Each leaves a sixteenth: 2 mm come to 0.00003 mm."""
_FASTEST = 8.0
_MOST_TRIED = 512
_NEAREST_KEPT = 6

Rows = NDArray[np.bool_]


class Cleared(NamedTuple):
    """Where the first axle of the standing body is when it comes clear.

    None where it is in the way up to the last place that was tried.
    """

    first_axle_mm: float | None


class Wanted(NamedTuple):
    """The margin; whether the ways come together again; what need not be exact.

    A place before ``beyond_mm`` is found no nearer than to a step.
    """

    margin_mm: float
    ends_together: bool = False
    beyond_mm: float = -inf


def cleared(standing: Swept, moving: Swept, wanted: Wanted) -> Cleared:
    """Return the last place at which a standing body has less than the margin.

    To 0.001 mm. It is clear there and at every place beyond that is in ``standing``.
    Where the two ways come together again, the places in the way there, up to the end
    without a gap, are left out: they are other points' business. Raises ``TooMuchError`` as
    ``near_pairs`` does. **Source** derived.
    """
    margin_mm = wanted.margin_mm
    near = near_pairs(standing, moving, within_mm=margin_mm + _slack_mm(moving))
    fouled = near.blocked.copy()
    fouled[near.standing[near.apart_mm < margin_mm - KEPT_MM]] = True
    fouled |= _fouled_between(
        standing,
        moving,
        near,
        fouled,
        margin_mm,
    )
    last_clear = _last(~fouled)
    if last_clear is None:
        return Cleared(None)
    is_clear_at_end = last_clear == len(fouled) - 1
    if not is_clear_at_end and not wanted.ends_together:
        return Cleared(None)
    last_fouled = _last(fouled[:last_clear])
    if last_fouled is None:
        return Cleared(float(standing.first_axles_mm[0]))
    next_mm = float(standing.first_axles_mm[last_fouled + 1])
    if next_mm < wanted.beyond_mm:
        return Cleared(next_mm)
    found_mm = _closed_in(
        standing,
        moving,
        near,
        last_fouled,
        margin_mm,
    )
    return Cleared(found_mm)


def _last(rows: Rows) -> int | None:
    """Return the number of the last row that is so."""
    found = np.flatnonzero(rows)
    if len(found):
        return int(found[-1])
    return None


def _slack_mm(moving: Swept) -> float:
    """Return by how much a gap may be less between two places than at the nearer."""
    steps_mm = np.diff(moving.gone_mm)
    return float(steps_mm.max(initial=0.0)) + KEPT_MM


def _fouled_between(
    standing: Swept, moving: Swept, near: NearPairs, fouled: Rows, margin_mm: float
) -> Rows:
    """Return the rows that are in the way only between two places of the moving
    body."""
    turning = turning_pairs(near)
    is_open = ~fouled[near.standing[turning]]
    found = np.zeros(len(fouled), np.bool_)
    some = _nearest_of_each(near, turning[is_open])
    for first in range(0, len(some), _MOST_TRIED):
        part = some[first : first + _MOST_TRIED]
        standing_mm = standing.first_axles_mm[near.standing[part]]
        moving_mm = moving.first_axles_mm[near.moving[part]]
        gap_mm = _least_apart_mm(
            standing,
            moving,
            standing_mm,
            moving_mm,
        )
        found[near.standing[part[gap_mm < margin_mm - KEPT_MM]]] = True
    return found


def _nearest_of_each(near: NearPairs, pairs: Places) -> Places:
    """Return the nearest few of each row's pairs."""
    gaps_mm = near.apart_mm[pairs]
    rows = near.standing[pairs]
    order = np.lexsort((gaps_mm, rows))
    ordered = pairs[order]
    ordered_rows = rows[order]
    first_of_row = np.searchsorted(ordered_rows, ordered_rows)
    rank = np.arange(len(ordered)) - first_of_row
    kept: Places = ordered[rank < _NEAREST_KEPT]
    return kept


def _least_apart_mm(
    standing: Swept, moving: Swept, standing_mm: Floats, moving_mm: Floats
) -> Floats:
    """Return the least gap near each pair of places, the moving body's varied."""
    pairs = np.arange(len(moving_mm))
    each_part = np.repeat(pairs, _PARTS)
    bodies = standing.at(standing_mm).only(each_part)
    best_mm = moving_mm
    span_mm = _step_mm(moving)
    least_mm = np.full(len(moving_mm), np.inf)
    for _ in range(_ROUNDS):
        offsets_mm = np.linspace(-span_mm, span_mm, _PARTS)
        tried_mm = best_mm[:, np.newaxis] + offsets_mm
        gaps_mm = apart_mm(bodies, moving.at(tried_mm.ravel()))
        gaps_mm = gaps_mm.reshape(tried_mm.shape)
        nearest = gaps_mm.argmin(axis=1)
        which = (pairs, nearest)
        best_mm = tried_mm[which]
        least_mm = np.minimum(least_mm, gaps_mm[which])
        span_mm /= _SHRINKS
    return least_mm


def _step_mm(moving: Swept) -> float:
    first_axles_mm = moving.first_axles_mm
    if len(first_axles_mm) == 1:
        return 0.0
    return float(first_axles_mm[1] - first_axles_mm[0])


def _closed_in(
    standing: Swept, moving: Swept, near: NearPairs, last: int, margin_mm: float
) -> float:
    """Return the place between a row that is in the way and the next, which is clear."""
    moving_mm = _rivals_of(
        standing,
        moving,
        near,
        last,
    )
    low_mm = float(standing.first_axles_mm[last])
    high_mm = float(standing.first_axles_mm[last + 1])
    for _ in range(_SECTION_ROUNDS):
        tried_mm = np.linspace(low_mm, high_mm, _SECTIONS)
        gaps_mm = _gaps_mm(
            standing,
            moving,
            tried_mm,
            moving_mm,
        )
        is_short = gaps_mm.min(axis=1) < margin_mm - KEPT_MM
        place = min(_last(is_short) or 0, _SECTIONS - 2)
        low_mm, high_mm = float(tried_mm[place]), float(tried_mm[place + 1])
        # No corner goes much faster than the wheels: others cannot come nearer here.
        may_decide = gaps_mm[place] < margin_mm + _FASTEST * (high_mm - low_mm)
        moving_mm = moving_mm[may_decide]
    return high_mm


def _gaps_mm(
    standing: Swept, moving: Swept, standing_mm: Floats, moving_mm: Floats
) -> Floats:
    """Return the least gap of each standing place, a row, near each moving one."""
    rows, columns = len(standing_mm), len(moving_mm)
    own_mm = np.repeat(standing_mm, columns)
    other_mm = np.tile(moving_mm, rows)
    least_mm = _least_apart_mm(
        standing,
        moving,
        own_mm,
        other_mm,
    )
    return least_mm.reshape(rows, columns)


def _rivals_of(standing: Swept, moving: Swept, near: NearPairs, last: int) -> Floats:
    """Return the moving body's places that may decide between a row and the next."""
    turning = turning_pairs(near)
    rows = near.standing[turning]
    beside = turning[(rows == last) | (rows == last + 1)]
    some = _nearest_of_each(near, beside)
    places = np.unique(near.moving[some])
    if len(places) == 0:
        # Blocked whole, and clear in the next: whatever is nearest decides.
        body = standing.bodies.only(np.full(moving.places, last))
        places = np.array([np.argmin(apart_mm(body, moving.bodies))])
    # Neighbours close in on the same place.
    is_first = np.diff(places, prepend=-2) > 1
    return moving.first_axles_mm[places[is_first]]
