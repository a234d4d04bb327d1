"""One descriptor for each sort of record: all that the write path, the routes and the table of rights need to know.

A descriptor is pure: what it needs of other records is handed to it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC
from typing import Any, Generic, TypeVar

import msgspec
from sqlalchemy import Table

from standage.railway.couplings import Coupling
from standage.railway.faults import Fault
from standage.railway.figures import Identifier, Name
from standage.railway.places import PlaceKind
from standage.railway.scales import ScaleName
from standage.railway.vehicles import VehicleKind
from standage.registry import tables
from standage.registry.bodies import (
    ClubBody,
    CouplingTypeBody,
    LayoutBody,
    MemberBody,
    PlaceBody,
    TokenBody,
    TrainBody,
    VehicleBody,
    looks_like_id,
)
from standage.registry.records import Record, Role
from standage.registry.tables import name_key

B = TypeVar("B", bound=msgspec.Struct)


class Reference(msgspec.Struct, frozen=True, kw_only=True):
    """That a body names another record: by its id, or by a name that need not be on record."""

    pointer: str
    kind: str
    id: str | None = None
    name: str | None = None


Targets = Mapping[tuple[str, str], Record]
"""The records that a body names, by kind and id."""


class Filter(msgspec.Struct, frozen=True, kw_only=True):
    """A way to narrow a list: the column it looks at, what may be asked for, and whether a beginning is enough."""

    column: str
    type: Any
    begins: bool = False


def _nothing(*_: object) -> tuple[()]:
    return ()


def _as_sent(body: B) -> B:
    return body


@dataclass(frozen=True, kw_only=True, eq=False)
class Kind(Generic[B]):
    """One sort of record.

    ``name`` is its plural as in a path, ``one`` its name in a message. ``parent`` is the kind beneath which it lies.
    ``owned`` means that the body's ``owner_id`` says whose it is. ``fixed`` fields keep the value they were created
    with. ``cascades`` names kinds deleted with it, and the column that points back. ``way_in`` means that changing one
    might leave the club without a steward who can get in.
    """

    name: str
    one: str
    body: type[B]
    table: Table
    parent: str | None = None
    owned: bool = False
    unique_name: bool = False
    removable: bool = True
    way_in: bool = False
    name_field: str = "name"
    fixed: tuple[str, ...] = ()
    filters: Mapping[str, Filter] = field(default_factory=dict)
    cascades: Mapping[str, str] = field(default_factory=dict)
    kept: Callable[[B], B] = _as_sent
    references: Callable[[B], Iterable[Reference]] = _nothing
    faults: Callable[[B, Targets], Iterable[Fault]] = _nothing
    outgrown: Callable[[B, str, Sequence[Record]], Iterable[Fault]] | None = None
    named_by: Callable[[B], str | None] = lambda _body: None

    @property
    def sorts(self) -> Mapping[str, str]:
        """The ways to sort a list, each with its column; every one goes up or down."""
        return {self.name_field: "name_key", "created_at": "created_at", "updated_at": "updated_at"}

    def title(self, body: msgspec.Struct) -> str:
        """Return what a record with that body is called."""
        return str(getattr(body, self.name_field))

    def filing(self, body: B) -> dict[str, str | None]:
        """Return the columns that are copied from the body for lists to be filtered and sorted by."""
        columns = {one.column for one in self.filters.values()} - {"name_key"}
        return {"name_key": name_key(self.title(body)), **{column: getattr(body, column) for column in columns}}

    def decode(self, text: str) -> B:
        """Return the body that was kept as ``text``."""
        return msgspec.json.decode(text, type=self.body)


def _beginning(name_field: str = "name") -> dict[str, Filter]:
    return {f"{name_field}_begins": Filter(column="name_key", type=Name, begins=True)}


def _owner(body: VehicleBody | TrainBody) -> Iterable[Reference]:
    yield Reference(pointer="/owner_id", kind="members", id=body.owner_id)


def _token_references(body: TokenBody) -> Iterable[Reference]:
    yield Reference(pointer="/member_id", kind="members", id=body.member_id)


def _token_in_utc(body: TokenBody) -> TokenBody:
    if body.expires_at is None:
        return body
    return msgspec.structs.replace(body, expires_at=body.expires_at.astimezone(UTC))


def _vehicle_references(body: VehicleBody) -> Iterable[Reference]:
    yield from _owner(body)
    yield from _coupling_reference("/front_coupling/type", body.front_coupling)
    yield from _coupling_reference("/rear_coupling/type", body.rear_coupling)


def _coupling_reference(pointer: str, coupling: Coupling | None) -> Iterable[Reference]:
    if coupling is None or coupling.type is None:
        return
    if looks_like_id(coupling.type):
        yield Reference(pointer=pointer, kind="coupling-types", id=coupling.type)
    else:
        yield Reference(pointer=pointer, kind="coupling-types", name=name_key(coupling.type))


def _train_references(body: TrainBody) -> Iterable[Reference]:
    yield from _owner(body)
    for position, one in enumerate(body.vehicles):
        yield Reference(pointer=f"/vehicles/{position}/vehicle_id", kind="vehicles", id=one.vehicle_id)


def _more_than_there_are(body: TrainBody, targets: Targets) -> Iterable[Fault]:
    used: dict[str, int] = {}
    for position, one in enumerate(body.vehicles):
        record = targets.get(("vehicles", one.vehicle_id))
        if record is None or not isinstance(record.body, VehicleBody):
            continue
        used[one.vehicle_id] = used.get(one.vehicle_id, 0) + one.count
        if used[one.vehicle_id] > record.body.count:
            message = f"makes {used[one.vehicle_id]} of {record.body.name}, but there are only {record.body.count}"
            yield Fault(code="more_than_there_are", message=message, pointer=f"/vehicles/{position}/count")


def _fewer_than_in_trains(body: VehicleBody, vehicle_id: str, leaning: Sequence[Record]) -> Iterable[Fault]:
    for train in leaning:
        if not isinstance(train.body, TrainBody):
            continue
        used = sum(one.count for one in train.body.vehicles if one.vehicle_id == vehicle_id)
        if used > body.count:
            message = f"is fewer than the {used} that stand in the train {train.body.name}"
            yield Fault(code="fewer_than_in_use", message=message, pointer="/count")


CLUBS = Kind(name="clubs", one="club", body=ClubBody, table=tables.clubs, removable=False)
MEMBERS = Kind(
    name="members",
    one="member",
    body=MemberBody,
    table=tables.members,
    way_in=True,
    filters={"role": Filter(column="role", type=Role), **_beginning()},
    cascades={"tokens": "member_id"},
)
TOKENS = Kind(
    name="tokens",
    one="token",
    body=TokenBody,
    table=tables.tokens,
    way_in=True,
    name_field="label",
    fixed=("member_id",),
    filters={"member_id": Filter(column="member_id", type=Identifier), **_beginning("label")},
    kept=_token_in_utc,
    references=_token_references,
)
COUPLING_TYPES = Kind(
    name="coupling-types",
    one="coupling type",
    body=CouplingTypeBody,
    table=tables.coupling_types,
    unique_name=True,
    filters=_beginning(),
    named_by=lambda body: name_key(body.name),
)
VEHICLES = Kind(
    name="vehicles",
    one="vehicle",
    body=VehicleBody,
    table=tables.vehicles,
    owned=True,
    filters={
        "kind": Filter(column="kind", type=VehicleKind),
        "scale": Filter(column="scale", type=ScaleName),
        "owner_id": Filter(column="owner_id", type=Identifier),
        **_beginning(),
    },
    references=_vehicle_references,
    outgrown=_fewer_than_in_trains,
)
TRAINS = Kind(
    name="trains",
    one="train",
    body=TrainBody,
    table=tables.trains,
    owned=True,
    filters={"owner_id": Filter(column="owner_id", type=Identifier), **_beginning()},
    references=_train_references,
    faults=_more_than_there_are,
)
LAYOUTS = Kind(
    name="layouts",
    one="layout",
    body=LayoutBody,
    table=tables.layouts,
    unique_name=True,
    filters=_beginning(),
    cascades={"places": "parent_id"},
)
PLACES = Kind(
    name="places",
    one="place",
    body=PlaceBody,
    table=tables.places,
    parent="layouts",
    unique_name=True,
    filters={"kind": Filter(column="kind", type=PlaceKind), **_beginning()},
)

KINDS: Mapping[str, Kind[Any]] = {
    kind.name: kind for kind in (CLUBS, MEMBERS, TOKENS, COUPLING_TYPES, VEHICLES, TRAINS, LAYOUTS, PLACES)
}
