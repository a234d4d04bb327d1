"""How long a headshunt must be, held against a plain search at every millimetre, and in
exact fractions at every tenth around each step.
"""

from collections import deque
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise, permutations
from random import Random

import pytest
from msgspec import structs

from standage.railway.shunting.check import broken, couplings
from standage.railway.shunting.headshunts import steps
from standage.railway.shunting.length_steps import Step, Steps, with_length
from standage.railway.shunting.like_wagons import with_like_wagons
from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import Puzzle, Wagon, YardGoal, YardStart
from standage.shapes.faults import Faulty
from support.walks import at_each
from support.yard_puzzles import least, six_wagons, weights_from_start, yard

Strings = tuple[tuple[str, ...], ...]
"""What is on the engine, then what stands in each siding."""
TENTH = Fraction(1, 10)
LENGTHS_MM = (50.0, 60.5, 60.6, 75.1)
SOME_ROOM_MM = (0.0, 60.6, 130.0, 211.2)


def exactly(length_mm: float) -> Fraction:
    return Fraction(str(length_mm))


def whole(length: Fraction) -> int:
    hundredths = length * 100
    assert hundredths.denominator == 1
    return hundredths.numerator


class Plain:
    """Every position, one at a time: how few visits lead to each."""

    def __init__(self, puzzle: Puzzle, headshunt: Fraction, engine: Fraction) -> None:
        # whole hundredths, which are as exact and quicker
        self._long = {one.name: whole(exactly(one.length_mm)) for one in puzzle.wagons}
        self._sidings = [
            whole(exactly(one.usable_length_mm)) for one in puzzle.yard.sidings
        ]
        self._room = whole(headshunt - engine)
        start: Strings = (puzzle.start.engine, *puzzle.start.sidings)
        self.visits: dict[Strings, int] = {}
        if self._length(start[0]) <= self._room:
            self._spread(start)

    def _length(self, wagons: Sequence[str]) -> int:
        return sum(map(self._long.__getitem__, wagons))

    def _spread(self, start: Strings) -> None:
        self.visits[start] = 0
        queue = deque([start])
        while queue:
            before = queue.popleft()
            for after in self._after(before):
                if after not in self.visits:
                    self.visits[after] = self.visits[before] + 1
                    queue.append(after)

    def _after(self, before: Strings) -> Iterator[Strings]:
        for place, holds in enumerate(self._sidings, 1):
            line = before[0] + before[place]
            for cut in range(len(line) + 1):
                fits = self._length(line[:cut]) <= self._room
                if fits and self._length(line[cut:]) <= holds:
                    after = [*before]
                    after[0], after[place] = line[:cut], line[cut:]
                    yield tuple(after)

    def least(self, place: int, train: Sequence[str]) -> int | None:
        """Return the fewest visits that leave the train in a siding, counted from 1."""
        found = (
            visits
            for strings, visits in self.visits.items()
            if strings[place] == tuple(train)
        )
        return min(found, default=None)


def random_puzzle(seed: int, wagons: int = 3) -> Puzzle:
    random = Random(seed)
    names = "ABCDE"[:wagons]
    lengths_mm = {name: random.choice(LENGTHS_MM) for name in names}
    standing: list[list[str]] = [[] for _ in range(random.choice([2, 3, 3]))]
    for name in random.sample(names, wagons):
        random.choice(standing).append(name)
    sidings_mm = {}
    for number, inside in enumerate(standing, 1):
        taken_mm = sum(lengths_mm[name] for name in inside)
        holds_mm = round(taken_mm + random.choice(SOME_ROOM_MM), 1)
        sidings_mm[f"Road {number}"] = holds_mm
    train = random.sample(names, random.randint(1, wagons))
    return Puzzle(
        engine_length_mm=90.3,
        yard=yard(0.0, sidings_mm),
        wagons=tuple(Wagon(name=name, length_mm=lengths_mm[name]) for name in names),
        start=YardStart(sidings=tuple(map(tuple, standing))),
        goal=YardGoal(siding=random.choice([*sidings_mm]), train=tuple(train)),
    )


