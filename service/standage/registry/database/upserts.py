"""Rows that may be there already: SQLAlchemy's insert knows nothing of that, those of
either database do.
"""

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite


def insert_into(
    connection: Connection, table: Table
) -> sqlite.Insert | postgresql.Insert:
    """Return an insert that can say what becomes of a row that is there already."""
    if connection.dialect.name == "sqlite":
        return sqlite.insert(table)
    return postgresql.insert(table)
