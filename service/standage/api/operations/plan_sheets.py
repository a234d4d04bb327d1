"""The operations on sheets of track: read one, write one, and those to begin with."""

from collections.abc import Callable, Mapping
from functools import partial
from typing import Annotated, Any

import msgspec

from standage.api.web.arrival import charset_of
from standage.api.web.call import CSV, ODS, XLSX, Call, Reply
from standage.api.web.operation import (
    IMPORT_BYTES,
    About,
    Answers,
    Guard,
    Operation,
    Reads,
    Takes,
    always,
)
from standage.exchange.cells import Sheet
from standage.exchange.headings import Column
from standage.exchange.plans import templates
from standage.exchange.plans.beyond import beyond_a_sheet
from standage.exchange.plans.plan_document import document
from standage.exchange.plans.plan_in import PlanRead, SheetPlace, lists_track, plan_in
from standage.exchange.plans.plan_out import held_places, track_sheet
from standage.exchange.rows import RowFault, RowNote
from standage.exchange.sheets_out import Out, csv_bytes, xlsx_bytes
from standage.exchange.workbooks_in import read_sheet
from standage.importing.description import Assumption
from standage.importing.preview import SheetFacts, facts
from standage.importing.sheet_remarks import left_out
from standage.railway.terms.figures import Name, says
from standage.railway.terms.scales import ScaleName
from standage.railway.track.plans.plan import Plan
from standage.registry.records.kinds import PLAN_BYTES
from standage.registry.records.reading import Reading
from standage.shapes.faults import Fault, Ruled

_TAG = "Files"
_MOST_ROWS_TOLD = 1000
_SHEET = "Track"


