"""One request in hand: who asks, may they, decode, then one snapshot or one
transaction.

The order of the checks is fixed: who (401), may they (403), in what form (415, 406,
400, 422), and only then the object itself (404, 403, 422, 428, 412).
"""

from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any, TypeVar

import msgspec
from anyio import to_thread

from standage.api import rights
from standage.api.asking.hash_queue import HashQueue
from standage.api.asking.idempotency import once, repeated, without_secrets
from standage.api.asking.pool import Pool
from standage.api.asking.readiness_gate import Gate
from standage.api.asking.refused_intents import what_was_refused
from standage.api.asking.way_back import with_way_back
from standage.api.asking.write_turns import Turns
from standage.api.web.arrival import (
    Arrival,
    as_parameter,
    body_of,
    check_ids,
    check_media,
    check_tags,
    idempotency_key,
    if_match_of,
    query_of,
)
from standage.api.web.call import JSON, Call, Sent, encoded, readable
from standage.api.web.journal import note_club, note_limit
from standage.api.web.limits import Limits
from standage.api.web.operation import Gather, Gathered, Operation, Writes
from standage.api.web.problems import Rejected
from standage.registry.database.engine import Database
from standage.registry.database.moments import SteadyClock
from standage.registry.forgetting.housekeeping import tidy
from standage.registry.people.credentials import held_principal, principal_for
from standage.registry.people.hashing import Hasher
from standage.registry.people.sessions import note_use
from standage.registry.records.layout_reading import LayoutReading
from standage.registry.records.naming import with_ids
from standage.registry.records.reading import Reading
from standage.registry.records.record import Permit, Principal
from standage.registry.writing.refused_changes import note_refused
from standage.registry.writing.store import Writing
from standage.shapes.faults import Faulty, all_of
from standage.shapes.refusals import Absent, Refusal, Stale

T = TypeVar("T")

_LOOP_BYTES = 8 * 1024
_UNKNOWN = "No token came with the request, or it is not valid any more."


@dataclass(frozen=True, kw_only=True)
class Asker:
    """Carries out operations on one database."""

    database: Database
    gate: Gate
    clock: SteadyClock
    limits: Limits | None
    open_checks: bool
    writers: Turns
    pool: Pool
    files: Pool
    """A pool of its own for what comes in and goes out as a file, so that it never
    waits behind a search.
    """
    hashing: HashQueue
    trusted_proxy: str | None
    used: deque[str] = field(default_factory=deque)
    """Sessions whose use is to be put down."""

    async def answer(self, operation: Operation, arrival: Arrival) -> Sent:
        """Carry out ``operation``, and put down that the session which asked is in use,
        where that is due.
        """
        in_hand = InHand(self, operation, arrival)
        try:
            sent = await operation.act.carry_out(in_hand)
        except Faulty as faulty:
            faulty.was_to_change = operation.act.changes
            raise
        except Absent as absent:
            told = await to_thread.run_sync(in_hand.with_way_back, absent)
            raise told from absent
        except Stale:
            with suppress(Refusal):  # it is refused all the same
                await self.writers.take(in_hand.note_refused, same=None)
            raise
        if self.used:
            await self._note_use()
        return sent

    async def admit(self, operation: Operation, authorization: str, peer: str) -> bool:
        """Return whether whoever asks is known, before the body is read: nothing is
        counted twice. A stranger may ask what is open.

        Raises ``Rejected`` (unauthenticated, too_many_requests), ``Forbidden``,
        ``Busy``, ``Unready``.
        """
        await self.ready()
        if self.is_open(operation, is_signed=bool(authorization)):
            return False
        await to_thread.run_sync(self._admit, operation, authorization, peer)
        return True

    def is_open(self, operation: Operation, *, is_signed: bool) -> bool:
        """Tell whether a request may be a stranger's: nobody signed it, and the checks
        are open.
        """
        return operation.guard.may_be_open and self.open_checks and not is_signed

    def _admit(self, operation: Operation, authorization: str, peer: str) -> None:
        with self.database.read() as connection:
            principal = self.principal(Reading(connection), authorization, peer)
            rights.permit(operation.id, principal)

    async def ready(self) -> None:
        """Raise ``Unready`` or ``Busy`` where the database cannot be asked yet."""
        if not self.gate.is_open:
            await to_thread.run_sync(self.gate.require)

    def tidy_up(self) -> None:
        """Forget what is kept no longer; nothing is done where the database is not
        ready yet.
        """
        if self.gate.is_open:
            self.clock.look()
            tidy(self.database, self.clock())

    async def _note_use(self) -> None:
        ids = {self.used.popleft() for _ in range(len(self.used))}

        def note() -> None:
            with self.database.write() as connection:
                note_use(connection, ids, self.clock())

        with suppress(Refusal):  # the next request by that session tries again
            await self.writers.take(note, same=None)

    def recognised(self, reading: Reading, authorization: str) -> Principal | None:
        """Return who bears what stands in the header Authorization; None for
        nobody.
        """
        scheme, _, token = authorization.partition(" ")
        if scheme.lower() != "bearer":
            return None
        return principal_for(reading, token.strip(), self.clock())

    def principal(self, reading: Reading, authorization: str, peer: str) -> Principal:
        """Return who asks; raises ``Rejected`` for a stranger, who is counted."""
        principal = self.recognised(reading, authorization)
        if principal is None:
            if self.limits is not None:
                self.limits.take(f"peer {peer}", "write")
            raise Rejected("unauthenticated", _UNKNOWN)
        return principal

    def count(self, operation: Operation, caller: str) -> None:
        """Count a request; raises ``Rejected`` where there were too many."""
        if self.limits is not None:
            note_limit(self.limits.take(caller, operation.guard.rate))


