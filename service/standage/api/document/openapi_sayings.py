"""What need not be said of a field, since its name says it.

A client reads the name first: ``length_mm`` has its unit in it, and "What the train is
called." says of a train's ``name`` what everybody knows. What says anything more stays
as it is written.
"""

import re
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from itertools import chain
from types import MappingProxyType
from typing import Any

Json = dict[str, Any]

_OFF = re.compile(r"^How far off [^,;]*, either way(; (?P<else>.*))?\.$")
_UNITS = {
    "mm": "in mm",
    "deg": "in degrees",
    "percent": "in per cent",
    "g": "in grams",
}
"""How prose has the units that names end in."""
_ONE_SENTENCE = 100
_SAYS_MORE = re.compile(r"[`;:,]|\. ")
"""What stands in a description that does more than name a thing."""
_NOWHERE: Mapping[str, str] = MappingProxyType({})
_WORD = re.compile(r"[a-z0-9]+")
_END_OF_WORD = re.compile(r"(es|ed|ing|s|e)$")
_LITTLE = frozenset(
    _WORD.findall(
        "a all an and are as at be been both by called did does done each every far"
        " figure figures for had has have having held holds how in is it its made many"
        " of on one or so sort that the their there they this to was were what when"
        " where which who with you your degrees grams mm per cent"
    )
)
"""Words that bring nothing of their own."""


def told_by_its_operation(schema: Json, operations: AbstractSet[str]) -> Json:
    """Return the schema of a whole answer or body without one sentence about it, and
    without what ``operations`` say word for word: who reads of it comes by an
    operation, whose summary and description say that.
    """
    description = schema.get("description", "")
    is_more = len(description) > _ONE_SENTENCE or "``" in description
    if is_more and description not in operations:
        return schema
    return {key: value for key, value in schema.items() if key != "description"}


def told_by_their_fields(schemas: Mapping[str, Json]) -> Json:
    """Return the schemas without one plain sentence about a kind of thing that stands
    at one field alone, which says what it is.
    """
    uses: dict[str, list[Json]] = {}
    for field in chain.from_iterable(map(_fields_of, schemas.values())):
        uses.setdefault(_kind_of(field), []).append(field)
    told = dict(schemas)
    for name, fields in uses.items():
        is_said = len(fields) == 1 and "description" in fields[0]
        if is_said and "properties" in schemas.get(name, {}):
            told[name] = _without_one_sentence(schemas[name])
    return told


def _fields_of(schema: Json) -> Iterator[Json]:
    for part in (schema, *schema.get("allOf", ())):
        yield from part.get("properties", {}).values()


def _without_one_sentence(schema: Json) -> Json:
    description = schema.get("description", "")
    if len(description) > _ONE_SENTENCE or _SAYS_MORE.search(description):
        return schema
    return {key: value for key, value in schema.items() if key != "description"}


def patches_told_by_bodies(schemas: Mapping[str, Json]) -> Json:
    """Return the schemas with what is said of the fields of a patch left to those of
    the whole body, which mean the same.
    """
    return {
        name: _untold(schema) if name.endswith("BodyPatch") else schema
        for name, schema in schemas.items()
    }


def _untold(patch: Json) -> Json:
    fields = patch.get("properties", {})
    untold = {
        name: {key: one for key, one in field.items() if key != "description"}
        for name, field in fields.items()
    }
    if untold:
        return {**patch, "properties": untold}
    return patch


def said_shortly(
    schema: Json, *, field: str, owner: str, elsewhere: Mapping[str, str] = _NOWHERE
) -> Json:
    """Return what is said of a ``field`` of ``owner`` without what their names say, or
    what is said ``elsewhere``: of the type by whose name it refers to it.
    """
    description = schema.get("description")
    if not isinstance(description, str):
        return schema
    shorter = _without_plus_minus(_without_unit(description, field), field)
    kind = _kind_of(schema)
    names = f"{field} {_apart(owner)} {_apart(kind)}"
    if _words(shorter) <= _words(f"{names} {elsewhere.get(kind, '')}"):
        return {key: value for key, value in schema.items() if key != "description"}
    return {**schema, "description": shorter}


def _kind_of(schema: Json) -> str:
    """Return the name of the type that a field is of, or is a list of; none of a plain
    value.
    """
    parts = (schema, schema.get("items", {}), *schema.get("anyOf", ()))
    named = (part["$ref"] for part in parts if "$ref" in part)
    return str(next(named, "")).rpartition("/")[2]


def _without_unit(description: str, field: str) -> str:
    unit = _UNITS.get(field.rpartition("_")[2])
    if unit is None:
        return description
    return re.sub(rf",? {unit}(?=[.;:,]|$)", "", description)


def _without_plus_minus(description: str, field: str) -> str:
    """Return what is said of a ± without what every ± is, which the document says."""
    found = _OFF.match(description)
    if found is None or "plus_minus" not in field:
        return description
    beside = found["else"] or ""
    if beside:
        return f"{beside[:1].upper()}{beside[1:]}."
    return ""


def _words(text: str) -> set[str]:
    """Return what the words of ``text`` are made of, without the little ones."""
    told = set(_WORD.findall(text.lower())) - _LITTLE
    return {_END_OF_WORD.sub("", word) for word in told}


def _apart(name: str) -> str:
    """Return the words of a type's name: ``TrainFitAnswer``, ``Train Fit Answer``."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name)
