"""The stock list out as a file, and in again as it went out."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from api.asking import Caller
from api.sheets import counted, imported, previewed, rows, vehicles

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
    "front_coupling": {"type": "club hook", "reach_mm": -0.5, "swing_deg": 12.5, "mounting": "bogie"},
    "rear_coupling": {"type": "loop", "projection_mm": 3, "play_mm": 0.25, "pivot_behind_mm": 7},
    "count": 3,
    "notes": "'quoted'\nand = on the next line\t",
}


def listed(caller: Caller, form: str) -> bytes:
    response = caller.ask("GET", f"/v1/stock-list.{form}")
    assert (response.status_code, response.headers["content-type"]) == (200, FORMS[form])
    assert f'filename="stock-list.{form}"' in response.headers["content-disposition"]
    return response.content


@pytest.mark.parametrize("form", sorted(FORMS))
def test_a_list_that_went_out_changes_nothing_when_it_comes_in(steward: Caller, form: str) -> None:
    steward.made("/v1/vehicles", WHOLE)
    steward.made("/v1/vehicles", {"name": "Nothing known"})
    preview = previewed(steward, listed(steward, form), FORMS[form])
    assert counted(preview) == {"unchanged": 2}, rows(steward, preview)


@pytest.mark.parametrize("form", sorted(FORMS))
def test_every_field_comes_back_to_a_club_that_had_lost_it(steward: Caller, form: str) -> None:
    made = steward.made("/v1/vehicles", WHOLE)
    raw = listed(steward, form)
    assert steward.ask("DELETE", f"/v1/vehicles/{made['id']}", if_match="*").status_code == 204
    assert imported(steward, previewed(steward, raw, FORMS[form])).status_code == 200
    back = vehicles(steward)[WHOLE["name"]]
    assert {name: back.get(name) for name in WHOLE} == WHOLE


HOSTILE = st.text(st.characters(blacklist_categories=["Cs", "Cc"]), min_size=1, max_size=30)


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(beginning=st.sampled_from(["=", "+", "-", "@", "'", "'=", "0"]), ending=HOSTILE)
def test_whatever_a_vehicle_is_called_it_comes_back_so(steward: Caller, beginning: str, ending: str) -> None:
    made = steward.made("/v1/vehicles", {"name": beginning + ending, "notes": ending})
    for form, media_type in FORMS.items():
        assert counted(previewed(steward, listed(steward, form), media_type)) == {"unchanged": 1}
    assert steward.ask("DELETE", f"/v1/vehicles/{made['id']}", if_match="*").status_code == 204


def test_one_members_list_holds_theirs_only(steward: Caller) -> None:
    member = steward.with_member("member")
    member.made("/v1/vehicles", {"name": "Mine"})
    steward.made("/v1/vehicles", {"name": "Theirs"})
    text = steward.ask("GET", f"/v1/stock-list.csv?owner_id={member.member_id}").text
    assert ("Mine" in text, "Theirs" in text) == (True, False)


@pytest.mark.parametrize("form", sorted(FORMS))
def test_the_template_has_no_row_and_every_column_of_it_is_known(steward: Caller, form: str) -> None:
    template = steward.ask("GET", f"/v1/stock-sheets/template.{form}").content
    preview = previewed(steward, template, FORMS[form])
    assert counted(preview) == {}
    assert [one for one in preview["columns"] if one["how"] != "named"] == []


@pytest.mark.parametrize("form", sorted(FORMS))
def test_the_sample_can_be_imported_as_it_is(steward: Caller, form: str) -> None:
    sample = steward.ask("GET", f"/v1/stock-sheets/sample.{form}").content
    assert counted(previewed(steward, sample, FORMS[form])) == {"create": 3}
