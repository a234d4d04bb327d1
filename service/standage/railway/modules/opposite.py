"""Which track of one module's end lies opposite which of another's, and how far they
miss each other.

The other end is seen from the other side: what lies to the right at one lies to the
left at the other. So an offset of one meets the offset of the other with its sign
changed.
"""

import math
from collections.abc import Sequence
from typing import Annotated

import msgspec

from standage.railway.modules.boards import EndTrack
from standage.railway.terms.figures import says, tidy


class Facing(msgspec.Struct, frozen=True, kw_only=True):
    """Two tracks that lie opposite each other."""

    one: Annotated[str, says("The track of the one end.")]
    other: Annotated[str, says("The track of the other end.")]
    aside_mm: Annotated[
        float,
        says(
            "How far the opposite track lies to the right, in mm, looking out of either"
            " module; less than 0 is to the left."
        ),
    ]


class Opposite(msgspec.Struct, frozen=True, kw_only=True):
    """The tracks of two ends, from left to right looking out of the one, and those that
    have none opposite.
    """

    pairs: tuple[Facing, ...]
    alone_on_one: tuple[str, ...] = ()
    alone_on_other: tuple[str, ...] = ()


def opposite(one: Sequence[EndTrack], other: Sequence[EndTrack]) -> Opposite:
    """Return which tracks meet, with the middles of both ends in line.

    As many as can are paired, never crosswise, so that the distances by which they miss
    add up to the least there is. Of several ways that do, the leftmost looking out of
    the end with more tracks is taken. **Source** derived: the least sum over all ways,
    tests/laws/test_module_laws.py tries every one.
    """
    if len(one) < len(other):
        return _turned(opposite(other, one))
    wide = sorted(one, key=lambda track: track.offset_mm)
    # The other end is seen from the other side, so it is gone through backwards.
    narrow = sorted(other, key=lambda track: -track.offset_mm)
    chosen = _least_missed(
        [track.offset_mm for track in wide],
        [-track.offset_mm for track in narrow],
    )
    pairs = tuple(
        _facing(wide[place], track) for place, track in zip(chosen, narrow, strict=True)
    )
    alone = tuple(track.name for place, track in enumerate(wide) if place not in chosen)
    return Opposite(
        pairs=pairs,
        alone_on_one=alone,
    )


def _facing(one: EndTrack, other: EndTrack) -> Facing:
    aside_mm = tidy(-one.offset_mm - other.offset_mm)
    return Facing(
        one=one.name,
        other=other.name,
        aside_mm=aside_mm,
    )


def sideways(met: Opposite) -> tuple[float, float]:
    """Return by how much one board must be shifted for the best fit of all pairs, and
    what the worst then misses by.

    Both in mm; the shift is to the right looking out of that board. There is at least
    one pair. **Source** derived: the middle of the range leaves the least greatest
    miss.
    """
    missed = [pair.aside_mm for pair in met.pairs]
    least_mm, most_mm = min(missed), max(missed)
    middle_mm = (least_mm + most_mm) / 2
    left_mm = (most_mm - least_mm) / 2
    return tidy(middle_mm), tidy(left_mm)


def _turned(met: Opposite) -> Opposite:
    pairs = tuple(
        Facing(one=pair.other, other=pair.one, aside_mm=pair.aside_mm)
        for pair in reversed(met.pairs)
    )
    return Opposite(
        pairs=pairs,
        alone_on_one=met.alone_on_other[::-1],
        alone_on_other=met.alone_on_one[::-1],
    )


def _least_missed(wide_mm: Sequence[float], narrow_mm: Sequence[float]) -> list[int]:
    """Return the places in ``wide_mm`` that meet those of ``narrow_mm`` in turn; both
    ascend, the first is no shorter.

    ``costs[place][taken]`` is the least that the first ``taken`` of the narrow miss by
    among the wide before ``place``.
    """
    costs = [_nothing_before(len(narrow_mm))]
    for at_mm in wide_mm:
        costs.append(_with_one_more(costs[-1], at_mm, narrow_mm))
    chosen: list[int] = []
    taken = len(narrow_mm)
    for place in reversed(range(len(wide_mm))):
        if not taken:
            break
        without_it, with_it = costs[place][taken], costs[place + 1][taken]
        if tidy(without_it) > tidy(with_it):
            taken -= 1
            chosen.append(place)
    return chosen[::-1]


def _nothing_before(narrow: int) -> list[float]:
    """Return the costs where none of the wide are there yet: none can be met."""
    return [0.0] + [math.inf] * narrow


def _with_one_more(
    before: Sequence[float], at_mm: float, narrow_mm: Sequence[float]
) -> list[float]:
    """Return the costs with one more of the wide: each of the narrow meets it, or one
    before it.
    """
    costs = [0.0]
    for taken, to_meet_mm in enumerate(narrow_mm):
        meeting = before[taken] + abs(at_mm - to_meet_mm)
        costs.append(min(before[taken + 1], meeting))
    return costs
