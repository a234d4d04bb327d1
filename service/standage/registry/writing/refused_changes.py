"""Changes refused because another device's came first: who meant what, kept for whoever
sorts it out.
"""

import hashlib
from datetime import datetime, timedelta
from typing import Any, Literal

import msgspec
from sqlalchemy import Connection, delete, insert, select, update

from standage.registry.database.ids import new_id
from standage.registry.database.moments import keeping_moment
from standage.registry.database.tables import refused_changes
from standage.registry.records.drafts import draft_of
from standage.registry.records.kinds import Kind
from standage.registry.records.reading import Listing, Position
from standage.registry.records.record import Principal, Record
from standage.registry.writing.names_struck import Struck
from standage.registry.writing.store import Writing
from standage.registry.writing.told_lists import ToldList, page_told
from standage.shapes.refusals import Absent

KEPT_FOR = timedelta(hours=72)
MOST_KEPT = 200
"""Of one club: the oldest make room."""
LONGEST_SENT = 16 * 1024
"""Of a longer change only who and where is kept, not what."""
Verb = Literal["replace", "update", "delete"]


class Refused(msgspec.Struct, frozen=True, kw_only=True):
    """What somebody meant to do with a record: ``sent`` is a body as JSON text,
    ``seen`` the version they had.

    ``record_id`` is the record's; of one that is alone beneath another, that one's.
    """

    kind: Kind[Any]
    record_id: str
    verb: Verb
    seen: str
    sent: str | None


class RefusedChange(msgspec.Struct, frozen=True, kw_only=True):
    """One row: a change that was refused, how often, and the record's version and name
    by then.
    """

    id: str
    at: datetime
    last_at: datetime
    times: int
    kind: str
    record_id: str
    record_name: str
    verb: Verb
    member_id: str
    token_id: str
    version: int
    seen: str
    sent: str | None


def note_refused(writing: Writing, by: Principal, refused: Refused) -> None:
    """Put down that a change was refused; of one that is sent over and over, how often.

    Nothing is put down where the record is gone by now.
    """
    try:
        record = _standing(writing, by.club_id, refused)
    except Absent:
        return
    sent = refused.sent
    same = {
        "club_id": by.club_id,
        "member_id": by.member_id,
        "record_id": record.id,
        "verb": refused.verb,
        "sent_sha256": hashlib.sha256((sent or "").encode()).hexdigest(),
    }
    told = {
        "last_at": writing.now,
        "version": record.version,
        "seen": refused.seen,
        "token_id": by.token_id,
    }
    table = refused_changes
    alike = (table.c[name] == value for name, value in same.items())
    again = update(table).where(*alike, table.c.last_at > writing.now - KEPT_FOR)
    if writing.connection.execute(
        again.values(times=table.c.times + 1, **told)
    ).rowcount:
        return
    new = {
        "id": new_id(),
        "at": writing.now,
        "times": 1,
        "kind": record.kind,
        "record_name": refused.kind.title(record.body),
        "sent": None if sent is None or len(sent) > LONGEST_SENT else sent,
    }
    writing.connection.execute(insert(table).values({**same, **told, **new}))
    _make_room(writing.connection, by.club_id)


def _standing(writing: Writing, club_id: str, refused: Refused) -> Record:
    if refused.kind.naming.sole:
        return draft_of(
            writing,
            refused.kind,
            club_id,
            refused.record_id,
        )
    return writing.get(refused.kind, club_id, refused.record_id)


def _make_room(connection: Connection, club_id: str) -> None:
    table = refused_changes
    theirs = select(table.c.id).where(table.c.club_id == club_id)
    newest_first = theirs.order_by(table.c.at.desc(), table.c.id.desc())
    too_many = list(connection.scalars(newest_first.offset(MOST_KEPT)))
    beyond = table.c.id.in_(too_many)
    connection.execute(delete(table).where(beyond))


def page_of_refused(
    connection: Connection,
    club_id: str,
    listing: Listing,
    *,
    now: datetime,
    hidden: frozenset[str],
) -> list[RefusedChange]:
    """Return part of the list of a club's refused changes; nothing about kinds that are
    ``hidden``.

    The names of the filters are those of columns. Raises ``Faulty`` where ``after`` is
    no position in this list.
    """
    table = refused_changes
    names = RefusedChange.__struct_fields__
    since = keeping_moment(connection, now) - KEPT_FOR
    theirs = select(*(table.c[name] for name in names)).where(
        table.c.club_id == club_id, table.c.last_at > since
    )
    told = ToldList(table, theirs, table.c.at)
    rows = page_told(connection, told, listing, hidden=hidden)
    return [RefusedChange(**row._mapping) for row in rows]  # noqa: SLF001 - Row's public way


def position_of(refused: RefusedChange) -> Position:
    """Return where a refused change stands in the list: what ``Listing.after``
    takes.
    """
    return refused.at.isoformat(), refused.id


def forget_old_refused(writing: Writing) -> int:
    """Delete what is kept no longer, of every club; return how many."""
    connection = writing.connection
    since = keeping_moment(connection, writing.now) - KEPT_FOR
    too_old = delete(refused_changes).where(refused_changes.c.last_at <= since)
    return connection.execute(too_old).rowcount


def forget_refused_about(
    connection: Connection, club_id: str, member_id: str, words: Struck
) -> None:
    """Delete what anybody meant to do in which a member occurs: by id, by name or by
    contact.
    """
    table = refused_changes
    rows = select(
        table.c.id,
        table.c.record_id,
        table.c.record_name,
        table.c.sent,
    )
    theirs = rows.where(table.c.club_id == club_id)
    found = []
    for row in connection.execute(theirs):
        text = _as_json(row.record_id, row.record_name, row.sent)
        if member_id in text or words.stands_in(text):
            found.append(row.id)
    is_one = table.c.id.in_(found)
    connection.execute(delete(table).where(is_one))


def _as_json(record_id: str, record_name: str, sent: str | None) -> str:
    """Return what a row says of members, with no more of it escaped than the service
    itself escapes.
    """
    meant = msgspec.json.decode(sent or "null")
    row = [record_id, record_name, meant]
    return msgspec.json.encode(row).decode()
