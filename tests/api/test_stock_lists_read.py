"""Lists of stock as members keep them: their words, their characters, their marks; and
what is no list at all.
"""

import pytest

from api.asking import Caller, faults, refusal
from api.sheets import LIST, counted, imported, previewed, rows, sent, vehicles
from support.workbooks import ods, workbook


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        (
            "Car,Truck centers (in),Coupler\nGondola,4,knuckle\n",
            ["name", "bogie_centres_mm", "couplings"],
        ),
        (
            "Loco;Weight;Wheelbase\nPug;140;30\n",
            ["name", "mass_g", "rigid_wheelbase_mm"],
        ),
        ("Passenger car\tTruck wheelbase\nDiner\t26\n", ["name", "bogie_wheelbase_mm"]),
        ("Name,,Name,Lenght\nVan,,x,80\n", ["name", None, None, "length_mm"]),
        ('sep=;\n"Wagon"\nOre\n', ["name"]),
        ("Members' stock 2026\n\nName,Running no.\nOre,1\n", ["name", "number"]),
    ],
)
def test_columns_are_known_by_british_and_american_words(
    steward: Caller, text: str, columns: list[str | None]
) -> None:
    assert [one.get("field") for one in previewed(steward, text)["columns"]] == columns


@pytest.mark.parametrize(
    "codec", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"]
)
def test_text_is_read_whatever_its_characters(steward: Caller, codec: str) -> None:
    text = 'Name;Notes\nKöf – “Möwe”;"two\nlines; and a mark"\n'
    preview = previewed(steward, text.encode(codec))
    assert counted(preview) == {"create": 1}
    imported(steward, preview)
    assert vehicles(steward)["Köf – “Möwe”"]["notes"] == "two\nlines; and a mark"


@pytest.mark.parametrize(
    "content_type", ["application/json", "text/plain", "", "application/octet-stream"]
)
def test_a_file_says_what_it_is(steward: Caller, content_type: str) -> None:
    assert (
        "text/csv"
        in refusal(sent(steward, LIST, content_type), 415, "unsupported_media_type")[
            "detail"
        ]
    )


def test_a_file_may_name_its_characters(steward: Caller) -> None:
    preview = previewed(
        steward, "Name\nMöwe\n".encode("latin-1"), "text/csv; charset=iso-8859-1"
    )
    assert rows(steward, preview)[0]["name"] == "Möwe"
    refusal(
        sent(steward, LIST, "text/csv; charset=ebcdic"), 415, "unsupported_media_type"
    )


def test_a_file_of_more_than_5_mb_is_refused(steward: Caller) -> None:
    refusal(sent(steward, b"x" * (5 * 1024 * 1024 + 1)), 413, "too_large")


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        (b"", "empty"),
        (b"\n\n , ,\n", "empty"),
        (b"Name\n" + b"x" * 40_000, "cell_too_long"),
        (b"Name\n" + b"x" * 2_000_000, "cell_too_long"),
        (b'Name\n"never closed\nand on\n', "bad_quotes"),
        (b"Name\nOre\n" * 12_000, "too_many_rows"),
        (b"Name," + b"x," * 300 + b"\nOre\n", "too_many_columns"),
        (b"PK\x03\x04\x00\x00", "not_a_workbook"),
        (b"Name\x00\nOre\n", "not_a_table"),
        (b"Name\n\x81\x8d\n", "bad_characters"),
    ],
)
def test_what_is_no_table_is_refused_with_the_reason(
    steward: Caller, raw: bytes, code: str
) -> None:
    assert faults(sent(steward, raw)) == {"": code}


def test_workbooks_are_taken_in_as_lists_of_text_are(steward: Caller) -> None:
    rows_sent: list[list[str | float | None]] = [
        ["Name", "Length over buffers (in)"],
        ["Ore wagon", 3.5],
    ]
    files = {
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet": workbook(
            rows_sent
        ),
        "application/vnd.oasis.opendocument.spreadsheet": ods(rows_sent),
    }
    previews = [
        previewed(steward, raw, media_type) for media_type, raw in files.items()
    ]
    assert [counted(one) for one in previews] == [{"create": 1}, {"create": 1}]
    assert [one["file"]["format"] for one in previews] == ["xlsx", "ods"]
    assert imported(steward, previews[0]).status_code == 200
    assert vehicles(steward)["Ore wagon"]["length_mm"] == 88.9
    media_type, raw = next(iter(files.items()))
    assert counted(previewed(steward, raw, media_type)) == {"unchanged": 1}


def test_a_sheet_of_a_workbook_is_asked_for_by_its_name(steward: Caller) -> None:
    raw = workbook([["Name"], ["Ore wagon"]], name="My stock")
    media_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    assert (
        previewed(steward, raw, media_type, "?sheet=My%20stock")["file"]["sheet"]
        == "My stock"
    )
    assert faults(sent(steward, raw, media_type, "?sheet=Trains")) == {
        "": "no_such_sheet"
    }


def test_a_formula_is_a_fault_of_its_row_and_says_how_to_mend_it(
    steward: Caller,
) -> None:
    raw = workbook([["Name", "Length (mm)"], ["Ore wagon", "=44.45*2"]])
    preview = previewed(
        steward,
        raw,
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    )
    (row,) = rows(steward, preview)
    (fault,) = row["faults"]
    assert (fault["code"], fault["column"], "value" in fault["mend"]) == (
        "is_a_formula",
        2,
        True,
    )
