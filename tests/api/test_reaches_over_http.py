"""Couplings that reach back so far that nothing is left of the vehicle: refused
wherever such a reach can come in.
"""

from typing import Any

import pytest

from api.asking import Caller, faults
from api.sheets import counted, previewed, rows

LEAVES_NOTHING = "longer_than_vehicle"
WAGON: dict[str, Any] = {"name": "Wagon", "length_mm": 100, "length_over": "buffers"}
BY_ITSELF = WAGON | {
    "front_coupling": {"reach_mm": -60},
    "rear_coupling": {"reach_mm": -60},
}


def of_type(name: str) -> dict[str, Any]:
    return WAGON | {"front_coupling": {"type": name}, "rear_coupling": {"type": name}}


def deep_hook(caller: Caller, reach_mm: float = -60) -> dict[str, Any]:
    return caller.made(
        "/v1/coupling-types", {"name": "deep hook", "reach_mm": reach_mm}
    )


QUESTIONS: dict[str, tuple[str, Any]] = {
    "train-fit": (
        "/train/vehicles/0",
        lambda one: {
            "train": {"vehicles": [one, one]},
            "place": {"kind": "loop", "usable_length_mm": 300},
        },
    ),
    "capacity": ("/vehicle", lambda one: {"vehicle": one, "usable_length_mm": 300}),
    "longest-train": (
        "/pool/0",
        lambda one: {"pool": [one], "place": {"kind": "loop", "usable_length_mm": 300}},
    ),
    "road-allocation": (
        "/trains/0/vehicles/0",
        lambda one: {
            "trains": [{"vehicles": [one]}],
            "roads": [{"kind": "loop", "usable_length_mm": 300}],
        },
    ),
    "curve": (
        "/vehicles/0",
        lambda one: {"vehicles": [one], "curve": {"radius_mm": 400}},
    ),
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_refuses_such_a_reach_and_points_to_it(
    steward: Caller, question: str
) -> None:
    pointer, body_of = QUESTIONS[question]
    refused = steward.ask("POST", f"/v1/checks/{question}", body_of(BY_ITSELF))
    assert refused.status_code == 422
    assert faults(refused)[f"{pointer}/front_coupling/reach_mm"] == LEAVES_NOTHING


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_question_refuses_it_of_the_clubs_own_type_by_name_and_by_id_and_points_to_the_type(
    steward: Caller, question: str
) -> None:
    hook = deep_hook(steward)
    pointer, body_of = QUESTIONS[question]
    for name in (hook["name"], hook["id"]):
        refused = steward.ask("POST", f"/v1/checks/{question}", body_of(of_type(name)))
        assert refused.status_code == 422
        assert faults(refused)[f"{pointer}/front_coupling/type"] == LEAVES_NOTHING


def test_no_vehicle_is_recorded_so(steward: Caller) -> None:
    hook = deep_hook(steward)
    assert faults(steward.ask("POST", "/v1/vehicles", BY_ITSELF)) == {
        "/front_coupling/reach_mm": LEAVES_NOTHING
    }
    for name in (hook["name"], hook["id"]):
        refused = steward.ask("POST", "/v1/vehicles", of_type(name))
        assert (refused.status_code, faults(refused)) == (
            422,
            {"/front_coupling/type": LEAVES_NOTHING},
        )
    kept = steward.made("/v1/vehicles", of_type("another hook"))
    path = f"/v1/vehicles/{kept['id']}"
    changed = steward.ask("PUT", path, of_type("deep hook"), if_match=steward.tag(path))
    assert faults(changed) == {"/front_coupling/type": LEAVES_NOTHING}


def test_a_type_is_neither_changed_nor_made_so_that_nothing_is_left_of_a_vehicle_on_record(
    steward: Caller,
) -> None:
    hook = deep_hook(steward, reach_mm=4)
    for name in (hook["id"], "deep hook", "hook to come"):
        steward.made("/v1/vehicles", of_type(name))
    path = f"/v1/coupling-types/{hook['id']}"
    changed = steward.ask(
        "PUT", path, {"name": "deep hook", "reach_mm": -60}, if_match=steward.tag(path)
    )
    assert (changed.status_code, faults(changed)) == (
        422,
        {"/reach_mm": LEAVES_NOTHING},
    )
    made = steward.ask(
        "POST", "/v1/coupling-types", {"name": "hook to come", "reach_mm": -60}
    )
    assert (made.status_code, faults(made)) == (422, {"/reach_mm": LEAVES_NOTHING})
    assert (
        steward.ask(
            "PUT",
            path,
            {"name": "deep hook", "reach_mm": -2},
            if_match=steward.tag(path),
        ).status_code
        == 200
    )


def test_a_row_of_a_spreadsheet_is_at_fault_for_its_own_reach_and_for_its_types(
    steward: Caller,
) -> None:
    deep_hook(steward)
    text = (
        "Name,Length over buffers,Front coupling,Front coupling reach (mm),Rear"
        " coupling,Rear coupling reach (mm)\nOwn,100,,-60,,-60\nTyped,100,deep"
        " hook,,deep hook,\nGood,100,deep hook,-10,deep hook,-10\n"
    )
    preview = previewed(steward, text)
    assert counted(preview) == {"fault": 2, "create": 1}
    own, typed, _ = rows(steward, preview)
    assert [(one["field"], one["code"]) for one in own["faults"]] == [
        ("front_coupling.reach_mm", LEAVES_NOTHING)
    ]
    assert [(one["field"], one["code"]) for one in typed["faults"]] == [
        ("front_coupling.type", LEAVES_NOTHING)
    ]


def test_a_yard_refuses_wagons_that_would_stand_inside_each_other(
    steward: Caller,
) -> None:
    wagon = {
        "length_mm": 100,
        "length_over": "buffers",
        "front_coupling": {"reach_mm": -2},
        "rear_coupling": {"reach_mm": -3},
    }
    body = {
        "engine_length_mm": 150,
        "yard": {
            "headshunt_usable_length_mm": 500,
            "sidings": [{"name": "A", "usable_length_mm": 400}],
        },
        "wagons": [wagon | {"name": "One"}, wagon | {"name": "Two"}],
        "start": {"sidings": [["One", "Two"]]},
        "goal": {"siding": "A", "train": ["Two", "One"]},
    }
    refused = steward.ask("POST", "/v1/checks/shunting-plan", body)
    assert refused.status_code == 422
    assert faults(refused) == {
        "/wagons/0/rear_coupling/reach_mm": "figures_disagree",
        "/wagons/1/rear_coupling/reach_mm": "figures_disagree",
    }
