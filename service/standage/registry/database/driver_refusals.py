"""What the drivers say of a database that cannot be used just now, in plain words."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError

from standage.shapes.refusals import Busy, Refusal, Unready

_BUSY_STATES = frozenset(
    {"55P03", "40001", "40P01", "57014", "53300", "57P01", "57P02", "57P03", "25P03"}
)
_LOCK_NOT_AVAILABLE = "55P03"
_BUSY_WORDS = "the database is busy; try again in a moment"
_UNREACHABLE_WORDS = "the database cannot be reached; try again in a moment"


DRIVER_ERRORS = (DBAPIError, PoolTimeoutError)
"""What comes of a database that cannot be used just now, among others."""


def waited_in_vain(error: DBAPIError) -> bool:
    """Tell whether a statement gave up because another transaction held what it
    needed.
    """
    return getattr(error.orig, "sqlstate", None) == _LOCK_NOT_AVAILABLE


@contextmanager
def in_plain_words(busy: str = _BUSY_WORDS) -> Iterator[None]:
    """Turn what a driver says of a database that cannot be used just now into a
    refusal; leave every other error.
    """
    try:
        yield
    except DRIVER_ERRORS as error:
        refusal = refusal_of(error, busy)
        if refusal is None:
            raise
        raise refusal from error


def refusal_of(
    error: DBAPIError | PoolTimeoutError, busy: str = _BUSY_WORDS
) -> Refusal | None:
    """Return the refusal that an error of a driver is, in plain words; None where it is
    another sort of error.
    """
    if isinstance(error, PoolTimeoutError):
        return Busy(busy)
    refusal = _sqlite_refusal(error.orig, busy)
    if refusal is not None:
        return refusal
    return _postgresql_refusal(error.orig, invalid=error.connection_invalidated)


_SQLITE_UNREADY = {
    sqlite3.SQLITE_NOTADB: "the database file is not a SQLite database",
    sqlite3.SQLITE_CORRUPT: "the database file is damaged",
    sqlite3.SQLITE_FULL: "the disk that holds the database is full",
    sqlite3.SQLITE_READONLY: "the database file may not be written to",
    sqlite3.SQLITE_IOERR: "the disk that holds the database cannot be read or written",
    sqlite3.SQLITE_CANTOPEN: (
        "the database file cannot be opened; does its folder exist? May the service"
        " write there?"
    ),
}


def _sqlite_refusal(error: object, busy: str) -> Refusal | None:
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return None
    primary = code & 0xFF
    if primary in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}:
        return Busy(busy)
    words = _SQLITE_UNREADY.get(primary)
    if words is None:
        return None
    return Unready(words)


def _postgresql_refusal(error: object, *, invalid: bool) -> Refusal | None:
    if not isinstance(error, psycopg.Error):
        return None
    state = error.sqlstate
    if state in _BUSY_STATES:
        return Busy(_BUSY_WORDS)
    if state == "53100":
        return Unready("the disk that holds the database is full")
    if state == "25006":
        return Unready("the database may not be written to; is it a standby?")
    lost = state is None and isinstance(error, psycopg.OperationalError)
    if lost or invalid or (state or "").startswith("08"):
        return Busy(_UNREACHABLE_WORDS)
    return None
