"""What a descriptor of a sort of record holds: all that the write path, the routes and
the rights need to know.

A descriptor is pure: what it needs of other records is handed to it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Any, Generic, TypeVar

import msgspec
from sqlalchemy import Table

from standage.registry.database import tables
from standage.registry.database.tables import name_key
from standage.registry.records.record import Record
from standage.registry.records.references import Reference, Targets
from standage.shapes.faults import Fault

B = TypeVar("B", bound=msgspec.Struct)


class Filter(msgspec.Struct, frozen=True, kw_only=True):
    """A way to narrow a list: the column it looks at, what may be asked for, and
    whether a beginning is enough.
    """

    column: str
    type: Any
    begins: bool = False


def _nothing(*_: object) -> tuple[()]:
    return ()


def _as_sent(body: B, _now: datetime) -> B:
    return body


@dataclass(frozen=True, kw_only=True, eq=False)
class Kind(Generic[B]):
    """One sort of record.

    ``name`` is its plural as in a path, ``one`` its name in a message. ``parent`` is
    the kind beneath which it lies. ``owned`` means that the body's ``owner_id`` says
    whose it is. ``fixed`` fields keep the value they were created with; of one that is
    not ``changeable`` all of them do. ``shown_once`` names the field in which the
    answer to its creation shows a secret. ``cascades`` names kinds deleted with it, and
    the column that points back. ``shed`` columns are emptied when it is deleted, so
    that it cannot come back. ``way_in`` means that changing one might leave the club
    without a steward who can get in.

    ``references`` are what a body names; ``further`` what the records it names name in
    their turn, as far as ``faults`` has to see it. ``outgrown`` yields what a change
    does to the records that lean on this one, directly or through those of the kinds in
    ``leans_through``; with ``outgrown_sees_all`` it also gets whatever those name.
    """

    name: str
    one: str
    body: type[B]
    table: Table
    parent: str | None = None
    owned: bool = False
    unique_name: bool = False
    removable: bool = True
    changeable: bool = True
    shown_once: str | None = None
    way_in: bool = False
    name_field: str = "name"
    fixed: tuple[str, ...] = ()
    filters: Mapping[str, Filter] = field(default_factory=dict)
    cascades: Mapping[str, str] = field(default_factory=dict)
    shed: tuple[str, ...] = ()
    kept: Callable[[B, datetime], B] = _as_sent
    references: Callable[[B], Iterable[Reference]] = _nothing
    further: Callable[[B, Targets], Iterable[Reference]] = _nothing
    faults: Callable[[B, Targets], Iterable[Fault]] = _nothing
    outgrown: Callable[[B, str, Sequence[Record], Targets], Iterable[Fault]] | None = (
        None
    )
    leans_through: tuple[str, ...] = ()
    outgrown_sees_all: bool = False
    named_by: Callable[[B], str | None] = lambda _body: None

    @property
    def listed_at(self) -> str:
        """Where the club's records of this kind are listed."""
        above = (
            ""
            if self.parent is None
            else f"{self.parent}/{{{self.parent.removesuffix('s')}_id}}/"
        )
        return f"/v1/{above}{self.name}"

    @property
    def told_apart_by_name(self) -> bool:
        """Whether people tell such records apart by their names: not clubs, nor what
        has a secret and a label.
        """
        return self.shown_once is None and self.table is not tables.clubs

    @property
    def in_turn(self) -> bool:
        """Whether changes of such records go one after the other in a club, before
        anything else is held.

        Whether they are right hangs on others of their kind, or they hold what every
        write holds: the club itself, and the member and the credential of whoever
        writes.
        """
        return self.way_in or self.outgrown_sees_all or self.table is tables.clubs

    @property
    def sorts(self) -> Mapping[str, str]:
        """The ways to sort a list, each with its column; every one goes up or down."""
        return {
            self.name_field: "name_key",
            "created_at": "created_at",
            "updated_at": "updated_at",
        }

    def title(self, body: msgspec.Struct) -> str:
        """Return what a record with that body is called."""
        return str(getattr(body, self.name_field))

    def filing(self, body: B) -> dict[str, str | None]:
        """Return the columns that are copied from the body for lists to be filtered and
        sorted by.
        """
        columns = {one.column for one in self.filters.values()} - {"name_key"}
        return {
            "name_key": name_key(self.title(body)),
            **{column: getattr(body, column) for column in columns},
        }

    def decode(self, text: str) -> B:
        """Return the body that was kept as ``text``."""
        return self._decoder.decode(text)

    @cached_property
    def _decoder(self) -> msgspec.json.Decoder[B]:
        return msgspec.json.Decoder(self.body)
