"""Vehicles stand before each other and never inside, however far their couplings reach;
all questions agree on that.

What is expected comes of laying the vehicles along a ruler as boxes, in exact
fractions, each where its couplings meet those of the one before it.
"""

from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from standage.questions import (
    capacity,
    curve,
    fill,
    longest_train,
    parts,
    road_allocation,
)
from standage.questions.asked import AskedVehicle
from standage.questions.resolving.trains import NamedTrain, NamedVehicle
from standage.questions.sources import NamedPlace
from standage.railway.roads.allowances import GIVEN
from standage.railway.standing.crosswise import Crosswise
from standage.railway.stock.couplings import Coupling, CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.reasons import Reason
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.stock import ask, road, vehicle
from support.tenths import Measured, Tenths, as_read, tenths

INSIDE = "figures_disagree"

any_reach = st.builds(
    Measured,
    length=tenths(20, 300),
    plus_minus=st.just(Tenths(0)),
    reaches=st.tuples(
        tenths(-200, 200) | tenths(-5, 5), tenths(-200, 200) | tenths(-5, 5)
    ),
    projections=st.tuples(tenths(0, 9), tenths(0, 9)),
)


def boxes(some: list[Measured]) -> list[tuple[Fraction, Fraction]]:
    """Return where each vehicle's body begins and ends, one behind the other."""
    placed: list[tuple[Fraction, Fraction]] = []
    for number, one in enumerate(some):
        begins = Fraction(0)
        if placed:
            meeting = placed[-1][1] + some[number - 1].reaches[1].exact
            begins = meeting + one.reaches[0].exact
        placed.append((begins, begins + one.length.exact))
    return placed


def inside_each_other(some: list[Measured]) -> bool:
    return any(
        following[0] < leading[1] for leading, following in pairwise(boxes(some))
    )


def swallowed(one: Measured) -> bool:
    behind = sum((max(Fraction(0), -reach.exact) for reach in one.reaches), Fraction(0))
    return behind > 0 and behind >= one.length.exact


def train_of(some: list[Measured]) -> Train:
    return Train(
        vehicles=tuple(
            one.standing(f"V{number}", kind="wagon") for number, one in enumerate(some)
        )
    )


def told(reasons: Any) -> list[Reason]:
    return [one for one in reasons if one.code == INSIDE]


@given(st.lists(any_reach, min_size=2, max_size=5), tenths(0, 2000))
def test_vehicles_inside_each_other_are_never_a_yes_and_told_by_one_code_in_every_question(
    some: list[Measured], usable: Tenths
) -> None:
    train, place = train_of(some), road(usable.mm, stopping_margin_mm=0.0)
    inside = inside_each_other(some)
    answer = ask(*train.vehicles, place=place)
    crosswise = Crosswise([train], [place], known_by=[GIVEN], types=CouplingTypes())
    apart = parts.reckon(parts.PartsCase(train=train, place=place))
    named = (NamedTrain(name="It", train=train),)
    roads = (NamedPlace(place=place),)
    stored = road_allocation.reckon(
        road_allocation.RoadAllocationCase(trains=named, roads=roads)
    )
    filled = fill.reckon(fill.FillCase(roads=roads, trains=named, road_of=(0,)))
    if inside:
        assert answer.verdict in {"cannot_tell", "does_not_fit"}
        assert (answer.train_length_mm, crosswise.verdict(0, 0)) == (
            None,
            answer.verdict,
        )
        assert apart.verdict != "whole"
        assert stored.verdict != "all_stand"
        assert filled.verdict in {"cannot_tell", "over_full"}
        assert told(filled.because)
        if answer.verdict == "cannot_tell":
            assert told(answer.because)
            assert told(crosswise.pair(0, 0).because)
            assert told(stored.left_over[0].because)
    else:
        assert not told((*answer.because, *filled.because))
        ends = (
            boxes(some)[-1][1]
            + some[0].projections[0].exact
            + some[-1].projections[1].exact
        )
        assert answer.train_length_mm == as_read(ends)
        assert answer.verdict == ("fits" if ends <= usable.exact else "does_not_fit")


