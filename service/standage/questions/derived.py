"""What was reckoned of a plan on record, kept until something else needs the room.

It lies here, between what is kept and who asks: the registry reckons nothing, and only
a question knows on what its answer rests. It is looked into after a caller has been let
in and has read the plan itself, so that a right that was taken back counts at once.

Nothing is ever put right in it. A key names all that an answer rests on: the club, the
plan as its entity tag names it (a draft's version, or a revision), a digest of whatever
else counts, and the reckoning. Whatever changes has another key, and the old one is not
asked for again. What is kept may have in it what pieces are called; so it goes after
ten minutes, and at once with a member of the club who is erased here. A process that
only reckons keeps nothing: it hands what it found to the one that asked.
"""

from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Lock
from time import monotonic
from typing import Any, NamedTuple

MOST_BYTES = 32 * 1024 * 1024
"""Of one process: some hundred plans of three hundred pieces."""
LONGEST_S = 600.0
RECKONING = 1
"""Goes up when the same plan is reckoned otherwise, so that no two ways are mixed."""
_KEY_BYTES = 600
"""What a key and its place take besides what is kept."""


class Key(NamedTuple):
    """All that a value rests on. ``of`` says what it is, ``beneath`` the id of what the
    plan is of, ``content`` names the plan as it is, ``inputs`` all else.
    """

    club_id: str
    of: str
    beneath: str
    content: str
    inputs: str = ""
    reckoning: int = RECKONING


class Learned(NamedTuple):
    """A value that another process found on its way to an answer."""

    key: Key
    value: Any
    size_bytes: int


class _Kept(NamedTuple):
    value: Any
    size_bytes: int
    since_s: float


class Derived:
    """Values by their keys, bounded in bytes; those longest unused go first."""

    def __init__(
        self,
        *,
        most_bytes: int = MOST_BYTES,
        longest_s: float = LONGEST_S,
        clock_s: Callable[[], float] = monotonic,
    ) -> None:
        self._most_bytes = most_bytes
        self._longest_s = longest_s
        self._clock_s = clock_s
        self._kept: OrderedDict[Key, _Kept] = OrderedDict()
        self._lock = Lock()
        self._learned: list[Learned] | None = None
        self.size_bytes = 0

    def get(self, key: Key) -> Any:
        """Return what is kept under a key; None where nothing is, or not any more."""
        with self._lock:
            found = self._kept.get(key)
            if found is None:
                return None
            if self._clock_s() - found.since_s > self._longest_s:
                self._drop(key)
                return None
            self._kept.move_to_end(key)
            return found.value

    def keep(self, key: Key, value: Any, *, size_bytes: int) -> None:
        """Keep a value that nobody changes any more; one that would take all the room
        is not kept.
        """
        if self._learned is not None:
            self._learned.append(Learned(key, value, size_bytes))
            return
        size_bytes += _KEY_BYTES
        if size_bytes > self._most_bytes // 2:
            return
        with self._lock:
            self._drop(key)
            self._kept[key] = _Kept(value, size_bytes, self._clock_s())
            self.size_bytes += size_bytes
            while self.size_bytes > self._most_bytes:
                self._drop(next(iter(self._kept)))

    @contextmanager
    def handing_on(self) -> Iterator[list[Learned]]:
        """Gather what would be kept, for the process that asked: a process that only
        reckons keeps nothing, as it is not told of whom to forget.
        """
        learned: list[Learned] = []
        self._learned = learned
        try:
            yield learned
        finally:
            self._learned = None

    def forget_club(self, club_id: str) -> None:
        """Let go of all that is kept of a club."""
        with self._lock:
            for key in [one for one in self._kept if one.club_id == club_id]:
                self._drop(key)

    def forget_all(self) -> None:
        """Let go of everything."""
        with self._lock:
            self._kept.clear()
            self.size_bytes = 0

    def _drop(self, key: Key) -> None:
        gone = self._kept.pop(key, None)
        if gone is not None:
            self.size_bytes -= gone.size_bytes


DERIVED = Derived()
"""The one of this process."""
