"""Rakes as a caller meets them: trains made up of them, on both databases."""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, faults, refusal
from api.ground import Ground, one_of

VEHICLE: dict[str, Any] = {
    "length_mm": 100,
    "length_over": "couplings",
    "length_plus_minus_mm": 0,
}


def length_of(caller: Caller, train_id: str) -> Any:
    body = {
        "train": {"train_id": train_id},
        "place": {"kind": "siding", "usable_length_mm": 5000},
    }
    response = caller.ask("POST", "/v1/checks/train-fit", body)
    assert response.status_code == 200, response.text
    return response.json()["train_length_mm"]


def rake_of(*vehicles: dict[str, Any], **about: Any) -> dict[str, Any]:
    return {
        "name": "Set",
        "vehicles": [{"vehicle_id": one["id"]} for one in vehicles],
        **about,
    }


def test_a_train_is_as_long_as_the_rakes_and_vehicles_it_is_made_up_of(
    ground: Ground,
) -> None:
    steward = ground.steward
    engine, coach = (
        ground.make("Vehicle", **VEHICLE),
        ground.make("Vehicle", **VEHICLE | {"length_mm": 250}),
    )
    rake = steward.made("/v1/rakes", rake_of(coach))
    entries = [{"vehicle_id": engine["id"]}, {"rake_id": rake["id"], "reversed": True}]
    train = steward.made("/v1/trains", {"name": "Milk", "vehicles": entries})
    assert train["vehicles"] == entries
    assert length_of(steward, train["id"]) == 350
    measured = {
        "measured_length_mm": 247.5,
        "measured_over": "couplings",
        "measured_plus_minus_mm": 0,
    }
    assert (
        steward.ask(
            "PATCH", f"/v1/rakes/{rake['id']}", measured, if_match="*"
        ).status_code
        == 200
    )
    assert length_of(steward, train["id"]) == 347.5


def test_a_measured_stretch_of_a_train_counts_its_entries_a_rake_as_one(
    ground: Ground,
) -> None:
    steward = ground.steward
    coaches = [ground.make("Vehicle", **VEHICLE) for _ in range(3)]
    rake = steward.made("/v1/rakes", rake_of(*coaches))
    engine = ground.make("Vehicle", **VEHICLE)
    stretch = {
        "first": 1,
        "last": 2,
        "length_mm": 390,
        "length_over": "couplings",
        "length_plus_minus_mm": 0,
    }
    body: dict[str, Any] = {
        "name": "Milk",
        "vehicles": [{"rake_id": rake["id"]}, {"vehicle_id": engine["id"]}],
        "measured_rakes": [stretch],
    }
    assert length_of(steward, steward.made("/v1/trains", body)["id"]) == 390
    body["measured_rakes"] = [stretch | {"last": 3}]
    assert faults(steward.ask("POST", "/v1/trains", body)) == {
        "/measured_rakes/0/last": "beyond_train"
    }


@pytest.mark.parametrize(
    ("entry", "fault"),
    [
        ({}, {"/vehicles/0/vehicle_id": "missing"}),
        (
            {"vehicle_id": NOBODY, "rake_id": NOBODY},
            {"/vehicles/0/rake_id": "one_or_the_other"},
        ),
        ({"rake_id": NOBODY, "count": 2}, {"/vehicles/0/count": "contradiction"}),
        ({"rake_id": NOBODY}, {"/vehicles/0/rake_id": "no_such_rake"}),
    ],
)
def test_an_entry_of_a_train_is_a_vehicle_or_a_rake(
    steward: Caller, entry: Any, fault: dict[str, str]
) -> None:
    assert (
        faults(steward.ask("POST", "/v1/trains", {"name": "Milk", "vehicles": [entry]}))
        == fault
    )


