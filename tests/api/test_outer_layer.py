"""What every answer has whatever it is of: HEAD, OPTIONS, Allow, bounds, request ids,
security headers.
"""

import asyncio
from collections.abc import Iterator
from typing import Any

import pytest
from litestar.types import Receive, Scope, Send

from api.asking import NOBODY, Caller, Service, refusal
from api.ground import GETS, OPERATIONS, SENT, WITH_BODY, Ground
from standage.api.web.outermost_layer import Addresses, Outer, Way
from standage.api.web.pages_for_people import PATHS
from standage.app import operations
from support.walks import at_each

BY_PATH: dict[str, set[str]] = {}
for one in operations():
    BY_PATH.setdefault(one.path, set()).add(one.method)
METHODS = {"GET", "POST", "PUT", "PATCH", "DELETE"}
RECORD_BYTES = 256 * 1024
"""The largest body of a record or a check. **Source** the service's own decision, as
the document says.
"""


def at(path: str) -> str:
    return "/".join(
        NOBODY if part.startswith("{") else part for part in path.split("/")
    )


@at_each("operation_id", GETS, halved=True)
def test_head_answers_as_get_does_but_without_the_body(
    ground: Ground, operation_id: str
) -> None:
    path = ground.request(operation_id).path
    got, head = ground.steward.ask("GET", path), ground.steward.ask("HEAD", path)
    assert (head.status_code, head.content) == (200, b"")
    apart = {"x-request-id"}
    assert {k: v for k, v in head.headers.items() if k not in apart} == {
        k: v for k, v in got.headers.items() if k not in apart
    }
    assert int(head.headers["content-length"]) == len(got.content) > 0
    assert (
        ground.steward.ask("HEAD", path, if_none_match=got.headers["etag"]).status_code
        == 304
    )


@pytest.mark.parametrize("path", [*PATHS, "/health/live", "/health/ready"])
def test_head_answers_wherever_get_does_without_a_token(
    service: Service, path: str
) -> None:
    got, head = (
        service.stranger().ask("GET", path),
        service.stranger().ask("HEAD", path),
    )
    assert (got.status_code, head.status_code, head.content) == (200, 200, b"")
    assert head.headers["content-type"] == got.headers["content-type"]


@pytest.mark.parametrize(
    ("path", "status"),
    [("/nowhere", 404), ("/v1/club", 401), ("/v1/checks/curve", 405)],
)
def test_head_of_a_refusal_has_its_status_and_no_body(
    service: Service, path: str, status: int
) -> None:
    response = service.stranger().ask("HEAD", path)
    assert (response.status_code, response.content) == (status, b"")


@at_each("path", sorted(BY_PATH), halved=True)
def test_options_lists_what_an_address_knows_to_anybody(
    service: Service, path: str
) -> None:
    response = service.stranger().ask("OPTIONS", at(path))
    assert (response.status_code, response.content) == (204, b"")
    head = {"HEAD"} if "GET" in BY_PATH[path] else set()
    assert set(response.headers["allow"].split(", ")) == BY_PATH[path] | head | {
        "OPTIONS"
    }


@at_each("path", sorted(BY_PATH), halved=True)
def test_a_method_that_an_address_does_not_know_is_told_which_it_knows(
    service: Service, path: str
) -> None:
    known = service.stranger().ask("OPTIONS", at(path)).headers["allow"]
    for method in sorted((METHODS | {"TRACE", "PROPFIND", "QUERY"}) - BY_PATH[path]):
        response = service.stranger().ask(method, at(path))
        refusal(response, 405, "method_not_allowed")
        assert response.headers["allow"] == known


