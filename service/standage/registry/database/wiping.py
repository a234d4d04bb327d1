"""Wiping from a database's own files what its tables no longer hold.

A database leaves what was deleted in free pages, in its journal and in its statistics
until that room is used again. SQLite's file is written anew and its journal emptied;
PostgreSQL's tables are written anew (VACUUM FULL), for which nobody else may use them
meanwhile. PostgreSQL's journal (pg_wal) still holds old rows until it is recycled.
"""

from datetime import datetime

from sqlalchemy import select, update

from standage.registry.database.engine import Database
from standage.registry.database.tables import erasures, metadata
from standage.shapes.refusals import Busy


def wipe(database: Database, now: datetime) -> None:
    """Wipe the files, and put down that everybody erased so far is gone from them.

    Raises ``Busy`` where others use the database so that it cannot be done now,
    ``Unready`` where it cannot be used.
    """
    with database.read() as connection:
        erased = list(
            connection.scalars(
                select(erasures.c.member_id).where(erasures.c.wiped_at.is_(None))
            )
        )
    statements = _for_sqlite() if database.dialect == "sqlite" else _for_postgresql()
    for statement in statements:
        row = database.outside_transactions(statement)
        if row is not None and row[0] != 0:
            raise Busy(
                "the database's files cannot be wiped while somebody reads them; try"
                " again in a moment"
            )
    with database.write() as connection:
        connection.execute(
            update(erasures)
            .where(erasures.c.member_id.in_(erased))
            .values(wiped_at=now)
        )


def is_to_be_wiped(database: Database) -> bool:
    """Tell whether anybody was erased whom the files may still hold."""
    with database.read() as connection:
        return (
            connection.execute(
                select(erasures.c.member_id).where(erasures.c.wiped_at.is_(None))
            ).first()
            is not None
        )


def _for_sqlite() -> list[str]:
    return ["VACUUM", "PRAGMA wal_checkpoint(TRUNCATE)"]


def _for_postgresql() -> list[str]:
    tables = (
        f'VACUUM (FULL, ANALYZE) "{table.name}"' for table in metadata.sorted_tables
    )
    return [*tables, "VACUUM FULL pg_catalog.pg_statistic"]
