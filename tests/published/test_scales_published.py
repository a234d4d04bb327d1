"""Scales and gauges by name, against the sheets and the practice that they come
from.
"""

import pytest

from standage.railway.terms.scales import ScaleName, scale

# Source: NEM 010 (2011).
CONTINENTAL = [
    ("Z", 220, 6.5),
    ("N", 160, 9),
    ("TT", 120, 12),
    ("H0", 87, 16.5),
    ("H0m", 87, 12),
    ("H0e", 87, 9),
    ("0", 45, 32),
    ("0e", 45, 16.5),
    ("1", 32, 45),
    ("II", 22.5, 64),
    ("G", 22.5, 45),
]
# Source: NMRA S-3.2; the narrow gauges and 0's half foot are common practice.
AMERICAN = [
    ("HO", 87.1, 16.5),
    ("HOn3", 87.1, 10.5),
    ("HOn30", 87.1, 9),
    ("S", 64, 22.5),
    ("Sn3", 64, 14.3),
    ("O", 48, 32),
    ("On3", 48, 19.05),
    ("On30", 48, 16.5),
]
# Common practice, no source.
BRITISH = [
    ("N British", 148, 9),
    ("2 mm fine", 152.4, 9.42),
    ("3 mm", 101.6, 12),
    ("3 mm fine", 101.6, 14.2),
    ("00", 76.2, 16.5),
    ("OO", 76.2, 16.5),
    ("EM", 76.2, 18.2),
    ("P4", 76.2, 18.83),
    ("S4", 76.2, 18.83),
    ("009", 76.2, 9),
    ("0 British", 43.5, 32),
    ("S7", 43.5, 33),
    ("016.5", 43.5, 16.5),
]
JAPANESE = [("N Japanese", 150, 9), ("H0 Japanese", 80, 16.5)]


@pytest.mark.parametrize(
    ("name", "ratio", "gauge_mm"), [*CONTINENTAL, *AMERICAN, *BRITISH, *JAPANESE]
)
def test_a_scale_has_the_ratio_and_gauge_that_its_name_stands_for(
    name: ScaleName, ratio: float, gauge_mm: float
) -> None:
    assert (scale(name).ratio, scale(name).gauge_mm) == (ratio, gauge_mm)


@pytest.mark.parametrize(
    ("names", "practice"),
    [(CONTINENTAL, "continental"), (AMERICAN, "american"), (BRITISH, "british")],
)
def test_a_scale_goes_by_the_practice_of_where_it_is_at_home(
    names: list[tuple[ScaleName, float, float]], practice: str
) -> None:
    assert {scale(name).practice for name, _, _ in names} == {practice}


def test_four_feet_eight_and_a_half_at_four_millimetres_is_the_fine_gauge() -> None:
    """P4 is 4 ft 8.5 in at 4 mm to the foot; EM and 00 are narrower than to scale."""
    exact_mm = 4 * (4 + 8.5 / 12)
    assert scale("P4").gauge_mm == pytest.approx(exact_mm, abs=0.005)
    assert scale("00").gauge_mm < scale("EM").gauge_mm < exact_mm
