"""Names that must be the only ones of their kind: in a club, or beneath one parent;
letter case and spacing aside.
"""

from collections.abc import Iterator, Sequence
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError

from standage.registry.database.lots import lots
from standage.registry.records.kinds import Kind
from standage.registry.records.reading import live
from standage.registry.records.record import Record
from standage.shapes.faults import Fault, Faulty

_Name = tuple[str | None, str]
"""The parent beneath which a name must be the only one, if any, and what is compared of
the name.
"""


def names_taken(
    connection: Connection, kind: Kind[Any], records: Sequence[Record]
) -> Iterator[tuple[Record, Fault]]:
    """Yield each of ``records`` whose name another has: on record, or one of these that
    comes before it.
    """
    if not (kind.naming.unique or kind.naming.sole):
        return
    ids = {record.id for record in records}
    taken: set[_Name] = set()
    for some in lots(records):
        taken.update(_on_record(connection, kind, some, but=ids))
    for record in records:
        name = (record.parent_id, kind.key(record.body))
        if name in taken:
            yield record, _taken(kind, record)
        taken.add(name)


def _on_record(
    connection: Connection, kind: Kind[Any], records: Sequence[Record], *, but: set[str]
) -> Iterator[_Name]:
    """Yield those names of ``records`` that others on record have, all but those whose
    ids are given.
    """
    table = kind.table
    wanted = sorted({kind.key(record.body) for record in records})
    same = (
        live(kind, records[0].club_id)
        .add_columns(table.c.name_key)
        .where(table.c.name_key.in_(wanted))
    )
    if kind.parent is not None:
        same = same.where(
            table.c.parent_id.in_(
                sorted({record.parent_id or "" for record in records})
            )
        )
    for row in connection.execute(same):
        if row.id not in but:
            parent_id = None if kind.parent is None else row.parent_id
            yield parent_id, row.name_key


class NameRace:
    """Turns a name that another transaction took at the same moment into the fault it
    is.
    """

    def __init__(self, kind: Kind[Any], records: Sequence[Record]) -> None:
        """Take the records that are being written."""
        self._kind = kind
        self._records = records

    def __enter__(self) -> None:
        """Begin; nothing is looked at before an error comes."""

    def __exit__(
        self, _type: object, error: BaseException | None, _traceback: object
    ) -> None:
        """Raise ``Faulty`` in place of the database's own words."""
        if isinstance(error, IntegrityError) and "name_key" in str(error.orig):
            raise Faulty([self._fault()]) from error

    def _fault(self) -> Fault:
        if len(self._records) == 1:
            return _taken(self._kind, self._records[0])
        message = (
            f"one of these names was given to another {self._kind.one} at the same"
            " moment; try again"
        )
        return Fault(code="name_taken", message=message, pointer="")


def _taken(kind: Kind[Any], record: Record) -> Fault:
    if kind.naming.sole:
        message = f"there is a {kind.one} already; change that one"
        return Fault(
            code="already_there",
            message=message,
            pointer="",
        )
    message = f"there is a {kind.one} called {kind.title(record.body)} already"
    return Fault(
        code="name_taken",
        message=message,
        pointer=f"/{kind.naming.field}",
    )
