"""A plan as it may leave: searched for, replayed by the referee, counted, and its
tightest place found.
"""

from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.shunting.check import (
    Cut,
    Position,
    broken,
    couplings,
    cuts,
    positions,
)
from standage.railway.shunting.search import DEFAULT_BUDGET, Solution, Verdict, solve
from standage.railway.shunting.yard import Puzzle, Visit
from standage.railway.terms.figures import exceeds, tidy
from standage.railway.terms.reasons import Reason
from standage.railway.terms.unsound import UnsoundError


class Tightest(msgspec.Struct, frozen=True, kw_only=True):
    """Where a plan leaves least room; ``step`` counts its visits from 1."""

    step: int
    place: str
    spare_mm: float
    plus_minus_mm: float
    """How far off the wagons that stand there may be, all together."""


class Plan(msgspec.Struct, frozen=True, kw_only=True):
    """What was found, as the referee counted it."""

    verdict: Verdict
    visits: tuple[Visit, ...] | None
    couplings: int | None
    cuts: tuple[Cut, ...]
    bound: int | None
    steps: int
    because: tuple[Reason, ...]
    tightest: Tightest | None

    @property
    def proved(self) -> bool:
        """Whether the verdict is proved of the yard as stated: no plan is better, or
        there is none.
        """
        return self.verdict != "budget_spent"

    @property
    def cuts_by_hand(self) -> int:
        """How many joints only a hand can take apart."""
        return sum(cut.by_hand for cut in self.cuts)


def plan(puzzle: Puzzle, *, budget_steps: int = DEFAULT_BUDGET) -> Plan:
    """Return the best plan for ``puzzle``, replayed by the referee.

    Raises ``Faulty`` where the puzzle contradicts itself, ``UnsoundError`` where the
    referee finds a fault in the plan. The same puzzle and budget give the same plan;
    with the budget spent it is the best found, not proved. **Source** derived; see
    ``search.solve``.
    """
    solution = solve(puzzle, budget_steps=budget_steps)
    visits = solution.visits
    if visits is None:
        return Plan(
            verdict=solution.verdict,
            visits=None,
            couplings=None,
            cuts=(),
            bound=solution.bound,
            steps=solution.steps,
            because=solution.because,
            tightest=None,
        )
    _replay(puzzle, solution, visits)
    return Plan(
        verdict=solution.verdict,
        visits=visits,
        couplings=couplings(puzzle, visits),
        cuts=tuple(cuts(puzzle, visits)),
        bound=solution.bound,
        steps=solution.steps,
        because=solution.because,
        tightest=tightest(puzzle, visits),
    )


def _replay(puzzle: Puzzle, solution: Solution, visits: Sequence[Visit]) -> None:
    faults = broken(puzzle, visits)
    if faults:
        told = [f"step {fault.step}: {fault.message}" for fault in faults]
        raise UnsoundError("; ".join(told))
    found, bound = measured(puzzle, visits), solution.bound
    if bound is None or found < bound:
        raise UnsoundError(_disagreement(puzzle, found, bound))
    if solution.verdict == "solved" and found != bound:
        raise UnsoundError(_disagreement(puzzle, found, bound))


def _disagreement(puzzle: Puzzle, found: int, bound: int | None) -> str:
    return f"{found} {puzzle.fewest} found, {bound} proved"


def measured(puzzle: Puzzle, visits: Sequence[Visit]) -> int:
    """Return how much a plan has of what is to be fewest. Counted are visits, couplings
    or cuts by hand; 0 for a plan of no visits. **Source** derived.
    """
    if puzzle.fewest == "visits":
        return len(visits)
    if puzzle.fewest == "couplings":
        return couplings(puzzle, visits)
    return sum(cut.by_hand for cut in cuts(puzzle, visits))


def tightest(puzzle: Puzzle, visits: Sequence[Visit]) -> Tightest | None:
    """Return where a plan leaves least room, by length less what it may be off; None
    for a plan of no visits. In mm; a plan that does not fit has less than 0 left.
    **Source** derived.
    """
    rooms = _rooms(puzzle, visits)
    return min(rooms, key=_sure_room_mm, default=None)


def _sure_room_mm(room: Tightest) -> float:
    return room.spare_mm - room.plus_minus_mm


def _rooms(puzzle: Puzzle, visits: Sequence[Visit]) -> Iterator[Tightest]:
    names = [siding.name for siding in puzzle.yard.sidings]
    after = positions(puzzle, visits)[1:]
    following = [*(visit.siding for visit in visits[1:]), None]
    # not strict: with no visits there is none to follow
    stops = zip(visits, after, following, strict=False)
    for step, (visit, position, next_siding) in enumerate(stops, 1):
        number = names.index(visit.siding)
        yield _in_the_siding(puzzle, step, position, number)
        yield _on_the_engine(puzzle, step, position, {visit.siding, next_siding})


def _in_the_siding(
    puzzle: Puzzle, step: int, position: Position, number: int
) -> Tightest:
    siding, names = puzzle.yard.sidings[number], position.sidings[number]
    return Tightest(
        step=step,
        place=siding.name,
        spare_mm=tidy(siding.usable_length_mm - puzzle.length_mm(names)),
        plus_minus_mm=_plus_minus_mm(puzzle, names),
    )


def _on_the_engine(
    puzzle: Puzzle, step: int, position: Position, trip: set[str | None]
) -> Tightest:
    room_mm, place = puzzle.yard.headshunt_usable_length_mm, "the headshunt"
    for room in puzzle.yard.rooms:
        if set(room.between) == trip and exceeds(room.room_mm, limit=room_mm):
            one, other = room.between
            room_mm, place = room.room_mm, f"between {one} and {other}"
    string_mm = puzzle.length_mm(position.engine)
    return Tightest(
        step=step,
        place=place,
        spare_mm=tidy(room_mm - puzzle.engine_length_mm - string_mm),
        plus_minus_mm=_plus_minus_mm(puzzle, position.engine),
    )


def _plus_minus_mm(puzzle: Puzzle, names: Sequence[str]) -> float:
    off_mm = {wagon.name: wagon.plus_minus_mm for wagon in puzzle.wagons}
    in_all_mm = sum(off_mm[name] for name in names)
    return tidy(in_all_mm)
