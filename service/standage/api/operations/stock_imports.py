"""The operations that take a spreadsheet of stock in: send it, say what its columns
hold, look, import, undo.
"""

from typing import Annotated

import msgspec

from standage.api.operations import stock_import_acts as acts
from standage.api.operations.stock_import_acts import (
    StockImport,
    StockImportPage,
    StockImportRowPage,
)
from standage.api.web import pages
from standage.api.web.acts import Considers, Reads, Writes, always
from standage.api.web.call import CSV, ODS, XLSX
from standage.api.web.operation import (
    IMPORT_BYTES,
    About,
    Answers,
    Guard,
    Operation,
    Takes,
)
from standage.exchange.cells import SheetFormat
from standage.exchange.headings import Mapping
from standage.importing import stock_import
from standage.importing.stock_outcomes import Outcome
from standage.importing.stock_taking import Which
from standage.railway.terms.figures import Name, says
from standage.registry.writing.stock_imports import State
from standage.shapes.faults import Ruled

_PATH = "/v1/stock-imports"
_ONE = f"{_PATH}/{{stock_import_id}}"
_FORMATS: dict[str, SheetFormat] = {CSV: "csv", XLSX: "xlsx", ODS: "ods"}


class StockImportQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which sheet of a workbook is meant."""

    sheet: Annotated[
        Name | None,
        says(
            "The sheet's name; if not given, the first that is shown and lists stock."
        ),
    ] = None


class StockImportsQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which imports are wanted."""

    state: Annotated[State | None, says("Only those that have come to this.")] = None
    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None


class StockImportRowsQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which rows are wanted."""

    outcome: Annotated[Outcome | None, says("Only rows that come to this.")] = None
    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None


class StockImportCommit(Ruled, frozen=True, kw_only=True):
    """Which rows of an import are to be taken."""

    rows: Annotated[
        Which,
        says("All, which is refused while any is at fault; or the good ones only."),
    ]


def stock_import_operations() -> list[Operation]:
    """Return every operation on imports of stock."""
    return [_create(), _list(), _get(), _rows(), _map(), _commit(), _undo(), _rejects()]


def _create() -> Operation:
    return Operation(
        id="createStockImport",
        method="POST",
        path=_PATH,
        about=About(
            tag="Files",
            summary="Send a spreadsheet of stock and see what it would do",
            description=(
                "The file as it is, CSV, XLSX or ODS, up to 5 MB. Nothing is recorded"
                " yet: the answer tells what its columns are taken to hold, by their"
                " headings and their cells, and how many rows would make a vehicle,"
                " change one, change nothing, or are at fault. The preview is kept for"
                " a day."
            ),
        ),
        act=Considers(
            acts.gather_file,
            stock_import.read,
            acts.look_up,
            stock_import.reckon,
            acts.keep,
        ),
        answers=Answers(shape=StockImport, status=201, creates=True, tagged=True),
        takes=Takes(
            files=(CSV, XLSX, ODS), query=StockImportQuery, most_bytes=IMPORT_BYTES
        ),
        guard=Guard(rate="import"),
    )


def _list() -> Operation:
    return Operation(
        id="listStockImports",
        method="GET",
        path=_PATH,
        about=About(
            tag="Files",
            summary="List the spreadsheets of stock that were sent in",
            description=(
                "Those that are kept still, newest first: a preview for a day, what"
                " was carried out or undone for thirty days. Members see their own,"
                " stewards everybody's. Pages are joined by cursors: follow `next`"
                " until it is absent."
            ),
        ),
        act=Reads(acts.gather_imports, acts.report_imports, gathers_much=True),
        answers=Answers(shape=StockImportPage, tagged=True),
        takes=Takes(query=StockImportsQuery),
    )


def _get() -> Operation:
    return Operation(
        id="getStockImport",
        method="GET",
        path=_ONE,
        about=About(
            tag="Files",
            summary="Read what a spreadsheet of stock would do, or has done",
            description=(
                "Its mapping, its columns and its counts; the rows stand beneath it."
            ),
        ),
        act=Reads(acts.gather_one, acts.report_one),
        answers=Answers(shape=StockImport, tagged=True),
    )


def _rows() -> Operation:
    return Operation(
        id="getStockImportRows",
        method="GET",
        path=f"{_ONE}/rows",
        about=About(
            tag="Files",
            summary="See what becomes of each row",
            description=(
                "Each row with what it makes or changes, every fault with its column,"
                " the value seen, what is wrong and how to mend it, and likely slips."
                " A note that many rows share is told once, as `alike` of the import."
                " Pages are joined by cursors: follow `next` until it is absent."
            ),
        ),
        act=Reads(acts.gather_rows, acts.report_rows),
        answers=Answers(shape=StockImportRowPage, tagged=True),
        takes=Takes(query=StockImportRowsQuery),
    )


def _map() -> Operation:
    return Operation(
        id="replaceStockImportMapping",
        method="PUT",
        path=f"{_ONE}/mapping",
        about=About(
            tag="Files",
            summary="Say what the columns hold, and see again what the file would do",
            description=(
                "The mapping that the preview suggests may be put back with changes."
                " What it leaves out is not taken from the file. The stock on record"
                " is looked at again too."
            ),
        ),
        act=Considers(
            acts.gather_mapped,
            stock_import.read,
            acts.look_up,
            stock_import.reckon,
            acts.keep_anew,
        ),
        answers=Answers(shape=StockImport, problems=("out_of_turn",), tagged=True),
        takes=Takes(body=Mapping),
        guard=Guard(rate="import", conditional=True),
    )


def _commit() -> Operation:
    return Operation(
        id="commitStockImport",
        method="POST",
        path=f"{_ONE}/commit",
        about=About(
            tag="Files",
            summary="Import the rows: all, or the good ones only",
            description=(
                "One transaction: everything or nothing. Refused where any vehicle"
                " that a row means, or could mean now, has changed since the preview."
                " Sent again, it does nothing more."
            ),
        ),
        act=Writes(acts.perform_commit),
        answers=Answers(
            shape=StockImport,
            problems=("out_of_turn", "outdated", "in_use"),
            tagged=True,
        ),
        takes=Takes(body=StockImportCommit),
        guard=Guard(rate="write"),
    )


def _undo() -> Operation:
    return Operation(
        id="undoStockImport",
        method="POST",
        path=f"{_ONE}/undo",
        about=About(
            tag="Files",
            summary="Undo an import as one action",
            description=(
                "What it made is deleted and what it changed is as it was. Refused,"
                " with nothing undone, where any of it was changed since or is needed"
                " by a train."
            ),
        ),
        act=Writes(acts.perform_undo),
        answers=Answers(
            shape=StockImport,
            problems=("out_of_turn", "outdated", "in_use"),
            tagged=True,
        ),
        guard=Guard(rate="write"),
    )


def _rejects() -> Operation:
    return Operation(
        id="getStockImportRejects",
        method="GET",
        path=f"{_ONE}/rejected-rows",
        about=About(
            tag="Files",
            summary="Download the rows at fault, with a column that says why",
            description=(
                "The rows as they came, under their own headings, as CSV in UTF-8:"
                " mend them there and send the file again. The last column is not"
                " taken in."
            ),
        ),
        act=Reads(
            acts.gather_rejects, acts.report_rejects, heavy=always, gathers_much=True
        ),
        answers=Answers(shape=str, media_type=CSV, tagged=True),
    )
