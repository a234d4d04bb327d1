"""Workbooks as members' programs write them: values, formulas, dates, several
sheets.
"""

import io

import pytest
import xlsxwriter

from standage.exchange.cells import Cell, Joined, Sheet, Strange, joined, spread
from standage.exchange.stock.stock import lists_stock
from standage.exchange.workbooks_in import read_ods, read_xlsx
from standage.shapes.faults import Faulty
from support.workbooks import ods, ods_cell, ods_parts, packed, workbook

ROWS: list[list[str | float | None]] = [
    ["Name", "Length (mm)"],
    ["Ore wagon", 88.9],
    ["Köf", None, "a\nb"],
]
READ: tuple[tuple[Cell, ...], ...] = (
    ("Name", "Length (mm)"),
    ("Ore wagon", 88.9),
    ("Köf", None, "a\nb"),
)


def test_texts_and_numbers_are_read_from_xlsx() -> None:
    sheet = read_xlsx(workbook(ROWS), lists_stock)
    assert (sheet.format, sheet.name, sheet.rows) == ("xlsx", "Stock", READ)


def test_texts_and_numbers_are_read_from_ods() -> None:
    sheet = read_ods(
        ods([["Name", "Length (mm)"], ["Ore wagon", 88.9], ["Köf", None, "x"]]),
        lists_stock,
    )
    assert (sheet.format, sheet.name) == ("ods", "Stock")
    assert sheet.rows == (
        ("Name", "Length (mm)"),
        ("Ore wagon", 88.9),
        ("Köf", None, "x"),
    )


def test_a_formula_is_no_value_whatever_it_came_to() -> None:
    sheet = read_xlsx(
        workbook(
            [["Name", "Length"], ["Ore wagon", "=44.45*2"], [None, None, None, "=A1"]]
        ),
        lists_stock,
    )
    assert isinstance(sheet.rows[1][1], Strange)
    assert sheet.rows[1][1].what == "formula"
    assert sheet.rows[2][3] == Strange(what="formula", shown="0")


def test_a_formula_in_ods_is_no_value_either() -> None:
    formula = ods_cell(88.9, 'table:formula="of:=44.45*2"')
    table = (
        "<table:table"
        f' table:name="S"><table:table-row>{ods_cell("Ore")}{formula}</table:table-row></table:table>'
    )
    assert read_ods(packed(ods_parts(table)), lists_stock).rows == (
        ("Ore", Strange(what="formula", shown="88.9")),
    )


def test_what_the_spreadsheet_has_made_of_a_text_is_not_taken_for_it() -> None:
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as book:
        page = book.add_worksheet()
        page.write_number(0, 0, 46054, book.add_format({"num_format": "d mmm yyyy"}))
        page.write(0, 1, bool(page))
        page.write_formula(0, 2, "=1/0", None, "#DIV/0!")
    (row,) = read_xlsx(made.getvalue(), lists_stock).rows
    assert row[:2] == (
        Strange(what="date", shown="2026-02-01"),
        Strange(what="truth", shown="True"),
    )
    assert isinstance(row[2], Strange)


def two_sheets() -> bytes:
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as book:
        book.add_worksheet("Empty")
        hidden = book.add_worksheet("Old")
        hidden.write_string(0, 0, "hidden")
        hidden.hide()
        for name in ("Stock", "Layouts"):
            book.add_worksheet(name).write_string(0, 0, name)
    return made.getvalue()


def test_the_first_sheet_with_anything_in_it_is_read_and_the_others_are_named() -> None:
    sheet = read_xlsx(two_sheets(), lists_stock)
    assert (sheet.name, sheet.rows, sheet.others) == (
        "Stock",
        (("Stock",),),
        ("Empty", "Old", "Layouts"),
    )


def test_another_sheet_can_be_asked_for() -> None:
    assert read_xlsx(two_sheets(), lists_stock, wanted="Layouts").rows == (
        ("Layouts",),
    )
    with pytest.raises(Faulty) as refused:
        read_xlsx(two_sheets(), lists_stock, wanted="Trains")
    assert "Layouts" in refused.value.faults[0].message


def test_cells_far_out_that_are_only_formatted_are_no_cells() -> None:
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as book:
        page = book.add_worksheet()
        page.write_string(0, 0, "Name")
        page.write_blank(1_048_575, 16_383, None, book.add_format({"bold": True}))
    assert read_xlsx(made.getvalue(), lists_stock).rows == (("Name",),)


def test_joined_cells_are_spread_over_the_rows_below_and_no_further_than_a_sheet_goes() -> (
    None
):
    rows = (("Name", "Owner"), ("Van", "Hazel"), ("Cart",), (), ("Truck", "Robin"))
    over = Joined(column=2, top=2, bottom=5)
    sheet = Sheet(format="xlsx", rows=rows, joined=(over,))
    spread_out, put = spread(sheet, below=1)
    assert spread_out.rows == (rows[0], rows[1], ("Cart", "Hazel"), (), rows[4])
    assert put == {3: frozenset({2})}
    assert spread(sheet, below=2) == (sheet, {})
    assert len(joined([over] * 100_000, 20_000)) < 100_000
    assert joined([over] * 2000, 20_000) == (over,) * 2000
    far = Joined(column=1, top=2, bottom=1_048_576)
    assert joined([far], 3) == (far,)


def shown(value: float, text: str) -> str:
    """Return a cell of an ODS workbook with a number and what is shown of it."""
    of = f'office:value-type="float" office:value="{value}"'
    return f"<table:table-cell {of}><text:p>{text}</text:p></table:table-cell>"


def ods_of(**tables: str) -> bytes:
    sheets = (
        "<table:table"
        f' table:name="{name}"><table:table-row>{cells}</table:table-row></table:table>'
        for name, cells in tables.items()
    )
    return packed(ods_parts("".join(sheets)))


def test_what_is_shown_at_the_end_of_a_sheet_is_not_of_the_next() -> None:
    raw = ods_of(First=shown(47, "0047"), Second=shown(48, "48"))
    assert read_ods(raw, lists_stock).rows == (("0047",),)
    assert read_ods(raw, lists_stock, wanted="Second").rows == ((48.0,),)


def test_what_an_ods_workbook_shows_of_a_number_is_what_is_taken() -> None:
    cells = (
        shown(47, "0047")
        + shown(4.5, "4.5 in")
        + shown(0.5, "50%")
        + shown(82.55, "82.6")
        + shown(3, "3")
    )
    joined_cell = (
        '<table:table-cell office:value-type="string"'
        ' table:number-rows-spanned="2"><text:p>Hazel</text:p>'
    )
    first = (
        f"<table:table-row>{cells}{joined_cell}</table:table-cell></table:table-row>"
    )
    second = f"<table:table-row>{ods_cell('Cart')}</table:table-row>"
    sheet = read_ods(
        packed(
            ods_parts(f'<table:table table:name="Stock">{first}{second}</table:table>')
        ),
        lists_stock,
    )
    assert sheet.rows[0] == ("0047", "4.5 in", "50%", 82.55, 3.0, "Hazel")
    assert sheet.joined == (Joined(column=6, top=1, bottom=2),)
