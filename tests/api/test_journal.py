"""The log: one line for each request and event, by which a fault is found, and in which
nobody's secret stands.
"""

import asyncio
import io
import json
import logging
import subprocess
import sys
from datetime import datetime
from operator import truediv
from typing import Any

import anyio
import pytest
from litestar.types import Receive, Scope, Send

from api.asking import NOBODY, PASSPHRASE, Caller, Service, signing_in
from api.ground import Ground
from standage.api.asking.pool import FailedError, Pool
from standage.api.web.journal import (
    FIELDS,
    METHODS,
    ElsewhereError,
    JsonLines,
    Lines,
    PlainLines,
    bare_traceback,
)
from standage.api.web.outermost_layer import Addresses, Outer, Way
from support.journal_lines import logged
from support.patience import PATIENCE_S

CANARY = "canary7Yq"
ALWAYS = {"time", "level", "logger", "event", "process"}


def record(
    message: str, *arguments: object, logger: str = "standage.app", **about: Any
) -> logging.LogRecord:
    made = logging.LogRecord(
        logger,
        logging.ERROR,
        "file.py",
        1,
        message,
        arguments,
        about.pop("exc_info", None),
    )
    for name, value in about.items():
        setattr(made, name, value)
    return made


def test_a_request_is_one_line_with_its_route_and_not_its_path(ground: Ground) -> None:
    vehicle = ground.make("Vehicle")
    with logged() as written:
        answer = ground.steward.ask("GET", f"/v1/vehicles/{vehicle['id']}")
    (line,) = written.lines("request")
    assert line["request_id"] == answer.headers["x-request-id"]
    assert line["club_id"] == ground.steward.club_id
    assert (line["method"], line["route"], line["operation"], line["status"]) == (
        *("GET", "/v1/vehicles/{vehicle_id}", "getVehicle"),
        200,
    )
    assert 0 < line["duration_ms"] < 60_000
    assert datetime.fromisoformat(line["time"]).tzinfo is not None
    assert line["time"].endswith("Z")
    assert vehicle["id"] not in written.text


@pytest.mark.parametrize(
    ("method", "path", "status", "told"),
    [
        ("GET", "/nowhere", 404, {"method": "GET"}),
        ("TRACE", "/v1/club", 405, {"method": "other", "route": "/v1/club"}),
        ("OPTIONS", "/v1/club", 204, {"method": "OPTIONS", "route": "/v1/club"}),
        (
            "HEAD",
            "/v1/club",
            401,
            {"method": "HEAD", "route": "/v1/club", "operation": "getClub"},
        ),
        ("GET", "/docs", 200, {"method": "GET", "route": "/docs", "operation": "page"}),
    ],
)
def test_what_reaches_no_operation_is_told_as_well(
    service: Service, method: str, path: str, status: int, told: dict[str, str]
) -> None:
    with logged() as written:
        service.stranger().ask(method, path)
    (line,) = written.lines("request")
    expected = {"status": status, **told}
    assert {name: line.get(name) for name in expected} == expected
    assert set(line) == ALWAYS | {"request_id", "duration_ms"} | set(expected)


def test_nothing_that_was_sent_is_in_the_log(ground: Ground, service: Service) -> None:
    """Each part of a request carries a word that must not come back, in requests that
    succeed and that do not.
    """
    steward, stranger = ground.steward, service.stranger()
    assert steward.token is not None
    with logged() as written:
        steward.made(
            "/v1/members", {"name": f"{CANARY} one", "contact": f"{CANARY} two"}
        )
        steward.made("/v1/vehicles", {"name": f"{CANARY} three"})
        steward.ask(
            "POST", "/v1/vehicles", {"name": 1, CANARY: CANARY}, idempotency_key=CANARY
        )
        steward.send("POST", "/v1/vehicles", f'{{"{CANARY}'.encode())
        steward.ask(
            "GET",
            f"/v1/vehicles?name={CANARY}&{CANARY}=1",
            user_agent=CANARY,
            cookie=CANARY,
        )
        steward.ask("GET", f"/v1/vehicles/{CANARY}", if_none_match=f'"{CANARY}"')
        steward.ask("GET", f"/{CANARY}", x_request_id=CANARY, x_forwarded_for=CANARY)
        steward.ask(CANARY, "/v1/club")
        stranger.ask("GET", "/v1/club", authorization=f"Bearer stg_{CANARY}")
    assert len(written.lines("request")) == 9
    assert CANARY not in written.text
    assert steward.token not in written.text
    assert all(set(line) <= ALWAYS | FIELDS for line in written.lines())
    assert {line["method"] for line in written.lines("request")} <= METHODS | {"other"}


