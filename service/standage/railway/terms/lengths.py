"""Lengths as people write them, read exactly.

Feet and inches with their words or marks, vulgar fractions, metric units, a decimal
point or comma. What can be read in two ways is not read at all: the reader says why,
and how to write it.
"""

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Literal
from unicodedata import normalize

import msgspec

from standage.railway.terms.figures import LONGEST_MM

MOST_CHARACTERS = 60
UNITS = "mm, cm, m, in, ft or yd"
_EXAMPLES = "write it like 4 ft 6 in, 3/4 in, 26.4 m or 163.8"
_LONGEST_BARE_INCHES = len("11")

UnreadCode = Literal[
    "empty",
    "negative",
    "ambiguous",
    "no_unit",
    "unknown_unit",
    "not_a_length",
    "no_scale",
    "too_long",
]


class Written(msgspec.Struct, frozen=True, kw_only=True):
    """A length as it was understood: exact, in millimetres of whatever it is a length
    of.
    """

    mm: Fraction
    full_size: bool = False
    unit_said: bool = True
    also_mm: Fraction | None = None
    """The same length written a second time, as in "2000 mm (7 ft)"; it need not
    agree.
    """


class Unread(msgspec.Struct, frozen=True, kw_only=True):
    """Why a text cannot be read as a length, and how to mend that, in plain words."""

    code: UnreadCode
    what: str
    mend: str = ""

    @property
    def message(self) -> str:
        """Both together."""
        if not self.mend:
            return self.what
        joined = " " if self.what.endswith("?") else ": "
        return f"{self.what}{joined}{self.mend}"


class _Unit(msgspec.Struct, frozen=True):
    name: str
    mm: Fraction
    imperial: bool = False


class _Part(msgspec.Struct, frozen=True):
    """One figure with its unit, as far as it has one; ``shown`` is how it was
    written.
    """

    value: Fraction
    unit: _Unit | None
    shown: str
    broken: bool


_MM, _CM, _M = (
    _Unit("mm", Fraction(1)),
    _Unit("cm", Fraction(10)),
    _Unit("m", Fraction(1000)),
)
_IN = _Unit("in", Fraction("25.4"), imperial=True)
_FT = _Unit("ft", Fraction("304.8"), imperial=True)
_YD = _Unit("yd", Fraction("914.4"), imperial=True)
_WORDS = {
    word: unit
    for unit, words in (
        (_MM, "mm mms millimetre millimetres millimeter millimeters"),
        (_CM, "cm cms centimetre centimetres centimeter centimeters"),
        (_M, "m metre metres meter meters"),
        (_IN, 'in ins inch inches "'),
        (_FT, "ft foot feet '"),
        (_YD, "yd yds yard yards"),
    )
    for word in words.split()
}
_MARKS = str.maketrans(
    {
        mark: plain
        for plain, marks in (("'", "′’‘´`ʹ"), ('"', "″”“ʺ"), ("-", "−–‐‑"), ("/", "⁄∕"))
        for mark in marks
    }
)
_VULGAR = re.compile("[\u00bc-\u00be\u2150-\u215e\u2189]")
_FULL_SIZE = re.compile(
    r"\(?\b(?:full[ -]?sized?|prototype)\b\)?|\bscale"
    r" (?=(?:ft|foot|feet|yds?|yards?|m|metres?)\b)"
)
_LEFT_OVER = re.compile(r"(?<=[a-z'\"]) in$")
"""The "in" of "26.4 m in full size", which is no inch."""
_TWICE = re.compile(r"(?P<first>.+?) ?(?:\(|=| called | or ) ?(?P<second>[^()=]+)\)?")
_FIGURE = r"\d{1,3}(?:[ ]\d{3})+(?:[.,]\d+)?(?![\d/])|\.?\d[\d.,]*"
_PART = re.compile(
    rf"""(?:(?:(?P<whole>\d+)[ -])?(?P<top>\d+)/(?P<bottom>\d+)|(?P<figure>{_FIGURE}))
         [ ]?(?P<unit>[^\W\d_]+|['"])?\.?""",
    re.VERBOSE | re.ASCII,
)
_MAY_BE_EITHER = re.compile(r"[1-9]\d{0,2},\d{3}")
"""A comma before three figures: decimal, or between thousands."""
_FORMS = (
    (re.compile(r"\d*\.?\d+"), " ", "."),
    (re.compile(r"\d+,\d+"), " ", ","),
    (re.compile(r"[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?"), ",", "."),
    (re.compile(r"[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?"), ".", ","),
)
"""How a number is written, the first that fits: what stands between its thousands, and
before its decimals.
"""
_BETWEEN = re.compile(r" ?[-,]? ?(?=[\d.])| $")
_NAMED = re.compile(
    r"(?<![\w.,/])(?:(?:(?:\d+[ -])?\d+/\d+|\.?\d[\d.,]*)"
    rf" ?(?:{'|'.join(sorted(_WORDS, key=len, reverse=True))})"
    r"(?![a-z])[ -]{0,3})+"
)


