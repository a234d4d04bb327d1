"""Moves against a simulation that pushes trains cell by cell and may reverse anywhere."""

import os
from collections.abc import Iterator
from itertools import combinations
from random import Random
from typing import Any

import msgspec
import pytest

from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.replay import broken_rules
from standage.railway.moves.search import End, Wanted, searched
from standage.railway.moves.standing import Stand
from standage.railway.track.network.network import Course, Network
from standage.railway.track.plans.plan import Plan
from standage.railway.track.roads.limits import Usable
from standage.railway.track.survey.survey import Survey, survey
from support.pushed_trains import (
    CELL_MM,
    Bare,
    Cell,
    Push,
    Yard,
    Zones,
    best_ways,
    outwards,
)

PUSHES = int(os.environ.get("STANDAGE_PUSHES", "30"))
"""So many random plans are tried each way."""
MOST_CELLS = 6
LONGEST_TRAIN = 12
JOINED_AGAIN = 0.55
CROSSING_ENDS = ["a1", "a2", "b1", "b2"]


def _points(random: Random) -> dict[str, Any]:
    through, branch = random.randint(1, 4), random.randint(1, 4)
    return {
        "kind": "points",
        "toe_mm": CELL_MM * random.randint(0, 1),
        "through_mm": CELL_MM * through,
        "branch_mm": CELL_MM * branch,
        "fouling_through_mm": CELL_MM * random.randint(0, through + 2),
        "fouling_branch_mm": CELL_MM * random.randint(0, branch + 2),
    }


def _diamond(random: Random) -> dict[str, Any]:
    arms = [[CELL_MM * random.randint(1, 3) for _ in range(2)] for _ in range(2)]
    return {
        "kind": "diamond",
        "a_mm": arms[0],
        "b_mm": arms[1],
        "fouling_a_mm": CELL_MM * random.randint(0, 4),
        "fouling_b_mm": CELL_MM * random.randint(0, 4),
    }


def _slip(random: Random) -> dict[str, Any]:
    core_mm = CELL_MM * random.randint(1, 3)
    return {
        "kind": random.choice(["single_slip", "double_slip"]),
        "arm_mm": CELL_MM * random.randint(1, 3),
        "core_mm": core_mm,
        "core_slip_mm": core_mm,
        "fouling_mm": CELL_MM * random.randint(0, 4),
    }


def random_plan(random: Random) -> dict[str, Any]:
    """Return points and crossings, track and stops, joined at random, in whole cells."""
    pieces: dict[str, Any] = {}
    free: list[str] = []
    for number in range(random.randint(1, 4)):
        name = f"P{number}"
        make = random.choice([_points, _points, _points, _diamond, _slip])
        pieces[name] = make(random)
        ends = ["toe", "through", "branch"] if make is _points else CROSSING_ENDS
        free += [f"{name}.{end}" for end in ends]
    random.shuffle(free)
    joins = []
    number = 0
    while free:
        end = free.pop()
        number += 1
        track = f"T{number}"
        pieces[track] = {
            "kind": "track",
            "length_mm": CELL_MM * random.randint(1, MOST_CELLS),
        }
        joins.append([end, f"{track}.a"])
        if free and random.random() < JOINED_AGAIN:
            joins.append([f"{track}.b", free.pop()])
        else:
            pieces[f"B{number}"] = {"kind": "buffer_stop"}
            joins.append([f"{track}.b", f"B{number}.a"])
    return {"pieces": pieces, "joins": joins}


def laid(document: dict[str, Any]) -> Survey:
    return survey(msgspec.convert(document, Plan))


def stand(usable: Usable) -> Stand:
    """Return where trains stand on a road: between its limits."""
    near, far = (limit.from_blades_mm or 0.0 for limit in usable.limits)
    length_mm = usable.road.length_mm or 0.0
    return Stand(courses=usable.road.courses, from_mm=near, to_mm=length_mm - far)


def cells_of(yard: Yard, place: Stand) -> list[Cell]:
    every = [
        (course, at) for course in place.courses for at in range(yard.cells(course))
    ]
    return every[round(place.from_mm / CELL_MM) : round(place.to_mm / CELL_MM)]


def zone(network: Network, name: str, leg: str, fouling_mm: int) -> frozenset[Bare]:
    course = network.at_end[name, leg] ^ 1
    return outwards(network, course, fouling_mm // CELL_MM)


def rivals_of(network: Network, name: str, piece: dict[str, Any]) -> Iterator[Zones]:
    """Yield what excludes what on a piece: the rule, kind by kind."""
    if piece["kind"] == "points":
        one, other = (
            zone(network, name, leg, piece[f"fouling_{leg}_mm"])
            for leg in ("through", "branch")
        )
        yield one, other
    elif piece["kind"] == "diamond":
        one, other = (
            zone(network, name, f"{road}1", piece[f"fouling_{road}_mm"])
            | zone(network, name, f"{road}2", piece[f"fouling_{road}_mm"])
            for road in "ab"
        )
        yield one, other
    elif "slip" in piece["kind"]:
        arms = {
            end: zone(network, name, end, piece["fouling_mm"]) for end in CROSSING_ENDS
        }
        yield arms["a1"], arms["b1"]
        yield arms["a2"], arms["b2"]
        roads = [("a1", "a2"), ("b1", "b2"), ("a1", "b2")]
        if piece["kind"] == "double_slip":
            roads.append(("b1", "a2"))
        first = network.first_of[name] + len(CROSSING_ENDS)
        cores = [
            outwards(network, 2 * (first + number), piece["core_mm"] // CELL_MM)
            for number in range(len(roads))
        ]
        yield from combinations(cores, 2)
        for end, neighbour in (("a1", "b1"), ("b1", "a1"), ("a2", "b2"), ("b2", "a2")):
            for road, core in zip(roads, cores, strict=True):
                if neighbour in road:
                    yield arms[end], core


def yard_of(network: Network, plan: dict[str, Any]) -> Yard:
    rivals = [
        one
        for name, piece in plan["pieces"].items()
        for one in rivals_of(network, name, piece)
    ]
    return Yard(network, tuple(rivals))


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
    places = [
        stand(one)
        for one in found.usable
        if len(one.limits) == 2 and (one.usable_length_mm or 0) >= CELL_MM
    ]
    if not places:
        return
    taken, spans = standing_stock(random, yard_of(found.network, document), places)
    yard = yard_of(found.network, document)._replace(taken=taken)
    start, goal = random.choice(places), random.choice(places)
    if set(cells_of(yard, start)) & {
        cell for cell in cells_of(yard, start) if yard.bare(cell) in taken
    }:
        return
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
    places = [
        stand(one)
        for one in found.usable
        if len(one.limits) == 2 and (one.usable_length_mm or 0) >= CELL_MM
    ]
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


@pytest.mark.parametrize("seed", range(PUSHES))
def test_a_rear_clears_blades_by_the_margin_before_it_goes_back(seed: int) -> None:
    random = Random(60_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = [
        stand(one)
        for one in found.usable
        if len(one.limits) == 2 and (one.usable_length_mm or 0) >= CELL_MM
    ]
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
    places = [
        stand(one)
        for one in found.usable
        if len(one.limits) == 2 and (one.usable_length_mm or 0) >= CELL_MM
    ]
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
