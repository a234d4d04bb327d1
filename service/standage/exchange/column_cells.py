"""What a column holds by its cells, where its head alone would mislead."""

from collections.abc import Sequence

import msgspec

from standage.exchange.cells import Cell, Strange
from standage.exchange.fields import Field, Unit
from standage.exchange.numbers import Decimal, Trouble
from standage.exchange.readings import Around
from standage.exchange.unknown_figures import nobody_knows
from standage.exchange.values import read_cell, shown_cell
from standage.railway.terms.scales import Scale

LOOKED_AT = 200
FEWEST = 3
"""From fewer cells nothing is concluded: a single slip would take a column away."""

_OTHERWISE = frozenset(
    {"not_a_choice", "not_a_length", "not_a_mass", "not_a_number", "not_a_whole_number"}
)
_NOUNS = {"word": "words known here", "mass": "masses", "degrees": "angles"}


class Held(msgspec.Struct, frozen=True, kw_only=True):
    """What a column holds, None where its cells are nothing of the sort, and what is
    said of it in one sentence.
    """

    field: str | None
    unit: Unit | None = None
    remark: str = ""


class Sheetwide(msgspec.Struct, frozen=True, kw_only=True):
    """What holds for all columns: the mark before the tenths, the club's scale, and
    what other heads name already.
    """

    decimal: Decimal
    scale: Scale | None
    named: frozenset[str]


def telling(cells: Sequence[Cell]) -> list[Cell]:
    """Return the cells from which something can be told."""
    return [cell for cell in cells if _tells(cell)]


def _tells(cell: Cell) -> bool:
    if isinstance(cell, Strange):
        return False
    return not nobody_knows(shown_cell(cell))


def if_of_the_sort(
    field: Field,
    unit: Unit | None,
    cells: Sequence[Cell],
    sheet: Sheetwide,
    *,
    fewest: int = FEWEST,
) -> Held:
    """Return a column as it is headed, unless most of its cells are nothing of the
    sort.
    """
    as_headed = Held(field=field.name, unit=unit)
    if field.sort in {"text", "remark"} or field.is_needed:
        return as_headed
    around = Around(
        unit=unit,
        decimal=sheet.decimal,
        scale=sheet.scale,
    )
    otherwise = [
        cell for cell in cells if _is_otherwise(read_cell(field, cell, around))
    ]
    if len(cells) < fewest or len(otherwise) * 2 <= len(cells):
        return as_headed
    noun = _NOUNS.get(field.sort, "lengths")
    samples = [f"“{shown_cell(cell)[:20]}”" for cell in otherwise[:FEWEST]]
    seen = ", ".join(dict.fromkeys(samples))
    remark = f"is left out: most of its cells are no {noun}, such as {seen}"
    return Held(field=None, remark=remark)


def _is_otherwise(read: object) -> bool:
    if not isinstance(read, Trouble):
        return False
    return read.code in _OTHERWISE
