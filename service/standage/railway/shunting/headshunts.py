"""How long the headshunt must be, or how long the engine may be: the exact lengths at
which a yard does with fewer visits or couplings.

What can be done at one length can be done at every roomier one, and it changes only
where one more cut of wagons goes in behind the engine. So the sums of wagons' lengths
are all that is tried, halving what lies between two that differ.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import Literal

import msgspec

from standage.railway.shunting.check import couplings, positions
from standage.railway.shunting.length_trials import (
    NEVER,
    UNTRIED,
    Trial,
    every_train,
    of_train,
    one_train,
    plan_of_par,
)
from standage.railway.shunting.yard import Puzzle, Visit
from standage.railway.terms.figures import exceeds, grains, tidy

DEFAULT_BUDGET = 5_000_000
_GRAINS_IN_A_MM = 1_000_000

By = Literal["headshunt", "engine"]


class Step(msgspec.Struct, frozen=True, kw_only=True):
    """From this length on so few do; ``proved`` where nothing tighter does with as few,
    and nothing at all with fewer at this length.
    """

    length_mm: float
    puzzle: Puzzle
    visits: tuple[Visit, ...]
    couplings: int
    cut: tuple[str, ...]
    """What is on the engine where the room is used to the full."""
    proved: bool


class Steps(msgspec.Struct, frozen=True, kw_only=True):
    """The lengths at which something changes, the tightest first."""

    steps: tuple[Step, ...]
    searched: int
    """How many positions were looked at, at all lengths together."""
    impossible_to_mm: float | None
    """Proved: it cannot be done with less room than a length of this gives; None where
    no length that was asked about does.
    """
    proved: bool
    """Whether all of it is: no step is missing, and none can be bettered."""
    missing: tuple[str, ...] | None
    """Of every train one that cannot be made at any length, where that is proved."""


def with_length(puzzle: Puzzle, by: By, *, length_mm: float) -> Puzzle:
    """Return the puzzle with a headshunt, or an engine, of that length. In mm.
    **Source** derived.
    """
    if by == "engine":
        return msgspec.structs.replace(puzzle, engine_length_mm=length_mm)
    yard = msgspec.structs.replace(puzzle.yard, headshunt_usable_length_mm=length_mm)
    return msgspec.structs.replace(puzzle, yard=yard)


def lengths_that_matter(
    puzzle: Puzzle, by: By, *, up_to_mm: float | None = None
) -> list[float]:
    """Return the lengths at which what can be done may change, the tightest first.

    Headshunts grow and engines shrink; none is longer than ``up_to_mm``, which is
    itself one of the engines where it says more than the rooms do. There is none where
    not even the start goes in. In mm. **Source** derived: the engine and every sum of
    wagons' lengths.
    """
    most = NEVER if up_to_mm is None else grains(up_to_mm)
    if by == "headshunt":
        found = sorted(_headshunts(puzzle, most))
    else:
        found = sorted(_engines(puzzle, most), reverse=True)
    return [tidy(length / _GRAINS_IN_A_MM) for length in found]


def _headshunts(puzzle: Puzzle, most: int) -> set[int]:
    """Return every headshunt up to ``most`` that an engine and its string just fill."""
    engine = grains(puzzle.engine_length_mm)
    on_engine = grains(puzzle.length_mm(puzzle.start.engine))
    strings = {one for one in _strings(puzzle) if one >= on_engine}
    lengths = {engine + string for string in strings}
    return {length for length in lengths if length <= most}


def _engines(puzzle: Puzzle, most: int) -> set[int]:
    """Return every engine up to ``most`` that just fills a room with its string, and
    the longest that there may be.
    """
    on_engine = grains(puzzle.length_mm(puzzle.start.engine))
    longest = grains(puzzle.yard.headshunt_usable_length_mm) - on_engine
    longest = min(longest, most)
    lengths = {longest}
    for room in _rooms(puzzle):
        lengths |= {room - string for string in _strings(puzzle)}
    return {length for length in lengths if 0 < length <= longest}


def _strings(puzzle: Puzzle) -> set[int]:
    """Return how long any of the wagons are together."""
    return _sums(grains(wagon.length_mm) for wagon in puzzle.wagons)


def _sums(lengths: Iterable[int]) -> set[int]:
    sums = {0}
    for length in lengths:
        sums |= {string + length for string in sums}
    return sums


def _rooms(puzzle: Puzzle) -> set[int]:
    """Return how long an engine and its string may be, in the headshunt and between
    sidings.
    """
    headshunt = grains(puzzle.yard.headshunt_usable_length_mm)
    rooms = {grains(room.room_mm) for room in puzzle.yard.rooms}
    return {headshunt} | {room for room in rooms if room > headshunt}


def steps(
    puzzle: Puzzle,
    *,
    every_train_of: int | None = None,
    by: By = "headshunt",
    up_to_mm: float | None = None,
    budget_steps: int = DEFAULT_BUDGET,
) -> Steps:
    """Return every length at which fewer do for the puzzle's own train, or the hardest
    of every train of so many wagons; the tightest first, each replayed by the referee.

    The length that the puzzle has of what is asked for is of no account. Raises
    ``Faulty`` where the puzzle contradicts itself, ``UnsoundError`` where the referee
    finds a fault. With the budget spent each step is what was found, and says whether
    it is proved. **Source** derived: what can be done never shrinks with room.
    """
    lengths_mm = lengths_that_matter(puzzle, by, up_to_mm=up_to_mm)
    search = _Search(puzzle, by, lengths_mm, budget_steps)
    if every_train_of is not None:
        search = _EverySearch(puzzle, by, lengths_mm, budget_steps, every_train_of)
    search.run()
    return search.found()


def least(
    puzzle: Puzzle, *, longer_than_mm: float, budget_steps: int
) -> tuple[Step | None, float | None]:
    """Return the first step of a headshunt that is longer than one which is known not
    to do, and the length below which none does (None: no length does).

    The step is None where none does, or none was found within the budget. **Source**
    derived: see ``steps``.
    """
    lengths_mm = [
        length_mm
        for length_mm in lengths_that_matter(puzzle, "headshunt")
        if exceeds(length_mm, limit=longer_than_mm)
    ]
    search = _Search(puzzle, "headshunt", lengths_mm, budget_steps)
    search.first_with_less_than(NEVER)
    found = search.found()
    first = found.steps[0] if found.steps else None
    return first, found.impossible_to_mm


class _Search:
    """The lengths that were tried, by their number: the tightest is 0."""

    def __init__(
        self,
        puzzle: Puzzle,
        by: By,
        lengths_mm: Sequence[float],
        budget_steps: int,
    ) -> None:
        self._puzzle = puzzle
        self._by = by
        self._lengths_mm = lengths_mm
        self._budget = budget_steps
        self._trials: dict[int, Trial] = {}

    @property
    def spent(self) -> int:
        """How many positions were looked at."""
        return sum(trial.steps for trial in self._trials.values())

    @property
    def last(self) -> int:
        """The number of the roomiest length; -1 where there is none."""
        return len(self._lengths_mm) - 1

    @property
    def left(self) -> int:
        """What is left of the budget."""
        return self._budget - self.spent

    def allow(self, more_steps: int) -> None:
        """Let it look at so many positions more."""
        self._budget = self.spent + more_steps

    def run(self) -> None:
        """Try the roomiest and the tightest, and halve what lies between."""
        self._last_first()
        if self.at_least(self.last) < NEVER:
            self._between(-1, self.last)

    def first_with_less_than(self, count: int) -> int:
        """Return the tightest length at which less than so many do; one beyond the
        roomiest where at none, and the first that is not known where the budget ends.
        """
        more, less = -1, self.last + 1
        while less - more > 1:
            middle = (more + less) // 2
            if self.at_most(middle) >= count > self.at_least(middle):
                self._tried(middle)
            if self.at_most(middle) < count:
                less = middle
            elif self.at_least(middle) >= count:
                more = middle
            else:
                return middle
        return less

    def _last_first(self) -> None:
        # what not even the roomiest does, none does
        if self._lengths_mm:
            self._tried(self.last)

    def _between(self, tight: int, roomy: int) -> None:
        nothing_between = roomy - tight < 2  # noqa: PLR2004 - next to each other
        same = self.at_most(tight) <= self.at_least(roomy)
        if nothing_between or same or self.left <= 0:
            return
        middle = (tight + roomy) // 2
        self._tried(middle)
        self._between(tight, middle)
        self._between(middle, roomy)

    def _tried(self, number: int) -> Trial:
        known = self._trials.get(number)
        if known is not None:
            return known
        trial = UNTRIED
        if self.left > 0:
            trial = self._look_at(self._puzzle_at(number))
            self._trials[number] = trial
        return trial

    def _look_at(self, puzzle: Puzzle) -> Trial:
        return one_train(puzzle, budget_steps=self.left)

    def _puzzle_at(self, number: int) -> Puzzle:
        length_mm = self._lengths_mm[number]
        return with_length(self._puzzle, self._by, length_mm=length_mm)

    def at_most(self, number: int) -> int:
        """Return what is known to do at a length: what does at a tighter one."""
        known = (one.at_most for at, one in self._trials.items() if at <= number)
        return min(known, default=NEVER)

    def at_least(self, number: int) -> int:
        """Return what is needed at a length: what is needed at a roomier one, too."""
        if number < 0:
            return NEVER
        known = (one.at_least for at, one in self._trials.items() if at >= number)
        return max(known, default=0)

    def found(self) -> Steps:
        """Return the steps among what was tried."""
        made = tuple(self._steps())
        impossible_to_mm: float | None = None
        for number, length_mm in enumerate(self._lengths_mm):
            if self.at_least(number) < NEVER:
                impossible_to_mm = length_mm
                break
        settled = self.at_most(self.last) <= self.at_least(self.last)
        return Steps(
            steps=made,
            searched=self.spent,
            impossible_to_mm=impossible_to_mm,
            proved=settled and all(step.proved for step in made),
            missing=self._missing(),
        )

    def _steps(self) -> Iterator[Step]:
        before = NEVER
        for number in sorted(self._trials):
            trial = self._trials[number]
            if trial.at_most >= before:
                continue
            before = trial.at_most
            exact = self.at_least(number - 1) > trial.at_most
            fewest = self.at_least(number) == trial.at_most
            yield self._step(number, trial, proved=exact and fewest)

    def _missing(self) -> tuple[str, ...] | None:
        return None

    def _planned(
        self, puzzle: Puzzle, trial: Trial
    ) -> tuple[Puzzle, tuple[Visit, ...]]:
        """Return the puzzle that a trial solved, and its plan."""
        if trial.visits is None:
            raise AssertionError(trial)
        return puzzle, trial.visits

    def _step(self, number: int, trial: Trial, *, proved: bool) -> Step:
        puzzle, visits = self._planned(self._puzzle_at(number), trial)
        return Step(
            length_mm=self._lengths_mm[number],
            puzzle=puzzle,
            visits=visits,
            couplings=couplings(puzzle, visits),
            cut=_longest_cut(puzzle, visits),
            proved=proved,
        )


class _EverySearch(_Search):
    """The same of every train of so many wagons.

    A census of all of them takes long. So some trains are looked at by themselves: of
    every train no fewer do than of these. A census at the first length at which all of
    these do with fewer than before shows that every train does, or finds one to be
    looked at besides.
    """

    def __init__(
        self,
        puzzle: Puzzle,
        by: By,
        lengths_mm: Sequence[float],
        budget_steps: int,
        train_wagons: int,
    ) -> None:
        super().__init__(puzzle, by, lengths_mm, budget_steps)
        self._train_wagons = train_wagons
        self._of_some: dict[tuple[str, ...], _Search] = {}

    @property
    def spent(self) -> int:
        """How many positions were looked at, those of single trains among them."""
        of_some = sum(search.spent for search in self._of_some.values())
        return super().spent + of_some

    def run(self) -> None:
        """Go from the tightest to the roomiest, from step to step."""
        names = [wagon.name for wagon in self._puzzle.wagons]
        last_first = names[::-1]
        self._look_at_one(tuple(last_first[: self._train_wagons]))
        count, number = NEVER, self._next_with_less_than(NEVER)
        while number <= self.last and self.left > 0:
            trial = self._tried(number)
            unknown = trial.at_most == NEVER and trial.at_least < NEVER
            if unknown:
                return  # the budget did not reach
            for train in trial.trains:
                self._look_at_one(train)
            count = min(count, trial.at_most)
            number = max(number + 1, self._next_with_less_than(count))

    def _look_at_one(self, train: tuple[str, ...]) -> None:
        if train not in self._of_some:
            puzzle = of_train(self._puzzle, train)
            self._of_some[train] = _Search(puzzle, self._by, self._lengths_mm, 0)

    def _next_with_less_than(self, count: int) -> int:
        """Return the first length at which all trains that were looked at need less."""
        number = 0
        for search in self._of_some.values():
            search.allow(self.left)
            number = max(number, search.first_with_less_than(count))
        return number

    def at_least(self, number: int) -> int:
        """Return what is needed at a length: what is needed for any of the trains."""
        of_some = [search.at_least(number) for search in self._of_some.values()]
        return max(super().at_least(number), *of_some)

    def _look_at(self, puzzle: Puzzle) -> Trial:
        return every_train(
            puzzle,
            train_wagons=self._train_wagons,
            budget_steps=self.left,
        )

    def _missing(self) -> tuple[str, ...] | None:
        for train, search in self._of_some.items():
            if search.at_least(self.last) == NEVER:
                return train
        return None

    def _planned(
        self, puzzle: Puzzle, trial: Trial
    ) -> tuple[Puzzle, tuple[Visit, ...]]:
        puzzle = of_train(puzzle, trial.trains[0])
        return puzzle, plan_of_par(puzzle, par=trial.at_most)


def _longest_cut(puzzle: Puzzle, visits: Sequence[Visit]) -> tuple[str, ...]:
    """Return what is on the engine where the two fill the headshunt, or else the room
    between two sidings; where they fill none, the longest that is in the headshunt.
    """
    strings = [position.engine for position in positions(puzzle, visits)]
    long = {string: grains(puzzle.length_mm(string)) for string in strings}
    engine = grains(puzzle.engine_length_mm)
    headshunt = grains(puzzle.yard.headshunt_usable_length_mm)
    for room in sorted(_rooms(puzzle)):  # the headshunt is the shortest
        for string in strings:
            if engine + long[string] == room:
                return string
    inside = [string for string in strings if engine + long[string] <= headshunt]
    return max(chain([()], inside), key=puzzle.length_mm)
