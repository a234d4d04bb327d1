"""What the columns of a list of stock hold, and what holds for all its rows."""

from collections.abc import Iterable
from typing import Annotated

import msgspec

from standage.exchange.cells import MOST_COLUMNS
from standage.exchange.headings import SheetColumn, SheetMapping, of_unit
from standage.exchange.stock.fields import FIELDS, FieldName
from standage.railway.stock.vehicles import LengthFrom, LengthOver, VehicleKind
from standage.railway.terms.figures import IdOrName, says
from standage.railway.terms.scales import Practice, ScaleName
from standage.shapes.faults import Fault


class ColumnUse(SheetColumn, frozen=True, kw_only=True):
    """That a column holds one field of the vehicles."""

    field: Annotated[FieldName, says("What it holds.")]

    def rules(self) -> Iterable[Fault]:
        """The unit is one of the field's."""
        return of_unit(self, FIELDS)


class Mapping(SheetMapping, frozen=True, kw_only=True):
    """What the columns of a sheet hold, and what holds for all rows that do not say it
    themselves.
    """

    columns: Annotated[
        tuple[ColumnUse, ...],
        msgspec.Meta(max_length=MOST_COLUMNS),
        says("The columns that are taken, in any order."),
    ] = ()
    owner_id: Annotated[
        IdOrName | None,
        says("Whose vehicles they are where no column says; else yours."),
    ] = None
    scale: Annotated[
        ScaleName | None, says("The scale of rows that do not say it.")
    ] = None
    kind: Annotated[
        VehicleKind | None,
        says("The kind of vehicles of which neither row nor record says it."),
    ] = None
    practice: Annotated[
        Practice | None, says("Whose railways, where neither row nor record says it.")
    ] = None
    length_over: Annotated[
        LengthOver | None,
        says("What lengths are over, where neither row nor record says it."),
    ] = None
    length_from: Annotated[
        LengthFrom | None, says("How lengths were found, where the rows do not say it.")
    ] = None
