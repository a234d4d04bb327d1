"""The likely slips in all the figures that an answer rests on, or that a record holds, each named once.

Vehicles and places are looked at whole. Any other figure is known by the name of its field, wherever it stands: what is
called ``spacing_mm`` lies between two centre lines whatever the question.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

import msgspec

from standage.railway.roads.places import PlaceFigures
from standage.railway.slips.slip import Sense, Slip, unit_slip
from standage.railway.slips.track import (
    HEADROOM,
    ROAD,
    called_slips,
    gradient_slips,
    place_slips,
    radius_slips,
    spacing_slips,
)
from standage.railway.slips.vehicle import ANY_LENGTH, vehicle_slips
from standage.railway.slips.wire import wire_slips
from standage.railway.stock.vehicles import VehicleFigures
from standage.railway.terms.scales import Scale, ScaleName, scale

MOST_SLIPS = 20
_PASSED_OVER = frozenset({"types", "guesses", "warnings", "other_places", "then", "positions", "wagons"})
"""What a case holds besides the figures that were said: the club's couplings, guesses, roads not asked about."""
_WRAPPERS = frozenset({"puzzle", "wish", "yard", "curve", "body", "module", "layout"})
"""Fields that hold a part of what was asked; a figure's path leaves them out."""
_TRAIN = Sense(what="the length of a train", least_m=3.5, usual_m=100.0, most_m=1500.0)
_LENGTHS: Mapping[str, Sense] = {
    "usable_length_mm": ROAD,
    "headshunt_usable_length_mm": ROAD,
    "room_mm": ROAD,
    "run_mm": ROAD,
    "train_length_mm": _TRAIN,
    "measured_length_mm": _TRAIN,
    "length_mm": _TRAIN,
    "engine_length_mm": ANY_LENGTH,
    "longest_vehicle_mm": ANY_LENGTH,
    "vehicle_body_length_mm": ANY_LENGTH,
    "headroom_needed_mm": HEADROOM,
}
_RADII = frozenset({"radius_mm", "reverse_radius_mm", "inner_radius_mm", "minimum_radius_mm"})


class _Part(msgspec.Struct, frozen=True, kw_only=True):
    """A struct within what is looked at: the scale and the name nearest to it, and the path to it from there."""

    figures: Any
    of: ScaleName | None
    name: str | None
    path: tuple[str, ...]


class _Around(msgspec.Struct, frozen=True, kw_only=True):
    """What the whole tells about each figure in it."""

    of: ScaleName | None
    longest_mm: float | None


def likely_slips(whole: msgspec.Struct) -> tuple[Slip, ...]:
    """Return the likely slips in every figure within ``whole``, twenty at most.

    What names no scale is taken to be of the nearest one around it, then of the only one that roads name, then of the
    only one that vehicles name. A radius is held against the longest vehicle there is.
    """
    parts = list(_parts(whole, of=None, name=None, path=()))
    vehicles = [one.figures for one in parts if isinstance(one.figures, VehicleFigures)]
    around = _Around(
        of=_only(one.of for one in parts if not isinstance(one.figures, VehicleFigures))
        or _only(vehicle.scale for vehicle in vehicles),
        longest_mm=max((one.length_mm for one in vehicles if one.length_mm is not None), default=None),
    )
    found: dict[Slip, None] = {}
    for part in _each_vehicle_once(parts):
        found |= dict.fromkeys(_slips(part, part.of or around.of, around))
        if len(found) >= MOST_SLIPS:
            break
    return tuple(found)[:MOST_SLIPS]


def _each_vehicle_once(parts: Iterable[_Part]) -> Iterator[_Part]:
    """Yield the parts, of like vehicles only the first: a long train has many, and hundreds of trains many more."""
    seen = set[tuple[VehicleFigures, ScaleName | None]]()
    for part in parts:
        if isinstance(part.figures, VehicleFigures):
            key = (part.figures, part.of)
            if key in seen:
                continue
            seen.add(key)
        yield part


