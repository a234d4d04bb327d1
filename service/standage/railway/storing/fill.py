"""How full roads are with the trains that stand there, against what lets a yard
work.
"""

from collections.abc import Iterable, Sequence
from typing import Literal

import msgspec

from standage.railway.stock.extents import Extent, total
from standage.railway.terms.figures import exceeds, tidy

WORKS_UP_TO = 0.5
"""A yard works at half of what it holds. **Source** common practice."""
CROWDED_UP_TO = 0.8
"""Beyond four-fifths there is no room left to work in. **Source** common practice."""

FillVerdict = Literal["cannot_tell", "over_full", "full", "crowded", "works"]
WORST_FIRST: tuple[FillVerdict, ...] = (
    "over_full",
    "cannot_tell",
    "full",
    "crowded",
    "works",
)


class Fill(msgspec.Struct, frozen=True, kw_only=True):
    """How much of a length of road is taken: its part, and how much room is left; None
    where it is not known.
    """

    verdict: FillVerdict
    held_mm: float
    usable_mm: float | None
    part: float | None
    left_mm: float | None


def held(extents: Sequence[Extent], *, gap_mm: float) -> Extent:
    """Return what trains take up nose to tail, with ``gap_mm`` between two of them;
    nothing for none. **Source** derived.
    """
    gaps = max(0, len(extents) - 1)
    together_mm = total(extents)
    return together_mm.moved(gap_mm * gaps)


def fill(taken: Extent, *, usable_mm: float | None) -> Fill:
    """Return how full a road of ``usable_mm`` is with what is ``taken``.

    A length that is not known may be any: the verdict is then ``over_full`` where what
    is known is too long already, else ``cannot_tell``. Couplings that nobody has named
    count with the longest that may be meant; where the road is over-full with those
    only, it is ``cannot_tell``. A road of no length at all is over-full with anything
    in it, and works with nothing.
    **Source** common practice, no source (``WORKS_UP_TO``, ``CROWDED_UP_TO``).
    """
    shortest_mm = tidy(taken.shortest().known_mm)
    held_mm = tidy(taken.longest().known_mm)
    if taken.missing:
        held_mm = shortest_mm
    if usable_mm is None:
        return _not_known(held_mm)
    too_long = exceeds(held_mm, limit=usable_mm)
    shortest_too_long = exceeds(shortest_mm, limit=usable_mm)
    if taken.missing or too_long != shortest_too_long:
        return Fill(
            verdict="over_full" if shortest_too_long else "cannot_tell",
            held_mm=held_mm,
            usable_mm=usable_mm,
            part=None,
            left_mm=None,
        )
    return Fill(
        verdict=_verdict(held_mm, usable_mm),
        held_mm=held_mm,
        usable_mm=usable_mm,
        part=tidy(held_mm / usable_mm) if usable_mm > 0 else None,
        left_mm=tidy(usable_mm - held_mm),
    )


def _not_known(held_mm: float) -> Fill:
    return Fill(
        verdict="cannot_tell", held_mm=held_mm, usable_mm=None, part=None, left_mm=None
    )


def together(fills: Iterable[Fill]) -> Fill:
    """Return how full several roads are as one; what is not known of one is not known
    of all. **Source** derived.
    """
    held_mm, usable_mm, known = 0.0, 0.0, True
    for one in fills:
        held_mm += one.held_mm
        usable_mm += one.usable_mm or 0.0
        # the room left is known only where the length of the road is
        known = known and one.left_mm is not None
    held_mm = tidy(held_mm)
    if not known:
        return _not_known(held_mm)
    return fill(Extent(known_mm=held_mm), usable_mm=tidy(usable_mm))


def _verdict(held_mm: float, usable_mm: float) -> FillVerdict:
    if exceeds(held_mm, limit=usable_mm):
        return "over_full"
    if exceeds(held_mm, limit=usable_mm * CROWDED_UP_TO):
        return "full"
    if exceeds(held_mm, limit=usable_mm * WORKS_UP_TO):
        return "crowded"
    return "works"
