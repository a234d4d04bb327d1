"""Couplings that nobody has named: judged by the shortest and by the longest that may
be meant.

**Source** common practice: in 00 an end reaches from nothing (guided) to 9.5 mm (large
hook-and-bar, 7.5 ± 2).
"""

from typing import Any

import pytest
from msgspec import structs

from standage.questions import capacity, fill, longest_train, parts, road_allocation
from standage.questions.resolving.trains import NamedTrain, NamedVehicle
from standage.questions.sources import NamedPlace
from standage.railway.roads.places import Place
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from support.stock import ask, codes, road, vehicle


def unnamed(name: str = "Wagon", length_mm: float = 82.0, **figures: Any) -> Standing:
    """Return a wagon in 00 of which nobody says what couplings it has."""
    known: dict[str, Any] = {
        "scale": "00",
        "front_coupling": None,
        "rear_coupling": None,
    }
    return vehicle(name, length_mm, **(known | figures))


def test_one_wagon_in_five_metres_stands_whatever_its_couplings() -> None:
    answer = ask(unnamed(), place=road(5000.0))
    assert answer.verdict == "fits"
    assert answer.at_least_mm == 82.0
    assert answer.train_length_mm == 82.0 + 2 * 4.75
    assert answer.plus_minus_mm == 2 * 4.75
    assert {"typical"} <= {one.source for one in answer.assumed}
    said = " ".join(one.message for one in answer.assumed)
    assert "guided" in said
    assert "large hook-and-bar" in said


@pytest.mark.parametrize(
    ("room_mm", "verdict"),
    [
        (101.0, "fits"),
        (100.9, "cannot_tell"),
        (82.0, "cannot_tell"),
        (81.9, "does_not_fit"),
        (60.0, "does_not_fit"),
    ],
)
def test_the_same_verdict_at_both_ends_is_the_verdict(
    room_mm: float, verdict: str
) -> None:
    assert ask(unnamed(), place=road(room_mm)).verdict == verdict


def test_where_the_coupling_decides_it_is_named_with_what_it_may_reach() -> None:
    answer = ask(unnamed(count=2), place=road(170.0))
    assert answer.verdict == "cannot_tell"
    assert codes(answer) == ["depends_on_couplings", "coupling_not_known"]
    assert "6 mm to spare" in answer.because[0].message
    assert "32 mm too long" in answer.because[0].message
    asked = answer.because[1]
    assert (asked.vehicle, asked.field) == ("Wagon", "front_coupling.type")
    assert "from 0 mm to 9.5 mm" in asked.message


@pytest.mark.parametrize(
    ("room_mm", "verdict"),
    [
        (103.0, "fits"),
        (100.0, "tight"),
        (99.0, "tight"),
        (98.9, "cannot_tell"),
        (84.0, "cannot_tell"),
    ],
)
def test_elsewhere_the_worse_of_both_ends_counts(room_mm: float, verdict: str) -> None:
    """Its own length is ± 2: with the longest couplings it is 101 ± 2, with the
    shortest 82 ± 2.
    """
    assert (
        ask(unnamed(length_plus_minus_mm=2.0), place=road(room_mm)).verdict == verdict
    )


@pytest.mark.parametrize(
    ("room_mm", "verdict"),
    [(83.9, "does_not_fit"), (80.0, "does_not_fit"), (79.9, "does_not_fit")],
)
def test_tight_with_the_shortest_is_a_no_with_the_longest(
    room_mm: float, verdict: str
) -> None:
    assert (
        ask(unnamed(length_plus_minus_mm=2.0), place=road(room_mm)).verdict == verdict
    )


def test_naming_the_coupling_or_measuring_its_reach_settles_it() -> None:
    wagons = unnamed(count=2)
    place = road(188.0)
    assert ask(wagons, place=place).verdict == "cannot_tell"
    for end, verdict in (
        (Coupling(type="small hook-and-bar"), "fits"),
        (Coupling(type="small tension lock"), "fits"),
        (Coupling(type="three-link"), "fits"),
        (Coupling(reach_mm=6.1), "does_not_fit"),
    ):
        named = structs.replace(wagons, front_coupling=end, rear_coupling=end)
        assert ask(named, place=place).verdict == verdict


