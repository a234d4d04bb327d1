"""The schemas of the document: msgspec's own of every type, in a shape that the public
generators of clients read alike.

A choice of words is named once, a value that may be null is written in one piece, a
union that has a tag is ``oneOf``, and what only Python's dialect of patterns says is
left out.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from inspect import cleandoc
from types import MappingProxyType
from typing import Any

import msgspec

from standage.api.document.openapi_bases import in_two_parts, with_bases
from standage.api.document.openapi_bodies import REF
from standage.api.document.openapi_choices import capitals, known_choice
from standage.api.document.openapi_fields import with_shared_fields
from standage.api.document.openapi_figures import FIGURES, with_figures
from standage.api.document.openapi_sayings import (
    patches_told_by_bodies,
    said_shortly,
    told_by_its_operation,
    told_by_their_fields,
)
from standage.api.document.openapi_words import with_words
from standage.api.web.operation import Operation
from standage.api.web.problems import Problem
from standage.questions.reckoning import is_warned
from standage.registry.records.kind import RECORD_BYTES

Json = dict[str, Any]

_LONGEST_MOMENT = 64
_UNIONS = {
    "ClubEntry": "RecordEntry",
    "LeastRadius": "StandardRule",
    "Straight": "TrackPiece",
}
"""The names of the unions that have a tag, by one of what each is of."""
_NULL: Json = {"type": "null"}
_NOTHING: Mapping[str, str] = MappingProxyType({})
_ANY_FIELDS: Json = {
    "description": "The fields to change, and in each no more than changes; null takes"
    " one away.",
    "type": "object",
    "maxProperties": 100,
}
"""A patch of a big record: all its parts written again, each of them or null, would take
as much room as the record's own schema.
"""
_END_OF_TEXT = "(?!\\n)$"
"""Python's ``$`` also stands before a last line's end; that of JSON Schema does not."""


def schemas_of(operations: Sequence[Operation]) -> Json:
    """Return the schemas of all that the operations take and answer, by name."""
    types: list[Any] = [Problem]
    patched: list[Any] = []
    for operation in operations:
        bodies = (operation.takes.body, operation.answers.shape)
        types += [kind for kind in bodies if kind is not None]
        if operation.takes.patch_of is not None:
            patched.append(operation.takes.patch_of)
    big = {
        one.takes.patch_of for one in operations if one.takes.most_bytes > RECORD_BYTES
    }
    components = _of_types([*types, *patched])
    for kind in types:
        if is_warned(kind):  # its default is never left out
            schema = components[kind.__name__]
            schema["required"] = sorted({*schema["required"], "warnings"})
    answers = [
        one.answers.shape.__name__
        for one in operations
        if one.answers.shape is not None
    ]
    components = with_words(components, answers)
    for kind in dict.fromkeys(patched):
        is_big = kind in big
        patch = _ANY_FIELDS if is_big else _patch(components[kind.__name__])
        components[f"{kind.__name__}Patch"] = patch
    said = {one.about.description for one in operations}
    for name in _told_by_operations(operations) & components.keys():
        components[name] = told_by_its_operation(components[name], said)
    choices: Json = {}
    told = {name: one.get("description", "") for name, one in components.items()}
    shaped = {
        name: _Shaped(choices, name, told).schema(schema)
        for name, schema in components.items()
    }
    for query in {one.takes.query for one in operations if one.takes.query is not None}:
        schema_of_query(query, choices)
    told_once = told_by_their_fields(shaped | choices)
    with_common = with_bases(told_once)
    with_fields = with_shared_fields(patches_told_by_bodies(with_common))
    return in_two_parts(with_figures(with_fields, _figures()))


def _told_by_operations(operations: Iterable[Operation]) -> set[str]:
    """Return the names of what the operations answer, are sent to work on, or make a
    record of.
    """
    answers = {one.answers.shape for one in operations}
    sent = {one.takes.body for one in operations if one.method == "POST"}
    return {kind.__name__ for kind in answers | sent if kind is not None}


def _figures() -> Json:
    """Return the schemas of the sorts of figure that have a name."""
    found = {}
    for name, kind in FIGURES.items():
        written = msgspec.json.schema(kind, ref_template=REF)
        found[name] = _Shaped({}, None).schema(written)
    return found


def schema_of_query(query: type, choices: Json) -> Json:
    """Return the schema of a query; ``choices`` takes those that have a name.

    A choice that has none stands where it is.
    """
    schema = _of_types([query])[query.__name__]
    fields = schema["properties"].items()
    without_null = {name: _without_null(field) for name, field in fields}
    whole = {**schema, "properties": without_null}
    shaped: Json = _Shaped(choices, None).schema(whole)
    return shaped


def _of_types(types: Iterable[Any]) -> Json:
    found = msgspec.json.schema_components(dict.fromkeys(types), ref_template=REF)
    return found[1]


def _without_null(schema: Json) -> Json:
    """Return the schema of a parameter: it is left out, never null."""
    if "anyOf" not in schema:
        return schema
    kept = {name: value for name, value in schema.items() if name != "anyOf"}
    choices = [choice for choice in schema["anyOf"] if choice != _NULL]
    if len(choices) == 1:
        return {**choices[0], **kept}
    return {**kept, "anyOf": choices}


def _patch(schema: Json) -> Json:
    """Return the schema of a merge patch (RFC 7396) of what ``schema`` describes.

    It holds any of the fields, and null to take one away, if it can be taken away.
    """
    needed = schema.get("required", ())
    properties = {}
    for name, field in schema["properties"].items():
        changed = {key: value for key, value in field.items() if key != "default"}
        properties[name] = changed if name in needed else _or_null(changed)
    return {
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }


def _or_null(field: Json) -> Json:
    if _NULL in field.get("anyOf", ()):
        return field
    kept = dict(field)
    description = kept.pop("description", None)
    said = {} if description is None else {"description": description}
    return {**said, "anyOf": [kept, _NULL]}


class _Shaped:
    """Shapes the parts of one schema; ``choices`` takes the choices that it names.

    Those of an ``owner`` are called by it where they have no name of their own;
    ``told`` is what is said of every type.
    """

    def __init__(
        self, choices: Json, owner: str | None, told: Mapping[str, str] = _NOTHING
    ) -> None:
        self._choices = choices
        self._owner = owner
        self._told = told

    def schema(self, schema: Any, field: str = "") -> Any:
        """Return ``schema`` in its shape, at ``field`` of what it belongs to."""
        if isinstance(schema, list):
            return [self.schema(item, field) for item in schema]
        if not isinstance(schema, dict):
            return schema
        shaped: Json = schema
        for step in _STEPS:
            shaped = step(shaped)
        if self._owner is not None:
            shaped = said_shortly(
                shaped, field=field, owner=self._owner, elsewhere=self._told
            )
        if len(shaped.get("enum", ())) > 1:
            shaped = self._named(shaped, field)
        told = {name: self._part(name, part, field) for name, part in shaped.items()}
        if "discriminator" not in told:
            return told
        name = _name_of_union(told["oneOf"])
        self._choices[name] = told
        return {"$ref": REF.format(name=name)}

    def _part(self, name: str, part: Any, field: str) -> Any:
        if name == "properties":
            return {one: self.schema(value, one) for one, value in part.items()}
        if name in {"discriminator", "enum", "default", "examples"}:
            return part
        return self.schema(part, field)

    def _named(self, schema: Json, field: str) -> Json:
        """Return a reference to a choice of words, beside what is said of its use."""
        words = schema["enum"]
        name = known_choice(words)
        if name is None and self._owner is not None:
            name = self._owner + capitals(field)
        if name is None:
            return schema
        self._choices[name] = {"type": "string", "enum": words}
        kept = {key: one for key, one in schema.items() if key not in {"enum", "type"}}
        return {"$ref": REF.format(name=name), **kept}


def _name_of_union(members: Sequence[Json]) -> str:
    names = {one["$ref"].rpartition("/")[2] for one in members}
    return next(union for one, union in _UNIONS.items() if one in names)


def _without_title(schema: Json) -> Json:
    """Leave out the name of a schema: it stands before it."""
    return {name: value for name, value in schema.items() if name != "title"}


def _unsaid_left_out(schema: Json) -> Json:
    """Leave out what says nothing: no required fields, and a default that is a value.

    A default of null is that of what is left out, and generators build no objects.
    """
    left_out = set()
    if schema.get("required") == []:
        left_out.add("required")
    if isinstance(schema.get("default"), (dict, list, tuple, type(None))):
        left_out.add("default")
    return {name: value for name, value in schema.items() if name not in left_out}


def _cleaned(schema: Json) -> Json:
    """Let a docstring be the same whichever Python has compiled it, in the words of
    Markdown and no broken lines.
    """
    if not isinstance(schema.get("description"), str):
        return schema
    paragraphs = cleandoc(schema["description"]).split("\n\n")
    told = "\n\n".join(" ".join(one.split()) for one in paragraphs)
    return {**schema, "description": told.replace("``", "`")}


def _without_dialect(schema: Json) -> Json:
    pattern = schema.get("pattern")
    if not isinstance(pattern, str) or not pattern.endswith(_END_OF_TEXT):
        return schema
    return {**schema, "pattern": pattern.removesuffix(_END_OF_TEXT) + "$"}


def _bounded_moment(schema: Json) -> Json:
    if schema.get("format") != "date-time":
        return schema
    return {**schema, "maxLength": _LONGEST_MOMENT}


def _of_one_kind(schema: Json) -> Json:
    """Say of a list of fixed length and all alike what it holds, by its bounds.

    Generators of clients know no schema that is false.
    """
    parts = schema.get("prefixItems", [])
    if schema.get("items") is not False or any(part != parts[0] for part in parts):
        return schema
    kept = {name: value for name, value in schema.items() if name != "prefixItems"}
    return {**kept, "items": parts[0]}


def _typed(schema: Json) -> Json:
    """Say of which type the words or numbers are that one chooses from."""
    if "enum" not in schema or "type" in schema:
        return schema
    is_text = all(isinstance(value, str) for value in schema["enum"])
    return {"type": "string" if is_text else "integer", **schema}


def _in_one_piece(schema: Json) -> Json:
    """Write a value that may be null as one of two types."""
    choices = schema.get("anyOf", ())
    if len(choices) != 2 or _NULL not in choices:  # noqa: PLR2004 - a value, or null
        return schema
    value = next(choice for choice in choices if choice != _NULL)
    if not isinstance(value.get("type"), str) or "enum" in value:
        return schema
    beside = {name: one for name, one in schema.items() if name != "anyOf"}
    return {**value, **beside, "type": [value["type"], "null"]}


def _told_by_its_tag(schema: Json) -> Json:
    """Say of a union that has a tag that it is exactly one of its kinds."""
    if "discriminator" not in schema or "anyOf" not in schema:
        return schema
    return {("oneOf" if name == "anyOf" else name): one for name, one in schema.items()}


def _said_once(schema: Json) -> Json:
    """Leave out what a sort of figure is in general, where a list of them is described.

    So are bounds written as whole numbers where they are whole.
    """
    items = schema.get("items")
    shortened = {name: _whole(value) for name, value in schema.items()}
    if isinstance(items, dict) and "type" in items and "description" in schema:
        kept = {name: one for name, one in items.items() if name != "description"}
        shortened["items"] = kept
    return shortened


def _whole(value: Any) -> Any:
    is_whole = isinstance(value, float) and value.is_integer()
    if is_whole:
        return int(value)
    return value


_STEPS: tuple[Callable[[Json], Json], ...] = (
    _without_title,
    _unsaid_left_out,
    _in_one_piece,
    _cleaned,
    _without_dialect,
    _bounded_moment,
    _of_one_kind,
    _typed,
    _told_by_its_tag,
    _said_once,
)
