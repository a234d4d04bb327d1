"""What to leave off a train that does not fit."""

from typing import Any

import pytest
from msgspec import structs

from standage.railway.standing.dropping import fewest_by_length, fewest_by_trial
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.trains import MeasuredRake
from standage.railway.stock.vehicles import Standing
from support.stock import ask, made_up, plain, road, vehicle

ENGINE = plain("Engine", 200.0, kind="engine")
VAN = plain("Brake van", 90.0, kind="brake_van")


def wagons(*lengths_mm: float) -> list[Standing]:
    return [
        plain(f"W{length_mm:g}", length_mm, kind="wagon") for length_mm in lengths_mm
    ]


def dropped(
    *vehicles: Standing, usable_mm: float, **more: Any
) -> tuple[str, ...] | None:
    answer = ask(*vehicles, place=road(usable_mm), **more)
    assert answer.instead.drop_proved
    return answer.instead.drop


def test_a_train_that_fits_loses_nothing() -> None:
    assert dropped(ENGINE, *wagons(100, 80), VAN, usable_mm=470.0) == ()


def test_the_fewest_vehicles_go_and_of_as_few_those_that_leave_the_least_room() -> None:
    train = (ENGINE, *wagons(100, 80, 120, 60), VAN)
    assert dropped(*train, usable_mm=649.0) == ("W60",)
    assert dropped(*train, usable_mm=580.0) == ("W80",)
    assert dropped(*train, usable_mm=560.0) == ("W100",)
    assert dropped(*train, usable_mm=500.0) == ("W100", "W60")


def test_engine_and_brake_van_stay_even_where_one_of_them_would_do() -> None:
    assert dropped(ENGINE, *wagons(50, 50, 50), VAN, usable_mm=300.0) == (
        "W50",
        "W50",
        "W50",
    )
    assert dropped(ENGINE, *wagons(50), VAN, usable_mm=289.0) is None


def test_a_train_never_shrinks_to_nothing() -> None:
    assert dropped(*wagons(100), usable_mm=50.0) is None
    assert dropped(*wagons(100, 40), usable_mm=50.0) == ("W100",)


def test_like_vehicles_go_one_by_one_from_the_tail() -> None:
    train = made_up(ENGINE, plain("Wagon", 100.0, kind="wagon", count=6))
    found = fewest_by_length(train, within_mm=610.0, unfit=frozenset())
    assert found.places == frozenset({5, 6})


def test_the_plus_minus_must_be_covered_by_what_is_left() -> None:
    train = plain("Wagon", 100.0, length_plus_minus_mm=1.0, kind="wagon", count=5)
    assert dropped(train, usable_mm=404.0) == ("Wagon",)
    assert dropped(train, usable_mm=403.9) == ("Wagon", "Wagon")


def test_a_vehicle_that_does_not_suit_the_road_goes_though_the_train_is_short_enough() -> (
    None
):
    tall = plain("Tall", 100.0, kind="wagon", height_mm=70.0)
    low = plain("Low", 100.0, kind="wagon", height_mm=50.0)
    answer = ask(low, tall, low, place=road(1000.0, headroom_mm=60.0))
    assert answer.instead.drop == ("Tall",)


def test_nothing_helps_where_the_engine_itself_does_not_suit_the_road() -> None:
    high = plain("High", 200.0, kind="engine", height_mm=70.0)
    answer = ask(high, *wagons(50), place=road(1000.0, headroom_mm=60.0))
    assert (answer.instead.drop, answer.instead.drop_proved) == (None, True)


def test_the_plus_minus_of_joints_and_free_ends_must_be_covered_too() -> None:
    rough = Coupling(reach_mm=2.0, reach_plus_minus_mm=0.5, projection_mm=0.0)
    joined = vehicle(
        "Wagon", 100.0, kind="wagon", front_coupling=rough, rear_coupling=rough, count=3
    )
    assert dropped(joined, usable_mm=205.0) == ("Wagon",)
    assert dropped(joined, usable_mm=204.9) == ("Wagon", "Wagon")
    free = Coupling(reach_mm=2.0, reach_plus_minus_mm=0.5)
    lone = (
        vehicle(
            "Wagon",
            100.0,
            kind="wagon",
            front_coupling=free,
            rear_coupling=free,
            count=2,
        ),
    )
    assert dropped(*lone, usable_mm=105.0) == ("Wagon",)
    assert dropped(*lone, usable_mm=104.9) is None


