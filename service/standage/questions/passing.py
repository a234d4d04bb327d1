"""Whether trains pass each other on two tracks side by side."""

from typing import Annotated

import msgspec

from standage.questions.asked import Vehicles
from standage.railway.faults import Ruled
from standage.railway.figures import Length, Radius, Room, says
from standage.railway.passing import PassingVerdict
from standage.railway.reasons import Assumed, Reason
from standage.railway.scales import ScaleName
from standage.railway.vehicles import Vehicle


class PassingRequest(Ruled, frozen=True, kw_only=True):
    """Which vehicles are to pass each other, on which two tracks."""

    inner_radius_mm: Annotated[
        Radius | None, says("Radius of the inner track to its centre line, in mm; null for straight track.")
    ]
    spacing_mm: Annotated[Length, says("Between the centre lines of the two tracks, in mm.")]
    margin_mm: Annotated[
        Room | None, says("What must be left between two bodies, in mm; an eighth of the gauge if not said.")
    ] = None
    scale: Annotated[ScaleName | None, says("The scale of the tracks, and of every vehicle that gives none.")] = None
    gauge_mm: Annotated[Length | None, says("The gauge, where it is not the scale's usual one, in mm.")] = None
    vehicles: Annotated[Vehicles, says("The vehicles that may meet there: any of them on either track.")]


class PassingCase(msgspec.Struct, frozen=True, kw_only=True):
    """All that is needed to answer; a radius of None is straight track."""

    vehicles: tuple[Vehicle, ...]
    inner_radius_mm: float | None
    spacing_mm: float
    margin_mm: float | None = None
    scale: ScaleName | None = None
    gauge_mm: float | None = None


class PassingPair(msgspec.Struct, frozen=True, kw_only=True):
    """Two vehicles side by side at their nearest; a negative gap is an overlap."""

    on_outer: str
    on_inner: str
    gap_mm: float
    plus_minus_mm: float


class PassingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Whether any of the vehicles pass any other; the worst pair decides and is named.

    ``least_gap_mm`` is negative where bodies overlap. ``spacing_needed_mm`` would keep the margin at this radius, and
    ``least_radius_mm`` is the least inner radius from which on every larger one keeps it at this spacing (null where
    not even straight track does); both allow for the ±. ``pairs`` are the worst few. Null is what cannot be had.
    """

    verdict: PassingVerdict
    least_gap_mm: float | None
    on_outer: str | None
    on_inner: str | None
    margin_mm: float
    plus_minus_mm: float | None
    spacing_needed_mm: float | None
    least_radius_mm: float | None
    pairs: tuple[PassingPair, ...]
    because: tuple[Reason, ...]
    assumed: tuple[Assumed, ...]
