"""Moves against a simulation that pushes trains cell by cell and may reverse anywhere."""

import os
from collections.abc import Iterator
from random import Random

import pytest
from msgspec.structs import replace

from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.replay import broken_rules
from standage.railway.moves.search import Effort, searched
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import End, Wanted
from standage.railway.track.network.network import Course, Network
from support.pushed_trains import (
    CELL_MM,
    Bare,
    Push,
    Yard,
    best_ways,
)
from support.random_yards import (
    cells_of,
    laid,
    places_of,
    random_plan,
    stand,
    stretch_at_random,
    yard_of,
)

PUSHES = int(os.environ.get("STANDAGE_PUSHES", "30"))
"""So many random plans are tried each way."""
LONGEST_TRAIN = 12


def asked(on: Ground, wanted: Wanted) -> dict[tuple[str, int], tuple[int, int]]:
    found = searched(on, wanted)
    assert not found.gave_up
    for finish in found.finishes:
        assert list(broken_rules(on, wanted, finish)) == []
    return {
        ("towards", one.engine_towards or 0): (
            one.reversals,
            round(one.distance_mm / CELL_MM),
        )
        for one in found.finishes
    }


@pytest.mark.parametrize("seed", range(PUSHES))
def test_every_move_is_as_good_as_the_best_of_all_pushes(seed: int) -> None:
    random = Random(seed)
    document = random_plan(random)
    found = laid(document)
    places = [one for one in found.usable if len(one.limits) == 2]
    long_enough = [one for one in places if (one.usable_length_mm or 0) >= CELL_MM]
    if not long_enough:
        return
    on = ground(found.network, found.points)
    yard = yard_of(found.network, document)
    for _ in range(6):
        start, goal = (stand(random.choice(long_enough)) for _ in range(2))
        longest = min(LONGEST_TRAIN, round(start.length_mm / CELL_MM))
        train = random.randint(1, max(1, longest))
        ahead = random.random() < 0.5
        pushed = best_ways(
            yard,
            Push(
                place=cells_of(yard, start),
                goal=cells_of(yard, goal),
                train=train,
                engine_ahead=ahead,
            ),
            most=20_000,
        )
        if pushed is None:
            continue
        wanted = Wanted(
            start=start,
            engine_towards=1 if ahead else 0,
            train_mm=float(train * CELL_MM),
            goal=goal,
        )
        assert asked(on, wanted) == pushed, (document, wanted)


@pytest.mark.parametrize("seed", range(PUSHES * 2))
def test_a_place_over_points_is_left_from_wherever_suits_best(seed: int) -> None:
    random = Random(140_000 + seed)
    document = random_plan(random)
    found = laid(document)
    on = ground(found.network, found.points)
    yard = yard_of(found.network, document)
    stretches = [stretch_at_random(random, found.network) for _ in range(8)]
    places = [*filter(None, stretches), *places_of(found)[:1]]
    start, goal = random.choice(places), random.choice(places)
    train = random.randint(1, max(1, round(start.length_mm / CELL_MM)))
    pushed = best_ways(
        yard,
        Push(
            place=cells_of(yard, start),
            goal=cells_of(yard, goal),
            train=train,
            engine_ahead=True,
        ),
        most=20_000,
    )
    if pushed is None:
        return
    wanted = Wanted(
        start=start, engine_towards=1, train_mm=float(train * CELL_MM), goal=goal
    )
    assert asked(on, wanted) == pushed, (document, wanted)


def standing_stock(
    random: Random, yard: Yard, places: list[Stand]
) -> tuple[frozenset[Bare], tuple[Span, ...]]:
    """Return some cells of a place that other stock takes, and the same as stretches."""
    cells = [
        cell for cell in cells_of(yard, random.choice(places)) if random.random() < 0.4
    ]
    bare = frozenset(yard.bare(cell) for cell in cells)
    spans = tuple(
        Span(strand, CELL_MM * at, CELL_MM * (at + 1)) for strand, at in sorted(bare)
    )
    return bare, spans


