"""What holds in every yard: held against a plain search, turned round, renamed, and
made longer.
"""

from itertools import pairwise

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec import structs

from standage.railway.shunting.check import broken, couplings, positions
from standage.railway.shunting.plans import plan
from standage.railway.shunting.yard import (
    Fewest,
    Puzzle,
    RoomBetween,
    Siding,
    Visit,
    Wagon,
    Yard,
    YardGoal,
    YardStart,
)
from support.yard_puzzles import least, weights_from_start

ENGINE_MM = 90.0
LENGTHS_MM = (50.0, 60.5, 60.6, 75.0)


@st.composite
def puzzles(draw: st.DrawFn) -> Puzzle:
    """Draw a yard of two or three sidings with three or four wagons, as they fit, and a
    goal.
    """
    names = "ABCD"[: draw(st.integers(3, 4))]
    wagons = tuple(
        Wagon(name=name, length_mm=draw(st.sampled_from(LENGTHS_MM))) for name in names
    )
    length_mm = {wagon.name: wagon.length_mm for wagon in wagons}
    numbers = range(draw(st.integers(2, 3)))
    standing: list[list[str]] = [[] for _ in numbers]
    for name in draw(st.permutations(names)):
        standing[draw(st.sampled_from(numbers))].append(name)
    sidings = tuple(
        Siding(
            name=f"Road {number}",
            usable_length_mm=sum(length_mm[name] for name in standing[number])
            + draw(st.integers(0, 3)) * 40.25,
        )
        for number in numbers
    )
    headshunt_mm = ENGINE_MM + draw(
        st.sampled_from([50.0, 61.0, 110.0, 121.1, 150.0, 190.0])
    )
    rooms = tuple(
        RoomBetween(
            between=(one.name, other.name),
            room_mm=headshunt_mm + draw(st.sampled_from([30.0, 75.0])),
        )
        for one, other in pairwise(sidings)
        if draw(st.booleans())
    )
    train = draw(st.permutations(names))[: draw(st.integers(1, 3))]
    return Puzzle(
        engine_length_mm=ENGINE_MM,
        yard=Yard(
            headshunt_usable_length_mm=headshunt_mm, sidings=sidings, rooms=rooms
        ),
        wagons=wagons,
        start=YardStart(sidings=tuple(map(tuple, standing))),
        goal=YardGoal(
            siding=draw(st.sampled_from(sidings)).name,
            train=tuple(train),
            rest=draw(st.sampled_from(["anywhere", "engine_free", "one_siding"])),
        ),
        fewest=draw(st.sampled_from(["visits", "couplings"])),
    )


def cost(puzzle: Puzzle) -> float:
    bound = plan(puzzle).bound
    return float("inf") if bound is None else bound


@given(puzzles())
def test_the_search_finds_what_a_plain_search_finds(puzzle: Puzzle) -> None:
    assert plan(puzzle).bound == least(puzzle, weights_from_start(puzzle))


@given(puzzles(), st.data())
def test_a_longer_road_never_makes_it_worse(
    puzzle: Puzzle, data: st.DataObject
) -> None:
    yard = puzzle.yard
    more_mm = data.draw(st.sampled_from([10.0, 40.25, 80.0]))
    which = data.draw(st.integers(-1, len(yard.sidings) + len(yard.rooms) - 1))
    if which < 0:
        longer = structs.replace(
            yard, headshunt_usable_length_mm=yard.headshunt_usable_length_mm + more_mm
        )
    elif which < len(yard.sidings):
        sidings = list(yard.sidings)
        sidings[which] = structs.replace(
            sidings[which], usable_length_mm=sidings[which].usable_length_mm + more_mm
        )
        longer = structs.replace(yard, sidings=tuple(sidings))
    else:
        rooms = list(yard.rooms)
        place = which - len(yard.sidings)
        rooms[place] = structs.replace(
            rooms[place], room_mm=rooms[place].room_mm + more_mm
        )
        longer = structs.replace(yard, rooms=tuple(rooms))
    assert cost(structs.replace(puzzle, yard=longer)) <= cost(puzzle)


@given(puzzles(), st.data())
def test_renaming_wagons_and_sidings_and_listing_them_otherwise_changes_nothing(
    puzzle: Puzzle, data: st.DataObject
) -> None:
    names = [wagon.name for wagon in puzzle.wagons]
    new = dict(
        zip(
            names,
            data.draw(st.permutations(["Zinc", "Q", "the brake", "A"][: len(names)])),
            strict=True,
        )
    )
    order = data.draw(st.permutations(range(len(puzzle.yard.sidings))))
    wagons = tuple(
        structs.replace(wagon, name=new[wagon.name])
        for wagon in data.draw(st.permutations(puzzle.wagons))
    )
    renamed = structs.replace(
        puzzle,
        yard=structs.replace(
            puzzle.yard, sidings=tuple(puzzle.yard.sidings[number] for number in order)
        ),
        wagons=wagons,
        start=YardStart(
            sidings=tuple(
                tuple(new[name] for name in puzzle.start.sidings[number])
                for number in order
            )
        ),
        goal=structs.replace(
            puzzle.goal, train=tuple(new[name] for name in puzzle.goal.train or ())
        ),
    )
    assert cost(renamed) == cost(puzzle)


@given(puzzles())
@settings(max_examples=50)
def test_a_plan_run_backwards_is_a_plan(puzzle: Puzzle) -> None:
    visits = plan(puzzle).visits
    assume(visits)
    last = positions(puzzle, visits or ())[-1]
    back = structs.replace(
        puzzle,
        start=YardStart(engine=last.engine, sidings=last.sidings),
        goal=YardGoal(sidings=puzzle.start.sidings, engine=puzzle.start.engine),
    )
    backwards = [
        Visit(
            siding=visit.siding,
            action="drop" if visit.action == "pick" else "pick",
            wagons=visit.wagons,
        )
        for visit in reversed(visits or ())
    ]
    assert broken(back, backwards) == []
    assert couplings(back, backwards) == couplings(puzzle, visits or ())
    assert cost(back) <= (
        len(backwards) if puzzle.fewest == "visits" else couplings(back, backwards)
    )


@given(puzzles(), st.sampled_from(["visits", "couplings"]))
@settings(max_examples=40)
def test_fewest_visits_are_no_more_than_those_of_the_plan_with_fewest_couplings(
    puzzle: Puzzle, one: Fewest
) -> None:
    other: Fewest = "couplings" if one == "visits" else "visits"
    found, compared = (
        plan(structs.replace(puzzle, fewest=one)),
        plan(structs.replace(puzzle, fewest=other)),
    )
    assert found.verdict == compared.verdict
    if found.visits is not None and compared.visits is not None:
        counts = [
            (len(each.visits or ()), each.couplings or 0) for each in (found, compared)
        ]
        place = 0 if one == "visits" else 1
        assert counts[0][place] <= counts[1][place]
