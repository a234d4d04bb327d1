"""A service in this process, its clock, and those who ask it."""

from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from threading import Event
from typing import Any
from urllib.parse import unquote

import httpx
import pytest
from litestar.testing import TestClient

from standage.api.asking.ask import Asker
from standage.api.asking.pool import Pool
from standage.app import create_app
from standage.registry.database.engine import Database
from standage.registry.people.clubs import found_club
from standage.registry.people.hashing import Hasher
from standage.settings import Settings
from support.clubs import NOW
from support.kept_workers import kept_worker
from support.one_crossing import OneCrossing
from support.patience import PATIENCE_S

NOBODY = "01932000-0000-7000-8000-00000000dead"
"""An id that no record has."""
WITHOUT_LIMITS = Settings(rate_limits="off")
QUICK = Hasher(memory_kib=8, passes=1)
"""Hashes in no time, for tests that are not about hashing."""
PASSPHRASE = "seven lamps on the quay"
_TRANSPORT = "litestar.testing.client.sync_client.TestClientTransport"


@dataclass
class Clock:
    """The service's clock, which stands still until it is moved."""

    now: datetime = NOW

    def __call__(self) -> datetime:
        return self.now

    def move(self, by: timedelta) -> None:
        self.now += by


@dataclass(frozen=True, kw_only=True)
class Caller:
    """Somebody who asks the service, with a token or without."""

    http: httpx.Client
    token: str | None = None
    club_id: str = ""
    member_id: str = ""
    headers: Mapping[str, str] = field(default_factory=dict)

    def ask(
        self, method: str, path: str, body: Any = None, **headers: str
    ) -> httpx.Response:
        """Send a request; a body is JSON, and ``if_match`` stands for If-Match and so
        on.
        """
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if body is not None:
            return self.http.request(
                method, path, json=body, headers={**self._own(), **sent}
            )
        return self.http.request(method, path, headers={**self._own(), **sent})

    def send(
        self, method: str, path: str, raw: bytes, **headers: str
    ) -> httpx.Response:
        """Send bytes as they are, as JSON unless ``content_type`` says otherwise."""
        sent = {"content-type": "application/json"} | {
            name.replace("_", "-"): value for name, value in headers.items()
        }
        return self.http.request(
            method, path, content=raw, headers={**self._own(), **sent}
        )

    def made(self, path: str, body: Any) -> dict[str, Any]:
        """Record something; return it as it came back."""
        response = self.ask("POST", path, body)
        assert response.status_code == 201, response.text
        answer: dict[str, Any] = response.json()
        return answer

    def read(self, path: str) -> dict[str, Any]:
        """Read something that is there."""
        response = self.ask("GET", path)
        assert response.status_code == 200, response.text
        answer: dict[str, Any] = response.json()
        return answer

    def tag(self, path: str) -> str:
        """Return the entity tag of what is there now."""
        return self.ask("GET", path).headers["etag"]

    def with_token(self, **about: Any) -> "Caller":
        """Return the holder of a new token, for this caller unless ``member_id`` says
        for whom.
        """
        body = {
            "label": "another token",
            "member_id": self.member_id,
            "scopes": ["read", "write"],
        } | about
        issued = self.made("/v1/tokens", body)
        return replace(self, token=issued["token"], member_id=body["member_id"])

    def with_member(self, role: str, name: str = "Sam Reed") -> "Caller":
        """Return a new member of that role, holding a token."""
        member = self.made("/v1/members", {"name": name, "role": role})
        return self.with_token(member_id=member["id"])

    def invited(
        self,
        member_id: str,
        sign_in_name: str,
        *,
        expires_at: str = "2026-05-03T10:00:00Z",
        passphrase: str = PASSPHRASE,
    ) -> str:
        """Let a member of this steward's club set a passphrase; return it."""
        issued = self.made(
            "/v1/invitations", {"member_id": member_id, "expires_at": expires_at}
        )
        wanted = {
            "invitation": issued["invitation"],
            "sign_in_name": sign_in_name,
            "passphrase": passphrase,
        }
        accepted = Caller(http=self.http).ask("POST", "/v1/invitations/accept", wanted)
        assert accepted.status_code == 200, accepted.text
        return passphrase

    def signed_in(self, sign_in_name: str, passphrase: str = PASSPHRASE) -> "Caller":
        """Return whoever signs in by that name to this caller's club."""
        about = {
            "club_id": self.club_id,
            "sign_in_name": sign_in_name,
            "passphrase": passphrase,
        }
        session = Caller(http=self.http).made("/v1/sessions", about)
        return replace(self, token=session["session"], member_id=session["member_id"])

    def visiting(self, layout_id: str, **about: Any) -> "Caller":
        """Return whoever holds a new share link to a layout of this caller's club."""
        body = {"label": "visitors", "expires_at": "2026-05-03T10:00:00Z"} | about
        link = self.made(f"/v1/layouts/{layout_id}/share-links", body)
        return replace(self, token=link["link"], member_id="")

    def _own(self) -> dict[str, str]:
        return ({"authorization": f"Bearer {self.token}"} if self.token else {}) | dict(
            self.headers
        )


