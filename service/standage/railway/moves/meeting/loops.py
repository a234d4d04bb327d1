"""Loops: two roads between the same two sets of points, with the line beyond either."""

from collections.abc import Iterator
from typing import NamedTuple

from standage.railway.moves.ground import Ground
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.track.network.network import Course

_MOST_WAYS = 2_000
_TWO = 2


class LoopEnd(NamedTuple):
    """One end of a loop: its points, and the course that leads from their blades out of
    the loop.
    """

    points: str
    out: Course


class Loop(NamedTuple):
    """A loop by its ends and the courses of its two roads from one to the other;
    ``rooms_mm`` is how long a train stands on each between the fouling points.
    """

    ends: tuple[LoopEnd, LoopEnd]
    roads: tuple[tuple[Course, ...], tuple[Course, ...]]
    rooms_mm: tuple[float, float]

    @property
    def inside(self) -> frozenset[int]:
        """The strands of both roads."""
        return frozenset(course >> 1 for road in self.roads for course in road)

    def turned(self) -> "Loop":
        """Return the same loop, the other end first."""
        return self._replace(ends=self.ends[::-1])


def loops_of(ground: Ground) -> Iterator[Loop]:
    """Yield every loop of a plan on which nothing stands, once. Lengths in mm.
    **Source** derived.
    """
    network = ground.network
    seen: set[frozenset[int]] = set()
    for course in range(2 * len(ground.lengths_mm)):
        legs = ground.onwards(course)
        if len(legs) != _TWO or len(network.onwards(legs[0] ^ 1)) != 1:
            continue
        roads = [_road(ground, leg) for leg in legs]
        if roads[0][-1] == roads[1][-1]:
            continue
        beyond = [ground.onwards(road[-1]) for road in roads]
        if len(beyond[0]) != 1 or beyond[0] != beyond[1]:
            continue
        inside = frozenset(one >> 1 for road in roads for one in road)
        if inside in seen or course >> 1 in inside:
            continue
        if any(2 * strand in ground.shut for strand in inside):
            continue
        seen.add(inside)
        ends = (
            LoopEnd(network.piece(legs[0]), course ^ 1),
            LoopEnd(network.piece(beyond[0][0]), beyond[0][0]),
        )
        rooms_mm = (_room_mm(ground, roads[0]), _room_mm(ground, roads[1]))
        yield Loop(ends, (tuple(roads[0]), tuple(roads[1])), rooms_mm)


def _road(ground: Ground, leg: Course) -> list[Course]:
    """Return the courses from a leg's blades to the next ones."""
    road = [leg]
    while True:
        ways = ground.network.onwards(road[-1])
        if len(ways) != 1 or ways[0] in road:
            return road
        if len(ground.network.onwards(ways[0] ^ 1)) != 1:
            return road
        road.append(ways[0])


def _room_mm(ground: Ground, road: list[Course]) -> float:
    """Return how much of a road lies between the fouling points, in one stretch."""
    taken: list[tuple[float, float]] = []
    base_mm = 0.0
    for course in road:
        taken += [
            (base_mm + zone.from_mm, base_mm + zone.to_mm)
            for zone in ground.zones.get(course, ())
        ]
        base_mm += ground.length_mm(course)
    longest_mm = free_from_mm = 0.0
    for from_mm, to_mm in sorted(taken):
        longest_mm = max(longest_mm, from_mm - free_from_mm)
        free_from_mm = max(free_from_mm, to_mm)
    return max(longest_mm, base_mm - free_from_mm)


def strands_beyond(ground: Ground, loop: Loop, end: int) -> frozenset[int]:
    """Return the strands that are reached beyond one end of a loop without going
    through it. **Source** derived.
    """
    waiting = [loop.ends[end].out]
    seen: set[int] = set()
    while waiting:
        strand = waiting.pop() >> 1
        if strand in seen or strand in loop.inside:
            continue
        seen.add(strand)
        for course in (2 * strand, 2 * strand + 1):
            waiting += ground.onwards(course)
    return frozenset(seen)


def room_beyond_mm(ground: Ground, loop: Loop, end: int) -> float:
    """Return how far a train may go beyond one end of a loop, from its blades, on the
    way that leads farthest, in mm. **Source** derived.
    """
    farthest_mm = 0.0
    out = loop.ends[end].out
    waiting: list[tuple[Course, float, frozenset[int]]] = [(out, 0.0, loop.inside)]
    looked_at = 0
    while waiting and looked_at < _MOST_WAYS:
        looked_at += 1
        course, base_mm, over = waiting.pop()
        if course >> 1 in over:
            continue
        own_mm = ground.length_mm(course)
        shut = [
            from_mm
            for from_mm, to_mm in ground.shut.get(course, ())
            if to_mm - from_mm > TOUCHING_MM
        ]
        free_mm = min([own_mm, *shut])
        farthest_mm = max(farthest_mm, base_mm + free_mm)
        if free_mm >= own_mm - TOUCHING_MM:
            there = over | {course >> 1}
            ways = ground.onwards(course)
            waiting += [(way, base_mm + own_mm, there) for way in ways]
    return farthest_mm
