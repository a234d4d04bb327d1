"""Whose a record is, and that nobody changes another's without the right to."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

import msgspec
from sqlalchemy import ColumnElement, Connection, select

from standage.registry.records.kinds import KINDS, Kind
from standage.registry.records.reading import kept, record_from
from standage.registry.records.record import Permit, Record
from standage.shapes.refusals import Forbidden


def require_right(kind: Kind[Any], permit: Permit, body: Any) -> None:
    """Raise ``Forbidden`` where the permit is for one's own records only, and this is
    another's.

    Of what is whose it lies beneath, ``require_right_above`` tells.
    """
    if permit.whose != "own" or kind.rights.as_above:
        return
    if not kind.rights.owned:
        raise Forbidden(f"you may not change a {kind.one}")
    if body.owner_id != permit.principal.member_id:
        raise Forbidden(f"this {kind.one} is not yours to change")


def require_right_above(
    connection: Connection, kind: Kind[Any], permit: Permit, records: Sequence[Record]
) -> None:
    """Raise ``Forbidden`` where ``records``, all of one kind, are whose they lie
    beneath, and one of those is another's; they are held as they are.

    Those that are deleted count as they were: what comes back with one is its owner's.
    """
    if permit.whose != "own" or not kind.rights.as_above or not records:
        return
    above = KINDS[kind.parent or ""]
    ids = sorted({record.parent_id or "" for record in records})
    theirs = kept(above, permit.principal.club_id).where(above.table.c.id.in_(ids))
    rows = connection.execute(
        theirs.order_by(above.table.c.id).with_for_update(read=True)
    )
    for row in rows.all():
        require_right(above, permit, record_from(above, row).body)


def belongs_to(
    kind: Kind[Any], club_id: str, member_id: str
) -> ColumnElement[bool] | None:
    """Return what is true of a member's own records of that kind, deleted ones too;
    None of a kind of which nothing is anybody's own.
    """
    if kind.rights.owned:
        return kind.table.c.owner_id == member_id
    if not kind.rights.as_above:
        return None
    above = KINDS[kind.parent or ""].table.c
    theirs = select(above.id).where(
        above.club_id == club_id, above.owner_id == member_id
    )
    return kind.table.c.parent_id.in_(theirs)


def ids_beneath(connection: Connection, club_id: str, member_id: str) -> frozenset[str]:
    """Return the ids of what is a member's since it lies beneath what is, deleted ones
    too.
    """
    found: set[str] = set()
    for kind in KINDS.values():
        theirs = belongs_to(kind, club_id, member_id)
        if kind.rights.as_above and theirs is not None:
            found.update(connection.scalars(select(kind.table.c.id).where(theirs)))
    return frozenset(found)


def settled(
    kind: Kind[Any], permit: Permit, body: Any, *, before: Record | None, now: datetime
) -> msgspec.Struct:
    """Return the body as it is kept: its owner, where none is named, stays or is
    whoever creates it.

    Raises ``Forbidden`` where a member puts down, or gives away, to another.
    """
    if kind.rights.owned and body.owner_id is None:
        owner_id: str | None = permit.principal.member_id
        if before is not None:
            owner_id = getattr(before.body, "owner_id", None)
        body = msgspec.structs.replace(body, owner_id=owner_id)
    require_right(kind, permit, body)
    kept: msgspec.Struct = kind.life.kept(body, now)
    return kept
