"""What each row of a stock list would do to the vehicles on record: create, update,
nothing, or not be taken.
"""

from collections.abc import Iterable, Sequence
from collections.abc import Mapping as Table
from dataclasses import dataclass
from typing import Any

import msgspec

from standage.exchange.cells import Sheet, spread
from standage.exchange.rows import Heads, RowFault, RowNote, flat
from standage.exchange.stock.fields import FIELDS
from standage.exchange.stock.mapping import Mapping
from standage.exchange.stock.scale_cells import runs_on
from standage.importing.meeting import rows_by_meaning, twice_in_the_file
from standage.importing.merging import changes, upon
from standage.importing.outcomes import Judged, Outcome, RowOutcome
from standage.importing.vehicles.doubts import doubts
from standage.importing.vehicles.finding import Club, Found, find
from standage.importing.vehicles.look_alikes import with_look_alikes
from standage.importing.vehicles.row_words import of_cell
from standage.importing.vehicles.shelf import Shelf, lost_noughts
from standage.importing.vehicles.stock_rows import StockRow
from standage.railway.slips.judges import vehicle_slips
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.coupling_reaches import swallowed_by_its_couplings
from standage.registry.records.look_alikes import Named
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

_NUMBERS = ("number", "external_key")
_NOTHING = ("", "")
_WHERE_MISSING = ("scale", "kind", "practice")
_APART = "give each a number or key of its own, or make one row of them with a count"


@dataclass(frozen=True, kw_only=True)
class _List:
    """What every row is judged by."""

    sheet: Sheet
    mapping: Mapping
    club: Club
    heads: Heads


def judged(
    sheet: Sheet,
    mapping: Mapping,
    club: Club,
    *,
    rows: Iterable[StockRow],
    shelf: Shelf,
    others: Iterable[Named],
) -> list[Judged]:
    """Return what becomes of every row; ``shelf`` has all the vehicles that they can
    mean, ``others`` those whose names may look like theirs.
    """
    sheet, _ = spread(sheet, below=mapping.header_row)
    heads = Heads(sheet, mapping, FIELDS)
    listed = _List(
        sheet=sheet,
        mapping=mapping,
        club=club,
        heads=heads,
    )
    found = [
        find(
            read,
            mapping,
            club,
            shelf,
            heads,
        )
        for read in rows
    ]
    alike = rows_by_meaning((one.means, one.read.row) for one in found)
    rows_judged = []
    for one in found:
        same = alike.get(one.means or _NOTHING, [])
        rows_judged.append(_judge(one, same, listed))
    return with_look_alikes(rows_judged, others, heads)


def _judge(one: Found, alike: Sequence[int], listed: _List) -> Judged:
    heads = listed.heads
    if one.read.apart is not None:
        return _refused(one, [heads.fault(one.read.apart, field=None)], ())
    faults = list(one.faults)
    twice = twice_in_the_file(one.read.row, alike, mend=_APART)
    if twice is not None:
        faults.append(
            heads.fault(
                twice,
                field=one.key_field,
                cell=one.key,
            )
        )
    try:
        body = _body(one, listed)
    except Faulty as faulty:
        faults += _of_the_body(faulty, one, listed, faults)
        return _refused(one, faults, one.read.notes)
    notes = _notes(one, body, listed)
    if faults:
        return _refused(one, faults, notes)
    return _taken(one, body, notes)


def _body(one: Found, listed: _List) -> VehicleBody:
    """Return the vehicle that a row asks for; raises ``Faulty`` where it cannot be, or
    the types of its couplings leave nothing of it.
    """
    body = convert(_wanted(one, listed.mapping), VehicleBody)
    if faults := list(swallowed_by_its_couplings(body, listed.club.couplings)):
        raise Faulty(faults)
    return body


def _of_the_body(
    faulty: Faulty, one: Found, listed: _List, before: Sequence[RowFault]
) -> list[RowFault]:
    """Return the faults of a vehicle as those of cells, but for cells that are at fault
    already.
    """
    known = {fault.field for fault in before}
    cells = listed.sheet.rows[one.read.row - 1]
    found = [of_cell(fault, cells, listed.heads) for fault in faulty.faults]
    fresh = [fault for fault in found if fault.field not in known]
    return [fault for fault in fresh if not _is_said_twice(fault, one, listed.heads)]


