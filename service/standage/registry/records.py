"""What every sort of record has in common, and what can go wrong with one."""

import hashlib
from datetime import datetime
from typing import ClassVar, Literal

import msgspec

from standage.railway.terms.faults import Refusal

Role = Literal["member", "layout_keeper", "steward"]
Scope = Literal["read", "write"]
Part = Role | Literal["visitor"]
"""In what part somebody asks: a member's role, or whoever holds a share link."""
Whose = Literal["own", "club", "layout"]
Bearer = Literal["token", "session", "link"]
Action = Literal["create", "update", "delete", "restore", "erase"]


_TAG_DIGITS = 16
"""64 bits: two contents of one version of one record share a tag about never."""


class Principal(msgspec.Struct, frozen=True, kw_only=True):
    """Who asks: a member of a club by one of the member's tokens or sessions, or a visitor by a share link.

    ``token_id`` is the id of whichever it is; ``member_id`` of a link is whoever made it, ``layout_id`` all it shows.
    ``to_be_noted`` says that the session's use has not been put down for a while.
    """

    club_id: str
    member_id: str
    role: Part
    token_id: str
    scopes: frozenset[Scope]
    bearer: Bearer = "token"
    layout_id: str | None = None
    to_be_noted: bool = False


class Permit(msgspec.Struct, frozen=True, kw_only=True):
    """What the table of rights grants a principal for one operation: their own records, all the club's, a layout's."""

    principal: Principal
    whose: Whose


class Kept(msgspec.Struct, frozen=True, kw_only=True):
    """One record as far as a question needs to know it: its body as a struct, and what it is found by."""

    id: str
    parent_id: str | None
    body: msgspec.Struct


class Record(Kept, frozen=True, kw_only=True):
    """One record as it is kept: its envelope, and its body as the kind's struct."""

    kind: str
    club_id: str
    version: int
    created_at: datetime
    updated_at: datetime

    @property
    def etag(self) -> str:
        """The strong entity tag of this record as it stands (RFC 9110, section 8.8.3)."""
        return entity_tag(self.version, self)


def entity_tag(version: int, content: msgspec.Struct) -> str:
    """Return the tag that names one content for ever: the version alone comes again after a restore."""
    digest = hashlib.sha256(msgspec.json.encode(content)).hexdigest()
    return f'"v{version}-{digest[:_TAG_DIGITS]}"'


class Change(msgspec.Struct, frozen=True, kw_only=True):
    """One row of a record's history; ``before`` and ``after`` are bodies as JSON text.

    What one request did to several records bears one ``action_id``. ``undoes`` is the change that this one undid.
    """

    id: str
    action_id: str
    kind: str
    record_id: str
    version: int
    action: Action
    at: datetime
    member_id: str
    token_id: str
    undoes: str | None
    before: str | None
    after: str | None


class IfMatch(msgspec.Struct, frozen=True, kw_only=True):
    """What a caller says it saw before a change: nothing, any version, or one of several strong entity tags.

    Weak tags never match (RFC 9110, section 13.1.1), so whoever reads the header leaves them out of ``tags``.
    """

    given: bool = False
    any_version: bool = False
    tags: frozenset[str] = frozenset()

    def require(self, etag: str) -> None:
        """Raise ``Unconditional`` where nothing was said, ``Stale`` where ``etag`` is none of what was."""
        if not self.given:
            raise Unconditional(f"say which version you saw: the present one is If-Match: {etag}")
        if not self.any_version and etag not in self.tags:
            then = f"read it again, make your change to that, and send If-Match: {etag}"
            raise Stale(f"its present version is not the one that you named: {then}")


UNCONDITIONAL = IfMatch()
ANY_VERSION = IfMatch(given=True, any_version=True)


class Absent(Refusal):
    """No such record in this club: it never was, is deleted, or is another club's. The caller cannot tell which."""

    code: ClassVar[str] = "not_found"


class Forbidden(Refusal):
    """The record is the club's, but not this principal's to change."""

    code: ClassVar[str] = "forbidden"


class Unconditional(Refusal):
    """A change came without saying which version it was made from."""

    code: ClassVar[str] = "precondition_required"


class Stale(Refusal):
    """The record has changed since the version that the caller saw."""

    code: ClassVar[str] = "stale"


class InUse(Refusal):
    """Other records lean on this one; the message names them."""

    code: ClassVar[str] = "in_use"


class InTheWay(Refusal):
    """What was done cannot be undone as things stand now; the message names all that stands in the way."""

    code: ClassVar[str] = "cannot_undo"


class Outdated(Refusal):
    """What a change was prepared for is not as it was then; the message says what to look at anew."""

    code: ClassVar[str] = "outdated"


class OutOfTurn(Refusal):
    """Not possible at this point: it is done already, or something else must come first."""

    code: ClassVar[str] = "out_of_turn"


class KeyReused(Refusal):
    """The Idempotency-Key came before with another payload."""

    code: ClassVar[str] = "idempotency_key_reused"


class KeyInProgress(Refusal):
    """The same request is still being worked on."""

    code: ClassVar[str] = "idempotency_key_in_progress"


class AlreadyShown(Refusal):
    """The answer held a secret, which is shown once only."""

    code: ClassVar[str] = "already_shown"


class Busy(Refusal):
    """The database, or whoever reckons, is busy; the same request may go through later."""

    code: ClassVar[str] = "busy"

    def __init__(self, message: str, *, retry_after_s: int = 1) -> None:
        super().__init__(message)
        self.retry_after_s = retry_after_s


class Unready(Refusal):
    """The database cannot be used as it is: not migrated, newer than the service, damaged. The message says why.

    ``writable`` is False where it can be read, and only not written to.
    """

    code: ClassVar[str] = "unready"

    def __init__(self, message: str, *, writable: bool | None = None) -> None:
        super().__init__(message)
        self.writable = writable
