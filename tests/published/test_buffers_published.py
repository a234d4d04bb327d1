"""Buffers as the standards publish them."""

import pytest

from standage.railway.curving.buffers import (
    standard_buffers,
    usual_centres_mm,
)
from standage.railway.published.nem_111 import RunningGear, touching_buffers_radius_mm
from standage.railway.terms.scales import ScaleName, scale


@pytest.mark.parametrize(
    ("name", "centres_mm", "height_mm"),
    [("N", 11.0, 6.7), ("TT", 14.5, 8.9), ("H0", 20.0, 12.2), ("0", 39.5, 23.6)],
)
def test_buffers_stand_where_nem_303_puts_them(
    name: ScaleName, centres_mm: float, height_mm: float
) -> None:
    """**Source** NEM 303 (2015), exact."""
    place = standard_buffers(name)
    assert place is not None
    assert (place.centres_mm, place.height_mm) == (centres_mm, height_mm)
    assert usual_centres_mm(name) == centres_mm


@pytest.mark.parametrize("name", ["N", "TT", "H0", "0"])
def test_the_full_size_scaled_down_meets_nem_303(name: ScaleName) -> None:
    """**Source** NEM 303 (2015) against the full size of 1.75 m (common practice):
    within 2 %, as the sheet rounds.
    """
    place = standard_buffers(name)
    assert place is not None
    assert place.centres_mm == pytest.approx(1750 / scale(name).ratio, rel=0.02)


@pytest.mark.parametrize(
    ("over_buffers_m", "pivots_m", "gear", "gauges"),
    [
        (9.8, 5.0, "two_axle", 50),
        (20.0, 14.0, "bogies", 57),
        (24.2, 17.2, "bogies", 60),
        (27.2, 19.5, "bogies", 84),
        (19.9, 14.1, "bogies", 60),
        (20.1, 13.9, "bogies", 60),
        (26.4, 19.0, "bogies", 84),
        (14.04, 9.0, "bogies", 57),
    ],
)
def test_touching_buffers_need_the_multiples_of_the_gauge_that_nem_111_gives(
    over_buffers_m: float, pivots_m: float, gear: RunningGear, gauges: int
) -> None:
    """**Source** NEM 111 (2016), section 3.2, groups of NEM 103 (2016); the last two
    are UIC type Z and UIC 571-2.
    """
    for gauge_mm in (9.0, 12.0, 16.5, 32.0):
        found = touching_buffers_radius_mm(
            gauge_mm, over_buffers_m=over_buffers_m, pivots_m=pivots_m, gear=gear
        )
        assert found == gauges * gauge_mm
