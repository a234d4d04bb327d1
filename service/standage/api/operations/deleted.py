"""The operations on deleted records, which can be brought back for thirty days."""

from datetime import datetime
from typing import Annotated, Any, Literal

import msgspec

from standage.api.operations.history import (
    TAG,
    KindName,
    Undone,
    done,
    permits,
    undoing_in,
)
from standage.api.operations.looking_back import (
    Names,
    called,
    gathering,
    hidden_for,
    names_in,
    reporting,
)
from standage.api.web import pages
from standage.api.web.call import Call, Reply
from standage.api.web.operation import (
    About,
    Answers,
    Guard,
    Operation,
    Reads,
    Takes,
    Writes,
    known,
)
from standage.railway.terms.figures import IdOrName, says
from standage.registry.database.moments import keeping_moment
from standage.registry.records.kinds import KINDS
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import Change
from standage.registry.writing.history import (
    deletion_of,
    page_of_deletions,
    position_of,
)
from standage.registry.writing.store import Writing
from standage.registry.writing.undoing import KEPT_FOR
from standage.shapes.refusals import Absent

_PATH = "/v1/deleted-records"
_FILTERS = ("kind", "member_id")


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
    next: pages.Next = None
    next_cursor: pages.NextCursor = None


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
            path=_PATH,
            about=About(
                tag=TAG,
                summary="List what was deleted",
                description=(
                    "What was deleted in the last thirty days and not brought back."
                ),
            ),
            act=Reads(gathering(_PATH, _FILTERS, _find), reporting(_told, position_of)),
            answers=Answers(shape=DeletedRecordPage, tagged=True),
            takes=Takes(query=DeletedRecordsQuery),
        ),
        Operation(
            id="getDeletedRecord",
            method="GET",
            path=f"{_PATH}/{{deleted_record_id}}",
            about=About(
                tag=TAG,
                summary="Read what became of a deleted record",
                description=(
                    "Who deleted it, when, and until when it can be brought back."
                    " After that it is not found."
                ),
            ),
            act=Reads(_gather_deletion, _report_deletion),
            answers=Answers(shape=DeletedRecord, tagged=True),
        ),
        Operation(
            id="restoreDeletedRecord",
            method="POST",
            path=f"{_PATH}/{{deleted_record_id}}/restore",
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
            act=Writes(_restore, in_turn=True),
            answers=Answers(
                shape=Undone, problems=("cannot_undo", "in_use"), tagged=True
            ),
            guard=Guard(rate="write"),
        ),
    ]


def _find(reading: Reading, call: Call, listing: Listing) -> list[Change]:
    connection = reading.connection
    return page_of_deletions(
        connection,
        call.club_id,
        listing,
        since=_since(reading, call),
        hidden=hidden_for(call.granted.principal),
    )


def _since(reading: Reading, call: Call) -> datetime:
    return keeping_moment(reading.connection, call.now) - KEPT_FOR


def _gather_deletion(reading: Reading | None, call: Call) -> tuple[Change, Names]:
    """Return how a record was deleted; raises ``Absent`` where none is, or it may not
    be read by the caller.
    """
    looked_up = known(reading)
    since = _since(looked_up, call)
    record_id = call.path["deleted_record_id"]
    change = deletion_of(looked_up.connection, call.club_id, record_id, since=since)
    if change.kind in hidden_for(call.granted.principal):
        raise Absent("there is no such deleted record")
    return change, names_in(looked_up, call.club_id, [change])


def _report_deletion(found: tuple[Change, Names]) -> Reply:
    return Reply(content=_told(*found))


def _restore(writing: Writing, call: Call) -> Reply:
    """Bring a record back with what went with it, under the ETag of its new version."""
    undoing = undoing_in(writing)
    record = undoing.restore(
        call.granted.principal, call.path["deleted_record_id"], permits(call)
    )
    return done(undoing, call, etag=record.etag)


def _told(change: Change, members: Names) -> dict[str, Any]:
    body = msgspec.json.decode(change.before or "{}")
    return {
        "id": change.record_id,
        "kind": change.kind,
        "name": KINDS[change.kind].title_in(body),
        "version": change.version,
        "deleted_at": change.at,
        "kept_until": change.at + KEPT_FOR,
        "member_id": change.member_id,
        **called(change.member_id, members),
        "change_id": change.id,
        "action_id": change.action_id,
    }
