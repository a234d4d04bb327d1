"""A plan as the document that a builder would write: nothing that holds anyway."""

from collections.abc import Mapping
from typing import Any

import msgspec


def document(part: Any) -> Any:
    """Return a plan, or a part of one, without what it says only by default."""
    if isinstance(part, msgspec.Struct):
        tag = part.__struct_config__.tag
        kind = {} if tag is None else {str(part.__struct_config__.tag_field): tag}
        return kind | _said(part)
    if isinstance(part, Mapping):
        return {name: document(value) for name, value in part.items()}
    if isinstance(part, tuple | list):
        return [document(one) for one in part]
    return part


def _said(part: msgspec.Struct) -> dict[str, Any]:
    said = {}
    for field in msgspec.structs.fields(type(part)):
        value = getattr(part, field.name)
        if field.required or value not in (field.default, (), {}, None):
            said[field.name] = document(value)
    return said
