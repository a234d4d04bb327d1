"""The database's tables, brought to what this version of the service needs, and whether
they are so.

A migration is one transaction on both databases: one that is killed leaves the database
as it was.
"""

import errno
import os
import time
from functools import cache
from pathlib import Path
from tempfile import TemporaryFile
from typing import Literal

import msgspec
from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, inspect

import standage
from standage.registry.database.engine import Database
from standage.registry.database.tables import metadata
from standage.shapes.refusals import Busy, Unready

REVISION_TABLE = "alembic_version"
REFUSAL_HOLDS_S = 60.0
_ROOM_BYTES = 256 * 1024
_ADVISORY_LOCK = 0x5374616E64616765 >> 1
_PACKAGE = Path(standage.__file__).parent


class State(msgspec.Struct, frozen=True, kw_only=True):
    """Whether a database can be used by this version of the service, and if not, why,
    in plain words.
    """

    code: Literal[
        "ready",
        "not_migrated",
        "older",
        "newer",
        "damaged",
        "unusable",
        "not_writable",
        "busy",
    ]
    message: str = ""

    @property
    def ready(self) -> bool:
        """Whether it can be used as it is."""
        return self.code == "ready"


READY = State(code="ready")


def migrate(database: Database, revision: str = "head") -> None:
    """Bring the tables up to ``revision``; one process at a time, the others wait and
    find it done.

    Raises ``Unready`` where the database is newer than the service, or its contents
    break the rules afterwards.
    """
    with database.migrate() as connection:
        one_at_a_time(connection)
        state = _state(connection)
        if state.code in {"newer", "damaged"}:
            raise Unready(state.message)
        upgrade_within(connection, revision)
        require_sound_references(connection)


def upgrade_within(connection: Connection, revision: str = "head") -> None:
    """Bring the tables up to ``revision`` in a transaction that others began."""
    command.upgrade(_config(connection), revision)


def downgrade(database: Database, revision: str) -> None:
    """Take the tables down to ``revision``: one that was, ``-1`` for one step, or
    ``base`` for none at all.
    """
    with database.migrate() as connection:
        one_at_a_time(connection)
        command.downgrade(_config(connection), revision)
        require_sound_references(connection)


def prepare(database: Database) -> None:
    """Make a database ready for the service to use: SQLite is migrated, PostgreSQL must
    have been.

    Raises ``Unready`` with the reason where it cannot be used.
    """
    state = state_of(database)
    if database.dialect == "sqlite" and state.code in {"not_migrated", "older"}:
        migrate(database)
        state = state_of(database)
    if state.code == "busy":
        raise Busy(state.message)
    if not state.ready:
        raise Unready(state.message)


def state_of(database: Database, *, thoroughly: bool = False) -> State:
    """Tell whether the database can be used; ``thoroughly`` looks for damage and
    whether it can be written to.

    A thorough look reads the whole of a SQLite file.
    """
    try:
        with database.read_anew() if thoroughly else database.read() as connection:
            state = _state(connection)
            if state.ready and thoroughly and database.dialect == "sqlite":
                state = _integrity(connection)
    except Unready as refusal:
        return State(code="unusable", message=str(refusal))
    except Busy as refusal:
        return State(code="busy", message=str(refusal))
    if state.ready and thoroughly:
        return _writability(database)
    return state


def _writability(database: Database) -> State:
    """Tell whether a database that can be read can be written to as well."""
    try:
        _require_room(database)
        _require_last_write(database)
        _require_writable(database)
    except Unready as refusal:
        return State(code="not_writable", message=str(refusal))
    except Busy as refusal:
        return State(code="busy", message=str(refusal))
    return READY


def revision_of(connection: Connection) -> str:
    """Return the revision that the tables are of; raises ``Unready`` where the service
    does not know it.
    """
    state = _state(connection)
    if state.code not in {"ready", "older"}:
        raise Unready(state.message)
    (revision,) = MigrationContext.configure(connection).get_current_heads()
    return revision


