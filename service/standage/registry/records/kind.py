"""What a descriptor of a sort of record holds: all that the write path, the routes and
the rights need to know.

A descriptor is pure: what it needs of other records is handed to it. What it says is
grouped by who asks: ``Naming``, ``Rights``, ``Life``, ``Leaning`` and ``Room``.
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
from standage.registry.records.record import Record, to_text
from standage.registry.records.references import Reference, Targets
from standage.shapes.faults import Fault

B = TypeVar("B", bound=msgspec.Struct)
Takes = TypeVar("Takes", bound=msgspec.Struct, contravariant=True)  # noqa: PLC0105 - read as a word

NAMELESS = "without a name"
"""What a record is called that needs no name and has none."""
RECORD_BYTES = 256 * 1024
"""So long a body that is sent may be, where its kind says nothing else."""
SECRET_COLUMN = "secret_sha256"  # noqa: S105 - the column's name
"""The hash by which a record that lets somebody in is found; emptied for good when it
is deleted.
"""


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


def _by_no_name(_body: msgspec.Struct) -> None:
    return None


@dataclass(frozen=True, kw_only=True)
class Naming(Generic[Takes]):
    """What records of a kind are called."""

    field: str = "name"
    """Where in the body the name stands."""
    unique: bool = False
    """Whether no two of a club, or beneath one parent, may share a name."""
    sole: bool = False
    """Whether there is one at most beneath a parent, whatever it is called."""
    leaned_on_as: Callable[[Takes], str | None] = _by_no_name
    """The ``name_key`` by which other records may name one instead of by its id."""
    looked_up_by: Callable[[Takes], Mapping[str, str | None]] = lambda _body: {}
    """Further columns that are made of a body, by which its record is found."""


@dataclass(frozen=True, kw_only=True)
class Rights:
    """Whose records of a kind are."""

    owned: bool = False
    """Whether the body's ``owner_id`` says whose it is."""
    as_above: bool = False
    """Whether it is whose the record is beneath which it lies."""
    way_in: bool = False
    """Whether a change might leave the club without a steward who can get in."""


@dataclass(frozen=True, kw_only=True)
class Life(Generic[B]):
    """What may become of a record once it is made."""

    kept: Callable[[B, datetime], B] = _as_sent
    """The body as it is put down, of the one that was sent and the moment."""
    changeable: bool = True
    fixed: tuple[str, ...] = ()
    """The fields that keep the value they were created with."""
    removable: bool = True
    cascades: Mapping[str, str] = field(default_factory=dict)
    """The kinds deleted with it, and the column that points back."""
    shown_once: str | None = None
    """The field in which the answer to its creation shows a secret. The secret's hash
    goes when the record is deleted, so that such a record never comes back.
    """


@dataclass(frozen=True, kw_only=True)
class Leaning(Generic[Takes]):
    """What records of a kind name, and what that makes right or wrong."""

    on: Callable[[Takes], Iterable[Reference]] = _nothing
    """What a body names."""
    further: Callable[[Takes, Targets], Iterable[Reference]] = _nothing
    """What the records it names name in their turn, as far as ``faults`` must see."""
    faults: Callable[[Takes, Targets], Iterable[Fault]] = _nothing
    outgrown: (
        Callable[[Takes, str, Sequence[Record], Targets], Iterable[Fault]] | None
    ) = None
    """Yields what a change does to the records that lean on this one."""
    through: tuple[str, ...] = ()
    """The kinds through whose records others lean on this one as well."""
    sees_all: bool = False
    """Whether ``outgrown`` is given all that those who lean name, too."""


@dataclass(frozen=True, kw_only=True)
class Summary(Generic[Takes]):
    """What a list shows of a big body, kept beside it: in a column ``summary``."""

    type: type[msgspec.Struct]
    """What it holds, the body's name among it."""
    of: Callable[[Takes], msgspec.Struct]


