"""What every train of so many wagons costs to make from one start: which can be made at
all, and each one's par.

Where all wagons are equally long, trains differ by names only: one wave back from one
train reaches, under other names, the start of every other. Else one wave goes out from
the start with every wagon its own.
"""

from collections.abc import Iterator, Mapping
from math import perm
from typing import Literal

import msgspec
import numpy as np

from standage.railway.shunting.goals import Goals
from standage.railway.shunting.visits import Visits
from standage.railway.shunting.waves import AT_ONCE, MOST_KEPT, Wave
from standage.railway.shunting.yard import Puzzle, YardGoal, made_sure
from standage.railway.terms.comparison import grains

DEFAULT_BUDGET = 3_000_000
MOST_TRAINS = 100_000
"""So many different trains are told apart at most: any five of twelve wagons."""

Par = Literal["visits", "couplings"]


class Census(msgspec.Struct, frozen=True, kw_only=True):
    """Every train of so many wagons in one siding, from one start."""

    trains: int
    pars: Mapping[tuple[str, ...], int]
    """The least that each train costs; one that is not here cannot be made, if all were
    looked at.
    """

    complete: bool
    """Whether every position that can be reached was looked at; if not, what is missing
    costs more than ``bound``.
    """

    bound: int
    """What has been looked at: every train that costs so much or less is in
    ``pars``.
    """

    steps: int


def too_many_trains(wagons: int, train_wagons: int) -> str | None:
    """Return, in words, that so many wagons make too many trains to look at; None where
    they do not.
    """
    trains = perm(wagons, train_wagons)
    if trains <= MOST_TRAINS:
        return None
    return (
        f"{train_wagons} of {wagons} wagons make {trains} trains, and at most"
        f" {MOST_TRAINS} can be looked at"
    )


def census(
    puzzle: Puzzle, *, train_wagons: int, budget_steps: int = DEFAULT_BUDGET
) -> Census:
    """Return what every train of ``train_wagons`` costs in the goal's siding, the rest
    as the goal says.

    The goal's own train is not looked at. Raises ``Faulty`` where the puzzle
    contradicts itself, ``ValueError`` for a goal of every siding's contents, for fewer
    wagons than none or more than there are, or for too many trains.
    """
    if puzzle.goal.siding is None or puzzle.goal.engine is not None:
        raise ValueError(
            "a census is of one siding's trains: the goal must name the siding, and"
            " nothing on the engine"
        )
    if not 0 <= train_wagons <= len(puzzle.wagons):
        raise ValueError(
            f"train_wagons is {train_wagons} of {len(puzzle.wagons)} wagons"
        )
    names = [wagon.name for wagon in puzzle.wagons]
    too_many = too_many_trains(len(names), train_wagons)
    if too_many is not None:
        raise ValueError(too_many)
    goal = YardGoal(
        siding=puzzle.goal.siding,
        train=tuple(names[:train_wagons]),
        rest=puzzle.goal.rest,
    )
    puzzle = made_sure(msgspec.structs.replace(puzzle, goal=goal))
    trains = perm(len(names), train_wagons)
    if _shortest(puzzle, train_wagons) > _usable(puzzle):
        return Census(trains=trains, pars={}, complete=True, bound=0, steps=0)
    alike = len({grains(wagon.length_mm) for wagon in puzzle.wagons}) == 1
    return _counted(_Back(puzzle) if alike else _Out(puzzle), trains, budget_steps)


def _shortest(puzzle: Puzzle, train_wagons: int) -> int:
    return sum(
        sorted(grains(wagon.length_mm) for wagon in puzzle.wagons)[:train_wagons]
    )


def _usable(puzzle: Puzzle) -> int:
    return next(
        grains(siding.usable_length_mm)
        for siding in puzzle.yard.sidings
        if siding.name == puzzle.goal.siding
    )


def _counted(layers: "_Out | _Back", trains: int, budget_steps: int) -> Census:
    pars, steps, bound, complete = dict[tuple[str, ...], int](), 0, 0, True
    while layers.wave.weight is not None and complete:
        bound = layers.wave.weight
        pars.update((train, bound) for train in layers.trains() if train not in pars)
        complete = steps + layers.wave.size <= budget_steps and _spread(layers.wave)
        if complete:
            steps += layers.wave.size
            layers.wave.advance()
    return Census(trains=trains, pars=pars, complete=complete, bound=bound, steps=steps)


def _spread(wave: Wave) -> bool:
    """Look at the front whole; return False where that would take too much memory."""
    for trip, keys in wave.front.items():
        for first in range(0, len(keys), AT_ONCE):
            if wave.kept > MOST_KEPT:
                return False
            for _ in wave.spread(trip, keys[first : first + AT_ONCE]):
                pass
    return True


class _Out:
    """A wave from the start, every wagon its own."""

    def __init__(self, puzzle: Puzzle) -> None:
        everyone = frozenset(wagon.name for wagon in puzzle.wagons)
        self._visits = Visits(puzzle, fewest=puzzle.fewest, named=everyone)
        self._goals = Goals(puzzle, self._visits)
        self._place = [siding.name for siding in puzzle.yard.sidings].index(
            puzzle.goal.siding or ""
        ) + 1
        self._names = {code: name for name, code in self._visits.coding.codes.items()}
        self.wave = Wave(
            self._visits, np.array([_start_key(puzzle, self._visits)]), onward=True
        )

    def trains(self) -> Iterator[tuple[str, ...]]:
        """Yield the trains that stand made up at the front."""
        strings = self._goals.strings(
            self.wave.front.get(0, np.zeros(0, np.int64)), self._place
        )
        return (tuple(self._named(int(string))) for string in strings)

    def _named(self, string: int) -> Iterator[str]:
        while string:
            yield self._names[string & ((1 << self._visits.coding.bits) - 1)]
            string >>= self._visits.coding.bits


class _Back:
    """A wave back from one train, all wagons equally long: it stands for every other
    train by the wagons' places.

    A position of the start's shape is the start itself under other names: where the
    model's wagons stand in it, there stand in the start the wagons of the train that
    costs as much as the model does from here.
    """

    def __init__(self, puzzle: Puzzle) -> None:
        model = puzzle.goal.train or ()
        self._visits = Visits(puzzle, fewest=puzzle.fewest, named=frozenset(model))
        self._codes = [self._visits.coding.codes[name] for name in model]
        self._order = [
            *puzzle.start.engine,
            *(name for wagons in puzzle.start.sidings for name in wagons),
        ]
        self._shape = _start_key(puzzle, self._visits) >> self._visits.coding.word_bits
        self.wave = Wave(self._visits, Goals(puzzle, self._visits).all(), onward=False)

    def trains(self) -> Iterator[tuple[str, ...]]:
        """Yield the trains that the start is as far from as the front is from the
        model.
        """
        coding = self._visits.coding
        keys = self.wave.front.get(0, np.zeros(0, np.int64))
        keys = keys[(keys >> coding.word_bits) == self._shape]
        shifts = np.arange(len(self._order)) * coding.bits
        codes = (keys[:, np.newaxis] >> shifts) & ((1 << coding.bits) - 1)
        found = [np.argmax(codes == code, axis=1) for code in self._codes]
        places = np.array(found, np.int64).reshape(len(found), len(keys))
        return (
            tuple(self._order[place] for place in column)
            for column in places.T.tolist()
        )


def _start_key(puzzle: Puzzle, visits: Visits) -> int:
    key = visits.key(puzzle.start.engine, puzzle.start.sidings)
    if key is None:
        raise AssertionError(puzzle.start)
    return key