def place_of(puzzle: Puzzle) -> int:
    names = [siding.name for siding in puzzle.yard.sidings]
    return names.index(puzzle.goal.siding or "") + 1


def at(
    found: Sequence[Step], length: Fraction, *, shrinking: bool = False
) -> int | None:
    """Return what the steps say of a length."""
    visits: int | None = None
    for step in found:
        exact = exactly(step.length_mm)
        if exact >= length if shrinking else exact <= length:
            visits = len(step.visits)
    return visits


def tried_at(found: Sequence[Step], lowest: int, highest: int) -> list[Fraction]:
    """Return every millimetre, and every tenth around each step."""
    every = [Fraction(one) for one in range(lowest, highest + 1)]
    for step in found:
        exact = exactly(step.length_mm)
        every += (exact + tenths * TENTH for tenths in range(-3, 4))
    return every


def in_all_mm(puzzle: Puzzle) -> float:
    return puzzle.length_mm(wagon.name for wagon in puzzle.wagons)


SEEDS = range(8)


@at_each("seed", SEEDS)
def test_at_every_length_so_many_visits_are_needed_as_a_plain_search_finds(
    seed: int,
) -> None:
    puzzle = random_puzzle(seed)
    found = steps(puzzle)
    assert found.proved
    engine = exactly(puzzle.engine_length_mm)
    for length in tried_at(found.steps, 80, 110 + round(in_all_mm(puzzle))):
        plain = Plain(puzzle, length, engine)
        least_visits = plain.least(place_of(puzzle), puzzle.goal.train or ())
        assert at(found.steps, length) == least_visits, float(length)


def test_the_puzzles_by_chance_are_possible_and_impossible_and_of_several_steps() -> (
    None
):
    counts = [len(steps(random_puzzle(seed)).steps) for seed in SEEDS]
    assert min(counts) == 0
    assert max(counts) > 1


@at_each("seed", range(1, 4))
def test_an_engine_may_be_so_long_as_a_plain_search_finds_at_every_length(
    seed: int,
) -> None:
    headshunt_mm = 240.7
    puzzle = with_length(random_puzzle(seed), "headshunt", length_mm=headshunt_mm)
    found = steps(puzzle, by="engine")
    assert found.proved
    for length in tried_at(found.steps, 1, 245):
        plain = Plain(puzzle, exactly(headshunt_mm), length)
        least_visits = plain.least(place_of(puzzle), puzzle.goal.train or ())
        assert at(found.steps, length, shrinking=True) == least_visits, float(length)


@at_each("seed", range(4))
def test_every_train_can_be_made_from_where_the_hardest_can(seed: int) -> None:
    puzzle = random_puzzle(seed)
    found = steps(puzzle, every_train_of=2)
    assert found.proved
    trains = list(permutations((wagon.name for wagon in puzzle.wagons), 2))
    engine = exactly(puzzle.engine_length_mm)
    for length in tried_at(found.steps, 90, 100 + round(in_all_mm(puzzle))):
        plain = Plain(puzzle, length, engine)
        each = [plain.least(place_of(puzzle), train) for train in trains]
        known = [visits for visits in each if visits is not None]
        hardest = max(known) if len(known) == len(each) else None
        assert at(found.steps, length) == hardest, float(length)


@at_each("seed", range(5))
def test_couplings_with_more_room_between_sidings_are_as_a_second_search_finds(
    seed: int,
) -> None:
    """The second search weighs couplings, and knows the way between two sidings."""
    puzzle = random_puzzle(seed)
    first, second, *_ = (siding.name for siding in puzzle.yard.sidings)
    sidings_mm = {one.name: one.usable_length_mm for one in puzzle.yard.sidings}
    rooms_mm = {(first, second): 210.4 + 10 * seed}
    puzzle = structs.replace(
        puzzle, yard=yard(0.0, sidings_mm, rooms_mm), fewest="couplings"
    )
    found = steps(puzzle)
    assert found.proved
    for length_mm in (91.0 + 7.1 * number for number in range(30)):
        here = with_length(puzzle, "headshunt", length_mm=length_mm)
        done = [step.couplings for step in found.steps if step.length_mm <= length_mm]
        expected = least(here, weights_from_start(here))
        assert (done[-1] if done else None) == expected, length_mm


