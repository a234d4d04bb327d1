"""What bears a name in a club, in one statement however many names there are."""

from collections.abc import Iterable
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, func, select

from standage.registry.database.lots import lots
from standage.registry.database.tables import name_key
from standage.registry.records.kind import Kind
from standage.shapes.faults import holds_half_a_character


class Called(NamedTuple):
    """The record that bears a name, or the first of several that do."""

    id: str
    bearers: int


def called(
    connection: Connection,
    kind: Kind[Any],
    club_id: str,
    names: Iterable[str],
    *narrowed: ColumnElement[bool],
) -> dict[str, Called]:
    """Return what bears each of these names, by its ``name_key``: letter case and
    spacing aside.
    """
    keys = sorted({name_key(name) for name in names if storable(name)})
    table = kind.table
    every = select(
        table.c.name_key,
        func.min(table.c.id),
        func.count(),
    )
    theirs = every.where(
        table.c.club_id == club_id,
        table.c.deleted_at.is_(None),
        *narrowed,
    )
    found: dict[str, Called] = {}
    for some in lots(keys):
        is_one = table.c.name_key.in_(some)
        bearing = theirs.where(is_one).group_by(table.c.name_key)
        for key, record_id, bearers in connection.execute(bearing):
            found[key] = Called(record_id, bearers)
    return found


def storable(text: str) -> bool:
    """Tell whether both databases can be asked for ``text``."""
    return "\x00" not in text and not holds_half_a_character(text)
