"""Two processes that answer for one service: what they log and count is the whole, also
when one of them is killed.
"""

import json
import os
import signal
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families

from contract.serving import FROM_THE_TREE, Service, environment, serving
from support.journal_lines import read
from support.patience import PATIENCE_S, until

METRICS_TOKEN = "a token for the metrics"
CANARY = "canary7Yq"
STUCK_S = 2.0
"""Many times as long as an answer takes of a process that goes on."""


@dataclass(frozen=True, kw_only=True)
class Watched:
    """A running service of two processes, and where it logs."""

    service: Service
    log: Path

    def lines(self, event: str | None = None) -> list[dict[str, Any]]:
        """Return what was logged so far, up to the last whole line."""
        return read(self.log.read_text().rpartition("\n")[0], event)

    def total(self, name: str, **labels: str) -> float:
        """Return the sum of the samples of a name that bear these labels, as any
        process tells it.
        """
        answer = self.service.ask(
            "GET", "/metrics", Authorization=f"Bearer {METRICS_TOKEN}"
        )
        families = text_string_to_metric_families(answer.raise_for_status().text)
        found = [
            sample
            for family in families
            for sample in family.samples
            if sample.name == name
        ]
        return sum(
            sample.value for sample in found if labels.items() <= sample.labels.items()
        )

    def ask(self, path: str, *, times: int = 1) -> None:
        """Ask for a path, each time over a connection of its own."""
        for _ in range(times):
            self.service.ask("GET", path)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("two")


@pytest.fixture(scope="module")
def ended(folder: Path) -> list[dict[str, Any]]:
    """Run the whole life of a service; return what it logged from beginning to end."""
    env = environment(f"sqlite:///{folder / 'club.sqlite3'}")
    env |= {
        "STANDAGE_WORKERS": "2",
        "STANDAGE_METRICS_TOKEN": METRICS_TOKEN,
        "STANDAGE_LOG": "json",
    }
    (folder / "temporary").mkdir()
    env["TMPDIR"] = str(folder / "temporary")
    with serving(folder=folder, env=env, command=FROM_THE_TREE) as service:
        watched = Watched(service=service, log=folder / "serve.log")
        whatever_process_answers_all_is_counted(watched)
        what_a_killed_process_counted_stays_and_what_it_had_in_hand_does_not(watched)
        an_error_is_logged_under_the_id_that_its_caller_was_told(
            watched, folder / "club.sqlite3"
        )
    return watched.lines()


def whatever_process_answers_all_is_counted(watched: Watched) -> None:
    processes: set[int] = set()
    asked = 0
    while len(processes) < 2:
        watched.ask("/v1/club", times=20)
        asked += 20
        assert asked <= 2000, "one process answers everything"
        processes = {
            line["process"]
            for line in watched.lines("request")
            if line.get("operation") == "getClub"
        }
    watched.ask("/nowhere", times=7)
    until(
        lambda: (
            watched.total("standage_requests_total", operation="none", status="404")
            == 7
        )
    )
    until(
        lambda: (
            watched.total("standage_requests_total", operation="getClub", status="200")
            == asked
        )
    )
    assert (
        watched.total(
            "standage_request_seconds_count", operation="getClub", status_class="2xx"
        )
        == asked
    )
    assert watched.total("standage_processes_started_total") == 2


def what_a_killed_process_counted_stays_and_what_it_had_in_hand_does_not(
    watched: Watched,
) -> None:
    before = watched.total("standage_requests_total", operation="getClub")
    victim = watched.lines("request")[-1]["process"]
    os.kill(victim, signal.SIGSTOP)  # what it has in hand stays there
    until(lambda: gets_stuck(watched))
    os.kill(victim, signal.SIGKILL)
    until(lambda: len(watched.lines("started")) == 3)
    until(lambda: watched.total("standage_requests_in_hand") == 1)
    until(lambda: watched.total("standage_processes_started_total") == 3)
    assert watched.total("standage_requests_total", operation="getClub") == before


def gets_stuck(watched: Watched) -> bool:
    """Tell whether a request comes to a process that stands still; which of the two it
    comes to is chance.
    """
    try:
        httpx.get(f"{watched.service.url}/health/live", timeout=STUCK_S)
    except httpx.TimeoutException:
        return True
    return False


def an_error_is_logged_under_the_id_that_its_caller_was_told(
    watched: Watched, file: Path
) -> None:
    with closing(sqlite3.connect(file, timeout=PATIENCE_S)) as connection:
        connection.execute("ALTER TABLE history RENAME TO mislaid")
    answer = watched.service.ask("POST", "/v1/vehicles", {"name": CANARY})
    assert answer.status_code == 500

    def errors() -> list[dict[str, Any]]:
        of_outer = [
            line
            for line in watched.lines()
            if line["logger"] == "standage.api.web.outermost_layer"
        ]
        return [line for line in of_outer if line["level"] == "error"]

    until(lambda: bool(errors()))
    (line,) = errors()
    assert line["request_id"] == answer.headers["x-request-id"]
    assert "Traceback" in line["traceback"]
    assert "OperationalError" in line["traceback"]
    assert "Traceback" not in answer.text


def test_the_log_is_whole_from_the_first_line_to_the_last(
    ended: list[dict[str, Any]],
) -> None:
    assert "Starting" in ended[0]["event"]
    assert [line["database"] for line in ended if line["event"] == "started"] == [
        "sqlite"
    ] * 3
    assert len([line for line in ended if line["event"] == "stopped"]) == 2, (
        "both processes end as they should"
    )
    assert any("Unexpected exit" in line["event"] for line in ended)
    assert "completed" in ended[-1]["event"]
    assert all({"time", "level", "event", "process"} <= set(line) for line in ended)
    ids = [line["request_id"] for line in ended if line["event"] == "request"]
    assert len(ids) == len(set(ids)) > 20


def test_the_log_holds_nothing_of_what_was_sent(ended: list[dict[str, Any]]) -> None:
    whole = json.dumps(ended)
    assert CANARY not in whole
    assert "stg_" not in whole
    assert METRICS_TOKEN not in whole


def test_the_folder_of_the_counters_is_gone(
    ended: list[dict[str, Any]], folder: Path
) -> None:
    assert ended
    assert list((folder / "temporary").iterdir()) == []