def test_a_measured_rake_with_a_vehicle_that_does_not_suit_the_road_is_broken_up() -> (
    None
):
    rake = MeasuredRake(
        first=1,
        last=2,
        length_mm=190.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    low, tall = (
        plain(name, 100.0, kind="wagon", height_mm=high)
        for name, high in (("Low", 50.0), ("Tall", 70.0))
    )
    answer = ask(low, tall, low, place=road(1000.0, headroom_mm=60.0), rakes=(rake,))
    assert answer.instead.drop == ("Tall",)


def test_a_measured_rake_whose_vehicles_do_not_take_hold_of_each_other_is_broken_up() -> (
    None
):
    hook, screw = (Coupling(reach_mm=0.0, type=name) for name in ("hook", "screw"))
    rake = MeasuredRake(
        first=1,
        last=2,
        length_mm=200.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = (
        vehicle("A", 100.0, rear_coupling=hook),
        vehicle("B", 90.0, front_coupling=screw, rear_coupling=hook),
    )
    answer = ask(*train, place=road(1000.0), rakes=(rake,))
    assert answer.instead.drop == ("B",)


def test_what_does_not_suit_the_road_is_found_behind_like_vehicles_that_do() -> None:
    low, tall = (
        plain(name, 100.0, kind="wagon", height_mm=high)
        for name, high in (("Low", 50.0), ("Tall", 70.0))
    )
    answer = ask(
        structs.replace(low, count=3), tall, low, place=road(1000.0, headroom_mm=60.0)
    )
    assert answer.instead.drop == ("Tall",)


def test_a_joint_of_unknown_reach_must_go_with_the_vehicle_that_brings_it() -> None:
    unknown = vehicle(
        "Unknown", 10.0, kind="wagon", front_coupling=Coupling(projection_mm=0.0)
    )
    train = made_up(vehicle("A", 100.0, kind="engine"), unknown)
    assert fewest_by_length(
        train, within_mm=500.0, unfit=frozenset()
    ).places == frozenset({1})


def test_a_lone_vehicle_on_a_turntable_is_never_left_off() -> None:
    wagon = plain("Wagon", 100.0, kind="wagon")
    answer = ask(wagon, place=road(40.0, kind="turntable"))
    assert (answer.instead.drop, answer.instead.drop_proved) == (None, True)


def test_by_trial_like_vehicles_go_from_the_tail_too() -> None:
    train = made_up(*wagons(10, 10, 10))
    found = fewest_by_trial(
        train,
        spare_mm=lambda rest: 5.0 if len(rest.members) < 3 else None,
        unfit=frozenset(),
    )
    assert found.places == frozenset({2})


def test_a_vehicle_of_unknown_length_is_never_among_those_that_stay() -> None:
    train = made_up(ENGINE, plain("Unknown", None, kind="wagon"), *wagons(100))
    assert fewest_by_length(
        train, within_mm=400.0, unfit=frozenset()
    ).places == frozenset({1})


def test_the_rest_must_take_hold_of_each_other() -> None:
    hook, screw = (
        Coupling(reach_mm=0.0, projection_mm=0.0, type=name)
        for name in ("hook", "screw")
    )
    ends: dict[str, Any] = {
        "front_coupling": hook,
        "rear_coupling": hook,
        "kind": "wagon",
    }
    train = (
        vehicle("Hooked", 110.0, **ends),
        vehicle("Match wagon", 60.0, **(ends | {"rear_coupling": screw})),
        vehicle(
            "Screwed",
            100.0,
            **(ends | {"front_coupling": screw, "rear_coupling": screw}),
        ),
    )
    assert dropped(*train, usable_mm=210.0) == ("Screwed",)
    engine = vehicle("Engine", 100.0, **(ends | {"kind": "engine"}))
    assert dropped(engine, *train[1:], usable_mm=200.0) == ("Screwed",)


def test_a_rake_measured_whole_counts_as_such_only_while_it_is_whole() -> None:
    rake = MeasuredRake(
        first=2,
        last=3,
        length_mm=150.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = (
        plain("A", 101.0, kind="wagon"),
        plain("B", 100.0, kind="wagon"),
        plain("C", 90.0, kind="wagon"),
    )
    assert dropped(*train, usable_mm=250.0, rakes=(rake,)) == ("C",)
    assert dropped(*train, usable_mm=189.0, rakes=(rake,)) == ("A",)
    assert dropped(*train, usable_mm=149.0, rakes=(rake,)) == ("B", "C")


def test_a_whole_rake_is_not_counted_by_its_parts_where_those_are_shorter() -> None:
    rake = MeasuredRake(
        first=1,
        last=2,
        length_mm=250.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = (
        plain("A", 100.0, kind="wagon"),
        plain("B", 100.0, kind="wagon"),
        plain("C", 30.0, kind="wagon"),
    )
    assert dropped(*train, usable_mm=230.0, rakes=(rake,)) == ("B",)


def test_a_rake_with_an_unknown_vehicle_goes_or_stays_whole() -> None:
    rake = MeasuredRake(
        first=1,
        last=2,
        length_mm=190.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    train = (
        plain("A", None, kind="wagon"),
        plain("B", 100.0, kind="wagon"),
        plain("C", 50.0, kind="wagon"),
    )
    assert dropped(*train, usable_mm=190.0, rakes=(rake,)) == ("C",)
    assert dropped(*train, usable_mm=150.0, rakes=(rake,)) == ("A",)


def test_at_a_platform_the_face_counts_in_the_search_too() -> None:
    train = (
        ENGINE,
        *(plain(f"Coach {number}", 100.0, kind="coach") for number in range(4)),
    )
    answer = ask(*train, place=road(1000.0, kind="platform", face_length_mm=310.0))
    assert answer.instead.drop_proved
    assert answer.instead.drop is not None
    assert len(answer.instead.drop) == 1


def test_a_reversing_section_is_searched_by_what_bridges() -> None:
    dead = plain("Dead", 300.0, kind="wagon", bridging_axles_mm=())
    live = plain("Live", 100.0, kind="wagon", bridging_axles_mm=(10.0, 90.0))
    answer = ask(live, dead, live, place=road(200.0, kind="reversing_section"))
    assert answer.instead.drop in {("Dead",), ("Live",)}
    assert answer.instead.drop == ("Dead",)


def test_two_hundred_like_wagons_are_searched_and_proved() -> None:
    train = made_up(ENGINE, plain("Wagon", 100.0, kind="wagon", count=199))
    found = fewest_by_length(train, within_mm=200.0 + 120 * 100 + 50, unfit=frozenset())
    assert found.proved
    assert found.places == frozenset(range(121, 200))


def test_a_search_that_is_cut_says_so_and_still_leaves_off_the_fewest() -> None:
    lengths_mm = [100 + 0.37 * (number * 7919 % 101) for number in range(40)]
    train = made_up(
        *(
            plain(f"W{number}", length_mm, kind="wagon")
            for number, length_mm in enumerate(lengths_mm)
        )
    )
    within_mm = sum(sorted(lengths_mm)[:28]) + 20.123
    found = fewest_by_length(train, within_mm=within_mm, unfit=frozenset())
    assert found.places is not None
    assert not found.proved
    assert len(found.places) == 12
    assert train.without(found.places).pulled_out().known_mm <= within_mm


def test_a_train_beyond_all_measure_is_not_searched_and_that_is_said() -> None:
    train = made_up(
        plain("Wagon", 100.0, kind="wagon", count=200),
        *[plain("Wagon", 99.0, kind="wagon", count=200)] * 20,
    )
    found = fewest_by_length(train, within_mm=1000.0, unfit=frozenset())
    assert (found.places, found.proved) == (None, False)


@pytest.mark.parametrize(("must_go", "fewest"), [(0, 1), (2, 2)])
def test_by_trial_the_search_begins_where_it_is_told_to(
    must_go: int, fewest: int
) -> None:
    train = made_up(*wagons(10, 20, 30, 40))
    found = fewest_by_trial(
        train,
        spare_mm=lambda rest: 100.0 - len(rest.members),
        unfit=frozenset({0}),
        at_least=must_go,
    )
    assert found.places is not None
    assert len(found.places) == fewest


def test_by_trial_too_many_trains_are_not_tried_and_that_is_said() -> None:
    train = made_up(plain("Wagon", 100.0, kind="wagon", count=200))
    found = fewest_by_trial(train, spare_mm=lambda _: None, unfit=frozenset())
    assert (found.places, found.proved) == (None, False)
