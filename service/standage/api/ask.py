"""How one operation is carried out: who asks, may they, decode, then one snapshot or one transaction.

The order of the checks is fixed: who (401), may they (403), in what form (415, 406, 400, 422), and only then the
object itself (404, 403, 422, 428, 412).
"""

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from typing import Any

import msgspec
from anyio import to_thread

from standage.api import rights
from standage.api.decode import decode_body, decode_query, parse
from standage.api.gate import Gate
from standage.api.journal import note_club
from standage.api.limits import Limits
from standage.api.media import check_media
from standage.api.operations import JSON, Call, Considers, Operation, Reads, Reply, Speaks, Writes
from standage.api.pool import Pool
from standage.api.preconditions import LONGEST_HEADER, strong_tags
from standage.api.problems import Rejected
from standage.api.sending import Sent, encoded, readable, reported
from standage.api.turns import Turns
from standage.railway.terms.faults import Fault, Faulty, all_of
from standage.registry.answers import KeyedRequest, StoredAnswer, claim, forget_old_answers, settle
from standage.registry.bodies import looks_like_id
from standage.registry.credentials import held_principal, principal_for
from standage.registry.engine import Database
from standage.registry.purging import purge
from standage.registry.reading import Reading
from standage.registry.records import ANY_VERSION, UNCONDITIONAL, Absent, IfMatch, Permit, Principal
from standage.registry.stock_imports import forget_expired
from standage.registry.store import Writing

_KEY = re.compile(r"[\x21-\x7e]{1,200}")
_LOOP_BYTES = 8 * 1024
_UNKNOWN = "No token came with the request, or it is not valid any more."
_Perform = Callable[[Writing, Call], Reply]


@dataclass(frozen=True, kw_only=True, slots=True)
class Arrival:
    """One request as it arrived."""

    method: str
    path: str
    path_parameters: Mapping[str, str]
    query: str
    headers: Mapping[str, str]
    body: bytes
    peer: str


@dataclass(frozen=True, slots=True)
class _Heavy:
    """What was gathered for a question that may take long to reckon."""

    gathered: Any


@dataclass(frozen=True, kw_only=True)
class Asker:
    """Carries out operations on one database."""

    database: Database
    gate: Gate
    clock: Callable[[], datetime]
    limits: Limits | None
    open_checks: bool
    writers: Turns
    pool: Pool
    trusted_proxy: str | None

    async def answer(self, operation: Operation, arrival: Arrival) -> Sent:
        """Carry out ``operation``: on the loop where it is short and the database is a file, else in a thread.

        What may take long is reckoned in the pool.
        """
        act = operation.act
        if isinstance(act, Speaks):
            check_media(operation, arrival.headers)
            _query(operation, arrival)
            return encoded(await to_thread.run_sync(act.say, self.database))
        if not self.gate.is_open:
            await to_thread.run_sync(self.gate.require)
        if isinstance(act, Considers):
            gathered = await to_thread.run_sync(self._considered, operation, arrival)
            reckoned = await self.pool.run(act.reckon, gathered)
            return await self._write_in_turn(operation, arrival, partial(_perform_considered, act, reckoned))
        if isinstance(act, Writes):
            return await self._write_in_turn(operation, arrival, act.perform)
        on_the_loop = self.database.dialect == "sqlite" and len(arrival.body) <= _LOOP_BYTES
        if on_the_loop and not operation.gathers_much:
            found = self._read(operation, arrival)
        else:
            found = await to_thread.run_sync(self._read, operation, arrival)
        if isinstance(found, Sent):
            return found
        sent: Sent = await self.pool.run(reported, act.report, found.gathered)
        return readable(sent, arrival.method, arrival.headers)

    def tidy_up(self) -> None:
        """Forget what is kept no longer: old answers, expired imports, records deleted long ago.

        Nothing is done where the database is not ready yet.
        """
        if self.gate.is_open:
            for step in (forget_old_answers, purge, forget_expired):
                with self.database.write() as connection:
                    step(Writing(connection, self.clock()))

    async def _write_in_turn(self, operation: Operation, arrival: Arrival, perform: _Perform) -> Sent:
        written = partial(self._write, operation, arrival, perform)
        return await self.writers.take(written, same=_repeated(operation, arrival))

    def _read(self, operation: Operation, arrival: Arrival) -> "Sent | _Heavy":
        gathered = self._gathered(operation, arrival)
        if operation.heavy is not None and operation.heavy(gathered):
            return _Heavy(gathered)
        return readable(reported(_reads(operation).report, gathered), arrival.method, arrival.headers)

    def _gathered(self, operation: Operation, arrival: Arrival) -> Any:
        act = _reads(operation)
        if self.open_checks and operation.may_be_open and "authorization" not in arrival.headers:
            self._count(operation, f"peer {arrival.peer}")
            return act.gather(None, self._call(operation, arrival, permit=None))
        with self.database.read() as connection:
            reading = Reading(connection)
            permit = self._permit(reading, operation, arrival)
            return act.gather(reading, self._call(operation, arrival, permit=permit))

    def _considered(self, operation: Operation, arrival: Arrival) -> Any:
        """Return what is gathered of a change that is reckoned before it is made."""
        if not isinstance(operation.act, Considers):
            raise TypeError(operation.id)
        with self.database.read() as connection:
            reading = Reading(connection)
            permit = self._permit(reading, operation, arrival)
            return operation.act.gather(reading, self._call(operation, arrival, permit=permit))

    def _write(self, operation: Operation, arrival: Arrival, perform: _Perform) -> Sent:
        with self.database.read() as connection:
            permit = self._permit(Reading(connection), operation, arrival)
        call = self._call(operation, arrival, permit=permit)
        key = _idempotency_key(arrival) if operation.creates else None
        with self.database.write() as connection:
            writing = Writing(connection, call.now)
            call = replace(call, permit=_still_permitted(operation, permit, writing))
            if key is None:
                return encoded(perform(writing, call))
            return _once(perform, call, writing, arrival, key=key)

    def _permit(self, reading: Reading, operation: Operation, arrival: Arrival) -> Permit:
        principal = self._principal(reading, arrival)
        note_club(principal.club_id)
        self._count(operation, f"member {principal.member_id}")
        return rights.permit(operation.id, principal)

    def _principal(self, reading: Reading, arrival: Arrival) -> Principal:
        scheme, _, token = arrival.headers.get("authorization", "").partition(" ")
        principal = principal_for(reading, token.strip(), self.clock()) if scheme.lower() == "bearer" else None
        if principal is None:
            self._count_stranger(arrival)
            raise Rejected("unauthenticated", _UNKNOWN)
        return principal

    def _count(self, operation: Operation, caller: str) -> None:
        if self.limits is not None:
            self.limits.take(caller, operation.rate)

    def _count_stranger(self, arrival: Arrival) -> None:
        if self.limits is not None:
            self.limits.take(f"peer {arrival.peer}", "write")

    def _call(self, operation: Operation, arrival: Arrival, *, permit: Permit | None) -> Call:
        check_media(operation, arrival.headers)
        decoders = (_query, _body, _check_tags)
        query, body, _ = all_of(*(partial(decoder, operation, arrival) for decoder in decoders))
        _check_ids(arrival)
        return Call(
            permit=permit,
            path=arrival.path_parameters,
            query=query,
            body=body,
            if_match=_if_match(arrival),
            now=self.clock(),
            content_type=arrival.headers.get("content-type", JSON),
        )


