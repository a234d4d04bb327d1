"""Lists of what was told of records: history, and changes that were refused."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Row, Select, Table

from standage.registry.records.names_found import storable
from standage.registry.records.reading import Listing, in_order


class ToldList(NamedTuple):
    """A table whose rows each tell of one record: all of them that count, and in which
    order they are listed.
    """

    table: Table
    rows: Select[Any]
    order: ColumnElement[Any]


def page_told(
    connection: Connection,
    told: ToldList,
    listing: Listing,
    *,
    hidden: frozenset[str] = frozenset(),
) -> Sequence[Row[Any]]:
    """Return part of a list; nothing about kinds that are ``hidden``.

    The names of the filters are those of columns. Raises ``Faulty`` where ``after`` is
    no position in this list.
    """
    if not all(map(storable, listing.filters.values())):
        return []
    columns = told.table.c
    statement = told.rows.where(
        *(columns[name] == value for name, value in listing.filters.items())
    )
    if hidden:
        statement = statement.where(columns.kind.not_in(sorted(hidden)))
    ordered = in_order(
        statement,
        told.order,
        columns.id,
        listing,
    )
    return connection.execute(ordered.limit(listing.limit)).all()
