"""The token that lets the first steward into a club: one that was founded, restored, or
came from another instance.
"""

from standage.registry.database.ids import new_id
from standage.registry.people.credentials import issue_token
from standage.registry.records.bodies import TokenBody
from standage.registry.records.record import Permit, Principal
from standage.registry.writing.store import Writing


def steward_of(club_id: str, member_id: str) -> Principal:
    """Return a steward by a token that is not issued yet."""
    return Principal(
        club_id=club_id,
        member_id=member_id,
        role="steward",
        token_id=new_id(),
        scopes=frozenset({"read", "write"}),
    )


def first_token(writing: Writing, steward: Principal, label: str) -> str:
    """Issue a steward the very token by which they are a principal; return its text.

    In history the steward has done it, with that token.
    """
    body = TokenBody(
        label=label,
        member_id=steward.member_id,
        scopes=("read", "write"),
    )
    permit = Permit(principal=steward, whose="club")
    _, text = issue_token(writing, permit, body, record_id=steward.token_id)
    return text
