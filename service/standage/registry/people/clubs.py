"""Founding a club: its record, its first steward and the token that lets the steward
in.
"""

from datetime import datetime
from typing import Any, NamedTuple

import msgspec

from standage.registry.database.engine import Database
from standage.registry.people.first_tokens import first_token, steward_of
from standage.registry.records.bodies import ClubBody, MemberBody
from standage.registry.records.kinds import CLUBS, MEMBERS
from standage.registry.records.record import Permit
from standage.registry.writing.store import Writing, new_id
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty, all_of


class Founded(NamedTuple):
    """A new club, its first steward, and the steward's token as text."""

    club_id: str
    member_id: str
    token: str


def found_club(
    database: Database, name: str, steward_name: str, now: datetime
) -> Founded:
    """Found a club in one transaction; the steward stands in the history as the one who
    did it.

    Raises ``Faulty`` for names that cannot be any, with the pointers ``/name`` and
    ``/steward``; ``Busy``, ``Unready``.
    """
    club, steward = all_of(
        lambda: _converted({"name": name}, ClubBody, "/name"),
        lambda: _converted(
            {"name": steward_name, "role": "steward"}, MemberBody, "/steward"
        ),
    )
    founder = steward_of(new_id(), new_id())
    permit = Permit(principal=founder, whose="club")
    with database.write() as connection:
        writing = Writing(connection, now)
        writing.create(CLUBS, permit, club, record_id=founder.club_id)
        writing.create(MEMBERS, permit, steward, record_id=founder.member_id)
        token = first_token(writing, founder, "first token")
    return Founded(
        club_id=founder.club_id,
        member_id=founder.member_id,
        token=token,
    )


def _converted(value: dict[str, str], kind: type[Any], pointer: str) -> Any:
    try:
        return convert(value, kind)
    except Faulty as faulty:
        raise Faulty(
            [msgspec.structs.replace(fault, pointer=pointer) for fault in faulty.faults]
        ) from faulty
