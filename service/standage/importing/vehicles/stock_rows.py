"""The rows of a list of stock, as they were read."""

import msgspec

from standage.exchange.cells import Row, Sheet, spread
from standage.exchange.rows import LONGEST_SHOWN, Heads, ReadRow, read_rows
from standage.exchange.stock.fields import FIELDS
from standage.exchange.stock.mapping import Mapping
from standage.exchange.stock.stock import STOCK
from standage.exchange.values import shown_cell

_ENDS = ("front_coupling", "rear_coupling")


class StockRow(ReadRow, frozen=True, kw_only=True):
    """What one row says of a vehicle."""

    called: str | None = None
    """What the vehicle is called where no column holds names: by its kind and its
    number.
    """

    @property
    def record_id(self) -> str | None:
        """The record that the row names."""
        return self.said.get("id")

    @property
    def owner(self) -> str | None:
        """Whose vehicle it is, as the row has it."""
        return self.said.get("owner")


def rows_read(sheet: Sheet, mapping: Mapping) -> list[StockRow]:
    """Return what every row says that is not empty."""
    whole, joined = spread(sheet, below=mapping.header_row)
    heads = Heads(whole, mapping, FIELDS)
    rows = read_rows(
        whole,
        mapping,
        STOCK,
        scale=mapping.scale,
        joined=joined,
    )
    return [_of_stock(read, whole.rows[read.row - 1], heads) for read in rows]


def _of_stock(read: ReadRow, row: Row, heads: Heads) -> StockRow:
    if "couplings" in read.said:
        for end in _ENDS:
            # a column for one end says more than the one for both
            coupling = read.values.setdefault(end, {})
            coupling.setdefault("type", read.said["couplings"])
    parts = msgspec.structs.asdict(read)
    return StockRow(**parts, called=_called(row, read, heads))


def _called(row: Row, read: ReadRow, heads: Heads) -> str | None:
    """Return what a vehicle is called where no column holds names: a hopper wagon with
    the number 47 is so called.
    """
    column = heads.column("kind")
    if column is None or "kind" not in read.values:
        return None
    if heads.column("name") is not None:
        return None
    kind = shown_cell(row[column - 1]).strip()
    number = read.values.get("number") or read.values.get("external_key") or ""
    return f"{kind} {number}".strip()[:LONGEST_SHOWN]