def test_who_signs_in_is_told_by_the_club_and_who_cannot_by_nothing(
    sorrel: Caller,
) -> None:
    with logged() as written:
        answer = signing_in(sorrel)
        signing_in(sorrel, passphrase=f"{CANARY} but long enough")
    good, bad = written.lines("request")
    assert (answer.status_code, good["status"], good["club_id"]) == (
        201,
        201,
        sorrel.club_id,
    )
    assert bad["status"] == 401
    assert "club_id" not in bad
    assert not any(
        word in written.text
        for word in (CANARY, PASSPHRASE, "Sorrel", answer.json()["session"])
    )


def outer_around(inner: Any) -> list[dict[str, Any]]:
    sent: list[dict[str, Any]] = []

    async def collect(message: Any) -> None:
        sent.append(message)

    async def whole() -> Any:
        return {"type": "http.request", "body": b"", "more_body": False}

    headers = [(b"host", b"hall")]
    scope: Any = {
        "type": "http",
        "http_version": "1.1",
        "method": "GET",
        "path": "/here",
        "headers": headers,
    }
    asyncio.run(
        Outer(inner, Addresses({"/here": {"GET": Way(None, 10)}}))(
            scope, whole, collect
        )
    )
    return sent


async def failing(_scope: Scope, _receive: Receive, _send: Send) -> None:
    try:
        int(CANARY)
    except ValueError as error:
        raise RuntimeError(f"about {CANARY}") from error


def test_an_error_that_nobody_foresaw_is_logged_with_its_way_and_its_request_and_none_of_its_words() -> (
    None
):
    with logged() as written:
        start, body = outer_around(failing)
    request_id = dict(start["headers"])[b"x-request-id"].decode()
    (line,) = [line for line in written.lines() if line["level"] == "error"]
    assert line["request_id"] == request_id == json.loads(body["body"])["request_id"]
    assert "in failing" in line["traceback"]
    assert line["traceback"].index("ValueError") < line["traceback"].index(
        "RuntimeError"
    )
    assert line["traceback"].endswith("RuntimeError")
    assert CANARY not in json.dumps([*written.lines(), str(body)])
    (request,) = written.lines("request")
    assert (request["request_id"], request["status"], request["route"]) == (
        request_id,
        500,
        "/here",
    )


def test_an_error_in_the_pool_is_logged_with_its_way_there() -> None:
    pool = Pool()

    async def reckoning(_scope: Scope, _receive: Receive, _send: Send) -> None:
        await pool.run(truediv, 1, 0)

    with logged() as written:
        outer_around(reckoning)
    pool.close()
    (line,) = [line for line in written.lines() if line["level"] == "error"]
    assert "in another process: Traceback" in line["traceback"]
    assert "ZeroDivisionError" in line["traceback"]


def test_what_the_pool_says_of_an_error_holds_none_of_its_words() -> None:
    pool = Pool()
    with pytest.raises(FailedError) as failed:
        anyio.run(pool.run, int, CANARY)
    pool.close()
    assert "ValueError" in str(failed.value)
    assert CANARY not in str(failed.value)


def raised(error: Exception) -> Exception:
    try:
        raise error  # noqa: TRY301 - here it gets its traceback
    except Exception as caught:  # noqa: BLE001 - and is given back with it
        return caught


def test_errors_in_a_group_are_each_told() -> None:
    group = raised(
        ExceptionGroup(
            CANARY, [raised(KeyError(CANARY)), raised(ElsewhereError("the way there"))]
        )
    )
    told = bare_traceback(group)
    assert [
        name in told
        for name in ("ExceptionGroup", "KeyError", "ElsewhereError", "the way there")
    ] == [True] * 4
    assert CANARY not in told


