"""What is looked for: in a figure by its sense, in a vehicle and in a place as wholes, and
in all the figures that an answer rests on, or that a record holds, each named once.

Of a vehicle that is its own figures, those of its bodies, and two that do not go
together.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from itertools import islice, pairwise
from typing import Any, NamedTuple, TypeVar, get_args

import msgspec
from msgspec.structs import replace

from standage.railway.roads.places import PlaceFigures
from standage.railway.slips.bounds import BOUNDS, body_bounds, vehicle_bounds
from standage.railway.slips.car_classes import (
    class_for_length_slips,
    class_slips,
)
from standage.railway.slips.helix import one_turn_slips
from standage.railway.slips.parts import (
    Apart,
    Part,
    Way,
    field_of,
    is_any_told,
    scale_field,
    shape_of,
    told,
    told_within,
)
from standage.railway.slips.place_words import place_words
from standage.railway.slips.slip import Bounds, Slip, shown, unit_slip
from standage.railway.slips.track import (
    called_slips,
    gradient_slips,
    radius_slips,
    spacing_slips,
)
from standage.railway.slips.wire import (
    other_copper_slips,
    which_wire_slips,
    wire_slips,
)
from standage.railway.stock.vehicles import VehicleFigures
from standage.railway.terms.figures import tidy
from standage.railway.terms.reasons import Assumed
from standage.railway.terms.scales import Scale, ScaleName, scale
from standage.railway.terms.senses import Sense
from standage.shapes.remembering import remembered

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
        yield from _called(name, figure.value)


@remembered()
def _called(name: str, length_mm: float) -> tuple[Slip, ...]:
    return tuple(called_slips(name, length_mm=length_mm, field=""))


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
    is_straight = not is_any_told(figure.beside, "radius")
    return spacing_slips(figure.value, of=figure.model, is_straight=is_straight)


def _rim_spacing(figure: Figure) -> Iterator[Slip]:
    """Between two roads off a turntable: at its rim, or by an angle where they are
    clear of each other. At the rim they are often nearer than tracks lie.
    """
    if told(figure.beside, "angle") is None:
        yield from _by_bounds(figure)
    else:
        yield from _spacing(figure)


def _climb_run(figure: Figure) -> Iterator[Slip]:
    """The run of a climb, which may be wound into a helix beside it."""
    yield from _by_bounds(figure)
    climb = figure.beside
    rise_mm = told(climb, "climb_rise") or told_within(climb, "climb_rise")
    radius_mm = told_within(climb, "radius")
    if rise_mm is None or radius_mm is None:
        return
    # How many turns there are is no question where it is said.
    if told_within(climb, "turns") is not None:
        return
    for slip in one_turn_slips(figure.value, rise_mm=rise_mm, radius_mm=radius_mm):
        whole = figure._replace(value=slip.likely_value)
        if not any(_by_bounds(whole)):
            yield slip


def _turn_rise(figure: Figure) -> Iterator[Slip]:
    """Of less than a turn nothing lies above another, so that it may rise little."""
    turns = told(figure.beside, "turns")
    if turns is None or turns >= 1:
        yield from _by_bounds(figure)


def _gradient(figure: Figure) -> Iterator[Slip]:
    return gradient_slips(figure.value)


def _wire_area(figure: Figure) -> Iterator[Slip]:
    """The copper of a wire, by what it, or the notes beside it, calls it."""
    wire = told(figure.beside, "wire") or ""
    notes = told(figure.beside, "notes") or ""
    if not _ABOUT_WIRE.search(notes):
        notes = ""
    called = f"{wire} {notes}"
    slips = tuple(wire_slips(figure.value, called=called))
    yield from slips
    if not slips:
        yield from other_copper_slips(figure.value, called=wire)


def _nominal_length(figure: Figure) -> Iterator[Slip]:
    if isinstance(figure.beside, VehicleFigures):
        yield from class_slips(figure.value, kind=figure.beside.kind)


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
    "nominal_length": _nominal_length,
    "radius": _radius,
    "points_radius": _radius,
    "spacing": _spacing,
    "gradient": _gradient,
    "rim_spacing": _rim_spacing,
    "climb_run": _climb_run,
    "turn_rise": _turn_rise,
    "wire_area": _wire_area,
    "wire": _wire,
}


def _between_tracks(
    tracks: Sequence[msgspec.Struct], way: Way, *, model: Scale | None
) -> Iterator[Slip]:
    """Yield a slip where neighbouring tracks lie as far apart as gaps are, not centre
    lines; what is proposed is where a track lies if those before it are put right.
    """
    placed: list[tuple[float, int]] = []
    for number, track in enumerate(tracks):
        offset_mm = told(track, "track_offset")
        placed.append((offset_mm, number))
    in_order = sorted(placed)
    meant_mm = in_order[0][0] if in_order else 0.0
    for (first_mm, _), (second_mm, number) in pairwise(in_order):
        apart_mm = second_mm - first_mm
        slip = next(spacing_slips(apart_mm, of=model), None)
        if slip is None:
            meant_mm += apart_mm
            continue
        meant_mm += slip.likely_value or apart_mm
        field = field_of(tracks[number], "track_offset")
        yield _of_a_track(
            slip,
            field=f"{way.sent}/{number}/{field}",
            offset_mm=tidy(meant_mm),
        )


def _of_a_track(slip: Slip, *, field: str, offset_mm: float) -> Slip:
    """Return a slip of a spacing as one of where the second of two tracks lies."""
    message = slip.message
    if slip.code != "unit":
        # A unit has several readings, and each would be at an offset of its own.
        message = f"{message}, at offset {round(offset_mm, 1):g}"
    return replace(slip, field=field, message=message, likely_value=offset_mm)


_SAME_LENGTH = 0.2
"""A shortened coach may be out by an eighth; more than a fifth is no shortening. Common
practice.
"""
_SAME_RATIO = 0.03


def vehicle_slips(
    vehicle: VehicleFigures, *, name: str | None = None, of: ScaleName | None = None
) -> Iterable[Slip]:
    """Return the likely slips in a vehicle's figures; ``of`` is the scale where the
    vehicle itself names none.

    ``field`` is a path below the vehicle, such as ``length_mm`` or
    ``bodies/1/width_mm``. Likely slips are remembered by the figures. **Source** that
    of each judge.
    """
    of = vehicle.scale or of
    slips = _slips(vehicle, of)
    return [replace(slip, vehicle=name) for slip in slips]


@remembered()
def _slips(vehicle: VehicleFigures, of: ScaleName | None) -> tuple[Slip, ...]:
    model = None if of is None else scale(of)
    longest_mm = _longest_body_mm(vehicle)
    own = tuple(slips_in(vehicle, model=model, longest_mm=longest_mm))
    length = field_of(vehicle, "vehicle_length")
    # A length in another unit is told once, not also as one of another scale.
    length_is_told = any(slip.field == length for slip in own)
    of_another_scale = () if length_is_told else tuple(_scale_slips(vehicle, model))
    return (
        *own,
        *of_another_scale,
        *class_for_length_slips(vehicle, model),
        *_body_slips(vehicle, model),
    )


def _longest_body_mm(vehicle: VehicleFigures) -> float | None:
    """Return what must go round a curve in one piece."""
    if vehicle.bodies is None:
        return vehicle.length_mm
    return max(body.length_mm for body in vehicle.bodies)


def _body_slips(vehicle: VehicleFigures, model: Scale | None) -> Iterator[Slip]:
    for way in shape_of(type(vehicle)).ways:
        bodies = getattr(vehicle, way.name) or ()
        for position, body in enumerate(bodies):
            slips = slips_in(body, model=model)
            at = f"{way.sent}/{position}"
            for slip in slips:
                yield replace(slip, field=f"{at}/{slip.field}")


def _scale_slips(vehicle: VehicleFigures, model: Scale | None) -> Iterator[Slip]:
    """Yield a slip where the model's length and the full-size length belong to another
    scale's ratio.
    """
    if model is None or vehicle.length_mm is None or vehicle.full_size_length_m is None:
        return
    ratio = vehicle.full_size_length_m * 1000 / vehicle.length_mm
    if abs(ratio / model.ratio - 1) <= _SAME_LENGTH:
        return
    nearest = _nearest_scale(ratio)
    if abs(nearest.ratio / ratio - 1) > _SAME_RATIO:
        return
    length = f"{shown(vehicle.length_mm)} mm for {vehicle.full_size_length_m:g} m"
    message = (
        f"{length} is 1:{ratio:.1f}, not {model.name}'s 1:{model.ratio:g}: is it a"
        f" model in {nearest.name}?"
    )
    yield Slip(
        code="scale",
        field=scale_field(vehicle),
        message=message,
        likely="another_scale",
        likely_value=nearest.ratio,
    )


def _nearest_scale(ratio: float) -> Scale:
    def how_far(one: Scale) -> float:
        return abs(one.ratio / ratio - 1)

    names = get_args(ScaleName)
    return min(map(scale, names), key=how_far)


def place_slips(
    place: PlaceFigures, *, name: str | None = None, of: ScaleName | None = None
) -> Iterator[Slip]:
    """Yield the likely slips in a place's figures; ``of`` is the scale where the place
    itself names none.

    Its least radius is held against no vehicle: which of them come there is a question
    of its own. **Source** that of each judge.
    """
    named = place.scale or of
    model = None if named is None else scale(named)
    slips = slips_in(place, model=model)
    for slip in slips:
        yield replace(slip, place=name)


N = TypeVar("N", bound=str)

MOST_SLIPS = 20


class Remarks(NamedTuple):
    """What there is to say of the figures and the words within a whole."""

    slips: tuple[Slip, ...]
    words: tuple[Assumed, ...]
    """How words are taken that mean another thing across the ocean."""


def likely_slips(whole: msgspec.Struct) -> tuple[Slip, ...]:
    """Return the likely slips in every figure within ``whole``, twenty at most.
    **Source** that of each judge.
    """
    return remarks_on(whole).slips


def remarks_on(whole: msgspec.Struct) -> Remarks:
    """Return the likely slips within ``whole``, and how its words are taken, twenty of
    each at most.

    What names no scale is taken to be of the nearest one around it, then of the only
    one that roads name, then of the only one that vehicles name. A radius is held
    against the longest vehicle there is. **Source** that of each judge.
    """
    apart = Apart(whole)
    of_roads = _only(apart.scales)
    of_vehicles = _only(apart.vehicle_scales)
    around = of_roads or of_vehicles
    slips = _first(_all_slips(apart, around))
    words = _first(_all_words(apart, around))
    return Remarks(slips, words)


T = TypeVar("T")


def _first(many: Iterable[T]) -> tuple[T, ...]:
    """Return the first twenty that are unlike each other."""
    unlike = _unlike(many)
    return tuple(islice(unlike, MOST_SLIPS))


def _unlike(many: Iterable[T]) -> Iterator[T]:
    seen: set[T] = set()
    for one in many:
        if one not in seen:
            seen.add(one)
            yield one


def _all_slips(apart: Apart, around: ScaleName | None) -> Iterator[Slip]:
    for part in apart.parts:
        of = part.of or around
        if isinstance(part.figures, VehicleFigures):
            yield from vehicle_slips(part.figures, name=part.name, of=of)
        elif isinstance(part.figures, PlaceFigures):
            yield from place_slips(part.figures, name=part.name, of=of)
        else:
            yield from _slips_in(part, of, longest_mm=apart.longest_mm)


def _slips_in(
    part: Part, of: ScaleName | None, *, longest_mm: float | None
) -> Iterator[Slip]:
    model = None if of is None else scale(of)
    slips = slips_in(part.figures, model=model, longest_mm=longest_mm)
    for slip in slips:
        path = (*part.path, slip.field)
        field = "/".join(path)
        yield replace(slip, field=field, place=part.name)


def _all_words(apart: Apart, around: ScaleName | None) -> Iterator[Assumed]:
    """Yield how words are taken, where practice is American.

    H0 alone is continental; stock that is said to be American is so in any scale.
    """
    stock_is_american = _only(apart.practices) == "american"
    for part in apart.parts:
        if not isinstance(part.figures, PlaceFigures):
            continue
        of = part.of or around
        scale_is_american = of is not None and scale(of).practice == "american"
        if stock_is_american or scale_is_american:
            yield from place_words(part.figures, name=part.name)


def _only(names: AbstractSet[N]) -> N | None:
    if len(names) != 1:
        return None
    return next(iter(names))
