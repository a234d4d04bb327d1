"""What becomes of a request about history: gathered from one snapshot and reported as
people read it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import msgspec

from standage.api import rights
from standage.api.operations.differences import differences
from standage.api.operations.record_acts import telling_defaults
from standage.api.operations.record_warnings import LOOK_ALIKES
from standage.api.operations.record_words import WORDS
from standage.api.web import pages
from standage.api.web.call import Call, Reply
from standage.registry.records.kinds import KINDS
from standage.registry.records.look_alikes import (
    MOST_LOOKED_FOR,
    LookAlike,
    looking_alike,
)
from standage.registry.records.reading import Listing, Reading
from standage.registry.records.record import Change, Part, Principal
from standage.registry.writing.history import (
    change_of,
    changes_of_action,
    names_of_members,
    page_of_changes,
    position_of,
)
from standage.registry.writing.store import Writing
from standage.registry.writing.undoing import PermitFor, Undoing
from standage.shapes.refusals import Absent

FILTERS = ("kind", "record_id", "member_id", "action", "action_id")


@dataclass(frozen=True, kw_only=True)
class Page:
    """One change more than the page may hold, and what names the page that follows."""

    path: str
    query: Mapping[str, Any]
    list_digest: str
    listing: Listing
    changes: list[Change]
    members: Mapping[str, str]


def known(reading: Reading | None) -> Reading:
    """Return the reading of a caller who is known: history is never open to
    strangers.
    """
    if reading is None:
        message = "history was asked for without a club"
        raise TypeError(message)
    return reading


@cache
def hidden_from(role: Part) -> frozenset[str]:
    """Return the kinds whose records ``role`` may not read, and so not their
    history.
    """
    return frozenset(
        name
        for name in KINDS
        if rights.RIGHTS[f"get{WORDS[name].noun}"].whose(role) is None
    )


def hidden_for(principal: Principal) -> frozenset[str]:
    """Return the kinds of which ``principal`` is told nothing."""
    return hidden_from(principal.role)


def listing_of(
    call: Call, path: str, filters: Sequence[str]
) -> tuple[dict[str, Any], str, Listing]:
    """Return the query, what binds a cursor to it, and the part of the list that is
    wanted and one more.

    Raises ``Faulty`` for a cursor of another list.
    """
    asked: dict[str, Any] = msgspec.structs.asdict(call.query)
    list_digest = pages.digest(path, club_id=call.club_id, query=asked)
    listing = Listing(
        filters={name: asked[name] for name in filters if asked[name] is not None},
        descending=asked["sort"].startswith("-"),
        after=pages.after(asked["cursor"], list_digest=list_digest),
        limit=asked["limit"] + 1,
    )
    return asked, list_digest, listing


def gather_changes(reading: Reading | None, call: Call) -> Page:
    """Return the page of history that is asked for; raises ``Faulty`` for a cursor of
    another list.
    """
    path = "/v1/history"
    asked, list_digest, listing = listing_of(call, path, FILTERS)
    connection = known(reading).connection
    changes = page_of_changes(
        connection, call.club_id, listing, hidden=hidden_for(call.granted.principal)
    )
    members = names_of_members(
        connection, call.club_id, {change.member_id for change in changes}
    )
    return Page(
        path=path,
        query=asked,
        list_digest=list_digest,
        listing=listing,
        changes=changes,
        members=members,
    )


def report_changes(page: Page) -> Reply:
    """Answer with the page; where another follows, its address stands in the body and
    in the header Link.
    """
    return report_page(
        page,
        [told(change, page.members) for change in page.changes[: page.query["limit"]]],
    )


def report_page(page: Page, items: Sequence[Mapping[str, Any]]) -> Reply:
    """Answer with ``items``, made of the changes of a page."""
    content: dict[str, Any] = {"items": items}
    if len(page.changes) <= len(items):
        return Reply(content=content)
    value, change_id = position_of(page.changes[len(items) - 1], page.listing)
    text = pages.cursor(list_digest=page.list_digest, value=value, record_id=change_id)
    address = pages.next_path(page.path, page.query, cursor_text=text)
    content |= {"next": address, "next_cursor": text}
    return Reply(content=content, headers=(("link", f'<{address}>; rel="next"'),))


def gather_change(
    reading: Reading | None, call: Call
) -> tuple[Change, Mapping[str, str]]:
    """Return one change; raises ``Absent`` where there is none, or it is of a kind that
    the caller may not read.
    """
    connection = known(reading).connection
    change = change_of(connection, call.club_id, call.path["change_id"])
    if change.kind in hidden_for(call.granted.principal):
        raise Absent("there is no such change")
    return change, names_of_members(connection, call.club_id, {change.member_id})


def report_change(found: tuple[Change, Mapping[str, str]]) -> Reply:
    """Answer with one change."""
    return Reply(content=told(*found))


def told(change: Change, members: Mapping[str, str]) -> dict[str, Any]:
    """Return a change as it is spoken: who, when, what, and each field that was
    changed.
    """
    kind = KINDS[change.kind]
    before, after = (
        _spoken(change.kind, text) for text in (change.before, change.after)
    )
    by = members.get(change.member_id)
    return {
        "id": change.id,
        "action_id": change.action_id,
        "kind": change.kind,
        "record_id": change.record_id,
        "record_name": (after or before)[kind.naming.field],
        "version": change.version,
        "action": change.action,
        "at": change.at,
        "member_id": change.member_id,
        **({} if by is None else {"member_name": by}),
        "token_id": change.token_id,
        **({} if change.undoes is None else {"undoes": change.undoes}),
        "changes": [msgspec.to_builtins(one) for one in differences(before, after)],
    }


def _spoken(kind_name: str, text: str | None) -> dict[str, Any]:
    if text is None:
        return {}
    body: dict[str, Any] = msgspec.json.decode(text)
    return {**telling_defaults(KINDS[kind_name]), **body}


def perform_undo_change(writing: Writing, call: Call) -> Reply:
    """Take one change back."""
    undoing = undoing_in(writing)
    undoing.undo_change(call.granted.principal, call.path["change_id"], permits(call))
    return done(undoing, call)


def perform_undo_action(writing: Writing, call: Call) -> Reply:
    """Take back all that one action did."""
    undoing = undoing_in(writing)
    undoing.undo_action(call.granted.principal, call.path["action_id"], permits(call))
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
        f"{verb}{WORDS[kind.name].noun}", call.granted.principal
    )


def done(undoing: Undoing, call: Call, *, etag: str | None = None) -> Reply:
    """Answer with all that was done."""
    changes = changes_of_action(undoing.connection, call.club_id, undoing.action_id)
    members = names_of_members(
        undoing.connection, call.club_id, {change.member_id for change in changes}
    )
    alike = msgspec.to_builtins(_look_alikes(undoing, call.club_id, changes))
    content = {
        "action_id": undoing.action_id,
        "changes": [told(change, members) for change in changes],
    }
    return Reply(content=content | ({LOOK_ALIKES: alike} if alike else {}), etag=etag)


def _look_alikes(
    undoing: Undoing, club_id: str, changes: Sequence[Change]
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
