"""What the document says of parts that may be sent as one word: a coupling by its type,
a train by its name.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from standage.api.document.openapi_bodies import REF
from standage.shapes.faults import Ruled

Json = dict[str, Any]


def with_words(
    components: Mapping[str, Json], answered: Iterable[str]
) -> dict[str, Json]:
    """Return the schemas in which a part that may be said in one word may also be that
    word.

    Those of answers, and what they lead to, stay as they are: an answer always holds
    the whole part.
    """
    kept = _reached(components, answered)
    words: dict[str, Json] = {}
    for kind in _in_a_word(Ruled):
        if kind.__name__ in components:
            reference = REF.format(name=kind.__name__)
            words[reference] = _word(components, kind)
    told = dict(components)
    for name in sorted(components.keys() - kept):
        told[name] = _worded(components[name], words)
    unions = {
        _either(reference): {"anyOf": [{"$ref": reference}, word]}
        for reference, word in words.items()
    }
    used = _reached(told | unions, told)
    return told | {name: union for name, union in unions.items() if name in used}


def _either(reference: str) -> str:
    """Return the name of what is either the whole of a kind or its word."""
    return f"{reference.rpartition('/')[2]}OrWord"


def _in_a_word(kind: type[Ruled]) -> Iterator[type[Ruled]]:
    if kind.said_alone is not None:
        yield kind
    for one in kind.__subclasses__():
        yield from _in_a_word(one)


def _word(components: Mapping[str, Json], kind: type[Ruled]) -> Json:
    """Return the schema of the word that stands for a whole ``kind``."""
    component = components.get(kind.__name__, {"properties": {}})
    field = component["properties"].get(kind.said_alone, {})
    text = next(
        (
            one
            for one in (field, *field.get("anyOf", []))
            if one.get("type") == "string"
        ),
        {"type": "string"},
    )
    return {**text, "description": f"In a word: the {kind.said_alone} alone."}


def _worded(schema: Any, words: Mapping[str, Json]) -> Any:
    if isinstance(schema, list):
        return [_worded(one, words) for one in schema]
    if not isinstance(schema, dict):
        return schema
    if schema.get("$ref") in words:
        return {**schema, "$ref": REF.format(name=_either(schema["$ref"]))}
    return {name: _worded(value, words) for name, value in schema.items()}


def _reached(components: Mapping[str, Json], names: Iterable[str]) -> set[str]:
    """Return the names of the schemas that ``names`` lead to, these included."""
    found: set[str] = set()
    waiting = list(names)
    while waiting:
        name = waiting.pop()
        if name in components and name not in found:
            found.add(name)
            waiting += _named(components[name])
    return found


def _named(schema: Any) -> Iterator[str]:
    if isinstance(schema, list):
        for one in schema:
            yield from _named(one)
    elif isinstance(schema, dict):
        for key, one in schema.items():
            if key == "$ref":
                yield str(one).rpartition("/")[2]
            else:
                yield from _named(one)
