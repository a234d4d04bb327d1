"""Reading what is kept. Every statement names the club, so that nothing of another club
can come back.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from functools import cache
from typing import Any, ClassVar, Literal

import msgspec
from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    Integer,
    Row,
    Select,
    bindparam,
    literal,
    select,
    tuple_,
)
from sqlalchemy import true as anything
from sqlalchemy.types import TypeEngine

from standage.registry.database import tables
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.joint_reading import Wanted, together
from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.names_found import Called, called, storable
from standage.registry.records.record import Change, Kept, Record
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Absent

Hold = Literal["not", "shared", "alone"]
"""Whether a record read is held to the transaction's end: against changes, or against
anybody else's holding it.
"""
Position = tuple[str, str]
_ENVELOPE = ("id", "club_id", "parent_id", "version", "created_at", "updated_at")
_MOST_VERSIONS = 2**31 - 1
_PAGE = 500
_LAST_CHARACTER = 0x10FFFF
_SURROGATES = range(0xD800, 0xE000)


class Listing(msgspec.Struct, frozen=True, kw_only=True):
    """Which part of a list is wanted: by ``filters``, in what order, from just after a
    position, and how many.

    ``beneath`` narrows a list of what lies beneath several parents to one of them,
    which need not be there.
    """

    filters: Mapping[str, str] = {}
    beneath: str | None = None
    sort: str | None = None
    descending: bool = False
    after: Position | None = None
    limit: int = 50


class Reading:
    """What can be asked of the records of a club, over one connection and so of one
    snapshot.
    """

    shows_revisions: ClassVar[bool] = True
    """Whether whoever reads sees what was saved of drafts."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def get(
        self,
        kind: Kind[Any],
        club_id: str,
        record_id: str,
        *,
        parent_id: str | None = None,
        hold: Hold = "not",
    ) -> Record:
        """Return the record; raise ``Absent`` where there is none, or none beneath that
        parent.
        """
        if looks_like_id(record_id):
            found = self._found(
                kind, {"club_id": club_id, "record_id": record_id}, hold
            )
            if found is not None and (
                parent_id is None or found.parent_id == parent_id
            ):
                return found
        raise Absent(f"there is no such {kind.one}")

    def _found(
        self, kind: Kind[Any], wanted: Mapping[str, str], hold: Hold
    ) -> Record | None:
        statement = _wanted(kind)
        if hold != "not":
            statement = _held(kind, hold)
        row = self.connection.execute(statement, wanted).first()
        if row is None:
            return None
        return record_from(kind, row)

    def many(
        self, kind: Kind[Any], club_id: str, record_ids: Iterable[str]
    ) -> dict[str, Record]:
        """Return those records that there are, by id, in one statement."""
        wanted = sorted(
            {record_id for record_id in record_ids if looks_like_id(record_id)}
        )
        if not wanted:
            return {}
        rows = self.connection.execute(
            _several(kind), {"club_id": club_id, "record_ids": wanted}
        ).all()
        return {row.id: record_from(kind, row) for row in rows}

    def called(
        self, kind: Kind[Any], club_id: str, names: Iterable[str]
    ) -> dict[str, Called]:
        """Return what bears each of these names, by its ``name_key``: letter case and
        spacing aside.
        """
        return called(self.connection, kind, club_id, names)

    def together(self, club_id: str, wanted: Sequence[Wanted]) -> list[list[Kept]]:
        """Return records of several kinds, each list in order of names, in one
        statement.
        """
        return together(self.connection, club_id, wanted)

    def first(
        self, kind: Kind[Any], club_id: str, most: int, *, parent_id: str | None = None
    ) -> list[Record]:
        """Return the club's records in order of their names, ``most`` at the utmost;
        those beneath a parent if given.

        Whether there is such a parent is not looked at.
        """
        named: dict[str, Any] = {"club_id": club_id, "most": most}
        if parent_id is not None:
            named["parent_id"] = parent_id
        statement = _by_name(kind, beneath=parent_id is not None)
        rows = self.connection.execute(statement, named).all()
        return [record_from(kind, row) for row in rows]

    def page(
        self,
        kind: Kind[Any],
        club_id: str,
        listing: Listing | None = None,
        *,
        parent_id: str | None = None,
    ) -> list[Record]:
        """Return part of the list of a club's records, all of them or those beneath a
        parent; of a kind that has summaries with those in place of their bodies.

        Raises ``Absent`` where there is no such parent, ``Faulty`` where ``after`` is
        no position in this list. Raises ``KeyError`` for a filter or a sort that the
        kind does not declare.
        """
        listing = listing or Listing()
        above = listing.beneath
        if kind.parent is not None and parent_id is not None:
            self.get(KINDS[kind.parent], club_id, parent_id)
        if parent_id is not None:
            above = parent_id
        asked = [*listing.filters.values(), above or ""]
        if not all(map(storable, asked)):
            # no record has in it what cannot be stored
            return []
        if any(kind.filters[name].begins for name in listing.filters):
            self._plan_for_what_is_asked()
        statement = _listed(kind, club_id).where(*_filtered(kind, listing.filters))
        if above is not None:
            statement = statement.where(kind.table.c.parent_id == above)
        ordered = _ordered(statement, kind, listing)
        rows = self.connection.execute(ordered.limit(listing.limit))
        decode = _shown(kind)
        return [record_from(kind, row, decode=decode) for row in rows]

    def _plan_for_what_is_asked(self) -> None:
        """Have PostgreSQL plan for this very beginning: a plan for any would go through
        the list in its order.
        """
        if self.connection.dialect.name == "postgresql":
            self.connection.exec_driver_sql(
                "SET LOCAL plan_cache_mode = force_custom_plan"
            )

    def every(
        self, kind: Kind[Any], club_id: str, *, parent_id: str | None = None
    ) -> list[Record]:
        """Return the whole list, however long it is, by name: read page by page."""
        found = page = self.first(kind, club_id, _PAGE, parent_id=parent_id)
        following = live(kind, club_id)
        if parent_id is not None:
            following = following.where(kind.table.c.parent_id == parent_id)
        while len(page) == _PAGE:
            listing = Listing(
                limit=_PAGE,
                after=position(kind, page[-1]),
            )
            ordered = _ordered(following, kind, listing)
            rows = self.connection.execute(ordered.limit(_PAGE))
            page = [record_from(kind, row) for row in rows]
            found = [*found, *page]
        return found

    def changes(self, kind: Kind[Any], club_id: str, record_id: str) -> list[Change]:
        """Return the history of one record, deleted or not, oldest first."""
        history = tables.history
        theirs = all_changes(club_id).where(
            history.c.kind == kind.name,
            history.c.record_id == record_id,
        )
        oldest_first = theirs.order_by(history.c.version)
        return changes_from(self.connection, oldest_first)


