"""What the document says of refusals: which an operation lists, which may come of any,
and an example of every sort.
"""

import re

from openapi_schema_validator import OAS31Validator

from contract.breakage import statuses
from contract.shapes import resolved
from contract.test_document import DOCUMENT, OPERATIONS
from standage.api.web.problems import SORTS

PROBLEM = "application/problem+json"


def test_every_refusal_is_a_problem() -> None:
    otherwise = [
        f"{name} {status}"
        for name, operation in OPERATIONS.items()
        for status, answer in operation["responses"].items()
        if status >= "4"
        and list(resolved(answer, DOCUMENT).get("content", {})) != [PROBLEM]
    ]
    assert otherwise == []


def test_every_problem_that_can_come_has_an_example_of_its_own_sort() -> None:
    shown = set()
    for answer in DOCUMENT["components"]["responses"].values():
        for name, example in (
            answer.get("content", {}).get(PROBLEM, {}).get("examples", {}).items()
        ):
            value = resolved(example, DOCUMENT)["value"]
            assert value["type"] == f"/problems/{kebab(name)}"
            assert (
                list(
                    OAS31Validator(
                        DOCUMENT | {"$ref": "#/components/schemas/Problem"}
                    ).iter_errors(value)
                )
                == []
            )
            shown.add(name)
    known = {sort.code.replace("_", "-") for sort in SORTS.values()} - {
        "method-not-allowed"
    }
    assert {kebab(name) for name in shown} == known


def kebab(name: str) -> str:
    return re.sub(r"(?<!^)(?=[A-Z])", "-", name).lower()


def test_every_refusal_tells_the_id_of_its_request_and_the_document_that_all_answers_do() -> (
    None
):
    silent = [
        f"{name} {status}"
        for name, operation in OPERATIONS.items()
        for status, answer in operation["responses"].items()
        if status >= "4"
        if "X-Request-Id" not in resolved(answer, DOCUMENT).get("headers", {})
    ]
    assert silent == []
    assert "Every answer has an `X-Request-Id`" in DOCUMENT["info"]["description"]


def test_a_refusal_that_may_come_of_any_operation_is_told_of_each_and_listed_by_none() -> (
    None
):
    anywhere = {"400", "406", "408", "413", "415", "429", "500"}
    for name, operation in OPERATIONS.items():
        assert set(operation["responses"]) & anywhere == set(), name
        assert statuses(operation, DOCUMENT) >= anywhere | {"401", "403", "503"}, name


def test_the_refusals_of_its_own_are_listed_by_each_operation() -> None:
    ways = {name: set(operation["responses"]) for name, operation in OPERATIONS.items()}
    changing = {"404", "409", "412", "422", "428"}
    assert ways["PUT /v1/vehicles/{vehicle_id}"] >= changing
    assert ways["POST /v1/vehicles"] >= {"409", "422"}
    assert ways["GET /v1/vehicles/{vehicle_id}"] >= {"404"}
    assert ways["POST /v1/checks/curve"] >= {"422"}
    assert "403" not in ways["PUT /v1/vehicles/{vehicle_id}"]
    assert "403" in ways["GET /v1/club"]
    assert "401" in ways["POST /v1/sessions"]
    assert "503" in ways["GET /health/ready"]