def _still_permitted(operation: Operation, permit: Permit, writing: Writing) -> Permit:
    """Return the permit as it is now, and stays until the transaction ends.

    What was true when the request came in may have been taken back since, by another process too.
    """
    if isinstance(operation.act, Writes) and operation.act.in_turn:
        writing.take_turn(permit.principal.club_id)
    principal = held_principal(writing, permit.principal)
    if principal is None:
        raise Rejected("unauthenticated", _UNKNOWN)
    return rights.permit(operation.id, principal)


def _perform_considered(act: Considers, reckoned: Any, writing: Writing, call: Call) -> Reply:
    return act.perform(writing, call, reckoned)


def _reads(operation: Operation) -> Reads:
    if not isinstance(operation.act, Reads):
        raise TypeError(operation.id)
    return operation.act


def _check_ids(arrival: Arrival) -> None:
    """Raise ``Absent`` for what no record can have as its id, before it goes anywhere: NUL, a megabyte of text."""
    for name, value in arrival.path_parameters.items():
        if not looks_like_id(value):
            raise Absent(f"there is no such {name.removesuffix('_id').replace('_', ' ')}")


def _query(operation: Operation, arrival: Arrival) -> Any:
    return decode_query(arrival.query, operation.query or _NoQuery)


class _NoQuery(msgspec.Struct, forbid_unknown_fields=True):
    """An operation that takes no query parameters."""


def _body(operation: Operation, arrival: Arrival) -> Any:
    if operation.takes:
        return arrival.body
    if operation.body is None and operation.patch_of is None:
        return None
    if operation.conditional:
        return parse(arrival.body)
    return decode_body(arrival.body, operation.body or object)


def _check_tags(operation: Operation, arrival: Arrival) -> None:
    name = "If-Match" if operation.conditional else "If-None-Match"
    if len(arrival.headers.get(name.lower(), "")) > LONGEST_HEADER:
        message = f"has more than {LONGEST_HEADER} characters"
        raise Faulty([Fault(code="too_long", message=message, parameter=name)])


def _if_match(arrival: Arrival) -> IfMatch:
    header = arrival.headers.get("if-match")
    if header is None:
        return UNCONDITIONAL
    return ANY_VERSION if header.strip() == "*" else IfMatch(given=True, tags=frozenset(strong_tags(header)))


def _repeated(operation: Operation, arrival: Arrival) -> tuple[str | None, ...] | None:
    """Return what requests have in common that repeat each other: who asks, where, and under what key."""
    key = arrival.headers.get("idempotency-key") if operation.creates else None
    return None if key is None else (arrival.headers.get("authorization"), arrival.path, key)


def _idempotency_key(arrival: Arrival) -> str | None:
    key = arrival.headers.get("idempotency-key")
    if key is not None and not _KEY.fullmatch(key):
        message = "must be 1 to 200 printable ASCII characters without spaces"
        raise Faulty([Fault(code="bad_characters", message=message, parameter="Idempotency-Key")])
    return key


def _once(perform: _Perform, call: Call, writing: Writing, arrival: Arrival, *, key: str) -> Sent:
    """Carry out a creation once for its key, within its own transaction; a replay gives the first answer again."""
    request = KeyedRequest(
        principal=call.granted.principal,
        path=arrival.path,
        key=key,
        payload_sha256=hashlib.sha256(arrival.body).hexdigest(),
    )
    earlier = claim(writing, request)
    if earlier is not None:
        return Sent(status=earlier.status, headers=tuple(earlier.headers.items()), body=earlier.body)
    reply = perform(writing, call)
    sent = encoded(reply)
    answer = StoredAnswer(status=sent.status, headers=dict(sent.headers), body=sent.body)
    settle(writing, request, answer, secret=reply.secret)
    return sent
