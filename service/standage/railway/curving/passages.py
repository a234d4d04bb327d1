"""A coupled pair on its way along a path: the worst of what is measured at every step.

The sweep takes even steps from where the first axle meets the first change of curvature
to where the last axle has passed the last one, and closes in on the two worst of them.
All lengths in mm, all angles in radians.
"""

from collections.abc import Callable, Iterable, Sequence
from math import inf

import msgspec

from standage.railway.curving.pairs import CoupledPair, PairStanding, stand
from standage.railway.track.paths.endless import EndlessPath

STEPS = 96
"""Even steps from one end of a passage to the other, taken with all wheels on straight
track.
"""
_MOST_STEPS = 4 * STEPS
_GOLDEN = 0.6180339887498949
_CLOSING_STEPS = 12
"""Twelve golden sections leave a three-hundredth of two steps: a few hundredths of a
millimetre along the track.
"""
_PEAKS = 2
_FLAT = 1e-9

Measure = Callable[[PairStanding], float]


class _Step(msgspec.Struct, frozen=True, gc=False):
    first_axle_mm: float
    standing: PairStanding


def greatest(
    path: EndlessPath, pair: CoupledPair, measures: Sequence[Measure]
) -> tuple[float, ...] | None:
    """Return the greatest value of each of ``measures`` while ``pair`` runs along
    ``path``.

    On a path of one piece it stands alike everywhere, and is looked at once. None where
    it cannot stand somewhere on the way. Finds a greatest value to about a
    ten-thousandth of itself; costs 100 to 150 placings of the pair. **Source** derived.
    """
    steps = _sweep(path, pair)
    if steps is None:
        return None
    found = tuple(_closed_in(path, pair, steps, measure) for measure in measures)
    return None if inf in found else found


def _sweep(path: EndlessPath, pair: CoupledPair) -> list[_Step] | None:
    last_change_mm = path.ends_mm[-1] if path.ends_mm else 0.0
    step_mm = (last_change_mm + pair.wheels_mm) / STEPS
    steps: list[_Step] = []
    follows_by_mm: float | None = None
    while len(steps) <= _MOST_STEPS:
        first_axle_mm = len(steps) * step_mm
        standing = stand(
            path, pair, first_axle_mm=first_axle_mm, follows_by_mm=follows_by_mm
        )
        if standing is None:
            return None
        steps.append(_Step(first_axle_mm, standing))
        if not path.ends_mm or standing.last_axle_mm >= last_change_mm:
            break
        follows_by_mm = standing.follows_by_mm
    return steps


def _closed_in(
    path: EndlessPath, pair: CoupledPair, steps: Sequence[_Step], measure: Measure
) -> float:
    values = [measure(step.standing) for step in steps]
    highest_first = sorted(
        _peaks(values),
        key=values.__getitem__,
        reverse=True,
    )
    greatest_value = max(values)
    for peak in highest_first[:_PEAKS]:
        before, after = steps[peak - 1], steps[peak + 1]
        value = _highest(path, pair, before, after, measure)
        greatest_value = max(greatest_value, value)
    return greatest_value


def _peaks(values: Sequence[float]) -> Iterable[int]:
    """Yield the inner places that neither neighbour overtops and that stand out
    at all.
    """
    for place in range(1, len(values) - 1):
        before, here, after = values[place - 1 : place + 2]
        if here < before or here < after:
            continue
        rise = here - min(before, after)
        size = max(abs(here), 1.0)
        if rise > _FLAT * size:
            yield place


def _highest(
    path: EndlessPath, pair: CoupledPair, before: _Step, after: _Step, measure: Measure
) -> float:
    """Return the highest value between two steps, by golden section; infinite where the
    pair cannot stand there.
    """

    def value_at(first_axle_mm: float) -> float:
        standing = stand(
            path,
            pair,
            first_axle_mm=first_axle_mm,
            follows_by_mm=before.standing.follows_by_mm,
        )
        return inf if standing is None else measure(standing)

    low_mm, high_mm = before.first_axle_mm, after.first_axle_mm
    one_mm, other_mm = (
        high_mm - _GOLDEN * (high_mm - low_mm),
        low_mm + _GOLDEN * (high_mm - low_mm),
    )
    one, other = value_at(one_mm), value_at(other_mm)
    for _ in range(_CLOSING_STEPS):
        if one >= other:
            high_mm, other_mm, other = other_mm, one_mm, one
            one_mm = high_mm - _GOLDEN * (high_mm - low_mm)
            one = value_at(one_mm)
        else:
            low_mm, one_mm, one = one_mm, other_mm, other
            other_mm = low_mm + _GOLDEN * (high_mm - low_mm)
            other = value_at(other_mm)
    return max(one, other)
