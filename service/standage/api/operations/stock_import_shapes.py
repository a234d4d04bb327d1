"""What is sent and answered about spreadsheets of stock that are taken in."""

from datetime import datetime
from typing import Annotated

import msgspec

from standage.api.web import pages
from standage.exchange.headings import Column
from standage.exchange.rows import RowFault, RowNote
from standage.exchange.stock.mapping import Mapping
from standage.importing.alike import Alike
from standage.importing.description import Assumption
from standage.importing.outcomes import CellChange, Outcome
from standage.importing.preview import (
    Counts,
    SheetFacts,
    Taken,
)
from standage.importing.taking import (
    Which,
)
from standage.railway.terms.figures import Name, says
from standage.registry.writing.list_imports import State
from standage.shapes.faults import Ruled


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
    next: pages.Next = None
    next_cursor: pages.NextCursor = None


class RowOutcome(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What becomes of one row of the sheet."""

    row: Annotated[int, says("The row, counted from 1 as a spreadsheet does.")]
    outcome: Annotated[
        Outcome,
        says(
            "Whether it makes a vehicle, changes one, changes nothing, or is not taken."
        ),
    ]
    name: Annotated[str | None, says("What the vehicle is called.")] = None
    key: Annotated[
        str | None,
        says("What it is found again by: its key, else its number, else its name."),
    ] = None
    vehicle_id: Annotated[
        str | None, says("The vehicle on record, where there is one.")
    ] = None
    changes: Annotated[
        tuple[CellChange, ...], says("What it changes on the vehicle.")
    ] = ()
    faults: Annotated[
        tuple[RowFault, ...], says("Why it is not taken: all of it at once.")
    ] = ()
    notes: Annotated[
        tuple[RowNote, ...],
        says("Likely slips, and what was understood; they stop nothing."),
    ] = ()


class StockImportRowPage(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A page of the rows of an import."""

    items: Annotated[
        tuple[RowOutcome, ...],
        says("The rows of this page, in the order of the sheet."),
    ]
    next: pages.Next = None
    next_cursor: pages.NextCursor = None
