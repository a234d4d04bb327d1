"""How long the headshunt must be, or how long the engine may be: the exact lengths at
which a yard does with fewer visits or couplings.

What can be done at one length can be done at every roomier one, and it changes only
where one more cut of wagons goes in behind the engine. So the sums of wagons' lengths
are all that is tried, halving what lies between two that differ.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain, permutations
from sys import maxsize
from typing import Literal

import msgspec

from standage.railway.shunting.census import Census, census
from standage.railway.shunting.check import broken, couplings, positions
from standage.railway.shunting.plans import measured
from standage.railway.shunting.search import solve
from standage.railway.shunting.yard import Puzzle, Visit, YardGoal
from standage.railway.terms.figures import exceeds, grains, tidy
from standage.railway.terms.unsound import UnsoundError

NEVER = maxsize
"""So many visits or couplings stand for what cannot be done."""
DEFAULT_BUDGET = 5_000_000
_GRAINS_IN_A_MM = 1_000_000
_PART_OF_ONE_TRAIN = 4
"""One search may take so small a part of the budget that is left, so that one length
does not use up all of it.
"""

By = Literal["headshunt", "engine"]


class Trial(msgspec.Struct, frozen=True, kw_only=True):
    """What was found of a yard with one length: of what is to be fewest no less than
    ``at_least`` does, and ``at_most`` does.
    """

    at_least: int
    at_most: int
    steps: int
    visits: tuple[Visit, ...] | None = None
    train: tuple[str, ...] | None = None
    """Of every train one of the hardest, or one that cannot be made."""


_UNTRIED = Trial(at_least=0, at_most=NEVER, steps=0)


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


Try = Callable[[Puzzle, int], Trial]


def of_one_train(puzzle: Puzzle, budget_steps: int) -> Trial:
    """Return how few the puzzle's own train costs, replayed by the referee. **Source**
    derived: see ``search.solve``.
    """
    share = max(1, budget_steps // _PART_OF_ONE_TRAIN)
    found = solve(puzzle, budget_steps=share)
    if found.verdict == "impossible":
        return Trial(at_least=NEVER, at_most=NEVER, steps=found.steps)
    at_most = NEVER
    if found.visits is not None:
        _require_unbroken(puzzle, found.visits)
        at_most = measured(puzzle, found.visits)
    return Trial(
        at_least=found.bound or 0,
        at_most=at_most,
        steps=found.steps,
        visits=found.visits,
    )


def of_every_train(train_wagons: int) -> Try:
    """Return what tries how much the hardest train of so many wagons costs; never,
    where one of them cannot be made. **Source** derived: see ``census.census``.
    """

    def tried(puzzle: Puzzle, budget_steps: int) -> Trial:
        found = census(puzzle, train_wagons=train_wagons, budget_steps=budget_steps)
        if len(found.pars) < found.trains:
            # of what is missing each costs more than was looked at
            at_least = NEVER if found.complete else found.bound + 1
            return Trial(
                at_least=at_least,
                at_most=NEVER,
                steps=found.steps,
                train=_first_missing(puzzle, found, train_wagons),
            )
        hardest = max(found.pars.values())
        train = min(train for train, par in found.pars.items() if par == hardest)
        return Trial(
            at_least=hardest,
            at_most=hardest,
            steps=found.steps,
            train=train,
        )

    return tried


def _first_missing(puzzle: Puzzle, found: Census, train_wagons: int) -> tuple[str, ...]:
    names = [wagon.name for wagon in puzzle.wagons]
    trains = permutations(names, train_wagons)
    return next(train for train in trains if train not in found.pars)


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
    sums = _sums(grains(wagon.length_mm) for wagon in puzzle.wagons)
    on_engine = grains(puzzle.length_mm(puzzle.start.engine))
    most = NEVER if up_to_mm is None else grains(up_to_mm)
    if by == "headshunt":
        engine = grains(puzzle.engine_length_mm)
        tight = [engine + string for string in sums if string >= on_engine]
        found = sorted(length for length in tight if length <= most)
    else:
        longest = grains(puzzle.yard.headshunt_usable_length_mm) - on_engine
        found = [min(longest, most)]
        for room in _rooms(puzzle):
            found += (room - string for string in sums if room - string < found[0])
        found = sorted({length for length in found if length > 0}, reverse=True)
    return [tidy(length / _GRAINS_IN_A_MM) for length in found]


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
    tried: Try,
    *,
    by: By = "headshunt",
    up_to_mm: float | None = None,
    budget_steps: int = DEFAULT_BUDGET,
) -> Steps:
    """Return every length at which ``tried`` finds that fewer do, the tightest first,
    each replayed by the referee.

    The length that the puzzle has of what is asked for is of no account. Raises
    ``Faulty`` where the puzzle contradicts itself, ``UnsoundError`` where the referee
    finds a fault. With the budget spent each step is what was found, and says whether
    it is proved. **Source** derived: what can be done never shrinks with room.
    """
    lengths_mm = lengths_that_matter(puzzle, by, up_to_mm=up_to_mm)
    search = _Search(puzzle, by, lengths_mm, tried, budget_steps)
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
    search = _Search(puzzle, "headshunt", lengths_mm, of_one_train, budget_steps)
    search.run_for_the_first()
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
        tried: Try,
        budget_steps: int,
    ) -> None:
        self._puzzle = puzzle
        self._by = by
        self._lengths_mm = lengths_mm
        self._try = tried
        self._budget = budget_steps
        self._trials: dict[int, Trial] = {}
        self._spent = 0

    def run(self) -> None:
        """Try the roomiest and the tightest, and halve what lies between."""
        self._last_first()
        last = len(self._lengths_mm) - 1
        if self._lengths_mm and self._at_least(last) < NEVER:
            self._between(-1, last)

    def run_for_the_first(self) -> None:
        """Look only for the tightest at which it can be done."""
        self._last_first()
        cannot, can = -1, len(self._lengths_mm) - 1
        while can - cannot > 1 and self._at_most(can) < NEVER:
            middle = (cannot + can) // 2
            trial = self._tried(middle)
            if trial.at_most < NEVER:
                can = middle
            elif trial.at_least == NEVER:
                cannot = middle
            else:
                return  # the budget did not reach

    def _last_first(self) -> None:
        # what not even the roomiest does, none does
        if self._lengths_mm:
            self._tried(len(self._lengths_mm) - 1)

    def _between(self, tight: int, roomy: int) -> None:
        nothing_between = roomy - tight < 2  # noqa: PLR2004 - next to each other
        same = self._at_most(tight) <= self._at_least(roomy)
        if nothing_between or same or self._spent >= self._budget:
            return
        middle = (tight + roomy) // 2
        self._tried(middle)
        self._between(tight, middle)
        self._between(middle, roomy)

    def _tried(self, number: int) -> Trial:
        known = self._trials.get(number)
        if known is not None:
            return known
        left = self._budget - self._spent
        trial = _UNTRIED
        if left > 0:
            trial = self._try(self._puzzle_at(number), left)
        self._spent += trial.steps
        self._trials[number] = trial
        return trial

    def _puzzle_at(self, number: int) -> Puzzle:
        length_mm = self._lengths_mm[number]
        return with_length(self._puzzle, self._by, length_mm=length_mm)

    def _at_most(self, number: int) -> int:
        """Return what is known to do at a length: what does at a tighter one."""
        known = (one.at_most for at, one in self._trials.items() if at <= number)
        return min(known, default=NEVER)

    def _at_least(self, number: int) -> int:
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
            if self._at_least(number) < NEVER:
                impossible_to_mm = length_mm
                break
        last = len(self._lengths_mm) - 1
        settled = self._at_most(last) <= self._at_least(last)
        roomiest = self._trials.get(last, _UNTRIED)
        return Steps(
            steps=made,
            searched=self._spent,
            impossible_to_mm=impossible_to_mm,
            proved=settled and all(step.proved for step in made),
            missing=roomiest.train if roomiest.at_least == NEVER else None,
        )

    def _steps(self) -> Iterator[Step]:
        before = NEVER
        for number in sorted(self._trials):
            trial = self._trials[number]
            if trial.at_most >= before:
                continue
            before = trial.at_most
            exact = self._at_least(number - 1) > trial.at_most
            fewest = self._at_least(number) == trial.at_most
            yield self._step(number, trial, proved=exact and fewest)

    def _step(self, number: int, trial: Trial, *, proved: bool) -> Step:
        puzzle = self._puzzle_at(number)
        visits = trial.visits
        if trial.train is not None:
            puzzle = of_train(puzzle, trial.train)
            visits = _hardest(puzzle, par=trial.at_most)
        if visits is None:
            raise AssertionError(trial)
        return Step(
            length_mm=self._lengths_mm[number],
            puzzle=puzzle,
            visits=visits,
            couplings=couplings(puzzle, visits),
            cut=_longest_cut(puzzle, visits),
            proved=proved,
        )


def of_train(puzzle: Puzzle, train: tuple[str, ...]) -> Puzzle:
    """Return the puzzle of one of every train in the goal's siding. **Source**
    derived.
    """
    goal = YardGoal(
        siding=puzzle.goal.siding,
        train=train,
        rest=puzzle.goal.rest,
    )
    return msgspec.structs.replace(puzzle, goal=goal)


def _hardest(puzzle: Puzzle, *, par: int) -> tuple[Visit, ...] | None:
    """Return the plan of a train whose par a census found."""
    found = solve(puzzle)
    if found.visits is None:
        return None
    _require_unbroken(puzzle, found.visits)
    if found.bound != par:
        message = f"{par} {puzzle.fewest} by the census, {found.bound} by the search"
        raise UnsoundError(message)
    return found.visits


def _require_unbroken(puzzle: Puzzle, visits: Sequence[Visit]) -> None:
    faults = broken(puzzle, visits)
    if faults:
        told = [f"step {fault.step}: {fault.message}" for fault in faults]
        raise UnsoundError("; ".join(told))


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
