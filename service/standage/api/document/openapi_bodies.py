"""What the document says of the bodies that are sent."""

from collections.abc import Mapping
from typing import Any

from standage.api.web.operation import Operation

Json = dict[str, Any]
REF = "#/components/schemas/{name}"


def request_body(operation: Operation, examples: Mapping[str, Any]) -> Json:
    """Return what an operation takes: JSON, or a file."""
    if operation.takes.files:
        return _file_body(operation, examples)
    kind = operation.takes.patch_of or operation.takes.body
    name = (
        f"{kind.__name__}Patch"
        if operation.takes.patch_of is not None and kind is not None
        else getattr(kind, "__name__", "")
    )
    content: Json = {"schema": {"$ref": REF.format(name=name)}}
    if "request" in examples:
        content["example"] = examples["request"]
    return {
        "required": True,
        "content": dict.fromkeys(operation.takes.media_types, content),
    }


def answer_schema(answer: type) -> Json:
    """Return the schema of an answer: JSON, text such as a drawing, or the bytes of a
    file.
    """
    if answer is bytes:
        return _BYTES
    return (
        {"type": "string"}
        if answer is str
        else {"$ref": REF.format(name=answer.__name__)}
    )


def _file_body(operation: Operation, examples: Mapping[str, Any]) -> Json:
    """Return the body that is a file: of a text an example is shown, of anything else
    that it is bytes.
    """
    schema = _BYTES | {"maxLength": operation.takes.most_bytes}
    shown = examples.get("request", _NO_TEXT)
    files = {
        media_type: {
            "schema": schema,
            "example": shown if media_type.startswith("text/") else _NO_TEXT,
        }
        for media_type in operation.takes.files
    }
    return {"required": True, "content": files}


_BYTES: Json = {"type": "string", "format": "binary"}
_NO_TEXT = "the bytes of the file"
