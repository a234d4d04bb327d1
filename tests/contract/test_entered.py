"""How many modules somebody enters who follows one question through the service."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import pytest
from litestar.testing import TestClient

from api.asking import Clock, Service, serving
from api.ground import Ground
from standage.registry.database.engine import open_database
from standage.settings import Settings
from support.databases import copied

MOST_ENTERED = 35
"""Of some five hundred: what somebody reads in an afternoon."""


@contextmanager
def watching(service: Service) -> Iterator[set[str]]:
    """Give the modules in which the thread that answers calls anything meanwhile."""
    seen: set[str] = set()

    def hook(frame: FrameType, event: str, _arg: object) -> None:
        name = frame.f_globals.get("__name__", "")
        if event == "call" and name.startswith("standage."):
            seen.add(name)

    assert isinstance(service.http, TestClient)
    answering = service.http.blocking_portal
    answering.call(sys.setprofile, hook)
    try:
        yield seen
    finally:
        answering.call(sys.setprofile, None)


@pytest.fixture
def service(migrated_sqlite: Path, tmp_path: Path) -> Iterator[Service]:
    """Give a service on a file, where one thread answers a question from its address to
    its bytes.
    """
    database = open_database(copied(migrated_sqlite, tmp_path))
    with serving(database, Clock(), Settings()) as running:
        yield running
    database.dispose()


def test_a_stored_train_fit_is_followed_through_a_few_modules(service: Service) -> None:
    ground = Ground(service.club())
    train, place = ground.make("Train"), ground.make("Place")
    at = f"/v1/layouts/{place['layout_id']}/places/{place['id']}/train-fit"
    path = f"{at}?train_id={train['id']}"
    # What is remembered of the figures is worked out at the first time.
    first = ground.steward.ask("GET", path)
    with watching(service) as entered:
        again = ground.steward.ask("GET", path)
    assert again.json() == first.json()
    assert {"standage.questions.train_fit", "standage.railway.standing.spare"} < entered
    assert len(entered) <= MOST_ENTERED, "\n".join(sorted(entered))
