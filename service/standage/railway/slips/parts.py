"""What is looked at, taken apart by the types of its fields: which figures there are and
what they are about, in which fields more of them may lie, and what its parts, in their
order, tell about the whole.

Vehicles and places are things of their own: a path to a figure begins at them. So it
does at whatever else bears a name.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple, get_args

import msgspec
from msgspec import inspect

from standage.railway.roads.places import PlaceFigures
from standage.railway.stock.vehicles import VehicleFigures
from standage.railway.terms.scales import Practice, ScaleName
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


def told_within(figures: msgspec.Struct, sense: Sense) -> Any:
    """Return what a struct that lies alone in a field of ``figures`` has in its field
    of that sense; None where there is none. **Source** derived.
    """
    for way in shape_of(type(figures)).ways:
        within = getattr(figures, way.name)
        if isinstance(within, msgspec.Struct):
            value = told(within, sense)
            if value is not None:
                return value
    return None


def is_any_told(figures: msgspec.Struct, sense: Sense) -> bool:
    """Tell whether any field of that sense in ``figures`` has something in it.
    **Source** derived.
    """
    return any(
        getattr(figures, field.name) is not None
        for field in shape_of(type(figures)).fields
        if field.sense == sense
    )


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


class Part(NamedTuple):
    """A struct within what is looked at: the scale and the name nearest to it, and the
    path to it from there.
    """

    figures: msgspec.Struct
    of: ScaleName | None
    name: str | None
    path: tuple[str, ...] = ()


class Apart:
    """A whole, taken apart.

    Of like vehicles only the first is a part: a long train has many, and hundreds of
    trains many more.
    """

    def __init__(self, whole: msgspec.Struct) -> None:
        self.parts: list[Part] = []
        self.scales: set[ScaleName] = set()
        self.vehicle_scales: set[ScaleName] = set()
        self.practices: set[Practice] = set()
        self.longest_mm: float | None = None
        """The longest vehicle."""
        self._seen: set[tuple[VehicleFigures, ScaleName | None]] = set()
        self._take_in(Part(whole, None, None))

    def _take_in(self, found: Part) -> None:
        """Add a struct, which is found below the scale, the name and the path that
        ``found`` has, and all the parts in it.
        """
        figures = found.figures
        if isinstance(figures, VehicleFigures):
            self._add_vehicle(figures, found.of)
        elif isinstance(figures, PlaceFigures):
            scale = figures.scale or found.of
            self._add(Part(figures, scale, told(figures, "name")))
        else:
            part = _own(found)
            self._add(part)
            self._take_all_in(part)

    def _take_all_in(self, part: Part) -> None:
        shape = shape_of(type(part.figures))
        for way in shape.ways:
            path = part.path
            if not way.is_itself:
                path = (*path, way.sent)
            within = getattr(part.figures, way.name)
            if isinstance(within, tuple):
                self._take_row_in(within, part, path)
            elif isinstance(within, msgspec.Struct):
                below = Part(within, part.of, part.name, path)
                self._take_in(below)

    def _take_row_in(
        self, row: tuple[msgspec.Struct, ...], part: Part, path: tuple[str, ...]
    ) -> None:
        for position, one in enumerate(row):
            if isinstance(one, VehicleFigures):  # most rows are of vehicles
                self._add_vehicle(one, part.of)
                continue
            at = (*path, str(position))
            below = Part(one, part.of, part.name, at)
            self._take_in(below)

    def _add(self, part: Part) -> None:
        if part.of is not None:
            self.scales.add(part.of)
        self.parts.append(part)

    def _add_vehicle(self, vehicle: VehicleFigures, of: ScaleName | None) -> None:
        key = (vehicle, of)
        if key in self._seen:
            return
        self._seen.add(key)
        self.parts.append(Part(vehicle, of, told(vehicle, "name")))
        if vehicle.scale is not None:
            self.vehicle_scales.add(vehicle.scale)
        if vehicle.practice is not None:
            self.practices.add(vehicle.practice)
        self._measure(vehicle.length_mm)

    def _measure(self, length_mm: float | None) -> None:
        if length_mm is None:
            return
        if self.longest_mm is None or length_mm > self.longest_mm:
            self.longest_mm = length_mm


def _own(found: Part) -> Part:
    """Return a struct with its own scale, and its own name, from which paths begin,
    where it has them.
    """
    figures = found.figures
    scale = scale_of(figures) or found.of
    name = told(figures, "name")
    if name is None:
        return found._replace(of=scale)
    return Part(figures, scale, name)
