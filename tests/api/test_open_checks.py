"""A setting opens the inline checks, and nothing else, to callers without a token."""

from collections.abc import Iterator
from typing import Any

import pytest

from api.asking import NOBODY, Clock, Service, faults, refusal, serving
from api.declared import OPEN
from api.ground import CHECKS, OPERATIONS, WAGON, Ground, absent
from standage.api.web.limits import PER_MINUTE
from standage.api.web.receiving import LARGE_BYTES
from standage.registry.database.engine import Database
from standage.settings import Settings
from support.walks import at_each


@pytest.fixture
def opened(database: Database) -> Iterator[Service]:
    with serving(
        database, Clock(), Settings(rate_limits="off", open_checks="on")
    ) as running:
        yield running


def test_a_stranger_is_answered_as_a_member_is(opened: Service) -> None:
    ground = Ground(opened.club())
    for operation_id in OPEN:
        request = ground.request(operation_id)
        answers = [request.by(one) for one in (opened.stranger(), ground.steward)]
        assert [one.status_code for one in answers] == [200, 200], operation_id
        assert answers[0].content == answers[1].content


@at_each("operation_id", OPEN)
def test_unless_opened_a_stranger_is_not_answered(
    service: Service, ground: Ground, operation_id: str
) -> None:
    refusal(ground.request(operation_id).by(service.stranger()), 401, "unauthenticated")


def test_nothing_else_is_opened(opened: Service) -> None:
    for operation_id in sorted(set(OPERATIONS) - set(OPEN)):
        operation = OPERATIONS[operation_id]
        path = absent([operation_id]).get(operation_id, operation.path)
        refusal(opened.stranger().ask(operation.method, path), 401, "unauthenticated")


def test_every_id_is_unknown_to_a_stranger(opened: Service) -> None:
    ground = Ground(opened.club())
    vehicle, train, place = (
        ground.make(noun)["id"] for noun in ("Vehicle", "Train", "Place")
    )
    for vehicle_id, train_id, place_id in (
        (vehicle, train, place),
        (NOBODY, NOBODY, NOBODY),
    ):
        body = {"train": {"train_id": train_id}, "place": {"place_id": place_id}}
        fit = opened.stranger().ask("POST", "/v1/checks/train-fit", body)
        assert faults(fit) == {
            "/train/train_id": "no_such_train",
            "/place/place_id": "no_such_place",
        }
        stock = {
            "vehicles": [WAGON, {"vehicle_id": vehicle_id}],
            "curve": {"radius_mm": 600},
        }
        curve = opened.stranger().ask("POST", "/v1/checks/curve", stock)
        assert faults(curve) == {"/vehicles/1/vehicle_id": "no_such_vehicle"}


def test_a_stranger_has_no_coupling_types_but_the_typical_ones(opened: Service) -> None:
    ground = Ground(opened.club())
    ground.make("CouplingType", name="Staple hook", reach_mm=3)
    hook = {"type": "Staple hook"}
    body: dict[str, Any] = {
        "train": {
            "vehicles": [WAGON | {"front_coupling": hook, "rear_coupling": hook}]
        },
        "place": {"kind": "loop", "usable_length_mm": 900},
    }
    answers = [
        one.ask("POST", "/v1/checks/train-fit", body).json()
        for one in (ground.steward, opened.stranger())
    ]
    assert answers[0]["train_length_mm"] == 106
    assert answers[1]["train_length_mm"] != 106


def test_a_token_that_is_not_valid_is_refused_all_the_same(opened: Service) -> None:
    response = opened.stranger().ask(
        "POST", "/v1/checks/curve", CHECKS["checkCurve"], authorization="Bearer stg_x"
    )
    refusal(response, 401, "unauthenticated")


def test_a_strangers_faults_are_told_as_anybodys(opened: Service) -> None:
    response = opened.stranger().ask(
        "POST", "/v1/checks/curve?bogus=1", {"vehicles": [], "curve": {}}
    )
    assert faults(response) == {
        "bogus": "unknown_parameter",
        "/vehicles": "too_few",
        "/curve/radius_mm": "missing",
    }


@pytest.mark.usefixtures("small_buckets")
def test_strangers_are_counted_by_where_they_ask_from(database: Database) -> None:
    with serving(
        database, Clock(), Settings(rate_limits="on", open_checks="on")
    ) as service:
        body: dict[str, Any] = {"vehicles": []}
        statuses = [
            service.stranger().ask("POST", "/v1/checks/curve", body).status_code
            for _ in range(PER_MINUTE["check"] + 60)
        ]
    assert statuses[0] == 422
    assert 429 in statuses


def test_a_strangers_large_plan_is_read_where_checks_are_open_and_refused_elsewhere(
    opened: Service, service: Service
) -> None:
    straight = {"kind": "straight", "length_mm": 1}
    plan = {"pieces": {f"S{number}": straight for number in range(8_000)}}
    body = {"plan": plan}
    assert len(str(body)) > LARGE_BYTES
    answer = opened.stranger().ask("POST", "/v1/checks/plan", body)
    assert answer.status_code == 200, answer.text
    refusal(
        service.stranger().ask("POST", "/v1/checks/plan", body), 401, "unauthenticated"
    )
