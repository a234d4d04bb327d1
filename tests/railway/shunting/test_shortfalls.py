"""By how much something is too long where there is no plan: asked again with so much
more, there is one.
"""

from msgspec import structs

from standage.railway.shunting.length_steps import with_length
from standage.railway.shunting.plans import plan
from standage.railway.shunting.shortfalls import (
    for_one,
    nothing_moves,
    shortfall,
    train_too_long,
)
from standage.railway.shunting.yard import Puzzle, Wagon, YardGoal, YardStart
from standage.railway.terms.reasons import Reason
from support.walks import at_each
from support.yard_puzzles import six_wagons, train_of_five, yard

ENOUGH = 1_000_000


def with_headshunt(length_mm: float) -> Puzzle:
    asked = six_wagons(engine_length_mm=264)
    return with_length(asked, "headshunt", length_mm=length_mm)


# 371 is published: the engine of 264 and the brake of 107
@at_each("headshunt_mm, over", [(300.0, "71 mm"), (370.9, "0.1 mm"), (264.0, "107 mm")])
def test_so_much_longer_a_headshunt_does_and_a_tenth_less_does_not(
    headshunt_mm: float, over: str
) -> None:
    short = with_headshunt(headshunt_mm)
    assert plan(short).verdict == "impossible"
    [reason] = shortfall(short, budget_steps=ENOUGH)
    assert reason.message == (
        f"the engine and one wagon are {over} too long for the headshunt: with Brake it"
        " would have to be 371 mm"
    )
    assert (reason.value_mm, reason.limit_mm) == (371.0, headshunt_mm)
    longer_mm = headshunt_mm + (reason.amount_mm or 0)
    assert plan(with_headshunt(longer_mm)).verdict == "solved"
    assert plan(with_headshunt(longer_mm - 0.1)).verdict == "impossible"


def test_where_no_headshunt_would_help_that_is_said() -> None:
    one_siding = Puzzle(
        engine_length_mm=100,
        yard=yard(200, {"Only": 300}),
        wagons=(Wagon(name="A", length_mm=80), Wagon(name="B", length_mm=80)),
        start=YardStart(sidings=(("A", "B"),)),
        goal=YardGoal(siding="Only", train=("B", "A")),
    )
    [reason] = shortfall(one_siding, budget_steps=ENOUGH)
    assert reason.code == "sidings_too_short"
    very_long = with_length(one_siding, "headshunt", length_mm=9999)
    assert plan(very_long).verdict == "impossible"


def test_what_a_budget_does_not_reach_is_left_out_or_told_as_at_least() -> None:
    short = with_headshunt(300)
    assert list(shortfall(short, budget_steps=0)) == []
    for budget in (100, 1000, 3000):
        for reason in shortfall(short, budget_steps=budget):
            assert (reason.amount_mm or 0) <= 71


def test_the_engine_and_the_shortest_wagon_go_in_somewhere_or_nothing_moves() -> None:
    wagons = (Wagon(name="A", length_mm=80), Wagon(name="B", length_mm=60.5))
    short = yard(160.4, {"Left": 200, "Right": 200})
    reason = nothing_moves(short, wagons, engine_length_mm=100)
    assert reason is not None
    assert reason.amount_mm == 0.1
    fits = structs.replace(short, headshunt_usable_length_mm=160.5)
    assert nothing_moves(fits, wagons, engine_length_mm=100) is None
    assert nothing_moves(short, (), engine_length_mm=100) is None


def test_more_room_between_two_sidings_counts_for_what_moves() -> None:
    wagons = (Wagon(name="A", length_mm=80),)
    rooms_mm = {("Left", "Right"): 179.0}
    across = yard(160.4, {"Left": 200, "Right": 200}, rooms_mm)
    reason = nothing_moves(across, wagons, engine_length_mm=100)
    assert reason is not None
    assert reason.message == (
        "the engine and one wagon are 1 mm too long for the way between Left and Right"
    )
    assert nothing_moves(across, wagons, engine_length_mm=99) is None
    long_names = ("L" * 120, "R" * 120)
    long = yard(160.4, dict.fromkeys(long_names, 200), {long_names: 179.0})
    reason = nothing_moves(long, wagons, engine_length_mm=100)
    assert reason is not None
    assert reason.message == (
        "the engine and one wagon are 1 mm too long for the longest way between two"
        " sidings"
    )


def test_a_train_is_too_long_where_its_shortest_wagons_are() -> None:
    wagons = [Wagon(name=str(mm), length_mm=mm) for mm in (90, 60.5, 70)]
    short = yard(900, {"Dairy": 130.4})
    reason = train_too_long(short, wagons, train_wagons=2, siding="Dairy")
    assert reason is not None
    assert reason.message == "Dairy is 0.1 mm too short for any train of 2 wagons"
    fits = yard(900, {"Dairy": 130.5})
    assert train_too_long(fits, wagons, train_wagons=2, siding="Dairy") is None


def test_of_many_trains_one_is_named_where_its_names_are_short() -> None:
    why = Reason(code="any", message="it is too long")
    assert (
        for_one(["A", "B"], why).message == "it is too long (to make A and B, for one)"
    )
    assert for_one(["A wagon of a long name"] * 5, why) is why
    assert for_one([], why) is why


def test_of_a_headshunt_for_two_wagons_the_third_is_what_is_too_long() -> None:
    """The trade's yard for 5, 3 and 3 wagons has a headshunt for the engine and 3."""
    two = train_of_five("FGHAB", yard(260, {"Long": 400, "Left": 240, "Right": 240}))
    [reason] = shortfall(two, budget_steps=ENOUGH)
    assert (reason.value_mm, reason.amount_mm) == (340.0, 80.0)
