"""The longest train for a move against the longest that a simulation can push."""

from random import Random

import pytest

from railway.moves.test_search import PUSHES
from standage.railway.moves.ground import ground
from standage.railway.moves.longest import longest_train
from standage.railway.moves.wanted import Wanted
from support.pushed_trains import CELL_MM, Push, best_ways
from support.random_yards import cells_of, laid, places_of, random_plan, yard_of


@pytest.mark.parametrize("seed", range(PUSHES // 4))
def test_the_longest_train_is_the_longest_that_can_be_pushed(seed: int) -> None:
    random = Random(5_000 + seed)
    document = random_plan(random)
    found = laid(document)
    places = places_of(found)
    if not places:
        return
    on = ground(found.network, found.points)
    yard = yard_of(found.network, document)
    start, goal = random.choice(places), random.choice(places)
    possible: list[int] = []
    fewest: dict[int, int] = {}
    most = round(min(start.length_mm, goal.length_mm) / CELL_MM)
    for train in range(1, most + 1):
        pushed = best_ways(
            yard,
            Push(
                place=cells_of(yard, start),
                goal=cells_of(yard, goal),
                train=train,
                engine_ahead=True,
            ),
            most=60_000,
        )
        if pushed is None:
            return
        if pushed:
            possible.append(train)
            fewest[train] = min(reversals for reversals, _ in pushed.values())
    wanted = Wanted(start=start, engine_towards=1, train_mm=CELL_MM, goal=goal)
    whole = longest_train(on, wanted)
    assert whole[:2] == (max(possible, default=0) * CELL_MM, False)
    for reversals in set(fewest.values()):
        longest = max(train for train, fewer in fewest.items() if fewer <= reversals)
        with_these = longest_train(on, wanted, most_reversals=reversals)
        assert with_these.mm == longest * CELL_MM, reversals
