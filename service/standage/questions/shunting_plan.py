"""What is the best way to make this train in this yard?"""

from collections.abc import Iterator, Sequence
from typing import Annotated

import msgspec

from standage.questions.asked import AskedYard
from standage.questions.example_stock import NO_PLAN, PLAN, SMALL_WAGONS
from standage.questions.question import PLAN_BYTES, REPEATABLE, Question, Shows, always
from standage.questions.reckoning import (
    NOT_YET,
    MayBeExact,
    Warnings,
    as_written,
    warned,
)
from standage.questions.sources import Sources
from standage.questions.yard_wagons import AskedWagon, resolved
from standage.questions.yards_on_plans import (
    Unfound,
    YardCase,
    gathered,
    in_its_yard,
)
from standage.railway.shunting.check import Cut
from standage.railway.shunting.plans import Plan, Tightest, plan
from standage.railway.shunting.search import DEFAULT_BUDGET, Verdict
from standage.railway.shunting.shortfalls import shortfall
from standage.railway.shunting.yard import (
    MOST_WAGONS,
    Fewest,
    Puzzle,
    Visit,
    Yard,
    YardGoal,
    YardStart,
    made_sure,
)
from standage.railway.stock.couplings import CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import (
    VehicleLengthMm,
    counted,
    exceeds,
    give_or_take,
    millimetres,
    says,
    search_stopped,
)
from standage.railway.terms.reasons import Assumed, Guess, Reason, told
from standage.railway.terms.senses import ITSELF
from standage.shapes.faults import Ruled

MOST_BUDGET = 5_000_000

Budget = Annotated[int, msgspec.Meta(ge=1, le=MOST_BUDGET)]
_FEWEST_WORDS: dict[Fewest, tuple[str, str]] = {
    "visits": ("visit", "visits"),
    "couplings": ("coupling", "couplings"),
    "cuts_by_hand": ("cut by hand", "cuts by hand"),
}


class ShuntingPlanRequest(MayBeExact, Ruled, frozen=True, kw_only=True):
    """An engine, a yard, wagons, where they stand and where they are to stand."""

    engine_length_mm: Annotated[
        VehicleLengthMm, says("The engine over its couplings, in mm.")
    ]
    yard: Annotated[
        AskedYard, says("The headshunt and the sidings, here, on record or on a plan.")
    ]
    wagons: Annotated[
        Annotated[tuple[AskedWagon, ...], msgspec.Meta(max_length=MOST_WAGONS)],
        says("Every wagon in the yard."),
    ]
    start: Annotated[YardStart, says("Where each wagon stands at the start.")]
    goal: Annotated[YardGoal, says("What is to stand where at the end.")]
    fewest: Annotated[
        Fewest,
        says(
            "Of what there is to be as little as can be: visits, couplings, or cuts by"
            " hand (then visits)."
        ),
    ] = "visits"
    budget_steps: Annotated[
        Budget,
        says(
            "How many positions may be looked at before the search stops with the best"
            " it has found."
        ),
    ] = DEFAULT_BUDGET


class ShuntingPlanCase(YardCase, frozen=True, kw_only=True):
    """All that the answer rests on: a puzzle without contradictions, and what was taken
    for granted about it.
    """

    puzzle: Annotated[Puzzle, ITSELF]
    budget_steps: int = DEFAULT_BUDGET
    guesses: tuple[Guess, ...] = ()
    warnings: tuple[Reason, ...] = ()
    stock: tuple[Vehicle, ...] = ()
    """The wagons as they were given, in whose figures slips are looked for."""


class CutAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A joint that is taken apart."""

    move: Annotated[int, says("In which move, counted from 1.")]
    siding: Annotated[str, says("In which siding.")]
    before: Annotated[
        str | None,
        says(
            "The wagon on the engine's side of the joint; null for the engine itself."
        ),
    ]
    after: Annotated[str, says("The wagon that is left.")]
    by_hand: Annotated[
        bool, says("Whether it needs a hand: no uncoupling place will do.")
    ]
    pushed_on: Annotated[
        bool,
        says(
            "Whether it is uncoupled over a place in the headshunt first and then"
            " pushed on."
        ),
    ]
    hand_reaches: Annotated[
        bool | None,
        says("Whether a hand can reach the joint; null where the siding does not say."),
    ]


class TightestAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Where the plan leaves least room, what the wagons there may be off taken into
    account.
    """

    move: Annotated[int, says("After which move, counted from 1.")]
    place: Annotated[
        str, says("The siding, the headshunt, or the way between two sidings.")
    ]
    spare_mm: Annotated[float, says("What is left over there, in mm.")]
    plus_minus_mm: Annotated[
        float,
        says("How far off the wagons that stand there may be, all together, in mm."),
    ]


