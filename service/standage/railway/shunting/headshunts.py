"""How long the headshunt must be, or how long the engine may be: the exact lengths at
which a yard does with fewer visits or couplings.

What can be done at one length can be done at every roomier one, and it changes only
where one more cut of wagons goes in behind the engine. So the sums of wagons' lengths
are all that is tried, halving what lies between two that differ.
"""

from collections.abc import Iterable

from standage.railway.shunting.every_train_lengths import EveryTrainSearch
from standage.railway.shunting.length_steps import By, LengthSearch, Step, Steps, rooms
from standage.railway.shunting.length_trials import NEVER
from standage.railway.shunting.yard import Puzzle
from standage.railway.terms.figures import exceeds, grains, tidy

DEFAULT_BUDGET = 3_000_000
_GRAINS_IN_A_MM = 1_000_000


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
    for room in rooms(puzzle):
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
    search = LengthSearch(puzzle, by, lengths_mm, budget_steps)
    if every_train_of is not None:
        search = EveryTrainSearch(puzzle, by, lengths_mm, budget_steps, every_train_of)
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
    search = LengthSearch(puzzle, "headshunt", lengths_mm, budget_steps)
    search.first_with_less_than(NEVER)
    found = search.found()
    first = found.steps[0] if found.steps else None
    return first, found.impossible_to_mm
