"""Whose turn it is to write: few at once, a bounded queue behind them, and nobody waits longer than is said."""

from collections import Counter
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from typing import TypeVar

from anyio import CapacityLimiter, fail_after, to_thread

from standage.registry.records import Busy, KeyInProgress

T = TypeVar("T")

MOST_WAITING = 100
LONGEST_WAIT_S = 5.0


class Turns:
    """The writers of one process."""

    def __init__(self, at_once: int) -> None:
        self._places = CapacityLimiter(at_once)
        self._threads = CapacityLimiter(at_once)  # as many as there are places, so that none is ever waited for
        self._in_hand: Counter[Hashable] = Counter()

    async def take(self, write: Callable[[], T], *, same: Hashable | None) -> T:
        """Return what ``write`` returns, once it is its turn; ``same`` is equal for requests that repeat each other.

        Raises ``Busy`` where too many wait or the turn does not come in time, ``KeyInProgress`` where it does not come
        because the same request is still worked on.
        """
        if self._places.statistics().tasks_waiting > MOST_WAITING:
            raise Busy("Too many changes are waiting.")
        place = object()
        with self._counted(same) as repeats:
            await self._wait_for(place, repeats=repeats)
            try:
                return await to_thread.run_sync(write, limiter=self._threads)
            finally:
                self._places.release_on_behalf_of(place)

    async def _wait_for(self, place: object, *, repeats: bool) -> None:
        try:
            with fail_after(LONGEST_WAIT_S):
                await self._places.acquire_on_behalf_of(place)
        except TimeoutError as error:
            if repeats:
                raise KeyInProgress("the same request is still being worked on; try again in a moment") from error
            raise Busy("other changes take long; try again in a moment") from error

    @contextmanager
    def _counted(self, same: Hashable | None) -> Iterator[bool]:
        """Tell whether the same request is in hand already, and count this one in until it is done."""
        if same is None:
            yield False
            return
        repeats = self._in_hand[same] > 0
        self._in_hand[same] += 1
        try:
            yield repeats
        finally:
            self._in_hand[same] -= 1
            if not self._in_hand[same]:
                del self._in_hand[same]