def read_length(text: str) -> Written | Unread:
    """Return the length that ``text`` means, exactly, or why it cannot be told.

    A lone figure without a unit is millimetres. "full size" beside it says that it is
    the full-size vehicle's. A second length, in brackets or after "=", "or" or
    "called", is read too. A point that stands alone is always a decimal point; a comma
    before exactly three figures may be either and is refused, unless the second length
    settles it. **Source** common practice.

    >>> read_length("4 ft 6 in").mm == Fraction("1371.6")
    True
    >>> read_length("1,234").code
    'ambiguous'
    """
    if len(text) > MOST_CHARACTERS:
        what = f"is longer than {MOST_CHARACTERS} characters"
        return Unread(
            code="not_a_length",
            what=what,
            mend="write one length only",
        )
    plain = _plain(text)
    bare = _LEFT_OVER.sub("", " ".join(_FULL_SIZE.sub(" ", plain).split()))
    twice = _TWICE.fullmatch(bare)
    found = (
        _read_once(bare)
        if twice is None
        else _read_twice(twice["first"], twice["second"].strip())
    )
    if isinstance(found, Unread):
        return found
    return msgspec.structs.replace(found, full_size=bare != plain)


def in_great_units(text: str) -> bool:
    """Tell whether a length begins in feet, yards or metres, as the full size is
    measured. **Source** common practice.
    """
    first = _PART.search(_plain(text))
    if first is None:
        return False
    unit = _WORDS.get(first["unit"] or "")
    return unit in {_FT, _YD, _M}


def model_mm(written: Written, *, ratio: float | None) -> Fraction | Unread:
    """Return the length in the model's millimetres: scaled down by ``ratio`` if it is
    full size, else as it stands.

    Refused where it is full size and there is no ratio, and beyond a kilometre of
    model. **Source** derived.
    """
    if written.full_size and ratio is None:
        return Unread(
            code="no_scale", what="is full size", mend="say in which scale the model is"
        )
    length_mm = written.mm
    if written.full_size and ratio is not None:
        length_mm /= Fraction(str(ratio))
    if length_mm > Fraction(LONGEST_MM):
        return Unread(
            code="too_long",
            what="is more than a kilometre of model: longer than any hall",
        )
    return length_mm


def feet_and_inches(length_mm: float | Fraction) -> str:
    """Return a length of 0 mm or more in feet, inches and the nearest 64th of an inch,
    as a ruler has them. **Source** a ruler, and 25.4 mm to the inch, exactly.

    >>> feet_and_inches(1371.6)
    '4 ft 6 in'
    >>> feet_and_inches(46.0375)
    '1 13/16 in'
    """
    inches = Fraction(length_mm) / _IN.mm
    sixty_fourths = round(inches * 64)
    feet, rest = divmod(sixty_fourths, 12 * 64)
    whole, part = divmod(rest, 64)
    words: list[str] = []
    if feet:
        words.append(f"{feet} ft")
    if whole:
        words.append(f"{whole}")
    if part:
        words.append(f"{Fraction(part, 64)}")
    if rest or not feet:
        words.append("in" if rest else "0 in")
    return " ".join(words)


def lengths_named_in(text: str) -> Iterator[Fraction]:
    """Yield every length with a unit that a name or a remark mentions, in mm: 2133.6
    for "the 7 ft road". **Source** common practice.
    """
    plain = _plain(text)
    for match in _NAMED.finditer(plain):
        written = match.group().strip(" -")
        found = _read_once(written)
        if isinstance(found, Written):
            yield found.mm


def _plain(text: str) -> str:
    """Return the text in small letters, with typewriter marks, plain fractions and
    single spaces.
    """
    spelled = _VULGAR.sub(_spelled, text)
    marked = spelled.translate(_MARKS)
    in_inches = marked.replace("''", '"')
    words = in_inches.casefold().split()
    return " ".join(words)


def _spelled(vulgar: re.Match[str]) -> str:
    """Return a fraction of one character as one of several."""
    return " " + normalize("NFKC", vulgar.group())


def _read_twice(first: str, second: str) -> Written | Unread:
    also = _read_once(second)
    if isinstance(also, Unread):
        return also
    found = _read_once(first)
    if isinstance(found, Unread) and found.code == "ambiguous":
        found = _settled_by(also, first) or found
    if isinstance(found, Unread):
        return found
    return msgspec.structs.replace(found, also_mm=also.mm)


def _settled_by(also: Written, first: str) -> Written | None:
    """Return the reading of a comma that comes near to the same length written a second
    time: from four fifths of it to seven fifths.
    """
    for decimal in ("", "."):
        reading = _read_once(first.replace(",", decimal))
        if isinstance(reading, Unread):
            continue
        if 4 * also.mm <= 5 * reading.mm <= 7 * also.mm:
            return reading
    return None


