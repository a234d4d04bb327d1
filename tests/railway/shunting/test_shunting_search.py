"""The search against a plain one, on yards small enough for it; and what it must say of
the odd cases.
"""

from itertools import permutations

import msgspec
import pytest

from standage.railway.shunting.check import broken, couplings, cuts
from standage.railway.shunting.search import solve
from standage.railway.shunting.yard import (
    Fewest,
    Puzzle,
    Visit,
    Wagon,
    Yard,
    YardGoal,
    YardStart,
)
from support.yard_puzzles import least, weights_from_start, yard

FEWEST: tuple[Fewest, ...] = ("visits", "couplings", "cuts_by_hand")

ALIKE = tuple(Wagon(name=name, length_mm=70) for name in "ABCDE")
UNLIKE = tuple(
    Wagon(name=name, length_mm=length_mm)
    for name, length_mm in zip("ABCDE", (70, 70, 95, 120.5, 133), strict=True)
)

SMALL = {
    "two sidings, wagons alike": Puzzle(
        engine_length_mm=90,
        yard=yard(90 + 140, {"Front": 280, "Back": 210}),
        wagons=ALIKE,
        start=YardStart(sidings=(("A", "B", "C"), ("D", "E"))),
        goal=YardGoal(siding="Front", train=("A",)),
    ),
    "three sidings, five lengths to a millimetre": Puzzle(
        engine_length_mm=90,
        yard=yard(90 + 190, {"Front": 285.5, "Middle": 203, "Back": 165}),
        wagons=UNLIKE,
        start=YardStart(sidings=(("A", "C", "D"), ("B",), ("E",))),
        goal=YardGoal(siding="Front", train=("A",)),
    ),
    "a string on the engine at the start": Puzzle(
        engine_length_mm=90,
        yard=yard(90 + 235, {"Front": 330, "Back": 360}),
        wagons=UNLIKE,
        start=YardStart(engine=("A", "B"), sidings=(("C", "D"), ("E",))),
        goal=YardGoal(siding="Front", train=("A",)),
    ),
    "more room between two sidings than in the headshunt": Puzzle(
        engine_length_mm=90,
        yard=yard(
            90 + 135, {"Front": 285.5, "Middle": 203, "Back": 240}, {("Front", "Back"): 335, ("Back", "Middle"): 260}
        ),
        wagons=UNLIKE,
        start=YardStart(sidings=(("A", "C", "D"), ("B",), ("E",))),
        goal=YardGoal(siding="Front", train=("A",)),
    ),
}  # fmt: skip


def _with_places(yard_: Yard) -> Yard:
    """Return the yard with an uncoupling place in every second siding and in the
    headshunt.
    """
    sidings = tuple(
        (
            msgspec.structs.replace(siding, uncoupling_places_mm=(60.0, 150.0))
            if place % 2 == 0
            else siding
        )
        for place, siding in enumerate(yard_.sidings)
    )
    return msgspec.structs.replace(
        yard_,
        sidings=sidings,
        headshunt_uncoupling_places_mm=(50.0,),
        uncoupled_ahead=True,
    )


def _goals(puzzle: Puzzle) -> list[YardGoal]:
    names = [wagon.name for wagon in puzzle.wagons]
    trains = [train for wagons in range(4) for train in permutations(names, wagons)]
    last = puzzle.yard.sidings[-1].name
    goals = [
        YardGoal(siding=last, train=train, rest="anywhere") for train in trains[::2]
    ]
    goals += [
        YardGoal(siding=last, train=train, rest="engine_free") for train in trains[1::4]
    ]
    goals += [
        YardGoal(siding="Front", train=train, rest="one_siding")
        for train in trains[::3]
    ]
    return [
        *goals,
        YardGoal(siding="Front", train=("A",), engine=("B",)),
        YardGoal(siding="Front", train=(), engine=()),
    ]


@pytest.mark.parametrize("fewest", FEWEST)
@pytest.mark.parametrize("name", SMALL)
def test_the_search_and_a_plain_one_agree_on_every_goal_of_a_small_yard(
    name: str, fewest: Fewest
) -> None:
    puzzle = msgspec.structs.replace(SMALL[name], fewest=fewest)
    if fewest == "cuts_by_hand":
        puzzle = msgspec.structs.replace(puzzle, yard=_with_places(puzzle.yard))
    weights = weights_from_start(puzzle)
    solved = 0
    for goal in _goals(puzzle):
        asked = msgspec.structs.replace(puzzle, goal=goal)
        expected = least(asked, weights)
        found = solve(asked)
        solved += expected is not None
        assert found.verdict == ("impossible" if expected is None else "solved"), goal
        assert found.bound == expected, goal
        if found.visits is not None:
            assert broken(asked, found.visits) == [], goal
            assert _measured(asked, fewest, found.visits) == expected, goal
    assert solved >= 5


def _measured(puzzle: Puzzle, fewest: Fewest, visits: tuple[Visit, ...]) -> int:
    if fewest == "visits":
        return len(visits)
    if fewest == "couplings":
        return couplings(puzzle, visits)
    return sum(cut.by_hand for cut in cuts(puzzle, visits))


@pytest.mark.parametrize("fewest", ["visits", "couplings"])
def test_full_contents_of_every_siding_can_be_asked_for(fewest: Fewest) -> None:
    puzzle = msgspec.structs.replace(
        SMALL["three sidings, five lengths to a millimetre"], fewest=fewest
    )
    weights = weights_from_start(puzzle)
    for engine, sidings, _ in list(weights)[:: max(1, len(weights) // 40)]:
        asked = msgspec.structs.replace(
            puzzle, goal=YardGoal(sidings=sidings, engine=engine)
        )
        assert solve(asked).bound == least(asked, weights)
