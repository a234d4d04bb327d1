"""The two databases: one file of SQLite, or a PostgreSQL server. Everything above sees
only ``Database``.

SQLite has a writing engine of one connection, so that writes queue in the process, and
a reading engine that cannot write. Every read is one snapshot; every write is one
transaction, durable when ``write`` ends.
"""

import os
import sqlite3
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Literal, NamedTuple

import psycopg
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import NullPool, PoolProxiedConnection

from standage.registry.database.driver_refusals import (
    DRIVER_ERRORS,
    in_plain_words,
    refusal_of,
)
from standage.shapes.refusals import Busy, Unready

Dialect = Literal["sqlite", "postgresql"]

READ_WAIT_MS = 50
WRITE_WAIT_S = 5
_LOOK_AGAIN_S = 0.05
_POSTGRESQL_SETTINGS = (
    f"SET lock_timeout = '{WRITE_WAIT_S}s'; SET statement_timeout = '30s'; "
    "SET idle_in_transaction_session_timeout = '60s'; SET timezone = 'UTC'"
)
_IN_USE = (
    "the database is in use; stop the service, and whatever else has it open, then try"
    " again"
)
_OTHERS_CONNECTED = """
SELECT count(*) FROM pg_stat_activity
WHERE datname = current_database() AND backend_type = 'client backend' AND pid <> pg_backend_pid()
"""


class RefusedWrite(NamedTuple):
    """Why a write could not be carried out, and when, by the clock that only goes
    forward.
    """

    message: str
    at_s: float


