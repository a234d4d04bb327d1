"""Fields that many schemas have alike, written once under the name of the field.

A vehicle is asked about, recorded, changed and answered with the same twenty figures:
written out each time they are a fifth of the document.
"""

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from typing import Any

import msgspec

from standage.api.document.openapi_bodies import REF
from standage.api.document.openapi_choices import capitals

Json = dict[str, Any]

_Field = tuple[str, bytes]
"""The name of a field, and what is said of it."""
_LEAST_SPARED_BYTES = 40
_REFERENCE_BYTES = len('{"$ref":"#/components/schemas/"}')


def with_shared_fields(schemas: Mapping[str, Json]) -> Json:
    """Return the schemas with their common fields by reference, and these beside them.

    Of several sorts of field that go by one name the one that spares most has it.
    """
    names = _names(schemas)
    told = {name: _referring(schema, names) for name, schema in schemas.items()}
    shared = {called: msgspec.json.decode(key) for (_, key), called in names.items()}
    return dict(sorted((told | shared).items()))


def _names(schemas: Mapping[str, Json]) -> dict[_Field, str]:
    """Return what each field is called that is written once."""
    owners: dict[_Field, list[str]] = {}
    for owner, schema in schemas.items():
        for name, field in schema.get("properties", {}).items():
            if "$ref" not in field:
                owners.setdefault((name, _key(field)), []).append(owner)
    spared = {one: _spared_bytes(*one, times=len(of)) for one, of in owners.items()}
    by_worth = sorted(spared, key=lambda one: (-spared[one], one))
    taken = {name.lower() for name in schemas}
    found: dict[_Field, str] = {}
    for one in by_worth:
        called = _free(capitals(one[0]), min(owners[one], key=len), taken)
        if called is not None and spared[one] >= _LEAST_SPARED_BYTES:
            taken.add(called.lower())
            found[one] = called
    return found


def _spared_bytes(name: str, field: bytes, *, times: int) -> int:
    """Return by how much the document is smaller for one shared field."""
    return (times - 1) * len(field) - times * (_REFERENCE_BYTES + len(name))


def _free(name: str, owner: str, taken: AbstractSet[str]) -> str | None:
    """Return a name that nothing else has, whatever file system it makes files on."""
    names = (name, f"{name}Field", f"{name}Given", f"{owner}{name}")
    return next((one for one in names if one.lower() not in taken), None)


def _referring(schema: Json, names: Mapping[_Field, str]) -> Json:
    if "properties" not in schema:
        return schema
    fields = {}
    for name, field in schema["properties"].items():
        called = names.get((name, _key(field)))
        fields[name] = field if called is None else {"$ref": REF.format(name=called)}
    return {**schema, "properties": fields}


def _key(field: Json) -> bytes:
    return msgspec.json.encode(field)
