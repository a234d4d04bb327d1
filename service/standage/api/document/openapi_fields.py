"""Fields that many schemas have alike, written once under the name of the field.

A vehicle is asked about, recorded, changed and answered with the same twenty figures:
written out each time they are a fifth of the document.
"""

from collections import Counter
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from typing import Any

import msgspec

from standage.api.document.openapi_bodies import REF
from standage.api.document.openapi_choices import capitals

Json = dict[str, Any]

_LEAST_SPARED_BYTES = 50
_REFERENCE_BYTES = len('{"$ref":"#/components/schemas/"}')


def with_shared_fields(schemas: Mapping[str, Json]) -> Json:
    """Return the schemas with their common fields by reference, and these beside them.

    Of several sorts of field that go by one name the one that spares most has it.
    """
    shared = _shared(schemas)
    names = {_key(field): name for name, field in shared.items()}
    told = {name: _referring(schema, names) for name, schema in schemas.items()}
    return dict(sorted((told | shared).items()))


def _shared(schemas: Mapping[str, Json]) -> Json:
    times: Counter[tuple[str, bytes]] = Counter()
    for schema in schemas.values():
        for name, field in schema.get("properties", {}).items():
            if "$ref" not in field:
                times[name, _key(field)] += 1
    spared = {key: _spared_bytes(*key, times=count) for key, count in times.items()}
    by_worth = sorted(spared, key=lambda key: (-spared[key], key))
    taken = {name.lower() for name in schemas}
    found: Json = {}
    for name, key in by_worth:
        called = _free(capitals(name), taken)
        if called is not None and spared[name, key] >= _LEAST_SPARED_BYTES:
            taken.add(called.lower())
            found[called] = msgspec.json.decode(key)
    return found


def _spared_bytes(name: str, field: bytes, *, times: int) -> int:
    """Return by how much the document is smaller for one shared field."""
    return (times - 1) * len(field) - times * (_REFERENCE_BYTES + len(name))


def _free(name: str, taken: AbstractSet[str]) -> str | None:
    """Return a name that nothing else has, whatever file system it makes files on."""
    names = (name, f"{name}Field", f"{name}Given")
    return next((one for one in names if one.lower() not in taken), None)


def _referring(schema: Json, names: Mapping[bytes, str]) -> Json:
    if "properties" not in schema:
        return schema
    fields = {}
    for name, field in schema["properties"].items():
        shared = names.get(_key(field))
        if shared is None or not shared.startswith(capitals(name)):
            fields[name] = field
        else:
            fields[name] = {"$ref": REF.format(name=shared)}
    return {**schema, "properties": fields}


def _key(field: Json) -> bytes:
    return msgspec.json.encode(field)
