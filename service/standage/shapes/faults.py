"""Everything that is wrong with a value, at once, each fault at its place, and how what
was sent is quoted in it.

``msgspec`` stops at the first fault and checks no bounds in constructors. So when a
decode fails, and only then, the value is walked beside its type and every fault is
collected; rules that tie several fields together are asked of each part that is sound
by itself.
"""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, ClassVar, TypeVar

import msgspec

from standage.shapes.open_fields import open_fields
from standage.shapes.plain_text import (
    fields_on_one_line,
    unfit_character,
)
from standage.shapes.refusals import Refusal
from standage.shapes.remembering import remembered

_VAST = 10**15


def shown(value: object, *, longest: int = 60) -> str:
    """Return a value as a short, printable scrap for a message.

    >>> shown("Van"), shown(None), shown([1, 2])
    ("'Van'", 'null', 'a list')
    """
    if value is None or isinstance(value, bool):
        return json.dumps(value)
    if isinstance(value, int | float):
        if abs(value) < _VAST:
            return f"{value:.10g}"
        return "so vast a number"
    if isinstance(value, Mapping | list | tuple):
        if isinstance(value, Mapping):
            return "an object"
        return "a list"
    text = str(value)
    scrap = repr(text) if len(text) <= longest else repr(text[:longest]) + "…"
    return scrap.encode("utf-8", "replace").decode()


def escaped(name: str) -> str:
    """Return a field's name as one token of an RFC 6901 pointer."""
    return (
        name.encode("utf-8", "replace").decode().replace("~", "~0").replace("/", "~1")
    )


def unescaped(part: str) -> str:
    """Return the name that a part of a pointer stands for (RFC 6901)."""
    return part.replace("~1", "/").replace("~0", "~")


def holds_half_a_character(text: str) -> bool:
    """Tell whether ``text`` holds a lone surrogate, which JSON can spell and
    ``msgspec.convert`` lets through.
    """
    return not text.isascii() and any("\ud800" <= letter <= "\udfff" for letter in text)


T = TypeVar("T")

MOST_FAULTS = 200


class Fault(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One thing that is wrong with what was sent."""

    code: str
    message: str
    pointer: str | None = None
    parameter: str | None = None


class Faulty(Refusal):
    """A value with one or more faults; ``was_to_change`` says that something was to be
    changed by it, and was not.
    """

    code = "invalid"
    was_to_change = False

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__(
            "; ".join(
                f"{fault.pointer or fault.parameter}: {fault.message}"
                for fault in faults
            )
        )
        self.faults = tuple(faults)

    def __reduce__(self) -> tuple[type["Faulty"], tuple[tuple[Fault, ...]]]:
        """Go from one process to another with every fault."""
        return Faulty, (self.faults,)


class Ruled(
    msgspec.Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    omit_defaults=True,
):
    """A struct whose fields must agree with each other: ``rules`` yields what does not.

    ``comes_again`` says that the same is sent again and again, so that it is remembered
    whether it is sound. ``said_alone`` is the field that a mere text means where such a
    struct is wanted. ``looked_up`` are fields that put no name on record, but look for
    one that may be there since before.
    """

    comes_again: ClassVar[bool] = False
    said_alone: ClassVar[str | None] = None
    looked_up: ClassVar[frozenset[str]] = frozenset()

    def rules(self) -> Iterable[Fault]:
        """Yield the faults between this struct's own fields; pointers are relative to
        it.
        """
        return ()


def all_of(*attempts: Callable[[], object]) -> list[Any]:
    """Return what each of ``attempts`` returns; raises ``Faulty`` with the faults of
    all that raise it.
    """
    made: list[Any] = []
    faults: list[Fault] = []
    for attempt in attempts:
        try:
            made.append(attempt())
        except Faulty as faulty:
            faults += faulty.faults
    if faults:
        raise Faulty(faults)
    return made


def broken_rules(value: object, pointer: str = "") -> Iterator[Fault]:
    """Yield what ``rules`` finds in ``value`` and in every struct inside it, and text
    that is none.
    """
    if not _sound(value):
        yield from _broken(value, pointer)


def _sound(value: object) -> bool:
    """Tell whether there is nothing to find: nearly always so, and told without a
    pointer for every field.
    """
    if value is None:
        return True
    if isinstance(value, str):
        return value.isascii() or not (
            holds_half_a_character(value) or unfit_character(value)
        )
    if isinstance(value, Ruled) and value.comes_again:
        return _remembered_soundness(value)
    if isinstance(value, msgspec.Struct):
        return _is_sound(value)
    if isinstance(value, dict):
        return all(map(_sound, value)) and all(map(_sound, value.values()))
    return not isinstance(value, list | tuple) or all(map(_sound, value))


def _is_sound(value: msgspec.Struct) -> bool:
    for name in open_fields(type(value)):
        inner = getattr(value, name)
        if inner is not None and not _sound(inner):
            return False
    return not isinstance(value, Ruled) or not any(True for _ in value.rules())


_remembered_soundness = remembered()(_is_sound)


def _broken(
    value: object, pointer: str, *, on_one_line: bool = False
) -> Iterator[Fault]:
    if isinstance(value, str):
        yield from _broken_text(value, pointer, on_one_line=on_one_line)
    elif isinstance(value, msgspec.Struct):
        lines = fields_on_one_line(type(value))
        for name, encoded in zip(
            value.__struct_fields__, value.__struct_encode_fields__, strict=True
        ):
            yield from _broken(
                getattr(value, name), f"{pointer}/{encoded}", on_one_line=name in lines
            )
        if isinstance(value, Ruled):
            yield from (moved(fault, pointer) for fault in value.rules())
    elif isinstance(value, list | tuple):
        for position, item in enumerate(value):
            yield from _broken(item, f"{pointer}/{position}", on_one_line=on_one_line)
    elif isinstance(value, dict):
        for name, item in value.items():
            at = f"{pointer}/{escaped(str(name))}"
            yield from _broken(name, at, on_one_line=on_one_line)
            yield from _broken(item, at)


def _broken_text(text: str, pointer: str, *, on_one_line: bool) -> Iterator[Fault]:
    if holds_half_a_character(text):
        yield not_text(pointer)
    elif on_one_line and (letter := unfit_character(text)) is not None:
        yield unfit(letter, pointer)


def moved(fault: Fault, pointer: str) -> Fault:
    return msgspec.structs.replace(fault, pointer=pointer + (fault.pointer or ""))


UNFIT = "unseen_character"
"""The code of a fault of names: nothing is wrong with one that is on record since
before.
"""


def unfit(character: str, pointer: str) -> Fault:
    which = f"U+{ord(character):04X}"
    message = (
        "holds a character that nobody can see, or that turns the text around"
        f" ({which}): type it again"
    )
    return Fault(code=UNFIT, message=message, pointer=pointer)


def not_text(pointer: str) -> Fault:
    return Fault(
        code="not_text",
        message="holds half a character (a lone surrogate)",
        pointer=pointer,
    )
