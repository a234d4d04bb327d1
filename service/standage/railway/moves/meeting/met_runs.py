"""The runs of two trains that get by each other, in an order in which they change over
as seldom as they can.
"""

from collections.abc import Iterator, Sequence
from itertools import takewhile
from typing import Literal, NamedTuple

import msgspec

from standage.railway.moves.ground import Ground, Span
from standage.railway.moves.meeting.berths import MILLIONTHS, Berth, Berths, Step
from standage.railway.moves.meeting.occupied import Occupied, spans_of, spans_under
from standage.railway.moves.standing import lying
from standage.railway.moves.wanted import Run, Wanted

Which = Literal[0, 1]
Both = tuple[Wanted, Wanted]
_Order = list[tuple[Which, int]]
"""Steps in order: which train's, and the number of it."""


class MetRun(msgspec.Struct, frozen=True, kw_only=True):
    """A run of one train, by its number, while the other stands on ``beside``.

    ``gone_over`` is what the other runs over before this one moves again. ``waits``
    where the train goes on the same way later; ``is_last`` where it is there.
    """

    which: Which
    run: Run
    beside: tuple[Span, ...]
    gone_over: tuple[Span, ...]
    waits: bool
    is_last: bool


class Played(NamedTuple):
    """Two trains with all their berths, and the steps of each from its first one."""

    ground: Ground
    both: Both
    roads: Sequence[Berths]
    occupied: Sequence[Occupied]
    firsts: tuple[int, int]
    steps: tuple[tuple[Step, ...], tuple[Step, ...]]

    def numbers(self, which: Which) -> list[int]:
        """Return the berths of a train, from its first one on."""
        later = [step.to for step in self.steps[which]]
        return [self.firsts[which], *later]

    def taken(self, which: Which) -> list[int]:
        """Return what a train takes on each of its steps."""
        on_way = self.occupied[which].takes_on_way
        steps = self.roads[which].steps
        numbers = self.numbers(which)
        return [
            on_way[here][steps[here].index(step)]
            for here, step in zip(numbers, self.steps[which], strict=False)
        ]

    def barred(self, which: Which) -> list[int]:
        """Return what a train bars to the other at each of its berths."""
        return [self.occupied[which].bars[one] for one in self.numbers(which)]

    def waits(self, which: Which) -> list[bool]:
        """Return of each of its berths whether it may wait there."""
        return [self.roads[which].berths[one].may_wait for one in self.numbers(which)]


def met_runs(played: Played) -> tuple[MetRun, ...]:
    """Return the runs of two trains whose steps are known.

    Each keeps its own steps; the order between both is chosen so that the one that
    moves changes as seldom as it can. Takes as many steps as the two numbers of steps
    multiplied. **Source** derived.
    """
    runs = list(_runs(played, _order(played)))
    return tuple(_joined(played, runs))


def _order(played: Played) -> _Order:
    """Return the steps of both in the order with the fewest changes of train."""
    lattice = _Lattice(played)
    best: dict[tuple[int, int, int], tuple[int, tuple[int, int, int] | None]] = {}
    for which in (0, 1):
        best[0, 0, which] = (0, None)
    ends = (len(played.steps[0]), len(played.steps[1]))
    for one in range(ends[0] + 1):
        for other in range(ends[1] + 1):
            for which in (0, 1):
                here = (one, other, which)
                if here not in best:
                    continue
                changes, _ = best[here]
                for mover, there in lattice.onwards(one, other):
                    cost = changes + (mover != which)
                    known = best.get(there)
                    if known is None or cost < known[0]:
                        best[there] = (cost, here)
    last = min(
        (best[*ends, which][0], which) for which in (0, 1) if (*ends, which) in best
    )
    return _traced(best, (*ends, last[1]))


def _traced(
    best: dict[tuple[int, int, int], tuple[int, tuple[int, int, int] | None]],
    end: tuple[int, int, int],
) -> _Order:
    order: _Order = []
    here = end
    before = best[here][1]
    while before is not None:
        which: Which = 0 if before[0] != here[0] else 1
        order.append((which, before[which]))
        here = before
        before = best[here][1]
    order.reverse()
    return order


class _Lattice:
    """How far each train has come along its own steps."""

    def __init__(self, played: Played) -> None:
        self._takes = (played.taken(0), played.taken(1))
        self._bars = (played.barred(0), played.barred(1))
        self._waits = (played.waits(0), played.waits(1))

    def onwards(
        self, one: int, other: int
    ) -> Iterator[tuple[Which, tuple[int, int, int]]]:
        """Yield which train may take its next step, and how far both have then come."""
        if self._may_move(0, one, other):
            yield 0, (one + 1, other, 0)
        if self._may_move(1, other, one):
            yield 1, (one, other + 1, 1)

    def _may_move(self, which: Which, own: int, others: int) -> bool:
        takes = self._takes[which]
        if own == len(takes) or not self._waits[1 - which][others]:
            return False
        return not takes[own] & self._bars[1 - which][others]


def _runs(played: Played, order: _Order) -> Iterator[MetRun]:
    """Yield each stretch of steps of one train in one direction."""
    numbers = (played.numbers(0), played.numbers(1))
    come = [0, 0]
    place = 0
    while place < len(order):
        which = order[place][0]
        steps: list[Step] = []
        first = come[which]
        while place < len(order) and order[place][0] == which:
            step = played.steps[which][come[which]]
            if step.turns and steps:
                break
            come[which] += 1
            place += 1
            if step.turns:
                first = come[which]
            else:
                steps.append(step)
        if steps:
            others: Which = 0 if which else 1
            beside = played.roads[others].berths[numbers[others][come[others]]]
            begins = played.roads[which].berths[numbers[which][first]]
            yield _run(
                played,
                which,
                begins,
                steps,
                beside,
            )


def _run(
    played: Played, which: Which, begins: Berth, steps: Sequence[Step], beside: Berth
) -> MetRun:
    courses = begins.train.courses
    for step in steps:
        courses += step.onto
    train_mm = played.both[which].train_mm
    from_mm = begins.train.rear_mm + train_mm
    gone = sum(step.cost for step in steps)
    run = Run(
        engine_leads=begins.engine_leads,
        courses=courses,
        from_mm=from_mm,
        to_mm=from_mm + gone / MILLIONTHS,
    )
    others_mm = played.both[1 - which].train_mm
    return MetRun(
        which=which,
        run=run,
        beside=spans_under(played.ground, beside, train_mm=others_mm),
        gone_over=(),
        waits=False,
        is_last=False,
    )


def _joined(played: Played, runs: Sequence[MetRun]) -> Iterator[MetRun]:
    """Yield the runs, each with what follows: whether its train is there then, or only
    waits, and where the other goes meanwhile.
    """
    for number, one in enumerate(runs):
        after = runs[number + 1 :]
        own = [run for run in after if run.which == one.which]
        meanwhile = takewhile(lambda run: run.which != one.which, after)  # noqa: B023 - used up here
        over = [span for run in meanwhile for span in _gone_over(played, run)]
        yield msgspec.structs.replace(
            one,
            gone_over=tuple(over),
            waits=bool(own) and own[0].run.engine_leads == one.run.engine_leads,
            is_last=not own,
        )


def _gone_over(played: Played, one: MetRun) -> tuple[Span, ...]:
    """Return all that a train takes on a run."""
    run = one.run
    train_mm = played.both[one.which].train_mm
    rear_mm = run.from_mm - train_mm
    whole = lying(played.ground, run.courses, rear_mm=rear_mm)
    return spans_of(played.ground, whole, train_mm=train_mm + run.distance_mm)
