"""Names that differ and look the same: letters of another alphabet, 1 and l and I, 0
and O, rn and m.

Case aside, as names are compared: “COAL” is the name “coal”, so whatever looks like the
one looks like the other.

**Source** Unicode Technical Standard #39, confusables.txt: a small part of it, for the
alphabets that people have beside the Latin one on their keyboards. The values are from
memory, and agree with the skeletons that ICU 72 makes of them. What is spelt in full
width or in mathematical letters is read by NFKC (Unicode Standard Annex #15).
"""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from standage.shapes.remembering import remembered

_WRITTEN_ALIKE: Mapping[str, str] = {
    "A": "АΑ",
    "B": "ВΒ",
    "C": "СϹ",
    "E": "ЕΕ",
    "G": "Ԍ",
    "H": "НΗ",
    "I": "ІΙӀ",
    "J": "ЈͿ",
    "K": "КΚ",
    "M": "МΜϺ",
    "N": "Ν",
    "O": "ОΟՕ",
    "P": "РΡ",
    "S": "ЅՏ",
    "T": "ТΤ",
    "V": "Ѵ",
    "W": "Ԝ",
    "X": "ХΧ",
    "Y": "УΥҮ",
    "Z": "Ζ",
    "a": "аαɑ",
    "b": "Ь",
    "c": "сϲ",
    "d": "ԁ",
    "e": "еҽ",
    "g": "ɡ",
    "h": "һհ",
    "i": "іιı",
    "j": "јϳ",
    "n": "ո",
    "o": "оοօσ",
    "p": "рρ",
    "q": "ԛ",
    "r": "г",
    "s": "ѕ",
    "u": "υս",
    "v": "νѵ",
    "w": "ԝ",
    "x": "х×",
    "y": "уγү",
    "-": "‐‑‒–−˗",
    "'": "’‘ʼ′`´ʹ",
    "3": "З",
    "6": "б",
    "/": "⁄∕",
    ":": "∶",
    ",": "‚",
}
_FIGURES_ALIKE: Mapping[str, str] = {"1": "Il|", "O": "0"}
"""Capitals and figures as they stand: an i has its dot, and a capital L its foot. A
nought is an o of either case.
"""
_FORMS = ((0xFF01, 0xFF5E), (0x2100, 0x217F), (0x1D400, 0x1D7FF))
"""Full width; letters as signs and Roman numerals; mathematical letters. Raised and
lowered figures look otherwise.
"""
FORMS_AS_RANGES = "".join(f"{chr(first)}-{chr(last)}" for first, last in _FORMS)
"""The same as what may stand between the brackets of a pattern."""
_WITH_A_FORM = re.compile(f"[{FORMS_AS_RANGES}]")
_OTHER_ALPHABETS = frozenset({"CYRILLIC", "GREEK", "ARMENIAN"})
_PLAIN = str.maketrans(
    {other: plain for plain, others in _WRITTEN_ALIKE.items() for other in others}
)
_AS_FIGURES = str.maketrans(
    {other: figure for figure, others in _FIGURES_ALIKE.items() for other in others}
)
_IN_UNITS = re.compile("rn|.", re.DOTALL)


class Shape(NamedTuple):
    """What a name looks like: two names of which either part is the same look alike."""

    as_written: str
    """With the figures that look like letters as one, and rn as m."""
    in_one_alphabet: str
    """With every letter of another alphabet as the Latin one; figures stay figures."""


def shape(name: str) -> Shape:
    """Return what a name looks like, letter case and spacing aside. **Source** Unicode,
    as named at the top of this file.

    >>> shape("Wagon 1").as_written == shape("Wagon I").as_written
    True
    >>> shape("Wagon 10").as_written == shape("Wagon 11").as_written
    False
    """
    spaced = " ".join(name.split())
    whole = spaced if spaced.isascii() else unicodedata.normalize("NFD", spaced)
    return Shape(
        _with_figures(_plain(whole.replace("rn", "m"))), _plain(whole).casefold()
    )


