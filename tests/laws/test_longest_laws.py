"""What holds for the longest train of any pool, against trying every train there is."""

from collections.abc import Iterator, Sequence
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from standage.railway.longest.cars import PoolVehicle
from standage.railway.longest.choice import Choice, TrainWanted, choose
from standage.railway.longest.replay import broken_rules
from standage.railway.longest.room import By
from standage.railway.roads.allowances import GIVEN, allowance
from standage.railway.roads.places import Place
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.vehicles import Standing
from support.stock import ask, road
from support.trains import (
    any_places,
    any_vehicles,
    known_couplings,
    known_vehicles,
    quarters,
)

TYPES = CouplingTypes()
WORTH = {
    "number": lambda number, length_mm: (number, length_mm),
    "length": lambda number, length_mm: (length_mm, number),
}
engines = st.lists(
    known_vehicles.map(lambda one: structs.replace(one, count=1)), max_size=1
)
single_ones = known_vehicles.map(lambda one: structs.replace(one, count=1))
doubles = known_vehicles.map(lambda one: structs.replace(one, count=2))
crowds = st.lists(single_ones, min_size=1, max_size=4) | st.lists(
    doubles, min_size=1, max_size=2
)
places = st.builds(
    Place,
    kind=st.sampled_from(["loop", "siding", "platform", "headshunt"]),
    usable_length_mm=quarters(0, 900),
    plus_minus_mm=quarters(0, 5),
    stopping_margin_mm=quarters(0, 50),
)
ways: st.SearchStrategy[By] = st.sampled_from(["number", "length"])


def chosen(
    front: Sequence[Standing],
    pool: Sequence[Standing],
    place: Place,
    by: By,
    **how: Any,
) -> Choice:
    given_ = allowance(place, known_by=GIVEN, stopping_margin_mm=None)
    wanted = TrainWanted(
        engines=front,
        pool=in_pool(pool),
        place=place,
        given=given_,
        by=by,
        types=TYPES,
    )
    return choose(wanted, **how)


def in_pool(pool: Sequence[Standing]) -> list[PoolVehicle]:
    return [PoolVehicle(vehicle=vehicle) for vehicle in pool]


def every_order(pool: Sequence[Standing]) -> Iterator[tuple[int, ...]]:
    """Yield every choice from the pool in every order, each once."""
    copies = [
        number for number, vehicle in enumerate(pool) for _ in range(vehicle.count)
    ]
    for many in range(len(copies) + 1):
        yield from set(permutations(copies, many))


def figures(
    front: Sequence[Standing],
    pool: Sequence[Standing],
    taken: Sequence[int],
    place: Place,
) -> Any:
    """Return the number and the length of a train if it fits for certain, by the
    question of train and place.
    """
    vehicles = (*front, *(structs.replace(pool[number], count=1) for number in taken))
    if not vehicles:
        return None
    answer = ask(*vehicles, place=place)
    if answer.verdict != "fits" or answer.train_length_mm is None:
        return None
    return len(taken), answer.train_length_mm


def best_by_trying(
    front: Sequence[Standing], pool: Sequence[Standing], place: Place, by: By
) -> Any:
    fitting = (figures(front, pool, taken, place) for taken in every_order(pool))
    return max((WORTH[by](*one) for one in fitting if one is not None), default=None)


def held_against(
    front: Sequence[Standing], pool: Sequence[Standing], place: Place, by: By
) -> None:
    choice = chosen(front, pool, place, by)
    assert choice.proved
    best = best_by_trying(front, pool, place, by)
    if choice.taken is None:
        assert best is None
    else:
        found = figures(front, pool, choice.taken, place)
        assert found is not None
        assert WORTH[by](*found) == pytest.approx(best)


@given(engines, crowds, places, ways)
def test_no_train_in_any_order_is_better(
    front: list[Standing], pool: list[Standing], place: Place, by: By
) -> None:
    held_against(front, pool, place, by)


