"""The fewest visits, couplings or cuts by hand, proved.

Two waves go out, from the start and from everything the goal asks for, each in order of weight, the smaller one first.
Where they touch there is a plan; when what both have behind them weighs as much, none can be better. A wave that has
nowhere left to go proves that there is no plan. Where the goal asks for too many positions to list, one wave goes out.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, pairwise
from typing import Literal, NamedTuple

import msgspec
import numpy as np

from standage.railway.reasons import Reason
from standage.railway.shunting.fitting import unfit
from standage.railway.shunting.goals import Goals
from standage.railway.shunting.moves import BY_HAND, Moves
from standage.railway.shunting.states import Flags, Ints
from standage.railway.shunting.yard import Action, Puzzle, Visit, made_sure

DEFAULT_BUDGET = 2_000_000
MOST_GOALS = 100_000
_AT_ONCE = 20_000  # positions expanded in one go: bounds the memory and says how closely a budget is kept
_MOST_KEPT = 16_000_000  # positions, in both waves together: 130 MB

Verdict = Literal["solved", "impossible", "budget_spent"]


class Solution(msgspec.Struct, frozen=True, kw_only=True):
    """The best plan found, and what is proved of it."""

    verdict: Verdict
    visits: tuple[Visit, ...] | None
    """The plan; None where none was found."""

    bound: int | None
    """No plan has fewer of what was to be fewest; None where none is possible, or where there is no telling."""

    steps: int
    """From so many positions every visit was tried."""

    because: tuple[Reason, ...] = ()
    """Why none is possible."""


class Meeting(NamedTuple):
    """A position that both waves reached, and what the plan through it weighs."""

    weight: int
    trip: int
    key: int
    out: int
    """What of the weight lies on the side that found it."""


class Wave:
    """Positions reached from one end, in order of weight; the front's neighbours have yet to be looked at."""

    def __init__(self, moves: Moves, seeds: Ints, *, onward: bool) -> None:
        self.onward = onward
        self.weight: int | None = None
        self.front: dict[int, Ints] = {}
        self.reached: dict[tuple[int, int], Ints] = {}
        self._moves = moves
        self._waiting: dict[int, dict[int, list[Ints]]] = {0: {0: [np.unique(seeds)]}}
        self._back = 2 * moves.heaviest if moves.undirected else None
        self.advance()

    @property
    def size(self) -> int:
        """How many positions are at the front."""
        return sum(map(len, self.front.values()))

    @property
    def kept(self) -> int:
        """How many positions are held in memory."""
        waiting = chain.from_iterable(chain.from_iterable(trips.values()) for trips in self._waiting.values())
        return sum(map(len, self.reached.values())) + sum(map(len, waiting))

    def spread(self, trip: int, keys: Ints) -> Iterator[tuple[int, int, Ints]]:
        """Yield what part of the front leads to: weight, trip, and the positions in order."""
        if self.weight is None:
            return
        for found in self._moves.neighbours(keys, trip=trip, onward=self.onward):
            if len(found.keys):
                weight, fresh = self.weight + found.weight, _in_order(found.keys)
                self._waiting.setdefault(weight, {}).setdefault(found.trip, []).append(fresh)
                yield weight, found.trip, fresh

    def advance(self) -> None:
        """Make the lightest positions that are new the front; none are left where ``weight`` is None then."""
        self.weight, self.front = None, {}
        while self._waiting and not self.front:
            weight = min(self._waiting)
            for trip, parts in self._waiting.pop(weight).items():
                fresh = self._new(weight, trip, parts)
                if len(fresh):
                    self.weight, self.front[trip] = weight, fresh
                    self.reached[weight, trip] = fresh

    def _new(self, weight: int, trip: int, parts: list[Ints]) -> Ints:
        """Return what was not reached with less. Where visits can be undone, that cannot be much less."""
        fresh = parts[0] if len(parts) == 1 else _in_order(np.concatenate(parts))
        for (before, same_trip), keys in self.reached.items():
            if same_trip == trip and (self._back is None or before >= weight - self._back):
                fresh = fresh[~_among(fresh, keys)]
        return fresh

    def meeting(self, weight: int, trip: int, keys: Ints, *, at_least: int, less_than: int | None) -> Meeting | None:
        """Return the lightest meeting with positions that the other wave reached with ``weight``."""
        for own in sorted({own for own, same_trip in self.reached if same_trip == trip}):
            if own + weight < at_least or (less_than is not None and own + weight >= less_than):
                continue
            common = keys[_among(keys, self.reached[own, trip])]
            if len(common):
                return Meeting(own + weight, trip, int(common[0]), weight)
        return None

    def path(self, trip: int, key: int, weight: int) -> list[int]:
        """Return the positions from ``key``, which this wave reaches with ``weight``, back to where it came from."""
        path = [key]
        while weight:
            trip, key, weight = self._step_back(trip, key, weight)
            path.append(key)
        return path

    def _step_back(self, trip: int, key: int, weight: int) -> tuple[int, int, int]:
        for found in self._moves.neighbours(np.array([key]), trip=trip, onward=not self.onward):
            before = self.reached.get((weight - found.weight, found.trip))
            if before is not None:
                common = found.keys[_among(found.keys, before)]
                if len(common):
                    return found.trip, int(common[0]), weight - found.weight
        raise AssertionError((trip, key, weight))


