"""The sheets of a shunting question: to be looked at on a screen, or printed."""

from collections.abc import Iterable, Sequence
from typing import Annotated, Literal

import msgspec

from standage.drawings.shunting_sheets import (
    Par,
    blank_card,
    card,
    plan_drawing,
    plan_pages,
    start_drawing,
)
from standage.questions import deal as deal_question
from standage.questions import shunting_plan
from standage.questions.deal import DealCase, DealRequest
from standage.questions.example_stock import NO_PLAN, NO_PUZZLE, PLAN, PUZZLE
from standage.questions.question import PLAN_BYTES, Drawing, always
from standage.questions.shunting_plan import (
    ShuntingPlanCase,
    ShuntingPlanRequest,
    fewest_words,
    told_because,
    why_none,
)
from standage.questions.sources import Sources
from standage.questions.yards_on_plans import Unfound, found
from standage.railway.shunting.deal import Dealt, NotDealt, deal
from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import Puzzle, Visit
from standage.railway.terms.figures import says
from standage.shapes.faults import Fault, Faulty, Ruled

MOST_PAGES = 100
_SHOWN = (
    "The plan step by step, only how the yard stands at the start, or a card for a"
    " visitor."
)

Show = Literal["plan", "start", "card"]


class SheetQuery(Ruled, frozen=True, kw_only=True):
    """Which sheet is wanted."""

    show: Annotated[Show, says(_SHOWN)] = "plan"
    page: Annotated[
        Annotated[int, msgspec.Meta(ge=1, le=MOST_PAGES)] | None,
        says(
            "Of the plan, one page that prints on A4 and on Letter, counted from 1; if"
            " not said, all on one sheet."
        ),
    ] = None

    def rules(self) -> Iterable[Fault]:
        """Only the plan has pages."""
        if self.page is not None and self.show != "plan":
            yield Fault(
                code="contradiction",
                message="only the plan has pages: ask to show it",
                pointer="/page",
            )


class PuzzleSheetQuery(SheetQuery, frozen=True, kw_only=True):
    """Which sheet of a puzzle is wanted; the plan gives its solution away."""

    show: Annotated[Show, says(_SHOWN)] = "card"


class PlanSheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """A sheet of a plan, and all that it rests on."""

    plan: ShuntingPlanCase | Unfound
    show: Show
    page: int | None


class PuzzleSheetCase(msgspec.Struct, frozen=True, kw_only=True):
    """A sheet of a dealt puzzle, and all that it rests on."""

    deal: DealCase | Unfound
    show: Show
    page: int | None


def plan_sheet(case: PlanSheetCase) -> str:
    """Return the sheet as SVG; where there is no plan it says why. Raises ``Faulty``
    where there is no such page.
    """
    asked = found(case.plan, shunting_plan.case_of)
    puzzle = asked.puzzle
    if case.show == "start":
        return start_drawing(puzzle)
    best = plan(puzzle, budget_steps=asked.budget_steps)
    warnings = [reason.message for reason in asked.warnings]
    reasons = (*why_none(asked, best), *told_because(puzzle.fewest, best))
    why = [reason.message for reason in reasons]
    notes = [*warnings, *why]
    if best.verdict == "impossible":
        notes = ["this cannot be done", *notes]
    if case.show == "plan":
        return _plan(puzzle, best.visits or (), notes, case.page)
    if best.verdict == "solved" and best.bound is not None:
        par = Par(fewest=fewest_words(puzzle.fewest, best.bound))
        return card(puzzle, par=par, notes=warnings)
    return card(puzzle, notes=notes)


def puzzle_sheet(case: PuzzleSheetCase) -> str:
    """Return the sheet as SVG; where there is no puzzle it says why. Raises ``Faulty``
    where there is no such page.
    """
    asked = found(case.deal, deal_question.case_of)
    dealt = deal(asked.wish, budget_steps=asked.budget_steps)
    warnings = [reason.message for reason in asked.warnings]
    if isinstance(dealt, NotDealt):
        why = [reason.message for reason in dealt.because]
        return blank_card([*warnings, *why])
    puzzle = dealt.puzzle
    if case.show == "start":
        return start_drawing(puzzle)
    if case.show == "card":
        return card(puzzle, par=_par(asked, dealt), notes=warnings)
    solution = plan(puzzle).visits or ()
    return _plan(puzzle, solution, warnings, case.page)


def _par(case: DealCase, dealt: Dealt) -> Par:
    fewest = fewest_words(case.wish.fewest, dealt.par)
    return Par(
        fewest=fewest,
        difficulty=dealt.difficulty,
        seed=case.wish.seed,
    )


def _plan(
    puzzle: Puzzle, visits: Sequence[Visit], notes: Sequence[str], page: int | None
) -> str:
    if page is None:
        return plan_drawing(puzzle, visits, notes=notes)
    pages = plan_pages(puzzle, visits, notes=notes)
    if page > len(pages):
        message = f"the last page is {len(pages)}"
        raise Faulty(
            [
                Fault(
                    code="too_large",
                    message=message,
                    parameter="page",
                )
            ]
        )
    return pages[page - 1]


def gather_plan(
    sources: Sources, request: ShuntingPlanRequest, look: SheetQuery
) -> PlanSheetCase:
    """Return the case of a plan that is to be drawn."""
    case = shunting_plan.gather(sources, request)
    return PlanSheetCase(
        plan=case,
        show=look.show,
        page=look.page,
    )


def gather_puzzle(
    sources: Sources, request: DealRequest, look: PuzzleSheetQuery
) -> PuzzleSheetCase:
    """Return the case of a puzzle that is to be drawn."""
    case = deal_question.gather(sources, request)
    return PuzzleSheetCase(
        deal=case,
        show=look.show,
        page=look.page,
    )


def is_searched_for(case: PlanSheetCase) -> bool:
    """Tell whether a plan has to be found: how the yard stands at the start needs none,
    where the yard has not to be found either.
    """
    return case.show != "start" or isinstance(case.plan, Unfound)


PLAN_DRAWING = Drawing(
    id="drawShuntingPlan",
    at="/v1/checks/shunting-plan/drawing",
    asks="Draw the plan step by step, the start, or a card",
    tells=(
        "The same request as for the plan. True to length, every wagon named, in black"
        " and white; where there is no plan the sheet says why."
    ),
    request=ShuntingPlanRequest,
    look=SheetQuery,
    gather=gather_plan,
    draw=plan_sheet,
    heavy=is_searched_for,
    searches=True,
    most_bytes=PLAN_BYTES,
    tag="Shunting",
    example=PLAN,
    refused=NO_PLAN,
)
PUZZLE_DRAWING = Drawing(
    id="drawShuntingPuzzle",
    at="/v1/checks/shunting-deal/drawing",
    asks="Draw the card of a puzzle, its start, or its solution",
    tells=(
        "The same request as for the puzzle. A card for a visitor is A5 across; where"
        " there is no puzzle it says why."
    ),
    request=DealRequest,
    look=PuzzleSheetQuery,
    gather=gather_puzzle,
    draw=puzzle_sheet,
    heavy=always,
    searches=True,
    most_bytes=PLAN_BYTES,
    tag="Shunting",
    example=PUZZLE,
    refused=NO_PUZZLE,
)
