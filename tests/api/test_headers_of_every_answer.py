"""What a browser or a cache is told with every answer of every operation, refusals of
all sorts included.
"""

import re
from base64 import b64encode
from hashlib import sha256

import httpx
import pytest

from api.asking import NOBODY, Caller, Service
from api.ground import BY_SESSION, OPERATIONS, Ground, absent
from standage.app import operations
from support.walks import half_at

CLOSED = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "x-frame-options": "DENY",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "x-robots-tag": "noindex, nofollow",
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
}


def closed(response: httpx.Response) -> dict[str, str]:
    """Return the headers of an answer: a drawing that says on what paper it prints has
    leave for that style, by its hash (CSP Level 3, section 2.3.1), and for no other.
    """
    styles = re.findall(rb"<style>(.*?)</style>", response.content)
    if response.headers.get("content-type") != "image/svg+xml" or not styles:
        return CLOSED
    (style,) = styles
    digest = b64encode(sha256(style).digest()).decode()
    policy = f"{CLOSED['content-security-policy']}; style-src 'sha256-{digest}'"
    return CLOSED | {"content-security-policy": policy}


def lacking(response: httpx.Response) -> list[str]:
    """Return what an answer does not say and must; a read that went through may be kept
    by its reader, no other is.
    """
    found = [
        name
        for name, value in closed(response).items()
        if response.headers.get(name) != value
    ]
    if not response.headers.get(
        "x-request-id"
    ):  # the document promises it once for all
        found.append("x-request-id")
    kept = response.request.method in {"GET", "HEAD"} and response.status_code in {
        200,
        304,
    }
    open_page = response.request.url.path.startswith("/health/")
    wanted = "private, no-cache" if kept and not open_page else "no-store"
    return (
        found
        if response.headers.get("cache-control") == wanted
        else [*found, "cache-control"]
    )


def test_every_answer_of_every_operation_is_closed_to_browsers_and_caches(
    service: Service, ground: Ground
) -> None:
    reader = ground.steward.with_token(scopes=["read"])
    stranger = Caller(http=ground.steward.http)
    lacks: dict[str, list[str]] = {}
    statuses = set()
    for name in half_at(service.database.dialect, OPERATIONS):
        operation = OPERATIONS[name]
        request = ground.request(name)
        caller = (
            ground.session_of(ground.steward.member_id)[0]
            if name in BY_SESSION
            else ground.steward
        )
        nowhere = absent([name]).get(name, "/v1/nowhere")
        answers = [
            request.by(stranger),
            request.by(reader),
            caller.ask(operation.method, nowhere, request.body, **request.headers),
            caller.send(
                operation.method,
                request.path.partition("?")[0],
                b"{",
                accept="image/gif",
            ),
            caller.send(
                operation.method, request.path.partition("?")[0] + "?bogus=1", b"{"
            ),
            caller.ask("PROPFIND", request.path),
            caller.ask("OPTIONS", request.path),
            request.by(caller),
        ]
        statuses |= {one.status_code for one in answers}
        for answer in answers:
            if wrong := lacking(answer):
                lacks[f"{name} {answer.status_code}"] = wrong
    assert lacks == {}
    assert statuses >= {200, 201, 204, 400, 401, 403, 404, 405, 406, 422}


@pytest.mark.parametrize(
    "path",
    ["/v1/sessions", "/v1/invitations/accept", "/nowhere", "/v1/checks/train-fit"],
)
def test_what_is_open_or_is_nothing_is_as_closed(service: Service, path: str) -> None:
    stranger = service.stranger()
    for answer in (
        stranger.ask("POST", path, {"club_id": NOBODY}),
        stranger.ask("GET", path),
    ):
        assert lacking(answer) == []


def test_a_drawing_that_the_reader_has_already_keeps_leave_for_its_style(
    ground: Ground,
) -> None:
    module = ground.make("Module")["id"]
    address = f"/v1/modules/{module}/plan"
    straight = {"kind": "straight", "length_mm": 300}
    ground.steward.ask("PUT", address, {"pieces": {"S": straight}}, if_none_match="*")
    path = f"{address}/drawing?drawing=pages"
    first = ground.steward.ask("GET", path)
    again = ground.steward.ask("GET", path, if_none_match=first.headers["etag"])
    assert (first.status_code, again.status_code) == (200, 304)
    name = "content-security-policy"
    assert "style-src 'sha256-" in first.headers[name]
    assert again.headers[name] == first.headers[name]


def test_the_open_operations_that_only_speak_are_as_closed(service: Service) -> None:
    for operation in operations():
        if operation.act.is_open and operation.method == "GET":
            assert lacking(service.stranger().ask("GET", operation.path)) == [], (
                operation.id
            )
