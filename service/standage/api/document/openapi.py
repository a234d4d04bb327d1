"""The OpenAPI 3.1 document, made from the operations and from msgspec's own schemas of
their types.

The framework's generator loses bounds, ``additionalProperties`` and problems, and is
not deterministic; this one writes what is true, in one order.
"""

from collections.abc import Iterable, Mapping, Sequence
from importlib.metadata import version
from typing import Any

import msgspec

from standage.api.document.document_words import DESCRIPTION, TAGS
from standage.api.document.openapi_bodies import REF, answer_schema, request_body
from standage.api.document.openapi_words import with_words
from standage.api.web.acts import Reads, Speaks
from standage.api.web.operation import Operation
from standage.api.web.preconditions import LONGEST_HEADER
from standage.api.web.problems import MEDIA_TYPE, SORTS, Problem
from standage.questions.warned import is_warned

Json = dict[str, Any]

_LONGEST_MOMENT = 64


def document(operations: Sequence[Operation], examples: Mapping[str, Any]) -> Json:
    """Return the whole document."""
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Standage",
            "version": version("standage"),
            "summary": (
                "Knows beforehand whether a model railway's trains fit its roads and"
                " take its curves."
            ),
            "description": DESCRIPTION,
            "license": {"name": "Apache License 2.0", "identifier": "Apache-2.0"},
        },
        "servers": [{"url": "/", "description": "This service."}],
        "security": [{"bearer": []}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items()],
        "paths": _paths(operations, examples),
        "components": {
            "securitySchemes": {
                "bearer": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": (
                        "A token as a steward issued it, the secret of a session, or"
                        " that of a share link."
                    ),
                }
            },
            "schemas": _schemas(operations),
        },
    }


def _paths(operations: Iterable[Operation], examples: Mapping[str, Any]) -> Json:
    paths: Json = {}
    for operation in operations:
        entry = _operation(operation, examples.get(operation.id, {}))
        paths.setdefault(operation.path, {})[operation.method.lower()] = entry
    return paths


def _operation(operation: Operation, examples: Mapping[str, Any]) -> Json:
    entry: Json = {
        "operationId": operation.id,
        "summary": operation.about.summary,
        "description": operation.about.description,
        "tags": [operation.about.tag],
    }
    if operation.act.is_open:
        entry["security"] = []
    parameters = [
        *_path_parameters(operation),
        *_query_parameters(operation),
        *_header_parameters(operation),
    ]
    if parameters:
        entry["parameters"] = parameters
    if operation.takes.media_types:
        entry["requestBody"] = request_body(operation, examples)
    entry["responses"] = _responses(operation, examples.get("answers", {}))
    return entry


def _path_parameters(operation: Operation) -> Iterable[Json]:
    for part in operation.path.split("/"):
        if part.startswith("{"):
            name = part.strip("{}")
            yield {
                "name": name,
                "in": "path",
                "required": True,
                "description": (
                    f"The id of the {name.removesuffix('_id').replace('_', ' ')}."
                ),
                "schema": {
                    "type": "string",
                    "minLength": 1,
                    "maxLength": 64,
                    "pattern": "^[A-Za-z0-9-]+$",
                },
            }


def _query_parameters(operation: Operation) -> Iterable[Json]:
    if operation.takes.query is None:
        return
    _, components = msgspec.json.schema_components(
        [operation.takes.query], ref_template=REF
    )
    schema = components[operation.takes.query.__name__]
    for name, field in schema["properties"].items():
        settled = _without_null(field)
        description = settled.pop("description", name)
        yield {
            "name": name,
            "in": "query",
            "required": name in schema["required"],
            "description": description,
            "schema": settled,
        }


def _without_null(schema: Json) -> Json:
    """Return the schema of a parameter: it is left out, never null."""
    kept = {
        name: value
        for name, value in schema.items()
        if not (name == "default" and value is None)
    }
    choices = [choice for choice in kept.pop("anyOf", []) if choice != {"type": "null"}]
    if len(choices) == 1:
        return {**choices[0], **kept}
    return {**kept, **({"anyOf": choices} if choices else {})}


def _header_parameters(operation: Operation) -> Iterable[Json]:
    if operation.guard.conditional:
        words = (
            "The ETag of the version that you change, as you read it, in its quotes;"
            " '*' for whichever it is. What is no ETag is 400."
        )
        yield _header("If-Match", words, required=True, longest=LONGEST_HEADER)
    if operation.takes_key:
        words = (
            "A key of your own for this change: sent again within 72 hours, it gives"
            " the first answer again."
        )
        yield _header(
            "Idempotency-Key",
            words,
            required=False,
            longest=200,
            pattern="^[\\x21-\\x7e]+$",
        )
    if operation.method == "GET" and not isinstance(operation.act, Speaks):
        words = "The ETag of what you have already; 304 if it is still the same."
        yield _header("If-None-Match", words, required=False, longest=LONGEST_HEADER)


def _header(
    name: str, words: str, *, required: bool, longest: int, pattern: str | None = None
) -> Json:
    schema: Json = {"type": "string", "maxLength": longest} | (
        {"pattern": pattern} if pattern else {}
    )
    return {
        "name": name,
        "in": "header",
        "required": required,
        "description": words,
        "schema": schema,
    }


def _responses(operation: Operation, answers: Mapping[str, Any]) -> Json:
    found: Json = {
        str(operation.answers.status): _success(
            operation, answers.get(str(operation.answers.status))
        )
    }
    if operation.method == "GET" and not isinstance(operation.act, Speaks):
        found["304"] = {
            "description": "It is still the same.",
            "headers": {"ETag": _ETAG},
        }
    by_status: dict[int, list[str]] = {}
    for code in problems_of(operation):
        by_status.setdefault(SORTS[code].status, []).append(code)
    for status, codes in by_status.items():
        found[str(status)] = _problem(codes, answers.get(str(status)))
    return dict(sorted(found.items()))


