"""How far the couplings of the trade typically reach, by scale, and the words by which
people call them.

**Source** of every reach and ±: common practice, measured on ready-to-run stock, with a
wide scatter; no standard says so. Of N one measured train of nine had 9.2 mm a joint.
That small and large hook-and-bar take hold of each other is common practice too.
"""

from collections.abc import Iterator
from itertools import product
from typing import get_args

import msgspec

from standage.railway.terms.scales import ScaleName

GUIDED = "guided"
"""What carries a head rather than a head itself: it says nothing about what takes hold
of it.
"""
EVERYWHERE: tuple[ScaleName, ...] = get_args(ScaleName)


class TypicalReach(msgspec.Struct, frozen=True, kw_only=True):
    """One sort of coupling in some scales.

    ``words`` mean it in any scale, ``short`` ones only in its own. ``spans`` says that
    the word leaves open which of several it is, the reach being the middle of all of
    them. ``from_body`` counts from the end of the body, where no buffers are.
    """

    name: str
    reach_mm: float
    plus_minus_mm: float
    scales: tuple[ScaleName, ...]
    projection_mm: float | None = None
    mates_with: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    short: tuple[str, ...] = ()
    spans: bool = False
    from_body: bool = False


_BRITISH_4_MM: tuple[ScaleName, ...] = ("00", "OO", "EM")
_LINKED_4_MM: tuple[ScaleName, ...] = (*_BRITISH_4_MM, "P4", "S4")
"""Fine scales have no hook-and-bar."""
_N: tuple[ScaleName, ...] = ("N", "N British", "N Japanese")
_H0: tuple[ScaleName, ...] = ("H0", "HO")
_0: tuple[ScaleName, ...] = ("0", "0 British", "S7")

_HOOK_AND_BAR = ("tension lock", "hook and bar", "hook bar", "bar and hook")
_SMALL = ("small", "narrow", "mini")
_LARGE = ("large", "wide", "big")
_LINKS = ("3 link", "three links", "screw link", "screw", "chain link")
_KNUCKLES = ("automatic knuckle", "american knuckle", "knuckle automatic", "buckeye")


def _of_size(sizes: tuple[str, ...]) -> tuple[str, ...]:
    """Return the words for hook-and-bar with a word for its size before or behind."""

    def both() -> Iterator[str]:
        for size, word in product(sizes, _HOOK_AND_BAR):
            yield f"{size} {word}"
            yield f"{word} {size}"

    return tuple(both())


TYPICAL_REACHES = (
    TypicalReach(
        name="small hook-and-bar",
        reach_mm=4.5,
        plus_minus_mm=1.0,
        mates_with=("large hook-and-bar",),
        words=_of_size(_SMALL),
        scales=_BRITISH_4_MM,
    ),
    TypicalReach(
        name="large hook-and-bar",
        reach_mm=7.5,
        plus_minus_mm=2.0,
        mates_with=("small hook-and-bar",),
        words=_of_size(_LARGE),
        scales=_BRITISH_4_MM,
    ),
    TypicalReach(
        name="hook-and-bar",
        reach_mm=6.5,
        plus_minus_mm=3.0,
        mates_with=("small hook-and-bar", "large hook-and-bar"),
        words=_HOOK_AND_BAR,
        scales=_BRITISH_4_MM,
        spans=True,
    ),
    TypicalReach(
        name="three-link",
        reach_mm=2.0,
        plus_minus_mm=0.5,
        projection_mm=0.0,
        words=_LINKS,
        scales=_LINKED_4_MM,
    ),
    TypicalReach(
        name="three-link",
        reach_mm=4.75,
        plus_minus_mm=1.25,
        projection_mm=0.0,
        words=_LINKS,
        scales=_0,
    ),
    TypicalReach(
        name="N hook",
        reach_mm=3.5,
        plus_minus_mm=1.5,
        words=("N gauge hook",),
        short=("hook",),
        scales=_N,
    ),
    TypicalReach(
        name="TT hook",
        reach_mm=2.25,
        plus_minus_mm=0.75,
        words=("TT gauge hook",),
        short=("hook",),
        scales=("TT",),
    ),
    TypicalReach(
        name="loop",
        reach_mm=4.0,
        plus_minus_mm=1.0,
        words=("hook and loop", "loop and hook", "hook loop", "wire loop"),
        scales=_H0,
    ),
    TypicalReach(
        name="knuckle", reach_mm=2.5, plus_minus_mm=0.5, words=_KNUCKLES, scales=_H0
    ),
    TypicalReach(
        name="knuckle",
        reach_mm=4.0,
        plus_minus_mm=1.0,
        words=_KNUCKLES,
        scales=_H0,
        from_body=True,
    ),
    TypicalReach(
        name="knuckle",
        reach_mm=2.5,
        plus_minus_mm=1.0,
        words=_KNUCKLES,
        scales=_N,
        from_body=True,
    ),
    TypicalReach(
        name="knuckle",
        reach_mm=6.0,
        plus_minus_mm=1.5,
        words=_KNUCKLES,
        scales=("S",),
        from_body=True,
    ),
    TypicalReach(
        name="knuckle",
        reach_mm=8.0,
        plus_minus_mm=2.0,
        words=_KNUCKLES,
        scales=("O",),
        from_body=True,
    ),
    TypicalReach(
        name=GUIDED,
        reach_mm=0.25,
        plus_minus_mm=0.25,
        words=(
            "close",
            "close guided",
            "guided close",
            "kinematic",
            "short guided",
            "guided short",
        ),
        scales=EVERYWHERE,
    ),
)
"""The typical couplings; three-link stands apart in two scales, and knuckles by what
their reach counts from.
"""


def farthest_typical_mm(scale: ScaleName) -> float | None:
    """Return how far the typical couplings of a scale reach at the most, in mm; None
    where none is typical. **Source** that of the table.

    >>> farthest_typical_mm("N"), farthest_typical_mm("Z")
    (5.0, None)
    """
    reaches_mm = [
        one.reach_mm + one.plus_minus_mm
        for one in TYPICAL_REACHES
        if scale in one.scales and one.name != GUIDED
    ]
    return max(reaches_mm, default=None)
