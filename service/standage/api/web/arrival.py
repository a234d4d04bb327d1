"""One request as it arrived, and what it says: from which address, its query, its body,
the headers that bind it.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from ipaddress import IPv6Address, ip_address, ip_network
from typing import Any

import msgspec
from litestar.types import HTTPScope

from standage.api.web.decode import decode_body, decode_query, parse
from standage.api.web.operation import Operation
from standage.api.web.preconditions import LONGEST_HEADER, strong_tags
from standage.railway.terms.understanding import NOTHING_HEARD, Heard
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.record import ANY_VERSION, UNCONDITIONAL, IfMatch
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Absent

_KEY = re.compile(r"[\x21-\x7e]{1,200}")
_LONGEST_ADDRESS = 64
_PREFIX_BITS = 64
"""Of an IPv6 address: what one household or one phone is given to choose addresses
from.
"""


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


def headers_of(scope: HTTPScope) -> dict[str, str]:
    """Return the headers by their names in small letters; lines of one name are one
    list (RFC 9110, section 5.3).
    """
    found: dict[str, str] = {}
    for raw_name, raw_value in scope["headers"]:
        name = raw_name.decode("latin-1").lower()
        value = raw_value.decode("latin-1")
        if name in found:
            value = f"{found[name]}, {value}"
        found[name] = value
    return found


def peer_of(host: str, forwarded: str, *, trusted_proxy: str | None) -> str:
    """Return who asks: the other end of the line, or whom the trusted proxy says it
    forwards for.

    That is the last word of what was ``forwarded``: what stands before it came from the
    caller and may be invented.
    """
    own = counted_as(host)
    if trusted_proxy is None or own != counted_as(trusted_proxy):
        return own
    _, _, last = forwarded.rpartition(",")
    told = last.strip()
    return counted_as(told) if told else own


def counted_as(address: str) -> str:
    """Return by what an address is counted: an IPv4 address by itself, an IPv6 one by
    its first 64 bits.

    >>> (
    ...     counted_as("192.0.2.7"),
    ...     counted_as("::ffff:192.0.2.7"),
    ...     counted_as("[2001:db8:1:2:3::4]:443"),
    ... )
    ('192.0.2.7', '192.0.2.7', '2001:db8:1:2::/64')
    """
    try:
        known = ip_address(_bare(address))
    except ValueError:
        return address[:_LONGEST_ADDRESS]
    if isinstance(known, IPv6Address):
        if known.ipv4_mapped is not None:
            return str(known.ipv4_mapped)
        return str(ip_network((int(known), _PREFIX_BITS), strict=False))
    return str(known)


def _bare(address: str) -> str:
    """Return an address without a port, brackets or the name of an interface."""
    if address.startswith("["):
        address = address[1:].partition("]")[0]
    elif address.count(":") == 1:
        address = address.partition(":")[0]
    return address.partition("%")[0]


def check_ids(arrival: Arrival) -> None:
    """Raise ``Absent`` for what no record can have as its id, before it goes anywhere:
    NUL, a megabyte of text.
    """
    for name, value in arrival.path_parameters.items():
        if name.endswith("_id") and not looks_like_id(value):
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
        raise Faulty(
            [
                Fault(
                    code="too_long",
                    message=message,
                    parameter=name,
                )
            ]
        )


def if_match_of(operation: Operation, arrival: Arrival) -> IfMatch:
    """Return what the caller says it saw; raises ``Rejected`` (malformed) where that is
    no entity tag.
    """
    header = arrival.headers.get("if-match")
    if header is None or not operation.guard.conditional:
        return UNCONDITIONAL
    if header.strip() == "*":
        return ANY_VERSION
    return IfMatch(
        given=True,
        tags=frozenset(strong_tags(header)),
    )


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
