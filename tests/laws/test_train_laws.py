"""What holds for any train in any place, however little is known of either."""

import msgspec
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec import structs

from standage.questions.train_fit_answer import TrainFitAnswer
from standage.railway.roads.allowances import GIVEN, SURVEYED, Provenance
from standage.railway.roads.places import Place
from standage.railway.standing.dropping import fewest_by_length
from standage.railway.stock.coupled import coupled
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from standage.railway.terms.figures import tidy
from support.stock import ask, road
from support.trains import (
    any_places,
    any_vehicles,
    best_left_off,
    laid_along_a_ruler,
    quarters,
    trains,
    turned,
)

BETTER = ("does_not_fit", "tight", "fits")
SURE = {"fits", "tight"}


def answer(
    train: Train, place: Place, *, known_by: Provenance = GIVEN
) -> TrainFitAnswer:
    return ask(
        *train.vehicles, place=place, rakes=train.measured_rakes, known_by=known_by
    )


@given(trains())
def test_the_length_pulled_out_is_what_a_ruler_reads(train: Train) -> None:
    extent = coupled(train, types=CouplingTypes()).pulled_out()
    length_mm, plus_minus_mm = laid_along_a_ruler(train)
    assert extent.length_mm == length_mm
    assert extent.plus_minus_mm == plus_minus_mm


@given(
    train=trains(any_vehicles),
    place=any_places,
    known_by=st.sampled_from([GIVEN, SURVEYED]),
)
def test_a_train_seen_from_its_tail_is_the_same_train(
    train: Train, place: Place, *, known_by: Provenance
) -> None:
    ahead, astern = (
        answer(train, place, known_by=known_by),
        answer(turned(train), place, known_by=known_by),
    )
    for field in (
        "verdict",
        "train_length_mm",
        "buffered_up_mm",
        "at_least_mm",
        "counted_length_mm",
        "spare_mm",
        "plus_minus_mm",
        "face_spare_mm",
    ):
        assert getattr(ahead, field) == getattr(astern, field), field
    assert {
        (one.code, one.vehicle, one.field)
        for one in ahead.because
        if one.other_vehicle is None
    } == {
        (one.code, one.vehicle, one.field)
        for one in astern.because
        if one.other_vehicle is None
    }


@given(trains(any_vehicles))
def test_pulled_out_is_never_shorter_than_buffered_up(train: Train) -> None:
    made_up = coupled(train, types=CouplingTypes())
    buffered_up_mm, pulled_out_mm = (
        made_up.buffered_up_mm(),
        made_up.pulled_out().length_mm,
    )
    assert (buffered_up_mm is None) == (pulled_out_mm is None)
    assert (
        pulled_out_mm is None
        or buffered_up_mm is None
        or buffered_up_mm <= pulled_out_mm
    )


@given(trains(any_vehicles))
def test_like_vehicles_in_one_entry_are_the_same_as_each_in_its_own(
    train: Train,
) -> None:
    assume(not train.measured_rakes)
    singly = [
        structs.replace(each, count=1)
        for each in train.vehicles
        for _ in range(each.count)
    ]
    together, apart = answer(train, road(900.0)), ask(*singly, place=road(900.0))
    assert structs.replace(together, assumed=()) == structs.replace(apart, assumed=())


@given(
    trains(), st.integers(0, 5), quarters(0.25, 100), quarters(0, 2000), quarters(0, 3)
)
def test_a_longer_vehicle_never_fits_better(
    train: Train, which: int, longer_mm: float, usable_mm: float, plus_minus_mm: float
) -> None:
    entry = which % len(train.vehicles)
    length_mm = train.vehicles[entry].length_mm or 0.0
    vehicles = list(train.vehicles)
    vehicles[entry] = structs.replace(vehicles[entry], length_mm=length_mm + longer_mm)
    place = road(usable_mm, plus_minus_mm=plus_minus_mm)
    before, after = (
        answer(train, place),
        answer(structs.replace(train, vehicles=tuple(vehicles)), place),
    )
    assert BETTER.index(after.verdict) <= BETTER.index(before.verdict)


@given(trains(any_vehicles), any_places, quarters(0.25, 500))
def test_a_longer_place_never_holds_a_train_worse(
    train: Train, place: Place, longer_mm: float
) -> None:
    assume(place.usable_length_mm is not None)
    longer = structs.replace(
        place, usable_length_mm=(place.usable_length_mm or 0.0) + longer_mm
    )
    order = ("does_not_fit", "cannot_tell", "tight", "fits")
    assert order.index(answer(train, longer).verdict) >= order.index(
        answer(train, place).verdict
    )


