"""The likely slips in all the figures that one answer rests on, each named once."""

from collections.abc import Iterable, Iterator

from standage.railway.roads.places import Place
from standage.railway.slips.slip import Slip
from standage.railway.slips.track import place_slips, radius_slips, spacing_slips
from standage.railway.slips.vehicle import vehicle_slips
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.scales import ScaleName, scale

MOST_SLIPS = 20


def stock_slips(vehicles: Iterable[Vehicle], *, of: ScaleName | None = None) -> tuple[Slip, ...]:
    """Return the likely slips in the vehicles' figures; ``of`` is the scale of those that name none."""
    return _some(
        slip for vehicle in dict.fromkeys(vehicles) for slip in vehicle_slips(vehicle, name=vehicle.name, of=of)
    )


def fit_slips(vehicles: Iterable[Vehicle], place: Place) -> tuple[Slip, ...]:
    """Return the likely slips in a train and the place it is to stand in."""
    of = place.scale or _scale_of(vehicles)
    return _some((*place_slips(place, name=place.name, of=of), *stock_slips(vehicles, of=of)))


def curve_slips(vehicles: Iterable[Vehicle], *, radii_mm: Iterable[float]) -> tuple[Slip, ...]:
    """Return the likely slips in vehicles and the curves that they are to go round."""
    of = _scale_of(vehicles)
    model = None if of is None else scale(of)
    longest_mm = max((vehicle.length_mm for vehicle in vehicles if vehicle.length_mm is not None), default=None)
    found = (slip for radius in radii_mm for slip in radius_slips(radius, of=model, longest_mm=longest_mm))
    return _some((*found, *stock_slips(vehicles, of=of)))


def passing_slips(
    vehicles: Iterable[Vehicle], *, inner_radius_mm: float | None, spacing_mm: float, of: ScaleName | None
) -> tuple[Slip, ...]:
    """Return the likely slips in vehicles and the two tracks on which they are to pass."""
    named = of or _scale_of(vehicles)
    model = None if named is None else scale(named)
    radius = () if inner_radius_mm is None else radius_slips(inner_radius_mm, field="inner_radius_mm", of=model)
    return _some((*spacing_slips(spacing_mm, of=model), *radius, *stock_slips(vehicles, of=named)))


def _scale_of(vehicles: Iterable[Vehicle]) -> ScaleName | None:
    return next((vehicle.scale for vehicle in vehicles if vehicle.scale is not None), None)


def _some(slips: Iterable[Slip] | Iterator[Slip]) -> tuple[Slip, ...]:
    return tuple(dict.fromkeys(slips))[:MOST_SLIPS]
