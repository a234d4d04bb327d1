"""A change sent twice with one Idempotency-Key is done once."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from api.asking import Caller, Service, faults, refusal
from api.ground import CREATIONS, OPERATIONS, SECRET, Ground, noun_in
from support.walks import at_each

KEYED = [one for one in CREATIONS if noun_in(one) not in SECRET]


CHANGED = [
    one
    for one, it in OPERATIONS.items()
    if it.guard.conditional and it.method != "DELETE" and noun_in(one)
]
DELETED = [
    one
    for one, it in OPERATIONS.items()
    if it.method == "DELETE" and noun_in(one) != "Session"
]


def how_many(caller: Caller, path: str) -> int:
    return len(caller.read(f"{path}?limit=200")["items"])


@at_each("operation_id", KEYED)
def test_a_replay_gives_the_first_answer_again_byte_by_byte(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    first = ground.steward.ask("POST", request.path, request.body, idempotency_key="k1")
    assert first.status_code == 201
    count = how_many(ground.steward, request.path)
    again = ground.steward.ask("POST", request.path, request.body, idempotency_key="k1")
    assert (again.status_code, again.content) == (201, first.content)
    kept = {
        name: value for name, value in first.headers.items() if name != "x-request-id"
    }
    assert {
        name: value for name, value in again.headers.items() if name != "x-request-id"
    } == kept
    assert how_many(ground.steward, request.path) == count


def test_a_replay_gives_the_first_answer_even_after_a_change(ground: Ground) -> None:
    body = ground.body("Vehicle")
    first = ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key="k1")
    path = first.headers["location"]
    assert (
        ground.steward.ask("PATCH", path, {"mass_g": 1}, if_match="*").status_code
        == 200
    )
    again = ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key="k1")
    assert (again.content, again.headers["etag"]) == (
        first.content,
        first.headers["etag"],
    )


def test_without_a_key_the_same_body_is_another_record(ground: Ground) -> None:
    body = ground.body("Vehicle")
    ids = {ground.steward.made("/v1/vehicles", body)["id"] for _ in range(2)}
    assert len(ids) == 2


@at_each("operation_id", CREATIONS)
def test_another_payload_with_the_same_key_is_refused(
    ground: Ground, operation_id: str
) -> None:
    request, other = ground.request(operation_id), ground.another(operation_id)
    assert (
        ground.steward.ask(
            "POST", request.path, request.body, idempotency_key="k1"
        ).status_code
        == 201
    )
    count = how_many(ground.steward, request.path)
    response = ground.steward.ask("POST", request.path, other, idempotency_key="k1")
    refusal(response, 422, "idempotency_key_reused")
    assert how_many(ground.steward, request.path) == count


@pytest.mark.parametrize("noun", SECRET)
def test_a_secret_is_shown_once_and_no_second_one_is_made(
    ground: Ground, noun: str
) -> None:
    request = ground.request(f"create{noun}")
    first = ground.steward.ask("POST", request.path, request.body, idempotency_key="k1")
    assert first.status_code == 201
    count = how_many(ground.steward, request.path)
    again = ground.steward.ask("POST", request.path, request.body, idempotency_key="k1")
    refusal(again, 409, "already_shown")
    assert first.json()[SECRET[noun]] not in again.text
    assert how_many(ground.steward, request.path) == count


@pytest.mark.parametrize("noun", SECRET)
def test_a_secret_is_not_to_be_found_again_nor_kept_by_caches(
    ground: Ground, noun: str
) -> None:
    request = ground.request(f"create{noun}")
    issued = request.by(ground.steward)
    assert issued.headers["cache-control"] == "no-store"
    secret = issued.json()[SECRET[noun]]
    for path in (request.path, issued.headers["location"]):
        assert secret not in ground.steward.ask("GET", path).text


def test_a_refusal_is_not_kept_for_a_replay(ground: Ground) -> None:
    refused = ground.steward.ask(
        "POST", "/v1/vehicles", {"name": ""}, idempotency_key="k1"
    )
    assert faults(refused) == {"/name": "too_short"}
    layout = ground.make("Layout", name="Staithe Lane")
    taken = ground.steward.ask(
        "POST", "/v1/layouts", {"name": "Staithe Lane"}, idempotency_key="k1"
    )
    assert faults(taken) == {"/name": "name_taken"}
    path = f"/v1/layouts/{layout['id']}"
    assert (
        ground.steward.ask(
            "PATCH", path, {"name": "Quay Street"}, if_match="*"
        ).status_code
        == 200
    )
    again = ground.steward.ask(
        "POST", "/v1/layouts", {"name": "Staithe Lane"}, idempotency_key="k1"
    )
    assert again.status_code == 201
    sound = ground.steward.ask(
        "POST", "/v1/vehicles", ground.body("Vehicle"), idempotency_key="k1"
    )
    assert sound.status_code == 201


def test_a_key_belongs_to_its_path_and_to_its_member(
    service: Service, ground: Ground
) -> None:
    body = {"name": "Staithe Lane"}
    ids = {
        ground.steward.ask("POST", "/v1/layouts", body, idempotency_key="k1").json()[
            "id"
        ]
    }
    ids.add(
        ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key="k1").json()[
            "id"
        ]
    )
    ids.add(
        ground.steward.with_member("member")
        .ask("POST", "/v1/vehicles", body, idempotency_key="k1")
        .json()["id"]
    )
    ids.add(
        service.club("Millpond Society")
        .ask("POST", "/v1/layouts", body, idempotency_key="k1")
        .json()["id"]
    )
    assert len(ids) == 4


def test_a_key_is_remembered_for_the_three_days_of_a_show(
    service: Service, ground: Ground
) -> None:
    body = ground.body("Vehicle")
    first = ground.steward.ask(
        "POST", "/v1/vehicles", body, idempotency_key="k1"
    ).json()
    service.clock.move(timedelta(hours=71, minutes=59))
    assert (
        ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key="k1").json()
        == first
    )
    service.clock.move(timedelta(minutes=1))
    later = ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key="k1")
    assert (later.status_code, later.json()["id"] == first["id"]) == (201, False)


@pytest.mark.parametrize("key", ["", "two words", "x" * 201, "\x7f", "é"])
def test_a_key_that_is_none_is_refused(ground: Ground, key: str) -> None:
    response = ground.steward.http.request(
        "POST",
        "/v1/vehicles",
        json=ground.body("Vehicle"),
        headers=[
            (b"authorization", f"Bearer {ground.steward.token}".encode()),
            (b"idempotency-key", key.encode()),
        ],
    )
    assert faults(response) == {"Idempotency-Key": "bad_characters"}


@pytest.mark.parametrize("key", ["k", "x" * 200, '"quoted"', "7d6f3c1e-5a0b", "!~"])
def test_a_key_may_be_any_printable_text(ground: Ground, key: str) -> None:
    body = ground.body("Vehicle")
    ids = {
        ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key=key).json()[
            "id"
        ],
        ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key=key).json()[
            "id"
        ],
    }
    assert len(ids) == 1


def test_a_key_does_not_open_what_is_shut(ground: Ground) -> None:
    body = ground.body("Vehicle")
    ground.steward.ask("POST", "/v1/vehicles", body, idempotency_key="k1")
    reader = ground.steward.with_token(scopes=["read"])
    refusal(
        reader.ask("POST", "/v1/vehicles", body, idempotency_key="k1"), 403, "forbidden"
    )


def test_of_several_at_once_one_is_done_and_all_have_its_answer(ground: Ground) -> None:
    body = ground.body("Vehicle")

    def send(_: int) -> tuple[int, str]:
        response = ground.steward.ask(
            "POST", "/v1/vehicles", body, idempotency_key="k1"
        )
        return response.status_code, response.json()["id"]

    with ThreadPoolExecutor(6) as pool:
        answers = set(pool.map(send, range(6)))
    assert len(answers) == 1
    assert how_many(ground.steward, "/v1/vehicles") == 1


def test_a_key_with_an_address_of_any_sort_is_no_failure(ground: Ground) -> None:
    for layout_id in ("%00", "%ff", "x" * 5000, "💤" * 1000):
        path = f"/v1/layouts/{layout_id}/places"
        response = ground.steward.ask(
            "POST", path, ground.body("Place"), idempotency_key="x" * 200
        )
        refusal(response, 404, "not_found")


@at_each("operation_id", CHANGED)
def test_a_change_whose_answer_was_lost_is_made_once(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    record = ground.steward.ask("GET", request.path)
    sent = {"if_match": record.headers["etag"], "idempotency_key": operation_id}
    first = ground.steward.ask(request.method, request.path, request.body, **sent)
    assert first.status_code == 200, first.text
    again = ground.steward.ask(request.method, request.path, request.body, **sent)
    assert (again.status_code, again.content, again.headers["etag"]) == (
        200,
        first.content,
        first.headers["etag"],
    )
    assert (
        ground.steward.ask("GET", request.path).headers["etag"] == first.headers["etag"]
    )
    afresh = sent | {"if_match": first.headers["etag"]}
    assert (
        ground.steward.ask(request.method, request.path, request.body, **afresh).content
        == first.content
    )
    other = {**request.body, "name": "Something else"}
    refusal(
        ground.steward.ask(request.method, request.path, other, **sent),
        422,
        "idempotency_key_reused",
    )


@at_each("operation_id", DELETED)
def test_a_deletion_whose_answer_was_lost_is_told_again(
    ground: Ground, operation_id: str
) -> None:
    request = ground.request(operation_id)
    first, again = (
        ground.steward.ask("DELETE", request.path, if_match="*", idempotency_key="k1")
        for _ in range(2)
    )
    assert (first.status_code, again.status_code) == (204, 204)
    refusal(ground.steward.ask("DELETE", request.path, if_match="*"), 404, "not_found")
    refusal(
        ground.steward.ask("DELETE", request.path, if_match="*", idempotency_key="k2"),
        404,
        "not_found",
    )


def test_one_key_does_not_stand_for_a_change_and_a_deletion(ground: Ground) -> None:
    path = f"/v1/vehicles/{ground.make('Vehicle')['id']}"
    changed = ground.steward.ask("PATCH", path, {}, if_match="*", idempotency_key="k1")
    assert changed.status_code == 200
    for method, body in (("PUT", {}), ("PUT", {"name": "Ore wagon"}), ("DELETE", None)):
        refused = ground.steward.ask(
            method, path, body, if_match="*", idempotency_key="k1"
        )
        refusal(refused, 422, "idempotency_key_reused")
    assert ground.steward.ask("GET", path).headers["etag"] == changed.headers["etag"]


def test_a_change_that_was_refused_may_be_sent_again_under_its_key(
    ground: Ground,
) -> None:
    path = f"/v1/vehicles/{ground.make('Vehicle')['id']}"
    refusal(
        ground.steward.ask(
            "PATCH", path, {"mass_g": 9}, if_match='"v9"', idempotency_key="k1"
        ),
        412,
        "stale",
    )
    tag = ground.steward.ask("GET", path).headers["etag"]
    again = ground.steward.ask(
        "PATCH", path, {"mass_g": 9}, if_match=tag, idempotency_key="k1"
    )
    assert (again.status_code, again.json()["mass_g"]) == (200, 9)