def _parts(value: object, *, of: ScaleName | None, name: str | None, path: tuple[str, ...]) -> Iterator[_Part]:
    if isinstance(value, VehicleFigures | PlaceFigures):
        own = value.scale if isinstance(value, PlaceFigures) else None
        yield _Part(figures=value, of=own or of, name=getattr(value, "name", None), path=())
    elif isinstance(value, msgspec.Struct):
        of = getattr(value, "scale", None) or of
        named = getattr(value, "name", None)
        name, path = (name, path) if named is None else (named, ())
        yield _Part(figures=value, of=of, name=name, path=path)
        for field, encoded in zip(value.__struct_fields__, value.__struct_encode_fields__, strict=True):
            if field not in _PASSED_OVER:
                below = path if field in _WRAPPERS else (*path, encoded)
                yield from _parts(getattr(value, field), of=of, name=name, path=below)
    elif isinstance(value, tuple):
        for position, one in enumerate(value):
            yield from _parts(one, of=of, name=name, path=(*path, str(position)))


def _only(scales: Iterable[ScaleName | None]) -> ScaleName | None:
    named = {one for one in scales if one is not None}
    return named.pop() if len(named) == 1 else None


def _slips(part: _Part, of: ScaleName | None, around: _Around) -> Iterable[Slip]:
    figures = part.figures
    if isinstance(figures, VehicleFigures):
        return vehicle_slips(figures, name=part.name, of=of)
    if isinstance(figures, PlaceFigures):
        return place_slips(figures, name=part.name, of=of)
    return _slips_by_field(part, of, around)


def _slips_by_field(part: _Part, of: ScaleName | None, around: _Around) -> Iterator[Slip]:
    for slip in _by_field(part, of, around):
        field = "/".join((*part.path, slip.field))
        yield msgspec.structs.replace(slip, field=field, place=part.name)


def _by_field(part: _Part, of: ScaleName | None, around: _Around) -> Iterator[Slip]:
    model = None if of is None else scale(of)
    for field in part.figures.__struct_fields__:
        value = getattr(part.figures, field)
        if isinstance(value, float | int) and not isinstance(value, bool):
            yield from _figure(value, field, model=model, longest_mm=around.longest_mm)
    yield from _called(part.figures)
    yield from _between_tracks(getattr(part.figures, "tracks", ()), model=model)


def _figure(value: float, field: str, *, model: Scale | None, longest_mm: float | None) -> Iterator[Slip]:
    sense = _LENGTHS.get(field)
    if sense is not None:
        slip = unit_slip(value, sense, field=field, scale=model)
        yield from () if slip is None else (slip,)
    elif field in _RADII:
        yield from radius_slips(value, field=field, of=model, longest_mm=longest_mm)
    elif field in _OTHERS:
        yield from _OTHERS[field](value, field, model)


_OTHERS: Mapping[str, Callable[[float, str, Scale | None], Iterator[Slip]]] = {
    "spacing_mm": lambda value, field, model: spacing_slips(value, field=field, of=model),
    "gradient_percent": lambda value, field, _: gradient_slips(value, field=field),
    "limit_percent": lambda value, field, _: gradient_slips(value, field=field),
    "area_mm2": lambda value, field, _: wire_slips(value, field=field),
    "wire_area_mm2": lambda value, field, _: wire_slips(value, field=field),
}


def _called(figures: Any) -> Iterator[Slip]:
    """Yield a slip where what a road is called is another length than it has."""
    name, length_mm = getattr(figures, "name", None), getattr(figures, "usable_length_mm", None)
    if name is not None and length_mm is not None:
        yield from called_slips(name, length_mm=length_mm, field="usable_length_mm")


def _between_tracks(tracks: Sequence[Any] | None, *, model: Scale | None) -> Iterator[Slip]:
    """Yield a slip where neighbouring tracks lie as far apart as gaps are, not centre lines."""
    placed = sorted((one.offset_mm, number) for number, one in enumerate(tracks or ()) if hasattr(one, "offset_mm"))
    for (first_mm, _), (second_mm, number) in pairwise(placed):
        yield from spacing_slips(second_mm - first_mm, field=f"tracks/{number}/offset_mm", of=model)
