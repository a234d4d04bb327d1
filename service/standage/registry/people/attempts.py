"""How often somebody tries to sign in: counted in the database, so that all processes
count together.
"""

import hashlib
from datetime import datetime, timedelta

from sqlalchemy import Connection, case, delete

from standage.registry.database.tables import name_key, sign_in_attempts
from standage.registry.database.upserts import insert_into
from standage.registry.writing.store import Writing

WINDOW = timedelta(minutes=15)
MOST_BY_NAME = 10
MOST_BY_PEER = 50
"""So many attempts in one window: for one name of one club, and from one address."""


class TooOften(Exception):  # noqa: N818 - not an error: an answer that the caller turns into one
    """There were too many attempts; ``wait_s`` is when to come again."""

    def __init__(self, wait_s: int) -> None:
        super().__init__()
        self.wait_s = wait_s


def of_name(club_id: str, sign_in_name: str) -> str:
    """Return by what the attempts for a name are counted: a hash, since names have no
    business outside records.
    """
    return _hashed("name", club_id, name_key(sign_in_name))


def of_peer(peer: str) -> str:
    """Return by what the attempts from an address are counted."""
    return _hashed("peer", peer)


def _hashed(*parts: str) -> str:
    # names come as they are typed: half a pair of surrogates is no error here
    text = "\n".join(parts).encode("utf-8", "surrogatepass")
    return hashlib.sha256(text).hexdigest()


def count_attempt(
    connection: Connection, who: str, now: datetime, *, most: int
) -> None:
    """Count one attempt; raises ``TooOften`` where there were ``most`` in this window
    already.
    """
    counting = sign_in_attempts.c
    table = insert_into(connection, sign_in_attempts)
    first = table.values(
        who=who,
        since=now,
        count=1,
    )
    ended = counting.since <= now - WINDOW
    once_more = {
        "count": case((ended, 1), else_=counting.count + 1),
        "since": case((ended, now), else_=counting.since),
    }
    put_down = first.on_conflict_do_update(index_elements=["who"], set_=once_more)
    returning = put_down.returning(counting.count, counting.since)
    counted, since = connection.execute(returning).one()
    if counted > most:
        left_s = (since + WINDOW - now).total_seconds()
        # at least a second: 0 would ask to try again at once
        raise TooOften(max(1, round(left_s)))


def forget_attempts(connection: Connection, who: str) -> None:
    """Forget the attempts of whoever has shown to be the right one."""
    theirs = sign_in_attempts.c.who == who
    connection.execute(delete(sign_in_attempts).where(theirs))


def forget_old_attempts(writing: Writing) -> int:
    """Delete what is counted no longer; return how many."""
    old = delete(sign_in_attempts).where(
        sign_in_attempts.c.since <= writing.now - WINDOW
    )
    return writing.connection.execute(old).rowcount
