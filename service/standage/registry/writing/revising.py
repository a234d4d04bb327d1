"""Saving a draft for good, as its next revision.

It is no change of the draft: version and ETag stay, and nothing is told in history,
since the list of revisions itself says who saved what and when. So it cannot be undone
either; what a revision holds is brought back by changing the draft.
"""

from typing import Any

from sqlalchemy import insert

from standage.registry.database.tables import revisions
from standage.registry.records.kind import Kind
from standage.registry.records.record import Permit, Record, to_text
from standage.registry.records.revisions import (
    Revision,
    last_number,
    revision_of,
)
from standage.registry.writing.store import Writing
from standage.shapes.faults import Fault, Faulty

MOST_REVISIONS = 1000
"""Of one record: each may be as long as a body, and none ever goes."""


def save_revision(
    writing: Writing, kind: Kind[Any], permit: Permit, draft: Record, *, remark: str
) -> Revision:
    """Save the draft as it stands; it is held (``Writing.hold_one``) by somebody who
    may change it.

    Two who save at once get two numbers, one after the other. Raises ``Faulty`` where
    there are too many.
    """
    by = permit.principal
    number = last_number(writing.connection, draft) + 1
    if number > MOST_REVISIONS:
        raise Faulty([_too_many(kind)])
    row = {
        "kind": kind.name,
        "record_id": draft.id,
        "number": number,
        "club_id": draft.club_id,
        "version": draft.version,
        "at": writing.now,
        "author_id": by.member_id,
        "token_id": by.token_id,
        "action_id": writing.action_id,
        "remark": remark,
        "summary": kind.summary_text(draft.body),
        "body": to_text(draft.body),
    }
    writing.connection.execute(insert(revisions).values(row))
    return revision_of(writing.connection, kind, draft, number)


def _too_many(kind: Kind[Any]) -> Fault:
    message = f"a {kind.one} can have {MOST_REVISIONS} revisions at most"
    return Fault(
        code="too_many",
        message=message,
        pointer="",
    )
