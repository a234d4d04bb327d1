"""What need not be said of a field, since its name says it.

A client reads the name first: ``length_mm`` has its unit in it, and "What the train is
called." says of a train's ``name`` what everybody knows. What says anything more stays
as it is written.
"""

import re
from collections.abc import Set as AbstractSet
from typing import Any

Json = dict[str, Any]

_OFF = re.compile(r"^How far off [^,;]*, either way(; (?P<else>.*))?\.$")
_UNITS = {
    "mm": "in mm",
    "deg": "in degrees",
    "percent": "in per cent",
    "g": "in grams",
}
"""How prose has the units that names end in."""
_ONE_SENTENCE = 100
_WORD = re.compile(r"[a-z0-9]+")
_END_OF_WORD = re.compile(r"(es|ed|ing|s|e)$")
_LITTLE = frozenset(
    _WORD.findall(
        "a an are as at be been by called each far for how in is it its many of on one"
        " or that the their there they this to was were what when where which who with"
        " degrees grams mm per cent"
    )
)
"""Words that bring nothing of their own."""


def told_by_its_operation(schema: Json, operations: AbstractSet[str]) -> Json:
    """Return the schema of a whole answer or body without one sentence about it, and
    without what ``operations`` say word for word: who reads of it comes by an
    operation, whose summary and description say that.
    """
    description = schema.get("description", "")
    is_more = len(description) > _ONE_SENTENCE or "``" in description
    if is_more and description not in operations:
        return schema
    return {key: value for key, value in schema.items() if key != "description"}


def said_shortly(schema: Json, *, field: str, owner: str) -> Json:
    """Return what is said of a ``field`` of ``owner`` without what their names say."""
    description = schema.get("description")
    if not isinstance(description, str):
        return schema
    shorter = _without_plus_minus(_without_unit(description, field), field)
    if _words(shorter) <= _words(f"{field} {_apart(owner)}"):
        return {key: value for key, value in schema.items() if key != "description"}
    return {**schema, "description": shorter}


def _without_unit(description: str, field: str) -> str:
    unit = _UNITS.get(field.rpartition("_")[2])
    if unit is None:
        return description
    return re.sub(rf",? {unit}(?=[.;:,]|$)", "", description)


def _without_plus_minus(description: str, field: str) -> str:
    """Return what is said of a ± without what every ± is, which the document says."""
    found = _OFF.match(description)
    if found is None or "plus_minus" not in field:
        return description
    beside = found["else"] or ""
    return f"{beside[:1].upper()}{beside[1:]}." if beside else ""


def _words(text: str) -> set[str]:
    """Return what the words of ``text`` are made of, without the little ones."""
    told = set(_WORD.findall(text.lower())) - _LITTLE
    return {_END_OF_WORD.sub("", word) for word in told}


def _apart(name: str) -> str:
    """Return the words of a type's name: ``TrainFitAnswer``, ``Train Fit Answer``."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name)
