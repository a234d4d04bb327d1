"""A list that was sent in: read, its columns mapped, its rows judged; and what is told
of it. What the rows are about is its description's.
"""

import hashlib
import zlib
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Annotated, Any, Generic, Literal, TypeVar

import msgspec

from standage.exchange.cells import Sheet, SheetFormat
from standage.exchange.headings import Column, SheetColumn, SheetMapping
from standage.exchange.workbooks_in import read_sheet
from standage.importing.alike import Alike, told_once
from standage.importing.description import Assumption, Described, ReadList
from standage.importing.outcomes import Judged, RowOutcome
from standage.importing.sheet_remarks import left_out
from standage.railway.terms.figures import says
from standage.registry.writing.list_imports import (
    KeptRow,
    Looked,
    RecordText,
    from_lots,
    in_lots,
)
from standage.shapes.faults import Fault, Faulty

M = TypeVar("M", bound=SheetMapping)


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

    create: Annotated[int, says("Rows that make a record.")] = 0
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


class Taken(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What an import did."""

    rows: Annotated[
        Literal["all", "good"],
        says("Whether all rows were to be taken, or the good ones only."),
    ]
    created: Annotated[int, says("Records that were made.")]
    updated: Annotated[int, says("Records that were changed.")]
    unchanged: Annotated[int, says("Rows that changed nothing.")]
    rejected: Annotated[int, says("Rows that were not taken.")]
    action_id: Annotated[
        str | None,
        says("Under which its changes stand in the history, where it made any."),
    ] = None


class Head(msgspec.Struct, Generic[M], frozen=True, kw_only=True):
    """All that is kept of an import besides its rows."""

    file: SheetFacts
    mapping: M
    columns: tuple[Column, ...]
    counts: Counts
    assumed: tuple[Assumption, ...]
    seen: str
    """A digest of the records that the rows were judged by."""
    alike: tuple[Alike, ...] = ()
    taken: Taken | None = None


class Case(msgspec.Struct, Generic[M], frozen=True, kw_only=True):
    """All that a list is read by: a file as it came or a sheet as it is kept, and what
    is known besides.
    """

    about: Any
    """What its rows are judged by besides records, as its description gathered it."""
    raw: bytes | None = None
    charset: str | None = None
    sheet_name: str | None = None
    kept: bytes | None = None
    mapping: M | None = None


def read(described: Described[M], case: Case[M]) -> ReadList[M]:
    """Return what a file says; raises ``Faulty`` where it cannot be read, or the
    mapping is not of it.
    """
    sheet = _sheet(described, case)
    mapping, columns = described.suggested(sheet, case.about)
    if case.mapping is not None:
        mapping = case.mapping
        _require_columns(sheet, mapping)
        columns = _as_mapped(described.found_columns(sheet, mapping), mapping)
    described.require(mapping, case.about)
    rows = described.rows_read(sheet, mapping)
    return ReadList(
        about=case.about,
        is_mapped=case.mapping is not None,
        mapping=mapping,
        columns=columns,
        sheet=case.kept or packed(sheet),
        rows=in_lots(rows),
        wanted=described.wanted(rows, sheet, mapping, case.about),
    )


def reckon(described: Described[M], listed: ReadList[M]) -> Looked:
    """Return what a list would do to the records that it can mean."""
    sheet = unpacked(listed.sheet)
    rows = described.judged(listed, sheet)
    with_notes = sum(1 for one in rows if one.told.notes)
    alike, rows = told_once(rows, slips=described.slips)
    counted = Counter[str](one.told.outcome for one in rows)
    head = Head(
        file=facts(sheet),
        mapping=listed.mapping,
        columns=listed.columns,
        counts=Counts(**counted, with_notes=with_notes),
        alike=alike,
        assumed=(
            *described.assumed(listed, sheet, rows),
            *left_out(listed.mapping, listed.columns),
        ),
        seen=digest(from_lots(listed.on_record, RecordText)),
    )
    return Looked(
        head=msgspec.json.encode(head).decode(),
        sheet=listed.sheet,
        wanted=listed.wanted,
        rows=in_lots([_kept(one) for one in rows]),
    )


def facts(sheet: Sheet) -> SheetFacts:
    """Return what is told of a file."""
    return SheetFacts(
        format=sheet.format,
        rows=len(sheet.rows),
        read_as=sheet.read_as,
        sheet=sheet.name,
        other_sheets=sheet.others,
    )


def digest(records: Iterable[RecordText]) -> str:
    """Return what tells one state of these records from another."""
    lines = [f"{one.id} {one.version}" for one in records]
    text = "\n".join(lines)
    return hashlib.sha256(text.encode()).hexdigest()


def packed(sheet: Sheet) -> bytes:
    """Return a sheet as it is kept."""
    return zlib.compress(msgspec.json.encode(sheet), 1)


def unpacked(kept: bytes) -> Sheet:
    """Return a sheet that was kept."""
    text = zlib.decompress(kept)
    return msgspec.json.decode(text, type=Sheet)


def _sheet(described: Described[M], case: Case[M]) -> Sheet:
    if case.kept is not None:
        return unpacked(case.kept)
    return read_sheet(
        case.raw or b"",
        described.is_list,
        charset=case.charset,
        wanted=case.sheet_name,
    )


def _require_columns(sheet: Sheet, mapping: SheetMapping) -> None:
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


def _as_mapped(columns: Sequence[Column], mapping: SheetMapping) -> tuple[Column, ...]:
    uses = {use.column: use for use in mapping.columns}
    mapped = [_one_as_mapped(one, uses.get(one.column)) for one in columns]
    return tuple(mapped)


def _one_as_mapped(column: Column, use: SheetColumn | None) -> Column:
    """Return a column as a mapping has it; what its cells say is told only where the
    mapping follows it.
    """
    if use is None:
        return msgspec.structs.replace(
            column,
            field=None,
            unit=None,
            remark=None,
        )
    follows = (column.field, column.unit) == (use.field, use.unit)
    remark = column.remark if follows else None
    return msgspec.structs.replace(
        column, field=use.field, unit=use.unit, how="named", remark=remark
    )


_NONE = msgspec.Raw(b"null")


class Content(msgspec.Struct, frozen=True, kw_only=True):
    """What is kept of a row: the bodies as JSON, whose type the kind knows."""

    told: RowOutcome
    body: msgspec.Raw = _NONE
    before: msgspec.Raw = _NONE


def _kept(one: Judged) -> KeptRow:
    writes = one.told.outcome in {"create", "update"}
    content = Content(
        told=one.told,
        body=_raw(one.body) if writes else _NONE,
        before=_raw(one.before) if writes else _NONE,
    )
    return KeptRow(
        sheet_row=one.told.row,
        outcome=one.told.outcome,
        content=msgspec.json.encode(content).decode(),
        record_id=one.told.record_id,
        record_version=one.version,
    )


def _raw(body: Any) -> msgspec.Raw:
    if body is None:
        return _NONE
    return msgspec.Raw(msgspec.json.encode(body))
