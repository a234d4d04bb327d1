"""How two trains get by each other, each from its place to its goal: fewest reversals of
both together, then least distance.
"""

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

import msgspec

from standage.railway.moves.ground import Ground
from standage.railway.moves.meeting.berths import (
    A_REVERSAL,
    MILLIONTHS,
    Berths,
    Step,
    berths_of,
)
from standage.railway.moves.meeting.creeping import may_creep
from standage.railway.moves.meeting.marks import lasting_marks, with_touching
from standage.railway.moves.meeting.met_runs import (
    Both,
    MetRun,
    Played,
    Which,
    met_runs,
)
from standage.railway.moves.meeting.occupied import occupied
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted

MOST_PAIRS = 150_000
"""So many pairs of berths are looked at for one meeting."""

_Onward = tuple[int, Which, Step]
_Onwards = Callable[[int, int], Iterator[_Onward]]
_Before = tuple[int, Which, Step] | None


class Meeting(msgspec.Struct, frozen=True, kw_only=True):
    """A way for both trains to their goals, run after run."""

    reversals: int
    distance_mm: float
    runs: tuple[MetRun, ...]


class Met(msgspec.Struct, frozen=True, kw_only=True):
    """What was found of a meeting; ``best`` is None where there is no way, or where the
    search ``gave_up``.

    ``alone`` says of each train whether it gets there with the other out of the way.
    ``is_shortest`` unless there may be a shorter way with as few reversals. Where both
    ``may_creep`` round a circuit in turn, there may be a way, or one with fewer.
    """

    best: Meeting | None
    alone: tuple[bool, bool]
    gave_up: bool = False
    is_shortest: bool = True
    may_creep: bool = False


def met(ground: Ground, both: Both, *, most_pairs: int = MOST_PAIRS) -> Met:
    """Return the best way for two trains to their goals, moving one at a time.

    Lengths in mm. Looks at ``most_pairs`` pairs of berths at most. **Source** derived;
    a simulation in the tests pushes both trains cell by cell.
    """
    stands = [one for wanted in both for one in _stands(wanted)]
    barred = (*both[0].no_propelling, *both[1].no_propelling)
    marks = lasting_marks(ground, stands, barred, margin_mm=both[0].margin_mm)
    one, other = both
    roads = (berths_of(ground, one, marks), berths_of(ground, other, marks))
    alone = [road.alone() for road in roads]
    gave_up = any(road.gave_up for road in roads)
    is_alone = (alone[0] is not None, alone[1] is not None)
    if None in alone:
        return Met(
            best=None,
            alone=is_alone,
            gave_up=gave_up,
        )
    search = _Search(ground, both, roads, most_pairs=most_pairs)
    found = search.found()
    gave_up = gave_up or search.gave_up
    if found is None and not all(road.goes_round() for road in roads):
        return Met(
            best=None,
            alone=is_alone,
            gave_up=gave_up,
        )
    least = sum(cost for cost in alone if cost is not None)
    if found is not None and found.cost == least:
        return Met(best=_told(found), alone=is_alone)
    # Where the one waits up against the other, more places count: for the distance, and
    # where both follow each other round a circuit to get there at all.
    finer = (
        berths_of(ground, one, with_touching(ground, marks, train_mm=other.train_mm)),
        berths_of(ground, other, with_touching(ground, marks, train_mm=one.train_mm)),
    )
    below = None if found is None else found.cost
    closer = _Search(
        ground,
        both,
        finer,
        most_pairs=most_pairs,
        below=below,
    )
    best = closer.found() or found
    is_whole = not (closer.gave_up or any(each.gave_up for each in finer))
    is_least = best is not None and best.cost // A_REVERSAL == least // A_REVERSAL
    trains_mm = one.train_mm + other.train_mm
    creeps = not is_least and may_creep(ground, finer, trains_mm=trains_mm)
    return Met(
        best=None if best is None else _told(best),
        alone=is_alone,
        gave_up=gave_up or (best is None and not is_whole),
        is_shortest=is_whole,
        may_creep=creeps,
    )


def _stands(wanted: Wanted) -> Iterator[Stand]:
    yield wanted.start
    if wanted.goal is not None:
        yield wanted.goal


