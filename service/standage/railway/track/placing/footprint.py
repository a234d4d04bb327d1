"""How much room a plan takes, and whether it goes into the room that there is."""

from cmath import phase
from collections.abc import Iterable, Iterator
from math import ceil, floor, pi

import msgspec

from standage.railway.terms.figures import goes_into
from standage.railway.track.paths.spots import Spot, along_arc, in_arcs, onwards
from standage.railway.track.pieces.shapes import Strand
from standage.railway.track.placing.placing import Placing, within
from standage.railway.track.plans.flat import inner_plans
from standage.railway.track.plans.plan import OperatingSpace, Plan

_QUARTER = pi / 2
_MOST_QUARTERS = 4


class Footprint(msgspec.Struct, frozen=True, kw_only=True):
    """The room that boards take, or the track where no board is known, along x and y.

    ``goes_into_room`` is None where no room is given.
    """

    length_mm: float
    width_mm: float
    with_operating_space_mm: tuple[float, float]
    goes_into_room: bool | None


def footprint(plan: Plan, placed: Placing) -> Footprint | None:
    """Return how much room a placed plan takes; None where nothing has a place.

    It goes into the room either way round. Exact for the track's centre lines, whose
    curves are measured where they lie farthest out. **Source** derived.
    """
    corners = list(_corners(plan, placed))
    if not corners:
        return None
    across = [corner.real for corner in corners]
    up = [corner.imag for corner in corners]
    length_mm = max(across) - min(across)
    width_mm = max(up) - min(up)
    space = plan.operating_space_mm or OperatingSpace()
    whole = (length_mm + 2 * space.ends, width_mm + space.front + space.rear)
    return Footprint(
        length_mm=length_mm,
        width_mm=width_mm,
        with_operating_space_mm=whole,
        goes_into_room=_goes_in(whole, plan.room_mm),
    )


def _goes_in(whole: tuple[float, float], room: tuple[float, ...] | None) -> bool | None:
    if room is None:
        return None
    pairs = zip(sorted(whole), sorted(room), strict=True)
    return all(goes_into(size_mm, room_mm=room_mm) for size_mm, room_mm in pairs)


def _corners(plan: Plan, placed: Placing) -> Iterator[complex]:
    """Yield the corners of boards that have a place, and places of track farthest
    out."""
    if plan.board is not None:
        yield from (complex(x, y) for x, y in plan.board.outline)
    for name, inner in inner_plans(plan):
        body = placed.bodies.get(name)
        if body is not None and inner.board is not None:
            for x, y in inner.board.outline:
                yield within(body, Spot(complex(x, y), 1 + 0j)).point
    for piece, frame in placed.frames.items():
        for strand in placed.shapes[piece].strands:
            yield from _farthest_out(strand, frame)


def _farthest_out(strand: Strand, frame: Spot) -> Iterable[complex]:
    """Yield the ends of a strand's arcs, and where they run along x or y."""
    if strand.spot is None or strand.runs is None:
        return
    spot = within(frame, strand.spot)
    yield spot.point
    for run in strand.runs:
        start = spot
        for arc in in_arcs(run):
            for along_mm in _squares(start, arc.length_mm, arc.curvature_from):
                yield along_arc(start, along_mm, arc.curvature_from).point
            start = along_arc(start, arc.length_mm, arc.curvature_from)
        spot = onwards(spot, run)
        yield spot.point


def _squares(spot: Spot, length_mm: float, curvature: float) -> Iterator[float]:
    """Yield the places along an arc at which it runs along x or y, no more than
    four."""
    if curvature == 0:
        return
    heading = phase(spot.direction)
    turned = heading + length_mm * curvature
    low, high = sorted((heading, turned))
    first = ceil(low / _QUARTER)
    last = min(floor(high / _QUARTER), first + _MOST_QUARTERS - 1)
    for quarter in range(first, last + 1):
        yield (quarter * _QUARTER - heading) / curvature
