"""Workbooks of several sheets: which one is taken, and what is told of the others."""

import io
from collections.abc import Callable
from typing import Any

import pytest
import xlsxwriter

from api.asking import Caller, faults
from api.sheets import counted, previewed, sent
from support.workbooks import book, ods_book, ods_cell, ods_parts, packed

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ODS = "application/vnd.oasis.opendocument.spreadsheet"
BOOKS: list[tuple[Callable[..., bytes], str]] = [(book, XLSX), (ods_book, ODS)]
STOCK: list[list[Any]] = [["Name", "Length over buffers (mm)"], ["Ore wagon", 88.9]]
both_forms = pytest.mark.parametrize(("made", "media_type"), BOOKS)


def told(preview: dict[str, Any], field: str) -> list[str]:
    return [one["message"] for one in preview["assumed"] if one["field"] == field]


@both_forms
def test_a_hidden_sheet_behind_an_empty_one_is_named_and_can_be_asked_for(
    steward: Caller, made: Callable[..., bytes], media_type: str
) -> None:
    raw = made({"Sheet1": [], "Our stock": STOCK}, hidden=["Our stock"])
    refused = sent(steward, raw, media_type)
    assert faults(refused) == {"": "empty"}
    assert "sheet=Our%20stock" in refused.text
    assert counted(previewed(steward, raw, media_type, "?sheet=Our%20stock")) == {
        "create": 1
    }


@both_forms
def test_a_hidden_list_beside_one_that_is_shown_is_told_and_left_out(
    steward: Caller, made: Callable[..., bytes], media_type: str
) -> None:
    raw = made({"Stock": STOCK, "Sold": STOCK}, hidden=["Sold"])
    preview = previewed(steward, raw, media_type)
    assert preview["file"]["sheet"] == "Stock"
    (message,) = told(preview, "sheet")
    assert "hidden" in message
    assert "sheet=Sold" in message


@both_forms
def test_the_list_is_found_behind_a_page_of_other_things(
    steward: Caller, made: Callable[..., bytes], media_type: str
) -> None:
    cover = [["The club's stock"], ["as of May"], ["Do not edit"]]
    people = [["Name", "Telephone"], ["Hazel", "12"]]
    preview = previewed(
        steward, made({"Cover": cover, "Members": people, "Stock": STOCK}), media_type
    )
    assert preview["file"]["sheet"] == "Stock"
    assert preview["file"]["other_sheets"] == ["Cover", "Members"]
    assert told(preview, "sheet") == []


@both_forms
def test_of_several_lists_the_first_is_taken_and_the_others_are_named(
    steward: Caller, made: Callable[..., bytes], media_type: str
) -> None:
    raw = made({"Engines": STOCK, "Coaches": STOCK, "Notes": [["x"]], "Wagons": STOCK})
    preview = previewed(steward, raw, media_type)
    assert preview["file"]["sheet"] == "Engines"
    (message,) = told(preview, "sheet")
    assert "sheet=Coaches or sheet=Wagons" in message
    assert (
        previewed(steward, raw, media_type, "?sheet=coaches")["file"]["sheet"]
        == "Coaches"
    )


@both_forms
def test_a_heading_alone_is_no_list_where_another_sheet_has_rows(
    steward: Caller, made: Callable[..., bytes], media_type: str
) -> None:
    preview = previewed(steward, made({"Short": STOCK[:1], "Long": STOCK}), media_type)
    assert preview["file"]["sheet"] == "Long"


@both_forms
def test_where_all_sheets_are_empty_none_is_named(
    steward: Caller, made: Callable[..., bytes], media_type: str
) -> None:
    refused = sent(steward, made({"Sheet1": [], "Sheet2": []}), media_type)
    assert faults(refused) == {"": "empty"}
    assert "sheet=" not in refused.text


STOCK_OF_THREE: list[list[str]] = [
    ["Name", "Number"],
    ["Ore wagon", "1"],
    ["Sold wagon", "2"],
    ["Tar wagon", "3"],
]


def hiding_in_xlsx() -> bytes:
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as workbook:
        page = workbook.add_worksheet()
        for number, row in enumerate(STOCK_OF_THREE):
            page.write_row(number, 0, row)
        page.set_row(2, None, None, {"hidden": True})
    return made.getvalue()


def hiding_in_ods() -> bytes:
    lines = [
        f"{''.join(map(ods_cell, row))}</table:table-row>" for row in STOCK_OF_THREE
    ]
    visible = [
        (
            '<table:table-row table:visibility="filter">'
            if at == 2
            else "<table:table-row>"
        )
        for at in range(4)
    ]
    table = "".join(start + line for start, line in zip(visible, lines, strict=True))
    return packed(ods_parts(f'<table:table table:name="S">{table}</table:table>'))


@pytest.mark.parametrize(
    ("hiding", "media_type"), [(hiding_in_xlsx, XLSX), (hiding_in_ods, ODS)]
)
def test_rows_that_a_filter_hides_are_taken_and_told(
    steward: Caller, hiding: Callable[[], bytes], media_type: str
) -> None:
    preview = previewed(steward, hiding(), media_type)
    assert counted(preview) == {"create": 3}
    (message,) = told(preview, "rows")
    assert "row 3" in message


def test_a_sheet_that_cannot_be_read_harms_no_other(steward: Caller) -> None:
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True}) as workbook:
        page = workbook.add_worksheet("Stock")
        for number, row in enumerate(STOCK_OF_THREE):
            page.write_row(number, 0, row)
        workbook.add_worksheet("Diary").write(900_000, 300, "far out")
    assert counted(previewed(steward, made.getvalue(), XLSX)) == {"create": 3}
    assert faults(sent(steward, made.getvalue(), XLSX, "?sheet=Diary")) == {
        "": "too_far_out"
    }
