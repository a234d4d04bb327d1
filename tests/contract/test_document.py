"""openapi/openapi.json: it is what the service prints, linters find nothing in it, and
it is written in full.
"""

import json
import re
import subprocess
from collections.abc import Iterator, Mapping
from gzip import compress
from inspect import cleandoc
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from openapi_schema_validator import OAS31Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from contract.breakage import operations
from contract.machine import linted
from contract.serving import FROM_THE_TREE, ROOT, environment
from contract.shapes import alternatives, resolved
from standage.api.web.pages_for_people import document_bytes
from support.patience import PATIENCE_S

COMMITTED = ROOT / "openapi" / "openapi.json"
DOCUMENT: dict[str, Any] = (
    json.loads(COMMITTED.read_text()) if COMMITTED.exists() else {}
)
OPERATIONS = dict(operations(DOCUMENT))
MOST_FIELDS_ALIKE = 10


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


@pytest.mark.parametrize("hash_seed", [0, 4242])
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
            if isinstance(operation, dict):
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
    is_file = (
        schema.get("format") == "binary"
    )  # as long as the operation says, beside "maxLength" no client is made
    if kind == "string" and not is_file and "maxLength" not in schema:
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
        body = resolved(operation.get("requestBody", {}), DOCUMENT)
        for media_type, content in body.get("content", {}).items():
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


