"""Vehicles, as far as they are known.

A vehicle's front is the end that leads when it faces forward. Lengths run along the
vehicle; an overhang runs from the outermost pivot (a bogie's middle, or the end axle of
a rigid wheelbase) to the buffer face at that end.
"""

from collections.abc import Iterable, Mapping
from typing import Annotated, Literal

import msgspec

from standage.railway.stock.couplings import Coupling
from standage.railway.terms.figures import (
    BodyLengthMm,
    BogieCentresMm,
    BogieWheelbaseMm,
    Count,
    FullSizeLengthM,
    GaugeMm,
    HeightMm,
    Length,
    Mass,
    Name,
    OneBodyLengthMm,
    Radius,
    RadiusMm,
    Reach,
    RigidWheelbaseMm,
    Room,
    Tolerance,
    TotalWheelbaseMm,
    VehicleLengthMm,
    WidthMm,
    exceeds,
    says,
    tidy,
)
from standage.railway.terms.scales import Practice, ScaleName, full_size_mm, scale
from standage.railway.terms.senses import NAMES_IT, sense
from standage.shapes.faults import Fault, Ruled

VehicleKind = Literal[
    "engine", "coach", "wagon", "brake_van", "multiple_unit_car", "railcar", "other"
]
EndsOver = Literal["buffers", "couplings"]
"""What a rake is measured over."""
LengthOver = Literal["buffers", "couplings", "body"]
"""What a vehicle is measured over: the body only where there are no buffers."""
LengthFrom = Literal["measured", "maker", "scaled"]

PASSENGER_KINDS: frozenset[VehicleKind] = frozenset(
    {"coach", "multiple_unit_car", "railcar"}
)
KEPT_KINDS: frozenset[VehicleKind] = frozenset({"engine", "brake_van"})
"""Kinds that are never proposed for dropping from a train."""