def test_the_bare_word_is_judged_by_small_and_by_large() -> None:
    bare = Coupling(type="Tension-lock")
    wagon = unnamed(front_coupling=bare, rear_coupling=bare)
    verdicts = {
        mm: ask(wagon, place=road(mm)).verdict for mm in (101.0, 100.9, 89.0, 88.9)
    }
    assert verdicts == {
        101.0: "fits",
        100.9: "cannot_tell",
        89.0: "cannot_tell",
        88.9: "does_not_fit",
    }


def test_a_name_that_nobody_knows_is_no_reason_to_doubt_a_wagon_in_five_metres() -> (
    None
):
    odd = Coupling(type="odd bar")
    answer = ask(unnamed(front_coupling=odd, rear_coupling=odd), place=road(5000.0))
    assert answer.verdict == "fits"
    assert any("odd bar" in one.message for one in answer.assumed)


def test_two_names_for_what_may_be_the_same_are_a_question() -> None:
    pair = (
        vehicle("A", rear_coupling=Coupling(type="peg")),
        vehicle("B", front_coupling=Coupling(type="eye")),
    )
    typed = [structs.replace(one, scale="00") for one in pair]
    answer = ask(*typed, place=road(5000.0))
    assert answer.verdict == "cannot_tell"
    question = answer.because[0]
    assert question.code == "couplings_may_not_mate"
    assert (question.vehicle, question.other_vehicle) == ("A", "B")
    for word in ("peg", "eye", "are these the same?"):
        assert word in question.message


def test_hyphens_and_spaces_make_no_other_coupling() -> None:
    pair = (
        unnamed("A", rear_coupling=Coupling(type="tension-lock")),
        unnamed("B", front_coupling=Coupling(type="Tension Lock")),
    )
    assert ask(*pair, place=road(5000.0)).verdict == "fits"


def held(usable_mm: float, **figures: Any) -> capacity.CapacityAnswer:
    return capacity.reckon(
        capacity.CapacityCase(usable_length_mm=usable_mm, vehicle=unnamed(**figures))
    )


def test_capacity_counts_with_the_longest_and_says_how_many_with_the_shortest() -> None:
    """With the longest 101 and each more 101: 5 in 510; with the shortest 82
    each: 6.
    """
    answer = held(510.0)
    assert (answer.verdict, answer.standing_capacity) == ("holds", 5)
    said = next(
        reason.message
        for reason in answer.because
        if reason.code == "depends_on_couplings"
    )
    assert "5 stand" in said
    assert "6 with the shortest" in said


@pytest.mark.parametrize(
    ("usable_mm", "verdict"),
    [
        (101.0, "holds"),
        (100.0, "cannot_tell"),
        (82.0, "cannot_tell"),
        (81.0, "holds_none"),
    ],
)
def test_capacity_cannot_tell_where_one_stands_only_with_the_shortest(
    usable_mm: float, verdict: str
) -> None:
    assert held(usable_mm).verdict == verdict


def roads(*lengths_mm: float) -> tuple[NamedPlace, ...]:
    places = (
        road(length_mm, name=f"Road {number}")
        for number, length_mm in enumerate(lengths_mm, 1)
    )
    return tuple(NamedPlace(place=place) for place in places)


def trains(*counts: int) -> tuple[NamedTrain, ...]:
    return tuple(
        NamedTrain(
            name=f"Train {number}", train=Train(vehicles=(unnamed(count=count),))
        )
        for number, count in enumerate(counts, 1)
    )


