"""A wire's area beside a name that says another."""

import pytest

from standage.railway.modules.boards import ModuleFigures
from standage.railway.slips.judges import likely_slips
from standage.railway.slips.wire import other_copper_slips, wire_slips


@pytest.mark.parametrize("figure", [16, 3.2, 0.2])
def test_the_strands_of_a_wire_counted_or_multiplied_are_not_its_copper(
    figure: float,
) -> None:
    """Sixteen strands 0.2 mm across have 16 × 0.0314 mm²."""
    (slip,) = other_copper_slips(figure, called="16/0.2 mm", field="wire_area_mm2")
    assert (slip.code, slip.field) == ("area_or_diameter", "wire_area_mm2")
    assert slip.likely_value == 0.503


@pytest.mark.parametrize(
    ("figure", "called"),
    [
        (0.5, "16/0.2"),
        (0.22, "7/0.2"),
        (1.0, "32/0.2 mm"),
        (2.5, "14 AWG"),
        (1.5, "16 AWG"),
        (0.34, "22 AWG"),
        (0.75, "bus"),
        (0.8, "0.8 mm²"),
        (0.5, "16/0.0"),
        (0.5, "0 mm²"),
    ],
)
def test_a_wire_sold_by_its_nominal_area_raises_nothing(
    figure: float, called: str
) -> None:
    """Makers' lists of equipment wire and cable: what is sold beside what."""
    vehicle = ModuleFigures(wire=called, wire_area_mm2=figure)
    assert list(likely_slips(vehicle)) == []


def test_an_area_that_neither_gauge_of_a_number_has_is_told_without_choosing() -> None:
    (slip,) = other_copper_slips(5, called="22 gauge")
    assert slip.likely_value is None
    assert "0.326 to 0.397 mm²" in slip.message


@pytest.mark.parametrize(
    ("across_mm", "says_only"), [(0.6, True), (1.5, False), (2.25, False)]
)
def test_only_where_it_is_less_is_copper_told_to_be_only_so_much(
    across_mm: float, *, says_only: bool
) -> None:
    """π/4 of the square: of 0.6 mm 0.28 mm², of 1.5 mm 1.77, of 2.25 mm 3.98."""
    (slip,) = wire_slips(across_mm, called=f"{across_mm:g} mm")
    assert ("only" in slip.message) is says_only
