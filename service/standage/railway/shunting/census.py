"""What every train of so many wagons costs to make from one start: which can be made at
all, and each one's par.

Where all wagons are equally long, trains differ by names only: one wave back from one
train reaches, under other names, the start of every other. Else one wave goes out from
the start with every wagon its own.
"""

from collections.abc import Iterator, Mapping
from itertools import chain
from math import perm
from typing import Literal

import msgspec
import numpy as np

from standage.railway.shunting.goals import Goals
from standage.railway.shunting.visits import Visits
from standage.railway.shunting.waves import AT_ONCE, MOST_KEPT, Wave
from standage.railway.shunting.yard import Puzzle, YardGoal, made_sure
from standage.railway.terms.figures import grains

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
    """Whether every train was met, or every position that can be reached was looked at;
    if not, what is missing costs more than ``bound``.
    """

    bound: int
    """What has been looked at: every train that costs so much or less is in
    ``pars``.
    """

    steps: int


def too_many_trains(wagons: int, train_wagons: int) -> str | None:
    """Return, in words, that so many wagons make too many trains to look at; None where
    they do not. 0 of the wagons make one train. **Source** derived: arrangements of
    some of them, in order.
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
    wagons than none or more than there are, or for too many trains. Where the budget
    ends first, ``complete`` is false. **Source** derived: a search by layers, so that a
    train is met at its least cost first.
    """
    names = [wagon.name for wagon in puzzle.wagons]
    _refuse_what_cannot_be_counted(puzzle, train_wagons)
    goal = YardGoal(
        siding=puzzle.goal.siding,
        train=tuple(names[:train_wagons]),
        rest=puzzle.goal.rest,
    )
    puzzle = made_sure(msgspec.structs.replace(puzzle, goal=goal))
    trains = perm(len(names), train_wagons)
    lengths = sorted(grains(wagon.length_mm) for wagon in puzzle.wagons)
    shortest = sum(lengths[:train_wagons])
    if shortest > _usable(puzzle):
        return Census(
            trains=trains,
            pars={},
            complete=True,
            bound=0,
            steps=0,
        )
    if lengths[0] == lengths[-1]:
        return _counted(_Back(puzzle), trains, budget_steps)
    return _counted(_Out(puzzle), trains, budget_steps)


def _refuse_what_cannot_be_counted(puzzle: Puzzle, train_wagons: int) -> None:
    wagons = len(puzzle.wagons)
    if puzzle.goal.siding is None or puzzle.goal.engine is not None:
        raise ValueError(
            "a census is of one siding's trains: the goal must name the siding, and"
            " nothing on the engine"
        )
    if not 0 <= train_wagons <= wagons:
        message = f"train_wagons is {train_wagons} of {wagons} wagons"
        raise ValueError(message)
    too_many = too_many_trains(wagons, train_wagons)
    if too_many is not None:
        raise ValueError(too_many)


def _usable(puzzle: Puzzle) -> int:
    usable = {
        siding.name: grains(siding.usable_length_mm) for siding in puzzle.yard.sidings
    }
    return usable[puzzle.goal.siding or ""]


def _counted(layers: "_Out | _Back", trains: int, budget_steps: int) -> Census:
    wave = layers.wave
    pars: dict[tuple[str, ...], int] = {}
    steps, bound, complete = 0, 0, True
    while wave.weight is not None and complete:
        bound = wave.weight
        for train in layers.trains():
            # a train is told by the first front it stands in, which is its least
            pars.setdefault(train, bound)
        if len(pars) == trains:
            break  # whatever is reached later is none of them
        in_budget = steps + wave.size <= budget_steps
        complete = in_budget and _spread(wave)
        if complete:
            steps += wave.size
            wave.advance()
    return Census(
        trains=trains,
        pars=pars,
        complete=complete,
        bound=bound,
        steps=steps,
    )


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
        visits = Visits(
            puzzle,
            fewest=puzzle.fewest,
            named=everyone,
        )
        self._visits = visits
        self._goals = Goals(puzzle, visits)
        sidings = [siding.name for siding in puzzle.yard.sidings]
        self._place = sidings.index(puzzle.goal.siding or "") + 1
        self._names: dict[int, str] = {}
        for name, code in visits.coding.codes.items():
            self._names[code] = name
        start = _start_key(puzzle, visits)
        self.wave = Wave(visits, np.array([start]), onward=True)

    def trains(self) -> Iterator[tuple[str, ...]]:
        """Yield the trains that stand made up at the front."""
        nothing = np.zeros(0, np.int64)
        keys = self.wave.front.get(0, nothing)
        for string in self._goals.strings(keys, self._place):
            names = self._named(int(string))
            yield tuple(names)

    def _named(self, string: int) -> Iterator[str]:
        bits = self._visits.coding.bits
        one_code = (1 << bits) - 1
        while string:
            yield self._names[string & one_code]
            string >>= bits


class _Back:
    """A wave back from one train, all wagons equally long: it stands for every other
    train by the wagons' places.

    A position of the start's shape is the start itself under other names: where the
    model's wagons stand in it, there stand in the start the wagons of the train that
    costs as much as the model does from here.
    """

    def __init__(self, puzzle: Puzzle) -> None:
        model = puzzle.goal.train or ()
        visits = Visits(
            puzzle,
            fewest=puzzle.fewest,
            named=frozenset(model),
        )
        self._coding = visits.coding
        self._codes = [self._coding.codes[name] for name in model]
        standing = chain.from_iterable(puzzle.start.sidings)
        self._order = [*puzzle.start.engine, *standing]
        start = _start_key(puzzle, visits)
        self._shape = start >> self._coding.word_bits
        made_up = Goals(puzzle, visits).all()
        self.wave = Wave(visits, made_up, onward=False)

    def trains(self) -> Iterator[tuple[str, ...]]:
        """Yield the trains that the start is as far from as the front is from the
        model.
        """
        bits, word_bits = self._coding.bits, self._coding.word_bits
        nothing = np.zeros(0, np.int64)
        keys = self.wave.front.get(0, nothing)
        shape = keys >> word_bits
        keys = keys[shape == self._shape]
        shifts = np.arange(len(self._order)) * bits
        one_code = (1 << bits) - 1
        codes = (keys[:, np.newaxis] >> shifts) & one_code
        found = [np.argmax(codes == code, axis=1) for code in self._codes]
        # reshaped, since a train of no wagons finds none and has a row all the same
        places = np.array(found, np.int64).reshape(len(found), len(keys))
        for column in places.T.tolist():
            yield tuple(self._order[place] for place in column)


def _start_key(puzzle: Puzzle, visits: Visits) -> int:
    key = visits.key(puzzle.start.engine, puzzle.start.sidings)
    if key is None:
        raise AssertionError(puzzle.start)
    return key
