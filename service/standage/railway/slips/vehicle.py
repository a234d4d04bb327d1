"""Slips of the pen in a vehicle: in its own figures, in those of its bodies, and in two
that do not go together.
"""

from collections.abc import Iterable, Iterator
from typing import get_args

from msgspec.structs import replace

from standage.railway.slips.judges import slips_in
from standage.railway.slips.sensed import field_of, scale_field, shape_of
from standage.railway.slips.slip import Slip, shown
from standage.railway.stock.nominal_lengths import class_of, over_pulling_faces
from standage.railway.stock.vehicles import VehicleFigures
from standage.railway.terms.scales import Scale, ScaleName, full_size_mm, scale
from standage.shapes.remembering import remembered

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
        *_nominal_slips(vehicle, model),
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


def _nominal_slips(vehicle: VehicleFigures, model: Scale | None) -> Iterator[Slip]:
    """Yield a slip where an American wagon's length is just that of its class, which is
    the room inside.
    """
    if model is None or not _may_be_called_by_its_class(vehicle, model):
        return
    length_m = _full_size_length_m(vehicle, model)
    class_ft = None if length_m is None else class_of(length_m)
    if class_ft is None:
        return
    car = over_pulling_faces(class_ft, kind=vehicle.kind)
    if car is None:
        return
    if vehicle.length_mm is None:
        field, unit = field_of(vehicle, "full_size_length"), "m"
        likely = car.length_m
    else:
        field, unit = field_of(vehicle, "vehicle_length"), "mm"
        likely = full_size_mm(car.length_m, ratio=model.ratio)
    instead = field_of(vehicle, "nominal_length")
    message = (
        f"{class_ft:g} ft is what such a car is called, not how long it is: over its"
        f" couplings it is about {likely:.1f} {unit}; measure it, or give"
        f" {instead} {class_ft:g} in place of a length"
    )
    yield Slip(
        code="two_lengths",
        field=field,
        message=message,
        likely="rounded",
        likely_value=round(likely, 3),
    )


def _may_be_called_by_its_class(vehicle: VehicleFigures, model: Scale) -> bool:
    if vehicle.kind != "wagon":
        return False
    by_its_scale = vehicle.practice is None and model.practice == "american"
    if not (vehicle.is_american or by_its_scale):
        return False
    return vehicle.length_mm is None or vehicle.length_over == "couplings"


def _full_size_length_m(vehicle: VehicleFigures, model: Scale) -> float | None:
    if vehicle.length_mm is None:
        return vehicle.full_size_length_m
    return vehicle.length_mm * model.ratio / 1000