@dataclass(frozen=True, kw_only=True)
class Room(Generic[Takes]):
    """How big records of a kind may be, and what that asks for."""

    body_bytes: int = RECORD_BYTES
    summary: Summary[Takes] | None = None
    revised: bool = False
    """Whether numbered revisions are saved of it; the record itself is the draft."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Kind(Generic[B]):
    """One sort of record.

    ``name`` is its plural as in a path, ``one`` its name in a message. ``parent`` is
    the kind beneath which it lies.
    """

    name: str
    one: str
    body: type[B]
    table: Table
    parent: str | None = None
    naming: Naming[B] = Naming()
    rights: Rights = Rights()
    filters: Mapping[str, Filter] = field(default_factory=dict)
    life: Life[B] = Life()
    leaning: Leaning[B] = Leaning()
    room: Room[B] = Room()

    @property
    def listed_at(self) -> str:
        """Where the club's records of this kind are listed."""
        if self.parent is None:
            return f"/v1/{self.name}"
        parent_id = f"{{{self.parent.removesuffix('s')}_id}}"
        return f"/v1/{self.parent}/{parent_id}/{self.name}"

    @property
    def told_apart_by_name(self) -> bool:
        """Whether people tell such records apart by their names: not clubs, nor what
        has a secret and a label, nor what there is one of.
        """
        if self.life.shown_once is not None or self.naming.sole:
            return False
        return self.table is not tables.clubs

    @property
    def in_turn(self) -> bool:
        """Whether changes of such records go one after the other in a club, before
        anything else is held.

        Whether they are right hangs on others of their kind, or they hold what every
        write holds: the club itself, and the member and the credential of whoever
        writes.
        """
        is_the_club = self.table is tables.clubs
        return self.rights.way_in or self.leaning.sees_all or is_the_club

    @property
    def sorts(self) -> Mapping[str, str]:
        """The ways to sort a list, each with its column; every one goes up or down."""
        return {
            self.naming.field: "name_key",
            "created_at": "created_at",
            "updated_at": "updated_at",
        }

    def key(self, body: msgspec.Struct) -> str:
        """Return what is compared of the name where no two may share one, and sorted
        by.
        """
        if self.naming.sole:
            return ""
        return name_key(self.title(body))

    def title(self, body: msgspec.Struct) -> str:
        """Return what a record with that body is called."""
        return str(getattr(body, self.naming.field) or NAMELESS)

    def title_in(self, told: Mapping[str, Any]) -> str:
        """Return what a record is called of which the body was kept as JSON."""
        return str(told.get(self.naming.field) or NAMELESS)

    def filing(self, body: B) -> dict[str, str | None]:
        """Return the columns that are made of the body, for lists to be filtered and
        sorted by and records found by.
        """
        filed: dict[str, str | None] = {"name_key": self.key(body)}
        for one in self.filters.values():
            if one.column != "name_key":
                filed[one.column] = getattr(body, one.column)
        if self.room.summary is not None:
            filed["summary"] = self.summary_text(body)
        filed.update(self.naming.looked_up_by(body))
        return filed

    def summary_text(self, body: B) -> str | None:
        """Return the summary of a body as it is kept; None of a kind without."""
        summary = self.room.summary
        if summary is None:
            return None
        return to_text(summary.of(body))

    def decode(self, text: str) -> B:
        """Return the body that was kept as ``text``."""
        return self.decoder.decode(text)

    def decode_summary(self, text: str) -> msgspec.Struct:
        """Return the summary that was kept as ``text``."""
        return self._summary_decoder.decode(text)

    @cached_property
    def _summary_decoder(self) -> msgspec.json.Decoder[msgspec.Struct]:
        if self.room.summary is None:
            raise TypeError(f"{self.name} have no summary")
        return msgspec.json.Decoder(self.room.summary.type)

    @cached_property
    def decoder(self) -> msgspec.json.Decoder[B]:
        """What decodes bodies as they were kept."""
        return msgspec.json.Decoder(self.body)
