"""Whose a record is, and that nobody changes another's without the right to."""

from datetime import datetime
from typing import Any

import msgspec

from standage.registry.records.kinds import Kind
from standage.registry.records.record import Permit, Record
from standage.shapes.refusals import Forbidden


def require_right(kind: Kind[Any], permit: Permit, body: Any) -> None:
    """Raise ``Forbidden`` where the permit is for one's own records only, and this is
    another's.
    """
    if permit.whose != "own":
        return
    if not kind.rights.owned:
        raise Forbidden(f"you may not change a {kind.one}")
    if body.owner_id != permit.principal.member_id:
        raise Forbidden(f"this {kind.one} is not yours to change")


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
