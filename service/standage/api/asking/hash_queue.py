"""Where passphrases wait to be hashed: few at a time, since each takes much memory, and
few waiting.
"""

from collections.abc import Callable
from typing import Any, TypeVar

from anyio import CapacityLimiter, to_thread

from standage.registry.people.hashing import Hasher
from standage.shapes.refusals import Busy

T = TypeVar("T")

AT_ONCE = 2
MOST_WAITING = 20


class HashQueue:
    """Lets two passphrases be hashed at a time, off the event loop, and the next wait
    for their turn.
    """

    def __init__(self, hasher: Hasher) -> None:
        self._hasher = hasher
        self._turns = CapacityLimiter(AT_ONCE)
        self._asked = 0

    async def run(self, prove: Callable[[Hasher, Any], T], case: Any) -> T:
        """Return what ``prove`` makes of ``case`` with the hasher; raises ``Busy``
        where too many wait already.
        """
        if self._asked >= AT_ONCE + MOST_WAITING:
            message = "Too many people are signing in at this moment."
            raise Busy(message)
        self._asked += (
            1  # here, since of several who come together none waits for a turn yet
        )
        try:
            return await to_thread.run_sync(
                prove, self._hasher, case, limiter=self._turns
            )
        finally:
            self._asked -= 1
