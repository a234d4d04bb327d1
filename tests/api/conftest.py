"""What every test of the API starts from: a service on each of the two databases, and a
club in it.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import cast

import pytest

from api.asking import Caller, Clock, Service, serving
from api.ground import Ground
from standage.api.web.limits import PER_MINUTE, Limits
from standage.registry.database.engine import open_database
from support.clubs import NOW
from support.databases import copied, emptied, migrated
from support.postgres import make_database
from support.tally import DATABASES


@pytest.fixture(scope="session")
def service_on_sqlite(
    migrated_sqlite: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Service]:
    database = open_database(copied(migrated_sqlite, tmp_path_factory.mktemp("api")))
    with serving(database, Clock()) as running:
        yield running
    database.dispose()


@pytest.fixture(scope="session")
def service_on_postgresql(
    postgresql_server: str, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Service]:
    listed = tmp_path_factory.mktemp("erasures") / "api.erasures"
    database = open_database(
        migrated(make_database(postgresql_server, "api")), erasures_file=str(listed)
    )
    with serving(database, Clock()) as running:
        yield running
    database.dispose()


@pytest.fixture(params=DATABASES)
def service(request: pytest.FixtureRequest) -> Service:
    """Give a service with nothing on record, on each of the two databases in turn; its
    clock stands at NOW.
    """
    running: Service = request.getfixturevalue(f"service_on_{request.param}")
    emptied(running.database)
    running.clock.now = NOW
    return running


@pytest.fixture
def small_buckets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the limits be so low that a test comes to their end soon."""
    for name, count in {"write": 20, "check": 30, "read": 60}.items():
        monkeypatch.setitem(cast("dict[str, int]", PER_MINUTE), name, count)


@pytest.fixture
def still_buckets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let no bucket fill again, however long a test takes."""
    monkeypatch.setattr(
        "standage.app.Limits",
        lambda _clock, *, processes: Limits(lambda: 0.0, processes=processes),
    )


@pytest.fixture
def steward(service: Service) -> Caller:
    """Give the steward of a club."""
    return service.club()


@pytest.fixture
def ground(steward: Caller) -> Ground:
    """Give the steward's hand in making records."""
    return Ground(steward)


@pytest.fixture
def sorrel(ground: Ground) -> Caller:
    """Give a member called Sorrel who signs in by that name."""
    member = ground.make("Member", name="Sorrel", role="layout_keeper")
    ground.steward.invited(member["id"], "Sorrel")
    return Caller(
        http=ground.steward.http, club_id=ground.steward.club_id, member_id=member["id"]
    )
