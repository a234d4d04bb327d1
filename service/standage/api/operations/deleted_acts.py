"""What becomes of a request about deleted records: listed, read, and brought back."""

from collections.abc import Mapping
from typing import Any

import msgspec

from standage.api.operations.history_acts import (
    Page,
    done,
    hidden_for,
    known,
    listing_of,
    permits,
    report_page,
    undoing_in,
)
from standage.api.web.call import Call, Reply
from standage.registry.database.moments import keeping_moment
from standage.registry.records.kinds import KINDS
from standage.registry.records.reading import Reading
from standage.registry.records.record import Change
from standage.registry.writing.history import (
    deletion_of,
    names_of_members,
    page_of_deletions,
)
from standage.registry.writing.store import Writing
from standage.registry.writing.undoing import KEPT_FOR
from standage.shapes.refusals import Absent

_FILTERS = ("kind", "member_id")


def gather_deletions(reading: Reading | None, call: Call) -> Page:
    """Return the page of deletions that is asked for; raises ``Faulty`` for a cursor of
    another list.
    """
    path = "/v1/deleted-records"
    asked, list_digest, listing = listing_of(call, path, _FILTERS)
    connection, hidden = known(reading).connection, hidden_for(call.granted.principal)
    since = keeping_moment(connection, call.now) - KEPT_FOR
    changes = page_of_deletions(
        connection, call.club_id, listing, since=since, hidden=hidden
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


def report_deletions(page: Page) -> Reply:
    """Answer with the page; where another follows, its address stands in the body and
    in the header Link.
    """
    return report_page(
        page,
        [_told(change, page.members) for change in page.changes[: page.query["limit"]]],
    )


def gather_deletion(
    reading: Reading | None, call: Call
) -> tuple[Change, Mapping[str, str]]:
    """Return how a record was deleted; raises ``Absent`` where none is, or it may not
    be read by the caller.
    """
    connection = known(reading).connection
    record_id = call.path["deleted_record_id"]
    change = deletion_of(
        connection,
        call.club_id,
        record_id,
        since=keeping_moment(connection, call.now) - KEPT_FOR,
    )
    if change.kind in hidden_for(call.granted.principal):
        raise Absent("there is no such deleted record")
    return change, names_of_members(connection, call.club_id, {change.member_id})


def report_deletion(found: tuple[Change, Mapping[str, str]]) -> Reply:
    """Answer with one deleted record."""
    return Reply(content=_told(*found))


def perform_restore(writing: Writing, call: Call) -> Reply:
    """Bring a record back with what went with it, under the ETag of its new version."""
    undoing = undoing_in(writing)
    record = undoing.restore(
        call.granted.principal, call.path["deleted_record_id"], permits(call)
    )
    return done(undoing, call, etag=record.etag)


def _told(change: Change, members: Mapping[str, str]) -> dict[str, Any]:
    by = members.get(change.member_id)
    return {
        "id": change.record_id,
        "kind": change.kind,
        "name": msgspec.json.decode(change.before or "{}")[
            KINDS[change.kind].naming.field
        ],
        "version": change.version,
        "deleted_at": change.at,
        "kept_until": change.at + KEPT_FOR,
        "member_id": change.member_id,
        **({} if by is None else {"member_name": by}),
        "change_id": change.id,
        "action_id": change.action_id,
    }
