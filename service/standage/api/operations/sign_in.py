"""The operations of signing in: with a passphrase, by an invitation, and out again."""

from standage.api.operations import sign_in_acts as acts
from standage.api.operations.sign_in_acts import SESSIONS
from standage.api.operations.sign_in_bodies import (
    AcceptedInvitation,
    Invited,
    NewPassphrase,
    NewSession,
    Session,
    SessionList,
    SignIn,
)
from standage.api.web.acts import Proves, Reads, Writes
from standage.api.web.operation import About, Answers, Guard, Operation, Takes


def sign_in_operations() -> list[Operation]:
    """Return everything about signing in, out and passphrases."""
    return [
        _sign_in(),
        *_own_sessions(),
        *_ending(),
        _set_passphrase(),
        *_beginning_anew(),
    ]


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
            acts.look_for_name,
            acts.prove_passphrase,
            acts.perform_sign_in,
            principal=acts.proved,
        ),
        answers=Answers(
            shape=NewSession,
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
            act=Reads(acts.gather_sessions, acts.report_sessions),
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
            act=Reads(acts.gather_session, acts.report_session),
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
            act=Writes(acts.perform_end_one, in_turn=True),
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
            act=Writes(acts.perform_sign_out, in_turn=True),
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
            act=Writes(acts.perform_sign_out_member, in_turn=True),
            answers=Answers(shape=None, status=204),
            guard=Guard(rate="write"),
        ),
    ]


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
        act=Proves(
            acts.look_for_own, acts.prove_change, acts.perform_change, in_turn=True
        ),
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
            act=Writes(acts.perform_reset, in_turn=True),
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
                acts.look_for_invitation,
                acts.prove_invitation,
                acts.perform_accept,
                principal=acts.invited,
            ),
            answers=Answers(shape=Invited, problems=("sign_in_failed",)),
            takes=Takes(
                body=AcceptedInvitation, secret_fields=("invitation", "passphrase")
            ),
            guard=Guard(rate="sign_in"),
        ),
    ]
