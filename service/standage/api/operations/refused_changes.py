"""The changes that were refused because another device's came first, listed for whoever
sorts them out.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any, Literal

import msgspec

from standage.api.operations.history import TAG, KindName
from standage.api.operations.history_acts import hidden_for, known, listing_of
from standage.api.web import pages
from standage.api.web.acts import Reads
from standage.api.web.call import Call, Reply
from standage.api.web.operation import About, Answers, Operation, Takes
from standage.railway.terms.figures import Identifier, IdOrName, says
from standage.registry.records.reading import Reading
from standage.registry.writing import refused_changes
from standage.registry.writing.history import names_of_members
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
    next: Annotated[
        str | None, says("The address of the next page; absent on the last.")
    ] = None
    next_cursor: Annotated[str | None, says("The cursor within that address.")] = None


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
                    " Pages are joined by cursors: follow `next` until it is absent."
                ),
            ),
            act=Reads(_gather, _report),
            answers=Answers(shape=RefusedChangePage, tagged=True),
            takes=Takes(query=RefusedChangesQuery),
        )
    ]


@dataclass(frozen=True, kw_only=True)
class _Page:
    """One more than the page may hold, and what names the page that follows."""

    query: Mapping[str, Any]
    list_digest: str
    found: list[refused_changes.RefusedChange]
    members: Mapping[str, str]


def _gather(reading: Reading | None, call: Call) -> _Page:
    """Return the page that is asked for; raises ``Faulty`` for a cursor of another
    list.
    """
    asked, list_digest, listing = listing_of(call, _PATH, _FILTERS)
    permit, connection = call.granted, known(reading).connection
    own = permit.principal.member_id
    others = permit.whose == "own" and asked["member_id"] not in {None, own}
    narrowed = {"member_id": own} if permit.whose == "own" else {}
    listing = msgspec.structs.replace(listing, filters={**listing.filters, **narrowed})
    hidden = hidden_for(permit.principal)
    found = (
        []
        if others
        else refused_changes.page_of_refused(
            connection, call.club_id, listing, now=call.now, hidden=hidden
        )
    )
    members = names_of_members(
        connection, call.club_id, {one.member_id for one in found}
    )
    return _Page(query=asked, list_digest=list_digest, found=found, members=members)


def _report(page: _Page) -> Reply:
    """Answer with the page; where another follows, its address stands in the body and
    in the header Link.
    """
    shown = page.found[: page.query["limit"]]
    content: dict[str, Any] = {"items": [_told(one, page.members) for one in shown]}
    if len(page.found) <= len(shown):
        return Reply(content=content)
    value, last_id = position_of(shown[-1])
    text = pages.cursor(list_digest=page.list_digest, value=value, record_id=last_id)
    address = pages.next_path(_PATH, page.query, cursor_text=text)
    content |= {"next": address, "next_cursor": text}
    return Reply(content=content, headers=(("link", f'<{address}>; rel="next"'),))


def _told(
    refused: refused_changes.RefusedChange, members: Mapping[str, str]
) -> dict[str, Any]:
    told = {
        name: value
        for name, value in msgspec.structs.asdict(refused).items()
        if name != "sent"
    }
    by = members.get(refused.member_id)
    named = {} if by is None else {"member_name": by}
    sent = {} if refused.sent is None else {"sent": msgspec.json.decode(refused.sent)}
    return {**told, **named, **sent}
