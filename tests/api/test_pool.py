"""The process that reckons: it answers, it is replaced, and it never outlives its
parent.
"""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Awaitable, Callable, Iterator
from operator import add, truediv
from pathlib import Path

import anyio
import pytest

from standage.api.asking.pool import FailedError, Pool
from standage.questions.deal import distinct_names
from standage.railway.shunting.yard import Wagon
from standage.shapes.faults import Fault, Faulty
from standage.shapes.refusals import Busy
from support.long_search import SLEEP_S, hold_noted, sleep_noted
from support.patience import until

SERVICE = Path(__file__).parents[2] / "service"
A_PARENT = """
import sys
from pathlib import Path
import anyio
from support.long_search import search_for_ever
from standage.api.asking.pool import Pool

async def ask():
    pool = Pool()
    await pool.run(print, "ready")
    print(pool.worker_id, flush=True)
    await pool.run(search_for_ever, Path(sys.argv[1]))

anyio.run(ask)
"""


@pytest.fixture
def pool() -> Iterator[Pool]:
    made = Pool(most_waiting=1)
    yield made
    made.close()


def asked(pool: Pool, *questions: Callable[[Pool], Awaitable[object]]) -> list[object]:
    """Ask all at once; return what came back, in order: what was returned, or the error
    raised.
    """
    answers: dict[int, object] = {}

    async def one(number: int, question: Callable[[Pool], Awaitable[object]]) -> None:
        try:
            answers[number] = await question(pool)
        except Exception as error:  # noqa: BLE001 - the test looks at whatever it is
            answers[number] = error

    async def everything() -> None:
        async with anyio.create_task_group() as together:
            for number, question in enumerate(questions):
                together.start_soon(one, number, question)

    anyio.run(everything)
    return [answers[number] for number in range(len(questions))]


def running(process_id: int) -> bool:
    """Tell whether a process runs; one that has ended and waits to be buried does
    not.
    """
    told = subprocess.run(
        ["ps", "-o", "state=", "-p", str(process_id)],
        capture_output=True,
        text=True,
        check=False,
    )
    return told.stdout.strip()[:1] not in {"", "Z"}


def wait_until_ended(process_id: int) -> None:
    until(lambda: not running(process_id))


async def there(file: Path) -> None:
    while not file.exists():  # noqa: ASYNC110, ASYNC240 - another process makes the file; looking for it is quick
        await anyio.sleep(0.01)


def test_no_process_is_started_before_the_first_question(pool: Pool) -> None:
    assert pool.worker_id is None


def test_one_process_answers_one_question_after_another(pool: Pool) -> None:
    assert asked(pool, lambda it: it.run(add, 2, 3)) == [5]
    first = pool.worker_id
    assert asked(pool, lambda it: it.run(os.getpid)) == [first]
    assert pool.worker_id == first != os.getpid()


def test_what_is_printed_does_not_come_between_the_answers(pool: Pool) -> None:
    assert asked(pool, lambda it: it.run(print, "x" * 100_000)) == [None]
    assert asked(pool, lambda it: it.run(add, 2, 3)) == [5]


def test_a_refusal_comes_back_with_all_its_faults(pool: Pool) -> None:
    twice = [Wagon(name="A", length_mm=80), Wagon(name="A", length_mm=80)]
    (refused,) = asked(pool, lambda it: it.run(distinct_names, twice))
    assert isinstance(refused, Faulty)
    assert refused.faults == (
        Fault(
            code="not_unique",
            message="there are two wagons A",
            pointer="/wagons/1/name",
        ),
    )


def test_any_other_error_comes_back_as_its_traceback_and_the_process_goes_on(
    pool: Pool,
) -> None:
    (failed,) = asked(pool, lambda it: it.run(truediv, 1, 0))
    assert isinstance(failed, FailedError)
    assert "ZeroDivisionError" in str(failed)
    process_id = pool.worker_id
    assert asked(pool, lambda it: it.run(add, 2, 3)) == [5]
    assert pool.worker_id == process_id


