"""A train in the different kinds of place, by the length that counts there."""

import pytest
from msgspec import structs

from standage.railway.roads.places import Place, PlaceKind
from standage.railway.stock.couplings import Coupling
from support.stock import ask, codes, plain, road, vehicle

RAKE = (
    plain("Engine", 200.0, kind="engine"),
    plain("Wagon", 100.0, kind="wagon", count=5),
)


@pytest.mark.parametrize(
    "kind",
    [
        "loop",
        "siding",
        "headshunt",
        "platform",
        "storage_road",
        "cassette",
        "traverser",
        "sector_plate",
    ],
)
def test_pulled_out_with_free_couplings_the_train_must_go_in(kind: PlaceKind) -> None:
    standing_out = Coupling(reach_mm=0.0, projection_mm=12.0)
    train = vehicle(
        "Wagon", 100.0, count=4, front_coupling=standing_out, rear_coupling=standing_out
    )
    assert ask(train, place=road(424.0, kind=kind)).verdict == "fits"
    assert ask(train, place=road(423.9, kind=kind)).verdict == "does_not_fit"


def test_the_margin_comes_off_the_usable_length() -> None:
    answer = ask(*RAKE, place=road(750.0), stopping_margin_mm=30.0)
    assert (answer.spare_mm, answer.stopping_margin_mm) == (20.0, 30.0)
    assert answer.instead.longest_train_mm == 720.0


def test_the_plus_minus_of_train_and_road_add_up_and_decide() -> None:
    train = plain("Wagon", 100.0, length_plus_minus_mm=1.0, count=5)
    for usable_mm, verdict in (
        (508.0, "fits"),
        (507.9, "tight"),
        (492.0, "tight"),
        (491.9, "does_not_fit"),
    ):
        answer = ask(train, place=road(usable_mm, plus_minus_mm=3.0))
        assert (answer.plus_minus_mm, answer.verdict) == (8.0, verdict)


def test_a_place_of_unknown_length_asks_for_it_and_still_gives_the_trains() -> None:
    answer = ask(*RAKE, place=road(None, name="Up loop"))
    assert answer.verdict == "cannot_tell"
    assert (answer.because[0].field, answer.because[0].place) == (
        "usable_length_mm",
        "Up loop",
    )
    assert answer.because[0].message.endswith(
        "from fouling point to fouling point or buffer stop"
    )

    assert (answer.train_length_mm, answer.spare_mm, answer.plus_minus_mm) == (
        700.0,
        None,
        None,
    )
    assert answer.instead.longest_train_mm is None
    assert answer.instead.drop is None


@pytest.mark.parametrize(
    ("kind", "how"),
    [
        ("turntable", "from end to end of its rails"),
        ("cassette", "from end to end of its rails"),
        (
            "headshunt",
            "from the blade tips of the last points to be thrown to the buffer stop",
        ),
        ("reversing_section", "from isolation gap to isolation gap"),
    ],
)
def test_how_a_place_is_to_be_measured_goes_by_its_kind(
    kind: PlaceKind, how: str
) -> None:
    place = Place(kind=kind, name="Here")
    assert (
        ask(plain("W"), place=place).because[0].message
        == f"measure the usable length of Here, {how}"
    )


def test_an_unknown_length_is_named_and_what_is_known_is_told() -> None:
    answer = ask(*RAKE, plain("Van", None, kind="wagon"), place=road(900.0))
    assert (
        answer.verdict,
        answer.train_length_mm,
        answer.spare_mm,
        answer.at_least_mm,
    ) == (
        "cannot_tell",
        None,
        None,
        700.0,
    )
    assert (answer.because[0].vehicle, answer.because[0].field) == ("Van", "length_mm")


def test_a_train_too_long_by_what_is_known_does_not_fit_whatever_the_rest() -> None:
    answer = ask(*RAKE, plain("Van", None, kind="wagon"), place=road(690.0))
    assert (answer.verdict, answer.train_length_mm, answer.at_least_mm) == (
        "does_not_fit",
        None,
        700.0,
    )


def test_couplings_that_do_not_take_hold_name_both_vehicles_and_the_figures_stay() -> (
    None
):
    hook, screw = (Coupling(reach_mm=1.0, type=name) for name in ("loop", "screw"))
    train = (vehicle("A", rear_coupling=hook), vehicle("B", front_coupling=screw))
    answer = ask(*train, place=road(1000.0))
    assert answer.verdict == "does_not_fit"
    assert codes(answer) == ["couplings_do_not_mate", "stands_clear"]
    assert (answer.because[0].vehicle, answer.because[0].other_vehicle) == ("A", "B")
    assert answer.train_length_mm == 4 + 100 + 2 + 100 + 4


@pytest.mark.parametrize(
    ("percent", "told"), [(0.5, False), (0.51, True), (None, False)]
)
def test_standing_on_a_gradient_is_noted_and_changes_no_verdict(
    percent: float | None, *, told: bool
) -> None:
    answer = ask(*RAKE, place=road(900.0, steepest_gradient_percent=percent))
    assert ("may_run_away" in codes(answer)) is told
    assert answer.verdict == "fits"


