"""Names struck out of whatever people wrote: of every string in a body, whatever its
field, but ids and choices.

What is left alone is told by the types, and everything else is struck: a field that a
body gains later is struck unless its type leaves no words of one's own.
"""

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any, Literal

import msgspec
from msgspec import inspect

from standage.registry.records.bodies import looks_like_id

STRUCK_OUT = "*"
"""No longer than what it stands for, so that no bound is broken."""
Json = dict[str, Any]
Change = Callable[[str], str]
Path = tuple[str, ...]
"""Where a string stands in a body: the fields that lead to it, whichever item of a list
it is in.
"""
_CASES: tuple[Change, ...] = (str, str.upper, str.lower, str.casefold)
_FORMS: tuple[Literal["NFC", "NFD"], ...] = ("NFC", "NFD")
_ANY_KEY = ""
_WORDLESS = (
    *(
        inspect.NoneType,
        inspect.BoolType,
        inspect.IntType,
        inspect.FloatType,
        inspect.DecimalType,
    ),
    *(inspect.DateTimeType, inspect.DateType, inspect.TimeType, inspect.TimeDeltaType),
    *(inspect.LiteralType, inspect.EnumType, inspect.UUIDType),
)
_SPACE_IN_TEXT = r"\s+"
_SPACE_IN_JSON = r"(?:\s|\\[nrt])+"


class Struck:
    """Names and contacts that are to stand nowhere: found in any case of their letters
    and with any spaces between.
    """

    def __init__(self, names: Iterable[str]) -> None:
        longest_first = sorted(
            {form for name in names for form in _spellings(name)}, key=len, reverse=True
        )
        self._whole = _any_of(
            [rf"(?<!\w){_spaced(one, _SPACE_IN_TEXT)}(?!\w)" for one in longest_first]
        )
        self._in_json = _any_of(
            [_spaced(_as_json(one), _SPACE_IN_JSON) for one in longest_first]
        )

    def out_of(self, text: str) -> str:
        """Return a text with a ``*`` wherever one of the names stands whole."""
        if self._whole is None:
            return text
        return self._whole.sub(STRUCK_OUT, text)

    def stands_in(self, json: str) -> bool:
        """Tell whether one of the names stands anywhere in text that is JSON, part of a
        word or not.
        """
        if self._in_json is None:
            return False
        return self._in_json.search(json) is not None

    def __bool__(self) -> bool:
        """Tell whether there is any name at all."""
        return self._whole is not None


class Fields(msgspec.Struct, frozen=True, kw_only=True):
    """What a type says of the strings in its bodies: what its fields are called, and
    which hold nobody's own words.
    """

    names: frozenset[str]
    wordless: frozenset[Path]


def rewritten(of: type[msgspec.Struct], body: Json, change: Change) -> Json:
    """Return a body with ``change`` made to every string that people wrote: neither an
    id nor one of a few choices.
    """

    def changed(text: str) -> str:
        if looks_like_id(text):
            return text
        return change(text)

    new: Json = _rewritten(body, (), changed, _fields_of(of))
    return new


def written(of: type[msgspec.Struct], body: Json) -> list[str]:
    """Return every string in a body that is not one of a few choices: what people
    wrote, and ids.
    """
    found: list[str] = []

    def note(text: str) -> str:
        found.append(text)
        return text

    _rewritten(body, (), note, _fields_of(of))
    return found


def _rewritten(value: Any, at: Path, change: Change, fields: Fields) -> Any:
    if isinstance(value, dict):
        new = {}
        for name, inner in value.items():
            key, changed = _rewritten_entry(
                name,
                inner,
                at,
                change,
                fields,
            )
            new[key] = changed
        return new
    if isinstance(value, list):
        return [
            _rewritten(
                item,
                at,
                change,
                fields,
            )
            for item in value
        ]
    if isinstance(value, str) and at not in fields.wordless:
        return change(value)
    return value


def _rewritten_entry(
    name: str, value: Any, at: Path, change: Change, fields: Fields
) -> tuple[str, Any]:
    if name in fields.names:
        within = (*at, name)
        return name, _rewritten(
            value,
            within,
            change,
            fields,
        )
    within = (*at, _ANY_KEY)
    return change(name), _rewritten(
        value,
        within,
        change,
        fields,
    )


@cache
def _fields_of(of: type[msgspec.Struct]) -> Fields:
    names: set[str] = set()
    wordless: set[Path] = set()
    with_words: set[Path] = set()
    for at, leaf in _leaves(inspect.type_info(of), ()):
        names.update(at)
        found = wordless if isinstance(leaf, _WORDLESS) else with_words
        found.add(at)
    return Fields(
        names=frozenset(names - {_ANY_KEY}),
        wordless=frozenset(wordless - with_words),
    )


def _leaves(of: inspect.Type, at: Path) -> Iterator[tuple[Path, inspect.Type]]:
    """Yield where each value without parts stands that a type allows, with its own
    type.
    """
    match of:
        case inspect.Metadata(type=inner) | inspect.CollectionType(item_type=inner):
            yield from _leaves(inner, at)
        case inspect.UnionType(types=types) | inspect.TupleType(item_types=types):
            for one in types:
                yield from _leaves(one, at)
        case inspect.StructType(fields=fields, tag_field=tag_field, tag=tag):
            if tag_field is not None:
                yield (*at, tag_field), inspect.LiteralType((tag,))
            for field in fields:
                yield from _leaves(field.type, (*at, field.encode_name))
        case inspect.DictType(value_type=inner):
            yield from _leaves(inner, (*at, _ANY_KEY))
        case _:
            yield at, of


def _spellings(name: str) -> set[str]:
    return {
        unicodedata.normalize(form, case(name)) for form in _FORMS for case in _CASES
    }


def _as_json(text: str) -> str:
    quoted = msgspec.json.encode(text).decode()
    return quoted[1:-1]


def _spaced(text: str, space: str) -> str:
    words = map(re.escape, text.split())
    return space.join(words)


def _any_of(patterns: Iterable[str]) -> re.Pattern[str] | None:
    alternatives = "|".join(filter(None, patterns))
    if not alternatives:
        # an empty pattern would be found everywhere
        return None
    return re.compile(alternatives, re.IGNORECASE)
