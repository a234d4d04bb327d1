"""Platforms, structure gauges, clearances and wires, as their standards have them."""

import pytest

from standage.railway.published.fixed_clearances import clear_above, clear_aside
from standage.railway.published.loading_gauges import loading_heights
from standage.railway.published.nem_102 import structure_half_width, structure_height
from standage.railway.published.nem_103_groups import Group
from standage.railway.published.nem_103_widening import widening
from standage.railway.published.nem_105 import tunnel_wall
from standage.railway.published.platforms import platform_edge, platform_heights
from standage.railway.published.tables import Found, Held, NotAllowed, NotHeld
from standage.railway.published.wires import wire_heights
from standage.railway.terms.scales import ScaleName
from support.walks import at_each


def value_mm(found: Found) -> float:
    assert isinstance(found, Held)
    return found.value_mm


@at_each(
    "name, edge_mm, height_mm",
    [
        # 730 mm from the near rail's running edge, 915 high: British group standard
        ("00", 19.0, 12.0),
        ("EM", 19.0, 12.0),
        ("P4", 19.0, 12.0),
        ("0 British", 33.3, 21.0),
        ("S7", 33.3, 21.0),
        ("N British", 9.8, 6.2),
    ],
)
def test_a_british_platform_s_edge_is_that_of_the_full_size_whatever_the_gauge(
    name: ScaleName, edge_mm: float, height_mm: float
) -> None:
    assert value_mm(platform_edge(name)) == pytest.approx(edge_mm, abs=0.05)
    (height,) = platform_heights(name)
    assert value_mm(height) == pytest.approx(height_mm, abs=0.05)


@at_each("name, heights_mm", [("H0", [6.3, 8.7]), ("HO", [2.3, 14.0])])
def test_other_platforms_have_two_heights_and_no_edge(
    name: ScaleName, heights_mm: list[float]
) -> None:
    """550 and 760 mm in Europe, 8 and 48 in in North America."""
    found = [value_mm(one) for one in platform_heights(name)]
    assert found == pytest.approx(heights_mm, abs=0.05)
    assert isinstance(platform_edge(name), NotHeld)


@at_each("name", ["009", "H0e", "HOn3", "016.5", "On30", "H0m"])
def test_no_standard_of_standard_gauge_is_held_for_narrow_gauge(
    name: ScaleName,
) -> None:
    every = [
        platform_edge(name),
        *platform_heights(name),
        clear_aside(name),
        clear_above(name),
        structure_half_width(name),
        *wire_heights(name),
    ]
    assert all(isinstance(one, NotHeld) for one in every)


def test_american_clearances_are_9_ft_aside_and_23_ft_above() -> None:
    """AREMA: HO 31.5 and 80.5."""
    assert value_mm(clear_aside("HO")) == pytest.approx(31.5, abs=0.05)
    assert value_mm(clear_above("HO")) == pytest.approx(80.5, abs=0.05)
    assert isinstance(clear_aside("H0"), NotHeld)


@at_each(
    "name, half_mm, height_mm",
    [("N", 13.5, 33), ("TT", 18, 43), ("H0", 24, 59), ("0", 47, 109)],
)
def test_the_structure_gauge_is_that_of_nem_102(
    name: ScaleName, half_mm: float, height_mm: float
) -> None:
    """NEM 102 (2017): half of BL1, and HL4."""
    assert value_mm(structure_half_width(name)) == half_mm
    assert value_mm(structure_height(name)) == height_mm


@at_each(
    "name, radius_mm, group, widening_mm",
    [
        # NEM 103 (2016), cells from its corners and its middle
        ("N", 175, "A", 4),
        ("N", 250, "C", 6),
        ("TT", 350, "B", 6),
        ("H0", 400, "B", 11),
        ("H0", 600, "B", 6),
        ("0", 900, "C", 25),
        ("0", 4000, "A", 0),
    ],
)
def test_a_cell_of_nem_103_is_held(
    name: ScaleName, radius_mm: float, group: Group, widening_mm: float
) -> None:
    found = widening(name, radius_mm=radius_mm, group=group)
    assert value_mm(found) == widening_mm


@at_each(
    "name, radius_mm, group",
    [("H0", 300, "A"), ("H0", 400, "C"), ("N", 200, "B"), ("0", 600, "B")],
)
def test_a_dash_of_nem_103_is_not_allowed(
    name: ScaleName, radius_mm: float, group: Group
) -> None:
    found = widening(name, radius_mm=radius_mm, group=group)
    assert isinstance(found, NotAllowed)
    assert isinstance(tunnel_wall(name, widened=found), NotAllowed)


@at_each(
    "name, radius_mm, group",
    [
        ("H0", 610, "A"),
        ("H0", 174, "A"),
        ("H0", 4001, "A"),
        ("HO", 600, "A"),
        ("00", 600, "A"),
        ("H0", 600, None),
    ],
)
def test_between_and_beside_the_rows_of_nem_103_nothing_is_held(
    name: ScaleName, radius_mm: float, group: Group | None
) -> None:
    found = widening(name, radius_mm=radius_mm, group=group)
    assert isinstance(found, NotHeld)
    assert isinstance(tunnel_wall(name, widened=found), NotHeld)


def test_a_tunnel_s_wall_is_half_of_bl1_and_three_tenths_of_the_gauge_off() -> None:
    """NEM 105 (2013): 0.5 BL1 + 0.3 G + E; H0 24 + 4.95, and 6 more on R 600."""
    straight = widening("H0", radius_mm=None, group="B")
    assert value_mm(tunnel_wall("H0", widened=straight)) == 28.95
    curve = widening("H0", radius_mm=600, group="B")
    assert value_mm(tunnel_wall("H0", widened=curve)) == 34.95


def test_wires_hang_as_high_as_in_full_size() -> None:
    """4.70 m and 4.165 at least in Britain, 5.50 and 4.95 on the continent."""
    british = [value_mm(one) for one in wire_heights("00")]
    assert british == pytest.approx([4700 / 76.2, 4165 / 76.2])
    continental = [value_mm(one) for one in wire_heights("N")]
    assert continental == pytest.approx([5500 / 160, 4950 / 160])
    assert not wire_heights("HO")


def test_stock_to_the_uic_s_gauges_is_428_and_465_cm_high() -> None:
    found = [value_mm(one) for one in loading_heights("H0")]
    assert found == pytest.approx([4280 / 87, 4650 / 87])
