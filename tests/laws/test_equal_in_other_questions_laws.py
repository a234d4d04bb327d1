"""What is equal fits where more than the length pulled out counts: wheels, faces, gaps
between trains, sidings.

As in the laws of equal lengths: tenths of a millimetre, and exact fractions of their
decimal text as the oracle.
"""

from fractions import Fraction
from itertools import product
from math import floor
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from standage.questions import (
    fill,
    gradient,
    passing,
    road_allocation,
    shunting_plan,
    wish_list,
)
from standage.questions.resolving.trains import NamedTrain
from standage.questions.sources import NamedPlace, Sources
from standage.railway.climbs.gradients import Climb
from standage.railway.curving.curves import on_curve
from standage.railway.standing.capacity import row_of
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.storing.spots import worked_at
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.stock import ask, plain, road
from support.tenths import TENTH, Tenths, as_read, tenths

ABOUT_EQUAL = st.integers(-2, 2).map(lambda number: number * TENTH)
lengths = tenths(20, 300)
TIMES = st.sampled_from([Fraction(1), Fraction(2), Fraction(5, 4)])
"""A road so many times as long as what stands in it is just full, just crowded, or just
works.
"""


def exactly(some: list[Tenths]) -> Fraction:
    return sum((one.exact for one in some), Fraction(0))


def at_least_nothing(length: Fraction) -> Fraction:
    return max(Fraction(0), length)


# --- several trains in several roads


def fewest_left(
    lengths_: list[Tenths], rooms: list[Fraction], gap: Fraction
) -> tuple[int, Fraction]:
    """Return how few are left over, and the least they come to, by trying every road
    for every train.
    """

    def price(choice: tuple[int | None, ...]) -> tuple[int, Fraction] | None:
        for road_, room in enumerate(rooms):
            inside = [
                one for one, its in zip(lengths_, choice, strict=True) if its == road_
            ]
            if inside and exactly(inside) + gap * (len(inside) - 1) > room:
                return None
        left = [one for one, its in zip(lengths_, choice, strict=True) if its is None]
        return len(left), exactly(left)

    choices = product([None, *range(len(rooms))], repeat=len(lengths_))
    return min(one for one in map(price, choices) if one is not None)


@given(
    st.data(),
    st.lists(lengths, min_size=1, max_size=4),
    tenths(0, 30),
    st.integers(1, 2),
)
def test_trains_that_just_fill_roads_stand_in_them_and_the_fewest_and_shortest_are_left(
    data: st.DataObject, some: list[Tenths], gap: Tenths, roads: int
) -> None:
    rooms = []
    for _ in range(roads):
        inside = data.draw(st.lists(st.sampled_from(some), min_size=1, max_size=3))
        rooms.append(
            at_least_nothing(
                exactly(inside) + gap.exact * (len(inside) - 1) + data.draw(ABOUT_EQUAL)
            )
        )
    case = road_allocation.RoadAllocationCase(
        trains=tuple(
            NamedTrain(name=one.text, train=Train(vehicles=(plain("It", one.mm),)))
            for one in some
        ),
        roads=tuple(
            NamedPlace(place=road(as_read(room), stopping_margin_mm=0.0))
            for room in rooms
        ),
        gap_mm=gap.mm,
    )
    answer = road_allocation.reckon(case)
    fewest, shortest = fewest_left(some, rooms, gap.exact)
    assert (len(answer.left_over), answer.left_over_length_mm) == (
        fewest,
        as_read(shortest),
    )
    assert (answer.proved, answer.least_length_proved) == (True, True)


@given(
    st.lists(lengths, min_size=1, max_size=6),
    tenths(0, 30),
    TIMES,
    ABOUT_EQUAL,
)
def test_a_road_is_full_only_beyond_what_its_trains_take_up(
    some: list[Tenths], gap: Tenths, times: Fraction, more: Fraction
) -> None:
    held = exactly(some) + gap.exact * (len(some) - 1)
    usable = at_least_nothing(Fraction(floor(held * times * 10), 10) + more)
    trains = tuple(
        NamedTrain(name=one.text, train=Train(vehicles=(plain("It", one.mm),)))
        for one in some
    )
    roads = (NamedPlace(place=road(as_read(usable))),)
    case = fill.FillCase(
        roads=roads, trains=trains, road_of=(0,) * len(some), gap_mm=gap.mm
    )
    found = fill.reckon(case)
    if held > usable:
        expected = "over_full"
    elif 5 * held > 4 * usable:
        expected = "full"
    else:
        expected = "crowded" if 2 * held > usable else "works"
    assert found.verdict == expected
    told = found.because[-1].message
    assert ("50% of" in told and "over 50%" not in told) <= (expected == "works")
    assert ("80% of" in told and "over 80%" not in told) <= (expected == "crowded")
    assert ("100% of" in told and "over 100%" not in told) <= (expected == "full")
    assert all(one.amount_mm for one in found.because if one.code == "road_over_full")


