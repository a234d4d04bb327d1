"""The roads on which an engine is away from its train: it no longer stands behind it."""

from collections.abc import Iterable, Iterator

from standage.railway.moves.ground import Ground
from standage.railway.moves.standing import Stand
from standage.railway.track.network.network import Course


def roads_away(
    ground: Ground, place: Stand, roads: Iterable[Stand]
) -> tuple[Stand, ...]:
    """Return those of some roads on which an engine is away from a train in a place.

    The ``place`` is as it is run over from the engine's end. Neither the place's own
    road is one, nor a road behind the train: one that the engine comes to as it runs
    straight on, and that leads on to stops alone, or that it has no choice but to come
    to. **Source** derived.
    """
    own = {course >> 1 for course in place.courses}
    behind = _behind(ground, place)
    return tuple(
        road
        for road in roads
        if not any(course >> 1 in own for course in road.courses)
        and not any(course in behind for course in _both_ways(road))
    )


def _both_ways(road: Stand) -> Iterator[Course]:
    for course in road.courses:
        yield course
        yield course ^ 1


def _behind(ground: Ground, place: Stand) -> frozenset[Course]:
    """Return the courses straight on from a place's first end that lead to stops alone,
    and never back to it; and those up to the first points at which there is a choice.
    """
    own = {course >> 1 for course in place.courses}
    onwards: dict[Course, tuple[Course, ...]] = {}
    waiting = [place.courses[0] ^ 1]
    while waiting:
        course = waiting.pop()
        if course in onwards:
            continue
        ways = ground.onwards(course)
        onwards[course] = ways
        waiting += [way for way in ways if way >> 1 not in own]
    comes_back = {
        course
        for course, ways in onwards.items()
        if any(way >> 1 in own for way in ways)
    }
    is_more = True
    while is_more:
        more = {
            course
            for course, ways in onwards.items()
            if course not in comes_back and comes_back.intersection(ways)
        }
        comes_back |= more
        is_more = bool(more)
    return frozenset(onwards.keys() - comes_back).union(_without_choice(ground, place))


def _without_choice(ground: Ground, place: Stand) -> Iterator[Course]:
    """Yield the courses beyond a place's first end that every way on begins with."""
    passed = {place.courses[0] ^ 1}
    ways = ground.onwards(place.courses[0] ^ 1)
    while len(ways) == 1 and ways[0] not in passed:
        yield ways[0]
        passed.add(ways[0])
        ways = ground.onwards(ways[0])
