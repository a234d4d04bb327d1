"""From JSON's own types to a struct, with every fault at once, each at its place.

``msgspec`` stops at the first fault. So when a decode fails, and only then, the value
is walked beside its type and every fault is collected.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from difflib import get_close_matches
from itertools import accumulate, islice
from typing import Annotated, Any, NamedTuple, TypeVar

import msgspec
from msgspec import inspect

from standage.shapes.faults import (
    MOST_FAULTS,
    Fault,
    Faulty,
    Ruled,
    broken_rules,
    escaped,
    holds_half_a_character,
    moved,
    not_text,
    shown,
    unfit,
)
from standage.shapes.plain_text import takes_one_line, unfit_character
from standage.shapes.remembering import remembered

T = TypeVar("T")

_MOST_NEAR = 3
_MOST_LETTERS = 195
"""So many letters of a message are read, what was sent and the choices."""


class FieldWords(NamedTuple):
    """What else fields are called by those who send them."""

    meant: Callable[[str, Sequence[str]], str | None]
    """The one of the known fields that a name is another word for."""
    near: Callable[[str, Sequence[str]], Sequence[str]]
    """The known fields that a name may be meant for, nearest first."""


def _no_other_word(_name: str, _known: Sequence[str]) -> None:
    return None


def _none_near(_name: str, _known: Sequence[str]) -> Sequence[str]:
    return ()


OWN_WORDS = FieldWords(meant=_no_other_word, near=_none_near)
"""Fields bear their own names only."""


def convert(value: object, kind: type[T], *, words: FieldWords = OWN_WORDS) -> T:
    """Return ``value``, made of JSON's own types, as a ``kind``.

    Raises ``Faulty`` with every fault: those of shape and bounds, and those of the
    rules of every sound part.
    """
    try:
        converted = msgspec.convert(value, kind)
    except (msgspec.ValidationError, UnicodeEncodeError) as error:
        raise Faulty(
            list(faults_in(value, kind, words=words))
            or [Fault(code="invalid", message=str(error), pointer="")]
        ) from error
    if faults := list(islice(broken_rules(converted), MOST_FAULTS)):
        raise Faulty(faults)
    return converted


def faults_in(
    value: object, kind: Any, *, words: FieldWords = OWN_WORDS
) -> Iterator[Fault]:
    """Yield every fault of ``value`` (JSON's own types) as a ``kind``, with RFC 6901
    pointers.

    At most ``MOST_FAULTS``; what lies beyond them is not looked at, so that nothing
    sent takes long to refuse.
    """
    yield from _first(_Walk(words).faults(value, _described(kind), ""))


@remembered()
def _described(kind: Any) -> inspect.Type:
    """Return what is to be known of a type to walk beside it; finding that out takes
    longer than the walk.
    """
    return inspect.type_info(kind)


def _first(faults: Iterable[Fault]) -> list[Fault]:
    return list(islice(faults, MOST_FAULTS))


class _Walk:
    """Goes through a value beside the type that it should be."""

    def __init__(self, words: FieldWords) -> None:
        self._words = words

    def faults(
        self, value: object, kind: inspect.Type, pointer: str
    ) -> Iterator[Fault]:
        if isinstance(kind, inspect.Metadata):
            yield from self.faults(value, kind.type, pointer)
        elif isinstance(kind, inspect.UnionType):
            yield from self._union(value, kind, pointer)
        elif isinstance(kind, inspect.StructType):
            yield from self._struct(value, kind, pointer)
        elif isinstance(kind, inspect.ListType | inspect.VarTupleType):
            yield from self._list(value, kind, pointer)
        elif isinstance(kind, inspect.DictType):
            yield from self._named(value, kind, pointer)
        else:
            yield from self._leaf(value, kind, pointer)

    def _leaf(self, value: object, kind: inspect.Type, pointer: str) -> Iterator[Fault]:
        if isinstance(kind, inspect.LiteralType):
            yield from _walk_choice(value, kind.values, pointer)
        elif isinstance(kind, inspect.StrType):
            yield from _walk_text(value, kind, pointer)
        elif isinstance(kind, inspect.FloatType | inspect.IntType):
            yield from _walk_number(value, kind, pointer)
        elif isinstance(kind, inspect.DateTimeType):
            yield from _walk_time(value, kind, pointer)
        elif isinstance(kind, inspect.BoolType) and not isinstance(value, bool):
            yield _wrong_type("true or false", value, pointer)

    def _union(
        self, value: object, kind: inspect.UnionType, pointer: str
    ) -> Iterator[Fault]:
        if value is None and any(
            isinstance(one, inspect.NoneType) for one in kind.types
        ):
            return
        choices = [one for one in kind.types if not isinstance(one, inspect.NoneType)]
        tagged = {
            one.tag: one
            for one in choices
            if isinstance(one, inspect.StructType) and one.tag_field is not None
        }
        if tagged and isinstance(value, Mapping):
            yield from self._tagged(value, tagged, pointer)
            return
        if isinstance(value, Mapping):
            # what is amiss in an object is told as of an object, where it may be one
            objects = [one for one in choices if isinstance(one, inspect.StructType)]
            choices = [*objects] or choices
        attempts = [_first(self.faults(value, one, pointer)) for one in choices]
        yield from min(
            attempts,
            key=lambda faults: (
                len(faults),
                sum(one.code == "wrong_type" for one in faults),
            ),
        )

    def _tagged(
        self,
        value: Mapping[str, object],
        choices: Mapping[Any, inspect.StructType],
        pointer: str,
    ) -> Iterator[Fault]:
        """Yield the faults of a value whose own field says which of the structs it is."""
        name = str(next(iter(choices.values())).tag_field)
        tag = value.get(name)
        if name not in value:
            yield Fault(
                code="missing",
                message=f"{name} is missing",
                pointer=f"{pointer}/{escaped(name)}",
            )
        elif isinstance(tag, str) and tag in choices:
            yield from self._struct(value, choices[tag], pointer)
        else:
            yield from _walk_choice(tag, list(choices), f"{pointer}/{escaped(name)}")

    def _struct(
        self, value: object, kind: inspect.StructType, pointer: str
    ) -> Iterator[Fault]:
        if not isinstance(value, Mapping):
            yield _wrong_type("an object", value, pointer)
            return
        found = _first(self._fields(value, kind, pointer))
        yield from found
        if not found and issubclass(kind.cls, Ruled):
            yield from (moved(fault, pointer) for fault in _rules_of(value, kind.cls))

    def _fields(
        self, value: Mapping[str, object], kind: inspect.StructType, pointer: str
    ) -> Iterator[Fault]:
        known = {field.encode_name: field for field in kind.fields}
        for name, field in known.items():
            if name in value:
                yield from self.faults(
                    value[name], field.type, f"{pointer}/{escaped(name)}"
                )
            elif field.required:
                yield Fault(
                    code="missing",
                    message=f"{name} is missing",
                    pointer=f"{pointer}/{escaped(name)}",
                )
        if kind.forbid_unknown_fields:
            for name in value:
                if name not in known and name != kind.tag_field:
                    yield self._unknown(name, list(known), f"{pointer}/{escaped(name)}")

    def _unknown(self, name: str, known: Sequence[str], pointer: str) -> Fault:
        same = self._words.meant(name, known)
        if same is not None:
            message = f"{shown(name)} says the same as {same}: give one of them"
            return Fault(code="one_or_the_other", message=message, pointer=pointer)
        near = self._words.near(name, known)[:_MOST_NEAR] or get_close_matches(
            name, known, n=1
        )
        hint = f"; did you mean {_either(near)}?" if near else ""
        return Fault(
            code="unknown_field",
            message=f"{shown(name)} is not known here{hint}",
            pointer=pointer,
        )

    def _list(
        self, value: object, kind: inspect.ListType | inspect.VarTupleType, pointer: str
    ) -> Iterator[Fault]:
        if not isinstance(value, list | tuple):
            yield _wrong_type("a list", value, pointer)
            return
        if kind.min_length is not None and len(value) < kind.min_length:
            yield Fault(
                code="too_few",
                message=f"needs at least {kind.min_length} of them",
                pointer=pointer,
            )
        if kind.max_length is not None and len(value) > kind.max_length:
            message = f"holds {len(value)}, but at most {kind.max_length} are allowed"
            yield Fault(
                code="too_many",
                message=message,
                pointer=pointer,
            )
            value = value[: kind.max_length]
        for position, item in enumerate(value):
            yield from self.faults(item, kind.item_type, f"{pointer}/{position}")

    def _named(
        self, value: object, kind: inspect.DictType, pointer: str
    ) -> Iterator[Fault]:
        """Yield the faults of values that bear names of the sender's own choice."""
        if not isinstance(value, Mapping):
            yield _wrong_type("an object", value, pointer)
            return
        if kind.max_length is not None and len(value) > kind.max_length:
            message = f"holds {len(value)}, but at most {kind.max_length} are allowed"
            yield Fault(
                code="too_many",
                message=message,
                pointer=pointer,
            )
        for name, item in islice(value.items(), kind.max_length):
            at = f"{pointer}/{escaped(str(name))}"
            yield from self.faults(name, kind.key_type, at)
            yield from self.faults(item, kind.value_type, at)


def _rules_of(value: object, kind: type[Ruled]) -> Iterable[Fault]:
    """Return what the rules find in a part that is sound; nothing where it turns out
    not to be, as ``convert`` says.
    """
    try:
        return msgspec.convert(value, kind).rules()
    except (msgspec.ValidationError, UnicodeEncodeError):
        return ()


def _either(names: Sequence[str]) -> str:
    return " or ".join(part for part in (", ".join(names[:-1]), names[-1]) if part)


def _walk_choice(
    value: object, choices: Sequence[object], pointer: str
) -> Iterator[Fault]:
    if value in choices and type(value) in {type(choice) for choice in choices}:
        return
    begins = f"{shown(value)} is not one of: "
    listed = _listed(value, choices, letters=_MOST_LETTERS - len(begins))
    yield Fault(
        code="not_a_choice",
        message=begins + listed,
        pointer=pointer,
    )


def _listed(value: object, choices: Sequence[object], *, letters: int) -> str:
    """Return the choices; of many the nearest to a value first, and only so many as are
    read.
    """
    names = [str(choice) for choice in choices]
    whole = ", ".join(names)
    if len(whole) <= letters:
        return whole
    near = get_close_matches(str(value), names, n=_MOST_NEAR)
    ordered = list(dict.fromkeys([*near, *names]))
    ends = accumulate(map(_with_comma, ordered))
    room = letters - len(" and 99 more")
    told = [name for name, end in zip(ordered, ends, strict=True) if end <= room]
    return f"{', '.join(told)} and {len(names) - len(told)} more"


def _with_comma(name: str) -> int:
    return len(name) + len(", ")


def _walk_text(value: object, kind: inspect.StrType, pointer: str) -> Iterator[Fault]:
    if not isinstance(value, str):
        yield _wrong_type("text", value, pointer)
    elif holds_half_a_character(value):
        yield not_text(pointer)
    elif kind.min_length is not None and len(value) < kind.min_length:
        yield Fault(
            code="too_short",
            message="must not be empty",
            pointer=pointer,
        )
    elif kind.max_length is not None and len(value) > kind.max_length:
        message = (
            f"has {len(value)} characters, but at most {kind.max_length} are allowed"
        )
        yield Fault(
            code="too_long",
            message=message,
            pointer=pointer,
        )
    elif kind.pattern is not None and not re.search(kind.pattern, value):
        message = f"{shown(value)} has characters that may not stand there"
        yield Fault(
            code="bad_characters",
            message=message,
            pointer=pointer,
        )
    elif takes_one_line(kind) and (letter := unfit_character(value)) is not None:
        yield unfit(letter, pointer)


def _walk_number(
    value: object, kind: inspect.FloatType | inspect.IntType, pointer: str
) -> Iterator[Fault]:
    whole = isinstance(kind, inspect.IntType)
    if isinstance(value, bool) or not isinstance(value, int | float):
        yield _wrong_type("a whole number" if whole else "a number", value, pointer)
    elif value != value:  # noqa: PLR0124 - not a number is the one value unequal to itself
        yield _wrong_type("a number", value, pointer)
    elif whole and isinstance(value, float) and not value.is_integer():
        yield _wrong_type("a whole number", value, pointer)
    elif (fault := _beyond(value, kind)) is not None:
        yield Fault(
            code=fault[0],
            message=fault[1],
            pointer=pointer,
        )


def _beyond(
    value: float, kind: inspect.FloatType | inspect.IntType
) -> tuple[str, str] | None:
    figure = shown(value)
    if kind.gt is not None and value <= kind.gt:
        return "too_small", f"{figure} must be more than {kind.gt:,.10g}"
    if kind.ge is not None and value < kind.ge:
        return "too_small", f"{figure} must be {kind.ge:,.10g} or more"
    if kind.lt is not None and value >= kind.lt:
        return "too_large", f"{figure} must be less than {kind.lt:,.10g}"
    if kind.le is not None and value > kind.le:
        return "too_large", f"{figure} must be {kind.le:,.10g} or less"
    return None


def _walk_time(
    value: object, kind: inspect.DateTimeType, pointer: str
) -> Iterator[Fault]:
    try:
        msgspec.convert(value, Annotated[datetime, msgspec.Meta(tz=kind.tz)])
    except (msgspec.ValidationError, UnicodeEncodeError):
        yield _wrong_type(
            "a date and time with its zone, such as 2026-05-01T10:00:00Z",
            value,
            pointer,
        )


def _wrong_type(wanted: str, value: object, pointer: str) -> Fault:
    return Fault(
        code="wrong_type",
        message=f"must be {wanted}, but is {shown(value)}",
        pointer=pointer,
    )
