"""Whatever is wrong with what was sent is told at once, each fault at its place, and
nothing is written.
"""

from dataclasses import replace
from typing import Any

import pytest

from api.asking import NOBODY, Caller, faults, refusal
from api.ground import (
    BY_SESSION,
    CONDITIONAL,
    CREATIONS,
    FIXED,
    LOOP,
    OPERATIONS,
    SECRET,
    WAGON,
    WITH_BODY,
    Ground,
    noun_in,
    one_of,
)
from support.walks import at_each

CHANGED_PATHS = {OPERATIONS[one].path for one in CONDITIONAL}
SINGLE_READS = [
    one.id
    for one in OPERATIONS.values()
    if one.method == "GET" and one.path in CHANGED_PATHS
]
SINGLE_READS = [one for one in SINGLE_READS if not one.endswith(FIXED)]


def test_five_faults_at_five_depths_have_five_pointers(steward: Caller) -> None:
    body: dict[str, Any] = {
        "bogus": 1,
        "place": LOOP | {"kind": "roundabout"},
        "train": {
            "vehicles": [
                WAGON | {"length_mm": -1, "front_coupling": {"reach_mm": "far"}},
                7,
            ]
        },
    }
    assert faults(steward.ask("POST", "/v1/checks/train-fit", body)) == {
        "/bogus": "unknown_field",
        "/place/kind": "not_a_choice",
        "/train/vehicles/1": "wrong_type",
        "/train/vehicles/0/length_mm": "too_small",
        "/train/vehicles/0/front_coupling/reach_mm": "wrong_type",
    }


@pytest.mark.parametrize("method", ["POST", "PUT", "PATCH"])
def test_a_record_has_all_its_faults_told_however_it_is_sent(
    steward: Caller, ground: Ground, method: str
) -> None:
    path = (
        "/v1/vehicles"
        if method == "POST"
        else one_of("Vehicle", ground.make("Vehicle"))
    )
    body: dict[str, Any] = {
        "name": "x" * 121,
        "kind": "rocket",
        "count": 2.5,
        "mass_g": True,
        "scale": None,
        "front_coupling": {"swing_deg": 200, "wheels": 4},
        "bodies": [{"length_mm": 10}, {"gap_to_next_mm": -1}],
        "bridging_axles_mm": [1, "two"],
    }
    assert faults(steward.ask(method, path, body, if_match="*")) == {
        "/name": "too_long",
        "/kind": "not_a_choice",
        "/count": "wrong_type",
        "/mass_g": "wrong_type",
        "/front_coupling/swing_deg": "too_large",
        "/front_coupling/wheels": "unknown_field",
        "/bodies/1/length_mm": "missing",
        "/bodies/1/gap_to_next_mm": "too_small",
        "/bridging_axles_mm/1": "wrong_type",
    }


def test_rules_between_fields_are_told_beside_faults_of_single_fields(
    steward: Caller,
) -> None:
    both = WAGON | {"bogie_centres_mm": 60.0}
    body: dict[str, Any] = {
        "vehicles": [both, WAGON | {"width_mm": 0}],
        "curve": {"radius_mm": 100, "radius_plus_minus_mm": 100},
    }
    assert faults(steward.ask("POST", "/v1/checks/curve", body)) == {
        "/vehicles/0/rigid_wheelbase_mm": "one_or_the_other",
        "/vehicles/1/width_mm": "too_small",
        "/curve/radius_plus_minus_mm": "contradiction",
    }


def test_a_pointer_spells_slashes_and_tildes_as_rfc_6901_does(steward: Caller) -> None:
    assert faults(
        steward.ask("POST", "/v1/layouts", {"name": "Staithe Lane", "a/b~c": 1})
    ) == {"/a~1b~0c": "unknown_field"}


@at_each(
    "operation_id",
    [one for one in WITH_BODY if OPERATIONS[one].takes.patch_of is None],
    halved=True,
)
def test_a_body_must_be_an_object(ground: Ground, operation_id: str) -> None:
    request = ground.request(operation_id)
    for raw in (b"[]", b'"text"', b"1", b"true", b"null"):
        response = ground.steward.send(
            request.method, request.path, raw, **request.headers
        )
        assert faults(response) == {"": "wrong_type"}


