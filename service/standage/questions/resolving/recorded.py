"""From records to the railway's own values."""

from collections.abc import Sequence
from operator import attrgetter
from typing import TypeVar

import msgspec

from standage.railway.roads.places import Place
from standage.railway.shunting.yard import Yard
from standage.railway.stock.coupled import Rake, WholeLength
from standage.railway.stock.couplings import CouplingKind
from standage.railway.stock.vehicles import Standing, Vehicle
from standage.registry.records.bodies import (
    CouplingTypeBody,
    LayoutBody,
    PlaceBody,
    RakeBody,
    YardBody,
)
from standage.registry.records.coupling_reaches import kind_of
from standage.registry.records.record import Kept
from standage.shapes.remembering import remembered

B = TypeVar("B", bound=msgspec.Struct)

_VEHICLE = tuple(Vehicle.__struct_fields__)
_FIGURES = attrgetter(*_VEHICLE)
_PLACE = tuple(Place.__struct_fields__)
_FROM_LAYOUT = ("scale", "gauge_mm", "wheels", "minimum_radius_mm")


class KnownVehicle(Vehicle, frozen=True, kw_only=True, forbid_unknown_fields=False):
    """What a question takes of a vehicle on record: neither its owner nor its notes."""


def body_of(record: Kept, kind: type[B]) -> B:
    """Return a record's body, which is of that type; raises ``TypeError`` where it is
    not.
    """
    if not isinstance(record.body, kind):
        raise TypeError(type(record.body).__name__)
    return record.body


def rake_of(body: RakeBody, vehicles: Sequence[Standing]) -> Rake:
    """Return a rake of those vehicles with its length as a whole, where that was
    measured.
    """
    if body.measured_length_mm is None:
        return Rake(vehicles=tuple(vehicles))
    whole = WholeLength(
        length_mm=body.measured_length_mm,
        length_over=body.measured_over or "buffers",
        length_plus_minus_mm=body.measured_plus_minus_mm,
    )
    return Rake(vehicles=tuple(vehicles), whole=whole)


def standing_of(record: Kept, *, reversed_: bool, count: int) -> Standing:
    """Return a vehicle as it stands in a train."""
    body = body_of(record, Vehicle)
    stood = _stood_again if isinstance(body, KnownVehicle) else _stood
    return stood(body, reversed_=reversed_, count=count)


def _stood(body: Vehicle, *, reversed_: bool, count: int) -> Standing:
    return Standing(
        **dict(zip(_VEHICLE, _FIGURES(body), strict=True)),
        reversed=reversed_,
        count=count,
    )


_stood_again = remembered()(_stood)
"""Of what holds no notes, so that nobody's are remembered."""


def own_figures(record: Kept) -> Place:
    """Return a place with what it says itself."""
    body = body_of(record, PlaceBody)
    return Place(**{name: getattr(body, name) for name in _PLACE})


def place_of(record: Kept, layout: Kept) -> Place:
    """Return a place; what it does not say itself its layout says of all its places."""
    body, beneath = body_of(record, PlaceBody), body_of(layout, LayoutBody)
    figures = {name: getattr(body, name) for name in _PLACE}
    figures |= {
        name: getattr(beneath, name) for name in _FROM_LAYOUT if figures[name] is None
    }
    if body.no_curves:
        figures["minimum_radius_mm"] = None
    figures["no_curves"] = figures["minimum_radius_mm"] is None and (
        body.no_curves or beneath.no_curves
    )
    figures["headroom_unlimited"] = body.headroom_mm is None and (
        body.headroom_unlimited or beneath.headroom_unlimited
    )
    return Place(**figures)


def coupling_kind_of(record: Kept) -> CouplingKind:
    """Return a type of coupling."""
    return kind_of(body_of(record, CouplingTypeBody))


def yard_of(record: Kept) -> Yard:
    """Return a yard."""
    body = body_of(record, YardBody)
    fields = {name: getattr(body, name) for name in Yard.__struct_fields__}
    return Yard(**fields)
