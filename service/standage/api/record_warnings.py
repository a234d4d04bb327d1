"""The likely slips in what a record holds, which come back with it and change nothing."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from standage.railway.slips.slip import Slip
from standage.railway.slips.track import place_slips, radius_slips
from standage.railway.slips.vehicle import vehicle_slips
from standage.railway.slips.wire import wire_slips
from standage.railway.terms.scales import scale
from standage.registry.bodies import LayoutBody, ModuleBody, PlaceBody, VehicleBody
from standage.registry.kinds import LAYOUTS, MODULES, PLACES, VEHICLES, Kind


def _of_vehicle(body: VehicleBody) -> Iterable[Slip]:
    return vehicle_slips(body, name=body.name)


def _of_place(body: PlaceBody) -> Iterable[Slip]:
    return place_slips(body, name=body.name)


def _of_layout(body: LayoutBody) -> Iterable[Slip]:
    model = None if body.scale is None else scale(body.scale)
    return () if body.minimum_radius_mm is None else radius_slips(body.minimum_radius_mm, field=_RADIUS, of=model)


def _of_module(body: ModuleBody) -> Iterable[Slip]:
    model = None if body.scale is None else scale(body.scale)
    if body.minimum_radius_mm is not None:
        yield from radius_slips(body.minimum_radius_mm, field=_RADIUS, of=model)
    if body.wire_area_mm2 is not None:
        yield from wire_slips(body.wire_area_mm2)


_RADIUS = "minimum_radius_mm"
_LOOKS: Mapping[str, Callable[[Any], Iterable[Slip]]] = {
    VEHICLES.name: _of_vehicle,
    PLACES.name: _of_place,
    LAYOUTS.name: _of_layout,
    MODULES.name: _of_module,
}


def can_be_warned_of(kind: Kind[Any]) -> bool:
    """Tell whether records of that kind hold figures in which slips are looked for."""
    return kind.name in _LOOKS


def warnings_of(kind: Kind[Any], body: Any) -> tuple[Slip, ...]:
    """Return the likely slips in a body; none for kinds without such figures."""
    look = _LOOKS.get(kind.name)
    return () if look is None else tuple(look(body))
