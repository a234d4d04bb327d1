"""What is counted: every answer whoever gives it, by names from fixed lists, and shown
only to whoever may see it.
"""

import os
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import anyio
import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from api.asking import Clock, Service, refusal, serving
from standage.api.asking.pool import FailedError, Pool
from standage.api.web.limits import PER_MINUTE
from standage.api.web.metrics import LongQuestions, Metrics, shared_folder
from standage.questions.deal import distinct_names
from standage.railway.shunting.yard import Wagon
from standage.registry.database.engine import Database, open_database
from standage.settings import Settings
from standage.shapes.faults import Faulty
from standage.shapes.refusals import Busy, Unready
from support.long_search import hold_noted

TOKEN = "a token for the metrics"
WAITED_S = 0.2
Samples = dict[tuple[str, ...], float]


def samples(page: str, name: str) -> Samples:
    """Return the samples of one name by the values of their labels, the labels in order
    of their names.
    """
    return {
        tuple(value for _, value in sorted(sample.labels.items())): sample.value
        for family in text_string_to_metric_families(page)
        for sample in family.samples
        if sample.name == name
    }


def counted(service: Service) -> Samples:
    """Return how many requests were answered, by method, operation and status."""
    return samples(read(service).text, "standage_requests_total")


def read(
    service: Service, token: str = TOKEN, path: str = "/metrics"
) -> httpx.Response:
    return service.stranger().ask("GET", path, authorization=f"Bearer {token}")


@pytest.fixture
def watched(database: Database) -> Iterator[Service]:
    with serving(
        database, Clock(), Settings(rate_limits="off", metrics_token=TOKEN)
    ) as running:
        yield running


def test_every_answer_is_counted_whoever_gives_it(watched: Service) -> None:
    steward, stranger = watched.club(), watched.stranger()
    for _ in range(3):
        steward.ask("GET", "/v1/club")
    steward.ask("HEAD", "/v1/club")
    stranger.ask("GET", "/v1/club")
    stranger.ask("GET", "/nowhere")
    stranger.ask("DELETE", "/v1/vehicles")
    stranger.ask("PROPFIND", "/v1/vehicles")
    stranger.ask("OPTIONS", "/v1/vehicles")
    stranger.ask("GET", "/docs")
    steward.ask("POST", "/v1/vehicles", {"name": "Ore wagon"})
    steward.send("POST", "/v1/vehicles", b"x" * 300_000)
    assert counted(watched) == {
        ("GET", "getClub", "200"): 3,
        ("HEAD", "getClub", "200"): 1,
        ("GET", "getClub", "401"): 1,
        ("GET", "none", "404"): 1,
        ("DELETE", "none", "405"): 1,
        ("other", "none", "405"): 1,
        ("OPTIONS", "none", "204"): 1,
        ("GET", "page", "200"): 1,
        ("POST", "createVehicle", "201"): 1,
        ("POST", "createVehicle", "413"): 1,
    }
    assert counted(watched)["GET", "metrics", "200"] == 1


def test_how_long_answers_took_is_measured_by_operation_and_sort_of_status(
    watched: Service,
) -> None:
    steward = watched.club()
    began_s = time.monotonic()
    for path in ("/v1/club", "/v1/club", "/nowhere"):
        steward.ask("GET", path)
    took_s = time.monotonic() - began_s
    page = read(watched).text
    assert samples(page, "standage_request_seconds_count") == {
        ("GET", "getClub", "2xx"): 2,
        ("GET", "none", "4xx"): 1,
    }
    assert 0 < sum(samples(page, "standage_request_seconds_sum").values()) < took_s
    assert samples(page, "standage_requests_in_hand") == {(): 1}, (
        "the one that reads this"
    )


@pytest.mark.usefixtures("small_buckets", "still_buckets")
def test_who_is_told_to_wait_is_counted(database: Database) -> None:
    with serving(
        database, Clock(), Settings(rate_limits="on", metrics_token=TOKEN)
    ) as running:
        stranger = running.stranger()
        answers = [
            stranger.ask("GET", "/v1/club").status_code
            for _ in range(PER_MINUTE["write"] + 30)
        ]
        refused = answers.count(429)
        assert refused > 0
        assert counted(running)["GET", "getClub", "429"] == refused


def test_a_service_that_is_not_ready_is_counted_and_so_is_its_database_trouble(
    tmp_path: Path,
) -> None:
    database = open_database(f"sqlite:///{tmp_path / 'nowhere' / 'club.sqlite3'}")
    with serving(database, Clock(), Settings(metrics_token=TOKEN)) as running:
        refusal(running.stranger().ask("GET", "/v1/club"), 503, "unready")
        assert counted(running)["GET", "getClub", "503"] == 1
        assert (
            samples(read(running).text, "standage_database_troubles_total")[
                ("unready",)
            ]
            >= 1
        )
    database.dispose()


def test_trouble_with_the_database_is_told_by_its_sort(database: Database) -> None:
    told: list[str] = []
    database.on_trouble = told.append
    with pytest.raises(DBAPIError), database.read() as connection:
        connection.execute(text("SELECT nonsense"))
    for error in (Busy("later"), Unready("broken"), ValueError("not the database's")):
        with suppress(type(error)), database.write():
            raise error
    assert told == ["failed", "busy", "unready"]


