"""Saw-bys against a simulation that moves both trains and the parts of one cell by cell,
and knows nothing of how it is done.
"""

import os
from itertools import product
from random import Random

import pytest

from standage.railway.moves.ground import ground
from standage.railway.moves.meeting.loops import loops_of, room_beyond_mm
from standage.railway.moves.meeting.saw_by import SawnTrain, sawn
from support.random_meets import line_with_loop
from support.random_yards import laid
from support.sawn_trains import Line, get_by

SAWN = int(os.environ.get("STANDAGE_SAWN", "7"))
"""So many loops at random."""
Rooms = tuple[int, int]


def least(pairs: set[Rooms]) -> set[Rooms]:
    """Return those of some rooms of which none is had for less."""
    return {
        pair
        for pair in pairs
        if not any(
            other != pair and other[0] <= pair[0] and other[1] <= pair[1]
            for other in pairs
        )
    }


@pytest.mark.parametrize("seed", range(SAWN))
def test_it_needs_just_the_room_in_which_the_parts_can_be_moved(seed: int) -> None:
    random = Random(seed)
    foul = random.randint(0, 1)
    rooms = (random.randint(1, 3), random.randint(1, 3))
    roads = (rooms[0] + 2 * foul, rooms[1] + 2 * foul)
    whole, train = (max(rooms) + random.randint(1, 2) for _ in range(2))
    engine = random.randint(1, 2)
    leads = random.random() < 0.5
    ways = [
        way
        for way in sawn(
            rooms,
            (
                SawnTrain(whole, whole, engine_leads=leads),
                SawnTrain(train, engine, engine_leads=leads),
            ),
            margin_mm=0.0,
        )
        if way.divided == 1
    ]
    if not ways:
        return
    told = least({(round(way.needed_mm[0]), round(way.needed_mm[1])) for way in ways})
    longer = max(whole, train)
    sizes = range(longer, whole + train)
    moved = {
        (west, east)
        for west, east in product(sizes, sizes)
        if (west, east) in told or any(is_just_less((west, east), one) for one in told)
        if any(
            get_by(
                Line(west, roads, east, foul), whole, (part, train - part), leads=leads
            )
            for part in range(engine, train)
            if have_a_road_each(rooms, part, train - part)
        )
    }
    assert least(moved) == told


def have_a_road_each(rooms: Rooms, part: int, rest: int) -> bool:
    """Tell whether two parts of a train find room in a loop, each on its own road."""
    return any(part <= one and rest <= other for one, other in (rooms, rooms[::-1]))


def is_just_less(pair: Rooms, than: Rooms) -> bool:
    """Tell whether it is one cell less on one side."""
    return abs(pair[0] - than[0]) + abs(pair[1] - than[1]) == 1 and sum(pair) < sum(
        than
    )


def test_of_two_trains_either_may_be_divided_and_either_side_be_the_longer() -> None:
    trains = (
        SawnTrain(500, 100, engine_leads=True),
        SawnTrain(600, 100, engine_leads=False),
    )
    ways = list(sawn((400, 350), trains, margin_mm=25))
    # By hand: the first parts into 100 and 400, or 150 and 350; the second into 200 and
    # 400, or 250 and 350.
    parts = {(way.divided, way.engine_part_mm, way.other_part_mm) for way in ways}
    assert parts == {(0, 100, 400), (0, 150, 350), (1, 200, 400), (1, 250, 350)}
    needed = {way.needed_mm for way in ways if way.engine_part_mm == 100}
    assert needed == {(600 + 100 + 25, 600), (600, 600 + 100 + 25)}
    for way in ways:
        road = (400, 350)
        assert way.engine_part_mm <= road[way.engine_road]
        assert way.other_part_mm <= road[1 - way.engine_road]


def test_what_holds_no_part_is_no_saw_by() -> None:
    long = SawnTrain(801, 0, engine_leads=True)
    assert list(sawn((400, 400), (long, long), margin_mm=0)) == []
    # All of a light engine stays together.
    engine = SawnTrain(500, 500, engine_leads=True)
    assert list(sawn((400, 400), (engine, engine), margin_mm=0)) == []


@pytest.mark.parametrize("seed", range(20))
def test_a_loop_is_found_with_the_room_on_its_roads_and_beyond(seed: int) -> None:
    document = line_with_loop(Random(seed))
    found = laid(document)
    on = ground(found.network, found.points)
    loops = [
        loop
        for loop in loops_of(on)
        if {end.points for end in loop.ends} == {"P1", "P2"}
    ]
    assert len(loops) == 1
    pieces = document["pieces"]
    told = set()
    for name, leg in (("M", "through"), ("L", "branch")):
        both = [pieces[points] for points in ("P1", "P2")]
        length_mm = pieces[name]["length_mm"] + sum(one[f"{leg}_mm"] for one in both)
        foul_mm = sum(one[f"fouling_{leg}_mm"] for one in both)
        told.add(max(0, length_mm - foul_mm))
    assert {max(0.0, mm) for mm in loops[0].rooms_mm} == told
    for end, one in enumerate(loops[0].ends):
        name = {"P1": "W", "P2": "E"}[one.points]
        if f"B{name}" in pieces:
            room_mm = pieces[one.points]["toe_mm"] + pieces[name]["length_mm"]
            assert room_beyond_mm(on, loops[0], end) == room_mm