@at_each("operation_id", WITH_BODY, halved=True)
def test_a_field_that_is_not_known_is_refused(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    response = ground.steward.ask(
        request.method, request.path, request.body | {"bogus": 1}, **request.headers
    )
    assert faults(response) == {"/bogus": "unknown_field"}


@at_each("operation_id", sorted(set(OPERATIONS) - set(BY_SESSION)), halved=True)
def test_a_query_parameter_that_is_not_known_is_refused(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    joint = "&" if "?" in request.path else "?"
    response = replace(request, path=f"{request.path}{joint}bogus=1&nonsense=").by(
        ground.steward
    )
    assert faults(response) == {
        "bogus": "unknown_parameter",
        "nonsense": "unknown_parameter",
    }


def test_faults_of_the_query_and_of_the_body_are_told_together(steward: Caller) -> None:
    response = steward.ask("POST", "/v1/vehicles?bogus=1", {"name": "", "mass_g": 0})
    assert faults(response) == {
        "bogus": "unknown_parameter",
        "/name": "too_short",
        "/mass_g": "too_small",
    }


def test_every_parameter_that_is_wrong_is_told(steward: Caller) -> None:
    response = steward.ask(
        "GET",
        "/v1/vehicles?limit=0&sort=colour&kind=rocket&owner_id=&name_begins=%01&bogus=1",
    )
    assert faults(response) == {
        "limit": "too_small",
        "sort": "not_a_choice",
        "kind": "not_a_choice",
        "owner_id": "too_short",
        "name_begins": "bad_characters",
        "bogus": "unknown_parameter",
    }


def test_a_parameter_that_is_missing_is_told(ground: Ground) -> None:
    path = ground.request("getVehicleCurve").path.partition("?")[0]
    assert faults(ground.steward.ask("GET", path)) == {"radius_mm": "missing"}


def test_a_parameter_that_is_given_twice_is_refused(steward: Caller) -> None:
    assert faults(steward.ask("GET", "/v1/vehicles?limit=5&limit=5")) == {
        "limit": "repeated"
    }


@at_each("operation_id", CREATIONS, halved=True)
def test_what_the_service_gives_cannot_be_sent_with_something_new(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    envelope = {
        "id": NOBODY,
        "version": 1,
        "created_at": "2026-05-01T10:00:00Z",
        "updated_at": "2026-05-01T10:00:00Z",
    }
    if noun_in(operation_id) in SECRET:
        envelope[SECRET[noun_in(operation_id)]] = "stg_0123456789012345678901234567890"
    response = ground.steward.ask("POST", request.path, request.body | envelope)
    assert faults(response) == {f"/{name}": "unknown_field" for name in envelope}


@at_each("operation_id", SINGLE_READS)
@pytest.mark.parametrize("method", ["PUT", "PATCH"])
def test_a_record_can_be_sent_back_as_it_was_read(
    ground: Ground, operation_id: str, method: str
) -> None:
    request = ground.request(operation_id)
    read = ground.steward.ask("GET", request.path)
    response = ground.steward.ask(
        method, request.path, read.json(), if_match=read.headers["etag"]
    )
    assert response.status_code == 200, response.text
    apart = {"version", "updated_at"}
    assert {k: v for k, v in response.json().items() if k not in apart} == {
        k: v for k, v in read.json().items() if k not in apart
    }
    assert response.json()["version"] == read.json()["version"] + 1


@pytest.mark.parametrize("method", ["PUT", "PATCH"])
def test_what_the_service_gave_cannot_be_changed(ground: Ground, method: str) -> None:
    place = ground.make("Place")
    changed: dict[str, Any] = {
        "id": NOBODY,
        "version": 7,
        "created_at": "2020-01-01T00:00:00Z",
        "updated_at": None,
        "layout_id": NOBODY,
    }
    response = ground.steward.ask(
        method, one_of("Place", place), place | changed, if_match="*"
    )
    assert faults(response) == {f"/{name}": "read_only" for name in changed}


def test_what_the_service_gave_cannot_be_taken_away(ground: Ground) -> None:
    vehicle = ground.make("Vehicle")
    path = one_of("Vehicle", vehicle)
    response = ground.steward.ask(
        "PATCH", path, {"id": None, "version": None, "mass_g": -1}, if_match="*"
    )
    assert faults(response) == {
        "/id": "read_only",
        "/version": "read_only",
        "/mass_g": "too_small",
    }


def test_the_member_for_whom_a_token_acts_stays(ground: Ground) -> None:
    token = ground.make("Token")
    other = ground.make("Member")
    path = one_of("Token", token)
    assert faults(
        ground.steward.ask("PATCH", path, {"member_id": other["id"]}, if_match="*")
    ) == {"/member_id": "fixed"}


def test_a_name_that_is_taken_is_a_fault_of_the_name(ground: Ground) -> None:
    layout = ground.make("Layout", name="Staithe Lane")
    assert faults(
        ground.steward.ask("POST", "/v1/layouts", {"name": "staithe  lane"})
    ) == {"/name": "name_taken"}
    ground.make("Place", layout_id=layout["id"], name="Up loop")
    elsewhere = ground.make("Layout")
    ground.make("Place", layout_id=elsewhere["id"], name="Up loop")
    response = ground.steward.ask(
        "POST", f"/v1/layouts/{layout['id']}/places", LOOP | {"name": "UP LOOP"}
    )
    assert faults(response) == {"/name": "name_taken"}


def test_every_id_in_a_body_that_is_not_on_record_is_told(steward: Caller) -> None:
    vehicles = [{"vehicle_id": NOBODY}, {"vehicle_id": "nonsense"}]
    body = {"name": "Night goods", "owner_id": NOBODY, "vehicles": vehicles}
    assert faults(steward.ask("POST", "/v1/trains", body)) == {
        "/owner_id": "no_such_member",
        "/vehicles/0/vehicle_id": "no_such_vehicle",
        "/vehicles/1/vehicle_id": "no_such_vehicle",
    }


def test_every_id_in_a_question_that_is_not_on_record_is_told(steward: Caller) -> None:
    body = {"train": {"train_id": NOBODY}, "place": {"place_id": NOBODY}}
    assert faults(steward.ask("POST", "/v1/checks/train-fit", body)) == {
        "/train/train_id": "no_such_train",
        "/place/place_id": "no_such_place",
    }


def test_faults_have_an_end(steward: Caller) -> None:
    body = {
        "vehicles": [{"name": "", "mass_g": -1, "width_mm": -1}] * 200,
        "curve": {"radius_mm": 600},
    }
    assert (
        len(
            refusal(steward.ask("POST", "/v1/checks/curve", body), 422, "invalid")[
                "faults"
            ]
        )
        == 200
    )


@at_each("operation_id", CREATIONS)
def test_nothing_is_written_where_something_is_wrong(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    before = ground.steward.read(request.path)
    assert (
        ground.steward.ask(
            "POST", request.path, request.body | {"bogus": 1}
        ).status_code
        == 422
    )
    assert ground.steward.read(request.path) == before
