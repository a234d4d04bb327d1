"""Sessions: everybody sees and ends their own, a steward ends all of a member's, and an
ended one lets nobody in.
"""

import pytest

from api.asking import NOBODY, PASSPHRASE, Caller, Service, refusal
from api.ground import Ground
from api.test_isolation import said


@pytest.fixture
def kit(ground: Ground) -> Caller:
    """Give another member who is signed in."""
    return ground.session_of(ground.make("Member", name="Kit Marsh")["id"])[0]


def session_ids(caller: Caller) -> list[str]:
    return [one["id"] for one in caller.read("/v1/sessions")["items"]]


def test_everybody_sees_their_own_sessions_and_no_secret(
    steward: Caller, sorrel: Caller, kit: Caller
) -> None:
    here, there = steward.signed_in("Sorrel"), steward.signed_in("Sorrel")
    assert session_ids(here) == session_ids(there)
    assert len(session_ids(here)) == 3, "the first began as the invitation was accepted"
    assert set(session_ids(kit)).isdisjoint(session_ids(here))
    assert steward.read("/v1/sessions")["items"] == []
    told = here.ask("GET", "/v1/sessions").text
    assert [
        secret
        for secret in (here.token, there.token)
        if secret is None or secret in told
    ] == []
    assert all(
        one["member_id"] == sorrel.member_id
        for one in here.read("/v1/sessions")["items"]
    )


@pytest.mark.parametrize("method", ["GET", "DELETE"])
def test_a_fellow_members_session_is_as_one_that_never_was(
    steward: Caller, sorrel: Caller, kit: Caller, method: str
) -> None:
    here = steward.signed_in("Sorrel")
    theirs = session_ids(kit)[-1]
    for caller in (here, steward):
        answers = [
            said(
                caller.ask(method, f"/v1/sessions/{one}", if_match="*"),
                {"session_id": one},
            )
            for one in (theirs, NOBODY)
        ]
        assert answers[0] == answers[1]
        assert answers[0][0] == 404
    assert kit.ask("GET", "/v1/club").status_code == 200
    assert sorrel.token is None


def test_one_of_ones_sessions_is_ended_by_whoever_saw_it(
    steward: Caller, sorrel: Caller
) -> None:
    here, there = steward.signed_in("Sorrel"), steward.signed_in("Sorrel")
    path = f"/v1/sessions/{session_ids(here)[-1]}"
    seen = here.ask("GET", path)
    refusal(here.ask("DELETE", path), 428, "precondition_required")
    refusal(here.ask("DELETE", path, if_match='"other"'), 412, "stale")
    assert there.ask("GET", "/v1/club").status_code == 200
    assert here.ask("DELETE", path, if_match=seen.headers["etag"]).status_code == 204
    refusal(there.ask("GET", "/v1/club"), 401, "unauthenticated")
    assert here.ask("GET", "/v1/club").status_code == 200
    refusal(here.ask("GET", path), 404, "not_found")
    assert sorrel.club_id == here.club_id


@pytest.mark.usefixtures("sorrel")
def test_who_signs_out_is_out_here_and_nowhere_else(steward: Caller) -> None:
    here, there = steward.signed_in("Sorrel"), steward.signed_in("Sorrel")
    assert here.ask("POST", "/v1/sign-out").status_code == 204
    refusal(here.ask("GET", "/v1/club"), 401, "unauthenticated")
    refusal(here.ask("POST", "/v1/sign-out"), 401, "unauthenticated")
    assert there.ask("GET", "/v1/club").status_code == 200


def test_a_steward_ends_all_sessions_of_a_member_and_nobody_elses(
    steward: Caller, sorrel: Caller, kit: Caller
) -> None:
    sessions = [steward.signed_in("Sorrel") for _ in range(3)]
    path = f"/v1/members/{sorrel.member_id}/sign-out"
    refusal(kit.ask("POST", path), 403, "forbidden")
    assert steward.ask("POST", path).status_code == 204
    for one in sessions:
        refusal(one.ask("GET", "/v1/club"), 401, "unauthenticated")
    assert kit.ask("GET", "/v1/club").status_code == 200
    assert steward.signed_in("Sorrel").ask("GET", "/v1/club").status_code == 200


@pytest.mark.parametrize("what", ["sign-out", "passphrase-reset"])
def test_of_another_clubs_member_nothing_is_ended(
    service: Service, kit: Caller, what: str
) -> None:
    stranger = service.club("Millpond Society")
    answers = [
        said(stranger.ask("POST", f"/v1/members/{one}/{what}"), {"member_id": one})
        for one in (kit.member_id, NOBODY)
    ]
    assert answers[0] == answers[1]
    assert answers[0][0] == 404
    assert kit.ask("GET", "/v1/club").status_code == 200


def test_the_role_of_a_session_is_the_members_of_this_moment(
    steward: Caller, sorrel: Caller
) -> None:
    here = steward.signed_in("Sorrel", PASSPHRASE)
    assert here.ask("POST", "/v1/layouts", {"name": "Staithe Lane"}).status_code == 201
    assert (
        steward.ask(
            "PATCH", f"/v1/members/{sorrel.member_id}", {"role": "member"}, if_match="*"
        ).status_code
        == 200
    )
    refusal(here.ask("POST", "/v1/layouts", {"name": "Quay Street"}), 403, "forbidden")
