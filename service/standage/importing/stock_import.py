"""A file of stock: read, its columns mapped, its rows judged; and what is told of
it.
"""

import hashlib
import zlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, Literal

import msgspec

from standage.exchange.book_sheets import asked_for
from standage.exchange.cells import Sheet, SheetFormat, is_empty
from standage.exchange.headings import (
    NAMING,
    Column,
    ColumnUse,
    Mapping,
    found_columns,
    suggested,
)
from standage.exchange.rows import ReadRow
from standage.exchange.workbooks_in import read_sheet
from standage.importing.stock_alike import Alike, told_once
from standage.importing.stock_outcomes import Judged, RowOutcome
from standage.importing.stock_rows import Club, judged, rows_read, wanted
from standage.importing.stock_shelf import Shelf
from standage.railway.terms.figures import says
from standage.railway.terms.scales import ScaleName
from standage.registry.database.tables import name_key
from standage.registry.records.bodies import VehicleBody
from standage.registry.records.kinds import CLUBS, COUPLING_TYPES, MEMBERS, VEHICLES
from standage.registry.records.look_alikes import Named, perhaps_called_alike
from standage.registry.records.names_found import storable
from standage.registry.records.reading import Reading, live, record_from
from standage.registry.records.record import Permit
from standage.registry.writing import stock_found
from standage.registry.writing.names_listed import listed
from standage.registry.writing.stock_found import vehicles_meant
from standage.registry.writing.stock_imports import (
    KeptRow,
    Looked,
    VehicleText,
    from_lots,
    in_lots,
)
from standage.shapes.faults import Fault, Faulty

_MOST_NAMED = 12
_SAYS_OVER_WHAT = frozenset(
    {"length_over", "length_over_buffers_mm", "length_over_couplings_mm"}
)


class SheetFacts(msgspec.Struct, frozen=True, kw_only=True):
    """The file as it was read."""

    format: Annotated[SheetFormat, says("What sort of file it is.")]
    rows: Annotated[
        int, says("How many rows it has, the heading and empty ones included.")
    ]
    read_as: Annotated[
        str,
        says(
            "How its characters and columns were read, where that had to be found out."
        ),
    ] = ""
    sheet: Annotated[str | None, says("The sheet that was read.")] = None
    other_sheets: Annotated[
        tuple[str, ...], says("The sheets that were not taken.")
    ] = ()


class Counts(msgspec.Struct, frozen=True, kw_only=True):
    """How many rows come to what."""

    create: Annotated[int, says("Rows that make a vehicle.")] = 0
    update: Annotated[int, says("Rows that change one.")] = 0
    unchanged: Annotated[int, says("Rows that say what is on record already.")] = 0
    fault: Annotated[int, says("Rows that are not taken.")] = 0
    with_notes: Annotated[
        int, says("Rows with a likely slip or something else to look at.")
    ] = 0

    @property
    def taken(self) -> int:
        """How many rows an import takes: those that say what is on record already are
        among them.
        """
        return self.create + self.update + self.unchanged


class Assumption(msgspec.Struct, frozen=True, kw_only=True):
    """Something that holds for the rows although no cell says it."""

    field: Annotated[str, says("The vehicle's field, or the part of the mapping.")]
    message: Annotated[str, says("What is assumed, and how to say otherwise.")]


