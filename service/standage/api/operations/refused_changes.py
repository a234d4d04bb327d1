"""The changes that were refused because another device's came first, listed for whoever
sorts them out.
"""

from datetime import datetime
from typing import Annotated, Any, Literal

import msgspec

from standage.api.operations.history import TAG, KindName
from standage.api.operations.looking_back import (
    Names,
    called,
    gathering,
    hidden_for,
    reporting,
)
from standage.api.web import pages
from standage.api.web.call import Call
from standage.api.web.operation import About, Answers, Operation, Reads, Takes
from standage.railway.terms.figures import Identifier, IdOrName, says
from standage.registry.records.reading import Listing, Reading
from standage.registry.writing import refused_changes
from standage.registry.writing.refused_changes import Verb, position_of

_PATH = "/v1/refused-changes"
_FILTERS = ("kind", "record_id", "member_id")


class RefusedChange(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """A change that was refused since the record had changed meanwhile: who meant
    what.
    """

    id: Annotated[str, says("Its id; the service gives it.")]
    kind: Annotated[str, says("The sort of record, as in the record's own address.")]
    record_id: Annotated[str, says("The record that was to be changed.")]
    record_name: Annotated[
        str, says("What the record was called when the change was refused.")
    ]
    verb: Annotated[Verb, says("What was to be done with the record.")]
    at: Annotated[datetime, msgspec.Meta(tz=True), says("When it was refused first.")]
    last_at: Annotated[
        datetime, msgspec.Meta(tz=True), says("When it was refused last.")
    ]
    times: Annotated[int, says("How often the same was sent and refused.")]
    member_id: Annotated[str, says("Who meant it.")]
    token_id: Annotated[str, says("With which token or session.")]
    seen: Annotated[
        str, says("The version that they had, as they sent it in If-Match.")
    ]
    version: Annotated[int, says("The record's version when it was refused last.")]
    member_name: Annotated[
        str | None, says("What that member is called; absent where the member is gone.")
    ] = None
    sent: Annotated[
        Any,
        says(
            "What they sent; absent of a deletion, and of what is too long to be kept."
        ),
    ] = None


class RefusedChangePage(msgspec.Struct, frozen=True, kw_only=True):
    """A page of refused changes."""

    items: Annotated[
        list[RefusedChange], says("The refused changes of this page, in order.")
    ]
    next: pages.Next = None
    next_cursor: pages.NextCursor = None


class RefusedChangesQuery(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True
):
    """Which refused changes are wanted."""

    limit: pages.Limit = pages.DEFAULT_LIMIT
    cursor: pages.Cursor | None = None
    sort: Annotated[
        Literal["-at", "at"], says("The order; '-at' begins with the latest.")
    ] = "-at"
    kind: Annotated[KindName | None, says("Only of this sort of record.")] = None
    record_id: Annotated[Identifier | None, says("Only of this record.")] = None
    member_id: Annotated[IdOrName | None, says("Only what this member meant.")] = None


def refused_change_operations() -> list[Operation]:
    """Return the operation on refused changes."""
    return [
        Operation(
            id="listRefusedChanges",
            method="GET",
            path=_PATH,
            about=About(
                tag=TAG,
                summary="List the changes that were refused since another came first",
                description=(
                    "Two devices change one record: the second is refused, and what"
                    " it meant stands here for 72 hours, the latest 200 of a club. A"
                    " steward and a layout keeper see everybody's, a member their own."
                ),
            ),
            act=Reads(gathering(_PATH, _FILTERS, _find), reporting(_told, _place)),
            answers=Answers(shape=RefusedChangePage, tagged=True),
            takes=Takes(query=RefusedChangesQuery),
        )
    ]


def _find(
    reading: Reading, call: Call, listing: Listing
) -> list[refused_changes.RefusedChange]:
    """Return the refused changes that are asked for: of a member who sees their own
    only, none where somebody else's are.
    """
    permit, wanted = call.granted, call.query.member_id
    if permit.whose == "own":
        own = permit.principal.member_id
        if wanted not in {None, own}:
            return []
        filters = {**listing.filters, "member_id": own}
        listing = msgspec.structs.replace(listing, filters=filters)
    hidden = hidden_for(permit.principal)
    return refused_changes.page_of_refused(
        reading.connection, call.club_id, listing, now=call.now, hidden=hidden
    )


def _place(
    refused: refused_changes.RefusedChange, _listing: Listing
) -> tuple[str, str]:
    return position_of(refused)


def _told(refused: refused_changes.RefusedChange, members: Names) -> dict[str, Any]:
    fields = msgspec.structs.asdict(refused)
    sent = fields.pop("sent")
    told = fields | called(refused.member_id, members)
    if sent is not None:
        told["sent"] = msgspec.json.decode(sent)
    return told
