"""Tokens: shown once, kept as a hash, found by it."""

import hashlib
import re
import secrets
from datetime import datetime
from functools import cache

from sqlalchemy import Select, bindparam, select

from standage.registry import tables
from standage.registry.bodies import TokenBody
from standage.registry.kinds import TOKENS
from standage.registry.reading import Reading
from standage.registry.records import Permit, Principal, Record, Role
from standage.registry.store import Writing

_SECRET_BYTES = 24
_SHAPE = re.compile(r"stg_[A-Za-z0-9_-]{22,100}")


def issue_token(
    writing: Writing, permit: Permit, body: TokenBody, *, record_id: str | None = None
) -> tuple[Record, str]:
    """Return a new token's record and its text, which is kept nowhere. Raises ``Forbidden``, ``Faulty``."""
    text = f"stg_{secrets.token_urlsafe(_SECRET_BYTES)}"
    record = writing.create(TOKENS, permit, body, record_id=record_id)
    writing.keep_secret(record, sha256=_sha256(text))
    return record, text


def principal_for(reading: Reading, token_text: str, now: datetime) -> Principal | None:
    """Return who shows that token; ``None`` where it is not one, expired, revoked, or its member or club is gone."""
    if _SHAPE.fullmatch(token_text) is None:
        return None
    row = reading.connection.execute(_holder(), {"sha256": _sha256(token_text)}).first()
    if row is None:
        return None
    token = TOKENS.decode(row.body)
    if token.expires_at is not None and token.expires_at <= now:
        return None
    return Principal(
        club_id=row.club_id,
        member_id=row.member_id,
        role=row.role,
        token_id=row.id,
        scopes=frozenset(token.scopes),
    )


@cache
def _holder() -> Select[tuple[str, str, str, str, Role]]:
    """Return the statement for who holds a token: built once, since every request asks it."""
    tokens, members, clubs = tables.tokens, tables.members, tables.clubs
    return (
        select(tokens.c.id, tokens.c.club_id, tokens.c.member_id, tokens.c.body, members.c.role)
        .join(members, members.c.id == tokens.c.member_id)
        .join(clubs, clubs.c.id == tokens.c.club_id)
        .where(tokens.c.secret_sha256 == bindparam("sha256"), members.c.club_id == tokens.c.club_id)
        .where(*(table.c.deleted_at.is_(None) for table in (tokens, members, clubs)))
    )


def _sha256(token_text: str) -> str:
    return hashlib.sha256(token_text.encode()).hexdigest()
