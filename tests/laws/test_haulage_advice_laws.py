"""The advice of the haulage question, asked again; and against forces pushed up a slope
vehicle by vehicle.
"""

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.questions.haulage import reckon
from standage.questions.haulage_answer import HaulageAnswer, HaulageVerdict
from standage.questions.haulage_load import HaulageRequest
from standage.shapes.decoding import convert

STEP_PERCENT = 0.01
FREE, STIFF = 0.8, 2.0
"""The band's ends, in per cent of a vehicle's weight. Common practice, no source."""


def hundredths(least: float, most: float) -> st.SearchStrategy[float]:
    return st.integers(round(least * 100), round(most * 100)).map(
        lambda hundredth: hundredth / 100
    )


ways = st.fixed_dictionaries(
    {
        "gradient_percent": hundredths(0, 8),
        "curve_drag_percent": st.none() | hundredths(0, 2),
        "engines": st.integers(1, 4),
        "vehicles": st.none() | st.integers(1, 60),
    }
)
strengths = st.fixed_dictionaries(
    {"vehicles_on_level": st.integers(1, 200)}
) | st.fixed_dictionaries(
    {
        "drawbar_pull_g": hundredths(5, 300),
        "engine_mass_g": hundredths(50, 1000),
        "vehicle_mass_g": hundredths(10, 300),
    }
)
requests = st.builds(
    lambda way, strength: convert({**way, **strength}, HaulageRequest), ways, strengths
)


def moves(asked: HaulageRequest, *, rolling_percent: float) -> bool:
    """Tell whether the train starts: what the engines pull, against what holds back
    every vehicle and every engine.

    An engine that hauls n on the level pulls n vehicles' rolling resistance: only that
    ratio counts, and its own weight is left out.
    """
    gradient, drag = asked.gradient_percent or 0.0, asked.curve_drag_percent or 0.0
    vehicle_g = asked.vehicle_mass_g or 100.0
    pull_g = (
        asked.drawbar_pull_g
        or (asked.vehicles_on_level or 0) * vehicle_g * rolling_percent / 100
    )
    left_g = sum(
        pull_g - (asked.engine_mass_g or 0.0) * gradient / 100
        for _ in range(asked.engines)
    )
    held_g = sum(
        vehicle_g * (rolling_percent + gradient + drag) / 100
        for _ in range(asked.vehicles or 1)
    )
    return held_g <= left_g * (1 + 1e-6)


def simulated(asked: HaulageRequest) -> HaulageVerdict:
    started = [moves(asked, rolling_percent=FREE), moves(asked, rolling_percent=STIFF)]
    if all(started):
        return "hauls"
    return "marginal" if any(started) else "does_not_haul"


def again(asked: HaulageRequest, **changed: object) -> HaulageAnswer:
    return reckon(
        convert(
            msgspec.to_builtins(msgspec.structs.replace(asked, **changed)),
            HaulageRequest,
        )
    )


@given(requests)
def test_a_train_that_is_pulled_up_the_slope_agrees_with_the_verdict(
    asked: HaulageRequest,
) -> None:
    assert reckon(asked).verdict == simulated(asked)


@given(requests)
def test_advice_brings_the_verdict_that_it_says_and_one_step_less_does_not(
    asked: HaulageRequest,
) -> None:
    instead = reckon(asked).instead
    assert instead is not None
    if instead.gradient_percent is not None:
        assert (
            again(asked, gradient_percent=instead.gradient_percent).verdict
            == instead.gradient_brings
            == "hauls"
        )
        if instead.gradient_percent < 4:
            assert (
                again(
                    asked, gradient_percent=instead.gradient_percent + STEP_PERCENT
                ).verdict
                != "hauls"
            )
    if instead.engines is not None:
        assert (
            again(asked, engines=instead.engines).verdict
            == instead.engines_brings
            == "hauls"
        )
        assert (
            instead.engines == 1
            or again(asked, engines=instead.engines - 1).verdict != "hauls"
        )
    if instead.vehicles > 0:
        assert (
            again(asked, vehicles=instead.vehicles).verdict
            == instead.vehicles_brings
            == "hauls"
        )
    assert (
        instead.vehicles == 10_000
        or again(asked, vehicles=instead.vehicles + 1).verdict != "hauls"
    )


@given(requests)
def test_no_gradient_is_advised_beyond_four_per_cent_or_where_no_vehicles_are_asked_for(
    asked: HaulageRequest,
) -> None:
    instead = reckon(asked).instead
    assert instead is not None
    assert asked.vehicles is not None or instead.gradient_percent is None
    assert instead.gradient_percent is None or 0 <= instead.gradient_percent <= 4


@given(st.integers(2, 300), st.integers(1, 100))
def test_the_steepest_gradient_from_a_number_on_the_level_is_what_the_fraction_says(
    level: int, vehicles: int
) -> None:
    """n r/(r + g) = wanted at r = 0.8, so that g = 0.8 (n - wanted)/wanted, exactly."""
    instead = reckon(
        convert(
            {"vehicles_on_level": level, "vehicles": vehicles, "gradient_percent": 3},
            HaulageRequest,
        )
    )
    advised = None if instead.instead is None else instead.instead.gradient_percent
    exact = 0.8 * (level - vehicles) / vehicles
    assert (advised is None) == (exact < 0)
    if advised is not None:
        assert advised == pytest.approx(min(exact, 4.0), abs=1.1e-6)
        assert advised <= exact + 1e-9
