"""A yard as it would be if all its wagons were alike and its roads held so many of them:
what bounds it where wagons of many lengths make too many positions to look at.
"""

from collections.abc import Sequence
from itertools import accumulate

import msgspec

from standage.railway.shunting.yard import (
    Puzzle,
    RoomBetween,
    Siding,
    Wagon,
    Yard,
)
from standage.railway.terms.figures import grains

_WAGON_MM = 10.0
_ENGINE_MM = 1.0
"""Any figures do: only how many wagons a road holds counts."""


def with_like_wagons(puzzle: Puzzle, *, surely: bool) -> Puzzle | None:
    """Return the puzzle with wagons all alike, and in each road so many as go in
    ``surely``, whichever they are; else so many as may, if they are the shortest.

    What can be done with so many surely can be done with the puzzle's own wagons, by
    the same visits; what cannot be done with so many as may cannot be done with them.
    None where the start is not sure to go in, or the engine does not. Wagons keep their
    names. **Source** derived.
    """
    lengths = sorted(grains(wagon.length_mm) for wagon in puzzle.wagons)
    if surely:
        lengths.reverse()
    sums = [*accumulate(lengths)]
    engine = grains(puzzle.engine_length_mm)
    headshunt = grains(puzzle.yard.headshunt_usable_length_mm)
    on_engine = _holds(headshunt - engine, sums)
    holds = [_holds(grains(one.usable_length_mm), sums) for one in puzzle.yard.sidings]
    starts = (puzzle.start.engine, *puzzle.start.sidings)
    for standing, most in zip(starts, (on_engine, *holds), strict=True):
        if len(standing) > most:
            return None
    rooms = []
    for room in puzzle.yard.rooms:
        across = _holds(grains(room.room_mm) - engine, sums)
        if across > on_engine:
            alike = RoomBetween(
                between=room.between,
                room_mm=_behind_engine_mm(across),
            )
            rooms.append(alike)
    sidings = [
        Siding(
            name=one.name,
            usable_length_mm=_WAGON_MM * most,
        )
        for one, most in zip(puzzle.yard.sidings, holds, strict=True)
    ]
    yard = Yard(
        headshunt_usable_length_mm=_behind_engine_mm(on_engine),
        sidings=tuple(sidings),
        rooms=tuple(rooms),
    )
    wagons = [
        Wagon(
            name=one.name,
            length_mm=_WAGON_MM,
        )
        for one in puzzle.wagons
    ]
    return msgspec.structs.replace(
        puzzle,
        engine_length_mm=_ENGINE_MM,
        yard=yard,
        wagons=tuple(wagons),
    )


def _holds(room: int, sums: Sequence[int]) -> int:
    """Return how many of the wagons, as they are added up, go into a room; -1 where not
    even the engine does.
    """
    if room < 0:
        return -1
    return sum(1 for length in sums if length <= room)


def _behind_engine_mm(wagons: int) -> float:
    return _ENGINE_MM + _WAGON_MM * wagons
