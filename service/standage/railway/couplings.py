"""Couplings: how far each end reaches, and which types take hold of each other.

All figures are of one end of one vehicle, in millimetres from its buffer face outwards.
"""

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from standage.railway.faults import Ruled
from standage.railway.figures import Degrees, Name, Reach, Room, Tolerance, says
from standage.railway.scales import ScaleName

Mounting = Literal["body", "bogie", "guided"]


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
    typical_for: tuple[ScaleName, ...] = ()


def typical_types(scale: ScaleName | None) -> Iterable[CouplingKind]:
    """Yield the couplings that have a typical reach in ``scale``.

    Reaches and ± as measured by practitioners on common ready-to-run stock, with a wide scatter: **Source** common
    practice. That small and large hook-and-bar take hold of each other is common practice, no source.
    """
    return (kind for kind in TYPICAL if scale in kind.typical_for)


_BRITISH_4_MM: tuple[ScaleName, ...] = ("00", "OO", "EM")
_N: tuple[ScaleName, ...] = ("N", "N British")
_H0: tuple[ScaleName, ...] = ("H0", "HO")

TYPICAL = (
    CouplingKind(
        name="small hook-and-bar",
        reach_mm=4.5,
        reach_plus_minus_mm=1.0,
        mates_with=("large hook-and-bar",),
        typical_for=_BRITISH_4_MM,
    ),
    CouplingKind(
        name="large hook-and-bar",
        reach_mm=7.5,
        reach_plus_minus_mm=2.0,
        mates_with=("small hook-and-bar",),
        typical_for=_BRITISH_4_MM,
    ),
    CouplingKind(
        name="three-link", reach_mm=2.0, reach_plus_minus_mm=0.5, projection_mm=0.0, typical_for=_BRITISH_4_MM
    ),
    CouplingKind(name="N hook", reach_mm=2.5, reach_plus_minus_mm=0.5, typical_for=_N),
    CouplingKind(name="loop", reach_mm=4.0, reach_plus_minus_mm=1.0, typical_for=_H0),
    CouplingKind(name="knuckle", reach_mm=2.5, reach_plus_minus_mm=0.5, typical_for=_H0),
)
