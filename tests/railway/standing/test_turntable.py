"""A train on a turntable: wheels on the rails, overhangs clear of what surrounds the
pit.
"""

from math import sqrt
from typing import Any

import pytest

from standage.questions.train_fit_answer import TrainFitAnswer
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.trains import MeasuredRake
from standage.railway.stock.vehicles import Standing
from support.stock import ask, codes, road, vehicle

FLUSH = Coupling(reach_mm=0.0, projection_mm=0.0)


def turned(
    rails_mm: float,
    circle_mm: float | None = None,
    asked_mm: float | None = None,
    **figures: Any,
) -> TrainFitAnswer:
    known: dict[str, Any] = {
        "length_mm": 200.0,
        "kind": "engine",
        "total_wheelbase_mm": 160.0,
        "first_axle_mm": 20.0,
        "width_mm": 40.0,
        "front_coupling": FLUSH,
        "rear_coupling": FLUSH,
    }
    engine = vehicle("Engine", **(known | figures))
    place = road(rails_mm, kind="turntable", clear_circle_mm=circle_mm)
    return ask(engine, place=place, stopping_margin_mm=asked_mm)


def test_the_rails_must_be_four_millimetres_longer_than_the_wheelbase() -> None:
    assert turned(164.0, 400.0).verdict == "fits"
    assert turned(163.9, 400.0).verdict == "does_not_fit"
    assert codes(turned(150.0, 400.0))[0] == "wheelbase_too_long"


def test_the_wheelbase_counts_and_the_length_pulled_out_is_shown_beside_it() -> None:
    answer = turned(170.0, 400.0)
    assert (answer.train_length_mm, answer.counted_length_mm, answer.spare_mm) == (
        200.0,
        160.0,
        6.0,
    )


def test_a_margin_asked_for_comes_off_the_rails_too() -> None:
    assert turned(170.0, 400.0, asked_mm=10.0).spare_mm == -4.0


def test_a_train_within_the_rails_has_nothing_to_clear() -> None:
    assert turned(200.0).verdict == "fits"
    assert codes(turned(199.9)) == ["missing_figure", "wheels_within_rails"]


def test_the_circle_is_asked_for_by_name_where_the_train_hangs_over() -> None:
    answer = turned(190.0)
    assert answer.verdict == "cannot_tell"
    assert (answer.because[0].field, answer.because[0].place) == (
        "clear_circle_mm",
        "the turntable",
    )


@pytest.mark.parametrize(
    ("circle_mm", "verdict"), [(204.0, "fits"), (203.9, "does_not_fit")]
)
def test_the_corners_of_the_body_must_clear_the_circle(
    circle_mm: float, verdict: str
) -> None:
    """From the middle to a corner: √(100² + 20²) = 101.98."""
    assert turned(190.0, circle_mm).verdict == verdict


@pytest.mark.parametrize(
    ("circle_mm", "verdict"), [(243.4, "fits"), (243.1, "does_not_fit")]
)
def test_unequal_overhangs_are_evened_out_as_far_as_the_rails_let_the_wheels_go(
    circle_mm: float, verdict: str
) -> None:
    """Wheelbase 120, overhangs 60 and 20: with rails of 124 the nose is 120 out, its
    corner √(120² + 20²).

    Rails of 128 let the wheels go 2 mm back: the corner is √(118² + 20²) out.
    """
    figures: dict[str, Any] = {"total_wheelbase_mm": 120.0, "first_axle_mm": 60.0}
    assert turned(124.0, circle_mm, **figures).verdict == verdict
    assert turned(128.0, 2 * sqrt(118**2 + 20**2) + 0.1, **figures).verdict == "fits"
    assert (
        turned(128.0, 2 * sqrt(118**2 + 20**2) - 0.1, **figures).verdict
        == "does_not_fit"
    )


def test_the_heavier_overhang_may_be_at_either_end_and_the_engine_either_way_round() -> (
    None
):
    circle_mm = 2 * sqrt(120**2 + 20**2)
    for first_axle_mm in (60.0, 20.0):
        for reversed_ in (False, True):
            figures: dict[str, Any] = {
                "total_wheelbase_mm": 120.0,
                "first_axle_mm": first_axle_mm,
                "reversed": reversed_,
            }
            assert turned(124.0, circle_mm + 0.1, **figures).verdict == "fits"
            assert turned(124.0, circle_mm - 0.1, **figures).verdict == "does_not_fit"


def test_free_couplings_hang_over_too() -> None:
    standing_out = Coupling(reach_mm=3.0, projection_mm=5.0)
    circle_mm = 2 * sqrt(105**2 + 20**2)
    figures: dict[str, Any] = {
        "front_coupling": standing_out,
        "rear_coupling": standing_out,
    }
    assert turned(190.0, circle_mm + 0.1, **figures).verdict == "fits"
    assert turned(190.0, circle_mm - 0.1, **figures).verdict == "does_not_fit"


