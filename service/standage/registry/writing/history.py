"""The history of every record: told by the write path, one row a change, and read as
any list is.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Select, exists, insert, select

from standage.registry.database import tables
from standage.registry.database.ids import new_id
from standage.registry.database.tables import history
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.kinds import GONE_FOR_GOOD, MEMBERS
from standage.registry.records.reading import (
    Listing,
    Position,
    all_changes,
    changes_from,
    changes_of,
)
from standage.registry.records.record import (
    Action,
    Change,
    Principal,
    Record,
    to_text,
)
from standage.registry.writing.told_lists import ToldList, page_told
from standage.shapes.refusals import Absent


class Told(NamedTuple):
    """A record before a change and after it; ``undoes`` is the id of the change that
    was undone.
    """

    action: Action
    before: Record | None
    after: Record | None
    undoes: str | None = None


def tell(
    connection: Connection,
    by: Principal,
    changes: Iterable[Told],
    *,
    at: datetime,
    action_id: str,
) -> None:
    """Put down one row for each change."""
    rows = [
        {**_row(one), "at": at, "member_id": by.member_id, "token_id": by.token_id}
        for one in changes
    ]
    connection.execute(
        insert(history), [{**row, "action_id": action_id} for row in rows]
    )


def _row(told: Told) -> dict[str, str | int | None]:
    record = told.after or told.before
    if record is None:
        raise ValueError("a change has a record before it or after it")
    deleted = told.after is None
    return {
        "id": new_id(),
        "club_id": record.club_id,
        "kind": record.kind,
        "record_id": record.id,
        "version": record.version + deleted,
        "action": told.action,
        "undoes": told.undoes,
        "before": _text_of(told.before),
        "after": _text_of(told.after),
    }


def _text_of(record: Record | None) -> str | None:
    if record is None:
        return None
    return to_text(record.body)


def change_of(connection: Connection, club_id: str, change_id: str) -> Change:
    """Return one change; raises ``Absent`` where the club has none by that id."""
    if looks_like_id(change_id):
        found = changes_from(
            connection, all_changes(club_id).where(history.c.id == change_id)
        )
        if found:
            return found[0]
    raise Absent("there is no such change")


def changes_of_action(
    connection: Connection, club_id: str, action_id: str
) -> list[Change]:
    """Return all that one action did, in the order in which it was done; raises
    ``Absent`` where it did nothing.
    """
    found: list[Change] = []
    if looks_like_id(action_id):
        found = changes_done_by(connection, club_id, action_id)
    if not found:
        raise Absent("there is no such action")
    return found


def changes_done_by(
    connection: Connection, club_id: str, action_id: str
) -> list[Change]:
    """Return all that one action did, in the order in which it was done; nothing where
    it did nothing.
    """
    theirs = all_changes(club_id).where(history.c.action_id == action_id)
    in_order = theirs.order_by(history.c.at, history.c.id)
    changes = changes_from(connection, in_order)
    return _each_by_version(changes)


def _each_by_version(changes: Sequence[Change]) -> list[Change]:
    """Return changes in the places where they stand, but those of one record in the
    order of its versions.
    """
    of_record: dict[tuple[str, str], list[Change]] = {}
    for change in sorted(changes, key=_version):
        theirs = of_record.setdefault(_record(change), [])
        theirs.append(change)
    in_place = []
    for change in changes:
        theirs = of_record[_record(change)]
        in_place.append(theirs.pop(0))
    return in_place


def _version(change: Change) -> int:
    return change.version


def _record(change: Change) -> tuple[str, str]:
    return change.kind, change.record_id


def page_of_changes(
    connection: Connection,
    club_id: str,
    listing: Listing,
    *,
    hidden: frozenset[str] = frozenset(),
) -> list[Change]:
    """Return part of a club's history, in the order in which it was made; nothing about
    kinds that are ``hidden``.

    One record's history is in the order of its versions, which no clock can turn round.
    The names of the filters are those of columns. Raises ``Faulty`` where ``after`` is
    no position in this list.
    """
    order: ColumnElement[Any] = history.c.at
    if _of_one_record(listing):
        order = history.c.version
    told = ToldList(history, all_changes(club_id), order)
    rows = page_told(connection, told, listing, hidden=hidden)
    return changes_of(rows)


def page_of_deletions(
    connection: Connection,
    club_id: str,
    listing: Listing,
    *,
    since: datetime,
    hidden: frozenset[str],
) -> list[Change]:
    """Return part of the list of deletions after ``since`` that nothing has followed:
    what can be brought back.
    """
    told = ToldList(history, _standing_deletions(club_id, since), history.c.at)
    rows = page_told(connection, told, listing, hidden=hidden)
    return changes_of(rows)


def deletion_of(
    connection: Connection, club_id: str, record_id: str, *, since: datetime
) -> Change:
    """Return how a record was deleted; raises ``Absent`` where it is not, or was not
    after ``since``.
    """
    if looks_like_id(record_id):
        statement = _standing_deletions(club_id, since).where(
            history.c.record_id == record_id
        )
        found = changes_from(connection, statement)
        if found:
            return found[0]
    raise Absent("there is no such deleted record")


def _standing_deletions(club_id: str, since: datetime) -> Select[tuple[object, ...]]:
    later = tables.history.alias("later")
    followed = exists().where(
        later.c.kind == history.c.kind,
        later.c.record_id == history.c.record_id,
        later.c.version == history.c.version + 1,
    )
    return all_changes(club_id).where(
        history.c.action == "delete",
        history.c.at > since,
        ~followed,
        history.c.kind.not_in(sorted(GONE_FOR_GOOD)),
    )


def position_of(change: Change, listing: Listing) -> Position:
    """Return where a change stands in a list of changes: what ``Listing.after``
    takes.
    """
    if _of_one_record(listing):
        return str(change.version), change.id
    return change.at.isoformat(), change.id


def _of_one_record(listing: Listing) -> bool:
    return "record_id" in listing.filters


def names_of_members(
    connection: Connection, club_id: str, member_ids: Iterable[str]
) -> dict[str, str]:
    """Return what members are called today, deleted ones too, by id."""
    table = MEMBERS.table
    ids = sorted(set(member_ids))
    theirs = select(table.c.id, table.c.body).where(
        table.c.club_id == club_id,
        table.c.id.in_(ids),
    )
    names: dict[str, str] = {}
    for row in connection.execute(theirs):
        body = MEMBERS.decode(row.body)
        names[row.id] = MEMBERS.title(body)
    return names
