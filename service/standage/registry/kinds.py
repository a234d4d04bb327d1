"""One descriptor for each sort of record: all that the write path, the routes and the table of rights need to know.

A descriptor is pure: what it needs of other records is handed to it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC
from functools import cached_property
from typing import Any, Generic, TypeVar

import msgspec
from sqlalchemy import Table

from standage.railway.roads.places import PlaceKind
from standage.railway.stock.vehicles import VehicleKind
from standage.railway.terms.faults import Fault
from standage.railway.terms.figures import Identifier, Name
from standage.railway.terms.scales import ScaleName
from standage.registry import tables
from standage.registry.bodies import (
    ClubBody,
    CouplingTypeBody,
    LayoutBody,
    MemberBody,
    ModuleBody,
    PlaceBody,
    RakeBody,
    StandardBody,
    TokenBody,
    TrainBody,
    VehicleBody,
    YardBody,
)
from standage.registry.records import Record, Role
from standage.registry.references import (
    Reference,
    Targets,
    named_by_standard,
    named_by_stock,
    named_by_token,
    named_by_vehicle,
    owner_of,
)
from standage.registry.stock_counts import (
    fewer_than_in_use,
    more_than_its_trains_can_have,
    more_than_there_are,
    vehicles_in_rakes,
)
from standage.registry.tables import name_key

B = TypeVar("B", bound=msgspec.Struct)


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
    with. ``cascades`` names kinds deleted with it, and the column that points back. ``shed`` columns are emptied when
    it is deleted, so that it cannot come back. ``way_in`` means that changing one might leave the club without a
    steward who can get in.

    ``references`` are what a body names; ``further`` what the records it names name in their turn, as far as ``faults``
    has to see it. ``outgrown`` yields what a change does to the records that lean on this one, directly or through
    those of the kinds in ``leans_through``; with ``outgrown_sees_all`` it also gets whatever those name.
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
    shed: tuple[str, ...] = ()
    kept: Callable[[B], B] = _as_sent
    references: Callable[[B], Iterable[Reference]] = _nothing
    further: Callable[[B, Targets], Iterable[Reference]] = _nothing
    faults: Callable[[B, Targets], Iterable[Fault]] = _nothing
    outgrown: Callable[[B, str, Sequence[Record], Targets], Iterable[Fault]] | None = None
    leans_through: tuple[str, ...] = ()
    outgrown_sees_all: bool = False
    named_by: Callable[[B], str | None] = lambda _body: None

    @property
    def in_turn(self) -> bool:
        """Whether changes of such records go one after the other in a club, before anything else is held.

        Whether they are right hangs on others of their kind, or they hold what every write holds: the club itself, and
        the member and the credential of whoever writes.
        """
        return self.way_in or self.outgrown_sees_all or self.table is tables.clubs

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
        return self._decoder.decode(text)

    @cached_property
    def _decoder(self) -> msgspec.json.Decoder[B]:
        return msgspec.json.Decoder(self.body)


def _beginning(name_field: str = "name") -> dict[str, Filter]:
    return {f"{name_field}_begins": Filter(column="name_key", type=Name, begins=True)}


def _token_in_utc(body: TokenBody) -> TokenBody:
    if body.expires_at is None:
        return body
    return msgspec.structs.replace(body, expires_at=body.expires_at.astimezone(UTC))


_OWNER = {"owner_id": Filter(column="owner_id", type=Identifier)}

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
    shed=("secret_sha256",),
    filters={"member_id": Filter(column="member_id", type=Identifier), **_beginning("label")},
    kept=_token_in_utc,
    references=named_by_token,
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
        **_OWNER,
        **_beginning(),
    },
    references=named_by_vehicle,
    outgrown=fewer_than_in_use,
    leans_through=("rakes",),
)
TRAINS = Kind(
    name="trains",
    one="train",
    body=TrainBody,
    table=tables.trains,
    owned=True,
    filters={**_OWNER, **_beginning()},
    references=named_by_stock,
    further=vehicles_in_rakes,
    faults=more_than_there_are,
)
RAKES = Kind(
    name="rakes",
    one="rake",
    body=RakeBody,
    table=tables.rakes,
    owned=True,
    filters={**_OWNER, **_beginning()},
    references=named_by_stock,
    faults=more_than_there_are,
    outgrown=more_than_its_trains_can_have,
    outgrown_sees_all=True,
)
MODULES = Kind(
    name="modules",
    one="module",
    body=ModuleBody,
    table=tables.modules,
    owned=True,
    filters={"scale": Filter(column="scale", type=ScaleName), **_OWNER, **_beginning()},
    references=owner_of,
)
STANDARDS = Kind(
    name="standards",
    one="standard",
    body=StandardBody,
    table=tables.standards,
    unique_name=True,
    filters=_beginning(),
    references=named_by_standard,
)
LAYOUTS = Kind(
    name="layouts",
    one="layout",
    body=LayoutBody,
    table=tables.layouts,
    unique_name=True,
    filters=_beginning(),
    cascades={"places": "parent_id", "yards": "parent_id"},
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
YARDS = Kind(
    name="yards",
    one="yard",
    body=YardBody,
    table=tables.yards,
    parent="layouts",
    unique_name=True,
    filters=_beginning(),
)

KINDS: Mapping[str, Kind[Any]] = {
    kind.name: kind
    for kind in (
        CLUBS,
        MEMBERS,
        TOKENS,
        COUPLING_TYPES,
        VEHICLES,
        RAKES,
        TRAINS,
        MODULES,
        STANDARDS,
        LAYOUTS,
        PLACES,
        YARDS,
    )
}

GONE_FOR_GOOD = frozenset(kind.name for kind in KINDS.values() if kind.shed)
"""The kinds whose records do not come back once they are deleted."""