def platform(usable_mm: float, face_mm: float) -> Place:
    return road(usable_mm, kind="platform", face_length_mm=face_mm, plus_minus_mm=0.0)


COACHES = (
    plain("Engine", 200.0, kind="engine"),
    plain("Brake coach", 250.0, kind="coach"),
    plain("Mail van", 150.0, kind="wagon"),
    plain("Coach", 250.0, kind="coach"),
    plain("Parcels", 120.0, kind="wagon"),
)


def test_at_a_platform_the_train_counts_from_its_first_passenger_vehicle_to_its_last() -> (
    None
):
    answer = ask(*COACHES, place=platform(1000.0, 650.0))
    assert (answer.verdict, answer.spare_mm, answer.face_spare_mm) == (
        "fits",
        30.0,
        0.0,
    )
    assert "within_platform_face" in codes(answer)


def test_a_face_that_is_too_short_is_told_apart_from_the_road() -> None:
    answer = ask(*COACHES, place=platform(1000.0, 640.0))
    assert (answer.verdict, answer.face_spare_mm) == ("does_not_fit", -10.0)
    assert codes(answer) == ["longer_than_platform_face", "stands_clear"]


def test_a_train_without_passenger_vehicles_needs_no_face() -> None:
    answer = ask(*RAKE, place=platform(1000.0, 50.0))
    assert (answer.verdict, answer.face_spare_mm) == ("fits", None)


def test_the_face_counts_at_platforms_only() -> None:
    assert ask(*COACHES, place=road(1000.0, face_length_mm=50.0)).verdict == "fits"


def test_a_vehicle_of_unknown_kind_is_asked_after_where_it_decides() -> None:
    train = [
        structs.replace(each, kind=None) if each.name == "Parcels" else each
        for each in COACHES
    ]
    assert ask(*train, place=platform(1000.0, 770.0)).verdict == "fits"
    assert "kind" in {
        one.field for one in ask(*train, place=platform(1000.0, 770.0)).assumed
    }
    between = ask(*train, place=platform(1000.0, 769.0))
    assert (between.verdict, between.because[0].vehicle, between.because[0].field) == (
        "cannot_tell",
        "Parcels",
        "kind",
    )
    assert ask(*train, place=platform(1000.0, 649.0)).verdict == "does_not_fit"


def test_a_vehicle_of_unknown_kind_between_coaches_changes_nothing() -> None:
    train = [
        structs.replace(each, kind=None) if each.name == "Mail van" else each
        for each in COACHES
    ]
    assert ask(*train, place=platform(1000.0, 649.0)).verdict == "does_not_fit"


def test_at_a_face_the_free_couplings_do_not_count() -> None:
    standing_out = Coupling(reach_mm=3.0, projection_mm=50.0)
    coach = vehicle(
        "Coach",
        250.0,
        kind="coach",
        front_coupling=standing_out,
        rear_coupling=standing_out,
        count=2,
    )
    assert ask(coach, place=platform(1000.0, 506.0)).face_spare_mm == 0.0


def test_a_headshunt_shows_what_hangs_over_beyond_the_wheels_where_that_is_known() -> (
    None
):
    engine = vehicle(
        "Engine", 200.0, kind="engine", total_wheelbase_mm=140.0, first_axle_mm=25.0
    )
    wagon = vehicle("Wagon", 100.0, kind="wagon")
    answer = ask(engine, wagon, place=road(900.0, kind="headshunt"))
    assert answer.wheel_reserve_mm is not None
    assert (answer.wheel_reserve_mm.head_mm, answer.wheel_reserve_mm.tail_mm) == (
        29.0,
        None,
    )
    turned = ask(
        wagon,
        structs.replace(engine, reversed=False),
        place=road(900.0, kind="headshunt"),
    )
    assert turned.wheel_reserve_mm is not None
    assert (turned.wheel_reserve_mm.head_mm, turned.wheel_reserve_mm.tail_mm) == (
        None,
        39.0,
    )
    assert ask(engine, place=road(900.0)).wheel_reserve_mm is None


def test_the_train_is_held_against_the_roads_other_lengths_too() -> None:
    answer = ask(
        *RAKE,
        place=road(750.0, blades_to_blades_mm=900.0, stop_to_stop_mm=690.0),
        stopping_margin_mm=10.0,
    )
    assert [(each.field, each.length_mm, each.spare_mm) for each in answer.also] == [
        ("blades_to_blades_mm", 900.0, 200.0),
        ("stop_to_stop_mm", 690.0, -10.0),
    ]
    assert answer.verdict == "fits"


def test_a_zero_length_place_holds_nothing() -> None:
    answer = ask(plain("Wagon", 0.001, kind="wagon"), place=road(0.0))
    assert answer.verdict == "does_not_fit"
    assert answer.instead.drop is None
    assert answer.instead.longest_train_mm == 0.0


def test_a_margin_longer_than_the_place_leaves_room_for_nothing() -> None:
    answer = ask(*RAKE, place=road(20.0), stopping_margin_mm=50.0)
    assert answer.spare_mm == -730.0
    assert answer.instead.longest_train_mm == 0.0
