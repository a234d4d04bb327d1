"""American cars and their classes: the class given for a length, and what is no class
that was probably meant for one.
"""

from collections.abc import Iterator

from standage.railway.slips.parts import field_of
from standage.railway.slips.slip import Slip
from standage.railway.stock.nominal_lengths import (
    class_in_metres,
    class_of,
    class_over_pulling_faces,
    over_pulling_faces,
)
from standage.railway.stock.vehicles import VehicleFigures, VehicleKind
from standage.railway.terms.scales import Scale, full_size_mm


def class_slips(
    class_ft: int, *, kind: VehicleKind | None, field: str = ""
) -> Iterator[Slip]:
    """Yield a slip where no class of so many feet is held, but one is that many metres
    long, or that many feet over its couplings.

    **Source** common practice, as the classes themselves.
    """
    if over_pulling_faces(class_ft, kind=kind) is not None:
        return
    in_metres = class_in_metres(class_ft, kind=kind)
    if in_metres is not None:
        yield Slip(
            code="unit",
            field=field,
            message=(
                f"there is no class of {class_ft} ft: if {class_ft} is in metres, write"
                f" {in_metres:g}"
            ),
            likely="metres",
            likely_value=in_metres,
        )
        return
    over_couplings = class_over_pulling_faces(class_ft, kind=kind)
    if over_couplings is not None:
        message = (
            f"there is no class of {class_ft} ft: if that is its length over the"
            f" couplings, its class is {over_couplings:g} ft, so write"
            f" {over_couplings:g}"
        )
        yield Slip(
            code="two_lengths",
            field=field,
            message=message,
            likely="rounded",
            likely_value=over_couplings,
        )


def class_for_length_slips(
    vehicle: VehicleFigures, model: Scale | None
) -> Iterator[Slip]:
    """Yield a slip where an American wagon's length is just that of its class, which is
    the room inside. **Source** common practice.
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
