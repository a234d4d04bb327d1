"""What the document says of the parameters of paths and queries.

One that several operations take alike is written once, under its own name.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import chain
from typing import Any

import msgspec

from standage.api.document.openapi_choices import capitals
from standage.api.document.openapi_headers import headers_sent
from standage.api.document.openapi_schemas import schema_of_query
from standage.api.web.operation import Operation
from standage.registry.records.revisions import MOST_NUMBER

Json = dict[str, Any]

_PARAMETER = "#/components/parameters/{name}"
_ID: Json = {
    "type": "string",
    "minLength": 1,
    "maxLength": 64,
    "pattern": "^[A-Za-z0-9-]+$",
}


class Parameters:
    """The parameters of all operations, and those of them that are shared."""

    def __init__(self, operations: Sequence[Operation]) -> None:
        self._in_paths = {one.path: list(_of_path(one.path)) for one in operations}
        self._in_queries = {one.id: list(_of_query(one)) for one in operations}
        everywhere = chain(self._in_paths.values(), self._in_queries.values())
        self.shared = _shared(chain.from_iterable(everywhere))
        self._names = {_key(one): name for name, one in self.shared.items()}

    def of_path(self, path: str) -> Json:
        """Return what is said of a path, whichever operation is asked for there."""
        return self._told(self._written(one) for one in self._in_paths[path])

    def of(self, operation: Operation) -> Json:
        """Return what is said of the query and the headers of an operation."""
        in_query = [self._written(one) for one in self._in_queries[operation.id]]
        return self._told([*in_query, *headers_sent(operation)])

    @staticmethod
    def _told(parameters: Iterable[Json]) -> Json:
        found = list(parameters)
        if found:
            return {"parameters": found}
        return {}

    def _written(self, parameter: Json) -> Json:
        name = self._names.get(_key(parameter))
        if name is None:
            return parameter
        return {"$ref": _PARAMETER.format(name=name)}


def _shared(parameters: Iterable[Json]) -> Json:
    """Return by name the parameters that stand in several places.

    Of several that go by one name that of paths has it, or else the commonest; the
    others are numbered.
    """
    found: Json = {}
    counted = Counter(map(_key, parameters)).most_common()
    common = [msgspec.json.decode(key) for key, times in counted if times > 1]
    times: Counter[str] = Counter()
    for parameter in sorted(common, key=lambda one: one["in"] != "path"):
        name = capitals(parameter["name"])
        in_path = parameter["in"] == "path"
        is_of_path = found.get(name, {}).get("in") == "path" and not in_path
        called = f"{name}InQuery" if is_of_path else name
        times[called] += 1
        number = times[called]
        found[called if number == 1 else f"{called}{number}"] = parameter
    return dict(sorted(found.items()))


def _key(parameter: Json) -> bytes:
    return msgspec.json.encode(parameter)


def _of_path(path: str) -> Iterable[Json]:
    for part in path.split("/"):
        if part.startswith("{"):
            name = part.strip("{}")
            if not name.endswith("_id"):
                yield _number_in_path(name)
                continue
            noun = name.removesuffix("_id").replace("_", " ")
            yield {
                "name": name,
                "in": "path",
                "required": True,
                "description": f"The id of the {noun}.",
                "schema": _ID,
            }


def _number_in_path(name: str) -> Json:
    return {
        "name": name,
        "in": "path",
        "required": True,
        "description": f"The number of the {name}.",
        "schema": {"type": "integer", "minimum": 1, "maximum": MOST_NUMBER},
    }


def _of_query(operation: Operation) -> Iterable[Json]:
    if operation.takes.query is None:
        return
    schema = schema_of_query(operation.takes.query, {})
    for name, field in schema["properties"].items():
        settled = dict(field)
        description = settled.pop("description", name)
        yield {
            "name": name,
            "in": "query",
            **({"required": True} if name in schema.get("required", ()) else {}),
            "description": description,
            "schema": settled,
        }