def all_changes(club_id: str) -> Select[Any]:
    """Return the statement for the whole history of a club."""
    history = tables.history
    columns = [history.c[name] for name in Change.__struct_fields__]
    statement = select(*columns)
    return statement.where(history.c.club_id == club_id)


def changes_from(connection: Connection, statement: Select[Any]) -> list[Change]:
    """Return the changes that a narrowed ``all_changes`` finds."""
    return changes_of(connection.execute(statement))


def changes_of(rows: Iterable[Row[Any]]) -> list[Change]:
    """Return the changes in rows of ``all_changes``."""
    return [Change(**row._mapping) for row in rows]  # noqa: SLF001 - Row's public way


def position(kind: Kind[Any], record: Record, *, sort: str | None = None) -> Position:
    """Return where ``record`` stands in a list sorted that way: what ``Listing.after``
    takes.
    """
    column = kind.sorts[sort or kind.naming.field]
    if column == "name_key":
        return kind.key(record.body), record.id
    return getattr(record, column).isoformat(), record.id


@cache
def _wanted(kind: Kind[Any]) -> Select[Any]:
    is_it = kind.table.c.id == bindparam("record_id")
    return _alive(kind).where(is_it)


@cache
def _held(kind: Kind[Any], hold: Hold) -> Select[Any]:
    """Return the statement for one record that is held: built once, as every one that
    nearly every request asks.
    """
    return _wanted(kind).with_for_update(
        read=hold == "shared", key_share=hold == "alone"
    )


@cache
def _several(kind: Kind[Any]) -> Select[Any]:
    ids: BindParameter[list[str]] = bindparam("record_ids", expanding=True)
    statement = _alive(kind)
    return statement.where(kind.table.c.id.in_(ids))


@cache
def _by_name(kind: Kind[Any], *, beneath: bool) -> Select[Any]:
    columns = kind.table.c
    statement = _alive(kind)
    if beneath:
        is_beneath = columns.parent_id == bindparam("parent_id")
        statement = statement.where(is_beneath)
    ordered = statement.order_by(columns.name_key, columns.id)
    most = bindparam("most", type_=Integer)
    return ordered.limit(most)


@cache
def _alive(kind: Kind[Any]) -> Select[Any]:
    """Return the statement for all of a club's records of that kind that are not
    deleted; the club is to be bound.
    """
    return _columns(kind).where(
        kind.table.c.club_id == bindparam("club_id"), kind.table.c.deleted_at.is_(None)
    )


@cache
def _columns(kind: Kind[Any]) -> Select[Any]:
    return select(
        *(kind.table.c[name] for name in _ENVELOPE if name in kind.table.c),
        kind.table.c.body,
    )


