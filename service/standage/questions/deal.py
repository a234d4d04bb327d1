"""Deal me a shunting puzzle from our own wagons."""

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import partial
from typing import Annotated, Literal

import msgspec

from standage.questions.asked import AskedYard
from standage.questions.example_stock import NO_PUZZLE, PUZZLE, YARD
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
    too_many_trains,
)
from standage.railway.shunting.deal import Dealt, Difficulty, NotDealt, Wish, deal
from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import (
    MOST_WAGONS,
    Rest,
    Visit,
    Wagon,
    Yard,
    YardGoal,
    YardStart,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import Name, VehicleLengthMm, counted, says
from standage.railway.terms.reasons import Assumed, Guess, Reason, told
from standage.railway.terms.senses import ITSELF
from standage.shapes.faults import Fault, Faulty, Ruled, all_of

MOST_CLUB_WAGONS = 40
USUAL_WAGONS = 8

WagonCount = Annotated[int, msgspec.Meta(ge=1, le=MOST_WAGONS)]
Seed = Annotated[int, msgspec.Meta(ge=0, le=2**31 - 1)]


class DealRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """A yard, an engine, the club's wagons, and what sort of puzzle is wanted."""

    engine_length_mm: Annotated[
        VehicleLengthMm, says("The engine over its couplings, in mm.")
    ]
    yard: Annotated[
        AskedYard, says("The headshunt and the sidings, here, on record or on a plan.")
    ]
    wagons: Annotated[
        Annotated[
            tuple[AskedWagon, ...],
            msgspec.Meta(min_length=1, max_length=MOST_CLUB_WAGONS),
        ],
        says("The wagons to draw from."),
    ]
    siding: Annotated[Name, says("The siding in which the train is to be made up.")]
    train_wagons: Annotated[WagonCount, says("How many wagons the train is to have.")]
    used_wagons: Annotated[
        WagonCount | None,
        says(
            "How many wagons stand in the yard; 8, or all where there are fewer, if not"
            " said."
        ),
    ] = None
    seed: Annotated[Seed, says("The same seed and figures deal the same puzzle.")]
    rest: Annotated[Rest, says("Where the other wagons may be at the end.")] = (
        "anywhere"
    )
    fewest: Annotated[Par, says("What par counts: visits or couplings.")] = "visits"
    difficulty: Annotated[
        Difficulty | None, says("How hard it is to be; any if not said.")
    ] = None
    with_solution: Annotated[bool, says("Whether to give the solution away.")] = False
    budget_steps: Annotated[Budget, says("How many positions may be looked at.")] = (
        DEFAULT_BUDGET
    )

    def rules(self) -> Iterable[Fault]:
        """There are as many wagons as are to be used."""
        used = self.wagons_used
        if used > len(self.wagons):
            message = f"there is a choice of only {counted(len(self.wagons), 'wagon')}"
            yield Fault(
                code="contradiction",
                message=message,
                pointer="/used_wagons",
            )
        if self.train_wagons > used:
            message = f"the yard has only {counted(used, 'wagon')} in it"
            yield Fault(
                code="contradiction",
                message=message,
                pointer="/train_wagons",
            )
        elif (too_many := too_many_trains(used, self.train_wagons)) is not None:
            yield Fault(
                code="too_many",
                message=too_many,
                pointer="/train_wagons",
            )

    @property
    def wagons_used(self) -> int:
        """How many wagons stand in the yard."""
        if self.used_wagons is None:
            return min(USUAL_WAGONS, len(self.wagons))
        return self.used_wagons


class DealCase(YardCase, frozen=True, kw_only=True):
    """All that the answer rests on."""

    wish: Annotated[Wish, ITSELF]
    with_solution: bool = False
    budget_steps: int = DEFAULT_BUDGET
    guesses: tuple[Guess, ...] = ()
    warnings: tuple[Reason, ...] = ()
    stock: tuple[Vehicle, ...] = ()
    """The wagons as they were given, in whose figures slips are looked for."""


class ParCount(msgspec.Struct, frozen=True, kw_only=True):
    """How many trains cost so much."""

    par: Annotated[int, says("The least that such a train costs.")]
    trains: Annotated[int, says("How many trains cost that.")]


class DealtWagon(msgspec.Struct, frozen=True, kw_only=True):
    """A wagon in the yard."""

    name: Annotated[str, says("What it is called.")]
    length_mm: Annotated[float, says("Over its couplings, in mm.")]


class DealAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A puzzle with its par and how hard it is, or why there is none."""

    verdict: Annotated[
        Literal["dealt", "no_puzzle"], says("Whether there is a puzzle.")
    ]
    seed: Annotated[int, says("The seed it was dealt by.")]
    wagons: Annotated[tuple[DealtWagon, ...], says("The wagons in the yard.")]
    start: Annotated[YardStart | None, says("Where they stand at the start.")]
    goal: Annotated[YardGoal | None, says("The train to be made.")]
    fewest: Annotated[Par, says("What par counts.")]
    par: Annotated[int | None, says("The least it can be done in, proved.")]
    difficulty: Annotated[
        Difficulty | None, says("In which third of all trains its par stands.")
    ]
    easier_percent: Annotated[
        float | None, says("How many per cent of all trains have a lower par.")
    ]
    harder_percent: Annotated[
        float | None, says("How many per cent of all trains have a higher par.")
    ]
    trains: Annotated[int | None, says("How many trains of so many wagons there are.")]
    trains_possible: Annotated[
        int | None,
        says("How many of them can be made; null where not all were looked at."),
    ]
    by_par: Annotated[
        tuple[ParCount, ...],
        says("How many trains have which par, as far as was looked."),
    ]
    moves: Annotated[
        tuple[Visit, ...] | None, says("The solution, where it was asked for.")
    ]
    because: Annotated[tuple[Reason, ...], says("Why there is none, and what to mind.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    warnings: Warnings = NOT_YET


@as_written
def gather(sources: Sources, request: DealRequest) -> DealCase | Unfound:
    """Return the case of what a caller asks.

    Raises ``Faulty`` for every id that is not on record, every figure that is missing
    and every name twice.
    """
    return gathered(sources, request, case_of)


def case_of(
    request: DealRequest,
    yard: Yard,
    vehicles: Sequence[Vehicle],
    types: tuple[CouplingKind, ...] = (),
) -> DealCase:
    """Return the case that a request makes in ``yard``, its wagons given as
    ``vehicles`` in the same order.

    ``types`` are the club's own couplings. Raises ``Faulty`` with every figure that is
    missing, every name twice and a siding that there is not.
    """
    (wagons, guesses, warnings), _ = all_of(
        partial(resolved, vehicles, CouplingTypes(types)),
        partial(known_siding, request.siding, yard),
    )
    distinct_names(wagons)
    wish = Wish(
        engine_length_mm=request.engine_length_mm,
        yard=yard,
        wagons=wagons,
        used_wagons=request.wagons_used,
        train_wagons=request.train_wagons,
        siding=request.siding,
        seed=request.seed,
        rest=request.rest,
        fewest=request.fewest,
        difficulty=request.difficulty,
    )
    return DealCase(
        wish=wish,
        with_solution=request.with_solution,
        budget_steps=request.budget_steps,
        guesses=guesses,
        warnings=warnings,
        stock=tuple(vehicles),
    )


def known_siding(siding: str, yard: Yard) -> None:
    """Raise ``Faulty`` where the yard has no such siding."""
    if siding not in {one.name for one in yard.sidings}:
        raise Faulty(
            [
                Fault(
                    code="unknown_siding",
                    message=f"there is no siding {siding}",
                    pointer="/siding",
                )
            ]
        )


def distinct_names(wagons: Sequence[Wagon]) -> None:
    """Raise ``Faulty`` where two wagons have one name."""
    seen = set[str]()
    faults = []
    for place, wagon in enumerate(wagons):
        if wagon.name in seen:
            message = f"there are two wagons {wagon.name}"
            faults.append(
                Fault(
                    code="not_unique", message=message, pointer=f"/wagons/{place}/name"
                )
            )
        seen.add(wagon.name)
    if faults:
        raise Faulty(faults)


@in_its_yard(case_of)
@warned
def reckon(case: DealCase) -> DealAnswer:
    """Return the puzzle that the case's seed deals; its par is found anew by the search
    where the solution is given.
    """
    dealt = deal(case.wish, budget_steps=case.budget_steps)
    if isinstance(dealt, NotDealt):
        return _answer(case, None, because=(*case.warnings, *dealt.because))
    return _answer(case, dealt, because=case.warnings)


def _answer(
    case: DealCase, dealt: Dealt | None, *, because: tuple[Reason, ...]
) -> DealAnswer:
    census = None if dealt is None else dealt.census
    puzzle = None if dealt is None else dealt.puzzle
    solved = plan(puzzle) if puzzle is not None and case.with_solution else None
    return DealAnswer(
        verdict="no_puzzle" if dealt is None else "dealt",
        seed=case.wish.seed,
        wagons=(
            () if puzzle is None else tuple(_wagon(wagon) for wagon in puzzle.wagons)
        ),
        start=None if puzzle is None else puzzle.start,
        goal=None if puzzle is None else puzzle.goal,
        fewest=case.wish.fewest,
        par=None if dealt is None else dealt.par,
        difficulty=None if dealt is None else dealt.difficulty,
        easier_percent=None if dealt is None else dealt.easier_percent,
        harder_percent=None if dealt is None else dealt.harder_percent,
        trains=None if census is None else census.trains,
        trains_possible=(
            len(census.pars) if census is not None and census.complete else None
        ),
        by_par=() if census is None else by_par(census),
        moves=None if solved is None else solved.visits,
        because=because,
        assumed=(*told(case.guesses), *case.of_the_yard),
    )


def _wagon(wagon: Wagon) -> DealtWagon:
    return DealtWagon(
        name=wagon.name,
        length_mm=wagon.length_mm,
    )


def by_par(census: Census) -> tuple[ParCount, ...]:
    """Return how many trains have which par, the least first."""
    par_counts = sorted(Counter(census.pars.values()).items())
    return tuple(
        ParCount(
            par=par,
            trains=trains,
        )
        for par, trains in par_counts
    )


QUESTION = Question(
    id="dealShuntingPuzzle",
    at="/v1/checks/shunting-deal",
    asks="Deal a shunting puzzle from the club's own wagons",
    tells=(
        "By a seed: never trivial, with its par and how hard it is among all trains"
        " that could be asked for; the solution where it is wanted."
    )
    + REPEATABLE,
    request=DealRequest,
    answer=DealAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    searches=True,
    most_bytes=PLAN_BYTES,
    tag="Shunting",
    example=PUZZLE,
    refused=NO_PUZZLE,
    warns=Shows(
        "unit",
        "headshunt_usable_length_mm",
        {"yard": YARD | {"headshunt_usable_length_mm": 0.3}},
    ),
)
