"""The one record of a sort beneath another, its revisions, and those of several at
once.

Whoever holds a share link reads the draft of its layout, and no revisions: what was
saved is the club's own. What a plan says of a module by its id is read for the answer
that is shown of it, as coupling types are, and is not shown itself.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import msgspec
from sqlalchemy import ColumnElement, Row, Select, and_, func, or_, select, tuple_

from standage.registry.database.tables import revisions
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.reading import Hold, Reading
from standage.registry.records.record import Record
from standage.registry.records.revisions import Revision, revision_of
from standage.shapes.refusals import Absent

Wish = tuple[str, int | None]
"""The id of what a draft lies beneath, and the revision's number; the newest if None."""


def draft_of(
    reading: Reading,
    kind: Kind[Any],
    club_id: str,
    parent_id: str,
    *,
    hold: Hold = "not",
) -> Record:
    """Return the one record of a kind beneath a parent; raises ``Absent`` where there
    is no such parent, or nothing of that kind beneath it.
    """
    found: Sequence[Record] = ()
    if looks_like_id(parent_id):
        found = reading.first(kind, club_id, 1, parent_id=parent_id)
    if not found:
        reading.get(KINDS[kind.parent or ""], club_id, parent_id)
        raise Absent(f"there is no {kind.one} here yet: send one by PUT")
    if hold == "not":
        return found[0]
    return reading.get(kind, club_id, found[0].id, hold=hold)


def deleted_beneath(
    reading: Reading, kind: Kind[Any], club_id: str, parent_id: str
) -> str | None:
    """Return the id of the draft that was deleted last beneath a parent; None where
    none was, or there is another.
    """
    if not looks_like_id(parent_id):
        return None
    columns = kind.table.c
    theirs = select(columns.id, columns.deleted_at).where(
        columns.club_id == club_id, columns.parent_id == parent_id
    )
    rows = reading.connection.execute(theirs).all()
    if not rows or any(row.deleted_at is None for row in rows):
        return None
    return str(max(rows, key=lambda row: row.deleted_at).id)


def revision_read(
    reading: Reading, kind: Kind[Any], draft: Record, number: int
) -> Revision:
    """Return a draft's revision by its number; raises ``Absent`` where there is none,
    or none is shown to whoever asks.
    """
    if not reading.shows_revisions:
        number = 0
    return revision_of(reading.connection, kind, draft, number)


class SavedBeneath(NamedTuple):
    """A revision of what lies beneath a record; ``length`` is that of its body as it is
    kept.
    """

    parent_id: str
    record_id: str
    number: int
    summary: msgspec.Struct
    length: int


def saved_beneath(
    reading: Reading, kind: Kind[Any], club_id: str, wishes: Iterable[Wish]
) -> dict[Wish, SavedBeneath]:
    """Return what there is of the revisions that are wished for, in one statement that
    reads no bodies.
    """
    wanted = {one for one in wishes if looks_like_id(one[0])}
    if not wanted:
        return {}
    rows = reading.connection.execute(_saved(kind, club_id, wanted)).all()
    by_number = {(row.parent_id, row.number): _of(kind, row) for row in rows}
    newest: dict[str, SavedBeneath] = {}
    for found in sorted(by_number.values(), key=lambda one: one.number):
        newest[found.parent_id] = found
    known: dict[Wish, SavedBeneath] = {}
    for parent_id, number in wanted:
        wish = parent_id, number
        found_one = newest.get(parent_id) if number is None else by_number.get(wish)
        if found_one is not None:
            known[wish] = found_one
    return known


def bodies_saved(
    reading: Reading, kind: Kind[Any], club_id: str, saved: Iterable[SavedBeneath]
) -> Mapping[tuple[str, int], msgspec.Struct]:
    """Return the bodies of revisions by their record's id and their number, in one
    statement.
    """
    pairs = sorted({(one.record_id, one.number) for one in saved})
    if not pairs:
        return {}
    columns = revisions.c
    statement = select(columns.record_id, columns.number, columns.body).where(
        columns.club_id == club_id,
        columns.kind == kind.name,
        tuple_(columns.record_id, columns.number).in_(pairs),
    )
    rows = reading.connection.execute(statement)
    return {(row.record_id, row.number): kind.decode(row.body) for row in rows}


def _saved(kind: Kind[Any], club_id: str, wanted: set[Wish]) -> Select[Any]:
    drafts, columns = kind.table.c, revisions.c
    later = revisions.alias("later").c
    newest = (
        select(func.max(later.number))
        .where(later.kind == kind.name, later.record_id == drafts.id)
        .scalar_subquery()
    )
    numbers = sorted({number for _, number in wanted if number is not None})
    is_wanted: ColumnElement[bool] = columns.number == newest
    if numbers:
        is_wanted = or_(is_wanted, columns.number.in_(numbers))
    beneath = and_(columns.kind == kind.name, columns.record_id == drafts.id)
    return (
        select(
            drafts.parent_id,
            columns.record_id,
            columns.number,
            columns.summary,
            func.length(columns.body).label("length"),
        )
        .select_from(kind.table.join(revisions, beneath))
        .where(
            drafts.club_id == club_id,
            drafts.deleted_at.is_(None),
            drafts.parent_id.in_(sorted({parent_id for parent_id, _ in wanted})),
            is_wanted,
        )
    )


def _of(kind: Kind[Any], row: Row[Any]) -> SavedBeneath:
    return SavedBeneath(
        parent_id=row.parent_id,
        record_id=row.record_id,
        number=row.number,
        summary=kind.decode_summary(row.summary),
        length=row.length,
    )
