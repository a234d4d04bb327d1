"""Passphrases: set by invitation, changed by whoever knows them, taken away by a
steward.
"""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from api.asking import PASSPHRASE, Caller, Service, faults, refusal, signing_in
from api.ground import Ground, one_of
from support.clubs import NOW


def test_an_invitation_is_good_for_once_and_in_time(
    service: Service, ground: Ground
) -> None:
    stranger = service.stranger()
    body = ground.body("Invitation")
    issued = ground.steward.made("/v1/invitations", body)
    wanted = {
        "invitation": issued["invitation"],
        "sign_in_name": "Sorrel",
        "passphrase": PASSPHRASE,
    }
    assert faults(
        stranger.ask("POST", "/v1/invitations/accept", wanted | {"passphrase": "short"})
    ) == {"/passphrase": "too_short"}
    accepted = stranger.ask("POST", "/v1/invitations/accept", wanted)
    told = {
        "club_id": ground.steward.club_id,
        "member_id": body["member_id"],
        "sign_in_name": "Sorrel",
    }
    assert (accepted.status_code, accepted.json() | told) == (200, accepted.json())
    refusal(
        stranger.ask("POST", "/v1/invitations/accept", wanted), 401, "sign_in_failed"
    )
    assert ground.steward.signed_in("Sorrel").member_id == body["member_id"]
    late = ground.steward.made("/v1/invitations", ground.body("Invitation"))
    service.clock.move(timedelta(days=2))
    refusal(
        stranger.ask(
            "POST",
            "/v1/invitations/accept",
            wanted | {"invitation": late["invitation"]},
        ),
        401,
        "sign_in_failed",
    )


def test_of_several_who_accept_one_invitation_one_is_let_in(
    service: Service, ground: Ground
) -> None:
    issued = ground.steward.made("/v1/invitations", ground.body("Invitation"))
    wanted = {"invitation": issued["invitation"], "passphrase": PASSPHRASE}

    def accept(number: int) -> int:
        body = wanted | {"sign_in_name": f"Sorrel {number}"}
        return (
            service.stranger().ask("POST", "/v1/invitations/accept", body).status_code
        )

    with ThreadPoolExecutor(4) as threads:
        assert sorted(threads.map(accept, range(4))) == [200, 401, 401, 401]


def test_who_has_a_passphrase_is_invited_only_once_it_is_taken_away(
    steward: Caller, sorrel: Caller
) -> None:
    body = {"member_id": sorrel.member_id, "expires_at": "2026-05-03T10:00:00Z"}
    caller = steward.signed_in("Sorrel")
    assert faults(steward.ask("POST", "/v1/invitations", body)) == {
        "/member_id": "has_passphrase"
    }
    assert (
        steward.ask(
            "POST", f"/v1/members/{sorrel.member_id}/passphrase-reset"
        ).status_code
        == 204
    )
    refusal(caller.ask("GET", "/v1/club"), 401, "unauthenticated")
    refusal(signing_in(sorrel), 401, "sign_in_failed")
    steward.invited(sorrel.member_id, "Sorrel")
    assert signing_in(sorrel).status_code == 201


def test_who_accepts_an_invitation_is_signed_in(
    service: Service, ground: Ground
) -> None:
    issued = ground.steward.made("/v1/invitations", ground.body("Invitation"))
    wanted = {
        "invitation": issued["invitation"],
        "sign_in_name": "Sorrel",
        "passphrase": PASSPHRASE,
        "label": "tablet",
    }
    accepted = service.stranger().ask("POST", "/v1/invitations/accept", wanted)
    assert accepted.headers["cache-control"] == "no-store"
    begun = accepted.json()
    sorrel = Caller(http=service.http, token=begun["session"])
    (session,) = sorrel.read("/v1/sessions")["items"]
    assert session == {name: begun[name] for name in session}
    assert (session["label"], session["member_id"]) == ("tablet", issued["member_id"])
    assert sorrel.ask("POST", "/v1/sign-out").status_code == 204
    refusal(sorrel.ask("GET", "/v1/club"), 401, "unauthenticated")


def test_an_invitation_ends_after_a_fortnight_if_nobody_says_when(
    ground: Ground,
) -> None:
    member = ground.make("Member")
    issued = ground.steward.made("/v1/invitations", {"member_id": member["id"]})
    assert issued["expires_at"] == "2026-05-15T10:00:00Z"


@pytest.mark.parametrize(
    ("day", "ends"),
    [("2026-05-01", "2026-05-01T23:59:59Z"), ("2026-05-31", "2026-05-31T23:59:59Z")],
)
def test_an_invitation_or_a_link_may_end_on_a_day(
    ground: Ground, day: str, ends: str
) -> None:
    body = ground.body("Invitation") | {"expires_at": day}
    assert ground.steward.made("/v1/invitations", body)["expires_at"] == ends
    path = f"{one_of('Layout', ground.make('Layout'))}/share-links"
    assert (
        ground.steward.made(path, {"label": "visitors", "expires_at": day})[
            "expires_at"
        ]
        == ends
    )
    assert (
        ground.steward.made(path, {"label": "visitors"})["expires_at"]
        == "2026-05-15T10:00:00Z"
    )
    token = ground.body("Token") | {"expires_at": day}
    assert ground.steward.made("/v1/tokens", token)["expires_at"] == ends
    assert faults(
        ground.steward.ask("POST", path, {"label": "x", "expires_at": "2026-04-30"})
    ) == {"/expires_at": "out_of_range"}


