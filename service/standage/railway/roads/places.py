"""Places where trains stand, as surveyed with a tape.

Three lengths of one road are easily mixed up and are kept apart: from blades to blades,
from fouling point to fouling point (or buffer stop), and from stopping place to
stopping place. Answers use the middle one.
"""

from collections.abc import Iterable
from typing import Annotated, Literal

import msgspec

from standage.railway.terms.figures import (
    GaugeMm,
    GradientPercent,
    HeadroomMm,
    Name,
    RadiusMm,
    RoadLengthMm,
    Room,
    SpacingMm,
    Tolerance,
    TurntableCircleMm,
    UsableLengthMm,
    says,
)
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import NAMES_IT
from standage.shapes.faults import Fault, Ruled

PlaceKind = Literal[
    "loop",
    "siding",
    "headshunt",
    "platform",
    "storage_road",
    "cassette",
    "traverser",
    "sector_plate",
    "turntable",
    "reversing_section",
]
LimitKind = Literal[
    "fouling_point", "buffer_stop", "blade_tips", "isolation_gap", "rail_end", "other"
]
StoppedBy = Literal["eye", "stops"]


def radius_of_no_curve(*, no_curves: bool, radius_mm: float | None) -> Iterable[Fault]:
    """Yield a fault where track that is said to be straight has a sharpest curve all
    the same. **Source** derived.
    """
    if no_curves and radius_mm is not None:
        message = "cannot be given beside no_curves: straight track has no radius"
        yield Fault(code="contradiction", message=message, pointer="/minimum_radius_mm")


class PlaceEnd(Ruled, frozen=True, kw_only=True):
    """What limits a place at one end."""

    limit: Annotated[LimitKind, says("What stands there.")]
    note: Annotated[
        Name | None, says("Which one, in a few words: points 3, cattle dock.")
    ] = None


class PlaceFigures(Ruled, frozen=True, cache_hash=True, kw_only=True):
    """The figures that are known of a place; what nobody measured is left out."""

    usable_length_mm: Annotated[
        UsableLengthMm | None,
        says(
            "From fouling point to fouling point or buffer stop, in mm; on a turntable"
            " the rails, in a headshunt from the blade tips of the last points to be"
            " thrown."
        ),
    ] = None
    plus_minus_mm: Annotated[
        Tolerance | None,
        says("How far off the usable length may be, either way, in mm."),
    ] = None
    blades_to_blades_mm: Annotated[
        RoadLengthMm | None,
        says("From the points' blades to the points' blades, in mm."),
    ] = None
    stop_to_stop_mm: Annotated[
        RoadLengthMm | None, says("From stopping place to stopping place, in mm.")
    ] = None
    face_length_mm: Annotated[
        RoadLengthMm | None,
        says("Of the platform's face, for passenger vehicles, in mm."),
    ] = None
    clear_circle_mm: Annotated[
        TurntableCircleMm | None,
        says(
            "Turntable: diameter of the circle clear of all that surrounds the pit,"
            " in mm."
        ),
    ] = None
    scale: Annotated[ScaleName | None, says("The scale it is laid for.")] = None
    gauge_mm: Annotated[
        GaugeMm | None, says("Its gauge, where it is not its scale's usual one, in mm.")
    ] = None
    wheels: Annotated[
        Name | None, says("The wheel standard its track is laid for.")
    ] = None
    minimum_radius_mm: Annotated[
        RadiusMm | None, says("The sharpest curve on it or on the way in, in mm.")
    ] = None
    steepest_gradient_percent: Annotated[
        GradientPercent | None, says("The steepest gradient on it, in per cent.")
    ] = None
    spacing_mm: Annotated[
        SpacingMm | None, says("Between its centre line and the next track's, in mm.")
    ] = None
    no_curves: Annotated[
        bool,
        says(
            "Whether it and the way in are straight, so that there is no sharpest curve"
            " to measure."
        ),
    ] = False
    headroom_mm: Annotated[
        HeadroomMm | None,
        says("From the rail's top to the lowest thing above it, in mm."),
    ] = None
    headroom_unlimited: Annotated[
        bool,
        says(
            "Whether nothing hangs above it, so that there is no headroom to measure."
        ),
    ] = False
    stopped_by: Annotated[
        StoppedBy | None, says("How trains are stopped: by eye, or at stops.")
    ] = None
    stopping_margin_mm: Annotated[
        Room | None, says("Room left for stopping, both ends together, in mm.")
    ] = None
    ends: Annotated[
        Annotated[tuple[PlaceEnd, ...], msgspec.Meta(max_length=2)] | None,
        says("What limits it at each end."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The three lengths of one road nest: stopping places within fouling points
        within blades.

        What there is none of has no figure.
        """
        yield from radius_of_no_curve(
            no_curves=self.no_curves, radius_mm=self.minimum_radius_mm
        )
        if self.headroom_unlimited and self.headroom_mm is not None:
            message = (
                "cannot be given beside headroom_unlimited: nothing hangs above it"
            )
            yield Fault(code="contradiction", message=message, pointer="/headroom_mm")
        if self.usable_length_mm is None:
            return
        if (
            self.blades_to_blades_mm is not None
            and self.blades_to_blades_mm < self.usable_length_mm
        ):
            message = (
                f"must be {self.usable_length_mm:.10g} mm or more: the fouling points"
                " lie between the blades"
            )
            yield Fault(
                code="lengths_mixed_up", message=message, pointer="/blades_to_blades_mm"
            )
        if (
            self.stop_to_stop_mm is not None
            and self.stop_to_stop_mm > self.usable_length_mm
        ):
            message = (
                f"must be {self.usable_length_mm:.10g} mm or less: trains stop between"
                " the fouling points"
            )
            yield Fault(
                code="lengths_mixed_up", message=message, pointer="/stop_to_stop_mm"
            )


class Place(PlaceFigures, frozen=True, cache_hash=True, kw_only=True):
    """A place of its kind, with the figures that are known of it."""

    kind: Annotated[PlaceKind, says("What sort of place it is.")]
    name: Annotated[
        Name | None, says("What it is called in the answers."), NAMES_IT
    ] = None
