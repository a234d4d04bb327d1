"""Least radii as the standards have them."""

import pytest

from standage.railway.published.nem_103_groups import Group
from standage.railway.published.nem_111 import LINES as NEM_LINES
from standage.railway.published.nem_111 import Line as NemLine
from standage.railway.published.nem_111 import least_radius as by_nem_111
from standage.railway.published.nmra_rp_11 import LINES, Line, points_number
from standage.railway.published.nmra_rp_11 import least_radius as by_rp_11
from standage.railway.published.tables import Held, NotHeld
from standage.railway.terms.scales import ScaleName
from support.walks import at_each

INCH_MM = 25.4
GROUPS: tuple[Group, ...] = ("A", "B", "C")


@at_each(
    "line, radii_mm",
    [
        ("absolute", (363, 412, 495)),
        ("station", (412, 495, 577)),
        ("branch_main", (495, 577, 660)),
        ("main_line", (577, 660, 742)),
    ],
)
def test_nem_111_has_a_least_radius_for_each_group_and_sort_of_line(
    line: NemLine, radii_mm: tuple[float, ...]
) -> None:
    """**Source** NEM 111 as quoted in 2012, H0."""
    found = [by_nem_111("H0", line=line, group=each) for each in GROUPS]
    held = [one.value_mm for one in found if isinstance(one, Held)]
    assert held == list(radii_mm)


@at_each("scale, group", [("HO", "A"), ("N", "B"), ("00", "C"), ("H0", None)])
def test_nem_111_has_no_other_scale_and_no_other_group(
    scale: ScaleName, group: Group | None
) -> None:
    for line in NEM_LINES:
        assert isinstance(by_nem_111(scale, line=line, group=group), NotHeld)


@at_each(
    "scale, line, inches, number",
    [
        ("HO", "main_line", 40, 7),
        ("HO", "branch", 16.5, 5),
        ("N", "main_line", 21.5, None),
        ("N", "branch", 8.875, None),
    ],
)
def test_rp_11_has_a_least_radius_and_the_points_that_go_with_it(
    scale: ScaleName, line: Line, inches: float, number: int | None
) -> None:
    """**Source** NMRA RP-11 as quoted; the points' number is quoted in HO alone."""
    found = by_rp_11(scale, line=line)
    assert isinstance(found, Held)
    assert found.value_mm == pytest.approx(inches * INCH_MM, abs=1e-9)
    assert points_number(scale, line=line) == number


@pytest.mark.parametrize("scale", ["H0", "S", "O", "TT", "00", "N British", "HOn3"])
def test_rp_11_has_no_other_scale(scale: ScaleName) -> None:
    assert all(isinstance(by_rp_11(scale, line=line), NotHeld) for line in LINES)
    assert {points_number(scale, line=line) for line in LINES} == {None}
