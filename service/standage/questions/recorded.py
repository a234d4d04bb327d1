"""From records to the railway's own values."""

from collections.abc import Sequence
from operator import attrgetter
from typing import TypeVar

import msgspec

from standage.railway.roads.places import Place
from standage.railway.shunting.yard import Yard
from standage.railway.stock.couplings import CouplingKind
from standage.railway.stock.rakes import Rake, WholeLength
from standage.railway.stock.vehicles import Standing, Vehicle
from standage.registry.bodies import CouplingTypeBody, LayoutBody, PlaceBody, RakeBody, VehicleBody, YardBody
from standage.registry.records import Record

B = TypeVar("B", bound=msgspec.Struct)

_VEHICLE = tuple(Vehicle.__struct_fields__)
_FIGURES = attrgetter(*_VEHICLE)
_KIND = tuple(CouplingKind.__struct_fields__)
_PLACE = tuple(Place.__struct_fields__)
_FROM_LAYOUT = ("scale", "gauge_mm", "wheels", "minimum_radius_mm")


def body_of(record: Record, kind: type[B]) -> B:
    """Return a record's body, which is of that type; raises ``TypeError`` where it is not."""
    if not isinstance(record.body, kind):
        raise TypeError(record.kind)
    return record.body


def rake_of(body: RakeBody, vehicles: Sequence[Standing]) -> Rake:
    """Return a rake of those vehicles with its length as a whole, where that was measured."""
    if body.measured_length_mm is None:
        return Rake(vehicles=tuple(vehicles))
    whole = WholeLength(
        length_mm=body.measured_length_mm,
        length_over=body.measured_over or "buffers",
        length_plus_minus_mm=body.measured_plus_minus_mm,
    )
    return Rake(vehicles=tuple(vehicles), whole=whole)


def standing_of(record: Record, *, reversed_: bool, count: int) -> Standing:
    """Return a vehicle as it stands in a train."""
    body = body_of(record, VehicleBody)
    return Standing(**dict(zip(_VEHICLE, _FIGURES(body), strict=True)), reversed=reversed_, count=count)


def place_of(record: Record, layout: Record) -> Place:
    """Return a place; what it does not say itself its layout says of all its places."""
    body, beneath = body_of(record, PlaceBody), body_of(layout, LayoutBody)
    figures = {name: getattr(body, name) for name in _PLACE}
    own = {name for name in _FROM_LAYOUT if figures[name] is not None}
    return Place(**figures | {name: getattr(beneath, name) for name in _FROM_LAYOUT if name not in own})


def coupling_kind_of(record: Record) -> CouplingKind:
    """Return a type of coupling."""
    body = body_of(record, CouplingTypeBody)
    return CouplingKind(**{field: getattr(body, field) for field in _KIND if hasattr(body, field)})


def yard_of(record: Record) -> Yard:
    """Return a yard."""
    body = body_of(record, YardBody)
    return Yard(**{name: getattr(body, name) for name in Yard.__struct_fields__})