def hardest(puzzle: Puzzle, trains: Sequence[Sequence[str]]) -> int | None:
    """Return the visits of the hardest train by a plain search; None where one cannot
    be made.
    """
    headshunt = exactly(puzzle.yard.headshunt_usable_length_mm)
    plain = Plain(puzzle, headshunt, exactly(puzzle.engine_length_mm))
    each = [plain.least(place_of(puzzle), train) for train in trains]
    known = [visits for visits in each if visits is not None]
    return max(known) if len(known) == len(each) else None


@at_each("seed", range(12))
def test_wagons_all_alike_are_no_harder_than_their_own_nor_easier(seed: int) -> None:
    """As many as may go in are never harder, as many as surely do never easier."""
    puzzle = random_puzzle(seed)
    trains = list(permutations((wagon.name for wagon in puzzle.wagons), 2))
    for length in range(91, 110 + round(in_all_mm(puzzle)), 17):
        here = with_length(puzzle, "headshunt", length_mm=float(length))
        own = hardest(here, trains)
        perhaps = with_like_wagons(here, surely=False)
        assert perhaps is not None
        fewer = hardest(perhaps, trains)
        assert own is None or (fewer is not None and fewer <= own)
        surely = with_like_wagons(here, surely=True)
        more = None if surely is None else hardest(surely, trains)
        assert more is None or (own is not None and own <= more)


def test_wagons_all_alike_go_across_where_there_is_more_room_between_sidings() -> None:
    """Both in one trip from left to right, by way of more room than the headshunt's."""
    puzzle = Puzzle(
        engine_length_mm=100,
        yard=yard(150, {"Left": 110, "Right": 110}, {("Left", "Right"): 205}),
        wagons=(Wagon(name="A", length_mm=50), Wagon(name="B", length_mm=55)),
        start=YardStart(sidings=(("A", "B"), ())),
        goal=YardGoal(siding="Right", train=("A", "B")),
    )
    for surely in (True, False):
        alike = with_like_wagons(puzzle, surely=surely)
        assert alike is not None
        assert plan(alike).bound == plan(puzzle).bound == 2
        longer = structs.replace(puzzle, engine_length_mm=100.1)
        across = with_like_wagons(longer, surely=surely)
        assert across is not None
        # a tenth too long for both, and one by one they come the other way round
        assert plan(across).verdict == plan(longer).verdict == "impossible"


@at_each("seed", range(4))
def test_of_every_train_nothing_is_proved_that_is_not_so(seed: int) -> None:
    """Whatever the budget, and with more room between two sidings."""
    puzzle = random_puzzle(seed, wagons=4)
    first, second, *_ = (siding.name for siding in puzzle.yard.sidings)
    sidings_mm = {one.name: one.usable_length_mm for one in puzzle.yard.sidings}
    puzzle = structs.replace(puzzle, yard=yard(0.0, sidings_mm, {(first, second): 230}))
    whole = steps(puzzle, every_train_of=2)
    assert whole.proved
    for budget in (150, 400, 700, 1100, 1800):
        assert_true(steps(puzzle, every_train_of=2, budget_steps=budget), whole)


@at_each("seed, budget", [(14, 1964), (56, 1927)])
def test_a_census_that_is_cut_short_proves_no_more_than_it_saw(
    seed: int, budget: int
) -> None:
    """Puzzles found by trying: one visit more would have been said to be needed."""
    puzzle = random_puzzle(seed, wagons=4)
    whole = steps(puzzle, every_train_of=2)
    assert_true(steps(puzzle, every_train_of=2, budget_steps=budget), whole)


def hard_puzzle(seed: int) -> Puzzle:
    return random_puzzle(seed, wagons=5)


