"""Rows out as a file of text or as a workbook: text stays text, numbers stay numbers,
and nothing is a formula.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from types import MappingProxyType
from typing import Any

import xlsxwriter

from standage.exchange.guarded_text import guarded

Out = str | int | float | None
Rows = Sequence[Sequence[Out]]
_WIDEST = 60
_ALWAYS_THE_SAME = datetime(2026, 1, 1, tzinfo=UTC)
"""So that the same rows are the same bytes, and a reader who has them already is told
so.
"""


def csv_bytes(rows: Iterable[Sequence[Out]]) -> bytes:
    """Return rows as CSV (RFC 4180) in UTF-8 with the mark that spreadsheets know it
    by.
    """
    return marked(csv_text(rows))


def marked(text: str) -> bytes:
    """Return text in UTF-8 with the mark that spreadsheets know it by."""
    return text.encode("utf-8-sig")


def csv_text(rows: Iterable[Sequence[Out]]) -> str:
    """Return rows as CSV (RFC 4180), still to be encoded."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_told(cell) for cell in row])
    return text.getvalue()


def _told(cell: Out) -> str:
    if cell is None:
        return ""
    return guarded(cell) if isinstance(cell, str) else shown_number(cell)


def shown_number(value: float) -> str:
    """Return a number with all its figures and no needless nought.

    >>> shown_number(96.0), shown_number(163.8)
    ('96', '163.8')
    """
    figure = float(value)
    if figure.is_integer():
        return str(int(figure))
    return repr(figure)


class _Exact(float):
    """A number that is written with all its figures, whatever its writer asks for: it
    would cut them off at sixteen.
    """

    def __format__(self, _spec: str) -> str:
        return shown_number(self)


def xlsx_bytes(
    rows: Rows, *, sheet: str, beside: Mapping[str, Rows] = MappingProxyType({})
) -> bytes:
    """Return rows as a workbook whose first row heads the columns; what is ``beside``
    them has sheets of its own.
    """
    made = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(made, options) as book:
        book.set_properties({"created": _ALWAYS_THE_SAME})
        head = book.add_format({"bold": True})
        for name, written in ((sheet, rows), *beside.items()):
            page = book.add_worksheet(name)
            page.freeze_panes(1, 0)
            for number, row in enumerate(written):
                _write(page, number, row, style=None if number else head)
            titles = written[0] if written else ()
            for column, title in enumerate(titles):
                width = len(str(title)) + 2
                page.set_column(column, column, min(max(width, 8), _WIDEST))
    return made.getvalue()


def _write(page: Any, number: int, row: Sequence[Any], *, style: Any) -> None:
    for column, cell in enumerate(row):
        if isinstance(cell, str):
            page.write_string(number, column, guarded(cell), style)
        elif cell is not None:
            page.write_number(number, column, _Exact(cell))
