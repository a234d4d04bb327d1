"""What is sent and answered about signing in."""

from collections.abc import Iterable
from datetime import datetime
from typing import Annotated, ClassVar

import msgspec

from standage.railway.terms.figures import Identifier, Name, says
from standage.shapes.faults import Fault, Ruled

LEAST_CHARACTERS = 12
_PASSWORD = {"format": "password"}

Sent = Annotated[
    str, msgspec.Meta(min_length=1, max_length=200, extra_json_schema=_PASSWORD)
]
Moment = Annotated[datetime, msgspec.Meta(tz=True)]


def too_easy(passphrase: str, sign_in_name: str | None) -> Iterable[Fault]:
    """Yield what is wrong with a passphrase that is to be set: too short, one
    character, or the name itself.
    """
    pointer = "/passphrase"
    if len(passphrase) < LEAST_CHARACTERS:
        message = (
            f"needs at least {LEAST_CHARACTERS} characters; a few words that do not"
            " belong together are good"
        )
        yield Fault(code="too_short", message=message, pointer=pointer)
    elif len(set(passphrase)) == 1:
        yield Fault(
            code="too_easy",
            message="is one character over and over; take a few words",
            pointer=pointer,
        )
    elif sign_in_name is not None and passphrase.casefold() == sign_in_name.casefold():
        yield Fault(
            code="too_easy",
            message="is the name itself; take a few words",
            pointer=pointer,
        )


class SignIn(Ruled, frozen=True, kw_only=True):
    """Who signs in, and to which club."""

    looked_up: ClassVar[frozenset[str]] = frozenset({"sign_in_name"})
    club_id: Annotated[Identifier, says("The club's id.")]
    sign_in_name: Annotated[
        Name, says("The name by which you sign in; letter case does not matter.")
    ]
    passphrase: Annotated[Sent, says("Your passphrase.")]
    label: Annotated[Name | None, says("Where you sign in: kitchen tablet.")] = None


class NewPassphrase(Ruled, frozen=True, kw_only=True):
    """A passphrase to be set, with the present one where there is one."""

    passphrase: Annotated[Sent, says("The new passphrase, of at least 12 characters.")]
    sign_in_name: Annotated[
        Name | None,
        says(
            "The name by which you will sign in, yours alone in the club; stays, if not"
            " given."
        ),
    ] = None
    present_passphrase: Annotated[
        Sent | None, says("The present passphrase; needed where you have one.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """It is not easily guessed."""
        yield from too_easy(self.passphrase, self.sign_in_name)


class AcceptedInvitation(Ruled, frozen=True, kw_only=True):
    """What whoever was invited sets for themselves."""

    invitation: Annotated[Sent, says("The secret of the invitation.")]
    sign_in_name: Annotated[
        Name, says("The name by which you will sign in, yours alone in the club.")
    ]
    passphrase: Annotated[Sent, says("Your passphrase, of at least 12 characters.")]
    label: Annotated[
        Name | None, says("Where you are signed in by it: kitchen tablet.")
    ] = None

    def rules(self) -> Iterable[Fault]:
        """It is not easily guessed."""
        yield from too_easy(self.passphrase, self.sign_in_name)


class Session(msgspec.Struct, frozen=True, kw_only=True):
    """One session: where somebody is signed in."""

    id: Annotated[str, says("Its id.")]
    member_id: Annotated[str, says("The member who is signed in.")]
    label: Annotated[str | None, says("Where that is, if it was said.")] = None
    created_at: Annotated[Moment, says("When it began.")]
    last_used_at: Annotated[Moment, says("When it was last used, to the hour.")]
    expires_at: Annotated[
        Moment,
        says("When it ends at the latest; after 14 days without use it ends before."),
    ]


class NewSession(Session, frozen=True, kw_only=True):
    """A session that has just begun."""

    session: Annotated[
        str, says("The secret; send it as a token. It is shown this once.")
    ]


class Invited(NewSession, frozen=True, kw_only=True):
    """The session that begins, and what to sign in with from now on."""

    club_id: Annotated[str, says("The club's id, which is asked for when you sign in.")]
    member_id: Annotated[str, says("Your own id as a member.")]
    sign_in_name: Annotated[str, says("The name by which you sign in.")]


class SessionList(msgspec.Struct, frozen=True, kw_only=True):
    """All sessions of one member."""

    items: Annotated[
        list[Session], says("The sessions, oldest first; there are never more than 50.")
    ]
