"""What is just as long as the room for it fits, and what is 0.1 mm longer does not, in
every question.

Figures are tenths of a millimetre, as people measure. What is expected is worked out in
exact fractions of the decimal text; what the service is given are the floats that it
reads from the same text.
"""

from collections.abc import Callable
from fractions import Fraction

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.questions import capacity, longest_train, parts, road_allocation
from standage.questions.resolving.trains import NamedTrain, NamedVehicle
from standage.questions.road_allocation_answer import RoadAllocationAnswer
from standage.questions.sources import NamedPlace
from standage.railway.roads.allowances import GIVEN, SURVEYED
from standage.railway.roads.limits import limits_of
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.standing.crosswise import Crosswise
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.terms.figures import exceeds, goes_into, grains
from support.stock import ask, plain, road
from support.tenths import (
    TENTH,
    Measured,
    Tenths,
    as_read,
    may_be_off,
    measured,
    pulled_out,
    tenths,
)

BY_OVERALL_LENGTH: tuple[PlaceKind, ...] = (
    "loop",
    "siding",
    "headshunt",
    "storage_road",
    "cassette",
    "traverser",
    "sector_plate",
    "platform",
)
ABOUT_EQUAL = st.integers(-2, 2).map(lambda number: number * TENTH)
measured_trains = st.lists(measured, min_size=1, max_size=8)


def train_of(some: list[Measured]) -> Train:
    return Train(
        vehicles=tuple(one.standing(f"V{number}") for number, one in enumerate(some))
    )


def expected(spare: Fraction, off: Fraction) -> str:
    if spare >= off:
        return "fits"
    return "does_not_fit" if spare < -off else "tight"


def by_train_fit(train: Train, place: Place) -> str:
    return ask(*train.vehicles, place=place).verdict


def by_every_pair(train: Train, place: Place) -> str:
    crosswise = Crosswise([train], [place], known_by=[GIVEN], types=CouplingTypes())
    assert crosswise.pair(0, 0).verdict == crosswise.verdict(0, 0)
    return crosswise.verdict(0, 0)


def by_road_allocation(train: Train, place: Place) -> str:
    return (
        "fits"
        if allocated([train], [place], gap_mm=0.0).verdict == "all_stand"
        else "does_not_fit"
    )


def by_parts(train: Train, place: Place) -> str:
    whole = parts.reckon(parts.PartsCase(train=train, place=place)).verdict == "whole"
    return "fits" if whole else "does_not_fit"


def by_longest_train(train: Train, place: Place) -> str:
    *engines, last = train.vehicles
    case = longest_train.LongestTrainCase(
        engines=tuple(NamedVehicle(vehicle=one) for one in engines),
        pool=(NamedVehicle(vehicle=last),),
        place=place,
    )
    return "fits" if longest_train.reckon(case).from_pool == 1 else "does_not_fit"


def by_what_to_leave_off(train: Train, place: Place) -> str:
    return (
        "fits"
        if ask(*train.vehicles, place=place).instead.drop == ()
        else "does_not_fit"
    )


def allocated(
    trains: list[Train], places: list[Place], *, gap_mm: float
) -> RoadAllocationAnswer:
    case = road_allocation.RoadAllocationCase(
        trains=tuple(
            NamedTrain(name=f"T{number}", train=one)
            for number, one in enumerate(trains)
        ),
        roads=tuple(NamedPlace(place=one) for one in places),
        gap_mm=gap_mm,
    )
    return road_allocation.reckon(case)


FOUR_WORDS: tuple[Callable[[Train, Place], str], ...] = (by_train_fit, by_every_pair)
TWO_WORDS = (by_road_allocation, by_parts, by_longest_train, by_what_to_leave_off)


class Road(msgspec.Struct, frozen=True, kw_only=True):
    """What is said of a road besides its length; it is so much ``longer`` than a train
    and all ± need, or less.
    """

    kind: PlaceKind
    margin: Tenths
    plus_minus: Tenths
    longer: Fraction
    at_best: bool
    """Whether all ± are for the train rather than against it."""


roads = st.builds(
    Road,
    kind=st.sampled_from(BY_OVERALL_LENGTH),
    margin=tenths(0, 30),
    plus_minus=tenths(0, 3),
    longer=ABOUT_EQUAL,
    at_best=st.booleans(),
)


