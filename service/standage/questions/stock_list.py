"""The club's stock as a list that people keep in a spreadsheet, and that comes in again
as it went out.
"""

from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from standage.exchange.fields import UNITS, Field
from standage.exchange.rows import flat
from standage.exchange.sheets_out import Out, shown_number
from standage.exchange.stock.fields import FIELDS
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import MEMBERS
from standage.registry.records.reading import Reading, live, record_from
from standage.registry.writing.list_imports import RecordText, in_lots
from standage.registry.writing.stock_found import vehicle_texts

_ALWAYS = frozenset(
    {
        "id",
        "external_key",
        "name",
        "number",
        "count",
        "kind",
        "owner",
        "scale",
        "length_mm",
        "length_over",
        "notes",
    }
)
_LISTED = tuple(field for field in FIELDS.every if field.exported)
_SHORT = tuple(
    FIELDS.by_name[name]
    for name in (
        "name",
        "number",
        "count",
        "kind",
        "scale",
        "length_mm",
        "length_over",
        "couplings",
    )
)
"""What a newcomer fills in: enough for trains to be measured against roads. The long
list stands beside it.
"""

_SAMPLE: tuple[Mapping[str, Out], ...] = (
    {
        "name": "Harbour tank",
        "number": "12",
        "count": 1,
        "kind": "engine",
        "scale": "00",
        "length_mm": 128.5,
        "couplings": "small hook-and-bar",
    },
    {
        "name": "Ore wagon",
        "number": "47",
        "count": 6,
        "kind": "wagon",
        "scale": "00",
        "length_mm": "3 1/4 in",
        "couplings": "small hook-and-bar",
    },
    {
        "name": "Corridor coach",
        "number": "1204",
        "count": 2,
        "kind": "coach",
        "scale": "00",
        "length_mm": "57' full size",
    },
)


class StockList(msgspec.Struct, frozen=True, kw_only=True):
    """All that the list is made of: lots of ``RecordText``, and the members' names."""

    vehicles: tuple[bytes, ...]
    members: Mapping[str, str]


def gather(reading: Reading, club_id: str, *, owner_id: str | None) -> StockList:
    """Return the club's vehicles, or one owner's."""
    owners = None if owner_id is None else [owner_id]
    members = (
        record_from(MEMBERS, row)
        for row in reading.connection.execute(live(MEMBERS, club_id))
    )
    return StockList(
        vehicles=in_lots(vehicle_texts(reading, club_id, owners=owners)),
        members={member.id: MEMBERS.title(member.body) for member in members},
    )


def reckon(stock: StockList) -> list[list[Out]]:
    """Return the list, its heading first; a column that no vehicle fills is left out
    unless it is a usual one.
    """
    vehicles = list(_vehicles(stock))
    filled = _ALWAYS.union(*vehicles)
    columns = [field for field in _LISTED if field.name in filled]
    return [
        [field.title for field in columns],
        *([one.get(field.name) for field in columns] for one in vehicles),
    ]


def _vehicles(stock: StockList) -> Iterator[dict[str, Out]]:
    for lot in stock.vehicles:
        for one in msgspec.msgpack.decode(lot, type=list[RecordText]):
            body = msgspec.json.decode(one.body, type=VehicleBody)
            known = {
                "id": one.id,
                "owner": stock.members.get(one.owner_id),
                "count": body.count,
            }
            yield {
                **known,
                **{
                    name: _cell(value)
                    for name, value in flat(msgspec.to_builtins(body), FIELDS).items()
                },
            }


def _cell(value: Any) -> Out:
    if isinstance(value, list | tuple):
        return "; ".join(map(shown_number, value))
    plain: Out = value
    return plain


def template() -> list[list[Out]]:
    """Return the heading of a short list, and nothing below it: the service's own names
    and units.
    """
    return [[field.title for field in _SHORT]]


def sample() -> list[list[Out]]:
    """Return a short list as a member might fill it in."""
    rows = template()
    for one in _SAMPLE:
        row: dict[str, Out] = {"length_over": "buffers", **one}
        rows.append([row.get(field.name) for field in _SHORT])
    return rows


def beside() -> dict[str, list[list[Out]]]:
    """Return the sheets beside a template: every column there is, and what may stand in
    each.
    """
    columns = [field for field in _LISTED if field.name != "id"]
    every = [*_SHORT, *(field for field in columns if field not in _SHORT)]
    lines: list[list[Out]] = [[field.title, _may_hold(field)] for field in every]
    return {
        "All columns": [[field.title for field in columns]],
        "Remarks": [["Column", "What it may hold"], *lines],
    }


def _may_hold(field: Field) -> str:
    if field.words:
        return "one of: " + ", ".join(dict.fromkeys(field.words.values()))
    if field.sort == "length":
        return (
            "a figure in mm, or with its unit: 3 1/4 in, 57' full size; empty if nobody"
            " measured it"
        )
    if field.sort in UNITS:
        return (
            f"a figure in {UNITS[field.sort][0]}, or with its unit; empty if nobody"
            " knows it"
        )
    return {"whole": "a whole number", "degrees": "an angle in degrees"}.get(
        field.sort, "text"
    )
