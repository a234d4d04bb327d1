"""Workbooks into rows. Every part is looked through first; only what was looked at is
handed to the reader.
"""

import io
from collections.abc import Callable, Mapping
from datetime import date, datetime, time, timedelta
from functools import cache, partial
from typing import Any, Literal

import python_calamine

from standage.exchange import ods_look, xlsx_look
from standage.exchange.book_sheets import Leaf, chosen
from standage.exchange.cells import (
    Cell,
    Place,
    Row,
    Sheet,
    SheetFormat,
    Strange,
    bounded,
    joined,
    place,
    row_and_column,
    unreadable,
)
from standage.exchange.csv_in import read_csv
from standage.exchange.guarded_text import unguarded
from standage.exchange.number_formats import as_shown
from standage.exchange.xlsx_look import Looked, Page
from standage.exchange.xml_walk import Walk
from standage.exchange.zip_parts import Parts, repacked

_MOST_LOOKED_AT_BYTES = 16 * 1024 * 1024
"""So much of a workbook is looked through for its list: more than twice one of
10,000 rows.
"""

Book = python_calamine.CalamineWorkbook
_ZIPPED, _OLD = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


IsList = Callable[[Sheet], bool]
"""Tells whether a sheet is such a list as is meant."""


def read_sheet(
    raw: bytes,
    is_list: IsList,
    *,
    charset: str | None = None,
    wanted: str | None = None,
) -> Sheet:
    """Return the sheet in a file of any of the three sorts: which one it is, the file
    itself tells best.
    """
    if not raw.startswith((_ZIPPED, _OLD)):
        return read_csv(raw, charset=charset)
    if "mimetype" in Parts(raw):
        return read_ods(raw, is_list, wanted=wanted)
    return read_xlsx(raw, is_list, wanted=wanted)


def read_xlsx(raw: bytes, is_list: IsList, *, wanted: str | None = None) -> Sheet:
    """Return the sheet called ``wanted``, or the one that is chosen where none is;
    raises ``Faulty``.
    """
    parts = Parts(raw)
    found = xlsx_look.around(parts)
    styles = xlsx_look.telling_styles(found)
    leaves: list[Leaf] = []
    size = 0
    for page in xlsx_look.pages(found):
        size += parts.size(page.part)
        if size > _MOST_LOOKED_AT_BYTES and leaves and wanted is None:
            break
        leaves.append(
            _leaf(
                parts,
                found,
                page,
                styles,
            )
        )
    return chosen(leaves, is_list, wanted=wanted)


def _leaf(
    parts: Parts, found: Mapping[str, bytes], page: Page, styles: Mapping[str, str]
) -> Leaf:
    @cache
    def looked() -> Looked:
        return xlsx_look.looked_through(parts, page, styles)

    @cache
    def read() -> Sheet:
        pack = repacked({**found, page.part: parts.whole(page.part)})
        return _sheet(
            "xlsx",
            _book(pack),
            page.name,
            looked(),
        )

    return Leaf(
        name=page.name,
        hidden=page.hidden,
        is_filled=lambda: looked().filled > 0,
        read=read,
    )


def read_ods(raw: bytes, is_list: IsList, *, wanted: str | None = None) -> Sheet:
    """Return the sheet called ``wanted``, or the one that is chosen where none is;
    raises ``Faulty``.
    """
    parts = Parts(raw)
    ods_look.require_plain(parts)
    sheets = ods_look.looked_through(parts)
    kept = {
        name: parts.whole(name)
        for name in ("mimetype", "META-INF/manifest.xml", ods_look.CONTENT)
        if name in parts
    }
    for name in set(kept) - {"mimetype", ods_look.CONTENT}:
        Walk(lambda _name, _attributes: None).through([kept[name]], part=name)

    @cache
    def book() -> Book:
        return _book(repacked(kept))

    leaves = [
        Leaf(
            name=name,
            hidden=looked.hidden,
            is_filled=partial(bool, looked.filled),
            read=partial(_read_ods_sheet, book, name, looked),
        )
        for name, looked in sheets.items()
    ]
    return chosen(leaves, is_list, wanted=wanted)


def _read_ods_sheet(book: Callable[[], Book], name: str, looked: Looked) -> Sheet:
    return _sheet(
        "ods",
        book(),
        name,
        looked,
    )


def _book(pack: bytes) -> Book:
    try:
        return python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(pack))
    except Exception as error:
        raise _cannot_be_read() from error


def _cannot_be_read() -> Exception:
    return unreadable(
        "not_a_workbook",
        "cannot be read: save it again as an ordinary XLSX, ODS or CSV file and send"
        " that",
    )


def _sheet(form: SheetFormat, book: Book, name: str, looked: Looked) -> Sheet:
    try:
        rows = book.get_sheet_by_name(name).to_python(skip_empty_area=False)
    except Exception as error:
        raise _cannot_be_read() from error
    taken = [_row(row, number, looked) for number, row in enumerate(rows, start=1)]
    _note_formulas(taken, looked)
    kept = bounded(taken)
    return Sheet(
        format=form,
        rows=kept,
        name=name,
        joined=joined(looked.joined, len(kept)),
        hidden_rows=looked.hidden_rows,
    )


def _row(row: list[Any], number: int, looked: Looked) -> Row:
    return tuple(
        _cell(cell, place(number, column), looked)
        for column, cell in enumerate(row, start=1)
    )


def _cell(value: Any, here: Place, looked: Looked) -> Cell:
    what = _strange(value, here, looked)
    if what is not None:
        return Strange(what=what, shown=_shown(value) or looked.said.get(here, ""))
    if isinstance(value, str):
        return unguarded(value) or None
    if not isinstance(value, int | float):
        return None
    if here in looked.formats:
        return as_shown(float(value), looked.formats[here])
    return looked.shown.get(here) or float(value)


def _strange(
    value: Any, here: Place, looked: Looked
) -> Literal["formula", "date", "error", "truth"] | None:
    if here in looked.formulas:
        return "formula"
    if here in looked.errors:
        return "error"
    if isinstance(value, bool):
        return "truth"
    if isinstance(value, datetime | date | time | timedelta):
        return "date"
    return None


def _shown(value: Any) -> str:
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    return str(value)


def _note_formulas(rows: list[Row], looked: Looked) -> None:
    """Put in formulas of which the workbook keeps no value, which the reader leaves
    out.
    """
    for here in looked.formulas:
        row, column = row_and_column(here)
        while len(rows) < row:
            rows.append(())
        cells = list(rows[row - 1])
        cells += [None] * (column - len(cells))
        if isinstance(cells[column - 1], Strange):
            continue
        shown = looked.said.get(here, "")
        cells[column - 1] = Strange(what="formula", shown=shown)
        rows[row - 1] = tuple(cells)
