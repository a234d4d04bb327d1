"""Vehicles and trains, given inline or on record, and the club's own types of their
couplings. However many are asked for, the statements are as few.
"""

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from itertools import islice

import msgspec

from standage.questions.asked import (
    AskedEntry,
    AskedNamedTrain,
    AskedTrain,
    AskedVehicle,
    inline_train,
    inline_vehicle,
)
from standage.questions.resolving.lookup import (
    Lookup,
    body_of,
    coupling_kind_of,
    no_such,
    rake_of,
    standing_of,
)
from standage.railway.stock.coupled import Rake, strung
from standage.railway.stock.couplings import CouplingKind, coupling_types
from standage.railway.stock.ends import swallowed_by_types
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.registry.records.bodies import (
    RakeBody,
    RakeVehicle,
    TrainBody,
    TrainVehicle,
    VehicleBody,
    looks_like_id,
)
from standage.registry.records.coupling_reaches import with_type_names
from standage.registry.records.kinds import COUPLING_TYPES, RAKES, TRAINS, VEHICLES
from standage.registry.records.reading import Listing
from standage.registry.records.record import Kept, Record
from standage.shapes.faults import Fault, Faulty


class Couplings:
    """The coupling types of one club, read once."""

    def __init__(self, records: Lookup) -> None:
        self._records = records

    def types(self) -> tuple[CouplingKind, ...]:
        """Return the club's own coupling types."""
        return tuple(coupling_kind_of(record) for record in self._kept)

    def types_of(self, vehicles: Sequence[Standing]) -> tuple[CouplingKind, ...]:
        """Return the club's own coupling types where any of ``vehicles`` names a type;
        else none of them counts.
        """
        if any(map(_types_named, vehicles)):
            return self.types()
        return ()

    def by_name(self, vehicle: Standing) -> Standing:
        """Return ``vehicle`` with each coupling type that it names by id named by its
        name.
        """
        if not any(map(looks_like_id, _types_named(vehicle))):
            return vehicle
        return with_type_names(vehicle, self._names)

    def require_some_left(
        self,
        asked: Sequence[AskedVehicle],
        stood: Sequence[Standing | Rake],
        pointers: Sequence[str],
    ) -> None:
        """Raise ``Faulty`` where the types of an inline vehicle's couplings leave
        nothing of it.
        """
        faults = [
            fault
            for one, vehicle, pointer in zip(asked, stood, pointers, strict=True)
            if one.vehicle_id is None
            for fault in self._swallowed(vehicle, pointer)
        ]
        if faults:
            raise Faulty(faults)

    def _swallowed(self, vehicle: Standing | Rake, pointer: str) -> Iterator[Fault]:
        if not isinstance(vehicle, Standing) or not _types_named(vehicle):
            return
        types = coupling_types(self.types())
        for fault in swallowed_by_types(vehicle, types=types):
            whole = f"{pointer}{fault.pointer}"
            yield msgspec.structs.replace(fault, pointer=whole)

    @cached_property
    def _kept(self) -> Sequence[Kept]:
        return self._records.beneath(COUPLING_TYPES, None)

    @cached_property
    def _names(self) -> Mapping[str, str]:
        return {record.id: coupling_kind_of(record).name for record in self._kept}


def _types_named(vehicle: Standing) -> list[str]:
    """Return what the types of a vehicle's couplings are called, by id or by name;
    neither where none is said.
    """
    ends = (vehicle.front_coupling, vehicle.rear_coupling)
    types = (None if coupling is None else coupling.type for coupling in ends)
    return [one for one in types if one is not None]


class NamedTrain(msgspec.Struct, frozen=True, kw_only=True):
    """A train by its name; ``id`` where it is on record."""

    name: str
    train: Train
    id: str | None = None