def test_a_width_that_nobody_measured_is_taken_from_practice_or_asked_for() -> None:
    assert turned(190.0, 230.0, width_mm=None, scale="H0").verdict == "fits"
    assert "width_mm" in {
        one.field for one in turned(190.0, 230.0, width_mm=None, scale="H0").assumed
    }
    unknown = turned(190.0, 230.0, width_mm=None)
    assert (unknown.verdict, unknown.because[0].field) == ("cannot_tell", "width_mm")
    assert turned(190.0, 199.0, width_mm=None).verdict == "does_not_fit"


def test_an_engine_of_unknown_wheelbase_cannot_be_told_of() -> None:
    answer = turned(190.0, 230.0, total_wheelbase_mm=None)
    assert answer.verdict == "cannot_tell"
    assert {(reason.vehicle, reason.field) for reason in answer.because} == {
        ("Engine", "total_wheelbase_mm")
    }
    assert answer.spare_mm is None


def test_an_unknown_length_over_all_leaves_the_overhang_unknown() -> None:
    answer = turned(190.0, 230.0, length_mm=None)
    assert answer.verdict == "cannot_tell"
    assert answer.because[0].field == "length_mm"
    assert answer.spare_mm == 26.0


def test_two_vehicles_count_from_the_first_axle_of_one_to_the_last_of_the_other() -> (
    None
):
    engine = vehicle(
        "Engine",
        200.0,
        kind="engine",
        total_wheelbase_mm=160.0,
        first_axle_mm=20.0,
        width_mm=40.0,
    )
    tank = vehicle(
        "Tank",
        100.0,
        kind="wagon",
        total_wheelbase_mm=60.0,
        first_axle_mm=25.0,
        width_mm=30.0,
        reversed=True,
    )
    answer = ask(
        engine, tank, place=road(300.0, kind="turntable", clear_circle_mm=500.0)
    )
    assert answer.counted_length_mm == 200 + 6 + 100 - 20 - 25
    assert answer.spare_mm == 300 - 4 - 261


def test_what_stands_between_unknown_wheels_may_be_too_long_for_certain() -> None:
    engine, wagons = (
        vehicle("Engine", 200.0, kind="engine"),
        vehicle("Wagon", 100.0, kind="wagon", count=3),
    )
    train = (engine, wagons, engine)
    assert (
        ask(*train, place=road(320.0, kind="turntable", clear_circle_mm=2000.0)).verdict
        == "does_not_fit"
    )
    assert (
        ask(*train, place=road(330.0, kind="turntable", clear_circle_mm=2000.0)).verdict
        == "cannot_tell"
    )


def test_leaving_the_wagon_off_lets_the_engine_turn() -> None:
    engine = vehicle(
        "Engine", 200.0, kind="engine", total_wheelbase_mm=160.0, first_axle_mm=20.0
    )
    wagon = vehicle(
        "Wagon", 100.0, kind="wagon", total_wheelbase_mm=60.0, first_axle_mm=20.0
    )
    answer = ask(engine, wagon, place=road(220.0, kind="turntable"))
    assert answer.instead.drop == ("Wagon",)
    assert answer.instead.longest_train_mm == 216.0


def test_a_guessed_wheelbase_is_as_good_as_a_scaled_figure_by_itself_and_half_so_at_the_end_of_a_train() -> (
    None
):
    wagon = vehicle("Wagon", 100.0, kind="wagon")
    assert ask(wagon, place=road(300.0, kind="turntable")).plus_minus_mm == 2.0
    engine = vehicle("Engine", 100.0, kind="engine", total_wheelbase_mm=60.0)
    assert ask(engine, wagon, place=road(300.0, kind="turntable")).plus_minus_mm == 1.0


def test_an_engine_that_lies_within_the_rails_as_a_whole_needs_no_wheelbase() -> None:
    """No wheelbase is longer than the engine: 200 mm on rails of 204, the 4 mm at their
    ends taken off.
    """
    answer = turned(204.0, total_wheelbase_mm=None, first_axle_mm=None)
    assert (answer.verdict, answer.counted_length_mm, answer.spare_mm) == (
        "fits",
        200.0,
        0.0,
    )
    assert codes(answer) == ["within_rails"]
    assert (
        turned(203.9, total_wheelbase_mm=None, first_axle_mm=None).verdict
        == "cannot_tell"
    )


def test_a_wheelbase_that_nobody_measured_is_asked_for_where_the_engine_hangs_over() -> (
    None
):
    answer = turned(180.0, 400.0, total_wheelbase_mm=None, first_axle_mm=None)
    assert (answer.verdict, answer.because[0].field) == (
        "cannot_tell",
        "total_wheelbase_mm",
    )


def test_what_is_kept_free_at_the_ends_of_the_rails_is_said() -> None:
    kept = [
        one for one in turned(170.0, 400.0).assumed if one.field == "usable_length_mm"
    ]
    assert [(one.value_mm, one.source) for one in kept] == [(4.0, "common_practice")]
    assert (
        kept[0].message
        == "4 mm of the rails of the turntable are kept free, both ends together, by"
        " common practice"
    )


