"""The choice of operations that a short run of schemathesis sends wrong bodies leaves
no shared shape out.
"""

import json
from pathlib import Path
from typing import Any

from contract.wrong_once import (
    REFERENCE,
    bodies,
    named,
    reached,
    spared,
    with_long_unions_once,
    with_one_media_type,
)

DOCUMENT = json.loads(
    (Path(__file__).parents[2] / "openapi" / "openapi.json").read_text()
)


def document(**shapes: list[str]) -> dict[str, Any]:
    """Return a document with one operation for each of ``shapes``, whose body is made
    up of the shapes named.
    """
    names = {name for body in shapes.values() for name in body}
    parts = {
        operation: {
            "content": {
                "application/json": {
                    "schema": {"anyOf": [reference(name) for name in body]}
                }
            }
        }
        for operation, body in shapes.items()
    }
    return {
        "paths": {
            f"/{name}": {"post": {"operationId": name, "requestBody": body}}
            for name, body in parts.items()
        },
        "components": {"schemas": {name: {"type": "object"} for name in names}},
    }


def reference(name: str) -> dict[str, str]:
    return {"$ref": f"#/components/schemas/{name}"}


def test_small_bodies_are_always_sent_wrong() -> None:
    assert spared(document(one=["A"], two=["A"], three=["A", "B", "C"])) == []


def test_of_two_large_bodies_of_the_same_shapes_one_is_spared() -> None:
    like = ["A", "B", "C", "D"]
    assert len(spared(document(one=like, two=like))) == 1


def test_a_large_body_with_a_shared_shape_that_no_other_kept_one_has_is_not_spared() -> (
    None
):
    chosen = spared(
        document(
            one=["A", "B", "C", "D"],
            two=["A", "B", "C", "D", "E"],
            three=["A", "E", "F", "G", "H"],
        )
    )
    assert len(chosen) < 3
    assert "two" not in chosen


def test_every_shape_that_two_bodies_share_is_sent_wrong_somewhere() -> None:
    chosen = set(spared(DOCUMENT))
    shapes = {
        operation["operationId"]: reached(DOCUMENT, body)
        for operation, body in bodies(DOCUMENT)
    }
    kept = set().union(*(shapes[name] for name in shapes.keys() - chosen))
    for name in chosen:
        others = set().union(*(shapes[other] for other in shapes.keys() - {name}))
        assert shapes[name] & others <= kept, name
    assert 0 < len(chosen) < len(shapes) / 2


def test_one_media_type_of_each_body_is_left_and_the_document_itself_stays_whole() -> (
    None
):
    before = json.dumps(DOCUMENT)
    assert {
        len(body["content"]) for _, body in bodies(with_one_media_type(DOCUMENT))
    } == {1}
    assert json.dumps(DOCUMENT) == before
    assert max(len(body["content"]) for _, body in bodies(DOCUMENT)) > 1


def plans() -> dict[str, Any]:
    """Return a document whose two bodies lead to a union of twelve kinds by a near and
    a far way.
    """
    kinds = [f"Kind{number}" for number in range(12)]
    schemas: dict[str, Any] = {name: {"type": "object"} for name in kinds}
    schemas["Union"] = {"oneOf": [reference(name) for name in kinds]}
    schemas["Far"] = {"properties": {"pieces": reference("Union")}}
    schemas["Near"] = {
        "properties": {"far": reference("Far"), "pieces": reference("Union")}
    }
    told = document(one=["Near"], two=["Near"])
    for _, body in bodies(told):
        body["content"]["application/json"]["schema"] = reference("Near")
    told["components"]["schemas"] = schemas
    return told


def body_schemas(told: Any) -> dict[str, str]:
    return {
        operation["operationId"]: body["content"]["application/json"]["schema"]["$ref"]
        for operation, body in bodies(told)
    }


def test_a_union_of_many_kinds_is_whole_at_the_nearest_place_of_one_body() -> None:
    told = with_long_unions_once(plans(), ["two"])
    schemas = told["components"]["schemas"]
    whole = schemas[body_schemas(told)["one"].removeprefix(REFERENCE)]["properties"]
    assert whole["pieces"] == reference("Union")
    far = schemas[whole["far"]["$ref"].removeprefix(REFERENCE)]["properties"]
    assert len(reached(told, far)) == 2
    brief = schemas[body_schemas(told)["two"].removeprefix(REFERENCE)]["properties"]
    assert len(reached(told, brief["pieces"])) == 2


def test_no_kind_of_a_union_is_left_out_of_all_bodies() -> None:
    def kinds(told: Any) -> set[str]:
        schemas = told["components"]["schemas"]
        many = {name for name, one in schemas.items() if len(one.get("oneOf", ())) > 10}
        sent = {name for _, body in bodies(told) for name in references(told, body)}
        return {
            inner["$ref"] for name in many & sent for inner in schemas[name]["oneOf"]
        }

    assert len(kinds(DOCUMENT)) > 25
    assert kinds(with_long_unions_once(DOCUMENT, spared(DOCUMENT))) == kinds(DOCUMENT)


def references(told: Any, part: Any) -> set[str]:
    """Return the names of all schemas that a part of a document leads to."""
    found: set[str] = set()
    waiting = list(named(part))
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += named(told["components"]["schemas"][name])
    return found
