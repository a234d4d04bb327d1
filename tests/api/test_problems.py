"""Every refusal is a problem (RFC 9457) that leads to a page, and says nothing of the
service's inside.
"""

import logging
import re

import pytest
from sqlalchemy import text

from api.asking import NOBODY, Caller, Clock, Service, faults, refusal, serving
from api.ground import Ground, one_of
from standage.api.web.problems import SORTS, render
from standage.registry.database.engine import Database
from standage.registry.database.migrate import migrate
from standage.shapes.refusals import Busy, KeyInProgress, Unready

STATUSES = {
    "malformed": 400,
    "unauthenticated": 401,
    "forbidden": 403,
    "not_found": 404,
    "method_not_allowed": 405,
    "not_acceptable": 406,
    "in_use": 409,
    "already_shown": 409,
    "idempotency_key_in_progress": 409,
    "stale": 412,
    "too_large": 413,
    "unsupported_media_type": 415,
    "invalid": 422,
    "idempotency_key_reused": 422,
    "precondition_required": 428,
    "too_many_requests": 429,
    "internal": 500,
    "busy": 503,
    "unready": 503,
}
"""**Source** RFC 9110 and RFC 6585 for the statuses; the IETF draft on Idempotency-Key
for its 409 and 422.
"""
INSIDE = re.compile(
    r"traceback|\.py\b|sqlalchemy|psycopg|sqlite|postgres|select |insert"
    r" |/(?:home|opt|tmp|usr|var)/|litestar",
    re.IGNORECASE,
)


def test_every_sort_of_problem_has_its_status() -> None:
    assert {code: SORTS[code].status for code in STATUSES} == STATUSES


@pytest.mark.parametrize("code", sorted(SORTS))
def test_the_type_of_a_problem_leads_to_a_page_about_it(
    service: Service, code: str
) -> None:
    page = service.stranger().ask("GET", SORTS[code].path)
    assert (page.status_code, page.headers["content-type"]) == (
        200,
        "text/html; charset=utf-8",
    )
    assert f"<h1>{SORTS[code].title}</h1>" in page.text.replace("&#x27;", "'")
    assert SORTS[code].path in service.stranger().ask("GET", "/problems").text


@pytest.mark.parametrize("code", sorted(SORTS))
def test_a_problem_is_told_in_plain_words(code: str) -> None:
    words = f"{SORTS[code].title} {SORTS[code].advice}"
    assert not re.search(
        r"\b(exception|deserial|payload|entity|schema|null"
        r" pointer|port|fragment|graph)\b",
        words,
        re.IGNORECASE,
    )
    assert SORTS[code].advice.endswith(".")
    assert not SORTS[code].title.endswith(".")


@pytest.mark.parametrize(
    ("error", "status", "wait"),
    [
        (Busy("busy"), 503, "1"),
        (Unready("not now"), 503, "30"),
        (KeyInProgress("wait"), 409, "1"),
    ],
)
def test_what_may_go_through_later_says_when_to_ask_again(
    error: Exception, status: int, wait: str
) -> None:
    rendered = render(error, path="/v1/vehicles", request_id="r")
    assert (rendered.status, dict(rendered.headers)["retry-after"]) == (status, wait)


class DriverError(Exception):
    """What a library raises, with a code that happens to be that of a problem."""

    code = "not_found"


def test_an_error_that_is_no_refusal_is_the_services_own_whatever_code_it_carries() -> (
    None
):
    rendered = render(DriverError("SELECT secret"), path="/v1/vehicles", request_id="r")
    assert rendered.status == 500
    assert b"secret" not in rendered.body


def test_no_refusal_says_anything_of_the_inside(
    ground: Ground, service: Service
) -> None:
    steward, stranger = ground.steward, service.stranger()
    path = f"/v1/vehicles/{ground.make('Vehicle')['id']}"
    refused = [
        stranger.ask("GET", "/v1/club"),
        steward.ask("GET", "/nowhere"),
        steward.ask("GET", f"/v1/vehicles/{NOBODY}"),
        steward.ask("DELETE", "/v1/club"),
        steward.ask("GET", "/v1/club", accept="text/html"),
        steward.ask("PATCH", path, {}),
        steward.ask("PATCH", path, {}, if_match='"v9"'),
        steward.ask("POST", "/v1/vehicles", {"name": 1}),
        steward.send("POST", "/v1/vehicles", b"{"),
        steward.send("POST", "/v1/vehicles", b"[" * 200_000),
        steward.send("POST", "/v1/vehicles", b"1" * 5000),
        steward.send("POST", "/v1/vehicles", b"x" * 300_000),
        steward.send("POST", "/v1/vehicles", b"{}", content_type="text/plain"),
    ]
    for response in refused:
        code = response.json()["type"].removeprefix("/problems/").replace("-", "_")
        problem = refusal(response, STATUSES[code], code)
        assert response.headers["cache-control"] == "no-store"
        assert problem["title"] == SORTS[code].title
        assert not problem["detail"][0].islower()
        assert problem["detail"].endswith(".")
        assert not INSIDE.search(response.text), response.text
    assert {response.status_code for response in refused} >= {
        400,
        401,
        404,
        405,
        406,
        412,
        413,
        415,
        422,
        428,
    }