@pytest.mark.parametrize("question", [*FOUR_WORDS, *TWO_WORDS])
@given(measured_trains, roads)
def test_a_train_stands_where_its_length_its_margin_and_all_plus_minus_come_to_just_the_room(
    question: Callable[[Train, Place], str], some: list[Measured], asked: Road
) -> None:
    off = may_be_off(some) + asked.plus_minus.exact
    needed = (
        pulled_out(some) + asked.margin.exact - off
        if asked.at_best
        else pulled_out(some) + asked.margin.exact + off
    )
    usable = max(Fraction(0), needed + asked.longer)
    place = road(
        as_read(usable),
        kind=asked.kind,
        plus_minus_mm=asked.plus_minus.mm,
        stopping_margin_mm=asked.margin.mm,
    )
    verdict = expected(usable - asked.margin.exact - pulled_out(some), off)
    found = question(train_of(some), place)
    assert (
        found == verdict
        if question in FOUR_WORDS
        else (found == "fits") == (verdict == "fits")
    )


@given(measured_trains, tenths(0, 30), tenths(0, 3))
def test_the_longest_train_that_is_published_is_all_the_room_and_stands(
    some: list[Measured], margin: Tenths, plus_minus: Tenths
) -> None:
    usable = pulled_out(some) + may_be_off(some) + margin.exact + plus_minus.exact
    place = road(
        as_read(usable), plus_minus_mm=plus_minus.mm, stopping_margin_mm=margin.mm
    )
    longest_mm = limits_of(place, known_by=SURVEYED).longest_mm
    assert longest_mm == as_read(pulled_out(some) + may_be_off(some))


@given(
    measured,
    st.integers(1, 40),
    st.integers(1, 4),
    tenths(0, 30),
    tenths(0, 3),
    st.integers(-1, 0),
)
def test_a_road_that_so_many_just_fill_holds_so_many_and_one_fewer_where_it_is_a_tenth_shorter(
    one: Measured, count: int, spots: int, margin: Tenths, plus_minus: Tenths, more: int
) -> None:
    def needs(number: int) -> Fraction:
        return pulled_out([one] * number) if number else Fraction(0)

    def at_worst(number: int) -> Fraction:
        return needs(number) + number * one.plus_minus.exact + plus_minus.exact

    def to_work(number: int) -> Fraction:
        pitch = needs(2) - needs(1)
        return needs(number) + max(0, number - spots) * pitch

    for length, figure in (
        (needs, "standing_capacity"),
        (at_worst, "standing_capacity_for_certain"),
        (to_work, "working_capacity"),
    ):
        room = length(count) + more * TENTH
        case = capacity.CapacityCase(
            usable_length_mm=as_read(room + margin.exact),
            vehicle=one.standing("Wagon"),
            fixed_spots=spots,
            plus_minus_mm=plus_minus.mm,
            stopping_margin_mm=margin.mm,
        )
        assert getattr(capacity.reckon(case), figure) == (
            count if more == 0 else count - 1
        )


def test_three_wagons_of_60_2_fill_180_6_and_all_questions_say_so() -> None:
    wagon = plain("Wagon", 60.2)
    held = capacity.reckon(capacity.CapacityCase(usable_length_mm=180.6, vehicle=wagon))
    assert (
        held.standing_capacity,
        held.standing_capacity_for_certain,
        held.spare_mm,
    ) == (3, 3, 0.0)
    assert ask(wagon, wagon, wagon, place=road(180.6)).verdict == "fits"


def test_of_72_5_and_48_6_and_145_9_in_243_4_only_48_6_is_left_over() -> None:
    """25 mm between two: 72.5 + 25 + 145.9 = 243.4, so that 48.6 alone must stay
    out.
    """
    some = [
        Train(vehicles=(plain(f"{length_mm}", length_mm),))
        for length_mm in (72.5, 48.6, 145.9)
    ]
    answer = allocated(some, [road(243.4, stopping_margin_mm=0.0)], gap_mm=25.0)
    assert [one.length_mm for one in answer.left_over] == [48.6]
    assert (answer.proved, answer.least_length_proved, answer.roads[0].spare_mm) == (
        True,
        True,
        0.0,
    )


@given(st.lists(tenths(0, 500), min_size=1, max_size=60), ABOUT_EQUAL)
def test_a_sum_of_tenths_goes_into_the_room_just_where_it_does_in_fractions(
    some: list[Tenths], more: Fraction
) -> None:
    whole = sum((one.exact for one in some), Fraction(0))
    room = whole + more
    total_mm = sum(one.mm for one in some)
    assert goes_into(total_mm, room_mm=as_read(room)) == (whole <= room)
    assert exceeds(total_mm, limit=as_read(room)) == (whole > room)
    assert sum(grains(one.mm) for one in some) == whole * 1_000_000
