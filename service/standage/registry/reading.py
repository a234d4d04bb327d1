"""Reading what is kept. Every statement names the club, so that nothing of another club can come back."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from functools import cache
from typing import Any, Literal

import msgspec
from sqlalchemy import ColumnElement, Connection, Row, Select, bindparam, literal, select, tuple_
from sqlalchemy import true as anything
from sqlalchemy.types import TypeEngine

from standage.railway.terms.faults import Fault, Faulty
from standage.railway.terms.scraps import holds_half_a_character
from standage.registry import tables
from standage.registry.bodies import looks_like_id
from standage.registry.kinds import KINDS, Kind
from standage.registry.records import Absent, Change, Record

Hold = Literal["not", "shared", "alone"]
"""Whether a record read is held to the transaction's end: against changes, or against anybody else's holding it."""
Position = tuple[str, str]
_LAST_CHARACTER = 0x10FFFF
_SURROGATES = range(0xD800, 0xE000)


class Listing(msgspec.Struct, frozen=True, kw_only=True):
    """Which part of a list is wanted: by ``filters``, in what order, from just after a position, and how many.

    ``beneath`` narrows a list of what lies beneath several parents to one of them, which need not be there.
    """

    filters: Mapping[str, str] = {}
    beneath: str | None = None
    sort: str | None = None
    descending: bool = False
    after: Position | None = None
    limit: int = 50


class Reading:
    """What can be asked of the records of a club, over one connection and so of one snapshot."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def get(
        self, kind: Kind[Any], club_id: str, record_id: str, *, parent_id: str | None = None, hold: Hold = "not"
    ) -> Record:
        """Return the record; raise ``Absent`` where there is none, or none beneath that parent."""
        if looks_like_id(record_id):
            row = self.connection.execute(_wanted(kind, hold), {"club_id": club_id, "record_id": record_id}).first()
            if row is not None and (parent_id is None or row.parent_id == parent_id):
                return record_from(kind, row)
        raise Absent(f"there is no such {kind.one}")

    def many(self, kind: Kind[Any], club_id: str, record_ids: Iterable[str]) -> dict[str, Record]:
        """Return those records that there are, by id, in one statement."""
        wanted = sorted({record_id for record_id in record_ids if looks_like_id(record_id)})
        rows = self.connection.execute(live(kind, club_id).where(kind.table.c.id.in_(wanted)))
        return {row.id: record_from(kind, row) for row in rows}

    def page(
        self, kind: Kind[Any], club_id: str, listing: Listing | None = None, *, parent_id: str | None = None
    ) -> list[Record]:
        """Return part of the list of a club's records, all of them or those beneath a parent.

        Raises ``Absent`` where there is no such parent, ``Faulty`` where ``after`` is no position in this list. Raises
        ``KeyError`` for a filter or a sort that the kind does not declare.
        """
        listing = listing or Listing()
        if kind.parent is not None and parent_id is not None:
            self.get(KINDS[kind.parent], club_id, parent_id)
        above = listing.beneath if parent_id is None else parent_id
        if not all(storable(value) for value in (*listing.filters.values(), above or "")):
            return []
        statement = live(kind, club_id).where(*_filtered(kind, listing.filters))
        if above is not None:
            statement = statement.where(kind.table.c.parent_id == above)
        rows = self.connection.execute(_ordered(statement, kind, listing).limit(listing.limit))
        return [record_from(kind, row) for row in rows]

    def changes(self, kind: Kind[Any], club_id: str, record_id: str) -> list[Change]:
        """Return the history of one record, deleted or not, oldest first."""
        history = tables.history
        theirs = all_changes(club_id).where(history.c.kind == kind.name, history.c.record_id == record_id)
        return changes_from(self.connection, theirs.order_by(history.c.version))


def all_changes(club_id: str) -> Select[Any]:
    """Return the statement for the whole history of a club."""
    history = tables.history
    columns = (history.c[name] for name in Change.__struct_fields__)
    return select(*columns).where(history.c.club_id == club_id)


def changes_from(connection: Connection, statement: Select[Any]) -> list[Change]:
    """Return the changes that a narrowed ``all_changes`` finds."""
    return [Change(**row._mapping) for row in connection.execute(statement)]  # noqa: SLF001 - Row's public way


