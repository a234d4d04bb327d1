"""openapi/openapi.json: it is what the service prints, linters find nothing in it, and
it is written in full.
"""

import json
import subprocess
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator

from contract.breakage import operations
from contract.machine import linted
from contract.serving import FROM_THE_TREE, ROOT, environment
from contract.shapes import alternatives, resolved
from support.patience import PATIENCE_S

COMMITTED = ROOT / "openapi" / "openapi.json"
DOCUMENT: dict[str, Any] = (
    json.loads(COMMITTED.read_text()) if COMMITTED.exists() else {}
)
OPERATIONS = dict(operations(DOCUMENT))
PROBLEM = "application/problem+json"


def printed(*, hash_seed: int, folder: Path) -> str:
    """Return what ``standage openapi`` prints in a process whose sets are ordered by
    ``hash_seed``.
    """
    made = subprocess.run(
        [*FROM_THE_TREE, "openapi"],
        cwd=folder,
        env=environment(f"sqlite:///{folder / 'unused.sqlite3'}")
        | {"PYTHONHASHSEED": str(hash_seed)},
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )
    assert made.returncode == 0, made.stderr
    return made.stdout


@pytest.mark.parametrize("hash_seed", [0, 1, 2, 4242])
def test_the_committed_document_is_what_the_service_prints(
    hash_seed: int, tmp_path: Path
) -> None:
    assert printed(hash_seed=hash_seed, folder=tmp_path) == COMMITTED.read_text(), (
        "run `standage openapi > openapi/openapi.json` and look at the difference"
    )


def test_the_validator_finds_nothing_in_the_document() -> None:
    assert list(OpenAPIV31SpecValidator(DOCUMENT).iter_errors()) == []


def test_the_strict_linter_finds_nothing_in_the_document() -> None:
    assert linted(COMMITTED) == []


def test_the_linter_would_find_something(tmp_path: Path) -> None:
    worse = json.loads(COMMITTED.read_text())
    for item in worse["paths"].values():
        for operation in item.values():
            operation.pop("summary", None)
    (tmp_path / "openapi.json").write_text(json.dumps(worse))
    assert linted(tmp_path / "openapi.json") != []


def unbounded(
    schema: Mapping[str, Any], where: str, seen: frozenset[str] = frozenset()
) -> Iterator[str]:
    """Yield the places of a request schema where a caller may send without end."""
    reference = schema.get("$ref")
    if reference in seen:
        return
    if reference is not None:
        seen |= {reference}
    for option in alternatives(schema, DOCUMENT):
        yield from (f"{where}: {lack}" for lack in _lacks(option))
        for name, field in option.get("properties", {}).items():
            yield from unbounded(field, f"{where}/{name}", seen)
        inner = [
            option.get("items"),
            option.get("additionalProperties"),
            *option.get("prefixItems", []),
        ]
        for part in inner:
            if isinstance(part, Mapping):
                yield from unbounded(part, f"{where}/*", seen)


def _lacks(schema: Mapping[str, Any]) -> Iterator[str]:
    if "enum" in schema or "const" in schema:
        return
    kind = schema.get("type")
    if kind == "string" and "maxLength" not in schema:
        yield "no maxLength"
    if kind in {"number", "integer"}:
        if not {"minimum", "exclusiveMinimum"} & set(schema):
            yield "no minimum"
        if not {"maximum", "exclusiveMaximum"} & set(schema):
            yield "no maximum"
    if kind == "array" and "maxItems" not in schema:
        yield "no maxItems"
    if (
        kind == "object"
        and schema.get("additionalProperties", True) is not False
        and "maxProperties" not in schema
    ):
        yield "neither additionalProperties: false nor maxProperties"
    if kind is None and not {"anyOf", "oneOf", "properties"} & set(schema):
        yield "no type"


def request_schemas() -> Iterator[tuple[str, Mapping[str, Any]]]:
    for name, operation in OPERATIONS.items():
        for parameter in operation["parameters"]:
            found = resolved(parameter, DOCUMENT)
            yield f"{name} {found['in']} {found['name']}", found["schema"]
        for media_type, content in (
            operation.get("requestBody", {}).get("content", {}).items()
        ):
            yield f"{name} {media_type}", content["schema"]


def test_whatever_can_be_sent_has_its_bounds() -> None:
    assert [
        lack for where, schema in request_schemas() for lack in unbounded(schema, where)
    ] == []


@pytest.mark.parametrize(
    ("schema", "lack"),
    [
        ({"type": "string"}, "no maxLength"),
        ({"type": ["number", "null"], "exclusiveMinimum": 0}, "no maximum"),
        (
            {"anyOf": [{"type": "null"}, {"type": "integer", "maximum": 3}]},
            "no minimum",
        ),
        ({"type": "array", "maxItems": 2, "items": {"type": "array"}}, "no maxItems"),
    ],
)
def test_a_missing_bound_is_seen(schema: dict[str, Any], lack: str) -> None:
    assert [found for found in unbounded(schema, "here") if found.endswith(lack)] != []


def test_every_operation_has_an_id_of_its_own() -> None:
    ids = [operation["operationId"] for operation in OPERATIONS.values()]
    assert len(ids) > 20
    assert sorted(set(ids)) == sorted(ids)


@pytest.mark.parametrize("word", ["summary", "description"])
def test_every_operation_is_described(word: str) -> None:
    assert [
        name
        for name, operation in OPERATIONS.items()
        if len(operation.get(word, "").split()) < 2
    ] == []


def test_every_operation_has_one_tag() -> None:
    assert [
        name
        for name, operation in OPERATIONS.items()
        if len(operation.get("tags", [])) != 1
    ] == []


def test_every_refusal_is_a_problem() -> None:
    otherwise = [
        f"{name} {status}"
        for name, operation in OPERATIONS.items()
        for status, answer in operation["responses"].items()
        if status >= "4"
        and list(resolved(answer, DOCUMENT).get("content", {})) != [PROBLEM]
    ]
    assert otherwise == []


def test_every_body_and_every_answer_has_an_example() -> None:
    lacking = [
        f"{name} {where} {media_type}"
        for name, operation in OPERATIONS.items()
        for where, part in {
            "body": operation.get("requestBody", {}),
            **operation["responses"],
        }.items()
        for media_type, content in resolved(part, DOCUMENT).get("content", {}).items()
        if where < "3" or where == "body"
        if not {"example", "examples"} & set(content)
    ]
    assert lacking == []


def test_all_but_the_open_pages_ask_for_a_token() -> None:
    public = {
        name for name, operation in OPERATIONS.items() if operation["security"] == []
    }
    signing_in = {"POST /v1/sessions", "POST /v1/invitations/accept"}
    pages = ("/health/", "/openapi.json", "/docs", "/problems")
    assert signing_in <= public
    assert {
        name for name in public - signing_in if not name.split()[1].startswith(pages)
    } == set()
