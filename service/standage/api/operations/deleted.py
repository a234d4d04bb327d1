"""The operations on deleted records, which can be brought back for thirty days."""

from datetime import datetime
from typing import Annotated, Literal

import msgspec

from standage.api.operations import deleted_acts
from standage.api.operations.history import TAG, KindName, Undone
from standage.api.web import pages
from standage.api.web.acts import Reads, Writes
from standage.api.web.operation import About, Answers, Guard, Operation, Takes
from standage.railway.terms.figures import IdOrName, says


class DeletedRecord(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A record that was deleted and can still be brought back."""

    id: Annotated[str, says("Its id, under which it comes back.")]
    kind: Annotated[str, says("The sort of record, as in the record's own address.")]
    name: Annotated[str, says("What it was called.")]
    version: Annotated[int, says("Its version once it was deleted.")]
    deleted_at: Annotated[datetime, msgspec.Meta(tz=True), says("When it was deleted.")]
    kept_until: Annotated[
        datetime, msgspec.Meta(tz=True), says("Until when it can be brought back.")
    ]
    member_id: Annotated[str, says("Who deleted it.")]
    change_id: Annotated[str, says("The change that deleted it.")]
    action_id: Annotated[str, says("The same for all that was deleted at once.")]
    member_name: Annotated[
        str | None, says("What that member is called; absent where the member is gone.")
    ] = None


class DeletedRecordPage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of deleted records."""

    items: Annotated[list[DeletedRecord], says("The records of this page, in order.")]
    next: Annotated[
        str | None, says("The address of the next page; absent on the last.")
    ] = None
    next_cursor: Annotated[str | None, says("The cursor within that address.")] = None


class DeletedRecordsQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which deleted records are wanted."""

    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None
    sort: Annotated[
        Literal["-deleted_at", "deleted_at"],
        says("The order; '-deleted_at' begins with what was deleted last."),
    ] = "-deleted_at"
    kind: Annotated[KindName | None, says("Only of this sort of record.")] = None
    member_id: Annotated[IdOrName | None, says("Only what this member deleted.")] = None


def deleted_operations() -> list[Operation]:
    """Return every operation on deleted records."""
    return [
        Operation(
            id="listDeletedRecords",
            method="GET",
            path="/v1/deleted-records",
            about=About(
                tag=TAG,
                summary="List what was deleted",
                description=(
                    "What was deleted in the last thirty days and not brought back."
                    " Pages are joined by cursors: follow `next` until it is absent."
                ),
            ),
            act=Reads(deleted_acts.gather_deletions, deleted_acts.report_deletions),
            answers=Answers(shape=DeletedRecordPage, tagged=True),
            takes=Takes(query=DeletedRecordsQuery),
        ),
        Operation(
            id="getDeletedRecord",
            method="GET",
            path="/v1/deleted-records/{deleted_record_id}",
            about=About(
                tag=TAG,
                summary="Read what became of a deleted record",
                description=(
                    "Who deleted it, when, and until when it can be brought back."
                    " After that it is not found."
                ),
            ),
            act=Reads(deleted_acts.gather_deletion, deleted_acts.report_deletion),
            answers=Answers(shape=DeletedRecord, tagged=True),
        ),
        Operation(
            id="restoreDeletedRecord",
            method="POST",
            path="/v1/deleted-records/{deleted_record_id}/restore",
            about=About(
                tag=TAG,
                summary="Bring a deleted record back",
                description=(
                    "It comes back under its id as a new version, whose ETag is sent"
                    " along, and so does what went with it, as a layout's places."
                    " Whoever may record such a thing may bring it back. Refused where"
                    " what it names is gone or its name is taken. Tokens never come"
                    " back."
                ),
            ),
            act=Writes(deleted_acts.perform_restore, in_turn=True),
            answers=Answers(
                shape=Undone, problems=("cannot_undo", "in_use"), tagged=True
            ),
            guard=Guard(rate="write"),
        ),
    ]
