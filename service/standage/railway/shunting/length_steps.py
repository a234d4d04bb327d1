"""The steps of what a yard does with a length of its headshunt or its engine: one search,
length by length, of which the tightest is number 0.

Source of all of it: derived; what can be done never shrinks with room.
"""

from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Literal

import msgspec

from standage.railway.shunting.check import couplings, positions
from standage.railway.shunting.length_trials import NEVER, UNTRIED, Trial, one_train
from standage.railway.shunting.yard import Puzzle, Visit
from standage.railway.terms.figures import grains

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


class LengthSearch:
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

    def see(self, number: int) -> None:
        """Try one length, if any of the budget is left."""
        self._tried(number)

    def first_with_less_than(self, count: int, *, beyond: int = -1) -> int:
        """Return the tightest length beyond one at which less than so many do; one more
        than the roomiest where at none, and the first that is not known where the
        budget ends.
        """
        more, less = beyond, self.last + 1
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
            trial = self._look_at(self.puzzle_at(number), number)
            self._trials[number] = trial
        return trial

    def _look_at(self, puzzle: Puzzle, number: int) -> Trial:  # noqa: ARG002 - of every
        return one_train(puzzle, budget_steps=self.left)

    def puzzle_at(self, number: int) -> Puzzle:
        """Return the puzzle with one of the lengths."""
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
        return Steps(
            steps=made,
            searched=self.spent,
            impossible_to_mm=impossible_to_mm,
            proved=self._complete(),
            missing=self._missing(),
        )

    def _complete(self) -> bool:
        """Tell whether up to each step, and from the last one on, as many are needed as
        the step before does with.
        """
        count = NEVER
        for number in sorted(self._trials):
            fewer = self._trials[number].at_most
            if fewer < count:
                if self.at_least(number - 1) < count:
                    return False
                count = fewer
        return self.at_least(self.last) >= count

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

    def _planned(self, number: int, trial: Trial) -> tuple[Puzzle, tuple[Visit, ...]]:
        """Return the puzzle that a trial solved, and its plan."""
        if trial.visits is None:
            raise AssertionError(trial)
        return self.puzzle_at(number), trial.visits

    def _step(self, number: int, trial: Trial, *, proved: bool) -> Step:
        puzzle, visits = self._planned(number, trial)
        return Step(
            length_mm=self._lengths_mm[number],
            puzzle=puzzle,
            visits=visits,
            couplings=couplings(puzzle, visits),
            cut=_longest_cut(puzzle, visits),
            proved=proved,
        )


def _longest_cut(puzzle: Puzzle, visits: Sequence[Visit]) -> tuple[str, ...]:
    """Return what is on the engine where the two fill the headshunt, or else the room
    between two sidings; where they fill none, the longest that is in the headshunt.
    """
    strings = [position.engine for position in positions(puzzle, visits)]
    long = {string: grains(puzzle.length_mm(string)) for string in strings}
    engine = grains(puzzle.engine_length_mm)
    headshunt = grains(puzzle.yard.headshunt_usable_length_mm)
    for room in sorted(rooms(puzzle)):  # the headshunt is the shortest
        for string in strings:
            if engine + long[string] == room:
                return string
    inside = [string for string in strings if engine + long[string] <= headshunt]
    return max(chain([()], inside), key=puzzle.length_mm)


def rooms(puzzle: Puzzle) -> set[int]:
    """Return how long an engine and its string may be, in the headshunt and between
    sidings, in grains. **Source** derived.
    """
    headshunt = grains(puzzle.yard.headshunt_usable_length_mm)
    rooms = {grains(room.room_mm) for room in puzzle.yard.rooms}
    return {headshunt} | {room for room in rooms if room > headshunt}
