"""The operations of signing in: with a passphrase, by an invitation, and out again."""

from typing import Any

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
from standage.api.web.operation import Operation, Proves, Reads, Writes

_TAG: dict[str, Any] = {"tag": "Signing in"}


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
        **_TAG,
        id="createSession",
        method="POST",
        path=SESSIONS,
        summary="Sign in",
        description=(
            "With the club's id, the name you sign in by and your passphrase. What"
            " comes back is sent as a token. Whatever is wrong, the answer is the same."
        ),
        act=Proves(
            acts.look_for_name,
            acts.prove_passphrase,
            acts.perform_sign_in,
            principal=acts.proved,
        ),
        answer=NewSession,
        status=201,
        body=SignIn,
        secret_fields=("passphrase",),
        problems=("sign_in_failed", "already_shown"),
        rate="sign_in",
        creates=True,
        tagged=True,
    )


def _own_sessions() -> list[Operation]:
    return [
        Operation(
            **_TAG,
            id="listSessions",
            method="GET",
            path=SESSIONS,
            summary="List where you are signed in",
            description="Your own sessions that have not ended.",
            act=Reads(acts.gather_sessions, acts.report_sessions),
            answer=SessionList,
            tagged=True,
        ),
        Operation(
            **_TAG,
            id="getSession",
            method="GET",
            path=f"{SESSIONS}/{{session_id}}",
            summary="Read one of your sessions",
            description="Where and since when you are signed in.",
            act=Reads(acts.gather_session, acts.report_session),
            answer=Session,
            tagged=True,
        ),
    ]


def _ending() -> list[Operation]:
    return [
        Operation(
            **_TAG,
            id="deleteSession",
            method="DELETE",
            path=f"{SESSIONS}/{{session_id}}",
            summary="End one of your sessions",
            description="It lets nobody in from this moment on.",
            act=Writes(acts.perform_end_one, in_turn=True),
            answer=None,
            status=204,
            rate="write",
            conditional=True,
        ),
        Operation(
            **_TAG,
            id="signOut",
            method="POST",
            path="/v1/sign-out",
            summary="Sign out",
            description=(
                "Ends the session that asks. A token is no session: it is deleted"
                " instead."
            ),
            act=Writes(acts.perform_sign_out, in_turn=True),
            answer=None,
            status=204,
            rate="write",
        ),
        Operation(
            **_TAG,
            id="signOutMember",
            method="POST",
            path="/v1/members/{member_id}/sign-out",
            summary="End all sessions of a member",
            description="They can sign in again. Their tokens are not touched.",
            act=Writes(acts.perform_sign_out_member, in_turn=True),
            answer=None,
            status=204,
            rate="write",
        ),
    ]


def _set_passphrase() -> Operation:
    return Operation(
        **_TAG,
        id="setPassphrase",
        method="POST",
        path="/v1/passphrase",
        summary="Change your passphrase",
        description=(
            "With the present one. Your other sessions end. Your tokens are not"
            " touched. A first passphrase is set by an invitation: a token may not set"
            " one, or it would let somebody in after it is gone."
        ),
        act=Proves(
            acts.look_for_own, acts.prove_change, acts.perform_change, in_turn=True
        ),
        answer=None,
        status=204,
        body=NewPassphrase,
        secret_fields=("passphrase", "present_passphrase"),
        problems=("sign_in_failed",),
        rate="sign_in",
    )


def _beginning_anew() -> list[Operation]:
    return [
        Operation(
            **_TAG,
            id="resetPassphrase",
            method="POST",
            path="/v1/members/{member_id}/passphrase-reset",
            summary="Take away a passphrase that was forgotten",
            description=(
                "With it end all sessions of the member, who can then be invited again."
            ),
            act=Writes(acts.perform_reset, in_turn=True),
            answer=None,
            status=204,
            rate="write",
        ),
        Operation(
            **_TAG,
            id="acceptInvitation",
            method="POST",
            path="/v1/invitations/accept",
            summary="Set your first passphrase by an invitation",
            description=(
                "An invitation is good for this once. It signs you in: send what comes"
                " back as `session` as a token, as after signing in."
            ),
            act=Proves(
                acts.look_for_invitation,
                acts.prove_invitation,
                acts.perform_accept,
                principal=acts.invited,
            ),
            answer=Invited,
            body=AcceptedInvitation,
            secret_fields=("invitation", "passphrase"),
            problems=("sign_in_failed",),
            rate="sign_in",
        ),
    ]