def look_alike(name: str, other: str) -> bool:
    """Tell whether two names look the same; those that differ by letter case or spacing
    alone do. **Source** Unicode, as named at the top of this file.

    >>> look_alike("Coal 1", "Соаl 1"), look_alike("Barn", "Bam"), look_alike("Wagon i", "Wagon 1")
    (True, True, False)
    """
    return any(one == two for one, two in zip(shape(name), shape(other), strict=True))


def what_looks_alike(name: str, other: str) -> str:
    """Return in plain words by what two names that look alike differ. **Source**
    derived.

    >>> what_looks_alike("Wagon I", "Wagon 1")
    '“I” and “1” look the same'
    >>> what_looks_alike("Соаl 1", "Coal 1")
    'one is written with letters of another alphabet (Cyrillic)'
    """
    units = [
        _IN_UNITS.findall(unicodedata.normalize("NFD", one)) for one in (name, other)
    ]
    pairs = [
        (one, two)
        for one, two in zip(*units, strict=False)
        if one.casefold() != two.casefold()
    ]
    alphabets = {_alphabet(unit) for pair in pairs for unit in pair}
    if foreign := sorted(alphabets & _OTHER_ALPHABETS):
        named = " and ".join(alphabet.capitalize() for alphabet in foreign)
        return f"one is written with letters of another alphabet ({named})"
    if not pairs:
        return "they differ by characters that look the same"
    one, two = pairs[0]
    return f"“{one}” and “{two}” look the same"


def warning(name: str, other: str, *, where: str) -> str:
    """Return the warning that a name looks like another, which is borne by a record
    ``where`` the words say. **Source** derived.

    >>> said = warning("Barn", "Bam", where="which is another place here")
    >>> print(said.split(": ")[1])
    “rn” and “m” look the same; check that you mean two
    """
    return (
        f"the name “{name}” looks like “{other}”, {where}:"
        f" {what_looks_alike(name, other)}; check that you mean two"
    )


@remembered()
def plain_letter(letter: str) -> str:
    """Return the small Latin letter that a character looks like, its accents left out;
    itself where it is like none. **Source** Unicode, as named at the top of this file.

    >>> plain_letter("М"), plain_letter("ж")
    ('m', 'ж')
    """
    return _plain(unicodedata.normalize("NFD", letter)[0]).casefold()


@remembered()
def spelt_like(letter: str) -> str:
    """Return the characters that may stand for ``letter`` in a name that looks alike,
    letter case aside, it included.

    They are more than look like it: whatever looks like something that looks like it in
    either case is among them. **Source** Unicode, as named at the top of this file.
    """
    base = plain_letter(letter)
    marks = unicodedata.normalize("NFD", letter)[1:]
    alike = {letter}
    for one in _FAMILIES.get(base, (base,)):
        composed = unicodedata.normalize("NFC", one + marks)
        # with marks that it never bears, it is several characters
        if len(composed) == 1:
            alike.add(composed)
    return "".join(sorted(alike))


def _with_figures(text: str) -> str:
    return text.translate(_AS_FIGURES).casefold()


def _plain(text: str) -> str:
    if not text.isascii():
        text = _WITH_A_FORM.sub(lambda found: _without_form(found[0]), text)
    return text.translate(_PLAIN)


@remembered()
def _without_form(letter: str) -> str:
    """Return the plain letter; a sign that stands for several stays as it is."""
    plain = unicodedata.normalize("NFKC", letter)
    if len(plain) == 1:
        return plain
    return letter


def _alphabet(unit: str) -> str:
    return unicodedata.name(unit[0], "").partition(" ")[0]


def _families() -> dict[str, Sequence[str]]:
    """Return each letter with all that look like it or like one another, in small
    letters.
    """
    families: dict[str, set[str]] = {}
    groups = [
        plain + others
        for table in (_WRITTEN_ALIKE, _FIGURES_ALIKE)
        for plain, others in table.items()
    ]
    for group in groups:
        letters = set(group.casefold())
        merged = letters.union(*(families.get(letter, set()) for letter in letters))
        families |= dict.fromkeys(merged, merged)
    return {letter: sorted(family) for letter, family in families.items()}


_FAMILIES = _families()
