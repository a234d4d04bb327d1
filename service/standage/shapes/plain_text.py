"""What may not stand in a name, though nobody would see it: what turns text around, and
what shows as nothing.

It is refused in what is sent, and left alone in what is on record since before.
"""

import re
import unicodedata
from functools import cache

import msgspec
from msgspec import inspect

_ON_ONE_LINE = r"(?!\n)$"
"""How the pattern of every text that takes one line ends: names, numbers, labels, a
contact.
"""
_TURNS = "\u202a-\u202e\u2066-\u2069"
_BREAKS = "\x80-\x9f\u2028\u2029"
_NO_CHARACTERS = "\ufdd0-\ufdef" + "".join(
    chr(plane << 16 | last) for plane in range(0x11) for last in (0xFFFE, 0xFFFF)
)
_UNSEEN = (
    "\xad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u2060-\u206f\u3164\ufe00-\ufe0f\ufeff\uffa0"
    "\ufff0-\ufff8\U0001bca0-\U0001bca3\U0001d173-\U0001d17a\U000e0000-\U000e0fff"
)
_UNFIT = re.compile(f"[{_TURNS}{_BREAKS}{_NO_CHARACTERS}{_UNSEEN}]")
"""**Source** Unicode Standard 15.0: UAX #9 (embeddings, overrides, isolates), section
23.1 (C1), 23.7 (noncharacters), DerivedCoreProperties.txt
(Default_Ignorable_Code_Point); a test holds the last against another copy of that
table.
"""
_JOINERS = re.compile("[\u200c\u200d\ufe00-\ufe0f]")
"""Joiners and choices of a form: part of how some scripts and emoji are written."""
_KEYCAP = "\u20e3"
_NEVER_JOINED = (
    "LATIN ",
    "GREEK ",
    "CYRILLIC ",
    "COMBINING ",
    "FULLWIDTH ",
    "MODIFIER LETTER ",
)


def unfit_character(text: str) -> str | None:
    """Return the first character of a name that may not stand there; None where there
    is none.

    >>> unfit_character("Up loop"), unfit_character("Up\\u202eloop") == "\\u202e"
    (None, True)
    """
    if text.isascii():
        return None
    for found in _UNFIT.finditer(text):
        if not _joins(text, found.start()):
            return found[0]
    return None


def _joins(text: str, place: int) -> bool:
    """Tell whether the character there joins what people do join: emoji, and letters of
    scripts that need it.
    """
    if _JOINERS.fullmatch(text[place]) is None:
        return False
    if text[place + 1 : place + 2] == _KEYCAP:
        return True
    before = text[place - 1 : place]
    if not before or before.isascii():
        return False
    if _JOINERS.fullmatch(before) is not None:
        return _joins(text, place - 1)
    letter_or_mark = unicodedata.category(before)[0] in "LM"
    is_symbol = unicodedata.category(before) in {"So", "Sk"}
    return is_symbol or (
        letter_or_mark and not unicodedata.name(before, "").startswith(_NEVER_JOINED)
    )


@cache
def fields_on_one_line(kind: type[msgspec.Struct]) -> frozenset[str]:
    """Return the names of the fields of ``kind`` that are text of one line, a list of
    such, or named by such.
    """
    looked_up: frozenset[str] = getattr(kind, "looked_up", frozenset())
    fields = msgspec.structs.fields(kind)
    return (
        frozenset(
            field.name
            for field in fields
            if _is_on_one_line(inspect.type_info(field.type))
        )
        - looked_up
    )


def _is_on_one_line(kind: inspect.Type) -> bool:
    if isinstance(kind, inspect.Metadata):
        return _is_on_one_line(kind.type)
    if isinstance(kind, inspect.UnionType):
        return any(map(_is_on_one_line, kind.types))
    if isinstance(kind, inspect.VarTupleType | inspect.ListType):
        return _is_on_one_line(kind.item_type)
    if isinstance(kind, inspect.DictType):
        return _is_on_one_line(kind.key_type)
    return isinstance(kind, inspect.StrType) and takes_one_line(kind)


def takes_one_line(kind: inspect.StrType) -> bool:
    """Tell whether such a text is a name, or another that takes one line."""
    if kind.pattern is None:
        return False
    return kind.pattern.endswith(_ON_ONE_LINE)