# --- loading spots


@given(lengths, st.integers(1, 9), ABOUT_EQUAL)
def test_a_row_that_just_fills_a_dead_end_is_worked_only_where_every_middle_is_at_a_spot(
    length: Tenths, count: int, more: Fraction
) -> None:
    room = at_least_nothing(count * length.exact + more)
    spots = [length.exact / 2 + number * length.exact for number in range(count)]
    worked = worked_at(
        row_of(plain("Wagon", length.mm), types=CouplingTypes()),
        vehicles=count,
        room_mm=as_read(room),
        spots_mm=[float(one) for one in spots],
    )
    assert worked == (more >= 0)


# --- wheels on a turntable, axles in a reversing section, passenger vehicles at a face


@given(lengths, tenths(0, 5), ABOUT_EQUAL)
def test_wheels_stand_on_a_turntable_whose_rails_are_just_4_mm_longer_than_the_wheelbase(
    wheelbase: Tenths, plus_minus: Tenths, more: Fraction
) -> None:
    rails = at_least_nothing(wheelbase.exact + 4 + plus_minus.exact + more)
    engine = plain(
        "Engine",
        wheelbase.mm + 40,
        total_wheelbase_mm=wheelbase.mm,
        width_mm=30.0,
        kind="engine",
    )
    table = road(
        as_read(rails),
        kind="turntable",
        plus_minus_mm=plus_minus.mm,
        clear_circle_mm=5000.0,
    )
    assert (ask(engine, place=table).verdict == "fits") == (more >= 0)


@given(lengths, lengths, ABOUT_EQUAL)
def test_a_reversing_section_takes_what_just_reaches_from_the_first_bridging_axle_to_the_last(
    ahead: Tenths, behind: Tenths, more: Fraction
) -> None:
    """Each vehicle bridges 0.7 mm and 10.3 mm behind its front: the span is the length
    of the first, and 9.6 mm.
    """
    axles: dict[str, Any] = {"bridging_axles_mm": (0.7, 10.3), "kind": "wagon"}
    span = ahead.exact + Fraction("10.3") - Fraction("0.7")
    section = road(
        as_read(at_least_nothing(span + more)),
        kind="reversing_section",
        plus_minus_mm=0.0,
    )
    found = ask(
        plain("A", ahead.mm, **axles), plain("B", behind.mm, **axles), place=section
    )
    assert found.verdict == ("fits" if more >= 0 else "does_not_fit")


@given(st.lists(lengths, min_size=1, max_size=8), ABOUT_EQUAL)
def test_carriages_stand_along_a_face_that_is_just_as_long(
    some: list[Tenths], more: Fraction
) -> None:
    face = exactly(some) + more
    coaches = [
        plain(f"C{number}", one.mm, kind="coach") for number, one in enumerate(some)
    ]
    platform = road(
        5000.0, kind="platform", face_length_mm=as_read(face), plus_minus_mm=0.0
    )
    assert ask(*coaches, place=platform).verdict == (
        "fits" if more >= 0 else "does_not_fit"
    )


# --- heights, radii, spacing, rises, wishes


@given(tenths(30, 80), st.integers(-2, 2))
def test_a_vehicle_passes_under_what_is_just_as_high(height: Tenths, more: int) -> None:
    place = road(1000.0, headroom_mm=Tenths(height.number + more).mm)
    assert ask(plain("It", 100.0, height_mm=height.mm), place=place).verdict == (
        "fits" if more >= 0 else "does_not_fit"
    )


@given(tenths(300, 900), st.integers(1, 99), st.integers(-2, 2))
def test_a_radius_less_its_plus_minus_is_as_great_as_the_one_that_is_stated(
    stated: Tenths, plus_minus: int, more: int
) -> None:
    stock = Standing(
        name="It",
        minimum_radius_mm=stated.mm,
        length_mm=100.0,
        length_over="buffers",
        kind="wagon",
    )
    radius_mm = Tenths(stated.number + plus_minus + more).mm - Tenths(plus_minus).mm
    assert (on_curve(stock, radius_mm=radius_mm).verdict == "runs") == (more >= 0)


@given(tenths(20, 40), tenths(0, 5), tenths(0, 3), st.integers(-2, 2))
def test_tracks_keep_a_margin_that_is_just_what_is_left_between_the_bodies(
    width: Tenths, margin: Tenths, plus_minus: Tenths, more: int
) -> None:
    """On straight track the gap is spacing less width, and both widths' ± count
    half.
    """
    wide = Standing(
        name="It", length_mm=100.0, length_over="buffers", width_mm=width.mm, width_plus_minus_mm=plus_minus.mm,
        rigid_wheelbase_mm=50.0,
    )  # fmt: skip
    spacing = Tenths(width.number + margin.number + plus_minus.number + more)
    case = passing.PassingCase(
        vehicles=(wide,),
        inner_radius_mm=None,
        spacing_mm=spacing.mm,
        margin_mm=margin.mm,
    )
    assert (passing.reckon(case).verdict == "clear") == (more >= 0)


