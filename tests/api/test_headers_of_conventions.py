"""Headers by convention: whose request it was, how many are left, who may ask from
afar.
"""

import asyncio
from typing import Any

import pytest

from api.asking import Caller, Service
from standage.api.web.limits import Limits
from standage.api.web.outermost_layer import Addresses, CrossOrigin, Outer, Way
from standage.settings import BadSetting, settings_from

OWN = "0196a2b4-0000-7000-8000-000000000001"
TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"  # W3C Trace Context, section 3.2.4
PARENT = f"00-{TRACE}-00f067aa0ba902b7-01"


@pytest.mark.parametrize(
    ("headers", "told"),
    [
        ({"x_request_id": OWN}, OWN),
        ({"x_request_id": TRACE}, TRACE),
        ({"traceparent": PARENT}, TRACE),
        ({"x_request_id": OWN, "traceparent": PARENT}, OWN),
    ],
)
def test_a_request_keeps_the_id_that_it_brings(
    service: Service, headers: dict[str, str], told: str
) -> None:
    answer = service.stranger().ask("GET", "/v1/club", **headers)
    assert answer.headers["x-request-id"] == answer.json()["request_id"] == told


@pytest.mark.parametrize(
    "headers",
    [
        {"x_request_id": "Kit was here"},
        {"x_request_id": "a" * 5000},
        {"traceparent": f"ff-{TRACE}-00f067aa0ba902b7-01"},
        {"traceparent": f"00-{'0' * 32}-00f067aa0ba902b7-01"},
    ],
)
def test_what_is_no_id_is_passed_over(
    service: Service, headers: dict[str, str]
) -> None:
    answer = service.stranger().ask("GET", "/v1/club", **headers)
    own = answer.headers["x-request-id"]
    assert len(own) == 32
    assert own not in {TRACE, "0" * 32, "a" * 32}


def test_an_address_says_in_which_forms_some_fields_are_changed(
    steward: Caller,
) -> None:
    forms = "application/merge-patch+json, application/json"
    made = steward.ask("POST", "/v1/vehicles", {"name": "Tank wagon"})
    path = f"/v1/vehicles/{made.json()['id']}"
    assert steward.ask("OPTIONS", path).headers["accept-patch"] == forms
    refused = steward.send("PATCH", path, b"a", content_type="text/plain", if_match="*")
    assert (refused.status_code, refused.headers["accept-patch"]) == (415, forms)
    assert "accept-patch" not in steward.ask("OPTIONS", "/v1/vehicles").headers


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_file_is_had_by_who_takes_problems_alone(steward: Caller, form: str) -> None:
    answer = steward.ask(
        "GET", f"/v1/stock-list.{form}", accept="application/problem+json"
    )
    assert answer.status_code == 200


def test_a_list_as_csv_says_in_which_characters_it_is(steward: Caller) -> None:
    answer = steward.ask("GET", "/v1/stock-list.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"


def test_an_answer_says_how_many_requests_are_left() -> None:
    limits = Limits(lambda: 0.0)
    first, second = limits.take("Kit", "write"), limits.take("Kit", "write")
    # 300 a minute: one comes back in 0.2 s, so that both are back within the second.
    assert first == [
        (b"ratelimit-policy", b'"write";q=300;w=60'),
        (b"ratelimit", b'"write";r=299;t=1'),
    ]
    assert second[1] == (b"ratelimit", b'"write";r=298;t=1')


HERE = "https://club.example"


def answered(method: str, origins: list[str], **headers: str) -> dict[str, str]:
    """Return the headers of one answer, those of one name joined."""
    told: dict[str, str] = {}

    async def inner(_scope: Any, _receive: Any, send: Any) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"", "more_body": False})

    async def receive() -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Any) -> None:
        for name, value in message.get("headers", []):
            known = told.get(name.decode())
            told[name.decode()] = ", ".join(filter(None, [known, value.decode()]))

    raw = [(name.replace("_", "-").encode(), v.encode()) for name, v in headers.items()]
    scope: Any = {
        "type": "http",
        "method": method,
        "path": "/here",
        "query_string": b"",
        "headers": [(b"host", b"here"), *raw],
    }
    outer = Outer(inner, Addresses({"/here": {"GET": Way(None, 10)}}))
    outer.cross_origin = CrossOrigin(origins)
    asyncio.run(outer(scope, receive, send))
    return told


def test_nobody_asks_from_another_site_unless_set() -> None:
    told = answered("GET", [], origin=HERE)
    assert [name for name in told if name.startswith("access-control")] == []


def test_a_site_that_is_listed_may_ask_and_no_other() -> None:
    told = answered("GET", [HERE], origin=HERE)
    assert told["access-control-allow-origin"] == HERE
    assert "ETag" in told["access-control-expose-headers"]
    other = answered("GET", [HERE], origin=f"{HERE}.evil.example")
    assert "access-control-allow-origin" not in other
    assert told["vary"] == other["vary"] == "Origin"


def test_a_browser_that_asks_beforehand_is_told_what_may_be_sent() -> None:
    asked = {"origin": HERE, "access_control_request_method": "GET"}
    told = answered("OPTIONS", [HERE], **asked)
    assert told["access-control-allow-methods"] == told["allow"] == "GET, HEAD, OPTIONS"
    assert "Authorization" in told["access-control-allow-headers"]
    assert "access-control-allow-methods" not in answered("OPTIONS", [], **asked)


def test_origins_are_listed_as_browsers_write_them() -> None:
    told = settings_from({"STANDAGE_CORS_ORIGINS": f"{HERE}, http://[::1]:8080"})
    assert told.cors_origins == (HERE, "http://[::1]:8080")


@pytest.mark.parametrize("text", ["*", "https://club.example/", "club.example", "null"])
def test_what_is_no_origin_is_named(text: str) -> None:
    with pytest.raises(BadSetting, match="STANDAGE_CORS_ORIGINS"):
        settings_from({"STANDAGE_CORS_ORIGINS": text})
