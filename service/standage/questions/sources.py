"""Where the values of a question come from: given inline, or on record. The only place
that resolves ids.

An id of another club, of a deleted record and of nothing at all are one fault in the
same words.
"""

from collections.abc import Mapping, Sequence
from functools import cached_property

import msgspec

from standage.questions.asked import (
    AskedEntry,
    AskedPlace,
    AskedTrain,
    AskedVehicle,
    AskedYard,
    inline_train,
    inline_vehicle,
    inline_yard,
)
from standage.questions.lookup import Lookup, no_such
from standage.questions.recorded import (
    body_of,
    coupling_kind_of,
    place_of,
    rake_of,
    standing_of,
    yard_of,
)
from standage.railway.modules.boards import ModuleEnd
from standage.railway.roads.places import Place
from standage.railway.roads.provenance import GIVEN, SURVEYED, Provenance
from standage.railway.shunting.yard import Yard
from standage.railway.stock.couplings import CouplingKind, coupling_types
from standage.railway.stock.joints import swallowed_by_types
from standage.railway.stock.rakes import Rake, strung
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.registry.records.bodies import (
    ModuleBody,
    RakeBody,
    RakeVehicle,
    StandardBody,
    TrainBody,
    TrainVehicle,
    YardBody,
    looks_like_id,
)
from standage.registry.records.coupling_reaches import with_type_names
from standage.registry.records.kinds import (
    COUPLING_TYPES,
    LAYOUTS,
    MODULES,
    PLACES,
    RAKES,
    STANDARDS,
    TRAINS,
    VEHICLES,
    YARDS,
)
from standage.registry.records.record import Kept
from standage.shapes.faults import Fault, Faulty

MOST_BESIDE = 200


class KnownPlace(msgspec.Struct, frozen=True, kw_only=True):
    """A place, where its figures come from, and the others of its layout where it is on
    record.
    """

    place: Place
    known_by: Provenance
    others: tuple[tuple[str, Place], ...] = ()


