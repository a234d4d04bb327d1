"""Invitations, found by their secret: each lets one member set a first passphrase,
once.
"""

from datetime import datetime
from typing import NamedTuple

from sqlalchemy import Connection, select

from standage.registry.database import tables
from standage.registry.people.credentials import sha256_of, sort_of
from standage.registry.records.bodies import InvitationBody, is_over
from standage.registry.records.kinds import INVITATIONS
from standage.registry.records.passphrases import of_member
from standage.registry.writing.store import Writing
from standage.shapes.faults import Fault, Faulty


def refuse_a_second_passphrase(
    writing: Writing, club_id: str, body: InvitationBody
) -> None:
    """Raise ``Faulty`` where the member who is to be invited signs in already."""
    if of_member(writing.connection, club_id, body.member_id) is not None:
        message = (
            "signs in with a passphrase already; take that away first if they have"
            " forgotten it"
        )
        raise Faulty(
            [Fault(code="has_passphrase", message=message, pointer="/member_id")]
        )


class Invitation(NamedTuple):
    """An invitation that can be used."""

    id: str
    club_id: str
    member_id: str


def find_invitation(
    connection: Connection, secret: str, now: datetime
) -> Invitation | None:
    """Return what that secret invites to.

    ``None`` where it is no invitation, was used or deleted, has expired, or its member
    is gone or has a passphrase.
    """
    if sort_of(secret) != "invitation":
        return None
    invitations, members = tables.invitations, tables.members
    row = connection.execute(
        select(
            invitations.c.id,
            invitations.c.club_id,
            invitations.c.member_id,
            invitations.c.body,
        )
        .join(members, members.c.id == invitations.c.member_id)
        .where(
            invitations.c.secret_sha256 == sha256_of(secret),
            members.c.club_id == invitations.c.club_id,
        )
        .where(invitations.c.deleted_at.is_(None), members.c.deleted_at.is_(None))
    ).first()
    if (
        row is None
        or is_over(INVITATIONS.decode(row.body), now)
        or of_member(connection, row.club_id, row.member_id)
    ):
        return None
    return Invitation(id=row.id, club_id=row.club_id, member_id=row.member_id)
