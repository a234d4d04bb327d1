"""The stock list out as a file, and in again as it went out."""

import io
from typing import Any

import pytest
import python_calamine
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from api.asking import Caller
from api.sheets import counted, imported, previewed, rows, vehicles
from standage.shapes.plain_text import unfit_character
from support import workbooks

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FORMS = {"csv": "text/csv", "xlsx": XLSX}
WHOLE: dict[str, Any] = {
    "name": "=SUM(A1:A9)",
    "number": "0047",
    "external_key": "@47",
    "kind": "coach",
    "scale": "00",
    "practice": "british",
    "wheels": "-RP-25",
    "length_mm": 250.25,
    "length_over": "couplings",
    "length_from": "measured",
    "full_size_length_m": 19.2,
    "width_mm": 36.5,
    "height_mm": 51,
    "bogie_centres_mm": 172,
    "bogie_wheelbase_mm": 32,
    "front_overhang_mm": -1.5,
    "bridging_axles_mm": [10.5, 42, 200.25],
    "minimum_radius_mm": 438,
    "trial": {"ran_at_radius_mm": 505, "failed_at_radius_mm": 371},
    "mass_g": 142.25,
    "front_coupling": {
        "type": "club hook",
        "reach_mm": -0.5,
        "swing_deg": 12.5,
        "mounting": "bogie",
    },
    "rear_coupling": {
        "type": "loop",
        "projection_mm": 3,
        "play_mm": 0.25,
        "pivot_behind_mm": 7,
    },
    "count": 3,
    "notes": "'quoted'\nand = on the next line\t",
}


def listed(caller: Caller, form: str) -> bytes:
    response = caller.ask("GET", f"/v1/stock-list.{form}")
    assert response.status_code == 200
    assert (
        response.headers["content-type"].removesuffix("; charset=utf-8") == FORMS[form]
    )
    assert f'filename="stock-list.{form}"' in response.headers["content-disposition"]
    return response.content


@pytest.mark.parametrize("form", sorted(FORMS))
def test_a_list_that_went_out_changes_nothing_when_it_comes_in(
    steward: Caller, form: str
) -> None:
    steward.made("/v1/vehicles", WHOLE)
    steward.made("/v1/vehicles", {"name": "Nothing known"})
    preview = previewed(steward, listed(steward, form), FORMS[form])
    assert counted(preview) == {"unchanged": 2}, rows(steward, preview)


@pytest.mark.parametrize("form", sorted(FORMS))
def test_every_field_comes_back_to_a_club_that_had_lost_it(
    steward: Caller, form: str
) -> None:
    made = steward.made("/v1/vehicles", WHOLE)
    raw = listed(steward, form)
    assert (
        steward.ask("DELETE", f"/v1/vehicles/{made['id']}", if_match="*").status_code
        == 204
    )
    assert imported(steward, previewed(steward, raw, FORMS[form])).status_code == 200
    back = vehicles(steward)[WHOLE["name"]]
    assert {name: back.get(name) for name in WHOLE} == WHOLE


HOSTILE = st.text(
    st.characters(blacklist_categories=["Cs", "Cc"]), min_size=1, max_size=30
)


@settings(
    max_examples=15,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(beginning=st.sampled_from(["=", "+", "-", "@", "'", "'=", "0"]), ending=HOSTILE)
def test_whatever_a_vehicle_is_called_it_comes_back_so(
    steward: Caller, beginning: str, ending: str
) -> None:
    assume(unfit_character(beginning + ending) is None)
    made = steward.made("/v1/vehicles", {"name": beginning + ending, "notes": ending})
    for form, media_type in FORMS.items():
        assert counted(previewed(steward, listed(steward, form), media_type)) == {
            "unchanged": 1
        }
    assert (
        steward.ask("DELETE", f"/v1/vehicles/{made['id']}", if_match="*").status_code
        == 204
    )


def test_one_members_list_holds_theirs_only(steward: Caller) -> None:
    member = steward.with_member("member")
    member.made("/v1/vehicles", {"name": "Mine"})
    steward.made("/v1/vehicles", {"name": "Theirs"})
    text = steward.ask("GET", f"/v1/stock-list.csv?owner_id={member.member_id}").text
    assert ("Mine" in text, "Theirs" in text) == (True, False)


@pytest.mark.parametrize("form", sorted(FORMS))
def test_the_template_has_no_row_and_every_column_of_it_is_known(
    steward: Caller, form: str
) -> None:
    template = steward.ask("GET", f"/v1/stock-sheets/template.{form}").content
    preview = previewed(steward, template, FORMS[form])
    assert counted(preview) == {}
    assert [one for one in preview["columns"] if one["how"] != "named"] == []


@pytest.mark.parametrize("form", sorted(FORMS))
def test_the_sample_can_be_imported_as_it_is(steward: Caller, form: str) -> None:
    sample = steward.ask("GET", f"/v1/stock-sheets/sample.{form}").content
    assert counted(previewed(steward, sample, FORMS[form])) == {"create": 3}


EIGHT = [
    "Name",
    "Number",
    "Count",
    "Kind",
    "Scale",
    "Length (mm)",
    "Length over",
    "Couplings",
]


@pytest.mark.parametrize("what", ["template", "sample"])
@pytest.mark.parametrize("form", sorted(FORMS))
def test_the_first_sheet_of_a_template_has_eight_columns(
    steward: Caller, form: str, what: str
) -> None:
    raw = steward.ask("GET", f"/v1/stock-sheets/{what}.{form}").content
    assert [
        one["header"] for one in previewed(steward, raw, FORMS[form])["columns"]
    ] == EIGHT


def filled_in(raw: bytes, sheet: str) -> bytes:
    """Return a template with one vehicle written into a sheet of it, as a member
    would.
    """
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(raw))
    written: dict[str, list[list[Any]]] = {
        name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names
    }
    values = {
        "Name": "Salt van",
        "Length (mm)": 82.5,
        "Minimum radius (mm)": 371,
        "Notes": "new",
    }
    written[sheet].append([values.get(str(title)) for title in written[sheet][0]])
    return workbooks.book(written)


def test_either_sheet_of_the_template_is_read_back_whichever_is_filled_in(
    steward: Caller,
) -> None:
    raw = steward.ask("GET", "/v1/stock-sheets/template.xlsx").content
    short = previewed(steward, filled_in(raw, "Stock"), XLSX)
    assert (short["file"]["sheet"], counted(short)) == ("Stock", {"create": 1})
    long = previewed(steward, filled_in(raw, "All columns"), XLSX)
    assert (long["file"]["sheet"], counted(long)) == ("All columns", {"create": 1})
    assert len(long["columns"]) > 40
    assert [one for one in long["columns"] if one["how"] != "named"] == []
    assert imported(steward, long).status_code == 200
    assert vehicles(steward)["Salt van"]["minimum_radius_mm"] == 371


def test_what_may_stand_in_a_column_is_said_of_every_one(steward: Caller) -> None:
    raw = steward.ask("GET", "/v1/stock-sheets/template.xlsx").content
    book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(raw))
    sheets = {
        name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names
    }
    assert list(sheets) == ["Stock", "All columns", "Remarks"]
    said = [row[0] for row in sheets["Remarks"][1:]]
    assert set(said) == {*sheets["Stock"][0], *sheets["All columns"][0]}
    assert said[:8] == EIGHT
