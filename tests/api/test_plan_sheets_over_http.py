"""Sheets of track over HTTP: a plan of a file, a file of a plan, and what to begin
with.
"""

from typing import Any

import pytest

from api.asking import Caller, refusal
from standage.questions.plan import MALT_HOUSE
from support.workbooks import ods

READ = "/v1/checks/plan-sheet"
MEDIA = {
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "ods": "application/vnd.oasis.opendocument.spreadsheet",
}


def read(caller: Caller, raw: bytes, form: str = "csv", query: str = "") -> Any:
    answer = caller.send("POST", f"{READ}{query}", raw, content_type=MEDIA[form])
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_plan_that_is_written_as_a_sheet_comes_back_as_it_was(
    steward: Caller, form: str
) -> None:
    written = steward.ask("POST", f"/v1/checks/plan/sheet.{form}", {"plan": MALT_HOUSE})
    assert written.headers["content-type"].startswith(MEDIA[form])
    told = read(steward, written.content, form, "?scale=00")
    assert told["rows_at_fault"] == 0
    beside = {"name": MALT_HOUSE["name"]}
    assert told["plan"] | beside == MALT_HOUSE


def test_the_sheet_to_begin_with_is_a_plan_that_is_answered(steward: Caller) -> None:
    raw = steward.ask("GET", "/v1/plan-sheets/measured.csv").content
    plan = read(steward, raw, query="?scale=00")["plan"]
    answer = steward.ask("POST", "/v1/checks/plan", {"plan": plan}).json()
    assert answer["verdict"] == "sound"
    lengths = {road["name"]: road["usable_length_mm"] for road in answer["places"]}
    # the stop's face to the tips: 780 of track and 35 from the joint to the tips
    assert lengths["Headshunt"] == 815


def test_a_workbook_to_begin_with_has_both_sheets_and_what_columns_hold(
    steward: Caller,
) -> None:
    raw = steward.ask("GET", "/v1/plan-sheets/template.xlsx").content
    told = read(steward, raw, "xlsx")
    assert told["file"]["other_sheets"] == ["Measured", "Remarks"]
    assert len(told["plan"]["pieces"]) == 10
    measured = read(steward, raw, "xlsx", "?sheet=Measured")
    assert measured["plan"]["pieces"]["S"] == {"kind": "track", "length_mm": 900.0}


def test_an_ods_file_is_read_and_its_faults_are_told_by_row(steward: Caller) -> None:
    rows = [["Piece", "Kind", "Length", "Colour"], ["A", "straight", "long", "red"]]
    told = read(steward, ods(rows), "ods")
    assert told["plan"] == {}
    (row,) = told["rows"]
    (fault,) = row["faults"]
    assert (row["row"], row["name"]) == (2, "A")
    assert fault["column"] == 3
    assert fault["letters"] == "C"
    assert fault["header"] == "Length"
    assert fault["value"] == "long"
    assert fault["mend"] == "write it in figures, such as 610, 61 cm or 24 in"
    assert "Colour" in told["assumed"][0]["message"]


def test_a_file_that_is_no_sheet_is_refused(steward: Caller) -> None:
    answer = steward.send("POST", READ, b"PK\x03\x04no", content_type=MEDIA["xlsx"])
    told = refusal(answer, 422, "invalid")
    assert told["faults"][0]["code"] == "not_a_workbook"


def test_what_a_sheet_cannot_hold_is_told_beside_it(steward: Caller) -> None:
    plan = MALT_HOUSE | {"heights": [{"piece": "W", "at_mm": 0, "height_mm": 20}]}
    raw = steward.ask("POST", "/v1/checks/plan/sheet.xlsx", {"plan": plan}).content
    told = read(steward, raw, "xlsx", "?scale=00")
    assert "heights" not in told["plan"]
    assert told["file"]["other_sheets"] == ["Not in this sheet"]
