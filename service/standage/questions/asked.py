"""How a caller names what a question is about: all figures inline, or the id of what is
on record.
"""

from collections.abc import Iterable, Sequence
from operator import attrgetter
from typing import Annotated, Any, ClassVar

import msgspec

from standage.railway.modules.boards import (
    EndFigures,
    Tracks,
    tracks_in_each_others_way,
)
from standage.railway.roads.places import PlaceFigures, PlaceKind
from standage.railway.shunting.yard import (
    HEADSHUNT,
    MOST_SIDINGS,
    Siding,
    Yard,
    YardFigures,
)
from standage.railway.stock.coupled import Rake, strung
from standage.railway.stock.trains import (
    MOST_VEHICLES,
    Rakes,
    Train,
    rakes_out_of_place,
    too_many_in_all,
)
from standage.railway.stock.vehicles import Standing, VehicleFigures, VehicleKind
from standage.railway.terms.figures import (
    Count,
    GaugeMm,
    IdOrName,
    Name,
    RoadRoomMm,
    says,
)
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import ASIDE, NAMES_IT
from standage.railway.track.plans.plan import Plan, Revision, RoadName
from standage.shapes.faults import Fault, Faulty, Ruled
from standage.shapes.remembering import remembered

_BESIDE_A_PLAN = "beside plan: the plan's own figures count"
_BESIDE_AN_ID = frozenset({"vehicle_id", "reversed", "count"})
_STANDING = tuple(Standing.__struct_fields__)
_FIGURES = attrgetter(*_STANDING)


class AskedVehicle(VehicleFigures, frozen=True, kw_only=True):
    """A vehicle on record by its id, or one with its figures inline."""

    said_alone: ClassVar[str | None] = "vehicle_id"
    comes_again: ClassVar[bool] = True
    vehicle_id: Annotated[
        IdOrName | None,
        says("A vehicle on record by its id or name, instead of figures."),
    ] = None
    name: Annotated[
        Name | None,
        says("What it is called in the answer; needed unless vehicle_id is given."),
        NAMES_IT,
    ] = None
    reversed: Annotated[bool, says("Whether its rear leads.")] = False
    count: Annotated[Count, says("How many like it stand there in a row.")] = 1

    def rules(self) -> Iterable[Fault]:
        """Either the id of a vehicle on record, or a name and figures."""
        yield from super().rules()
        if self.vehicle_id is None:
            if self.name is None:
                yield Fault(code="missing", message="name is missing", pointer="/name")
            return
        yield from _beside_the_id(self, _BESIDE_AN_ID, "vehicle_id")


