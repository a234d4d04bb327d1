"""Which track of one module's end lies opposite which of another's, and how far they
miss each other.

The other end is seen from the other side: what lies to the right at one lies to the
left at the other. So an offset of one meets the offset of the other with its sign
changed.
"""

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
    the end with more tracks is taken.
    """
    if len(one) < len(other):
        return _turned(opposite(other, one))
    wide = sorted(one, key=lambda track: track.offset_mm)
    narrow = sorted(other, key=lambda track: -track.offset_mm)
    chosen = _least_missed(
        [track.offset_mm for track in wide], [-track.offset_mm for track in narrow]
    )
    pairs = tuple(
        Facing(
            one=wide[place].name,
            other=track.name,
            aside_mm=tidy(-wide[place].offset_mm - track.offset_mm),
        )
        for place, track in zip(chosen, narrow, strict=True)
    )
    alone = tuple(
        track.name for place, track in enumerate(wide) if place not in set(chosen)
    )
    return Opposite(pairs=pairs, alone_on_one=alone)


def sideways(met: Opposite) -> tuple[float, float]:
    """Return by how much one board must be shifted for the best fit of all pairs, and
    what the worst then misses by.

    Both in mm; the shift is to the right looking out of that board. There is at least
    one pair. **Source** derived: the middle of the range leaves the least greatest
    miss.
    """
    missed = [pair.aside_mm for pair in met.pairs]
    return tidy((min(missed) + max(missed)) / 2), tidy((max(missed) - min(missed)) / 2)


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
    infinite = float("inf")
    costs = [[0.0] + [infinite] * len(narrow_mm)]
    for at_mm in wide_mm:
        before = costs[-1]
        meeting = (
            before[taken] + abs(at_mm - narrow_mm[taken])
            for taken in range(len(narrow_mm))
        )
        costs.append(
            [
                0.0,
                *(
                    min(skipped, met)
                    for skipped, met in zip(before[1:], meeting, strict=True)
                ),
            ]
        )
    chosen: list[int] = []
    taken = len(narrow_mm)
    for place in range(len(wide_mm), 0, -1):
        if taken and tidy(costs[place - 1][taken]) > tidy(costs[place][taken]):
            taken -= 1
            chosen.append(place - 1)
    return chosen[::-1]