def position(kind: Kind[Any], record: Record, *, sort: str | None = None) -> Position:
    """Return where ``record`` stands in a list sorted that way: what ``Listing.after`` takes."""
    column = kind.sorts[sort or kind.name_field]
    if column == "name_key":
        return tables.name_key(kind.title(record.body)), record.id
    return getattr(record, column).isoformat(), record.id


@cache
def _wanted(kind: Kind[Any], hold: Hold = "not") -> Select[Any]:
    """Return the statement for one record: built once, since nearly every request asks it."""
    table = kind.table
    statement = _columns(kind).where(
        table.c.id == bindparam("record_id"), table.c.club_id == bindparam("club_id"), table.c.deleted_at.is_(None)
    )
    if hold == "not":
        return statement
    return statement.with_for_update(read=hold == "shared", key_share=hold == "alone")


@cache
def _columns(kind: Kind[Any]) -> Select[Any]:
    names = ("id", "club_id", "parent_id", "version", "created_at", "updated_at", "body")
    return select(*(kind.table.c[name] for name in names if name in kind.table.c))


def live(kind: Kind[Any], club_id: str) -> Select[Any]:
    """Return the statement for all of a club's records of that kind that are not deleted."""
    return _columns(kind).where(kind.table.c.club_id == club_id, kind.table.c.deleted_at.is_(None))


def kept(kind: Kind[Any], club_id: str) -> Select[Any]:
    """Return the statement for all of a club's records of that kind, with those deleted and not yet purged."""
    return _columns(kind).add_columns(kind.table.c.deleted_at).where(kind.table.c.club_id == club_id)


def record_from(kind: Kind[Any], row: Row[Any]) -> Record:
    """Return the record in a row of ``live``."""
    return Record(
        id=row.id,
        kind=kind.name,
        club_id=row.club_id,
        parent_id=row.parent_id if kind.parent is not None else None,
        version=row.version,
        created_at=row.created_at,
        updated_at=row.updated_at,
        body=kind.decode(row.body),
    )


def _filtered(kind: Kind[Any], filters: Mapping[str, str]) -> Iterable[ColumnElement[bool]]:
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
    """Return the least text that comes after every one that begins with ``text``, in order of code points."""
    while text and ord(text[-1]) == _LAST_CHARACTER:
        text = text[:-1]
    if not text:
        return None
    following = ord(text[-1]) + 1
    return text[:-1] + chr(_SURROGATES.stop if following in _SURROGATES else following)


def _ordered(statement: Select[Any], kind: Kind[Any], listing: Listing) -> Select[Any]:
    name = kind.sorts[listing.sort or kind.name_field]
    sort, tie_break = kind.table.c[name], kind.table.c.id
    return in_order(statement, sort, tie_break, listing)


def in_order(
    statement: Select[Any], sort: ColumnElement[Any], tie_break: ColumnElement[str], listing: Listing
) -> Select[Any]:
    """Return the statement in order of ``sort``, from just after the position that ``listing`` gives.

    Raises ``Faulty`` where that is no position in such a list.
    """
    if listing.after is not None:
        value = literal(_sort_value(sort.type, listing.after), sort.type)
        here, there = tuple_(sort, tie_break), tuple_(value, literal(listing.after[1], tie_break.type))
        statement = statement.where(here < there if listing.descending else here > there)
    if listing.descending:
        return statement.order_by(sort.desc(), tie_break.desc())
    return statement.order_by(sort, tie_break)


def _sort_value(sorted_by: TypeEngine[Any], after: Position) -> str | datetime:
    bad = Faulty([Fault(code="bad_cursor", message="is not a cursor of this list", parameter="cursor")])
    if not all(storable(text) for text in after):
        raise bad
    if not isinstance(sorted_by, tables.UtcDateTime):
        return after[0]
    try:
        moment = datetime.fromisoformat(after[0])
        return moment.astimezone(UTC) if moment.tzinfo is not None else moment.replace(tzinfo=UTC)
    except (ValueError, OverflowError):
        raise bad from None


def storable(text: str) -> bool:
    """Tell whether both databases can be asked for ``text``."""
    return "\x00" not in text and not holds_half_a_character(text)


def listed(names: Sequence[str], *, most: int) -> str:
    """Return names as a person would list them; those beyond ``most`` are others.

    >>> listed(["a", "b", "c"], most=2)
    'a, b and others'
    """
    if len(names) > most:
        return f"{', '.join(names[:most])} and others"
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)
