"""A change that is sent twice is done once: its key, what it repeats, and the answer
that it had.
"""

import hashlib

import msgspec

from standage.api.web.arrival import Arrival
from standage.api.web.call import Call, Sent, encoded
from standage.api.web.operation import Operation, Perform
from standage.registry.writing.answers import KeyedRequest, StoredAnswer, claim, settle
from standage.registry.writing.store import Writing


def repeated(operation: Operation, arrival: Arrival) -> tuple[str | None, ...] | None:
    """Return what requests have in common that repeat each other: who asks, where, and
    under what key.
    """
    key = arrival.headers.get("idempotency-key") if operation.takes_key else None
    if key is None:
        return None
    return (arrival.headers.get("authorization"), arrival.path, key)


def without_secrets(operation: Operation, call: Call) -> bytes:
    """Return the body without its secrets: a quick hash of it would give a passphrase
    away to whoever guesses.
    """
    told = msgspec.to_builtins(call.body)
    return msgspec.json.encode(
        {
            name: told[name]
            for name in sorted(told)
            if name not in operation.takes.secret_fields
        }
    )


def _hash_of(arrival: Arrival) -> str:
    """Return the hash of what was asked: of one address a record may be changed, or be
    deleted.

    What the caller saw before (If-Match) is no part of it: who reads again after a lost
    answer means the same change.
    """
    asked = (
        b""
        if arrival.method == "POST"
        else f"{arrival.method} {arrival.query} ".encode()
    )
    return hashlib.sha256(asked + arrival.body).hexdigest()


def once(
    perform: Perform, call: Call, writing: Writing, arrival: Arrival, *, key: str | None
) -> Sent:
    """Carry out a change, once for its key, in its own transaction: a replay gives the
    first answer.
    """
    if key is None:
        return encoded(perform(writing, call))
    request = KeyedRequest(
        principal=call.granted.principal,
        path=arrival.path,
        key=key,
        payload_sha256=_hash_of(arrival),
    )
    earlier = claim(writing, request)
    if earlier is not None:
        return Sent(
            status=earlier.status,
            headers=tuple(earlier.headers.items()),
            body=earlier.body,
        )
    reply = perform(writing, call)
    sent = encoded(reply)
    answer = StoredAnswer(
        status=sent.status, headers=dict(sent.headers), body=sent.body
    )
    settle(writing, request, answer, secret=reply.secret)
    return sent
