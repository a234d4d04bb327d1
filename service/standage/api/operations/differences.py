"""What differs between two values made of JSON's own types, field by field."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Any

import msgspec

from standage.railway.terms.figures import says
from standage.shapes.faults import escaped


class FieldChange(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One field that was changed: what stood there before, and what stands there
    after.
    """

    pointer: Annotated[
        str,
        says("Which field (RFC 6901), as in /length_mm; empty for the whole record."),
    ]
    old: Annotated[Any, says("What stood there before; absent where nothing did.")] = (
        None
    )
    new: Annotated[Any, says("What stands there after; absent where nothing does.")] = (
        None
    )


def differences(old: Any, new: Any, pointer: str = "") -> Iterator[FieldChange]:
    """Yield every field that differs, in the order of the fields.

    What is an object on both sides is looked into, and so is a list that stayed as long
    as it was; a list that became longer or shorter is told as a whole.

    >>> [one.pointer for one in differences({"a": 1, "b": [1, 2]}, {"a": 1, "b": [1, 3], "c/d": 0})]
    ['/b/1', '/c~1d']
    """
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        for name in [*old, *(name for name in new if name not in old)]:
            yield from differences(
                old.get(name), new.get(name), f"{pointer}/{escaped(name)}"
            )
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for position, (before, after) in enumerate(zip(old, new, strict=True)):
            yield from differences(before, after, f"{pointer}/{position}")
    elif old != new:
        yield FieldChange(
            pointer=pointer,
            old=old,
            new=new,
        )
