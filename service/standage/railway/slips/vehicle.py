"""Slips of the pen in a vehicle's figures.

The bounds are wide on purpose, so that no real vehicle is suspected: from a small
four-wheeled engine or a mine wagon to the longest coaches and engines built. **Source**
NEM 103 (2016) for coaches of up to 27.2 m over the body and 19.5 m between pivots; UIC
571-1 and 571-2 for wagons; beyond them common practice.
"""

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import get_args

import msgspec

from standage.railway.slips.slip import Sense, Slip, shown, unit_slip
from standage.railway.slips.track import radius_slips
from standage.railway.stock.nominal_lengths import class_of, over_pulling_faces
from standage.railway.stock.vehicles import Running, VehicleFigures, VehicleKind
from standage.railway.terms.scales import Scale, ScaleName, full_size_mm, scale

_NARROW = 0.5
"""Narrow-gauge vehicles come half as small as the smallest of standard gauge."""


def _length(what: str, least_m: float, usual_m: float, most_m: float) -> Sense:
    return Sense(
        what=f"the length of {what}", least_m=least_m, usual_m=usual_m, most_m=most_m
    )


_LENGTHS: dict[VehicleKind, Sense] = {
    "engine": _length("an engine", 3.5, 15.0, 45.0),
    "coach": _length("a coach", 5.0, 20.0, 32.0),
    "wagon": _length("a wagon", 3.5, 8.0, 35.0),
    "brake_van": _length("a brake van", 3.5, 8.0, 20.0),
    "multiple_unit_car": _length("a multiple-unit car", 7.0, 20.0, 32.0),
    "railcar": _length("a railcar", 5.0, 20.0, 45.0),
}
ANY_LENGTH = _length("a vehicle", 3.5, 13.0, 45.0)
_RUNNING = {
    "bogie_centres_mm": Sense(
        what="the distance between bogie centres",
        least_m=2.0,
        usual_m=12.0,
        most_m=26.0,
    ),
    "bogie_wheelbase_mm": Sense(
        what="a bogie's wheelbase", least_m=0.9, usual_m=2.2, most_m=7.0
    ),
    "rigid_wheelbase_mm": Sense(
        what="a rigid wheelbase", least_m=0.9, usual_m=4.0, most_m=14.0
    ),
    "width_mm": Sense(what="a vehicle's width", least_m=1.5, usual_m=2.9, most_m=4.2),
}
_WHOLE = {
    "height_mm": Sense(what="a vehicle's height", least_m=0.8, usual_m=3.8, most_m=7.0),
    "total_wheelbase_mm": Sense(
        what="the distance from first axle to last",
        least_m=0.9,
        usual_m=11.0,
        most_m=42.0,
    ),
}
_SAME_LENGTH = 0.2
"""A shortened coach may be out by an eighth; more than a fifth is no shortening. Common
practice.
"""
_SAME_RATIO = 0.03
_FOOT_M = 0.3048
_MOST_REMEMBERED = 4096
"""The same stock is asked about again and again."""


def vehicle_slips(
    vehicle: VehicleFigures, *, name: str | None = None, of: ScaleName | None = None
) -> Iterable[Slip]:
    """Return the likely slips in a vehicle's figures; ``of`` is the scale where the
    vehicle itself names none.

    ``field`` is a path below the vehicle, such as ``length_mm`` or
    ``bodies/1/width_mm``.
    """
    return [
        msgspec.structs.replace(slip, vehicle=name)
        for slip in _slips(vehicle, vehicle.scale or of)
    ]


@lru_cache(maxsize=_MOST_REMEMBERED)
def _slips(vehicle: VehicleFigures, of: ScaleName | None) -> tuple[Slip, ...]:
    model = None if of is None else scale(of)
    return (*_own_slips(vehicle, model), *_body_slips(vehicle, model))


def _own_slips(vehicle: VehicleFigures, model: Scale | None) -> Iterator[Slip]:
    sense = (
        _LENGTHS.get(vehicle.kind, ANY_LENGTH)
        if vehicle.kind is not None
        else ANY_LENGTH
    )
    if vehicle.bodies:
        sense = msgspec.structs.replace(
            sense, most_m=sense.most_m * len(vehicle.bodies)
        )
    in_unit = list(
        _unit_slips(
            vehicle,
            {"length_mm": sense, "body_length_mm": sense, **_WHOLE, **_RUNNING},
            model,
        )
    )
    yield from in_unit
    if not any(slip.field == "length_mm" for slip in in_unit):
        yield from _scale_slips(vehicle, model)
    yield from _full_size_slips(vehicle, sense)
    yield from _nominal_slips(vehicle, model)
    if vehicle.minimum_radius_mm is not None:
        yield from radius_slips(
            vehicle.minimum_radius_mm,
            field="minimum_radius_mm",
            of=model,
            longest_mm=_longest_body_mm(vehicle),
        )


