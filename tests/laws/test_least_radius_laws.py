"""The least radius is that on which the question of a curve just says yes, whatever is
known of the stock.
"""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from standage.questions import curve, least_radius
from standage.questions.curve import AskedCurve, CurveCase
from standage.questions.least_radius import LeastRadiusAnswer, LeastRadiusCase
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.vehicles import Standing, Vehicle
from standage.railway.terms.figures import LONGEST_MM
from support.any_vehicles import vehicles

several = st.lists(vehicles, min_size=1, max_size=3)


def named(found: list[Vehicle]) -> tuple[Standing, ...]:
    return tuple(
        Standing(**{**structs.asdict(one), "name": f"Vehicle {number}"})
        for number, one in enumerate(found)
    )


def least(stock: tuple[Standing, ...], *, coupled: bool = False) -> LeastRadiusAnswer:
    return least_radius.reckon(LeastRadiusCase(vehicles=stock, coupled=coupled))


def on_curve(
    stock: tuple[Standing, ...], radius_mm: float, *, couplings: bool = False
) -> str:
    asked = AskedCurve(radius_mm=radius_mm, couplings=couplings)
    return curve.reckon(CurveCase(vehicles=stock, curve=asked)).verdict


@settings(max_examples=100)
@given(found=several)
def test_on_the_least_radius_a_curve_runs_and_on_a_tenth_less_it_does_not(
    found: list[Vehicle],
) -> None:
    stock = named(found)
    answer = least(stock)
    if answer.radius_mm is not None:
        assert on_curve(stock, answer.radius_mm) == "runs"
        if answer.radius_mm > 0.1:
            assert on_curve(stock, answer.radius_mm - 0.1) != "runs"
        return
    assert on_curve(stock, LONGEST_MM) != "runs"
    lacking = [(one.vehicle, one.field) for one in answer.because if one.field]
    assert lacking
    assert {name for name, _ in lacking} <= {one.name for one in stock}


@given(found=several)
def test_the_largest_rule_that_counts_decides_and_comes_first(
    found: list[Vehicle],
) -> None:
    answer = least(named(found))
    counting = [rule.radius_mm for rule in answer.by if rule.counts]
    assert answer.at_least_mm == max(counting, default=0.0)
    if answer.radius_mm is not None:
        assert answer.by[0].radius_mm == answer.radius_mm == max(counting)


@given(found=several, more=vehicles)
def test_one_vehicle_more_never_runs_on_less(
    found: list[Vehicle], more: Vehicle
) -> None:
    few, many = least(named(found)), least(named([*found, more]))
    assert many.at_least_mm >= few.at_least_mm
    if few.radius_mm is None:
        assert many.radius_mm is None


@given(found=several)
def test_a_train_of_whose_joints_nothing_is_known_asks_for_what_its_vehicles_do(
    found: list[Vehicle],
) -> None:
    bare = [structs.replace(one, bodies=None) for one in found]
    loose: dict[str, Any] = {"front_coupling": None, "rear_coupling": None}
    stock = named([structs.replace(one, **loose) for one in bare])
    apart, coupled = least(stock), least(stock, coupled=True)
    assert (coupled.radius_mm, coupled.couplings) == (apart.radius_mm, "none")
    assert coupled.by == apart.by


@pytest.mark.parametrize(
    ("swings_deg", "pivots_mm"),
    [((31.0, 31.0), (186.0, 186.0)), ((18.0, 25.0), (150.0, 100.0))],
)
def test_swept_joints_run_on_the_least_radius_and_not_on_a_tenth_less(
    swings_deg: tuple[float, float], pivots_mm: tuple[float, float]
) -> None:
    stock = tuple(
        Standing(
            name=f"Coach {number}",
            length_mm=258.0,
            length_over="buffers",
            bogie_centres_mm=apart_mm,
            buffer_centres_mm=0.0,
            front_coupling=hook(swing_deg),
            rear_coupling=hook(swing_deg),
        )
        for number, (swing_deg, apart_mm) in enumerate(
            zip(swings_deg, pivots_mm, strict=True)
        )
    )
    answer = least(stock, coupled=True)
    assert answer.couplings == "all"
    assert answer.by[0].rule == "swept_joint"
    assert answer.radius_mm is not None
    assert on_curve(stock, answer.radius_mm, couplings=True) == "runs"
    assert on_curve(stock, answer.radius_mm - 0.1, couplings=True) != "runs"


def hook(swing_deg: float) -> Coupling:
    return Coupling(
        reach_mm=4.5, swing_deg=swing_deg, mounting="body", pivot_behind_mm=10.0
    )