class Running(Ruled, frozen=True, kw_only=True):
    """How one body stands on its wheels: the figures that decide how it goes round a
    curve.
    """

    bogie_centres_mm: Annotated[
        BogieCentresMm | None,
        says("From the middle of one bogie to that of the other, in mm."),
    ] = None
    bogie_wheelbase_mm: Annotated[
        BogieWheelbaseMm | None, says("Between the outer axles of one bogie, in mm.")
    ] = None
    rigid_wheelbase_mm: Annotated[
        RigidWheelbaseMm | None,
        says("Between the outer axles that are fixed in the frame, in mm."),
    ] = None
    rigid_axles: Annotated[
        Annotated[int, msgspec.Meta(ge=2, le=20)] | None,
        says("How many axles are fixed in the frame; 2 if not said."),
    ] = None
    width_mm: Annotated[
        WidthMm | None, says("Over the widest part of the body, in mm.")
    ] = None
    width_plus_minus_mm: Annotated[
        Tolerance | None, says("How far off the width may be, either way, in mm.")
    ] = None
    width_at_platform_mm: Annotated[
        WidthMm | None,
        says("Over cylinders, steps or footboards, where it is wider low down, in mm."),
    ] = None
    body_length_mm: Annotated[
        BodyLengthMm | None,
        says("Of the body alone, where it ends short of the buffers, in mm."),
    ] = None
    front_overhang_mm: Annotated[
        Reach | None,
        says("From the front pivot or end axle to the front buffer face, in mm."),
    ] = None
    rear_overhang_mm: Annotated[
        Reach | None,
        says("From the rear pivot or end axle to the rear buffer face, in mm."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """A body has bogies or a rigid wheelbase, and a bogie's wheelbase belongs to
        bogies.
        """
        if self.bogie_centres_mm is not None and self.rigid_wheelbase_mm is not None:
            message = "give bogie_centres_mm or rigid_wheelbase_mm, not both"
            yield Fault(
                code="one_or_the_other", message=message, pointer="/rigid_wheelbase_mm"
            )
        if (
            self.rigid_axles is not None
            and self.rigid_wheelbase_mm is None
            and self.bogie_centres_mm is not None
        ):
            message = (
                "rigid_axles goes with rigid_wheelbase_mm; this vehicle has bogies"
            )
            yield Fault(
                code="one_or_the_other", message=message, pointer="/rigid_axles"
            )


class Body(Running, frozen=True, kw_only=True):
    """One of several bodies that stay joined: an engine, its tender, a part of an
    articulated set.
    """

    length_mm: Annotated[
        OneBodyLengthMm, says("Of this body over its own ends, in mm.")
    ]
    name: Annotated[Name | None, says("What it is: engine, tender, middle car.")] = None
    gap_to_next_mm: Annotated[
        Room | None,
        says("Between this body's end and the next one's, in mm; 0 if not said."),
    ] = None
    shares_bogie_with_next: Annotated[
        bool, says("Whether one bogie carries this body's end and the next one's.")
    ] = False


class Trial(Ruled, frozen=True, kw_only=True):
    """What was found by trying the vehicle on curves; it overrules the maker's
    figure.
    """

    ran_at_radius_mm: Annotated[
        Radius | None, says("The least radius on which it ran, in mm.")
    ] = None
    failed_at_radius_mm: Annotated[
        Radius | None, says("The greatest radius on which it failed, in mm.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """It cannot have run on a curve as sharp as one that it failed on."""
        if (
            self.ran_at_radius_mm is not None
            and self.failed_at_radius_mm is not None
            and self.failed_at_radius_mm >= self.ran_at_radius_mm
        ):
            message = (
                "must be less than ran_at_radius_mm: it ran on a curve as sharp as that"
            )
            yield Fault(
                code="contradiction", message=message, pointer="/failed_at_radius_mm"
            )


class VehicleFigures(Running, frozen=True, cache_hash=True, kw_only=True):
    """The figures that are known of a vehicle; what nobody measured is left out."""

    kind: Annotated[VehicleKind | None, says("What sort of vehicle it is.")] = None
    scale: Annotated[ScaleName | None, says("Its scale.")] = None
    gauge_mm: Annotated[
        GaugeMm | None, says("Its gauge, where it is not its scale's usual one, in mm.")
    ] = None
    practice: Annotated[
        Practice | None,
        says("Whose railways it is a model of; decides how wide it is taken to be."),
    ] = None
    wheels: Annotated[
        Name | None, says("The wheel standard it is made to, such as NEM 311 or RP-25.")
    ] = None
    length_mm: Annotated[
        VehicleLengthMm | None, says("Its length in mm, over what length_over says.")
    ] = None
    length_over: Annotated[
        LengthOver | None,
        says(
            "What the length is measured over: buffers, couplings (their pulling"
            " faces), or the body, of American stock only."
        ),
    ] = None
    length_plus_minus_mm: Annotated[
        Tolerance | None, says("How far off the length may be, either way, in mm.")
    ] = None
    length_from: Annotated[
        LengthFrom | None,
        says(
            "How the length was found: measured (± 0.5), maker (± 1), scaled (± 1 %, at"
            " least 2)."
        ),
    ] = None
    full_size_length_m: Annotated[
        FullSizeLengthM | None,
        says(
            "Length over buffers of the full-size vehicle in metres; scaled where"
            " length_mm is not given."
        ),
    ] = None
    nominal_length_ft: Annotated[
        Annotated[int, msgspec.Meta(ge=10, le=100), sense("nominal_length")] | None,
        says(
            "The class of an American car by its nominal length in feet (40 for a 40 ft"
            " box car), in place of a length: it is taken as long over its couplings as"
            " cars of that class are."
        ),
    ] = None
    height_mm: Annotated[
        HeightMm | None, says("From the rail's top to its highest part, in mm.")
    ] = None
    total_wheelbase_mm: Annotated[
        TotalWheelbaseMm | None, says("From its first axle to its last, in mm.")
    ] = None
    first_axle_mm: Annotated[
        Room | None, says("From the front buffer face back to the first axle, in mm.")
    ] = None
    bridging_axles_mm: Annotated[
        Annotated[tuple[Room, ...], msgspec.Meta(max_length=40)] | None,
        says(
            "Axles that bridge a gap in the rails (metal wheels, pick-ups): each in mm"
            " back from the front buffer face."
        ),
    ] = None
    minimum_radius_mm: Annotated[
        RadiusMm | None, says("The least radius that its maker states, in mm.")
    ] = None
    trial: Annotated[Trial | None, says("What a trial on curves found.")] = None
    mass_g: Annotated[Mass | None, says("Its mass in grams.")] = None
    buffer_centres_mm: Annotated[
        Room | None,
        says(
            "Between the middles of the two buffers at an end, in mm; 0 where it has no"
            " buffers."
        ),
    ] = None
    buffer_head_width_mm: Annotated[
        Length | None, says("Across the head of a buffer, in mm.")
    ] = None
    front_coupling: Annotated[Coupling | None, says("The coupling at its front.")] = (
        None
    )
    rear_coupling: Annotated[Coupling | None, says("The coupling at its rear.")] = None
    bodies: Annotated[
        Annotated[tuple[Body, ...], msgspec.Meta(min_length=2, max_length=8)] | None,
        says("Its bodies from the front, where it has several that stay joined."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Say over what the length is; keep the pivots, overhangs and axles
        within it.
        """
        yield from super().rules()
        if self.length_mm is not None and self.length_over is None:
            message = "say what length_mm is measured over: buffers or couplings"
            yield Fault(
                code="missing",
                message=message,
                pointer="/length_over",
            )
        yield from self._body_with_buffers()
        if (
            self.full_size_length_m is not None
            and self.length_mm is None
            and self.scale is None
        ):
            message = "is needed to scale full_size_length_m down"
            yield Fault(
                code="missing",
                message=message,
                pointer="/scale",
            )
        yield from self._class_of_no_american()
        yield from self._longer_than_itself()
        reaches_mm: dict[str, float] = {}
        ends = (("front", self.front_coupling), ("rear", self.rear_coupling))
        for at, coupling in ends:
            if coupling is not None and coupling.reach_mm is not None:
                reaches_mm[f"/{at}_coupling/reach_mm"] = coupling.reach_mm
        yield from self.swallowed(reaches_mm)

    def swallowed(self, reaches_mm: Mapping[str, float]) -> Iterable[Fault]:
        """Yield a fault where ``reaches_mm``, by their pointers, lie so far behind the
        faces that nothing is left.
        """
        behind_mm: dict[str, float] = {}
        for pointer, reach_mm in reaches_mm.items():
            if reach_mm < 0:
                behind_mm[pointer] = -reach_mm
        if not behind_mm:
            return
        over_buffers_mm = self._over_buffers_mm()
        both_mm = tidy(sum(behind_mm.values()))
        if over_buffers_mm is None or exceeds(over_buffers_mm, limit=both_mm):
            return
        message = (
            f"makes the couplings meet {both_mm:.10g} mm behind the buffer faces, both"
            " ends together: nothing is left of the vehicle's"
            f" {over_buffers_mm:.10g} mm"
        )
        farthest = max(behind_mm, key=behind_mm.__getitem__)
        yield Fault(code="longer_than_vehicle", message=message, pointer=farthest)

    def _over_buffers_mm(self) -> float | None:
        """Return its length over buffers as it is given, or as it will be scaled; None
        where that is not known.
        """
        if self.length_mm is not None:
            if self.length_over == "couplings":
                return None
            return self.length_mm
        if self.bodies is not None:
            length_mm = 0.0
            for body in self.bodies:
                length_mm += body.length_mm + (body.gap_to_next_mm or 0.0)
            return length_mm
        if self.full_size_length_m is None or self.scale is None:
            return None
        return full_size_mm(self.full_size_length_m, ratio=scale(self.scale).ratio)

    @property
    def is_american(self) -> bool:
        """Whether it is American stock: as it says itself, else as its scale has it."""
        practice = self.practice
        if practice is None and self.scale is not None:
            practice = scale(self.scale).practice
        return practice == "american"

    def _class_of_no_american(self) -> Iterable[Fault]:
        if self.nominal_length_ft is None:
            return
        if not self.is_american:
            message = (
                "is the class of an American car (practice: american); give a length"
                " instead"
            )
            yield Fault(
                code="contradiction", message=message, pointer="/nominal_length_ft"
            )
        elif self.scale is None:
            yield Fault(
                code="missing",
                message="is needed to scale nominal_length_ft down",
                pointer="/scale",
            )

    def _body_with_buffers(self) -> Iterable[Fault]:
        """A length over the body is one without buffers only where practice is
        American.
        """
        if self.length_over == "body" and not self.is_american:
            message = (
                "body is for American stock only (practice: american): elsewhere"
                " buffers stand out beyond the body, 5.8 mm at each end in 00 and about"
                " 7 in H0; measure over the buffers or over the couplings"
            )
            yield Fault(code="contradiction", message=message, pointer="/length_over")

    def _longer_than_itself(self) -> Iterable[Fault]:
        length_mm = self.length_mm
        if length_mm is None:
            return
        for field in (
            "total_wheelbase_mm",
            "rigid_wheelbase_mm",
            "bogie_centres_mm",
            "first_axle_mm",
            "body_length_mm",
        ):
            value = getattr(self, field)
            if value is not None and value > length_mm:
                message = (
                    f"is {value:.10g} mm, more than the whole vehicle's"
                    f" {length_mm:.10g} mm"
                )
                yield Fault(
                    code="longer_than_vehicle", message=message, pointer=f"/{field}"
                )
        for position, axle_mm in enumerate(self.bridging_axles_mm or ()):
            if axle_mm > length_mm:
                message = (
                    f"is {axle_mm:.10g} mm from the front, beyond the vehicle's"
                    f" {length_mm:.10g} mm"
                )
                yield Fault(
                    code="longer_than_vehicle",
                    message=message,
                    pointer=f"/bridging_axles_mm/{position}",
                )


class Vehicle(VehicleFigures, frozen=True, cache_hash=True, kw_only=True):
    """A vehicle by its name, with the figures that are known of it."""

    name: Annotated[Name, says("What it is called in the answers."), NAMES_IT]


class Standing(Vehicle, frozen=True, cache_hash=True, kw_only=True):
    """A vehicle as it stands in a train: which way round, and how many like it in a
    row.
    """

    reversed: Annotated[bool, says("Whether its rear leads.")] = False
    count: Annotated[Count, says("How many like it stand there in a row.")] = 1
