"""The referee, on plans written by hand."""

import pytest
from msgspec import structs

from standage.railway.shunting.check import broken, couplings, cuts, positions
from standage.railway.shunting.yard import (
    Action,
    Puzzle,
    RoomBetween,
    Siding,
    Visit,
    Wagon,
    Yard,
    YardGoal,
    YardStart,
)

PUZZLE = Puzzle(
    engine_length_mm=100,
    yard=Yard(
        headshunt_usable_length_mm=250,
        sidings=(
            Siding(name="Front", usable_length_mm=160),
            Siding(name="Back", usable_length_mm=230),
        ),
    ),
    wagons=tuple(Wagon(name=name, length_mm=75) for name in "ABC"),
    start=YardStart(sidings=(("A", "B"), ("C",))),
    goal=YardGoal(siding="Front", train=("B",)),
)


def visit(siding: str, action: Action, wagons: str) -> Visit:
    return Visit(siding=siding, action=action, wagons=tuple(wagons))


PLAN = (visit("Front", "pick", "A"), visit("Back", "drop", "A"))


def messages(puzzle: Puzzle, visits: tuple[Visit, ...]) -> str:
    return "; ".join(
        f"{fault.step} {fault.message}" for fault in broken(puzzle, visits)
    )


def test_a_plan_that_keeps_every_rule_passes() -> None:
    assert messages(PUZZLE, PLAN) == ""


def test_the_positions_of_a_plan_are_those_that_its_visits_make() -> None:
    assert [(one.engine, one.sidings) for one in positions(PUZZLE, PLAN)] == [
        ((), (("A", "B"), ("C",))),
        (("A",), (("B",), ("C",))),
        ((), (("B",), ("A", "C"))),
    ]


def test_a_pick_counts_two_couplings_where_wagons_remain_and_one_where_none_do() -> (
    None
):
    assert couplings(PUZZLE, (visit("Front", "pick", "A"),)) == 2
    assert couplings(PUZZLE, (visit("Back", "pick", "C"),)) == 1


def test_a_drop_counts_two_couplings_against_standing_wagons_and_one_into_an_empty_siding() -> (
    None
):
    empty = structs.replace(
        PUZZLE, start=YardStart(engine=("A",), sidings=((), ("B", "C")))
    )
    assert couplings(empty, (visit("Front", "drop", "A"),)) == 1
    assert couplings(empty, (visit("Back", "drop", "A"),)) == 2


@pytest.mark.parametrize(
    ("visits", "said"),
    [
        ((visit("Front", "pick", "B"),), "1 B cannot be picked up there"),
        ((visit("Back", "drop", "A"),), "1 A cannot be dropped there"),
        ((visit("Front", "pick", ""),), "1 nothing cannot be picked up there"),
        (
            (visit("Back", "pick", "C"), visit("Front", "drop", "C")),
            "2 what is left does not fit Front",
        ),
        (
            (visit("Front", "pick", "AB"), visit("Back", "pick", "C")),
            "at the end the headshunt is 75 mm too short",
        ),
        (
            (
                visit("Front", "pick", "AB"),
                visit("Back", "pick", "C"),
                visit("Front", "drop", "BC"),
            ),
            "3 the engine and what is on it do not fit the 250 mm on the way to Front",
        ),
        (
            (visit("Front", "pick", "AB"),),
            "0 Front does not hold the wagons that it should",
        ),
    ],
)
def test_each_rule_that_is_broken_is_named(
    visits: tuple[Visit, ...], said: str
) -> None:
    assert said in messages(PUZZLE, visits)


