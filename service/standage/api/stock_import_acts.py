"""What becomes of a request about an import of stock."""

from dataclasses import replace
from datetime import datetime
from typing import Annotated, Any

import msgspec

from standage.api import pages
from standage.api.media import charset_of
from standage.api.operations import (
    CSV,
    Call,
    Reply,
)
from standage.exchange.headings import Column, Mapping
from standage.exchange.sheets_out import csv_bytes
from standage.questions import stock_import
from standage.questions.stock_import import Assumption, Case, Content, Counts, Preview, SheetFacts, Taken
from standage.questions.stock_rows import RowOutcome
from standage.questions.stock_taking import Rejects, commit, head_of, rejected, undo
from standage.railway.terms.faults import convert
from standage.railway.terms.figures import says
from standage.registry import stock_imports
from standage.registry.many import WritingMany
from standage.registry.reading import Reading
from standage.registry.records import OutOfTurn
from standage.registry.stock_imports import KeptImport, KeptRow, State
from standage.registry.store import Writing

_PATH = "/v1/stock-imports"


class StockImport(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A file of stock as it was read, and what its rows would do or have done."""

    id: Annotated[str, says("Its id; the service gives it.")]
    version: Annotated[int, says("Goes up by one with each change.")]
    state: Annotated[State, says("Looked at only, carried out, or undone again.")]
    created_at: Annotated[datetime, msgspec.Meta(tz=True), says("When the file was sent.")]
    expires_at: Annotated[datetime, msgspec.Meta(tz=True), says("Until when it is kept, and can be undone.")]
    member_id: Annotated[str, says("Who sent it.")]
    file: Annotated[SheetFacts, says("The file as it was read.")]
    mapping: Annotated[Mapping, says("What the columns are taken to hold; put another to have it otherwise.")]
    columns: Annotated[tuple[Column, ...], says("Every column of the sheet, taken or left out.")]
    counts: Annotated[Counts, says("How many rows come to what.")]
    assumed: Annotated[tuple[Assumption, ...], says("What holds for the rows although no cell says it.")]
    taken: Annotated[Taken | None, says("What the import did, once it is carried out.")] = None


class StockImportRowPage(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A page of the rows of an import."""

    items: Annotated[tuple[RowOutcome, ...], says("The rows of this page, in the order of the sheet.")]
    next: Annotated[str | None, says("The address of the next page; absent on the last.")] = None
    next_cursor: Annotated[str | None, says("The cursor within that address.")] = None


def gather_file(reading: Reading, call: Call) -> Case:
    stock, scale = stock_import.stock_on_record(reading, call.granted)
    return Case(
        stock=stock,
        scale=scale,
        raw=call.body,
        charset=charset_of(call.content_type),
        sheet_name=call.query.sheet,
    )


def keep(writing: Writing, call: Call, preview: Preview) -> Reply:
    kept = stock_imports.keep(writing, call.granted, head=_text(preview.head), sheet=preview.sheet, rows=preview.rows)
    return replace(_told(kept), status=201, headers=(("location", f"{_PATH}/{kept.id}"),))


def _text(value: Any) -> str:
    return msgspec.json.encode(value).decode()


def _told(kept: KeptImport) -> Reply:
    head = msgspec.structs.asdict(head_of(kept))
    for name in ("owners", "seen"):
        del head[name]
    own = {name: getattr(kept, name) for name in ("id", "version", "state", "created_at", "expires_at", "member_id")}
    return Reply(content=StockImport(**own, **head), etag=kept.etag)


def gather_one(reading: Reading | None, call: Call) -> KeptImport:
    return stock_imports.find(_known(reading), call.granted, call.path["stock_import_id"], call.now)


def _known(reading: Reading | None) -> Reading:
    if reading is None:
        message = "an import was asked for without a club"
        raise TypeError(message)
    return reading


def report_one(kept: KeptImport) -> Reply:
    return _told(kept)


class _Page(msgspec.Struct, frozen=True, kw_only=True):
    path: str
    query: dict[str, Any]
    list_digest: str
    rows: list[KeptRow]


def gather_rows(reading: Reading | None, call: Call) -> _Page:
    kept = gather_one(reading, call)
    path = f"{_PATH}/{kept.id}/rows"
    query = msgspec.structs.asdict(call.query)
    list_digest = pages.digest(f"{path} {kept.version}", club_id=call.club_id, query=query)
    place = pages.after(call.query.cursor, list_digest=list_digest)
    outcomes = () if call.query.outcome is None else (call.query.outcome,)
    after = 0 if place is None else int(place[0])
    rows = stock_imports.rows_of(_known(reading), kept, outcomes=outcomes, after=after, limit=call.query.limit + 1)
    return _Page(path=path, query=query, list_digest=list_digest, rows=rows)


def report_rows(page: _Page) -> Reply:
    limit = page.query["limit"]
    items = tuple(_row(row) for row in page.rows[:limit])
    if len(page.rows) <= limit:
        return Reply(content=StockImportRowPage(items=items))
    last = page.rows[limit - 1]
    text = pages.cursor(list_digest=page.list_digest, value=str(last.sheet_row), record_id="")
    address = pages.next_path(page.path, page.query, cursor_text=text)
    content = StockImportRowPage(items=items, next=address, next_cursor=text)
    return Reply(content=content, headers=(("link", f'<{address}>; rel="next"'),))


def _row(row: KeptRow) -> RowOutcome:
    told = msgspec.json.decode(row.content, type=Content).told
    return msgspec.structs.replace(told, vehicle_id=row.record_id)


def gather_mapped(reading: Reading, call: Call) -> Case:
    kept = _previewed(stock_imports.find(reading, call.granted, call.path["stock_import_id"], call.now))
    mapping = convert(call.body, Mapping)
    call.if_match.require(kept.etag)
    stock, scale = stock_import.stock_on_record(reading, call.granted)
    return Case(stock=stock, scale=scale, kept=stock_imports.sheet_of(reading, kept), mapping=mapping)


def _previewed(kept: KeptImport) -> KeptImport:
    if kept.state != "preview":
        raise OutOfTurn(f"this import is {kept.state} already: send the file again to begin anew")
    return kept


def keep_anew(writing: Writing, call: Call, preview: Preview) -> Reply:
    found = stock_imports.find(writing, call.granted, call.path["stock_import_id"], call.now, hold=True)
    before = _previewed(found)
    call.if_match.require(before.etag)
    return _told(stock_imports.preview_anew(writing, before, head=_text(preview.head), rows=preview.rows))


def perform_commit(writing: Writing, call: Call) -> Reply:
    many = WritingMany(writing.connection, writing.now, action_id=writing.action_id)
    return _told(commit(many, call.granted, call.path["stock_import_id"], call.body.rows))


def perform_undo(writing: Writing, call: Call) -> Reply:
    many = WritingMany(writing.connection, writing.now, action_id=writing.action_id)
    return _told(undo(many, call.granted, call.path["stock_import_id"]))


def gather_rejects(reading: Reading | None, call: Call) -> Rejects:
    kept = gather_one(reading, call)
    rows = stock_imports.rows_of(_known(reading), kept, outcomes=("fault",))
    return Rejects(sheet=stock_imports.sheet_of(_known(reading), kept), head=head_of(kept), rows=tuple(rows))


def report_rejects(rejects: Rejects) -> Reply:
    named = (("content-disposition", 'attachment; filename="rejected-rows.csv"'),)
    return Reply(content=csv_bytes(rejected(rejects)), media_type=CSV, headers=named)
