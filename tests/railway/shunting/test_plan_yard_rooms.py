"""The rooms of a plan's yard are the longest trains that the search for moves gets from
siding to siding.
"""

import os
from itertools import combinations
from random import Random

import pytest

from railway.shunting.test_plan_yards import rooms_of, surveyed, yard
from standage.railway.moves.ground import ground
from standage.railway.moves.longest import longest_train
from standage.railway.moves.standing import Stand
from standage.railway.moves.stretches import stand_between
from standage.railway.moves.wanted import Wanted
from standage.railway.roads.plan_roads import PlanRoad
from standage.railway.track.survey.survey import Survey
from support.random_fans import random_fan

FANS = int(os.environ.get("STANDAGE_FANS", "12"))


def stand(one: PlanRoad) -> Stand:
    limits_mm = [limit.from_blades_mm for limit in one.limits]
    found = stand_between(one.courses, one.blades_to_blades_mm, limits_mm)
    assert found is not None
    return found


def across_mm(found: Survey, one: PlanRoad, other: PlanRoad) -> float:
    """Return the longest train that gets from one road to another."""
    wanted = Wanted(start=stand(one), engine_towards=0, train_mm=1.0, goal=stand(other))
    longest = longest_train(ground(found.network, found.points), wanted)
    assert not longest.gave_up
    return round(longest.mm, 3)


@pytest.mark.parametrize("seed", range(FANS))
def test_each_room_is_the_longest_train_that_can_be_moved_across(seed: int) -> None:
    document = random_fan(Random(seed))
    found = surveyed(document)
    made = yard(document, "Neck")
    sidings = made.sidings
    assert [one.name for one in sidings] == [
        place["name"] for place in document["places"][1:]
    ]
    headshunt_mm = made.yard.headshunt_usable_length_mm
    rooms = rooms_of(made)
    for one, other in combinations(sidings, 2):
        room_mm = rooms.pop(frozenset((one.name, other.name)), headshunt_mm)
        assert across_mm(found, one, other) == room_mm, (one.name, other.name)
    assert rooms == {}
    assert across_mm(found, sidings[0], made.headshunt) == headshunt_mm
    lengths_mm = [one.usable_length_mm for one in made.yard.sidings]
    assert lengths_mm == [one.usable_length_mm for one in sidings]
