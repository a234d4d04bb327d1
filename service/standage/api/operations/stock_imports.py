"""The operations that take a spreadsheet of stock in: send it, say what its columns
hold, look, import, undo.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import msgspec

from standage.api.operations.stock_import_shapes import (
    RowOutcome,
    StockImport,
    StockImportCommit,
    StockImportPage,
    StockImportQuery,
    StockImportRowPage,
    StockImportRowsQuery,
    StockImportsQuery,
)
from standage.api.web.arrival import charset_of, understood
from standage.api.web.call import CSV, ODS, XLSX, Call, Reply
from standage.api.web.operation import (
    IMPORT_BYTES,
    About,
    Answers,
    Considers,
    Guard,
    Operation,
    Reads,
    Takes,
    Writes,
    always,
    known,
)
from standage.api.web.pages import PageAsked, page_asked
from standage.exchange.sheets_out import csv_bytes
from standage.exchange.stock.mapping import Mapping
from standage.importing import preview
from standage.importing.description import ReadList
from standage.importing.preview import (
    Case,
    Content,
)
from standage.importing.taking import (
    Rejects,
    commit,
    head_of,
    rejected,
    undo,
)
from standage.importing.vehicles.description import VEHICLE_LIST
from standage.registry.records.naming import with_ids
from standage.registry.records.reading import Reading
from standage.registry.writing import list_imports
from standage.registry.writing.list_imports import KeptImport, KeptRow, Looked
from standage.registry.writing.store import Writing
from standage.shapes.refusals import OutOfTurn

_PATH = "/v1/stock-imports"


_ONE = f"{_PATH}/{{stock_import_id}}"


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
                " yet: the answer tells what its columns are taken to hold, and how"
                " many rows would do what. The preview is kept for a day."
            ),
        ),
        act=Considers(
            _gather_file,
            partial(preview.read, VEHICLE_LIST),
            _look_up,
            partial(preview.reckon, VEHICLE_LIST),
            _keep,
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
                " stewards everybody's."
            ),
        ),
        act=Reads(_gather_imports, _report_imports, gathers_much=True),
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
        act=Reads(_gather_one, _report_one),
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
            ),
        ),
        act=Reads(_gather_rows, _report_rows),
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
            _gather_mapped,
            partial(preview.read, VEHICLE_LIST),
            _look_up,
            partial(preview.reckon, VEHICLE_LIST),
            _keep_anew,
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
        act=Writes(_commit_rows),
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
        act=Writes(_undo_rows),
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
        act=Reads(_gather_rejects, _report_rejects, heavy=always, gathers_much=True),
        answers=Answers(shape=str, media_type=CSV, tagged=True),
    )


def _gather_file(reading: Reading, call: Call) -> Case[Mapping]:
    about = VEHICLE_LIST.gather(reading, call.granted)
    return Case(
        about=about,
        raw=call.body,
        charset=charset_of(call.content_type),
        sheet_name=call.query.sheet,
    )


def _look_up(
    reading: Reading, call: Call, listed: ReadList[Mapping]
) -> ReadList[Mapping]:
    return VEHICLE_LIST.look_up(reading, call.granted, listed)


def _keep(writing: Writing, call: Call, looked: Looked) -> Reply:
    kept = list_imports.keep(
        writing,
        call.granted,
        VEHICLE_LIST.sort,
        looked,
    )
    return replace(
        _told(kept), status=201, headers=(("location", f"{_PATH}/{kept.id}"),)
    )


def _told(kept: KeptImport) -> Reply:
    return Reply(content=_spoken(kept), etag=kept.etag)


def _spoken(kept: KeptImport) -> StockImport:
    head = msgspec.structs.asdict(head_of(VEHICLE_LIST, kept))
    del head["seen"]
    own = {
        name: getattr(kept, name)
        for name in ("id", "version", "state", "created_at", "expires_at", "member_id")
    }
    return StockImport(**own, **head)


def _gather_one(reading: Reading | None, call: Call) -> KeptImport:
    return _found(known(reading), call)


def _found(reading: Reading, call: Call, *, hold: bool = False) -> KeptImport:
    return list_imports.find(
        reading,
        call.granted,
        call.path["stock_import_id"],
        VEHICLE_LIST.sort,
        now=call.now,
        hold=hold,
    )


def _report_one(kept: KeptImport) -> Reply:
    return _told(kept)


class _Page(msgspec.Struct, frozen=True, kw_only=True):
    """One thing more than the page may hold, and which page is asked for."""

    asked: PageAsked
    things: Sequence[Any]

    def answer(
        self,
        shape: type[Any],
        told: Callable[[Any], Any],
        place: Callable[[Any], int | str],
    ) -> Reply:
        """Answer with a page; ``place`` returns what a thing is told by in the
        order.
        """
        shown = self.things[: self.asked.limit]
        items = tuple(told(one) for one in shown)
        content = shape(items=items)
        if len(self.things) <= len(shown):
            return self.asked.answer(content, None)
        last = place(shown[-1])
        return self.asked.answer(content, (str(last), ""))


def _gather_imports(reading: Reading | None, call: Call) -> _Page:
    asked = page_asked(call, _PATH, version="")
    after = asked.after()
    wanted = list_imports.Asked(
        state=call.query.state,
        before=None if after is None else after[0],
        limit=asked.limit + 1,
    )
    things = list_imports.listed(
        known(reading), call.granted, VEHICLE_LIST.sort, wanted, now=call.now
    )
    return _Page(asked=asked, things=things)


def _report_imports(page: _Page) -> Reply:
    return page.answer(StockImportPage, _spoken, lambda kept: kept.id)


def _gather_rows(reading: Reading | None, call: Call) -> _Page:
    kept = _gather_one(reading, call)
    asked = page_asked(call, f"{_PATH}/{kept.id}/rows", version=str(kept.version))
    after, _ = asked.after() or ("0", "")
    wanted = call.query.outcome
    things = list_imports.rows_of(
        known(reading),
        kept,
        outcomes=() if wanted is None else (wanted,),
        after=int(after),
        limit=asked.limit + 1,
    )
    return _Page(asked=asked, things=things)


def _report_rows(page: _Page) -> Reply:
    return page.answer(StockImportRowPage, _row, lambda row: row.sheet_row)


def _row(row: KeptRow) -> RowOutcome:
    told = msgspec.structs.asdict(msgspec.json.decode(row.content, type=Content).told)
    del told["record_id"]
    return RowOutcome(vehicle_id=row.record_id, **told)


def _gather_mapped(reading: Reading, call: Call) -> Case[Mapping]:
    kept = _previewed(_found(reading, call))
    said = understood(call.body, Mapping)
    mapping: Mapping = with_ids(reading, call.club_id, said.value)
    call.if_match.require(kept.etag)
    about = VEHICLE_LIST.gather(reading, call.granted)
    return Case(
        about=about,
        kept=list_imports.sheet_of(reading, kept),
        mapping=mapping,
    )


def _previewed(kept: KeptImport) -> KeptImport:
    if kept.state != "preview":
        raise OutOfTurn(
            f"this import is {kept.state} already: send the file again to start over"
        )
    return kept


def _keep_anew(writing: Writing, call: Call, looked: Looked) -> Reply:
    before = _previewed(_found(writing, call, hold=True))
    call.if_match.require(before.etag)
    return _told(list_imports.preview_anew(writing, before, looked))


def _commit_rows(writing: Writing, call: Call) -> Reply:
    return _told(
        commit(
            VEHICLE_LIST,
            writing,
            call.granted,
            call.path["stock_import_id"],
            call.body.rows,
        )
    )


def _undo_rows(writing: Writing, call: Call) -> Reply:
    return _told(
        undo(VEHICLE_LIST, writing, call.granted, call.path["stock_import_id"])
    )


def _gather_rejects(reading: Reading | None, call: Call) -> Rejects:
    kept = _gather_one(reading, call)
    rows = list_imports.rows_of(known(reading), kept, outcomes=("fault",))
    return Rejects(
        sheet=list_imports.sheet_of(known(reading), kept),
        header_row=head_of(VEHICLE_LIST, kept).mapping.header_row,
        rows=tuple(rows),
    )


def _report_rejects(rejects: Rejects) -> Reply:
    named = (("content-disposition", 'attachment; filename="rejected-rows.csv"'),)
    return Reply(
        content=csv_bytes(rejected(rejects)),
        media_type=CSV,
        headers=named,
    )
