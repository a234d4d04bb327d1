"""What lets somebody in: tokens, sessions and share links, found by the hash of a secret
that is shown once.
"""

import hashlib
import re
import secrets
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from functools import cache
from typing import Any, Literal

import msgspec
from sqlalchemy import Row, Select, bindparam, select

from standage.registry.database import tables
from standage.registry.records.bodies import TokenBody, is_over
from standage.registry.records.kind import Kind
from standage.registry.records.kinds import INVITATIONS, SHARE_LINKS, TOKENS
from standage.registry.records.reading import Reading
from standage.registry.records.record import Permit, Principal, Record
from standage.registry.writing.store import Writing
from standage.shapes.faults import Fault, Faulty

Sort = Literal["token", "session", "invitation", "link"]

_SECRET_BYTES = 24
_PREFIXES: dict[str, Sort] = {
    "stg_": "token",
    "sts_": "session",
    "sti_": "invitation",
    "stl_": "link",
}
_SHAPE = re.compile(r"(st[gsil]_)[A-Za-z0-9_-]{22,100}")


def new_secret(sort: Sort) -> str:
    """Return a new secret of that sort, with 192 random bits."""
    (prefix,) = (prefix for prefix, one in _PREFIXES.items() if one == sort)
    random = secrets.token_urlsafe(_SECRET_BYTES)
    return f"{prefix}{random}"


def sort_of(text: str) -> Sort | None:
    """Return the sort of secret that ``text`` has the shape of; ``None`` where it has
    none.

    >>> sort_of("stg_" + "x" * 32), sort_of("x" * 32)
    ('token', None)
    """
    found = _SHAPE.fullmatch(text)
    if found is None:
        return None
    return _PREFIXES[found[1]]


def sha256_of(text: str) -> str:
    """Return the hash by which a secret is kept and found."""
    return hashlib.sha256(text.encode()).hexdigest()


IDLE = timedelta(days=14)
"""A session that is not used for so long has ended."""
NOTED_EVERY = timedelta(hours=1)
"""How often it is put down that a session is in use."""
LONGEST = {INVITATIONS.name: timedelta(days=31), SHARE_LINKS.name: timedelta(days=400)}

_SORTS: Mapping[str, Sort] = {
    TOKENS.name: "token",
    INVITATIONS.name: "invitation",
    SHARE_LINKS.name: "link",
}
_BOTH = frozenset[Any]({"read", "write"})


def issue(
    writing: Writing,
    kind: Kind[Any],
    permit: Permit,
    body: msgspec.Struct,
    *,
    parent_id: str | None = None,
    record_id: str | None = None,
) -> tuple[Record, str]:
    """Return a new record of a kind that has a secret, and the secret, which is kept
    nowhere.

    Raises ``Absent``, ``Forbidden``, ``Faulty``.
    """
    text = new_secret(_SORTS[kind.name])
    record = writing.create(
        kind, permit, body, parent_id=parent_id, record_id=record_id
    )
    _require_an_end(kind, record, writing.now)
    by = {}
    if kind is SHARE_LINKS:
        by["member_id"] = permit.principal.member_id
    writing.keep_secret(
        kind,
        record,
        sha256=sha256_of(text),
        **by,
    )
    return record, text


def issue_token(
    writing: Writing, permit: Permit, body: TokenBody, *, record_id: str | None = None
) -> tuple[Record, str]:
    """Return a new token's record and its text, which is kept nowhere. Raises
    ``Forbidden``, ``Faulty``.
    """
    return issue(
        writing,
        TOKENS,
        permit,
        body,
        record_id=record_id,
    )


def _require_an_end(kind: Kind[Any], record: Record, now: datetime) -> None:
    longest = LONGEST.get(kind.name)
    if longest is None:
        return
    end: datetime = getattr(record.body, "expires_at")  # noqa: B009 - which of the bodies it is does not matter
    if not now < end <= now + longest:
        message = f"must lie ahead, by {longest.days} days at most"
        raise Faulty(
            [Fault(code="out_of_range", message=message, pointer="/expires_at")]
        )


def principal_for(reading: Reading, text: str, now: datetime) -> Principal | None:
    """Return who shows that secret; ``None`` where it lets nobody in.

    It may be none, have expired, be revoked or ended, or its member or club may be
    gone.
    """
    found = _WAYS.get(sort_of(text) or "invitation")
    if found is None:
        return None
    statement, made = found
    known = {"sha256": sha256_of(text)}
    row = reading.connection.execute(statement(), known).first()
    if row is None:
        return None
    return made(row, now)


