"""What the document says of the answers of an operation, and of where they lead."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from standage.api.document.openapi_bodies import (
    answer_schema,
    example_by_name,
    referred_to,
)
from standage.api.document.openapi_examples import shown
from standage.api.document.openapi_headers import header, is_conditional_read
from standage.api.document.openapi_problems import RESPONSE, Refusals
from standage.api.web.call import CSV, SVG, XLSX
from standage.api.web.operation import Operation, Reads

Json = dict[str, Any]

_WITHOUT_BODY: Json = {
    "204": {"description": "Done; there is nothing to tell."},
    "304": {
        "description": "It is still the same.",
        "headers": {"ETag": header("ETag")},
    },
}
"""The answers without a body."""
_FORMS = {CSV: "CsvFile", XLSX: "XlsxFile", SVG: "SvgFile"}
"""The names of the answers that are files."""


class Answers:
    """The answers of all operations; each knows which operations there are to
    lead to.
    """

    def __init__(
        self, operations: Sequence[Operation], examples: Mapping[str, Any]
    ) -> None:
        self._readers = {one.path: one for one in operations if one.method == "GET"}
        self._played = {one.id: _played(one, examples) for one in operations}
        self._common_examples = self._examples_of_several(operations)
        self.shared_examples = referred_to(self._common_examples)
        self._refusals = Refusals(operations)
        self._successes = {one.id: self._success(one) for one in operations}
        successes = self._shared_successes(operations)
        self.shared = _WITHOUT_BODY | successes | self._refusals.shared

    def of(self, operation: Operation) -> Json:
        """Return every answer of an operation, by status."""
        name = _shared_as(operation)
        success = self._successes[operation.id]
        if name is not None and self.shared.get(name) == success:
            success = _shared(name)
        found = {str(operation.answers.status): success}
        if operation.answers.may_create:
            made = self._success(operation)
            headers = made.get("headers", {}) | {"Location": header("Location")}
            found["201"] = made | {"description": "It was made.", "headers": headers}
        if is_conditional_read(operation):
            found["304"] = _shared("304")
        return dict(sorted((found | self._refusals.of(operation)).items()))

    def _success(self, operation: Operation) -> Json:
        headers = _headers(operation)
        if operation.answers.shape is None:
            return _shared("204")
        content: Json = {"schema": answer_schema(operation.answers.shape)}
        content |= self._example(operation)
        entry: Json = {"description": "OK"}
        if headers:
            entry["headers"] = {name: header(name) for name in headers}
        entry["content"] = {operation.answers.media_type: content}
        links = self._links(operation)
        if not links:
            return entry
        return {**entry, "links": links}

    def _example(self, operation: Operation) -> Json:
        name = _name_of(operation)
        if name in self._common_examples:
            return example_by_name(str(name), self._common_examples)
        example = self._played[operation.id]
        if example is None:
            return {}
        return {"example": example}

    def _examples_of_several(self, operations: Sequence[Operation]) -> Json:
        """Return one example for each sort of answer that several operations give."""
        times = Counter(_name_of(one) for one in operations)
        found: Json = {}
        for operation in operations:
            name, example = _name_of(operation), self._played[operation.id]
            is_shared = name is not None and times[name] > 1
            if is_shared and example is not None and name not in found:
                found[str(name)] = {"value": example}
        return dict(sorted(found.items()))

    def _shared_successes(self, operations: Sequence[Operation]) -> Json:
        """Return the commonest of each sort of answer that several operations give."""
        found: Json = {}
        for key, times in Counter(
            (_shared_as(one), msgspec.json.encode(self._successes[one.id]))
            for one in operations
        ).most_common():
            name, success = key
            if name is not None and times > 1:
                found.setdefault(name, msgspec.json.decode(success))
        return found

    def _links(self, operation: Operation) -> Json:
        """Return the way from what was made to the operation that reads it."""
        if not operation.answers.creates:
            return {}
        beneath = f"{operation.path}/{{"
        for path, reader in self._readers.items():
            name = path.removeprefix(beneath).removesuffix("}")
            if path.startswith(beneath) and "/" not in name:
                return {"made": _link(reader, operation, name)}
        return {}


def _played(operation: Operation, examples: Mapping[str, Any]) -> Any:
    answers = examples.get(operation.id, {}).get("answers", {})
    return shown(answers.get(str(operation.answers.status)))


def _name_of(operation: Operation) -> str | None:
    """Return the name of a sort of answer; None of what is no JSON."""
    if operation.answers.shape in {None, bytes, str}:
        return None
    return getattr(operation.answers.shape, "__name__", None)


def _shared_as(operation: Operation) -> str | None:
    """Return the name of an answer among those that are shared: files have that of
    their form.
    """
    return _name_of(operation) or _FORMS.get(operation.answers.media_type)


def _headers(operation: Operation) -> list[str]:
    """Return the headers of a success that not every answer has."""
    reads = isinstance(operation.act, Reads)
    names = []
    if operation.answers.tagged or (reads and operation.method == "GET"):
        names.append("ETag")
    if operation.id.startswith("list"):
        names.append("Link")
    if operation.answers.creates:
        names.append("Location")
    return sorted(names)


def _link(reader: Operation, maker: Operation, name: str) -> Json:
    named = [part.strip("{}") for part in maker.path.split("/") if part.startswith("{")]
    parameters = {one: f"$request.path.{one}" for one in named}
    field = "id" if name.endswith("_id") else "number"
    parameters[name] = f"$response.body#/{field}"
    return {"operationId": reader.id, "parameters": parameters}


def _shared(name: str) -> Json:
    return {"$ref": RESPONSE.format(name=name)}
