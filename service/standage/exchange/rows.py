"""The rows of a sheet, each as far as it says something of what the sheet lists."""

from collections.abc import Iterator
from collections.abc import Mapping as Table
from types import MappingProxyType
from typing import Annotated, Any

import msgspec

from standage.exchange.cells import Cell, Row, Sheet, is_empty, letters
from standage.exchange.fields import Field, Fields
from standage.exchange.headings import SheetColumn, SheetMapping
from standage.exchange.list_kinds import ListKind
from standage.exchange.numbers import Trouble
from standage.exchange.readings import Around, Read
from standage.exchange.rows_apart import RowsApart
from standage.exchange.values import read_cell, shown_cell
from standage.railway.terms.figures import says
from standage.railway.terms.scales import Scale, ScaleName
from standage.railway.terms.scales import scale as scale_called

LONGEST_SHOWN = 120
WHY = "why it was not taken"
"""The heading of the column that says, in a file of rejected rows, why; it is never
taken in again.
"""


class RowFault(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One thing that is wrong with a row."""

    code: Annotated[str, says("Stable, for programs.")]
    message: Annotated[str, says("What is wrong.")]
    mend: Annotated[str, says("How to mend it.")]
    column: Annotated[
        int | None,
        says("The column, counted from 1; absent where the whole row is meant."),
    ] = None
    letters: Annotated[str | None, says("The column as a spreadsheet letters it.")] = (
        None
    )
    header: Annotated[str | None, says("What stands at the column's head.")] = None
    field: Annotated[str | None, says("The record's field.")] = None
    value: Annotated[str | None, says("What stands in the cell.")] = None


class RowNote(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Something of a row to look at: a likely slip, or what was understood in reading
    it. It stops nothing.
    """

    code: Annotated[str, says("Stable, for programs.")]
    message: Annotated[str, says("What was understood, or what was probably meant.")]
    field: Annotated[str | None, says("The record's field.")] = None
    column: Annotated[int | None, says("The column, counted from 1.")] = None
    value: Annotated[str | None, says("What stands in the cell.")] = None


class ReadRow(msgspec.Struct, frozen=True, kw_only=True):
    """What one row says, and all that is wrong with it."""

    row: int
    values: dict[str, Any]
    """By their places in the record."""
    said: dict[str, Any]
    """By the fields that have no place in it, and steer."""
    faults: tuple[RowFault, ...]
    notes: tuple[RowNote, ...]
    apart: Trouble | None = None
    """Why the row is none of the things that are listed."""


class Heads:
    """Where each field stands in a sheet, to name the place of a fault."""

    def __init__(self, sheet: Sheet, mapping: SheetMapping, fields: Fields) -> None:
        self._fields = fields.by_name
        self._uses = {use.field: use.column for use in mapping.columns}
        self._head: Row = ()
        if 1 <= mapping.header_row <= len(sheet.rows):
            self._head = sheet.rows[mapping.header_row - 1]

    def fault(
        self, trouble: Trouble, *, field: str | None, cell: Cell = None
    ) -> RowFault:
        """Return the fault at the column that holds ``field``, or of the whole row."""
        value: str | None = None
        if not is_empty(cell):
            value = shown_cell(cell)[:LONGEST_SHOWN]
        fault = RowFault(
            code=trouble.code,
            message=trouble.message,
            mend=trouble.mend,
            column=None,
            letters=None,
            header=None,
            field=field,
            value=value,
        )
        column = None if field is None else self.column(field)
        if column is None:
            return fault
        return msgspec.structs.replace(
            fault, column=column, letters=letters(column), header=self._headed(column)
        )

    def column(self, field: str) -> int | None:
        """Return the column of a field, whatever it is called there; None where no
        column holds it.
        """
        if field in self._uses:
            return self._uses[field]
        known = self._fields.get(field)
        if known is None:
            return None
        for name, column in self._uses.items():
            if known.path and self._fields[name].path == known.path:
                return column
        return self._uses.get(known.said_by)

    def _headed(self, column: int) -> str | None:
        if column > len(self._head):
            return None
        cell = self._head[column - 1]
        if is_empty(cell):
            return None
        return shown_cell(cell).strip()[:LONGEST_SHOWN]


def read_rows(
    sheet: Sheet,
    mapping: SheetMapping,
    kind: ListKind,
    *,
    scale: ScaleName | None = None,
    joined: Table[int, frozenset[int]] = MappingProxyType({}),
) -> Iterator[ReadRow]:
    """Yield every row below the heading that is not empty; ``joined`` says of which
    cells the ones above are said, ``scale`` is that of rows that say none.
    """
    cells = _Cells(
        sheet,
        mapping,
        kind,
        scale,
    )
    apart = RowsApart(sheet, mapping.header_row, kind)
    first = mapping.header_row + 1
    for number, row in enumerate(sheet.rows[mapping.header_row :], start=first):
        if all(map(is_empty, row)) or apart.is_of_units(number, row):
            continue
        read = cells.read(number, row)
        from_above = joined.get(number, frozenset())
        below = [use for use in mapping.columns if use.column in from_above]
        said_above = (_joined(use, row[use.column - 1]) for use in below)
        yield msgspec.structs.replace(
            read,
            apart=apart.trouble(number, row),
            notes=(*read.notes, *said_above),
        )


def _joined(use: SheetColumn, cell: Cell) -> RowNote:
    words = "is joined with the cell above it, whose value is taken"
    return _note(use, cell, code="joined", message=words)


def _note(use: SheetColumn, cell: Cell, *, code: str, message: str) -> RowNote:
    return RowNote(
        code=code,
        message=message,
        field=use.field,
        column=use.column,
        value=shown_cell(cell)[:LONGEST_SHOWN],
    )


class _Placed(msgspec.Struct, frozen=True, kw_only=True):
    """What a column has said of one place in a record."""

    field: str
    value: Any
    cell: Cell


class _Saying(msgspec.Struct, kw_only=True):
    """What a row has said as far as it is read."""

    model: Scale | None
    values: dict[str, Any] = {}
    said: dict[str, Any] = {}
    faults: list[RowFault] = []
    notes: list[RowNote] = []
    placed: dict[tuple[str, ...], _Placed] = {}


class _Cells:
    """The cells of a sheet, read row by row as its mapping has it."""

    def __init__(
        self,
        sheet: Sheet,
        mapping: SheetMapping,
        kind: ListKind,
        scale: ScaleName | None,
    ) -> None:
        self._heads = Heads(sheet, mapping, kind.fields)
        self._decimal = mapping.decimal
        self._scale = None if scale is None else scale_called(scale)
        used = [(use, kind.fields.by_name[use.field]) for use in mapping.columns]
        # the scale first: lengths of the full size are read by it
        self._used = sorted(used, key=lambda pair: not pair[1].sets_scale)

    def read(self, number: int, row: Row) -> ReadRow:
        """Return what a row says."""
        row_so_far = _Saying(model=self._scale)
        for use, field in self._used:
            if use.column <= len(row) and not is_empty(row[use.column - 1]):
                self._take(
                    row[use.column - 1],
                    use,
                    field,
                    row_so_far,
                )
        by_column = sorted(row_so_far.faults, key=lambda fault: fault.column or 0)
        return ReadRow(
            row=number,
            values=row_so_far.values,
            said=row_so_far.said,
            faults=tuple(by_column),
            notes=tuple(row_so_far.notes),
        )

    def _take(self, cell: Cell, use: SheetColumn, field: Field, row: _Saying) -> None:
        """Put what a cell says to what its row has said."""
        around = Around(
            unit=use.unit,
            decimal=self._decimal,
            scale=row.model,
        )
        read = read_cell(field, cell, around)
        trouble = self._trouble(field, read, row)
        if trouble is not None:
            row.faults.append(self._heads.fault(trouble, field=field.name, cell=cell))
        if isinstance(read, Trouble):
            return
        if field.sets_scale:
            row.model = scale_called(read.value)
        if read.note is not None:
            row.notes.append(_note(use, cell, code="understood", message=read.note))
        if trouble is not None or read.value is None:
            return
        if not field.path:
            row.said[field.name] = read.value
            return
        row.placed[field.path] = _Placed(
            field=field.name,
            value=read.value,
            cell=cell,
        )
        _place(row.values, field, read.value)

    def _trouble(self, field: Field, read: Read, row: _Saying) -> Trouble | None:
        """Return why a cell is not taken: it cannot be read, or another column has said
        otherwise.
        """
        if isinstance(read, Trouble):
            return read
        before = row.placed.get(field.path)
        if before is None or read.value is None or before.value == read.value:
            return None
        return _contradicts(before, self._heads)


def _contradicts(before: _Placed, heads: Heads) -> Trouble:
    where = letters(heads.column(before.field) or 0)
    message = (
        f"cannot be kept beside column {where}, which has"
        f" “{shown_cell(before.cell)[:LONGEST_SHOWN]}”"
    )
    mend = (
        "leave one of the two columns out of the mapping, or empty one of the two cells"
    )
    return Trouble(code="contradiction", message=message, mend=mend)


def _place(values: dict[str, Any], field: Field, value: Any) -> None:
    within = values
    for name in field.path[:-1]:
        within = within.setdefault(name, {})
    within[field.path[-1]] = value
    values.update(field.also)


def flat(body: Table[str, Any], fields: Fields) -> dict[str, Any]:
    """Return a record's body as the columns of the service's own files have it: values
    by the fields' names.
    """
    found: dict[str, Any] = {}
    for field in fields.every:
        within: Any = body
        for name in field.path:
            within = within.get(name) if isinstance(within, dict) else None
        if field.path and field.exported and within is not None:
            found[field.name] = within
    return found
