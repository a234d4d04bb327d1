"""What the service can be asked to do: one value per operation.

Routes, the OpenAPI document and the walk of the table of rights are all made from these
values, so that they cannot tell different stories.
"""

from dataclasses import dataclass
from typing import Literal

from standage.api.web.acts import Act
from standage.api.web.call import CSV, JSON, XLSX
from standage.registry.records.kind import RECORD_BYTES

IMPORT_BYTES = 5 * 1024 * 1024
PATCHES = ("application/merge-patch+json", JSON)
"""The forms in which a change of some fields may be sent."""
RateClass = Literal["sign_in", "import", "search", "write", "check", "read"]
Method = Literal["GET", "POST", "PUT", "PATCH", "DELETE"]


@dataclass(frozen=True, slots=True)
class About:
    """What the document says of an operation."""

    tag: str
    summary: str
    description: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Takes:
    """What comes with a request."""

    query: type | None = None
    body: type | None = None
    patch_of: type | None = None
    """For a merge patch: the type that the patched record is decoded as."""
    files: tuple[str, ...] = ()
    """The media types of a body that is a file; the body is then its bytes."""
    most_bytes: int = RECORD_BYTES
    secret_fields: tuple[str, ...] = ()
    """The fields of the body that hold a secret: no fault repeats them, and no hash of
    the body holds them.
    """

    @property
    def media_types(self) -> tuple[str, ...]:
        """The media types in which a body is taken."""
        if self.files:
            return self.files
        if self.patch_of is not None:
            return PATCHES
        return () if self.body is None else (JSON,)


@dataclass(frozen=True, kw_only=True, slots=True)
class Answers:
    """What goes back."""

    shape: type | None
    """Of an answer that is no JSON ``str`` or ``bytes``."""
    media_type: str = JSON
    status: int = 200
    problems: tuple[str, ...] = ()
    """Those that are the operation's own."""
    creates: bool = False
    """Whether it bears a Location."""
    may_create: bool = False
    """Whether it makes what is not there yet, without If-Match: 201, with a
    Location.
    """
    tagged: bool = False
    """Whether it bears an ETag; a read's honours If-None-Match."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Guard:
    """What a caller is held to."""

    rate: RateClass = "read"
    conditional: bool = False
    """Whether If-Match is asked for."""
    may_be_open: bool = False
    """Whether a setting can open it to callers without a token."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Operation:
    """One thing that can be asked over HTTP, with all that the document says
    about it.
    """

    id: str
    method: Method
    path: str
    about: About
    act: Act
    answers: Answers
    takes: Takes = Takes()
    guard: Guard = Guard()

    @property
    def takes_key(self) -> bool:
        """Whether it takes an Idempotency-Key, under which it is done once however
        often it is sent.
        """
        is_change = self.method in {"PUT", "PATCH", "DELETE"}
        return self.answers.creates or is_change

    @property
    def is_about_files(self) -> bool:
        """Whether what it reckons is a file that comes in or goes out."""
        comes_in = self.guard.rate == "import"
        goes_out = self.answers.media_type in {CSV, XLSX}
        return comes_in or goes_out
