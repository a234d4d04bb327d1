"""What several schemas have alike, written once and taken in by ``allOf``.

A vehicle is asked about, recorded, changed and answered with the same thirty figures,
and every record has an id, a version and times: written out each time they are a
twentieth of the document. Generators of clients put the parts together again. A schema
that takes nothing else says so by ``unevaluatedProperties``, which looks into the parts
where ``additionalProperties`` does not.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec

from standage.api.document.openapi_bodies import REF

Json = dict[str, Any]

_BASES: Mapping[str, Sequence[str]] = {
    "BodyFigures": (
        "AskedEntry",
        "AskedVehicle",
        "AskedWagon",
        "Body",
        "Vehicle",
        "VehicleBody",
        "VehicleBodyPatch",
    ),
    "VehicleFigures": (
        "AskedEntry",
        "AskedVehicle",
        "AskedWagon",
        "Vehicle",
        "VehicleBody",
        "VehicleBodyPatch",
    ),
    "PlaceFigures": ("AskedPlace", "Place", "PlaceBody", "PlaceBodyPatch"),
    "PlanParts": (
        "AskedPlan",
        "ModulePlan",
        "Plan",
        "KeptLayoutPlan",
        "KeptModulePlan",
    ),
    "ToldFigures": ("ToldPlace", "ToldRoad"),
    "RevisionParts": ("RevisionSummary", "PlanRevision"),
    "PastSaving": ("PastChange", "PastRevision"),
    "CouplingFigures": (
        "Coupling",
        "CouplingType",
        "CouplingTypeBody",
        "CouplingTypeBodyPatch",
    ),
    "EndFigures": ("AskedEnd", "ModuleEnd"),
    "Fullness": ("HowFull", "RoadFill"),
    "JointSwing": ("JointFigures", "JointOnCurve"),
    "MovesAsked": ("EngineLeavesRequest", "MoveRequest"),
    "PuzzleAsked": ("DealRequest", "EveryTrainRequest"),
    "SessionFields": ("BegunSession", "Invited", "Session"),
    "SheetRead": ("PlanSheet", "PlanSheetPreview"),
    "YardFigures": ("Yard", "YardBody", "YardOfLayout"),
}
"""The schemas that have much alike, by the name of what they have."""
_COMMONLY: Mapping[str, Sequence[str]] = {
    "OnRecord": ("id", "version", "created_at", "updated_at"),
    "Grounds": ("because", "assumed", "warnings"),
    "Remarks": ("look_alikes", "assumed", "warnings"),
}
"""The fields that most of the schemas that have them have alike, but for their words."""
_TAGGED = "Entry"
"""A kind of a union that a tag tells is not taken apart: generators take what it is
made of for what it is.
"""
_FEWEST_FIELDS = 3
_OF_FIELDS = ("type", "properties", "required")


def with_bases(schemas: Mapping[str, Json]) -> Json:
    """Return the schemas with what they have alike by ``allOf``, and that beside
    them.
    """
    told = dict(schemas)
    for name, members in _bases_of(schemas):
        present = [member for member in members if member in told]
        common = _common([told[member] for member in present], _COMMONLY.get(name, ()))
        if len(present) > 1 and len(common) >= _FEWEST_FIELDS:
            needed = told[present[0]].get("required", ())
            told[name] = _base(common, needed)
            for member in present:
                told[member] = _derived(told[member], common, name)
    return dict(sorted(told.items()))


def in_two_parts(schemas: Mapping[str, Json]) -> Json:
    """Return the schemas with at least two parts in each that is made of any: its own
    fields are the second.

    What is made of one part alone is taken by one of the generators for that part, and
    an object of no fields by another for what may have none.
    """
    return {name: _in_two_parts(schema) for name, schema in schemas.items()}


def _bases_of(schemas: Mapping[str, Json]) -> Iterable[tuple[str, Sequence[str]]]:
    """Yield what schemas have alike: by the table, and as sorts of record go."""
    yield from _BASES.items()
    kinds = [
        name.removesuffix("BodyPatch") for name in schemas if name.endswith("BodyPatch")
    ]
    for kind in kinds:
        yield f"{kind}Fields", (kind, f"{kind}Body", f"{kind}BodyPatch")
    for name, fields in _COMMONLY.items():
        yield name, _alike(schemas, fields)


def _alike(schemas: Mapping[str, Json], fields: Sequence[str]) -> list[str]:
    """Return the schemas that have these fields as most of those that have them do."""
    told: dict[str, bytes] = {}
    for name, schema in schemas.items():
        if not name.endswith(_TAGGED) and set(fields) <= _fields_of(schema):
            told[name] = _key(schema, fields)
    most = Counter(told.values()).most_common(1)
    return [name for name, key in told.items() if key == most[0][0]]


def _key(schema: Json, fields: Sequence[str]) -> bytes:
    """Return what a schema holds of these fields, in whatever words."""
    told = [_told(schema, name) for name in fields]
    return msgspec.json.encode([(_plain(field), needed) for field, needed in told])


def _plain(field: Json) -> Json:
    return {key: one for key, one in field.items() if key != "description"}


def _fields_of(schema: Json) -> set[str]:
    return set(schema.get("properties", ()))


def _common(schemas: Sequence[Json], commonly: Sequence[str]) -> Json:
    """Return the fields that all the schemas have and need alike; those that they have
    ``commonly`` in the words of most.
    """
    if not schemas:
        return {}
    if commonly:
        return {name: _most_told(schemas, name) for name in commonly}
    first, *others = schemas
    return {
        name: field
        for name, field in first.get("properties", {}).items()
        if not _is_map(field)
        if all(_told(one, name) == _told(first, name) for one in others)
    }


def _is_map(field: Json) -> bool:
    """Tell whether a field holds values by names: a generator that makes a type of each
    map makes it anew for every schema that takes it in.
    """
    return isinstance(field.get("additionalProperties"), dict)


def _most_told(schemas: Sequence[Json], name: str) -> Json:
    told = Counter(msgspec.json.encode(one["properties"][name]) for one in schemas)
    ((field, _),) = told.most_common(1)
    found: Json = msgspec.json.decode(field)
    return found


def _told(schema: Json, name: str) -> tuple[Any, bool]:
    is_needed = name in schema.get("required", ())
    return schema.get("properties", {}).get(name), is_needed


def _base(fields: Json, needed: Iterable[str]) -> Json:
    base: Json = {"type": "object", "properties": fields}
    required = [name for name in needed if name in fields]
    if required:
        return {**base, "required": required}
    return base


def _in_two_parts(schema: Json) -> Json:
    parts = schema.get("allOf", ())
    if len(parts) != 1:
        return schema
    own = {name: schema[name] for name in _OF_FIELDS if name in schema}
    around = {name: value for name, value in schema.items() if name not in own}
    return {**around, "allOf": [*parts, own]}


def _derived(schema: Json, fields: Json, base: str) -> Json:
    """Return a schema that takes ``fields`` from a base in place of having them."""
    told = dict(schema)
    parts = [*told.get("allOf", ()), {"$ref": REF.format(name=base)}]
    own = {name: one for name, one in told["properties"].items() if name not in fields}
    told = {"allOf": parts, **told, "properties": own}
    told["allOf"] = parts
    required = [name for name in told.pop("required", ()) if name not in fields]
    if required:
        told["required"] = required
    if not own:
        del told["properties"]
    if "additionalProperties" in told:
        told["unevaluatedProperties"] = told.pop("additionalProperties")
    return told
