"""Words on a plan: how wide they come out, cut to the room there is, and written so
that they are no wider in any reader's font.

Widths are parts of the letters' height, as common sans-serif fonts have them. Every
text says its width, and a font that differs is fitted to it.
"""

from functools import cache
from unicodedata import bidirectional, category, east_asian_width
from xml.etree import ElementTree as ET

import msgspec

_NARROW = "fijlrtI.,:;'|!()[]/ "
_BROAD = "mwMW@%—…"
_MARKS = frozenset({"Mn", "Me", "Cf"})
_TURNED = frozenset({"R", "AL", "AN"})
_DIGIT = 0.56
_PARTS = {"narrow": 0.3, "broad": 0.87, "capital": 0.69, "small": 0.54}
_FULL = 1.05
_OTHER = 0.65
_BOLD = 1.06
_ABOVE = 0.78
"""Of the height of letters, what stands above the base line; the rest hangs below."""


class Words(msgspec.Struct, frozen=True, kw_only=True):
    """Words as they are written; ``whole`` is what was cut off to make them fit."""

    text: str
    size_mm: float
    width_mm: float
    is_bold: bool = False
    whole: str | None = None

    @property
    def above_mm(self) -> float:
        """How far they stand above their base line."""
        return _ABOVE * self.size_mm


@cache
def _part(letter: str) -> float:
    """Return how wide a letter is, as a part of its height."""
    if letter.isascii():
        return _plain_part(letter)
    if letter in _BROAD:
        return _PARTS["broad"]
    if category(letter) in _MARKS:
        return 0.0
    if east_asian_width(letter) in "WF":
        return _FULL
    return _OTHER


def _plain_part(letter: str) -> float:
    if letter in _NARROW:
        return _PARTS["narrow"]
    if letter in _BROAD:
        return _PARTS["broad"]
    if letter.isdecimal():
        return _DIGIT
    return _PARTS["capital" if letter.isupper() else "small"]


def kept_apart(name: str) -> str:
    """Return a name as it stands among other words: one that is written from right to
    left does not turn these about.

    **Source** UAX #9, section 2.4: first strong isolate and its end.

    >>> kept_apart("Quay") == "Quay", len(kept_apart("\u05d0")) - len("\u05d0")
    (True, 2)
    """
    if name.isascii() or _TURNED.isdisjoint(map(bidirectional, name)):
        return name
    return f"\u2068{name}\u2069"


def width_mm(text: str, *, size_mm: float, is_bold: bool = False) -> float:
    """Return how wide a text is drawn, in mm of paper.

    >>> width_mm("loop", size_mm=3.0)
    5.76
    """
    parts = sum(map(_part, text))
    heavier = _BOLD if is_bold else 1.0
    return round(parts * size_mm * heavier, 3)


def words(text: str, *, size_mm: float, most_mm: float, is_bold: bool = False) -> Words:
    """Return a text as it is written in so much room: cut where it is longer."""
    whole_mm = width_mm(text, size_mm=size_mm, is_bold=is_bold)
    if whole_mm <= most_mm:
        return Words(
            text=text,
            size_mm=size_mm,
            width_mm=whole_mm,
            is_bold=is_bold,
        )
    cut = _cut(
        text,
        size_mm=size_mm,
        most_mm=most_mm,
        is_bold=is_bold,
    )
    cut_mm = width_mm(cut, size_mm=size_mm, is_bold=is_bold)
    return Words(
        text=cut, size_mm=size_mm, width_mm=cut_mm, is_bold=is_bold, whole=text
    )


def _cut(text: str, *, size_mm: float, most_mm: float, is_bold: bool) -> str:
    kept = ""
    for letter in text:
        longer = f"{kept}{letter}…"
        if kept and width_mm(longer, size_mm=size_mm, is_bold=is_bold) > most_mm:
            break
        kept += letter
    return f"{kept.rstrip()}…"


def wrapped(
    text: str,
    *,
    size_mm: float,
    most_mm: float,
    most_lines: int | None = None,
    is_bold: bool = False,
) -> list[Words]:
    """Return a text on as many lines as it takes, or on so many, the last one cut.

    A word that is longer than a line is cut.
    """
    lines = _lines(text, size_mm, most_mm, is_bold=is_bold)
    if most_lines is not None and len(lines) > most_lines:
        rest = " ".join(lines[most_lines - 1 :])
        lines = [*lines[: most_lines - 1], rest]
    return [
        words(
            line,
            size_mm=size_mm,
            most_mm=most_mm,
            is_bold=is_bold,
        )
        for line in lines
    ]


def _lines(text: str, size_mm: float, most_mm: float, *, is_bold: bool) -> list[str]:
    lines: list[str] = []
    here = ""
    for word in text.split():
        longer = f"{here} {word}".strip()
        if here and width_mm(longer, size_mm=size_mm, is_bold=is_bold) > most_mm:
            lines.append(here)
            here = word
        else:
            here = longer
    if here:
        return [*lines, here]
    return lines


def write(
    parent: ET.Element, left_mm: float, base_mm: float, one: Words, **more: str
) -> None:
    """Write words from a place on their base line, no wider than they say."""
    if not one.text:
        return
    style = {
        "x": f"{left_mm:.2f}",
        "y": f"{base_mm:.2f}",
        "font-size": f"{one.size_mm:g}",
        "textLength": f"{one.width_mm:.2f}",
        "lengthAdjust": "spacingAndGlyphs",
    }
    if one.is_bold:
        style["font-weight"] = "bold"
    for name, value in more.items():
        style[name.replace("_", "-")] = value
    element = ET.SubElement(parent, "text", style)
    element.text = one.text
    if one.whole is not None:
        # Inside a text, a title is what pointing at it shows.
        element.text = None
        title = ET.SubElement(element, "title")
        title.text = one.whole
        title.tail = one.text
