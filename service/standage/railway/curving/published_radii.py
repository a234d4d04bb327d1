"""What the published tables say of the least radius for stock, beside the one that is
reckoned.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated

import msgspec

from standage.railway.curving.known_vehicles import known_vehicle
from standage.railway.published import nem_111, nmra_rp_11
from standage.railway.published.nem_111 import NEM_111
from standage.railway.published.nmra_rp_11 import NMRA_RP_11
from standage.railway.published.tables import ByTable, Found, NotHeld, beside
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.groups import greatest_group
from standage.railway.stock.vehicles import Vehicle
from standage.railway.terms.figures import says
from standage.railway.terms.scales import ScaleName

_Row = tuple[Found, int | None]
"""A row, and the number of the points that go with it."""


class RadiusByTable(ByTable, frozen=True, kw_only=True):
    """What a published table says of the least radius, and of the points that go with
    it.
    """

    points_number: Annotated[
        int | None, says("The number of the points that go with it.")
    ] = None


def published_radii(
    vehicles: Sequence[Vehicle], *, types: CouplingTypes, radius_mm: float | None
) -> tuple[RadiusByTable, ...]:
    """Return each table's word on the least radius for ``vehicles``, each with the
    radius that is reckoned, in mm.

    **Source** NMRA RP-11 as quoted; NEM 111 as quoted in 2012, by the greatest group of
    the vehicles.
    """
    named = [vehicle.scale for vehicle in vehicles if vehicle.scale is not None]
    scales = tuple(dict.fromkeys(named))
    rows: list[_Row] = []
    for one in scales:
        rows.extend(_or_none_at_all(_by_rp_11(one), one))
    for one in scales:
        by_nem_111 = _by_nem_111(vehicles, one, types=types)
        rows.extend(_or_none_at_all(by_nem_111, one))
    if not rows:
        words = "stock of no known scale"
        rows.append((NotHeld(standard=NMRA_RP_11, row=words), None))
        rows.append((NotHeld(standard=NEM_111, row=words), None))
    return tuple(_told(row, number, radius_mm) for row, number in rows)


def _or_none_at_all(found: Iterable[_Row], scale: ScaleName) -> Iterable[_Row]:
    """Return the rows of one table, or where none of them is held that there is none of
    the scale.
    """
    rows = tuple(found)
    if any(not isinstance(row, NotHeld) for row, _ in rows):
        return rows
    first, _ = rows[0]
    none_at_all = NotHeld(standard=first.standard, row=f"such stock in {scale}")
    return ((none_at_all, None),)


def _by_rp_11(scale: ScaleName) -> Iterator[_Row]:
    for line in nmra_rp_11.LINES:
        number = nmra_rp_11.points_number(scale, line=line)
        yield nmra_rp_11.least_radius(scale, line=line), number


def _by_nem_111(
    vehicles: Sequence[Vehicle], scale: ScaleName, *, types: CouplingTypes
) -> Iterator[_Row]:
    known = (known_vehicle(one, types=types) for one in dict.fromkeys(vehicles))
    bodies = [body for one in known for body in one.bodies]
    group = greatest_group(bodies, scale=scale)
    for line in nem_111.LINES:
        yield nem_111.least_radius(scale, line=line, group=group), None


def _told(row: Found, number: int | None, radius_mm: float | None) -> RadiusByTable:
    told = beside(row, geometry_mm=radius_mm)
    figures = msgspec.structs.asdict(told)
    return RadiusByTable(**figures, points_number=number)