@pytest.mark.parametrize(
    ("usable_mm", "verdict"),
    [
        (404.0, "all_stand"),
        (403.0, "cannot_tell"),
        (328.0, "cannot_tell"),
        (327.0, "some_left_over"),
    ],
)
def test_two_trains_in_one_road_are_allotted_by_both_ends(
    usable_mm: float, verdict: str
) -> None:
    """Two of two: with the longest 2 × 202, with the shortest 2 × 164, no gap
    between.
    """
    case = road_allocation.RoadAllocationCase(
        trains=trains(2, 2), roads=roads(usable_mm), gap_mm=0.0
    )
    answer = road_allocation.reckon(case)
    assert answer.verdict == verdict
    named = any(reason.code == "coupling_not_known" for reason in answer.because)
    assert named is (verdict == "cannot_tell")


@pytest.mark.parametrize(
    ("usable_mm", "verdict"),
    [
        (2000.0, "works"),
        (400.0, "crowded"),
        (240.0, "full"),
        (202.0, "full"),
        (201.0, "cannot_tell"),
        (163.0, "over_full"),
    ],
)
def test_a_road_is_full_by_both_ends(usable_mm: float, verdict: str) -> None:
    """One train of two: 202 with the longest, 164 with the shortest."""
    case = fill.FillCase(trains=trains(2), roads=roads(usable_mm), road_of=(0,))
    answer = fill.reckon(case)
    assert answer.verdict == verdict
    named = any(reason.code == "coupling_not_known" for reason in answer.because)
    assert named is (verdict == "cannot_tell")


@pytest.mark.parametrize(
    ("usable_mm", "verdict", "vehicles"),
    [
        (303.0, "holds", 3),
        (302.0, "holds", 2),
        (101.0, "holds", 1),
        (100.0, "cannot_tell", 0),
        (81.0, "holds_none", 0),
    ],
)
def test_the_longest_train_stands_with_the_longest_couplings(
    usable_mm: float, verdict: str, vehicles: int
) -> None:
    case = longest_train.LongestTrainCase(
        engines=(),
        pool=(NamedVehicle(vehicle=unnamed(count=5)),),
        place=road(usable_mm),
    )
    answer = longest_train.reckon(case)
    assert answer.verdict == verdict
    assert sum(one.count for one in answer.vehicles) == vehicles
    assert any(reason.code == "coupling_not_known" for reason in answer.because) is (
        verdict == "cannot_tell"
    )


@pytest.mark.parametrize(
    ("usable_mm", "verdict"),
    [(101.0, "in_parts"), (100.0, "cannot_tell"), (81.0, "not_at_all")],
)
def test_on_a_traverser_one_vehicle_is_judged_by_both_ends(
    usable_mm: float, verdict: str
) -> None:
    place = Place(
        kind="traverser",
        name="Traverser",
        usable_length_mm=usable_mm,
        plus_minus_mm=0.0,
    )
    case = parts.PartsCase(
        train=Train(vehicles=(unnamed(count=3),)), place=place, stopping_margin_mm=0.0
    )
    answer = parts.reckon(case)
    assert answer.verdict == verdict


def test_fewer_parts_are_ruled_out_for_certain_only_by_the_longest_couplings() -> None:
    train = Train(vehicles=(unnamed(count=10),))
    place = Place(
        kind="traverser", name="Traverser", usable_length_mm=450.0, plus_minus_mm=0.0
    )
    answer = parts.reckon(
        parts.PartsCase(train=train, place=place, stopping_margin_mm=0.0)
    )
    # Four wagons at 82 mm with 9.5 mm at each of their ends come to 404 mm, five to
    # 505; without any, five to 410.
    assert len(answer.parts) == 3
    guided = Coupling(reach_mm=0.0, projection_mm=0.0)
    shortest = Train(
        vehicles=(unnamed(count=10, front_coupling=guided, rear_coupling=guided),)
    )
    other = parts.reckon(
        parts.PartsCase(train=shortest, place=place, stopping_margin_mm=0.0)
    )
    assert len(other.parts) == 2
    assert "in 3 parts, in no fewer for certain" in answer.because[0].message
