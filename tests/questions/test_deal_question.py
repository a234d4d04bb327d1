"""The puzzle that is dealt, and whether every train can be made."""

from typing import Any

import msgspec
import pytest

from standage.questions import deal, every_train, shunting_plan
from standage.questions.asked import inline_yard
from standage.shapes.decoding import convert
from support.yard_questions import START, WAGONS, YARD, codes, faults, vehicles

DEAL = {
    "engine_length_mm": 100,
    "yard": YARD,
    "wagons": WAGONS[:6],
    "siding": "Long",
    "train_wagons": 4,
    "seed": 7,
}


TWELVE = [{"name": f"W{number}", "length_mm": 10} for number in range(12)]


def dealt(**changes: Any) -> deal.DealAnswer:
    request = convert(DEAL | changes, deal.DealRequest)
    return deal.reckon(
        deal.case_of(request, inline_yard(request.yard), vehicles(request.wagons))
    )


def test_a_puzzle_is_dealt_with_its_par_and_the_solution_only_on_demand() -> None:
    closed, opened = dealt(), dealt(with_solution=True)
    assert (closed.verdict, closed.moves, closed.trains) == ("dealt", None, 360)
    assert (opened.start, opened.goal, opened.par) == (
        closed.start,
        closed.goal,
        closed.par,
    )
    assert opened.moves is not None
    assert len(opened.moves) == opened.par
    assert sum(one.trains for one in closed.by_par) == closed.trains_possible


def test_a_dealt_puzzle_can_be_asked_as_a_plan() -> None:
    answer = dealt()
    body = {
        "engine_length_mm": DEAL["engine_length_mm"],
        "yard": YARD,
        "wagons": [
            {"name": one.name, "length_mm": one.length_mm} for one in answer.wagons
        ],
        "start": msgspec.to_builtins(answer.start),
        "goal": msgspec.to_builtins(answer.goal),
    }
    request = convert(body, shunting_plan.ShuntingPlanRequest)
    asked = shunting_plan.reckon(
        shunting_plan.case_of(
            request, inline_yard(request.yard), vehicles(request.wagons)
        )
    )
    assert asked.bound == answer.par


def test_wagons_are_drawn_from_the_clubs_own() -> None:
    many = [
        {"name": f"Wagon {number}", "length_mm": 75 + number % 3}
        for number in range(20)
    ]
    answer = dealt(wagons=many, used_wagons=6)
    assert len(answer.wagons) == 6
    assert {one.name for one in answer.wagons} <= {one["name"] for one in many}


def test_where_no_puzzle_is_worth_dealing_it_is_said() -> None:
    answer = dealt(wagons=WAGONS[:1], train_wagons=1)
    assert (answer.verdict, answer.start, answer.par, codes(answer)) == (
        "no_puzzle",
        None,
        None,
        ["no_puzzle"],
    )


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"siding": "Nowhere"}, "/siding"),
        ({"used_wagons": 7}, "/used_wagons"),
        ({"train_wagons": 7}, "/train_wagons"),
        ({"wagons": [*WAGONS[:5], WAGONS[0]]}, "/wagons/5/name"),
        ({"wagons": TWELVE, "used_wagons": 12, "train_wagons": 6}, "/train_wagons"),
    ],
)
def test_a_deal_that_cannot_be_is_refused_at_its_place(
    change: dict[str, Any], pointer: str
) -> None:
    assert pointer in {
        at for at, _ in faults(deal.DealRequest, DEAL | change, deal.case_of)
    }


EVERY = {
    "engine_length_mm": 100,
    "yard": YARD,
    "wagons": WAGONS,
    "start": START,
    "siding": "Long",
    "train_wagons": 5,
}


def every(**changes: Any) -> every_train.EveryTrainAnswer:
    request = convert(EVERY | changes, every_train.EveryTrainRequest)
    return every_train.reckon(
        every_train.case_of(
            request, inline_yard(request.yard), vehicles(request.wagons)
        )
    )


def test_every_train_of_five_can_be_made_there() -> None:
    answer = every()
    assert (
        answer.verdict,
        answer.trains,
        answer.trains_possible,
        answer.impossible,
    ) == ("every_train", 6720, 6720, ())
    assert codes(answer) == ["every_train"]
    assert len(answer.hardest) == next(
        one.trains for one in answer.by_par if one.par == answer.hardest_par
    )


def test_with_a_headshunt_for_two_only_some_can_be_made() -> None:
    answer = every(yard=YARD | {"headshunt_usable_length_mm": 260})
    assert (answer.verdict, answer.trains_possible, len(answer.impossible)) == (
        "not_every_train",
        840,
        10,
    )


def test_with_an_engine_too_long_for_the_headshunt_none_can_be_made() -> None:
    answer = every(engine_length_mm=341)
    assert (
        answer.verdict,
        answer.trains,
        answer.trains_possible,
        answer.hardest_par,
    ) == (*("not_every_train", 6720, 0, None),)
    assert codes(answer)[0] == "headshunt_too_short"


def test_a_spent_budget_says_how_many_at_least() -> None:
    answer = every(budget_steps=20_000)
    assert answer.verdict == "budget_spent"
    assert 0 < answer.trains_possible < 6720
    assert answer.impossible == ()


@pytest.mark.parametrize(
    ("change", "pointer"),
    [({"siding": "X"}, "/siding"), ({"train_wagons": 9}, "/train_wagons")],
)
def test_trains_that_cannot_be_are_refused_at_their_place(
    change: dict[str, Any], pointer: str
) -> None:
    assert pointer in {
        at
        for at, _ in faults(
            every_train.EveryTrainRequest, EVERY | change, every_train.case_of
        )
    }
