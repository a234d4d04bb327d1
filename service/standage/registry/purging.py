"""What was deleted too long ago to come back is taken out for good; its history stays."""

from sqlalchemy import delete

from standage.registry.kinds import KINDS
from standage.registry.store import Writing
from standage.registry.undoing import KEPT_FOR


def purge(writing: Writing) -> int:
    """Take out every record that was deleted more than 30 days ago, of every club; return how many."""
    too_old = writing.now - KEPT_FOR
    beneath_first = sorted(KINDS.values(), key=lambda kind: kind.parent is None)
    tables = (kind.table for kind in beneath_first)
    gone = (writing.connection.execute(delete(table).where(table.c.deleted_at <= too_old)) for table in tables)
    return sum(one.rowcount for one in gone)