class OtherPlan(msgspec.Struct, frozen=True, kw_only=True):
    """Another plan, with fewer cuts by hand."""

    visits: Annotated[int, says("How many moves it has.")]
    couplings: Annotated[int, says("How often it couples or uncouples.")]
    cuts_by_hand: Annotated[int, says("How many joints only a hand can take apart.")]
    proved: Annotated[bool, says("Whether no plan has fewer cuts by hand.")]
    moves: Annotated[tuple[Visit, ...], says("The moves in order.")]


class ShuntingPlanAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The best plan, and what is proved of it."""

    verdict: Annotated[
        Verdict,
        says(
            "Solved as well as can be; impossible, proved; or stopped at the budget"
            " with the best found."
        ),
    ]
    proved: Annotated[
        bool, says("Whether the verdict is proved of the yard as stated.")
    ]
    visits: Annotated[
        int | None, says("How many moves the plan has; null where there is no plan.")
    ]
    couplings: Annotated[
        int | None,
        says("How often it couples or uncouples; null where there is no plan."),
    ]
    bound: Annotated[
        int | None,
        says(
            "No plan has fewer of what was to be fewest than this; null where there is"
            " no plan at all."
        ),
    ]
    moves: Annotated[
        tuple[Visit, ...], says("The moves in order; none where there is no plan.")
    ]
    cuts_by_hand: Annotated[
        int | None,
        says(
            "How many joints only a hand can take apart; null where no uncoupling"
            " places are given, unless such cuts are to be fewest."
        ),
    ]
    cuts: Annotated[
        tuple[CutAnswer, ...],
        says(
            "Every joint that is taken apart, where uncoupling places are given or cuts"
            " by hand are to be fewest."
        ),
    ]
    tightest: Annotated[
        TightestAnswer | None,
        says("Where the plan leaves least room; null where nothing moves."),
    ]
    steps: Annotated[int, says("How many positions were looked at.")]
    because: Annotated[tuple[Reason, ...], says("The reasons, worst first.")]
    assumed: Annotated[tuple[Assumed, ...], says("Every figure that nobody measured.")]
    instead: Annotated[
        OtherPlan | None,
        says(
            "A plan with fewer cuts by hand, where uncoupling places are given and"
            " there is one."
        ),
    ] = None
    warnings: Warnings = NOT_YET


@as_written
def gather(
    sources: Sources, request: ShuntingPlanRequest
) -> ShuntingPlanCase | Unfound:
    """Return the case of what a caller asks.

    Raises ``Faulty`` for every id that is not on record, every figure that is missing
    and every contradiction.
    """
    return gathered(sources, request, case_of)


def case_of(
    request: ShuntingPlanRequest,
    yard: Yard,
    vehicles: Sequence[Vehicle],
    types: tuple[CouplingKind, ...] = (),
) -> ShuntingPlanCase:
    """Return the case that a request makes in ``yard``, its wagons given as
    ``vehicles`` in the same order.

    ``types`` are the club's own couplings. Raises ``Faulty`` with every figure that is
    missing and every contradiction.
    """
    wagons, guesses, warnings = resolved(vehicles, CouplingTypes(types))
    puzzle = Puzzle(
        engine_length_mm=request.engine_length_mm,
        yard=yard,
        wagons=wagons,
        start=request.start,
        goal=request.goal,
        fewest=request.fewest,
    )
    return ShuntingPlanCase(
        puzzle=made_sure(puzzle),
        budget_steps=request.budget_steps,
        guesses=guesses,
        warnings=warnings,
        stock=tuple(vehicles),
    )


@in_its_yard(case_of)
@warned
def reckon(case: ShuntingPlanCase) -> ShuntingPlanAnswer:
    """Return the best plan for the case's puzzle, replayed by the referee, with its
    reasons.
    """
    found = plan(case.puzzle, budget_steps=case.budget_steps)
    visits, fewest = found.visits, case.puzzle.fewest
    places = _has_places(case.puzzle.yard)
    tells_cuts = places or fewest == "cuts_by_hand"
    return ShuntingPlanAnswer(
        verdict=found.verdict,
        proved=found.proved,
        visits=None if visits is None else len(visits),
        couplings=found.couplings,
        bound=found.bound,
        moves=visits or (),
        cuts_by_hand=found.cuts_by_hand if tells_cuts and visits is not None else None,
        cuts=tuple(map(_cut, found.cuts)) if tells_cuts else (),
        tightest=None if found.tightest is None else _tightest(found.tightest),
        steps=found.steps,
        because=(*case.warnings, *why_none(case, found), *told_because(fewest, found)),
        assumed=(*told(case.guesses), *case.of_the_yard),
        instead=_with_fewer_hands(case, found) if places else None,
    )


def why_none(case: ShuntingPlanCase, found: Plan) -> Iterator[Reason]:
    """Yield by how much something is too long, where only a search showed that there
    is no plan.
    """
    if found.verdict == "impossible" and found.steps:
        left = case.budget_steps - found.steps
        yield from shortfall(case.puzzle, budget_steps=left)


def _has_places(yard: Yard) -> bool:
    return bool(yard.headshunt_uncoupling_places_mm) or any(
        siding.uncoupling_places_mm for siding in yard.sidings
    )


def _with_fewer_hands(case: ShuntingPlanCase, found: Plan) -> OtherPlan | None:
    if (
        found.visits is None
        or not found.cuts_by_hand
        or case.puzzle.fewest == "cuts_by_hand"
    ):
        return None
    puzzle = msgspec.structs.replace(case.puzzle, fewest="cuts_by_hand")
    other = plan(puzzle, budget_steps=case.budget_steps)
    if (
        other.visits is None
        or other.couplings is None
        or other.cuts_by_hand >= found.cuts_by_hand
    ):
        return None
    return OtherPlan(
        visits=len(other.visits),
        couplings=other.couplings,
        cuts_by_hand=other.cuts_by_hand,
        proved=other.proved,
        moves=other.visits,
    )


def fewest_words(fewest: Fewest, count: int) -> str:
    """Return so many visits, couplings or cuts by hand in words."""
    one, several = _FEWEST_WORDS[fewest]
    return counted(count, one, plural=several)


def told_because(fewest: Fewest, found: Plan) -> Iterator[Reason]:
    """Yield why there is no plan, why there may be a better one, where it is tight, and
    what is proved of it.
    """
    yield from found.because
    if found.verdict == "budget_spent":
        best = "nothing was found"
        if found.visits is not None:
            best = f"the best plan found has {counted(len(found.visits), 'visit')}"
        least = f"no plan has fewer than {fewest_words(fewest, found.bound or 0)}"
        message = f"{search_stopped(found.steps)}: {best}, and {least}"
        yield Reason(code="budget_spent", message=message)
    tight = found.tightest
    if tight is not None and exceeds(tight.plus_minus_mm, limit=tight.spare_mm):
        left = f"{millimetres(tight.spare_mm)}{give_or_take(tight.plus_minus_mm)}"
        message = (
            f"after move {tight.step} {tight.place} has only {left} left over: try it"
            " first"
        )
        yield Reason(
            code="tight", message=message, place=tight.place, amount_mm=tight.spare_mm
        )
    if found.verdict == "solved":
        message = (
            f"every plan has at least {fewest_words(fewest, found.bound or 0)}, and"
            " this one has no more"
        )
        yield Reason(code="fewest", message=message)


def _cut(cut: Cut) -> CutAnswer:
    return CutAnswer(
        move=cut.step,
        siding=cut.siding,
        before=cut.before,
        after=cut.after,
        by_hand=cut.by_hand,
        pushed_on=cut.uncoupled_ahead,
        hand_reaches=cut.hand_reaches,
    )


def _tightest(tight: Tightest) -> TightestAnswer:
    return TightestAnswer(
        move=tight.step,
        place=tight.place,
        spare_mm=tight.spare_mm,
        plus_minus_mm=tight.plus_minus_mm,
    )


QUESTION = Question(
    id="checkShuntingPlan",
    at="/v1/checks/shunting-plan",
    asks="What is the best way to make this train in this yard?",
    tells=(
        "The fewest trips into a siding (or couplings, or cuts by hand), proved; or"
        " that it is impossible, proved of the yard as stated."
    )
    + REPEATABLE,
    request=ShuntingPlanRequest,
    answer=ShuntingPlanAnswer,
    gather=gather,
    reckon=reckon,
    heavy=always,
    searches=True,
    most_bytes=PLAN_BYTES,
    tag="Shunting",
    example=PLAN,
    refused=NO_PLAN,
    warns=Shows("unit", "length_mm", SMALL_WAGONS),
)
