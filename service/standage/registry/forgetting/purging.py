"""What was deleted too long ago to come back is taken out for good; its history stays,
but for who a member was.
"""

from datetime import datetime
from typing import Any

from sqlalchemy import delete, select

from standage.registry.database.moments import keeping_moment
from standage.registry.database.tables import revisions
from standage.registry.forgetting.erasing import Erasing
from standage.registry.records.kinds import KINDS, MEMBERS, Kind
from standage.registry.writing.undoing import KEPT_FOR


def purge(writing: Erasing) -> int:
    """Take out every record that was deleted more than 30 days ago, of every club;
    return how many.

    Of a member, the name and the contact go from history as well.
    """
    too_old = keeping_moment(writing.connection, writing.now) - KEPT_FOR
    members = MEMBERS.table
    former = select(members.c.club_id, members.c.id)
    former = former.where(members.c.deleted_at <= too_old)
    for row in writing.connection.execute(former).all():
        writing.forget(row.club_id, row.id)
    # what lies beneath something refers to it, so it goes first
    beneath_first = sorted(KINDS.values(), key=lambda kind: kind.parent is None)
    taken_out = 0
    for kind in beneath_first:
        taken_out += _taken_out(writing, kind, too_old)
    return taken_out


def _taken_out(writing: Erasing, kind: Kind[Any], too_old: datetime) -> int:
    """Take out the records of one kind, with their revisions; return how many."""
    table = kind.table
    is_gone = table.c.deleted_at <= too_old
    if kind.room.revised:
        records = select(table.c.id).where(is_gone)
        theirs = delete(revisions).where(
            revisions.c.kind == kind.name,
            revisions.c.record_id.in_(records),
        )
        writing.connection.execute(theirs)
    gone = writing.connection.execute(delete(table).where(is_gone))
    return gone.rowcount