@at_each("seed", range(6))
def test_each_step_is_replayed_and_a_tenth_less_does_not_reach_it(seed: int) -> None:
    puzzle = hard_puzzle(seed)
    for fewest in ("visits", "couplings"):
        asked = structs.replace(puzzle, fewest=fewest)
        found = steps(asked).steps
        for step in found:
            assert broken(step.puzzle, step.visits) == []
            assert couplings(step.puzzle, step.visits) == step.couplings
            shorter_mm = round(step.length_mm - 0.1, 1)
            shorter = plan(with_length(asked, "headshunt", length_mm=shorter_mm))
            counted = len(step.visits) if fewest == "visits" else step.couplings
            assert shorter.bound is None or shorter.bound > counted
            # the engine and the cut that is named fill the headshunt to the full
            cut_mm = asked.length_mm(step.cut)
            filled = exactly(asked.engine_length_mm) + exactly(cut_mm)
            assert filled == exactly(step.length_mm)
        for shorter_step, longer_step in pairwise(found):
            assert shorter_step.length_mm < longer_step.length_mm
            if fewest == "visits":
                assert len(shorter_step.visits) > len(longer_step.visits)


@at_each("seed", range(4))
def test_what_is_said_of_a_spent_budget_is_true(seed: int) -> None:
    puzzle = hard_puzzle(seed)
    for every in (None, 2):
        whole = steps(puzzle, every_train_of=every)
        assert whole.proved
        for budget in (1, 7, 60, 300, 2000):
            found = steps(puzzle, every_train_of=every, budget_steps=budget)
            assert found.searched <= budget + 20  # one search each is begun
            assert_true(found, whole)


def assert_true(found: Steps, whole: Steps) -> None:
    for step in found.steps:
        fewest = at(whole.steps, exactly(step.length_mm))
        assert fewest is not None
        assert len(step.visits) >= fewest
        if step.proved:
            assert (step.length_mm, len(step.visits)) in {
                (one.length_mm, len(one.visits)) for one in whole.steps
            }
    if not found.proved:
        assert found.impossible_to_mm is not None or not whole.steps
    if whole.impossible_to_mm is not None:
        assert (found.impossible_to_mm or 0) <= whole.impossible_to_mm
    if found.proved:
        assert [one.length_mm for one in found.steps] == [
            one.length_mm for one in whole.steps
        ]


def test_what_is_on_the_engine_at_the_start_must_go_in() -> None:
    puzzle = Puzzle(
        engine_length_mm=100,
        yard=yard(0.0, {"Left": 200, "Right": 200}),
        wagons=(Wagon(name="A", length_mm=80), Wagon(name="B", length_mm=50)),
        start=YardStart(engine=("A",), sidings=(("B",), ())),
        goal=YardGoal(siding="Right", train=("A",)),
    )
    assert [one.length_mm for one in steps(puzzle).steps] == [180.0]
    with pytest.raises(Faulty):
        plan(with_length(puzzle, "headshunt", length_mm=179.9))


def test_what_stands_as_it_should_asks_only_for_the_engines_own_length() -> None:
    puzzle = Puzzle(
        engine_length_mm=100,
        yard=yard(0.0, {"Left": 200}),
        wagons=(Wagon(name="A", length_mm=80),),
        start=YardStart(sidings=(("A",),)),
        goal=YardGoal(siding="Left", train=("A",)),
    )
    [step] = steps(puzzle).steps
    assert (step.length_mm, step.visits, step.cut) == (100.0, (), ())


def test_no_longer_headshunt_is_tried_than_is_asked_about() -> None:
    puzzle = six_wagons(engine_length_mm=264)
    every = [step.length_mm for step in steps(puzzle).steps]
    bound_mm = every[1]
    some = steps(puzzle, up_to_mm=bound_mm)
    assert [step.length_mm for step in some.steps] == every[:2]
    none = steps(puzzle, up_to_mm=every[0] - 0.1)
    assert (none.steps, none.impossible_to_mm, none.proved) == ((), None, True)


def test_an_engine_no_longer_than_is_asked_about_is_told_at_that_length() -> None:
    puzzle = six_wagons(engine_length_mm=1)
    puzzle = with_length(puzzle, "headshunt", length_mm=400.0)
    longest_mm = steps(puzzle, by="engine").steps[0].length_mm
    bound_mm = longest_mm - 0.5
    first, *_ = steps(puzzle, by="engine", up_to_mm=bound_mm).steps
    assert first.length_mm == bound_mm
