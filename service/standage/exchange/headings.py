"""Which row of a sheet heads its columns, what each column holds, and in which unit: a
suggestion, never a decision.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain, zip_longest
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.exchange.cells import MOST_COLUMNS, Cell, Row, Sheet, is_empty, letters
from standage.exchange.column_cells import LOOKED_AT, Sheetwide
from standage.exchange.fields import UNITS, Fields, Unit
from standage.exchange.head_words import Known, by_words, known_head
from standage.exchange.list_kinds import ListKind
from standage.exchange.numbers import Decimal
from standage.exchange.rows_apart import units_of
from standage.exchange.values import shown_cell
from standage.railway.terms.figures import says
from standage.railway.terms.scales import ScaleName
from standage.railway.terms.scales import scale as scale_called
from standage.shapes.faults import Fault, Ruled

_HEADINGS_WITHIN = 20
_SAMPLES = 3
_LONGEST_SAMPLE = 60
_OF_THE_FULL_SIZE = frozenset({"ft", "m"})
"""A length in these is worked out for the model: beside it, one in mm or inches is
measured.
"""

_FIGURE = re.compile(r"[\d.,]*\d[\d.,]*")
_COMMA = re.compile(r"\d,(?:\d{1,2}|\d{4,})(?!\d)|\d\.\d{3},\d")
_POINT = re.compile(r"\d\.(?:\d{1,2}|\d{4,})(?!\d)|\d,\d{3}\.\d")
_SEVERAL_POINTS = re.compile(r"\d\.\d+\.\d")
"""A date, or thousands and thousands: no tenths."""


class SheetColumn(Ruled, frozen=True, kw_only=True):
    """That a column holds one field of the records."""

    column: Annotated[
        int,
        msgspec.Meta(ge=1, le=MOST_COLUMNS),
        says("The column, counted from 1 at the left."),
    ]
    field: Annotated[str, says("What it holds.")]
    unit: Annotated[
        Unit | None,
        says("The unit of its bare figures; the service's own if not said."),
    ] = None


class SheetMapping(Ruled, frozen=True, kw_only=True):
    """What the columns of a sheet hold; a kind of list adds what holds for all rows
    that do not say it themselves.
    """

    header_row: Annotated[
        Annotated[int, msgspec.Meta(ge=0, le=1000)],
        says("The row that heads the columns; 0 where none does."),
    ] = 1
    columns: Annotated[
        tuple[SheetColumn, ...],
        msgspec.Meta(max_length=MOST_COLUMNS),
        says("The columns that are taken, in any order."),
    ] = ()
    decimal: Annotated[
        Decimal,
        says(
            "What stands before the tenths; with either, what can be read in two ways"
            " is a fault."
        ),
    ] = "either"

    def rules(self) -> Iterable[Fault]:
        """A column is used once, and a field stands in one column."""
        for name in ("column", "field"):
            seen = set()
            for position, use in enumerate(self.columns):
                value = getattr(use, name)
                if value in seen:
                    message = (
                        f"{value} is used twice"
                        if name == "field"
                        else f"column {value} is used twice"
                    )
                    yield Fault(
                        code="repeated",
                        message=message,
                        pointer=f"/columns/{position}/{name}",
                    )
                seen.add(value)


class Column(msgspec.Struct, frozen=True, kw_only=True):
    """One column of the sheet as it was found, and what it was taken to hold."""

    column: Annotated[int, says("Counted from 1 at the left.")]
    letters: Annotated[str, says("As a spreadsheet letters it.")]
    header: Annotated[str, says("What stands at its head; empty where nothing does.")]
    samples: Annotated[tuple[str, ...], says("What stands in its first rows.")]
    field: Annotated[
        str | None, says("What it is taken to hold; null where it is left out.")
    ] = None
    unit: Annotated[str | None, says("The unit that its head names.")] = None
    how: Annotated[
        Literal["named", "nearly", "taken_already", "unknown", "no_header"],
        says(
            "Why: its head names it, or nearly does; another column holds it already;"
            " nothing known; no head."
        ),
    ] = "unknown"
    remark: Annotated[
        str | None,
        says("What its cells say, where that is more than its head or otherwise."),
    ] = None


class Suggestion(msgspec.Struct, frozen=True, kw_only=True):
    """A mapping found by the sheet's own words, and each column's part in it."""

    mapping: SheetMapping
    columns: tuple[Column, ...]


def suggested(
    sheet: Sheet, kind: ListKind, *, scale: ScaleName | None = None
) -> Suggestion:
    """Return the likeliest mapping of ``sheet`` as a list of one kind; ``scale`` is the
    one that its club works in.
    """
    header_row = _header_row(sheet.rows, kind.fields)
    columns = found_columns(sheet, header_row, kind, scale=scale)
    uses = tuple(
        SheetColumn(
            column=one.column,
            field=one.field,
            unit=one.unit,  # type: ignore[arg-type]  # from the table
        )
        for one in columns
        if one.field is not None
    )
    decimal = decimal_of(chain.from_iterable(sheet.rows))
    mapping = SheetMapping(
        header_row=header_row,
        columns=uses,
        decimal=decimal,
    )
    return Suggestion(mapping=mapping, columns=columns)


def is_list(sheet: Sheet, kind: ListKind) -> bool:
    """Tell whether a sheet looks like a list of one kind: it names its things, says
    more of them, and has rows.
    """
    found = suggested(sheet, kind).mapping
    fields = {use.field for use in found.columns}
    return (
        bool(fields & kind.naming)
        and len(fields) > 1
        and len(sheet.rows) > found.header_row > 0
    )


def of_unit(use: SheetColumn, fields: Fields) -> Iterator[Fault]:
    """Yield that a unit is none of those of the field that its column holds."""
    known = UNITS.get(fields.by_name[use.field].sort, ())
    if use.unit is None or use.unit in known:
        return
    instead = f": use {', '.join(known)}" if known else ", which has none"
    message = f"is no unit of {use.field}{instead}"
    yield Fault(
        code="not_a_choice",
        message=message,
        pointer="/unit",
    )


def _header_row(rows: tuple[Row, ...], fields: Fields) -> int:
    """Return the row in which most cells head a known field, counted from 1.

    Where no row has any, the first where it holds words only, and otherwise 0: then
    there is no heading.
    """
    known = [_headed(row, fields) for row in rows[:_HEADINGS_WITHIN]]
    most = max(known, default=0)
    if most > 0:
        return known.index(most) + 1
    only_words = all(map(_is_words, rows[0]))
    if only_words:
        return 1
    return 0


def _is_words(cell: Cell) -> bool:
    if not isinstance(cell, str):
        return False
    return re.search(r"\d", cell) is None


def _headed(row: Row, fields: Fields) -> int:
    """Return how many cells of a row head a known field; none where more hold figures,
    as the rows below have.
    """
    known = figures = 0
    for cell in row:
        if is_empty(cell):
            continue
        text = shown_cell(cell)
        known += by_words(text, fields) is not None
        if len(text) < _LONGEST_SAMPLE:
            figures += _FIGURE.fullmatch(text.strip()) is not None
    if known >= figures:
        return known
    return 0


def found_columns(
    sheet: Sheet, header_row: int, kind: ListKind, *, scale: ScaleName | None = None
) -> tuple[Column, ...]:
    """Return every column of the sheet with what its head and its cells say; of several
    for one field, the best.

    ``scale`` is the one that the list's club works in.
    """
    of_units: Row = ()
    if 0 < header_row < len(sheet.rows):
        of_units = sheet.rows[header_row]
    first = header_row
    if units_of(of_units):
        first += 1
    titles = _titles(sheet, header_row)
    known = [known_head(title, kind.fields) for title in titles]
    below = sheet.rows[first:]
    cells = [_cells(below, position) for position in range(len(titles))]
    around = _around(
        sheet,
        known,
        cells,
        kind,
        club=scale,
    )
    known = _with_units(known, of_units)
    headed = zip(titles, known, cells, strict=True)
    found = [
        _column(
            position,
            _Headed(*one),
            kind,
            around,
        )
        for position, one in enumerate(headed, start=1)
    ]
    return _best_for_each_field(found, known)


def _titles(sheet: Sheet, header_row: int) -> list[str]:
    """Return what stands at the head of each column of the sheet; nothing where there
    is no heading.
    """
    heads: Row = ()
    if 1 <= header_row <= len(sheet.rows):
        heads = sheet.rows[header_row - 1]
    titles = [shown_cell(cell).strip() for cell in heads]
    width = max(map(len, sheet.rows))
    padding = [""] * (width - len(titles))
    return titles + padding


def _best_for_each_field(
    found: Sequence[Column], known: Sequence[Known | None]
) -> tuple[Column, ...]:
    """Return the columns, with a field left only to the one of several that says it
    best.
    """
    best: dict[str, tuple[int, bool, int]] = {}
    for position, (column, head) in enumerate(zip(found, known, strict=True)):
        if column.field is not None and head is not None:
            place = (head.rank, column.unit in _OF_THE_FULL_SIZE, position)
            best[column.field] = min(best.get(column.field, place), place)
    taken = {position for *_, position in best.values()}
    columns: list[Column] = []
    for position, column in enumerate(found):
        if column.field is None or position in taken:
            columns.append(column)
        else:
            columns.append(_taken_already(column))
    return tuple(columns)


def _taken_already(column: Column) -> Column:
    return msgspec.structs.replace(
        column,
        field=None,
        how="taken_already",
        remark=None,
    )


def _with_units(known: Sequence[Known | None], below: Row) -> list[Known | None]:
    """Return what heads the columns, with the units that stand in a row of their own
    below.
    """
    units = units_of(below)
    beside = zip_longest(known, units[: len(known)])
    return [head and head.in_unit(unit) for head, unit in beside]


def _cells(rows: Sequence[Row], position: int) -> list[Cell]:
    """Return the first of a column's cells that hold anything."""
    filled: list[Cell] = []
    for row in rows:
        if position >= len(row) or is_empty(row[position]):
            continue
        filled.append(row[position])
        if len(filled) == LOOKED_AT:
            break
    return filled


