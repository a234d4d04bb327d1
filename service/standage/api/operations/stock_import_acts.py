"""What becomes of a request about an import of stock."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Annotated, Any

import msgspec

from standage.api.web import pages
from standage.api.web.call import CSV, Call, Reply
from standage.api.web.decode import understood
from standage.api.web.media import charset_of
from standage.exchange.headings import Column, Mapping
from standage.exchange.sheets_out import csv_bytes
from standage.importing import stock_import
from standage.importing.stock_alike import Alike
from standage.importing.stock_import import (
    Assumption,
    Case,
    Content,
    Counts,
    ReadList,
    SheetFacts,
    Taken,
)
from standage.importing.stock_outcomes import RowOutcome
from standage.importing.stock_taking import Rejects, commit, head_of, rejected, undo
from standage.railway.terms.figures import says
from standage.registry.records.naming import with_ids
from standage.registry.records.reading import Reading
from standage.registry.writing import stock_imports
from standage.registry.writing.stock_imports import KeptImport, KeptRow, Looked, State
from standage.registry.writing.store import Writing
from standage.shapes.refusals import OutOfTurn

_PATH = "/v1/stock-imports"


class StockImport(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A file of stock as it was read, and what its rows would do or have done."""

    id: Annotated[str, says("Its id; the service gives it.")]
    version: Annotated[int, says("Goes up by one with each change.")]
    state: Annotated[State, says("Looked at only, carried out, or undone again.")]
    created_at: Annotated[
        datetime, msgspec.Meta(tz=True), says("When the file was sent.")
    ]
    expires_at: Annotated[
        datetime,
        msgspec.Meta(tz=True),
        says("Until when it is kept, and can be undone."),
    ]
    member_id: Annotated[str, says("Who sent it.")]
    file: Annotated[SheetFacts, says("The file as it was read.")]
    mapping: Annotated[
        Mapping,
        says("What the columns are taken to hold; put another to have it otherwise."),
    ]
    columns: Annotated[
        tuple[Column, ...], says("Every column of the sheet, taken or left out.")
    ]
    counts: Annotated[Counts, says("How many rows come to what.")]
    assumed: Annotated[
        tuple[Assumption, ...],
        says("What holds for the rows although no cell says it."),
    ]
    alike: Annotated[
        tuple[Alike, ...],
        says("What several rows share, told once; such notes stand on no row."),
    ] = ()
    taken: Annotated[
        Taken | None, says("What the import did, once it is carried out.")
    ] = None


