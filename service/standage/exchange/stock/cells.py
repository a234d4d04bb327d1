"""Cells that only a list of stock has: kinds of vehicles, scales and gauges, numbers."""

import re

from standage.exchange.cells import Cell
from standage.exchange.fields import Field
from standage.exchange.numbers import Trouble
from standage.exchange.readings import Around, Read, Taken
from standage.exchange.stock.scale_cells import gauge_mm_named, read_scale
from standage.exchange.values import (
    no_such_word,
    said_plainly,
    shown_cell,
    word_meant,
)

_LONGEST = 400
_MOST_WORDS = 4
_AXLES = r"\d?(?:a1a|bo|co|do|[bcd])\d?"
_WHEELS = re.compile(
    r"(?:\d{1,2}(?:[-+]\d{1,2}){2,5}"
    rf" ?(?:t|st|pt|wt|tank|tender)?|{_AXLES}(?:[-+' ]+{_AXLES}){{1,3}}'?)"
    r"(?: .*(?:loco|engine|tank|diesel|electric))?"
)
"""Wheels as a locomotive's are counted: 0-6-0T, 2-8-0, Bo-Bo, C-C."""

_EITHER_CAR = Trouble(
    code="ambiguous",
    message="can be a coach or a freight wagon, as cars are both",
    mend="write passenger car or freight car",
)
_NOUGHT = Trouble(
    code="ambiguous",
    message="can be 0 or 00, since the spreadsheet has made a number of what was typed",
    mend=(
        "write 4 mm or OO for 00 and 0 scale for 0, or leave the column out and say one"
        " scale for all rows"
    ),
)
_POWER = re.compile(r"\d(?:[.,]\d+)?[eE]\+\d{1,3}")
"""What spreadsheets make of a number of twelve figures and more; its last figures are
gone.
"""


def as_code(_field: Field, cell: Cell, _around: Around) -> Read | None:
    """Read a number that names a vehicle."""
    if _POWER.fullmatch(shown_cell(cell).strip()) is None:
        return None
    message = (
        "has been made a power of ten by the spreadsheet, and its last figures are gone"
    )
    mend = "format the column as text, and type the number in again"
    return Trouble(code="is_a_power_of_ten", message=message, mend=mend)


def as_scale(_field: Field, cell: Cell, _around: Around) -> Read | None:
    """Read a scale by its name or its ratio."""
    if isinstance(cell, float) and cell == 0:
        return _NOUGHT
    text = shown_cell(cell)
    if len(text) > _LONGEST:
        return None
    found = read_scale(text)
    return found if isinstance(found, Trouble) else Taken(value=found)


def as_gauge(_field: Field, cell: Cell, around: Around) -> Read | None:
    """Read a gauge that a scale's name stands for."""
    if isinstance(cell, float) and cell == 0:
        return _NOUGHT
    text = shown_cell(cell)
    if len(text) > _LONGEST:
        return None
    gauge_mm = gauge_mm_named(text)
    return None if gauge_mm is None else _gauge_of(text, gauge_mm, around)


def _gauge_of(text: str, gauge_mm: float, around: Around) -> Taken:
    """Return the gauge that the name of a scale means; told unless it is the scale's
    own.
    """
    if around.scale is not None and around.scale.gauge_mm == gauge_mm:
        return Taken(value=gauge_mm)
    words = f"is taken as the gauge of {text.strip()}: {gauge_mm:g} mm"
    return Taken(value=gauge_mm, note=words)


def as_kind(field: Field, cell: Cell, _around: Around) -> Read | None:
    """Read a kind of vehicle by its words, or by a description of one."""
    text = shown_cell(cell)
    if len(text) > _LONGEST:
        return None
    said = said_plainly(text)
    if said in {"car", "cars"}:
        return _EITHER_CAR
    value = word_meant(field, text)
    if value is not None:
        return Taken(value=value)
    value = _described_kind(field, said)
    if value is not None:
        return Taken(value=value, note=f"is taken as {value}")
    if said.endswith((" car", " cars")):
        return _EITHER_CAR
    return no_such_word(field)


def _described_kind(field: Field, said: str) -> str | None:
    """Return the kind that a description means; only engines are told by how their
    wheels are arranged.
    """
    if _WHEELS.fullmatch(said):
        return "engine"
    return _last_words(field, said)


def _last_words(field: Field, said: str) -> str | None:
    """Return what the last words of a description say, as a noun stands at its end: a
    four-wheeled coal wagon.
    """
    before = re.split(r"[,(:;]| with ", said, maxsplit=1)[0]
    noun = before.replace("-", " ").split()[-_MOST_WORDS:]
    # the longest end first: a brake van is no van
    for start in range(len(noun)):
        end = " ".join(noun[start:])
        if end in field.words:
            return field.words[end]
    return None
