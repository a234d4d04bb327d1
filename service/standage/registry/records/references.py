"""What the bodies of records name: by id, or by a name that need not be on record."""

from collections.abc import Iterable, Mapping, Sequence

import msgspec

from standage.railway.stock.couplings import Coupling
from standage.railway.track.plans.plan import Plan
from standage.registry.database.tables import name_key
from standage.registry.records.bodies import (
    InvitationBody,
    ModuleBody,
    RakeBody,
    RakeVehicle,
    StandardBody,
    TokenBody,
    TrainBody,
    TrainVehicle,
    VehicleBody,
    YardBody,
    looks_like_id,
)
from standage.registry.records.record import Record
from standage.shapes.faults import escaped


class Reference(msgspec.Struct, frozen=True, kw_only=True):
    """That a body names another record: by its id, or by a name that need not be on
    record.
    """

    pointer: str
    kind: str
    id: str | None = None
    name: str | None = None
    beside: bool = False
    """Whether it must lie beneath the same record: a place of the same layout."""


Targets = Mapping[tuple[str, str], Record]
"""The records that a body names, by kind and id."""


def owner_of(
    body: VehicleBody | TrainBody | RakeBody | ModuleBody,
) -> Iterable[Reference]:
    """Yield the member whose it is."""
    yield Reference(
        pointer="/owner_id",
        kind="members",
        id=body.owner_id,
    )


def named_by_token(body: TokenBody | InvitationBody) -> Iterable[Reference]:
    """Yield the member for whom a token acts, or who is invited."""
    yield Reference(
        pointer="/member_id",
        kind="members",
        id=body.member_id,
    )


def named_by_vehicle(body: VehicleBody) -> Iterable[Reference]:
    """Yield a vehicle's owner and the types of its couplings."""
    yield from owner_of(body)
    yield from _coupling_type("/front_coupling/type", body.front_coupling)
    yield from _coupling_type("/rear_coupling/type", body.rear_coupling)


def _coupling_type(pointer: str, coupling: Coupling | None) -> Iterable[Reference]:
    if coupling is None or coupling.type is None:
        return
    if looks_like_id(coupling.type):
        yield Reference(pointer=pointer, kind="coupling-types", id=coupling.type)
    else:
        yield Reference(
            pointer=pointer, kind="coupling-types", name=name_key(coupling.type)
        )


def named_by_stock(body: TrainBody | RakeBody) -> Iterable[Reference]:
    """Yield the owner of a train or a rake, and the vehicles and rakes it is made up
    of.
    """
    yield from owner_of(body)
    entries: Sequence[TrainVehicle | RakeVehicle] = body.vehicles
    for position, one in enumerate(entries):
        if one.vehicle_id is not None:
            yield Reference(
                pointer=f"/vehicles/{position}/vehicle_id",
                kind="vehicles",
                id=one.vehicle_id,
            )
        if isinstance(one, TrainVehicle) and one.rake_id is not None:
            yield Reference(
                pointer=f"/vehicles/{position}/rake_id", kind="rakes", id=one.rake_id
            )


def named_by_plan(body: Plan) -> Iterable[Reference]:
    """Yield the modules on record that a layout is put together from."""
    for name, module in body.modules.items():
        if module.module_id is not None:
            yield Reference(
                pointer=f"/modules/{escaped(name)}/module_id",
                kind="modules",
                id=module.module_id,
            )


def named_by_yard(body: YardBody) -> Iterable[Reference]:
    """Yield the places of its layout that a yard's roads are."""
    for road in body.places():
        yield Reference(
            pointer=road.pointer,
            kind="places",
            id=road.place_id,
            beside=True,
        )


def named_by_standard(body: StandardBody) -> Iterable[Reference]:
    """Yield the modules and trains that a standard lets off one of its rules."""
    for position, waiver in enumerate(body.waivers):
        if waiver.module_id is not None:
            yield Reference(
                pointer=f"/waivers/{position}/module_id",
                kind="modules",
                id=waiver.module_id,
            )
        if waiver.train_id is not None:
            yield Reference(
                pointer=f"/waivers/{position}/train_id",
                kind="trains",
                id=waiver.train_id,
            )