def test_an_answer_that_cannot_be_sent_back_is_a_failure(pool: Pool) -> None:
    (failed,) = asked(pool, lambda it: it.run(open, os.devnull, "rb"))
    assert isinstance(failed, FailedError)
    assert asked(pool, lambda it: it.run(add, 2, 3)) == [5]


def test_one_more_than_may_wait_is_refused_as_busy(pool: Pool, tmp_path: Path) -> None:
    begun, end = tmp_path / "begun", tmp_path / "end"

    async def let_go(_pool: Pool) -> None:
        await there(begun)
        end.touch()

    *answers, _ = asked(pool, *[lambda it: it.run(hold_noted, begun, end)] * 4, let_go)
    assert answers[:2] == [None, None]
    busy = [one for one in answers if isinstance(one, Busy)]
    assert [one.retry_after_s for one in busy] == [5, 5]
    assert pool.asked == 0


def test_a_process_that_dies_is_replaced_and_its_question_is_busy(
    pool: Pool, tmp_path: Path
) -> None:
    async def killed_at_work(pool: Pool) -> None:
        await there(tmp_path / "begun")
        os.kill(pool.worker_id or 0, signal.SIGKILL)

    asked(pool, lambda it: it.run(add, 2, 3))
    first = pool.worker_id
    busy, _ = asked(
        pool, lambda it: it.run(sleep_noted, tmp_path / "begun"), killed_at_work
    )
    assert isinstance(busy, Busy)
    assert asked(pool, lambda it: it.run(add, 2, 3)) == [5]
    assert pool.worker_id != first


def test_a_process_that_died_between_questions_is_not_noticed(pool: Pool) -> None:
    asked(pool, lambda it: it.run(add, 2, 3))
    os.kill(pool.worker_id or 0, signal.SIGKILL)
    wait_until_ended(pool.worker_id or 0)
    assert asked(pool, lambda it: it.run(add, 2, 3)) == [5]


def test_what_takes_longer_than_anything_may_is_ended() -> None:
    pool = Pool(longest_s=0.2)
    (busy,) = asked(pool, lambda it: it.run(time.sleep, SLEEP_S))
    assert isinstance(busy, Busy)
    pool.close()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_meant_for_the_whole_group_is_left_to_the_parent(
    pool: Pool, number: signal.Signals
) -> None:
    asked(pool, lambda it: it.run(add, 2, 3))
    process_id = pool.worker_id
    os.kill(process_id or 0, number)
    assert asked(pool, lambda it: it.run(os.getpid)) == [process_id]


def test_nothing_is_left_once_the_pool_is_closed(pool: Pool) -> None:
    asked(pool, lambda it: it.run(add, 2, 3))
    process_id = pool.worker_id
    pool.close()
    assert process_id is not None
    assert not running(process_id)
    (busy,) = asked(pool, lambda it: it.run(add, 2, 3))
    assert isinstance(busy, Busy)


def test_a_question_at_work_while_the_pool_is_closed_is_busy(
    pool: Pool, tmp_path: Path
) -> None:
    async def closed_at_work(pool: Pool) -> None:
        await there(tmp_path / "begun")
        await anyio.to_thread.run_sync(pool.close)

    busy, _ = asked(
        pool, lambda it: it.run(sleep_noted, tmp_path / "begun"), closed_at_work
    )
    assert isinstance(busy, Busy)


def test_a_parent_that_is_killed_leaves_no_process_even_in_the_middle_of_a_search(
    tmp_path: Path,
) -> None:
    path = os.pathsep.join([str(SERVICE), str(SERVICE.parent / "tests")])
    begun = tmp_path / "begun"
    parent = subprocess.Popen(
        [sys.executable, "-c", A_PARENT, str(begun)],
        stdout=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": path},
        text=True,
    )
    with parent:
        assert parent.stdout is not None
        process_id = int(parent.stdout.readline())
        until(begun.exists)
        assert running(process_id)
        parent.kill()
        parent.wait()
        wait_until_ended(process_id)
