"""What a database that is replaced by a backup had taken away from members since that
backup was made.

A restore brings back what people were allowed on an earlier day. Whoever was lowered or
deleted meanwhile must not be what they were then.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import NamedTuple

import msgspec
from sqlalchemy import Connection, column, inspect, select, table

from standage.registry.records.bodies import MemberBody
from standage.registry.records.kinds import MEMBERS
from standage.registry.records.reading import live, record_from
from standage.registry.records.record import (
    ANY_VERSION,
    Permit,
    Principal,
    Record,
    Role,
)
from standage.registry.writing.store import Writing

_RANKS: Mapping[Role, int] = {"member": 0, "layout_keeper": 1, "steward": 2}
_AS_IT_WAS = table(
    "members", column("id"), column("club_id"), column("role"), column("deleted_at")
)
"""The columns that the table has had in every revision, since what is replaced may be
an older one.
"""


class Rights(NamedTuple):
    """The roles that members had in the database that is replaced, and which clubs it
    held.
    """

    clubs: frozenset[str]
    roles: Mapping[str, Role]

    def role_left(self, club_id: str, member_id: str, role: Role) -> Role:
        """Return what is left of a member's role: of whoever was deleted in a club that
        was there, the least.
        """
        if club_id not in self.clubs:
            return role
        left = self.roles.get(member_id, "member")
        return min(left, role, key=_RANKS.__getitem__)


def rights_left(connection: Connection) -> Rights:
    """Return what members may do in the database as it is; nothing is known of one
    without members.
    """
    if not inspect(connection).has_table(_AS_IT_WAS.name):
        return Rights(frozenset(), {})
    clubs: set[str] = set()
    roles: dict[str, Role] = {}
    for row in connection.execute(select(_AS_IT_WAS)):
        clubs.add(row.club_id)
        if row.deleted_at is None:
            roles[row.id] = row.role
    return Rights(frozenset(clubs), roles)


def lower_again(
    connection: Connection, now: datetime, steward: Principal, left: Rights
) -> Iterator[str]:
    """Lower every member but ``steward`` to what was left of their role; yield the
    names of those.
    """
    writing = Writing(connection, now)
    permit = Permit(principal=steward, whose="club")
    members = live(MEMBERS, steward.club_id).order_by(MEMBERS.table.c.id)
    for row in connection.execute(members).all():
        member = record_from(MEMBERS, row)
        if member.id == steward.member_id:
            continue
        body = _body(member)
        role = left.role_left(steward.club_id, member.id, body.role)
        if role == body.role:
            continue
        lowered = msgspec.structs.replace(body, role=role)
        writing.change_all(
            MEMBERS,
            permit,
            [(member, lowered)],
            if_match=ANY_VERSION,
        )
        yield body.name


def stewards_of(connection: Connection, club_id: str) -> list[str]:
    """Return the names of a club's stewards, in order."""
    members = MEMBERS.table.c
    stewards = live(MEMBERS, club_id).where(members.role == "steward")
    names: list[str] = []
    for row in connection.execute(stewards.order_by(members.name_key)):
        steward = record_from(MEMBERS, row)
        names.append(_body(steward).name)
    return names


def _body(member: Record) -> MemberBody:
    if not isinstance(member.body, MemberBody):
        raise TypeError(member.kind)
    return member.body