def problems_of(operation: Operation) -> list[str]:
    """Return the codes of all problems that an operation can answer with."""
    codes = {"not_acceptable", "invalid", "internal"}
    if isinstance(operation.act, Speaks):
        return sorted(codes | set(operation.answers.problems))
    codes |= {"too_many_requests", "busy", "unready"}
    if not operation.act.is_open:
        codes |= {"unauthenticated", "forbidden"}
    if "{" in operation.path:
        codes.add("not_found")
    if operation.takes.media_types:
        codes |= {"malformed", "too_large", "too_slow", "unsupported_media_type"}
    if operation.guard.conditional:
        codes |= {"malformed", "precondition_required", "stale"}
    if operation.takes_key:
        codes |= {"idempotency_key_in_progress", "idempotency_key_reused"}
    return sorted(codes | set(operation.answers.problems))


_ETAG: Json = {
    "description": "The strong entity tag of this version.",
    "schema": {"type": "string"},
}
_RETRY: Json = {"description": "Seconds to wait.", "schema": {"type": "integer"}}
_SCHEME: Json = {
    "description": "How to identify yourself.",
    "schema": {"type": "string"},
}
_LOCATION: Json = {
    "description": "The address of what was made.",
    "schema": {"type": "string"},
}
_LINK: Json = {
    "description": 'The next page, rel="next"; absent on the last.',
    "schema": {"type": "string"},
}


def _success(operation: Operation, example: Any) -> Json:
    entry: Json = {
        "description": (
            "Done; there is nothing to tell."
            if operation.answers.shape is None
            else "The answer."
        )
    }
    headers = {
        "ETag": _ETAG
        if isinstance(operation.act, Reads) or operation.answers.tagged
        else None,
        "Link": _LINK if operation.id.startswith("list") else None,
        "Location": _LOCATION if operation.answers.creates else None,
    }
    if isinstance(operation.act, Reads) and operation.method != "GET":
        headers["ETag"] = None
    if any(headers.values()):
        entry["headers"] = {name: value for name, value in headers.items() if value}
    if operation.answers.shape is not None:
        content: Json = {"schema": answer_schema(operation.answers.shape)}
        if example is not None:
            content["example"] = example
        entry["content"] = {operation.answers.media_type: content}
    return entry


def _problem(codes: Sequence[str], example: Any) -> Json:
    entry: Json = {
        "description": "; or: ".join(f"{SORTS[code].title}" for code in codes) + "."
    }
    status = SORTS[codes[0]].status
    headers = {
        401: {"WWW-Authenticate": _SCHEME},
        429: {"Retry-After": _RETRY},
        503: {"Retry-After": _RETRY},
    }
    if status in headers:
        entry["headers"] = headers[status]
    content: Json = {"schema": {"$ref": REF.format(name="Problem")}}
    if example is not None:
        content["example"] = example
    entry["content"] = {MEDIA_TYPE: content}
    return entry


def _schemas(operations: Sequence[Operation]) -> Json:
    types: list[Any] = [Problem]
    patched: list[Any] = []
    for operation in operations:
        types += [
            kind
            for kind in (operation.takes.body, operation.answers.shape)
            if kind is not None
        ]
        if operation.takes.patch_of is not None:
            patched.append(operation.takes.patch_of)
    _, components = msgspec.json.schema_components(
        dict.fromkeys([*types, *patched]), ref_template=REF
    )
    for kind in types:
        if is_warned(kind):  # its default is never left out
            components[kind.__name__]["required"] = sorted(
                {*components[kind.__name__]["required"], "warnings"}
            )
    answered = [
        operation.answers.shape.__name__
        for operation in operations
        if operation.answers.shape is not None
    ]
    components = with_words(components, answered)
    for kind in dict.fromkeys(patched):
        components[f"{kind.__name__}Patch"] = _patch_schema(components[kind.__name__])
    return {name: _tidy(schema) for name, schema in sorted(components.items())}


def _patch_schema(schema: Json) -> Json:
    """Return the schema of a merge patch (RFC 7396): any of the fields, and null to
    take one away.
    """
    properties = {name: _or_null(field) for name, field in schema["properties"].items()}
    return {
        "title": f"{schema['title']}Patch",
        "description": (
            "The fields to change; null takes one away. "
            + schema.get("description", "")
        ),
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }


def _or_null(field: Json) -> Json:
    kept = {name: value for name, value in field.items() if name != "default"}
    if {"type": "null"} in kept.get("anyOf", []):
        return kept
    description = kept.pop("description", None)
    return {
        **({"description": description} if description else {}),
        "anyOf": [kept, {"type": "null"}],
    }


def _tidy(schema: Any) -> Any:
    """Return a schema in one order, with empty ``required`` and null defaults
    left out.
    """
    if isinstance(schema, list):
        return [_tidy(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    parts = schema.get("prefixItems", [])
    if schema.get("items") is False and all(part == parts[0] for part in parts):
        # of a fixed length and all alike: said by its bounds, since generators of
        # clients know no schema that is false
        schema = {**schema, "items": parts[0]}
        del schema["prefixItems"]
    bound = (
        {"maxLength": _LONGEST_MOMENT} if schema.get("format") == "date-time" else {}
    )
    kept = {
        name: _tidy(value)
        for name, value in schema.items()
        if not (name == "required" and value == [])
        and not (name == "default" and value is None)
    }
    return kept | bound