def test_wagons_left_elsewhere_than_the_goal_lets_them_are_named() -> None:
    on_engine = structs.replace(
        PUZZLE, goal=YardGoal(siding="Front", train=("B",), rest="engine_free")
    )
    assert "a wagon is on the engine" in messages(on_engine, PLAN[:1])
    third = structs.replace(
        PUZZLE.yard,
        sidings=(*PUZZLE.yard.sidings, Siding(name="Third", usable_length_mm=100)),
    )
    apart = structs.replace(
        PUZZLE,
        yard=third,
        start=YardStart(sidings=(("B",), ("A",), ("C",))),
        goal=YardGoal(siding="Front", train=("B",), rest="one_siding"),
    )
    assert "not in one siding" in messages(apart, ())


def test_more_room_between_two_sidings_counts_on_the_way_between_them_only() -> None:
    yard = Yard(
        headshunt_usable_length_mm=180,
        sidings=(*PUZZLE.yard.sidings, Siding(name="Third", usable_length_mm=230)),
        rooms=(RoomBetween(between=("Back", "Front"), room_mm=250),),
    )
    puzzle = structs.replace(
        PUZZLE,
        yard=yard,
        start=YardStart(sidings=(("A", "B"), ("C",), ())),
        goal=YardGoal(siding="Front", train=()),
    )
    assert (
        messages(puzzle, (visit("Front", "pick", "AB"), visit("Back", "drop", "AB")))
        == ""
    )
    assert "1 " not in messages(
        puzzle, (visit("Front", "pick", "AB"), visit("Third", "drop", "AB"))
    )
    assert "2 the engine" in messages(
        puzzle, (visit("Front", "pick", "AB"), visit("Third", "drop", "AB"))
    )
    assert "at the end the headshunt" in messages(
        puzzle, (visit("Front", "pick", "AB"),)
    )


@pytest.mark.parametrize(
    ("place_mm", "by_hand"), [(85.0, False), (85.1, True), (0.0, False)]
)  # Front is 160 mm and keeps B, 75 mm long: its joint can stand at most 85 mm in
def test_a_cut_is_free_of_hands_where_its_joint_can_stand_over_a_place(
    place_mm: float, *, by_hand: bool
) -> None:
    sidings = (
        structs.replace(PUZZLE.yard.sidings[0], uncoupling_places_mm=(place_mm,)),
        PUZZLE.yard.sidings[1],
    )
    puzzle = structs.replace(PUZZLE, yard=structs.replace(PUZZLE.yard, sidings=sidings))
    cut = next(cuts(puzzle, PLAN))
    assert (cut.before, cut.after, cut.by_hand, cut.hand_reaches) == (
        "A",
        "B",
        by_hand,
        None,
    )


def test_no_joint_is_cut_where_everything_is_picked_up() -> None:
    assert list(cuts(PUZZLE, (visit("Front", "pick", "AB"),))) == []


@pytest.mark.parametrize(("from_mm", "reached"), [(85.0, True), (90.0, False)])
def test_a_hand_reaches_a_joint_that_can_stand_within_its_reach(
    from_mm: float, *, reached: bool
) -> None:
    front = structs.replace(PUZZLE.yard.sidings[0], hand_reaches_from_mm=from_mm)
    puzzle = structs.replace(
        PUZZLE,
        yard=structs.replace(PUZZLE.yard, sidings=(front, PUZZLE.yard.sidings[1])),
    )
    cut = next(cuts(puzzle, PLAN))
    assert (cut.by_hand, cut.hand_reaches) == (True, reached)


@pytest.mark.parametrize(
    ("place_mm", "ahead", "by_hand"),
    [(75.0, True, False), (75.1, True, True), (75.0, False, True)],
)  # the headshunt is 250 mm; the engine with A is 175
def test_couplings_that_stay_undone_may_be_undone_in_the_headshunt(
    place_mm: float, *, ahead: bool, by_hand: bool
) -> None:
    yard = structs.replace(
        PUZZLE.yard, headshunt_uncoupling_places_mm=(place_mm,), uncoupled_ahead=ahead
    )
    cut = next(cuts(structs.replace(PUZZLE, yard=yard), PLAN))
    assert (cut.by_hand, cut.uncoupled_ahead) == (by_hand, ahead and not by_hand)
