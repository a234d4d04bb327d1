"""What published standards have for an edge beside the track, beside what the stock
asks for.
"""

from collections.abc import Iterable, Iterator
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.railway.published.fixed_clearances import clear_above, clear_aside
from standage.railway.published.nem_102 import (
    HALF_WIDTH,
    size_of,
    structure_half_width,
    structure_height,
)
from standage.railway.published.nem_103_groups import Group, group
from standage.railway.published.nem_103_widening import widening
from standage.railway.published.nem_105 import tunnel_wall
from standage.railway.published.platforms import platform_edge, platform_heights
from standage.railway.published.tables import (
    ByTable,
    Found,
    Held,
    NotAllowed,
    NotHeld,
    beside,
)
from standage.railway.stock.bodies import BodyShape
from standage.railway.terms.figures import says, tidy
from standage.railway.terms.scales import ScaleName, scale

What = Literal["platform", "island", "wall", "portal", "pier"]
Unheld = Literal["not_held", "not_allowed"]
Figure = float | Unheld
PLATFORMS: frozenset[What] = frozenset({"platform", "island"})


class LinesideTable(msgspec.Struct, frozen=True, kw_only=True):
    """What published standards have: each figure in mm, or that no such row is held, or
    that the standard does not allow it.
    """

    edge_mm: Annotated[Figure, says("From the centre line to the edge, in mm.")]
    height_mm: Annotated[Figure, says("Its height above the rail's top, in mm.")]
    widening_mm: Annotated[
        Figure, says("By how much a curve widens it at each side, in mm.")
    ]
    track_centres_mm: Annotated[
        float | None, says("Of an island's two tracks by that edge, in mm.")
    ]
    rows: Annotated[
        tuple[ByTable, ...],
        says("Row by row, with how much more the stock asks for."),
    ]


class Asked(NamedTuple):
    """What stands beside the track in a scale, on which curve, and between which tracks
    how much of it: None is straight track, and no island.
    """

    what: What
    scale: ScaleName
    radius_mm: float | None
    island_width_mm: float | None


class ByStock(NamedTuple):
    """What the stock asks for: from the centre line to the edge on the worse side, and
    how much of that the curve adds, in mm.
    """

    edge_mm: float
    thrown_mm: float


class _Rows(NamedTuple):
    edge: Found
    heights: tuple[Found, ...]
    widened: Found


def by_standard(
    asked: Asked, bodies: Iterable[BodyShape], by_stock: ByStock | None
) -> LinesideTable:
    """Return what standards have, with how much more the stock asks for; ``by_stock``
    is None where that cannot be told. **Source** the standards of ``published``.
    """
    rows = _rows(asked, group_of(asked.scale, bodies))
    edge_mm = _figure(rows.edge)
    centres_mm = None
    if asked.island_width_mm is not None and isinstance(rows.edge, Held):
        centres_mm = tidy(2 * rows.edge.value_mm + asked.island_width_mm)
    height_mm: Figure = "not_held"
    if rows.heights:
        height_mm = _figure(rows.heights[0])
    return LinesideTable(
        edge_mm=edge_mm,
        height_mm=height_mm,
        widening_mm=_figure(rows.widened),
        track_centres_mm=centres_mm,
        rows=tuple(_told(asked, rows, by_stock)),
    )


def group_of(name: ScaleName, bodies: Iterable[BodyShape]) -> Group | None:
    """Return the group of NEM 103 that the longest of some bodies is of; None where a
    figure is lacking, or one is too long for all of them. **Source** NEM 103 (2016).
    """
    size = size_of(name)
    if size is None:
        return None
    found: set[Group] = set()
    for body in bodies:
        front_mm, rear_mm = body.half_front_mm, body.half_rear_mm
        if front_mm is None or rear_mm is None or body.pivots_mm is None:
            return None
        its_group = group(
            size,
            body_mm=front_mm + rear_mm,
            pivots_mm=body.pivots_mm,
        )
        if its_group is None:
            return None
        found.add(its_group)
    # by their letters, the longest comes last
    return max(found, default=None)


def _rows(asked: Asked, longest: Group | None) -> _Rows:
    name = asked.scale
    widened = widening(name, radius_mm=asked.radius_mm, group=longest)
    if asked.what in PLATFORMS:
        return _Rows(platform_edge(name), platform_heights(name), widened)
    if scale(name).practice == "american":
        return _Rows(clear_aside(name), (clear_above(name),), widened)
    if asked.what == "pier":
        edge = _widened(structure_half_width(name), widened)
        return _Rows(edge, (structure_height(name),), widened)
    wall = tunnel_wall(name, widened=widened)
    return _Rows(wall, (structure_height(name),), widened)


def _widened(straight: Found, widened: Found) -> Found:
    """Return a figure of straight track with what a curve adds to it."""
    row = f"{widened.row}, {HALF_WIDTH}"
    if isinstance(widened, NotAllowed):
        return NotAllowed(standard=straight.standard, row=row)
    if not (isinstance(straight, Held) and isinstance(widened, Held)):
        return NotHeld(standard=straight.standard, row=row)
    if widened.value_mm == 0:
        return straight
    value_mm = tidy(straight.value_mm + widened.value_mm)
    return Held(standard=straight.standard, row=row, value_mm=value_mm)


def _figure(found: Found) -> Figure:
    if isinstance(found, Held):
        return found.value_mm
    return "not_allowed" if isinstance(found, NotAllowed) else "not_held"


def _told(asked: Asked, rows: _Rows, by_stock: ByStock | None) -> Iterator[ByTable]:
    edge_mm = thrown_mm = None
    if by_stock is not None:
        edge_mm, thrown_mm = by_stock
    yield beside(rows.edge, geometry_mm=edge_mm)
    for height in rows.heights:
        yield beside(height)
    if size_of(asked.scale) is None:
        return
    yield beside(rows.widened, geometry_mm=thrown_mm)
    if asked.what in {"wall", "portal"}:
        yield beside(structure_half_width(asked.scale))
