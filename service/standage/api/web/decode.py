"""From the bytes and the query of a request to values, with every fault at its
place.
"""

import codecs
import json
import re
from collections.abc import Mapping
from functools import cache
from itertools import islice
from typing import Any, TypeVar, cast
from urllib.parse import parse_qsl

import msgspec
from msgspec import inspect

from standage.api.web.problems import Rejected
from standage.railway.terms.synonyms import TRADE_WORDS, field_meant
from standage.railway.terms.understanding import Heard, heard
from standage.shapes.decoding import convert
from standage.shapes.faults import MOST_FAULTS, Fault, Faulty, broken_rules

T = TypeVar("T")

_NUMBER = re.compile(
    r"-?\d{1,400}(\.\d{1,400})?(e[+-]?\d{1,3})?", re.ASCII | re.IGNORECASE
)
_FLAGS = {"true": True, "false": False}
_WHOLE = re.compile(r"-?\d{1,20}", re.ASCII)
_MOST_FIGURES = 400
_BEYOND_ALL_BOUNDS = 10**400
_EXACT = 2.0**53
_MOST_SHOWN = 60
_MOST_LEVELS = 60
"""How deeply a body may be nested: several times more than any record is."""


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
    _require_each_key_once(raw)
    if faults := list(islice(broken_rules(value), MOST_FAULTS)):
        raise Faulty(faults)
    return Heard(value=value)


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
    if raw.startswith(codecs.BOM_UTF8):
        raise Rejected(
            "malformed",
            "It begins with a byte order mark, which JSON does not have; leave it out.",
        )
    try:
        value = json.loads(
            raw.decode("utf-8"),
            object_pairs_hook=_object,
            parse_constant=_no_constant,
            parse_int=_whole_number,
            parse_float=_number,
        )
    except UnicodeDecodeError as error:
        raise Rejected("malformed", f"Byte {error.start} is not UTF-8.") from error
    except json.JSONDecodeError as error:
        detail = (
            f"Line {error.lineno}, column {error.colno}: {error.msg}."
            if raw.strip()
            else "The body is empty."
        )
        raise Rejected("malformed", detail) from error
    except RecursionError as error:
        raise Rejected("malformed", "It is nested too deeply.") from error
    except ValueError as error:
        raise Rejected("malformed", f"{error}.") from error
    if _levels(value) > _MOST_LEVELS:
        raise Rejected("malformed", "It is nested too deeply.")
    return value


def _require_each_key_once(raw: bytes) -> None:
    """Raise ``Rejected`` where an object has a key twice: the struct decoder takes the
    last one without a word.
    """
    try:
        json.loads(raw, object_pairs_hook=_object)
    except RecursionError as error:
        raise Rejected("malformed", "It is nested too deeply.") from error
    except ValueError as error:
        raise Rejected("malformed", f"{error}.") from error


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return an object of JSON; ``ValueError`` names a key that it has twice (RFC 8259,
    section 4).
    """
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        message = f"{twice[:_MOST_SHOWN]!r} stands twice in one object: write it once"
        raise ValueError(message)
    return found


def _levels(value: Any) -> int:
    """Return how deeply ``value`` is nested, without going down into it by
    recursion.
    """
    level, within = 0, [value]
    while within and level <= _MOST_LEVELS:
        inner = [
            one.values() if isinstance(one, dict) else one
            for one in within
            if isinstance(one, dict | list)
        ]
        level, within = level + 1, [value for values in inner for value in values]
    return level


def _number(figures: str) -> float:
    """Return a number; 2.0 is as whole as 2 (JSON Schema 2020-12, section 4.2.3),
    wherever a whole one is wanted.
    """
    value = float(figures)
    return int(value) if value.is_integer() and abs(value) < _EXACT else value


def _whole_number(figures: str) -> int:
    """Return a whole number; of one with absurdly many figures only that it is beyond
    every bound.
    """
    if len(figures) <= _MOST_FIGURES:
        return int(figures)
    return -_BEYOND_ALL_BOUNDS if figures.startswith("-") else _BEYOND_ALL_BOUNDS


def _no_constant(name: str) -> Any:
    message = f"{name} is not a number in JSON"
    raise ValueError(message)


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
    fields = info.fields if isinstance(info, inspect.StructType) else ()
    return {field.encode_name: field.type for field in fields}


def _repeated(pairs: list[tuple[str, str]]) -> list[str]:
    names = [name for name, _ in pairs]
    return sorted({name for name in names if names.count(name) > 1})


def _value_if_asked(text: str, fields: Mapping[str, inspect.Type], name: str) -> object:
    """Return the value of a parameter, by whichever word for it that is called."""
    own = name if name in fields else field_meant(name, fields)
    return text if own is None else _value(text, fields[own])


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
    name = (fault.pointer or "").removeprefix("/").replace("~1", "/").replace("~0", "~")
    code = "unknown_parameter" if fault.code == "unknown_field" else fault.code
    return Fault(code=code, message=fault.message, parameter=name)
