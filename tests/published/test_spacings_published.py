"""How far apart tracks lie, as the standards have it."""

from fractions import Fraction

import pytest

from standage.railway.published.nem_103_groups import Group, group
from standage.railway.published.nem_112 import (
    Beside,
    curve_spacing,
    straight_spacing,
)
from standage.railway.published.nmra_s_8 import curve_spacing as curve_by_s_8
from standage.railway.published.nmra_s_8 import tangent_spacing
from standage.railway.published.tables import Held, NotHeld
from standage.railway.terms.nem import Size
from standage.railway.terms.scales import ScaleName


@pytest.mark.parametrize(
    ("scale", "beside", "spacing_mm"),
    [
        ("H0", "running_line", 46),
        ("H0", "station", 52),
        ("N", "running_line", 25),
        ("N", "station", 28),
        ("TT", "running_line", 34),
    ],
)
def test_straight_tracks_lie_as_far_apart_as_nem_112_has_it(
    scale: ScaleName, beside: Beside, spacing_mm: float
) -> None:
    """**Source** NEM 112 as quoted."""
    found = straight_spacing(scale, beside=beside)
    assert isinstance(found, Held)
    assert found.value_mm == spacing_mm


@pytest.mark.parametrize(
    ("radius_mm", "spacing_mm"),
    [(400, 64), (500, 59), (600, 55), (800, 50), (1000, 47)],
)
def test_curved_tracks_of_group_c_lie_as_far_apart_as_nem_112_has_it(
    radius_mm: float, spacing_mm: float
) -> None:
    """**Source** NEM 112 as quoted, H0."""
    found = curve_spacing("H0", inner_radius_mm=radius_mm, group="C")
    assert isinstance(found, Held)
    assert found.value_mm == spacing_mm


@pytest.mark.parametrize(
    ("scale", "radius_mm", "of"),
    [
        ("H0", 450.0, "C"),
        ("H0", 400.0, "A"),
        ("H0", 400.0, "B"),
        ("H0", 400.0, None),
        ("HO", 400.0, "C"),
        ("00", 400.0, "C"),
        ("N", 400.0, "C"),
    ],
)
def test_no_curve_of_nem_112_is_invented(
    scale: ScaleName, radius_mm: float, of: Group | None
) -> None:
    found = curve_spacing(scale, inner_radius_mm=radius_mm, group=of)
    assert isinstance(found, NotHeld)


@pytest.mark.parametrize(
    ("scale", "beside"),
    [("TT", "station"), ("HO", "running_line"), ("0", "station"), ("00", "station")],
)
def test_no_straight_track_of_nem_112_is_invented(
    scale: ScaleName, beside: Beside
) -> None:
    assert isinstance(straight_spacing(scale, beside=beside), NotHeld)


@pytest.mark.parametrize(
    ("size", "longest_mm"),
    [
        ("N", (125, 151, 170)),
        ("TT", (167, 202, 227)),
        ("H0", (230, 278, 313)),
        ("0", (460, 556, 625)),
    ],
)
def test_a_body_goes_into_the_first_group_of_nem_103_that_is_long_enough(
    size: Size, longest_mm: tuple[float, ...]
) -> None:
    """**Source** NEM 103 (2016): bodies up to 20.0, 24.2 and 27.2 m."""
    just = [group(size, body_mm=each, pivots_mm=0) for each in longest_mm]
    beyond = [group(size, body_mm=each + 1, pivots_mm=0) for each in longest_mm]
    assert just == ["A", "B", "C"]
    assert beyond == ["B", "C", None]


@pytest.mark.parametrize(
    ("pivots_mm", "of"),
    # 14.0, 17.2 and 19.5 m at 1:87 are 160.9, 197.7 and 224.1 mm
    [
        (160.9, "A"),
        (161.0, "B"),
        (197.7, "B"),
        (197.8, "C"),
        (224.1, "C"),
        (224.2, None),
    ],
)
def test_pivots_that_are_farther_apart_put_a_short_body_into_a_later_group(
    pivots_mm: float, of: Group | None
) -> None:
    """**Source** NEM 103 (2016), H0."""
    assert group("H0", body_mm=200, pivots_mm=pivots_mm) == of


@pytest.mark.parametrize(
    ("scale", "inches"),
    [("N", 1 + 1 / 32), ("HO", 1 + 13 / 16), ("S", 2 + 7 / 16), ("O", 3 + 1 / 4)],
)
def test_straight_tracks_lie_as_far_apart_as_s_8_has_it(
    scale: ScaleName, inches: float
) -> None:
    """**Source** NMRA S-8 as quoted; 3 3/4 in of O is another column."""
    found = tangent_spacing(scale)
    assert isinstance(found, Held)
    assert found.value_mm == pytest.approx(inches * 25.4, abs=1e-9)


@pytest.mark.parametrize("scale", ["H0", "TT", "00", "HOn3", "0"])
def test_s_8_has_no_other_scale_and_no_curve(scale: ScaleName) -> None:
    assert isinstance(tangent_spacing(scale), NotHeld)
    assert isinstance(curve_by_s_8("HO", inner_radius_mm=457.2), NotHeld)


@pytest.mark.parametrize(
    ("size", "ratio"), [("N", 160), ("TT", 120), ("H0", 87), ("0", 43.5)]
)
def test_pivots_are_those_of_the_full_size_in_each_size_s_own_scale(
    size: Size, ratio: float
) -> None:
    """**Source** NEM 103 (2016): 14.0, 17.2 and 19.5 m; lengths in 0 are at 1:43.5."""
    in_full = [Fraction(metres) * 1000 for metres in ("14.0", "17.2", "19.5")]
    of_models = [float(one / Fraction(ratio)) for one in in_full]
    just = [group(size, body_mm=100, pivots_mm=each - 0.1) for each in of_models]
    beyond = [group(size, body_mm=100, pivots_mm=each + 0.1) for each in of_models]
    assert just == ["A", "B", "C"]
    assert beyond == ["B", "C", None]