class Taken(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What an import did."""

    rows: Annotated[
        Literal["all", "good"],
        says("Whether all rows were to be taken, or the good ones only."),
    ]
    created: Annotated[int, says("Vehicles that were made.")]
    updated: Annotated[int, says("Vehicles that were changed.")]
    unchanged: Annotated[int, says("Rows that changed nothing.")]
    rejected: Annotated[int, says("Rows that were not taken.")]
    action_id: Annotated[
        str | None,
        says("Under which its changes stand in the history, where it made any."),
    ] = None


class Head(msgspec.Struct, frozen=True, kw_only=True):
    """All that is kept of an import besides its rows."""

    file: SheetFacts
    mapping: Mapping
    columns: tuple[Column, ...]
    counts: Counts
    assumed: tuple[Assumption, ...]
    seen: str
    """A digest of the vehicles on record that the rows were judged by."""
    alike: tuple[Alike, ...] = ()
    taken: Taken | None = None


class Case(msgspec.Struct, frozen=True, kw_only=True):
    """All that a list is read by: a file as it came or a sheet as it is kept, and the
    club that it is for.
    """

    club: Club
    scale: ScaleName | None = None
    raw: bytes | None = None
    charset: str | None = None
    sheet_name: str | None = None
    kept: bytes | None = None
    mapping: Mapping | None = None


class ReadList(msgspec.Struct, frozen=True, kw_only=True):
    """A list once it is read, packed to go from process to process."""

    club: Club
    scale: ScaleName | None
    is_mapped: bool
    """Whether somebody said what the columns hold."""
    mapping: Mapping
    columns: tuple[Column, ...]
    sheet: bytes
    rows: tuple[bytes, ...]
    """Lots of ``ReadRow``."""
    wanted: bytes
    vehicles: tuple[bytes, ...] = ()
    """Lots of ``VehicleText``: all that the rows can mean, once that is looked up."""
    others: tuple[bytes, ...] = ()
    """Lots of ``Named``: vehicles whose names may look like those of the rows."""


def club_on_record(reading: Reading, permit: Permit) -> tuple[Club, ScaleName | None]:
    """Return what rows are judged by besides vehicles, and the scale that the club
    works in.
    """
    club_id = permit.principal.club_id
    members: defaultdict[str, list[str]] = defaultdict(list)
    for row in reading.connection.execute(live(MEMBERS, club_id)):
        member = record_from(MEMBERS, row)
        members[name_key(MEMBERS.title(member.body))].append(member.id)
    types = reading.every(COUPLING_TYPES, club_id)
    club = Club(
        members=dict(members),
        me=permit.principal.member_id,
        own_only=permit.whose == "own",
        coupling_types=frozenset(
            name
            for record in types
            for name in (record.id, name_key(COUPLING_TYPES.title(record.body)))
        ),
        couplings={(record.kind, record.id): record for record in types},
    )
    return club, getattr(reading.get(CLUBS, club_id, club_id).body, "scale", None)


def read(case: Case) -> ReadList:
    """Return what a file says; raises ``Faulty`` where it cannot be read, or the
    mapping is not of it.
    """
    sheet = _sheet(case)
    suggestion = suggested(sheet, scale=case.scale)
    mapping = case.mapping or suggestion.mapping
    columns = suggestion.columns
    if case.mapping is not None:
        _require_columns(sheet, mapping)
        columns = _as_mapped(
            found_columns(sheet, mapping.header_row, scale=mapping.scale), mapping
        )
    _require_owner(mapping, case.club)
    rows = rows_read(sheet, mapping)
    return ReadList(
        club=case.club,
        scale=case.scale,
        is_mapped=case.mapping is not None,
        mapping=mapping,
        columns=columns,
        sheet=case.kept or packed(sheet),
        rows=in_lots(rows),
        wanted=stock_found.packed(wanted(rows, sheet, mapping, case.club)),
    )


def with_stock(reading: Reading, permit: Permit, listed: ReadList) -> ReadList:
    """Return the list with the vehicles on record that its rows can mean, and those
    whose names may look like theirs.
    """
    club_id = permit.principal.club_id
    wanted_by_rows = stock_found.unpacked(listed.wanted)
    names = {one.name for one in wanted_by_rows if one.name and storable(one.name)}
    return msgspec.structs.replace(
        listed,
        vehicles=in_lots(vehicles_meant(reading, club_id, wanted_by_rows)),
        others=in_lots(
            perhaps_called_alike(reading.connection, VEHICLES, club_id, names)
        ),
    )


def reckon(listed: ReadList) -> Looked:
    """Return what a list would do to the vehicles that it can mean."""
    sheet, mapping = unpacked(listed.sheet), listed.mapping
    vehicles = list(from_lots(listed.vehicles, VehicleText))
    rows = judged(
        sheet,
        mapping,
        listed.club,
        rows=from_lots(listed.rows, ReadRow),
        shelf=Shelf(vehicles),
        others=from_lots(listed.others, Named),
    )
    with_notes = sum(1 for one in rows if one.told.notes)
    alike, rows = told_once(rows)
    counted = Counter[str](one.told.outcome for one in rows)
    head = Head(
        file=SheetFacts(
            format=sheet.format,
            rows=len(sheet.rows),
            read_as=sheet.read_as,
            sheet=sheet.name,
            other_sheets=sheet.others,
        ),
        mapping=mapping,
        columns=listed.columns,
        counts=Counts(**counted, with_notes=with_notes),
        alike=alike,
        assumed=(*_assumed(listed, sheet, rows), *_left_out(mapping, listed.columns)),
        seen=digest(vehicles),
    )
    return Looked(
        head=msgspec.json.encode(head).decode(),
        sheet=listed.sheet,
        wanted=listed.wanted,
        rows=in_lots([_kept(one) for one in rows]),
    )


def digest(vehicles: Iterable[VehicleText]) -> str:
    """Return what tells one state of these vehicles from another."""
    text = "\n".join(f"{one.id} {one.version}" for one in vehicles)
    return hashlib.sha256(text.encode()).hexdigest()


def packed(sheet: Sheet) -> bytes:
    """Return a sheet as it is kept."""
    return zlib.compress(msgspec.json.encode(sheet), 1)


def unpacked(kept: bytes) -> Sheet:
    """Return a sheet that was kept."""
    return msgspec.json.decode(zlib.decompress(kept), type=Sheet)


def _sheet(case: Case) -> Sheet:
    if case.kept is not None:
        return unpacked(case.kept)
    return read_sheet(case.raw or b"", charset=case.charset, wanted=case.sheet_name)


def _require_columns(sheet: Sheet, mapping: Mapping) -> None:
    width, rows = max(map(len, sheet.rows)), len(sheet.rows)
    faults = [
        Fault(
            code="too_large",
            message=f"the sheet has {width} columns only",
            pointer=f"/columns/{position}/column",
        )
        for position, use in enumerate(mapping.columns)
        if use.column > width
    ]
    if mapping.header_row > rows:
        faults.append(
            Fault(
                code="too_large",
                message=f"the sheet has {rows} rows only",
                pointer="/header_row",
            )
        )
    if faults:
        raise Faulty(faults)


def _require_owner(mapping: Mapping, club: Club) -> None:
    everybody = {member_id for ids in club.members.values() for member_id in ids}
    if mapping.owner_id is not None and mapping.owner_id not in everybody:
        message = "there is no such member in this club"
        raise Faulty(
            [Fault(code="no_such_member", message=message, pointer="/owner_id")]
        )


def _as_mapped(columns: Sequence[Column], mapping: Mapping) -> tuple[Column, ...]:
    uses = {use.column: use for use in mapping.columns}
    return tuple(_one_as_mapped(one, uses.get(one.column)) for one in columns)


def _one_as_mapped(column: Column, use: ColumnUse | None) -> Column:
    """Return a column as a mapping has it; what its cells say is told only where the
    mapping follows it.
    """
    if use is None:
        return msgspec.structs.replace(column, field=None, unit=None, remark=None)
    follows = (column.field, column.unit) == (use.field, use.unit)
    remark = column.remark if follows else None
    return msgspec.structs.replace(
        column, field=use.field, unit=use.unit, how="named", remark=remark
    )


def _left_out(mapping: Mapping, columns: Sequence[Column]) -> Iterator[Assumption]:
    """Yield which columns are not taken although something stands in them."""
    for one in columns:
        if one.remark is not None:
            yield Assumption(
                field=one.field or "columns",
                message=f"column {one.letters} ({one.header}) {one.remark}",
            )
    taken = {use.column for use in mapping.columns} | {
        one.column for one in columns if one.remark is not None
    }
    left = [one for one in columns if one.column not in taken and one.samples]
    if left:
        named = [
            f"{one.letters} ({one.header})" if one.header else one.letters
            for one in left
        ]
        told = ", ".join(named[:_MOST_NAMED]) + (
            f" and {len(named) - _MOST_NAMED} more" * (len(named) > _MOST_NAMED)
        )
        message = (
            f"nothing is taken from {told}: to have one, say in the mapping what it"
            " holds"
        )
        yield Assumption(field="columns", message=message)


def _assumed(
    listed: ReadList, sheet: Sheet, rows: Sequence[Judged]
) -> list[Assumption]:
    mapping, scale = listed.mapping, listed.scale
    fields = {use.field for use in mapping.columns}
    found = []
    if "name" not in fields and "kind" in fields:
        message = (
            "no column holds names: a new vehicle is called by its kind and its number,"
            " as they stand in the list"
        )
        found.append(Assumption(field="name", message=message))
    elif not fields & NAMING:
        message = (
            "no column is known to hold the vehicles' names: say which holds what, then"
            " look again"
        )
        found.append(Assumption(field="columns", message=message))
    found += _sheets(sheet, named=bool(fields & NAMING))
    found += _hidden_rows(sheet, rows)
    if (
        mapping.length_over is None
        and "length_mm" in fields
        and not fields & _SAYS_OVER_WHAT
    ):
        message = (
            "no column says over what lengths are measured: over buffers is taken; say"
            " length_over if otherwise"
        )
        found.append(Assumption(field="length_over", message=message))
    if (
        not listed.is_mapped
        and scale is not None
        and any(_says_no_scale(one, sheet, mapping) for one in rows)
    ):
        message = (
            f"rows that say no scale are taken to be in the club's, {scale}; say scale"
            " if otherwise"
        )
        found.append(Assumption(field="scale", message=message))
    unsaid = sorted(
        {
            use.field
            for use in mapping.columns
            if use.unit is None and use.field.endswith(("_mm", "_g"))
        }
    )
    if unsaid:
        message = (
            f"bare figures of {', '.join(unsaid)} are in mm or g; say unit if otherwise"
        )
        found.append(Assumption(field="unit", message=message))
    if mapping.decimal != "either":
        message = (
            f"a {mapping.decimal} stands before the tenths, as the file's other figures"
            " show"
        )
        found.append(Assumption(field="decimal", message=message))
    return found


def _hidden_rows(sheet: Sheet, rows: Sequence[Judged]) -> Iterator[Assumption]:
    """Yield which rows are taken although the spreadsheet hides them."""
    hidden = set(sheet.hidden_rows)
    taken = [str(one.told.row) for one in rows if one.told.row in hidden]
    if taken:
        which = listed(taken, most=_MOST_NAMED)
        words = (
            f"row {which}, which the spreadsheet hides, is"
            if len(taken) == 1
            else f"hidden rows ({which}) are"
        )
        yield Assumption(
            field="rows",
            message=f"{words} taken like the others: delete what is not wanted",
        )


def _says_no_scale(one: Judged, sheet: Sheet, mapping: Mapping) -> bool:
    if one.body is None:
        return False
    columns = [use.column for use in mapping.columns if use.field == "scale"]
    row = sheet.rows[one.told.row - 1]
    cells = (row[column - 1] for column in columns if column <= len(row))
    return all(map(is_empty, cells))


def _sheets(sheet: Sheet, *, named: bool) -> Iterator[Assumption]:
    """Yield which other sheets may be wanted: those that list stock, all of them where
    this one does not.
    """
    others = sheet.lists if named else sheet.others
    if others:
        message = (
            f"only the sheet {sheet.name} is taken: send the file again with"
            f" {asked_for(others)} for another"
        )
        yield Assumption(field="sheet", message=message)
    if sheet.hidden and named:
        message = (
            "stock on hidden sheets is left out: send the file again with"
            f" {asked_for(sheet.hidden)} to have it"
        )
        yield Assumption(field="sheet", message=message)


class Content(msgspec.Struct, frozen=True, kw_only=True):
    """What is kept of a row."""

    told: RowOutcome
    body: VehicleBody | None = None
    before: VehicleBody | None = None


def _kept(one: Judged) -> KeptRow:
    writes = one.told.outcome in {"create", "update"}
    content = Content(
        told=one.told,
        body=one.body if writes else None,
        before=one.before if writes else None,
    )
    return KeptRow(
        sheet_row=one.told.row,
        outcome=one.told.outcome,
        content=msgspec.json.encode(content).decode(),
        record_id=one.told.vehicle_id,
        record_version=one.version,
    )
