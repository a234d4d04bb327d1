"""Scale speed, against feet and seconds, against the full size on its own railway, and
against a model that is moved along."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.terms.scale_speed import (
    kmh_of_mph,
    model_speed_mm_s,
    seconds_over,
)

MM_IN_A_FOOT = Fraction("304.8")
speeds = st.fractions(min_value=Fraction(1, 10), max_value=600, max_denominator=1000)
ratios = st.fractions(min_value=8, max_value=450, max_denominator=10)
lengths = st.fractions(min_value=1, max_value=100_000, max_denominator=10)


@pytest.mark.parametrize("ratio", ["76.2", "87.1", "160", "48"])
def test_sixty_miles_an_hour_is_eighty_eight_feet_a_second_scaled_down(
    ratio: str,
) -> None:
    # 88 ft/s for 60 mph is what every table of speeds begins with: 5280 ft in 60 s
    expected = 88 * MM_IN_A_FOOT / Fraction(ratio)
    assert model_speed_mm_s(kmh_of_mph(Fraction(60)), ratio=Fraction(ratio)) == expected


def test_a_mile_is_1760_yards_of_the_international_yard() -> None:
    assert kmh_of_mph(Fraction(1)) == 1760 * Fraction("0.9144") / 1000


@given(speed_kmh=speeds, ratio=ratios, length_mm=lengths)
def test_the_model_takes_as_long_as_the_full_size_over_the_full_size_length(
    speed_kmh: Fraction, ratio: Fraction, length_mm: Fraction
) -> None:
    full_size_hours = length_mm * ratio / 1_000_000 / speed_kmh
    model = model_speed_mm_s(speed_kmh, ratio=ratio)
    assert seconds_over(length_mm, speed_mm_s=model) == full_size_hours * 60 * 60


@given(speed_kmh=speeds, ratio=ratios)
def test_a_model_that_is_moved_along_second_by_second_comes_as_far(
    speed_kmh: Fraction, ratio: Fraction
) -> None:
    speed_mm_s = model_speed_mm_s(speed_kmh, ratio=ratio)
    moved_mm, full_size_km = Fraction(0), Fraction(0)
    for _ in range(20):
        moved_mm += speed_mm_s
        full_size_km += speed_kmh / 3600
    assert moved_mm * ratio == full_size_km * 1_000_000
    assert seconds_over(moved_mm, speed_mm_s=speed_mm_s) == 20


@pytest.mark.parametrize("speed_mm_s", [0, -1])
def test_what_does_not_move_is_refused_with_its_unit(speed_mm_s: int) -> None:
    with pytest.raises(ValueError, match="mm/s, but must be above 0"):
        seconds_over(Fraction(100), speed_mm_s=Fraction(speed_mm_s))


def test_standing_still_is_standing_still_in_every_scale() -> None:
    assert model_speed_mm_s(Fraction(0), ratio=Fraction(87)) == 0
