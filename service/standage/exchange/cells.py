"""What a spreadsheet is once it has been read: rows of cells, each a text, a number, nothing, or something unusable."""

from typing import Literal

import msgspec

from standage.railway.terms.faults import Fault, Faulty

MOST_ROWS = 20_000
MOST_COLUMNS = 200
LONGEST_CELL = 32_767
"""As many characters as the common spreadsheets let a cell have."""

SheetFormat = Literal["csv", "xlsx", "ods"]


class Strange(msgspec.Struct, frozen=True, kw_only=True):
    """A cell whose value is not taken, and why: it is reckoned, or the spreadsheet has made something else of it."""

    what: Literal["formula", "date", "error", "truth"]
    shown: str = ""


Cell = str | float | Strange | None
Row = tuple[Cell, ...]


class Sheet(msgspec.Struct, frozen=True, kw_only=True):
    """One sheet of a file. The first of ``rows`` is row 1 as people count; rows may be of unlike lengths."""

    format: SheetFormat
    rows: tuple[Row, ...]
    name: str | None = None
    others: tuple[str, ...] = ()
    """The other sheets of the file, which are not looked at."""
    read_as: str = ""
    """How a file of text was read: its characters and what stands between its columns."""


def unreadable(code: str, message: str) -> Faulty:
    """Return the refusal of a whole file."""
    return Faulty([Fault(code=code, message=message, pointer="")])


def is_empty(cell: Cell) -> bool:
    """Tell whether a person would call the cell empty."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def trimmed(row: Row) -> Row:
    """Return the row without the empty cells at its end."""
    end = len(row)
    while end and is_empty(row[end - 1]):
        end -= 1
    return row[:end]


def bounded(rows: list[Row]) -> tuple[Row, ...]:
    """Return rows without what is empty at their ends; raises ``Faulty`` beyond the bounds of a stock list."""
    kept = [trimmed(row) for row in rows]
    while kept and not kept[-1]:
        kept.pop()
    if len(kept) > MOST_ROWS:
        raise unreadable("too_many_rows", f"has {len(kept)} rows, but at most {MOST_ROWS} are taken: divide the file")
    widest = max(map(len, kept), default=0)
    if widest > MOST_COLUMNS:
        raise unreadable("too_many_columns", f"has {widest} columns, but at most {MOST_COLUMNS} are taken")
    if not kept:
        raise unreadable("empty", "holds no row at all: is it the right file, and the right sheet of it?")
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
