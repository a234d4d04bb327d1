"""The operations that hand out lists of stock as files: the club's own, an empty one to
fill in, and a sample.
"""

from collections.abc import Callable
from functools import partial
from typing import Annotated

import msgspec

from standage.api.web.call import CSV, XLSX, Call, Reply
from standage.api.web.operation import About, Answers, Operation, Reads, Takes, always
from standage.exchange.sheets_out import Out, csv_bytes, xlsx_bytes
from standage.questions import stock_list
from standage.questions.stock_list import StockList
from standage.railway.terms.figures import IdOrName, says
from standage.registry.records.reading import Reading

_TAG = "Files"


class StockListQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Whose vehicles are listed."""

    owner_id: Annotated[IdOrName | None, says("Only this member's.")] = None


def stock_list_operations() -> list[Operation]:
    """Return every operation that hands out a list of stock."""
    blanks = (
        ("Template", "template", stock_list.template),
        ("Sample", "sample", stock_list.sample),
    )
    return [
        _list(
            "Csv",
            "csv",
            CSV,
            _as_csv,
        ),
        _list(
            "Xlsx",
            "xlsx",
            XLSX,
            _as_xlsx,
        ),
        *(
            _blank(
                noun,
                name,
                rows,
                "Csv",
                CSV,
            )
            for noun, name, rows in blanks
        ),
        *(
            _blank(
                noun,
                name,
                rows,
                "Xlsx",
                XLSX,
            )
            for noun, name, rows in blanks
        ),
    ]


_OF_A_LIST = (
    "Every vehicle with all that a list can hold of it, under headings that an import"
    " knows. Text that a spreadsheet would take for a formula has a mark before it, which"
    " the import takes off again. Of a vehicle made of several bodies the bodies"
    " themselves are not in the list."
)


def _of_a_blank(noun: str, form: str) -> str:
    """Return what there is to say of a blank list, once for all that are like it."""
    if noun == "Sample":
        return "The template with three rows filled in."
    told = "The eight columns that matter most, under headings with their units."
    if form == "Xlsx":
        told += " A second sheet heads every column, a third says what each may hold."
    return f"{told} Columns may be left out, added, moved and named otherwise."


def _list(
    form: str, ending: str, media_type: str, report: Callable[[StockList], Reply]
) -> Operation:
    return Operation(
        id=f"getStockList{form}",
        method="GET",
        path=f"/v1/stock-list.{ending}",
        about=About(
            tag=_TAG,
            summary=f"Download the stock list as {form.upper()}",
            description=_OF_A_LIST if form == "Csv" else "The same as the CSV.",
        ),
        act=Reads(_gather, report, heavy=always, gathers_much=True),
        answers=Answers(
            shape=str if media_type == CSV else bytes,
            media_type=media_type,
            tagged=True,
        ),
        takes=Takes(query=StockListQuery),
    )


def _blank(
    noun: str,
    name: str,
    rows: Callable[[], list[list[Out]]],
    form: str,
    media_type: str,
) -> Operation:
    ending = form.lower()
    return Operation(
        id=f"getStock{noun}{form}",
        method="GET",
        path=f"/v1/stock-sheets/{name}.{ending}",
        about=About(
            tag=_TAG,
            summary=f"Download a {name} of a stock list as {form.upper()}",
            description=_of_a_blank(noun, form),
        ),
        act=Reads(
            _nothing, partial(_blank_report, rows, f"stock-{name}.{ending}", media_type)
        ),
        answers=Answers(
            shape=str if media_type == CSV else bytes,
            media_type=media_type,
            tagged=True,
        ),
    )


def _gather(reading: Reading | None, call: Call) -> StockList:
    if reading is None:
        message = "a stock list was asked for without a club"
        raise TypeError(message)
    return stock_list.gather(reading, call.club_id, owner_id=call.query.owner_id)


def _nothing(_reading: Reading | None, _call: Call) -> None:
    return None


def _as_csv(stock: StockList) -> Reply:
    return _file(csv_bytes(stock_list.reckon(stock)), "stock-list.csv", CSV)


def _as_xlsx(stock: StockList) -> Reply:
    return _file(
        xlsx_bytes(stock_list.reckon(stock), sheet="Stock"), "stock-list.xlsx", XLSX
    )


def _blank_report(
    rows: Callable[[], list[list[Out]]], name: str, media_type: str, _gathered: object
) -> Reply:
    if media_type == CSV:
        return _file(csv_bytes(rows()), name, media_type)
    return _file(
        xlsx_bytes(rows(), sheet="Stock", beside=stock_list.beside()), name, media_type
    )


def _file(content: bytes, name: str, media_type: str) -> Reply:
    disposition = (("content-disposition", f'attachment; filename="{name}"'),)
    return Reply(
        content=content,
        media_type=media_type,
        headers=disposition,
    )
