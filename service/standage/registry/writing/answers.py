"""Answers kept so that a request sent twice is done once: the Idempotency-Key, in the
transaction of its request.
"""

from datetime import timedelta
from typing import Any

import msgspec
from sqlalchemy import ColumnElement, Row, and_, delete, select, update
from sqlalchemy.exc import OperationalError

from standage.registry.database.driver_refusals import waited_in_vain
from standage.registry.database.moments import keeping_moment
from standage.registry.database.tables import idempotency
from standage.registry.database.upserts import insert_into
from standage.registry.records.record import Principal
from standage.registry.writing.store import Writing
from standage.shapes.refusals import AlreadyShown, KeyInProgress, KeyReused

KEPT_FOR = timedelta(hours=72)
"""A show lasts three days."""
_TRIES = 3
_IN_PROGRESS = "the same request is still being worked on; try again in a moment"


class KeyedRequest(msgspec.Struct, frozen=True, kw_only=True):
    """A request that its sender may repeat: who, where, under what key, and the hash of
    what.
    """

    principal: Principal
    path: str
    key: str
    payload_sha256: str


class StoredAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """An answer as it went out."""

    status: int
    headers: dict[str, str]
    body: bytes


def claim(writing: Writing, request: KeyedRequest) -> StoredAnswer | None:
    """Return the answer that this request had before, or ``None`` where it is to be
    worked on now.

    A request that another transaction is working on is waited for. Raises
    ``KeyInProgress`` where that takes too long, ``KeyReused`` where the key came with
    another payload, ``AlreadyShown`` where the answer held a secret.
    """
    mine, too_old = _row(request), _too_old(writing)
    first = insert_into(writing.connection, idempotency).values(
        club_id=request.principal.club_id,
        member_id=request.principal.member_id,
        path=request.path,
        key=request.key,
        payload_sha256=request.payload_sha256,
        created_at=writing.now,
        secret=False,
    )
    for _ in range(_TRIES):
        try:
            writing.connection.execute(delete(idempotency).where(mine, too_old))
            if writing.connection.execute(
                first.on_conflict_do_nothing().returning(idempotency.c.key)
            ).first():
                return None
        except OperationalError as error:
            if waited_in_vain(error):
                raise KeyInProgress(_IN_PROGRESS) from error
            raise
        row = writing.connection.execute(select(idempotency).where(mine)).one_or_none()
        if (
            row is not None
        ):  # else it was forgotten in the meantime, and the key is free
            return _stored(row, request)
    raise KeyInProgress(_IN_PROGRESS)


def _stored(row: Row[Any], request: KeyedRequest) -> StoredAnswer:
    if row.payload_sha256 != request.payload_sha256:
        raise KeyReused(
            "this Idempotency-Key came before with another request; take a new one"
        )
    if row.status is None:
        raise KeyInProgress(_IN_PROGRESS)
    if row.secret:
        raise AlreadyShown(
            "this was done before, and its answer held a secret that is shown only once"
        )
    headers = msgspec.json.decode(row.headers, type=dict[str, str])
    return StoredAnswer(status=row.status, headers=headers, body=row.body)


def settle(
    writing: Writing,
    request: KeyedRequest,
    answer: StoredAnswer,
    *,
    secret: bool = False,
) -> None:
    """Keep the answer to a claimed request; of one that holds a ``secret``, only that
    it was given.
    """
    headers, body = "{}", b""
    if not secret:
        headers = msgspec.json.encode(answer.headers).decode()
        body = answer.body
    kept = update(idempotency).where(_row(request))
    writing.connection.execute(
        kept.values(
            status=answer.status,
            headers=headers,
            body=body,
            secret=secret,
        )
    )


def forget_old_answers(writing: Writing) -> int:
    """Delete the answers that are no longer given, of every club; return how many."""
    return writing.connection.execute(
        delete(idempotency).where(_too_old(writing))
    ).rowcount


def _too_old(writing: Writing) -> ColumnElement[bool]:
    return (
        idempotency.c.created_at
        <= keeping_moment(writing.connection, writing.now) - KEPT_FOR
    )


def _row(request: KeyedRequest) -> ColumnElement[bool]:
    return and_(
        idempotency.c.club_id == request.principal.club_id,
        idempotency.c.member_id == request.principal.member_id,
        idempotency.c.path == request.path,
        idempotency.c.key == request.key,
    )
