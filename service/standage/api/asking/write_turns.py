"""Whose turn it is to write: few at once, a bounded queue behind them, and nobody waits
longer than is said.

The writers' threads take the next write themselves. Were it handed to them by the event
loop, each would wait for the loop to come round, and a crowd of readers keeps it from
that.
"""

import asyncio
from collections import Counter
from collections.abc import Callable, Hashable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from contextvars import copy_context
from typing import TypeVar

from anyio import CancelScope

from standage.shapes.refusals import Busy, KeyInProgress

T = TypeVar("T")

MOST_WAITING = 100
LONGEST_WAIT_S = 5.0


class Turns:
    """The writers of one process."""

    def __init__(self, at_once: int) -> None:
        self._at_once = at_once
        self._threads = ThreadPoolExecutor(at_once, thread_name_prefix="writer")
        self._handed_over = 0
        self._in_hand: Counter[Hashable] = Counter()

    async def take(self, write: Callable[[], T], *, same: Hashable | None) -> T:
        """Return what ``write`` returns, once it is its turn; ``same`` is equal for
        requests that repeat each other.

        What has begun is waited for, even where its caller has gone. Raises ``Busy``
        where too many wait or the turn does not come in time, ``KeyInProgress`` where
        it does not come because the same request is still worked on.
        """
        if self._handed_over - self._at_once > MOST_WAITING:
            raise Busy("Too many changes are waiting.")
        with self._counted(same) as repeats, CancelScope(shield=True):
            writing = self._threads.submit(copy_context().run, write)
            written = asyncio.wrap_future(writing)
            await asyncio.wait({written}, timeout=LONGEST_WAIT_S)
            if not writing.cancel():  # it has begun
                return await written
        if repeats:
            raise KeyInProgress(
                "the same request is still being worked on; try again in a moment"
            )
        raise Busy("other changes take long; try again in a moment")

    def close(self) -> None:
        """Let what has begun come to its end, and end the threads."""
        self._threads.shutdown()

    @contextmanager
    def _counted(self, same: Hashable | None) -> Iterator[bool]:
        """Tell whether the same request is in hand already, and count this one in until
        it is done.
        """
        repeats = same is not None and self._in_hand[same] > 0
        self._handed_over += 1
        self._in_hand[same] += 1
        try:
            yield repeats
        finally:
            self._handed_over -= 1
            self._in_hand[same] -= 1
            if not self._in_hand[same]:
                del self._in_hand[same]
