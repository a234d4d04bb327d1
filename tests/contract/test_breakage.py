"""The comparison that gates a release, tried on small documents."""

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from contract.breakage import breaks

WAGON = {
    "type": "object",
    "properties": {
        "name": {"type": "string", "maxLength": 120},
        "kind": {"enum": ["coach", "wagon"]},
        "length_mm": {"type": "number", "exclusiveMinimum": 0, "maximum": 1000},
        "mass_g": {"anyOf": [{"type": "integer", "minimum": 1}, {"type": "null"}]},
        "loads": {
            "type": "array",
            "maxItems": 4,
            "items": {"$ref": "#/components/schemas/Load"},
        },
    },
    "required": ["name"],
    "additionalProperties": False,
}
LOAD = {
    "type": "object",
    "properties": {
        "what": {"type": "string"},
        "beside": {"$ref": "#/components/schemas/Load"},
    },
    "required": ["what"],
}
ANSWER = {
    "type": "object",
    "properties": {
        "verdict": {"enum": ["fits", "tight"]},
        "kind": {"enum": ["coach", "wagon"]},
        "spare_mm": {"type": "number"},
        "at": {"type": "string", "format": "date-time"},
        "because": {
            "type": "array",
            "items": {
                "oneOf": [
                    {"$ref": "#/components/schemas/TooLong"},
                    {"$ref": "#/components/schemas/TooHigh"},
                ],
                "discriminator": {"propertyName": "code"},
            },
        },
    },
    "required": ["verdict", "spare_mm"],
}

PART = {
    "type": "object",
    "properties": {"spare_mm": {"type": "number"}},
    "required": ["spare_mm"],
}


def reason(code: str) -> dict[str, Any]:
    return {
        "type": "object",
        "title": code,
        "properties": {"code": {"enum": [code]}},
        "required": ["code"],
    }


def document() -> dict[str, Any]:
    """Return a document of one operation, with something of each sort that the
    comparison judges.
    """
    return deepcopy(
        {
            "openapi": "3.1.0",
            "security": [{"bearer": []}],
            "paths": {
                "/wagons/{id}": {
                    "parameters": [
                        {
                            "name": "id",
                            "in": "path",
                            "required": True,
                            "schema": {"type": "string"},
                        }
                    ],
                    "put": {
                        "operationId": "replaceWagon",
                        "parameters": [
                            {
                                "name": "dry",
                                "in": "query",
                                "schema": {"type": "boolean"},
                            }
                        ],
                        "requestBody": {
                            "content": {"application/json": {"schema": WAGON}}
                        },
                        "responses": {
                            "200": {
                                "headers": {
                                    "ETag": {"schema": {"type": "string"}},
                                    "X-Request-Id": {"schema": {"type": "string"}},
                                },
                                "content": {"application/json": {"schema": ANSWER}},
                            },
                            "404": {
                                "content": {
                                    "application/problem+json": {
                                        "schema": {"type": "object"}
                                    }
                                }
                            },
                        },
                    },
                }
            },
            "components": {
                "schemas": {
                    "Load": LOAD,
                    "TooLong": reason("too_long"),
                    "TooHigh": reason("too_high"),
                }
            },
        }
    )


def put(edited: dict[str, Any]) -> Any:
    return edited["paths"]["/wagons/{id}"]["put"]


def sent(edited: dict[str, Any]) -> Any:
    return put(edited)["requestBody"]["content"]["application/json"]["schema"]


def received(edited: dict[str, Any]) -> Any:
    return put(edited)["responses"]["200"]["content"]["application/json"]["schema"]


Edit = Callable[[dict[str, Any]], object]

