"""The club's own coupling types, and what vehicles say of theirs."""

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

import msgspec

from standage.questions.asked import AskedVehicle
from standage.questions.resolving.lookup import Lookup
from standage.questions.resolving.recorded import coupling_kind_of
from standage.railway.stock.coupled import Rake
from standage.railway.stock.couplings import CouplingKind, coupling_types
from standage.railway.stock.ends import swallowed_by_types
from standage.railway.stock.vehicles import Standing
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.coupling_reaches import with_type_names
from standage.registry.records.kinds import COUPLING_TYPES
from standage.registry.records.record import Kept
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
        return self.types() if any(map(_types_named, vehicles)) else ()

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