class WhichSheet(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Which sheet of a workbook is meant."""

    sheet: Annotated[
        Name | None,
        says("The sheet's name; if not given, the first shown one of track."),
    ] = None


class PlanSheetQuery(WhichSheet, frozen=True, kw_only=True):
    """Which sheet of a workbook is meant, and in which scale its plan is."""

    scale: Annotated[ScaleName | None, says("The plan's scale.")] = None


class PlanToWrite(Ruled, frozen=True, kw_only=True):
    """A plan that is to be a sheet."""

    plan: Annotated[Plan, says("The plan.")]


class PlanSheetRow(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What is to be said of one row of a sheet of track."""

    row: Annotated[int, says("The row, counted from 1 as a spreadsheet does.")]
    name: Annotated[str | None, says("The piece.")] = None
    faults: Annotated[tuple[RowFault, ...], says("All that is wrong with it.")] = ()
    notes: Annotated[tuple[RowNote, ...], says("What was understood.")] = ()


class SheetOfTrack(msgspec.Struct, frozen=True, kw_only=True):
    """How a sheet of track was read, and what is wrong with its rows."""

    file: SheetFacts
    columns: tuple[Column, ...]
    rows_at_fault: Annotated[int, says("How many rows have a fault.")]
    rows: Annotated[
        tuple[PlanSheetRow, ...], says("Those with a fault or a note: the first 1000.")
    ]
    places: Annotated[
        tuple[SheetPlace, ...],
        says("Those that rows name; none where no row does, and the plan's stay."),
    ]
    faults: Annotated[
        tuple[Fault, ...], says("What is wrong with the plan and stands in no row.")
    ]
    assumed: tuple[Assumption, ...]


class PlanSheet(SheetOfTrack, frozen=True, kw_only=True):
    """The plan that a sheet makes, and what is wrong with its rows."""

    plan: Annotated[Plan, says("The plan of the rows that can be taken.")]


class TrackFile(msgspec.Struct, frozen=True, kw_only=True):
    """A file as it came, and the plan that it is laid upon."""

    raw: bytes
    charset: str | None
    sheet: str | None
    onto: Plan

    def as_sheet(self) -> Sheet:
        """Return the sheet of track in it; raises ``Faulty`` where there is none."""
        return read_sheet(
            self.raw, lists_track, charset=self.charset, wanted=self.sheet
        )


def plan_sheet_operations() -> list[Operation]:
    """Return every operation on sheets of track."""
    blanks = (
        ("Template", "template", templates.laid_out, "csv"),
        ("Measured", "measured", templates.measured, "csv"),
        ("Template", "template", templates.laid_out, "xlsx"),
    )
    return [
        _read(),
        _write("Csv", CSV, as_csv),
        _write("Xlsx", XLSX, as_xlsx),
        *(_blank(*one) for one in blanks),
    ]


def _read() -> Operation:
    return Operation(
        id="checkPlanSheet",
        method="POST",
        path="/v1/checks/plan-sheet",
        about=About(
            tag=_TAG,
            summary="Make a track plan of a spreadsheet",
            description=(
                "One row a piece, with what each end joins; CSV, XLSX or ODS. Nothing"
                " is recorded: the answer is the plan, and every fault by row."
            ),
        ),
        act=Reads(_gather_file, _report_file, heavy=always),
        answers=Answers(shape=PlanSheet),
        takes=Takes(
            files=(CSV, XLSX, ODS), query=PlanSheetQuery, most_bytes=IMPORT_BYTES
        ),
        guard=Guard(rate="import"),
    )


def _write(form: str, media_type: str, report: Callable[[Plan], Reply]) -> Operation:
    return Operation(
        id=f"writePlanSheet{form}",
        method="POST",
        path=f"/v1/checks/plan/sheet.{form.lower()}",
        about=About(
            tag=_TAG,
            summary=f"Write a track plan as {form.upper()}",
            description=(
                "Its pieces and joins, which come in again exactly; heights, modules"
                " and the like are no part of a sheet."
            ),
        ),
        act=Reads(_gather_plan, report, heavy=always),
        answers=Answers(
            shape=str if media_type == CSV else bytes, media_type=media_type
        ),
        takes=Takes(body=PlanToWrite, most_bytes=PLAN_BYTES),
        guard=Guard(rate="check"),
    )


def _blank(
    noun: str, name: str, rows: Callable[[], list[list[Out]]], ending: str
) -> Operation:
    media_type = CSV if ending == "csv" else XLSX
    return Operation(
        id=f"getPlan{noun}{ending.capitalize()}",
        method="GET",
        path=f"/v1/plan-sheets/{name}.{ending}",
        about=About(
            tag=_TAG,
            summary=f"Download a {name} sheet of track as {ending.upper()}",
            description="Ten rows that are a plan, to write over.",
        ),
        act=Reads(_nothing, partial(_blank_report, rows, f"track-{name}.{ending}")),
        answers=Answers(
            shape=str if media_type == CSV else bytes,
            media_type=media_type,
            tagged=True,
        ),
    )


def _gather_file(_reading: Reading | None, call: Call) -> TrackFile:
    return track_file(call, onto=Plan(scale=call.query.scale))


def track_file(call: Call, *, onto: Plan) -> TrackFile:
    """Return the file that came with a request."""
    charset = charset_of(call.content_type)
    return TrackFile(
        raw=call.body,
        charset=charset,
        sheet=call.query.sheet,
        onto=onto,
    )


def _report_file(file: TrackFile) -> Reply:
    sheet = file.as_sheet()
    read = plan_in(sheet, onto=file.onto)
    return Reply(content={"plan": document(read.plan), **told_of(sheet, read)})


def told_of(sheet: Sheet, read: PlanRead) -> Mapping[str, Any]:
    """Return how a sheet was read, and what is wrong with its rows."""
    told = [one for one in read.rows if one.faults or one.notes]
    rows = [
        PlanSheetRow(row=one.row, name=one.name, faults=one.faults, notes=one.notes)
        for one in told[:_MOST_ROWS_TOLD]
    ]
    return {
        "file": facts(sheet),
        "columns": read.columns,
        "rows_at_fault": sum(1 for one in told if one.faults),
        "rows": rows,
        "places": read.places,
        "faults": read.beyond,
        "assumed": list(left_out(read.mapping, read.columns)),
    }


def _gather_plan(_reading: Reading | None, call: Call) -> Plan:
    plan: Plan = call.body.plan
    return plan


def as_csv(plan: Plan) -> Reply:
    """Answer with a plan's sheet as CSV."""
    return _file(csv_bytes(track_sheet(plan)), "track.csv", CSV)


def as_xlsx(plan: Plan) -> Reply:
    """Answer with a plan's sheet as a workbook, with what it cannot hold beside it."""
    places = bool(held_places(plan))
    beside: dict[str, list[list[Out]]] = {}
    title = "Not in this sheet"
    beyond: list[list[Out]] = [
        [one] for one in beyond_a_sheet(plan, with_places=places)
    ]
    if beyond:
        beside[title] = [[title], *beyond]
    raw = xlsx_bytes(
        track_sheet(plan),
        sheet=_SHEET,
        beside=beside,
    )
    return _file(raw, "track.xlsx", XLSX)


def _nothing(_reading: Reading | None, _call: Call) -> None:
    return None


def _blank_report(
    rows: Callable[[], list[list[Out]]], name: str, _gathered: object
) -> Reply:
    if name.endswith("csv"):
        return _file(csv_bytes(rows()), name, CSV)
    raw = xlsx_bytes(
        rows(),
        sheet=_SHEET,
        beside=templates.beside(),
    )
    return _file(raw, name, XLSX)


def _file(content: bytes, name: str, media_type: str) -> Reply:
    disposition = (("content-disposition", f'attachment; filename="{name}"'),)
    return Reply(
        content=content,
        media_type=media_type,
        headers=disposition,
    )
