"""A passphrase set: a first one by an invitation, another with the present one; and one
taken away.
"""

from collections.abc import Iterable
from typing import Annotated, Any, NamedTuple

from standage.api.operations.sign_in import (
    BegunSession,
    Sent,
    count,
    failed,
    member,
    present,
)
from standage.api.web.call import Call, Reply
from standage.api.web.operation import (
    About,
    Answers,
    Guard,
    Operation,
    Proves,
    Takes,
    Writes,
)
from standage.api.web.problems import Rejected
from standage.railway.terms.figures import Name, says
from standage.registry.database.tables import name_key
from standage.registry.people import attempts
from standage.registry.people.hashing import Hasher
from standage.registry.people.invitations import Invitation, find_invitation
from standage.registry.people.sessions import (
    end_sessions,
    open_session,
)
from standage.registry.records.kinds import INVITATIONS, MEMBERS
from standage.registry.records.passphrases import (
    Passphrase,
    forget_sign_ins,
    keep,
    of_member,
)
from standage.registry.records.record import ANY_VERSION, Permit, Principal
from standage.registry.writing.store import Writing
from standage.shapes.faults import Fault, Faulty, Ruled
from standage.shapes.refusals import Forbidden

LEAST_CHARACTERS = 12


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


class Invited(BegunSession, frozen=True, kw_only=True):
    """The session that begins, and what to sign in with from now on."""

    club_id: Annotated[str, says("The club's id, which is asked for when you sign in.")]
    member_id: Annotated[str, says("Your own id as a member.")]
    sign_in_name: Annotated[str, says("The name by which you sign in.")]


def passphrase_operations() -> list[Operation]:
    """Return everything about passphrases."""
    return [_set_passphrase(), *_beginning_anew()]


def _set_passphrase() -> Operation:
    return Operation(
        id="setPassphrase",
        method="POST",
        path="/v1/passphrase",
        about=About(
            tag="Signing in",
            summary="Change your passphrase",
            description=(
                "With the present one. Your other sessions end. Your tokens are not"
                " touched. A first passphrase is set by an invitation: a token may not"
                " set one, or it would let somebody in after it is gone."
            ),
        ),
        act=Proves(look_for_own, prove_change, perform_change, in_turn=True),
        answers=Answers(shape=None, status=204, problems=("sign_in_failed",)),
        takes=Takes(
            body=NewPassphrase, secret_fields=("passphrase", "present_passphrase")
        ),
        guard=Guard(rate="sign_in"),
    )


def _beginning_anew() -> list[Operation]:
    return [
        Operation(
            id="resetPassphrase",
            method="POST",
            path="/v1/members/{member_id}/passphrase-reset",
            about=About(
                tag="Signing in",
                summary="Take away a passphrase that was forgotten",
                description=(
                    "With it end all sessions of the member, who can then be invited"
                    " again."
                ),
            ),
            act=Writes(perform_reset, in_turn=True),
            answers=Answers(shape=None, status=204),
            guard=Guard(rate="write"),
        ),
        Operation(
            id="acceptInvitation",
            method="POST",
            path="/v1/invitations/accept",
            about=About(
                tag="Signing in",
                summary="Set your first passphrase by an invitation",
                description=(
                    "An invitation is good for this once. It signs you in: send what"
                    " comes back as `session` as a token, as after signing in."
                ),
            ),
            act=Proves(
                look_for_invitation,
                prove_invitation,
                perform_accept,
                principal=invited,
            ),
            answers=Answers(shape=Invited, problems=("sign_in_failed",)),
            takes=Takes(
                body=AcceptedInvitation, secret_fields=("invitation", "passphrase")
            ),
            guard=Guard(rate="sign_in"),
        ),
    ]


_BY_INVITATION = (
    "A token may not set a first passphrase: that would let somebody in after the token"
    " is gone. Ask a steward to invite you, and set it by the invitation."
)
_NO_INVITATION = "This invitation was used already, has expired, or is not known."


class Changing(NamedTuple):
    """A passphrase that is to be set, whose, and the present one with what was sent as
    that.
    """

    member_id: str
    club_id: str
    wanted: NewPassphrase
    kept: Passphrase | None


class Hashed(NamedTuple):
    """A passphrase ready to be put down in place of the one that was seen."""

    new: Passphrase
    seen: Passphrase | None


