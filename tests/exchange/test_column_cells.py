"""What a column is taken to hold by its cells, where its head says something else or
too little.
"""

import pytest

from standage.exchange.cells import Cell, Sheet
from standage.exchange.headings import Column, found_columns
from standage.exchange.stock.stock import STOCK
from standage.railway.terms.scales import ScaleName


def column(
    head: str,
    *cells: Cell,
    beside: tuple[str, Cell] | None = None,
    club: ScaleName = "00",
) -> Column:
    """Return what a column is taken for in a list of names, with another column beside
    it at need.
    """
    heads: tuple[Cell, ...] = (
        ("Name", head) if beside is None else ("Name", head, beside[0])
    )
    ends: tuple[Cell, ...] = () if beside is None else (beside[1],)
    rows = tuple((f"Van {number}", cell, *ends) for number, cell in enumerate(cells))
    return found_columns(
        Sheet(format="csv", rows=(heads, *rows)), 1, STOCK, scale=club
    )[1]


@pytest.mark.parametrize(
    "head", ["Gauge", "Track gauge", "Gage", "Scale", "Scale/gauge", "Gauge / Scale"]
)
@pytest.mark.parametrize(
    "cells",
    [
        ("OO", "00", "HO"),
        ("N", "N", "N"),
        ("OO gauge", "0 gauge", "EM"),
        ("4mm", "7mm", "4 mm/ft"),
        ("1/76", "1:87", "1:148"),
        ("HO (16.5 mm)", "N (9 mm)"),
        (76.0, 87.0, 148.0),
        ("OO",),
    ],
)
def test_names_of_scales_are_scales_whatever_heads_them(
    head: str, cells: tuple[Cell, ...]
) -> None:
    assert column(head, *cells).field == "scale"


@pytest.mark.parametrize("head", ["Gauge", "Gauge (mm)", "Scale"])
@pytest.mark.parametrize(
    "cells", [(16.5, 16.5, 9.0), ("16.5", "16,5", "12"), ("16.5 mm", "9 mm", "16.5")]
)
def test_figures_of_gauges_are_gauges_whatever_heads_them(
    head: str, cells: tuple[Cell, ...]
) -> None:
    if head == "Scale" and "16.5 mm" in cells:
        cells = ("16.5", "9", "16.5")
    assert column(head, *cells).field == "gauge_mm"


def test_a_gauge_beside_a_scale_stays_a_gauge() -> None:
    assert (
        column("Gauge", "EM", "OO", "EM", beside=("Scale", "4 mm")).field == "gauge_mm"
    )


def test_what_is_neither_scale_nor_gauge_is_left_out_and_told() -> None:
    found = column("Gauge", "standard", "narrow", "standard")
    assert found.field is None
    assert found.remark is not None
    assert "“standard”" in found.remark


@pytest.mark.parametrize(
    ("head", "cells", "field"),
    [
        ("Type", ("van", "brake van", "open wagon"), "kind"),
        ("Type", ("Lot 14", "Lot 15", "Lot 16"), None),
        ("Class / type", ("DMU", "loco", "wagon"), "kind"),
        ("Class", ("loco", "coach", "wagon"), "kind"),
        ("Class", ("08",), None),
        ("Class", ("37", "47", "57"), None),
        ("Weight", ("light", "heavy", "light"), None),
        ("Weight", ("42", "heavy", "61"), "mass_g"),
        ("Weight", ("heavy", "42"), "mass_g"),
        ("Count", ("one", "two", "several"), "count"),
        ("Scale", ("big", "small", "small"), "scale"),
        ("Cars", ("3", "2", "4"), "count"),
        ("Owned?", ("Y", "N", "Y"), None),
        ("Owner", ("Hazel", "Y", "Robin"), "owner"),
        ("Length", ("short", "long", "long"), None),
        ("Length", ("about 80", "about 90", "about 82"), "length_mm"),
    ],
)
def test_a_column_of_which_most_cells_are_nothing_of_the_sort_is_left_out(
    head: str, cells: tuple[Cell, ...], field: str | None
) -> None:
    assert column(head, *cells).field == field


@pytest.mark.parametrize(
    ("head", "cells", "unit"),
    [
        # 3.25 to 10 in are 6.3 to 19.4 m of the full size at 1:76.2; in mm or cm some
        # would be under 3 m.
        ("Length", (3.25, 3.5, 3.75, 5.0, 9.5), "in"),
        ("Length", ("3 1/2", "4", "9 3/4"), "in"),
        ("Length", ('3.5"', 9.75, 10.0), "in"),
        # 20 to 60 ft of the full size; in mm most would be under 4 m.
        ("Length", (57.0, 40.0, 36.0, 20.0), "ft"),
        ("Length", ("57'", "40", "38"), "ft"),
        ("Length", ("8.5 cm", 8.2, 12.4), "cm"),
        ("Length", (82.0, 110.0, 250.0), None),
        # 10 in, 10 cm and 10 m are all possible.
        ("Length", (9.5, 9.75, 10.0), None),
        ("Minimum radius", (18.0, 22.0, 24.0), "in"),
        ("Min. radius", ("3 ft", 2.5, 4.0), "ft"),
        # 1.5 to 3 are feet as well as metres.
        ("Min. radius", (1.5, 2.0, 3.0), None),
        ("Min. radius", (438.0, 505.0), None),
        # 36 cm and 36 in are both common.
        ("Min. radius", (36.0, 43.0), None),
        ("Length (cm)", (8.5, 8.2), "cm"),
        # 3.25 to 12 oz are 92 to 340 g; as grams they are lighter than any model, as
        # pounds heavier than most.
        ("Weight", (3.5, 4.0, 3.25, 12.0), "oz"),
        ("Weight", (35.0, 42.0, 310.0), None),
        ("Weight", ("1.5 oz", 2.0, 1.25), "oz"),
        # 82 or 3.23: the heading leaves open which.
        ("Length mm/in", (82.0, 90.0), None),
    ],
)
def test_the_unit_of_bare_figures_is_the_only_one_in_which_they_make_sense(
    head: str, cells: tuple[Cell, ...], unit: str | None
) -> None:
    assert column(head, *cells).unit == unit


def test_figures_that_can_be_in_two_units_are_told_once_and_settled_by_nobody_but_the_caller() -> (
    None
):
    found = column("Length", 9.5, 9.75, 10.0)
    assert (found.field, found.unit) == ("length_mm", None)
    assert found.remark is not None
    assert "inches" in found.remark
    assert "cm" in found.remark


def test_the_scale_that_most_rows_name_tells_what_makes_sense() -> None:
    # 2 to 5 in are 8 to 20 m at 1:160, and from 2.4 m at 1:48, where no vehicle is so
    # short.
    assert column("Length", 2.0, 4.0, 5.0, beside=("Scale", "N"), club="O").unit == "in"
    assert column("Length", 2.0, 4.0, 5.0, club="O").unit is None