class AskedEntry(AskedVehicle, frozen=True, kw_only=True):
    """A vehicle as it stands in a train, or a rake on record."""

    rake_id: Annotated[
        IdOrName | None,
        says(
            "A rake on record by its id or name, instead of a vehicle; reversed, its"
            " order turns with it."
        ),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either the id of a rake on record, or a vehicle."""
        if self.rake_id is None:
            yield from super().rules()
        else:
            yield from _beside_the_id(
                self, frozenset({"rake_id", "reversed"}), "rake_id"
            )


Vehicles = Annotated[
    tuple[AskedVehicle, ...], msgspec.Meta(min_length=1, max_length=MOST_VEHICLES)
]
Entries = Annotated[
    tuple[AskedEntry, ...], msgspec.Meta(min_length=1, max_length=MOST_VEHICLES)
]


class AskedTrain(Ruled, frozen=True, kw_only=True):
    """A train on record by its id, or its vehicles in order from the head."""

    said_alone: ClassVar[str | None] = "train_id"
    train_id: Annotated[
        IdOrName | None,
        says("A train on record by its id or name, instead of vehicles."),
    ] = None
    vehicles: Annotated[
        Entries | None,
        says(
            "Vehicles and rakes in order from the head; needed unless train_id is"
            " given."
        ),
    ] = None
    measured_rakes: Annotated[
        Rakes, says("Neighbours whose length was measured as a whole.")
    ] = ()

    def rules(self) -> Iterable[Fault]:
        """Either the id of a train on record, or vehicles."""
        if self.train_id is not None:
            yield from _beside_the_id(self, frozenset({"train_id"}), "train_id")
        elif self.vehicles is None:
            yield Fault(
                code="missing", message="vehicles is missing", pointer="/vehicles"
            )
        else:
            yield from too_many_in_all(one.count for one in self.vehicles)
            yield from rakes_out_of_place(
                self.measured_rakes, vehicles=len(self.vehicles)
            )


class AskedNamedTrain(AskedTrain, frozen=True, kw_only=True):
    """A train on record by its id, or its vehicles in order from the head, with what it
    is to be called.
    """

    name: Annotated[
        Name | None,
        says("What it is called in the answer, where its vehicles are given."),
    ] = None


class StockFilter(Ruled, frozen=True, kw_only=True):
    """Which of the club's vehicles a question is about: all, or only some."""

    kind: Annotated[VehicleKind | None, says("Only vehicles of this kind.")] = None
    scale: Annotated[ScaleName | None, says("Only vehicles of this scale.")] = None
    owner_id: Annotated[IdOrName | None, says("Only this member's.")] = None

    def filters(self) -> dict[str, str]:
        """Return what is asked for, as the list of vehicles takes it."""
        asked = {name: getattr(self, name) for name in ("kind", "scale", "owner_id")}
        return {name: value for name, value in asked.items() if value is not None}


@remembered()
def inline_vehicle(asked: AskedVehicle) -> Standing:
    """Return the vehicle whose figures are given inline."""
    return Standing(**dict(zip(_STANDING, _FIGURES(asked), strict=True)))


def inline_train(
    asked: AskedTrain, entries: Sequence[Standing | Rake], pointer: str
) -> Train:
    """Return the train that a caller makes up; raises ``Faulty`` where its rakes make
    it longer than any.
    """
    train = strung(entries, measured_rakes=asked.measured_rakes)
    faults = [
        Fault(code=one.code, message=one.message, pointer=f"{pointer}/vehicles")
        for one in too_many_in_all(vehicle.count for vehicle in train.vehicles)
    ]
    if faults:
        raise Faulty(faults)
    return train


class AskedPlan(Plan, frozen=True, kw_only=True):
    """A track plan given here, or the plan on record of a layout or of a module."""

    layout_id: Annotated[
        IdOrName | None, says("A layout on record, instead of pieces: its plan.")
    ] = None
    module_id: Annotated[
        IdOrName | None, says("A module on record, instead of pieces: its plan.")
    ] = None
    revision: Annotated[
        Revision | None, says("Which revision of that plan; its draft if not said.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either one plan on record, or a plan; only what is on record has
        revisions.
        """
        yield from super().rules()
        if self.layout_id is not None:
            allowed = frozenset({"layout_id", "revision"})
            yield from _beside_the_id(self, allowed, "layout_id")
        elif self.module_id is not None:
            allowed = frozenset({"module_id", "revision"})
            yield from _beside_the_id(self, allowed, "module_id")
        elif self.revision is not None:
            message = "says nothing without layout_id or module_id"
            yield Fault(code="contradiction", message=message, pointer="/revision")

    @property
    def is_on_record(self) -> bool:
        """Whether a plan on record is meant."""
        return self.layout_id is not None or self.module_id is not None


AskedSidings = Annotated[
    tuple[Siding | RoadName, ...], msgspec.Meta(min_length=1, max_length=MOST_SIDINGS)
]
_BESIDE_A_YARDS_PLAN = frozenset({"plan", "headshunt", "sidings", "uncoupled_ahead"})


class AskedYard(YardFigures, frozen=True, kw_only=True):
    """A yard on record by its id, one of a track plan, or one with its figures
    inline.
    """

    said_alone: ClassVar[str | None] = "yard_id"
    yard_id: Annotated[
        IdOrName | None, says("A yard on record by its id or name, instead of figures.")
    ] = None
    plan: Annotated[
        AskedPlan | None,
        says("A track plan that it is a part of, instead of lengths."),
        ASIDE,
    ] = None
    headshunt: Annotated[
        RoadName | None,
        says("Which road or place of that plan is the headshunt, by its name."),
    ] = None
    headshunt_usable_length_mm: Annotated[RoadRoomMm | None, HEADSHUNT] = None
    sidings: Annotated[
        AskedSidings | None,
        says("The sidings; of a plan their names, or all that are found."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either the id of a yard on record, or a headshunt of a plan, or figures that
        make a yard.
        """
        if self.yard_id is not None:
            yield from _beside_the_id(self, frozenset({"yard_id"}), "yard_id")
        elif self.plan is not None:
            yield from _yard_of_a_plan(self)
        else:
            yield from _yard_inline(self)

    @property
    def siding_names(self) -> tuple[str, ...] | None:
        """The sidings of a plan by their names; None for all that are found."""
        if self.sidings is None:
            return None
        return tuple(one for one in self.sidings if isinstance(one, str))


def _yard_of_a_plan(asked: AskedYard) -> Iterable[Fault]:
    if asked.headshunt is None:
        message = "headshunt is missing: which road of the plan?"
        yield Fault(code="missing", message=message, pointer="/headshunt")
    yield from _beside(asked, _BESIDE_A_YARDS_PLAN, _BESIDE_A_PLAN)
    for number, siding in enumerate(asked.sidings or ()):
        if isinstance(siding, Siding):
            message = "give only its name beside plan: the plan's own figures count"
            pointer = f"/sidings/{number}"
            yield Fault(code="one_or_the_other", message=message, pointer=pointer)


def _yard_inline(asked: AskedYard) -> Iterable[Fault]:
    if asked.headshunt is not None:
        message = "names a road of a plan: give plan too"
        yield Fault(code="one_or_the_other", message=message, pointer="/headshunt")
    for field in ("headshunt_usable_length_mm", "sidings"):
        if getattr(asked, field) is None:
            message = f"{field} is missing"
            yield Fault(code="missing", message=message, pointer=f"/{field}")
    names = asked.siding_names or ()
    for number, siding in enumerate(asked.sidings or ()):
        if isinstance(siding, str):
            message = "names a siding of a plan: give plan too, or its figures"
            pointer = f"/sidings/{number}"
            yield Fault(code="one_or_the_other", message=message, pointer=pointer)
    if asked.sidings is not None and not names:
        yield from inline_yard(asked).rules()


def inline_yard(asked: AskedYard) -> Yard:
    """Return the yard whose figures are given inline."""
    return Yard(**{name: getattr(asked, name) for name in Yard.__struct_fields__})


_BY_THE_PLAN = (
    "usable_length_mm",
    "plus_minus_mm",
    "blades_to_blades_mm",
    "stop_to_stop_mm",
    "scale",
    "gauge_mm",
    "ends",
)
"""What a plan tells of its roads. Curves, gradients and whatever else is known of one
may be given beside it: a plan by tape has none.
"""


class AskedPlace(PlaceFigures, frozen=True, kw_only=True):
    """A place on record by its id, a road of a track plan, or one with its figures
    inline.
    """

    said_alone: ClassVar[str | None] = "place_id"
    place_id: Annotated[
        IdOrName | None,
        says("A place on record by its id or name, instead of figures."),
    ] = None
    kind: Annotated[
        PlaceKind | None,
        says("What sort of place it is; needed unless place_id or plan is given."),
    ] = None
    name: Annotated[Name | None, says("What it is called in the answer."), NAMES_IT] = (
        None
    )
    plan: Annotated[
        AskedPlan | None,
        says("A track plan that it is a road of, instead of lengths and curves."),
        ASIDE,
    ] = None
    road: Annotated[
        RoadName | None,
        says("Which road of that plan, or which place of it, by its name."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either the id of a place on record, or a road of a plan, or a kind and
        figures.
        """
        yield from super().rules()
        if self.place_id is not None:
            yield from _beside_the_id(self, frozenset({"place_id"}), "place_id")
        elif self.plan is not None:
            yield from _beside_a_plan(self)
        elif self.road is not None:
            message = "names a road of a plan: give plan too"
            yield Fault(code="one_or_the_other", message=message, pointer="/road")
        elif self.kind is None:
            yield Fault(code="missing", message="kind is missing", pointer="/kind")


def _beside_a_plan(asked: AskedPlace) -> Iterable[Fault]:
    if asked.road is None:
        message = "road is missing: which road of the plan?"
        yield Fault(code="missing", message=message, pointer="/road")
    for field in _BY_THE_PLAN:
        if getattr(asked, field) not in {None, False}:
            message = f"cannot be given {_BESIDE_A_PLAN}"
            yield Fault(code="one_or_the_other", message=message, pointer=f"/{field}")


class AskedEnd(EndFigures, frozen=True, kw_only=True):
    """An end of a module on record by the module's id and the end's name, or one with
    its figures inline.
    """

    module_id: Annotated[
        IdOrName | None,
        says("A module on record by its id or name, instead of figures."),
    ] = None
    end: Annotated[
        Name | None,
        says("The name of that module's end; needed where module_id is given."),
    ] = None
    name: Annotated[
        Name | None,
        says("What an end given inline is called in the answer."),
        NAMES_IT,
    ] = None
    scale: Annotated[ScaleName | None, says("Its scale.")] = None
    gauge_mm: Annotated[
        GaugeMm | None, says("Its gauge, where it is not its scale's usual one, in mm.")
    ] = None
    wheels: Annotated[
        Name | None, says("The wheel standard its track is laid for.")
    ] = None
    tracks: Annotated[
        Tracks | None,
        says("Every track that crosses it; needed unless module_id is given."),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Either an end on record, or tracks and figures."""
        if self.module_id is not None:
            if self.end is None:
                yield Fault(
                    code="missing",
                    message="end is missing: which end of the module?",
                    pointer="/end",
                )
            yield from _beside_the_id(
                self, frozenset({"module_id", "end"}), "module_id"
            )
            return
        if self.end is not None:
            message = "names an end of a module on record; give module_id too"
            yield Fault(code="one_or_the_other", message=message, pointer="/end")
        if self.tracks is None:
            yield Fault(code="missing", message="tracks is missing", pointer="/tracks")
        else:
            yield from tracks_in_each_others_way(self.tracks)


def each_of(pointer: str, asked: Sequence[object]) -> list[str]:
    """Return the pointer of each entry of a list."""
    return [f"{pointer}/{number}" for number in range(len(asked))]


def repeated(asked: Iterable[str | None], pointer: str, field: str) -> Iterable[Fault]:
    """Yield a fault for every id that is named again."""
    seen: set[str] = set()
    for number, one in enumerate(asked):
        if one is not None and one in seen:
            yield Fault(
                code="repeated",
                message="is named twice",
                pointer=f"{pointer}/{number}/{field}",
            )
        if one is not None:
            seen.add(one)


def _beside_the_id(
    asked: Ruled, allowed: frozenset[str], id_field: str
) -> Iterable[Fault]:
    whose = f"beside {id_field}: the record's own figures count"
    return _beside(asked, allowed, whose)


def _beside(asked: Ruled, allowed: frozenset[str], whose: str) -> Iterable[Fault]:
    """Yield a fault for all that is given besides what is allowed; ``whose`` says whose
    figures count.
    """
    for field in msgspec.structs.fields(asked):
        if field.name not in allowed and getattr(asked, field.name) != _unsaid(field):
            yield Fault(
                code="one_or_the_other",
                message=f"cannot be given {whose}",
                pointer=f"/{field.encode_name}",
            )


def _unsaid(field: msgspec.structs.FieldInfo) -> Any:
    """Return what a field has of which nothing was said."""
    if field.default_factory is msgspec.NODEFAULT:
        return field.default
    return field.default_factory()
