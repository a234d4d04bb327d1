"""What is said at once, what a spent budget may say, and what is refused."""

import msgspec
import pytest
from msgspec import structs

from standage.railway.shunting.plans import plan
from standage.railway.shunting.search import solve
from standage.railway.shunting.yard import (
    Puzzle,
    RoomBetween,
    Wagon,
    YardGoal,
    YardStart,
    made_sure,
)
from standage.shapes.faults import Faulty
from support.yard_puzzles import EIGHT, three_sidings, train_of_five, yard

POSSIBLE = train_of_five(
    "HDBFA", three_sidings(headshunt_wagons=3)
)  # 12 visits, by the exhaustive census
IMPOSSIBLE = train_of_five("FGHAB", three_sidings(headshunt_wagons=2))


@pytest.mark.parametrize("budget", [1, 2, 10, 100, 1000, 3000])
def test_a_spent_budget_says_neither_impossible_nor_more_than_is_proved(
    budget: int,
) -> None:
    for puzzle, most in ((POSSIBLE, 12), (IMPOSSIBLE, 100)):
        found = plan(puzzle, budget_steps=budget)
        assert (found.verdict, found.proved) == ("budget_spent", False)
        assert found.steps <= budget
        assert found.bound is not None
        assert 1 <= found.bound <= most
    assert solve(IMPOSSIBLE).verdict == "impossible"


def test_more_budget_never_proves_less() -> None:
    bounds = [
        solve(POSSIBLE, budget_steps=budget).bound or 0
        for budget in (1, 30, 300, 1500, 5000, 100_000)
    ]
    assert bounds == sorted(bounds)
    assert bounds[-1] == 12


def test_the_best_found_is_offered_where_the_budget_is_spent() -> None:
    names = [f"Wagon {number}" for number in range(12)]
    puzzle = Puzzle(
        engine_length_mm=100,
        yard=yard(500, {"Long": 560, "B": 400, "C": 400, "D": 400}),
        wagons=tuple(
            Wagon(name=name, length_mm=70 + 5 * (place % 4))
            for place, name in enumerate(names)
        ),
        start=YardStart(
            sidings=tuple(tuple(names[first : first + 3]) for first in range(0, 12, 3))
        ),
        goal=YardGoal(siding="Long", train=(names[4], names[1], names[11])),
    )
    found = plan(puzzle, budget_steps=20_000)
    assert found.verdict == "budget_spent"
    assert found.visits is not None
    assert found.bound is not None
    assert found.bound <= len(found.visits)


def _goal(**fields: object) -> Puzzle:
    return structs.replace(
        POSSIBLE,
        goal=msgspec.convert({"siding": "Left", "train": [], **fields}, YardGoal),
    )


@pytest.mark.parametrize(
    ("puzzle", "code"),
    [
        (_goal(train=list("ABCD")), "goal_does_not_fit"),
        (_goal(engine=list("ABCD")), "goal_does_not_fit"),
        (
            _goal(train=list("ABC"), rest="one_siding", siding="Long"),
            "rest_does_not_fit",
        ),
        (_goal(engine=["A"], rest="engine_free"), "rest_does_not_fit"),
        (structs.replace(POSSIBLE, engine_length_mm=340.1), "headshunt_too_short"),
    ],
)
def test_a_goal_that_does_not_fit_is_impossible_at_once(
    puzzle: Puzzle, code: str
) -> None:
    found = plan(puzzle, budget_steps=1)
    assert (found.verdict, found.proved, found.steps, found.visits) == (
        "impossible",
        True,
        0,
        None,
    )
    assert found.because[0].code == code


def test_a_goal_that_is_met_already_needs_no_visit() -> None:
    found = plan(train_of_five("ABCDE", three_sidings(headshunt_wagons=3)))
    assert (found.verdict, found.visits, found.couplings, found.bound) == (
        "solved",
        (),
        0,
        0,
    )


