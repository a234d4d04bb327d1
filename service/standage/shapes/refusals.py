"""What the service refuses, and why: the root of every refusal, and those that any room
may raise.
"""

from typing import ClassVar


class Refusal(Exception):  # noqa: N818 - the root of all that a caller can cause; each says what was refused
    """The root of everything a caller can be refused for; ``code`` is stable."""

    code: ClassVar[str] = "refused"


class Absent(Refusal):
    """No such record in this club: it never was, is deleted, or is another club's. The
    caller cannot tell which.
    """

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
    """What was done cannot be undone as things stand now; the message names all that
    stands in the way.
    """

    code: ClassVar[str] = "cannot_undo"


class Outdated(Refusal):
    """What a change was prepared for is not as it was then; the message says what to
    look at anew.
    """

    code: ClassVar[str] = "outdated"


class OutOfTurn(Refusal):
    """Not possible at this point: it is done already, or something else must come
    first.
    """

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
    """The database, or whoever reckons, is busy; the same request may go through
    later.
    """

    code: ClassVar[str] = "busy"

    def __init__(self, message: str, *, retry_after_s: int = 1) -> None:
        super().__init__(message)
        self.retry_after_s = retry_after_s


class Unready(Refusal):
    """The database cannot be used as it is: not migrated, newer than the service,
    damaged. The message says why.

    ``writable`` is False where it can be read, and only not written to.
    """

    code: ClassVar[str] = "unready"

    def __init__(self, message: str, *, writable: bool | None = None) -> None:
        super().__init__(message)
        self.writable = writable
