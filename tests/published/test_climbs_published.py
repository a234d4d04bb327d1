"""Haulage, weights and lengths against figures published elsewhere."""

from fractions import Fraction
from typing import get_args

import pytest

from standage.railway.climbs.haulage import (
    Way,
    band,
    curve_drag_percent,
    hauled_from_level,
    resistance_g,
)
from standage.railway.published.nmra_rp_20_1 import recommended_mass_g
from standage.railway.terms.lengths import Written, read_length
from standage.railway.terms.scales import ScaleName

POUND_G = 453.59237
OUNCE_G = POUND_G / 16


def test_grade_resistance_is_twenty_pounds_for_each_short_ton_and_per_cent() -> None:
    """Source: US Army TR0603."""
    for percent in (1.0, 2.5):
        assert resistance_g(2000 * POUND_G, percent=percent) / POUND_G == pytest.approx(
            20 * percent
        )


@pytest.mark.parametrize(
    ("level", "gradient", "rolling", "hauled", "within"),
    [(100, 1.0, 1.0, 50, 0.01), (100, 2.0, 1.0, 33, 0.5), (100, 2.5, 1.4, 36, 0.5)],
)
def test_haulage_falls_as_practitioners_have_found(
    level: int, gradient: float, rolling: float, hauled: int, within: float
) -> None:
    """Source: common practice; whole vehicles, so within half of one."""
    found = hauled_from_level(
        level, way=Way(gradient_percent=gradient), rolling_percent=rolling
    )
    assert found == pytest.approx(hauled, abs=within)


@pytest.mark.parametrize(
    ("one_in", "left"), [(100, 50), (50, 30), (50, 33), (40, 36), (30, 20)]
)
def test_the_band_holds_what_practitioners_have_found(one_in: float, left: int) -> None:
    """Source: common practice, of 100 vehicles on the level."""
    found = band(100.0, way=Way(gradient_percent=100 / one_in))
    assert found.fewest <= left <= found.most


@pytest.mark.parametrize("degrees", [1.0, 2.0, 5.0])
def test_a_curve_drags_like_four_hundredths_of_a_per_cent_for_each_degree(
    degrees: float,
) -> None:
    """Source: AREA as quoted; a 1° curve has 5729.6 ft of radius where 100 ft turn one
    degree.
    """
    assert curve_drag_percent(5729.6 / degrees * 304.8, ratio=1) == pytest.approx(
        0.04 * degrees, rel=1e-4
    )


def test_a_two_degree_curve_of_875_m_drags_like_eight_hundredths() -> None:
    """Source: Indian Railways permanent-way manual, para 401: 2° is 875 m, to the
    nearest 5 m.
    """
    assert curve_drag_percent(875_000, ratio=1) == pytest.approx(0.08, rel=2.5 / 875)


@pytest.mark.parametrize(
    ("name", "initial_oz", "inch_oz"),
    [
        ("HO", 1.0, 0.5),
        ("N", 0.5, 0.15),
        ("TT", 0.75, 0.375),
        ("S", 2.0, 0.5),
        ("O", 5.0, 1.0),
    ],
)
def test_a_vehicle_weighs_what_the_sheet_recommends_for_its_body(
    name: ScaleName, initial_oz: float, inch_oz: float
) -> None:
    """Source: NMRA RP-20.1."""
    for inches in (0.0, 1.0, 6.0):
        found = recommended_mass_g(inches * 25.4, scale=name)
        assert found == pytest.approx(
            (initial_oz + inches * inch_oz) * OUNCE_G, rel=1e-6
        )


def test_the_european_name_of_a_size_takes_the_same_row_and_other_sizes_have_none() -> (
    None
):
    """Europe's 0 is 1:45 (NEM 010), and the sheet's O is 1:48."""
    assert recommended_mass_g(100, scale="H0") == recommended_mass_g(100, scale="HO")
    for name in get_args(ScaleName):
        if name not in {"N", "TT", "H0", "HO", "S", "O"}:
            assert recommended_mass_g(100, scale=name) is None


@pytest.mark.parametrize(
    ("text", "mm", "source"),
    [
        ("1 13/16 in", "46.0375", "NMRA S-8: HO tangent track spacing"),
        ("1 1/32 in", "26.19375", "NMRA S-8: N tangent track spacing"),
        ("44 ft 2½ in", "13474.7", "40 ft box car over pulling faces"),
        ("64 ft 6 in", "19659.6", "British standard coach of 1951"),
        ("46 ft 6 in", "14173.2", "its bogie centres"),
        ("17 ft 6 in", "5334", "British wagon over headstocks"),
        ("59 ft 6 in", "18135.6", "85 ft passenger car between pivots"),
        ("5 ft", "1524", "the siding of 1524 mm"),
        ("26.4 m", "26400", "UIC type Z coach over buffers"),
        ("1 yd", "914.4", "international yard, 1959"),
    ],
)
def test_published_lengths_are_read_exactly(text: str, mm: str, source: str) -> None:
    """An inch is 25.4 mm by the international agreement of 1959."""
    assert read_length(text) == Written(mm=Fraction(mm)), source