@given(trains(), quarters(0, 2000), quarters(0, 5), quarters(0, 40))
def test_the_spare_and_its_plus_minus_decide_alone_where_all_is_known(
    train: Train, usable_mm: float, plus_minus_mm: float, margin_mm: float
) -> None:
    vehicles = tuple(
        structs.replace(
            each,
            front_coupling=(
                structs.replace(each.front_coupling, type=None)
                if each.front_coupling
                else None
            ),
            rear_coupling=(
                structs.replace(each.rear_coupling, type=None)
                if each.rear_coupling
                else None
            ),
        )
        for each in train.vehicles
    )
    train = structs.replace(train, vehicles=vehicles)
    found = answer(
        train,
        road(usable_mm, plus_minus_mm=plus_minus_mm, stopping_margin_mm=margin_mm),
    )
    length_mm, off_mm = laid_along_a_ruler(train)
    spare_mm, off_mm = usable_mm - margin_mm - length_mm, off_mm + plus_minus_mm
    assert (found.spare_mm, found.plus_minus_mm) == (spare_mm, off_mm)
    expected = (
        "fits"
        if spare_mm >= off_mm
        else "does_not_fit"
        if spare_mm < -off_mm
        else "tight"
    )
    assert found.verdict == expected


def without_a_figure(vehicle: Standing, which: int) -> Standing:
    """Return ``vehicle`` with one figure less that nothing stands in for."""
    lost: list[dict[str, object]] = [
        {"length_mm": None, "full_size_length_m": None},
        {"height_mm": None},
        {"front_coupling": None},
        {"rear_coupling": None},
        {"bridging_axles_mm": None},
    ]
    return structs.replace(vehicle, **lost[which])


@given(trains(any_vehicles), any_places, st.integers(0, 5), st.integers(0, 4))
def test_a_figure_that_is_lost_makes_no_train_fit(
    train: Train, place: Place, which: int, figure: int
) -> None:
    """Scales are left out, since they bring typical figures in the place of a
    lost one.
    """
    place = structs.replace(place, scale=None)
    known = tuple(
        structs.replace(each, scale=None, full_size_length_m=None)
        for each in train.vehicles
    )
    entry = which % len(known)
    lost = (*known[:entry], without_a_figure(known[entry], figure), *known[entry + 1 :])
    before = answer(structs.replace(train, vehicles=known), place)
    after = answer(structs.replace(train, vehicles=lost), place)
    assert after.verdict not in SURE or before.verdict in SURE
    assert after.verdict != "fits" or before.verdict == "fits"


@given(
    train=trains(any_vehicles),
    place=any_places,
    known_by=st.sampled_from([GIVEN, SURVEYED]),
)
def test_every_answer_holds_together(
    train: Train, place: Place, *, known_by: Provenance
) -> None:
    found = answer(train, place, known_by=known_by)
    assert found.because
    assert msgspec.json.decode(msgspec.json.encode(found), type=TrainFitAnswer) == found
    assert found.at_least_mm is not None
    assert found.train_length_mm is None or found.at_least_mm <= found.train_length_mm
    assert (found.spare_mm is None) == (found.plus_minus_mm is None)
    if found.verdict in SURE:
        assert found.spare_mm is not None
    if (
        found.spare_mm is not None
        and found.counted_length_mm is not None
        and found.usable_length_mm is not None
    ):
        rails_mm = 4.0 if place.kind == "turntable" else 0.0
        room_mm = found.usable_length_mm - found.stopping_margin_mm - rails_mm
        assert found.spare_mm == tidy(room_mm - found.counted_length_mm)
    if found.verdict == "cannot_tell":
        assert any(reason.field is not None for reason in found.because)
    if found.verdict == "fits":
        assert found.instead.drop == ()


@settings(max_examples=60)
@given(trains(most=3), quarters(0, 1200))
def test_what_is_left_off_is_the_best_of_all_that_could_be(
    train: Train, usable_mm: float
) -> None:
    best = best_left_off(train, road(usable_mm, plus_minus_mm=0.5))
    made_up = coupled(train, types=CouplingTypes())
    found = fewest_by_length(made_up, within_mm=usable_mm - 0.5, unfit=frozenset())
    assert found.proved
    assert (found.places is None) == (best is None)
    if found.places is not None:
        spare_mm = usable_mm - made_up.without(found.places).pulled_out().known_mm
        assert (len(found.places), spare_mm) == best


@settings(max_examples=60)
@given(trains(any_vehicles, most=4), any_places)
def test_what_is_left_off_leaves_a_train_that_fits(train: Train, place: Place) -> None:
    found = answer(train, place)
    best = best_left_off(train, place)
    if found.instead.drop is not None:
        assert best is not None
        assert len(found.instead.drop) == best[0]
    elif found.instead.drop_proved:
        assert best is None
