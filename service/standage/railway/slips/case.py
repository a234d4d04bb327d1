"""The likely slips in all the figures that an answer rests on, or that a record holds,
each named once.

Vehicles and places are looked at whole. Any other figure is known by the name of its
field, wherever it stands: what is called ``spacing_mm`` lies between two centre lines
whatever the question.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from functools import cache
from itertools import islice, pairwise
from typing import Any, NamedTuple, TypeVar

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
from standage.railway.slips.wire import which_wire_slips, wire_slips
from standage.railway.slips.words import place_words
from standage.railway.stock.vehicles import VehicleFigures
from standage.railway.terms.reasons import Assumed
from standage.railway.terms.scales import Practice, Scale, ScaleName, scale
from standage.shapes.open_fields import open_fields

N = TypeVar("N", bound=str)

MOST_SLIPS = 20
_PASSED_OVER = frozenset(
    {"types", "guesses", "warnings", "other_places", "then", "positions", "wagons"}
)
"""What a case holds besides the figures that were said: the club's couplings, guesses,
roads not asked about.
"""
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
_RADII = frozenset(
    {"radius_mm", "reverse_radius_mm", "inner_radius_mm", "minimum_radius_mm"}
)


_ABOUT_WIRE = re.compile(r"wir(?:e|ing)|cable|flex|bus\b|copper", re.IGNORECASE)
"""Notes speak of much else that is so many millimetres."""


class _Part(NamedTuple):
    """A struct within what is looked at: the scale and the name nearest to it, and the
    path to it from there.
    """

    figures: Any
    of: ScaleName | None
    name: str | None
    path: tuple[str, ...] = ()


class _Around(msgspec.Struct, frozen=True, kw_only=True):
    """What the whole tells about each figure in it."""

    of: ScaleName | None
    longest_mm: float | None


class Remarks(NamedTuple):
    """What there is to say of the figures and the words within a whole."""

    slips: tuple[Slip, ...]
    words: tuple[Assumed, ...]
    """How words are taken that mean another thing across the ocean."""


def likely_slips(whole: msgspec.Struct) -> tuple[Slip, ...]:
    """Return the likely slips in every figure within ``whole``, twenty at most."""
    return remarks_on(whole).slips


def remarks_on(whole: msgspec.Struct) -> Remarks:
    """Return the likely slips within ``whole``, and how its words are taken, twenty of
    each at most.

    What names no scale is taken to be of the nearest one around it, then of the only
    one that roads name, then of the only one that vehicles name. A radius is held
    against the longest vehicle there is.
    """
    apart = _Apart()
    apart.take(whole, of=None, name=None, path=())
    around = _Around(
        of=_only(apart.scales) or _only(apart.vehicle_scales),
        longest_mm=apart.longest_mm,
    )
    found: dict[Slip, None] = {}
    for part in apart.parts:
        for slip in _slips(part, part.of or around.of, around):
            found[slip] = None
        if len(found) >= MOST_SLIPS:
            break
    words = (
        word
        for part in apart.parts
        for word in _words(part, part.of or around.of, apart.practices)
    )
    return Remarks(
        tuple(found)[:MOST_SLIPS], tuple(islice(dict.fromkeys(words), MOST_SLIPS))
    )


def _words(
    part: _Part, of: ScaleName | None, practices: AbstractSet[Practice]
) -> Iterable[Assumed]:
    if not isinstance(part.figures, PlaceFigures):
        return ()
    # H0 alone is continental; stock that is said to be American is so in any scale.
    practice = None if of is None else scale(of).practice
    is_american = "american" in (practice, _only(practices))
    return place_words(part.figures, name=part.name) if is_american else ()


class _Apart:
    """What is looked at, taken apart: its parts in their order, and what they tell
    about the whole.

    Of like vehicles only the first is a part: a long train has many, and hundreds of
    trains many more.
    """

    def __init__(self) -> None:
        self.parts: list[_Part] = []
        self.scales: set[ScaleName] = set()
        self.vehicle_scales: set[ScaleName] = set()
        self.practices: set[Practice] = set()
        self.longest_mm: float | None = None
        self._seen: set[tuple[VehicleFigures, ScaleName | None]] = set()

    def take(
        self,
        value: object,
        *,
        of: ScaleName | None,
        name: str | None,
        path: tuple[str, ...],
    ) -> None:
        """Add ``value`` and all the parts in it."""
        if isinstance(value, VehicleFigures):
            self._take_vehicle(value, of)
        elif isinstance(value, PlaceFigures):
            self._add(_Part(value, value.scale or of, getattr(value, "name", None)))
        elif isinstance(value, msgspec.Struct):
            of = getattr(value, "scale", None) or of
            named = getattr(value, "name", None)
            name, path = (name, path) if named is None else (named, ())
            self._add(_Part(value, of, name, path))
            for field, encoded in _ways_in(type(value)):
                below = path if field in _WRAPPERS else (*path, encoded)
                self.take(getattr(value, field), of=of, name=name, path=below)
        elif isinstance(value, tuple):
            for position, one in enumerate(value):
                if isinstance(one, VehicleFigures):
                    self._take_vehicle(one, of)
                else:
                    self.take(one, of=of, name=name, path=(*path, str(position)))

    def _add(self, part: _Part) -> None:
        if part.of is not None:
            self.scales.add(part.of)
        self.parts.append(part)

    def _take_vehicle(self, vehicle: VehicleFigures, of: ScaleName | None) -> None:
        key = (vehicle, of)
        if key in self._seen:
            return
        self._seen.add(key)
        self.parts.append(_Part(vehicle, of, getattr(vehicle, "name", None)))
        if vehicle.scale is not None:
            self.vehicle_scales.add(vehicle.scale)
        if vehicle.practice is not None:
            self.practices.add(vehicle.practice)
        length_mm = vehicle.length_mm
        if length_mm is not None and (
            self.longest_mm is None or length_mm > self.longest_mm
        ):
            self.longest_mm = length_mm


@cache
def _ways_in(kind: type[msgspec.Struct]) -> tuple[tuple[str, str], ...]:
    """Return the fields of ``kind`` in which figures may lie deeper, each with what it
    is called in a path.
    """
    encoded = dict(
        zip(kind.__struct_fields__, kind.__struct_encode_fields__, strict=True)
    )
    return tuple(
        (field, encoded[field])
        for field in open_fields(kind)
        if field not in _PASSED_OVER
    )


def _only(names: AbstractSet[N]) -> N | None:
    return next(iter(names)) if len(names) == 1 else None


def _slips(part: _Part, of: ScaleName | None, around: _Around) -> Iterable[Slip]:
    figures = part.figures
    if isinstance(figures, VehicleFigures):
        return vehicle_slips(figures, name=part.name, of=of)
    if isinstance(figures, PlaceFigures):
        return place_slips(figures, name=part.name, of=of)
    return _slips_by_field(part, of, around)


def _slips_by_field(
    part: _Part, of: ScaleName | None, around: _Around
) -> Iterator[Slip]:
    for slip in _by_field(part, of, around):
        field = "/".join((*part.path, slip.field))
        yield msgspec.structs.replace(slip, field=field, place=part.name)


def _by_field(part: _Part, of: ScaleName | None, around: _Around) -> Iterator[Slip]:
    model = None if of is None else scale(of)
    kind: Any = type(part.figures)
    for field in _judged(kind):
        value = getattr(part.figures, field)
        if isinstance(value, float | int) and not isinstance(value, bool):
            yield from _figure(value, field, model=model, longest_mm=around.longest_mm)
    yield from _called(part.figures)
    yield from _wired(part.figures)
    yield from _between_tracks(getattr(part.figures, "tracks", ()), model=model)


@cache
def _judged(kind: type[msgspec.Struct]) -> tuple[str, ...]:
    """Return the fields of ``kind`` that are known by their names."""
    return tuple(
        field
        for field in kind.__struct_fields__
        if field in _LENGTHS or field in _RADII or field in _OTHERS
    )


def _figure(
    value: float, field: str, *, model: Scale | None, longest_mm: float | None
) -> Iterator[Slip]:
    sense = _LENGTHS.get(field)
    if sense is not None:
        slip = unit_slip(value, sense, field=field, scale=model)
        yield from () if slip is None else (slip,)
    elif field in _RADII:
        yield from radius_slips(value, field=field, of=model, longest_mm=longest_mm)
    elif field in _OTHERS:
        yield from _OTHERS[field](value, field, model)


_OTHERS: Mapping[str, Callable[[float, str, Scale | None], Iterator[Slip]]] = {
    "spacing_mm": lambda value, field, model: spacing_slips(
        value, field=field, of=model
    ),
    "gradient_percent": lambda value, field, _: gradient_slips(value, field=field),
    "limit_percent": lambda value, field, _: gradient_slips(value, field=field),
    "area_mm2": lambda value, field, _: wire_slips(value, field=field),
}


def _called(figures: Any) -> Iterator[Slip]:
    """Yield a slip where what a road is called is another length than it has."""
    name, length_mm = (
        getattr(figures, "name", None),
        getattr(figures, "usable_length_mm", None),
    )
    if name is not None and length_mm is not None:
        yield from called_slips(name, length_mm=length_mm, field="usable_length_mm")


def _wired(figures: Any) -> Iterator[Slip]:
    """Yield the slips in a module's wire: its copper, by what it or the module's notes
    call it, and that name alone.
    """
    area_mm2, wire = (
        getattr(figures, "wire_area_mm2", None),
        getattr(figures, "wire", None),
    )
    notes = getattr(figures, "notes", None) or ""
    called = f"{wire or ''} {notes if _ABOUT_WIRE.search(notes) else ''}"
    if area_mm2 is not None:
        yield from wire_slips(area_mm2, called=called)
    elif wire is not None:
        yield from which_wire_slips(wire)


def _between_tracks(
    tracks: Sequence[Any] | None, *, model: Scale | None
) -> Iterator[Slip]:
    """Yield a slip where neighbouring tracks lie as far apart as gaps are, not centre
    lines.
    """
    placed = sorted(
        (one.offset_mm, number)
        for number, one in enumerate(tracks or ())
        if hasattr(one, "offset_mm")
    )
    for (first_mm, _), (second_mm, number) in pairwise(placed):
        yield from spacing_slips(
            second_mm - first_mm, field=f"tracks/{number}/offset_mm", of=model
        )
