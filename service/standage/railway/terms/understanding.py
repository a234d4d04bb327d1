"""What was sent, in our own words: other words for fields and choices, one word for a
whole part, a date for a moment.

Only what our own words do not cover is looked at, so that nothing sound is ever taken
for something else.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date
from typing import Any, get_args

import msgspec
from msgspec import inspect

from standage.railway.terms.reasons import Assumed
from standage.railway.terms.scales import Practice, ScaleName, scale
from standage.railway.terms.spellings import choice_spelt
from standage.railway.terms.synonyms import (
    TWO_WAYS,
    TwoWays,
    choice_meant,
    field_meant,
    in_plain_letters,
)
from standage.shapes.faults import Fault, Faulty, Ruled, escaped
from standage.shapes.remembering import remembered

_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_END_OF_DAY = "T23:59:59Z"
_SCALES = get_args(ScaleName)
_PRACTICES = frozenset(get_args(Practice))
_MOST_TOLD = 20


class Heard(msgspec.Struct, frozen=True, kw_only=True):
    """What was sent, in our own words; what to say of that; and under which names it
    was sent.
    """

    value: Any
    told: tuple[Assumed, ...] = ()
    sent_as: Mapping[str, str | None] = {}
    """What each field that is called otherwise was called, by our own pointer to it;
    None for what had no name.
    """

    def as_sent(self, fault: Fault) -> Fault:
        """Return the fault with a pointer to where the caller wrote it."""
        if fault.pointer is None or not self.sent_as:
            return fault
        return msgspec.structs.replace(
            fault, pointer=sent_pointer(fault.pointer, self.sent_as)
        )

    @contextmanager
    def pointing(self) -> Iterator[None]:
        """Let every fault that is found meanwhile point to where the caller wrote
        it.
        """
        try:
            yield
        except Faulty as faulty:
            if not self.sent_as:
                raise
            raise Faulty([self.as_sent(fault) for fault in faulty.faults]) from faulty


NOTHING_HEARD = Heard(value=None)


def sent_pointer(pointer: str, sent_as: Mapping[str, str | None]) -> str:
    """Return our own pointer as one to where the caller wrote it. **Source** derived.

    >>> sent_pointer("/train/train_id", {"/train/train_id": None})
    '/train'
    """
    own, sent = "", ""
    parts = pointer.split("/")[1:]
    for part in parts:
        own = f"{own}/{part}"
        said = sent_as.get(own, part)
        if said is not None:
            sent = f"{sent}/{said}"
    return sent


def heard(value: object, kind: Any) -> Heard:
    """Return ``value``, made of JSON's own types, as it is meant for a ``kind``; what
    nobody understands stays. **Source** the trade's words, no source.
    """
    listener = _Listener(frozenset(_practices_in(value)))
    return Heard(
        value=listener.hear(value, _described(kind), ""),
        told=tuple(listener.told[:_MOST_TOLD]),
        sent_as=listener.sent_as,
    )


@remembered()
def _described(kind: Any) -> inspect.Type:
    return inspect.type_info(kind)


def _practices_in(value: object) -> Iterator[Practice]:
    """Yield by whose practice the parts of ``value`` are, as far as scales and
    practices are named in it.
    """
    if isinstance(value, list):
        for one in value:
            yield from _practices_in(one)
    elif isinstance(value, Mapping):
        practice, named = value.get("practice"), value.get("scale")
        spelt = choice_spelt(named, _SCALES) if isinstance(named, str) else None
        if isinstance(practice, str) and practice in _PRACTICES:
            yield practice  # type: ignore[misc]  # one of the practices, as was just looked
        elif spelt is not None:
            yield scale(spelt).practice  # type: ignore[arg-type]  # one of the names, as that was asked for
        for one in value.values():
            yield from _practices_in(one)


class _Listener:
    """Goes through what was sent beside the type that it is meant to be."""

    def __init__(self, practices: frozenset[Practice]) -> None:
        self._practices = practices
        self.told: list[Assumed] = []
        self.sent_as: dict[str, str | None] = {}

    def hear(self, value: object, kind: inspect.Type, pointer: str) -> object:
        """Return ``value`` as it is meant for ``kind``."""
        if isinstance(kind, inspect.Metadata):
            return self.hear(value, kind.type, pointer)
        if isinstance(kind, inspect.UnionType):
            one = _one_of(value, kind)
            if one is None:
                return value
            return self.hear(value, one, pointer)
        if isinstance(kind, inspect.StructType):
            return self._part(value, kind, pointer)
        if isinstance(value, str):
            return self._word(value, kind, pointer)
        return self._many(value, kind, pointer)

    def _many(self, value: object, kind: inspect.Type, pointer: str) -> object:
        """Return a row or a table with each of its values as it is meant."""
        if isinstance(kind, inspect.ListType | inspect.VarTupleType):
            return self._row(value, kind.item_type, pointer)
        if isinstance(kind, inspect.DictType) and isinstance(value, Mapping):
            return {
                name: self.hear(one, kind.value_type, f"{pointer}/{escaped(str(name))}")
                for name, one in value.items()
            }
        return value

    def _row(self, row: object, kind: inspect.Type, pointer: str) -> object:
        if not isinstance(row, list):
            return row
        return [
            self.hear(one, kind, f"{pointer}/{place}") for place, one in enumerate(row)
        ]

    def _word(self, text: str, kind: inspect.Type, pointer: str) -> str:
        if isinstance(kind, inspect.LiteralType):
            return self._choice(text, kind.values, pointer)
        is_a_moment = isinstance(kind, inspect.DateTimeType)
        if is_a_moment and _is_date(text):
            return text + _END_OF_DAY
        return text

    def _part(self, value: object, kind: inspect.StructType, pointer: str) -> object:
        fields = {field.encode_name: field for field in kind.fields}
        alone = kind.cls.said_alone if issubclass(kind.cls, Ruled) else None
        if alone is not None and isinstance(value, str):
            self.sent_as[f"{pointer}/{alone}"] = None
            return {alone: value}
        if not isinstance(value, Mapping):
            return value
        meant = {
            name: self._field(
                name,
                value,
                list(fields),
                pointer,
            )
            for name in value
        }
        return {
            own: (
                self.hear(value[name], fields[own].type, f"{pointer}/{escaped(own)}")
                if own in fields
                else value[name]
            )
            for name, own in meant.items()
        }

    def _field(
        self, name: str, value: Mapping[str, object], known: Sequence[str], pointer: str
    ) -> str:
        """Return our own name of a field; as it is where nobody knows it, or where it
        is said twice.
        """
        if name in known:
            return name
        own = field_meant(name, known)
        if own is None or own in value:
            return name
        at = f"{pointer}/{escaped(own)}"
        if at in self.sent_as:
            return name
        self.sent_as[at] = escaped(name)
        return own

    def _choice(self, text: str, choices: Sequence[object], pointer: str) -> str:
        if text in choices:
            return text
        own = choice_meant(text, choices)
        if own is None:
            return text
        word = in_plain_letters(text)
        double = TWO_WAYS.get(word)
        if double is not None and word != own and not self._is_plain(double):
            self.told.append(taken_as(word, double, field=pointer.removeprefix("/")))
        return own

    def _is_plain(self, double: TwoWays) -> bool:
        if not self._practices:
            return False
        return self._practices <= double.plain_in


def _is_date(text: str) -> bool:
    """Tell whether ``text`` is a day of the calendar and nothing else."""
    try:
        return (
            _DATE.fullmatch(text) is not None and date.fromisoformat(text) is not None
        )
    except ValueError:
        return False


def taken_as(word: str, double: TwoWays, *, field: str, place: str = "") -> Assumed:
    """Return what is said of a word that means two things. **Source** the trade's
    words, no source.
    """
    message = f"{place}“{word}” is taken for {double.words}; {double.other}"
    return Assumed(
        field=field,
        message=message,
        source="taken_as_read",
        value=double.taken_as,
    )


def _one_of(value: object, kind: inspect.UnionType) -> inspect.Type | None:
    """Return the only type of a union that ``value`` can be meant for; None where it
    may be any of several.
    """
    if value is None:
        return None
    choices = [one for one in kind.types if not isinstance(one, inspect.NoneType)]
    if len(choices) == 1:
        return choices[0]
    if not isinstance(value, Mapping):
        return None
    tagged = [
        one
        for one in choices
        if isinstance(one, inspect.StructType) and one.tag_field is not None
    ]
    return next(
        (one for one in tagged if value.get(str(one.tag_field)) == one.tag), None
    )
