"""Nothing that somebody sends stands in anything that the service writes, whatever
becomes of the request.

The service runs as its users run it; what it writes to standard output and standard
error goes into one file. Every operation is asked with a canary in every header, in the
query, in the path and in every text of the body: first of a sound service, then of one
whose every operation fails and quotes all that it was asked in its error.

``STANDAGE_REDACTION=whole`` asks each operation in every way; without it each is asked
in two of them, in turn.
"""

import json
import os
import shutil
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from api.asking import PASSPHRASE, Caller
from api.ground import OPERATIONS, Ground, Request
from contract.serving import Service, environment, serving
from support.patience import PATIENCE_S

CANARY = "canary7391"
WHOLE = os.environ.get("STANDAGE_REDACTION") == "whole"
PLUGGED_IN = Path(__file__).with_name("failing_everywhere.py")
CONTACT = f"{CANARY} the hut by the weir"


def headers() -> dict[str, str]:
    """Return a canary in every header that a caller may think of, those that are
    listened to included.
    """
    names = (
        "cookie",
        "user-agent",
        "referer",
        "x-forwarded-for",
        "x-request-id",
        "x-anything",
        "idempotency-key",
    )
    return {
        name: f"{CANARY}-{number}"
        for number, name in enumerate((*names, "if-none-match", "forwarded", "from"))
    }


def marked(value: Any) -> Any:
    """Return a body with a canary in place of every text."""
    if isinstance(value, dict):
        return {name: marked(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [marked(inner) for inner in value]
    return f"{CANARY} text" if isinstance(value, str) else value


def named(value: Any) -> Any:
    """Return a sound body that is called after the canary, so that it is let
    through.
    """
    if not isinstance(value, dict):
        return value
    texts = {
        name: f"{CANARY} {value[name]}" for name in ("name", "label") if name in value
    }
    return value | texts


def soon() -> str:
    return (datetime.now(UTC) + timedelta(days=2)).isoformat()


def steward_of(service: Service, http: httpx.Client) -> Caller:
    steward = Caller(http=http, token=service.token, club_id=service.club_id)
    return replace(
        steward, member_id=steward.read("/v1/tokens")["items"][0]["member_id"]
    )


def ways(caller: Caller, request: Request) -> list[Callable[[], httpx.Response]]:
    """Return the ways to ask an operation: let through, refused for its body, query,
    syntax or path, and by nobody.
    """
    own = headers() | {
        name.replace("_", "-"): value for name, value in request.headers.items()
    }
    marker = replace(caller, headers=own)
    path = request.path.partition("?")[0]
    return [
        lambda: replace(request, body=named(request.body)).by(marker),
        lambda: replace(request, body=marked(request.body)).by(marker),
        lambda: replace(request, path=f"{path}?{CANARY}=1&name_begins={CANARY}").by(
            marker
        ),
        lambda: marker.send(request.method, path, f'{{"{CANARY}": '.encode()),
        lambda: marker.ask(request.method, f"{path}/{CANARY}"),
        lambda: replace(marker, token=f"stg_{CANARY}{'x' * 30}").ask(
            request.method, path
        ),
    ]


def asked(caller: Caller, requests: list[Request]) -> set[int]:
    """Ask all, each first so that it is let through where it may be; return the
    statuses that came back.
    """
    statuses = set()
    for number, request in enumerate(requests):
        first, *others = ways(caller, request)
        chosen = others if WHOLE else [others[number % len(others)]]
        statuses |= {way().status_code for way in (first, *chosen)}
    return statuses


def walk(ground: Ground) -> tuple[list[Request], set[str], set[int]]:
    """Ask every operation of a sound service; return the requests, the secrets that
    there are, and the statuses.
    """
    steward = ground.steward
    steward.made("/v1/members", {"name": f"{CANARY} Tansy", "contact": CONTACT})
    guest, _ = ground.session_of(ground.make("Member")["id"])
    visitor = steward.visiting(ground.make("Layout")["id"], expires_at=soon())
    requests = [ground.request(name) for name in OPERATIONS]
    statuses = asked(steward, requests)
    wrong = {
        "club_id": steward.club_id,
        "sign_in_name": CANARY,
        "passphrase": f"{CANARY} and more words",
    }
    for path in ("/v1/sessions", "/v1/invitations/accept"):
        statuses.add(
            steward.ask(
                "POST", path, wrong | {"invitation": f"sti_{CANARY}{'x' * 30}"}
            ).status_code
        )
        statuses.add(steward.ask("POST", path, wrong).status_code)
    secrets = {
        one for one in (steward.token, guest.token, visitor.token) if one is not None
    }
    return requests, {*secrets, PASSPHRASE, CANARY}, statuses


def leaked(log: str, secrets: set[str]) -> dict[str, list[str]]:
    """Return the lines of a log in which something secret stands."""
    found = {
        secret: [line for line in log.splitlines() if secret in line][:3]
        for secret in secrets
    }
    return {secret: lines for secret, lines in found.items() if lines}


def failing(env: Mapping[str, str], folder: Path) -> dict[str, str]:
    """Return the environment of a service whose every operation fails."""
    shutil.copy(PLUGGED_IN, folder / "sitecustomize.py")
    return {**env, "PYTHONPATH": f"{folder}{os.pathsep}{env['PYTHONPATH']}"}


@pytest.mark.long
def test_nothing_that_was_sent_is_written_anywhere(tmp_path: Path) -> None:
    sound, broken = tmp_path / "sound", tmp_path / "broken"
    sound.mkdir()
    broken.mkdir()
    env = environment(f"sqlite:///{tmp_path / 'standage.sqlite3'}")
    with (
        serving(folder=sound, env=env) as service,
        httpx.Client(base_url=service.url, timeout=PATIENCE_S) as http,
    ):
        requests, secrets, statuses = walk(
            Ground(steward_of(service, http), ends=soon())
        )
    assert statuses >= {200, 201, 204, 400, 401, 404, 405, 422}
    log = (sound / "serve.log").read_text()
    assert leaked(log, secrets) == {}
    told = [json.loads(line) for line in log.splitlines() if line.startswith("{")]
    assert len([line for line in told if "route" in line]) >= 2 * len(requests)
    with (
        serving(folder=broken, env=failing(env, broken)) as other,
        httpx.Client(base_url=other.url, timeout=PATIENCE_S) as http,
    ):
        statuses = asked(
            Caller(http=http, token=service.token, club_id=service.club_id), requests
        )
    log = (broken / "serve.log").read_text()
    assert 500 in statuses
    assert log.count("RuntimeError") > len(requests) / 2, (
        "the errors were not even logged"
    )
    assert leaked(log, secrets) == {}