def live(kind: Kind[Any], club_id: str) -> Select[Any]:
    """Return the statement for all of a club's records of that kind that are not
    deleted.
    """
    return _columns(kind).where(
        kind.table.c.club_id == club_id, kind.table.c.deleted_at.is_(None)
    )


def _listed(kind: Kind[Any], club_id: str) -> Select[Any]:
    """Return ``live`` with what a list shows of a body in the body's place."""
    if kind.room.summary is None:
        return live(kind, club_id)
    columns = kind.table.c
    envelope = [columns[name] for name in _ENVELOPE if name in columns]
    summary = columns.summary.label("body")
    return select(*envelope, summary).where(
        columns.club_id == club_id,
        columns.deleted_at.is_(None),
    )


def _shown(kind: Kind[Any]) -> Callable[[str], msgspec.Struct]:
    if kind.room.summary is None:
        return kind.decode
    return kind.decode_summary


def kept(kind: Kind[Any], club_id: str) -> Select[Any]:
    """Return the statement for all of a club's records of that kind, with those deleted
    and not yet purged.
    """
    return (
        _columns(kind)
        .add_columns(kind.table.c.deleted_at)
        .where(kind.table.c.club_id == club_id)
    )


def record_from(
    kind: Kind[Any],
    row: Row[Any],
    *,
    decode: Callable[[str], msgspec.Struct] | None = None,
) -> Record:
    """Return the record in a row of ``live``, whatever other columns it has besides."""
    decoded = decode or kind.decode
    return Record(
        id=row.id,
        kind=kind.name,
        club_id=row.club_id,
        parent_id=None if kind.parent is None else row.parent_id,
        version=row.version,
        created_at=row.created_at,
        updated_at=row.updated_at,
        body=decoded(row.body),
    )


def _filtered(
    kind: Kind[Any], filters: Mapping[str, str]
) -> Iterable[ColumnElement[bool]]:
    for name, value in filters.items():
        wanted = kind.filters[name]
        column = kind.table.c[wanted.column]
        if not wanted.begins:
            yield column == value
        elif beginning := tables.name_key(value):
            end = _after_all_that_begin_with(beginning)
            yield column >= beginning
            yield anything() if end is None else column < end


def _after_all_that_begin_with(text: str) -> str | None:
    """Return the least text that comes after every one that begins with ``text``, in
    order of code points.
    """
    while text and ord(text[-1]) == _LAST_CHARACTER:
        text = text[:-1]
    if not text:
        return None
    following = ord(text[-1]) + 1
    if following in _SURROGATES:
        # no text has these in it
        following = _SURROGATES.stop
    return text[:-1] + chr(following)


def _ordered(statement: Select[Any], kind: Kind[Any], listing: Listing) -> Select[Any]:
    columns = kind.table.c
    name = listing.sort or kind.naming.field
    sorted_by = columns[kind.sorts[name]]
    return in_order(statement, sorted_by, columns.id, listing)


def in_order(
    statement: Select[Any],
    sort: ColumnElement[Any],
    tie_break: ColumnElement[str],
    listing: Listing,
) -> Select[Any]:
    """Return the statement in order of ``sort``, from just after the position that
    ``listing`` gives.

    Raises ``Faulty`` where that is no position in such a list.
    """
    if listing.after is not None:
        _, record_id = listing.after
        value = literal(_sort_value(sort.type, listing.after), sort.type)
        here = tuple_(sort, tie_break)
        there = tuple_(value, literal(record_id, tie_break.type))
        follows = here > there
        if listing.descending:
            follows = here < there
        statement = statement.where(follows)
    if listing.descending:
        return statement.order_by(sort.desc(), tie_break.desc())
    return statement.order_by(sort, tie_break)


def _version(text: str) -> int:
    """Return the version that a cursor names; raises ``ValueError`` where it is none
    that a database can hold.
    """
    version = int(text)
    if not 0 <= version <= _MOST_VERSIONS:
        raise ValueError(text)
    return version


def _sort_value(sorted_by: TypeEngine[Any], after: Position) -> str | int | datetime:
    bad = Faulty(
        [
            Fault(
                code="bad_cursor",
                message="is not a cursor of this list",
                parameter="cursor",
            )
        ]
    )
    if not all(map(storable, after)):
        raise bad
    if not isinstance(sorted_by, tables.UtcDateTime | Integer):
        return after[0]
    try:
        if isinstance(sorted_by, Integer):
            return _version(after[0])
        moment = datetime.fromisoformat(after[0])
        if moment.tzinfo is None:
            return moment.replace(tzinfo=UTC)
        return moment.astimezone(UTC)
    except (ValueError, OverflowError):
        raise bad from None
