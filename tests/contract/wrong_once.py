"""Which operations a short run of schemathesis sends wrong bodies of every sort: each
shape of a body at least once.

A vehicle is described alike wherever one may be sent, and is explored to its last field
at every place: most of the coverage phase is the same wrong figure, refused by the same
rule, at another address. The free phases still send wrong bodies everywhere.
"""

import copy
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any

REFERENCE = "#/components/schemas/"
FEW = 3
"""A body of this many shapes is soon explored."""
MANY = 10
"""A union of more kinds is sent whole at one place of one body."""
NEAR = 2
"""What leads to such a union by no more references is mostly that union."""


def spared(document: Mapping[str, Any]) -> list[str]:
    """Return the ids of the operations whose bodies bring no shape that others do not
    bring, the cheapest kept.
    """
    shapes = {
        operation["operationId"]: frozenset(reached(document, body))
        for operation, body in bodies(document)
    }
    kept = {operation for operation, reaches in shapes.items() if len(reaches) <= FEW}
    shared = {
        shape
        for shape in set().union(*shapes.values())
        if sum(shape in of for of in shapes.values()) > 1
    }
    left = shared.difference(*(shapes[operation] for operation in kept))
    while left:
        best = max(
            sorted(shapes),
            key=lambda operation: (
                len(shapes[operation] & left),
                -len(shapes[operation]),
            ),
        )
        kept.add(best)
        left -= shapes[best]
    return sorted(shapes.keys() - kept)


def with_long_unions_once(
    document: Mapping[str, Any], spared_ids: Collection[str]
) -> Mapping[str, Any]:
    """Return the document with each union of many kinds whole at one place of one body
    alone, the nearest, and by one of its kinds everywhere else.

    A plan leads to its pieces of track, and so do its modules' plans; a piece of every
    kind at every place is most of what the coverage phase sends. A plan within another
    body than that one is sent empty: all of it is explored where it is whole.
    """
    one = copy.deepcopy(dict(document))
    short = _Shortened(one["components"]["schemas"])
    settled: list[dict[str, Any]] = []  # bodies that several operations share
    leading = [told for told in bodies(one) if short.steps_of(told[1]) is not None]
    in_order = sorted(
        leading,
        key=lambda told: (
            told[0]["operationId"] in spared_ids,
            short.steps_of(told[1]) or 0,
        ),
    )
    for _, body in in_order:
        if any(body is other for other in settled):
            continue
        settled.append(body)
        for content in body["content"].values():
            reference = content["schema"].get("$ref", "")
            if short.leads_to_many(reference):
                content["schema"] = {"$ref": short.of(reference)}
    return one


