"""While long searches are worked on, short questions are answered; too many are
refused; one that dies is told.

The searching process is held still by a signal, so that nothing here depends on how
fast the machine is.
"""

import os
import signal
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager

import httpx
import pytest

from api.asking import Caller, Clock, Service, refusal, serving
from api.ground import CHECKS
from api.sheets import LIST, imported, previewed, sent
from standage.api.asking.pool import Pool
from standage.registry.database.engine import Database
from support.patience import PATIENCE_S, until

PLAN = "/v1/checks/shunting-plan"
SEARCH = CHECKS["checkShuntingPlan"]
Answers = list[Future[httpx.Response]]


@pytest.fixture
def pool() -> Pool:
    return Pool(most_waiting=1)


@pytest.fixture
def searching(database: Database, pool: Pool) -> Iterator[Service]:
    with serving(database, Clock(), pool=pool) as running:
        yield running


@contextmanager
def two_under_way(pool: Pool, caller: Caller) -> Iterator[tuple[int, Answers]]:
    """Ask two long questions, of which one is begun, held still, and one waits; give
    the process and the answers.
    """
    assert caller.ask("POST", PLAN, SEARCH).status_code == 200
    process_id, begun = pool.worker_id or 0, pool.begun
    os.kill(process_id, signal.SIGSTOP)
    with ThreadPoolExecutor(2) as threads:
        asked = [threads.submit(caller.ask, "POST", PLAN, SEARCH) for _ in range(2)]
        try:
            until(lambda: pool.asked == 2 and pool.begun == begun + 1)
            yield process_id, asked
        finally:
            if pool.worker_id == process_id:
                os.kill(process_id, signal.SIGCONT)


def test_short_questions_are_answered_while_two_long_searches_are_under_way(
    searching: Service, pool: Pool
) -> None:
    steward = searching.club()
    with two_under_way(pool, steward) as (process_id, asked):
        for _ in range(5):
            assert steward.ask("GET", "/health/live").status_code == 200
            assert steward.ask("GET", "/health/ready").status_code == 200
            assert (
                steward.ask(
                    "POST", "/v1/checks/train-fit", CHECKS["checkTrainFit"]
                ).status_code
                == 200
            )
            steward.made("/v1/layouts", {"name": f"Layout {_}"})
        assert [one.done() for one in asked] == [False, False]
        os.kill(process_id, signal.SIGCONT)
        answers = [one.result(PATIENCE_S) for one in asked]
    assert [one.status_code for one in answers] == [200, 200]
    assert answers[0].content == answers[1].content


def test_one_search_too_many_is_refused_and_told_when_to_come_again(
    searching: Service, pool: Pool
) -> None:
    steward = searching.club()
    with two_under_way(pool, steward) as (process_id, asked):
        busy = steward.ask("POST", PLAN, SEARCH)
        refusal(busy, 503, "busy")
        assert busy.headers["retry-after"] == "5"
        os.kill(process_id, signal.SIGCONT)
        assert [one.result(PATIENCE_S).status_code for one in asked] == [200, 200]
    assert steward.ask("POST", PLAN, SEARCH).status_code == 200


def test_the_start_of_a_puzzle_is_drawn_without_waiting_for_a_search(
    searching: Service, pool: Pool
) -> None:
    steward = searching.club()
    with two_under_way(pool, steward) as (_, asked):
        assert (
            steward.ask("POST", f"{PLAN}/drawing?show=start", SEARCH).status_code == 200
        )
        assert [one.done() for one in asked] == [False, False]


def test_files_come_in_and_go_out_without_waiting_for_a_search(
    searching: Service, pool: Pool
) -> None:
    steward = searching.club()
    with two_under_way(pool, steward) as (_, asked):
        preview = previewed(steward, LIST)
        assert imported(steward, preview, "good").status_code == 200
        path = f"/v1/stock-imports/{preview['id']}"
        mapped = sent(steward, LIST).json()
        put = steward.ask(
            "PUT",
            f"/v1/stock-imports/{mapped['id']}/mapping",
            mapped["mapping"],
            if_match="*",
        )
        assert put.status_code == 200
        for file in (
            f"{path}/rejected-rows",
            "/v1/stock-list.csv",
            "/v1/stock-list.xlsx",
        ):
            assert steward.ask("GET", file).status_code == 200
        assert [one.done() for one in asked] == [False, False]


def test_who_may_not_ask_is_refused_before_anybody_waits(
    searching: Service, pool: Pool
) -> None:
    steward = searching.club()
    with two_under_way(pool, steward):
        refusal(searching.stranger().ask("POST", PLAN, SEARCH), 401, "unauthenticated")
        refusal(steward.ask("POST", PLAN, {}), 422, "invalid")


def test_a_search_whose_process_is_killed_is_busy_and_the_next_is_answered(
    searching: Service, pool: Pool
) -> None:
    steward = searching.club()
    with two_under_way(pool, steward) as (process_id, asked):
        os.kill(process_id, signal.SIGKILL)
        answers = [one.result(PATIENCE_S) for one in asked]
    assert sorted(one.status_code for one in answers) == [200, 503]
    refusal(next(one for one in answers if one.status_code == 503), 503, "busy")
    assert pool.worker_id != process_id


def test_no_process_is_left_when_the_service_ends(
    database: Database, pool: Pool
) -> None:
    with serving(database, Clock(), pool=pool) as running:
        assert running.club().ask("POST", PLAN, SEARCH).status_code == 200
        process_id = pool.worker_id or 0
        os.kill(process_id, 0)
    with pytest.raises(ProcessLookupError):
        os.kill(process_id, 0)