def knows(revision: str) -> bool:
    """Tell whether this version of the service knows a revision of the tables."""
    return revision in _revisions()[0]


def require_sound(connection: Connection) -> None:
    """Look through a SQLite file from end to end; raises ``Unready`` where it is
    damaged.
    """
    if (
        connection.dialect.name == "sqlite"
        and not (state := _integrity(connection)).ready
    ):
        raise Unready(state.message)


def _state(connection: Connection) -> State:
    current = MigrationContext.configure(connection).get_current_heads()
    known, head = _revisions()
    if not current:
        if set(inspect(connection).get_table_names()) & set(metadata.tables):
            return State(
                code="damaged",
                message="the database has tables, but does not say of which version",
            )
        return State(
            code="not_migrated",
            message="the database has no tables yet; run: standage migrate",
        )
    if not set(current) <= known:
        return State(
            code="newer",
            message=(
                "the database was made by a newer version of the service than this one"
            ),
        )
    if current != (head,):
        return State(
            code="older",
            message="the database was made by an older version; run: standage migrate",
        )
    missing = set(metadata.tables) - set(inspect(connection).get_table_names())
    if missing:
        return State(
            code="damaged",
            message=f"the database lacks the tables {', '.join(sorted(missing))}",
        )
    return READY


def _integrity(connection: Connection) -> State:
    found = connection.exec_driver_sql("PRAGMA quick_check(1)").scalar()
    if found == "ok":
        return READY
    return State(code="damaged", message="the database file is damaged")


def _require_room(database: Database) -> None:
    """Raise ``Unready`` where the disk of a SQLite file has no room for what a few
    writes take.

    A write within what the file and its journal take already says nothing of that.
    """
    if database.file is None:
        return
    try:
        with TemporaryFile(dir=database.file.parent) as probe:
            os.posix_fallocate(probe.fileno(), 0, _ROOM_BYTES)
    except OSError as error:
        if error.errno == errno.ENOSPC:
            raise Unready("the disk that holds the database is full") from error


def _require_last_write(database: Database) -> None:
    """Raise ``Unready`` as the last write was refused, for a while: then it is for the
    next write to find out.
    """
    refused = database.refused_write
    if refused is not None and time.monotonic() - refused.at_s < REFUSAL_HOLDS_S:
        raise Unready(refused.message)


def _require_writable(database: Database) -> None:
    with database.write() as connection:
        if database.dialect == "postgresql":
            if (
                connection.exec_driver_sql("SHOW transaction_read_only").scalar()
                == "on"
            ):
                raise Unready("the database may not be written to; is it a standby?")
        else:
            version = connection.exec_driver_sql("PRAGMA user_version").scalar()
            connection.exec_driver_sql(f"PRAGMA user_version = {version}")


def one_at_a_time(connection: Connection) -> None:
    """Wait until no other process changes the tables of a PostgreSQL database; SQLite's
    transaction sees to that.
    """
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_ADVISORY_LOCK})")


def require_sound_references(connection: Connection) -> None:
    """Raise ``Unready`` where a record of a SQLite file refers to none; PostgreSQL sees
    to that itself.
    """
    if connection.dialect.name != "sqlite":
        return
    if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
        raise Unready(
            "the database holds records that point nowhere; nothing was changed"
        )


def _config(connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(_folder()).replace("%", "%%"))
    config.attributes["connection"] = connection
    return config


def _folder() -> Path:
    """Return where the migrations lie: in the installed package, or at the top of the
    source tree.
    """
    installed = _PACKAGE / "migrations"
    if installed.is_dir():
        return installed
    return _PACKAGE.parent.parent / "migrations"


@cache
def _revisions() -> tuple[frozenset[str], str]:
    config = Config()
    config.set_main_option("script_location", str(_folder()).replace("%", "%%"))
    scripts = ScriptDirectory.from_config(config)
    head = scripts.get_current_head()
    if head is None:
        raise CommandError(f"there are no migrations in {_folder()}")
    return frozenset(script.revision for script in scripts.walk_revisions()), head