@pytest.mark.parametrize(
    "path",
    [
        "/nowhere",
        "/v1",
        "/v1/",
        "/v1/club/",
        "/v1//club",
        "/v1/vehicles/",
        f"/v1/vehicles/{NOBODY}/",
        f"/v1/vehicles/{NOBODY}/wheels",
        "/v2/club",
        "/V1/club",
        "/v1/Club",
        "/v1/vehicles/a%2Fb",
        "/v1/vehicles%2F",
        "/docs/",
        "/docs/assets/",
        "/docs/assets/index.html",
        "/docs/assets/..%2f..%2fsetup.py",
        "/problems/",
        "/problems/nonsense",
        "/problems/not_found",
        "/openapi.yaml",
        "/schema",
        "/schema/openapi.json",
    ],
)
def test_where_there_is_nothing_every_method_is_told_so(
    service: Service, steward: Caller, path: str
) -> None:
    for method in ("GET", "POST", "DELETE", "OPTIONS"):
        for caller in (service.stranger(), steward):
            refusal(caller.ask(method, path), 404, "not_found")


@at_each(
    "operation_id",
    [one for one in WITH_BODY if one not in {*SENT, "setPassphrase"}],
    halved=True,
)
def test_a_body_beyond_the_bound_is_refused_and_nothing_is_written(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    before = ground.steward.ask("GET", request.path)
    raw = b'{"name": "' + b"x" * OPERATIONS[operation_id].takes.most_bytes + b'"}'
    refusal(
        ground.steward.send(request.method, request.path, raw, **request.headers),
        413,
        "too_large",
    )
    assert ground.steward.ask("GET", request.path).content == before.content


def test_a_record_or_a_check_may_have_256_kilobytes(steward: Caller) -> None:
    fits = b'{"name": "Ore wagon"}'.ljust(RECORD_BYTES)
    assert steward.send("POST", "/v1/vehicles", fits).status_code == 201
    problem = refusal(
        steward.send("POST", "/v1/vehicles", fits + b" "), 413, "too_large"
    )
    assert "256 kB" in problem["detail"]


def test_a_body_of_no_declared_length_is_counted_as_it_comes(steward: Caller) -> None:
    def stream() -> Iterator[bytes]:
        for _ in range(40):
            yield b" " * 10_000

    headers = {
        "authorization": f"Bearer {steward.token}",
        "content-type": "application/json",
    }
    response = steward.http.request(
        "POST", "/v1/vehicles", content=stream(), headers=headers
    )
    refusal(response, 413, "too_large")


@pytest.mark.parametrize("length", ["9" * 30, "9" * 5000, str(RECORD_BYTES + 1)])
def test_a_declared_length_beyond_the_bound_is_refused_unread(
    steward: Caller, length: str
) -> None:
    refusal(
        steward.send("POST", "/v1/vehicles", b"{}", content_length=length),
        413,
        "too_large",
    )


def test_every_answer_has_a_request_id_of_its_own(
    service: Service, steward: Caller
) -> None:
    asked = [
        (steward, "/v1/club"),
        (steward, "/v1/nowhere"),
        (service.stranger(), "/docs"),
        (service.stranger(), "/"),
    ]
    ids = [
        caller.ask("GET", path).headers["x-request-id"] for caller, path in asked * 3
    ]
    assert len(set(ids)) == len(ids)


def test_a_request_id_is_the_services_own(steward: Caller) -> None:
    assert (
        steward.ask("GET", "/v1/club", x_request_id="chosen").headers["x-request-id"]
        != "chosen"
    )


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/v1/club"),
        ("OPTIONS", "/v1/club"),
        ("TRACE", "/v1/club"),
        ("GET", "/nowhere"),
        ("GET", "/health/live"),
        *(("GET", path) for path in PATHS),
    ],
)
def test_every_answer_shuts_out_what_a_browser_might_do(
    steward: Caller, method: str, path: str
) -> None:
    headers = steward.ask(method, path).headers
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["x-frame-options"] == "DENY"
    assert headers["cross-origin-resource-policy"] == "same-origin"
    policy = headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert "frame-ancestors 'none'" in policy
    assert not {"http:", "https:", "*", "'unsafe-eval'"} & set(policy.split())
    assert "server" not in headers
    assert "access-control-allow-origin" not in headers


