"""The longest trains of all moves at once, against each move asked by itself, and
against a simulation.
"""

from random import Random
from typing import Any

import pytest

from railway.moves.test_search import PUSHES
from standage.railway.moves.ground import Ground, ground
from standage.railway.moves.longest import longest_train
from standage.railway.moves.reaching import reaching
from standage.railway.moves.standing import Stand
from standage.railway.moves.stretches import stand_on
from standage.railway.moves.wanted import End, Wanted
from standage.railway.track.network.network import Network
from standage.railway.track.plans.plan import Stretch
from support.pushed_trains import CELL_MM, Push, best_ways
from support.random_yards import (
    cells_of,
    laid,
    places_of,
    random_plan,
    stretch_at_random,
    yard_of,
)

CROSSED = 60_000


def by_itself_mm(on: Ground, start: Stand, goal: Stand, engine_towards: End) -> float:
    wanted = Wanted(
        start=start, engine_towards=engine_towards, train_mm=CELL_MM, goal=goal
    )
    return longest_train(on, wanted).mm


@pytest.mark.parametrize("seed", range(PUSHES))
def test_each_longest_train_is_that_of_the_move_asked_by_itself_pointing_either_way(
    seed: int,
) -> None:
    random = Random(200_000 + seed)
    found = laid(random_plan(random))
    places = places_of(found)
    on = ground(found.network, found.points)
    told = reaching(on, places)
    assert not told.gave_up
    pairs = [
        (start, goal)
        for start in range(len(places))
        for goal in range(len(places))
        if start != goal
    ]
    assert set(told.longest_mm) == set(pairs)
    for start, goal in random.sample(pairs, min(len(pairs), 30)):
        towards: End = random.choice([0, 1])
        by_itself = by_itself_mm(on, places[start], places[goal], towards)
        assert told.longest_mm[start, goal] == by_itself, (start, goal, towards)


@pytest.mark.parametrize("seed", range(PUSHES // 5))
def test_so_it_is_of_places_that_were_measured_over_points_and_round_loops(
    seed: int,
) -> None:
    random = Random(260_047 + seed)
    found = laid(random_plan(random))
    on = ground(found.network, found.points)
    stretches = [stretch_at_random(random, found.network) for _ in range(5)]
    places = [*places_of(found)[:1], *filter(None, stretches)]
    told = reaching(on, places)
    for (start, goal), longest_mm in told.longest_mm.items():
        by_itself = by_itself_mm(on, places[start], places[goal], 1)
        assert longest_mm == by_itself, (start, goal)


@pytest.mark.parametrize("seed", range(PUSHES // 4))
def test_each_longest_train_is_the_longest_that_can_be_pushed(seed: int) -> None:
    random = Random(220_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = places_of(found)
    if len(places) < 2:
        return
    told = reaching(ground(found.network, found.points), places)
    yard = yard_of(found.network, document)
    start, goal = random.sample(range(len(places)), 2)
    most_mm = min(places[start].length_mm, places[goal].length_mm)
    possible = [0]
    for train in range(1, round(most_mm / CELL_MM) + 1):
        pushed = best_ways(
            yard,
            Push(
                place=cells_of(yard, places[start]),
                goal=cells_of(yard, places[goal]),
                train=train,
                engine_ahead=random.random() < 0.5,
            ),
            most=CROSSED,
        )
        if pushed is None:
            return
        if pushed:
            possible.append(train)
    assert told.longest_mm[start, goal] == max(possible) * CELL_MM


def measured(network: Network, *parts: dict[str, Any]) -> Stand:
    found = stand_on(network, [Stretch(**part) for part in parts])
    assert isinstance(found, Stand)
    return found


def test_a_place_that_may_be_left_and_never_entered_counts_one_way() -> None:
    found = laid(
        {
            "pieces": {
                "B1": {"kind": "buffer_stop"},
                "H": {"kind": "track", "length_mm": 400},
                "P": {
                    "kind": "points",
                    "toe_mm": 0,
                    "through_mm": 100,
                    "branch_mm": 200,
                    "fouling_through_mm": 90,
                    "fouling_branch_mm": 90,
                },
                "W": {"kind": "track", "length_mm": 300},
                "B2": {"kind": "buffer_stop"},
                "Z": {"kind": "trap"},
            },
            "joins": [
                ["B1.a", "H.a"],
                ["H.b", "P.toe"],
                ["P.through", "W.a"],
                ["W.b", "B2.a"],
                ["P.branch", "Z.a"],
            ],
        }
    )
    network = found.network
    trapped = measured(
        network, {"piece": "P", "leg": "branch", "from_mm": 100, "to_mm": 200}
    )
    neck = measured(network, {"piece": "H", "from_mm": 0, "to_mm": 400})
    wharf = measured(network, {"piece": "W", "from_mm": 10, "to_mm": 300})
    told = reaching(ground(network, found.points), [neck, trapped, wharf]).longest_mm
    assert told[1, 0] == told[1, 2] == 100
    assert told[0, 1] == told[2, 1] == 0
    assert told[0, 2] == told[2, 0] == 290


def test_what_is_not_worked_out_within_the_budget_is_left_out_and_said() -> None:
    random = Random(200_003)
    found = laid(random_plan(random))
    places = places_of(found)
    on = ground(found.network, found.points)
    whole = reaching(on, places)
    some = reaching(on, places, most_steps=10)
    assert some.gave_up
    assert 0 < len(some.longest_mm) < len(whole.longest_mm)
    assert some.longest_mm.items() <= whole.longest_mm.items()
