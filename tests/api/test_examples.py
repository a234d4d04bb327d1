"""The examples in the document are what is sent and what comes back."""

import json
from typing import Any

from api.asking import Service
from api.example_recorder import BY_ID, KEPT
from api.example_scenario import play
from contract.breakage import operations, statuses
from standage.app import openapi_document
from support.walks import at_each

EXAMPLES: dict[str, Any] = json.loads(KEPT.read_text("utf-8"))
AGAIN = (
    "record them anew, as tests/api/example_recorder.py says, and look at the"
    " difference"
)


def test_every_example_is_sent_and_answered_as_the_document_says(
    service: Service,
) -> None:
    played = play(service)
    assert list(played) == list(EXAMPLES), AGAIN
    for operation_id, example in played.items():
        assert example == EXAMPLES[operation_id], f"{operation_id}: {AGAIN}"


@at_each("operation_id", sorted(BY_ID))
def test_every_operation_shows_what_it_is_asked_and_what_it_answers(
    operation_id: str,
) -> None:
    operation, example = BY_ID[operation_id], EXAMPLES[operation_id]
    assert ("request" in example) == bool(operation.takes.media_types)
    assert (str(operation.answers.status) in example["answers"]) == (
        operation.answers.shape is not None
    )


@at_each("operation_id", sorted(BY_ID))
def test_every_operation_shows_how_it_refuses(operation_id: str) -> None:
    problems = {
        status: one
        for status, one in EXAMPLES[operation_id]["answers"].items()
        if status >= "4"
    }
    assert problems
    assert all(
        str(one["status"]) == status and one["detail"]
        for status, one in problems.items()
    )


def test_every_status_that_an_example_has_is_in_the_document() -> None:
    document = openapi_document()
    documented = {
        operation["operationId"]: statuses(operation, document)
        for _, operation in operations(document)
    }
    undocumented = {
        name: set(one["answers"]) - documented[name] for name, one in EXAMPLES.items()
    }
    assert {name: statuses for name, statuses in undocumented.items() if statuses} == {}
