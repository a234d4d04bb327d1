"""Where to bring back what was deleted, told to whoever looks for it and may read of
deletions; to nobody else.
"""

from collections.abc import Mapping
from datetime import datetime

import msgspec

from standage.api.operations.looking_back import hidden_for
from standage.api.operations.record_words import id_name
from standage.api.rights import RIGHTS
from standage.registry.database.moments import keeping_moment
from standage.registry.records.drafts import deleted_beneath
from standage.registry.records.kinds import KINDS
from standage.registry.records.reading import Reading
from standage.registry.records.record import Change, Principal
from standage.registry.writing.history import deletion_of
from standage.registry.writing.undoing import KEPT_FOR
from standage.shapes.refusals import Absent

_KINDS_BY_ID = {id_name(kind): kind for kind in KINDS.values()}
"""The kinds by what their ids are called in an address."""


def with_way_back(
    absent: Absent,
    reading: Reading,
    principal: Principal,
    *,
    path: Mapping[str, str],
    now: datetime,
) -> Absent:
    """Return ``absent``; of a record of the club that was deleted, with where it can be
    brought back.

    What lies beneath a record that was deleted comes back with that one. Of another
    club's record, and of one that never was, nothing more is said.
    """
    row = RIGHTS["getDeletedRecord"]
    if row.whose(principal.role) is None or row.scope not in principal.scopes:
        return absent
    for name, record_id in {**path, **_drafts(reading, principal, path)}.items():
        kind = _KINDS_BY_ID.get(name)
        deletion = (
            None
            if kind is None
            else _deletion(
                reading,
                principal,
                record_id,
                now,
            )
        )
        if kind is not None and deletion is not None and deletion.kind == kind.name:
            called = kind.title_in(msgspec.json.decode(deletion.before or "{}"))
            until = (deletion.at + KEPT_FOR).date()
            deleted = f"the {kind.one} {called} was deleted on {deletion.at.date()}"
            back = (
                f"until {until} it can be brought back by POST"
                f" /v1/deleted-records/{record_id}/restore"
            )
            return Absent(f"{absent}: {deleted}, and {back}")
    return absent


def _drafts(
    reading: Reading, principal: Principal, path: Mapping[str, str]
) -> dict[str, str]:
    """Return the ids of deleted drafts of what an address names, each by its name."""
    found: dict[str, str] = {}
    if len(path) != 1:
        return found
    for kind in KINDS.values():
        above = KINDS.get(kind.parent or "")
        if not kind.naming.sole or above is None or id_name(above) not in path:
            continue
        parent_id = path[id_name(above)]
        draft_id = deleted_beneath(
            reading,
            kind,
            principal.club_id,
            parent_id,
        )
        if draft_id is not None:
            found[id_name(kind)] = draft_id
    return found


def _deletion(
    reading: Reading, principal: Principal, record_id: str, now: datetime
) -> Change | None:
    since = keeping_moment(reading.connection, now) - KEPT_FOR
    try:
        change = deletion_of(
            reading.connection, principal.club_id, record_id, since=since
        )
    except Absent:
        return None
    if change.kind in hidden_for(principal):
        return None
    return change
