"""From the bytes and the query of a request to values, with every fault at its
place.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from itertools import islice
from typing import Any, TypeVar, cast
from urllib.parse import parse_qsl

import msgspec
from msgspec import inspect

from standage.api.web.problems import Rejected
from standage.railway.terms.synonyms import TRADE_WORDS, field_meant
from standage.railway.terms.understanding import Heard, heard
from standage.shapes import json_text
from standage.shapes.decoding import convert
from standage.shapes.faults import MOST_FAULTS, Fault, Faulty, broken_rules
from standage.shapes.json_text import NotJsonError

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
        return understood(values, kind)
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
