"""A backup of everything, taken while the service goes on: one snapshot, one file, read
back before it has its name.
"""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from sqlalchemy import (
    Boolean,
    Connection,
    DateTime,
    Float,
    Integer,
    LargeBinary,
    String,
    TableClause,
    Text,
    func,
    inspect,
    select,
)
from sqlalchemy import column as column_named
from sqlalchemy import table as table_named
from sqlalchemy.types import TypeEngine

from standage.registry.database.durable_files import new_private_file, whole_file
from standage.registry.database.engine import Database
from standage.registry.database.lots import READ_IN_LOTS
from standage.registry.database.migrate import (
    REVISION_TABLE,
    require_sound,
    revision_of,
)
from standage.registry.database.tables import (
    UtcDateTime,
    idempotency,
    passphrases,
    refused_changes,
    sessions,
    sign_in_attempts,
)
from standage.registry.moving.backup_file import (
    FORMAT,
    BadBackup,
    Column,
    Head,
    Row,
    Sort,
    Table,
    check,
    write,
)
from standage.shapes.refusals import Unready

_TYPES: dict[Sort, TypeEngine[Any]] = {
    "text": Text(),
    "integer": Integer(),
    "number": Float(),
    "boolean": Boolean(),
    "moment": UtcDateTime(),
    "bytes": LargeBinary(),
}
FORGOTTEN = (idempotency, passphrases, refused_changes, sessions, sign_in_attempts)
"""What no backup holds and no restore brings back.

Answers to requests that nobody repeats; and by what people get in: it may have been
taken away from them since.
"""


class BackedUp(NamedTuple):
    """A backup that was made: where it lies, and how many rows each table has in it."""

    path: Path
    rows: dict[str, int]


def back_up(database: Database, path: Path, now: datetime) -> BackedUp:
    """Write everything that the database holds into a new file at ``path``.

    The file is written under another name beside it, read back from beginning to end
    and counted; only then it is given its name. Raises ``BadBackup`` where there is a
    file already or it cannot be written, ``Unready`` and ``Busy`` where the database
    cannot be read or is damaged.
    """
    with database.read() as connection:
        if database.dialect == "postgresql":
            connection.exec_driver_sql("SET LOCAL statement_timeout = 0")
        return back_up_within(connection, path, now)


def back_up_within(connection: Connection, path: Path, now: datetime) -> BackedUp:
    """Back up what a transaction sees, as ``back_up`` does."""
    if path.exists():
        raise BadBackup(
            f"there is a file {path} already; it was left as it was. Choose another"
            " name"
        )
    try:
        with whole_file(path) as part:
            counts = _written(connection, part, now)
            if check(part) != counts:
                raise BadBackup(
                    "the backup does not read back as it was written; is the disk"
                    " sound? Nothing was kept"
                )
    except OSError as error:
        raise BadBackup(
            f"the backup cannot be written to {path}: {error.strerror}"
        ) from error
    return BackedUp(path=path, rows=counts)


def _written(connection: Connection, part: Path, now: datetime) -> dict[str, int]:
    require_sound(connection)
    revision = revision_of(connection)
    tables = _tables(connection)
    head = Head(
        standage_backup=FORMAT,
        revision=revision,
        made_at=now,
        tables=tables,
    )
    rows = ((table.name, _rows(connection, table)) for table in tables)
    with new_private_file(part) as stream:
        counts = write(stream, head, rows)
    if counts != {table.name: _count(connection, table) for table in tables}:
        raise Unready(
            "the database holds another number of records than it counts; it is damaged"
        )
    return counts


def _tables(connection: Connection) -> tuple[Table, ...]:
    """Return every table that is backed up, the referred-to ones first, with its
    columns as the database has them.
    """
    inspector = inspect(connection)
    left_out = {table.name for table in FORGOTTEN} | {REVISION_TABLE}
    tables: list[Table] = []
    for name, _ in inspector.get_sorted_table_and_fkc_names():
        if name is None or name in left_out:
            # None stands for references that go round in a circle; there are none
            continue
        columns = []
        for one in inspector.get_columns(name):
            sort = _sort(name, one["name"], one["type"])
            columns.append(
                Column(
                    name=one["name"],
                    sort=sort,
                )
            )
        tables.append(
            Table(
                name=name,
                columns=tuple(columns),
            )
        )
    return tuple(tables)


def _sort(table: str, column: str, type_: TypeEngine[Any]) -> Sort:
    sorts: list[tuple[type[TypeEngine[Any]], Sort]] = [
        (Boolean, "boolean"),
        (Integer, "integer"),
        (Float, "number"),
        (DateTime, "moment"),
        (LargeBinary, "bytes"),
        (String, "text"),
    ]
    for known, sort in sorts:
        if isinstance(type_, known):
            return sort
    raise TypeError(f"{table}.{column} is of a type that no backup holds: {type_!r}")


def as_selectable(table: Table) -> TableClause:
    """Return a backup's table as statements name it."""
    columns = [column_named(one.name, _TYPES[one.sort]) for one in table.columns]
    return table_named(table.name, *columns)


def _rows(connection: Connection, table: Table) -> Iterator[Row]:
    found = connection.execute(
        select(as_selectable(table)), execution_options=READ_IN_LOTS
    )
    return (tuple(row) for row in found)


def _count(connection: Connection, table: Table) -> int:
    return (
        connection.scalar(select(func.count()).select_from(as_selectable(table))) or 0
    )
