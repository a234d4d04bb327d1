"""One cell into one value, or why not and how to mend it."""

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import msgspec

from standage.exchange.cells import Cell, Strange
from standage.exchange.fields import Field
from standage.exchange.numbers import Trouble, mass_g, number, settled
from standage.exchange.readings import Around, Read, Taken
from standage.exchange.unknown_figures import is_rough, nobody_knows
from standage.railway.slips.track import lengths_agree
from standage.railway.terms.figures import tidy
from standage.railway.terms.lengths import Unread, Written, in_great_units, read_length

_BARE = re.compile(r"[\d.,/ +-]*\d[.,]?")
_APART = re.compile(r"[;\n]|\s/\s|(?<=\d)\s+(?=[\d.])(?!\d+/\d)")
_LONGEST = 400
_DIAMETER = re.compile(
    r"\s*(?:⌀|ø|\bdia\b\.?|\bdiam\b\.?|\bdiameter\b)\s*", re.IGNORECASE
)
_THOUSANDS = re.compile(r"[1-9]\d{0,2}\.\d{3}(?![\d,])")
_OF_TEXT = frozenset({"text", "remark"})
_METRIC = frozenset({"mm", "cm", "m"})
_SAYS_BEST = frozenset({"ambiguous", "no_unit", "unknown_unit", "too_long"})
"""What is wrong with a length so that its reader knows better how to mend it than the
column does.
"""

_LEAST_PLAINLY_FULL_SIZE_MM = 2000
_STRANGE: dict[str, tuple[str, str]] = {
    "formula": (
        "is a formula, whose value is not taken",
        "type the value in, or paste it as a value only",
    ),
    "date": (
        "has been made a date by the spreadsheet",
        "format the cell as text, and type in again what was meant",
    ),
    "error": (
        "is an error of the spreadsheet",
        "put the formula behind it right and paste its value, or empty the cell",
    ),
    "truth": (
        "is a tick (true or false)",
        "write in words or figures what it stands for",
    ),
}


def read_cell(field: Field, cell: Cell, around: Around) -> Read:
    """Return what a cell that is not empty holds of ``field``."""
    if isinstance(cell, Strange):
        message, mend = _STRANGE[cell.what]
        return Trouble(
            code=f"is_a_{cell.what}",
            message=message,
            mend=mend,
        )
    own = None if field.reader is None else field.reader(field, cell, around)
    if own is not None:
        return own
    text = shown_cell(cell)
    if around.decimal == "comma" and isinstance(cell, float):
        around = msgspec.structs.replace(around, decimal="either")
    if field.sort not in _OF_TEXT and len(text) > _LONGEST:
        message = f"has {len(text)} characters, far more than what belongs here"
        return Trouble(
            code="too_long",
            message=message,
            mend="keep to that alone; the rest can stand in a column of notes",
        )
    return _read_text(field, text, around)


def _read_text(field: Field, text: str, around: Around) -> Read:
    read_as = _READERS[field.sort]
    if not field.is_figure:
        return read_as(field, text, around)
    if nobody_knows(text):
        words = "is taken to mean that nobody knows it: nothing is taken from this cell"
        return Taken(value=None, note=words)
    read = read_as(field, text, around)
    if isinstance(read, Trouble):
        return _mended(field, text, read)
    return read


def _mended(field: Field, text: str, trouble: Trouble) -> Trouble:
    """Return the trouble with a figure with how it is mended in that very column."""
    mend = trouble.mend or f"write it in figures, such as {field.such_as}"
    if not is_rough(text):
        return msgspec.structs.replace(trouble, mend=mend)
    mend = f"write the likeliest figure alone, such as {field.such_as}"
    if field.off_by:
        mend += f"; how far it may be off goes into a column of its own, {field.off_by}"
    else:
        mend += ", or leave the cell empty"
    return Trouble(
        code="rough",
        message="is a rough figure, and the answers need one that they can count on",
        mend=mend,
    )


def shown_cell(cell: Cell) -> str:
    """Return a cell as a person sees it; a number without needless noughts.

    >>> shown_cell(4472.0), shown_cell(163.8)
    ('4472', '163.8')
    """
    if isinstance(cell, Strange):
        return cell.shown
    if isinstance(cell, float):
        if cell.is_integer() and abs(cell) < 10**15:
            return str(int(cell))
        return repr(cell)
    return cell or ""


def _text(_field: Field, text: str, _around: Around) -> Read:
    return Taken(value=text.strip())


def _remark(_field: Field, text: str, _around: Around) -> Read:
    return Taken(value=text)


def _word(field: Field, text: str, _around: Around) -> Read:
    value = word_meant(field, text)
    if value is not None:
        return Taken(value=value)
    return no_such_word(field)


def said_plainly(text: str) -> str:
    """Return what a cell says in small letters, with single spaces."""
    spoken = text.casefold().replace("’", "'").replace("_", " ")
    return " ".join(spoken.split())


def word_meant(field: Field, text: str) -> str | None:
    """Return the choice that a cell names in words that are known; None where none
    is.
    """
    said = said_plainly(text)
    for form in (said, field.vocabulary.plain(said), said.replace("-", " ")):
        if form in field.words:
            return field.words[form]
    return None


def no_such_word(field: Field) -> Trouble:
    """Return that a cell holds none of the words for a choice."""
    choices = ", ".join(dict.fromkeys(field.words.values()))
    mend = (
        f"write one of {choices}; or leave the column out of the mapping, if it"
        " holds something else"
    )
    return Trouble(
        code="not_a_choice", message="is none of the words known here", mend=mend
    )


