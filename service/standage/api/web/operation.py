"""What the service can be asked to do: one value per operation.

Routes, the OpenAPI document and the walk of the table of rights are all made from these
values, so that they cannot tell different stories.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from standage.railway.terms.understanding import NOTHING_HEARD, Heard
from standage.registry.database.engine import Database
from standage.registry.people.hashing import Hasher
from standage.registry.records.kind import RECORD_BYTES
from standage.registry.records.reading import Reading
from standage.registry.records.record import IfMatch, Permit, Principal
from standage.registry.writing.store import Writing

IMPORT_BYTES = 5 * 1024 * 1024
JSON = "application/json"
CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ODS = "application/vnd.oasis.opendocument.spreadsheet"
SVG = "image/svg+xml"
RateClass = Literal["sign_in", "import", "search", "write", "check", "read"]
Method = Literal["GET", "POST", "PUT", "PATCH", "DELETE"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Call:
    """One decoded request, as far as an operation needs to know it."""

    permit: Permit | None
    path: Mapping[str, str]
    query: Any
    body: Any
    if_match: IfMatch
    now: datetime
    content_type: str = ""
    """In what form the body came; it matters only where it may come in several."""
    peer: str | None = None
    """From which address; None where nobody counts."""
    heard: Heard = NOTHING_HEARD
    """What was understood in reading the body, where that had to be."""

    @property
    def granted(self) -> Permit:
        """The permit of an operation that is never open to strangers."""
        if self.permit is None:
            message = "an operation that needs a permit was reached without one"
            raise RuntimeError(message)
        return self.permit

    @property
    def club_id(self) -> str:
        """The club that asks."""
        return self.granted.principal.club_id


@dataclass(frozen=True, kw_only=True, slots=True)
class Reply:
    """What goes back: a value to encode as JSON, bytes that go as they are, or nothing;
    with its headers.
    """

    content: Any = None
    media_type: str = JSON
    status: int = 200
    etag: str | None = None
    headers: tuple[tuple[str, str], ...] = ()
    secret: bool = False
    """Whether it holds what may never be kept, not even for a replay."""


@dataclass(frozen=True, slots=True)
class Reads:
    """Gather from one snapshot, release it, then report.

    Another process reports for a heavy operation: both ``report`` and what is gathered
    must then be picklable.
    """

    gather: Callable[[Reading | None, Call], Any]
    report: Callable[[Any], Reply]


@dataclass(frozen=True, slots=True)
class Writes:
    """One transaction; ``in_turn``: one after the other in a club.

    ``afterwards`` does what no transaction can hold, once it is committed, and may add
    to the reply.
    """

    perform: Callable[[Writing, Call], Reply]
    in_turn: bool = False
    afterwards: Callable[[Database, datetime, Reply], Reply] | None = None


@dataclass(frozen=True, slots=True)
class Considers:
    """Read what was sent, look up what it speaks of and reckon what follows; then one
    transaction with that.

    Gather from one snapshot what it is read by, look up in another the records that it
    names, and no others. Reading and reckoning happen in another process: what goes
    there and comes back must be picklable.
    """

    gather: Callable[[Reading, Call], Any]
    read: Callable[[Any], Any]
    look_up: Callable[[Reading, Call, Any], Any]
    reckon: Callable[[Any], Any]
    perform: Callable[[Writing, Call, Any], Reply]


@dataclass(frozen=True, slots=True)
class Proves:
    """A passphrase is hashed in between: look in one transaction, hash outside of any,
    perform in another.

    ``principal`` tells, for an operation that is open to anybody, who it has proved to
    be.
    """

    look: Callable[[Writing, Call], Any]
    prove: Callable[[Hasher, Any], Any]
    perform: Callable[[Writing, Call, Any], Reply]
    principal: Callable[[Any], Principal] | None = None
    in_turn: bool = False


@dataclass(frozen=True, slots=True)
class Speaks:
    """Answered to anybody, without a token, from the state of the service itself."""

    say: Callable[[Database], Reply]


def always(_gathered: object) -> bool:
    """Say that a question is heavy, whatever it is about."""
    return True


@dataclass(frozen=True, kw_only=True, slots=True)
class Operation:
    """One thing that can be asked over HTTP, with all that the document says
    about it.
    """

    id: str
    method: Method
    path: str
    tag: str
    summary: str
    description: str
    act: Reads | Writes | Considers | Proves | Speaks
    answer: type | None
    answers_as: str = JSON
    """The media type of its answer; of an answer that is no JSON ``answer`` is ``str``
    or ``bytes``.
    """
    status: int = 200
    body: type | None = None
    takes: tuple[str, ...] = ()
    """The media types of a body that is a file; the body is then its bytes."""
    patch_of: type | None = None
    """For a merge patch: the type that the patched record is decoded as."""
    query: type | None = None
    problems: tuple[str, ...] = ()
    rate: RateClass = "read"
    body_bytes: int = RECORD_BYTES
    creates: bool = False
    """Whether it answers with a Location."""
    conditional: bool = False
    """Whether it asks for If-Match."""
    may_be_open: bool = False
    """Whether a setting can open it to callers without a token."""
    secret_fields: tuple[str, ...] = ()
    """The fields of its body that hold a secret: no fault repeats them, and no hash of
    the body holds them.
    """
    tagged: bool = False
    """Whether its answer carries an ETag and honours If-None-Match."""
    heavy: Callable[[Any], bool] | None = None
    """Tells of what was gathered whether it may take long to reckon, and so does it in
    a process of its own.
    """
    gathers_much: bool = False
    """Whether so much is read that it is not done on the loop."""

    @property
    def takes_key(self) -> bool:
        """Whether it takes an Idempotency-Key, under which it is done once however
        often it is sent.
        """
        return self.creates or self.method in {"PUT", "PATCH", "DELETE"}

    @property
    def is_open(self) -> bool:
        """Whether it is answered to anybody, without a token."""
        return isinstance(self.act, Speaks) or (
            isinstance(self.act, Proves) and self.act.principal is not None
        )

    @property
    def media_types(self) -> tuple[str, ...]:
        """The media types in which it takes a body."""
        if self.takes:
            return self.takes
        if self.patch_of is not None:
            return ("application/merge-patch+json", JSON)
        return (JSON,) if self.body is not None else ()
