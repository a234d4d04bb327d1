"""Can every train of so many wagons be made in this yard?"""

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from itertools import islice, permutations
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import AskedYard
from standage.questions.deal import ParCount, WagonCount, by_par, known_siding
from standage.questions.example_stock import SHUNTED, SMALL_WAGONS
from standage.questions.question import PLAN_BYTES, REPEATABLE, Question, Shows, always
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.shunting_plan import Budget
from standage.questions.sources import Sources
from standage.questions.yard_wagons import AskedWagon, resolved
from standage.questions.yards_on_plans import (
    Unfound,
    YardCase,
    gathered,
    in_its_yard,
)
from standage.railway.shunting.census import (
    DEFAULT_BUDGET,
    Census,
    Par,
    census,
    too_many_trains,
)
from standage.railway.shunting.fitting import unfit
from standage.railway.shunting.length_trials import of_train
from standage.railway.shunting.shortfalls import for_one, shortfall, train_too_long
from standage.railway.shunting.yard import (
    MOST_WAGONS,
    Puzzle,
    Rest,
    Yard,
    YardGoal,
    YardStart,
    made_sure,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    Name,
    VehicleLengthMm,
    counted,
    says,
    search_stopped,
)
from standage.railway.terms.reasons import Assumed, Guess, Reason, told
from standage.railway.terms.senses import ITSELF
from standage.shapes.faults import Fault, Ruled, all_of

MOST_NAMED = 10
"""So many trains are named as examples."""


class EveryTrainRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A yard, an engine, wagons where they stand, and how long the trains are."""

    engine_length_mm: Annotated[
        VehicleLengthMm, says("The engine over its couplings, in mm.")
    ]
    yard: Annotated[
        AskedYard, says("The headshunt and the sidings, here, on record or on a plan.")
    ]
    wagons: Annotated[
        Annotated[
            tuple[AskedWagon, ...], msgspec.Meta(min_length=1, max_length=MOST_WAGONS)
        ],
        says("Every wagon in the yard."),
    ]
    start: Annotated[YardStart, says("Where each wagon stands at the start.")]
    siding: Annotated[Name, says("The siding in which the trains are to be made up.")]
    train_wagons: Annotated[WagonCount, says("How many wagons a train has.")]
    rest: Annotated[Rest, says("Where the other wagons may be at the end.")] = (
        "anywhere"
    )
    fewest: Annotated[Par, says("What par counts: visits or couplings.")] = "visits"
    budget_steps: Annotated[Budget, says("How many positions may be looked at.")] = (
        DEFAULT_BUDGET
    )

    def rules(self) -> Iterable[Fault]:
        """There are as many wagons as a train has."""
        if self.train_wagons > len(self.wagons):
            message = f"the yard has only {counted(len(self.wagons), 'wagon')} in it"
            yield Fault(
                code="contradiction",
                message=message,
                pointer="/train_wagons",
            )
        elif (
            too_many := too_many_trains(len(self.wagons), self.train_wagons)
        ) is not None:
            yield Fault(
                code="too_many",
                message=too_many,
                pointer="/train_wagons",
            )


class EveryTrainCase(YardCase, frozen=True, kw_only=True):
    """All that the answer rests on; the puzzle's own train is of no account."""

    puzzle: Annotated[Puzzle, ITSELF]
    train_wagons: int
    budget_steps: int = DEFAULT_BUDGET
    guesses: tuple[Guess, ...] = ()
    warnings: tuple[Reason, ...] = ()
    stock: tuple[Vehicle, ...] = ()
    """The wagons as they were given, in whose figures slips are looked for."""


class EveryTrainAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How many trains can be made, and what the hardest cost."""

    verdict: Annotated[
        Literal["every_train", "not_every_train", "budget_spent"],
        says("Whether all can be made; proved, but for the last."),
    ]
    trains: Annotated[
        int,
        says("How many trains of so many wagons there are, their order told apart."),
    ]
    trains_possible: Annotated[
        int,
        says(
            "How many of them can be made; at least so many where the budget was spent."
        ),
    ]
    hardest_par: Annotated[
        int | None,
        says("The most that any of them costs; null where none can be made."),
    ]
    hardest: Annotated[
        tuple[tuple[str, ...], ...], says("Some trains that cost the most.")
    ]
    impossible: Annotated[
        tuple[tuple[str, ...], ...],
        says("Some trains that cannot be made, where that is proved."),
    ]
    by_par: Annotated[tuple[ParCount, ...], says("How many trains have which par.")]
    steps: Annotated[int, says("How many positions were looked at.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@as_written
def gather(sources: Sources, request: EveryTrainRequest) -> EveryTrainCase | Unfound:
    """Return the case of what a caller asks.

    Raises ``Faulty`` for every id that is not on record, every figure that is missing
    and every contradiction.
    """
    return gathered(sources, request, case_of)


def case_of(
    request: EveryTrainRequest,
    yard: Yard,
    vehicles: Sequence[Vehicle],
    types: tuple[CouplingKind, ...] = (),
) -> EveryTrainCase:
    """Return the case that a request makes in ``yard``, its wagons given as
    ``vehicles`` in the same order.

    ``types`` are the club's own couplings. Raises ``Faulty`` with every figure that is
    missing and every contradiction.
    """
    (wagons, guesses, warnings), _ = all_of(
        partial(resolved, vehicles, CouplingTypes(types)),
        partial(known_siding, request.siding, yard),
    )
    puzzle = Puzzle(
        engine_length_mm=request.engine_length_mm,
        yard=yard,
        wagons=wagons,
        start=request.start,
        goal=YardGoal(siding=request.siding, train=(), rest=request.rest),
        fewest=request.fewest,
    )
    return EveryTrainCase(
        puzzle=made_sure(puzzle),
        train_wagons=request.train_wagons,
        budget_steps=request.budget_steps,
        guesses=guesses,
        warnings=warnings,
        stock=tuple(vehicles),
    )


@in_its_yard(case_of)
@warned
def reckon(case: EveryTrainCase) -> EveryTrainAnswer:
    """Return how many trains can be made in the case's yard from its start, and what
    they cost.
    """
    because = unfit(case.puzzle)
    if because:
        trains = census(
            case.puzzle, train_wagons=case.train_wagons, budget_steps=0
        ).trains
        found = Census(trains=trains, pars={}, complete=True, bound=0, steps=0)
    else:
        found = census(
            case.puzzle, train_wagons=case.train_wagons, budget_steps=case.budget_steps
        )
    hardest = max(found.pars.values(), default=None)
    named = sorted(train for train, par in found.pars.items() if par == hardest)
    return EveryTrainAnswer(
        verdict=_verdict(found),
        trains=found.trains,
        trains_possible=len(found.pars),
        hardest_par=hardest,
        hardest=tuple(named[:MOST_NAMED]),
        impossible=_impossible(case, found),
        by_par=by_par(found),
        steps=found.steps,
        because=(*case.warnings, *because, *_why_not(case, found), _reason(found)),
        assumed=(*told(case.guesses), *case.of_the_yard),
    )


def _why_not(case: EveryTrainCase, found: Census) -> Iterator[Reason]:
    """Yield by how much something is too long, where only a census showed that some
    train cannot be made.
    """
    puzzle = case.puzzle
    missing = _impossible(case, found)
    if not missing or unfit(puzzle):
        return
    too_long = train_too_long(
        puzzle.yard,
        puzzle.wagons,
        train_wagons=case.train_wagons,
        siding=puzzle.goal.siding or "",
    )
    if too_long is not None:
        yield too_long
        return
    first = of_train(puzzle, missing[0])
    because = (*unfit(first), *shortfall(first, budget_steps=case.budget_steps))
    if because:
        yield for_one(missing[0], because[0])


def _verdict(
    found: Census,
) -> Literal["every_train", "not_every_train", "budget_spent"]:
    if len(found.pars) == found.trains:
        return "every_train"
    return "not_every_train" if found.complete else "budget_spent"


def _impossible(case: EveryTrainCase, found: Census) -> tuple[tuple[str, ...], ...]:
    if not found.complete:
        return ()
    names = [wagon.name for wagon in case.puzzle.wagons]
    missing = (
        train
        for train in permutations(names, case.train_wagons)
        if train not in found.pars
    )
    return tuple(islice(missing, MOST_NAMED if len(found.pars) < found.trains else 0))


def _reason(found: Census) -> Reason:
    if len(found.pars) == found.trains:
        return Reason(
            code="every_train",
            message=f"every one of {counted(found.trains, 'train')} can be made",
        )
    if found.complete:
        message = (
            f"{len(found.pars)} of {counted(found.trains, 'train')} can be made; every"
            " position that can be reached was looked at"
        )
        return Reason(code="not_every_train", message=message)
    many = f"at least {len(found.pars)} of {counted(found.trains, 'train')} can be made"
    message = f"{search_stopped(found.steps)}: {many}"
    return Reason(code="budget_spent", message=message)


_EVERY_TWO = {**SHUNTED, "siding": "Dairy", "train_wagons": 2}
QUESTION = Question(
    id="checkEveryTrain",
    at="/v1/checks/every-train",
    asks="Can every train of so many wagons be made in this yard?",
    tells=("How many can, what they cost, the hardest, and some that cannot be made.")
    + REPEATABLE,
    request=EveryTrainRequest,
    answer=EveryTrainAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    searches=True,
    most_bytes=PLAN_BYTES,
    tag="Shunting",
    example=_EVERY_TWO,
    refused=_EVERY_TWO | {"train_wagons": "two"},
    warns=Shows("unit", "length_mm", SMALL_WAGONS),
)