@dataclass(frozen=True, slots=True)
class InHand:
    """One request in hand: the steps by which its act carries itself out."""

    asker: Asker
    operation: Operation
    arrival: Arrival

    @property
    def database(self) -> Database:
        """What is asked."""
        return self.asker.database

    @property
    def _authorization(self) -> str:
        return self.arrival.headers.get("authorization", "")

    async def ready(self) -> None:
        """Raise ``Unready`` or ``Busy`` where the database cannot be asked yet."""
        await self.asker.ready()

    def check_form(self) -> None:
        """Raise what speaks against the form and the query of a request."""
        check_media(self.operation, self.arrival.headers)
        query_of(self.operation, self.arrival)

    async def aside(self, work: Callable[[], T]) -> T:
        """Return what ``work`` returns, done in a thread."""
        return await to_thread.run_sync(work)

    async def briefly(self, work: Callable[[], T]) -> T:
        """Return what ``work`` returns, done on the loop where the database is a file
        and little was sent: that costs less than a thread.
        """
        on_a_file = self.database.dialect == "sqlite"
        if on_a_file and len(self.arrival.body) <= _LOOP_BYTES:
            return work()
        return await to_thread.run_sync(work)

    async def apart(self, function: Callable[..., T], *arguments: Any) -> T:
        """Return what ``function`` returns in another process."""
        asker = self.asker
        pool = asker.files if self.operation.is_about_files else asker.pool
        returned: T = await pool.run(function, *arguments)
        return returned

    async def hashed(self, prove: Callable[[Hasher, Any], Any], looked: Any) -> Any:
        """Return what ``prove`` returns, once it is its turn to hash."""
        return await self.asker.hashing.run(prove, looked)

    def readable(self, sent: Sent) -> Sent:
        """Return an answer with what a read carries."""
        arrival = self.arrival
        return readable(sent, arrival.method, arrival.headers)

    def gathered(self, gather: Gather) -> Gathered:
        """Return what is gathered from one snapshot, or for a stranger without one."""
        is_signed = "authorization" in self.arrival.headers
        if self.asker.is_open(self.operation, is_signed=is_signed):
            self.asker.count(self.operation, f"peer {self.arrival.peer}")
            return _gathered(gather, None, self._call(None))
        with self.database.read() as connection:
            reading = Reading(connection)
            permit = self._permit(reading)
            layout_id = permit.principal.layout_id
            if layout_id is not None:
                reading = LayoutReading(connection, layout_id)
            return _gathered(gather, reading, self._call(permit))

    def snapshot(self, look: Callable[[Reading], T]) -> T:
        """Return what ``look`` returns from another snapshot."""
        with self.database.read() as connection:
            return look(Reading(connection))

    async def written(self, change: Writes) -> Sent:
        """Carry a change out in its turn, in one transaction, once for its key."""
        return await self._in_turn(partial(self._written, change))

    async def _in_turn(self, write: Callable[[], Sent]) -> Sent:
        same = repeated(self.operation, self.arrival)
        return await self.asker.writers.take(write, same=same)

    def _written(self, change: Writes) -> Sent:
        with self.database.read() as connection:
            permit = self._permit(Reading(connection))
        call = self._call(permit)
        key = self._key()
        with self.database.write() as connection:
            call = replace(call, now=self.asker.clock.within(connection, call.club_id))
            erasures_file = self.database.erasures_file
            writing = Writing(connection, call.now, erasures_file=erasures_file)
            call = replace(call, permit=self._still_permitted(permit, writing))
            if change.afterwards is None:
                with call.heard.pointing():
                    return once(change.perform, call, writing, self.arrival, key=key)
            reply = change.perform(writing, call)
        return encoded(change.afterwards(self.database, call.now, reply))

    async def looked(self, look: Callable[[Writing, Call], Any]) -> tuple[Call, Any]:
        """Return the decoded request, and what is to be hashed for it."""
        looked = partial(self._looked, look)
        return await self.asker.writers.take(looked, same=None)

    def _looked(self, look: Callable[[Writing, Call], Any]) -> tuple[Call, Any]:
        permit = None
        if self.operation.act.is_open:
            self.asker.count(self.operation, f"peer {self.arrival.peer}")
        else:
            with self.database.read() as connection:
                permit = self._permit(Reading(connection))
        call = self._call(permit)
        with self.database.write() as connection:
            return call, look(Writing(connection, call.now), call)

    async def proven(
        self, call: Call, change: Writes, principal: Principal | None
    ) -> Sent:
        """Carry a change out for whoever has proved to be ``principal``; None is
        whoever has asked.
        """
        proven = partial(self._proven, call, change, principal)
        return await self._in_turn(proven)

    def _proven(self, call: Call, change: Writes, principal: Principal | None) -> Sent:
        key = self._key()
        asker = self.asker
        with self.database.write() as connection:
            if principal is not None:
                note_club(principal.club_id)
                call = replace(
                    call,
                    permit=Permit(
                        principal=principal,
                        whose="own",
                    ),
                )
            call = replace(call, now=asker.clock.within(connection, call.club_id))
            writing = Writing(connection, call.now)
            if principal is None:
                permit = self._still_permitted(call.granted, writing)
                call = replace(call, permit=permit)
            unsaid = without_secrets(self.operation, call)
            arrival = replace(self.arrival, body=unsaid)
            return once(change.perform, call, writing, arrival, key=key)

    def _key(self) -> str | None:
        if not self.operation.takes_key:
            return None
        return idempotency_key(self.arrival)

    def _permit(self, reading: Reading) -> Permit:
        asker = self.asker
        principal = asker.principal(reading, self._authorization, self.arrival.peer)
        note_club(principal.club_id)
        if principal.to_be_noted:
            asker.used.append(principal.token_id)
        asker.count(self.operation, _counted_as(principal))
        return rights.permit(self.operation.id, principal)

    def _still_permitted(self, permit: Permit, writing: Writing) -> Permit:
        """Return the permit as it is now, and stays until the transaction ends.

        What was true when the request came in may have been taken back since, by
        another process too.
        """
        if self.operation.act.in_turn:
            writing.take_turn(permit.principal.club_id)
        principal = held_principal(writing, permit.principal)
        if principal is None:
            raise Rejected("unauthenticated", _UNKNOWN)
        return rights.permit(self.operation.id, principal)

    def _call(self, permit: Permit | None) -> Call:
        """Return the request decoded; raises ``Faulty`` with the faults of its query,
        its body and its tags together.
        """
        operation, arrival = self.operation, self.arrival
        check_media(operation, arrival.headers)
        decoders = (query_of, body_of, check_tags)
        query, body, _ = all_of(
            *(partial(decoder, operation, arrival) for decoder in decoders)
        )
        if_match = if_match_of(operation, arrival)
        check_ids(arrival)
        return Call(
            permit=permit,
            path=arrival.path_parameters,
            query=query,
            body=body.value,
            heard=body,
            if_match=if_match,
            now=self.asker.clock(),
            content_type=arrival.headers.get("content-type", JSON),
            peer=None if self.asker.limits is None else arrival.peer,
        )

    def with_way_back(self, absent: Absent) -> Absent:
        """Return ``absent`` with where what was deleted can be brought back.

        That it is not there is true, whether or not anybody can look that up.
        """
        with suppress(Refusal), self.database.read() as connection:
            reading = Reading(connection)
            principal = self.asker.recognised(reading, self._authorization)
            if principal is not None:
                path, now = self.arrival.path_parameters, self.asker.clock()
                return with_way_back(absent, reading, principal, path=path, now=now)
        return absent

    def note_refused(self) -> None:
        """Put down that a change came too late."""
        asker = self.asker
        with self.database.write() as connection:
            writing = Writing(connection, asker.clock())
            principal = asker.recognised(writing, self._authorization)
            if principal is None:
                return
            refused = what_was_refused(
                self.operation, self.arrival, club_id=principal.club_id
            )
            if refused is not None:
                note_refused(writing, principal, refused)


def _counted_as(principal: Principal) -> str:
    if principal.bearer == "link":
        return f"link {principal.token_id}"
    return f"member {principal.member_id}"


def _gathered(gather: Gather, reading: Reading | None, call: Call) -> Gathered:
    try:
        settled = _named(reading, call)
        value = gather(reading, settled)
    except Faulty:
        with call.heard.pointing():
            raise
    return Gathered(value, call.heard.told)


def _named(reading: Reading | None, call: Call) -> Call:
    """Return the request with the ids of what it names; strangers name nothing. Raises
    ``Faulty``.
    """
    if reading is None or call.permit is None:
        return call
    query, body = all_of(
        partial(_of_query, reading, call),
        partial(_with_ids, reading, call.club_id, call.body),
    )
    if query is call.query and body is call.body:
        return call
    return replace(call, query=query, body=body)


def _of_query(reading: Reading, call: Call) -> Any:
    try:
        return _with_ids(reading, call.club_id, call.query)
    except Faulty as faulty:
        raise Faulty([as_parameter(fault) for fault in faulty.faults]) from faulty


def _with_ids(reading: Reading, club_id: str, whole: Any) -> Any:
    if not isinstance(whole, msgspec.Struct):
        return whole
    return with_ids(reading, club_id, whole)
