"""Cells as members write them: what each is taken for, and what is said of one that
cannot be taken.
"""

import re

import pytest

from standage.exchange.cells import Cell, Strange
from standage.exchange.numbers import Trouble
from standage.exchange.readings import Around, Taken
from standage.exchange.stock.fields import FIELDS
from standage.exchange.values import read_cell
from standage.railway.terms.scales import scale


def read(field: str, cell: Cell, *, unit: str | None = None) -> Taken | Trouble:
    return read_cell(
        FIELDS.by_name[field],
        cell,
        Around(unit=unit, decimal="either", scale=scale("00")),
    )


def value(field: str, cell: Cell, *, unit: str | None = None) -> object:
    taken = read(field, cell, unit=unit)
    assert isinstance(taken, Taken), taken
    return taken.value


def trouble(field: str, cell: Cell, *, unit: str | None = None) -> Trouble:
    found = read(field, cell, unit=unit)
    assert isinstance(found, Trouble), found
    return found


@pytest.mark.parametrize(
    ("field", "cell", "unit", "meant"),
    [
        ("length_mm", "4½", "in", 114.3),  # 4.5 in of 25.4 mm
        ("length_mm", "4 1/2", "in", 114.3),
        ("length_mm", '4½"', None, 114.3),
        ("mass_g", "1½ oz", None, 42.5242846875),  # 1.5 oz of 28.349523125 g
        ("mass_g", "½", "oz", 14.1747615625),
        ("bridging_axles_mm", "1/2 in; 1 1/2 in", None, [12.7, 38.1]),
        ("bridging_axles_mm", "20; 62", None, [20.0, 62.0]),
        ("bridging_axles_mm", "20 62", None, [20.0, 62.0]),
        ("kind", "Diesel switcher", None, "engine"),
        ("kind", "4-wheel goods brake van", None, "brake_van"),
        ("kind", "Coach, corridor", None, "coach"),
        ("kind", "Wagon (open)", None, "wagon"),
        *(
            ("kind", unit, None, "multiple_unit_car")
            for unit in ("DMU", "EMU", "DEMU", "HST", "2-car DMU", "DMU power car")
        ),
        *(
            ("kind", wheels, None, "engine")
            for wheels in ("0-6-0T", "4-6-2", "2-8-8-2", "Bo-Bo", "Co-Co diesel", "C-C")
        ),
        *(
            ("kind", car, None, "wagon")
            for car in (
                "50' boxcar",
                "Covered hopper",
                "Gon",
                "Old stock car",
                "Tank cars",
                "7-plank open",
            )
        ),
        *(
            ("kind", brake, None, "brake_van")
            for brake in ("Caboose", "Goods brake", "20 ton brake van")
        ),
        ("kind", "Brake third", None, "coach"),
        ("count", "2 no.", None, 2),
        ("count", "6 off", None, 6),
        ("minimum_radius_mm", "876 mm dia", None, 438.0),
        ("minimum_radius_mm", '36" dia.', None, 457.2),
        ("gauge_mm", "OO/HO", None, 16.5),
        ("gauge_mm", "EM", None, 18.2),
        ("gauge_mm", "16.5", None, 16.5),
        ("scale", "7mm/ft", None, "0 British"),
        ("scale", "OO/4mm", None, "OO"),
        ("scale", "4mm scale (P4)", None, "00"),
        ("gauge_mm", "16.5 (OO)", None, 16.5),
        ("scale", "1/76", None, "00"),
        ("scale", "N gauge", None, "N"),
        ("scale", "Gauge 1", None, "1"),
    ],
)
def test_what_a_member_writes_is_taken_as_meant(
    field: str, cell: str, unit: str | None, meant: object
) -> None:
    assert value(field, cell, unit=unit) == (
        meant if isinstance(meant, str) else pytest.approx(meant, abs=1e-4)
    )


@pytest.mark.parametrize(
    "cell",
    [
        "?",
        "??",
        "-",
        "–",
        "--",
        "n/a",
        "N/A",
        "n.a.",
        "unknown",
        "not known",
        "tbc",
        "none",
    ],
)
@pytest.mark.parametrize(
    "field", ["length_mm", "mass_g", "minimum_radius_mm", "count", "front_overhang_mm"]
)
def test_a_mark_for_a_figure_that_nobody_knows_says_nothing_and_is_noted(
    field: str, cell: str
) -> None:
    taken = read(field, cell)
    assert isinstance(taken, Taken), taken
    assert taken.value is None
    assert taken.note is not None
    assert "nobody knows" in taken.note


@pytest.mark.parametrize("cell", ["?", "-", "n/a", "none"])
@pytest.mark.parametrize(
    "field", ["name", "number", "notes", "external_key", "couplings"]
)
def test_text_is_text_whatever_it_looks_like(field: str, cell: str) -> None:
    assert value(field, cell) == cell


