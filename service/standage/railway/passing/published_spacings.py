"""What the published tables say of two tracks side by side, beside what geometry asks
for.
"""

from collections.abc import Iterator, Sequence
from math import inf

from standage.railway.passing.gaps import Tracks
from standage.railway.passing.passers import PassingStock
from standage.railway.published import nem_112, nmra_s_8
from standage.railway.published.nem_112 import NEM_112
from standage.railway.published.nmra_s_8 import NMRA_S_8
from standage.railway.published.tables import ByTable, Found, NotHeld, beside
from standage.railway.stock.groups import greatest_group
from standage.railway.terms.scales import ScaleName


def published_spacings(
    stock: Sequence[PassingStock],
    tracks: Tracks,
    *,
    scale: ScaleName | None,
    needed_mm: float | None,
) -> tuple[ByTable, ...]:
    """Return each table's word on the spacing of ``tracks``, each with the spacing that
    geometry asks for, in mm; of tracks without a scale that of their stock counts.

    **Source** NEM 112 and NMRA S-8 as quoted.
    """
    rows: list[Found] = []
    for one in _scales(stock, scale):
        rows.extend(_rows(stock, tracks, one))
    if not rows:
        words = "tracks of no known scale"
        rows.append(NotHeld(standard=NEM_112, row=words))
        rows.append(NotHeld(standard=NMRA_S_8, row=words))
    return tuple(beside(row, geometry_mm=needed_mm) for row in rows)


def _scales(
    stock: Sequence[PassingStock], scale: ScaleName | None
) -> tuple[ScaleName, ...]:
    if scale is not None:
        return (scale,)
    known = [one.vehicle.scale for one in stock if one.vehicle.scale is not None]
    return tuple(dict.fromkeys(known))


def _rows(
    stock: Sequence[PassingStock], tracks: Tracks, scale: ScaleName
) -> Iterator[Found]:
    radius_mm = tracks.inner_radius_mm
    if radius_mm == inf:
        yield nem_112.straight_spacing(scale, beside="running_line")
        yield nem_112.straight_spacing(scale, beside="station")
        yield nmra_s_8.tangent_spacing(scale)
        return
    bodies = [body for one in stock for body in one.bodies]
    group = greatest_group(bodies, scale=scale)
    yield nem_112.curve_spacing(scale, inner_radius_mm=radius_mm, group=group)
    yield nmra_s_8.curve_spacing(scale, inner_radius_mm=radius_mm)
