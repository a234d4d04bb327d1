"""Who, may they, is it there, is it sound, is it the version you saw: each is asked
only once the one before is so.
"""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, faults, refusal
from api.ground import CONDITIONAL, OPERATIONS, Ground, Request, absent, one_of
from support.walks import at_each

NONSENSE = b"{ this is no JSON"
UNSOUND = {"name": "", "length_mm": -1}


@at_each("operation_id", sorted(OPERATIONS), halved=True)
def test_without_a_token_nothing_else_is_looked_at(
    service: Service, operation_id: str
) -> None:
    operation = OPERATIONS[operation_id]
    path = absent([operation_id]).get(operation_id, operation.path)
    response = service.stranger().send(
        operation.method,
        f"{path}?bogus=1",
        NONSENSE,
        content_type="text/plain",
        accept="image/png",
    )
    refusal(response, 401, "unauthenticated")
    assert response.headers["www-authenticate"].startswith("Bearer")


@pytest.mark.parametrize(
    "authorization",
    ["Bearer", "Bearer ", "Bearer nonsense", "Basic cm9iaW46dmFsZQ==", "stg_", ""],
)
def test_what_is_no_token_lets_nobody_in(service: Service, authorization: str) -> None:
    refusal(
        service.stranger().ask("GET", "/v1/club", authorization=authorization),
        401,
        "unauthenticated",
    )


def test_a_token_is_taken_whatever_the_case_of_the_scheme(
    service: Service, steward: Caller
) -> None:
    assert (
        service.stranger()
        .ask("GET", "/v1/club", authorization=f"bearer {steward.token}")
        .status_code
        == 200
    )


def test_an_expired_token_lets_nobody_in(service: Service, steward: Caller) -> None:
    guest = steward.with_token(
        expires_at=(service.clock.now + timedelta(hours=1)).isoformat()
    )
    assert guest.ask("GET", "/v1/club").status_code == 200
    service.clock.move(timedelta(hours=1))
    refusal(guest.ask("GET", "/v1/club"), 401, "unauthenticated")


def test_a_deleted_token_lets_nobody_in_from_that_moment(steward: Caller) -> None:
    issued = steward.made(
        "/v1/tokens",
        {"label": "hall", "member_id": steward.member_id, "scopes": ["read"]},
    )
    guest = Caller(http=steward.http, token=issued["token"])
    assert guest.ask("GET", "/v1/club").status_code == 200
    assert (
        steward.ask("DELETE", f"/v1/tokens/{issued['id']}", if_match="*").status_code
        == 204
    )
    refusal(guest.ask("GET", "/v1/club"), 401, "unauthenticated")


def test_the_tokens_of_a_deleted_member_let_nobody_in(steward: Caller) -> None:
    member = steward.with_member("member")
    assert (
        steward.ask(
            "DELETE", f"/v1/members/{member.member_id}", if_match="*"
        ).status_code
        == 204
    )
    refusal(member.ask("GET", "/v1/club"), 401, "unauthenticated")


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_without_the_right_nothing_else_is_looked_at(
    steward: Caller, method: str
) -> None:
    reader = steward.with_token(scopes=["read"])
    response = reader.send(
        method, f"/v1/vehicles/{NOBODY}?bogus=1", NONSENSE, content_type="text/plain"
    )
    assert "write" in refusal(response, 403, "forbidden")["detail"]


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
@pytest.mark.parametrize(
    "precondition",
    [{}, {"if_match": "*"}, {"if_match": '"v1"'}, {"if_match": '"other"'}],
)
def test_what_is_not_there_is_said_before_what_is_unsound(
    steward: Caller, method: str, precondition: dict[str, str]
) -> None:
    response = steward.ask(method, f"/v1/vehicles/{NOBODY}", UNSOUND, **precondition)
    refusal(response, 404, "not_found")


def test_a_patch_that_is_no_object_of_what_is_not_there_is_not_found(
    steward: Caller,
) -> None:
    refusal(steward.ask("PATCH", f"/v1/vehicles/{NOBODY}", [1]), 404, "not_found")


