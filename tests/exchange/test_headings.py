"""Headings as members write them: what each column is taken to hold, and what is better
left out than guessed.
"""

import pytest

from standage.exchange.cells import Row, Sheet
from standage.exchange.head_words import known_head
from standage.exchange.headings import found_columns
from standage.exchange.stock.fields import FIELDS
from standage.exchange.stock.stock import STOCK, suggested_mapping


def sheet(*rows: Row) -> Sheet:
    return Sheet(format="csv", rows=rows)


@pytest.mark.parametrize(
    ("head", "field", "unit"),
    [
        ("Length (in) over buffers", "length_over_buffers_mm", "in"),
        ("Length over couplers, inches", "length_over_couplings_mm", "in"),
        ("Length (scale feet)", "length_mm", "ft"),
        ("Weight/g", "mass_g", "g"),
        ("Wght (oz)", "mass_g", "oz"),
        ("No. off", "count", None),
        ("No. of", "count", None),
        ("No. of wagons", "count", None),
        ("Number of vehicles", "count", None),
        ("Number off", "count", None),
        ("Qty.", "count", None),
        ("Owner’s name", "owner", None),
        ("Owners name", "owner", None),
        ("Member's name", "owner", None),
        ("Comment(s)", "notes", None),
        ("Truck ctrs", "bogie_centres_mm", None),
        ("Coupler type (front)", "front_coupling.type", None),
        ("Lenght (mm)", "length_mm", "mm"),
        ("Runing number", "number", None),
        ("Car #", "number", None),
        ("Length OB (mm)", "length_over_buffers_mm", "mm"),
        ("Length o/b (mm)", "length_over_buffers_mm", "mm"),
        ("Length over headstocks", "body_length_mm", None),
        ("Width over footboards (mm)", "width_at_platform_mm", "mm"),
        ("L (mm)", "length_mm", "mm"),
        ("Width o/a mm", "width_mm", "mm"),
        ("Coupling A", "front_coupling.type", None),
        ("B-end coupler", "rear_coupling.type", None),
        ("Min rad", "minimum_radius_mm", None),
        ("Bogie wb", "bogie_wheelbase_mm", None),
        ("Length incl. couplers", "length_over_couplings_mm", None),
        ("Length excl couplings (in)", "length_over_buffers_mm", "in"),
        ("Scale ratio", "scale", None),
        ("Stock no.", "external_key", None),
        ("Class / type", "kind", None),
        ("Scale/Gauge", "scale", None),
    ],
)
def test_a_heading_is_known_by_its_words_british_american_or_misspelt(
    head: str, field: str, unit: str | None
) -> None:
    known = known_head(head, FIELDS)
    assert known is not None
    assert (known.field.name, known.unit) == (field, unit)


@pytest.mark.parametrize(
    "head",
    [
        *(
            "Min dia",
            "Minimum diameter",
            "Old number",
            "Cat no",
            "Road name",
            "Couplings F",
            "Original number",
        ),
        *(
            "No. of axles",
            "Weight (tons)",
            "Length (Zoll)",
            "Purchase date",
            "Length of train",
            "Scale length",
        ),
    ],
)
def test_a_heading_that_says_something_else_is_not_taken_for_what_it_resembles(
    head: str,
) -> None:
    assert known_head(head, FIELDS) is None


def fields(*heads: str, row: Row = ()) -> dict[str, str | None]:
    found = found_columns(sheet(heads, row or tuple("x" for _ in heads)), 1, STOCK)
    return {one.header: one.field for one in found}


def test_of_several_columns_for_one_thing_the_one_that_says_it_best_is_taken() -> None:
    assert fields("Item", "Description", "No.", "Running No.") == {
        "Item": None,
        "Description": "name",
        "No.": None,
        "Running No.": "number",
    }
    assert fields("Model", "Name") == {"Model": None, "Name": "name"}
    assert fields("Lenght", "Length") == {"Lenght": None, "Length": "length_mm"}


def test_of_two_columns_with_one_heading_the_first_is_taken() -> None:
    first, second = found_columns(sheet(("Length", "Length"), ("82", "84")), 1, STOCK)
    assert (first.field, second.field, second.how) == (
        "length_mm",
        None,
        "taken_already",
    )


def test_a_list_s_own_ids_are_its_keys_and_the_service_s_ids_are_ids() -> None:
    assert fields("ID", "Name", row=("17", "Van")) == {
        "ID": "external_key",
        "Name": "name",
    }
    record_id = "01a22083-f6c6-7627-9240-ff377f5d96d9"
    assert fields("ID", "Name", row=(record_id, "Van")) == {"ID": "id", "Name": "name"}


def test_a_title_above_the_headings_is_passed_over() -> None:
    mapping, _ = suggested_mapping(
        sheet(("Our stock",), (), ("as of May",), ("Name", "Length"), ("Van", "82"))
    )
    assert mapping.header_row == 4


def test_a_heading_far_too_long_is_none() -> None:
    assert known_head("no . of ( " * 3_000, FIELDS) is None
    assert known_head("lenght " * 4_000, FIELDS) is None


@pytest.mark.parametrize(
    "text",
    [
        "1" * 32_000 + "x",
        "(" * 32_000,
        "a/" * 16_000,
        "1 " * 16_000,
        "total" + " " * 32_000 + "x",
    ],
)
@pytest.mark.parametrize(
    "head", ["Cars", "Gauge", "Scale", "Type", "Length", "Weight", "Owner", "Radius"]
)
def test_a_cell_far_too_long_heads_nothing_and_is_no_scale(
    text: str, head: str
) -> None:
    mapping, columns = suggested_mapping(
        sheet((text, "x"), ("Name", head), *(("Van", text) for _ in range(20))),
        scale="00",
    )
    assert mapping.header_row == 2
    assert columns[1].field != ("scale" if head == "Gauge" else "gauge_mm")