@dataclass(frozen=True, kw_only=True)
class Service:
    """A service on a database, asked without a socket."""

    http: httpx.Client
    database: Database
    clock: Clock

    def club(self, name: str = "Harbour Bridge Model Railway Club") -> Caller:
        """Found a club; return its steward."""
        founded = found_club(self.database, name, "Robin Vale", self.clock.now)
        return Caller(
            http=self.http,
            token=founded.token,
            club_id=founded.club_id,
            member_id=founded.member_id,
        )

    def stranger(self) -> Caller:
        """Return somebody without a token."""
        return Caller(http=self.http)


@contextmanager
def serving(
    database: Database,
    clock: Clock,
    settings: Settings = WITHOUT_LIMITS,
    pool: Pool | None = None,
    hasher: Hasher | None = None,
) -> Iterator[Service]:
    """Give a service on ``database``, which stays open at the end.

    What it does beside answering has been done: the database is looked through, and
    tidied up for the first time.
    """
    with pytest.MonkeyPatch.context() as making:
        making.setattr("standage.api.asking.pool.Worker", kept_worker)
        app = create_app(
            settings, database=database, clock=clock, pool=pool, hasher=hasher or QUICK
        )
    with pytest.MonkeyPatch.context() as patched, ExitStack() as running:
        patched.setattr("standage.app._LOOK_FIRST_S", PATIENCE_S)
        tidied = Event()
        plainly = Asker.tidy_up

        def tidy_up(asker: Asker) -> None:
            try:
                plainly(asker)
            finally:
                tidied.set()

        patched.setattr(Asker, "tidy_up", tidy_up)
        patched.setattr(_TRANSPORT, OneCrossing)
        http = running.enter_context(TestClient(app))
        assert tidied.wait(PATIENCE_S)
        patched.undo()
        yield Service(http=http, database=database, clock=clock)


def refusal(response: httpx.Response, status: int, code: str) -> dict[str, Any]:
    """Return the problem that a response is, having looked that it is one in full and
    of that sort.
    """
    assert (response.status_code, response.headers["content-type"]) == (
        status,
        "application/problem+json",
    ), response.text
    problem: dict[str, Any] = response.json()
    assert set(problem) - {"faults", "writable"} == {
        "type",
        "title",
        "status",
        "detail",
        "instance",
        "request_id",
    }
    assert (problem["type"], problem["status"]) == (
        f"/problems/{code.replace('_', '-')}",
        status,
    )
    assert unquote(problem["instance"]) == response.request.url.path
    assert problem["request_id"] == response.headers["x-request-id"]
    return problem


def faults(response: httpx.Response) -> dict[str, str]:
    """Return the code of each fault of a 422 by its pointer or its parameter."""
    problem = refusal(response, 422, "invalid")
    found = problem["faults"]
    assert all(
        fault["message"] and ("pointer" in fault) != ("parameter" in fault)
        for fault in found
    )
    by_place = {
        fault.get("pointer", fault.get("parameter")): fault["code"] for fault in found
    }
    assert len(by_place) == len(found), "a place was told twice"
    return by_place


def as_sorrel(caller: Caller, **fields: Any) -> dict[str, Any]:
    return {
        "club_id": caller.club_id,
        "sign_in_name": "Sorrel",
        "passphrase": PASSPHRASE,
    } | fields


def signing_in(caller: Caller, **fields: Any) -> Any:
    return Caller(http=caller.http).ask(
        "POST", "/v1/sessions", as_sorrel(caller, **fields)
    )
