"""What a yard does with one length of its headshunt, or of its engine: for one train, or
for every train of so many wagons.
"""

from collections.abc import Sequence
from itertools import permutations
from sys import maxsize

import msgspec

from standage.railway.shunting.census import Census, census
from standage.railway.shunting.check import broken
from standage.railway.shunting.plans import measured
from standage.railway.shunting.search import DEFAULT_BUDGET, solve
from standage.railway.shunting.yard import Puzzle, Visit, YardGoal
from standage.railway.terms.unsound import UnsoundError

NEVER = maxsize
"""So many visits or couplings stand for what cannot be done."""
_PART_OF_ONE_TRAIN = 4
"""One search may take so small a part of the budget that is left, so that one length
does not use up all of it.
"""


class Trial(msgspec.Struct, frozen=True, kw_only=True):
    """What was found of a yard with one length: of what is to be fewest no less than
    ``at_least`` does, and ``at_most`` does.
    """

    at_least: int
    at_most: int
    steps: int
    visits: tuple[Visit, ...] | None = None
    trains: tuple[tuple[str, ...], ...] = ()
    """Of every train two of the hardest, or two that cannot be made."""


UNTRIED = Trial(at_least=0, at_most=NEVER, steps=0)


def one_train(puzzle: Puzzle, *, budget_steps: int) -> Trial:
    """Return how few the puzzle's own train costs, replayed by the referee. **Source**
    derived: see ``search.solve``.
    """
    share = max(1, budget_steps // _PART_OF_ONE_TRAIN)
    found = solve(puzzle, budget_steps=share)
    if found.verdict == "impossible":
        return Trial(
            at_least=NEVER,
            at_most=NEVER,
            steps=found.steps,
        )
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


def every_train(puzzle: Puzzle, *, train_wagons: int, budget_steps: int) -> Trial:
    """Return how much the hardest train of so many wagons costs; never, where one of
    them cannot be made. **Source** derived: see ``census.census``.
    """
    found = census(puzzle, train_wagons=train_wagons, budget_steps=budget_steps)
    if len(found.pars) < found.trains:
        # of what is missing each costs more than was looked at
        at_least = NEVER if found.complete else found.bound + 1
        return Trial(
            at_least=at_least,
            at_most=NEVER,
            steps=found.steps,
            trains=_first_and_last(_missing(puzzle, found, train_wagons)),
        )
    hardest = max(found.pars.values())
    trains = sorted(train for train, par in found.pars.items() if par == hardest)
    return Trial(
        at_least=hardest,
        at_most=hardest,
        steps=found.steps,
        trains=_first_and_last(trains),
    )


def _missing(puzzle: Puzzle, found: Census, train_wagons: int) -> list[tuple[str, ...]]:
    names = [wagon.name for wagon in puzzle.wagons]
    trains = permutations(names, train_wagons)
    return [train for train in trains if train not in found.pars]


def _first_and_last(trains: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    return tuple(dict.fromkeys((trains[0], trains[-1])))


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


def plan_of_par(puzzle: Puzzle, *, par: int, solved: Puzzle) -> tuple[Visit, ...]:
    """Return the plan of a train whose par a census found, looked for in ``solved`` and
    replayed in ``puzzle`` by the referee. Raises ``UnsoundError`` where the search finds
    another par. **Source** derived.
    """
    found = solve(solved, budget_steps=10 * DEFAULT_BUDGET)
    if found.visits is None or found.bound != par:
        message = f"{par} {puzzle.fewest} by the census, {found.bound} by the search"
        raise UnsoundError(message)
    _require_unbroken(puzzle, found.visits)
    return found.visits


def _require_unbroken(puzzle: Puzzle, visits: Sequence[Visit]) -> None:
    faults = broken(puzzle, visits)
    if faults:
        told = [f"step {fault.step}: {fault.message}" for fault in faults]
        raise UnsoundError("; ".join(told))