def test_that_it_is_anothers_is_said_before_what_is_unsound(
    steward: Caller, ground: Ground
) -> None:
    vehicle = ground.make("Vehicle")
    member = steward.with_member("member")
    for method in ("PUT", "PATCH", "DELETE"):
        refusal(
            member.ask(method, one_of("Vehicle", vehicle), UNSOUND), 403, "forbidden"
        )


@pytest.mark.parametrize("method", ["PUT", "PATCH"])
@pytest.mark.parametrize("precondition", [{}, {"if_match": '"v999"'}])
def test_what_is_unsound_is_said_before_which_version(
    steward: Caller, ground: Ground, method: str, precondition: dict[str, str]
) -> None:
    vehicle = ground.make("Vehicle")
    response = steward.ask(method, one_of("Vehicle", vehicle), UNSOUND, **precondition)
    assert faults(response) == {"/name": "too_short", "/length_mm": "too_small"}


def record_changed_by(request: Request) -> str:
    """Return the address at which what a request changes is read."""
    return request.path.removesuffix("/mapping").removesuffix("/sheet")


@at_each("operation_id", CONDITIONAL)
def test_a_change_without_a_version_is_refused_and_changes_nothing(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    read = record_changed_by(request)
    before = ground.steward.ask("GET", read)
    response = replace(request, headers={}).by(ground.steward)
    refusal(response, 428, "precondition_required")
    assert ground.steward.ask("GET", read).content == before.content


@at_each("operation_id", CONDITIONAL)
def test_a_change_of_a_version_that_is_gone_is_refused_and_changes_nothing(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    read = record_changed_by(request)
    before = ground.steward.ask("GET", read)
    response = replace(request, headers={"if_match": '"v999"'}).by(ground.steward)
    refusal(response, 412, "stale")
    after = ground.steward.ask("GET", read)
    assert (after.content, after.headers["etag"]) == (
        before.content,
        before.headers["etag"],
    )


def test_which_version_is_said_before_who_leans_on_it(
    steward: Caller, ground: Ground
) -> None:
    vehicle = ground.make("Vehicle", name="Brake van")
    ground.make("Train", name="Night goods", vehicles=[{"vehicle_id": vehicle["id"]}])
    path = one_of("Vehicle", vehicle)
    refusal(steward.ask("DELETE", path), 428, "precondition_required")
    refusal(steward.ask("DELETE", path, if_match='"v2"'), 412, "stale")
    assert (
        "Night goods"
        in refusal(
            steward.ask("DELETE", path, if_match=steward.tag(path)), 409, "in_use"
        )["detail"]
    )
    assert steward.ask("GET", path).status_code == 200


def test_who_leans_on_it_is_named_in_the_order_in_which_they_came(
    steward: Caller, ground: Ground
) -> None:
    kind = ground.make("CouplingType", name="Staple hook")
    coupled: dict[str, Any] = {"front_coupling": {"type": "Staple hook"}}
    vehicles = [
        ground.make("Vehicle", name=name, **coupled)
        for name in ("Salt van", "Ore wagon", "Brake van")
    ]
    assert (
        steward.ask(
            "PATCH", one_of("Vehicle", vehicles[0]), {"mass_g": 40}, if_match="*"
        ).status_code
        == 200
    )
    refused = steward.ask("DELETE", one_of("CouplingType", kind), if_match="*")
    detail = refusal(refused, 409, "in_use")["detail"]
    assert (
        "the vehicle Salt van, the vehicle Ore wagon and the vehicle Brake van"
        in detail
    )


def test_the_form_is_looked_at_before_the_body(steward: Caller) -> None:
    refusal(
        steward.send("POST", "/v1/vehicles", NONSENSE, content_type="text/plain"),
        415,
        "unsupported_media_type",
    )
    refusal(steward.send("POST", "/v1/vehicles", NONSENSE), 400, "malformed")