@given(
    st.lists(
        any_vehicles.map(lambda one: structs.replace(one, count=1)),
        min_size=1,
        max_size=3,
    ),
    any_places,
    ways,
)
def test_none_is_better_where_figures_are_missing_or_other_lengths_count(
    pool: list[Standing], place: Place, by: By
) -> None:
    if place.usable_length_mm is None:
        assert chosen([], pool, place, by).verdict == "cannot_tell"
    else:
        held_against([], pool, place, by)


@given(engines, crowds, places, ways)
def test_the_answer_replays_and_one_vehicle_more_or_another_road_does_not(
    front: list[Standing], pool: list[Standing], place: Place, by: By
) -> None:
    choice = chosen(front, pool, place, by)
    if choice.taken is None:
        return
    given_ = allowance(place, known_by=GIVEN, stopping_margin_mm=None)

    def broken(taken: Sequence[int], allowed: Any = given_) -> list[str]:
        return list(
            broken_rules(
                front, in_pool(pool), taken, place=place, given=allowed, types=TYPES
            )
        )

    assert broken(choice.taken) == []
    assert broken((*choice.taken, len(pool))) != []
    assert broken((*choice.taken, *(0 for _ in range(pool[0].count + 1)))) != []
    assert broken(choice.taken, structs.replace(given_, usable_mm=0.0)) != []


@given(engines, crowds, places, ways, quarters(0, 200))
def test_more_room_never_makes_the_best_train_worse(
    front: list[Standing], pool: list[Standing], place: Place, by: By, more_mm: float
) -> None:
    longer = structs.replace(
        place, usable_length_mm=(place.usable_length_mm or 0) + more_mm
    )
    less, more = chosen(front, pool, place, by), chosen(front, pool, longer, by)
    if less.taken is not None:
        assert more.taken is not None
        then, now = (
            figures(front, pool, less.taken, place),
            figures(front, pool, more.taken, longer),
        )
        assert WORTH[by](*now)[0] >= WORTH[by](*then)[0] - 1e-6


@given(engines, crowds, places, ways, st.randoms(use_true_random=False))
def test_the_order_of_the_pool_changes_nothing(
    front: list[Standing], pool: list[Standing], place: Place, by: By, chance: Any
) -> None:
    shuffled = chance.sample(pool, len(pool))
    one, other = chosen(front, pool, place, by), chosen(front, shuffled, place, by)
    assert (one.verdict, one.proved) == (other.verdict, other.proved)
    if one.taken is not None and other.taken is not None:
        assert [pool[number] for number in one.taken] == [
            shuffled[number] for number in other.taken
        ]


@given(crowds, known_couplings, places, ways)
def test_a_vehicle_more_in_the_pool_never_makes_the_best_train_worse(
    pool: list[Standing], coupling: Any, place: Place, by: By
) -> None:
    more = [
        *pool,
        Standing(
            name="One more",
            length_mm=50.0,
            length_over="buffers",
            front_coupling=coupling,
        ),
    ]
    less, richer = chosen([], pool, place, by), chosen([], more, place, by)
    if less.taken is not None:
        assert richer.taken is not None
        then, now = (
            figures([], pool, less.taken, place),
            figures([], more, richer.taken, place),
        )
        assert WORTH[by](*now)[0] >= WORTH[by](*then)[0] - 1e-6


@given(crowds, ways)
def test_a_budget_of_no_steps_is_never_proved_beyond_its_bound(
    pool: list[Standing], by: By
) -> None:
    place = road(500.0, plus_minus_mm=0.0, stopping_margin_mm=0.0)
    hasty, patient = (
        chosen([], pool, place, by, budget_steps=0),
        chosen([], pool, place, by),
    )
    if hasty.taken is not None and patient.taken is not None and hasty.proved:
        then, now = (
            figures([], pool, hasty.taken, place),
            figures([], pool, patient.taken, place),
        )
        assert WORTH[by](*then)[0] == pytest.approx(WORTH[by](*now)[0])