class Sources(Lookup):
    """Resolves what a caller names, within one club and one snapshot.

    Without a ``reading`` (a stranger who may ask with everything inline) every id is
    unknown.
    """

    def coupling_types(self) -> tuple[CouplingKind, ...]:
        """Return the club's own coupling types."""
        return tuple(coupling_kind_of(record) for record in self._types)

    def coupling_types_of(
        self, vehicles: Sequence[Standing]
    ) -> tuple[CouplingKind, ...]:
        """Return the club's own coupling types where any of ``vehicles`` names a type;
        else none of them counts.
        """
        return self.coupling_types() if any(map(_types_named, vehicles)) else ()

    def vehicles(
        self, asked: Sequence[AskedVehicle], pointer: str
    ) -> tuple[Standing, ...]:
        """Return the vehicles that a caller names; raises ``Faulty`` for every id that
        is not on record.
        """
        ids = [one.vehicle_id for one in asked if one.vehicle_id is not None]
        found = self._many(VEHICLES, ids)
        faults = [
            no_such(VEHICLES, pointer=f"{pointer}/{position}/vehicle_id")
            for position, one in enumerate(asked)
            if one.vehicle_id is not None and one.vehicle_id not in found
        ]
        if faults:
            raise Faulty(faults)
        stood = tuple(self._by_name(_standing(one, found)) for one in asked)
        self._require_some_left(
            asked, stood, [f"{pointer}/{position}" for position in range(len(asked))]
        )
        return stood

    def vehicle(self, asked: AskedVehicle, pointer: str) -> Standing:
        """Return the one vehicle that a caller names; raises ``Faulty`` where its id is
        not on record.
        """
        try:
            return self.vehicles((asked,), "")[0]
        except Faulty as faulty:
            faults = [
                msgspec.structs.replace(
                    one, pointer=f"{pointer}{(one.pointer or '').removeprefix('/0')}"
                )
                for one in faulty.faults
            ]
            raise Faulty(faults) from faulty

    def train(self, asked: AskedTrain, pointer: str) -> Train:
        """Return the train that a caller names; raises ``Faulty`` for every id that is
        not on record.
        """
        if asked.train_id is not None:
            return self._made_up(
                self._named(TRAINS, asked.train_id, f"{pointer}/train_id")
            )
        entries = asked.vehicles or ()
        pointers = [
            f"{pointer}/vehicles/{position}" for position in range(len(entries))
        ]
        return inline_train(asked, self.entries(entries, pointers), pointer)

    def entries(
        self, asked: Sequence[AskedEntry], pointers: Sequence[str]
    ) -> list[Standing | Rake]:
        """Return the vehicles and rakes of trains that a caller makes up, each at its
        pointer.

        Raises ``Faulty`` for every id that is not on record; there are as few
        statements however many are named.
        """
        if all(one.vehicle_id is None and one.rake_id is None for one in asked):
            inline = [self._by_name(inline_vehicle(one)) for one in asked]
            self._require_some_left(asked, inline, pointers)
            return [*inline]
        rakes = self._rakes(asked)
        found = self._vehicles_of(asked, rakes)
        faults = [
            no_such(
                VEHICLES if one.rake_id is None else RAKES, pointer=f"{pointer}/{field}"
            )
            for one, pointer in zip(asked, pointers, strict=True)
            for field, known in (("vehicle_id", found), ("rake_id", rakes))
            if getattr(one, field) is not None and getattr(one, field) not in known
        ]
        if faults:
            raise Faulty(faults)
        stood = [
            (
                self._by_name(_standing(one, found))
                if one.vehicle_id is None and one.rake_id is None
                else self._entry(one, rakes, found)
            )
            for one in asked
        ]
        self._require_some_left(asked, stood, pointers)
        return stood

    def train_asked(self, train_id: str, parameter: str) -> Train:
        """Return a train on record; raises ``Faulty`` naming the query's parameter
        where there is none.
        """
        return self._made_up(
            self._ahead.by_id(TRAINS).get(train_id)
            or self.asked_for(TRAINS, train_id, parameter)
        )

    def train_at(self, train_id: str) -> Train:
        """Return the train that an address names; raises ``Absent`` where there is
        none.
        """
        return self._made_up(self._get(TRAINS, train_id))

    def vehicle_at(self, vehicle_id: str) -> Standing:
        """Return the vehicle that an address names; raises ``Absent`` where there is
        none.
        """
        record = self._get(VEHICLES, vehicle_id)
        return self._by_name(standing_of(record, reversed_=False, count=1))

    def place_at(self, layout_id: str, place_id: str) -> KnownPlace:
        """Return the place that an address names, and its neighbours; raises ``Absent``
        where there is none.
        """
        return self._beside(self._get(PLACES, place_id, parent_id=layout_id))

    def place(self, asked: AskedPlace, pointer: str) -> KnownPlace:
        """Return the place that a caller names; raises ``Faulty`` where its id is not
        on record.
        """
        if asked.place_id is not None:
            return self._beside(
                self._named(PLACES, asked.place_id, f"{pointer}/place_id")
            )
        figures = {name: getattr(asked, name) for name in Place.__struct_fields__}
        return KnownPlace(place=Place(**figures), known_by=GIVEN)

    def yard(self, asked: AskedYard, pointer: str) -> Yard:
        """Return the yard that a caller names; raises ``Faulty`` where its id is not on
        record.
        """
        if asked.yard_id is None:
            return inline_yard(asked)
        return yard_of(self._named(YARDS, asked.yard_id, f"{pointer}/yard_id"))

    def yard_at(self, yard_id: str, *, layout_id: str | None = None) -> YardBody:
        """Return the yard that an address names; raises ``Absent`` where there is
        none.
        """
        return body_of(self._get(YARDS, yard_id, parent_id=layout_id), YardBody)

    def _beside(self, record: Kept) -> KnownPlace:
        """Return a place with what its layout says of all places, and the other places
        of that layout.
        """
        layout = self._get(LAYOUTS, record.parent_id or "")
        beside = self._beneath(PLACES, record.parent_id)
        others = tuple(
            (one.id, place_of(one, layout)) for one in beside if one.id != record.id
        )
        place = place_of(record, layout)
        return KnownPlace(place=place, known_by=SURVEYED, others=others)

    def _made_up(self, record: Kept) -> Train:
        return self.made_up([record])[0]

    def made_up(self, records: Sequence[Kept]) -> tuple[Train, ...]:
        """Return trains on record with the rakes in them taken apart: many in as many
        statements as one.
        """
        bodies = [body_of(record, TrainBody) for record in records]
        entries = [entry for body in bodies for entry in body.vehicles]
        rakes = self._rakes(entries)
        found = self._vehicles_of(entries, rakes)
        return tuple(
            strung(
                [self._entry(one, rakes, found) for one in body.vehicles],
                measured_rakes=body.measured_rakes,
            )
            for body in bodies
        )

    def _rakes(
        self, entries: Sequence[TrainVehicle | AskedEntry]
    ) -> dict[str, RakeBody]:
        found = self._found(RAKES, [one.rake_id for one in entries if one.rake_id])
        return {rake_id: body_of(rake, RakeBody) for rake_id, rake in found.items()}

    def _vehicles_of(
        self,
        entries: Sequence[TrainVehicle | AskedEntry],
        rakes: Mapping[str, RakeBody],
    ) -> Mapping[str, Kept]:
        alone = [one.vehicle_id for one in entries if one.vehicle_id]
        return self._found(
            VEHICLES,
            [
                *alone,
                *(one.vehicle_id for rake in rakes.values() for one in rake.vehicles),
            ],
        )

    def _entry(
        self,
        entry: TrainVehicle | AskedEntry,
        rakes: Mapping[str, RakeBody],
        found: Mapping[str, Kept],
    ) -> Standing | Rake:
        if entry.rake_id is not None:
            rake = rake_of(
                rakes[entry.rake_id],
                [self._stood(one, found) for one in rakes[entry.rake_id].vehicles],
            )
            return rake.turned() if entry.reversed else rake
        return self._stood(entry, found)

    def _stood(
        self, entry: TrainVehicle | RakeVehicle | AskedEntry, found: Mapping[str, Kept]
    ) -> Standing:
        record = found[entry.vehicle_id or ""]
        return self._by_name(
            standing_of(record, reversed_=entry.reversed, count=entry.count)
        )

    def end(
        self, module_id: str, end: str, pointer: str
    ) -> tuple[ModuleBody, ModuleEnd]:
        """Return a module on record and its end of that name; raises ``Faulty`` where
        there is none.
        """
        module = body_of(
            self._named(MODULES, module_id, f"{pointer}/module_id"), ModuleBody
        )
        found = next(
            (one for one in module.ends if one.name.casefold() == end.casefold()), None
        )
        if found is None:
            names = ", ".join(one.name for one in module.ends) or "none on record"
            message = f"{module.name} has no such end; its ends: {names}"
            raise Faulty(
                [Fault(code="no_such_end", message=message, pointer=f"{pointer}/end")]
            )
        return module, found

    def standard_at(self, standard_id: str) -> StandardBody:
        """Return the standard that an address names; raises ``Absent`` where there is
        none.
        """
        return body_of(self._get(STANDARDS, standard_id), StandardBody)

    def standard(self, standard_id: str, pointer: str) -> StandardBody:
        """Return the standard that a body names; raises ``Faulty`` where there is
        none.
        """
        return body_of(self._named(STANDARDS, standard_id, pointer), StandardBody)

    @cached_property
    def _types(self) -> Sequence[Kept]:
        return [] if self._reading is None else self._beneath(COUPLING_TYPES, None)

    def _require_some_left(
        self,
        asked: Sequence[AskedVehicle],
        stood: Sequence[Standing | Rake],
        pointers: Sequence[str],
    ) -> None:
        """Raise ``Faulty`` where the types of an inline vehicle's couplings leave
        nothing of it.
        """
        faults = [
            msgspec.structs.replace(fault, pointer=f"{pointer}{fault.pointer}")
            for one, vehicle, pointer in zip(asked, stood, pointers, strict=True)
            if one.vehicle_id is None
            and isinstance(vehicle, Standing)
            and _types_named(vehicle)
            for fault in swallowed_by_types(
                vehicle, types=coupling_types(self.coupling_types())
            )
        ]
        if faults:
            raise Faulty(faults)

    def _by_name(self, vehicle: Standing) -> Standing:
        """Return ``vehicle`` with each coupling type that it names by id named by its
        name.
        """
        if not any(map(looks_like_id, _types_named(vehicle))):
            return vehicle
        return with_type_names(vehicle, self._type_names)

    @cached_property
    def _type_names(self) -> Mapping[str, str]:
        return {record.id: coupling_kind_of(record).name for record in self._types}


def _types_named(vehicle: Standing) -> list[str]:
    """Return what the types of a vehicle's couplings are called, by id or by name;
    neither where none is said.
    """
    ends = (vehicle.front_coupling, vehicle.rear_coupling)
    return [
        coupling.type
        for coupling in ends
        if coupling is not None and coupling.type is not None
    ]


def _standing(asked: AskedVehicle, found: Mapping[str, Kept]) -> Standing:
    if asked.vehicle_id is None:
        return inline_vehicle(asked)
    return standing_of(
        found[asked.vehicle_id], reversed_=asked.reversed, count=asked.count
    )
