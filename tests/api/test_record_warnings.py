"""Likely slips come back with the record that holds them: on registering, on reading,
in a list.
"""

from typing import Any

import pytest

from api.asking import Caller

COACH = {"name": "Coach", "kind": "coach", "scale": "00", "length_over": "buffers"}
SLIPS: list[tuple[str, dict[str, Any], str]] = [
    ("/v1/vehicles", COACH | {"length_mm": 26}, "length_mm"),
    (
        "/v1/layouts",
        {"name": "Round", "scale": "00", "minimum_radius_mm": 876},
        "minimum_radius_mm",
    ),
    (
        "/v1/modules",
        {"name": "Board", "scale": "00", "minimum_radius_mm": 876},
        "minimum_radius_mm",
    ),
    (
        "/v1/modules",
        {"name": "Cable", "wire_area_mm2": 1.5, "wire": "1.5 mm cable"},
        "wire_area_mm2",
    ),
    (
        "/v1/modules",
        {"name": "Told", "wire_area_mm2": 1.5, "notes": "Wired in 1.5 mm cable."},
        "wire_area_mm2",
    ),
    ("/v1/modules", {"name": "Squared", "wire_area_mm2": 9}, "wire_area_mm2"),
    ("/v1/modules", {"name": "Gauge", "wire": "22 gauge"}, "wire"),
]


@pytest.mark.parametrize(("path", "body", "field"), SLIPS)
def test_a_slip_is_warned_of_on_registering_reading_and_listing(
    steward: Caller, path: str, body: dict[str, Any], field: str
) -> None:
    made = steward.made(path, body)
    assert [slip["field"] for slip in made["warnings"]] == [field]
    assert steward.read(f"{path}/{made['id']}") == made
    assert steward.read(path)["items"] == [made]


def test_a_record_without_slips_has_no_warnings(steward: Caller) -> None:
    assert "warnings" not in steward.made("/v1/vehicles", COACH | {"length_mm": 262})


def test_a_place_called_seven_feet_but_two_metres_long_is_warned_of(
    steward: Caller,
) -> None:
    layout = steward.made("/v1/layouts", {"name": "Yard"})
    body = {"name": "The 7 ft road", "kind": "siding", "usable_length_mm": 2000}
    made = steward.made(f"/v1/layouts/{layout['id']}/places", body)
    assert [slip["code"] for slip in made["warnings"]] == ["two_lengths"]


def test_a_record_may_be_put_back_with_the_warnings_it_came_with(
    steward: Caller,
) -> None:
    made = steward.made("/v1/vehicles", COACH | {"length_mm": 26})
    path = f"/v1/vehicles/{made['id']}"
    mended = steward.ask(
        "PUT", path, made | {"length_mm": 260}, if_match=steward.tag(path)
    )
    assert mended.status_code == 200
    assert "warnings" not in mended.json()


def test_warnings_cannot_be_written(steward: Caller) -> None:
    refused = steward.ask(
        "POST", "/v1/vehicles", COACH | {"length_mm": 260, "warnings": []}
    )
    assert refused.status_code == 422
    assert [fault["pointer"] for fault in refused.json()["faults"]] == ["/warnings"]


def test_only_notes_about_wire_are_read_for_one_and_none_are_repeated(
    steward: Caller,
) -> None:
    about_gaps = {
        "name": "Gaps",
        "wire_area_mm2": 1.5,
        "notes": "Leave a gap of 1.5 mm at the joint. " * 20,
    }
    assert "warnings" not in steward.made("/v1/modules", about_gaps)
    about_wire = about_gaps | {
        "name": "Wired",
        "notes": "Rewired by the Tuesday party in 1.5 mm. " * 20,
    }
    (slip,) = steward.made("/v1/modules", about_wire)["warnings"]
    assert (
        slip["message"]
        == "“1.5 mm” says mm, not mm²: a wire 1.5 mm across has 1.8 mm² of copper;"
        " if so, write 1.767"
    )