@pytest.mark.parametrize(
    "cell",
    [
        *(
            "~130",
            "≈130",
            "about 130",
            "approx 130",
            "approx. 130 mm",
            "ca. 130",
            "c130",
            "130?",
            "130 ish",
            "130-135",
        ),
        *(
            "130–135 mm",
            "130 to 135",
            "130 or so",
            "130 ± 2",
            "130 +/- 2",
            "<130",
            "about 5 inches",
            "4-5 in",
            "130+",
        ),
    ],
)
def test_a_rough_length_is_called_rough(cell: str) -> None:
    found = trouble("length_mm", cell)
    assert found.code == "rough"
    assert "Length plus minus (mm)" in found.mend
    assert "163.8" in found.mend


def test_a_rough_mass_has_no_plus_minus_of_its_own() -> None:
    found = trouble("mass_g", "approx 130")
    assert found.code == "rough"
    assert "plus minus" not in found.mend


@pytest.mark.parametrize(
    ("field", "cell", "unit", "code"),
    [
        ("length_mm", "3/4", None, "no_unit"),
        ("length_mm", "3/4", "mm", "no_unit"),
        ("bridging_axles_mm", "20/62", None, "no_unit"),
        ("length_mm", "-4", None, "negative"),
        ("length_mm", "1,234", None, "ambiguous"),
        ("length_mm", "banana", None, "not_a_length"),
        ("minimum_radius_mm", "R2", None, "not_a_length"),
        ("bridging_axles_mm", "yes", None, "not_a_length"),
        ("mass_g", "heavy", None, "not_a_mass"),
        ("mass_g", "12 quarts", None, "not_a_mass"),
        ("count", "six", None, "not_a_whole_number"),
        ("count", "1.5", None, "not_a_whole_number"),
        ("kind", "Mk1", None, "not_a_choice"),
        ("front_coupling.swing_deg", "far", None, "not_a_number"),
        ("full_size_length_m", "long", None, "not_a_length"),
        ("scale", "OO/HO", None, "ambiguous"),
        ("kind", "Car", None, "ambiguous"),
        ("kind", "Steel car", None, "ambiguous"),
        ("scale", 16.5, None, "ambiguous"),
        ("scale", 32.0, None, "ambiguous"),
        ("scale", 0.0, None, "ambiguous"),
        ("scale", "grand", None, "not_a_choice"),
        ("number", "3.35E+11", None, "is_a_power_of_ten"),
    ],
)
def test_a_fault_says_once_what_is_wrong_and_once_how_to_mend_it(
    field: str, cell: str, unit: str | None, code: str
) -> None:
    found = trouble(field, cell, unit=unit)
    assert found.code == code
    assert not re.search(r"(?i)write|say the unit|use mm|:", found.message), (
        found.message
    )
    assert "mm'" not in found.message, "what is quoted is what stands in the cell"
    assert found.mend
    assert found.mend.count("write") <= 1


EXAMPLES = {
    "length_mm": "163.8, 6 3/8 in or 57' full size",
    "length_plus_minus_mm": "0.5",
    "width_mm": "34.5",
    "minimum_radius_mm": "438 or 18 in",
    "front_overhang_mm": "4.5 or 3/16 in",
    "full_size_length_m": "17.4 or 57 ft",
    "bridging_axles_mm": "20; 62",
    "mass_g": "42, 42 g or 1.5 oz",
    "count": "6",
    "front_coupling.swing_deg": "12.5",
}


@pytest.mark.parametrize("field", EXAMPLES)
def test_an_example_suits_its_column_and_can_be_read_there(field: str) -> None:
    assert EXAMPLES[field] in trouble(field, "banana").mend


@pytest.mark.parametrize(
    "field",
    [one.name for one in FIELDS.every if one.sort not in {"text", "remark", "word"}],
)
def test_every_example_is_read_by_the_column_that_gives_it(field: str) -> None:
    mend = trouble(field, "banana").mend
    given = mend.partition("such as ")[2].partition(":")[0]
    assert given, mend
    for one in re.split(r", (?!\d*$)| or ", given):
        assert isinstance(read(field, one), Taken), one


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ("formula", "paste"),
        ("date", "as text"),
        ("error", "formula behind it"),
        ("truth", "in words"),
    ],
)
def test_what_a_spreadsheet_made_of_a_cell_is_mended_in_its_own_way(
    what: str, words: str
) -> None:
    found = trouble("length_mm", Strange(what=what, shown="x"))  # type: ignore[arg-type]  # one of the four
    assert found.code == f"is_a_{what}"
    assert words in found.mend


@pytest.mark.parametrize(
    "field", [one.name for one in FIELDS.every if one.sort not in {"text", "remark"}]
)
def test_a_cell_far_too_long_for_its_column_is_not_looked_through(field: str) -> None:
    for text in ("1 " * 16_000, "1" * 32_000 + "x", "wagon " * 5_000):
        assert trouble(field, text).code == "too_long"
