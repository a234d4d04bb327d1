"""The operations on sheets of plans on record: a draft or a revision written as one,
what one would make of the draft, and one in the draft's place.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import Any

import msgspec

from standage.api.operations.drafts import beneath_id, kind_above, put_draft
from standage.api.operations.plan_sheets import (
    SheetOfTrack,
    TrackFile,
    WhichSheet,
    as_csv,
    as_xlsx,
    told_of,
    track_file,
)
from standage.api.operations.record_shapes import answer_type
from standage.api.operations.record_words import WORDS, paths
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
    always,
    known,
)
from standage.exchange.cells import Sheet, unreadable
from standage.exchange.plans.differences import PlanDifferences, differences
from standage.exchange.plans.plan_document import document
from standage.exchange.plans.plan_in import PlanRead, plan_in
from standage.exchange.rows import RowFault
from standage.questions.plan_on_record import WhichPlan
from standage.questions.resolving.plans import whole_plan
from standage.railway.track.plans.plan import Plan
from standage.registry.records.drafts import draft_of, revision_read
from standage.registry.records.kinds import KINDS, PLAN_BYTES, Kind
from standage.registry.records.reading import Hold, Reading
from standage.registry.records.record import Record
from standage.registry.writing.ownership import require_right
from standage.registry.writing.store import Writing
from standage.shapes.faults import MOST_FAULTS, Fault, Faulty, shown
from standage.shapes.refusals import Absent, Stale

_TAG = "Files"
_LONGEST_CELL = 24
_LONGEST_MESSAGE = 200


class PlanSheetPreview(SheetOfTrack, frozen=True, kw_only=True):
    """What a sheet would make of the draft, and what is wrong with its rows."""

    changes: PlanDifferences


class _Written(msgspec.Struct, frozen=True, kw_only=True):
    """A plan that is to be a sheet, under the tag of the draft that it is."""

    plan: Plan
    etag: str | None


class _Sent(msgspec.Struct, frozen=True, kw_only=True):
    """A file for a draft, and the tag of the draft that it is laid upon."""

    file: TrackFile
    seen: str | None


class _Laid(msgspec.Struct, frozen=True, kw_only=True):
    """The plan that a sheet makes, and the tag of the draft that it is laid upon."""

    plan: Plan
    seen: str | None


def plan_sheet_on_record_operations() -> list[Operation]:
    """Return every operation on sheets of every kind of plan on record."""
    kinds = [kind for kind in KINDS.values() if kind.naming.sole]
    return [operation for kind in kinds for operation in _operations(kind)]


def _operations(kind: Kind[Any]) -> Iterable[Operation]:
    yield _out(
        kind,
        "Csv",
        CSV,
        as_csv,
    )
    yield _out(
        kind,
        "Xlsx",
        XLSX,
        as_xlsx,
    )
    yield _preview(kind)
    yield _replace(kind)


def _out(
    kind: Kind[Any], form: str, media_type: str, report: Callable[[Plan], Reply]
) -> Operation:
    return Operation(
        id=f"get{WORDS[kind.name].noun}Sheet{form}",
        method="GET",
        path=f"{_path(kind)}.{form.lower()}",
        about=About(
            tag=_TAG,
            summary=f"Download {_spoken(kind)} as {form.upper()}",
            description=(
                "One row a piece. Its ETag is the draft's: put the sheet back with it."
            ),
        ),
        act=Reads(
            partial(_gather_plan, kind),
            partial(_report_plan, report),
            heavy=always,
            gathers_much=True,
        ),
        answers=Answers(
            shape=str if media_type == CSV else bytes,
            media_type=media_type,
            tagged=True,
        ),
        takes=Takes(query=WhichPlan),
    )


def _preview(kind: Kind[Any]) -> Operation:
    return Operation(
        id=f"check{WORDS[kind.name].noun}Sheet",
        method="POST",
        path=f"{_path(kind)}-preview",
        about=About(
            tag=_TAG,
            summary=f"See what a spreadsheet would make of {_spoken(kind)}",
            description=(
                "Nothing is recorded: the answer is every fault by row, and what comes,"
                " changes and goes."
            ),
        ),
        act=Reads(
            partial(_gather_file, kind),
            _report_preview,
            heavy=always,
            gathers_much=True,
        ),
        answers=Answers(shape=PlanSheetPreview),
        takes=_file_taken(),
        guard=Guard(rate="import"),
    )


def _replace(kind: Kind[Any]) -> Operation:
    words = WORDS[kind.name]
    return Operation(
        id=f"replace{words.noun}Sheet",
        method="PUT",
        path=_path(kind),
        about=About(
            tag=_TAG,
            summary=f"Send {_spoken(kind)} as a spreadsheet",
            description=(
                "Its pieces and joins are the sheet's; heights, modules and the like"
                " stay. With a fault in any row nothing is changed; `pointer` is then"
                " /row/column."
            ),
        ),
        act=Considers(
            partial(_gather_file, kind),
            _read,
            _nothing_more,
            _laid_soundly,
            partial(_put, kind),
        ),
        answers=Answers(shape=answer_type(kind, words), tagged=True, may_create=True),
        takes=_file_taken(),
        guard=Guard(rate="import", conditional=True),
    )


def _path(kind: Kind[Any]) -> str:
    return f"{paths(kind)[1]}/sheet"


def _spoken(kind: Kind[Any]) -> str:
    return f"the plan of a {kind_above(kind).one}"


def _file_taken() -> Takes:
    return Takes(
        files=(CSV, XLSX, ODS),
        query=WhichSheet,
        most_bytes=IMPORT_BYTES,
    )


def _gather_plan(kind: Kind[Any], reading: Reading | None, call: Call) -> _Written:
    there = known(reading)
    draft = draft_of(
        there,
        kind,
        call.club_id,
        beneath_id(kind, call),
    )
    number = call.query.revision
    if number is None:
        return _Written(plan=whole_plan(draft.body), etag=draft.etag)
    saved = revision_read(
        there,
        kind,
        draft,
        number,
    )
    return _Written(plan=whole_plan(saved.body), etag=saved.etag)


def _report_plan(report: Callable[[Plan], Reply], written: _Written) -> Reply:
    return replace(report(written.plan), etag=written.etag)


def _gather_file(kind: Kind[Any], reading: Reading | None, call: Call) -> _Sent:
    """Return the file for whoever may change the draft, or make it."""
    there, above = known(reading), kind_above(kind)
    beneath = there.get(above, call.club_id, beneath_id(kind, call))
    require_right(above, call.granted, beneath.body)
    draft = _draft_if_any(kind, there, call)
    if draft is None:
        return _Sent(file=track_file(call, onto=Plan()), seen=None)
    onto = whole_plan(draft.body)
    return _Sent(file=track_file(call, onto=onto), seen=draft.etag)


def _draft_if_any(
    kind: Kind[Any], reading: Reading, call: Call, *, hold: Hold = "not"
) -> Record | None:
    above_id = beneath_id(kind, call)
    with suppress(Absent):
        return draft_of(reading, kind, call.club_id, above_id, hold=hold)
    return None


def _report_preview(sent: _Sent) -> Reply:
    sheet, onto = sent.file.as_sheet(), sent.file.onto
    read = plan_in(sheet, onto=onto)
    changes = differences(onto, read)
    return Reply(content={**told_of(sheet, read), "changes": changes})


def _read(sent: _Sent) -> tuple[Sheet, _Sent]:
    return sent.file.as_sheet(), sent


def _nothing_more(
    _reading: Reading, _call: Call, read: tuple[Sheet, _Sent]
) -> tuple[Sheet, _Sent]:
    return read


def _laid_soundly(read: tuple[Sheet, _Sent]) -> _Laid:
    """Return the plan that a sheet makes; raises ``Faulty`` with the faults of its rows,
    or where the plan would be longer than one may be sent.
    """
    sheet, sent = read
    laid = plan_in(sheet, onto=sent.file.onto)
    faults = list(_faults_of_rows(laid))
    if faults:
        raise Faulty(faults[:MOST_FAULTS])
    if len(msgspec.json.encode(document(laid.plan))) > PLAN_BYTES:
        message = "makes a plan of more than 1 MB: give its pieces shorter names"
        raise unreadable("too_large", message)
    return _Laid(plan=laid.plan, seen=sent.seen)


def _faults_of_rows(read: PlanRead) -> Iterator[Fault]:
    for row in read.rows:
        for fault in row.faults:
            yield _as_fault(row.row, fault)


def _as_fault(row: int, fault: RowFault) -> Fault:
    """Return the fault of a row as one of the file, in one sentence."""
    place, pointer = f"row {row}", f"/{row}"
    if fault.letters is not None:
        place += f", column {fault.letters}"
        pointer += f"/{fault.letters}"
    told = f"{fault.message}: {fault.mend}"
    message = f"{place} {told}"
    if fault.value is not None:
        with_cell = f"{place}, {shown(fault.value, longest=_LONGEST_CELL)} {told}"
        if len(with_cell) <= _LONGEST_MESSAGE:
            message = with_cell
    return Fault(
        code=fault.code,
        message=message[:_LONGEST_MESSAGE],
        pointer=pointer,
    )


def _put(kind: Kind[Any], writing: Writing, call: Call, laid: _Laid) -> Reply:
    """Put the plan in the draft's place; raises ``Stale`` where that is not the one any
    more that the sheet was laid upon: what no sheet holds would be of another.
    """
    above = kind_above(kind)
    writing.get(above, call.club_id, beneath_id(kind, call), hold="shared")
    draft = _draft_if_any(kind, writing, call, hold="alone")
    seen = None if draft is None else draft.etag
    if seen != laid.seen:
        raise Stale(
            "somebody changed the plan at the same moment: send the sheet again"
        )
    own = kind.body.__struct_fields__
    body = {name: getattr(laid.plan, name) for name in own}
    return put_draft(kind, writing, replace(call, body=msgspec.to_builtins(body)))
