"""Rate limits: a bucket of requests for each caller and class, refilled steadily,
counted in this process's memory.
"""

import math
from collections import OrderedDict
from collections.abc import Callable, Mapping
from threading import Lock

from standage.api.web.operation import RateClass
from standage.api.web.problems import Rejected

PER_MINUTE: Mapping[RateClass, int] = {
    "sign_in": 20,
    "import": 30,
    "search": 120,
    "write": 300,
    "check": 1200,
    "read": 3000,
}
"""How many requests of each class a caller may send in a minute, and in one burst."""

_MOST_CALLERS = 10_000


class Limits:
    """Counts requests, of several threads at once; ``clock`` gives seconds that never
    run backwards.
    """

    def __init__(self, clock: Callable[[], float], *, processes: int = 1) -> None:
        self._clock = clock
        self._processes = processes
        self._lock = Lock()
        self._buckets: OrderedDict[tuple[str, RateClass], tuple[float, float]] = (
            OrderedDict()
        )

    def take(self, caller: str, rate: RateClass) -> list[tuple[bytes, bytes]]:
        """Count one request of ``caller``; raises ``Rejected`` (too_many_requests) when
        its bucket is empty.

        Returns the headers that say how many are left, of the IETF's draft for them.
        """
        size = max(1.0, PER_MINUTE[rate] / self._processes)
        left = self._left(caller, rate, size=size)
        told = _told(
            rate,
            size=size,
            left=max(0.0, left - 1),
        )
        if left < 1:
            wait_s = math.ceil((1 - left) * 60 / size)
            detail = f"More than {PER_MINUTE[rate]} requests of this sort in a minute."
            raise Rejected(
                "too_many_requests",
                detail,
                headers=[("retry-after", str(wait_s)), *told],
            )
        return [(name.encode(), value.encode()) for name, value in told]

    def _left(self, caller: str, rate: RateClass, *, size: float) -> float:
        """Return what the bucket held before this request took one out of it."""
        with self._lock:
            now = self._clock()
            before, seen = self._buckets.pop((caller, rate), (size, now))
            refilled = (now - seen) * size / 60
            left = min(size, before + refilled)
            after = left - 1 if left >= 1 else left
            self._buckets[caller, rate] = (after, now)
            if len(self._buckets) > _MOST_CALLERS:
                self._buckets.popitem(last=False)
            return left


def _told(rate: RateClass, *, size: float, left: float) -> list[tuple[str, str]]:
    """Return how many requests there may be, and are left until all are there again."""
    full_s = math.ceil((size - left) * 60 / size)
    return [
        ("ratelimit-policy", f'"{rate}";q={int(size)};w=60'),
        ("ratelimit", f'"{rate}";r={int(left)};t={full_s}'),
    ]
