"""What holds for every engine, train and gradient."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.climbs.haulage import (
    ROLLING_PERCENT,
    Pull,
    Way,
    band,
    engines_needed,
    steepest_hauled_percent,
)

ways = st.builds(
    Way, gradient_percent=st.floats(0, 10), curve_drag_percent=st.floats(0, 5)
)
pulls = st.builds(
    Pull,
    drawbar_pull_g=st.floats(5, 500),
    engine_mass_g=st.floats(50, 2000),
    vehicle_mass_g=st.floats(10, 500),
)
strengths = st.floats(1, 500) | pulls


def forces_balance_g(
    pull: Pull, vehicles: float, way: Way, *, rolling_percent: float
) -> float:
    """Return what is left of the pull, from the forces on engine and train one by
    one.
    """
    train_g = vehicles * pull.vehicle_mass_g
    uphill_g = (pull.engine_mass_g + train_g) * math.tan(
        math.atan(way.gradient_percent / 100)
    )
    return (
        pull.drawbar_pull_g
        - uphill_g
        - train_g * (rolling_percent + way.curve_drag_percent) / 100
    )


@given(pulls, ways)
def test_at_the_ends_of_the_band_the_forces_balance(pull: Pull, way: Way) -> None:
    found = band(pull, way=way)
    free, stiff = ROLLING_PERCENT
    if found.fewest > 0:
        scale = pull.drawbar_pull_g * 1e-9
        assert forces_balance_g(
            pull, found.fewest, way, rolling_percent=stiff
        ) == pytest.approx(0, abs=scale)
        assert forces_balance_g(
            pull, found.most, way, rolling_percent=free
        ) == pytest.approx(0, abs=scale)


@given(strengths, ways, ways)
def test_a_steeper_sharper_way_never_takes_more(
    strength: float | Pull, one: Way, other: Way
) -> None:
    worse = Way(
        gradient_percent=max(one.gradient_percent, other.gradient_percent),
        curve_drag_percent=max(one.curve_drag_percent, other.curve_drag_percent),
    )
    there, here = band(strength, way=worse), band(strength, way=one)
    assert there.fewest <= here.fewest * (1 + 1e-12)
    assert there.most <= here.most * (1 + 1e-12)
    assert there.fewest <= there.most


@given(st.integers(1, 500), strengths, ways)
def test_so_many_engines_haul_the_train_and_one_less_does_not(
    vehicles: int, strength: float | Pull, way: Way
) -> None:
    found = band(strength, way=way)
    engines = engines_needed(vehicles, by_one=found.fewest)
    if engines is None:
        assert found.fewest < 1e-6
    elif engines < 10_000:
        assert found.vehicles(engines)[0] >= vehicles
        assert (engines - 1) * found.fewest < vehicles


@given(st.integers(1, 200), st.integers(1, 4), strengths, st.floats(0, 3))
def test_the_steepest_gradient_hauls_the_train_and_any_steeper_one_does_not(
    vehicles: int, engines: int, strength: float | Pull, drag: float
) -> None:
    way = Way(gradient_percent=0, curve_drag_percent=drag)
    steepest = steepest_hauled_percent(
        strength, vehicles=vehicles, engines=engines, way=way
    )
    level = engines * band(strength, way=way).fewest
    if steepest is None:
        assert level < vehicles * (1 + 1e-9)
    else:
        there = Way(gradient_percent=steepest, curve_drag_percent=drag)
        assert engines * band(strength, way=there).fewest == pytest.approx(
            vehicles, rel=1e-6
        )
