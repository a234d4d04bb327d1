"""Trains strung together of vehicles and rakes."""

from standage.railway.stock.coupled import Rake, WholeLength, strung
from standage.railway.stock.trains import MeasuredRake
from standage.railway.stock.vehicles import Standing


def vehicle(name: str, *, reversed_: bool = False, count: int = 1) -> Standing:
    return Standing(name=name, length_mm=100.0, reversed=reversed_, count=count)


ENGINE = vehicle("Engine")
SET = Rake(
    vehicles=(
        vehicle("Brake"),
        vehicle("Coach", count=2),
        vehicle("Buffet", reversed_=True),
    ),
    whole=WholeLength(
        length_mm=412.0, length_over="couplings", length_plus_minus_mm=2.0
    ),
)


def whole(first: int, last: int) -> MeasuredRake:
    return MeasuredRake(
        first=first,
        last=last,
        length_mm=412.0,
        length_over="couplings",
        length_plus_minus_mm=2.0,
    )


def test_a_turned_rake_runs_backwards_and_every_vehicle_faces_the_other_way() -> None:
    stands = [(one.name, one.reversed, one.count) for one in SET.turned().vehicles]
    assert stands == [("Buffet", False, 1), ("Coach", True, 2), ("Brake", True, 1)]


def test_a_turned_rake_is_as_long_as_it_was_measured() -> None:
    assert SET.turned().whole == SET.whole


def test_a_rake_stands_in_a_train_as_its_vehicles() -> None:
    train = strung([ENGINE, SET, vehicle("Van")])
    assert [one.name for one in train.vehicles] == [
        "Engine",
        "Brake",
        "Coach",
        "Buffet",
        "Van",
    ]


def test_a_rake_brings_its_measured_length_to_the_places_of_its_vehicles() -> None:
    assert strung([ENGINE, SET, SET.turned()]).measured_rakes == (
        whole(2, 4),
        whole(5, 7),
    )


def test_a_rake_that_was_not_measured_brings_none() -> None:
    assert strung([Rake(vehicles=SET.vehicles)]).measured_rakes == ()


def test_the_trains_own_measured_stretches_count_its_entries() -> None:
    plain = Rake(vehicles=SET.vehicles)
    measured = (MeasuredRake(first=2, last=3, length_mm=600.0, length_over="buffers"),)
    (moved,) = strung(
        [ENGINE, plain, vehicle("Van"), ENGINE], measured_rakes=measured
    ).measured_rakes
    assert (moved.first, moved.last, moved.length_mm) == (2, 5, 600.0)


def test_what_was_measured_of_the_train_overrules_what_was_measured_of_a_rake_in_it() -> (
    None
):
    measured = (MeasuredRake(first=1, last=2, length_mm=550.0, length_over="buffers"),)
    train = strung([ENGINE, SET, SET], measured_rakes=measured)
    assert [(one.first, one.last, one.length_mm) for one in train.measured_rakes] == [
        (1, 4, 550.0),
        (5, 7, 412.0),
    ]


def test_measured_stretches_stand_in_order_whatever_the_order_they_came_in() -> None:
    measured = (MeasuredRake(first=3, last=3, length_mm=99.0, length_over="buffers"),)
    assert [
        one.first
        for one in strung([SET, ENGINE, ENGINE], measured_rakes=measured).measured_rakes
    ] == [1, 5]
