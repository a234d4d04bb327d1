"""Puzzles by seed, and the census of all trains they are judged by."""

from itertools import permutations

import pytest
from msgspec import structs

from standage.railway.shunting.census import census
from standage.railway.shunting.deal import (
    TRIVIAL,
    Chance,
    Dealt,
    NotDealt,
    Wish,
    deal,
    difficulty_of,
)
from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import Puzzle, Wagon, YardGoal, YardStart
from support.yard_puzzles import EIGHT, least, three_sidings, weights_from_start, yard

UNLIKE = Puzzle(
    engine_length_mm=90,
    yard=yard(
        90 + 190, {"Front": 285.5, "Middle": 203, "Back": 165}, {("Front", "Back"): 320}
    ),
    wagons=tuple(
        Wagon(name=name, length_mm=length_mm)
        for name, length_mm in zip("ABCDE", (70, 70, 95, 120.5, 133), strict=True)
    ),
    start=YardStart(sidings=(("A", "C", "D"), ("B",), ("E",))),
    goal=YardGoal(siding="Front", train=()),
)
ALIKE = structs.replace(
    UNLIKE, wagons=tuple(Wagon(name=name, length_mm=80) for name in "ABCDE")
)
WISH = Wish(
    engine_length_mm=100,
    yard=three_sidings(headshunt_wagons=3),
    wagons=EIGHT,
    used_wagons=6,
    train_wagons=4,
    siding="Long",
    seed=1,
)


@pytest.mark.parametrize("rest", ["anywhere", "engine_free", "one_siding"])
@pytest.mark.parametrize("fewest", ["visits", "couplings"])
@pytest.mark.parametrize("puzzle", [ALIKE, UNLIKE], ids=["alike", "unlike"])
def test_the_census_and_a_plain_search_agree_on_every_train(
    puzzle: Puzzle, fewest: str, rest: str
) -> None:
    puzzle = structs.replace(
        puzzle, fewest=fewest, goal=structs.replace(puzzle.goal, rest=rest)
    )
    weights = weights_from_start(puzzle)
    for wagons in (0, 1, 3):
        expected = {}
        for train in permutations("ABCDE", wagons):
            par = least(
                structs.replace(puzzle, goal=structs.replace(puzzle.goal, train=train)),
                weights,
            )
            if par is not None:
                expected[train] = par
        found = census(puzzle, train_wagons=wagons)
        assert (dict(found.pars), found.complete) == (expected, True)


def test_a_census_whose_budget_is_spent_gives_only_pars_that_are_right() -> None:
    whole = census(ALIKE, train_wagons=3)
    part = census(ALIKE, train_wagons=3, budget_steps=whole.steps // 3)
    assert not part.complete
    assert part.pars == {
        train: par for train, par in whole.pars.items() if par <= part.bound
    }


@pytest.mark.parametrize("wagons", [-1, 6])
def test_a_census_of_more_wagons_than_there_are_is_refused(wagons: int) -> None:
    with pytest.raises(ValueError, match="train_wagons"):
        census(ALIKE, train_wagons=wagons)


def test_a_census_of_too_many_trains_is_refused() -> None:
    wagons = tuple(Wagon(name=f"W{number}", length_mm=10) for number in range(12))
    start = YardStart(sidings=(tuple(wagon.name for wagon in wagons), (), ()))
    with pytest.raises(ValueError, match="665280 trains"):
        census(structs.replace(ALIKE, wagons=wagons, start=start), train_wagons=6)


def dealt(wish: Wish) -> Dealt:
    found = deal(wish)
    assert isinstance(found, Dealt)
    return found


def test_a_seed_deals_the_same_puzzle_again_and_another_seed_another() -> None:
    assert dealt(WISH).puzzle == dealt(WISH).puzzle
    assert dealt(WISH).puzzle != dealt(structs.replace(WISH, seed=2)).puzzle


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("fewest", ["visits", "couplings"])
def test_a_dealt_puzzle_is_never_trivial_and_its_par_is_what_the_search_proves(
    seed: int, fewest: str
) -> None:
    found = dealt(structs.replace(WISH, seed=seed, fewest=fewest))
    answer = plan(found.puzzle)
    assert (answer.verdict, answer.bound) == ("solved", found.par)
    assert found.par > TRIVIAL[found.puzzle.fewest]  # type: ignore[index]  # dealt for visits or couplings


@pytest.mark.parametrize("difficulty", ["easy", "medium", "hard"])
def test_the_difficulty_that_is_asked_for_is_dealt(difficulty: str) -> None:
    found = dealt(structs.replace(WISH, difficulty=difficulty))
    assert found.difficulty == difficulty
    pars = list(found.census.pars.values())
    assert found.easier_percent == pytest.approx(
        100 * sum(par < found.par for par in pars) / len(pars)
    )
    assert found.harder_percent == pytest.approx(
        100 * sum(par > found.par for par in pars) / len(pars)
    )


@pytest.mark.parametrize(
    ("easier", "harder", "expected"),
    [
        (0.0, 40.0, "easy"),
        (34.0, 34.0, "medium"),
        (90.0, 0.0, "hard"),
        (100.0, 0.0, "hard"),
        (0.0, 100.0, "easy"),
    ],
)
def test_a_par_counts_by_the_middle_of_those_that_share_it(
    easier: float, harder: float, expected: str
) -> None:
    assert difficulty_of(easier, harder) == expected


@pytest.mark.parametrize(
    ("change", "code", "proved"),
    [
        ({"engine_length_mm": 341.0}, "headshunt_too_short", True),
        (
            {"wagons": tuple(Wagon(name=name, length_mm=390) for name in "ABCDEFGH")},
            "no_room",
            False,
        ),
        ({"train_wagons": 1, "used_wagons": 1}, "no_puzzle", False),
    ],
)
def test_where_there_is_no_puzzle_it_is_said_why(
    change: dict[str, object], code: str, *, proved: bool
) -> None:
    found = deal(structs.replace(WISH, **change))
    assert isinstance(found, NotDealt)
    assert (found.because[0].code, found.proved) == (code, proved)


def test_chance_draws_every_value_and_nothing_else() -> None:
    chance = Chance(5)
    assert {chance.below(6) for _ in range(200)} == set(range(6))
    assert sorted(chance.some_of("ABCDE", 5)) == list("ABCDE")
