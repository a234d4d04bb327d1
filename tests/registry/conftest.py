"""A club with a record of every sort, a backup of it, and somewhere to restore it
to.
"""

from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from standage.registry.database.engine import Database, open_database
from standage.registry.moving.backup import back_up
from standage.registry.people.sessions import open_session
from standage.registry.records.bodies import LayoutBody, VehicleBody
from standage.registry.records.kinds import LAYOUTS, VEHICLES
from standage.registry.records.record import ANY_VERSION
from standage.registry.writing.answers import KeyedRequest, StoredAnswer, claim, settle
from support.clubs import MADE, NOW, Club, renamed
from support.databases import copied
from support.patience import PATIENCE_S
from support.postgres import drop_database, make_database
from support.tally import DATABASES

AWKWARD = ["ends in \\", 'says "hook"', "Æ – 💤 é", "[", "{}", "null", "a\nb\u2028c"]
_NUMBERS = count(1)


@pytest.fixture
def no_hurry(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let nobody who writes give up: threads that take no turns may keep one another
    from it for long.
    """
    monkeypatch.setattr("standage.registry.database.engine.WRITE_WAIT_S", PATIENCE_S)
    monkeypatch.setattr(
        "standage.registry.database.engine._POSTGRESQL_SETTINGS",
        f"SET lock_timeout = '{PATIENCE_S}s'; SET timezone = 'UTC'",
    )


@pytest.fixture(params=DATABASES)
def elsewhere(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """Give, after each other, a new database of each sort with nothing in it."""
    if request.param == "sqlite":
        opened = open_database(f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}")
        yield opened
        opened.dispose()
    else:
        server = request.getfixturevalue("postgresql_server")
        opened = open_database(make_database(server, f"elsewhere_{next(_NUMBERS)}"))
        yield opened
        opened.dispose()
        drop_database(opened.url)


@pytest.fixture
def other(tmp_path: Path, migrated_sqlite: Path) -> Iterator[Database]:
    """Give a SQLite file with every table and no row, beside the database of the
    test.
    """
    (tmp_path / "other").mkdir()
    opened = open_database(copied(migrated_sqlite, tmp_path / "other"))
    yield opened
    opened.dispose()


@pytest.fixture
def full_club(club: Club) -> Club:
    """Give a club with a record of every sort, changed ones and deleted ones, and an
    answer kept for a repetition.
    """
    for kind in MADE:
        club.make_sample(kind)
    for notes in AWKWARD:
        club.make(VEHICLES, VehicleBody(name="Van", notes=notes, mass_g=0.1))
    gone = club.make(LAYOUTS, LayoutBody(name="Gone"))
    with club.writing() as writing:
        writing.change(
            LAYOUTS, club.permit, gone.id, renamed("Going"), if_match=ANY_VERSION
        )
        writing.remove(LAYOUTS, club.permit, gone.id, if_match=ANY_VERSION)
    request = KeyedRequest(
        principal=club.permit.principal,
        path="/v1/vehicles",
        key="k-1",
        payload_sha256="aa",
    )
    with club.writing() as writing:
        claim(writing, request)
        settle(writing, request, StoredAnswer(status=201, headers={}, body=b"{}"))
        open_session(writing, club.club_id, club.steward_id, label=None)
    return club


@pytest.fixture
def file(full_club: Club, tmp_path: Path) -> Path:
    full_club.database.dispose()  # nobody is connected when something is restored
    return back_up(full_club.database, tmp_path / "club.backup", NOW).path