def look_for_own(writing: Writing, call: Call) -> Changing:
    """Look for the caller's present passphrase.

    Raises ``Forbidden`` where a token would make itself a first one, ``Faulty`` where
    what is sent does not do.
    """
    principal, wanted = call.granted.principal, call.body
    kept = of_member(writing.connection, principal.club_id, principal.member_id)
    if kept is None and principal.bearer != "session":
        raise Forbidden(_BY_INVITATION)
    faults = []
    if kept is not None and wanted.present_passphrase is None:
        message = "present_passphrase is missing: you have one already"
        faults.append(
            Fault(code="missing", message=message, pointer="/present_passphrase")
        )
    if kept is None and wanted.sign_in_name is None:
        message = "sign_in_name is missing: by what name will you sign in?"
        faults.append(Fault(code="missing", message=message, pointer="/sign_in_name"))
    if faults:
        raise Faulty(faults)
    if kept is not None:
        count(
            writing,
            call,
            attempts.of_name(kept.club_id, kept.sign_in_key),
            most=attempts.MOST_BY_NAME,
        )
    return Changing(principal.member_id, principal.club_id, wanted, kept)


def prove_change(hasher: Hasher, changing: Changing) -> Hashed:
    """Hash the new passphrase once the present one has proved right; raises ``Faulty``
    where it is wrong.
    """
    wanted, kept = changing.wanted, changing.kept
    if kept is not None and not hasher.verify(
        kept.hashed, wanted.present_passphrase or ""
    ):
        message = "is not your present passphrase"
        raise Faulty(
            [
                Fault(
                    code="wrong_passphrase",
                    message=message,
                    pointer="/present_passphrase",
                )
            ]
        )
    key = (
        kept.sign_in_key
        if wanted.sign_in_name is None and kept is not None
        else name_key(wanted.sign_in_name or "")
    )
    new = Passphrase(
        changing.member_id, changing.club_id, key, hasher.hash(wanted.passphrase)
    )
    return Hashed(new, kept)


def perform_change(writing: Writing, call: Call, hashed: Hashed) -> Reply:
    """Put the new passphrase down and end the member's other sessions; raises
    ``Rejected`` if it changed meanwhile.
    """
    principal = call.granted.principal
    if (
        of_member(writing.connection, principal.club_id, principal.member_id)
        != hashed.seen
    ):
        raise Rejected(
            "sign_in_failed",
            "The passphrase was changed by somebody else at the same moment.",
        )
    keep(writing.connection, hashed.new, values={"changed_at": writing.now})
    attempts.forget_attempts(
        writing.connection, attempts.of_name(principal.club_id, hashed.new.sign_in_key)
    )
    present_one = principal.token_id if principal.bearer == "session" else None
    end_sessions(writing.connection, principal.member_id, but=present_one)
    return Reply(status=204)


class Accepting(NamedTuple):
    """An invitation that was found, and what is to be set by it."""

    invitation: Invitation
    wanted: AcceptedInvitation


class Accepted(NamedTuple):
    """An invitation with the passphrase, hashed, that comes of it."""

    invitation: Invitation
    new: Passphrase


def look_for_invitation(writing: Writing, call: Call) -> Accepting:
    """Look for what the secret invites to; raises ``Rejected`` where that is nothing,
    or nothing any more.
    """
    found = find_invitation(writing.connection, call.body.invitation, writing.now)
    if found is None:
        raise failed(_NO_INVITATION)
    return Accepting(found, call.body)


def prove_invitation(hasher: Hasher, accepting: Accepting) -> Accepted:
    """Hash the passphrase."""
    invitation, wanted = accepting
    key = name_key(wanted.sign_in_name)
    new = Passphrase(
        invitation.member_id, invitation.club_id, key, hasher.hash(wanted.passphrase)
    )
    return Accepted(invitation, new)


def invited(accepted: Accepted) -> Principal:
    """Return the member who was invited."""
    one = accepted.invitation
    nothing: frozenset[Any] = frozenset()
    return Principal(
        club_id=one.club_id,
        member_id=one.member_id,
        role="member",
        token_id=one.id,
        scopes=nothing,
    )


def perform_accept(writing: Writing, call: Call, accepted: Accepted) -> Reply:
    """Put the passphrase down, use the invitation up and begin a session, unless
    somebody else was first.
    """
    principal = call.granted.principal
    writing.take_turn(principal.club_id)
    writing.get(MEMBERS, principal.club_id, principal.member_id, hold="shared")
    if (
        find_invitation(writing.connection, call.body.invitation, writing.now)
        != accepted.invitation
    ):
        raise failed(_NO_INVITATION)
    keep(writing.connection, accepted.new, values={"changed_at": writing.now})
    whole = Permit(principal=principal, whose="club")
    writing.remove(INVITATIONS, whole, accepted.invitation.id, if_match=ANY_VERSION)
    session, secret = open_session(
        writing, principal.club_id, principal.member_id, label=call.body.label
    )
    told = {
        "club_id": principal.club_id,
        "sign_in_name": call.body.sign_in_name,
        "session": secret,
    }
    return Reply(content={**present(session), **told}, secret=True)


def perform_reset(writing: Writing, call: Call) -> Reply:
    """Take away a member's passphrase with all their sessions, so that they can be
    invited again; raises ``Absent``.
    """
    forget_sign_ins(writing.connection, [member(writing, call).id])
    return Reply(status=204)