class Watch:
    """A goal that asks for too many positions to start a wave from: it only tells them when it sees them."""

    def __init__(self, goals: Goals) -> None:
        self._goals = goals

    def meeting(self, weight: int, trip: int, keys: Ints, *, at_least: int, less_than: int | None) -> Meeting | None:  # noqa: ARG002 - as a wave's
        """Return a position that the goal asks for."""
        if trip or (less_than is not None and weight >= less_than):
            return None
        met = self._goals.met(keys)
        return Meeting(weight, 0, int(met[0]), weight) if len(met) else None


class Search:
    """One search, step by step."""

    def __init__(self, moves: Moves, start: int, goals: Goals) -> None:
        self._moves = moves
        self._from_start = Wave(moves, np.array([start]), onward=True)
        self._from_goal = Wave(moves, goals.all(), onward=False) if goals.most <= MOST_GOALS else None
        self._watch = Watch(goals)
        self.steps = 0
        self.best = self._far(self._from_start).meeting(0, 0, np.array([start]), at_least=0, less_than=None)
        self._best_wave = self._from_start

    @property
    def bound(self) -> int | None:
        """No plan but the best found weighs less than this; None where there is no other plan at all."""
        ends = (
            [self._from_start.weight] if self._from_goal is None else [self._from_start.weight, self._from_goal.weight]
        )
        return None if None in ends else sum(end for end in ends if end is not None)

    @property
    def proved(self) -> bool:
        """Whether the best found cannot be bettered, or nothing can be found."""
        return self.bound is None or (self.best is not None and self.best.weight <= self.bound)

    def run(self, budget: int) -> None:
        """Go on until it is proved or the budget is spent."""
        while not self.proved and self._go_on(budget):
            pass

    def _go_on(self, budget: int) -> bool:
        """Look at one front whole; return False where the budget did not reach."""
        wave, at_least = self._smaller(), self.bound or 0
        for trip, keys in wave.front.items():
            first = 0
            while first < len(keys):
                part = keys[first : first + min(_AT_ONCE, budget - self.steps)]
                if not len(part) or self._kept() > _MOST_KEPT:
                    return False
                first += len(part)
                self.steps += len(part)
                self._look(wave, trip, part, at_least)
                if self.best is not None and self.best.weight <= at_least:
                    return True
        wave.advance()
        return True

    def _kept(self) -> int:
        return self._from_start.kept + (0 if self._from_goal is None else self._from_goal.kept)

    def _look(self, wave: Wave, trip: int, keys: Ints, at_least: int) -> None:
        for weight, fresh_trip, fresh in wave.spread(trip, keys):
            less_than = None if self.best is None else self.best.weight
            met = self._far(wave).meeting(weight, fresh_trip, fresh, at_least=at_least, less_than=less_than)
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
        near = wave.path(met.trip, met.key, met.out)
        far = self._far(wave)
        beyond = far.path(met.trip, met.key, met.weight - met.out)[1:] if isinstance(far, Wave) else []
        path = near[::-1] + beyond
        return path if wave.onward else path[::-1]