def test_nobody_can_make_the_labels_many(watched: Service) -> None:
    stranger = watched.stranger()
    before = len(counted(watched))
    for number in range(50):
        stranger.ask("GET", f"/nowhere/{number}")
        stranger.ask(f"METHOD{number}", "/v1/club")
        stranger.ask("GET", f"/v1/vehicles/{number}?query={number}")
    added = set(counted(watched))
    assert len(added) <= before + 4, added


@pytest.mark.parametrize(
    "token", ["", "another token for the metrics", TOKEN[:-1], f"{TOKEN}x", "é"]
)
def test_whoever_has_not_the_token_finds_nothing_there(
    watched: Service, token: str
) -> None:
    answer = watched.http.get(
        "/metrics", headers={b"authorization": f"Bearer {token}".encode()}
    )
    refusal(answer, 404, "not_found")


def test_without_a_token_set_there_are_no_metrics_for_anybody(
    service: Service, steward: Any
) -> None:
    for token in ("", "None", steward.token):
        refusal(read(service, token), 404, "not_found")


def test_the_page_is_text_that_is_not_kept_and_has_its_head(watched: Service) -> None:
    answer = read(watched)
    assert answer.headers["content-type"] == "text/plain; version=0.0.4; charset=utf-8"
    assert answer.headers["cache-control"] == "no-store"
    head = watched.stranger().ask("HEAD", "/metrics", authorization=f"Bearer {TOKEN}")
    assert (head.status_code, head.content) == (200, b"")
    refusal(
        watched.stranger().ask("POST", "/metrics", authorization=f"Bearer {TOKEN}"),
        404,
        "not_found",
    )


def long_questions() -> tuple[Metrics, LongQuestions]:
    metrics = Metrics()
    return metrics, metrics.long_questions


async def there(file: Path) -> None:
    while not file.exists():  # noqa: ASYNC110, ASYNC240 - another process makes the file; looking for it is quick
        await anyio.sleep(0.01)


def test_long_questions_are_counted_by_what_became_of_them(tmp_path: Path) -> None:
    metrics, counter = long_questions()
    begun, end = tmp_path / "begun", tmp_path / "end"
    pool = Pool(most_waiting=0, counted=counter)
    twice = [Wagon(name="A", length_mm=80), Wagon(name="A", length_mm=80)]

    async def ask() -> None:
        await pool.run(abs, -1)
        with suppress(Faulty):
            await pool.run(distinct_names, twice)
        with suppress(FailedError):
            await pool.run(int, "one")
        async with anyio.create_task_group() as together:
            together.start_soon(pool.run, hold_noted, begun, end)
            await there(begun)
            with suppress(Busy):
                await pool.run(abs, -1)
            page = metrics.text().decode()
            end.touch()
            assert samples(page, "standage_long_questions_in_hand") == {(): 1}
        with suppress(Busy):
            await pool.run(os._exit, 1)

    anyio.run(ask)
    pool.close()
    page = metrics.text().decode()
    assert samples(page, "standage_long_questions_total") == {
        ("answered",): 2,
        ("refused",): 1,
        ("failed",): 1,
        ("full",): 1,
        ("lost",): 1,
    }
    assert samples(page, "standage_long_questions_in_hand") == {(): 0}
    assert samples(page, "standage_long_question_wait_seconds_count") == {(): 5}
    assert samples(page, "standage_reckoners_started_total") == {(): 1}


def test_a_question_that_waits_is_measured_from_when_it_came(tmp_path: Path) -> None:
    metrics, counter = long_questions()
    pool = Pool(counted=counter)
    begun, end = tmp_path / "begun", tmp_path / "end"

    def waited_s() -> float:
        return samples(
            metrics.text().decode(), "standage_long_question_wait_seconds_sum"
        )[()]

    async def ask() -> tuple[float, float]:
        async with anyio.create_task_group() as together:
            together.start_soon(pool.run, hold_noted, begun, end)
            await there(begun)
            of_the_first_s, came_s = waited_s(), time.monotonic()
            together.start_soon(pool.run, abs, -1)
            await anyio.wait_all_tasks_blocked()
            stayed_s = time.monotonic()
            await anyio.sleep(WAITED_S)
            stayed_s = time.monotonic() - stayed_s
            end.touch()
        return of_the_first_s + stayed_s, of_the_first_s + time.monotonic() - came_s

    least_s, most_s = anyio.run(ask)
    pool.close()
    assert least_s <= waited_s() <= most_s


def aged(folder: Path) -> None:
    """Let a folder be an hour old."""
    hour_ago = time.time() - 3600
    os.utime(folder, (hour_ago, hour_ago))


def test_the_shared_folder_is_gone_at_the_end(tmp_path: Path) -> None:
    with shared_folder(tmp_path) as folder:
        assert folder.stat().st_mode & 0o777 == 0o700
        (folder / "counter_1.db").touch()
    assert list(tmp_path.iterdir()) == []


def test_what_a_killed_service_left_is_removed_and_what_is_in_use_is_not(
    tmp_path: Path,
) -> None:
    left = tmp_path / "standage-metrics-left"
    left.mkdir()
    (left / "lock").touch()
    aged(left)
    with shared_folder(tmp_path) as in_use:
        aged(in_use)
        with shared_folder(tmp_path):
            assert in_use.exists()
            assert not left.exists()
