"""Four who write without pause over HTTP, and put down what they sent and what was
acknowledged.
"""

import json
import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException
from threading import Event, Thread
from typing import Any

from durability.born import Born

HOW_MANY = 4


@dataclass(kw_only=True)
class Attempt:
    """One write that was sent, and the answer, where one came whole."""

    method: str
    path: str
    body: Any
    key: str | None = None
    if_match: str | None = None
    status: int | None = None
    answer: Any = None
    tag: str | None = None

    @property
    def acknowledged(self) -> bool:
        return self.status in {200, 201, 204}

    @property
    def unknown(self) -> bool:
        """Whether nobody was told what became of it: no answer came, or that the
        database was lost on the way.
        """
        return self.status in {None, 503}


@dataclass(kw_only=True)
class Writer:
    """One who writes: makes vehicles, trains, layouts with places; changes them;
    deletes some.
    """

    number: int
    token: str
    chance: random.Random
    attempts: list[Attempt] = field(default_factory=list)
    _vehicles: list[dict[str, Any]] = field(default_factory=list)
    _layouts: list[dict[str, Any]] = field(default_factory=list)
    _tags: dict[str, str | None] = field(default_factory=dict)

    def write_until(self, enough: Event, service: Born) -> None:
        """Write until there is enough, or a write is not acknowledged: then the service
        is gone, or its database.
        """
        connection = service.connection()
        try:
            while not enough.is_set():
                self.send(connection, self._next())
                if not self.attempts[-1].acknowledged:
                    return
        except (OSError, HTTPException):
            pass
        finally:
            connection.close()

    def send(self, connection: HTTPConnection, attempt: Attempt) -> None:
        """Send a write and take in its answer; an answer that does not come whole is
        none.
        """
        self.attempts.append(attempt)
        attempt.status, attempt.answer, attempt.tag = sent(
            connection, self.token, attempt
        )
        self._remember(attempt)

    def _next(self) -> Attempt:
        choices = [self._new_vehicle, self._new_layout]
        if self._vehicles:
            choices += [self._new_train, self._change, self._change]
        if self._layouts:
            choices += [self._new_place, self._delete_layout]
        return self.chance.choice(choices)()

    def _new_vehicle(self) -> Attempt:
        return self._creation(
            "/v1/vehicles",
            {"name": "Van", "kind": "wagon", "mass_g": self.chance.randint(1, 999)},
        )

    def _new_train(self) -> Attempt:
        used = [{"vehicle_id": one["id"]} for one in self._vehicles[-8:]]
        return self._creation("/v1/trains", {"name": "Goods", "vehicles": used})

    def _new_layout(self) -> Attempt:
        return self._creation(
            "/v1/layouts", {"name": f"Layout {self.number}-{len(self.attempts)}"}
        )

    def _new_place(self) -> Attempt:
        layout = self._layouts[-1]
        body = {
            "name": f"Road {len(self.attempts)}",
            "kind": "siding",
            "usable_length_mm": 900,
        }
        return self._creation(f"/v1/layouts/{layout['id']}/places", body)

    def _creation(self, path: str, body: dict[str, Any]) -> Attempt:
        key = f"{self.number}-{len(self.attempts)}-{self.chance.getrandbits(64):x}"
        return Attempt(method="POST", path=path, body=body, key=key)

    def _change(self) -> Attempt:
        one = self._vehicles[-1]
        body = {
            "mass_g": self.chance.randint(1, 999),
            "notes": "x" * self.chance.randint(0, 2000),
        }
        return Attempt(
            method="PATCH",
            path=f"/v1/vehicles/{one['id']}",
            body=body,
            if_match=self._tags[one["id"]],
        )

    def _delete_layout(self) -> Attempt:
        one = self._layouts[-1]
        return Attempt(
            method="DELETE", path=f"/v1/layouts/{one['id']}", body=None, if_match="*"
        )

    def _remember(self, attempt: Attempt) -> None:
        if not attempt.acknowledged:
            return
        if attempt.method == "DELETE":
            self._layouts.pop()
        elif attempt.path.startswith("/v1/vehicles"):
            self._vehicles = [
                one for one in self._vehicles if one["id"] != attempt.answer["id"]
            ] + [attempt.answer]
            self._tags[attempt.answer["id"]] = attempt.tag
        elif attempt.path == "/v1/layouts":
            self._layouts.append(attempt.answer)

    def forget(self) -> None:
        """Begin anew with records of one's own, as after a write of which nobody knows
        whether it was done.
        """
        self._vehicles, self._layouts = [], []


def sent(
    connection: HTTPConnection, token: str, attempt: Attempt
) -> tuple[int, Any, str | None]:
    """Send a write; return the status, what came with it, and the entity tag."""
    headers = {"Authorization": f"Bearer {token}"}
    content = b""
    if attempt.body is not None:
        patch = attempt.method == "PATCH"
        headers["Content-Type"] = (
            "application/merge-patch+json" if patch else "application/json"
        )
        content = json.dumps(attempt.body).encode()
    headers |= {"Idempotency-Key": attempt.key} if attempt.key else {}
    headers |= {"If-Match": attempt.if_match} if attempt.if_match else {}
    connection.request(attempt.method, attempt.path, content, headers)
    response = connection.getresponse()
    answered = response.read()
    return (
        response.status,
        json.loads(answered) if answered else None,
        response.headers["etag"],
    )


@contextmanager
def writing(writers: list[Writer], service: Born) -> Iterator[Event]:
    """Let the writers write; at the end, wait until each has noticed that the service
    is gone, or that it is enough.
    """
    enough = Event()
    threads = [
        Thread(target=writer.write_until, args=(enough, service)) for writer in writers
    ]
    for thread in threads:
        thread.start()
    try:
        yield enough
    finally:
        enough.set()
        for thread in threads:
            thread.join()
