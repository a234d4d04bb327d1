"""What becomes of a request about signing in: with a name and a passphrase, by an
invitation, and out again.
"""

from typing import Any, NamedTuple

import msgspec

from standage.api.operations.sign_in_bodies import (
    AcceptedInvitation,
    NewPassphrase,
    SignIn,
)
from standage.api.web.call import Call, Reply
from standage.api.web.preconditions import etag_of
from standage.api.web.problems import Rejected
from standage.registry.database.tables import name_key
from standage.registry.people import attempts
from standage.registry.people.hashing import Hasher
from standage.registry.people.invitations import Invitation, find_invitation
from standage.registry.people.sessions import (
    Session,
    end_session,
    end_sessions,
    open_session,
    session_of,
    sessions_of,
)
from standage.registry.records.kinds import INVITATIONS, MEMBERS
from standage.registry.records.passphrases import (
    Passphrase,
    for_name,
    forget_sign_ins,
    hold,
    keep,
    of_member,
)
from standage.registry.records.reading import Reading
from standage.registry.records.record import ANY_VERSION, Permit, Principal, Record
from standage.registry.writing.store import Writing
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Forbidden

SESSIONS = "/v1/sessions"
_WRONG = "There is no such name in that club, or that is not its passphrase."
_BY_INVITATION = (
    "A token may not set a first passphrase: that would let somebody in after the token"
    " is gone. Ask a steward to invite you, and set it by the invitation."
)
_NO_INVITATION = "This invitation was used already, has expired, or is not known."


def _failed(detail: str = _WRONG) -> Rejected:
    return Rejected("sign_in_failed", detail)


def _count(writing: Writing, call: Call, who: str, *, most: int) -> None:
    if call.peer is None:
        return
    try:
        attempts.count_attempt(writing.connection, who, writing.now, most=most)
    except attempts.TooOften as too_often:
        detail = "There were too many attempts to sign in of late."
        raise Rejected(
            "too_many_requests",
            detail,
            headers=[("retry-after", str(too_often.wait_s))],
        ) from None


class Tried(NamedTuple):
    """A passphrase that was sent, and the one on record; None where nobody signs in by
    that name.
    """

    sent: str
    kept: Passphrase | None


def look_for_name(writing: Writing, call: Call) -> Tried:
    """Count the attempt, whoever it is for, then look for whom; raises ``Rejected``
    where there were too many.
    """
    asked: SignIn = call.body
    _count(writing, call, attempts.of_peer(call.peer or ""), most=attempts.MOST_BY_PEER)
    _count(
        writing,
        call,
        attempts.of_name(asked.club_id, asked.sign_in_name),
        most=attempts.MOST_BY_NAME,
    )
    return Tried(
        asked.passphrase,
        for_name(writing.connection, asked.club_id, asked.sign_in_name),
    )


def prove_passphrase(hasher: Hasher, tried: Tried) -> Passphrase:
    """Return whose passphrase it is; raises ``Rejected`` where it is nobody's, after as
    much work.
    """
    is_right = hasher.verify(
        None if tried.kept is None else tried.kept.hashed, tried.sent
    )
    if tried.kept is None or not is_right:
        raise _failed()
    return tried.kept


def proved(seen: Passphrase) -> Principal:
    """Return the member who has proved to know a passphrase."""
    nothing: frozenset[Any] = frozenset()
    return Principal(
        club_id=seen.club_id,
        member_id=seen.member_id,
        role="member",
        token_id="",
        scopes=nothing,
    )


def perform_sign_in(writing: Writing, call: Call, seen: Passphrase) -> Reply:
    """Begin a session, unless the passphrase was changed or the member has left
    meanwhile.
    """
    if hold(writing.connection, seen) is None:
        raise _failed()
    attempts.forget_attempts(
        writing.connection, attempts.of_name(seen.club_id, seen.sign_in_key)
    )
    session, secret = open_session(
        writing, seen.club_id, seen.member_id, label=call.body.label
    )
    content = present(session)
    return Reply(
        content={**content, "session": secret},
        status=201,
        etag=_tag(content),
        headers=(("location", f"{SESSIONS}/{session.id}"),),
        secret=True,
    )


def present(session: Session) -> dict[str, Any]:
    """Return a session as it is spoken."""
    return {
        name: value for name, value in session._asdict().items() if value is not None
    }


def _tag(content: dict[str, Any]) -> str:
    return etag_of(msgspec.json.encode(content))


def gather_sessions(reading: Reading | None, call: Call) -> list[Session]:
    """Return the caller's own sessions."""
    return sessions_of(
        _known(reading).connection, call.granted.principal.member_id, call.now
    )


def report_sessions(found: list[Session]) -> Reply:
    """Answer with all of them: a member has few."""
    return Reply(content={"items": [present(one) for one in found]})


def gather_session(reading: Reading | None, call: Call) -> Session:
    """Return one of the caller's own sessions; raises ``Absent``."""
    member_id = call.granted.principal.member_id
    return session_of(
        _known(reading).connection, member_id, call.path["session_id"], call.now
    )


def report_session(session: Session) -> Reply:
    """Answer with a session, without its secret."""
    content = present(session)
    return Reply(content=content, etag=_tag(content))


def _known(reading: Reading | None) -> Reading:
    if reading is None:
        message = "sessions were asked for without a club"
        raise TypeError(message)
    return reading


def perform_end_one(writing: Writing, call: Call) -> Reply:
    """End one of the caller's own sessions, the present one too; raises ``Absent``,
    ``Unconditional``, ``Stale``.
    """
    member_id = call.granted.principal.member_id
    session = session_of(
        writing.connection, member_id, call.path["session_id"], call.now
    )
    call.if_match.require(_tag(present(session)))
    end_session(writing.connection, member_id, session.id)
    return Reply(status=204)


def perform_sign_out(writing: Writing, call: Call) -> Reply:
    """End the session that asks."""
    principal = call.granted.principal
    end_session(writing.connection, principal.member_id, principal.token_id)
    return Reply(status=204)


def _member(writing: Writing, call: Call) -> Record:
    """Return the member that an address names, held; raises ``Absent``."""
    return writing.get(MEMBERS, call.club_id, call.path["member_id"], hold="alone")


def perform_sign_out_member(writing: Writing, call: Call) -> Reply:
    """End all sessions of a member; raises ``Absent``."""
    end_sessions(writing.connection, _member(writing, call).id)
    return Reply(status=204)


def perform_reset(writing: Writing, call: Call) -> Reply:
    """Take away a member's passphrase with all their sessions, so that they can be
    invited again; raises ``Absent``.
    """
    forget_sign_ins(writing.connection, [_member(writing, call).id])
    return Reply(status=204)


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
        _count(
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
        raise _failed(_NO_INVITATION)
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
        raise _failed(_NO_INVITATION)
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
