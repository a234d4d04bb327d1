"""What holds for trains put away: the allotment against every arrangement, spots
against trying every shift.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from standage.railway.roads.allowances import GIVEN, allowance
from standage.railway.roads.places import Place
from standage.railway.standing.capacity import row_of
from standage.railway.standing.crosswise import Crosswise
from standage.railway.standing.spare import stand
from standage.railway.standing.suitability import suited
from standage.railway.standing.verdicts import FitVerdict
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.storing.allotment import Allotment, allot
from standage.railway.storing.packing import Storage, StorageRoad, StoredTrain
from standage.railway.storing.parts import fewest_parts
from standage.railway.storing.roads import broken_rules, storage_of
from standage.railway.storing.spots import most_worked_at, worked_at, working_mm
from support.stock import ask, plain
from support.trains import any_places, any_vehicles, known_vehicles, quarters, trains

TYPES = CouplingTypes()
NOT_THERE: FitVerdict = "does_not_fit"


@given(
    st.lists(trains(any_vehicles, most=3), min_size=1, max_size=3),
    st.lists(any_places, min_size=1, max_size=3),
)
def test_crosswise_every_pair_is_judged_as_by_itself(
    some: list[Train], places: list[Place]
) -> None:
    crosswise = Crosswise(some, places, known_by=[GIVEN] * len(places), types=TYPES)
    for number, train in enumerate(some):
        for road, place in enumerate(places):
            alone = ask(*train.vehicles, rakes=train.measured_rakes, place=place)
            pair = crosswise.pair(number, road)
            assert crosswise.verdict(number, road) == alone.verdict == pair.verdict
            assert (pair.spare_mm, pair.plus_minus_mm) == (
                alone.spare_mm,
                alone.plus_minus_mm,
            )
            assert pair.because[0] == alone.because[0]


@st.composite
def storages(draw: st.DrawFn, *, nested: bool) -> Storage:
    """Return up to five trains and three roads; ``nested`` where nothing but lengths
    decides what suits.
    """
    roads = tuple(
        StorageRoad(
            room_mm=draw(quarters(0, 60)), several=nested or draw(st.booleans())
        )
        for _ in range(draw(st.integers(1, 3)))
    )
    stored = []
    for _ in range(draw(st.integers(1, 5))):
        length_mm = draw(quarters(1, 40))
        weight_mm = length_mm + draw(quarters(0, 2))
        goes = {
            number for number, road in enumerate(roads) if weight_mm <= road.room_mm
        }
        suits = (
            goes
            if nested
            else {number for number in sorted(goes) if draw(st.booleans())}
        )
        stored.append(
            StoredTrain(
                length_mm=length_mm, weight_mm=weight_mm, roads=frozenset(suits)
            )
        )
    return Storage(
        trains=tuple(stored),
        roads=roads,
        gap_mm=draw(quarters(0, 5)),
        keep_empty=draw(st.integers(0, 2)),
    )


any_storages = storages(nested=True) | storages(nested=False)


@st.composite
def exact_storages(draw: st.DrawFn) -> Storage:
    """Return up to six trains and three roads on a grid so coarse that trains often
    fill a road exactly.
    """
    rooms_mm = draw(st.lists(st.integers(1, 12).map(float), min_size=1, max_size=3))
    lengths_mm = draw(st.lists(st.integers(1, 6).map(float), min_size=1, max_size=6))
    return Storage(
        trains=tuple(
            StoredTrain(
                length_mm=length_mm,
                weight_mm=length_mm,
                roads=frozenset(
                    road
                    for road, room_mm in enumerate(rooms_mm)
                    if length_mm <= room_mm
                ),
            )
            for length_mm in lengths_mm
        ),
        roads=tuple(StorageRoad(room_mm=room_mm) for room_mm in rooms_mm),
        gap_mm=float(draw(st.integers(0, 1))),
        keep_empty=draw(st.integers(0, 2)),
    )


def sound(storage: Storage, road_of: Sequence[int | None]) -> bool:
    """Tell whether an arrangement keeps to lengths, gaps, what suits, and the roads
    that are to stay empty.
    """
    used = {road for road in road_of if road is not None}
    if len(used) > max(0, len(storage.roads) - storage.keep_empty):
        return False
    for road in used:
        inside = [
            train
            for train, its in zip(storage.trains, road_of, strict=True)
            if its == road
        ]
        asked_mm = sum(train.weight_mm for train in inside) + storage.gap_mm * (
            len(inside) - 1
        )
        if asked_mm > storage.roads[road].room_mm or (
            len(inside) > 1 and not storage.roads[road].several
        ):
            return False
        if any(road not in train.roads for train in inside):
            return False
    return True


def price(storage: Storage, road_of: Sequence[int | None]) -> tuple[int, float]:
    left = [
        train
        for train, road in zip(storage.trains, road_of, strict=True)
        if road is None
    ]
    return len(left), sum(train.length_mm for train in left)


def cheapest(storage: Storage) -> tuple[int, float]:
    choices = product([None, *range(len(storage.roads))], repeat=len(storage.trains))
    return min(price(storage, one) for one in choices if sound(storage, one))


@given(any_storages)
def test_no_arrangement_leaves_fewer_over_or_of_as_few_a_shorter_length(
    storage: Storage,
) -> None:
    found = allot(storage)
    assert sound(storage, found.road_of)
    assert (found.proved, found.least_length) == (True, True)
    assert price(storage, found.road_of) == pytest.approx(cheapest(storage))
    assert found.at_least == found.left_over


def test_a_train_that_fills_a_road_exactly_is_no_reason_to_open_it() -> None:
    """Of roads for 5 and for 10 one stays empty: both trains of 5 stand in the longer,
    none in the one they fill.
    """
    whole = frozenset({0, 1})
    trains_ = (StoredTrain(length_mm=5.0, weight_mm=5.0, roads=whole),) * 2
    roads = (StorageRoad(room_mm=5.0), StorageRoad(room_mm=10.0))
    found = allot(Storage(trains=trains_, roads=roads, gap_mm=0.0, keep_empty=1))
    assert (found.road_of, found.proved) == ((1, 1), True)


@given(exact_storages())
def test_where_trains_fill_roads_exactly_no_arrangement_is_better_either(
    storage: Storage,
) -> None:
    found = allot(storage)
    assert sound(storage, found.road_of)
    assert (found.proved, found.least_length) == (True, True)
    assert price(storage, found.road_of) == pytest.approx(cheapest(storage))


@given(any_storages, st.integers(0, 40))
def test_a_spent_budget_still_gives_a_sound_arrangement_and_claims_no_more_than_it_knows(
    storage: Storage, steps: int
) -> None:
    found = allot(storage, budget_steps=steps)
    assert sound(storage, found.road_of)
    best = cheapest(storage)
    assert found.at_least <= best[0] <= found.left_over
    if found.proved:
        assert found.left_over == best[0]
    if found.least_length:
        assert price(storage, found.road_of) == pytest.approx(best)


@given(storages(nested=True), st.integers(0, 2), quarters(0.25, 30))
def test_more_room_in_a_road_never_leaves_more_over(
    storage: Storage, which: int, more_mm: float
) -> None:
    road = which % len(storage.roads)
    longer = structs.replace(
        storage.roads[road], room_mm=storage.roads[road].room_mm + more_mm
    )
    roads = (*storage.roads[:road], longer, *storage.roads[road + 1 :])
    stored = tuple(
        structs.replace(
            one,
            roads=frozenset(
                place for place, its in enumerate(roads) if one.weight_mm <= its.room_mm
            ),
        )
        for one in storage.trains
    )
    roomier = structs.replace(storage, roads=roads, trains=stored)
    then, now = allot(storage), allot(roomier)
    assert price(roomier, now.road_of) <= (
        then.left_over,
        price(storage, then.road_of)[1] + 1e-6,
    )


@given(any_storages, st.randoms(use_true_random=False))
def test_in_whatever_order_trains_are_given_as_many_are_left_over(
    storage: Storage, chance: Any
) -> None:
    shuffled = structs.replace(
        storage, trains=tuple(chance.sample(storage.trains, len(storage.trains)))
    )
    one, other = allot(storage), allot(shuffled)
    assert price(storage, one.road_of) == pytest.approx(price(shuffled, other.road_of))


@given(
    st.lists(trains(any_vehicles, most=2), min_size=1, max_size=4),
    st.lists(any_places, min_size=1, max_size=3),
    quarters(0, 40),
)
def test_every_allotment_replays_and_a_bent_one_does_not(
    some: list[Train], places: list[Place], gap_mm: float
) -> None:
    crosswise = Crosswise(some, places, known_by=[GIVEN] * len(places), types=TYPES)
    found: Allotment = allot(
        storage_of(crosswise, trains=len(some), gap_mm=gap_mm, keep_empty=0)
    )
    roads = [
        (place, allowance(place, known_by=GIVEN, stopping_margin_mm=None))
        for place in places
    ]
    road_of = {
        number: road for number, road in enumerate(found.road_of) if road is not None
    }

    def broken(bent: dict[int, int], *, keep_empty: int = 0) -> list[str]:
        return list(
            broken_rules(
                some, roads, bent, gap_mm=gap_mm, keep_empty=keep_empty, types=TYPES
            )
        )

    assert broken(road_of) == []
    if road_of:
        assert broken(road_of, keep_empty=len(places)) != []
    for left in (number for number in range(len(some)) if number not in road_of):
        for road in range(len(places)):
            assert broken({**road_of, left: road}) != []


def ways_apart(vehicles: int) -> Iterator[list[tuple[int, int]]]:
    """Yield every way of taking so many vehicles apart, each part by its first and
    last.
    """
    for cuts in product([False, True], repeat=vehicles - 1):
        ends = [number for number, cut in enumerate(cuts) if cut] + [vehicles - 1]
        yield [(first + 1, last) for first, last in pairwise([-1, *ends])]


@given(trains(any_vehicles, most=4), any_places)
def test_no_way_of_taking_a_train_apart_has_fewer_parts(
    train: Train, place: Place
) -> None:
    given_ = allowance(place, known_by=GIVEN, stopping_margin_mm=None)
    made_up = coupled(train, types=TYPES)
    unfit = {
        number: NOT_THERE
        for number, member in enumerate(made_up.members)
        if not suited(member.vehicle, place).suits
    }

    def stands(first: int, last: int) -> bool:
        alone = frozenset(range(len(made_up.members))) - frozenset(
            range(first, last + 1)
        )
        fits = stand(made_up.without(alone), place, given_).verdict == "fits"
        return fits and not any(number in unfit for number in range(first, last + 1))

    known = {
        (first, last): stands(first, last)
        for last in range(len(made_up.members))
        for first in range(last + 1)
    }
    possible = [
        way
        for way in ways_apart(len(made_up.members))
        if all(known[part] for part in way)
    ]
    found = fewest_parts(made_up, place, given_, unfit=unfit)
    if found.parts is None:
        assert possible == []
        assert found.verdict != "fits"
    else:
        way = [(part.first, part.last) for part in found.parts]
        assert way in possible
        assert len(way) == min(map(len, possible))


def reached_by_hand(
    positions: Sequence[float], spots: Sequence[float], moves: float
) -> bool:
    """Tell whether each vehicle, its middle at that position pushed up, can be drawn
    out to a spot.
    """
    return all(
        any(0 <= spot - position <= moves for spot in spots) for position in positions
    )


@given(
    st.integers(1, 30),
    st.lists(quarters(0, 400), min_size=1, max_size=4),
    quarters(0, 500),
    st.integers(5, 40),
)
def test_a_row_is_worked_where_every_vehicle_can_be_drawn_out_to_a_spot(
    count: int, spots_mm: list[float], room_mm: float, length: int
) -> None:
    row = row_of(plain("Wagon", float(length)), types=TYPES)
    middles = [length / 2 + length * number for number in range(count)]
    moves = room_mm - count * length
    expected = moves >= 0 and reached_by_hand(middles, spots_mm, moves)
    assert (
        worked_at(row, vehicles=count, room_mm=room_mm, spots_mm=spots_mm) == expected
    )


@given(
    known_vehicles,
    st.lists(quarters(0, 900), min_size=1, max_size=4),
    quarters(0, 1500),
    quarters(0, 20),
)
def test_the_most_that_can_be_worked_are_worked_and_one_more_is_not(
    vehicle: Any, spots_mm: list[float], room_mm: float, play_mm: float
) -> None:
    row = row_of(structs.replace(vehicle, count=1), types=TYPES)
    about: dict[str, Any] = {"spots_mm": spots_mm, "play_mm": play_mm}
    most = most_worked_at(row, standing=60, room_mm=room_mm, **about)
    assert worked_at(row, vehicles=most, room_mm=room_mm, **about)
    assert not any(
        worked_at(row, vehicles=most + more, room_mm=room_mm, **about)
        for more in range(1, 5)
    )
    needs_mm = working_mm(row, vehicles=most, **about)
    assert needs_mm <= room_mm + 1e-6
    assert worked_at(row, vehicles=most, room_mm=needs_mm + 1e-6, **about)
    if most and needs_mm > row.standing(most).known_mm + 1e-3:
        assert not worked_at(row, vehicles=most, room_mm=needs_mm - 1e-3, **about)


@given(st.integers(1, 24), st.integers(1, 8))
def test_spots_side_by_side_in_the_best_place_come_to_two_n_less_k(
    places: int, spots: int
) -> None:
    row = row_of(plain("Wagon", 10.0), types=TYPES)
    by_rule = max(
        count for count in range(places + 1) if max(count, 2 * count - spots) <= places
    )
    found = [
        most_worked_at(
            row,
            standing=places,
            room_mm=places * 10.0,
            spots_mm=[5.0 + 10.0 * (first + more) for more in range(spots)],
        )
        for first in range(places)
    ]
    assert max(found) == by_rule


def test_a_platforms_face_is_held_against_passenger_vehicles_where_many_are_judged_too() -> (
    None
):
    """Two coaches of 300 mm stand in a road of 1000 mm, but not along a face of
    500 mm.
    """
    coaches = Train(vehicles=(plain("Coach", 300.0, kind="coach", count=2),))
    places = [
        Place(
            kind="platform",
            usable_length_mm=1000.0,
            face_length_mm=face_mm,
            plus_minus_mm=0.0,
        )
        for face_mm in (None, 500.0, 600.0)
    ]
    crosswise = Crosswise([coaches], places, known_by=[GIVEN] * 3, types=TYPES)
    assert [crosswise.verdict(0, place) for place in range(3)] == [
        "fits",
        "does_not_fit",
        "fits",
    ]
