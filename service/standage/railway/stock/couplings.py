"""Couplings: how far each end reaches, and which types take hold of each other.

All figures are of one end of one vehicle, in millimetres from its buffer face outwards.
"""

from collections.abc import Iterable, Iterator
from functools import cache, lru_cache
from typing import Annotated, ClassVar, Literal

import msgspec

from standage.railway.terms.faults import Ruled
from standage.railway.terms.figures import Degrees, Name, Reach, Room, Tolerance, says
from standage.railway.terms.scales import ScaleName

Mounting = Literal["body", "bogie", "guided"]
_MOST_REMEMBERED = 64
"""Clubs that ask one after the other."""


class CouplingFigures(Ruled, frozen=True, kw_only=True):
    """What can be measured at one coupling."""

    reach_mm: Annotated[
        Reach | None, says("From the buffer face to the plane where two couplings meet, pulled out, in mm.")
    ] = None
    reach_plus_minus_mm: Annotated[Tolerance | None, says("How far off the reach may be, either way, in mm.")] = None
    projection_mm: Annotated[
        Room | None, says("How far it stands out beyond the buffer face uncoupled, in mm; the reach where not given.")
    ] = None
    play_mm: Annotated[Room | None, says("How much nearer it lets its neighbour come when buffered up, in mm.")] = None
    swing_deg: Annotated[Degrees | None, says("How far it swings to either side, in degrees.")] = None
    mounting: Annotated[Mounting | None, says("What carries it: the body, a bogie, or a guided shaft.")] = None
    pivot_behind_mm: Annotated[Room | None, says("From the buffer face back to its own pivot, in mm.")] = None


class Coupling(CouplingFigures, frozen=True, kw_only=True):
    """The coupling at one end of a vehicle, as far as it is known; its own figures overrule those of its type."""

    said_alone: ClassVar[str | None] = "type"
    type: Annotated[
        Name | None,
        says("A coupling type of the club (its id or name), a typical type, or any name: like names take hold."),
    ] = None


class CouplingKind(CouplingFigures, frozen=True, kw_only=True):
    """A type of coupling: the figures it supplies, and the other types it takes hold of besides its own."""

    name: Annotated[Name, says("What the club calls it.")]
    mates_with: Annotated[
        tuple[Name, ...], msgspec.Meta(max_length=50), says("Names of the other types that it takes hold of.")
    ] = ()


class TypicalKind(CouplingKind, frozen=True, kw_only=True):
    """A type of coupling with the figures that are typical of it in some scales."""

    scales: tuple[ScaleName, ...]


_BRITISH_4_MM: tuple[ScaleName, ...] = ("00", "OO", "EM")
_N: tuple[ScaleName, ...] = ("N", "N British")
_H0: tuple[ScaleName, ...] = ("H0", "HO")

TYPICAL = (
    TypicalKind(
        name="small hook-and-bar",
        reach_mm=4.5,
        reach_plus_minus_mm=1.0,
        mates_with=("large hook-and-bar",),
        scales=_BRITISH_4_MM,
    ),
    TypicalKind(
        name="large hook-and-bar",
        reach_mm=7.5,
        reach_plus_minus_mm=2.0,
        mates_with=("small hook-and-bar",),
        scales=_BRITISH_4_MM,
    ),
    TypicalKind(name="three-link", reach_mm=2.0, reach_plus_minus_mm=0.5, projection_mm=0.0, scales=_BRITISH_4_MM),
    TypicalKind(name="N hook", reach_mm=2.5, reach_plus_minus_mm=0.5, scales=_N),
    TypicalKind(name="loop", reach_mm=4.0, reach_plus_minus_mm=1.0, scales=_H0),
    TypicalKind(name="knuckle", reach_mm=2.5, reach_plus_minus_mm=0.5, scales=_H0),
)
"""Typical reaches and their ±, as measured on common ready-to-run stock, with a wide scatter.

**Source** common practice; that small and large hook-and-bar take hold of each other is common practice too.
"""


@cache
def typical_kinds(scale: ScaleName | None) -> tuple[TypicalKind, ...]:
    """Return the couplings that have a typical reach in ``scale``; none where the scale is not said.

    >>> [kind.name for kind in typical_kinds("N")]
    ['N hook']
    """
    return tuple(kind for kind in TYPICAL if scale in kind.scales)


class CouplingTypes:
    """The types that a name may mean: the club's own before the typical ones. Case does not matter."""

    def __init__(self, club: Iterable[CouplingKind] = ()) -> None:
        self._kinds = tuple(club)
        self._hash = hash(self._kinds)
        self._club = {kind.name.casefold(): kind for kind in self._kinds}
        self._named = {kind.name.casefold(): kind for kind in TYPICAL} | self._club

    def __eq__(self, other: object) -> bool:
        """Tell whether the same names mean the same couplings."""
        return self is other or (isinstance(other, CouplingTypes) and self._kinds == other._kinds)

    def __hash__(self) -> int:
        """Return the same for types that are equal."""
        return self._hash

    def kind(self, name: str | None, *, scale: ScaleName | None) -> CouplingKind | None:
        """Return the type whose figures count for a coupling called ``name`` on a vehicle of that scale.

        A coupling of no said type is the typical one where the scale has exactly one, and otherwise unknown.
        """
        typical = typical_kinds(scale)
        if name is None:
            return typical[0] if len(typical) == 1 else None
        wanted = name.casefold()
        if wanted in self._club:
            return self._club[wanted]
        return next((kind for kind in typical if kind.name.casefold() == wanted), None)

    def mate(self, one: str, other: str) -> bool:
        """Tell whether couplings called ``one`` and ``other`` take hold of each other.

        Like names do; unlike ones where either's type, the club's or a typical one of any scale, lists the other.
        """
        one, other = one.casefold(), other.casefold()
        return one == other or other in self._taken_by(one) or one in self._taken_by(other)

    def _taken_by(self, name: str) -> Iterator[str]:
        kind = self._named.get(name)
        return (mate.casefold() for mate in (kind.mates_with if kind else ()))


@lru_cache(maxsize=_MOST_REMEMBERED)
def coupling_types(club: tuple[CouplingKind, ...]) -> CouplingTypes:
    """Return the types that a name may mean where those are the club's own; of equal ones the same, to be known by."""
    return CouplingTypes(club)