def _notes(one: Found, body: VehicleBody, listed: _List) -> tuple[RowNote, ...]:
    """Return what was understood in reading a row, and what of it may be a slip."""
    slips = [
        RowNote(
            code=slip.code,
            message=slip.message,
            field=slip.field,
            column=listed.heads.column(slip.field),
        )
        for slip in vehicle_slips(body, name=body.name)
    ]
    doubtful = doubts(one, body, listed.club, listed.mapping, listed.heads)
    return (*one.read.notes, *slips, *doubtful)


def _taken(one: Found, body: VehicleBody, notes: Sequence[RowNote]) -> Judged:
    if one.present is None:
        told = RowOutcome(
            row=one.read.row,
            outcome="create",
            name=body.name,
            key=one.key,
            notes=tuple(notes),
        )
        return Judged(told=told, body=body)
    before = one.present.body
    outcome: Outcome = "unchanged" if before == body else "update"
    told = RowOutcome(
        row=one.read.row,
        outcome=outcome,
        name=body.name,
        key=one.key,
        record_id=one.present.id,
        changes=tuple(changes(_cells_of(before), _cells_of(body))),
        notes=tuple(notes),
    )
    return Judged(told=told, body=body, before=before, version=one.present.version)


def _is_said_twice(fault: RowFault, one: Found, heads: Heads) -> bool:
    """Tell whether a fault is of the key that was made of the number or the name, which
    is at fault itself.
    """
    return (
        fault.field == "external_key"
        and one.key_field != "external_key"
        and heads.column("external_key") is None
    )


def _refused(
    one: Found, faults: Sequence[RowFault], notes: Sequence[RowNote]
) -> Judged:
    name = one.read.values.get("name")
    told = RowOutcome(
        row=one.read.row,
        outcome="fault",
        name=name if isinstance(name, str) else None,
        key=one.key,
        record_id=None if one.present is None else one.present.id,
        faults=tuple(faults),
        notes=tuple(notes),
    )
    return Judged(told=told)


def _wanted(one: Found, mapping: Mapping) -> dict[str, Any]:
    """Return the vehicle that a row asks for: what it says upon what is on record, and
    what holds for all rows.
    """
    on_record: dict[str, Any] = (
        {} if one.present is None else msgspec.to_builtins(one.present.body)
    )
    wanted = upon(on_record, one.read.values)
    wanted["owner_id"] = one.owner_id
    if one.read.called is not None:
        wanted.setdefault("name", one.read.called)
    for name in _NUMBERS:
        if lost_noughts(wanted.get(name), on_record.get(name)):
            wanted[name] = on_record[name]
    if one.present is None and one.key is not None:
        wanted["external_key"] = one.key
    for name in _WHERE_MISSING:
        if name not in wanted and (value := getattr(mapping, name)) is not None:
            wanted[name] = value
    if "scale" not in one.read.values | on_record and not _runs_in(wanted, mapping):
        del wanted["scale"]
    if "length_mm" in wanted:
        wanted.setdefault("length_over", mapping.length_over or "buffers")
        if mapping.length_from is not None:
            wanted.setdefault("length_from", mapping.length_from)
    return wanted


def _runs_in(wanted: Table[str, Any], mapping: Mapping) -> bool:
    """Tell whether the scale of rows that say none can be a row's own, by its gauge."""
    gauge_mm = wanted.get("gauge_mm")
    return (
        mapping.scale is None
        or gauge_mm is None
        or runs_on(mapping.scale, gauge_mm=gauge_mm)
    )


def _cells_of(body: VehicleBody) -> dict[str, Any]:
    """Return a vehicle as cells of a list would have it."""
    said = msgspec.to_builtins(body)
    return {**flat(said, FIELDS), "owner_id": said.get("owner_id")}
