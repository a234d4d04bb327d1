"""How one operation is carried out: who asks, may they, decode, then one snapshot or
one transaction.

The order of the checks is fixed: who (401), may they (403), in what form (415, 406,
400, 422), and only then the object itself (404, 403, 422, 428, 412).
"""

from collections import deque
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from anyio import to_thread

from standage.api import rights
from standage.api.asking.hash_queue import HashQueue
from standage.api.asking.idempotency import Perform, once, repeated, without_secrets
from standage.api.asking.names_for_ids import named
from standage.api.asking.pool import Pool
from standage.api.asking.readiness_gate import Gate
from standage.api.asking.refused_intents import what_was_refused
from standage.api.asking.way_back import with_way_back
from standage.api.asking.write_turns import Turns
from standage.api.web.arrival import (
    Arrival,
    body_of,
    check_ids,
    check_tags,
    idempotency_key,
    if_match_of,
    query_of,
)
from standage.api.web.journal import note_club
from standage.api.web.limits import Limits
from standage.api.web.media import check_media
from standage.api.web.operation import (
    CSV,
    JSON,
    XLSX,
    Call,
    Considers,
    Operation,
    Proves,
    Reads,
    Reply,
    Speaks,
    Writes,
)
from standage.api.web.problems import Rejected
from standage.api.web.sending import Sent, encoded, readable, reported
from standage.railway.terms.reasons import Assumed
from standage.registry.database.engine import Database
from standage.registry.database.moments import SteadyClock
from standage.registry.forgetting.housekeeping import tidy
from standage.registry.people.credentials import held_principal, principal_for
from standage.registry.people.sessions import note_use
from standage.registry.records.layout_reading import LayoutReading
from standage.registry.records.reading import Reading
from standage.registry.records.record import Permit, Principal
from standage.registry.writing.refused_changes import note_refused
from standage.registry.writing.store import Writing
from standage.shapes.faults import Faulty, all_of
from standage.shapes.refusals import Absent, Refusal, Stale

_LOOP_BYTES = 8 * 1024
_UNKNOWN = "No token came with the request, or it is not valid any more."