def solve(puzzle: Puzzle, *, budget_steps: int = DEFAULT_BUDGET) -> Solution:
    """Return the plan with the fewest of what ``puzzle.fewest`` says, proved if the budget reaches.

    Of plans with equally few, one is taken, always the same. "impossible" is said only when it is proved; a goal that
    does not fit is, without a search. Raises ``Faulty`` where the puzzle contradicts itself.
    """
    made_sure(puzzle)
    because = unfit(puzzle)
    if because:
        return Solution(verdict="impossible", visits=None, bound=None, steps=0, because=because)
    moves = Moves(puzzle, fewest=puzzle.fewest, named=frozenset(name for name, _ in puzzle.goal.named()))
    goals = Goals(puzzle, moves)
    start = moves.key(puzzle.start.engine, puzzle.start.sidings)
    if start is None:
        raise AssertionError(puzzle.start)
    search = Search(moves, start, goals)
    search.run(budget_steps)
    return _solution(puzzle, moves, search)


def _solution(puzzle: Puzzle, moves: Moves, search: Search) -> Solution:
    if search.best is not None:
        visits = tuple(named_visits(puzzle, moves, search.plan()))
        verdict: Verdict = "solved" if search.proved else "budget_spent"
        bound = search.best.weight if search.proved else search.bound
        return Solution(verdict=verdict, visits=visits, bound=_share(puzzle, bound), steps=search.steps)
    if not search.proved:
        bound = _share(puzzle, search.bound)
        return Solution(verdict="budget_spent", visits=None, bound=bound, steps=search.steps)
    if search.steps:
        message = "every position that can be reached was looked at, and in none of them the goal is met"
        because = Reason(code="no_way", message=message)
    else:
        message = "there is no room for the other wagons where the goal lets them stand"
        because = Reason(code="rest_does_not_fit", message=message)
    return Solution(verdict="impossible", visits=None, bound=None, steps=search.steps, because=(because,))


def _share(puzzle: Puzzle, weight: int | None) -> int | None:
    """Return of a plan's weight what was to be fewest."""
    return weight // BY_HAND if weight is not None and puzzle.fewest == "cuts_by_hand" else weight


def named_visits(puzzle: Puzzle, moves: Moves, path: Sequence[int]) -> Iterator[Visit]:
    """Yield the visits between positions that follow each other, with the wagons' own names."""
    engine, sidings = list(puzzle.start.engine), [list(wagons) for wagons in puzzle.start.sidings]
    for before, after in pairwise(path):
        number, picked = moves.visit(before, after)
        line, cut = engine + sidings[number - 1], len(engine) + picked
        taken = line[len(engine) : cut] if picked > 0 else line[cut : len(engine)]
        engine, sidings[number - 1] = line[:cut], line[cut:]
        action: Action = "pick" if picked > 0 else "drop"
        yield Visit(siding=puzzle.yard.sidings[number - 1].name, action=action, wagons=tuple(taken))


def _in_order(keys: Ints) -> Ints:
    """Return the keys in order, each once."""
    keys = np.sort(keys)
    if len(keys) > 1:
        keys = keys[np.concatenate(([True], keys[1:] != keys[:-1]))]
    return keys


def _among(keys: Ints, ordered: Ints) -> Flags:
    """Tell for each key whether it is in a list in order that is not empty."""
    place = np.searchsorted(ordered, keys)
    place[place == len(ordered)] = 0
    return np.asarray(ordered[place] == keys)
