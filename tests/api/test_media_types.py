"""JSON goes in and JSON comes out; anything else is refused, with nothing written."""

from dataclasses import replace

import pytest

from api.asking import Caller, refusal
from api.ground import BY_SESSION, OPERATIONS, WITH_BODY, Ground
from support.walks import at_each

SOUND = b'{"name": "Ore wagon"}'
REFUSED = [
    "text/plain",
    "application/x-www-form-urlencoded",
    "multipart/form-data; boundary=x",
    "application/xml",
    "application/jsonp",
    "application/problem+json",
    "application/json; charset=latin-1",
    "application/json; charset=utf-16",
    'application/json; charset="iso-8859-1"',
    "application/json, text/plain",
    "*/*",
    "json",
    "",
]


@pytest.mark.parametrize("content_type", REFUSED)
def test_what_is_not_json_is_refused_and_nothing_is_written(
    steward: Caller, content_type: str
) -> None:
    response = steward.send("POST", "/v1/vehicles", SOUND, content_type=content_type)
    assert (
        "application/json" in refusal(response, 415, "unsupported_media_type")["detail"]
    )
    assert steward.read("/v1/vehicles")["items"] == []


@pytest.mark.parametrize("encoding", ["gzip", "br", "identity, gzip", "x"])
def test_a_body_that_is_packed_is_refused_and_nothing_is_written(
    steward: Caller, encoding: str
) -> None:
    response = steward.send(
        "POST",
        "/v1/vehicles",
        SOUND,
        content_type="application/json",
        **{"content-encoding": encoding},
    )
    assert encoding in refusal(response, 415, "unsupported_media_type")["detail"]
    assert (
        response.headers["accept-encoding"] == "identity"
    )  # RFC 9110, section 15.5.16
    assert steward.read("/v1/vehicles")["items"] == []


@pytest.mark.parametrize("encoding", ["", "identity", "Identity"])
def test_a_body_that_says_it_is_not_packed_is_taken(
    steward: Caller, encoding: str
) -> None:
    sent = {"content-type": "application/json", "content-encoding": encoding}
    assert steward.send("POST", "/v1/vehicles", SOUND, **sent).status_code == 201


@at_each("operation_id", WITH_BODY, halved=True)
def test_every_operation_with_a_body_wants_to_be_told_that_it_is_json(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    token = {"authorization": f"Bearer {ground.steward.token}"}
    response = ground.steward.http.request(
        request.method, request.path, content=b"{}", headers=token
    )
    refusal(response, 415, "unsupported_media_type")


@pytest.mark.parametrize(
    "content_type",
    [
        "application/json",
        "Application/JSON",
        "application/json; charset=utf-8",
        'application/json;charset="UTF-8"',
        "application/json; charset=utf8; q=1",
    ],
)
def test_json_is_taken_however_its_name_is_written(
    steward: Caller, content_type: str
) -> None:
    assert (
        steward.send(
            "POST", "/v1/vehicles", SOUND, content_type=content_type
        ).status_code
        == 201
    )


@at_each(
    "operation_id",
    [one for one in WITH_BODY if OPERATIONS[one].takes.patch_of is not None],
    halved=True,
)
@pytest.mark.parametrize(
    "content_type", ["application/merge-patch+json", "application/json"]
)
def test_a_patch_is_taken_as_a_merge_patch_or_as_json(
    ground: Ground, operation_id: str, content_type: str
) -> None:
    request = ground.request(operation_id)
    response = ground.steward.send(
        "PATCH", request.path, b"{}", content_type=content_type, if_match="*"
    )
    assert response.status_code == 200


@at_each(
    "operation_id",
    [one for one in WITH_BODY if OPERATIONS[one].takes.patch_of is None],
    halved=True,
)
def test_only_a_patch_is_taken_as_a_merge_patch(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    merge_patch = request.headers | {"content_type": "application/merge-patch+json"}
    response = ground.steward.send(request.method, request.path, b"{}", **merge_patch)
    refusal(response, 415, "unsupported_media_type")


@pytest.mark.parametrize(
    "accept",
    [
        "text/html",
        "application/xml, text/plain",
        "application/json;q=0",
        "application/json; q=0.000",
        "application/json;q=0, */*",
        "image/*",
        "nonsense",
    ],
)
def test_who_takes_no_json_is_told_what_there_is(steward: Caller, accept: str) -> None:
    response = steward.ask("GET", "/v1/club", accept=accept)
    assert "application/json" in refusal(response, 406, "not_acceptable")["detail"]


@at_each("operation_id", sorted(set(OPERATIONS) - set(BY_SESSION)), halved=True)
def test_no_operation_answers_but_in_json(ground: Ground, operation_id: str) -> None:
    request = ground.request(operation_id)
    response = replace(request, headers={"accept": "text/html", **request.headers}).by(
        ground.steward
    )
    refusal(response, 406, "not_acceptable")


@pytest.mark.parametrize(
    "accept",
    [
        "application/json",
        "*/*",
        "application/*",
        "APPLICATION/JSON",
        "text/html, application/json;q=0.1",
        "text/html,*/*;q=0.8",
        "application/json, */*;q=0",
        "application/json;q=0.001",
        "",
        " , ",
    ],
)
def test_who_takes_json_among_others_is_sent_json(steward: Caller, accept: str) -> None:
    response = steward.ask("GET", "/v1/club", accept=accept)
    assert (response.status_code, response.headers["content-type"]) == (
        200,
        "application/json",
    )


def test_a_request_that_is_refused_for_its_accept_writes_nothing(
    steward: Caller,
) -> None:
    refusal(
        steward.ask("POST", "/v1/vehicles", {"name": "Ore wagon"}, accept="text/html"),
        406,
        "not_acceptable",
    )
    assert steward.read("/v1/vehicles")["items"] == []
