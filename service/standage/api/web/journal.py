"""The log: one line for each request and each event, on standard error, as JSON or as
plain text.

Nothing that somebody sent gets in. A line holds the fields listed here and words of our
own; a request is told by its route, not by its path or query; an error is told by its
sort and the way it came, never in its own words, since those may quote what was sent;
and of what a library says only the words that it wrote down beforehand.
"""

import logging
import os
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import UTC, datetime
from traceback import StackSummary, walk_tb
from typing import Any, Literal
from uuid import uuid4

import msgspec

log = logging.getLogger(__name__)

Form = Literal["json", "text", "quiet"]
"""As JSON; as plain text; as plain text, and only what is wrong."""

FIELDS = frozenset(
    {
        *(
            "request_id",
            "method",
            "route",
            "operation",
            "status",
            "duration_ms",
            "club_id",
        ),
        *("version", "database"),
    }
)  # fmt: skip - a field that anybody adds is looked at here
"""All that a line may hold beside its time, level, process and words."""

METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
OTHER = "other"
_OURS = ("standage", "_granian")
_MOST_ERRORS = 10


@dataclass(slots=True)
class Asked:
    """One request, as far as the log tells of it."""

    method: str
    """One of ``METHODS``, or ``OTHER``."""
    id: str = field(default_factory=lambda: uuid4().hex)
    began_s: float = field(default_factory=time.perf_counter)
    route: str | None = None
    """The address as the document writes it, without ids; None where there is nothing
    at the address.
    """
    operation: str | None = None
    club_id: str | None = None
    headers: list[tuple[bytes, bytes]] = field(default_factory=list)
    """What its answer carries, whoever gives it; none of it is logged."""

    @property
    def duration_s(self) -> float:
        """How long ago it came in."""
        return time.perf_counter() - self.began_s


_CURRENT: ContextVar[Asked | None] = ContextVar("asked", default=None)


def begin(method: str, *, request_id: str | None = None) -> Asked:
    """Return a new request, to which all belongs that is logged from now on in this
    task and the threads it asks.
    """
    asked = Asked(method=method if method in METHODS else OTHER)
    asked.id = request_id or asked.id
    _CURRENT.set(asked)
    return asked


def note_club(club_id: str) -> None:
    """Note which club the present request is of."""
    asked = _CURRENT.get()
    if asked is not None:
        asked.club_id = club_id


def note_limit(headers: list[tuple[bytes, bytes]]) -> None:
    """Note what the answer to the present request says of its rate limit."""
    asked = _CURRENT.get()
    if asked is not None:
        asked.headers += headers


def tell(asked: Asked, *, status: int | None, duration_s: float) -> None:
    """Write the line of a request that is over; no status where nothing was
    answered.
    """
    if log.isEnabledFor(logging.INFO):
        log.info(
            "request",
            extra={
                "told": {
                    "method": asked.method,
                    "route": asked.route,
                    "operation": asked.operation,
                    "status": status,
                    "duration_ms": round(duration_s * 1000, 2),
                }
            },
        )


class ElsewhereError(RuntimeError):
    """An error in another process of ours; its message is the bare traceback from
    there.
    """


def bare_traceback(error: BaseException) -> str:
    """Return an error's traceback and that of each error it came from, without what any
    of them says.
    """
    return "\n".join(_lines(error, left=_MOST_ERRORS))


def _lines(error: BaseException, *, left: int) -> Iterator[str]:
    earlier = error.__cause__ or (
        None if error.__suppress_context__ else error.__context__
    )
    if earlier is not None and left:
        yield from _lines(earlier, left=left - 1)
        yield "which led to:"
    yield "Traceback (most recent call last):"
    yield from (
        line.rstrip("\n")
        for line in StackSummary.extract(walk_tb(error.__traceback__)).format()
    )
    yield f"{type(error).__module__}.{type(error).__qualname__}".removeprefix(
        "builtins."
    )
    if isinstance(error, ElsewhereError):
        yield f"in another process: {error}"
    if isinstance(error, BaseExceptionGroup) and left:
        for one in error.exceptions:
            yield "one of them:"
            yield from _lines(one, left=left - 1)


def _told(record: logging.LogRecord) -> dict[str, Any]:
    """Return what a line tells: its words, the fields that it may hold, and the
    traceback where there is one.
    """
    asked = _CURRENT.get()
    of_request = (
        {} if asked is None else {"request_id": asked.id, "club_id": asked.club_id}
    )
    fields: Mapping[str, Any] = getattr(record, "told", {})
    known = {
        name: value
        for name, value in (of_request | dict(fields)).items()
        if name in FIELDS
    }
    told = {
        "time": (
            datetime.fromtimestamp(record.created, UTC)
            .isoformat(timespec="milliseconds")
            .replace("+00:00", "Z")
        ),
        "level": record.levelname.lower(),
        "logger": record.name,
        "event": _words(record),
        "process": os.getpid(),
    }
    told |= {name: value for name, value in known.items() if value is not None}
    error = record.exc_info[1] if record.exc_info else None
    if error is None:
        return told
    return told | {"traceback": bare_traceback(error)}


def _words(record: logging.LogRecord) -> str:
    """Return a record's words: of our own loggers all, of a library's the first line as
    it stands in its code.
    """
    if record.name.partition(".")[0] in _OURS:
        return record.getMessage()
    return str(record.msg).partition("\n")[0]


class JsonLines(logging.Formatter):
    """Each record as one JSON object on one line."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        return msgspec.json.encode(_told(record)).decode()


class PlainLines(logging.Formatter):
    """Each record as a line that a person reads; a traceback stands beneath it."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        told = _told(record)
        traceback = told.pop("traceback", None)
        first = (
            told.pop("time"),
            told.pop("level").upper(),
            _visible(told.pop("event")),
        )
        del told["logger"]
        line = " ".join([*first, *(f"{name}={value}" for name, value in told.items())])
        if traceback is None:
            return line
        return f"{line}\n{traceback}"


def _visible(words: str) -> str:
    return "".join(one if one.isprintable() else "�" for one in words)


class Lines(logging.StreamHandler[Any]):
    """Writes each line at once, and bears it where it cannot: no answer is lost because
    the log is.
    """

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802 - the name that logging calls
        """Do nothing: the usual way would print the record as it is."""


def configuration(form: Form) -> dict[str, Any]:
    """Return the set-up of ``logging`` for the service and its server, as
    ``logging.config.dictConfig`` takes it.
    """
    level = "WARNING" if form == "quiet" else "INFO"
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": {"()": JsonLines if form == "json" else PlainLines}},
        "handlers": {"lines": {"()": Lines, "formatter": "lines"}},
        "root": {"handlers": ["lines"], "level": "WARNING"},
        "loggers": {"standage": {"level": level}, "_granian": {"level": level}},
    }


def take_in_the_rest() -> None:
    """Let errors that nobody caught, in whatever thread, be logged like any other."""
    sys.excepthook = lambda _kind, error, _trace: _uncaught(error)
    threading.excepthook = lambda happened: _uncaught(happened.exc_value)


def _uncaught(error: BaseException | None) -> None:
    log.critical("an error that nobody caught", exc_info=error)
