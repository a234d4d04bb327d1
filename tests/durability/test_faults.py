"""A disk that fails, fills up, or is never written to again: at chosen calls of the
program that writes.

STANDAGE_KILL_POINTS says at how many calls the program is killed (4).
"""

import json
import os
import re
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from durability import audit
from durability.born import Born, Nursery
from durability.conftest import Place
from durability.recorded import traced
from durability.writers import Attempt, sent
from support.databases import copied
from support.patience import PATIENCE_S
from support.tally import TOLD

POINTS = int(os.environ.get("STANDAGE_KILL_POINTS", "4"))
ROUNDS = 4
CALLS = ("pwrite64", "fdatasync")

pytestmark = pytest.mark.strace


@pytest.fixture
def url(migrated_sqlite: Path, tmp_path: Path) -> str:
    return copied(migrated_sqlite, tmp_path)


def call_of(fault: str) -> str:
    return fault.partition(":")[0]


def told(ended: "subprocess.CompletedProcess[bytes]") -> list[Attempt]:
    """Return the writes that the program said were committed; a line that broke off is
    none.
    """
    whole = ended.stdout.rpartition(b"\n")[0]
    return [Attempt(**json.loads(line)) for line in whole.splitlines()]


def holds_all_of(url: str, attempts: list[Attempt]) -> None:
    found = audit.kept(url)
    assert audit.lost(found, attempts) == []
    assert found.halves() == []


def test_killed_at_any_call_that_writes_it_has_lost_nothing(
    migrated_sqlite: Path,
    tmp_path: Path,
    record_property: Callable[[str, object], None],
) -> None:
    counts = calls_of_a_whole_run(migrated_sqlite, tmp_path)
    points = [
        (call, 1 + number * counts[call] // ((POINTS + 1) // 2))
        for number in range((POINTS + 1) // 2)
        for call in CALLS
    ]
    acknowledged = 0
    for call, number in points:
        folder = tmp_path / f"{call} {number}"
        folder.mkdir()
        url = copied(migrated_sqlite, folder)
        ended = traced(
            [
                "-o",
                os.devnull,
                "-e",
                f"trace={call}",
                "-e",
                f"inject={call}:signal=KILL:when={number}",
            ],
            url,
            str(ROUNDS),
        )
        assert ended.returncode in {-9, 137}, ended.stderr
        holds_all_of(url, told(ended))
        acknowledged += len(told(ended))
    assert acknowledged < len(points) * 4 * ROUNDS
    record_property(
        TOLD,
        f"sqlite: killed at {len(points)} calls that write; {acknowledged}"
        " acknowledged, none lost",
    )


def calls_of_a_whole_run(migrated_sqlite: Path, tmp_path: Path) -> dict[str, int]:
    """Return how often each call is made by a program that nothing happens to."""
    (tmp_path / "whole").mkdir()
    url, log = copied(migrated_sqlite, tmp_path / "whole"), tmp_path / "log"
    ended = traced(["-o", str(log), "-e", f"trace={','.join(CALLS)}"], url, str(ROUNDS))
    assert len(told(ended)) == 4 * ROUNDS
    holds_all_of(url, told(ended))
    return {call: len(re.findall(rf"\b{call}\(", log.read_text())) for call in CALLS}


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (
            "pwrite64:error=ENOSPC:when=200..202",
            "the disk that holds the database is full",
        ),
        (
            "pwrite64:error=EIO:when=200..201",
            "the disk that holds the database cannot be read or written",
        ),
        (
            "fdatasync:error=EIO:when=5..6",
            "the disk that holds the database cannot be read or written",
        ),
    ],
)
def test_a_disk_that_fails_for_a_while_costs_only_what_was_refused(
    url: str, fault: str, words: str
) -> None:
    ended = traced(
        [
            "--seccomp-bpf",
            "-o",
            os.devnull,
            "-e",
            f"trace={call_of(fault)}",
            "-e",
            f"inject={fault}",
        ],
        url,
        str(ROUNDS + 2),
    )
    attempts = told(ended)
    assert ended.returncode == 0, ended.stderr
    assert set(ended.stderr.decode().splitlines()) == {words}
    assert "k-0" in [one.key for one in attempts]
    assert f"k-{ROUNDS + 1}" in [one.key for one in attempts], (
        "it did not go on once the disk was well again"
    )
    holds_all_of(url, attempts)


@contextmanager
def failing(service: Born, fault: str) -> Iterator[None]:
    """Let calls of a running service fail meanwhile."""
    processes = service.processes
    attached = [word for process_id in processes for word in ("-p", str(process_id))]
    tracer = subprocess.Popen(
        [
            "strace",
            "-f",
            "-o",
            os.devnull,
            "-e",
            f"trace={call_of(fault)}",
            "-e",
            f"inject={fault}",
            *attached,
        ],
        stderr=subprocess.PIPE,
        text=True,
    )
    assert tracer.stderr is not None
    for _ in (
        processes
    ):  # each is told of once all its threads are: from then on no call goes past
        assert "attached" in tracer.stderr.readline()
    try:
        yield
    finally:
        tracer.terminate()
        tracer.wait(PATIENCE_S)
        tracer.stderr.close()


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ("pwrite64:error=ENOSPC", "is full"),
        ("fdatasync:error=EIO", "cannot be read or written"),
    ],
)
def test_a_service_whose_disk_fails_says_so_reads_on_and_writes_again_later(
    sqlite_place: Place, services: Nursery, fault: str, words: str
) -> None:
    service = services.start(sqlite_place.url)
    connection = service.connection()
    van = Attempt(method="POST", path="/v1/vehicles", body={"name": "Van"}, key="k-1")
    before = sent(connection, sqlite_place.token, van)
    with failing(service, fault):
        other = Attempt(
            method="POST", path="/v1/vehicles", body={"name": "Other"}, key="k-2"
        )
        for _ in range(3):
            status, problem, _ = sent(connection, sqlite_place.token, other)
            assert (status, problem["type"]) == (503, "/problems/unready"), problem
            assert words in problem["detail"]
        status, answer, _ = sent(
            connection,
            sqlite_place.token,
            Attempt(method="GET", path="/v1/vehicles", body=None),
        )
        assert (status, [one["id"] for one in answer["items"]]) == (
            200,
            [before[1]["id"]],
        )
    assert sent(connection, sqlite_place.token, other)[0] == 201
    assert sent(connection, sqlite_place.token, van) == before
    connection.close()
    service.end()
    assert audit.kept(sqlite_place.url).halves() == []