def _longest_body_mm(vehicle: VehicleFigures) -> float | None:
    if vehicle.bodies is not None:
        return max(body.length_mm for body in vehicle.bodies)
    return vehicle.length_mm


def _body_slips(vehicle: VehicleFigures, model: Scale | None) -> Iterator[Slip]:
    for position, body in enumerate(vehicle.bodies or ()):
        tender_upwards = _length("one body of a vehicle", 2.5, 13.0, 45.0)
        for slip in _unit_slips(body, {"length_mm": tender_upwards, **_RUNNING}, model):
            yield msgspec.structs.replace(slip, field=f"bodies/{position}/{slip.field}")


def _unit_slips(
    running: Running, senses: Mapping[str, Sense], model: Scale | None
) -> Iterable[Slip]:
    narrow = _NARROW if model is not None and model.is_narrow else 1.0
    for field, sense in senses.items():
        value_mm = getattr(running, field)
        if value_mm is not None:
            bounds = (
                sense
                if narrow == 1.0
                else msgspec.structs.replace(sense, least_m=sense.least_m * narrow)
            )
            slip = unit_slip(value_mm, bounds, field=field, scale=model)
            if slip is not None:
                yield slip


def _scale_slips(vehicle: VehicleFigures, model: Scale | None) -> Iterator[Slip]:
    """Yield a slip where the model's length and the full-size length belong to another
    scale's ratio.
    """
    if model is None or vehicle.length_mm is None or vehicle.full_size_length_m is None:
        return
    ratio = vehicle.full_size_length_m * 1000 / vehicle.length_mm
    if abs(ratio / model.ratio - 1) <= _SAME_LENGTH:
        return
    every = (scale(name) for name in get_args(ScaleName))
    nearest = min(every, key=lambda one: abs(one.ratio / ratio - 1))
    if abs(nearest.ratio / ratio - 1) > _SAME_RATIO:
        return
    length = f"{shown(vehicle.length_mm)} mm for {vehicle.full_size_length_m:g} m"
    yield Slip(
        code="scale",
        field="scale",
        message=(
            f"{length} is 1:{ratio:.1f}, not {model.name}'s 1:{model.ratio:g}: is it a"
            f" model in {nearest.name}?"
        ),
        likely="another_scale",
        likely_value=nearest.ratio,
    )


def _nominal_slips(vehicle: VehicleFigures, model: Scale | None) -> Iterator[Slip]:
    """Yield a slip where an American wagon's length is just that of its class, which is
    the room inside.
    """
    american = vehicle.is_american or (
        vehicle.practice is None and model is not None and model.practice == "american"
    )
    over_couplings = vehicle.length_mm is None or vehicle.length_over == "couplings"
    if not american or model is None or vehicle.kind != "wagon" or not over_couplings:
        return
    field = "full_size_length_m" if vehicle.length_mm is None else "length_mm"
    length_m = (
        vehicle.full_size_length_m
        if vehicle.length_mm is None
        else vehicle.length_mm * model.ratio / 1000
    )
    class_ft = None if length_m is None else class_of(length_m)
    car = None if class_ft is None else over_pulling_faces(class_ft, kind=vehicle.kind)
    if class_ft is None or car is None:
        return
    likely = (
        car.length_m
        if vehicle.length_mm is None
        else full_size_mm(car.length_m, ratio=model.ratio)
    )
    unit = "m" if vehicle.length_mm is None else "mm"
    message = (
        f"{class_ft:g} ft is what such a car is called, not how long it is: over its"
        f" couplings it is about {likely:.1f} {unit}; measure it, or give"
        f" nominal_length_ft {class_ft:g} in place of a length"
    )
    yield Slip(
        code="two_lengths",
        field=field,
        message=message,
        likely="rounded",
        likely_value=round(likely, 3),
    )


def _full_size_slips(vehicle: VehicleFigures, sense: Sense) -> Iterator[Slip]:
    """Yield a slip where a full-size length makes sense in feet only."""
    length_m = vehicle.full_size_length_m
    if length_m is None or length_m <= sense.most_m:
        return
    meant_m = length_m * _FOOT_M
    if sense.least_m <= meant_m <= sense.most_m:
        message = (
            f"{length_m:g} m is too great for {sense.what}: if that is in feet, write"
            f" {meant_m:.2f}"
        )
        yield Slip(
            code="unit",
            field="full_size_length_m",
            message=message,
            likely="feet",
            likely_value=round(meant_m, 3),
        )
