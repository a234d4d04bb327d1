"""Long reckoning in a process of its own, so that whoever asks something short need not
wait for it.

Each process of the service has one worker. It is started at the first long question, in
a fresh interpreter, and takes one question at a time; a few wait, and one too many is
refused as busy. A worker that ends is replaced at the next question. A question whose
caller has gone away is answered all the same: its budget of steps bounds it.
"""

import logging
import os
import pickle
import sys
import time
from collections.abc import Callable
from subprocess import PIPE, Popen, TimeoutExpired
from threading import Lock, Timer
from typing import IO, Any

from anyio import CapacityLimiter, to_thread

from standage.api.asking.worker import Answer, Question, read_frame, write_frame
from standage.api.web.journal import ElsewhereError
from standage.api.web.metrics import LongQuestions, Metrics
from standage.shapes.refusals import Busy

log = logging.getLogger(__name__)

MOST_WAITING = 8
LONGEST_S = 120.0
"""No question may take longer; a budget of steps ends every one of them long before."""

RETRY_AFTER_S = 5
_PATIENCE_S = 5.0
_COMMAND = (sys.executable, "-P", "-m", "standage.api.asking.worker")


class FailedError(ElsewhereError):
    """What was asked of the worker failed there."""


class Pool:
    """One worker, and those who wait for it."""

    def __init__(
        self,
        *,
        most_waiting: int = MOST_WAITING,
        longest_s: float = LONGEST_S,
        counted: LongQuestions | None = None,
    ) -> None:
        self._start: Callable[[], Worker] = Worker
        self._counted = counted or Metrics().long_questions
        self._most_waiting = most_waiting
        self._longest_s = longest_s
        self._turns = CapacityLimiter(1)
        self._asked = 0
        self._begun = 0
        self._starting = Lock()
        self._worker: Worker | None = None
        self._closed = False

    @property
    def worker_id(self) -> int | None:
        """The worker's process id; None where there is no worker."""
        worker = self._worker
        if worker is None:
            return None
        return worker.id

    @property
    def asked(self) -> int:
        """How many questions are worked on or wait."""
        return self._asked

    @property
    def begun(self) -> int:
        """How many questions a worker has been given so far; one that ends from now on
        takes that one with it.
        """
        return self._begun

    async def run(self, function: Callable[..., Any], *arguments: Any) -> Any:
        """Return what ``function``, which must stand in a module by its name, returns;
        or raise the refusal it raises.

        Raises ``Busy`` where too many wait or the worker ends, ``FailedError`` where
        the function raises anything else.
        """
        if self._asked > self._most_waiting:
            self._counted.ended("full")
            raise Busy(
                "too many long questions are waiting", retry_after_s=RETRY_AFTER_S
            )
        self._asked += 1
        try:
            with self._counted.in_hand.track_inprogress():
                return await to_thread.run_sync(
                    self._run,
                    function,
                    arguments,
                    time.monotonic(),
                    limiter=self._turns,
                )
        finally:
            self._asked -= 1

    def _run(
        self,
        function: Callable[..., Any],
        arguments: tuple[Any, ...],
        asked_at_s: float,
    ) -> Any:
        self._counted.waited.observe(time.monotonic() - asked_at_s)
        worker = self._started()
        self._begun += 1
        try:
            how, value = worker.ask((function, arguments), longest_s=self._longest_s)
        except (EOFError, OSError) as error:
            worker.end()
            self._counted.ended("lost")
            log.warning("the worker ended before its answer came")
            raise Busy(
                "the process that worked on this has ended", retry_after_s=RETRY_AFTER_S
            ) from error
        self._counted.ended(how)
        if how == "refused":
            raise value
        if how == "failed":
            raise FailedError(value)
        return value

    def _started(self) -> "Worker":
        with self._starting:
            if self._closed:
                raise Busy("the service is about to stop", retry_after_s=RETRY_AFTER_S)
            if self._worker is not None and not self._worker.lives:
                self._worker.end()
                self._worker = None
            if self._worker is None:
                self._worker = self._start()
                self._counted.processes.inc()
            return self._worker

    def close(self) -> None:
        """End the worker, whatever it is about; nothing is worked on from now on."""
        with self._starting:
            self._closed = True
            if self._worker is not None:
                self._worker.end()


class Worker:
    """The worker's process, seen from its parent."""

    def __init__(self) -> None:
        here = os.getcwd()  # noqa: PTH109 - what "" on the path means
        folders = [entry or here for entry in sys.path]
        path = os.pathsep.join(folders)
        environment = os.environ | {"PYTHONPATH": path}
        self._process = Popen(  # noqa: S603 - our own module
            _COMMAND,
            stdin=PIPE,
            stdout=PIPE,
            env=environment,
        )
        self._questions, self._answers = _ends(self._process)

    @property
    def id(self) -> int:
        return self._process.pid

    @property
    def lives(self) -> bool:
        has_ended = self._process.poll() is not None
        return not has_ended and not self._questions.closed

    def ask(self, question: Question, *, longest_s: float) -> Answer:
        """Return the answer; raises ``EOFError`` or ``OSError`` where the worker ends
        or is ended before it has one.
        """
        limit = Timer(longest_s, self._process.kill)
        limit.start()
        try:
            write_frame(self._questions, question)
            pickled = read_frame(self._answers)
        except ValueError as error:  # closed meanwhile
            raise EOFError from error
        finally:
            limit.cancel()
        answer: Answer = pickle.loads(pickled)  # noqa: S301 - from our own child
        return answer

    def end(self) -> None:
        """End the process and wait until it is gone."""
        try:
            self._questions.close()
            self._process.wait(_PATIENCE_S)
        except (OSError, TimeoutExpired):
            self._process.kill()
            self._process.wait()
        self._answers.close()


def _ends(process: "Popen[bytes]") -> tuple[IO[bytes], IO[bytes]]:
    if process.stdin is None or process.stdout is None:
        raise AssertionError(process.args)
    return process.stdin, process.stdout
