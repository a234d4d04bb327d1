"""The OpenAPI 3.1 document, made from the operations and from msgspec's own schemas of
their types.

The framework's generator loses bounds, ``additionalProperties`` and problems, and is
not deterministic; this one writes what is true, in one order, and once: what several
operations share stands under ``components``.
"""

from collections.abc import Iterable, Mapping, Sequence
from importlib.metadata import version
from typing import Any

from standage.api.document.document_words import DESCRIPTION, TAGS
from standage.api.document.openapi_answers import Answers
from standage.api.document.openapi_bodies import Bodies
from standage.api.document.openapi_headers import ANSWERED, SENT
from standage.api.document.openapi_parameters import Parameters
from standage.api.document.openapi_problems import problem_examples
from standage.api.document.openapi_schemas import schemas_of
from standage.api.web.operation import Operation

Json = dict[str, Any]

_SUMMARY = (
    "Knows beforehand whether a model railway's trains fit its roads and take its"
    " curves."
)
_BEARER = (
    "A token as a steward issued it, the secret of a session, or that of a share link."
)


def document(operations: Sequence[Operation], examples: Mapping[str, Any]) -> Json:
    """Return the whole document."""
    parameters = Parameters(operations)
    bodies = Bodies(operations, examples)
    answers = Answers(operations, examples)
    shown = answers.shared_examples | bodies.shared_examples
    shown |= problem_examples(operations, examples)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Standage",
            "version": version("standage"),
            "summary": _SUMMARY,
            "description": DESCRIPTION,
            "license": {"name": "Apache License 2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/", "description": "This service."}],
        "security": [{"bearer": []}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items()],
        "paths": _paths(operations, parameters, bodies, answers),
        "components": {
            "securitySchemes": {
                "bearer": {"type": "http", "scheme": "bearer", "description": _BEARER}
            },
            "parameters": dict(sorted((parameters.shared | SENT).items())),
            "headers": ANSWERED,
            "requestBodies": dict(sorted(bodies.shared.items())),
            "examples": dict(sorted(shown.items())),
            "responses": dict(sorted(answers.shared.items())),
            "schemas": schemas_of(operations),
        },
    }


def _paths(
    operations: Iterable[Operation],
    parameters: Parameters,
    bodies: Bodies,
    answers: Answers,
) -> Json:
    paths: Json = {}
    for operation in operations:
        item = paths.setdefault(operation.path, parameters.of_path(operation.path))
        entry = _said_of(operation) | parameters.of(operation)
        entry |= bodies.of(operation)
        entry["responses"] = answers.of(operation)
        item[operation.method.lower()] = entry
    return paths


def _said_of(operation: Operation) -> Json:
    entry: Json = {
        "operationId": operation.id,
        "summary": operation.about.summary,
        "description": operation.about.description,
        "tags": [operation.about.tag],
    }
    if operation.act.is_open:
        entry["security"] = []
    return entry