def test_a_goal_that_asks_for_too_many_positions_to_list_is_still_searched() -> None:
    names = [f"W{number}" for number in range(12)]
    puzzle = Puzzle(
        engine_length_mm=100,
        yard=yard(400, {"Long": 560, "B": 400, "C": 400, "D": 400}),
        wagons=tuple(
            Wagon(name=name, length_mm=70 + place) for place, name in enumerate(names)
        ),
        start=YardStart(
            sidings=tuple(tuple(names[first : first + 3]) for first in range(0, 12, 3))
        ),
        goal=YardGoal(siding="B", train=("W4",)),
    )
    assert (
        plan(puzzle).bound == 3
        # all three out of B, W5 left elsewhere, W4 back into B: none of these can be spared
    )


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"wagons": (*EIGHT, EIGHT[0])}, "/wagons/8/name", "not_unique"),
        ({"start": YardStart(sidings=(tuple("ABCDE"), tuple("FG"), ()))}, "/start", "missing"),
        ({"start": YardStart(sidings=(tuple("ABCDE"), tuple("FGHA"), ()))}, "/start/sidings/1/3", "not_unique"),
        ({"start": YardStart(sidings=(tuple("ABCDE"), tuple("FGHX"), ()))}, "/start/sidings/1/3", "unknown_wagon"),
        ({"start": YardStart(sidings=(tuple("ABCDE"), tuple("FGH")))}, "/start/sidings", "contradiction"),
        ({"start": YardStart(sidings=(tuple("ABCDEF"), tuple("GH"), ()))}, "/start/sidings/0", "does_not_fit"),
        (
            {"start": YardStart(engine=tuple("ABCD"), sidings=((), tuple("EFG"), ("H",)))},
            "/start/engine",
            "does_not_fit",
        ),
        ({"goal": YardGoal(siding="Nowhere", train=())}, "/goal/siding", "unknown_siding"),
        ({"goal": YardGoal(siding="Long", train=("A", "X"))}, "/goal/train/1", "unknown_wagon"),
        ({"goal": YardGoal(siding="Long", train=("A", "A"))}, "/goal/train/1", "not_unique"),
        ({"goal": YardGoal(siding="Long")}, "/goal/train", "missing"),
        ({"goal": YardGoal(siding="Long", sidings=((), (), ()))}, "/goal/siding", "one_or_the_other"),
        ({"goal": YardGoal(sidings=((), ()))}, "/goal/sidings", "contradiction"),
        (
            {
                "yard": structs.replace(
                    POSSIBLE.yard, rooms=(RoomBetween(between=("Long", "Long"), room_mm=400),)
                )
            },
            "/yard/rooms/0/between",
            "contradiction",
        ),
        (
            {"yard": structs.replace(POSSIBLE.yard, rooms=(RoomBetween(between=("Long", "X"), room_mm=400),))},
            "/yard/rooms/0/between/1",
            "unknown_siding",
        ),
    ],
)  # fmt: skip
def test_what_contradicts_itself_is_refused_at_its_place(
    change: dict[str, object], pointer: str, code: str
) -> None:
    with pytest.raises(Faulty) as refused:
        made_sure(structs.replace(POSSIBLE, **change))
    assert (pointer, code) in {
        (fault.pointer, fault.code) for fault in refused.value.faults
    }


def test_by_how_much_the_other_wagons_are_too_long_is_said() -> None:
    """Four of 90, of which two go into the train; 180 is exactly enough."""
    wagons = tuple(Wagon(name=name, length_mm=90) for name in "ABCD")
    puzzle = Puzzle(
        engine_length_mm=100,
        yard=yard(500, {"Train": 400, "Left": 100, "Right": 180}),
        wagons=wagons,
        start=YardStart(sidings=(tuple("ABCD"), (), ())),
        goal=YardGoal(siding="Train", train=("B", "A"), rest="one_siding"),
    )
    assert plan(puzzle).verdict == "solved"
    shorter = structs.replace(
        puzzle, yard=yard(500, {"Train": 400, "Left": 100, "Right": 179.9})
    )
    one_siding = plan(shorter)
    [why] = one_siding.because
    assert one_siding.verdict == "impossible"
    assert why.message == (
        "Right is 0.1 mm too short for the other 2 wagons, and no other siding is longer"
    )
    free = structs.replace(
        shorter,
        goal=structs.replace(puzzle.goal, rest="engine_free"),
        yard=yard(500, {"Train": 400, "Left": 50, "Right": 129.8}),
    )
    assert plan(free).because[0].message == (
        "the rest of the yard is 0.2 mm too short for the other 2 wagons"
    )