def test_a_failure_says_nothing_of_its_cause_and_is_logged_without_what_was_sent(
    bare_database: Database, caplog: pytest.LogCaptureFixture
) -> None:
    migrate(bare_database)
    with serving(bare_database, Clock()) as service:
        steward = service.club()
        with bare_database.write() as connection:
            connection.execute(text("DROP TABLE history"))
        caplog.set_level(logging.DEBUG)
        body = {"name": "Hazel Marsh", "contact": "hazel at the signal box"}
        response = steward.ask("POST", "/v1/members", body)
    problem = refusal(response, 500, "internal")
    assert problem["detail"] == "Something went wrong inside the service."
    assert not INSIDE.search(response.text)
    record = next(
        record for record in caplog.records if record.levelno == logging.ERROR
    )
    assert problem["request_id"] in record.getMessage()
    assert record.exc_info is not None
    assert "signal box" not in caplog.text
    assert "Hazel" not in caplog.text
    assert steward.token is not None
    assert steward.token not in caplog.text


def test_a_failure_leaves_nothing_behind(bare_database: Database) -> None:
    migrate(bare_database)
    with serving(bare_database, Clock()) as service:
        steward = service.club()
        with bare_database.write() as connection:
            connection.execute(text("ALTER TABLE history RENAME TO mislaid"))
        refusal(
            steward.ask(
                "POST", "/v1/vehicles", {"name": "Ore wagon"}, idempotency_key="k"
            ),
            500,
            "internal",
        )
        with bare_database.write() as connection:
            connection.execute(text("ALTER TABLE mislaid RENAME TO history"))
        assert steward.read("/v1/vehicles")["items"] == []
        assert (
            steward.ask(
                "POST", "/v1/vehicles", {"name": "Ore wagon"}, idempotency_key="k"
            ).status_code
            == 201
        )


def test_ordinary_refusals_are_not_logged_as_failures(
    steward: Caller, caplog: pytest.LogCaptureFixture
) -> None:
    assert faults(steward.ask("POST", "/v1/vehicles", {"name": ""})) == {
        "/name": "too_short"
    }
    assert [
        record for record in caplog.records if record.levelno >= logging.ERROR
    ] == []


def test_a_database_that_lacks_a_table_is_said_to_be_so(
    bare_database: Database,
) -> None:
    migrate(bare_database)
    with serving(bare_database, Clock()) as service:
        assert service.stranger().ask("GET", "/health/ready").json() == {
            "status": "ready",
            "writable": True,
        }
    with bare_database.write() as connection:
        connection.execute(text("DROP TABLE history"))
    with serving(bare_database, Clock()) as service:
        stranger = service.stranger()
        assert stranger.ask("GET", "/health/live").json() == {"status": "alive"}
        for path in ("/health/ready", "/v1/club"):
            response = stranger.ask("GET", path)
            assert "history" in refusal(response, 503, "unready")["detail"]
            assert response.headers["retry-after"] == "30"


def test_only_what_was_to_change_something_is_said_to_have_changed_nothing(
    ground: Ground,
) -> None:
    steward = ground.steward
    asked = [
        *(
            steward.ask("POST", f"/v1/checks/{name}", {})
            for name in ("train-fit", "curve", "shunting-plan/drawing")
        ),
        steward.ask("GET", "/v1/vehicles?limit=0"),
        steward.ask("GET", "/v1/lengths"),
        steward.ask(
            "POST",
            "/v1/checks/train-fit",
            {"train": "Nobody knows", "place": "Nowhere"},
        ),
    ]
    for answer in asked:
        assert "changed" not in refusal(answer, 422, "invalid")["detail"]
    path = one_of("Vehicle", ground.make("Vehicle"))
    changing = [
        steward.ask("POST", "/v1/vehicles", {}),
        steward.ask("PATCH", path, {"mass_g": -1}, if_match="*"),
        steward.ask("POST", "/v1/sessions", {}),
    ]
    for answer in changing:
        assert refusal(answer, 422, "invalid")["detail"].endswith(
            "cannot be right; nothing was changed."
        )
