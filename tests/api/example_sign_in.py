"""What the club of the examples asks about signing in, and about links to its
layout.
"""

from collections.abc import Mapping

from api.asking import NOBODY, PASSPHRASE
from api.example_recorder import Recorder

LATER = "2026-05-08T18:00:00Z"
ANOTHER = "four herons by the weir"


def play(recorder: Recorder, layout_id: str) -> None:
    """Play everything about signing in."""
    member = recorder.steward.made("/v1/members", {"name": "Sorrel"})
    at = {"member_id": member["id"]}
    _invitations(recorder, member["id"])
    _sessions(recorder)
    _passphrases(recorder, at)
    _links(recorder, {"layout_id": layout_id})


def _invitations(recorder: Recorder, member_id: str) -> None:
    body = {"member_id": member_id, "expires_at": LATER, "label": "by letter"}
    issued = recorder.made("createInvitation", body, idempotency_key="sorrel-2026")
    recorder.ask("createInvitation", body, idempotency_key="sorrel-2026")
    recorder.ask("createInvitation", body | {"expires_at": "2025-05-08T18:00:00Z"})
    at = {"invitation_id": issued["id"]}
    recorder.ask("getInvitation", at=at)
    recorder.ask("getInvitation", at={"invitation_id": NOBODY})
    recorder.ask("listInvitations")
    recorder.ask("listInvitations", query="limit=500")
    spare = recorder.steward.made("/v1/invitations", body)
    recorder.ask("deleteInvitation", at={"invitation_id": spare["id"]})
    recorder.ask("deleteInvitation", at={"invitation_id": spare["id"]}, if_match='"v9"')
    tag = recorder.steward.tag(f"/v1/invitations/{spare['id']}")
    recorder.ask("deleteInvitation", at={"invitation_id": spare["id"]}, if_match=tag)
    recorder.ask("deleteInvitation", at={"invitation_id": spare["id"]}, if_match=tag)
    wanted = {
        "invitation": issued["invitation"],
        "sign_in_name": "Sorrel",
        "passphrase": PASSPHRASE,
    }
    recorder.ask("acceptInvitation", wanted | {"passphrase": "too short"})
    recorder.ask("acceptInvitation", wanted)
    recorder.ask("acceptInvitation", wanted)


def _sessions(recorder: Recorder) -> None:
    about = {
        "club_id": recorder.steward.club_id,
        "sign_in_name": "sorrel",
        "passphrase": PASSPHRASE,
    }
    stranger = recorder.service.stranger()
    recorder.made(
        "createSession",
        about | {"label": "kitchen tablet"},
        by=stranger,
        idempotency_key="tablet",
    )
    recorder.ask(
        "createSession",
        about | {"label": "kitchen tablet"},
        by=stranger,
        idempotency_key="tablet",
    )
    recorder.ask(
        "createSession", about | {"passphrase": "not the one at all"}, by=stranger
    )
    sorrel = recorder.steward.signed_in("Sorrel")
    recorder.ask("listSessions", by=sorrel)
    recorder.ask("listSessions", by=stranger)
    first = sorrel.read("/v1/sessions")["items"][0]
    at = {"session_id": first["id"]}
    tag = recorder.ask("getSession", by=sorrel, at=at).headers["etag"]
    recorder.ask("getSession", by=sorrel, at={"session_id": NOBODY})
    recorder.ask("deleteSession", by=sorrel, at=at)
    recorder.ask("deleteSession", by=sorrel, at=at, if_match=tag)
    recorder.ask("deleteSession", by=sorrel, at=at, if_match=tag)
    recorder.ask("signOut", by=sorrel)
    recorder.ask("signOut", by=sorrel)


def _passphrases(recorder: Recorder, at: Mapping[str, str]) -> None:
    sorrel = recorder.steward.signed_in("Sorrel")
    recorder.ask("setPassphrase", {"passphrase": ANOTHER}, by=sorrel)
    recorder.ask(
        "setPassphrase",
        {"passphrase": ANOTHER, "present_passphrase": PASSPHRASE},
        by=sorrel,
    )
    recorder.ask("signOutMember", at=at)
    recorder.ask("signOutMember", at={"member_id": NOBODY})
    recorder.ask("resetPassphrase", at=at)
    recorder.ask("resetPassphrase", at={"member_id": NOBODY})


def _links(recorder: Recorder, above: Mapping[str, str]) -> None:
    body = {"label": "visitors of the summer show", "expires_at": LATER}
    issued = recorder.made(
        "createShareLink", body, at=above, idempotency_key="summer-show"
    )
    recorder.ask("createShareLink", body, at=above, idempotency_key="summer-show")
    recorder.ask("createShareLink", {"label": "", "expires_at": LATER}, at=above)
    recorder.ask("listShareLinks", at=above)
    recorder.ask("listShareLinks", at={"layout_id": NOBODY})
    at = {**above, "share_link_id": issued["id"]}
    tag = recorder.ask("getShareLink", at=at).headers["etag"]
    recorder.ask("getShareLink", at={**at, "share_link_id": NOBODY})
    recorder.ask("deleteShareLink", at=at)
    recorder.ask("deleteShareLink", at=at, if_match=tag)
    recorder.ask("deleteShareLink", at=at, if_match=tag)
