"""Sends the examples of the document and keeps what comes back, with ids and secrets
made readable.

To record them anew after a change of the service, and to print the document with them:

    PYTHONPATH=service:tests .venv/bin/python -m api.example_scenario
    .venv/bin/standage openapi > openapi/openapi.json
"""

import json
import re
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import httpx

import standage.api.document
from api.asking import Caller, Clock, Service, serving
from standage.app import operations
from standage.registry.database.engine import open_database
from standage.registry.database.migrate import migrate

KEPT = Path(standage.api.document.__file__).parent / "examples.json"
BY_ID = {operation.id: operation for operation in operations()}
Json = dict[str, Any]
_FIRST_OF_A_DRAWING = 80

_ID = re.compile(r"[0-9a-f]{8}-(?:[0-9a-f]{4}-){3}[0-9a-f]{12}")
_MASKS = (
    (
        re.compile(r'("request_id": )"[0-9a-f]{32}"'),
        r'\1"4be1f0c85d2a4f6e9a7b3c1d2e5f6071"',
    ),
    (
        re.compile(r'("\w+": )"(st[gsil]_)[A-Za-z0-9_-]+"'),
        r'\1"\2the-secret-itself-shown-this-once"',
    ),
    (
        re.compile(r'(If-Match: \\")[0-9a-f]{32}'),
        r"\g<1>9f2c4be1f0c85d2a4f6e9a7b3c1d2e5f",
    ),
    (re.compile(r'(If-Match: \\"v\d+-)[0-9a-f]{16}'), r"\g<1>9f2c4be1f0c85d2a"),
    (re.compile(r'("next_cursor": )"[A-Za-z0-9_-]+"'), r'\1"WyJtaWxrIHZhbiJd"'),
    (
        re.compile(r'("database_files": )"to_be_wiped"'),
        r'\1"wiped"',
    ),  # as SQLite answers
    (re.compile(r"cursor=[A-Za-z0-9_-]+"), "cursor=WyJtaWxrIHZhbiJd"),
)


class Recorder:
    """Asks the service as a caller does, and keeps the first request and the first
    answer of each sort.
    """

    def __init__(self, service: Service, steward: Caller) -> None:
        self.service = service
        self.steward = steward
        self._kept: dict[str, Json] = {}

    def ask(
        self,
        operation_id: str,
        body: Any = None,
        *,
        at: Mapping[str, str] | None = None,
        query: str = "",
        by: Caller | None = None,
        **headers: str,
    ) -> httpx.Response:
        """Ask for one operation; ``at`` fills its path. Only a success is kept as the
        example of a request.
        """
        operation = BY_ID[operation_id]
        path = operation.path.format(**at or {}) + (f"?{query}" if query else "")
        caller = by or self.steward
        if isinstance(body, str):
            response = caller.send(
                operation.method,
                path,
                body.encode(),
                content_type=operation.takes.files[0],
                **headers,
            )
        else:
            response = caller.ask(operation.method, path, body, **headers)
        kept = self._kept.setdefault(operation_id, {"answers": {}})
        if body is not None and response.is_success:
            kept.setdefault("request", body)
        if response.content:
            kept["answers"].setdefault(str(response.status_code), _told(response))
        return response

    def made(self, operation_id: str, body: Any, **rest: Any) -> Json:
        """Record something; return it as it came back."""
        response = self.ask(operation_id, body, **rest)
        assert response.status_code == 201, response.text
        answer: Json = response.json()
        return answer

    def examples(self) -> dict[str, Json]:
        """Return what was kept, in the order of the document, masked."""
        found = {name: self._kept[name] for name in BY_ID if name in self._kept}
        ordered = {
            name: {"request": one["request"], **one} if "request" in one else one
            for name, one in found.items()
        }
        masked: dict[str, Json] = json.loads(self._masked(json.dumps(ordered)))
        return masked

    def _masked(self, text: str) -> str:
        for pattern, instead in _MASKS:
            text = pattern.sub(instead, text)
        numbers: dict[str, int] = {}
        return _ID.sub(
            lambda found: _readable(numbers.setdefault(found[0], len(numbers) + 1)),
            text,
        )


def _told(response: httpx.Response) -> Any:
    """Return what an answer says; of a drawing or a text its first lines are enough, of
    a workbook that it is one.
    """
    if response.headers["content-type"].endswith("json"):
        return response.json()
    if not response.headers["content-type"].startswith(("image/svg", "text/")):
        return "the bytes of the file"
    return response.text[:_FIRST_OF_A_DRAWING] + (
        "…" if len(response.text) > _FIRST_OF_A_DRAWING else ""
    )


def _readable(number: int) -> str:
    return f"0196a2b4-0000-7000-8000-{number:012}"


def written(examples: Mapping[str, Json]) -> str:
    """Return the examples as they are kept."""
    return json.dumps(examples, indent=2, ensure_ascii=False) + "\n"


def record(scenario: Callable[[Service], dict[str, Json]]) -> None:
    """Play the scenario on a database of its own and keep its examples."""
    with tempfile.TemporaryDirectory() as folder:
        database = open_database(f"sqlite:///{folder}/examples.sqlite3")
        migrate(database)
        with serving(database, Clock()) as service:
            KEPT.write_text(written(scenario(service)), "utf-8")
        database.dispose()
