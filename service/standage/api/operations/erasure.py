"""The operation that erases a member: the name and the contact are nowhere
afterwards.
"""

from datetime import datetime
from typing import Annotated, Literal

import msgspec

from standage.api.web.call import Call, Reply
from standage.api.web.operation import About, Answers, Guard, Operation, Writes
from standage.questions.derived import DERIVED
from standage.railway.terms.figures import says
from standage.registry.database.engine import Database
from standage.registry.database.wiping import wipe
from standage.registry.forgetting.erasing import Erasing
from standage.registry.forgetting.erasures import BACKUPS_KEPT_FOR, Erasure, append
from standage.registry.writing.store import Writing
from standage.shapes.refusals import Busy, Unready

_NOT_SEARCHED = (
    "Remarks and names that other members wrote, the club's plans and standards, and a"
    " name spelt otherwise: mend those by hand. The history of such a record keeps the"
    " old text."
)


class Erased(msgspec.Struct, frozen=True, kw_only=True):
    """What became of a member's name and contact."""

    member_id: Annotated[str, says("Who was erased; the id is all that is left.")]
    erased_at: Annotated[datetime, msgspec.Meta(tz=True), says("When.")]
    database_files: Annotated[
        Literal["wiped", "to_be_wiped"],
        says(
            "Whether free pages of the database's files are clean too. On SQLite what"
            " is to be wiped is tried again every hour; on PostgreSQL whoever runs the"
            " service must run 'standage wipe'."
        ),
    ]
    in_backups_until: Annotated[
        datetime,
        msgspec.Meta(tz=True),
        says(
            "Backups made before the erasure still hold both; those are to be thrown"
            " away by then at the latest."
        ),
    ]
    not_searched: Annotated[
        str, says("Where the name may still stand, because nobody looked there.")
    ]


def erasure_operations() -> list[Operation]:
    """Return the operation that erases a member."""
    return [
        Operation(
            id="eraseMember",
            method="POST",
            path="/v1/members/{member_id}/erase",
            about=About(
                tag="Club",
                summary="Erase a member",
                description=(
                    "Takes the member's name and contact out of every record, its"
                    " history and the database's files; all their ways in are shut."
                    " What they own stays, under 'Former member'. A steward may erase"
                    " anybody, members themselves. It cannot be undone."
                ),
            ),
            act=Writes(_perform, in_turn=True, afterwards=_wiped),
            answers=Answers(shape=Erased, problems=("in_use",)),
            guard=Guard(rate="write"),
        )
    ]


def _perform(writing: Writing, call: Call) -> Reply:
    """Erase a member, and put it down in the list of erasures before it is done."""
    member_id = call.path["member_id"]
    Erasing(writing.connection, writing.now, action_id=writing.action_id).erase_member(
        call.granted, member_id
    )
    append(
        writing.erasures_file,
        Erasure(club_id=call.club_id, member_id=member_id, at=writing.now),
    )
    DERIVED.forget_club(call.club_id)
    content = {
        "member_id": member_id,
        "erased_at": writing.now,
        "database_files": "to_be_wiped",
        "in_backups_until": writing.now + BACKUPS_KEPT_FOR,
        "not_searched": _NOT_SEARCHED,
    }
    return Reply(content=content)


def _wiped(database: Database, now: datetime, reply: Reply) -> Reply:
    """Wipe the files of SQLite at once; PostgreSQL's tables would be shut to everybody
    meanwhile.
    """
    if database.dialect != "sqlite":
        return reply
    try:
        wipe(database, now)
    except (Busy, Unready):
        return reply  # the hourly tidying tries again
    return Reply(content=reply.content | {"database_files": "wiped"})
