"""What a club sends and gets back of each sort of record: the body, without the
envelope that the service adds.
"""

import re
from collections.abc import Iterable
from datetime import MAXYEAR, MINYEAR, datetime
from typing import Annotated, ClassVar

import msgspec

from standage.railway.modules.boards import ModuleFigures
from standage.railway.modules.joining import JoinTolerances
from standage.railway.modules.standard_rules import Rules, Waivers, rules_at_odds
from standage.railway.roads.places import Place, radius_of_no_curve
from standage.railway.stock.couplings import CouplingFigures
from standage.railway.stock.trains import (
    MOST_VEHICLES,
    Rakes,
    rakes_out_of_place,
    too_many_in_all,
)
from standage.railway.stock.vehicles import EndsOver, Vehicle
from standage.railway.terms.figures import (
    Count,
    GaugeMm,
    IdOrName,
    Name,
    Note,
    RadiusMm,
    Tolerance,
    TrainLengthMm,
    says,
)
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import NAMES_IT
from standage.railway.track.plans.plan import RoadName
from standage.registry.records.record import Role, Scope
from standage.registry.records.yard_roads import YardRoads
from standage.shapes.faults import Fault, Ruled

_ID_SHAPE = re.compile(r"[0-9a-fA-F]{8}-(?:[0-9a-fA-F]{4}-){3}[0-9a-fA-F]{12}")

Contact = Annotated[
    str,
    msgspec.Meta(
        min_length=1,
        max_length=200,
        pattern=r"^[^\x00-\x1f\x7f]*(?!\n)$",
        description="One line of text.",
    ),
]
Notes = Annotated[Note, says("Remarks, for people to read.")]
UNTIL = "A date alone is taken for the end of that day, UTC."


def looks_like_id(text: str) -> bool:
    """Tell whether ``text`` has the shape of a record's id."""
    return _ID_SHAPE.fullmatch(text) is not None


class ClubBody(Ruled, frozen=True, kw_only=True):
    """A club: it owns everything that is recorded in it."""

    name: Annotated[Name, says("What the club is called.")]
    scale: Annotated[ScaleName | None, says("The scale it mostly works in.")] = None
    notes: Notes = ""


class MemberBody(Ruled, frozen=True, kw_only=True):
    """A member of the club, with a role that says what they may do."""

    name: Annotated[Name, says("What the member is called.")]
    role: Annotated[
        Role,
        says("What the member may do: own stock, the club's plans, or everything."),
    ] = "member"
    contact: Annotated[Contact | None, says("One way to reach the member.")] = None


