"""The operations on what was done: the history of every record."""

from datetime import datetime
from typing import TYPE_CHECKING, Annotated, Literal

import msgspec

from standage.api.operations import history_acts
from standage.api.operations.differences import FieldChange
from standage.api.web import pages
from standage.api.web.acts import Reads, Writes
from standage.api.web.operation import About, Answers, Guard, Operation, Takes
from standage.railway.terms.figures import Identifier, IdOrName, says
from standage.registry.records.kinds import KINDS
from standage.registry.records.look_alikes import LookAlike
from standage.registry.records.record import Action

TAG = "History"
if TYPE_CHECKING:
    KindName = str
else:
    KindName = Literal[tuple(KINDS)]  # the kinds themselves say which there are


class Change(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One change of one record: who made it, when, and what it changed."""

    id: Annotated[str, says("Its id; the service gives it.")]
    action_id: Annotated[
        str,
        says(
            "The same for all that was done at once, as a layout goes with its places."
        ),
    ]
    kind: Annotated[str, says("The sort of record, as in the record's own address.")]
    record_id: Annotated[str, says("The record that was changed.")]
    record_name: Annotated[str, says("What the record was called.")]
    version: Annotated[int, says("The record's version after the change.")]
    action: Annotated[Action, says("What was done with the record.")]
    at: Annotated[datetime, msgspec.Meta(tz=True), says("When.")]
    member_id: Annotated[str, says("Who did it.")]
    token_id: Annotated[str, says("With which token.")]
    changes: Annotated[
        list[FieldChange],
        says("Every field that was changed, with what was there before and after."),
    ]
    member_name: Annotated[
        str | None, says("What that member is called; absent where the member is gone.")
    ] = None
    undoes: Annotated[
        str | None, says("The change that this one undid; absent where it undid none.")
    ] = None


class ChangePage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of changes."""

    items: Annotated[list[Change], says("The changes of this page, in order.")]
    next: Annotated[
        str | None, says("The address of the next page; absent on the last.")
    ] = None
    next_cursor: Annotated[str | None, says("The cursor within that address.")] = None


class ChangesQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which part of the history is wanted."""

    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None
    sort: Annotated[
        Literal["-at", "at"], says("The order; '-at' begins with the latest.")
    ] = "-at"
    kind: Annotated[KindName | None, says("Only of this sort of record.")] = None
    record_id: Annotated[
        Identifier | None, says("Only of this record, even if it is deleted.")
    ] = None
    member_id: Annotated[IdOrName | None, says("Only what this member did.")] = None
    action: Annotated[
        Action | None, says("Only where this was done with the record.")
    ] = None
    action_id: Annotated[
        Identifier | None, says("Only what was done at once with this action.")
    ] = None


class Undone(msgspec.Struct, frozen=True, kw_only=True):
    """What was done to take something back."""

    action_id: Annotated[
        str, says("What the changes have in common; the whole can be undone by it.")
    ]
    changes: Annotated[list[Change], says("Each change that was made, in order.")]
    look_alikes: Annotated[
        tuple[LookAlike, ...],
        says(
            "Others whose names look like those of what stands again, of the first ten"
            " of each sort; absent where there are none."
        ),
    ] = ()


def history_operations() -> list[Operation]:
    """Return every operation on the history."""
    return [
        Operation(
            id="listChanges",
            method="GET",
            path="/v1/history",
            about=About(
                tag=TAG,
                summary="List what was changed",
                description=(
                    "Who changed which record, when, and each field as it was and as"
                    " it is. Pages are joined by cursors: follow `next` until it is"
                    " absent. Of records that you may not read, nothing is told."
                ),
            ),
            act=Reads(history_acts.gather_changes, history_acts.report_changes),
            answers=Answers(tagged=True, shape=ChangePage),
            takes=Takes(query=ChangesQuery),
        ),
        Operation(
            id="getChange",
            method="GET",
            path="/v1/history/{change_id}",
            about=About(
                tag=TAG,
                summary="Read one change",
                description=(
                    "Who changed a record, when, and each field as it was and as it is."
                ),
            ),
            act=Reads(history_acts.gather_change, history_acts.report_change),
            answers=Answers(tagged=True, shape=Change),
        ),
        *_undoing(),
    ]


def _undoing() -> list[Operation]:
    return [
        Operation(
            id="undoChange",
            method="POST",
            path="/v1/history/{change_id}/undo",
            about=About(
                tag=TAG,
                summary="Undo one change",
                description=(
                    "What was there before is put back as a new version: what was"
                    " created is deleted, what was deleted comes back under its id,"
                    " what was changed gets its old figures. Whoever may make such a"
                    " change may undo it. Refused where the record was changed since,"
                    " or where putting it back would be wrong today; the detail says"
                    " what stands in the way. An undo can be undone."
                ),
            ),
            act=Writes(history_acts.perform_undo_change, in_turn=True),
            answers=Answers(shape=Undone, problems=("cannot_undo", "in_use")),
            guard=Guard(rate="write"),
        ),
        Operation(
            id="undoAction",
            method="POST",
            path="/v1/actions/{action_id}/undo",
            about=About(
                tag=TAG,
                summary="Undo all that was done at once",
                description=(
                    "Takes back every change of one action, as a layout that was"
                    " deleted with its places: all of it or nothing. Otherwise as for"
                    " one change."
                ),
            ),
            act=Writes(history_acts.perform_undo_action, in_turn=True),
            answers=Answers(shape=Undone, problems=("cannot_undo", "in_use")),
            guard=Guard(rate="write"),
        ),
    ]
