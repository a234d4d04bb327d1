"""Lists of stock: what the import of vehicles is, as the general machinery asks it."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from typing import get_args

import msgspec

from standage.exchange.cells import Sheet, is_empty
from standage.exchange.headings import Column, found_columns
from standage.exchange.stock.mapping import Mapping
from standage.exchange.stock.stock import STOCK, lists_stock, suggested_mapping
from standage.importing.description import Assumption, Described, ReadList, Words
from standage.importing.outcomes import Judged
from standage.importing.sheet_remarks import hidden_rows, other_sheets
from standage.importing.vehicles.finding import Club, wanted
from standage.importing.vehicles.rows import judged
from standage.importing.vehicles.shelf import Shelf
from standage.importing.vehicles.stock_rows import StockRow, rows_read
from standage.railway.slips.slip import SlipCode
from standage.registry.database.tables import name_key
from standage.registry.records.kinds import CLUBS, COUPLING_TYPES, MEMBERS, VEHICLES
from standage.registry.records.look_alikes import Named, perhaps_called_alike
from standage.registry.records.names_found import storable
from standage.registry.records.reading import Reading, live, record_from
from standage.registry.records.record import Permit
from standage.registry.writing import stock_found
from standage.registry.writing.list_imports import RecordText, from_lots, in_lots
from standage.registry.writing.stock_found import vehicles_meant
from standage.shapes.faults import Fault, Faulty

_SAYS_OVER_WHAT = frozenset(
    {"length_over", "length_over_buffers_mm", "length_over_couplings_mm"}
)


def club_on_record(reading: Reading, permit: Permit) -> Club:
    """Return what rows are judged by besides vehicles."""
    club_id = permit.principal.club_id
    members: defaultdict[str, list[str]] = defaultdict(list)
    for row in reading.connection.execute(live(MEMBERS, club_id)):
        member = record_from(MEMBERS, row)
        members[name_key(MEMBERS.title(member.body))].append(member.id)
    types = reading.every(COUPLING_TYPES, club_id)
    return Club(
        members=dict(members),
        me=permit.principal.member_id,
        own_only=permit.whose == "own",
        coupling_types=frozenset(
            name
            for record in types
            for name in (record.id, name_key(COUPLING_TYPES.title(record.body)))
        ),
        couplings={(record.kind, record.id): record for record in types},
        scale=getattr(reading.get(CLUBS, club_id, club_id).body, "scale", None),
    )


def _suggested(sheet: Sheet, club: Club) -> tuple[Mapping, tuple[Column, ...]]:
    return suggested_mapping(sheet, scale=club.scale)


def _found_columns(sheet: Sheet, mapping: Mapping) -> Sequence[Column]:
    return found_columns(sheet, mapping.header_row, STOCK, scale=mapping.scale)


def _require_owner(mapping: Mapping, club: Club) -> None:
    everybody = {member_id for ids in club.members.values() for member_id in ids}
    if mapping.owner_id is not None and mapping.owner_id not in everybody:
        message = "there is no such member in this club"
        raise Faulty(
            [
                Fault(
                    code="no_such_member",
                    message=message,
                    pointer="/owner_id",
                )
            ]
        )


def _wanted(
    rows: Sequence[StockRow], sheet: Sheet, mapping: Mapping, club: Club
) -> bytes:
    return stock_found.packed(
        wanted(
            rows,
            sheet,
            mapping,
            club,
        )
    )


def _look_up(
    reading: Reading, permit: Permit, listed: ReadList[Mapping]
) -> ReadList[Mapping]:
    """Return the list with the vehicles on record that its rows can mean, and those
    whose names may look like theirs.
    """
    club_id = permit.principal.club_id
    wanted_by_rows = stock_found.unpacked(listed.wanted)
    names = {one.name for one in wanted_by_rows if one.name and storable(one.name)}
    return msgspec.structs.replace(
        listed,
        on_record=in_lots(vehicles_meant(reading, club_id, wanted_by_rows)),
        others=in_lots(
            perhaps_called_alike(reading.connection, VEHICLES, club_id, names)
        ),
    )


def _meant(reading: Reading, club_id: str, kept: bytes) -> Sequence[RecordText]:
    return vehicles_meant(reading, club_id, stock_found.unpacked(kept))


def _judged(listed: ReadList[Mapping], sheet: Sheet) -> list[Judged]:
    return judged(
        sheet,
        listed.mapping,
        listed.about,
        rows=from_lots(listed.rows, StockRow),
        shelf=Shelf(from_lots(listed.on_record, RecordText)),
        others=from_lots(listed.others, Named),
    )


def _assumed(
    listed: ReadList[Mapping], sheet: Sheet, rows: Sequence[Judged]
) -> Iterator[Assumption]:
    fields = {use.field for use in listed.mapping.columns}
    is_named = bool(fields & STOCK.naming)
    yield from _of_names(fields)
    yield from other_sheets(
        sheet,
        listed="stock",
        named=is_named,
    )
    yield from hidden_rows(sheet, rows)
    yield from _of_lengths(listed.mapping, fields)
    yield from _of_scale(listed, sheet, rows)
    yield from _of_figures(listed.mapping)


def _of_names(fields: AbstractSet[str]) -> Iterator[Assumption]:
    if "name" not in fields and "kind" in fields:
        message = (
            "no column holds names: a new vehicle is called by its kind and its number,"
            " as they stand in the list"
        )
        yield Assumption(field="name", message=message)
    elif not fields & STOCK.naming:
        message = (
            "no column is known to hold the vehicles' names: say which holds what, then"
            " look again"
        )
        yield Assumption(field="columns", message=message)


def _of_lengths(mapping: Mapping, fields: AbstractSet[str]) -> Iterator[Assumption]:
    is_said = mapping.length_over is not None or fields & _SAYS_OVER_WHAT
    if "length_mm" in fields and not is_said:
        message = (
            "no column says over what lengths are measured: over buffers is taken; say"
            " length_over if otherwise"
        )
        yield Assumption(field="length_over", message=message)


def _of_scale(
    listed: ReadList[Mapping], sheet: Sheet, rows: Sequence[Judged]
) -> Iterator[Assumption]:
    scale = listed.about.scale
    if listed.is_mapped or scale is None:
        return
    if any(_says_no_scale(one, sheet, listed.mapping) for one in rows):
        message = (
            f"rows that say no scale are taken to be in the club's, {scale}; say scale"
            " if otherwise"
        )
        yield Assumption(field="scale", message=message)


def _of_figures(mapping: Mapping) -> Iterator[Assumption]:
    bare = {use.field for use in mapping.columns if use.unit is None}
    unsaid = sorted(field for field in bare if field.endswith(("_mm", "_g")))
    if unsaid:
        message = (
            f"bare figures of {', '.join(unsaid)} are in mm or g; say unit if otherwise"
        )
        yield Assumption(field="unit", message=message)
    if mapping.decimal != "either":
        message = (
            f"a {mapping.decimal} stands before the tenths, as the file's other figures"
            " show"
        )
        yield Assumption(field="decimal", message=message)


def _says_no_scale(one: Judged, sheet: Sheet, mapping: Mapping) -> bool:
    if one.body is None:
        return False
    columns = [use.column for use in mapping.columns if use.field == "scale"]
    row = sheet.rows[one.told.row - 1]
    cells = (row[column - 1] for column in columns if column <= len(row))
    return all(map(is_empty, cells))


VEHICLE_LIST = Described(
    kind_name=VEHICLES.name,
    words=Words(called="stock import", on_record="the stock on record"),
    mapping=Mapping,
    slips=frozenset(get_args(SlipCode)),
    is_list=lists_stock,
    gather=club_on_record,
    suggested=_suggested,
    found_columns=_found_columns,
    require=_require_owner,
    rows_read=rows_read,
    wanted=_wanted,
    look_up=_look_up,
    meant=_meant,
    judged=_judged,
    assumed=_assumed,
)
"""A list of vehicles."""
