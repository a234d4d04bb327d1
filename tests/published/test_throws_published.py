"""Throws, versines and passing against figures published elsewhere, each with its
source and tolerance.
"""

from math import inf

import pytest

from standage.questions.passing import PassingCase, reckon
from standage.railway.curving.curves import on_curve
from standage.railway.curving.throws import (
    centre_throw_mm,
    end_throw_mm,
    run_on_angle_deg,
    versine_mm,
)
from standage.railway.passing.gaps import Passer, Tracks, nearest_pairs
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.scales import full_size_mm

# Two coaches of group C, 27.2 m over buffers, pivots 19.5 m, 2.825 m wide. Source: NEM
# 103 (2016), NEM 112 as quoted.
GROUP_C_H0 = Passer(
    vehicle="Group C coach",
    width_mm=2825 / 87,
    pivots_mm=19500 / 87,
    half_length_mm=27200 / 87 / 2,
)


def test_a_degree_of_curve_has_a_mid_ordinate_of_one_inch_on_a_chord_of_62_feet() -> (
    None
):
    """US Army TM 5-628: 1 inch, exactly 1.006; a 1° curve subtends 1° by a chord of 100
    ft: R = 5729.65 ft.
    """
    assert versine_mm(5729.65 * 12, chord_mm=62 * 12) == pytest.approx(
        1.006, abs=0.0005
    )


def test_a_two_degree_curve_has_a_radius_of_875_m() -> None:
    """Indian Railways permanent-way manual, paragraph 401: a chord of 30.5 m subtends
    2° at R = 875 m.
    """
    assert 2 * run_on_angle_deg(875_000, wheelbase_mm=30_500) == pytest.approx(
        2.0, abs=0.005
    )


@pytest.mark.parametrize(
    ("radius_m", "chord_m"), [(875, 20), (600, 10), (1500, 20), (250, 7.2)]
)
def test_a_versine_in_mm_is_125_times_the_square_of_the_chord_over_the_radius_in_metres(
    radius_m: float, chord_m: float
) -> None:
    """Permanent-way handbooks: 125 c²/R, which falls short of the exact versine by
    c²/16R² of it.
    """
    expected = 125 * chord_m**2 / radius_m
    assert versine_mm(radius_m * 1000, chord_mm=chord_m * 1000) == pytest.approx(
        expected, rel=1e-4
    )


def test_the_standard_coach_throws_as_the_text_books_have_it() -> None:
    """Railway engineering text-books: a²/8R inside, (L² − a²)/8R outside; UIC type Z:
    26.4 m, pivots 19.0 m.

    On R = 250 m: 180.5 mm and 168 mm. The text-books leave out the width, worth under 1
    %, and the bogies' wheelbase.
    """
    inside_mm = centre_throw_mm(250_000, pivots_mm=19_000)
    outside_mm = end_throw_mm(
        250_000, pivots_mm=19_000, half_length_mm=13_200, width_mm=2_825
    )
    assert inside_mm == pytest.approx(180.5, rel=0.001)
    assert outside_mm == pytest.approx(168.0, rel=0.015)


def test_the_standard_coach_with_its_bogies_stands_in_by_their_own_versine_more() -> (
    None
):
    """UIC type Z, bogie wheelbase 2.56 m: p²/8R = 3.28 mm more on R = 250 m."""
    bare_mm = centre_throw_mm(250_000, pivots_mm=19_000)
    whole_mm = centre_throw_mm(250_000, pivots_mm=19_000, bogie_wheelbase_mm=2_560)
    assert whole_mm - bare_mm == pytest.approx(3.28, abs=0.02)


@pytest.mark.parametrize(
    ("length_m", "pivots_m", "radius_m"),
    [(14.04, 9.00, 150), (9.04, 4.85, 100), (10.00, 5.40, 100), (26.4, 19.0, 300)],
)
def test_wagons_and_coaches_throw_as_the_text_books_have_it(
    length_m: float, pivots_m: float, radius_m: float
) -> None:
    """UIC 571-1 and 571-2 wagons: a²/8R and (L² − a²)/8R, here without the width that
    the text-books leave out.
    """
    inside_mm = centre_throw_mm(radius_m * 1000, pivots_mm=pivots_m * 1000)
    outside_mm = end_throw_mm(
        radius_m * 1000,
        pivots_mm=pivots_m * 1000,
        half_length_mm=length_m * 500,
        width_mm=1e-6,
    )
    assert inside_mm == pytest.approx(1000 * pivots_m**2 / 8 / radius_m, rel=0.002)
    assert outside_mm == pytest.approx(
        1000 * (length_m**2 - pivots_m**2) / 8 / radius_m, rel=0.005
    )


def test_a_coach_in_h0_is_answered_by_the_same_figures_to_scale() -> None:
    """UIC type Z at 1:87 on R = 500 mm: a²/8R + p²/8R = 12.14 mm inside; exact figures
    lie within 2 % of it.
    """
    coach = Vehicle(
        name="Coach",
        kind="coach",
        length_mm=full_size_mm(26.4, ratio=87),
        length_over="buffers",
        bogie_centres_mm=full_size_mm(19.0, ratio=87),
        bogie_wheelbase_mm=full_size_mm(2.56, ratio=87),
        width_mm=full_size_mm(2.825, ratio=87),
    )
    answer = on_curve(coach, radius_mm=500)
    assert answer.centre_throw_mm == pytest.approx(12.14, rel=0.02)


@pytest.mark.parametrize(
    ("radius_mm", "spacing_mm"),
    [(400, 64), (500, 59), (600, 55), (800, 50), (1000, 47)],
)
def test_the_quoted_spacings_leave_two_long_coaches_2_5_to_4_5_mm(
    radius_mm: float, spacing_mm: float
) -> None:
    """NEM 112 as quoted, H0, group C, R of the inner track."""
    tracks = Tracks(inner_radius_mm=radius_mm, spacing_mm=spacing_mm)
    (worst,) = nearest_pairs([GROUP_C_H0], tracks)
    assert 2.5 <= worst.gap_mm <= 4.5


@pytest.mark.parametrize(
    ("scale", "spacing_mm"),
    [("H0", 46), ("H0", 52), ("N", 25), ("N", 28), ("TT", 34), ("HO", 1.8125 * 25.4)],
)
def test_straight_track_at_the_standard_spacing_is_clear_for_stock_of_unknown_width(
    scale: str, spacing_mm: float
) -> None:
    """NEM 112 as quoted; NMRA S-8 for HO, 1 13/16 in."""
    coach = Vehicle(name="Coach", kind="coach", scale=scale)  # type: ignore[arg-type] # parametrized by its name
    answer = reckon(
        PassingCase(vehicles=(coach,), inner_radius_mm=None, spacing_mm=spacing_mm)
    )
    assert answer.verdict == "clear"


def test_straight_track_needs_less_than_any_curve() -> None:
    """NEM 112 as quoted: 46 mm straight, and from 47 mm at R 1000 upwards in curves,
    for group C in H0.
    """
    gaps = [
        nearest_pairs([GROUP_C_H0], Tracks(inner_radius_mm=radius_mm, spacing_mm=46))[
            0
        ].gap_mm
        for radius_mm in (400, 500, 600, 800, 1000, inf)
    ]
    assert gaps == sorted(gaps)
