"""How much an engine takes up a gradient."""

import pytest

from standage.railway.climbs.haulage import (
    Band,
    Pull,
    Way,
    band,
    curve_drag_percent,
    engines_needed,
    hauled_by_pull,
    hauled_from_level,
    resistance_g,
    steepest_hauled_percent,
)

UP_2 = Way(gradient_percent=2.0)
ENGINE = Pull(drawbar_pull_g=60, engine_mass_g=400, vehicle_mass_g=100)


def test_a_measured_pull_less_the_engine_s_own_weight_is_shared_by_the_vehicles() -> (
    None
):
    assert hauled_by_pull(ENGINE, way=UP_2, rolling_percent=1.0) == pytest.approx(
        (60 - 8) / 3
    )
    assert hauled_by_pull(
        ENGINE, way=Way(gradient_percent=0), rolling_percent=1.0
    ) == pytest.approx(60)


def test_the_drag_of_a_curve_adds_to_the_gradient_for_vehicles_only() -> None:
    in_curve = Way(gradient_percent=2.0, curve_drag_percent=1.0)
    assert hauled_by_pull(ENGINE, way=in_curve, rolling_percent=1.0) == pytest.approx(
        (60 - 8) / 4
    )
    assert hauled_from_level(100, way=in_curve, rolling_percent=1.0) == pytest.approx(
        25
    )


def test_an_engine_that_cannot_lift_itself_hauls_nothing() -> None:
    assert (
        hauled_by_pull(ENGINE, way=Way(gradient_percent=15), rolling_percent=1.0) == 0
    )
    assert (
        hauled_by_pull(ENGINE, way=Way(gradient_percent=16), rolling_percent=1.0) == 0
    )


def test_the_band_runs_from_the_worst_rolling_resistance_to_the_best() -> None:
    from_level = band(100.0, way=UP_2)
    assert from_level.fewest == pytest.approx(80 / 2.8)
    assert from_level.most == pytest.approx(50)
    by_pull = band(ENGINE, way=UP_2)
    assert by_pull.fewest == pytest.approx(52 / 4)
    assert by_pull.most == pytest.approx(52 / 2.8)


def test_on_the_level_the_number_on_the_level_is_no_band() -> None:
    found = band(12.0, way=Way(gradient_percent=0))
    assert [found.fewest, found.most] == pytest.approx([12, 12])


@pytest.mark.parametrize(
    ("fewest", "most", "engines", "vehicles"),
    [
        (33.3, 50.0, 1, (33, 50)),
        (33.3, 50.0, 2, (66, 100)),
        (0.9, 0.99, 1, (0, 0)),
        (2.9999999, 3.0, 1, (3, 3)),
    ],
)
def test_only_whole_vehicles_are_hauled(
    fewest: float, most: float, engines: int, vehicles: tuple[int, int]
) -> None:
    assert Band(fewest=fewest, most=most).vehicles(engines) == vehicles


@pytest.mark.parametrize(
    ("vehicles", "by_one", "engines"),
    [
        (100, 100 / 3, 3),
        (100, 33.0, 4),
        (1, 100.0, 1),
        (100, 100.0, 1),
        (101, 100.0, 2),
        (21, 1.4, 15),
        (5, 0.0, None),
        (5, 1e-9, None),
    ],
)
def test_engines_are_counted_whole_and_none_do_where_one_hauls_nothing(
    vehicles: int, by_one: float, engines: int | None
) -> None:
    assert engines_needed(vehicles, by_one=by_one) == engines


def test_the_steepest_gradient_is_that_on_which_the_worst_case_still_hauls_them() -> (
    None
):
    assert steepest_hauled_percent(
        100.0, vehicles=50, engines=1, way=UP_2
    ) == pytest.approx(0.8)
    assert steepest_hauled_percent(
        100.0, vehicles=50, engines=2, way=UP_2
    ) == pytest.approx(2.4)
    assert steepest_hauled_percent(
        100.0, vehicles=100, engines=1, way=UP_2
    ) == pytest.approx(0.0)
    assert steepest_hauled_percent(100.0, vehicles=101, engines=1, way=UP_2) is None
    dragged = Way(gradient_percent=9, curve_drag_percent=0.25)
    assert steepest_hauled_percent(
        100.0, vehicles=50, engines=1, way=dragged
    ) == pytest.approx(0.55)


def test_the_steepest_gradient_by_pull_lifts_engine_and_train() -> None:
    steepest = steepest_hauled_percent(
        ENGINE, vehicles=10, engines=2, way=Way(gradient_percent=0)
    )
    assert steepest == pytest.approx(100 * (120 - 20) / (800 + 1000))
    assert steepest_hauled_percent(ENGINE, vehicles=31, engines=1, way=UP_2) is None


def test_a_curve_half_as_wide_drags_twice_as_much_and_a_smaller_scale_less() -> None:
    sharp = curve_drag_percent(300, ratio=87)
    assert sharp == pytest.approx(2 * curve_drag_percent(600, ratio=87))
    assert sharp == pytest.approx(160 / 87 * curve_drag_percent(300, ratio=160))


def test_resistance_is_a_hundredth_of_the_weight_for_each_per_cent() -> None:
    assert resistance_g(250, percent=4) == pytest.approx(10)