@dataclass(frozen=True, slots=True)
class _Heavy:
    """What was gathered for a question that may take long to reckon."""

    gathered: Any
    told: tuple[Assumed, ...]


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
        try:
            sent = await self._answer(operation, arrival)
        except Faulty as faulty:
            faulty.was_to_change = not isinstance(operation.act, Reads | Speaks)
            raise
        except Absent as absent:
            raise await to_thread.run_sync(
                self._with_way_back, absent, arrival
            ) from absent
        except Stale:
            await self._note_refused(operation, arrival)
            raise
        if self.used:
            await self._note_use()
        return sent

    async def _answer(self, operation: Operation, arrival: Arrival) -> Sent:
        """Carry out ``operation``: on the loop where it is short and the database is a
        file, else in a thread.

        What may take long is reckoned in the pool.
        """
        act = operation.act
        if isinstance(act, Speaks):
            check_media(operation, arrival.headers)
            query_of(operation, arrival)
            return encoded(await to_thread.run_sync(act.say, self.database))
        if not self.gate.is_open:
            await to_thread.run_sync(self.gate.require)
        if isinstance(act, Considers):
            call, gathered = await to_thread.run_sync(
                self._considered, act, operation, arrival
            )
            read = await self.files.run(act.read, gathered)
            looked_up = await to_thread.run_sync(self._looked_up, act, call, read)
            reckoned = await self.files.run(act.reckon, looked_up)
            return await self._write_in_turn(
                operation, arrival, partial(_perform_considered, act, reckoned)
            )
        if isinstance(act, Writes):
            return await self._write_in_turn(operation, arrival, act.perform)
        if isinstance(act, Proves):
            return await self._proved(act, operation, arrival)
        on_the_loop = (
            self.database.dialect == "sqlite" and len(arrival.body) <= _LOOP_BYTES
        )
        if on_the_loop and not operation.gathers_much:
            found = self._read(operation, arrival)
        else:
            found = await to_thread.run_sync(self._read, operation, arrival)
        if isinstance(found, Sent):
            return found
        pool = self.files if operation.answers_as in {CSV, XLSX} else self.pool
        sent: Sent = await pool.run(reported, act.report, found.gathered, found.told)
        return readable(sent, arrival.method, arrival.headers)

    async def admit(self, operation: Operation, authorization: str, peer: str) -> None:
        """Raise what speaks against ``operation`` by whoever asks, before the body is
        read: nothing is counted twice.

        Raises ``Rejected`` (unauthenticated, too_many_requests), ``Forbidden``,
        ``Busy``, ``Unready``.
        """
        if not self.gate.is_open:
            await to_thread.run_sync(self.gate.require)
        await to_thread.run_sync(self._admit, operation, authorization, peer)

    def _admit(self, operation: Operation, authorization: str, peer: str) -> None:
        with self.database.read() as connection:
            rights.permit(
                operation.id, self._principal(Reading(connection), authorization, peer)
            )

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

        try:
            await self.writers.take(note, same=None)
        except Refusal:
            return  # the next request by that session tries again

    def _with_way_back(self, absent: Absent, arrival: Arrival) -> Absent:
        try:
            with self.database.read() as connection:
                principal = self._recognised(reading := Reading(connection), arrival)
                if principal is None:
                    return absent
                return with_way_back(
                    absent,
                    reading,
                    principal,
                    path=arrival.path_parameters,
                    now=self.clock(),
                )
        except Refusal:
            # that it is not there is true, whether or not anybody can look up the way
            # back
            return absent

    async def _note_refused(self, operation: Operation, arrival: Arrival) -> None:
        """Put down that a change came too late; where that cannot be done, it is
        refused all the same.
        """

        def note() -> None:
            with self.database.write() as connection:
                principal = self._recognised(
                    writing := Writing(connection, self.clock()), arrival
                )
                if principal is None:
                    return
                refused = what_was_refused(
                    operation, arrival, club_id=principal.club_id
                )
                if refused is not None:
                    note_refused(writing, principal, refused)

        with suppress(Refusal):
            await self.writers.take(note, same=None)

    def _recognised(self, reading: Reading, arrival: Arrival) -> Principal | None:
        scheme, _, token = arrival.headers.get("authorization", "").partition(" ")
        return (
            principal_for(reading, token.strip(), self.clock())
            if scheme.lower() == "bearer"
            else None
        )

    async def _proved(
        self, act: Proves, operation: Operation, arrival: Arrival
    ) -> Sent:
        call, looked = await self.writers.take(
            partial(self._look, act, operation, arrival), same=None
        )
        proof = await self.hashing.run(act.prove, looked)
        finish = partial(self._proven, act, operation, arrival, call, proof)
        return await self.writers.take(finish, same=repeated(operation, arrival))

    async def _write_in_turn(
        self, operation: Operation, arrival: Arrival, perform: Perform
    ) -> Sent:
        written = partial(self._write, operation, arrival, perform)
        return await self.writers.take(written, same=repeated(operation, arrival))

    def _read(self, operation: Operation, arrival: Arrival) -> "Sent | _Heavy":
        gathered, told = self._gathered(operation, arrival)
        if operation.heavy is not None and operation.heavy(gathered):
            return _Heavy(gathered, told)
        return readable(
            reported(_reads(operation).report, gathered, told),
            arrival.method,
            arrival.headers,
        )

    def _gathered(
        self, operation: Operation, arrival: Arrival
    ) -> tuple[Any, tuple[Assumed, ...]]:
        """Return what is gathered for an answer, and what was understood in reading the
        question.
        """
        act = _reads(operation)
        if (
            self.open_checks
            and operation.may_be_open
            and "authorization" not in arrival.headers
        ):
            self._count(operation, f"peer {arrival.peer}")
            return _gather(act, None, self._call(operation, arrival, permit=None))
        with self.database.read() as connection:
            reading = Reading(connection)
            permit = self._permit(reading, operation, arrival)
            if permit.principal.layout_id is not None:
                reading = LayoutReading(connection, permit.principal.layout_id)
            return _gather(act, reading, self._call(operation, arrival, permit=permit))

    def _considered(
        self, act: Considers, operation: Operation, arrival: Arrival
    ) -> tuple[Call, Any]:
        """Return the call, and what is gathered of a change that is reckoned before it
        is made.
        """
        with self.database.read() as connection:
            reading = Reading(connection)
            permit = self._permit(reading, operation, arrival)
            call = self._call(operation, arrival, permit=permit)
            return call, act.gather(reading, call)

    def _looked_up(self, act: Considers, call: Call, read: Any) -> Any:
        """Return what was read with the records that it speaks of."""
        with self.database.read() as connection:
            return act.look_up(Reading(connection), call, read)

    def _write(self, operation: Operation, arrival: Arrival, perform: Perform) -> Sent:
        with self.database.read() as connection:
            permit = self._permit(Reading(connection), operation, arrival)
        call = self._call(operation, arrival, permit=permit)
        key = idempotency_key(arrival) if operation.takes_key else None
        afterwards = (
            operation.act.afterwards if isinstance(operation.act, Writes) else None
        )
        with self.database.write() as connection:
            call = replace(call, now=self.clock.within(connection, call.club_id))
            writing = Writing(
                connection, call.now, erasures_file=self.database.erasures_file
            )
            call = replace(call, permit=_still_permitted(operation, permit, writing))
            if afterwards is None:
                with call.heard.pointing():
                    return once(perform, call, writing, arrival, key=key)
            reply = perform(writing, call)
        return encoded(afterwards(self.database, call.now, reply))

    def _look(
        self, act: Proves, operation: Operation, arrival: Arrival
    ) -> tuple[Call, Any]:
        """Return the call, and what is to be hashed for it."""
        permit = None
        if operation.is_open:
            self._count(operation, f"peer {arrival.peer}")
        else:
            with self.database.read() as connection:
                permit = self._permit(Reading(connection), operation, arrival)
        call = self._call(operation, arrival, permit=permit)
        with self.database.write() as connection:
            return call, act.look(Writing(connection, call.now), call)

    def _proven(
        self,
        act: Proves,
        operation: Operation,
        arrival: Arrival,
        call: Call,
        proof: Any,
    ) -> Sent:
        key = idempotency_key(arrival) if operation.takes_key else None
        with self.database.write() as connection:
            permit = (
                call.permit
                if act.principal is None
                else Permit(principal=act.principal(proof), whose="own")
            )
            call = replace(call, permit=permit)
            call = replace(call, now=self.clock.within(connection, call.club_id))
            writing = Writing(connection, call.now)
            if act.principal is None:
                call = replace(
                    call, permit=_still_permitted(operation, call.granted, writing)
                )
            else:
                note_club(call.club_id)
            unsaid = replace(arrival, body=without_secrets(operation, call))
            return once(
                partial(_perform_considered, act, proof), call, writing, unsaid, key=key
            )

    def _permit(
        self, reading: Reading, operation: Operation, arrival: Arrival
    ) -> Permit:
        principal = self._principal(
            reading, arrival.headers.get("authorization", ""), arrival.peer
        )
        note_club(principal.club_id)
        if principal.to_be_noted:
            self.used.append(principal.token_id)
        caller = (
            f"link {principal.token_id}"
            if principal.bearer == "link"
            else f"member {principal.member_id}"
        )
        self._count(operation, caller)
        return rights.permit(operation.id, principal)

    def _principal(self, reading: Reading, authorization: str, peer: str) -> Principal:
        scheme, _, token = authorization.partition(" ")
        principal = (
            principal_for(reading, token.strip(), self.clock())
            if scheme.lower() == "bearer"
            else None
        )
        if principal is None:
            self._count_stranger(peer)
            raise Rejected("unauthenticated", _UNKNOWN)
        return principal

    def _count(self, operation: Operation, caller: str) -> None:
        if self.limits is not None:
            self.limits.take(caller, operation.rate)

    def _count_stranger(self, peer: str) -> None:
        if self.limits is not None:
            self.limits.take(f"peer {peer}", "write")

    def _call(
        self, operation: Operation, arrival: Arrival, *, permit: Permit | None
    ) -> Call:
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
            now=self.clock(),
            content_type=arrival.headers.get("content-type", JSON),
            peer=None if self.limits is None else arrival.peer,
        )


def _still_permitted(operation: Operation, permit: Permit, writing: Writing) -> Permit:
    """Return the permit as it is now, and stays until the transaction ends.

    What was true when the request came in may have been taken back since, by another
    process too.
    """
    if isinstance(operation.act, Writes | Proves) and operation.act.in_turn:
        writing.take_turn(permit.principal.club_id)
    principal = held_principal(writing, permit.principal)
    if principal is None:
        raise Rejected("unauthenticated", _UNKNOWN)
    return rights.permit(operation.id, principal)


def _gather(
    act: Reads, reading: Reading | None, call: Call
) -> tuple[Any, tuple[Assumed, ...]]:
    with call.heard.pointing():
        return act.gather(reading, named(reading, call)), call.heard.told


def _perform_considered(
    act: Considers | Proves, reckoned: Any, writing: Writing, call: Call
) -> Reply:
    return act.perform(writing, call, reckoned)


def _reads(operation: Operation) -> Reads:
    if not isinstance(operation.act, Reads):
        raise TypeError(operation.id)
    return operation.act
