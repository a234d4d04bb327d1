"""Which operations a short run of schemathesis sends wrong bodies of every sort: each
shape of a body at least once.

A vehicle is described alike wherever one may be sent, and is explored to its last field
at every place: most of the coverage phase is the same wrong figure, refused by the same
rule, at another address. The free phases still send wrong bodies everywhere.
"""

import copy
from collections.abc import Iterator, Mapping
from typing import Any

REFERENCE = "#/components/schemas/"
FEW = 3
"""A body of this many shapes is soon explored."""


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
