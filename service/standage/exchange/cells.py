"""What a spreadsheet is once it has been read: rows of cells, each a text, a number,
nothing, or something unusable.
"""

from collections.abc import Iterable, Mapping
from typing import Literal

import msgspec

from standage.shapes.faults import Fault, Faulty

MOST_ROWS = 20_000
MOST_COLUMNS = 200
LONGEST_CELL = 32_767
"""As many characters as the common spreadsheets let a cell have."""

SheetFormat = Literal["csv", "xlsx", "ods"]


class Strange(msgspec.Struct, frozen=True, kw_only=True):
    """A cell whose value is not taken, and why: it is reckoned, or the spreadsheet has
    made something else of it.
    """

    what: Literal["formula", "date", "error", "truth"]
    shown: str = ""


Cell = str | float | Strange | None
Row = tuple[Cell, ...]


Place = int
"""Where a cell stands in its sheet: one number, since there may be hundreds of
thousands.
"""

_ACROSS = 1024
_MOST_JOINED_ACROSS = 5


def place(row: int, column: int) -> Place:
    """Return the place of a cell, both counted from 1; no column is as far out as
    ``_ACROSS``.
    """
    return row * _ACROSS + column


def row_and_column(where: Place) -> tuple[int, int]:
    """Return the row and the column of a place."""
    return divmod(where, _ACROSS)


class Joined(msgspec.Struct, frozen=True, kw_only=True, array_like=True):
    """A cell joined with those below it: its column, and its first and last row, all
    counted from 1.
    """

    column: int
    top: int
    bottom: int


class Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet of a file. The first of ``rows`` is row 1 as people count; rows may be
    of unlike lengths.
    """

    format: SheetFormat
    rows: tuple[Row, ...]
    name: str | None = None
    others: tuple[str, ...] = ()
    """The other sheets of the file, which are not taken."""
    lists: tuple[str, ...] = ()
    """Those among them that list stock too."""
    hidden: tuple[str, ...] = ()
    """Hidden sheets that list stock."""
    hidden_rows: tuple[int, ...] = ()
    """Rows that the spreadsheet does not show, as where a filter is left on."""
    read_as: str = ""
    """How a file of text was read: its characters and what stands between its
    columns.
    """
    joined: tuple[Joined, ...] = ()


def spread(sheet: Sheet, *, below: int) -> tuple[Sheet, Mapping[int, frozenset[int]]]:
    """Return the sheet with each joined cell's value in every row that it reaches over,
    and where that was put in.

    The latter is columns by row. A cell that is joined from ``below`` or above it, as a
    title is, says nothing of rows.
    """
    rows = list(sheet.rows)
    put: dict[int, set[int]] = {}
    for one in sheet.joined:
        if one.top <= below or one.top > len(rows):
            continue
        at = one.column - 1
        cell = _at(rows[one.top - 1], at)
        if cell is None:
            continue
        last = min(one.bottom, len(rows))
        for number in range(one.top + 1, last + 1):
            row = rows[number - 1]
            # a row with nothing in it stays empty, and what stands there stays
            if is_empty(_at(row, at)) and not all(map(is_empty, row)):
                rows[number - 1] = _with(row, at, cell)
                put.setdefault(number, set()).add(one.column)
    spread_out = msgspec.structs.replace(sheet, rows=tuple(rows))
    return spread_out, {number: frozenset(columns) for number, columns in put.items()}


def _at(row: Row, at: int) -> Cell:
    if at >= len(row):
        return None
    return row[at]


def _with(row: Row, at: int, cell: Cell) -> Row:
    padding = [None] * (at - len(row))
    return (*row[:at], *padding, cell, *row[at + 1 :])


def joined(found: Iterable[Joined], rows: int) -> tuple[Joined, ...]:
    """Return the joined cells within so many rows, as far as they reach over no more
    cells than a sheet may have.

    Cells that a spreadsheet has joined never overlap, so that in its files none is left
    out.
    """
    kept = []
    left = MOST_ROWS * _MOST_JOINED_ACROSS
    for one in found:
        left -= max(min(one.bottom, rows) - one.top, 0)
        if left < 0:
            break
        kept.append(one)
    return tuple(kept)


def unreadable(code: str, message: str) -> Faulty:
    """Return the refusal of a whole file."""
    fault = Fault(
        code=code,
        message=message,
        pointer="",
    )
    return Faulty([fault])


def is_empty(cell: Cell) -> bool:
    """Tell whether a person would call the cell empty."""
    if isinstance(cell, str):
        return not cell.strip()
    return cell is None


def trimmed(row: Row) -> Row:
    """Return the row without the empty cells at its end."""
    end = len(row)
    while end and is_empty(row[end - 1]):
        end -= 1
    return row[:end]


def bounded(rows: list[Row]) -> tuple[Row, ...]:
    """Return rows without what is empty at their ends; raises ``Faulty`` beyond the
    bounds of a stock list.
    """
    kept = [trimmed(row) for row in rows]
    while kept and not kept[-1]:
        kept.pop()
    if len(kept) > MOST_ROWS:
        raise unreadable(
            "too_many_rows",
            f"has {len(kept)} rows, but at most {MOST_ROWS} are taken: divide the file",
        )
    widest = max(map(len, kept), default=0)
    if widest > MOST_COLUMNS:
        raise unreadable(
            "too_many_columns",
            f"has {widest} columns, but at most {MOST_COLUMNS} are taken",
        )
    if not kept:
        raise unreadable(
            "empty",
            "holds no row at all: is it the right file, and the right sheet of it?",
        )
    return tuple(kept)


def letters(column: int) -> str:
    """Return a column's letters as a spreadsheet shows them; the first is 1.

    >>> letters(1), letters(27)
    ('A', 'AA')
    """
    found = ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        found = chr(ord("A") + rest) + found
    return found
