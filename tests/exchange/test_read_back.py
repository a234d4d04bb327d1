"""What goes out comes in again exactly, however hostile its text; and no spreadsheet
finds a formula in it.
"""

import csv
import io
import re
import zipfile

from hypothesis import given
from hypothesis import strategies as st

from standage.exchange.csv_in import read_csv
from standage.exchange.sheets_out import Out, csv_bytes, xlsx_bytes
from standage.exchange.stock.stock import lists_stock
from standage.exchange.workbooks_in import read_xlsx

LETTERS = st.characters(blacklist_categories=["Cs"], blacklist_characters="\x00")
BEGINNINGS = st.sampled_from(
    [
        "",
        "=",
        "+",
        "-",
        "@",
        "\t",
        "\r",
        "'",
        "'=",
        "''",
        "=cmd|' /C calc'!A0",
        "0047",
        "1e5",
        '"',
    ]
)
TEXT = st.builds(str.__add__, BEGINNINGS, st.text(LETTERS, max_size=20)).filter(
    str.strip
)
FIGURE = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9)
WRITABLE = TEXT.filter(
    lambda text: not re.search(r"[\ufffe\uffff]|_x[0-9A-Fa-f]{4}_", text)
)


@given(st.lists(TEXT, min_size=1, max_size=5))
def test_text_comes_back_from_csv_exactly(texts: list[str]) -> None:
    rows: list[list[Out]] = [["Name", *["x"] * len(texts)], ["first", *texts]]
    assert read_csv(csv_bytes(rows)).rows[1] == ("first", *texts)


@given(st.lists(WRITABLE, min_size=1, max_size=5), FIGURE)
def test_text_and_numbers_come_back_from_xlsx_exactly(
    texts: list[str], figure: float
) -> None:
    sheet = read_xlsx(
        xlsx_bytes(
            [["Name", *["x"] * len(texts), "y"], ["first", *texts, figure]],
            sheet="Stock",
        ),
        lists_stock,
    )
    assert sheet.rows[1] == ("first", *texts, figure)


@given(st.lists(TEXT, min_size=1, max_size=5))
def test_no_cell_of_a_csv_file_begins_as_a_formula_does(texts: list[str]) -> None:
    (row,) = csv.reader(
        io.StringIO(csv_bytes([list(texts)]).decode("utf-8-sig"), newline="")
    )
    assert [
        cell for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    ] == []


@given(st.lists(WRITABLE, min_size=1, max_size=5))
def test_no_cell_of_a_workbook_is_a_formula_or_begins_as_one_does(
    texts: list[str],
) -> None:
    raw = xlsx_bytes([list(texts)], sheet="Stock")
    with zipfile.ZipFile(io.BytesIO(raw)) as pack:
        assert b"<f>" not in pack.read("xl/worksheets/sheet1.xml")
        written = re.findall(
            r"<t[^>]*>([^<]*)</t>", pack.read("xl/sharedStrings.xml").decode()
        )
    assert [
        cell for cell in written if cell.startswith(("=", "+", "-", "@", "\t"))
    ] == []


def test_numbers_stay_numbers() -> None:
    rows: list[list[Out]] = [
        ["Name", "Length (mm)", "Count"],
        ["Van", 163.8, 6],
        ["Long", 1e-7, 12345678.25],
    ]
    assert csv_bytes(rows).decode("utf-8-sig").splitlines()[1:] == [
        "Van,163.8,6",
        "Long,1e-07,12345678.25",
    ]
    assert read_xlsx(xlsx_bytes(rows, sheet="Stock"), lists_stock).rows[1:] == (
        ("Van", 163.8, 6.0),
        ("Long", 1e-7, 12345678.25),
    )
