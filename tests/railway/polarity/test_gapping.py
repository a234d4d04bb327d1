"""The fewest joins to gap, against every set of joins in turn."""

import os
from random import Random
from typing import Any

import pytest

from railway.polarity.test_circuits import POINTS, metal_of, track
from railway.polarity.test_shorts import BALLOON, gap
from standage.railway.polarity.gapping import MOST_SETS, smallest_gapping
from standage.railway.track.plans.flat import written
from support.rail_cells import CELL_MM, random_gaps, random_plan, smallest_sets

PLANS = int(os.environ.get("STANDAGE_POLARITY_PLANS", "24"))
MOST_JOINS = 7


def joined(document: dict[str, Any], sets: set[frozenset[int]]) -> set[frozenset[Any]]:
    joins = [frozenset(join) for join in document["joins"]]
    return {frozenset(joins[number] for number in one) for one in sets}


@pytest.mark.parametrize("seed", range(PLANS))
def test_all_smallest_sets_are_those_that_trying_every_one_finds(seed: int) -> None:
    random = Random(30_000 + seed)
    document = random_plan(random, most_junctions=2)
    if len(document["joins"]) > MOST_JOINS:
        return
    document["fittings"] = random_gaps(random, document, random.randint(0, 3))
    for_mm = CELL_MM * random.randint(1, 8)
    found = smallest_gapping(metal_of(document), for_mm=for_mm)
    expected = smallest_sets(document, for_mm)
    if expected is None:
        assert (found.possible, found.places, found.sets) == (False, None, ())
        return
    sets = {
        frozenset(frozenset(map(written, join)) for join in one) for one in found.sets
    }
    assert {len(one) for one in sets} == {found.places}
    if found.are_more:
        assert sets < joined(document, expected)
    else:
        assert sets == joined(document, expected)


def test_a_sound_plan_needs_no_more_gaps() -> None:
    gaps = [gap("R", 0), gap("R", 2000)]
    found = smallest_gapping(metal_of(BALLOON | {"fittings": gaps}), for_mm=1999)
    assert (found.places, found.sets) == (0, ((),))


def test_one_gap_that_is_there_counts() -> None:
    found = smallest_gapping(
        metal_of(BALLOON | {"fittings": [gap("R", 0)]}), for_mm=2000
    )
    assert found.sets == (((("R", "b"), ("P", "branch")),),)


def test_loops_apart_from_each_other_are_looked_at_each_by_itself() -> None:
    # twelve reversing loops along one line, each with track enough for many joins
    pieces: dict[str, Any] = {}
    joins = []
    for n in range(12):
        pieces |= {f"N{n}": POINTS, f"P{n}": POINTS}
        pieces |= {f"L{n}-{part}": track(150) for part in range(10)}
        joins += [[f"N{n}.branch", f"P{n}.toe"], [f"P{n}.through", f"L{n}-0.a"]]
        joins += [[f"L{n}-{k}.b", f"L{n}-{k + 1}.a"] for k in range(9)]
        joins += [[f"L{n}-9.b", f"P{n}.branch"]]
    joins += [[f"N{n}.through", f"N{n + 1}.toe"] for n in range(11)]
    found = smallest_gapping(metal_of({"pieces": pieces, "joins": joins}), for_mm=1500)
    assert found.places == 24
    assert len(found.sets) == 1


def test_more_sets_than_are_told_are_said_to_be() -> None:
    pieces = {"P": POINTS} | {f"L{part}": track(60) for part in range(40)}
    joins = [["P.through", "L0.a"], *([f"L{k}.b", f"L{k + 1}.a"] for k in range(39))]
    document = {"pieces": pieces, "joins": [*joins, ["L39.b", "P.branch"]]}
    found = smallest_gapping(metal_of(document), for_mm=600)
    assert (found.places, len(found.sets), found.are_more) == (2, MOST_SETS, True)


def test_a_search_that_stops_says_how_many_are_needed_at_least() -> None:
    found = smallest_gapping(metal_of(BALLOON), for_mm=1500, steps=60)
    assert found.places is None
    assert found.possible
    assert 0 <= found.at_least <= 2


def test_a_loop_shorter_than_the_train_cannot_be_gapped() -> None:
    found = smallest_gapping(metal_of(BALLOON), for_mm=2001)
    assert (found.possible, found.places) == (False, None)
