"""By what name, and with what passphrase, members sign in."""

from collections.abc import Sequence
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, Select, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from standage.registry.database import tables
from standage.registry.database.tables import name_key, passphrases, sessions
from standage.registry.records.record import Role
from standage.shapes.faults import Fault, Faulty


class Passphrase(NamedTuple):
    """A member's passphrase as it is kept."""

    member_id: str
    club_id: str
    sign_in_key: str
    hashed: str


def for_name(
    connection: Connection, club_id: str, sign_in_name: str
) -> Passphrase | None:
    """Return the passphrase of whoever signs in to that club by that name; ``None``
    where nobody does.
    """
    key = name_key(sign_in_name)
    mine = _live().where(
        passphrases.c.club_id == club_id,
        passphrases.c.sign_in_key == key,
    )
    row = connection.execute(mine).first()
    return _from(row)


def of_member(
    connection: Connection, club_id: str, member_id: str
) -> Passphrase | None:
    """Return the member's passphrase; ``None`` where they have none, or are no member
    of that club.
    """
    mine = _live().where(
        passphrases.c.club_id == club_id,
        passphrases.c.member_id == member_id,
    )
    row = connection.execute(mine).first()
    return _from(row)


def _live() -> Select[Any]:
    members, clubs = tables.members, tables.clubs
    return (
        select(
            passphrases.c.member_id,
            passphrases.c.club_id,
            passphrases.c.sign_in_key,
            passphrases.c.hashed,
        )
        .join(members, members.c.id == passphrases.c.member_id)
        .join(clubs, clubs.c.id == passphrases.c.club_id)
        .where(members.c.deleted_at.is_(None), clubs.c.deleted_at.is_(None))
    )


def _from(row: Row[Any] | None) -> Passphrase | None:
    if row is None:
        return None
    return Passphrase(**row._mapping)  # noqa: SLF001 - Row's public way


def hold(connection: Connection, seen: Passphrase) -> Role | None:
    """Return the role of whose passphrase was seen, both held to the transaction's end;
    ``None`` where it is another.

    The member is held first, as everywhere.
    """
    members = tables.members
    mine = select(members.c.role).where(
        members.c.id == seen.member_id,
        members.c.deleted_at.is_(None),
    )
    role = connection.execute(mine.with_for_update(read=True)).scalar()
    is_theirs = passphrases.c.member_id == seen.member_id
    same = select(passphrases.c.hashed).where(is_theirs)
    hashed = connection.execute(same.with_for_update(read=True)).scalar()
    if hashed != seen.hashed:
        return None
    return role


def keep(connection: Connection, new: Passphrase, *, values: dict[str, object]) -> None:
    """Put down a member's passphrase in place of the one they had; ``values`` are the
    columns that it has besides.

    Raises ``Faulty`` where another member of the club signs in by that name.
    """
    kept = {"sign_in_key": new.sign_in_key, "hashed": new.hashed, **values}
    mine = update(passphrases).where(passphrases.c.member_id == new.member_id)
    others = select(passphrases.c.member_id).where(
        passphrases.c.club_id == new.club_id,
        passphrases.c.sign_in_key == new.sign_in_key,
    )
    taken = Fault(
        code="name_taken",
        message="somebody else signs in by that name",
        pointer="/sign_in_name",
    )
    if (
        connection.execute(
            others.where(passphrases.c.member_id != new.member_id)
        ).first()
        is not None
    ):
        raise Faulty([taken])
    try:
        if connection.execute(mine.values(**kept)).rowcount == 0:
            owner = {"member_id": new.member_id, "club_id": new.club_id}
            connection.execute(insert(passphrases).values(**owner, **kept))
    except IntegrityError as error:
        raise Faulty([taken]) from error


def forget_sign_ins(connection: Connection, member_ids: Sequence[str]) -> None:
    """Delete all by which those members sign in or are signed in."""
    for table in (sessions, passphrases):
        theirs = table.c.member_id.in_(member_ids)
        connection.execute(delete(table).where(theirs))