def _read_once(text: str) -> Written | Unread:
    if not text:
        return Unread(
            code="empty",
            what="is empty",
            mend="write a length, such as 4 ft 6 in or 163.8",
        )
    if text.startswith("-"):
        return Unread(
            code="negative", what="is less than nothing", mend="a length is 0 or more"
        )
    parts = _parts(text)
    if isinstance(parts, Unread):
        return parts
    return _sum(parts)


def _parts(text: str) -> list[_Part] | Unread:
    parts: list[_Part] = []
    at = 0
    while at < len(text):
        match = _PART.match(text, at)
        if match is None:
            what = (
                f"cannot be read from {text[at:].strip()!r} on"
                if at
                else "cannot be read as a length"
            )
            return Unread(code="not_a_length", what=what, mend=_EXAMPLES)
        part = _part(match)
        if isinstance(part, Unread):
            return part
        parts.append(part)
        at = match.end()
        between = _BETWEEN.match(text, at)
        at = at if between is None else between.end()
    return parts


def _part(match: re.Match[str]) -> _Part | Unread:
    word = match["unit"]
    if word is not None and word not in _WORDS:
        return Unread(
            code="unknown_unit",
            what=f"{word!r} is no unit that is read here",
            mend=f"use {UNITS}",
        )
    figure = match["figure"]
    value = _mixed(match) if figure is None else _figure(figure)
    if isinstance(value, Unread):
        return value
    unit = None if word is None else _WORDS[word]
    is_whole = value.denominator == 1
    broken = figure is None or not is_whole
    shown = match.group().strip()
    return _Part(value, unit, shown, broken)


def _mixed(match: re.Match[str]) -> Fraction | Unread:
    whole, top, bottom = (
        int(match["whole"] or 0),
        int(match["top"]),
        int(match["bottom"]),
    )
    shown = f"{top}/{bottom}"
    if bottom == 0:
        return Unread(code="not_a_length", what=f"{shown} divides by nothing")
    if match["whole"] is not None and top >= bottom:
        return Unread(
            code="ambiguous",
            what=f"{shown} after {whole} is a whole or more",
            mend="write it as one number",
        )
    return whole + Fraction(top, bottom)


def _figure(written: str) -> Fraction | Unread:
    figure = written.replace(" ", "").rstrip(".")
    if _MAY_BE_EITHER.fullmatch(figure):
        whole, point = figure.replace(",", ""), figure.replace(",", ".")
        what = f"{figure} can be read as {whole} or as {point}"
        return Unread(
            code="ambiguous",
            what=what,
            mend="write it without comma",
        )
    for form, thousands, decimal in _FORMS:
        if form.fullmatch(figure):
            together = figure.replace(thousands, "")
            return Fraction(together.replace(decimal, "."))
    return Unread(
        code="not_a_length",
        what=f"{figure} is not a number",
        mend=_EXAMPLES,
    )


def _sum(parts: list[_Part]) -> Written | Unread:
    """Return the parts together: units fall from the greater to the less, and only the
    last may have a fraction.
    """
    if len(parts) == 1 and parts[0].unit is None:
        if "/" in parts[0].shown:
            return Unread(
                code="no_unit",
                what=f"{parts[0].shown} of what?",
                mend=f"Say the unit: {UNITS}",
            )
        return Written(mm=parts[0].value, unit_said=False)
    total = Fraction(0)
    before: _Part | None = None
    for bare in parts:
        part = _with_unit(bare, before)
        if isinstance(part, Unread):
            return part
        if before is not None and (fault := _out_of_place(before, part)) is not None:
            return fault
        total += _mm(part)
        before = part
    return Written(mm=total)


def _mm(part: _Part) -> Fraction:
    unit = part.unit or _MM
    return part.value * unit.mm


def _with_unit(part: _Part, before: _Part | None) -> _Part | Unread:
    """Return the part with its unit; a short bare figure after feet is inches, as in 5'
    6.
    """
    if part.unit is not None:
        return part
    if (
        before is not None
        and before.unit is _FT
        and len(part.shown.split()[0]) <= _LONGEST_BARE_INCHES
    ):
        return msgspec.structs.replace(part, unit=_IN)
    return Unread(
        code="no_unit", what=f"{part.shown} of what?", mend=f"Say the unit: {UNITS}"
    )


def _out_of_place(before: _Part, part: _Part) -> Unread | None:
    """Return why ``part`` may not follow ``before``: units mixed or out of order, a
    fraction too early, too much.
    """
    greater, less = before.unit or _MM, part.unit or _MM
    if greater.imperial != less.imperial:
        return Unread(
            code="ambiguous",
            what=f"mixes {greater.name} and {less.name}",
            mend="keep to one sort of unit",
        )
    if less.mm >= greater.mm:
        return Unread(
            code="ambiguous",
            what=f"{less.name} come before {greater.name}, not after",
            mend=_EXAMPLES,
        )
    if before.broken:
        return Unread(
            code="ambiguous",
            what=f"{before.shown} has a fraction already, yet {part.shown} follows",
        )
    if _mm(part) >= greater.mm:
        what = f"{part.shown} is a whole {greater.name} or more"
        return Unread(code="ambiguous", what=what, mend="was something else meant?")
    return None
