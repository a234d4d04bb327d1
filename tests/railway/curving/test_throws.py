"""Throws and angles of one body on one curve, worked out by hand."""

from math import inf

import pytest

from standage.railway.curving.throws import (
    centre_throw_mm,
    end_throw_mm,
    run_on_angle_deg,
    stands_on,
    versine_mm,
)


def test_a_3_4_5_triangle_gives_the_centre_throw() -> None:
    assert centre_throw_mm(500, pivots_mm=600) == pytest.approx(100)


def test_a_bogie_s_own_wheelbase_draws_the_body_further_in() -> None:
    """R_m = √(9² − 4² − 1²) = 8 for a = 8, p = 2: the throw is 1."""
    assert centre_throw_mm(9, pivots_mm=8, bogie_wheelbase_mm=2) == pytest.approx(1)


def test_the_corner_swings_out_by_a_3_4_5_triangle() -> None:
    """R_m = 400; with a half-width of 20 the edge is at 420 and the corner, 315 along,
    at 525: 525 − 500 − 20 = 5.
    """
    assert end_throw_mm(
        500, pivots_mm=600, half_length_mm=315, width_mm=40
    ) == pytest.approx(5)


def test_an_end_short_of_the_pivots_may_stay_inside() -> None:
    """R_m = 400; edge 420, corner 0.1 along: 420 − 520 = −100."""
    assert end_throw_mm(
        500, pivots_mm=600, half_length_mm=0.1, width_mm=40
    ) == pytest.approx(-100, abs=0.001)


def test_straight_track_throws_nothing() -> None:
    assert centre_throw_mm(inf, pivots_mm=200, bogie_wheelbase_mm=30) == 0
    assert end_throw_mm(inf, pivots_mm=200, half_length_mm=150, width_mm=37) == 0


def test_wheels_that_just_span_the_circle_cannot_stand_on_it() -> None:
    assert not stands_on(5, pivots_mm=8, bogie_wheelbase_mm=6)
    assert stands_on(5.001, pivots_mm=8, bogie_wheelbase_mm=6)


@pytest.mark.parametrize("radius_mm", [5, 4, 0, -1])
def test_a_throw_where_nothing_can_stand_is_refused_by_name(radius_mm: float) -> None:
    with pytest.raises(
        ValueError, match=r"radius_mm is .* mm, but these wheels need more than 5 mm"
    ):
        centre_throw_mm(radius_mm, pivots_mm=8, bogie_wheelbase_mm=6)


def test_an_end_throw_where_nothing_can_stand_is_refused() -> None:
    with pytest.raises(ValueError, match="radius_mm"):
        end_throw_mm(5, pivots_mm=10, half_length_mm=8, width_mm=2)


def test_the_versine_of_a_chord_is_exact() -> None:
    assert versine_mm(500, chord_mm=600) == pytest.approx(100)


def test_a_wheelbase_of_the_radius_meets_the_rail_at_thirty_degrees() -> None:
    assert run_on_angle_deg(300, wheelbase_mm=300) == pytest.approx(30)
    assert run_on_angle_deg(300, wheelbase_mm=600) == pytest.approx(90)


def test_a_wheelbase_beyond_the_diameter_is_refused_by_name() -> None:
    with pytest.raises(
        ValueError, match="wheelbase_mm is 601 mm, but the curve's diameter is 600 mm"
    ):
        run_on_angle_deg(300, wheelbase_mm=601)


def test_figures_are_not_lost_on_a_curve_of_a_kilometre() -> None:
    """a²/8R of 10 mm on 1 km is 0.0000125 mm: the difference of two figures of a
    million would lose it.
    """
    assert centre_throw_mm(1e6, pivots_mm=10) == pytest.approx(1.25e-5, rel=1e-9)
