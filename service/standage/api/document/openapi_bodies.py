"""What the document says of the bodies that are sent."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from standage.api.web.operation import Operation

Json = dict[str, Any]
REF = "#/components/schemas/{name}"
EXAMPLE = "#/components/examples/{name}"
_BODY = "#/components/requestBodies/{name}"


class Bodies:
    """The bodies that the operations take; one that several take alike is shared."""

    def __init__(
        self, operations: Sequence[Operation], examples: Mapping[str, Any]
    ) -> None:
        taking = [one for one in operations if one.takes.media_types]
        self._common_examples = _common_examples(taking, examples)
        self.shared_examples = referred_to(self._common_examples)
        self._own = {
            one.id: self._body(one, examples.get(one.id, {})) for one in taking
        }
        keys = {one.id: _key(self._own[one.id]) for one in taking}
        times = Counter(keys.values())
        self.shared: Json = {}
        for operation in taking:
            if times[keys[operation.id]] > 1:
                self.shared.setdefault(_shared_as(operation), self._own[operation.id])

    def of(self, operation: Operation) -> Json:
        """Return what is said of an operation's body: nothing where it takes none."""
        body = self._own.get(operation.id)
        if body is None:
            return {}
        name = _shared_as(operation)
        if self.shared.get(name) == body:
            return {"requestBody": {"$ref": _BODY.format(name=name)}}
        return {"requestBody": body}

    def _body(self, operation: Operation, examples: Mapping[str, Any]) -> Json:
        if operation.takes.files:
            return _file_body(operation, examples)
        name = name_of_body(operation)
        content: Json = {"schema": {"$ref": REF.format(name=name)}}
        if name in self._common_examples:
            content |= example_by_name(name, self._common_examples)
        elif "request" in examples:
            content["example"] = examples["request"]
        contents = dict.fromkeys(operation.takes.media_types, content)
        return {"required": True, "content": contents}


def name_of_body(operation: Operation) -> str:
    """Return the name of the schema of the JSON that an operation takes."""
    if operation.takes.patch_of is not None:
        return f"{operation.takes.patch_of.__name__}Patch"
    return getattr(operation.takes.body, "__name__", "")


def _shared_as(operation: Operation) -> str:
    """Return the name of an operation's body among those that are shared."""
    if operation.takes.files:
        return "SheetFile"
    return name_of_body(operation)


def _common_examples(
    operations: Sequence[Operation], examples: Mapping[str, Any]
) -> Json:
    """Return one example of each body that stands in several places."""
    places = Counter(
        name_of_body(one) for one in operations for _ in one.takes.media_types
    )
    found: Json = {}
    for operation in operations:
        name, example = name_of_body(operation), examples.get(operation.id, {})
        if name and places[name] > 1 and "request" in example:
            found.setdefault(name, {"value": example["request"]})
    return found


def _key(body: Json) -> bytes:
    return msgspec.json.encode(body)


def example_by_name(name: str, common: Mapping[str, Json]) -> Json:
    """Return an example that stands in several places: a reference to it, or itself
    where it is the shorter of the two.
    """
    reference = {"examples": {name: {"$ref": EXAMPLE.format(name=name)}}}
    written = {"example": common[name]["value"]}
    return min(written, reference, key=lambda one: len(msgspec.json.encode(one)))


def referred_to(common: Mapping[str, Json]) -> Json:
    """Return those of the examples that are shown by reference."""
    return {
        name: example
        for name, example in common.items()
        if "examples" in example_by_name(name, common)
    }


def answer_schema(answer: type) -> Json:
    """Return the schema of an answer: JSON, text such as a drawing, or the bytes of a
    file.
    """
    if answer is bytes:
        return _BYTES
    if answer is str:
        return {"type": "string"}
    return {"$ref": REF.format(name=answer.__name__)}


def _file_body(operation: Operation, examples: Mapping[str, Any]) -> Json:
    """Return the body that is a file: of a text an example is shown, of anything else
    that it is bytes.
    """
    shown = examples.get("request", _NO_TEXT)
    files = {
        media_type: {
            "schema": _BYTES,
            "example": shown if media_type.startswith("text/") else _NO_TEXT,
        }
        for media_type in operation.takes.files
    }
    return {"required": True, "content": files}


_BYTES: Json = {"type": "string", "format": "binary"}
_NO_TEXT = "the bytes of the file"