@example(Tenths(11), Tenths(22), 0)
@given(tenths(1, 900), tenths(1, 900), st.integers(-2, 2))
def test_vertical_curves_that_just_fill_the_run_have_room_in_it(
    foot: Tenths, top: Tenths, more: int
) -> None:
    body = {
        "rise_mm": 0.1,
        "run_mm": Tenths(foot.number + top.number + more).mm,
        "vertical_curve_mm": foot.mm,
        "top_vertical_curve_mm": top.mm,
    }
    climb = Climb(
        rise_mm=0.1, run_mm=body["run_mm"], foot_curve_mm=foot.mm, top_curve_mm=top.mm
    )
    assert (list(climb.rules()) == []) == (more >= 0)
    if more >= 0:
        gradient.reckon(convert(body, gradient.GradientRequest))
    else:
        with pytest.raises(Faulty):
            convert(body, gradient.GradientRequest)


@given(lengths, tenths(0, 30), ABOUT_EQUAL)
def test_a_wish_suits_the_road_that_it_just_fills(
    length: Tenths, margin: Tenths, more: Fraction
) -> None:
    usable = at_least_nothing(length.exact + margin.exact + more)
    place = NamedPlace(
        place=road(as_read(usable), stopping_margin_mm=margin.mm, plus_minus_mm=0.0)
    )
    case = wish_list.WishListCase(
        vehicles=(plain("It", length.mm, kind="wagon"),), places=(place,)
    )
    assert wish_list.reckon(case).verdict == ("suits" if more >= 0 else "does_not_suit")


# --- a yard


@given(
    st.lists(lengths, min_size=2, max_size=3),
    tenths(50, 200),
    st.integers(-1, 1),
    st.integers(-1, 1),
)
def test_wagons_go_into_sidings_and_the_headshunt_that_they_just_fill(
    some: list[Tenths], engine: Tenths, siding_more: int, headshunt_more: int
) -> None:
    """All wagons go from one siding to the other in two visits, where the headshunt
    takes them all at once.
    """
    whole = exactly(some)
    names = [f"W{number}" for number in range(len(some))]
    body = {
        "engine_length_mm": engine.mm,
        "yard": {
            "headshunt_usable_length_mm": as_read(
                whole + engine.exact + headshunt_more * TENTH
            ),
            "sidings": [
                {"name": "From", "usable_length_mm": 2000},
                {
                    "name": "To",
                    "usable_length_mm": as_read(whole + siding_more * TENTH),
                },
            ],
        },
        "wagons": [
            {"name": name, "length_mm": one.mm}
            for name, one in zip(names, some, strict=True)
        ],
        "start": {"sidings": [names, []]},
        "goal": {"siding": "To", "train": names},
    }
    request = convert(body, shunting_plan.ShuntingPlanRequest)
    found = shunting_plan.reckon(shunting_plan.gather(Sources(None, ""), request))
    assert (found.visits == 2) == (siding_more >= 0 and headshunt_more >= 0)
    if siding_more < 0:
        assert found.verdict == "impossible"
        assert found.because[0].amount_mm == 0.1


@given(
    st.lists(lengths, min_size=2, max_size=3, unique_by=lambda one: one.number),
    st.integers(-1, 0),
)
def test_an_uncoupling_place_serves_where_what_is_left_just_reaches_it(
    some: list[Tenths], more: int
) -> None:
    """One wagon is taken off a siding, those left just clear of an uncoupling place; a
    hand cuts it off the engine.
    """
    taken, *left = some
    siding = exactly(some) + 100
    place = siding - exactly(left) - more * TENTH
    names = [f"W{number}" for number in range(len(some))]
    body = {
        "engine_length_mm": 100,
        "yard": {
            "headshunt_usable_length_mm": 1000,
            "sidings": [
                {
                    "name": "From",
                    "usable_length_mm": as_read(siding),
                    "uncoupling_places_mm": [as_read(place)],
                },
                {"name": "To", "usable_length_mm": taken.mm},
            ],
        },
        "wagons": [
            {"name": name, "length_mm": one.mm}
            for name, one in zip(names, some, strict=True)
        ],
        "start": {"sidings": [names, []]},
        "goal": {"siding": "To", "train": names[:1]},
    }
    request = convert(body, shunting_plan.ShuntingPlanRequest)
    found = shunting_plan.reckon(shunting_plan.gather(Sources(None, ""), request))
    assert (found.visits, found.cuts_by_hand) == (2, 1 if more == 0 else 2)
