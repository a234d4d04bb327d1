"""The two databases for every test that needs one, and the rules that every test
keeps.
"""

import gc
import os
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from standage.app import know_every_shape
from standage.registry.database.engine import Database, open_database
from support.clubs import Club, new_club
from support.databases import copied, emptied, migrated
from support.loopback import allow_loopback_only
from support.postgres import drop_database, make_database, private_server
from support.tally import DATABASES, Tally

_HOWEVER_SLOW = [HealthCheck.too_slow]
"""Of the checks on Hypothesis' own work only this one asks how fast the machine is."""

settings.register_profile(
    "ci",
    max_examples=15,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=_HOWEVER_SLOW,
)
settings.register_profile(
    "long",
    max_examples=2000,
    deadline=None,
    suppress_health_check=_HOWEVER_SLOW,
    print_blob=True,
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))

_NUMBERS = count(1)
_LONGEST_IN_A_NAME = 500


def pytest_configure(config: pytest.Config) -> None:
    allow_loopback_only()
    gc.disable()  # until all is collected: nothing of it goes before the end
    if not hasattr(
        config, "workerinput"
    ):  # where several processes share the tests, the one that shares them out counts
        config.pluginmanager.register(Tally(config))


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """Call a long value by its length: no process can be started beneath a test whose
    name fills the environment.
    """
    if isinstance(val, str | bytes) and len(val) > _LONGEST_IN_A_NAME:
        return f"{argname} of {len(val)}"
    return None


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest tests first, whatever the order of the others, so that no process
    is left with one at the end.
    """
    know_every_shape()  # as the service does, for the threads of tests that have none
    items.sort(key=lambda item: item.get_closest_marker("long") is None)


def pytest_collection_finish() -> None:
    """Look no more through what was collected: that took longer than collecting."""
    gc.freeze()
    gc.enable()


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """Give the address of a private PostgreSQL server."""
    with private_server() as server:
        yield server.address


@pytest.fixture(scope="session")
def migrated_postgresql(postgresql_server: str) -> str:
    return migrated(make_database(postgresql_server, "standage"))


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("migrated") / "standage.sqlite3"
    migrated(f"sqlite:///{file}")
    return file


@pytest.fixture
def sqlite_database(migrated_sqlite: Path, tmp_path: Path) -> Iterator[Database]:
    """Give an open SQLite file with every table and no row, for what only SQLite
    does.
    """
    opened = open_database(copied(migrated_sqlite, tmp_path))
    yield opened
    opened.dispose()


@pytest.fixture
def postgresql_database(migrated_postgresql: str, tmp_path: Path) -> Iterator[Database]:
    """Give an open PostgreSQL database with every table and no row, for what only
    PostgreSQL does.
    """
    opened = open_database(
        migrated_postgresql, erasures_file=str(tmp_path / "standage.erasures")
    )
    emptied(opened)
    yield opened
    opened.dispose()


@pytest.fixture(params=DATABASES)
def database(request: pytest.FixtureRequest) -> Database:
    """Give each of the two databases in turn, with every table and no row;
    ``database.url`` is its address.
    """
    opened: Database = request.getfixturevalue(f"{request.param}_database")
    return opened


@pytest.fixture(params=DATABASES)
def bare_database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """Give an open database without any table, for tests of the migrations."""
    if request.param == "sqlite":
        opened = open_database(f"sqlite:///{tmp_path / 'bare.sqlite3'}")
        yield opened
        opened.dispose()
    else:
        opened = open_database(
            make_database(
                request.getfixturevalue("postgresql_server"), f"bare_{next(_NUMBERS)}"
            )
        )
        yield opened
        opened.dispose()
        drop_database(opened.url)


@pytest.fixture
def club(database: Database) -> Club:
    """Give a club with a steward."""
    return new_club(database)