BREAKING: dict[str, Edit] = {
    "an operation is gone": lambda it: it["paths"]["/wagons/{id}"].pop("put"),
    "a path is gone": lambda it: it["paths"].clear(),
    "the operation has another id": lambda it: put(it).update(operationId="putWagon"),
    "another credential is asked for": (
        lambda it: put(it).update(security=[{"bearer": [], "key": []}])
    ),
    "a query parameter is gone": lambda it: put(it).update(parameters=[]),
    "a query parameter is now required": (
        lambda it: put(it)["parameters"][0].update(required=True)
    ),
    "a header is now asked for": (
        lambda it: put(it)["parameters"].append(
            {
                "name": "If-Match",
                "in": "header",
                "required": True,
                "schema": {"type": "string"},
            }
        )
    ),
    "a query parameter is of another kind": (
        lambda it: put(it)["parameters"][0].update(schema={"type": "integer"})
    ),
    "the body is now required": lambda it: put(it)["requestBody"].update(required=True),
    "the body is no longer taken": lambda it: put(it).pop("requestBody"),
    "the body is of another media type": (
        lambda it: put(it)["requestBody"].update(content={"text/csv": {}})
    ),
    "a field sent is now required": lambda it: sent(it)["required"].append("kind"),
    "a new required field is to be sent": lambda it: (
        sent(it)["properties"].update(owner={"type": "string"}),
        sent(it)["required"].append("owner"),
    ),
    "a field is no longer taken": lambda it: sent(it)["properties"].pop("mass_g"),
    "a field sent may no longer be null": (
        lambda it: sent(it)["properties"].update(mass_g={"type": "integer"})
    ),
    "a field sent is of another kind": (
        lambda it: sent(it)["properties"].update(name={"type": "integer"})
    ),
    "a number sent must be whole": (
        lambda it: sent(it)["properties"]["length_mm"].update(type="integer")
    ),
    "a text sent must be shorter": (
        lambda it: sent(it)["properties"]["name"].update(maxLength=80)
    ),
    "a text sent must look otherwise": (
        lambda it: sent(it)["properties"]["name"].update(pattern="^[A-Z]")
    ),
    "a number sent must be greater": (
        lambda it: sent(it)["properties"]["length_mm"].update(exclusiveMinimum=1)
    ),
    "fewer may be sent": lambda it: sent(it)["properties"]["loads"].update(maxItems=3),
    "a value is no longer taken": (
        lambda it: sent(it)["properties"]["kind"].update(enum=["coach"])
    ),
    "a field inside a list is now required": (
        lambda it: it["components"]["schemas"]["Load"]["required"].append("beside")
    ),
    "an answer is gone": lambda it: put(it)["responses"].pop("200"),
    "an answer is of another media type": (
        lambda it: put(it)["responses"]["200"].update(content={"text/csv": {}})
    ),
    "a header of an answer is gone": (
        lambda it: put(it)["responses"]["200"].pop("headers")
    ),
    "a field of an answer is gone": lambda it: received(it)["properties"].pop("at"),
    "a field of an answer may be left out": (
        lambda it: received(it).update(required=["verdict"])
    ),
    "a field of an answer is of another kind": (
        lambda it: received(it)["properties"].update(spare_mm={"type": "string"})
    ),
    "a field of an answer may be null": (
        lambda it: received(it)["properties"]["spare_mm"].update(
            type=["number", "null"]
        )
    ),
    "an answer has another word in place of a known one": (
        lambda it: received(it)["properties"]["verdict"].update(enum=["fits", "narrow"])
    ),
    "the one word that tells an answer's kind is another": (
        lambda it: it["components"]["schemas"]["TooLong"]["properties"]["code"].update(
            enum=["too_long", "much_too_long"]
        )
    ),
    "a time of an answer is now a text": (
        lambda it: received(it)["properties"]["at"].pop("format")
    ),
    "an answer holds a sort of reason nobody knows": lambda it: (
        it["components"]["schemas"].update(TooWide=reason("too_wide")),
        received(it)["properties"]["because"]["items"]["oneOf"].append(
            {"$ref": "#/components/schemas/TooWide"}
        ),
    ),
    "a rule stands there that the comparison does not know": (
        lambda it: sent(it).update(dependentRequired={})
    ),
}

