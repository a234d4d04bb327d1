"""One request as it arrived, and what it says: from which address, in which form (415,
406), its query and its body as values with every fault at its place, the headers that
bind it.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from ipaddress import IPv6Address, ip_address, ip_network
from itertools import islice
from typing import Any, TypeVar, cast
from urllib.parse import parse_qsl

import msgspec
from litestar.types import HTTPScope
from msgspec import inspect

from standage.api.web.call import LONGEST_HEADER, strong_tags
from standage.api.web.operation import PATCHES, Operation
from standage.api.web.problems import MEDIA_TYPE, Rejected
from standage.exchange.csv_in import CHARACTER_SETS
from standage.railway.terms.synonyms import TRADE_WORDS, field_meant
from standage.railway.terms.understanding import NOTHING_HEARD, Heard, heard
from standage.registry.records.bodies import looks_like_id
from standage.registry.records.record import ANY_VERSION, UNCONDITIONAL, IfMatch
from standage.shapes import json_text
from standage.shapes.decoding import convert
from standage.shapes.faults import MOST_FAULTS, Fault, Faulty, broken_rules
from standage.shapes.json_text import NotJsonError
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
    if told:
        return counted_as(told)
    return own


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


def check_media(operation: Operation, headers: Mapping[str, str]) -> None:
    """Raise ``Rejected`` where the body is not in a form that the operation takes, or
    its answer's form is refused.
    """
    taken = operation.takes.media_types
    if taken:
        sent = headers.get("content-type", "")
        essence = sent.partition(";")[0].strip().lower()
        if essence not in taken or not _is_readable(operation, sent):
            wanted = " or ".join(taken)
            came = (
                f"this came as {sent.strip()!r}"
                if sent.strip()
                else "this came without a Content-Type"
            )
            characters = "" if operation.takes.files else " in UTF-8"
            detail = f"Send {wanted}{characters}; {came}."
            raise Rejected(
                "unsupported_media_type", detail, headers=_patches(operation)
            )
        _check_encoding(headers.get("content-encoding", "").strip())
    if not _takes(operation.answers.media_type, headers.get("accept", "")):
        raise Rejected(
            "not_acceptable", f"Answers exist as {operation.answers.media_type} only."
        )


def _patches(operation: Operation) -> list[tuple[str, str]]:
    """Return what a refused change of some fields is told of the forms it may come in
    (RFC 5789).
    """
    if operation.takes.patch_of is not None:
        return [("accept-patch", ", ".join(PATCHES))]
    return []


def _check_encoding(sent: str) -> None:
    if sent.lower() not in {"", "identity"}:
        detail = f"Send the body as it is; this came packed as {sent!r}."
        raise Rejected(
            "unsupported_media_type", detail, headers=[("accept-encoding", "identity")]
        )


def charset_of(content_type: str) -> str | None:
    """Return the character set that a media type names, in small letters; None where it
    names none.
    """
    charset = re.search(r"charset=\"?([\w-]+)", content_type, re.IGNORECASE)
    if charset is None:
        return None
    return charset[1].lower()


def _is_readable(operation: Operation, content_type: str) -> bool:
    named = charset_of(content_type)
    return named in {None, "utf-8", "utf8"} or (
        bool(operation.takes.files) and named in CHARACTER_SETS
    )


def _takes(media_type: str, accept: str) -> bool:
    """Tell whether the header Accept lets an answer be of that type; one that says
    nothing takes anything.
    """
    ranges = [_media_range(one) for one in accept.lower().split(",") if one.strip()]
    named = [
        taken
        for name in _ranges(media_type)
        for given, taken in ranges
        if given == name
    ]
    if named:
        return named[0]
    return not ranges


def _ranges(media_type: str) -> tuple[str, ...]:
    """Return the ranges that a type lies within, the nearest first: it decides (RFC
    9110, section 12.5.1).
    """
    main, _, _ = media_type.partition("/")
    return (media_type, MEDIA_TYPE, f"{main}/*", "*/*")


def _media_range(text: str) -> tuple[str, bool]:
    """Return a media range and whether it is taken at all: a quality of 0 refuses
    it.
    """
    name, _, parameters = text.partition(";")
    return (
        name.strip(),
        re.search(r"(?:^|;)\s*q=0(?:\.0*)?\s*(?:;|$)", parameters) is None,
    )


T = TypeVar("T")

_NUMBER = re.compile(
    r"-?\d{1,400}(\.\d{1,400})?(e[+-]?\d{1,3})?", re.ASCII | re.IGNORECASE
)
_FLAGS = {"true": True, "false": False}
_WHOLE = re.compile(r"-?\d{1,20}", re.ASCII)


def decode_body(raw: bytes, kind: type[Any]) -> Heard:
    """Return the JSON in ``raw`` as a ``kind``, and what was understood in reading it.

    Other words than our own are looked for only where ours do not do. Raises
    ``Rejected`` (malformed) where it is no JSON, and ``Faulty`` where it is JSON but no
    ``kind``.
    """
    try:
        value = msgspec.json.decode(raw, type=kind)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError):
        return understood(parse(raw), kind)
    with _malformed():
        json_text.require_each_key_once(raw)
    if faults := list(islice(broken_rules(value), MOST_FAULTS)):
        raise Faulty(faults)
    return Heard(value=value)


def fitting_or_understood(value: object, kind: type[Any]) -> Heard:
    """Return ``value``, made of JSON's own types, as a ``kind``: as it is where it is
    one, as most are, else in our own words.

    A plan of a megabyte takes seconds to be looked through for other words.
    """
    try:
        found = msgspec.convert(value, kind)
        msgspec.json.encode(found)  # half a character cannot be
    except (msgspec.ValidationError, UnicodeEncodeError):
        return understood(value, kind)
    if faults := list(islice(broken_rules(found), MOST_FAULTS)):
        raise Faulty(faults)
    return Heard(value=found)


def understood(value: object, kind: type[Any]) -> Heard:
    """Return ``value``, made of JSON's own types, as a ``kind`` in our own words; its
    faults point to what was sent.
    """
    said = heard(value, kind)
    with said.pointing():
        return msgspec.structs.replace(
            said, value=convert(said.value, kind, words=TRADE_WORDS)
        )


def parse(raw: bytes) -> Any:
    """Return the JSON in ``raw`` as Python's own values; ``Rejected`` says where it
    stops being JSON.
    """
    with _malformed():
        return json_text.parse(raw)


@contextmanager
def _malformed() -> Iterator[None]:
    try:
        yield
    except NotJsonError as error:
        raise Rejected("malformed", str(error)) from error


def decode_query(raw: str, kind: type[Any]) -> Heard:
    """Return a query string as a ``kind``; unknown, repeated and ill-formed parameters
    are all faults.
    """
    pairs = parse_qsl(raw, keep_blank_values=True, errors="surrogateescape")
    fields = _fields(cast("Any", kind))
    values = {name: _value_if_asked(text, fields, name) for name, text in pairs}
    repeated = [
        Fault(code="repeated", message="is given twice", parameter=name)
        for name in _repeated(pairs)
        if name in fields
    ]
    try:
        said = _parameters_understood(values, kind)
    except Faulty as faulty:
        raise Faulty([*repeated, *faulty.faults]) from faulty
    if repeated:
        raise Faulty(repeated)
    return said


def as_parameters(values: Mapping[str, object], kind: type[T]) -> T:
    """Return the values of query parameters as a ``kind``; its faults name the
    parameters.
    """
    return cast("T", _parameters_understood(values, kind).value)


def _parameters_understood(values: Mapping[str, object], kind: type[Any]) -> Heard:
    try:
        return fitting_or_understood(values, kind)
    except Faulty as faulty:
        raise Faulty([as_parameter(fault) for fault in faulty.faults]) from faulty


@cache
def _fields(kind: type) -> Mapping[str, inspect.Type]:
    info = inspect.type_info(kind)
    if not isinstance(info, inspect.StructType):
        return {}
    return {field.encode_name: field.type for field in info.fields}


def _repeated(pairs: list[tuple[str, str]]) -> list[str]:
    counted = Counter(name for name, _ in pairs)
    twice = [name for name, count in counted.items() if count > 1]
    return sorted(twice)


def _value_if_asked(text: str, fields: Mapping[str, inspect.Type], name: str) -> object:
    """Return the value of a parameter, by whichever word for it that is called."""
    own = name if name in fields else field_meant(name, fields)
    if own is None:
        return text
    return _value(text, fields[own])


def _value(text: str, kind: inspect.Type) -> object:
    if isinstance(kind, inspect.Metadata):
        return _value(text, kind.type)
    if isinstance(kind, inspect.UnionType):
        tried = (_value(text, one) for one in kind.types)
        return next((value for value in tried if not isinstance(value, str)), text)
    if isinstance(kind, inspect.BoolType) and text in _FLAGS:
        return _FLAGS[text]
    if isinstance(kind, inspect.IntType) and _WHOLE.fullmatch(text):
        return int(text)
    if isinstance(kind, inspect.FloatType) and _NUMBER.fullmatch(text):
        return float(text)
    return text


def as_parameter(fault: Fault) -> Fault:
    """Return a fault of a field as that of the query parameter which it is."""
    escaped = (fault.pointer or "").removeprefix("/")
    name = escaped.replace("~1", "/").replace("~0", "~")
    is_unknown = fault.code == "unknown_field"
    code = "unknown_parameter" if is_unknown else fault.code
    return Fault(
        code=code,
        message=fault.message,
        parameter=name,
    )
