"""What was deleted too long ago to come back is taken out for good; its history stays,
but for who a member was.
"""

from sqlalchemy import delete, select

from standage.registry.database.moments import keeping_moment
from standage.registry.forgetting.erasing import Erasing
from standage.registry.records.kinds import KINDS, MEMBERS
from standage.registry.writing.undoing import KEPT_FOR


def purge(writing: Erasing) -> int:
    """Take out every record that was deleted more than 30 days ago, of every club;
    return how many.

    Of a member, the name and the contact go from history as well.
    """
    too_old = keeping_moment(writing.connection, writing.now) - KEPT_FOR
    members = MEMBERS.table
    for row in writing.connection.execute(
        select(members.c.club_id, members.c.id).where(members.c.deleted_at <= too_old)
    ).all():
        writing.forget(row.club_id, row.id)
    beneath_first = sorted(KINDS.values(), key=lambda kind: kind.parent is None)
    tables = (kind.table for kind in beneath_first)
    gone = (
        writing.connection.execute(delete(table).where(table.c.deleted_at <= too_old))
        for table in tables
    )
    return sum(one.rowcount for one in gone)
