"""Figures as people type them into cells: points and commas, thousands, noughts and
units.
"""

import re
from fractions import Fraction
from typing import Literal
from unicodedata import normalize

import msgspec

Decimal = Literal["point", "comma", "either"]
"""What stands before the tenths in a file; where it may be either, what can be read in
two ways is a fault.
"""


class Trouble(msgspec.Struct, frozen=True, kw_only=True):
    """Why a cell cannot be taken, and how to mend it, where that does not hang on its
    column.
    """

    code: str
    message: str
    mend: str = ""


_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u202f"), " ")
_MARKS = str.maketrans({"−": "-", "–": "-", "‐": "-"})
_VULGAR = re.compile("[\u00bc-\u00be\u2150-\u215e\u2189]")
_NUMBER = re.compile(
    r"[+-]?(?:\d{1,30}(?:\.\d{0,30})?|\.\d{1,30})(?:[eE][+-]?\d{1,2})?"
)
_THOUSANDS = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")
_TWO_WAYS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_POINTS = re.compile(r"[+-]?[1-9]\d{0,2}\.\d{3}")
_MASS_PART = re.compile(r"(?P<figure>[\d.,/ ]*\d[.,]?)\s*(?P<unit>[a-z]+)\.?\s*")
_GRAMS = {
    **dict.fromkeys(("g", "gr", "gram", "grams", "gramme", "grammes"), Fraction(1)),
    **dict.fromkeys(
        ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"), Fraction(1000)
    ),
    **dict.fromkeys(("oz", "ozs", "ounce", "ounces"), Fraction("28.349523125")),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), Fraction("453.59237")),
}


def settled(text: str, decimal: Decimal) -> str:
    """Return ``text`` with plain spaces, dashes and fractions, and with a point before
    the tenths where that is known.

    >>> (
    ...     settled("1,234", "comma"),
    ...     settled("1,234", "point"),
    ...     settled("1,234", "either"),
    ...     settled("4½", "either"),
    ... )
    ('1.234', '1234', '1,234', '4 1/2')
    """
    spelled = _VULGAR.sub(
        lambda vulgar: " " + normalize("NFKC", vulgar.group()).replace("\u2044", "/"),
        text,
    )
    plain = spelled.translate(_SPACES).translate(_MARKS).strip()
    if decimal == "point":
        return re.sub(r"(?<=\d),(?=\d{3}(?!\d))", "", plain)
    if decimal == "comma" and "," in plain:
        return re.sub(r"(?<=\d)\.(?=\d{3}(?!\d))", "", plain).replace(",", ".")
    return plain


def number(text: str, decimal: Decimal) -> Fraction | Trouble:
    """Return the number that ``text`` is, exactly, or why it cannot be told.

    >>> number("163,8", "either") == Fraction("163.8")
    True
    """
    plain = _THOUSANDS.sub("", settled(text, decimal))
    if _TWO_WAYS.fullmatch(plain) or (decimal == "comma" and _POINTS.fullmatch(plain)):
        whole = plain.replace(",", "").replace(".", "")
        mend = (
            f"write it without the mark, such as {whole}, or with two places after it"
        )
        return Trouble(
            code="ambiguous",
            message="can be read with tenths or with thousands",
            mend=mend,
        )
    if plain.count(",") == 1 and "." not in plain:
        plain = plain.replace(",", ".")
    if not _NUMBER.fullmatch(plain):
        return Trouble(code="not_a_number", message="is not a number")
    return Fraction(plain)


def mass_g(text: str, *, unit: str, decimal: Decimal) -> Fraction | Trouble:
    """Return a mass in grams; ``unit`` is the column's, for a figure without one of its
    own.

    >>> float(mass_g("1 lb 4 oz", unit="g", decimal="either"))
    566.9904625
    """
    plain = settled(text, decimal).casefold()
    if not re.search(r"[a-z]{2}|[a-z]$", plain):
        return _bare_mass_g(
            plain,
            unit=unit,
            decimal=decimal,
        )
    total, at = Fraction(0), 0
    while at < len(plain):
        part = _MASS_PART.match(plain, at)
        if part is None or part["unit"] not in _GRAMS:
            return Trouble(code="not_a_mass", message="is not a mass")
        figure = _fraction(part["figure"].strip(), decimal)
        if isinstance(figure, Trouble):
            return figure
        total += figure * _GRAMS[part["unit"]]
        at = part.end()
    return total


def _bare_mass_g(plain: str, *, unit: str, decimal: Decimal) -> Fraction | Trouble:
    # grams are not weighed in fractions, so 3/4 is no mass there
    read = _fraction if unit in {"oz", "lb"} else number
    figure = read(plain, decimal)
    if isinstance(figure, Trouble):
        return figure
    return figure * _GRAMS[unit]


def _fraction(text: str, decimal: Decimal) -> Fraction | Trouble:
    mixed = re.fullmatch(r"(?:(\d{1,6}) )?(\d{1,4})/([1-9]\d{0,3})", text)
    if mixed is None:
        return number(text, decimal)
    whole, over, under = mixed.groups(default="0")
    return int(whole) + Fraction(int(over), int(under))
