"""Scraps of what was sent, as they may stand in a fault: short, printable, and without
half characters.
"""

import json
from collections.abc import Mapping

_VAST = 10**15


def shown(value: object, *, longest: int = 60) -> str:
    """Return a value as a short, printable scrap for a message.

    >>> shown("Van"), shown(None), shown([1, 2])
    ("'Van'", 'null', 'a list')
    """
    if value is None or isinstance(value, bool):
        return json.dumps(value)
    if isinstance(value, int | float):
        return f"{value:.10g}" if abs(value) < _VAST else "so vast a number"
    if isinstance(value, Mapping | list | tuple):
        return "an object" if isinstance(value, Mapping) else "a list"
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