def _whole(_field: Field, text: str, around: Around) -> Read:
    figure = re.sub(
        r"(?i)^x\s*(?=\d)|(?<=\d)\s*(x|no\.?|off|pcs\.?|pieces|of)$", "", text.strip()
    )
    found = number(figure, around.decimal)
    if isinstance(found, Trouble) or found.denominator != 1:
        return Trouble(code="not_a_whole_number", message="is not a whole number")
    return Taken(value=int(found))


def _length(field: Field, text: str, around: Around) -> Read:
    """Return a length of the vehicle in the model's mm: what says full size, or can be
    nothing else, is scaled down.
    """
    found = _written(text, around)
    if isinstance(found, Trouble):
        return found
    said = _with_unit(text, around)
    full_size, note = found.full_size, None
    if not full_size and field.sort == "length" and in_great_units(said):
        if (
            re.search(r"\d\s*m(et(re|er)s?)?\b", said.casefold())
            and found.mm < _LEAST_PLAINLY_FULL_SIZE_MM
        ):
            message = "can be the model's own length or the full size's"
            return Trouble(
                code="ambiguous",
                message=message,
                mend="write it in mm, or say full size beside it",
            )
        full_size, note = (
            True,
            "is taken as the full size's length, since it is in feet, yards or metres",
        )
    if full_size and field.not_scaled:
        return Taken(value=None, note=field.not_scaled)
    if full_size and around.scale is None:
        mend = "map a column with the scale, or say one scale for all rows"
        return Trouble(
            code="no_scale",
            message="is full size, and the row says no scale",
            mend=mend,
        )
    length_mm = (
        found.mm / Fraction(str(around.scale.ratio))
        if full_size and around.scale
        else found.mm
    )
    if full_size and note is None:
        note = "is full size, scaled down"
    if found.also_mm is not None and not lengths_agree(
        float(found.mm), called_mm=float(found.also_mm)
    ):
        note = "says two lengths that do not agree: the first is taken"
    value = tidy(float(length_mm))
    return Taken(value=value, note=note and f"{note}: {value:g} mm")


def _radius(field: Field, text: str, around: Around) -> Read:
    """Return a radius; half of what says that it is a diameter."""
    bare = _DIAMETER.sub(" ", text).strip()
    found = _length(field, bare, around)
    if bare == text.strip() or isinstance(found, Trouble):
        return found
    radius_mm = tidy(found.value / 2)
    return Taken(
        value=radius_mm, note=f"is a diameter, of which half is taken: {radius_mm:g} mm"
    )


def _full_size(_field: Field, text: str, around: Around) -> Read:
    found = _written(text, msgspec.structs.replace(around, unit=around.unit or "m"))
    if isinstance(found, Trouble):
        return found
    return Taken(value=tidy(float(found.mm / 1000)))


def _with_unit(text: str, around: Around) -> str:
    """Return a length with its column's unit where it has none; nobody measures in
    fractions of a millimetre.
    """
    plainly = settled(text, around.decimal)
    unit = around.unit or "mm"
    if _BARE.fullmatch(plainly) is None:
        return plainly
    if "/" in plainly and unit in _METRIC:
        return plainly
    return f"{plainly} {unit}"


def _written(text: str, around: Around) -> Written | Trouble:
    if around.decimal == "comma" and _THOUSANDS.match(text.strip()):
        message = (
            "can be read with tenths or with thousands, as a comma stands before the"
            " tenths elsewhere"
        )
        return Trouble(
            code="ambiguous",
            message=message,
            mend="write it without the point, or with a comma",
        )
    found = read_length(_with_unit(text, around))
    if not isinstance(found, Unread):
        return found
    own = found.mend if found.code in _SAYS_BEST else ""
    return Trouble(code=found.code, message=found.what, mend=own[:1].lower() + own[1:])


def _reach(field: Field, text: str, around: Around) -> Read:
    """Return a length that may be less than nothing: behind the buffers."""
    plainly = settled(text, around.decimal)
    if not plainly.startswith("-"):
        return _length(field, text, around)
    found = _length(field, plainly[1:], around)
    if isinstance(found, Trouble):
        return found
    return Taken(value=-found.value + 0.0, note=found.note)


def _lengths(field: Field, text: str, around: Around) -> Read:
    values: list[Any] = []
    wrong: Trouble | None = None
    for part in _APART.split(text):
        if not part.strip():
            continue
        found = _length(field, part, around)
        if isinstance(found, Taken):
            values.append(found.value)
        else:
            wrong = wrong or found
    return wrong or Taken(value=values)


def _mass(_field: Field, text: str, around: Around) -> Read:
    unit = around.unit or "g"
    return _taken(
        mass_g(
            text,
            unit=unit,
            decimal=around.decimal,
        )
    )


def _taken(found: Fraction | Trouble) -> Read:
    if isinstance(found, Trouble):
        return found
    return Taken(value=tidy(float(found)))


def _degrees(_field: Field, text: str, around: Around) -> Read:
    figure = re.sub(r"\s*(°|deg(rees)?)$", "", text.strip())
    return _taken(number(figure, around.decimal))


_READERS: dict[str, Callable[[Field, str, Around], Read]] = {
    "text": _text,
    "remark": _remark,
    "word": _word,
    "whole": _whole,
    "length": _length,
    "track_length": _length,
    "radius": _radius,
    "reach": _reach,
    "full_size": _full_size,
    "mass": _mass,
    "degrees": _degrees,
    "lengths": _lengths,
}
