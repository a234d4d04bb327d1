"""A list of stock: all that is known of its columns."""

import msgspec

from standage.exchange.cells import Sheet
from standage.exchange.headings import Column, is_list, suggested
from standage.exchange.list_kinds import ListKind
from standage.exchange.stock.columns import held, scales_named
from standage.exchange.stock.fields import FIELDS
from standage.exchange.stock.mapping import Mapping
from standage.railway.terms.scales import ScaleName

STOCK = ListKind(
    one="vehicle",
    totalled=(
        "vehicles|items|pieces|stock|engines|locos|locomotives|coaches|carriages"
        "|wagons|cars|vans|units|value|length"
    ),
    fields=FIELDS,
    naming=frozenset({"name", "number", "external_key", "id"}),
    held=held,
    scales_named=scales_named,
)


def lists_stock(sheet: Sheet) -> bool:
    """Tell whether a sheet looks like a list of stock."""
    return is_list(sheet, STOCK)


def suggested_mapping(
    sheet: Sheet, *, scale: ScaleName | None = None
) -> tuple[Mapping, tuple[Column, ...]]:
    """Return the likeliest mapping of a list of stock, and each column's part in it;
    ``scale`` is the one that its club works in.
    """
    found = suggested(sheet, STOCK, scale=scale)
    said = msgspec.to_builtins(found.mapping)
    return msgspec.convert({**said, "scale": scale}, Mapping), found.columns