def parts(schema: Any, where: str = "") -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield every schema within ``schema``, with its place."""
    if isinstance(schema, list):
        for number, one in enumerate(schema):
            yield from parts(one, f"{where}/{number}")
    elif isinstance(schema, Mapping):
        yield where, schema
        for name, one in schema.items():
            if name not in {"example", "examples", "default", "enum", "mapping"}:
                yield from parts(one, f"{where}/{name}")


SCHEMAS: dict[str, Any] = DOCUMENT.get("components", {}).get("schemas", {})


def test_the_document_is_small_enough_to_be_read_over_a_poor_line() -> None:
    served = document_bytes(DOCUMENT)
    operations = [
        one
        for item in DOCUMENT["paths"].values()
        for one in item.values()
        if isinstance(one, dict)
    ]
    assert len(served) <= 2_600 * len(operations)
    assert len(compress(served)) <= 100_000
    assert json.loads(served) == DOCUMENT


def test_a_unit_that_a_field_s_name_has_is_not_told_again() -> None:
    fields = [
        (name, field.get("description", ""))
        for schema in SCHEMAS.values()
        for name, field in schema.get("properties", {}).items()
    ]
    assert len(fields) > 1000
    assert [
        (name, told)
        for name, told in fields
        if name.endswith("_mm") and re.search(r"in mm[.;]", told)
    ] == []


def test_no_two_schemas_have_many_fields_alike_but_by_what_both_are_made_of() -> None:
    own = {
        name: {
            (field, json.dumps(told, sort_keys=True))
            for field, told in schema.get("properties", {}).items()
        }
        for name, schema in SCHEMAS.items()
    }
    assert [
        (one, other)
        for one, other in combinations(own, 2)
        if len(own[one] & own[other]) > MOST_FIELDS_ALIKE
    ] == []


def test_what_a_body_is_made_of_lets_nothing_else_through() -> None:
    made_up = {name: one for name, one in SCHEMAS.items() if "allOf" in one}
    assert {"VehicleBody", "AskedVehicle", "PlaceBodyPatch", "Plan"} <= set(made_up)
    for name in ("VehicleBody", "AskedVehicle"):
        validator = OAS31Validator({"$ref": f"#/components/schemas/{name}", **DOCUMENT})
        assert list(validator.iter_errors({"name": "Van", "length_mm": 90})) == []
        assert list(validator.iter_errors({"name": "Van", "length_m": 0.09})) != []
        assert list(validator.iter_errors({"name": "Van", "length_mm": "long"})) != []


def test_every_choice_of_words_has_a_name_and_a_type() -> None:
    untyped = [
        where for where, one in parts(SCHEMAS) if "enum" in one and "type" not in one
    ]
    nameless = [
        where
        for where, one in parts(SCHEMAS)
        if len(one.get("enum", ())) > 1 and where.count("/") > 1
    ]
    assert (untyped, nameless) == ([], [])


def test_no_name_of_a_schema_ends_in_a_number_that_only_tells_it_from_another() -> None:
    assert [
        name for name in SCHEMAS if name.rstrip("0123456789") in SCHEMAS.keys() - {name}
    ] == []


def test_a_union_with_a_tag_is_of_exactly_one_of_its_kinds() -> None:
    assert [
        where
        for where, one in parts(SCHEMAS)
        if "discriminator" in one and "oneOf" not in one
    ] == []


def test_nothing_that_is_left_out_stands_for_an_object() -> None:
    assert [
        where
        for where, one in parts(SCHEMAS)
        if isinstance(one.get("default"), (dict, list))
    ] == []


def test_no_schema_has_the_name_of_another_s_constructor() -> None:
    assert [
        name for name in SCHEMAS if name.removeprefix("New") in SCHEMAS.keys() - {name}
    ] == []


def test_no_field_has_the_name_of_another_s_method() -> None:
    assert [
        f"{name}/{field}"
        for name, schema in SCHEMAS.items()
        for field in schema.get("properties", {})
        if field.partition("_")[0] in {"get", "has", "set", "unset"}
        if field.partition("_")[2] in schema["properties"]
    ] == []


def test_no_two_schemas_differ_only_in_capitals() -> None:
    assert len({name.lower() for name in SCHEMAS}) == len(SCHEMAS)


def test_patterns_are_in_the_dialect_that_every_generator_reads() -> None:
    patterns = [
        one["pattern"]
        for _, one in parts(DOCUMENT)
        if isinstance(one.get("pattern"), str)
    ]
    assert len(patterns) > 20
    assert [pattern for pattern in patterns if "(?" in pattern] == []


def test_a_plain_value_that_may_be_null_is_written_in_one_piece() -> None:
    null = {"type": "null"}
    torn = [
        where
        for where, one in parts(SCHEMAS)
        if null in one.get("anyOf", ()) and len(one["anyOf"]) == 2
        if not any("$ref" in other or "enum" in other for other in one["anyOf"])
    ]
    assert torn == []


def test_a_merge_patch_takes_no_null_for_what_the_record_must_have() -> None:
    patches = {
        name: schema for name, schema in SCHEMAS.items() if name.endswith("BodyPatch")
    }
    nullable = [
        f"{name}/{field}"
        for name, schema in patches.items()
        for field in SCHEMAS[name.removesuffix("Patch")].get("required", ())
        if any(
            one.get("type") == "null"
            for one in alternatives(schema["properties"][field], DOCUMENT)
        )
    ]
    assert len(patches) > 10
    assert nullable == []


def test_no_length_stands_beside_the_bytes_of_a_file() -> None:
    assert [
        where
        for where, one in parts(DOCUMENT)
        if one.get("format") == "binary" and "maxLength" in one
    ] == []


def test_every_tag_of_an_operation_is_explained() -> None:
    explained = {tag["name"] for tag in DOCUMENT["tags"]}
    assert {
        tag for operation in OPERATIONS.values() for tag in operation["tags"]
    } == explained


def test_descriptions_are_the_same_whichever_python_compiled_them() -> None:
    told = [
        one["description"]
        for _, one in parts(SCHEMAS)
        if isinstance(one.get("description"), str)
    ]
    assert [text for text in told if text != cleandoc(text)] == []


def test_every_example_is_what_its_schema_says() -> None:
    wrong = [
        where
        for where, content in contents()
        for example in examples_of(content)
        if list(
            OAS31Validator(
                {**content["schema"], "components": DOCUMENT["components"]}
            ).iter_errors(example)
        )
    ]
    assert wrong == []


def contents() -> Iterator[tuple[str, Mapping[str, Any]]]:
    for name, operation in OPERATIONS.items():
        for part in (
            operation.get("requestBody", {}),
            *operation["responses"].values(),
        ):
            for media_type, content in (
                resolved(part, DOCUMENT).get("content", {}).items()
            ):
                yield f"{name} {media_type}", content


def examples_of(content: Mapping[str, Any]) -> list[Any]:
    shared = content.get("examples", {}).values()
    own = [content["example"]] if "example" in content else []
    return own + [resolved(example, DOCUMENT)["value"] for example in shared]


def test_what_was_made_is_linked_to_the_operation_that_reads_it() -> None:
    links = {
        operation["operationId"]: [
            link["operationId"] for link in made.get("links", {}).values()
        ]
        for operation in OPERATIONS.values()
        if (made := resolved(operation["responses"].get("201", {}), DOCUMENT))
    }
    assert links["createVehicle"] == ["getVehicle"]
    assert links["createPlace"] == ["getPlace"]
    read = {operation["operationId"] for operation in OPERATIONS.values()}
    assert {one for ids in links.values() for one in ids} <= read
