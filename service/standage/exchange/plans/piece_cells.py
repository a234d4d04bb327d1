"""Cells that only a sheet of track has: figures to their last digit, lists of them,
numbers of crossings, and straight for a radius.
"""

import re
from math import isfinite

import msgspec

from standage.exchange.cells import Cell
from standage.exchange.fields import Field
from standage.exchange.numbers import Trouble
from standage.exchange.readings import Around, Read, Taken
from standage.exchange.values import read_cell, said_plainly, shown_cell

_LONGEST = 400
_PLAINLY = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")
_APART = re.compile(r"[;\n]")
_NUMBER_OF = re.compile(r"(?:no\.?|number|#|1\s*in|1\s*:)\s*(?=\d)")
_STRAIGHT = frozenset({"straight", "infinite", "infinity", "∞"})


def as_figure(_field: Field, cell: Cell, around: Around) -> Read | None:
    """Read a bare figure in the service's own unit to its last digit."""
    value = _exact(shown_cell(cell), cell, around)
    if value is None:
        return None
    return Taken(value=value)


def as_radius(field: Field, cell: Cell, around: Around) -> Read | None:
    """Read a radius; straight track has none."""
    if said_plainly(shown_cell(cell)[:_LONGEST]) in _STRAIGHT:
        return Taken(value=None)
    return as_figure(field, cell, around)


def as_crossing_number(_field: Field, cell: Cell, around: Around) -> Read | None:
    """Read the number of a crossing: 6, No. 6, 1 in 6 or 1:6."""
    said = said_plainly(shown_cell(cell)[:_LONGEST])
    bare = _NUMBER_OF.sub("", said, count=1)
    value = _exact(bare, cell, around)
    if value is None:
        return None
    return Taken(value=value)


def as_figures(field: Field, cell: Cell, around: Around) -> Read | None:
    """Read several figures with semicolons between them."""
    text = shown_cell(cell)
    if len(text) > _LONGEST:
        return None
    single = msgspec.structs.replace(
        field,
        sort=_SINGLE[field.sort],
        reader=None,
    )
    values: list[float] = []
    for part in filter(str.strip, _APART.split(text)):
        value = _exact(part, cell, around)
        if value is None:
            read = read_cell(single, part, around)
            if isinstance(read, Trouble):
                return read
            value = read.value
        values.append(value)
    return Taken(value=values)


_SINGLE = {"lengths": "reach", "degrees": "degrees"}
"""As what each of several figures is read."""


def as_yes(field: Field, cell: Cell, _around: Around) -> Read | None:
    """Read yes or no."""
    said = said_plainly(shown_cell(cell)[:_LONGEST])
    if said not in field.words:
        return None
    return Taken(value=field.words[said] == "yes")


def _exact(text: str, cell: Cell, around: Around) -> float | None:
    """Return a bare figure as it stands, None where it is anything else."""
    if around.unit not in {None, "mm"}:
        return None
    # a number in a workbook has its point, whatever the texts beside it are written with
    if around.decimal == "comma" and isinstance(cell, str):
        return None
    plain = text.strip()
    if len(plain) > _LONGEST or _PLAINLY.fullmatch(plain) is None:
        return None
    value = float(plain)
    if isfinite(value):
        return value
    return None
