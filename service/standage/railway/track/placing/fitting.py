"""Flexible track fitted between two ends: a curve, a straight and a curve, as easy as
can be.

**Source** derived. A bound on the radius is kept by paths of two arcs of one radius
with their common tangent between (Dubins, 1957); the greatest radius for which neither
arc turns by more than half a circle is taken.
"""

from cmath import phase
from math import isclose, log, pi, sqrt
from typing import NamedTuple

import msgspec

from standage.railway.track.paths.runs import Run, even, straight
from standage.railway.track.paths.spots import Spot
from standage.railway.track.pieces.pieces import kept

_AHEAD_MM = 1e-6
_SAME_WAY = 1e-9
_EASIEST = 1000.0
_SHARPEST = 1e-3
"""Radii are looked for between these parts of the distance."""
_STEP = 1.25
_HALVINGS = 60
_HANDS = ((1, 1), (-1, -1), (1, -1), (-1, 1))
_WHOLE_TURN = 2 * pi


class Fit(msgspec.Struct, frozen=True, kw_only=True):
    """What was laid between two ends; nothing where no sensible curve leads there.

    Without a ``least_radius_mm`` it is straight.
    """

    runs: tuple[Run, ...] | None
    length_mm: float | None = None
    least_radius_mm: float | None = None


class _Way(NamedTuple):
    turn: float
    between_mm: float
    second_turn: float


def fit(start: Spot, finish: Spot) -> Fit:
    """Return the easiest track from one spot to another, travelling both ways onwards.

    Nothing where the ends look away from each other, so that an arc would have to turn
    by more than half a circle. **Source** as the module says.
    """
    turn = start.direction.conjugate()
    there = (finish.point - start.point) * turn
    direction = finish.direction * turn
    if abs(direction - 1) < _SAME_WAY and abs(there.imag) < _AHEAD_MM:
        if there.real >= 0:
            runs = kept(straight(there.real))
            return Fit(
                runs=runs,
                length_mm=there.real,
            )
        return Fit(runs=None)
    ends = Spot(there, direction)
    found = [_easiest(ends, hands) for hands in _HANDS]
    known = [one for one in found if one is not None]
    if not known:
        return Fit(runs=None)
    radius_mm, runs = max(known, key=_ease)
    length_mm = sum(run.length_mm for run in runs)
    return Fit(
        runs=runs,
        length_mm=length_mm,
        least_radius_mm=radius_mm,
    )


def _ease(found: tuple[float, tuple[Run, ...]]) -> tuple[float, float]:
    """Return the order of ways: by the radius to a millionth, then by the length."""
    radius_mm, runs = found
    length_mm = sum(run.length_mm for run in runs)
    return round(log(radius_mm), 6), -length_mm


def _easiest(
    ends: Spot, hands: tuple[int, int]
) -> tuple[float, tuple[Run, ...]] | None:
    """Return the greatest radius that will do with arcs of these hands, and the
    track."""
    span_mm = abs(ends.point) or 1.0
    radius_mm = span_mm * _EASIEST
    above_mm = radius_mm
    while _way(ends, hands, radius_mm) is None:
        above_mm = radius_mm
        radius_mm /= _STEP
        if radius_mm < span_mm * _SHARPEST:
            return None
    for _ in range(_HALVINGS):
        middle_mm = (radius_mm + above_mm) / 2
        if isclose(radius_mm, above_mm, rel_tol=1e-12):
            break
        if _way(ends, hands, middle_mm) is None:
            above_mm = middle_mm
        else:
            radius_mm = middle_mm
    way = _way(ends, hands, radius_mm)
    if way is None:
        return None
    return (radius_mm, _runs(way, hands, radius_mm))


def _way(ends: Spot, hands: tuple[int, int], radius_mm: float) -> _Way | None:
    """Return the way with that radius; None where there is none, or an arc turns too
    far."""
    hand, other_hand = hands
    centre = 1j * hand * radius_mm
    other_centre = ends.point + 1j * other_hand * radius_mm * ends.direction
    apart = other_centre - centre
    aside_mm = radius_mm * (hand - other_hand)
    square = abs(apart) ** 2 - aside_mm**2
    if square < 0:
        return None
    between_mm = sqrt(square)
    along = complex(between_mm, -aside_mm)
    if along == 0:
        return None
    tangent = apart / along
    turn = _turned(tangent, hand)
    second_turn = _turned(ends.direction / tangent, other_hand)
    if max(turn, second_turn) > pi:
        return None
    return _Way(turn, between_mm, second_turn)


def _turned(direction: complex, hand: int) -> float:
    """Return by how much one turns to that hand to look there, from 0 up to a whole
    turn."""
    turn = phase(direction) * hand % _WHOLE_TURN
    if isclose(turn, _WHOLE_TURN, rel_tol=1e-9):
        # straight on, but for the last digit
        return 0.0
    return turn


def _runs(way: _Way, hands: tuple[int, int], radius_mm: float) -> tuple[Run, ...]:
    hand, other_hand = hands
    return kept(
        even(hand / radius_mm, length_mm=way.turn * radius_mm),
        straight(way.between_mm),
        even(other_hand / radius_mm, length_mm=way.second_turn * radius_mm),
    )