def test_a_train_stands_on_a_turntable_and_not_in_it() -> None:
    assert (
        turned(170.0, 400.0)
        .because[0]
        .message.endswith("stands clear on the turntable with 6 mm to spare")
    )


def test_what_hangs_over_and_the_circle_it_needs_are_told_in_figures() -> None:
    """255 × 36 mm over all: √(255² + 36²) = 257.5. On rails of 214 mm 188 of wheelbase
    leave 22 and 41 hang over.
    """
    figures: dict[str, Any] = {
        "length_mm": 255.0,
        "width_mm": 36.0,
        "total_wheelbase_mm": 188.0,
        "first_axle_mm": None,
    }
    answer = turned(214.0, 300.0, **figures)
    assert answer.turntable is not None
    assert (answer.spare_mm, answer.turntable.beyond_rails_mm) == (22.0, 41.0)
    assert answer.turntable.circle_needed_mm == pytest.approx(257.5, abs=0.05)
    assert answer.turntable.circle_needed_mm == answer.turntable.circle_over_bodies_mm
    clear = next(one for one in answer.because if one.code == "overhang_clear")
    assert (
        clear.message
        == "the train hangs 41 mm over the rails of the turntable, both ends together,"
        " and needs a clear circle of 257.5 mm, 42.5 mm to spare"
    )
    assert (clear.value_mm, clear.limit_mm) == (
        answer.turntable.circle_needed_mm,
        300.0,
    )
    unknown = turned(214.0, **figures)
    assert (unknown.standing, unknown.because[0].field) == (
        "cannot_tell",
        "clear_circle_mm",
    )
    assert unknown.because[0].message.startswith(
        "the train hangs 41 mm over the rails of the turntable, both ends together, and"
        " needs a clear circle of 257.5 mm: measure the circle"
    )
    fouls = turned(214.0, 250.0, **figures)
    assert (fouls.verdict, fouls.because[0].code) == ("does_not_fit", "overhang_fouls")
    assert fouls.because[0].message.endswith("257.5 mm, 7.5 mm more than there is")


def test_the_circle_that_is_told_is_just_what_it_takes() -> None:
    """Asked again with that circle the train stands; with a tenth less it does not."""
    for figures in (
        {},
        {"first_axle_mm": 35.0},
        {"front_coupling": Coupling(reach_mm=3.0, projection_mm=5.0)},
    ):
        told = turned(190.0, **figures).turntable
        assert told is not None
        assert told.circle_needed_mm is not None
        assert turned(190.0, told.circle_needed_mm, **figures).standing == "fits"
        assert (
            turned(190.0, told.circle_needed_mm - 0.1, **figures).standing
            == "does_not_fit"
        )


def test_free_couplings_are_told_apart_from_the_bodies() -> None:
    out = Coupling(reach_mm=3.0, projection_mm=5.0)
    answer = turned(190.0, 300.0, front_coupling=out, rear_coupling=out)
    assert answer.turntable is not None
    assert answer.turntable.beyond_rails_mm == 200 + 5 + 5 - 190
    assert answer.turntable.circle_needed_mm == pytest.approx(
        2 * sqrt(105**2 + 20**2), abs=1e-5
    )
    assert answer.turntable.circle_over_bodies_mm == pytest.approx(
        2 * sqrt(100**2 + 20**2), abs=1e-5
    )
    assert any(
        "213.8 mm (204 mm without its couplings)" in one.message
        for one in answer.because
    )


def test_what_lies_within_the_rails_hangs_over_by_nothing_and_other_places_tell_nothing_of_it() -> (
    None
):
    within = turned(210.0).turntable
    assert within is not None
    assert (within.beyond_rails_mm, within.clear_circle_mm) == (0.0, None)
    assert within.circle_needed_mm == pytest.approx(2 * sqrt(100**2 + 20**2), abs=1e-5)
    assert ask(vehicle("Engine", 200.0), place=road(300.0)).turntable is None


def test_without_a_width_the_circle_is_the_least_there_is_and_without_a_wheelbase_none_is_told() -> (
    None
):
    slim = turned(190.0, 230.0, width_mm=None).turntable
    assert slim is not None
    assert slim.circle_needed_mm == 200.0
    unknown = turned(190.0, 230.0, total_wheelbase_mm=None).turntable
    assert unknown is not None
    assert (unknown.beyond_rails_mm, unknown.circle_needed_mm) == (10.0, None)


@pytest.mark.parametrize(
    ("rails_mm", "verdict"), [(700.0, "cannot_tell"), (904.0, "fits")]
)
def test_the_wheels_of_a_rake_of_unknown_vehicles_may_be_anywhere_in_it(
    rails_mm: float, verdict: str
) -> None:
    """It is 900 mm long, which says nothing of how far apart its outer axles are."""
    whole = MeasuredRake(
        first=1,
        last=2,
        length_mm=900.0,
        length_over="couplings",
        length_plus_minus_mm=0.0,
    )
    place = road(rails_mm, kind="turntable")
    answer = ask(Standing(name="A"), Standing(name="B"), place=place, rakes=(whole,))
    assert answer.verdict == verdict