class _Found(NamedTuple):
    """A way that was found, and what it costs."""

    cost: int
    played: Played


def _told(found: _Found) -> Meeting:
    return Meeting(
        reversals=found.cost // A_REVERSAL,
        distance_mm=found.cost % A_REVERSAL / MILLIONTHS,
        runs=met_runs(found.played),
    )


class _Search:
    """Looks for the best way from any pair of first berths to a pair of goals.

    Only what costs less than ``below`` is looked for, where that is given.
    """

    def __init__(
        self,
        ground: Ground,
        both: Both,
        roads: Sequence[Berths],
        *,
        most_pairs: int,
        below: int | None = None,
    ) -> None:
        self.ground = ground
        self.both = both
        self.roads = roads
        self.gave_up = False
        self.occupied = occupied(
            ground,
            [(road, one.train_mm) for road, one in zip(roads, both, strict=True)],
        )
        self._most_pairs = most_pairs
        self._below = below
        # A pair of berths has a number: so often the berths of the second, and its own.
        self._width = len(roads[1].berths)
        self._heap: list[tuple[int, int, int]] = []
        self._least: dict[int, int] = {}
        self._came: dict[int, _Before] = {}

    def found(self) -> _Found | None:
        """Go on from the best pair that is known until both are there."""
        onwards = self._onwards()
        done: set[int] = set()
        for pair in self._beginnings():
            self._push(pair, 0, None)
        while self._heap:
            cost, minus_gone, pair = heappop(self._heap)
            if pair in done:
                continue
            if cost + minus_gone == 0:  # nothing is left
                return self._traced(pair, cost)
            done.add(pair)
            if len(done) > self._most_pairs:
                self.gave_up = True
                return None
            for further, which, step in onwards(*divmod(pair, self._width)):
                if further not in done:
                    gone = step.cost - minus_gone
                    self._push(further, gone, (pair, which, step))
        return None

    def _push(self, pair: int, gone: int, before: _Before) -> None:
        """Keep for later what may yet lead to the goals."""
        known = self._least.get(pair)
        if known is not None and known <= gone:
            return
        one, other = divmod(pair, self._width)
        one_left = self.roads[0].left[one]
        other_left = self.roads[1].left[other]
        if one_left is None or other_left is None:
            return
        cost = gone + one_left + other_left
        if self._below is not None and cost >= self._below:
            return
        self._least[pair] = gone
        self._came[pair] = before
        heappush(self._heap, (cost, -gone, pair))

    def _onwards(self) -> _Onwards:
        """Return what yields the pairs that follow one: either train moves."""
        first, second = self.roads
        width = self._width
        takes, takes_too = (one.takes_on_way for one in self.occupied)
        bars, bars_too = (one.bars for one in self.occupied)
        waits, waits_too = ([b.may_wait for b in one.berths] for one in self.roads)

        def onwards(one: int, other: int) -> Iterator[_Onward]:
            if waits_too[other]:
                barred = bars_too[other]
                for step, taken in zip(first.steps[one], takes[one], strict=True):
                    if not taken & barred:
                        yield step.to * width + other, 0, step
            if waits[one]:
                barred = bars[one]
                steps = second.steps[other]
                for step, taken in zip(steps, takes_too[other], strict=True):
                    if not taken & barred:
                        yield one * width + step.to, 1, step

        return onwards

    def _beginnings(self) -> Iterator[int]:
        """Yield the pairs of first berths where both find room."""
        first, second = self.roads
        takes, bars = self.occupied[0].takes, self.occupied[1].bars
        for one in first.starts:
            for other in second.starts:
                if not takes[one] & bars[other]:
                    yield one * self._width + other

    def _traced(self, pair: int, cost: int) -> _Found:
        steps: tuple[list[Step], list[Step]] = ([], [])
        before = self._came[pair]
        while before is not None:
            pair, which, step = before
            steps[which].append(step)
            before = self._came[pair]
        played = Played(
            ground=self.ground,
            both=self.both,
            roads=self.roads,
            occupied=self.occupied,
            firsts=divmod(pair, self._width),
            steps=(tuple(reversed(steps[0])), tuple(reversed(steps[1]))),
        )
        return _Found(cost, played)