@pytest.mark.parametrize("seed", range(PUSHES // 2))
def test_stock_that_stands_is_in_the_way_and_bars_what_it_is_foul_of(seed: int) -> None:
    random = Random(20_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = places_of(found)
    if not places:
        return
    taken, spans = standing_stock(random, yard_of(found.network, document), places)
    yard = yard_of(found.network, document)._replace(taken=taken)
    start, goal = random.choice(places), random.choice(places)
    on = ground(found.network, found.points, standing=spans)
    train = random.randint(1, max(1, round(start.length_mm / CELL_MM)))
    pushed = best_ways(
        yard,
        Push(
            place=cells_of(yard, start),
            goal=cells_of(yard, goal),
            train=train,
            engine_ahead=True,
        ),
        most=20_000,
    )
    if pushed is None:
        return
    wanted = Wanted(
        start=start, engine_towards=1, train_mm=float(train * CELL_MM), goal=goal
    )
    assert asked(on, wanted) == pushed, (document, spans, wanted)


@pytest.mark.parametrize("seed", range(PUSHES // 2))
def test_points_that_are_not_thrown_lead_one_way(seed: int) -> None:
    random = Random(40_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = places_of(found)
    points = [
        name for name, one in document["pieces"].items() if one["kind"] == "points"
    ]
    if not places or not points:
        return
    lies = {random.choice(points): random.choice(["through", "branch", "none"])}
    yard = yard_of(found.network, document)._replace(
        shut=frozenset(shut_ways(found.network, lies))
    )
    on = ground(found.network, found.points, out_of_use=lies)
    start, goal = random.choice(places), random.choice(places)
    train = random.randint(1, max(1, round(start.length_mm / CELL_MM)))
    pushed = best_ways(
        yard,
        Push(
            place=cells_of(yard, start),
            goal=cells_of(yard, goal),
            train=train,
            engine_ahead=True,
        ),
        most=20_000,
    )
    if pushed is None:
        return
    wanted = Wanted(
        start=start, engine_towards=1, train_mm=float(train * CELL_MM), goal=goal
    )
    assert asked(on, wanted) == pushed, (document, lies, wanted)


RUN_PAST_THEIR_GOAL = {350, 608, 1078}
"""Of these the best way is past the goal until blades are cleared, and back in."""


@pytest.mark.parametrize("seed", sorted({*range(PUSHES), *RUN_PAST_THEIR_GOAL}))
def test_a_rear_clears_blades_by_the_margin_before_it_goes_back(seed: int) -> None:
    random = Random(60_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = places_of(found)
    if not places:
        return
    yard = yard_of(found.network, document)
    on = ground(found.network, found.points)
    start, goal = random.choice(places), random.choice(places)
    train = random.randint(1, max(1, round(start.length_mm / CELL_MM)))
    margin = random.randint(0, 3)
    against: End | None = random.choice([None, 0, 1])
    pushed = best_ways(
        yard,
        Push(
            place=cells_of(yard, start),
            goal=cells_of(yard, goal),
            train=train,
            engine_ahead=True,
            margin=margin,
            against=against,
        ),
        most=20_000,
    )
    if pushed is None:
        return
    wanted = Wanted(
        start=start,
        engine_towards=1,
        train_mm=float(train * CELL_MM),
        goal=goal,
        margin_mm=float(margin * CELL_MM),
        stands_against=against,
    )
    assert asked(on, wanted) == pushed, (document, wanted)


@pytest.mark.parametrize("seed", range(PUSHES // 3))
def test_a_train_has_left_once_its_tail_has_passed_the_joint(seed: int) -> None:
    random = Random(90_000 + seed)
    document = random_plan(random)
    stops = [name for name in document["pieces"] if name.startswith("B")]
    if not stops:
        return
    gone = random.choice(stops)
    del document["pieces"][gone]
    document["joins"] = [join for join in document["joins"] if f"{gone}.a" not in join]
    found = laid(document)
    places = places_of(found)
    if not places:
        return
    out_at = found.network.at_end[f"T{gone[1:]}", "b"] ^ 1
    yard = yard_of(found.network, document)
    start = random.choice(places)
    train = random.randint(1, max(1, round(start.length_mm / CELL_MM)))
    last = (out_at, yard.cells(out_at) - 1)
    pushed = best_ways(
        yard,
        Push(
            place=cells_of(yard, start),
            goal=[],
            train=train,
            engine_ahead=True,
            out=last,
        ),
        most=20_000,
    )
    if pushed is None:
        return
    on = ground(found.network, found.points)
    wanted = Wanted(
        start=start, engine_towards=1, train_mm=float(train * CELL_MM), out_at=out_at
    )
    told = {
        ("leads", int(one.engine_leads)): (
            one.reversals,
            round(one.distance_mm / CELL_MM),
        )
        for one in searched(on, wanted).finishes
    }
    assert told == pushed, (document, wanted)


@pytest.mark.parametrize("seed", range(PUSHES))
def test_an_engine_leads_wherever_it_may_not_propel(seed: int) -> None:
    random = Random(120_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = places_of(found)
    if not places:
        return
    yard = yard_of(found.network, document)
    on = ground(found.network, found.points)
    start, goal = random.choice(places), random.choice(places)
    train = random.randint(1, max(1, round(start.length_mm / CELL_MM)))
    propels = random.random() < 0.7
    barred, spans = some_track(random, yard, random.randint(1, 2))
    pushed = best_ways(
        yard,
        Push(
            place=cells_of(yard, start),
            goal=cells_of(yard, goal),
            train=train,
            engine_ahead=True,
            propels=propels,
            no_propelling=barred,
        ),
        most=20_000,
    )
    if pushed is None:
        return
    wanted = Wanted(
        start=start,
        engine_towards=1,
        train_mm=float(train * CELL_MM),
        goal=goal,
        propels=propels,
        no_propelling=spans,
    )
    assert asked(on, wanted) == pushed, (document, wanted)
    for end in (0, 1):
        one_way = {key: cost for key, cost in pushed.items() if key[1] == end}
        assert asked(on, replace(wanted, ends_towards=end)) == one_way


def some_track(
    random: Random, yard: Yard, strands: int
) -> tuple[frozenset[Bare], tuple[Span, ...]]:
    """Return some strands' cells, and the same as stretches."""
    numbers = random.sample(range(len(yard.network.strands)), strands)
    cells = [(number, at) for number in numbers for at in range(yard.cells(2 * number))]
    spans = tuple(
        Span(number, 0.0, float(CELL_MM * yard.cells(2 * number))) for number in numbers
    )
    return frozenset(cells), spans


def shut_ways(
    network: Network, lies: dict[str, str]
) -> Iterator[tuple[Course, Course]]:
    """Yield the ways over blades that do not lie for them, into the leg and out."""
    for name, open_leg in lies.items():
        into_toe = network.at_end[name, "toe"] ^ 1
        for leg in ("through", "branch"):
            out_by_leg = network.at_end[name, leg] ^ 1
            if leg != open_leg:
                yield into_toe ^ 1, out_by_leg
                yield out_by_leg ^ 1, into_toe


@pytest.mark.parametrize("seed", range(PUSHES))
def test_a_way_that_is_just_short_enough_is_found_and_none_that_is_not(
    seed: int,
) -> None:
    random = Random(230_000 + seed)
    found = laid(random_plan(random))
    places = places_of(found)
    if not places:
        return
    on = ground(found.network, found.points)
    for _ in range(4):
        start, goal = random.choice(places), random.choice(places)
        train = random.randint(1, max(1, round(start.length_mm / CELL_MM)))
        wanted = Wanted(
            start=start, engine_towards=1, train_mm=float(train * CELL_MM), goal=goal
        )
        every = searched(on, wanted, Effort(shortest_first=True)).finishes
        for finish in every[:1]:
            within = Effort(shortest_first=True, most_mm=finish.distance_mm)
            (again, *_) = searched(on, wanted, within).finishes
            assert again.distance_mm == finish.distance_mm
            less = within._replace(most_mm=finish.distance_mm - 1)
            assert searched(on, wanted, less).finishes == ()
