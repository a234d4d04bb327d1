"""Track that is changed where it lies, against a plan that is laid anew."""

from collections.abc import Sequence
from copy import deepcopy
from random import Random

import pytest

from railway.moves.test_search import PUSHES
from standage.railway.moves.alterations import (
    Change,
    altered,
    each_alone,
    least_mm,
)
from standage.railway.moves.ground import Ground, Span, ground
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted
from standage.railway.track.survey.survey import Survey
from support.pushed_trains import CELL_MM
from support.random_yards import laid, random_plan, stand


def ground_of(found: Survey) -> Ground:
    return ground(found.network, found.points)


def stands_of(found: Survey) -> list[Stand]:
    return [stand(one) for one in found.usable if len(one.limits) == 2]


def told(one: Stand) -> tuple[object, ...]:
    """Return a place as it counts: of one without room it matters no more where."""
    if one.length_mm == 0:
        return one.courses, "no room"
    return one.courses, round(one.from_mm, 6), round(one.to_mm, 6)


SHORTER_LETS_IN = {242, 1844}
"""Of these shorter track lets a fouling point into a road that it did not reach."""


@pytest.mark.parametrize("seed", sorted({*range(PUSHES), *SHORTER_LETS_IN}))
def test_places_and_zones_lie_as_in_a_plan_that_is_laid_anew(seed: int) -> None:
    random = Random(150_000 + seed)
    document = random_plan(random)
    found = laid(document)
    anew = deepcopy(document)
    changes: dict[int, Change] = {}
    for name, piece in anew["pieces"].items():
        if piece["kind"] == "track" and random.random() < 0.5:
            least = 1 - piece["length_mm"] // CELL_MM
            parts = [CELL_MM * random.randint(0, 3), CELL_MM * random.randint(least, 0)]
            random.shuffle(parts)
            piece["length_mm"] += sum(parts)
            changes[found.network.first_of[name]] = Change(parts[0], parts[1])
    again = laid(anew)
    there = ground_of(again)
    for one, other in zip(stands_of(found), stands_of(again), strict=True):
        wanted = Wanted(start=one, engine_towards=1, train_mm=1.0, goal=one)
        on, asked = altered(ground_of(found), wanted, changes)
        assert told(asked.start) == told(other)
        assert asked.goal == asked.start
        assert (on.lengths_mm, on.rivals) == (there.lengths_mm, there.rivals)
        assert (on.zones, on.shut) == (there.zones, there.shut)


def measured(courses: list[int], from_mm: float, to_mm: float) -> Stand:
    return Stand(courses=tuple(courses), from_mm=from_mm, to_mm=to_mm, measured=True)


def line(*lengths_mm: float) -> Ground:
    """Return plain track in a row: its strands are numbered from 0."""
    pieces = {
        f"T{number}": {"kind": "track", "length_mm": mm}
        for number, mm in enumerate(lengths_mm)
    }
    joins = [[f"T{number}.b", f"T{number + 1}.a"] for number in range(len(pieces) - 1)]
    return ground_of(laid({"pieces": pieces, "joins": joins}))


@pytest.mark.parametrize(
    ("courses", "limits_mm", "changed", "then_mm"),
    [
        # Counted from a of the piece: put in at b, it lies beyond the place, or in it.
        ([0, 2], (50, 150), {0: Change(0, 30)}, (50, 180)),
        ([0, 2], (50, 150), {1: Change(0, 30)}, (50, 150)),
        ([0, 2], (50, 300), {1: Change(0, 30)}, (50, 330)),
        # Put in at a, what is on the piece stays as far from b.
        ([0, 2], (50, 150), {1: Change(30, 0)}, (50, 180)),
        ([0, 2], (50, 150), {0: Change(30, 0)}, (80, 180)),
        ([0, 2], (0, 150), {0: Change(30, 0)}, (0, 180)),
        # Taken away: from the place only where it lies there.
        ([0, 2], (0, 150), {1: Change(0, -30)}, (0, 150)),
        ([0, 2], (0, 290), {1: Change(0, -30)}, (0, 270)),
        ([0, 2], (20, 150), {0: Change(-30, 0)}, (0, 120)),
        # The same run over the other way round.
        ([3, 1], (150, 250), {0: Change(0, 30)}, (150, 280)),
        ([3, 1], (150, 250), {1: Change(0, 30)}, (180, 280)),
        ([3, 1], (0, 250), {1: Change(0, 30)}, (0, 280)),
        ([3, 1], (150, 250), {1: Change(30, 0)}, (150, 280)),
    ],
)
def test_what_was_measured_stays_where_it_is_on_its_pieces(
    courses: list[int],
    limits_mm: tuple[float, float],
    changed: dict[int, Change],
    then_mm: tuple[float, float],
) -> None:
    on = line(100.0, 200.0)
    place = measured(courses, *limits_mm)
    wanted = Wanted(start=place, engine_towards=1, train_mm=1.0, goal=place)
    start = altered(on, wanted, changed)[1].start
    assert (start.from_mm, start.to_mm) == then_mm


@pytest.mark.parametrize(
    ("stands", "change", "then"),
    [
        ((0, 40), Change(0, 30, carries=True), (0, 40)),
        ((60, 100), Change(0, 30, carries=True), (90, 130)),
        ((0, 100), Change(0, 30, carries=True), (0, 100)),
        ((60, 100), Change(0, 30), (60, 100)),
        ((0, 40), Change(30, 0), (30, 70)),
        ((60, 100), Change(-30, 0), (30, 70)),
    ],
)
def test_stock_stays_but_where_it_stands_against_a_finish_that_moves(
    stands: tuple[float, float], change: Change, then: tuple[float, float]
) -> None:
    alone = line(100.0)
    on = ground(alone.network, alone.points, standing=[Span(0, *stands)])
    place = measured([0], 0, 100)
    wanted = Wanted(start=place, engine_towards=1, train_mm=1.0, goal=place)
    after, _ = altered(on, wanted, {0: change})
    assert after.standing == (Span(0, *then),)
    assert after.shut[0] == (then,)


@pytest.mark.parametrize("at_mm", [1, 5, 9])
def test_the_least_that_helps_is_found_to_the_millimetre(at_mm: int) -> None:
    def helps(by_mm: int) -> bool:
        return by_mm >= at_mm

    assert least_mm(helps, enough_mm=9) == at_mm


@pytest.mark.parametrize("seed", range(20))
def test_of_many_each_that_helps_alone_is_found(seed: int) -> None:
    random = Random(seed)
    each = list(range(random.randint(0, 12)))
    alone = [number for number in each if random.random() < 0.2]
    pair = set(random.sample(each, 2)) if len(each) > 1 else {-1}

    def helps(some: Sequence[int]) -> bool:
        return not set(alone).isdisjoint(some) or pair.issubset(some)

    assert list(each_alone(each, helps)) == alone
