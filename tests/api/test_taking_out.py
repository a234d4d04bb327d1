"""A vehicle is its owner's: it comes out of trains that others made up, and they are
told.
"""

from typing import Any

import pytest

from api.asking import NOBODY, Caller, Service, refusal
from api.ground import Ground, one_of

WHOLE = {"length_mm": 250.0, "length_over": "couplings"}


def taken_out(caller: Caller, vehicle: dict[str, Any]) -> list[dict[str, Any]]:
    response = caller.ask("POST", f"/v1/vehicles/{vehicle['id']}/take-out")
    assert response.status_code == 200, response.text
    return list(response.json()["changes"])


def train_of(
    caller: Caller, *vehicles: dict[str, Any], name: str = "Night goods", **about: Any
) -> dict[str, Any]:
    entries = [{"vehicle_id": one["id"]} for one in vehicles]
    return caller.made("/v1/trains", {"name": name, "vehicles": entries} | about)


@pytest.fixture
def owner(ground: Ground) -> Caller:
    return ground.steward.with_member("member", "Sam Reed")


@pytest.fixture
def other(ground: Ground) -> Caller:
    return ground.steward.with_member("member", "Hazel Marsh")


@pytest.fixture
def van(ground: Ground, owner: Caller) -> dict[str, Any]:
    return ground.make("Vehicle", owner_id=owner.member_id, name="Churn van")


def test_whoever_is_kept_from_deleting_a_vehicle_is_told_by_which_trains_and_what_to_do(
    ground: Ground, owner: Caller, other: Caller, van: dict[str, Any]
) -> None:
    wagon = ground.make("Vehicle")
    train = train_of(other, van, wagon)
    problem = refusal(
        owner.ask("DELETE", one_of("Vehicle", van), if_match="*"), 409, "in_use"
    )
    assert "the train Night goods" in problem["detail"]
    way_out = problem["detail"].partition(" by POST ")[2].rstrip(".")
    assert way_out == f"/v1/vehicles/{van['id']}/take-out"
    assert owner.ask("POST", way_out).status_code == 200
    assert owner.ask("DELETE", one_of("Vehicle", van), if_match="*").status_code == 204
    assert [
        one["vehicle_id"] for one in other.read(one_of("Train", train))["vehicles"]
    ] == [wagon["id"]]


def test_the_others_are_told_who_took_it_out_of_what(
    ground: Ground, owner: Caller, other: Caller, van: dict[str, Any]
) -> None:
    wagon = ground.make("Vehicle")
    trains = [
        train_of(other, van, wagon),
        train_of(ground.steward, wagon, van, name="Mixed"),
    ]
    changes = taken_out(owner, van)
    assert sorted(
        (one["record_name"], one["action"], one["member_name"]) for one in changes
    ) == [
        ("Mixed", "update", "Sam Reed"),
        ("Night goods", "update", "Sam Reed"),
    ]
    assert len({one["action_id"] for one in changes}) == 1
    latest, _ = other.read(f"/v1/history?record_id={trains[0]['id']}")["items"]
    assert (latest["member_id"], latest["version"]) == (owner.member_id, 2)
    after = other.read(one_of("Train", trains[0]))
    assert (after["owner_id"], after["version"]) == (other.member_id, 2)
    assert taken_out(owner, van) == []


def test_it_comes_out_of_rakes_too_and_what_was_measured_with_it_goes(
    ground: Ground, owner: Caller, other: Caller
) -> None:
    van, wagon = (
        ground.make("Vehicle", owner_id=owner.member_id, count=2),
        ground.make("Vehicle", count=9),
    )
    measured = {
        "measured_length_mm": 250.0,
        "measured_over": "couplings",
        "measured_plus_minus_mm": 1.0,
    }
    entries = [{"vehicle_id": one["id"]} for one in (van, wagon)]
    rake = other.made(
        "/v1/rakes", {"name": "Set", "vehicles": entries, "notes": "kept"} | measured
    )
    alone = other.made("/v1/rakes", {"name": "Single", "vehicles": entries[:1]})
    plain = [{"vehicle_id": wagon["id"]}]
    made_up = [
        *plain,
        {"rake_id": alone["id"]},
        *plain * 2,
        {"rake_id": rake["id"]},
        *plain * 2,
    ]
    wholes = [{"first": 3, "last": 4}, {"first": 5, "last": 5}, {"first": 6, "last": 7}]
    body = {
        "name": "Milk",
        "vehicles": made_up,
        "measured_rakes": [WHOLE | one for one in wholes],
    }
    train = other.made("/v1/trains", body)
    taken_out(owner, van)
    after = other.read(one_of("Rake", rake))
    assert after["vehicles"] == plain
    assert (set(measured) & set(after), after["notes"]) == (set(), "kept")
    refusal(other.ask("GET", one_of("Rake", alone)), 404, "not_found")
    left = other.read(one_of("Train", train))
    assert [one.get("rake_id") for one in left["vehicles"]] == [
        None,
        None,
        None,
        rake["id"],
        None,
        None,
    ]
    assert [(one["first"], one["last"]) for one in left["measured_rakes"]] == [
        (2, 3),
        (5, 6),
    ]


def test_a_train_of_nothing_else_is_deleted_and_comes_back(
    owner: Caller, other: Caller, van: dict[str, Any]
) -> None:
    train = train_of(other, van)
    assert [one["action"] for one in taken_out(owner, van)] == ["delete"]
    refusal(other.ask("GET", one_of("Train", train)), 404, "not_found")
    assert (
        other.ask("POST", f"/v1/deleted-records/{train['id']}/restore").status_code
        == 200
    )


def test_only_the_owner_or_a_steward_takes_a_vehicle_out(
    service: Service, ground: Ground, owner: Caller, other: Caller, van: dict[str, Any]
) -> None:
    train = train_of(ground.steward, van, ground.make("Vehicle"))
    path = f"/v1/vehicles/{van['id']}/take-out"
    for caller in (other, ground.steward.with_member("layout_keeper")):
        refusal(caller.ask("POST", path), 403, "forbidden")
    refusal(service.club("Millpond Society").ask("POST", path), 404, "not_found")
    refusal(owner.ask("POST", f"/v1/vehicles/{NOBODY}/take-out"), 404, "not_found")
    assert ground.steward.read(one_of("Train", train))["version"] == 1
    assert len(taken_out(ground.steward, van)) == 1


def test_a_train_that_a_standard_lets_off_stays_and_the_standard_is_named(
    ground: Ground, owner: Caller, other: Caller, van: dict[str, Any]
) -> None:
    train = train_of(other, van)
    rule = {"rule": "longest_train", "length_mm": 1000}
    waiver = {"rule": 1, "train_id": train["id"], "reason": "it is one van"}
    made = ground.steward.ask(
        "POST", "/v1/standards", {"name": "Ours", "rules": [rule], "waivers": [waiver]}
    )
    assert made.status_code == 201, made.text
    problem = refusal(
        owner.ask("POST", f"/v1/vehicles/{van['id']}/take-out"), 409, "in_use"
    )
    assert "the standard Ours" in problem["detail"]
    assert other.read(one_of("Train", train))["version"] == 1
