"""Who is signed in: sessions begin with a passphrase and end by themselves, by hand, or
with the passphrase.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import Connection, Select, delete, insert, select, update

from standage.registry.database.ids import new_id
from standage.registry.database.tables import sessions
from standage.registry.people.credentials import IDLE, new_secret, sha256_of
from standage.registry.writing.store import Writing
from standage.shapes.refusals import Absent

LONGEST = timedelta(days=90)
"""A session has ended then, however much it was used."""
MOST_AT_ONCE = 50
"""So many sessions a member may have; the oldest makes way for a new one."""


class Session(NamedTuple):
    """A session, without its secret."""

    id: str
    member_id: str
    label: str | None
    created_at: datetime
    last_used_at: datetime
    expires_at: datetime


def open_session(
    writing: Writing, club_id: str, member_id: str, *, label: str | None
) -> tuple[Session, str]:
    """Return a new session and its secret, which is kept nowhere."""
    secret = new_secret("session")
    session = Session(
        id=new_id(),
        member_id=member_id,
        label=label,
        created_at=writing.now,
        last_used_at=writing.now,
        expires_at=writing.now + LONGEST,
    )
    kept = {"club_id": club_id, "secret_sha256": sha256_of(secret), **session._asdict()}
    writing.connection.execute(insert(sessions).values(**kept))
    newest = select(sessions.c.id).where(sessions.c.member_id == member_id)
    newest = newest.order_by(sessions.c.created_at.desc(), sessions.c.id.desc()).limit(
        MOST_AT_ONCE
    )
    keep = list(writing.connection.scalars(newest))
    writing.connection.execute(
        delete(sessions).where(
            sessions.c.member_id == member_id, sessions.c.id.not_in(keep)
        )
    )
    return session, secret


def sessions_of(connection: Connection, member_id: str, now: datetime) -> list[Session]:
    """Return the sessions of a member that have not ended, oldest first."""
    rows = connection.execute(_open(member_id, now))
    return [Session(*row) for row in rows]


def session_of(
    connection: Connection, member_id: str, session_id: str, now: datetime
) -> Session:
    """Return one session of a member; raises ``Absent`` where they have none by that
    id, or it has ended.
    """
    row = connection.execute(
        _open(member_id, now).where(sessions.c.id == session_id)
    ).first()
    if row is None:
        raise Absent("there is no such session")
    return Session(*row)


def _open(member_id: str, now: datetime) -> Select[Any]:
    known = sessions.c
    columns = (known[name] for name in Session._fields)
    mine = select(*columns).where(
        known.member_id == member_id,
        known.expires_at > now,
        known.last_used_at > now - IDLE,
    )
    return mine.order_by(known.created_at, known.id)


def end_session(connection: Connection, member_id: str, session_id: str) -> None:
    """End one session of a member."""
    connection.execute(
        delete(sessions).where(
            sessions.c.member_id == member_id, sessions.c.id == session_id
        )
    )


def end_sessions(
    connection: Connection, member_id: str, *, but: str | None = None
) -> int:
    """End all sessions of a member, ``but`` the one; return how many ended."""
    theirs = delete(sessions)
    theirs = theirs.where(sessions.c.member_id == member_id)
    if but is not None:
        theirs = theirs.where(sessions.c.id != but)
    ended = connection.execute(theirs)
    return ended.rowcount


def note_use(connection: Connection, session_ids: Iterable[str], now: datetime) -> None:
    """Put down that sessions were in use just now."""
    in_use = sessions.c.id.in_(sorted(session_ids))
    # two requests at once: the later one counts
    is_newer = sessions.c.last_used_at < now
    used = update(sessions).where(in_use, is_newer)
    connection.execute(used.values(last_used_at=now))


def forget_ended_sessions(writing: Writing) -> int:
    """Delete what nobody is signed in by any more; return how many."""
    is_over = sessions.c.expires_at <= writing.now
    is_idle = sessions.c.last_used_at <= writing.now - IDLE
    ended = delete(sessions).where(is_over | is_idle)
    return writing.connection.execute(ended).rowcount