@given(any_reach, tenths(0, 2000))
def test_a_row_of_vehicles_inside_each_other_is_not_counted(
    one: Measured, usable: Tenths
) -> None:
    held = capacity.reckon(
        capacity.CapacityCase(usable_length_mm=usable.mm, vehicle=one.standing("Wagon"))
    )
    assert bool(told(held.because)) == inside_each_other([one, one])
    assert (held.verdict == "cannot_tell") == inside_each_other([one, one])


@given(st.lists(any_reach, min_size=1, max_size=4), tenths(0, 1500), st.integers(0, 1))
def test_the_longest_train_has_no_vehicles_inside_each_other(
    pool: list[Measured], usable: Tenths, ahead: int
) -> None:
    assume(not any(map(swallowed, pool)))
    named = [
        NamedVehicle(vehicle=one.standing(f"V{number}"))
        for number, one in enumerate(pool)
    ]
    case = longest_train.LongestTrainCase(
        engines=tuple(named[:ahead]),
        pool=tuple(named[ahead:]),
        place=road(usable.mm, stopping_margin_mm=0.0),
    )
    found = longest_train.reckon(case)
    order = [pool[int(one.name.removeprefix("V"))] for one in found.vehicles]
    assert not inside_each_other(order)
    followers = [(one, two) for one in pool for two in pool[ahead:]]
    if found.verdict == "holds" and any(
        inside_each_other([one, two]) for one, two in followers
    ):
        assert told(found.because)


@given(any_reach)
def test_a_vehicle_of_which_its_reaches_leave_nothing_is_refused_at_the_reach_that_lies_farther_back(
    one: Measured,
) -> None:
    body = {
        "name": "It",
        "length_mm": one.length.mm,
        "length_over": "buffers",
        "front_coupling": {"reach_mm": one.reaches[0].mm},
        "rear_coupling": {"reach_mm": one.reaches[1].mm},
    }
    if not swallowed(one):
        convert(body, AskedVehicle)
        return
    with pytest.raises(Faulty) as refused:
        convert(body, AskedVehicle)
    at = "front" if one.reaches[0].exact <= one.reaches[1].exact else "rear"
    assert [(fault.pointer, fault.code) for fault in refused.value.faults] == [
        (f"/{at}_coupling/reach_mm", "longer_than_vehicle")
    ]


def behind(reach_mm: float) -> Standing:
    return vehicle(
        "Wagon",
        100.0,
        front_coupling=Coupling(reach_mm=reach_mm),
        rear_coupling=Coupling(reach_mm=reach_mm),
    )


@pytest.mark.parametrize("reach_mm", [-60.0, -100.0, -150.0])
def test_wagons_of_100_mm_that_meet_so_far_behind_their_faces_are_told_to_be_measured_again(
    reach_mm: float,
) -> None:
    """Reach -60 at both ends: the next wagon would begin 120 mm before this one
    ends.
    """
    answer = ask(behind(reach_mm), behind(reach_mm), place=road(1000.0))
    assert answer.verdict == "cannot_tell"
    reason = answer.because[0]
    assert (reason.code, reason.amount_mm, reason.field) == (
        INSIDE,
        -2 * reach_mm,
        "front_coupling.reach_mm",
    )
    assert answer.at_least_mm == 200.0


def test_coupled_on_a_curve_such_wagons_are_told_as_well() -> None:
    figures: dict[str, Any] = {
        "bogie_centres_mm": 60.0,
        "bogie_wheelbase_mm": 20.0,
        "width_mm": 30.0,
    }
    wagons = [
        vehicle(
            "A",
            100.0,
            front_coupling=Coupling(reach_mm=-2.0),
            rear_coupling=Coupling(reach_mm=-2.0),
            **figures,
        ),
        vehicle(
            "B",
            100.0,
            front_coupling=Coupling(reach_mm=-2.0),
            rear_coupling=Coupling(reach_mm=-2.0),
            **figures,
        ),
    ]
    case = curve.CurveCase(
        vehicles=tuple(wagons), curve=curve.AskedCurve(radius_mm=600.0, reverse=True)
    )
    answer = curve.reckon(case)
    assert answer.verdict != "runs"
    assert [
        one.code
        for joint in answer.couplings
        for one in joint.because
        if one.code == INSIDE
    ] == [INSIDE]
