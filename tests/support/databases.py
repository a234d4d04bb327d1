"""Databases for tests: made by the migrations, emptied between tests."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import event, select

from standage.registry.database.engine import Database, open_database
from standage.registry.database.migrate import migrate
from standage.registry.database.tables import metadata


def migrated(url: str) -> str:
    """Run the migrations on the database at ``url``; return the address."""
    database = open_database(url)
    migrate(database)
    database.dispose()
    return url


def copied(migrated_file: Path, folder: Path) -> str:
    """Copy a migrated SQLite file that nobody has open; return the copy's address."""
    return f"sqlite:///{shutil.copy(migrated_file, folder / 'standage.sqlite3')}"


def emptied(database: Database) -> None:
    """Delete every row."""
    tables = [table.name for table in reversed(metadata.sorted_tables)]
    deleting = [f'DELETE FROM "{name}"' for name in tables]  # noqa: S608 our own names
    with database.write() as connection:
        if database.dialect == "postgresql":  # takes them all in one message
            deleting = [";".join(deleting)]
        for statement in deleting:
            connection.exec_driver_sql(statement)
    database.newest_moment, database.clock_is_behind = None, timedelta(0)


Contents = dict[str, set[tuple[Any, ...]]]


def contents(database: Database) -> Contents:
    """Return every row of every table."""
    with database.read() as connection:
        return {
            table.name: {tuple(row) for row in connection.execute(select(table))}
            for table in metadata.sorted_tables
        }


@contextmanager
def statements(database: Database) -> Iterator[list[str]]:
    """Give the list that every statement sent to ``database`` is added to, those that
    begin and end aside.
    """
    sent: list[str] = []

    def note(*arguments: object) -> None:
        statement = str(arguments[2])
        if not statement.startswith("BEGIN"):
            sent.append(statement)

    # no public way to watch what a database is sent; on PostgreSQL the reading engine
    # tells the writing one's listeners
    engines = (
        {database._writing, database._reading}
        if database.dialect == "sqlite"
        else {database._writing}
    )
    for engine in engines:
        event.listen(engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        for engine in engines:
            event.remove(engine, "before_cursor_execute", note)