class NamedVehicle(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle; ``id`` where it is on record, and its count says how many like it
    there are.
    """

    vehicle: Standing
    id: str | None = None


class Trains:
    """Resolves vehicles, rakes and trains."""

    def __init__(self, records: Lookup, couplings: Couplings) -> None:
        self._records = records
        self._couplings = couplings

    def vehicles(
        self, asked: Sequence[AskedVehicle], pointer: str
    ) -> tuple[Standing, ...]:
        """Return the vehicles that a caller names; raises ``Faulty`` for every id that
        is not on record.
        """
        ids = [one.vehicle_id for one in asked if one.vehicle_id is not None]
        found = self._records.many(VEHICLES, ids)
        pointers = [f"{pointer}/{position}" for position in range(len(asked))]
        faults = [
            no_such(VEHICLES, pointer=f"{at}/vehicle_id")
            for one, at in zip(asked, pointers, strict=True)
            if one.vehicle_id is not None and one.vehicle_id not in found
        ]
        if faults:
            raise Faulty(faults)
        stood = tuple(self._standing(one, found) for one in asked)
        self._couplings.require_some_left(asked, stood, pointers)
        return stood

    def vehicle(self, asked: AskedVehicle, pointer: str) -> Standing:
        """Return the one vehicle that a caller names; raises ``Faulty`` where its id is
        not on record.
        """
        try:
            return self.vehicles((asked,), "")[0]
        except Faulty as faulty:
            faults = [_of_the_only(fault, pointer) for fault in faulty.faults]
            raise Faulty(faults) from faulty

    def vehicle_at(self, vehicle_id: str) -> Standing:
        """Return the vehicle that an address names; raises ``Absent`` where there is
        none.
        """
        record = self._records.at(VEHICLES, vehicle_id)
        stood = standing_of(record, reversed_=False, count=1)
        return self._couplings.by_name(stood)

    def vehicles_asked(self, ids: Mapping[str, str]) -> tuple[NamedVehicle, ...]:
        """Return vehicles by the query's parameters that name them; raises ``Faulty``
        with all that are not there.
        """
        found = self._records.many(VEHICLES, ids.values())
        faults = [
            no_such(VEHICLES, parameter=name)
            for name, one in ids.items()
            if one not in found
        ]
        if faults:
            raise Faulty(faults)
        return tuple(self._named_vehicle(found[one]) for one in ids.values())

    def stock(self, listing: Listing) -> list[tuple[Record, NamedVehicle]]:
        """Return part of the list of the club's vehicles, each with as many as there
        are of it.
        """
        records = self._records.page(VEHICLES, listing)
        return [(record, self._named_vehicle(record)) for record in records]

    def of(self, asked: AskedTrain, pointer: str) -> Train:
        """Return the train that a caller names; raises ``Faulty`` for every id that is
        not on record.
        """
        if asked.train_id is not None:
            at = f"{pointer}/train_id"
            return self._made_up(self._records.named(TRAINS, asked.train_id, at))
        entries = asked.vehicles or ()
        pointers = _within(pointer, asked)
        return inline_train(asked, self.entries(entries, pointers), pointer)

    def asked(self, train_id: str, parameter: str) -> Train:
        """Return a train on record; raises ``Faulty`` naming the query's parameter
        where there is none.
        """
        record = self._records.found(TRAINS, [train_id]).get(train_id)
        if record is None:
            raise Faulty([no_such(TRAINS, parameter=parameter)])
        return self._made_up(record)

    def at(self, train_id: str) -> Train:
        """Return the train that an address names; raises ``Absent`` where there is
        none.
        """
        return self._made_up(self._records.at(TRAINS, train_id))

    def several(
        self, asked: Sequence[AskedNamedTrain], pointers: Sequence[str]
    ) -> tuple[NamedTrain, ...]:
        """Return the trains that a caller names, each at its pointer; ``Faulty`` has
        every id not on record.
        """
        ids = [one.train_id for one in asked if one.train_id is not None]
        records = self._records.many(TRAINS, ids)
        faults = [
            no_such(TRAINS, pointer=f"{pointer}/train_id")
            for one, pointer in zip(asked, pointers, strict=True)
            if one.train_id is not None and one.train_id not in records
        ]
        inline, more = self._inline(asked, pointers)
        if faults or more:
            raise Faulty([*faults, *more])
        named = self._named(list(records.values()))
        kept = {record.id: train for record, train in named}
        return tuple(
            inline[number] if one.train_id is None else kept[one.train_id]
            for number, one in enumerate(asked)
        )

    def listed(self, listing: Listing) -> list[tuple[Record, NamedTrain]]:
        """Return part of the list of the club's trains."""
        return self._named(self._records.page(TRAINS, listing))

    def again(self, train_id: str) -> list[tuple[Record, NamedTrain]]:
        """Return the one train with that id, or none where there is none any more."""
        return self._named(list(self._records.many(TRAINS, [train_id]).values()))

    def entries(
        self, asked: Sequence[AskedEntry], pointers: Sequence[str]
    ) -> list[Standing | Rake]:
        """Return the vehicles and rakes of trains that a caller makes up, each at its
        pointer.

        Raises ``Faulty`` for every id that is not on record; there are as few
        statements however many are named.
        """
        if all(map(_is_inline, asked)):
            inline = [self._couplings.by_name(inline_vehicle(one)) for one in asked]
            self._couplings.require_some_left(asked, inline, pointers)
            return [*inline]
        rakes = self._rakes(asked)
        found = self._vehicles_of(asked, rakes)
        faults = list(_not_there(asked, pointers, found, rakes))
        if faults:
            raise Faulty(faults)
        stood = [self._entry(one, rakes, found) for one in asked]
        self._couplings.require_some_left(asked, stood, pointers)
        return stood

    def made_up(self, records: Sequence[Kept]) -> tuple[Train, ...]:
        """Return trains on record with the rakes in them taken apart: many in as many
        statements as one.
        """
        bodies = [body_of(record, TrainBody) for record in records]
        entries = [entry for body in bodies for entry in body.vehicles]
        rakes = self._rakes(entries)
        found = self._vehicles_of(entries, rakes)
        trains = []
        for body in bodies:
            stood = [self._entry(one, rakes, found) for one in body.vehicles]
            trains.append(strung(stood, measured_rakes=body.measured_rakes))
        return tuple(trains)

    def _made_up(self, record: Kept) -> Train:
        return self.made_up([record])[0]

    def _inline(
        self, asked: Sequence[AskedNamedTrain], pointers: Sequence[str]
    ) -> tuple[Mapping[int, NamedTrain], Sequence[Fault]]:
        """Return the trains that are given inline by their number, all ids looked up at
        once; or what is wrong.
        """
        inline = {
            number: one for number, one in enumerate(asked) if one.train_id is None
        }
        try:
            trains = self._strung(inline, pointers)
        except Faulty as faulty:
            return {}, faulty.faults
        named = {
            number: NamedTrain(name=one.name or f"train {number + 1}", train=train)
            for (number, one), train in zip(inline.items(), trains, strict=True)
        }
        return named, ()

    def _strung(
        self, inline: Mapping[int, AskedNamedTrain], pointers: Sequence[str]
    ) -> list[Train]:
        entries = [one for train in inline.values() for one in train.vehicles or ()]
        each = [
            pointer
            for number, train in inline.items()
            for pointer in _within(pointers[number], train)
        ]
        found = iter(self.entries(entries, each))
        trains = []
        for number, train in inline.items():
            stood = list(islice(found, len(train.vehicles or ())))
            trains.append(inline_train(train, stood, pointers[number]))
        return trains

    def _rakes(
        self, entries: Sequence[TrainVehicle | AskedEntry]
    ) -> dict[str, RakeBody]:
        ids = [one.rake_id for one in entries if one.rake_id]
        found = self._records.found(RAKES, ids)
        return {rake_id: body_of(rake, RakeBody) for rake_id, rake in found.items()}

    def _vehicles_of(
        self,
        entries: Sequence[TrainVehicle | AskedEntry],
        rakes: Mapping[str, RakeBody],
    ) -> Mapping[str, Kept]:
        ids = [one.vehicle_id for one in entries if one.vehicle_id]
        for rake in rakes.values():
            ids += [one.vehicle_id for one in rake.vehicles]
        return self._records.found(VEHICLES, ids)

    def _entry(
        self,
        entry: TrainVehicle | AskedEntry,
        rakes: Mapping[str, RakeBody],
        found: Mapping[str, Kept],
    ) -> Standing | Rake:
        if entry.rake_id is None:
            return self._standing(entry, found)
        body = rakes[entry.rake_id]
        vehicles = [self._standing(one, found) for one in body.vehicles]
        rake = rake_of(body, vehicles)
        if entry.reversed:
            return rake.turned()
        return rake

    def _standing(
        self, one: TrainVehicle | RakeVehicle | AskedVehicle, found: Mapping[str, Kept]
    ) -> Standing:
        if isinstance(one, AskedVehicle) and one.vehicle_id is None:
            return self._couplings.by_name(inline_vehicle(one))
        record = found[one.vehicle_id or ""]
        stood = standing_of(
            record,
            reversed_=one.reversed,
            count=one.count,
        )
        return self._couplings.by_name(stood)

    def _named_vehicle(self, record: Record) -> NamedVehicle:
        count = body_of(record, VehicleBody).count
        stood = standing_of(record, reversed_=False, count=count)
        return NamedVehicle(
            vehicle=self._couplings.by_name(stood),
            id=record.id,
        )

    def _named(self, records: Sequence[Record]) -> list[tuple[Record, NamedTrain]]:
        if not records:
            return []
        named = []
        for record, train in zip(records, self.made_up(records), strict=True):
            name = body_of(record, TrainBody).name
            named.append(
                (
                    record,
                    NamedTrain(
                        name=name,
                        train=train,
                        id=record.id,
                    ),
                )
            )
        return named


def _of_the_only(fault: Fault, pointer: str) -> Fault:
    """Return the fault of a list's one vehicle as that of the vehicle by itself."""
    within = (fault.pointer or "").removeprefix("/0")
    return msgspec.structs.replace(fault, pointer=f"{pointer}{within}")


def _within(pointer: str, train: AskedTrain) -> list[str]:
    """Return the pointer of each entry of a train."""
    count = len(train.vehicles or ())
    return [f"{pointer}/vehicles/{position}" for position in range(count)]


def _is_inline(entry: AskedEntry) -> bool:
    return entry.vehicle_id is None and entry.rake_id is None


def _not_there(
    asked: Sequence[AskedEntry],
    pointers: Sequence[str],
    vehicles: Mapping[str, Kept],
    rakes: Mapping[str, RakeBody],
) -> Iterator[Fault]:
    for one, pointer in zip(asked, pointers, strict=True):
        if one.vehicle_id is not None and one.vehicle_id not in vehicles:
            yield no_such(VEHICLES, pointer=f"{pointer}/vehicle_id")
        if one.rake_id is not None and one.rake_id not in rakes:
            yield no_such(RAKES, pointer=f"{pointer}/rake_id")
