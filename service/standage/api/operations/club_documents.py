"""The operations that hand out a whole club, or what one member has in it, as one
document.
"""

from standage.api.web.call import JSON, Call, Reply
from standage.api.web.operation import About, Answers, Operation, Reads
from standage.api.web.spooled_answers import Spooled
from standage.registry.moving.club_document import ClubDocument, written
from standage.registry.records.kinds import MEMBERS
from standage.registry.records.reading import Reading
from standage.shapes.refusals import Forbidden

_FORM = (
    "The form is that of the schema ClubDocument, version 1: every record with its id,"
    " its version and its times, each after those that it lies beneath, and the"
    " history. Tokens, invitations, share links and passphrases are not in it."
)


def club_document_operations() -> list[Operation]:
    """Return the operations that hand out documents."""
    return [
        Operation(
            id="exportClub",
            method="GET",
            path="/v1/club/document",
            about=About(
                tag="Files",
                summary="Download the whole club as one document",
                description=(
                    f"{_FORM} `standage import-club` takes it into another instance, on"
                    " either database."
                ),
            ),
            act=Reads(_gather_club, _report, gathers_much=True),
            answers=Answers(shape=ClubDocument, tagged=True),
        ),
        Operation(
            id="getMemberData",
            method="GET",
            path="/v1/members/{member_id}/data",
            about=About(
                tag="Files",
                summary="Download what is on record of a member",
                description=(
                    "The member, the vehicles, rakes, trains and modules that are theirs,"
                    " and the history of these; of their other changes only that they"
                    f" made them. Members see their own, stewards anybody's. {_FORM}"
                ),
            ),
            act=Reads(_gather_member, _report, gathers_much=True),
            answers=Answers(shape=ClubDocument, tagged=True),
        ),
    ]


def _known(reading: Reading | None) -> Reading:
    if reading is None:
        message = "a document was asked for without a club"
        raise TypeError(message)
    return reading


def _gather_club(reading: Reading | None, call: Call) -> Spooled:
    return Spooled(written(_known(reading), call.club_id))


def _gather_member(reading: Reading | None, call: Call) -> Spooled:
    member_id = call.path["member_id"]
    _known(reading).get(MEMBERS, call.club_id, member_id)
    if call.granted.whose == "own" and call.granted.principal.member_id != member_id:
        raise Forbidden(
            "only that member and the stewards may see what is on record of them"
        )
    return Spooled(written(_known(reading), call.club_id, member_id=member_id))


def _report(document: Spooled) -> Reply:
    return Reply(
        content=document,
        media_type=JSON,
    )
