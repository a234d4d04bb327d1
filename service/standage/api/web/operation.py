"""What the service can be asked to do: one value per operation, with its act, which
carries itself out by the steps that whoever has the request in hand offers.

Routes, the OpenAPI document and the walk of the table of rights are all made from these
values, so that they cannot tell different stories.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any, ClassVar, Literal, NamedTuple, Protocol, TypeVar

from standage.api.web.call import (
    CSV,
    JSON,
    XLSX,
    Call,
    Reply,
    Sent,
    encoded,
    reported,
    reported_apart,
)
from standage.questions.derived import DERIVED, Key
from standage.railway.terms.reasons import Assumed
from standage.registry.database.engine import Database
from standage.registry.people.hashing import Hasher
from standage.registry.records.kind import RECORD_BYTES
from standage.registry.records.reading import Reading
from standage.registry.records.record import Principal
from standage.registry.writing.store import Writing

T = TypeVar("T")
Gather = Callable[[Reading | None, Call], Any]
Perform = Callable[[Writing, Call], Reply]


class Gathered(NamedTuple):
    """What an answer rests on, and what was understood in reading the question."""

    value: Any
    told: tuple[Assumed, ...]


class Steps(Protocol):
    """One request in hand. Each step that touches what is on record asks first who it
    is, whether they may, and whether what was sent is sound.
    """

    @property
    def database(self) -> Database:
        """What is asked."""

    async def ready(self) -> None:
        """Raise ``Unready`` where the database is not as the service needs it."""

    def check_form(self) -> None:
        """Raise what speaks against the form of a request that nobody signs."""

    async def aside(self, work: Callable[[], T]) -> T:
        """Return what ``work`` returns, done in a thread."""

    async def briefly(self, work: Callable[[], T]) -> T:
        """Return what ``work`` returns, done at once where the database is a file and
        little was sent, else in a thread.
        """

    async def apart(self, function: Callable[..., T], *arguments: Any) -> T:
        """Return what ``function`` returns, in another process: it, and all that goes
        in and out, must be picklable.
        """

    async def hashed(self, prove: Callable[[Hasher, Any], Any], looked: Any) -> Any:
        """Return what ``prove`` returns, once it is its turn to hash."""

    def gathered(self, gather: Gather) -> Gathered:
        """Return what is gathered from one snapshot, which is released then."""

    def snapshot(self, look: Callable[[Reading], T]) -> T:
        """Return what ``look`` returns from another snapshot, for a caller who has been
        let in already.
        """

    def readable(self, sent: Sent) -> Sent:
        """Return an answer with what a read carries."""

    async def written(self, change: "Writes") -> Sent:
        """Carry a change out in one transaction, once for its key."""

    async def looked(self, look: Callable[[Writing, Call], Any]) -> tuple[Call, Any]:
        """Return the decoded request, and what ``look`` returns from a transaction of
        its own.
        """

    async def proven(
        self, call: Call, change: "Writes", principal: Principal | None
    ) -> Sent:
        """Carry a change out for whoever has proved to be ``principal``; None is
        whoever has asked.
        """


class _Read(NamedTuple):
    gathered: Gathered
    sent: Sent | None
    """None where that is left to another process."""
    key: Key | None
    """Under which the answer is to be kept; None where it is not."""


@dataclass(frozen=True, slots=True)
class Reads:
    """Gather from one snapshot, release it, then report.

    Another process reports for a heavy case: both ``report`` and what is gathered must
    then be picklable.
    """

    gather: Gather
    report: Callable[[Any], Reply]
    heavy: Callable[[Any], bool] | None = None
    """Tells of what was gathered whether it may take long to reckon."""
    gathers_much: bool = False
    """Whether so much is read that it is not done on the loop."""
    kept_under: Callable[[Any], Key] | None = None
    """Names all that an answer rests on: it is then kept, and given again."""
    is_open: ClassVar[bool] = False
    changes: ClassVar[bool] = False
    in_turn: ClassVar[bool] = False

    async def carry_out(self, steps: Steps) -> Sent:
        """Answer a question."""
        await steps.ready()
        shortly = steps.aside if self.gathers_much else steps.briefly
        gathered, sent, key = await shortly(partial(self._read, steps))
        if sent is None:
            sent = await self._apart(steps, gathered)
        if key is not None:
            DERIVED.keep(key, sent, size_bytes=len(sent.body))
        return steps.readable(sent)

    async def _apart(self, steps: Steps, gathered: Gathered) -> Sent:
        """Report in another process, and keep here what that learned on the way."""
        sent, learned = await steps.apart(reported_apart, self.report, *gathered)
        for one in learned:
            DERIVED.keep(one.key, one.value, size_bytes=one.size_bytes)
        return sent

    def _read(self, steps: Steps) -> _Read:
        gathered = steps.gathered(self.gather)
        key = None
        if self.kept_under is not None:
            key = self.kept_under(gathered.value)
            kept = DERIVED.get(key)
            if kept is not None:
                return _Read(gathered, kept, None)
        if self.heavy is not None and self.heavy(gathered.value):
            return _Read(gathered, None, key)
        return _Read(gathered, reported(self.report, *gathered), key)


@dataclass(frozen=True, slots=True)
class Writes:
    """One transaction; ``in_turn``: one after the other in a club.

    ``afterwards`` does what no transaction can hold, once it is committed, and may add
    to the reply.
    """

    perform: Perform
    in_turn: bool = False
    afterwards: Callable[[Database, datetime, Reply], Reply] | None = None
    is_open: ClassVar[bool] = False
    changes: ClassVar[bool] = True

    async def carry_out(self, steps: Steps) -> Sent:
        """Make a change."""
        await steps.ready()
        return await steps.written(self)


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
    is_open: ClassVar[bool] = False
    changes: ClassVar[bool] = True
    in_turn: ClassVar[bool] = False

    async def carry_out(self, steps: Steps) -> Sent:
        """Make a change that is reckoned first."""
        await steps.ready()
        gather = partial(steps.gathered, self._gather)
        gathered = await steps.aside(gather)
        call, value = gathered.value
        read = await steps.apart(self.read, value)
        look_up = partial(self._look_up, call, read)
        looked_up = await steps.aside(partial(steps.snapshot, look_up))
        reckoned = await steps.apart(self.reckon, looked_up)
        perform = partial(_with, self.perform, reckoned)
        return await steps.written(Writes(perform))

    def _gather(self, reading: Reading | None, call: Call) -> tuple[Call, Any]:
        return call, self.gather(known(reading), call)

    def _look_up(self, call: Call, read: Any, reading: Reading) -> Any:
        return self.look_up(reading, call, read)


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
    changes: ClassVar[bool] = True

    @property
    def is_open(self) -> bool:
        """Whether anybody may try."""
        return self.principal is not None

    async def carry_out(self, steps: Steps) -> Sent:
        """Make a change once a passphrase has been hashed."""
        await steps.ready()
        call, looked = await steps.looked(self.look)
        proof = await steps.hashed(self.prove, looked)
        perform = partial(_with, self.perform, proof)
        change = Writes(perform, in_turn=self.in_turn)
        principal = None if self.principal is None else self.principal(proof)
        return await steps.proven(call, change, principal)


@dataclass(frozen=True, slots=True)
class Speaks:
    """Answered to anybody, without a token, from the state of the service itself."""

    say: Callable[[Database], Reply]
    is_open: ClassVar[bool] = True
    changes: ClassVar[bool] = False
    in_turn: ClassVar[bool] = False

    async def carry_out(self, steps: Steps) -> Sent:
        """Tell how the service is."""
        steps.check_form()
        say = partial(self.say, steps.database)
        reply = await steps.aside(say)
        return encoded(reply)


Act = Reads | Writes | Considers | Proves | Speaks


def always(_gathered: object) -> bool:
    """Say that a question is heavy, whatever it is about."""
    return True


def known(reading: Reading | None) -> Reading:
    """Return the reading of a caller who is known; raises ``TypeError`` for a stranger,
    to whom no such operation is open.
    """
    if reading is None:
        message = "what a club has on record was asked for without a club"
        raise TypeError(message)
    return reading


def _with(
    perform: Callable[[Writing, Call, Any], Reply],
    reckoned: Any,
    writing: Writing,
    call: Call,
) -> Reply:
    return perform(writing, call, reckoned)


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
        if self.body is None:
            return ()
        return (JSON,)


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
