"""Signing in with a passphrase, and out again; and where one is signed in."""

from datetime import datetime
from typing import Annotated, Any, ClassVar, NamedTuple

import msgspec

from standage.api.web.call import Call, Reply, etag_of
from standage.api.web.operation import (
    About,
    Answers,
    Guard,
    Operation,
    Proves,
    Reads,
    Takes,
    Writes,
    known,
)
from standage.api.web.problems import Rejected
from standage.railway.terms.figures import Identifier, Name, says
from standage.registry.people import attempts
from standage.registry.people.hashing import Hasher
from standage.registry.people.sessions import Session as KeptSession
from standage.registry.people.sessions import (
    end_session,
    end_sessions,
    open_session,
    session_of,
    sessions_of,
)
from standage.registry.records.kinds import MEMBERS
from standage.registry.records.passphrases import (
    Passphrase,
    for_name,
    hold,
)
from standage.registry.records.reading import Reading
from standage.registry.records.record import Principal, Record
from standage.registry.writing.store import Writing
from standage.shapes.faults import Ruled

SESSIONS = "/v1/sessions"
_PASSWORD = {"format": "password"}
Sent = Annotated[
    str, msgspec.Meta(min_length=1, max_length=200, extra_json_schema=_PASSWORD)
]
Moment = Annotated[datetime, msgspec.Meta(tz=True)]


class SignIn(Ruled, frozen=True, kw_only=True):
    """Who signs in, and to which club."""

    looked_up: ClassVar[frozenset[str]] = frozenset({"sign_in_name"})
    club_id: Annotated[Identifier, says("The club's id.")]
    sign_in_name: Annotated[
        Name, says("The name by which you sign in; letter case does not matter.")
    ]
    passphrase: Annotated[Sent, says("Your passphrase.")]
    label: Annotated[Name | None, says("Where you sign in: kitchen tablet.")] = None


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


class BegunSession(Session, frozen=True, kw_only=True):
    """A session that has just begun."""

    session: Annotated[
        str, says("The secret; send it as a token. It is shown this once.")
    ]


class SessionList(msgspec.Struct, frozen=True, kw_only=True):
    """All sessions of one member."""

    items: Annotated[
        list[Session], says("The sessions, oldest first; there are never more than 50.")
    ]


def sign_in_operations() -> list[Operation]:
    """Return everything about signing in and out."""
    return [_sign_in(), *_own_sessions(), *_ending()]


def _sign_in() -> Operation:
    return Operation(
        id="createSession",
        method="POST",
        path=SESSIONS,
        about=About(
            tag="Signing in",
            summary="Sign in",
            description=(
                "With the club's id, the name you sign in by and your passphrase."
                " What comes back is sent as a token. Whatever is wrong, the answer is"
                " the same."
            ),
        ),
        act=Proves(
            look_for_name,
            prove_passphrase,
            perform_sign_in,
            principal=proved,
        ),
        answers=Answers(
            shape=BegunSession,
            status=201,
            problems=("sign_in_failed", "already_shown"),
            creates=True,
            tagged=True,
        ),
        takes=Takes(body=SignIn, secret_fields=("passphrase",)),
        guard=Guard(rate="sign_in"),
    )


def _own_sessions() -> list[Operation]:
    return [
        Operation(
            id="listSessions",
            method="GET",
            path=SESSIONS,
            about=About(
                tag="Signing in",
                summary="List where you are signed in",
                description="Your own sessions that have not ended.",
            ),
            act=Reads(gather_sessions, report_sessions),
            answers=Answers(shape=SessionList, tagged=True),
        ),
        Operation(
            id="getSession",
            method="GET",
            path=f"{SESSIONS}/{{session_id}}",
            about=About(
                tag="Signing in",
                summary="Read one of your sessions",
                description="Where and since when you are signed in.",
            ),
            act=Reads(gather_session, report_session),
            answers=Answers(shape=Session, tagged=True),
        ),
    ]


def _ending() -> list[Operation]:
    return [
        Operation(
            id="deleteSession",
            method="DELETE",
            path=f"{SESSIONS}/{{session_id}}",
            about=About(
                tag="Signing in",
                summary="End one of your sessions",
                description="It lets nobody in from this moment on.",
            ),
            act=Writes(perform_end_one, in_turn=True),
            answers=Answers(shape=None, status=204),
            guard=Guard(rate="write", conditional=True),
        ),
        Operation(
            id="signOut",
            method="POST",
            path="/v1/sign-out",
            about=About(
                tag="Signing in",
                summary="Sign out",
                description=(
                    "Ends the session that asks. A token is no session: it is deleted"
                    " instead."
                ),
            ),
            act=Writes(perform_sign_out, in_turn=True),
            answers=Answers(shape=None, status=204),
            guard=Guard(rate="write"),
        ),
        Operation(
            id="signOutMember",
            method="POST",
            path="/v1/members/{member_id}/sign-out",
            about=About(
                tag="Signing in",
                summary="End all sessions of a member",
                description="They can sign in again. Their tokens are not touched.",
            ),
            act=Writes(perform_sign_out_member, in_turn=True),
            answers=Answers(shape=None, status=204),
            guard=Guard(rate="write"),
        ),
    ]


_WRONG = "There is no such name in that club, or that is not its passphrase."


def failed(detail: str = _WRONG) -> Rejected:
    """Return the refusal of whoever has proved nothing."""
    return Rejected("sign_in_failed", detail)


def count(writing: Writing, call: Call, who: str, *, most: int) -> None:
    """Count an attempt by ``who``; raises ``Rejected`` where there were too many."""
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
    count(writing, call, attempts.of_peer(call.peer or ""), most=attempts.MOST_BY_PEER)
    count(
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
        raise failed()
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
        raise failed()
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


def present(session: KeptSession) -> dict[str, Any]:
    """Return a session as it is spoken."""
    return {
        name: value for name, value in session._asdict().items() if value is not None
    }


def _tag(content: dict[str, Any]) -> str:
    return etag_of(msgspec.json.encode(content))


def gather_sessions(reading: Reading | None, call: Call) -> list[KeptSession]:
    """Return the caller's own sessions."""
    return sessions_of(
        known(reading).connection, call.granted.principal.member_id, call.now
    )


def report_sessions(found: list[KeptSession]) -> Reply:
    """Answer with all of them: a member has few."""
    items = [present(one) for one in found]
    return Reply(content={"items": items})


def gather_session(reading: Reading | None, call: Call) -> KeptSession:
    """Return one of the caller's own sessions; raises ``Absent``."""
    member_id = call.granted.principal.member_id
    return session_of(
        known(reading).connection, member_id, call.path["session_id"], call.now
    )


def report_session(session: KeptSession) -> Reply:
    """Answer with a session, without its secret."""
    content = present(session)
    return Reply(
        content=content,
        etag=_tag(content),
    )


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


def member(writing: Writing, call: Call) -> Record:
    """Return the member that an address names, held; raises ``Absent``."""
    member_id = call.path["member_id"]
    return writing.get(MEMBERS, call.club_id, member_id, hold="alone")


def perform_sign_out_member(writing: Writing, call: Call) -> Reply:
    """End all sessions of a member; raises ``Absent``."""
    end_sessions(writing.connection, member(writing, call).id)
    return Reply(status=204)
