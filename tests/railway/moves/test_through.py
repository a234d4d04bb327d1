"""The way through places without a reversal: against all ways, tried one by one."""

import os
from collections.abc import Iterator
from itertools import pairwise
from random import Random

import pytest

from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.standing import Stand
from standage.railway.moves.through import NoWay, Through, way_through
from support.random_yards import laid, places_of, random_plan

SEEDS = int(os.environ.get("STANDAGE_THROUGH", "40"))


def every_way(
    on: Ground, course: int, goal: int, barred: frozenset[int]
) -> Iterator[tuple[int, ...]]:
    """Yield every way from the end of a course to a goal that runs over no course
    twice: the courses between.
    """
    trails: list[tuple[int, ...]] = [()]
    while trails:
        trail = trails.pop()
        last = trail[-1] if trail else course
        for way in on.onwards(last):
            if way == goal:
                yield trail
            elif way not in trail and way >> 1 not in barred:
                trails.append((*trail, way))


def shortest_mm(
    on: Ground, stands: list[Stand], barred: frozenset[int] = frozenset()
) -> float | None:
    """Return how long the shortest way through places is, every one run through both
    ways round; None where there is none.
    """
    ways = [(one, one.to_mm - one.from_mm) for one in both(on, stands[0])]
    for stand in stands[1:]:
        further = []
        for goal in both(on, stand):
            for one, so_far_mm in ways:
                whole_mm = sum(on.length_mm(course) for course in one.courses)
                for link in every_way(on, one.courses[-1], goal.courses[0], barred):
                    link_mm = sum(on.length_mm(course) for course in link)
                    left_mm = whole_mm - one.to_mm
                    further.append((goal, so_far_mm + left_mm + link_mm + goal.to_mm))
        ways = further
    return min((mm for _, mm in ways), default=None)


def both(on: Ground, stand: Stand) -> tuple[Stand, Stand]:
    return stand, stand.turned(on)


@pytest.mark.parametrize("places", [2, 3])
@pytest.mark.parametrize("seed", range(SEEDS))
def test_no_way_is_shorter_than_the_one_that_is_found(seed: int, places: int) -> None:
    random = Random(seed)
    found = laid(random_plan(random))
    roads = places_of(found)
    if len(roads) < places:
        return
    stands = random.sample(roads, places)
    on = ground(found.network, found.points)
    way = way_through(on, stands)
    least_mm = shortest_mm(on, stands)
    if isinstance(way, NoWay):
        assert least_mm is None
        reached = stands[: way.number]
        assert len(reached) < 2 or shortest_mm(on, reached) is not None
        return
    assert least_mm is not None
    assert way.length_mm == pytest.approx(least_mm)
    for one, two in pairwise(way.courses):
        assert two in on.onwards(one)
    assert way.courses[0] in {one.courses[0] for one in both(on, stands[0])}
    assert way.courses[-1] in {one.courses[-1] for one in both(on, stands[-1])}


def test_enough_of_the_plans_have_a_way_and_enough_have_none() -> None:
    """Or the test above would promise little."""
    kinds = []
    for seed in range(SEEDS):
        random = Random(seed)
        found = laid(random_plan(random))
        roads = places_of(found)
        if len(roads) >= 2:
            stands = random.sample(roads, 2)
            on = ground(found.network, found.points)
            kinds.append(type(way_through(on, stands)))
    assert kinds.count(Through) >= SEEDS // 5
    assert kinds.count(NoWay) >= SEEDS // 5


@pytest.mark.parametrize("seed", range(SEEDS))
def test_no_way_leads_over_what_other_stock_stands_on(seed: int) -> None:
    random = Random(seed)
    found = laid(random_plan(random))
    roads = places_of(found)
    on = ground(found.network, found.points)
    if len(roads) < 2:
        return
    stands = random.sample(roads, 2)
    way = way_through(on, stands)
    in_places = {course >> 1 for stand in stands for course in stand.courses}
    if isinstance(way, NoWay):
        return
    between = [course for course in way.courses if course >> 1 not in in_places]
    if not between:
        return
    strand = random.choice(between) >> 1
    own_mm = on.lengths_mm[strand]
    if own_mm <= 0:
        return
    stood = ground(
        found.network, found.points, standing=[Span(strand, 0.0, own_mm / 2)]
    )
    barred = frozenset(course >> 1 for course, shut in stood.shut.items() if shut)
    other = way_through(stood, stands)
    least_mm = shortest_mm(stood, stands, barred)
    if isinstance(other, NoWay):
        assert least_mm is None
    else:
        assert other.length_mm == pytest.approx(least_mm)
        assert strand not in {course >> 1 for course in other.courses}
