"""The fewest visits, couplings or cuts by hand, proved.

Two waves go out, from the start and from everything the goal asks for, each in order of
weight, the smaller one first. Where they touch there is a plan; when what both have
behind them weighs as much, none can be better. A wave that has nowhere left to go
proves that there is no plan. Where the goal asks for too many positions to list, one
wave goes out.
"""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import pairwise
from typing import Literal

import msgspec
import numpy as np

from standage.railway.shunting.fitting import unfit
from standage.railway.shunting.goals import Goals
from standage.railway.shunting.states import Ints
from standage.railway.shunting.visits import BY_HAND, Visits
from standage.railway.shunting.waves import AT_ONCE, MOST_KEPT, Watch, Wave
from standage.railway.shunting.yard import Action, Puzzle, Visit, made_sure
from standage.railway.terms.reasons import Reason

DEFAULT_BUDGET = 2_000_000
MOST_GOALS = 100_000
_MOST_DIVED = 120_000  # of the budget, kept back for a dive: so many positions
_DIVE_VISITS = 60  # so many visits deep a dive goes, at least

Verdict = Literal["solved", "impossible", "budget_spent"]


class Solution(msgspec.Struct, frozen=True, kw_only=True):
    """The best plan found, and what is proved of it."""

    verdict: Verdict
    visits: tuple[Visit, ...] | None
    """The plan; None where none was found."""

    bound: int | None
    """No plan has fewer of what was to be fewest; None where none is possible, or where
    there is no telling.
    """

    steps: int
    """From so many positions every visit was tried."""

    because: tuple[Reason, ...] = ()
    """Why none is possible."""


