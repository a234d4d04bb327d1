"""What holds for the capacity of any road, against counting out by hand."""

from hypothesis import given
from hypothesis import strategies as st
from msgspec import structs

from standage.questions.capacity import CapacityAnswer, CapacityCase, reckon
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.vehicles import Standing
from support.stock import ask, plain, road
from support.trains import known_couplings, known_vehicles, quarters


def held(vehicle: Standing, usable_mm: float, spots: int = 1) -> CapacityAnswer:
    return reckon(
        CapacityCase(usable_length_mm=usable_mm, vehicle=vehicle, fixed_spots=spots)
    )


def can_be_worked(vehicles: int, *, places: int, spots: int) -> bool:
    """Tell by trying whether a row of vehicles can be shunted so that each in turn
    stands at one of the spots.
    """
    shifts = range(places - vehicles + 1)
    return any(
        all(
            any(spot <= vehicle + shift < spot + spots for shift in shifts)
            for vehicle in range(vehicles)
        )
        for spot in range(places)
    )


@given(st.integers(0, 24), st.integers(1, 8))
def test_the_working_capacity_is_what_trying_every_spot_and_shift_finds(
    places: int, spots: int
) -> None:
    workable = (
        count
        for count in range(1, places + 1)
        if can_be_worked(count, places=places, spots=spots)
    )
    expected = max(workable, default=0)
    answer = held(plain("Wagon", 10.0), places * 10.0, spots)
    assert (answer.standing_capacity, answer.working_capacity) == (places, expected)


@given(known_vehicles, quarters(0, 1500))
def test_the_standing_capacity_is_the_longest_row_that_stands_clear(
    vehicle: Standing, usable_mm: float
) -> None:
    couplings = (
        vehicle.front_coupling or Coupling(),
        vehicle.rear_coupling or Coupling(),
    )
    front, rear = (structs.replace(coupling, type=None) for coupling in couplings)
    one = structs.replace(vehicle, count=1, front_coupling=front, rear_coupling=rear)
    counted = 0
    while counted < 200:
        row = ask(structs.replace(one, count=counted + 1), place=road(usable_mm))
        if row.spare_mm is None or row.spare_mm < 0:
            break
        counted += 1
    answer = held(one, usable_mm)
    assert answer.standing_capacity == counted
    certain = answer.standing_capacity_for_certain
    assert certain is not None
    assert (
        certain == 0
        or ask(structs.replace(one, count=certain), place=road(usable_mm)).verdict
        == "fits"
    )
    assert (
        ask(structs.replace(one, count=certain + 1), place=road(usable_mm)).verdict
        != "fits"
    )


@given(known_vehicles, quarters(0, 3000), st.integers(1, 20), quarters(0, 500))
def test_more_road_and_more_spots_never_hold_fewer(
    vehicle: Standing, usable_mm: float, spots: int, more_mm: float
) -> None:
    one = structs.replace(vehicle, count=1)
    less, more = held(one, usable_mm, spots), held(one, usable_mm + more_mm, spots + 1)
    for field in (
        "standing_capacity",
        "working_capacity",
        "standing_capacity_for_certain",
    ):
        assert getattr(less, field) <= getattr(more, field)
    assert less.working_capacity is not None
    assert less.standing_capacity is not None
    assert less.working_capacity <= less.standing_capacity


@given(known_vehicles, known_couplings, quarters(0, 3000), st.integers(1, 5))
def test_what_is_worked_has_room_to_move_in(
    vehicle: Standing, coupling: Coupling, usable_mm: float, spots: int
) -> None:
    one = structs.replace(
        vehicle, count=1, front_coupling=coupling, rear_coupling=coupling
    )
    answer = held(one, usable_mm, spots)
    assert answer.working_length_mm is not None
    assert answer.working_length_mm <= usable_mm
    assert answer.train_length_mm is not None
    assert answer.train_length_mm <= usable_mm
