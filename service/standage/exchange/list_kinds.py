"""What is known of one kind of list: its columns, by what it is told from other sheets,
and its words.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from standage.exchange.cells import Cell
from standage.exchange.column_cells import Held, Sheetwide, if_of_the_sort, telling
from standage.exchange.fields import Field, Fields, Unit
from standage.railway.terms.scales import ScaleName


class _Holding(Protocol):
    """Tells what a column holds by its cells."""

    def __call__(
        self,
        field: Field,
        unit: Unit | None,
        cells: Sequence[Cell],
        sheet: Sheetwide,
        /,
        *,
        head: str,
    ) -> Held: ...


def _as_headed(
    field: Field,
    unit: Unit | None,
    cells: Sequence[Cell],
    sheet: Sheetwide,
    /,
    *,
    head: str,  # noqa: ARG001 - others go by it
) -> Held:
    return if_of_the_sort(
        field,
        unit,
        telling(cells),
        sheet,
    )


def _no_scales(_field: Field, _cells: Sequence[Cell]) -> tuple[ScaleName, ...]:
    return ()


@dataclass(frozen=True, kw_only=True)
class ListKind:
    """One kind of list: a row is ``one`` of its things."""

    one: str
    totalled: str
    """What a line of totals may count, as alternatives of a regular expression."""
    fields: Fields
    naming: frozenset[str]
    """The fields by which a thing is named."""
    held: _Holding = _as_headed
    """Returns what a column holds by its cells."""
    scales_named: Callable[[Field, Sequence[Cell]], Iterable[ScaleName]] = _no_scales
    """Returns the scales that a column names."""