def test_a_rake_that_a_train_is_made_up_of_cannot_be_deleted(ground: Ground) -> None:
    rake = ground.make("Rake")
    train = ground.steward.made(
        "/v1/trains", {"name": "Milk", "vehicles": [{"rake_id": rake["id"]}]}
    )
    problem = refusal(
        ground.steward.ask("DELETE", one_of("Rake", rake), if_match="*"), 409, "in_use"
    )
    assert "the train Milk" in problem["detail"]
    assert (
        ground.steward.ask("DELETE", one_of("Train", train), if_match="*").status_code
        == 204
    )
    assert (
        ground.steward.ask("DELETE", one_of("Rake", rake), if_match="*").status_code
        == 204
    )


def test_a_train_made_up_in_a_question_may_name_rakes_too(ground: Ground) -> None:
    steward = ground.steward
    engine, coach = (
        ground.make("Vehicle", **VEHICLE),
        ground.make("Vehicle", **VEHICLE | {"length_mm": 250}),
    )
    measured = {
        "measured_length_mm": 247.5,
        "measured_over": "couplings",
        "measured_plus_minus_mm": 0,
    }
    rake = steward.made("/v1/rakes", rake_of(coach, **measured))
    entries = [
        {"vehicle_id": engine["id"]},
        {"rake_id": rake["id"], "reversed": True},
        {"name": "Van"} | VEHICLE,
    ]
    road = {"name": "Bay", "kind": "siding", "usable_length_mm": 500}
    fit = steward.ask(
        "POST", "/v1/checks/train-fit", {"train": {"vehicles": entries}, "place": road}
    ).json()
    assert fit["train_length_mm"] == 447.5
    both = {
        "trains": [{"vehicles": entries}, {"vehicles": entries[1:2]}],
        "roads": [road, road | {"name": "Dock"}],
    }
    stood = steward.ask("POST", "/v1/checks/road-allocation", both).json()
    assert sorted(
        train["length_mm"] for one in stood["roads"] for train in one["trains"]
    ) == [247.5, 447.5]


@pytest.mark.parametrize(
    ("entry", "fault"),
    [
        ({"rake_id": NOBODY}, {"/vehicles/0/rake_id": "no_such_rake"}),
        (
            {"rake_id": NOBODY, "vehicle_id": NOBODY},
            {"/vehicles/0/vehicle_id": "one_or_the_other"},
        ),
        ({"rake_id": NOBODY, "count": 2}, {"/vehicles/0/count": "one_or_the_other"}),
        (
            {"rake_id": NOBODY, "length_mm": 20},
            {"/vehicles/0/length_mm": "one_or_the_other"},
        ),
    ],
)
def test_a_rake_in_a_question_stands_for_itself_alone(
    steward: Caller, entry: Any, fault: dict[str, str]
) -> None:
    road = {"kind": "siding", "usable_length_mm": 500}
    fit = steward.ask(
        "POST", "/v1/checks/train-fit", {"train": {"vehicles": [entry]}, "place": road}
    )
    assert faults(fit) == {f"/train{pointer}": code for pointer, code in fault.items()}
    stood = steward.ask(
        "POST",
        "/v1/checks/road-allocation",
        {"trains": [{"vehicles": [entry]}], "roads": [road]},
    )
    assert faults(stood) == {
        f"/trains/0{pointer}": code for pointer, code in fault.items()
    }


def test_rakes_cannot_make_a_train_longer_than_any(ground: Ground) -> None:
    many = ground.make("Vehicle", **VEHICLE | {"count": 200})
    rake = ground.steward.made(
        "/v1/rakes",
        {"name": "Set", "vehicles": [{"vehicle_id": many["id"], "count": 200}]},
    )
    body = {
        "train": {"vehicles": [{"rake_id": rake["id"]}] * 6},
        "place": {"kind": "siding", "usable_length_mm": 500},
    }
    assert faults(ground.steward.ask("POST", "/v1/checks/train-fit", body)) == {
        "/train/vehicles": "too_many"
    }
