"""Whether a coupling type, by how far it reaches, leaves anything of the vehicles that
it is fitted to.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

import msgspec

from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.ends import swallowed_by_types
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import listed
from standage.registry.records.bodies import CouplingTypeBody, VehicleBody
from standage.registry.records.record import Record
from standage.registry.records.references import Targets
from standage.shapes.faults import Fault

V = TypeVar("V", bound=Vehicle)

_KIND = tuple(CouplingKind.__struct_fields__)


def kind_of(body: CouplingTypeBody) -> CouplingKind:
    """Return the type of coupling that a record describes."""
    return CouplingKind(
        **{field: getattr(body, field) for field in _KIND if hasattr(body, field)}
    )


def swallowed_by_its_couplings(body: VehicleBody, targets: Targets) -> Iterator[Fault]:
    """Yield a fault where the types of a vehicle's couplings, among ``targets``, leave
    nothing of it.
    """
    bodies = {record.id: record.body for record in targets.values()}
    kinds = {
        type_id: kind_of(one)
        for type_id, one in bodies.items()
        if isinstance(one, CouplingTypeBody)
    }
    if kinds:
        named = with_type_names(
            body, {type_id: kind.name for type_id, kind in kinds.items()}
        )
        yield from swallowed_by_types(named, types=CouplingTypes(tuple(kinds.values())))


def vehicles_it_swallows(
    body: CouplingTypeBody, type_id: str, leaning: Sequence[Record], _targets: Targets
) -> Iterator[Fault]:
    """Yield a fault where a type with that ``body`` leaves nothing of vehicles that it
    is fitted to.
    """
    types = CouplingTypes((kind_of(body),))
    fitted = (one.body for one in leaning if isinstance(one.body, VehicleBody))
    vehicles = (with_type_names(one, {type_id: body.name}) for one in fitted)
    swallowed = [
        vehicle.name
        for vehicle in vehicles
        if any(swallowed_by_types(vehicle, types=types))
    ]
    if swallowed:
        message = (
            "lies so far behind the buffer face that nothing is left of"
            f" {listed(swallowed)}"
        )
        yield Fault(code="longer_than_vehicle", message=message, pointer="/reach_mm")


def with_type_names(vehicle: V, names: Mapping[str, str]) -> V:
    """Return a vehicle with its couplings' types by their names; ``names`` has those
    that it may name by id.
    """
    named: dict[str, Coupling] = {}
    for field in ("front_coupling", "rear_coupling"):
        coupling: Coupling | None = getattr(vehicle, field)
        if coupling is None or coupling.type is None:
            continue
        if coupling.type in names:
            named[field] = msgspec.structs.replace(coupling, type=names[coupling.type])
    if not named:
        return vehicle
    return msgspec.structs.replace(vehicle, **named)