@pytest.mark.parametrize(
    ("days", "code"), [(-1, "out_of_range"), (0, "out_of_range"), (32, "out_of_range")]
)
def test_an_invitation_ends_within_a_month(
    ground: Ground, days: int, code: str
) -> None:
    end = (NOW + timedelta(days=days)).isoformat()
    body = ground.body("Invitation") | {"expires_at": end}
    assert faults(ground.steward.ask("POST", "/v1/invitations", body)) == {
        "/expires_at": code
    }


def test_no_two_members_sign_in_by_one_name(steward: Caller, sorrel: Caller) -> None:
    issued = steward.made("/v1/invitations", {"member_id": steward.member_id})
    taken = {
        "invitation": issued["invitation"],
        "sign_in_name": "SORREL",
        "passphrase": PASSPHRASE,
    }
    accepted = Caller(http=sorrel.http).ask("POST", "/v1/invitations/accept", taken)
    assert faults(accepted) == {"/sign_in_name": "name_taken"}
    steward.invited(steward.member_id, "Robin")
    renamed = {
        "sign_in_name": "Sorrel",
        "passphrase": PASSPHRASE,
        "present_passphrase": PASSPHRASE,
    }
    assert faults(steward.ask("POST", "/v1/passphrase", renamed)) == {
        "/sign_in_name": "name_taken"
    }


@pytest.mark.parametrize("role", ["member", "layout_keeper", "steward"])
def test_a_token_does_not_make_itself_a_passphrase(steward: Caller, role: str) -> None:
    """Else whoever holds it is let in after it was taken back, and with more than its
    scopes.
    """
    holder = steward.with_token(
        member_id=steward.with_member(role).member_id, scopes=["write"]
    )
    first = {"sign_in_name": "Sorrel", "passphrase": PASSPHRASE}
    problem = refusal(holder.ask("POST", "/v1/passphrase", first), 403, "forbidden")
    assert "invite you" in problem["detail"]
    unproved = first | {"present_passphrase": PASSPHRASE}
    refusal(holder.ask("POST", "/v1/passphrase", unproved), 403, "forbidden")
    refusal(signing_in(steward), 401, "sign_in_failed")


def test_after_a_passphrase_was_taken_away_a_token_sets_no_other(
    steward: Caller, sorrel: Caller
) -> None:
    holder = steward.with_token(member_id=sorrel.member_id)
    assert (
        steward.ask(
            "POST", f"/v1/members/{sorrel.member_id}/passphrase-reset"
        ).status_code
        == 204
    )
    refusal(
        holder.ask(
            "POST",
            "/v1/passphrase",
            {"sign_in_name": "Sorrel", "passphrase": PASSPHRASE},
        ),
        403,
        "forbidden",
    )
    refusal(signing_in(sorrel), 401, "sign_in_failed")


def test_a_token_changes_a_passphrase_only_with_the_present_one(
    steward: Caller, sorrel: Caller
) -> None:
    holder, new = (
        steward.with_token(member_id=sorrel.member_id),
        "four herons by the weir",
    )
    assert faults(holder.ask("POST", "/v1/passphrase", {"passphrase": new})) == {
        "/present_passphrase": "missing"
    }
    changed = holder.ask(
        "POST", "/v1/passphrase", {"passphrase": new, "present_passphrase": PASSPHRASE}
    )
    assert changed.status_code == 204
    assert signing_in(sorrel, passphrase=new).status_code == 201


def test_a_passphrase_is_changed_by_whoever_knows_it_and_ends_the_other_sessions(
    steward: Caller, sorrel: Caller
) -> None:
    here, there = steward.signed_in("Sorrel"), steward.signed_in("Sorrel")
    new = "four herons by the weir"
    assert faults(here.ask("POST", "/v1/passphrase", {"passphrase": new})) == {
        "/present_passphrase": "missing"
    }
    wrong = {"passphrase": new, "present_passphrase": "not the one at all"}
    assert faults(here.ask("POST", "/v1/passphrase", wrong)) == {
        "/present_passphrase": "wrong_passphrase"
    }
    changed = here.ask(
        "POST", "/v1/passphrase", {"passphrase": new, "present_passphrase": PASSPHRASE}
    )
    assert changed.status_code == 204
    assert here.ask("GET", "/v1/club").status_code == 200
    refusal(there.ask("GET", "/v1/club"), 401, "unauthenticated")
    refusal(signing_in(sorrel), 401, "sign_in_failed")
    assert signing_in(sorrel, passphrase=new).status_code == 201


@pytest.mark.parametrize("passphrase", ["short", "x" * 20, "Robin of the weir"])
def test_a_passphrase_that_is_easily_guessed_is_refused(
    steward: Caller, passphrase: str
) -> None:
    body = {"sign_in_name": "robin of the weir", "passphrase": passphrase}
    assert set(faults(steward.ask("POST", "/v1/passphrase", body))) == {"/passphrase"}