def _around(
    sheet: Sheet,
    known: Sequence[Known | None],
    cells: Sequence[Sequence[Cell]],
    kind: ListKind,
    *,
    club: ScaleName | None,
) -> Sheetwide:
    """Return what every column is read by: the scale is the one that most rows name,
    else the club's.
    """
    names: Counter[ScaleName] = Counter()
    named: set[str] = set()
    for head, column in zip(known, cells, strict=True):
        if head is None:
            continue
        named.add(head.field.name)
        names.update(kind.scales_named(head.field, column))
    name = max(
        names,
        key=names.__getitem__,
        default=club,
    )
    return Sheetwide(
        decimal=decimal_of(chain.from_iterable(sheet.rows)),
        scale=None if name is None else scale_called(name),
        named=frozenset(named),
    )


class _Headed(NamedTuple):
    """What heads a column, what that names, and its first cells."""

    title: str
    known: Known | None
    cells: Sequence[Cell]


def _column(number: int, one: _Headed, kind: ListKind, around: Sheetwide) -> Column:
    title, known, cells = one
    samples = tuple(shown_cell(cell)[:_LONGEST_SAMPLE] for cell in cells[:_SAMPLES])
    column = Column(
        column=number,
        letters=letters(number),
        header=title[:_LONGEST_SAMPLE],
        samples=samples,
        how="unknown" if title else "no_header",
    )
    if known is None:
        return column
    holds = kind.held(known.field, known.unit, cells, around, head=title)
    how: Literal["named", "nearly", "unknown"] = "nearly" if known.nearly else "named"
    if holds.field is None:
        how = "unknown"
    remark = holds.remark or None
    return msgspec.structs.replace(
        column, field=holds.field, unit=holds.unit, how=how, remark=remark
    )


def decimal_of(cells: Iterable[Cell]) -> Decimal:
    """Return what stands before the tenths where cells show one way and never the
    other.
    """
    comma = point = False
    for cell in cells:
        if not isinstance(cell, str) or len(cell) >= _LONGEST_SAMPLE:
            continue
        # 1.234.567 is parted by thousands, and says nothing of tenths
        if not cell[:1].isdigit() or _SEVERAL_POINTS.search(cell):
            continue
        comma = comma or _COMMA.search(cell) is not None
        point = point or _POINT.search(cell) is not None
    if comma == point:
        return "either"
    if comma:
        return "comma"
    return "point"
