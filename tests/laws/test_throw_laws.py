"""What holds for the throws of any body on any curve."""

from math import hypot, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from standage.railway.curving.throws import (
    centre_throw_mm,
    end_throw_mm,
    run_on_angle_deg,
    versine_mm,
)
from support.plan_view import Stock, angle_of_chord, stood

lengths = st.floats(20, 400)
bogies = st.just(0.0) | st.floats(1, 60)
widths = st.floats(10, 80)
radii = st.floats(100, 5000)


def stands(radius: float, pivots: float, bogie: float) -> bool:
    return radius > 1.02 * hypot(pivots, bogie) / 2


@given(
    radius=radii, pivots=lengths, bogie=bogies, overhang=st.floats(-5, 90), width=widths
)
def test_throws_are_those_of_a_body_put_on_the_circle_step_by_step(
    radius: float, pivots: float, bogie: float, overhang: float, width: float
) -> None:
    assume(stands(radius, pivots, bogie))
    half = pivots / 2 + overhang
    plan = stood(
        radius, Stock(pivots=pivots, bogie=bogie, front=half, rear=half, width=width)
    )
    inside = centre_throw_mm(radius, pivots_mm=pivots, bogie_wheelbase_mm=bogie)
    outside = end_throw_mm(
        radius,
        pivots_mm=pivots,
        bogie_wheelbase_mm=bogie,
        half_length_mm=half,
        width_mm=width,
    )
    assert inside == pytest.approx(radius - abs(plan.middle), abs=1e-6)
    assert outside == pytest.approx(
        abs(plan.outer_front) - radius - width / 2, abs=1e-6
    )
    assert abs(plan.outer_rear) == pytest.approx(abs(plan.outer_front), abs=1e-6)


@given(radius=radii, chord=lengths)
def test_the_centre_throw_without_bogies_is_the_versine(
    radius: float, chord: float
) -> None:
    assume(stands(radius, chord, 0))
    assert versine_mm(radius, chord_mm=chord) == pytest.approx(
        radius - sqrt(radius**2 - (chord / 2) ** 2), abs=1e-9
    )
    assert centre_throw_mm(radius, pivots_mm=chord) == versine_mm(
        radius, chord_mm=chord
    )


@given(pivots=lengths, overhang=st.floats(1, 100))
def test_long_radii_fall_back_on_the_text_books(pivots: float, overhang: float) -> None:
    """a²/8R and (L² − a²)/8R, with a width that the text-books leave out."""
    radius, length = 1e6, pivots + 2 * overhang
    inside = centre_throw_mm(radius, pivots_mm=pivots)
    outside = end_throw_mm(
        radius, pivots_mm=pivots, half_length_mm=length / 2, width_mm=1e-3
    )
    assert inside == pytest.approx(pivots**2 / 8 / radius, rel=1e-3)
    assert outside == pytest.approx((length**2 - pivots**2) / 8 / radius, rel=1e-3)


@given(pivots=lengths)
def test_both_throws_are_alike_where_the_length_is_root_two_times_the_pivots(
    pivots: float,
) -> None:
    inside = centre_throw_mm(1e6, pivots_mm=pivots)
    outside = end_throw_mm(
        1e6, pivots_mm=pivots, half_length_mm=pivots * sqrt(2) / 2, width_mm=1e-3
    )
    assert inside == pytest.approx(outside, rel=1e-3)


@given(radius=radii, more=st.floats(0, 1000), pivots=lengths, bogie=bogies)
def test_a_larger_radius_never_throws_the_centre_further(
    radius: float, more: float, pivots: float, bogie: float
) -> None:
    assume(stands(radius, pivots, bogie))
    sharp = centre_throw_mm(radius, pivots_mm=pivots, bogie_wheelbase_mm=bogie)
    assert (
        centre_throw_mm(radius + more, pivots_mm=pivots, bogie_wheelbase_mm=bogie)
        <= sharp
    )


@given(
    radius=radii,
    more=st.floats(0, 1000),
    pivots=lengths,
    bogie=bogies,
    overhang=st.floats(0, 90),
    width=widths,
)
def test_a_larger_radius_never_throws_an_end_further_that_hangs_over_enough(
    radius: float,
    more: float,
    pivots: float,
    bogie: float,
    overhang: float,
    width: float,
) -> None:
    """By the derivative's sign: c ≥ √((a/2)² + (p/2)²) × (1 + w / 2 R_m); a shorter end
    may draw in.
    """
    assume(stands(radius, pivots, bogie))
    middle = radius - centre_throw_mm(
        radius, pivots_mm=pivots, bogie_wheelbase_mm=bogie
    )
    half = hypot(pivots, bogie) / 2 * (1 + width / 2 / middle) + overhang
    sharp, easy = (
        end_throw_mm(
            each,
            pivots_mm=pivots,
            bogie_wheelbase_mm=bogie,
            half_length_mm=half,
            width_mm=width,
        )
        for each in (radius, radius + more)
    )
    assert easy <= sharp + 1e-9


@given(
    radius=radii,
    pivots=lengths,
    bogie=bogies,
    half=st.floats(10, 300),
    width=widths,
    ratio=st.floats(0.01, 100),
)
def test_throws_keep_their_proportion_in_any_scale(
    radius: float, pivots: float, bogie: float, half: float, width: float, ratio: float
) -> None:
    assume(stands(radius, pivots, bogie))
    model = end_throw_mm(
        radius,
        pivots_mm=pivots,
        bogie_wheelbase_mm=bogie,
        half_length_mm=half,
        width_mm=width,
    )
    full_size = end_throw_mm(
        radius * ratio,
        pivots_mm=pivots * ratio,
        bogie_wheelbase_mm=bogie * ratio,
        half_length_mm=half * ratio,
        width_mm=width * ratio,
    )
    assert full_size == pytest.approx(
        model * ratio, rel=1e-6, abs=1e-9 * ratio * radius
    )


@given(radius=radii, wheelbase=lengths)
def test_a_wheelbase_meets_the_rail_at_half_the_angle_it_spans(
    radius: float, wheelbase: float
) -> None:
    assume(stands(radius, wheelbase, 0))
    degrees_spanned = angle_of_chord(radius, wheelbase) * 180 / 3.141592653589793
    assert run_on_angle_deg(radius, wheelbase_mm=wheelbase) == pytest.approx(
        degrees_spanned / 2, abs=1e-6
    )
