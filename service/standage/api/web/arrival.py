"""One request as it arrived, and what it says: its query, its body, the headers that
bind it.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import msgspec

from standage.api.web.decode import decode_body, decode_query, parse
from standage.api.web.operation import Operation
from standage.api.web.preconditions import LONGEST_HEADER, strong_tags
from standage.railway.terms.understanding import NOTHING_HEARD, Heard
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.record import ANY_VERSION, UNCONDITIONAL, IfMatch
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Absent

_KEY = re.compile(r"[\x21-\x7e]{1,200}")


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


def check_ids(arrival: Arrival) -> None:
    """Raise ``Absent`` for what no record can have as its id, before it goes anywhere:
    NUL, a megabyte of text.
    """
    for name, value in arrival.path_parameters.items():
        if not looks_like_id(value):
            raise Absent(
                f"there is no such {name.removesuffix('_id').replace('_', ' ')}"
            )


def query_of(operation: Operation, arrival: Arrival) -> Any:
    """Return the query as the operation's own type; raises ``Faulty``."""
    kind = operation.takes.query or _NoQuery
    return decode_query(arrival.query, kind).value


class _NoQuery(msgspec.Struct, forbid_unknown_fields=True):
    """An operation that takes no query parameters."""


def body_of(operation: Operation, arrival: Arrival) -> Heard:
    """Return the body as the operation takes it; raises ``Faulty``, which repeats
    nothing that is secret.
    """
    try:
        return _decoded(operation, arrival)
    except Faulty as faulty:
        if not operation.takes.secret_fields:
            raise
        raise Faulty(
            [_unsaid(fault, operation.takes.secret_fields) for fault in faulty.faults]
        ) from None


def _unsaid(fault: Fault, secret_fields: tuple[str, ...]) -> Fault:
    """Return the fault of a secret field without what was sent: only a fault of its
    type would show it.
    """
    if (
        fault.code == "wrong_type"
        and (fault.pointer or "").removeprefix("/") in secret_fields
    ):
        return msgspec.structs.replace(fault, message="must be text")
    return fault


def _decoded(operation: Operation, arrival: Arrival) -> Heard:
    takes = operation.takes
    if takes.files:
        return Heard(value=arrival.body)
    if takes.body is None and takes.patch_of is None:
        return NOTHING_HEARD
    if operation.guard.conditional:
        return Heard(value=parse(arrival.body))
    return decode_body(arrival.body, takes.body or object)


def check_tags(operation: Operation, arrival: Arrival) -> None:
    """Raise ``Faulty`` where more entity tags come than are looked at."""
    name = "If-Match" if operation.guard.conditional else "If-None-Match"
    if len(arrival.headers.get(name.lower(), "")) > LONGEST_HEADER:
        message = f"has more than {LONGEST_HEADER} characters"
        raise Faulty([Fault(code="too_long", message=message, parameter=name)])


def if_match_of(operation: Operation, arrival: Arrival) -> IfMatch:
    """Return what the caller says it saw; raises ``Rejected`` (malformed) where that is
    no entity tag.
    """
    header = arrival.headers.get("if-match")
    if header is None or not operation.guard.conditional:
        return UNCONDITIONAL
    if header.strip() == "*":
        return ANY_VERSION
    return IfMatch(given=True, tags=frozenset(strong_tags(header)))


def idempotency_key(arrival: Arrival) -> str | None:
    """Return the caller's own key for a change; raises ``Faulty`` where it cannot be
    one.
    """
    key = arrival.headers.get("idempotency-key")
    if key is not None and not _KEY.fullmatch(key):
        message = "must be 1 to 200 printable ASCII characters without spaces"
        raise Faulty(
            [Fault(code="bad_characters", message=message, parameter="Idempotency-Key")]
        )
    return key