def test_nothing_of_a_club_is_compressed(steward: Caller) -> None:
    response = steward.ask("GET", "/v1/vehicles", accept_encoding="gzip, br, deflate")
    assert "content-encoding" not in response.headers


def test_the_document_is_packed_for_who_takes_it_so_and_not_sent_twice(
    steward: Caller,
) -> None:
    packed = steward.ask("GET", "/openapi.json", accept_encoding="br, gzip")
    plain = steward.ask("GET", "/openapi.json", accept_encoding="gzip;q=0")
    assert (packed.headers["content-encoding"], packed.headers["vary"]) == (
        "gzip",
        "Accept-Encoding",
    )
    assert "content-encoding" not in plain.headers
    assert packed.content == plain.content
    assert int(packed.headers["content-length"]) < len(plain.content) / 5
    assert packed.headers["etag"] != plain.headers["etag"]
    for answer, taken in ((packed, "gzip"), (plain, "identity")):
        again = steward.ask(
            "GET",
            "/openapi.json",
            accept_encoding=taken,
            if_none_match=answer.headers["etag"],
        )
        assert (again.status_code, again.content) == (304, b"")


def test_headers_that_are_not_known_are_ignored(steward: Caller) -> None:
    assert (
        steward.ask(
            "GET", "/v1/club", x_bogus="1", cookie="a=b; c", range="bytes=0-3"
        ).status_code
        == 200
    )


def asked_of(inner: Any, *, receive: Receive | None = None) -> list[dict[str, Any]]:
    """Return the messages that leave the outer layer around ``inner``."""
    sent: list[dict[str, Any]] = []

    async def collect(message: Any) -> None:
        sent.append(message)

    async def whole() -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    headers = [(b"host", b"hall"), (b"content-length", b"7")]
    scope: Any = {
        "type": "http",
        "http_version": "1.1",
        "method": "GET",
        "path": "/here",
        "headers": headers,
    }
    asyncio.run(
        Outer(inner, Addresses({"/here": {"GET": Way(None, 10)}}))(
            scope, receive or whole, collect
        )
    )
    return sent


def test_a_failure_before_the_answer_began_is_a_problem() -> None:
    async def failing(_scope: Scope, _receive: Receive, _send: Send) -> None:
        raise ValueError("the secret cause")

    start, body = asked_of(failing)
    assert start["type"] == "http.response.start"
    assert start["status"] == 500
    assert b"secret" not in body["body"]


def test_a_failure_after_the_answer_began_begins_no_second_answer() -> None:
    async def failing(_scope: Scope, _receive: Receive, send: Send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        raise ValueError("too late")

    assert [message["type"] for message in asked_of(failing)] == ["http.response.start"]


def test_a_request_that_breaks_off_reaches_nobody() -> None:
    async def gone() -> Any:
        return {"type": "http.disconnect"}

    async def unreachable(_scope: Scope, _receive: Receive, _send: Send) -> None:
        raise AssertionError("half a request was served")

    start, _ = asked_of(unreachable, receive=gone)
    assert start["status"] == 400


def test_a_path_that_is_no_text_is_a_problem_like_any_other() -> None:
    sent: list[dict[str, Any]] = []

    async def collect(message: Any) -> None:
        sent.append(message)

    async def whole() -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def unreachable(_scope: Scope, _receive: Receive, _send: Send) -> None:
        raise AssertionError("there is nothing there")

    headers = [(b"host", b"hall")]
    scope: Any = {
        "type": "http",
        "http_version": "1.1",
        "method": "GET",
        "path": "/\udcff",
        "headers": headers,
    }
    asyncio.run(Outer(unreachable, Addresses({}))(scope, whole, collect))
    assert sent[0]["status"] == 404