class Database:
    """An open database. Reads and writes give a connection; neither may outlive its
    ``with``.
    """

    def __init__(
        self,
        url: URL,
        *,
        reading: Engine,
        writing: Engine,
        erasures_file: str | None = None,
        read_wait_s: float,
    ) -> None:
        self.erasures_file = None if erasures_file is None else Path(erasures_file)
        self.url = url.render_as_string(hide_password=False)
        self.dialect: Dialect = (
            "sqlite" if writing.dialect.name == "sqlite" else "postgresql"
        )
        self.file = _file_of(url)
        self.on_trouble: Callable[[str], object] = _nobody_is_told
        """Told each time that the database cannot do what is asked of it: ``busy``,
        ``unready`` or ``failed``.
        """
        self.refused_write: RefusedWrite | None = None
        """Why the last write of this process could not be carried out; None where it
        was.
        """
        self.newest_moment: datetime | None = None
        """The newest moment on record that this process knows of."""
        self.clock_is_behind = timedelta(0)
        """How far the clock was behind that when it was last looked at."""
        self._reading = reading
        self._writing = writing
        self._read_wait_s = read_wait_s

    def __repr__(self) -> str:
        """Name the sort only: the address may hold a password."""
        return f"<Database {self.dialect}>"

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """Give a connection that sees one snapshot and can write nothing.

        Raises ``Busy`` where the database cannot be had in time, ``Unready`` where it
        cannot be used.
        """
        with self._told(), self._reading.begin() as connection:
            yield connection

    @contextmanager
    def read_anew(self) -> Iterator[Connection]:
        """Give a connection as ``read`` does, but one that has nothing of a SQLite file
        in its memory yet.
        """
        if self.dialect == "postgresql":
            with self.read() as connection:
                yield connection
            return
        engine = _sqlite_reading(
            make_url(self.url), {"poolclass": NullPool}, wait_s=self._read_wait_s
        )
        with in_plain_words(), engine.begin() as connection:
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """Give a connection in one transaction: committed at the end, rolled back on
        any error.

        Raises ``Busy`` where the database cannot be had in time or was lost on the way,
        ``Unready`` where it cannot be used.
        """
        try:
            with self._told(), self._writing.begin() as connection:
                yield connection
        except Unready as refusal:
            self.refused_write = RefusedWrite(str(refusal), time.monotonic())
            raise
        self.refused_write = None

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Tell of trouble, and turn what a driver says into a refusal where it is
        one.
        """
        try:
            yield
        except (Busy, Unready) as refusal:
            self.on_trouble(refusal.code)
            raise
        except DRIVER_ERRORS as error:
            meant = refusal_of(error)
            self.on_trouble("failed" if meant is None else meant.code)
            if meant is None:
                raise
            raise meant from error

    @contextmanager
    def migrate(self) -> Iterator[Connection]:
        """Give a connection in one transaction for changing the tables: nothing waited
        for is given up.

        On SQLite references between tables go unchecked, since a table is changed by
        copying it.
        """
        with in_plain_words(), self._changing() as connection:
            yield connection

    @contextmanager
    def alone(self) -> Iterator[Connection]:
        """Give a connection in one transaction, as ``migrate`` does, to a database that
        nobody else has open.

        On SQLite nothing that is deleted stays readable in the file. Raises ``Busy``
        where somebody has, ``Unready`` where the database cannot be used.
        """
        with (
            in_plain_words(busy=_IN_USE),
            self._changing("locking_mode = EXCLUSIVE") as connection,
        ):
            if self.dialect == "postgresql":
                _wait_until_alone(connection)
            yield connection

    @contextmanager
    def _changing(self, *settings: str) -> Iterator[Connection]:
        if self.dialect == "postgresql":
            with self._writing.begin() as connection:
                connection.exec_driver_sql(
                    "SET LOCAL lock_timeout = 0; SET LOCAL statement_timeout = 0"
                )
                yield connection
            return
        engine = _sqlite_writing(make_url(self.url), *settings, foreign_keys=False)
        try:
            with engine.begin() as connection:
                yield connection
        finally:
            engine.dispose()

    def outside_transactions(self, statement: str) -> Sequence[Any] | None:
        """Run a statement that no transaction may hold, and wait for it; return the
        first row that it gives, if any.

        Raises ``Busy`` where others are in its way too long, ``Unready`` where the
        database cannot be used.
        """
        with in_plain_words():
            if self.dialect == "sqlite":
                return _run_alone(self._writing.raw_connection(), statement)
            with self._writing.connect().execution_options(
                isolation_level="AUTOCOMMIT"
            ) as connection:
                connection.exec_driver_sql("SET statement_timeout = 0")
                connection.exec_driver_sql(statement)
                connection.invalidate()  # what was set for it is not for others
                return None

    def dispose(self) -> None:
        """Close every connection."""
        self._reading.dispose()
        self._writing.dispose()


def _wait_until_alone(connection: Connection) -> None:
    """Wait until nobody else is connected to a PostgreSQL database: whoever has just
    gone is there for a moment more.

    Raises ``Busy`` where somebody stays as long as a write waits.
    """
    end_s = time.monotonic() + WRITE_WAIT_S
    while connection.exec_driver_sql(_OTHERS_CONNECTED).scalar():
        if time.monotonic() >= end_s:
            raise Busy(_IN_USE)
        time.sleep(_LOOK_AGAIN_S)
        connection.exec_driver_sql(
            "SELECT pg_stat_clear_snapshot()"
        )  # which would else tell the same once more


def _nobody_is_told(_sort: str) -> None:
    """Let trouble pass without telling anybody."""


def _run_alone(
    connection: PoolProxiedConnection, statement: str
) -> Sequence[Any] | None:
    try:
        cursor = connection.cursor()
        cursor.execute(statement)
        row: Sequence[Any] | None = cursor.fetchone()
        cursor.close()
    finally:
        connection.close()
    return row


def open_database(
    url: str, *, erasures_file: str | None = None, hurries: bool = True
) -> Database:
    """Return the database at ``url``: ``sqlite:///file`` or ``postgresql+psycopg://…``.
    Nothing is connected yet.

    The list of erasures is kept in ``erasures_file``; of a SQLite file beside it,
    unless that is given. Whoever reads a file while many wait for the answer hurries: a
    lock that another process has is waited for a moment only.

    Raises ``Unready`` where the address is neither.
    """
    try:
        parsed = make_url(url)
    except ArgumentError as error:
        raise Unready(
            "the database's address must look like sqlite:///file or"
            " postgresql+psycopg://…"
        ) from error
    if parsed.get_backend_name() == "sqlite":
        wait_s = READ_WAIT_MS / 1000 if hurries else WRITE_WAIT_S
        return _open_sqlite(
            parsed.set(drivername="sqlite"), erasures_file, read_wait_s=wait_s
        )
    if parsed.drivername in {"postgresql", "postgresql+psycopg"}:
        return _open_postgresql(
            parsed.set(drivername="postgresql+psycopg"), erasures_file
        )
    raise Unready(
        f"{parsed.drivername} is not a database that is supported; use sqlite or"
        " postgresql+psycopg"
    )


def _open_sqlite(
    url: URL, erasures_file: str | None, *, read_wait_s: float
) -> Database:
    if url.database in {None, "", ":memory:"}:
        raise Unready("a SQLite database must be a file: sqlite:///file")
    pool = {"pool_size": 8, "max_overflow": 24, "pool_timeout": read_wait_s}
    beside = f"{url.database}.erasures" if erasures_file is None else erasures_file
    reading, writing = (
        _sqlite_reading(url, pool, wait_s=read_wait_s),
        _sqlite_writing(url, foreign_keys=True),
    )
    return Database(
        url,
        reading=reading,
        writing=writing,
        erasures_file=beside,
        read_wait_s=read_wait_s,
    )


def _sqlite_reading(url: URL, pool: Mapping[str, Any], *, wait_s: float) -> Engine:
    engine = create_engine(
        url,
        hide_parameters=True,  # what members write down has no business in a log
        connect_args={"check_same_thread": False, "timeout": wait_s},
        **pool,
    )
    event.listen(engine, "connect", _pragmas("query_only = ON"))
    event.listen(engine, "begin", _begin("BEGIN"))
    return engine


def _sqlite_writing(url: URL, *settings: str, foreign_keys: bool) -> Engine:
    pool: dict[str, Any] = {
        "pool_size": 1,
        "max_overflow": 0,
        "pool_timeout": WRITE_WAIT_S,
    }
    engine = create_engine(
        url,
        hide_parameters=True,
        connect_args={"check_same_thread": False, "timeout": WRITE_WAIT_S},
        **(pool if foreign_keys else {"poolclass": NullPool}),
    )
    checked = f"foreign_keys = {'ON' if foreign_keys else 'OFF'}"
    file = _file_of(url)
    if file is not None:
        event.listen(engine, "do_connect", lambda *_: _private(file))
    event.listen(
        engine,
        "connect",
        _pragmas(
            *settings,
            "journal_mode = WAL",
            "synchronous = FULL",
            "secure_delete = ON",
            checked,
        ),
    )
    event.listen(engine, "begin", _begin("BEGIN IMMEDIATE"))
    return engine


def _file_of(url: URL) -> Path | None:
    """Return the file of a SQLite database; None of any other, and of one that is named
    by a URI of its own.
    """
    if (
        url.get_backend_name() != "sqlite"
        or url.database is None
        or url.database.startswith("file:")
    ):
        return None
    return Path(url.database)


def _private(file: Path) -> None:
    """Make a new file that only its owner reads, whatever the process's umask; leave
    one that is there as it is.
    """
    with suppress(OSError):  # SQLite itself says what is wrong with a folder
        os.close(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))


def _pragmas(*settings: str) -> Callable[[sqlite3.Connection, object], None]:
    def prepare(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = (
            None  # transactions are begun by us, not by the driver
        )
        for setting in settings:
            connection.execute(f"PRAGMA {setting}").close()

    return prepare


def _begin(statement: str) -> Callable[[Connection], None]:
    def begin(connection: Connection) -> None:
        connection.exec_driver_sql(statement)

    return begin


def _open_postgresql(url: URL, erasures_file: str | None) -> Database:
    engine = create_engine(
        url,
        hide_parameters=True,
        isolation_level="READ COMMITTED",
        pool_size=10,
        max_overflow=10,
        pool_timeout=WRITE_WAIT_S,
        pool_recycle=1800,
        connect_args={
            "connect_timeout": 5,
            "application_name": "standage",
            "client_encoding": "utf8",
        },
    )
    event.listen(engine, "connect", _set_up_postgresql)
    event.listen(engine, "checkout", _may_write_if_the_server_lets_it)
    reading = engine.execution_options(
        isolation_level="REPEATABLE READ", postgresql_readonly=True
    )
    return Database(
        url,
        reading=reading,
        writing=engine,
        erasures_file=erasures_file,
        read_wait_s=WRITE_WAIT_S,
    )


def _set_up_postgresql(connection: psycopg.Connection[Any], _record: object) -> None:
    encoding = connection.info.parameter_status("server_encoding")
    if encoding != "UTF8":
        connection.close()
        raise Unready(
            f"the database keeps its text as {encoding}, not UTF8; create it again with"
            " ENCODING 'UTF8'"
        )
    connection.execute(_POSTGRESQL_SETTINGS)
    connection.commit()


def _may_write_if_the_server_lets_it(
    connection: psycopg.Connection[Any], _record: object, _proxy: object
) -> None:
    """Let the server say whether it may be written to: after a read SQLAlchemy would
    demand that it may.
    """
    if connection.read_only is False:
        connection.read_only = None
