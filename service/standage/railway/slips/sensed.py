"""What a struct tells by the types of its fields: which figures there are and what they
are about, and in which fields more of them may lie.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple, get_args

import msgspec
from msgspec import inspect

from standage.railway.terms.scales import ScaleName
from standage.railway.terms.senses import Sense, said

_SCALES = frozenset(get_args(ScaleName))
_ASIDE: Sense = "aside"
_ITSELF: Sense = "itself"
_WORDS: frozenset[Sense] = frozenset({"name", "notes", "nominal_length"})
"""Words beside figures: alone they are nothing to look at."""


class Field(NamedTuple):
    """A field that has a sense: its name here, its name as it is sent, and the
    sense.
    """

    name: str
    sent: str
    sense: Sense


class Way(NamedTuple):
    """A field in which more figures may lie, alone or in a row."""

    name: str
    sent: str
    is_itself: bool
    """Whether what lies in it is what was asked about, so that no path names it."""


class Shape(NamedTuple):
    """What the types of a struct's fields say."""

    fields: tuple[Field, ...]
    by_sense: Mapping[Sense, Field]
    ways: tuple[Way, ...]
    rows_of_tracks: tuple[Way, ...]
    """Those of the ways in which tracks lie side by side."""
    scale: str | None
    """The field that holds its scale."""


@cache
def shape_of(kind: type[msgspec.Struct]) -> Shape:
    """Return what the types of the fields of ``kind`` say: a field without a sense is
    in it only where figures may lie deeper.

    **Source** derived: ``msgspec.Meta(extra=…)`` of each type.
    """
    fields: list[Field] = []
    ways: list[Way] = []
    rows: list[Way] = []
    scale = None
    for field in msgspec.structs.fields(kind):
        told = inspect.type_info(field.type)
        sense = _sense_of(told)
        if _is_scale(told):
            scale = field.name
        elif _leads_on(told, frozenset({kind})):
            way = Way(field.name, field.encode_name, sense == _ITSELF)
            if sense != _ASIDE:
                ways.append(way)
            if any(map(_is_track, _structs_in(told))):
                rows.append(way)
        elif sense is not None:
            fields.append(Field(field.name, field.encode_name, sense))
    by_sense = {field.sense: field for field in fields}
    return Shape(tuple(fields), by_sense, tuple(ways), tuple(rows), scale)


def told(figures: msgspec.Struct, sense: Sense) -> Any:
    """Return what ``figures`` has in the field of that sense; None where it has no such
    field, or nothing in it. **Source** derived.
    """
    by_sense = shape_of(type(figures)).by_sense
    field = by_sense.get(sense)
    if field is None:
        return None
    return getattr(figures, field.name)


def field_of(figures: msgspec.Struct, sense: Sense) -> str:
    """Return what the field of that sense is called as it is sent; "" where there is
    none. **Source** derived.
    """
    by_sense = shape_of(type(figures)).by_sense
    field = by_sense.get(sense)
    if field is None:
        return ""
    return field.sent


def scale_of(figures: msgspec.Struct) -> ScaleName | None:
    """Return the scale that ``figures`` names; None where it names none. **Source**
    derived.
    """
    field = shape_of(type(figures)).scale
    named: ScaleName | None = None
    if field is not None:
        named = getattr(figures, field)
    return named


def scale_field(figures: msgspec.Struct) -> str:
    """Return what the field that holds the scale is called; "" where there is none.
    **Source** derived.
    """
    shape = shape_of(type(figures))
    return shape.scale or ""


def _sense_of(told: inspect.Type) -> Sense | None:
    """Return the sense of a type: the outermost counts."""
    if isinstance(told, inspect.Metadata):
        outermost = said(told.extra)
        return outermost or _sense_of(told.type)
    if isinstance(told, inspect.UnionType):
        senses = map(_sense_of, told.types)
        return next(filter(None, senses), None)
    return None


def _is_scale(told: inspect.Type) -> bool:
    if isinstance(told, inspect.Metadata):
        return _is_scale(told.type)
    if isinstance(told, inspect.UnionType):
        return any(map(_is_scale, told.types))
    if isinstance(told, inspect.LiteralType):
        values = set(told.values)
        return values == _SCALES
    return False


def _leads_on(told: inspect.Type, above: frozenset[type]) -> bool:
    """Tell whether something of a sense, or a scale, may lie within that type."""
    kinds = _structs_in(told)
    return any(_tells(kind, above) for kind in kinds)


def _tells(kind: type, above: frozenset[type]) -> bool:
    if kind is msgspec.Struct:
        return True  # any struct may be there
    if kind in above:
        return False  # asked already, on the way down
    for field in msgspec.structs.fields(kind):
        told = inspect.type_info(field.type)
        sense = _sense_of(told)
        if _is_scale(told) or (sense is not None and sense not in _WORDS):
            return True
        if _leads_on(told, above | {kind}):
            return True
    return False


def _is_track(kind: type) -> bool:
    """Tell whether it says where it lies beside its neighbours."""
    if kind is msgspec.Struct:
        return False
    senses = (
        _sense_of(inspect.type_info(field.type))
        for field in msgspec.structs.fields(kind)
    )
    return "track_offset" in senses


def _structs_in(told: inspect.Type) -> Iterator[type]:
    """Yield the types of struct that a value of that type may be, or hold in a row."""
    if isinstance(told, inspect.StructType):
        yield told.cls
    elif isinstance(told, inspect.Metadata):
        yield from _structs_in(told.type)
    elif isinstance(told, inspect.UnionType):
        for one in told.types:
            yield from _structs_in(one)
    elif isinstance(told, inspect.VarTupleType):
        yield from _structs_in(told.item_type)
    elif isinstance(told, inspect.TupleType):
        for one in told.item_types:
            yield from _structs_in(one)
