"""The rows of a sheet, each as far as it says something of a vehicle."""

from collections.abc import Iterator
from collections.abc import Mapping as Table
from types import MappingProxyType
from typing import Annotated, Any

import msgspec

from standage.exchange.cells import Cell, Row, Sheet, is_empty, letters
from standage.exchange.fields import BY_NAME, Field
from standage.exchange.headings import ColumnUse, Mapping
from standage.exchange.numbers import Trouble
from standage.exchange.rows_apart import RowsApart
from standage.exchange.values import Around, Taken, read_cell, shown_cell
from standage.railway.terms.figures import says
from standage.railway.terms.scales import Scale, scale

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
    field: Annotated[str | None, says("The vehicle's field.")] = None
    value: Annotated[str | None, says("What stands in the cell.")] = None


class RowNote(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Something of a row to look at: a likely slip, or what was understood in reading
    it. It stops nothing.
    """

    code: Annotated[str, says("Stable, for programs.")]
    message: Annotated[str, says("What was understood, or what was probably meant.")]
    field: Annotated[str | None, says("The vehicle's field.")] = None
    column: Annotated[int | None, says("The column, counted from 1.")] = None
    value: Annotated[str | None, says("What stands in the cell.")] = None


class ReadRow(msgspec.Struct, frozen=True, kw_only=True):
    """What one row says: values by their place in a vehicle, whose it is, and all that
    is wrong with it.
    """

    row: int
    values: dict[str, Any]
    record_id: str | None
    owner: str | None
    faults: tuple[RowFault, ...]
    notes: tuple[RowNote, ...]
    apart: Trouble | None = None
    """Why the row is no vehicle at all."""
    called: str | None = None
    """What the vehicle is called where no column holds names: by its kind and its
    number.
    """


class Heads:
    """Where each field stands in a sheet, to name the place of a fault."""

    def __init__(self, sheet: Sheet, mapping: Mapping) -> None:
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
        known = BY_NAME.get(field)
        if known is not None and known.path:
            for name, column in self._uses.items():
                if BY_NAME[name].path == known.path:
                    return column
        if field.endswith("_coupling.type"):
            return self._uses.get("couplings")
        return None

    def _headed(self, column: int) -> str | None:
        if column > len(self._head):
            return None
        cell = self._head[column - 1]
        if is_empty(cell):
            return None
        return shown_cell(cell).strip()[:LONGEST_SHOWN]


def read_rows(
    sheet: Sheet,
    mapping: Mapping,
    *,
    joined: Table[int, frozenset[int]] = MappingProxyType({}),
) -> Iterator[ReadRow]:
    """Yield every row below the heading that is not empty; ``joined`` says of which
    cells the ones above are said.
    """
    heads = Heads(sheet, mapping)
    # the scale first: lengths of the full size are read by it
    ordered = sorted(mapping.columns, key=lambda use: use.field != "scale")
    apart = RowsApart(sheet, mapping.header_row)
    first = mapping.header_row + 1
    for number, row in enumerate(sheet.rows[mapping.header_row :], start=first):
        if all(map(is_empty, row)) or apart.is_of_units(number, row):
            continue
        read = _read(number, row, ordered, mapping, heads)
        from_above = joined.get(number, frozenset())
        below = [use for use in mapping.columns if use.column in from_above]
        said_above = (_joined(use, row[use.column - 1]) for use in below)
        yield msgspec.structs.replace(
            read,
            apart=apart.trouble(number, row),
            called=_called(row, read, heads),
            notes=(*read.notes, *said_above),
        )


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


def _joined(use: ColumnUse, cell: Cell) -> RowNote:
    words = "is joined with the cell above it, whose value is taken"
    return RowNote(
        code="joined",
        message=words,
        field=use.field,
        column=use.column,
        value=shown_cell(cell)[:LONGEST_SHOWN],
    )


def _read(
    number: int, row: Row, uses: list[ColumnUse], mapping: Mapping, heads: Heads
) -> ReadRow:
    model = None if mapping.scale is None else scale(mapping.scale)
    said: dict[str, Any] = {}
    values: dict[str, Any] = {}
    faults: list[RowFault] = []
    notes: list[RowNote] = []
    placed: dict[tuple[str, ...], _Placed] = {}
    for use in uses:
        if use.column > len(row) or is_empty(row[use.column - 1]):
            continue
        cell = row[use.column - 1]
        field = BY_NAME[use.field]
        around = Around(unit=use.unit, decimal=mapping.decimal, scale=model)
        read = read_cell(field, cell, around)
        if isinstance(read, Trouble):
            faults.append(heads.fault(read, field=field.name, cell=cell))
            continue
        model = _scale(field, read, model)
        if read.note is not None:
            notes.append(_note(read.note, field, use, cell))
        if read.value is None:
            continue
        if not field.path:
            said[field.name] = read.value
            continue
        before = placed.get(field.path)
        if before is not None and before.value != read.value:
            trouble = _contradicts(before, heads)
            faults.append(heads.fault(trouble, field=field.name, cell=cell))
            continue
        placed[field.path] = _Placed(field=field.name, value=read.value, cell=cell)
        _place(values, field, read.value)
    if "couplings" in said:
        # a column for one end says more than the one for both
        for end in ("front_coupling", "rear_coupling"):
            values.setdefault(end, {}).setdefault("type", said["couplings"])
    return ReadRow(
        row=number,
        values=values,
        record_id=said.get("id"),
        owner=said.get("owner"),
        faults=tuple(sorted(faults, key=lambda fault: fault.column or 0)),
        notes=tuple(notes),
    )


class _Placed(msgspec.Struct, frozen=True, kw_only=True):
    """What a column has said of one place in a vehicle."""

    field: str
    value: Any
    cell: Cell


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


def _scale(field: Field, read: Taken, model: Scale | None) -> Scale | None:
    if field.name != "scale":
        return model
    return scale(read.value)


def _note(words: str, field: Field, use: ColumnUse, cell: Cell) -> RowNote:
    shown = shown_cell(cell)[:LONGEST_SHOWN]
    return RowNote(
        code="understood",
        message=words,
        field=field.name,
        column=use.column,
        value=shown,
    )


def _place(values: dict[str, Any], field: Field, value: Any) -> None:
    within = values
    for name in field.path[:-1]:
        within = within.setdefault(name, {})
    within[field.path[-1]] = value
    values.update(field.also)


def flat(body: Table[str, Any]) -> dict[str, Any]:
    """Return a vehicle's body as the columns of the service's own files have it: values
    by the fields' names.
    """
    found: dict[str, Any] = {}
    for field in BY_NAME.values():
        within: Any = body
        for name in field.path:
            within = within.get(name) if isinstance(within, dict) else None
        if field.path and field.exported and within is not None:
            found[field.name] = within
    return found
