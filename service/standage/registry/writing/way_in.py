"""That somebody can always get into a club and mend what is wrong there."""

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Select, select

from standage.registry.database.tables import members, tokens
from standage.registry.records.bodies import TokenBody
from standage.registry.records.kinds import TOKENS, Kind
from standage.shapes.refusals import InUse


def require_way_in(
    connection: Connection, kind: Kind[Any], club_id: str, now: datetime
) -> None:
    """Raise ``InUse`` where records of ``kind`` were changed so that no steward is left
    with a token that lets them in.
    """
    if not kind.rights.way_in:
        return
    bodies = connection.scalars(_of_stewards(club_id))
    if not any(_opens(TOKENS.decode(body), now) for body in bodies):
        raise InUse(
            "the club must keep a steward with a working token; make another one first"
        )


def _of_stewards(club_id: str) -> Select[Any]:
    """Return the statement for the tokens that a club's stewards hold."""
    held = select(tokens.c.body).join(members, members.c.id == tokens.c.member_id)
    return held.where(
        tokens.c.club_id == club_id,
        tokens.c.deleted_at.is_(None),
        tokens.c.secret_sha256.is_not(None),
        members.c.club_id == club_id,
        members.c.deleted_at.is_(None),
        members.c.role == "steward",
    )


def _opens(token: TokenBody, now: datetime) -> bool:
    if token.expires_at is not None and token.expires_at <= now:
        return False
    return "write" in token.scopes
