"""How far it is to a goal at the least, whichever way a train turns."""

from collections.abc import Collection, Iterable
from heapq import heappop, heappush
from math import inf

from standage.railway.moves.ground import Ground
from standage.railway.track.network.network import Course


class Distances:
    """The least that a point of a train travels to some track, reversing anywhere.

    ``strands`` are that track, whole; ``ends`` are courses at whose ends it lies. No
    train gets there with less. Takes as many steps as there are strands. **Source**
    derived.
    """

    def __init__(
        self, ground: Ground, strands: Collection[int], ends: Iterable[Course]
    ) -> None:
        self._ground = ground
        self._strands = frozenset(strands)
        both_ends = [2 * strand + way for strand in self._strands for way in (0, 1)]
        self._left_mm = self._from_ends([*both_ends, *ends])

    def _from_ends(self, ends: Iterable[Course]) -> dict[Course, float]:
        """Return the least distance from the end of each course."""
        left_mm: dict[Course, float] = {}
        waiting = [(0.0, end) for end in ends]
        while waiting:
            mm, end = heappop(waiting)
            if end in left_mm:
                continue
            left_mm[end] = mm
            for way in self._ground.network.onwards(end):
                heappush(waiting, (mm, way ^ 1))
            heappush(waiting, (mm + self._ground.length_mm(end), end ^ 1))
        return left_mm

    def least_mm(self, course: Course, along_mm: float) -> float:
        """Return how far it is from so far along a course; inf where no way leads
        there.
        """
        if course >> 1 in self._strands:
            return 0.0
        onwards_mm = self._ground.length_mm(course) - along_mm
        return min(
            self._left_mm.get(course, inf) + onwards_mm,
            self._left_mm.get(course ^ 1, inf) + along_mm,
        )