class TokenBody(Ruled, frozen=True, kw_only=True):
    """A token that a program shows to act for a member."""

    label: Annotated[Name, says("What it is for: hall laptop, spreadsheet.")]
    member_id: Annotated[IdOrName, says("The member for whom it acts; stays as it is.")]
    scopes: Annotated[
        tuple[Scope, ...],
        msgspec.Meta(min_length=1, max_length=2),
        says("What it may do: read, write or both."),
    ]
    expires_at: Annotated[
        Annotated[datetime, msgspec.Meta(tz=True)] | None,
        says(f"When it stops working; never, if not given. {UNTIL}"),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Each scope is named once; the end is a moment that can be told in any
        zone.
        """
        if len(set(self.scopes)) < len(self.scopes):
            yield Fault(
                code="repeated", message="names the same scope twice", pointer="/scopes"
            )
        yield from _out_of_all_reason(self.expires_at, instead="never")


class InvitationBody(Ruled, frozen=True, kw_only=True):
    """A way in, once, for a member who has no passphrase yet: with its secret they set
    one.
    """

    member_id: Annotated[IdOrName, says("The member who is invited.")]
    expires_at: Annotated[
        Annotated[datetime, msgspec.Meta(tz=True)] | None,
        says(
            "When it ends, if it was not used before; after 14 days, if not given."
            f" {UNTIL}"
        ),
    ] = None
    label: Annotated[Name, says("What is to be remembered of it.")] = "invitation"

    def rules(self) -> Iterable[Fault]:
        """The end is a moment that can be told in any zone."""
        yield from _out_of_all_reason(self.expires_at, instead="14 days")


class ShareLinkBody(Ruled, frozen=True, kw_only=True):
    """A way to look at one layout, for whoever has its secret: read it and ask the
    inline questions, nothing else.
    """

    label: Annotated[Name, says("Whom it is for: visitors of the summer show.")]
    expires_at: Annotated[
        Annotated[datetime, msgspec.Meta(tz=True)] | None,
        says(f"When it ends; after 14 days, if not given. {UNTIL}"),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """The end is a moment that can be told in any zone."""
        yield from _out_of_all_reason(self.expires_at, instead="14 days")


def is_over(body: InvitationBody | ShareLinkBody, now: datetime) -> bool:
    """Tell whether it has ended; as it is kept it always says when it does."""
    return body.expires_at is None or body.expires_at <= now


def _out_of_all_reason(moment: datetime | None, *, instead: str) -> Iterable[Fault]:
    if moment is not None and moment.year in {MINYEAR, MAXYEAR}:
        message = f"is too far off; leave it out for {instead}"
        yield Fault(code="out_of_range", message=message, pointer="/expires_at")


class CouplingTypeBody(CouplingFigures, frozen=True, kw_only=True):
    """A type of coupling: the figures it supplies, and the other types it takes hold of
    besides its own.
    """

    name: Annotated[
        Name, says("What the club calls it; no two types of a club share a name.")
    ]
    mates_with: Annotated[
        tuple[Name, ...],
        msgspec.Meta(max_length=50),
        says("Names of the other types that it takes hold of."),
    ] = ()
    notes: Notes = ""

    def rules(self) -> Iterable[Fault]:
        """A vehicle names its couplings' type by id or name: the two must not look
        alike.
        """
        yield from super().rules()
        if looks_like_id(self.name):
            yield Fault(
                code="looks_like_id",
                message="looks like the id of a record",
                pointer="/name",
            )


class VehicleBody(Vehicle, frozen=True, kw_only=True):
    """A vehicle on record, or several alike."""

    owner_id: Annotated[
        IdOrName | None,
        says("The member who owns it; whoever records it, if not given."),
    ] = None
    number: Annotated[Name | None, says("The number it carries.")] = None
    external_key: Annotated[
        Name | None,
        says("What its owner's own list knows it by: imports find it again by this."),
    ] = None
    count: Annotated[Count, says("How many like it there are.")] = 1
    notes: Notes = ""


class TrainVehicle(Ruled, frozen=True, kw_only=True):
    """A vehicle on record, or a rake of them, as it stands in a train."""

    said_alone: ClassVar[str | None] = "vehicle_id"
    vehicle_id: Annotated[
        IdOrName | None, says("The vehicle on record; needed unless rake_id is given.")
    ] = None
    rake_id: Annotated[
        IdOrName | None,
        says("A rake on record by its id or name, instead of a vehicle."),
    ] = None
    reversed: Annotated[
        bool, says("Whether its rear leads; a rake's order turns with it.")
    ] = False
    count: Annotated[
        Count, says("How many like it stand there in a row; of a rake always one.")
    ] = 1

    def rules(self) -> Iterable[Fault]:
        """It is a vehicle or a rake; of a rake there is only one."""
        if self.vehicle_id is None and self.rake_id is None:
            yield Fault(
                code="missing", message="vehicle_id is missing", pointer="/vehicle_id"
            )
        elif self.vehicle_id is not None and self.rake_id is not None:
            message = (
                "cannot be given beside vehicle_id: an entry is a vehicle or a rake"
            )
            yield Fault(code="one_or_the_other", message=message, pointer="/rake_id")
        elif self.rake_id is not None and self.count > 1:
            yield Fault(
                code="contradiction",
                message="of a rake there is only one",
                pointer="/count",
            )


class RakeVehicle(Ruled, frozen=True, kw_only=True):
    """A vehicle on record as it stands in a rake."""

    said_alone: ClassVar[str | None] = "vehicle_id"
    vehicle_id: Annotated[IdOrName, says("The vehicle on record.")]
    reversed: Annotated[bool, says("Whether its rear leads.")] = False
    count: Annotated[Count, says("How many like it stand there in a row.")] = 1


class RakeBody(Ruled, frozen=True, kw_only=True):
    """A rake (cut): vehicles on record that stay together, in order from its own
    head.
    """

    name: Annotated[Name, says("What the rake is called."), NAMES_IT]
    owner_id: Annotated[
        IdOrName | None,
        says("The member whose rake it is; whoever records it, if not given."),
    ] = None
    vehicles: Annotated[
        tuple[RakeVehicle, ...],
        msgspec.Meta(min_length=1, max_length=MOST_VEHICLES),
        says("Its vehicles in order from its head."),
    ]
    measured_length_mm: Annotated[
        TrainLengthMm | None,
        says(
            "Measured as a whole, coupled and pulled out, in mm; it overrules the sum"
            " of its vehicles."
        ),
    ] = None
    measured_over: Annotated[
        EndsOver | None,
        says(
            "Whether it was measured over its outer buffers or over the couplings of"
            " its ends."
        ),
    ] = None
    measured_plus_minus_mm: Annotated[
        Tolerance | None,
        says(
            "How far off the measured length may be, either way, in mm; 0.5 if not"
            " said."
        ),
    ] = None
    notes: Notes = ""

    def rules(self) -> Iterable[Fault]:
        """A length measured whole says over what it was measured."""
        if self.measured_length_mm is None:
            for field in ("measured_over", "measured_plus_minus_mm"):
                if getattr(self, field) is not None:
                    message = "says nothing without measured_length_mm"
                    yield Fault(
                        code="contradiction", message=message, pointer=f"/{field}"
                    )
        elif self.measured_over is None:
            message = "measured_over is missing: over buffers, or over couplings?"
            yield Fault(code="missing", message=message, pointer="/measured_over")


class TrainBody(Ruled, frozen=True, kw_only=True):
    """A train made up of vehicles and rakes on record, in order from the head."""

    name: Annotated[Name, says("What the train is called."), NAMES_IT]
    owner_id: Annotated[
        IdOrName | None,
        says("The member whose train it is; whoever records it, if not given."),
    ] = None
    vehicles: Annotated[
        tuple[TrainVehicle, ...],
        msgspec.Meta(min_length=1, max_length=MOST_VEHICLES),
        says("Its vehicles and rakes in order from the head."),
    ]
    measured_rakes: Annotated[
        Rakes,
        says(
            "Neighbours whose length was measured as a whole; positions count the"
            " entries of vehicles, a rake as one."
        ),
    ] = ()
    notes: Notes = ""

    def rules(self) -> Iterable[Fault]:
        """Measured rakes lie within the train and apart from each other."""
        yield from too_many_in_all(one.count for one in self.vehicles)
        yield from rakes_out_of_place(self.measured_rakes, vehicles=len(self.vehicles))


class ModuleBody(ModuleFigures, frozen=True, kw_only=True):
    """A module: a board with track on it that is joined to others at its ends."""

    name: Annotated[Name, says("What the module is called."), NAMES_IT]
    owner_id: Annotated[
        IdOrName | None,
        says("The member who owns it; whoever records it, if not given."),
    ] = None
    notes: Notes = ""


class StandardBody(Ruled, frozen=True, kw_only=True):
    """A club's own standard: rules for its modules and trains, and what it lets off."""

    name: Annotated[
        Name,
        says("What the standard is called; no two standards of a club share a name."),
        NAMES_IT,
    ]
    asks: Annotated[Rules, says("What modules and trains must keep to.")] = (
        msgspec.field(name="rules")
    )
    waivers: Annotated[
        Waivers, says("Which modules and trains are let off which rule, and why.")
    ] = ()
    joints: Annotated[
        JoinTolerances | None,
        says("What passes where two ends meet, for questions that name this standard."),
    ] = None
    notes: Notes = ""

    def rules(self) -> Iterable[Fault]:
        """Rules have ids of their own, and every waiver means one of them."""
        yield from rules_at_odds(self.asks, self.waivers)


class LayoutBody(Ruled, frozen=True, kw_only=True):
    """A layout: the places on it are recorded beneath it."""

    name: Annotated[
        Name,
        says("What the layout is called; no two layouts of a club share a name."),
        NAMES_IT,
    ]
    scale: Annotated[ScaleName | None, says("Its scale.")] = None
    gauge_mm: Annotated[
        GaugeMm | None, says("Its gauge, where it is not its scale's usual one, in mm.")
    ] = None
    wheels: Annotated[
        Name | None, says("The wheel standard its track is laid for.")
    ] = None
    minimum_radius_mm: Annotated[
        RadiusMm | None, says("The sharpest curve that every train must take, in mm.")
    ] = None
    no_curves: Annotated[
        bool,
        says(
            "Whether all its track is straight, but for places that say how sharp their"
            " curves are."
        ),
    ] = False
    headroom_unlimited: Annotated[
        bool,
        says(
            "Whether nothing hangs above its track, but for places that say their"
            " headroom."
        ),
    ] = False
    notes: Notes = ""

    def rules(self) -> Iterable[Fault]:
        """Track without curves has no radius."""
        yield from radius_of_no_curve(
            no_curves=self.no_curves, radius_mm=self.minimum_radius_mm
        )


class PlaceBody(Place, frozen=True, kw_only=True):
    """A place on a layout where trains stand."""

    name: Annotated[
        Name,
        says("What the place is called; no two places of a layout share a name."),
        NAMES_IT,
    ]
    road: Annotated[
        RoadName | None,
        says(
            "Which road of the layout's track plan it is, or which place of it, by its"
            " name: what is not given here follows the plan."
        ),
    ] = None
    notes: Notes = ""


class YardBody(YardRoads, frozen=True, kw_only=True):
    """A yard of a layout: sidings worked from a headshunt, for shunting puzzles and
    plans.
    """

    name: Annotated[
        Name,
        says("What the yard is called; no two yards of a layout share a name."),
        NAMES_IT,
    ]
    notes: Notes = ""