def test_a_note_on_an_error_is_not_repeated() -> None:
    error = raised(ValueError())
    error.add_note(CANARY)
    assert CANARY not in bare_traceback(error)


def test_an_error_that_goes_round_in_a_circle_is_told_to_an_end() -> None:
    first, second = raised(ValueError()), raised(KeyError())
    first.__cause__, second.__cause__ = second, first
    assert 5 < bare_traceback(first).count("which led to:") < 20


def test_of_a_library_only_the_words_in_its_code_are_repeated() -> None:
    line = JsonLines().format(
        record("cannot use %r\nfuture: %s", CANARY, CANARY, logger="asyncio")
    )
    assert json.loads(line)["event"] == "cannot use %r"


def test_a_field_that_was_not_looked_at_is_left_out() -> None:
    line = JsonLines().format(
        record("started", told={"version": "1", "contact": CANARY})
    )
    assert json.loads(line)["version"] == "1"
    assert CANARY not in line


def test_plain_text_is_a_line_for_each_event_with_the_traceback_beneath() -> None:
    error = raised(ValueError(CANARY))
    about = record(
        "not ready: %s",
        "a\nb\x1b[31m",
        told={"status": 500},
        exc_info=(type(error), error, None),
    )
    first, *rest = PlainLines().format(about).splitlines()
    assert " ERROR not ready: a�b�[31m " in first
    assert first.endswith("status=500")
    assert rest[0].startswith("Traceback")
    assert rest[-1] == "ValueError"


class Shut(io.StringIO):
    """A stream that takes nothing any more."""

    def write(self, _text: str) -> int:
        raise OSError(28, "No space left on device")


def test_a_log_that_cannot_be_written_costs_no_answer_and_prints_nothing(
    capsys: pytest.CaptureFixture[str],
) -> None:
    Lines(Shut()).handle(record(CANARY))
    assert capsys.readouterr() == ("", "")


UNCAUGHT = """
import logging.config, threading
from standage.api.web import journal
logging.config.dictConfig(journal.configuration("json"))
journal.take_in_the_rest()
def fail():
    raise ValueError("canary7Yq")
thread = threading.Thread(target=fail)
thread.start()
thread.join()
fail()
"""


def test_an_error_that_leaves_a_thread_or_the_process_is_logged_like_any_other() -> (
    None
):
    ended = subprocess.run(
        [sys.executable, "-c", UNCAUGHT],
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )
    lines = [json.loads(line) for line in ended.stderr.splitlines()]
    assert [(line["level"], line["event"]) for line in lines] == [
        ("critical", "an error that nobody caught")
    ] * 2
    assert all("in fail" in line["traceback"] for line in lines)
    assert CANARY not in ended.stderr


EVENTS = """
import logging.config, sys
from standage.api.web import journal
logging.config.dictConfig(journal.configuration(sys.argv[1]))
logging.getLogger("standage.app").info("started")
logging.getLogger("_granian").info("listening")
logging.getLogger("standage.app").warning("not ready")
logging.getLogger("sqlalchemy.engine").info("SELECT")
"""


@pytest.mark.parametrize(
    ("form", "expected"),
    [
        ("json", ['"event":"started"', '"event":"listening"', '"event":"not ready"']),
        ("text", [" INFO started ", " INFO listening ", " WARNING not ready "]),
        ("quiet", [" WARNING not ready "]),
    ],
)
def test_the_log_has_the_form_that_was_chosen(form: str, expected: list[str]) -> None:
    ended = subprocess.run(
        [sys.executable, "-c", EVENTS, form],
        capture_output=True,
        text=True,
        check=True,
        timeout=PATIENCE_S,
    )
    lines = ended.stderr.splitlines()
    assert (ended.stdout, len(lines)) == ("", len(expected))
    assert [
        words for words, line in zip(expected, lines, strict=True) if words not in line
    ] == []


def test_a_refusal_is_a_request_like_any_other(steward: Caller) -> None:
    with logged() as written:
        steward.ask("GET", f"/v1/vehicles/{NOBODY}")
    (line,) = written.lines()
    assert (line["event"], line["level"], line["status"]) == ("request", "info", 404)
