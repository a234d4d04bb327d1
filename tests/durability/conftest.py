"""Databases that outlive their services, and a nursery to start those from."""

import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import pytest

from durability.born import Nursery, nursery
from standage.registry.database.engine import open_database
from support.clubs import new_club
from support.databases import copied, migrated
from support.postgres import PrivateServer, make_database, private_server
from support.tally import DATABASES

_NUMBERS = count(1)
LEFT_OUT = pytest.StashKey[int]()


@dataclass(frozen=True, kw_only=True)
class Place:
    """A database with a club in it that outlives its service.

    ``kill`` ends its server, where it has one of its own, and ``mend`` starts that
    again.
    """

    url: str
    token: str
    kill: Callable[[], None] | None = None
    mend: Callable[[], None] = lambda: None


@pytest.fixture
def sqlite_place(migrated_sqlite: Path, tmp_path: Path) -> Place:
    url = copied(migrated_sqlite, tmp_path)
    return Place(url=url, token=_token_of_new_club(url))


@pytest.fixture(scope="session")
def durable_server() -> Iterator[PrivateServer]:
    """Give a PostgreSQL server that keeps what it says it keeps."""
    with private_server(durable=True) as server:
        yield server


@pytest.fixture
def postgresql_place(durable_server: PrivateServer) -> Place:
    url = migrated(make_database(durable_server.address, f"place_{next(_NUMBERS)}"))
    return Place(
        url=url,
        token=_token_of_new_club(url),
        kill=durable_server.kill,
        mend=durable_server.start,
    )


@pytest.fixture(params=DATABASES)
def place(request: pytest.FixtureRequest) -> Place:
    """Give a place on each of the two databases in turn."""
    found: Place = request.getfixturevalue(f"{request.param}_place")
    return found


@pytest.fixture(scope="session")
def services(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Nursery]:
    with nursery(tmp_path_factory.mktemp("nursery")) as opened:
        yield opened


def _token_of_new_club(url: str) -> str:
    database = open_database(url)
    try:
        return new_club(database).token
    finally:
        database.dispose()


def _may_trace() -> bool:
    """Tell whether there is a strace on this machine that may trace what it starts, and
    let its calls fail.
    """
    try:
        traced = subprocess.run(
            [
                "strace",
                "-f",
                "--seccomp-bpf",
                "-qq",
                "-e",
                "inject=fsync:error=EIO",
                "-e",
                "trace=fsync",
                "true",
            ],
            check=False,
            capture_output=True,
        )
    except FileNotFoundError:
        return False
    return traced.returncode == 0


def pytest_collection_modifyitems(
    config: pytest.Config, items: list[pytest.Item]
) -> None:
    """Leave the tests that trace out, as if not asked for, where this machine
    cannot.
    """
    tracing = [item for item in items if item.get_closest_marker("strace")]
    if not tracing or _may_trace():
        return
    config.stash[LEFT_OUT] = len(tracing)
    config.hook.pytest_deselected(items=tracing)
    items[:] = [item for item in items if item not in tracing]


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Say so where tests were left out."""
    if config.stash.get(LEFT_OUT, 0):
        terminalreporter.write_line(
            f"{config.stash[LEFT_OUT]} tests left out: no strace on this machine that"
            " may trace"
        )
