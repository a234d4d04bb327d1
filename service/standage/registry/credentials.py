"""Tokens: shown once, kept as a hash, found by it."""

import hashlib
import re
import secrets
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import Row, Select, bindparam, select

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
    return None if row is None else _principal(row, row.role, now)


def held_principal(writing: Writing, principal: Principal) -> Principal | None:
    """Return ``principal`` as they are now, and stay until the transaction ends; ``None`` where they are nobody by now.

    The member is held before the token, which is the order in which both are deleted.
    """
    known = {"member_id": principal.member_id, "token_id": principal.token_id}
    member = writing.connection.execute(_member_held(), known).first()
    row = None if member is None else writing.connection.execute(_token_held(), known).first()
    return None if member is None or row is None else _principal(row, member.role, writing.now)


def _principal(row: Row[Any], role: Role, now: datetime) -> Principal | None:
    token = TOKENS.decode(row.body)
    if token.expires_at is not None and token.expires_at <= now:
        return None
    return Principal(
        club_id=row.club_id,
        member_id=row.member_id,
        role=role,
        token_id=row.id,
        scopes=frozenset(token.scopes),
    )


@cache
def _member_held() -> Select[Any]:
    members = tables.members
    mine = select(members.c.role).where(members.c.id == bindparam("member_id"), members.c.deleted_at.is_(None))
    return mine.with_for_update(read=True)


@cache
def _token_held() -> Select[Any]:
    tokens = tables.tokens
    mine = select(tokens.c.id, tokens.c.club_id, tokens.c.member_id, tokens.c.body)
    mine = mine.where(tokens.c.id == bindparam("token_id"), tokens.c.deleted_at.is_(None))
    return mine.where(tokens.c.member_id == bindparam("member_id")).with_for_update(read=True)


@cache
def _holder() -> Select[Any]:
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
