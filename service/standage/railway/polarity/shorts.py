"""Where the two rails are joined: by the metal itself, and by a train over gaps."""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from heapq import heappop, heappush
from math import inf
from typing import NamedTuple

import msgspec

from standage.railway.polarity.metal import Metal, Part, Rail
from standage.railway.track.network.network import Course

MOST_STEPS = 1_000_000
"""So many parts of track are looked at for the least lie that is a short."""
Node = int
"""A part of track in one of its directions: twice its number, and 1 more backwards."""


class Short(msgspec.Struct, frozen=True, kw_only=True):
    """A place where metal joins both rails, or a lie over which a train joins them.

    The two ``rails`` are of one conductor. A lie is ``length_mm`` long, from the part
    that a train only just reaches at one end to that at the other, over ``tracks``; those
    ``counted`` lie between the two.
    """

    rails: tuple[Rail, Rail]
    tracks: tuple[int, ...]
    length_mm: float = 0.0
    counted: tuple[int, ...] = ()
    is_at_rest: bool = False


class Lies(NamedTuple):
    """The parts of all tracks as a train runs over them, whatever is joined to what.

    ``ahead`` has the nodes that follow each; ``rails`` what lies left and right of it.
    """

    ahead: Sequence[tuple[Node, ...]]
    rails: Sequence[tuple[Rail, Rail]]
    lengths_mm: Sequence[float]
    track_of: Sequence[int]


class OutOfStepsError(Exception):
    """A search did not come to its end within its budget."""


class Budget:
    """Steps that a search may still take."""

    def __init__(self, steps: int) -> None:
        self.steps = steps

    def take(self, steps: int) -> None:
        """Take so many; raises ``OutOfStepsError`` where there are no more."""
        self.steps -= steps
        if self.steps < 0:
            raise OutOfStepsError


def lies(metal: Metal, within: Iterable[int] | None = None) -> Lies:
    """Return the parts of all tracks, or of some, with those that follow each of them.
    **Source** derived.
    """
    tracks = range(len(metal.parts)) if within is None else sorted(within)
    first_of: dict[int, int] = {}
    parts: list[Part] = []
    track_of: list[int] = []
    for track in tracks:
        first_of[track] = len(parts)
        parts += metal.parts[track]
        track_of += [track] * len(metal.parts[track])
    ahead: list[tuple[Node, ...]] = []
    rails: list[tuple[Rail, Rail]] = []
    lengths_mm: list[float] = []
    for number, part in enumerate(parts):
        track = track_of[number]
        place = number - first_of[track]
        forwards: tuple[Node, ...] = (2 * (number + 1),)
        backwards: tuple[Node, ...] = (2 * (number - 1) + 1,)
        if place == len(metal.parts[track]) - 1:
            forwards = tuple(_entered(metal, first_of, 2 * track))
        if place == 0:
            backwards = tuple(_entered(metal, first_of, 2 * track + 1))
        ahead += [forwards, backwards]
        rails += [(part.left, part.right), (part.right, part.left)]
        lengths_mm.append(part.to_mm - part.from_mm)
    return Lies(
        ahead=ahead,
        rails=rails,
        lengths_mm=lengths_mm,
        track_of=track_of,
    )


def _entered(
    metal: Metal, first_of: Mapping[int, int], course: Course
) -> Iterator[Node]:
    for way in metal.ways[course]:
        first = first_of.get(way >> 1)
        if first is None:
            continue
        if way & 1:
            yield 2 * (first + len(metal.parts[way >> 1]) - 1) + 1
        else:
            yield 2 * first


def shorts_at_rest(over: Lies, conductors: Sequence[int]) -> Iterator[Short]:
    """Yield the parts of track of which metal joins both rails, whatever stands there.
    **Source** derived.
    """
    for number, track in enumerate(over.track_of):
        left, right = over.rails[2 * number]
        if conductors[left] == conductors[right]:
            yield Short(
                rails=(left, right),
                tracks=(track,),
                is_at_rest=True,
            )


