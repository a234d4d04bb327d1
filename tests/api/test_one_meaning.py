"""What a request says twice, it says once or not at all: keys of an object, headers
that name one thing.
"""

import json
from typing import Any

import pytest

from api.asking import Caller, refusal
from api.ground import Ground, one_of

TWICE = [
    '{"name": "Van", "name": "Tank"}',
    '{"name": "Van", "front_coupling": {"reach_mm": 4, "reach_mm": 5}}',
    '{"name": "Van", "n\\u0061me": "Tank"}',
    (
        '{"name": "Van", "bodies": [{"length_mm": 50}, {"length_mm": 50, "name": "a",'
        ' "name": "b"}]}'
    ),
]


@pytest.mark.parametrize("body", TWICE)
def test_a_key_that_stands_twice_is_refused_by_its_name_and_nothing_is_recorded(
    steward: Caller, body: str
) -> None:
    told = refusal(
        steward.send("POST", "/v1/vehicles", body.encode()), 400, "malformed"
    )
    key = "reach_mm" if "reach_mm" in body else "name"
    assert f"'{key}' stands twice" in told["detail"]
    assert steward.read("/v1/vehicles")["items"] == []


def test_a_key_that_stands_twice_is_refused_in_patches_and_questions_too(
    ground: Ground,
) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    patch = ground.steward.send(
        "PATCH", path, b'{"mass_g": 1, "mass_g": 2}', if_match="*"
    )
    refusal(patch, 400, "malformed")
    question = (
        b'{"usable_length_mm": 500, "usable_length_mm": 900, "vehicle": {"name":'
        b' "Van"}}'
    )
    refusal(
        ground.steward.send("POST", "/v1/checks/capacity", question), 400, "malformed"
    )


def test_two_objects_may_have_the_same_keys(steward: Caller) -> None:
    bodies: list[dict[str, Any]] = [
        {"length_mm": 50, "name": "a"},
        {"length_mm": 60, "name": "b"},
    ]
    sent = json.dumps({"name": "Set", "bodies": bodies}).encode()
    assert steward.send("POST", "/v1/vehicles", sent).status_code == 201


def posted(caller: Caller, *keys: str) -> Any:
    lines = [
        ("authorization", f"Bearer {caller.token}"),
        *(("idempotency-key", key) for key in keys),
    ]
    return caller.http.request(
        "POST", "/v1/vehicles", json={"name": "Van"}, headers=lines
    )


def test_two_idempotency_keys_are_refused(steward: Caller) -> None:
    refusal(posted(steward, "one", "two"), 422, "invalid")
    assert steward.read("/v1/vehicles")["items"] == []
    assert posted(steward, "one").status_code == 201


def test_two_tokens_are_none(steward: Caller) -> None:
    lines = [("authorization", f"Bearer {steward.token}")] * 2
    refusal(
        steward.http.request("GET", "/v1/club", headers=lines), 401, "unauthenticated"
    )
