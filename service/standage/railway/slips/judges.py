"""What is looked for in a figure, by its sense."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import msgspec
from msgspec.structs import replace

from standage.railway.slips.bounds import BOUNDS, body_bounds, vehicle_bounds
from standage.railway.slips.sensed import Way, field_of, shape_of, told
from standage.railway.slips.slip import Bounds, Slip, unit_slip
from standage.railway.slips.track import (
    called_slips,
    gradient_slips,
    radius_slips,
    spacing_slips,
)
from standage.railway.slips.wire import which_wire_slips, wire_slips
from standage.railway.terms.scales import Scale
from standage.railway.terms.senses import Sense

_FOOT_M = 0.3048
_ABOUT_WIRE = re.compile(r"wir(?:e|ing)|cable|flex|bus\b|copper", re.IGNORECASE)
"""Notes speak of much else that is so many millimetres."""


class Figure(NamedTuple):
    """A figure with all that it is judged by; what a wire is called counts as one."""

    value: Any
    sense: Sense
    beside: msgspec.Struct
    """The struct it stands in."""
    model: Scale | None
    longest_mm: float | None
    """The longest vehicle that a radius is held against."""


def slips_in(
    figures: msgspec.Struct, *, model: Scale | None, longest_mm: float | None = None
) -> Iterator[Slip]:
    """Yield the likely slips in a struct's own figures, one after the other by their
    senses; ``field`` is a path from the struct.

    ``longest_mm`` is the longest vehicle, in mm, that its radii are held against.
    **Source** that of each judge.
    """
    shape = shape_of(type(figures))
    for field in shape.fields:
        judge = _JUDGES.get(field.sense)
        value = getattr(figures, field.name)
        if judge is None or value is None:
            continue
        figure = Figure(value, field.sense, figures, model, longest_mm)
        for slip in judge(figure):
            yield replace(slip, field=field.sent)
    for way in shape.rows_of_tracks:
        tracks = getattr(figures, way.name) or ()
        yield from _between_tracks(tracks, way, model=model)


def _by_bounds(figure: Figure) -> Iterator[Slip]:
    bounds = BOUNDS[figure.sense]
    return _in_unit(figure, bounds)


def _in_unit(figure: Figure, bounds: Bounds) -> Iterator[Slip]:
    slip = unit_slip(figure.value, bounds, scale=figure.model)
    if slip is not None:
        yield slip


def _usable_length(figure: Figure) -> Iterator[Slip]:
    """A road may be called by its length."""
    yield from _by_bounds(figure)
    name = told(figure.beside, "name")
    if name is not None:
        yield from called_slips(name, length_mm=figure.value, field="")


def _vehicle_length(figure: Figure) -> Iterator[Slip]:
    bounds = vehicle_bounds(figure.beside)
    return _in_unit(figure, bounds)


def _body_length(figure: Figure) -> Iterator[Slip]:
    bounds = body_bounds(figure.beside)
    return _in_unit(figure, bounds)


def _full_size_length(figure: Figure) -> Iterator[Slip]:
    """A full-size length may make sense in feet only."""
    bounds = vehicle_bounds(figure.beside)
    length_m = figure.value
    meant_m = length_m * _FOOT_M
    if length_m <= bounds.most_m or not bounds.least_m <= meant_m <= bounds.most_m:
        return
    message = (
        f"{length_m:g} m is too great for {bounds.what}: if that is in feet, write"
        f" {meant_m:.2f}"
    )
    yield Slip(
        code="unit",
        field="",
        message=message,
        likely="feet",
        likely_value=round(meant_m, 3),
    )


def _radius(figure: Figure) -> Iterator[Slip]:
    return radius_slips(
        figure.value,
        of=figure.model,
        longest_mm=figure.longest_mm,
    )


def _spacing(figure: Figure) -> Iterator[Slip]:
    return spacing_slips(figure.value, of=figure.model)


def _gradient(figure: Figure) -> Iterator[Slip]:
    return gradient_slips(figure.value)


def _wire_area(figure: Figure) -> Iterator[Slip]:
    """The copper of a wire, by what it, or the notes beside it, calls it."""
    wire = told(figure.beside, "wire") or ""
    notes = told(figure.beside, "notes") or ""
    if not _ABOUT_WIRE.search(notes):
        notes = ""
    called = f"{wire} {notes}"
    return wire_slips(figure.value, called=called)


def _wire(figure: Figure) -> Iterator[Slip]:
    """What a wire is called tells its copper only where no figure does."""
    if told(figure.beside, "wire_area") is None:
        yield from which_wire_slips(figure.value)


_JUDGES: Mapping[Sense, Callable[[Figure], Iterator[Slip]]] = {
    **dict.fromkeys(BOUNDS, _by_bounds),
    "usable_length": _usable_length,
    "vehicle_length": _vehicle_length,
    "body_length": _body_length,
    "full_size_length": _full_size_length,
    "radius": _radius,
    "spacing": _spacing,
    "gradient": _gradient,
    "wire_area": _wire_area,
    "wire": _wire,
}


def _between_tracks(
    tracks: Sequence[msgspec.Struct], way: Way, *, model: Scale | None
) -> Iterator[Slip]:
    """Yield a slip where neighbouring tracks lie as far apart as gaps are, not centre
    lines.
    """
    placed: list[tuple[float, int]] = []
    for number, track in enumerate(tracks):
        offset_mm = told(track, "track_offset")
        placed.append((offset_mm, number))
    in_order = sorted(placed)
    for (first_mm, _), (second_mm, number) in pairwise(in_order):
        field = field_of(tracks[number], "track_offset")
        yield from spacing_slips(
            second_mm - first_mm,
            field=f"{way.sent}/{number}/{field}",
            of=model,
        )
