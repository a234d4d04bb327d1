"""Names of other records in the same list that look like a name that is written.

A name is looked for as a pattern: at each place any character that looks like the one
there. The database goes through the list's index with it, in one statement, and sends
what fits; whether that looks alike is found out here. So the list does not come into
memory, and no shape of each name is kept on record, to be made anew whenever the table
of characters grows. Measured among 20,000 names: 3 to 14 ms on SQLite, 18 to 41 ms on
PostgreSQL.

What it does not find: signs of several letters, such as Ⅲ, and letters with accents
that are one character in one alphabet and two in another.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Annotated, Any

import msgspec
from sqlalchemy import (
    JSON,
    ColumnElement,
    Connection,
    and_,
    cast,
    false,
    func,
    or_,
    select,
)

from standage.railway.terms.figures import says
from standage.railway.terms.look_alikes import (
    FORMS_AS_RANGES,
    look_alike,
    plain_letter,
    spelt_like,
    warning,
)
from standage.registry.database.tables import name_key
from standage.registry.records.kind import Kind
from standage.registry.records.reading import live, record_from
from standage.registry.records.record import Record

MOST_LOOKED_FOR = 10
"""Of so many names at once: each goes through the whole list, which takes some
milliseconds where it is long.
"""
_MOST_FOUND = 200
_MOST_TOLD = 5
_OF_PATTERNS = frozenset("[]^\\")
"""What means something between the brackets of a pattern."""


class LookAlike(msgspec.Struct, frozen=True, kw_only=True):
    """Another record whose name looks like one that was written."""

    id: Annotated[str, says("The id of the other record.")]
    name: Annotated[str, says("What the other record is called.")]
    message: Annotated[str, says("Which names look alike, and by what they differ.")]


def looking_alike(
    connection: Connection, kind: Kind[Any], records: Sequence[Record]
) -> list[LookAlike]:
    """Return the records whose names look like those of ``records``, which are of one
    club and on record already.

    Of one name five at most, each with a name of its own; of many records the first ten
    are looked at. Names that are the same, letter case and spacing aside, do not look
    alike: where they may stand side by side, they are meant to.
    """
    looked_at = records[:MOST_LOOKED_FOR]
    if not kind.told_apart_by_name or not looked_at:
        return []
    found = _perhaps_alike(connection, kind, looked_at)
    told: list[LookAlike] = []
    for record in looked_at:
        told += _told(kind, record, found)
    return told


class Named(msgspec.Struct, frozen=True, kw_only=True):
    """A record by its id and its name alone."""

    id: str
    name: str


def perhaps_called_alike(
    connection: Connection, kind: Kind[Any], club_id: str, names: Collection[str]
) -> list[Named]:
    """Return the records of a club whose names may look like one of ``names``.

    Of more names than are looked for one by one, all records of the kind: their names
    are then read once, and nothing else of them.
    """
    table = kind.table
    title = _title(connection, kind)
    wanted = select(table.c.id, title).where(
        table.c.club_id == club_id,
        table.c.deleted_at.is_(None),
    )
    if len(names) <= MOST_LOOKED_FOR:
        fits = [_looks_like(connection, kind, name) for name in sorted(names)]
        # without names nothing looks like one of them
        any_fits = or_(false(), *fits)
        wanted = wanted.where(any_fits).limit(_MOST_FOUND * MOST_LOOKED_FOR)
    in_order = wanted.order_by(table.c.name_key, table.c.id)
    rows = connection.execute(in_order)
    return [
        Named(
            id=record_id,
            name=name,
        )
        for record_id, name in rows
    ]


def _title(connection: Connection, kind: Kind[Any]) -> ColumnElement[str]:
    """Return what names a record, taken out of its body by the database."""
    body = kind.table.c.body
    if connection.dialect.name == "postgresql":
        title: ColumnElement[str] = cast(body, JSON)["name"].as_string()
        return title
    return func.json_extract(body, "$.name")


def _perhaps_alike(
    connection: Connection, kind: Kind[Any], records: Sequence[Record]
) -> list[Record]:
    """Return those on record whose names may look like one of these, in order of their
    names.
    """
    table = kind.table
    fits = or_(*(_may_look_like(connection, kind, record) for record in records))
    wanted = (
        live(kind, records[0].club_id)
        .where(fits)
        .order_by(table.c.name_key, table.c.id)
    )
    return [
        record_from(kind, row)
        for row in connection.execute(wanted.limit(_MOST_FOUND * len(records)))
    ]


def _may_look_like(
    connection: Connection, kind: Kind[Any], record: Record
) -> ColumnElement[bool]:
    fits = _looks_like(connection, kind, kind.title(record.body))
    if kind.parent is None:
        return fits
    return and_(kind.table.c.parent_id == record.parent_id, fits)


def _looks_like(
    connection: Connection, kind: Kind[Any], called: str
) -> ColumnElement[bool]:
    name = kind.table.c.name_key
    key = name_key(called)
    ways = [_fits(connection, name, key)]
    # rn and m look alike, and are not of one length
    shortened = key.replace("rn", "m")
    if "m" in map(plain_letter, shortened):
        name_shortened = func.replace(name, "rn", "m")
        ways.append(_fits(connection, name_shortened, shortened))
    looks_alike = or_(*ways)
    return and_(name != key, looks_alike)


def _fits(
    connection: Connection, column: ColumnElement[str], key: str
) -> ColumnElement[bool]:
    """Return that a column is a name of which each character may stand for the one of
    ``key`` at that place.

    The length comes first, as it is the quicker to tell.
    """
    is_as_long = func.length(column) == len(key)
    if connection.dialect.name == "postgresql":
        places = "".join(_places(key, anything="."))
        matches = column.bool_op("~")(f"^{places}$")
    else:
        places = "".join(_places(key, anything="?"))
        matches = column.bool_op("GLOB")(places)
    return and_(is_as_long, matches)


def _places(key: str, *, anything: str) -> Iterator[str]:
    """Yield the pattern of each character; a sign that may mean something in a pattern
    is left open.
    """
    for letter in key:
        spelt = spelt_like(letter)
        is_plain = letter == " " or letter.isalnum() or len(spelt) > 1
        if is_plain and _OF_PATTERNS.isdisjoint(spelt):
            # A hyphen between others would be a range, so it comes last.
            others = spelt.replace("-", "") + FORMS_AS_RANGES
            yield f"[{others}{'-' * ('-' in spelt)}]"
        else:
            yield anything


def _told(
    kind: Kind[Any], record: Record, found: Iterable[Record]
) -> Iterator[LookAlike]:
    name = kind.title(record.body)
    key = name_key(name)
    others: Mapping[str, Record] = _by_name(kind, found, beneath=record.parent_id)
    alike = [
        other
        for its_key, other in others.items()
        if its_key != key and look_alike(name, kind.title(other.body))
    ]
    for other in alike[:_MOST_TOLD]:
        its_name = kind.title(other.body)
        message = warning(name, its_name, where=f"which is another {kind.one} here")
        yield LookAlike(
            id=other.id,
            name=its_name,
            message=message,
        )


def _by_name(
    kind: Kind[Any], records: Iterable[Record], *, beneath: str | None
) -> dict[str, Record]:
    """Return the first record of each name beneath one parent."""
    by_name: dict[str, Record] = {}
    for record in records:
        if record.parent_id == beneath:
            by_name.setdefault(name_key(kind.title(record.body)), record)
    return by_name
