"""The operations that ask about shunting: plans, puzzles, whether every train can be
made; and their sheets.
"""

from collections.abc import Callable
from functools import partial
from typing import Any

from standage.api.operations.record_words import paths
from standage.api.web.operation import SVG, Call, Operation, Reads, Reply, always
from standage.drawings.shunting_sheets import yard_drawing
from standage.questions import deal, every_train, shunting_plan
from standage.questions.shunting_sheets import (
    PlanSheetCase,
    PuzzleSheetCase,
    PuzzleSheetQuery,
    SheetQuery,
    plan_sheet,
    puzzle_sheet,
)
from standage.questions.sources import Sources
from standage.registry.records.bodies import YardBody
from standage.registry.records.kinds import YARDS
from standage.registry.records.reading import Reading

_SEARCH: dict[str, Any] = {
    "method": "POST",
    "tag": "Shunting",
    "rate": "search",
    "may_be_open": True,
}
_BOUND = (
    " It stops at a budget of steps, and says so. The same request always gives the"
    " same answer."
)
_WAITING = " Searches take turns, in a process of their own: 503 where too many wait."


def shunting_operations() -> list[Operation]:
    """Return every question about shunting."""
    return [*_questions(), *_sheets(), *_yard_drawings()]


def _questions() -> list[Operation]:
    return [
        Operation(
            **_SEARCH,
            heavy=always,
            id="checkShuntingPlan",
            path="/v1/checks/shunting-plan",
            summary="What is the best way to make this train in this yard?",
            description=(
                "The fewest trips into a siding (or couplings, or cuts by hand),"
                " proved; or that it is impossible, proved of the yard as stated."
            )
            + _BOUND
            + _WAITING,
            act=Reads(_plan, partial(_told, shunting_plan.reckon)),
            answer=shunting_plan.ShuntingPlanAnswer,
            body=shunting_plan.ShuntingPlanRequest,
        ),
        Operation(
            **_SEARCH,
            heavy=always,
            id="dealShuntingPuzzle",
            path="/v1/checks/shunting-deal",
            summary="Deal a shunting puzzle from the club's own wagons",
            description=(
                "By a seed: never trivial, with its par and how hard it is among all"
                " trains that could be asked for; the solution where it is wanted."
            )
            + _BOUND
            + _WAITING,
            act=Reads(_deal, partial(_told, deal.reckon)),
            answer=deal.DealAnswer,
            body=deal.DealRequest,
        ),
        Operation(
            **_SEARCH,
            heavy=always,
            id="checkEveryTrain",
            path="/v1/checks/every-train",
            summary="Can every train of so many wagons be made in this yard?",
            description=(
                "How many can, what they cost, the hardest, and some that cannot be"
                " made."
            )
            + _BOUND
            + _WAITING,
            act=Reads(_every_train, partial(_told, every_train.reckon)),
            answer=every_train.EveryTrainAnswer,
            body=every_train.EveryTrainRequest,
        ),
    ]


def _sheets() -> list[Operation]:
    return [
        Operation(
            **_SEARCH,
            heavy=_is_searched_for,
            id="drawShuntingPlan",
            path="/v1/checks/shunting-plan/drawing",
            summary="Draw the plan step by step, the start, or a card",
            description=(
                "The same request as for the plan. True to length, every wagon named,"
                " in black and white; where there is no plan the sheet says why."
            )
            + _WAITING,
            act=Reads(_plan_sheet, partial(_drawn, plan_sheet)),
            answer=str,
            answers_as=SVG,
            body=shunting_plan.ShuntingPlanRequest,
            query=SheetQuery,
        ),
        Operation(
            **_SEARCH,
            heavy=always,
            id="drawShuntingPuzzle",
            path="/v1/checks/shunting-deal/drawing",
            summary="Draw the card of a puzzle, its start, or its solution",
            description=(
                "The same request as for the puzzle. A card for a visitor is A5 across;"
                " where there is no puzzle it says why."
            )
            + _WAITING,
            act=Reads(_puzzle_sheet, partial(_drawn, puzzle_sheet)),
            answer=str,
            answers_as=SVG,
            body=deal.DealRequest,
            query=PuzzleSheetQuery,
        ),
    ]


def _yard_drawings() -> list[Operation]:
    return [
        Operation(
            id=name,
            method="GET",
            path=f"{paths(YARDS, alone=alone)[1]}/drawing",
            tag="Shunting",
            summary=f"Draw a yard on record{' of any layout' if alone else ''}, empty",
            description=(
                "Every road true to length with its name and its length, as SVG."
            ),
            act=Reads(_yard, _yard_drawn),
            answer=str,
            answers_as=SVG,
            tagged=True,
        )
        for name, alone in (("getYardDrawing", False), ("getClubYardDrawing", True))
    ]


def _plan(reading: Reading | None, call: Call) -> shunting_plan.ShuntingPlanCase:
    return shunting_plan.gather(_sources(reading, call), call.body)


def _deal(reading: Reading | None, call: Call) -> deal.DealCase:
    return deal.gather(_sources(reading, call), call.body)


def _every_train(reading: Reading | None, call: Call) -> every_train.EveryTrainCase:
    return every_train.gather(_sources(reading, call), call.body)


def _plan_sheet(reading: Reading | None, call: Call) -> PlanSheetCase:
    return PlanSheetCase(
        plan=_plan(reading, call), show=call.query.show, page=call.query.page
    )


def _puzzle_sheet(reading: Reading | None, call: Call) -> PuzzleSheetCase:
    return PuzzleSheetCase(
        deal=_deal(reading, call), show=call.query.show, page=call.query.page
    )


def _is_searched_for(case: PlanSheetCase) -> bool:
    return case.show != "start"


def _yard(reading: Reading | None, call: Call) -> YardBody:
    return _sources(reading, call).yard_at(
        call.path["yard_id"], layout_id=call.path.get("layout_id")
    )


def _sources(reading: Reading | None, call: Call) -> Sources:
    return Sources(reading, "" if call.permit is None else call.club_id)


def _told(reckon: Callable[[Any], Any], case: Any) -> Reply:
    return Reply(content=reckon(case))


def _drawn(draw: Callable[[Any], str], case: Any) -> Reply:
    return Reply(content=draw(case).encode(), media_type=SVG)


def _yard_drawn(yard: YardBody) -> Reply:
    return _drawn(lambda body: yard_drawing(body, name=body.name), yard)
