"""Processes for long questions that outlive the service of one test, for the next
test's: to start one takes longer than most tests.
"""

import atexit
from typing import Any

from standage.api.asking.pool import Worker

_IDLE: list["KeptWorker"] = []


class KeptWorker(Worker):
    """A worker that is kept where it is ended with nothing to do."""

    def __init__(self) -> None:
        super().__init__()
        self._has_answered = True

    def ask(self, question: Any, *, longest_s: float) -> Any:
        self._has_answered = False
        answer = super().ask(question, longest_s=longest_s)
        self._has_answered = True
        return answer

    def end(self) -> None:
        if self._has_answered and self.lives:
            _IDLE.append(self)
        else:
            super().end()


def kept_worker() -> KeptWorker:
    """Return a worker that lives, kept or new."""
    while _IDLE:
        worker = _IDLE.pop()
        if worker.lives:
            return worker
        Worker.end(worker)
    return KeptWorker()


@atexit.register
def _end_all() -> None:
    while _IDLE:
        Worker.end(_IDLE.pop())
