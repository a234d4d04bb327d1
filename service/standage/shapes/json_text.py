"""JSON read strictly (RFC 8259): what two programs could read in two ways is no JSON
here.
"""

import codecs
import json
from typing import Any

import msgspec

_MOST_FIGURES = 400
_BEYOND_ALL_BOUNDS = 10**400
_EXACT = 2.0**53
_MOST_SHOWN = 60
_MOST_LEVELS = 60
"""How deeply a text may be nested: several times more than any record is."""
_TOO_DEEP = "It is nested too deeply."


class NotJsonError(Exception):
    """A text that is no JSON; the message says where it stops being that."""


def parse(raw: bytes) -> Any:
    """Return the JSON in ``raw`` as Python's own values; raises ``NotJsonError``."""
    if raw.startswith(codecs.BOM_UTF8):
        raise NotJsonError(
            "It begins with a byte order mark, which JSON does not have; leave it out."
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
        raise NotJsonError(f"Byte {error.start} is not UTF-8.") from error
    except json.JSONDecodeError as error:
        raise NotJsonError(
            _where(error) if raw.strip() else "The body is empty."
        ) from error
    except RecursionError as error:
        raise NotJsonError(_TOO_DEEP) from error
    except ValueError as error:
        raise NotJsonError(f"{error}.") from error
    if _levels(value) > _MOST_LEVELS:
        raise NotJsonError(_TOO_DEEP)
    return value


def _where(error: json.JSONDecodeError) -> str:
    return f"Line {error.lineno}, column {error.colno}: {error.msg}."


def require_each_key_once(raw: bytes) -> None:
    """Raise ``NotJsonError`` where an object of a text that is JSON has a key twice: a
    decoder of structs takes the last one without a word.
    """
    if _has_surely_each_key_once(raw):
        return
    try:
        json.loads(raw, object_pairs_hook=_object)
    except RecursionError as error:
        raise NotJsonError(_TOO_DEEP) from error
    except ValueError as error:
        raise NotJsonError(f"{error}.") from error


def _has_surely_each_key_once(raw: bytes) -> bool:
    r"""Tell whether nothing is lost where the text is read and written again.

    What is lost with a key that comes twice is a colon, and nothing else brings one
    back: only an escape such as ``\u003a`` could. An eighth of the time that a look at
    each object takes.
    """
    if b"\\u" in raw:
        return False
    try:
        again = msgspec.json.encode(msgspec.json.decode(raw))
    except (msgspec.MsgspecError, UnicodeError, RecursionError, ValueError):
        return False
    return again.count(b":") == raw.count(b":")


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
        level += 1
        within = [part for one in within for part in _parts(one)]
    return level


def _parts(value: Any) -> Any:
    if isinstance(value, dict):
        return value.values()
    if isinstance(value, list):
        return value
    return ()


def _number(figures: str) -> float:
    """Return a number; 2.0 is as whole as 2 (JSON Schema 2020-12, section 4.2.3),
    wherever a whole one is wanted.
    """
    value = float(figures)
    if value.is_integer() and abs(value) < _EXACT:
        return int(value)
    return value


def _whole_number(figures: str) -> int:
    """Return a whole number; of one with absurdly many figures only that it is beyond
    every bound.
    """
    if len(figures) <= _MOST_FIGURES:
        return int(figures)
    if figures.startswith("-"):
        return -_BEYOND_ALL_BOUNDS
    return _BEYOND_ALL_BOUNDS


def _no_constant(name: str) -> Any:
    message = f"{name} is not a number in JSON"
    raise ValueError(message)