def least_short(
    over: Lies,
    conductors: Sequence[int],
    *,
    below_mm: float = inf,
    budget: Budget | None = None,
) -> Short | None:
    """Return the least lie, less than ``below_mm``, over which a train joins the two
    rails where metal does not; None where there is none.

    A train that is longer than the lie makes the short, one that is just as long does
    not; 0 where to cross one gap is enough. Raises ``OutOfStepsError``. In mm.
    **Source** derived: the rails under a train are one conductor on each side.
    """
    budget = budget or Budget(MOST_STEPS)
    best: Short | None = None
    starts = _starts(over, conductors)
    for (conductor, side), nodes in starts.items():
        found = _nearest(
            over,
            conductors,
            conductor,
            side,
            nodes,
            below_mm,
            budget,
        )
        if found is not None:
            best, below_mm = found, found.length_mm
    return best


def _starts(over: Lies, conductors: Sequence[int]) -> dict[tuple[int, int], list[Node]]:
    """Return the parts at whose end a conductor ends on a side, by both."""
    starts: dict[tuple[int, int], list[Node]] = {}
    for node, ahead in enumerate(over.ahead):
        for side in (0, 1):
            own = conductors[over.rails[node][side]]
            if any(conductors[over.rails[one][side]] != own for one in ahead):
                starts.setdefault((own, side), []).append(node)
    return starts


def _nearest(  # noqa: PLR0913, PLR0917 - one search
    over: Lies,
    conductors: Sequence[int],
    conductor: int,
    side: int,
    starts: Sequence[Node],
    below_mm: float,
    budget: Budget,
) -> Short | None:
    """Return the least way from where a conductor lies on one side to where it lies on
    the other.
    """
    came_from: dict[Node, Node | None] = {}
    queue: list[tuple[float, Node, Node | None]] = []
    for start in starts:
        came_from[start] = None
        for node in over.ahead[start]:
            heappush(queue, (0.0, node, start))
    while queue:
        at_mm, node, before = heappop(queue)
        if at_mm >= below_mm:
            return None
        if node in came_from:
            continue
        budget.take(1)
        came_from[node] = before
        if conductors[over.rails[node][1 - side]] == conductor:
            return _short(
                over,
                came_from,
                node,
                side,
                at_mm,
            )
        beyond_mm = at_mm + over.lengths_mm[node >> 1]
        for onwards in over.ahead[node]:
            if onwards not in came_from:
                heappush(queue, (beyond_mm, onwards, node))
    return None


def _short(
    over: Lies, came_from: dict[Node, Node | None], last: Node, side: int, at_mm: float
) -> Short:
    way = [last]
    before = came_from[last]
    while before is not None:
        way.append(before)
        before = came_from[before]
    way.reverse()
    tracks = [over.track_of[node >> 1] for node in way]
    rails = (over.rails[way[0]][side], over.rails[last][1 - side])
    return Short(
        rails=rails, tracks=tuple(tracks), length_mm=at_mm, counted=tuple(tracks[1:-1])
    )


def metal_between(
    metal: Metal, short: Short, gapped: frozenset[int] = frozenset()
) -> list[tuple[Rail, int]]:
    """Return the shortest way over metal from one rail of a short to the other: the
    rails, each with the joint that follows it; both are of one conductor. **Source**
    derived.
    """
    start, goal = short.rails
    came: dict[Rail, tuple[Rail, int] | None] = {start: None}
    queue = deque([start])
    while goal not in came:
        rail = queue.popleft()
        for other, joint in metal.touching[rail]:
            if other not in came and joint not in gapped:
                came[other] = (rail, joint)
                queue.append(other)
    way = []
    step = came[goal]
    while step is not None:
        way.append(step)
        step = came[step[0]]
    return way[::-1]
