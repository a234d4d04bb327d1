"""The operations on what was done: the history of every record."""

from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Annotated, Any, Literal

import msgspec

from standage.api import rights
from standage.api.operations.differences import FieldChange, differences
from standage.api.operations.looking_back import (
    Names,
    called,
    gathering,
    hidden_for,
    names_in,
    reporting,
)
from standage.api.operations.record_shapes import LOOK_ALIKES, telling_defaults
from standage.api.operations.record_words import WORDS
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
from standage.railway.terms.figures import Identifier, IdOrName, says
from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.look_alikes import (
    MOST_LOOKED_FOR,
    LookAlike,
    looking_alike,
)
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import Action
from standage.registry.records.record import Change as KeptChange
from standage.registry.writing.history import (
    change_of,
    changes_of_action,
    page_of_changes,
    position_of,
)
from standage.registry.writing.store import Writing
from standage.registry.writing.undoing import PermitFor, Undoing, Verb
from standage.shapes.refusals import Absent

TAG = "History"
_PATH = "/v1/history"
_FILTERS = ("kind", "record_id", "member_id", "action", "action_id")
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
    next: pages.Next = None
    next_cursor: pages.NextCursor = None


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
            path=_PATH,
            about=About(
                tag=TAG,
                summary="List what was changed",
                description=(
                    "Who changed which record, when, and each field as it was and as"
                    " it is. Of records that you may not read, nothing is told."
                ),
            ),
            act=Reads(gathering(_PATH, _FILTERS, _find), reporting(told, position_of)),
            answers=Answers(tagged=True, shape=ChangePage),
            takes=Takes(query=ChangesQuery),
        ),
        Operation(
            id="getChange",
            method="GET",
            path=f"{_PATH}/{{change_id}}",
            about=About(
                tag=TAG,
                summary="Read one change",
                description=(
                    "Who changed a record, when, and each field as it was and as it is."
                ),
            ),
            act=Reads(_gather_change, _report_change),
            answers=Answers(tagged=True, shape=Change),
        ),
        *_undoing(),
    ]


def _undoing() -> list[Operation]:
    return [
        Operation(
            id="undoChange",
            method="POST",
            path=f"{_PATH}/{{change_id}}/undo",
            about=About(
                tag=TAG,
                summary="Undo one change",
                description=(
                    "What was there before is put back as a new version. Whoever may"
                    " make such a change may undo it. Refused where the record was"
                    " changed since, or where putting it back would be wrong today:"
                    " the detail says what stands in the way. An undo can be undone."
                ),
            ),
            act=Writes(_undo_change, in_turn=True),
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
            act=Writes(_undo_action, in_turn=True),
            answers=Answers(shape=Undone, problems=("cannot_undo", "in_use")),
            guard=Guard(rate="write"),
        ),
    ]


def _find(reading: Reading, call: Call, listing: Listing) -> list[KeptChange]:
    hidden = hidden_for(call.granted.principal)
    connection = reading.connection
    return page_of_changes(connection, call.club_id, listing, hidden=hidden)


def _gather_change(reading: Reading | None, call: Call) -> tuple[KeptChange, Names]:
    """Return one change; raises ``Absent`` where there is none, or it is of a kind that
    the caller may not read.
    """
    looked_up, club_id = known(reading), call.club_id
    change_id = call.path["change_id"]
    change = change_of(looked_up.connection, club_id, change_id)
    hidden = hidden_for(call.granted.principal)
    if change.kind in hidden:
        raise Absent("there is no such change")
    return change, names_in(looked_up, club_id, [change])


def _report_change(found: tuple[KeptChange, Names]) -> Reply:
    return Reply(content=told(*found))


def told(change: KeptChange, members: Names) -> dict[str, Any]:
    """Return a change as it is spoken: who, when, what, and each field that was
    changed.
    """
    before = _spoken(change.kind, change.before)
    after = _spoken(change.kind, change.after)
    undone = {} if change.undoes is None else {"undoes": change.undoes}
    fields = differences(before, after)
    return {
        "id": change.id,
        "action_id": change.action_id,
        "kind": change.kind,
        "record_id": change.record_id,
        "record_name": KINDS[change.kind].title_in(after or before),
        "version": change.version,
        "action": change.action,
        "at": change.at,
        "member_id": change.member_id,
        **called(change.member_id, members),
        "token_id": change.token_id,
        **undone,
        "changes": [msgspec.to_builtins(one) for one in fields],
    }


def _spoken(kind_name: str, text: str | None) -> dict[str, Any]:
    if text is None:
        return {}
    body: dict[str, Any] = msgspec.json.decode(text)
    return {**telling_defaults(KINDS[kind_name]), **body}


def _undo_change(writing: Writing, call: Call) -> Reply:
    """Take one change back."""
    undoing = undoing_in(writing)
    by = call.granted.principal
    undoing.undo_change(by, call.path["change_id"], permits(call))
    return done(undoing, call)


def _undo_action(writing: Writing, call: Call) -> Reply:
    """Take back all that one action did."""
    undoing = undoing_in(writing)
    by = call.granted.principal
    undoing.undo_action(by, call.path["action_id"], permits(call))
    return done(undoing, call)


def undoing_in(writing: Writing) -> Undoing:
    """Return what takes things back within the same transaction and as the same
    action.
    """
    return Undoing(writing.connection, writing.now, action_id=writing.action_id)


def permits(call: Call) -> PermitFor:
    """Return what gives the caller's permits: whoever may do a write may undo what it
    would undo.
    """
    return lambda kind, verb: rights.permit(
        _operation_id(kind, verb), call.granted.principal
    )


def _operation_id(kind: Kind[Any], verb: Verb) -> str:
    """Return the operation that does such a write; what there is one of is made by
    sending it.
    """
    noun = WORDS[kind.name].noun
    if kind.naming.sole and verb == "create":
        return f"replace{noun}"
    return f"{verb}{noun}"


def done(undoing: Undoing, call: Call, *, etag: str | None = None) -> Reply:
    """Answer with all that was done."""
    changes = changes_of_action(undoing.connection, call.club_id, undoing.action_id)
    members = names_in(undoing, call.club_id, changes)
    content: dict[str, Any] = {
        "action_id": undoing.action_id,
        "changes": [told(change, members) for change in changes],
    }
    alike = _look_alikes(undoing, call.club_id, changes)
    if alike:
        content[LOOK_ALIKES] = msgspec.to_builtins(alike)
    return Reply(
        content=content,
        etag=etag,
    )


def _look_alikes(
    undoing: Undoing, club_id: str, changes: Sequence[KeptChange]
) -> list[LookAlike]:
    """Return the records whose names look like those of what stands again, of the first
    of each kind.
    """
    found: list[LookAlike] = []
    for name in dict.fromkeys(change.kind for change in changes):
        ids = [
            change.record_id
            for change in changes
            if change.kind == name and change.after is not None
        ]
        standing = undoing.many(KINDS[name], club_id, ids[:MOST_LOOKED_FOR])
        found += looking_alike(undoing.connection, KINDS[name], list(standing.values()))
    return found