class Search:
    """One search, step by step."""

    def __init__(self, visits: Visits, start: int, goals: Goals) -> None:
        self._visits = visits
        self._goals = goals
        self._start = np.array([start])
        self._from_start = Wave(visits, self._start, onward=True)
        self._from_goal: Wave | None = None
        if goals.most <= MOST_GOALS:
            self._from_goal = Wave(visits, goals.all(), onward=False)
        self._watch = Watch(goals)
        self.steps = 0
        # a start that is what the goal asks for is a plan of no visits
        far = self._far(self._from_start)
        self.best = far.meeting(0, 0, self._start, at_least=0, less_than=None)
        self._best_wave = self._from_start

    @property
    def bound(self) -> int | None:
        """No plan but the best found weighs less than this; None where there is no
        other plan at all.
        """
        out = self._from_start.weight
        if self._from_goal is None:
            return out
        back = self._from_goal.weight
        if out is None or back is None:
            return None
        return out + back

    @property
    def proved(self) -> bool:
        """Whether the best found cannot be bettered, or nothing can be found."""
        bound = self.bound
        if bound is None:
            return True
        return self.best is not None and self.best.weight <= bound

    def run(self, budget: int) -> None:
        """Go on until it is proved or the budget is spent; what is held back of it goes
        on finding any plan at all.
        """
        held_back = min(budget // 4, _MOST_DIVED)
        while not self.proved and self._go_on(budget - held_back):
            pass
        if self.best is None and not self.proved:
            self._dive(self.steps + held_back)

    def _dive(self, budget: int) -> None:
        """Follow the positions nearest to the goal only, until they meet the other
        wave.
        """
        width = max(1, (budget - self.steps) // _DIVE_VISITS)
        narrow = partial(self._goals.nearest, most=width)
        beam = Wave(
            self._visits,
            self._start,
            onward=True,
            narrow=narrow,
        )
        while beam.weight is not None and self.best is None:
            if self.steps + beam.size > budget:
                return
            for trip, keys in beam.front.items():
                self.steps += len(keys)
                self._look(beam, trip, keys, 0)
            beam.advance()

    def _go_on(self, budget: int) -> bool:
        """Look at one front whole; return False where the budget did not reach."""
        wave, at_least = self._smaller(), self.bound or 0
        for trip, keys in wave.front.items():
            first = 0
            while first < len(keys):
                some = min(AT_ONCE, budget - self.steps)
                if some <= 0 or self._kept() > MOST_KEPT:
                    return False
                part = keys[first : first + some]
                first += len(part)
                self.steps += len(part)
                self._look(wave, trip, part, at_least)
                if self.best is not None and self.best.weight <= at_least:
                    return True
        wave.advance()
        return True

    def _kept(self) -> int:
        if self._from_goal is None:
            return self._from_start.kept
        return self._from_start.kept + self._from_goal.kept

    def _look(self, wave: Wave, trip: int, keys: Ints, at_least: int) -> None:
        far = self._far(wave)
        for weight, fresh_trip, fresh in wave.spread(trip, keys):
            less_than = None if self.best is None else self.best.weight
            met = far.meeting(
                weight, fresh_trip, fresh, at_least=at_least, less_than=less_than
            )
            if met is not None:
                self.best, self._best_wave = met, wave

    def _smaller(self) -> Wave:
        if self._from_goal is None or self._from_start.size <= self._from_goal.size:
            return self._from_start
        return self._from_goal

    def _far(self, wave: Wave) -> Wave | Watch:
        if wave is self._from_goal:
            return self._from_start
        return self._from_goal or self._watch

    def plan(self) -> list[int]:
        """Return the positions of the best plan, start and goal included."""
        if self.best is None:
            raise AssertionError
        met, wave = self.best, self._best_wave
        path = wave.path(met.trip, met.key, met.out)[::-1]
        far = self._far(wave)
        if isinstance(far, Wave):
            beyond = far.path(met.trip, met.key, met.weight - met.out)
            path += beyond[1:]  # where they meet is in both
        if not wave.onward:
            path.reverse()
        return path


def solve(puzzle: Puzzle, *, budget_steps: int = DEFAULT_BUDGET) -> Solution:
    """Return the plan with the fewest of what ``puzzle.fewest`` says, proved if the
    budget reaches.

    Of plans with equally few, one is taken, always the same. "impossible" is said only
    when it is proved; a goal that does not fit is, without a search. Raises ``Faulty``
    where the puzzle contradicts itself. **Source** derived: two breadth-first waves by
    weight that meet in the middle.
    """
    made_sure(puzzle)
    because = unfit(puzzle)
    if because:
        return _impossible(0, because)
    named = frozenset(name for name, _ in puzzle.goal.named())
    visits = Visits(
        puzzle,
        fewest=puzzle.fewest,
        named=named,
    )
    goals = Goals(puzzle, visits)
    start = visits.key(puzzle.start.engine, puzzle.start.sidings)
    if start is None:
        raise AssertionError(puzzle.start)
    search = Search(visits, start, goals)
    search.run(budget_steps)
    return _solution(puzzle, visits, search)


def _solution(puzzle: Puzzle, visits: Visits, search: Search) -> Solution:
    if search.best is None and search.proved:
        return _impossible(search.steps, (_no_way(search),))
    named: tuple[Visit, ...] | None = None
    bound = search.bound
    if search.best is not None:
        named = tuple(named_visits(puzzle, visits, search.plan()))
    if search.best is not None and search.proved:
        bound = search.best.weight
    return Solution(
        verdict="solved" if search.proved else "budget_spent",
        visits=named,
        bound=_share(puzzle, bound),
        steps=search.steps,
    )


def _impossible(steps: int, because: tuple[Reason, ...]) -> Solution:
    return Solution(
        verdict="impossible", visits=None, bound=None, steps=steps, because=because
    )


def _no_way(search: Search) -> Reason:
    if not search.steps:
        message = "there is no room for the other wagons where the goal lets them stand"
        return Reason(code="rest_does_not_fit", message=message)
    message = (
        "every position that can be reached was looked at, and in none of them the"
        " goal is met"
    )
    return Reason(code="no_way", message=message)


def _share(puzzle: Puzzle, weight: int | None) -> int | None:
    """Return of a plan's weight what was to be fewest."""
    if weight is None or puzzle.fewest != "cuts_by_hand":
        return weight
    return weight // BY_HAND


def named_visits(
    puzzle: Puzzle, visits: Visits, path: Sequence[int]
) -> Iterator[Visit]:
    """Yield the visits between positions that follow each other, with the wagons' own
    names. Who is who among wagons that count alike follows from the start. **Source**
    derived.
    """
    engine = list(puzzle.start.engine)
    sidings = [list(wagons) for wagons in puzzle.start.sidings]
    for before, after in pairwise(path):
        number, picked = visits.visit(before, after)
        standing = sidings[number - 1]
        line = engine + standing
        here, cut = len(engine), len(engine) + picked
        action: Action = "pick"
        taken = line[here:cut]
        if picked < 0:
            action, taken = "drop", line[cut:here]
        engine, sidings[number - 1] = line[:cut], line[cut:]
        name = puzzle.yard.sidings[number - 1].name
        yield Visit(
            siding=name,
            action=action,
            wagons=tuple(taken),
        )