def held_principal(writing: Writing, principal: Principal) -> Principal | None:
    """Return ``principal`` as they are now, and stay until the transaction ends;
    ``None`` where they are nobody by now.

    The member is held before the credential, which is the order in which both are
    deleted. Who only looks, by a share link, has nothing to write and is nobody here.
    """
    known = {"member_id": principal.member_id, "id": principal.token_id}
    if (
        principal.bearer == "link"
        or writing.connection.execute(_member_held(), known).first() is None
    ):
        return None
    held, made = {
        "token": (_token_held, _by_token),
        "session": (_session_held, _by_session),
    }[principal.bearer]
    row = writing.connection.execute(held(), known).first()
    if row is None:
        return None
    return made(row, writing.now)


def _by_token(row: Row[Any], now: datetime) -> Principal | None:
    token = TOKENS.decoder.decode(row.body)
    if token.expires_at is not None and token.expires_at <= now:
        return None
    return Principal(
        club_id=row.club_id,
        member_id=row.member_id,
        role=row.role,
        token_id=row.id,
        scopes=frozenset(token.scopes),
    )


def _by_session(row: Row[Any], now: datetime) -> Principal | None:
    if row.expires_at <= now or row.last_used_at <= now - IDLE:
        return None
    return Principal(
        club_id=row.club_id,
        member_id=row.member_id,
        role=row.role,
        token_id=row.id,
        scopes=_BOTH,
        bearer="session",
        to_be_noted=row.last_used_at <= now - NOTED_EVERY,
    )


def _by_link(row: Row[Any], now: datetime) -> Principal | None:
    if is_over(SHARE_LINKS.decode(row.body), now):
        return None
    return Principal(
        club_id=row.club_id,
        member_id=row.member_id,
        role="visitor",
        token_id=row.id,
        scopes=frozenset({"read"}),
        bearer="link",
        layout_id=row.parent_id,
    )


@cache
def _tokens() -> Select[Any]:
    """Return the statement for who holds a token: built once, as the others, since
    every request asks one of them.
    """
    tokens = tables.tokens
    return _held_by_members(tokens, tokens.c.body).where(tokens.c.deleted_at.is_(None))


@cache
def _sessions() -> Select[Any]:
    sessions = tables.sessions
    return _held_by_members(sessions, sessions.c.last_used_at, sessions.c.expires_at)


@cache
def _share_links() -> Select[Any]:
    links = tables.share_links
    layouts = tables.layouts
    held = _held_by_members(links, links.c.body, links.c.parent_id)
    is_of = layouts.c.id == links.c.parent_id
    return held.join(layouts, is_of).where(
        links.c.deleted_at.is_(None),
        layouts.c.deleted_at.is_(None),
    )


def _held_by_members(credentials: Any, *columns: Any) -> Select[Any]:
    members, clubs = tables.members, tables.clubs
    return (
        select(
            credentials.c.id,
            credentials.c.club_id,
            credentials.c.member_id,
            *columns,
            members.c.role,
        )
        .join(members, members.c.id == credentials.c.member_id)
        .join(clubs, clubs.c.id == credentials.c.club_id)
        .where(
            credentials.c.secret_sha256 == bindparam("sha256"),
            members.c.club_id == credentials.c.club_id,
        )
        .where(members.c.deleted_at.is_(None), clubs.c.deleted_at.is_(None))
    )


_WAYS: Mapping[
    Sort,
    tuple[Callable[[], Select[Any]], Callable[[Row[Any], datetime], Principal | None]],
] = {
    "token": (_tokens, _by_token),
    "session": (_sessions, _by_session),
    "link": (_share_links, _by_link),
}
"""How each sort of secret is found, and whom it lets in; an invitation lets
nobody in.
"""


@cache
def _member_held() -> Select[Any]:
    members = tables.members
    mine = select(members.c.role).where(
        members.c.id == bindparam("member_id"),
        members.c.deleted_at.is_(None),
    )
    return mine.with_for_update(read=True)


@cache
def _token_held() -> Select[Any]:
    tokens = tables.tokens
    return _mine_held(tokens, tokens.c.body).where(tokens.c.deleted_at.is_(None))


@cache
def _session_held() -> Select[Any]:
    sessions = tables.sessions
    return _mine_held(sessions, sessions.c.last_used_at, sessions.c.expires_at)


def _mine_held(credentials: Any, *columns: Any) -> Select[Any]:
    """Return the statement for one credential, held, with its member's role, who is
    held already.
    """
    members = tables.members
    mine = select(
        credentials.c.id,
        credentials.c.club_id,
        credentials.c.member_id,
        *columns,
        members.c.role,
    )
    mine = mine.join(members, members.c.id == credentials.c.member_id).where(
        members.c.id == bindparam("member_id")
    )
    return mine.where(credentials.c.id == bindparam("id")).with_for_update(
        read=True, of=credentials
    )
