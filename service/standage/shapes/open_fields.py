"""Which fields of a struct may hold more than a number or a choice, so that only those
need be looked into.
"""

from functools import cache

import msgspec
from msgspec import inspect

_CLOSED = (
    inspect.NoneType,
    inspect.BoolType,
    inspect.IntType,
    inspect.FloatType,
    inspect.LiteralType,
    inspect.DateTimeType,
)


@cache
def open_fields(kind: type[msgspec.Struct]) -> tuple[str, ...]:
    """Return the names of the fields of ``kind`` that may hold text or another struct,
    alone, in a sequence or by a name.
    """
    return tuple(
        field.name
        for field in msgspec.structs.fields(kind)
        if not _closed(inspect.type_info(field.type))
    )


def _closed(kind: inspect.Type) -> bool:
    if isinstance(kind, inspect.Metadata):
        return _closed(kind.type)
    if isinstance(kind, inspect.UnionType):
        return all(map(_closed, kind.types))
    if isinstance(kind, inspect.DictType):
        # What is kept of any sort has no rules of its own.
        return isinstance(kind.value_type, inspect.AnyType)
    return isinstance(kind, _CLOSED)