HARMLESS: dict[str, Edit] = {
    "nothing changed": dict,
    "an answer is made of two parts": lambda it: put(it)["responses"]["200"][
        "content"
    ].update({"application/json": {"schema": {"allOf": [PART, received(it)]}}}),
    "a header of every answer is told once for all": (
        lambda it: put(it)["responses"]["200"]["headers"].pop("X-Request-Id")
    ),
    "an operation is new": (
        lambda it: it["paths"].update({"/club": {"get": {"responses": {}}}})
    ),
    "an optional parameter is new": (
        lambda it: put(it)["parameters"].append(
            {"name": "q", "in": "query", "schema": {}}
        )
    ),
    "an optional field may be sent": (
        lambda it: sent(it)["properties"].update(note={"type": "string"})
    ),
    "a field sent is no longer required": lambda it: sent(it).update(required=[]),
    "another value is taken": (
        lambda it: sent(it)["properties"]["kind"]["enum"].append("engine")
    ),
    "a longer text is taken": (
        lambda it: sent(it)["properties"]["name"].update(maxLength=200)
    ),
    "a fraction is taken": (
        lambda it: sent(it)["properties"]["mass_g"]["anyOf"][0].update(type="number")
    ),
    "null is taken": (
        lambda it: sent(it)["properties"]["name"].update(type=["string", "null"])
    ),
    "null is written the other way": (
        lambda it: sent(it)["properties"].update(
            mass_g={"type": ["null", "integer"], "minimum": 1}
        )
    ),
    "a schema has moved to a place of its own": lambda it: (
        it["components"]["schemas"].update(Wagon=dict(sent(it))),
        put(it)["requestBody"]["content"].update(
            {"application/json": {"schema": {"$ref": "#/components/schemas/Wagon"}}}
        ),
    ),
    "an answer says more": (
        lambda it: received(it)["properties"].update(margin_mm={"type": "number"})
    ),
    "a field of an answer is now sure": (
        lambda it: received(it)["required"].append("at")
    ),
    "a number of an answer is now whole": (
        lambda it: received(it)["properties"]["spare_mm"].update(type="integer")
    ),
    "an answer leaves a value out": (
        lambda it: received(it)["properties"]["verdict"].update(enum=["fits"])
    ),
    "an answer no longer gives one of its reasons": (
        lambda it: received(it)["properties"]["because"]["items"].update(
            oneOf=[{"$ref": "#/components/schemas/TooLong"}]
        )
    ),
    "an answer gives back a word that may now be sent": lambda it: (
        sent(it)["properties"]["kind"].update(enum=["coach", "wagon", "engine"]),
        received(it)["properties"]["kind"].update(enum=["coach", "wagon", "engine"]),
    ),
    "an answer has a word that nobody knows yet": (
        lambda it: received(it)["properties"]["verdict"]["enum"].append("perhaps")
    ),
    "an answer gives back a word that nobody may send": (
        lambda it: received(it)["properties"]["kind"]["enum"].append("engine")
    ),
    "a refusal is new": lambda it: put(it)["responses"].update({"429": {}}),
    "a choice says of which type its words are": (
        lambda it: sent(it)["properties"]["kind"].update(type="string")
    ),
    "a choice has a name of its own": lambda it: (
        it["components"]["schemas"].update(
            Kind={"type": "string", **sent(it)["properties"]["kind"]}
        ),
        sent(it)["properties"].update(kind={"$ref": "#/components/schemas/Kind"}),
        received(it)["properties"].update(kind={"$ref": "#/components/schemas/Kind"}),
    ),
    "a schema has another name": lambda it: (
        it["components"]["schemas"].update(
            Cargo=it["components"]["schemas"].pop("Load")
        ),
        it["components"]["schemas"]["Cargo"]["properties"].update(
            beside={"$ref": "#/components/schemas/Cargo"}
        ),
        sent(it)["properties"]["loads"].update(
            items={"$ref": "#/components/schemas/Cargo"}
        ),
    ),
    "an answer, a parameter and a header have moved to places of their own": (
        lambda it: (
            it["components"].update(
                responses={"Answer": put(it)["responses"]["200"]},
                parameters={"Dry": put(it)["parameters"][0]},
                headers={"ETag": put(it)["responses"]["200"]["headers"]["ETag"]},
            ),
            put(it)["responses"]["200"]["headers"].update(
                ETag={"$ref": "#/components/headers/ETag"}
            ),
            put(it)["responses"].update(
                {"200": {"$ref": "#/components/responses/Answer"}}
            ),
            put(it).update(parameters=[{"$ref": "#/components/parameters/Dry"}]),
        )
    ),
    "a body has moved to a place of its own": lambda it: (
        it["components"].update(requestBodies={"Wagon": put(it)["requestBody"]}),
        put(it).update(requestBody={"$ref": "#/components/requestBodies/Wagon"}),
    ),
    "a description reads better": (
        lambda it: sent(it)["properties"]["name"].update(description="Its name.")
    ),
}


@pytest.mark.parametrize("edit", BREAKING.values(), ids=BREAKING)
def test_a_breaking_change_is_seen(edit: Edit) -> None:
    edited = document()
    edit(edited)
    assert breaks(document(), edited) != []


@pytest.mark.parametrize("edit", HARMLESS.values(), ids=HARMLESS)
def test_a_harmless_change_is_let_through(edit: Edit) -> None:
    edited = document()
    edit(edited)
    assert breaks(document(), edited) == []


def patched(*, name: Any, note: Any) -> dict[str, Any]:
    """Return the document with a merge patch of the wagon, whose name it must have."""
    edited = document()
    fields = {"name": name, "note": note}
    content = {"application/json": {"schema": {"type": "object", "properties": fields}}}
    edited["paths"]["/wagons/{id}"]["patch"] = {
        "requestBody": {"content": content},
        "responses": {},
    }
    return edited


def test_a_null_that_was_never_taken_may_leave_a_merge_patch() -> None:
    then = patched(name={"type": ["string", "null"]}, note={"type": ["string", "null"]})
    now = patched(name={"type": "string"}, note={"type": ["string", "null"]})
    assert breaks(then, now) == []


def test_a_null_that_was_taken_may_not_leave_a_merge_patch() -> None:
    then = patched(name={"type": "string"}, note={"type": ["string", "null"]})
    now = patched(name={"type": "string"}, note={"type": "string"})
    assert breaks(then, now) == [
        "PATCH /wagons/{id}: body application/json/note: null is no longer taken"
    ]


def test_the_end_of_a_text_is_the_same_in_python_s_words() -> None:
    then, now = document(), document()
    sent(then)["properties"]["name"].update(pattern="^[A-Z]+(?!\\n)$")
    sent(now)["properties"]["name"].update(pattern="^[A-Z]+$")
    assert breaks(then, now) == []


def test_what_breaks_is_named_by_its_operation_and_its_field() -> None:
    edited = document()
    received(edited)["properties"].pop("at")
    assert breaks(document(), edited) == [
        "PUT /wagons/{id}: 200 application/json/at: gone"
    ]