class StockImportPage(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A page of imports."""

    items: Annotated[
        tuple[StockImport, ...], says("The imports of this page, newest first.")
    ]
    next: Annotated[
        str | None, says("The address of the next page; absent on the last.")
    ] = None
    next_cursor: Annotated[str | None, says("The cursor within that address.")] = None


class StockImportRowPage(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A page of the rows of an import."""

    items: Annotated[
        tuple[RowOutcome, ...],
        says("The rows of this page, in the order of the sheet."),
    ]
    next: Annotated[
        str | None, says("The address of the next page; absent on the last.")
    ] = None
    next_cursor: Annotated[str | None, says("The cursor within that address.")] = None


def gather_file(reading: Reading, call: Call) -> Case:
    club, scale = stock_import.club_on_record(reading, call.granted)
    return Case(
        club=club,
        scale=scale,
        raw=call.body,
        charset=charset_of(call.content_type),
        sheet_name=call.query.sheet,
    )


def look_up(reading: Reading, call: Call, listed: ReadList) -> ReadList:
    return stock_import.with_stock(reading, call.granted, listed)


def keep(writing: Writing, call: Call, looked: Looked) -> Reply:
    kept = stock_imports.keep(writing, call.granted, looked)
    return replace(
        _told(kept), status=201, headers=(("location", f"{_PATH}/{kept.id}"),)
    )


def _told(kept: KeptImport) -> Reply:
    return Reply(content=_spoken(kept), etag=kept.etag)


def _spoken(kept: KeptImport) -> StockImport:
    head = msgspec.structs.asdict(head_of(kept))
    del head["seen"]
    own = {
        name: getattr(kept, name)
        for name in ("id", "version", "state", "created_at", "expires_at", "member_id")
    }
    return StockImport(**own, **head)


def gather_one(reading: Reading | None, call: Call) -> KeptImport:
    return stock_imports.find(
        _known(reading), call.granted, call.path["stock_import_id"], call.now
    )


def _known(reading: Reading | None) -> Reading:
    if reading is None:
        message = "an import was asked for without a club"
        raise TypeError(message)
    return reading


def report_one(kept: KeptImport) -> Reply:
    return _told(kept)


class _Page(msgspec.Struct, frozen=True, kw_only=True):
    """One thing more than the page may hold, and what names the page that follows."""

    path: str
    query: dict[str, Any]
    list_digest: str
    things: Sequence[Any]


def _page(
    call: Call,
    path: str,
    *,
    version: str,
    things: Callable[[str | None], Sequence[Any]],
) -> _Page:
    """Return the page asked for; ``things`` gives those after what a cursor
    stands for.
    """
    query = msgspec.structs.asdict(call.query)
    list_digest = pages.digest(f"{path} {version}", club_id=call.club_id, query=query)
    place = pages.after(call.query.cursor, list_digest=list_digest)
    found = things(None if place is None else place[0])
    return _Page(path=path, query=query, list_digest=list_digest, things=found)


def _report_page(
    page: _Page,
    answer: type[Any],
    told: Callable[[Any], Any],
    place: Callable[[Any], str],
) -> Reply:
    """Answer with a page; where another follows, its address stands in the body and in
    the header Link.
    """
    limit = page.query["limit"]
    items = tuple(told(one) for one in page.things[:limit])
    if len(page.things) <= limit:
        return Reply(content=answer(items=items))
    text = pages.cursor(
        list_digest=page.list_digest, value=place(page.things[limit - 1]), record_id=""
    )
    address = pages.next_path(page.path, page.query, cursor_text=text)
    content = answer(items=items, next=address, next_cursor=text)
    return Reply(content=content, headers=(("link", f'<{address}>; rel="next"'),))


def gather_imports(reading: Reading | None, call: Call) -> _Page:
    def things(before: str | None) -> Sequence[KeptImport]:
        asked = call.query
        return stock_imports.listed(
            _known(reading),
            call.granted,
            call.now,
            state=asked.state,
            before=before,
            limit=asked.limit + 1,
        )

    return _page(call, _PATH, version="", things=things)


def report_imports(page: _Page) -> Reply:
    return _report_page(page, StockImportPage, _spoken, lambda kept: str(kept.id))


def gather_rows(reading: Reading | None, call: Call) -> _Page:
    kept = gather_one(reading, call)
    outcomes = () if call.query.outcome is None else (call.query.outcome,)

    def things(after: str | None) -> Sequence[KeptRow]:
        limit = call.query.limit + 1
        return stock_imports.rows_of(
            _known(reading), kept, outcomes=outcomes, after=int(after or 0), limit=limit
        )

    return _page(
        call, f"{_PATH}/{kept.id}/rows", version=str(kept.version), things=things
    )


def report_rows(page: _Page) -> Reply:
    return _report_page(page, StockImportRowPage, _row, lambda row: str(row.sheet_row))


def _row(row: KeptRow) -> RowOutcome:
    told = msgspec.json.decode(row.content, type=Content).told
    return msgspec.structs.replace(told, vehicle_id=row.record_id)


def gather_mapped(reading: Reading, call: Call) -> Case:
    kept = _previewed(
        stock_imports.find(
            reading, call.granted, call.path["stock_import_id"], call.now
        )
    )
    said = understood(call.body, Mapping)
    mapping: Mapping = with_ids(reading, call.club_id, said.value)
    call.if_match.require(kept.etag)
    club, scale = stock_import.club_on_record(reading, call.granted)
    return Case(
        club=club,
        scale=scale,
        kept=stock_imports.sheet_of(reading, kept),
        mapping=mapping,
    )


def _previewed(kept: KeptImport) -> KeptImport:
    if kept.state != "preview":
        raise OutOfTurn(
            f"this import is {kept.state} already: send the file again to start over"
        )
    return kept


def keep_anew(writing: Writing, call: Call, looked: Looked) -> Reply:
    found = stock_imports.find(
        writing, call.granted, call.path["stock_import_id"], call.now, hold=True
    )
    before = _previewed(found)
    call.if_match.require(before.etag)
    return _told(stock_imports.preview_anew(writing, before, looked))


def perform_commit(writing: Writing, call: Call) -> Reply:
    return _told(
        commit(writing, call.granted, call.path["stock_import_id"], call.body.rows)
    )


def perform_undo(writing: Writing, call: Call) -> Reply:
    return _told(undo(writing, call.granted, call.path["stock_import_id"]))


def gather_rejects(reading: Reading | None, call: Call) -> Rejects:
    kept = gather_one(reading, call)
    rows = stock_imports.rows_of(_known(reading), kept, outcomes=("fault",))
    return Rejects(
        sheet=stock_imports.sheet_of(_known(reading), kept),
        head=head_of(kept),
        rows=tuple(rows),
    )


def report_rejects(rejects: Rejects) -> Reply:
    named = (("content-disposition", 'attachment; filename="rejected-rows.csv"'),)
    return Reply(content=csv_bytes(rejected(rejects)), media_type=CSV, headers=named)
