"""Rakes as a caller meets them: trains made up of them, on both databases."""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, faults, refusal
from api.ground import Ground, one_of

VEHICLE: dict[str, Any] = {"length_mm": 100, "length_over": "couplings", "length_plus_minus_mm": 0}


def length_of(caller: Caller, train_id: str) -> Any:
    body = {"train": {"train_id": train_id}, "place": {"kind": "siding", "usable_length_mm": 5000}}
    response = caller.ask("POST", "/v1/checks/train-fit", body)
    assert response.status_code == 200, response.text
    return response.json()["train_length_mm"]


def rake_of(*vehicles: dict[str, Any], **about: Any) -> dict[str, Any]:
    return {"name": "Set", "vehicles": [{"vehicle_id": one["id"]} for one in vehicles], **about}


def test_a_train_is_as_long_as_the_rakes_and_vehicles_it_is_made_up_of(ground: Ground) -> None:
    steward = ground.steward
    engine, coach = ground.make("Vehicle", **VEHICLE), ground.make("Vehicle", **VEHICLE | {"length_mm": 250})
    rake = steward.made("/v1/rakes", rake_of(coach))
    entries = [{"vehicle_id": engine["id"]}, {"rake_id": rake["id"], "reversed": True}]
    train = steward.made("/v1/trains", {"name": "Milk", "vehicles": entries})
    assert train["vehicles"] == entries
    assert length_of(steward, train["id"]) == 350
    measured = {"measured_length_mm": 247.5, "measured_over": "couplings", "measured_plus_minus_mm": 0}
    assert steward.ask("PATCH", f"/v1/rakes/{rake['id']}", measured, if_match="*").status_code == 200
    assert length_of(steward, train["id"]) == 347.5


def test_a_measured_stretch_of_a_train_counts_its_entries_a_rake_as_one(ground: Ground) -> None:
    steward = ground.steward
    coaches = [ground.make("Vehicle", **VEHICLE) for _ in range(3)]
    rake = steward.made("/v1/rakes", rake_of(*coaches))
    engine = ground.make("Vehicle", **VEHICLE)
    stretch = {"first": 1, "last": 2, "length_mm": 390, "length_over": "couplings", "length_plus_minus_mm": 0}
    body: dict[str, Any] = {
        "name": "Milk",
        "vehicles": [{"rake_id": rake["id"]}, {"vehicle_id": engine["id"]}],
        "measured_rakes": [stretch],
    }
    assert length_of(steward, steward.made("/v1/trains", body)["id"]) == 390
    body["measured_rakes"] = [stretch | {"last": 3}]
    assert faults(steward.ask("POST", "/v1/trains", body)) == {"/measured_rakes/0/last": "beyond_train"}


@pytest.mark.parametrize(
    ("entry", "fault"),
    [
        ({}, {"/vehicles/0/vehicle_id": "missing"}),
        ({"vehicle_id": NOBODY, "rake_id": NOBODY}, {"/vehicles/0/rake_id": "one_or_the_other"}),
        ({"rake_id": NOBODY, "count": 2}, {"/vehicles/0/count": "contradiction"}),
        ({"rake_id": NOBODY}, {"/vehicles/0/rake_id": "no_such_rake"}),
    ],
)
def test_an_entry_of_a_train_is_a_vehicle_or_a_rake(steward: Caller, entry: Any, fault: dict[str, str]) -> None:
    assert faults(steward.ask("POST", "/v1/trains", {"name": "Milk", "vehicles": [entry]})) == fault


def test_a_rake_that_a_train_is_made_up_of_cannot_be_deleted(ground: Ground) -> None:
    rake = ground.make("Rake")
    train = ground.steward.made("/v1/trains", {"name": "Milk", "vehicles": [{"rake_id": rake["id"]}]})
    problem = refusal(ground.steward.ask("DELETE", one_of("Rake", rake), if_match="*"), 409, "in_use")
    assert "the train Milk" in problem["detail"]
    assert ground.steward.ask("DELETE", one_of("Train", train), if_match="*").status_code == 204
    assert ground.steward.ask("DELETE", one_of("Rake", rake), if_match="*").status_code == 204