class _Shortened:
    """The schemas of bodies with their unions of many kinds cut down.

    A schema that leads to such a union has up to two more: ``NameOnce`` with the union
    whole where it is nearest, ``NameBriefly`` with one kind of it alone.
    """

    def __init__(self, schemas: dict[str, Any]) -> None:
        self._schemas = schemas
        self._many = {
            name
            for name, schema in schemas.items()
            if len(schema.get("oneOf", ())) > MANY
        }
        self._sent_whole: set[str] = set()

    def steps_of(self, body: Mapping[str, Any]) -> int | None:
        """Return how many references a union of many kinds is away from a body; None
        where it leads to none.
        """
        steps = [
            self._steps(_name(content["schema"].get("$ref", "")))
            for content in body["content"].values()
        ]
        return min((one for one in steps if one is not None), default=None)

    def leads_to_many(self, reference: str) -> bool:
        """Tell whether a schema leads to a union of many kinds."""
        return self._steps(_name(reference)) is not None

    def of(self, reference: str) -> str:
        """Return a reference to a schema of a body in place of ``reference``."""
        name = _name(reference)
        union = self._nearest_union(name)
        if union in self._sent_whole:
            return self._brief(name)
        self._sent_whole.add(union)
        return self._once(name)

    def _nearest_union(self, name: str) -> str:
        while name not in self._many:
            name = self._nearest(self._schemas[name])
        return name

    def _steps(self, name: str) -> int | None:
        """Return how many references a union of many kinds is away; None for none."""
        reached_at = [name]
        seen = {name}
        for steps in range(len(self._schemas)):
            if self._many.intersection(reached_at):
                return steps
            parts = [self._schemas.get(one, {}) for one in reached_at]
            further = {inner for part in parts for inner in named(part)}
            reached_at = sorted(further - seen)
            seen |= further
        return None

    def _brief(self, name: str) -> str:
        called = f"{name}Briefly"
        if called not in self._schemas:
            self._schemas[called] = {}
            schema = self._schemas[name]
            if name in self._many:
                schema = dict(schema["oneOf"][0])
            self._schemas[called] = self._with(schema, self._within)
        return REFERENCE + called

    def _within(self, name: str) -> str:
        """Return what stands for a schema within a body: empty, where it needs nothing
        and consists of what leads to the union.
        """
        schema = self._schemas[name]
        parts = schema.get("allOf", ())
        needs = any("required" in part for part in (schema, *parts))
        if not parts or needs:
            return self._brief(name)
        steps = self._steps(name)
        if steps is None or steps > NEAR:
            return self._brief(name)
        self._schemas[f"{name}Empty"] = {"type": "object", "maxProperties": 0}
        return f"{REFERENCE}{name}Empty"

    def _once(self, name: str) -> str:
        if name in self._many:
            return REFERENCE + name
        called = f"{name}Once"
        if called not in self._schemas:
            self._schemas[called] = {}
            schema = self._schemas[name]
            nearest = self._nearest(schema)
            way = {nearest: self._once}
            self._schemas[called] = self._with(
                schema, lambda one: way.get(one, self._within)(one)
            )
        return REFERENCE + called

    def _nearest(self, schema: Any) -> str:
        leading = [one for one in named(schema) if self._steps(one) is not None]
        return min(leading, key=lambda one: self._steps(one) or 0)

    def _with(self, part: Any, instead: Callable[[str], str]) -> Any:
        """Return a part of a schema with other references to what leads to a union."""
        if isinstance(part, list):
            return [self._with(one, instead) for one in part]
        if not isinstance(part, dict):
            return part
        told = {key: self._with(one, instead) for key, one in part.items()}
        reference = str(part.get("$ref", ""))
        if reference.startswith(REFERENCE) and self.leads_to_many(reference):
            told["$ref"] = instead(_name(reference))
        return told


def _name(reference: str) -> str:
    return reference.removeprefix(REFERENCE)


def with_one_media_type(document: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the document with the first media type alone of each body that may be sent
    as several.
    """
    one = copy.deepcopy(document)
    for _, body in bodies(one):
        body["content"] = dict(list(body["content"].items())[:1])
    return one


def bodies(
    document: Mapping[str, Any],
) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Yield each operation that takes a body, with what the document says of the
    body.
    """
    for path in document["paths"].values():
        for operation in path.values():
            if isinstance(operation, dict) and "requestBody" in operation:
                yield operation, body_of(operation, document)


def body_of(
    operation: Mapping[str, Any], document: Mapping[str, Any]
) -> dict[str, Any]:
    """Return what the document says of an operation's body, there or where it is
    shared.
    """
    body: dict[str, Any] = operation["requestBody"]
    if "$ref" not in body:
        return body
    shared: dict[str, Any] = document["components"]["requestBodies"][
        body["$ref"].rpartition("/")[2]
    ]
    return shared


def reached(document: Mapping[str, Any], part: Any) -> set[str]:
    """Return the names of the shapes that ``part`` of the document leads to.

    A figure or a choice of words that has a name is no shape of its own: the body that
    has it as a field sends it.
    """
    found: set[str] = set()
    waiting = list(named(part))
    while waiting:
        name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += named(document["components"]["schemas"][name])
    schemas = document["components"]["schemas"]
    return {name for name in found if schemas[name].get("type", "object") == "object"}


def named(part: Any) -> Iterator[str]:
    """Yield the names of the shapes that ``part`` refers to itself."""
    if isinstance(part, list):
        for inner in part:
            yield from named(inner)
    elif isinstance(part, dict):
        for key, inner in part.items():
            if key == "$ref" and str(inner).startswith(REFERENCE):
                yield inner.removeprefix(REFERENCE)
            else:
                yield from named(inner)
