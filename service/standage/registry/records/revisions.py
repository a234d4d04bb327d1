"""Revisions: what was saved of a draft for good, by number.

The record itself is the draft, and is changed as any record. A revision is never
changed, and goes only with its record: it is read by way of the record, so that
whoever may not see that sees nothing of these either, and what is deleted and brought
back has them again.
"""

from datetime import datetime
from typing import Any

import msgspec
from sqlalchemy import Connection, Row, Select, func, select

from standage.registry.database.tables import revisions
from standage.registry.records.kind import Kind
from standage.registry.records.reading import Listing, Position, in_order
from standage.registry.records.record import Record, entity_tag
from standage.shapes.refusals import Absent

MOST_NUMBER = 2**31 - 1


class Saved(msgspec.Struct, frozen=True, kw_only=True):
    """What a list shows of a revision: its number, why, by whom and when it was saved,
    and its summary.

    ``version`` is that of the draft which was saved.
    """

    number: int
    version: int
    at: datetime
    author_id: str
    remark: str
    summary: msgspec.Struct | None


class Revision(msgspec.Struct, frozen=True, kw_only=True):
    """A revision with its body."""

    saved: Saved
    body: msgspec.Struct

    @property
    def etag(self) -> str:
        """The strong entity tag: another one only where a name was struck out since."""
        return entity_tag(self.saved.number, self)


_SHOWN = ("number", "version", "at", "author_id", "remark", "summary")


def page_of_revisions(
    connection: Connection, kind: Kind[Any], record: Record, listing: Listing
) -> list[Saved]:
    """Return part of the list of a record's revisions, by number; no bodies are read.

    Raises ``Faulty`` where ``listing.after`` is no position in this list.
    """
    statement = in_order(
        _theirs(record, *_SHOWN), revisions.c.number, revisions.c.record_id, listing
    )
    rows = connection.execute(statement.limit(listing.limit))
    return [_saved(kind, row) for row in rows]


def position_of_revision(record: Record, saved: Saved) -> Position:
    """Return where a revision stands in the list: what ``Listing.after`` takes."""
    return str(saved.number), record.id


def revision_of(
    connection: Connection, kind: Kind[Any], record: Record, number: int
) -> Revision:
    """Return a record's revision by its number; raises ``Absent`` where there is
    none.
    """
    row = None
    if 1 <= number <= MOST_NUMBER:
        mine = _theirs(record, *_SHOWN, "body").where(revisions.c.number == number)
        row = connection.execute(mine).first()
    if row is None:
        raise Absent(f"there is no revision {number} of this {kind.one}")
    return Revision(saved=_saved(kind, row), body=kind.decode(row.body))


def last_number(connection: Connection, record: Record) -> int:
    """Return the number of a record's last revision; 0 where none was saved."""
    newest = select(func.max(revisions.c.number)).where(
        revisions.c.kind == record.kind, revisions.c.record_id == record.id
    )
    return connection.scalar(newest) or 0


def _theirs(record: Record, *names: str) -> Select[Any]:
    columns = (revisions.c[name] for name in names)
    return select(*columns).where(
        revisions.c.club_id == record.club_id,
        revisions.c.kind == record.kind,
        revisions.c.record_id == record.id,
    )


def _saved(kind: Kind[Any], row: Row[Any]) -> Saved:
    known = {name: getattr(row, name) for name in _SHOWN}
    if row.summary is not None:
        known["summary"] = kind.decode_summary(row.summary)
    return Saved(**known)
