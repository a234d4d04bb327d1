"""Whether a coupling type, by how far it reaches, leaves anything of the vehicles that it is fitted to."""

from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.joints import swallowed_by_types
from standage.railway.terms.faults import Fault
from standage.railway.terms.phrases import listed
from standage.registry.bodies import CouplingTypeBody, VehicleBody
from standage.registry.records import Record
from standage.registry.references import Targets

_KIND = tuple(CouplingKind.__struct_fields__)


def kind_of(body: CouplingTypeBody) -> CouplingKind:
    """Return the type of coupling that a record describes."""
    return CouplingKind(**{field: getattr(body, field) for field in _KIND if hasattr(body, field)})


def swallowed_by_its_couplings(body: VehicleBody, targets: Targets) -> Iterator[Fault]:
    """Yield a fault where the types of a vehicle's couplings, among ``targets``, leave nothing of it."""
    types = [record for record in targets.values() if isinstance(record.body, CouplingTypeBody)]
    if types:
        yield from swallowed_by_types(_by_name(body, types), types=CouplingTypes(map(_kind, types)))


def vehicles_it_swallows(
    body: CouplingTypeBody, type_id: str, leaning: Sequence[Record], _targets: Targets
) -> Iterator[Fault]:
    """Yield a fault where a type with that ``body`` leaves nothing of vehicles that it is fitted to."""
    types = CouplingTypes((kind_of(body),))
    vehicles = (_named(one.body, {type_id: body.name}) for one in leaning if isinstance(one.body, VehicleBody))
    swallowed = [vehicle.name for vehicle in vehicles if any(swallowed_by_types(vehicle, types=types))]
    if swallowed:
        message = f"lies so far behind the buffer face that nothing is left of {listed(swallowed)}"
        yield Fault(code="longer_than_vehicle", message=message, pointer="/reach_mm")


def _kind(record: Record) -> CouplingKind:
    if not isinstance(record.body, CouplingTypeBody):
        raise TypeError(type(record.body).__name__)
    return kind_of(record.body)


def _by_name(body: VehicleBody, types: Sequence[Record]) -> VehicleBody:
    return _named(body, {record.id: _kind(record).name for record in types})


def _named(body: VehicleBody, names: dict[str, str]) -> VehicleBody:
    """Return the vehicle with its couplings' types by their names, of those that it names by id."""
    named: dict[str, Coupling] = {}
    for field in ("front_coupling", "rear_coupling"):
        coupling: Coupling | None = getattr(body, field)
        if coupling is not None and coupling.type in names:
            named[field] = msgspec.structs.replace(coupling, type=names[coupling.type])
    return msgspec.structs.replace(body, **named)
