"""Places on a plan's track: where a position lies, the marks to paint, and the lines
along which trains may stand. In mm of the plan, y up.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from math import inf

from standage.drawings.plans.ways import Bend, bends_of
from standage.railway.track.fouling.fouling import LegFouling
from standage.railway.track.network.network import Course
from standage.railway.track.paths.spots import Spot, along_arc
from standage.railway.track.pieces.shapes import Shape
from standage.railway.track.roads.limits import Usable
from standage.railway.track.survey.lying import Lying, between
from standage.railway.track.survey.survey import Survey

USUAL_GAUGE_MM = 16.5
_USUAL_SPACING_MM = 50.0
_MOST_SPACINGS = 3
"""A mark is not longer than so many spacings of tracks: nobody would paint it."""
_GAP_MM = 3.0
"""Two places that lie so much farther apart than they should do not meet."""

Line = tuple[complex, ...]


def usable_lines(usable: Usable, places: Sequence[Lying]) -> Iterator[Line]:
    """Yield the lines along which trains may stand on a road, parted at its gaps.

    ``places`` are those along the whole road.
    """
    left_mm = usable.usable_length_mm
    if not places or not left_mm:
        return
    from_mm = 0.0
    if usable.limits:
        from_mm = usable.limits[0].from_blades_mm or 0.0
    kept = between(places, from_mm, from_mm + left_mm)
    here: list[complex] = [kept[0].spot.point]
    for one, two in pairwise(kept):
        point = two.spot.point
        apart_mm = abs(point - one.spot.point)
        if apart_mm > two.along_mm - one.along_mm + _GAP_MM:
            yield tuple(here)
            here = []
        here.append(point)
    yield tuple(here)


def fouling_marks(found: Survey) -> Iterator[Line]:
    """Yield the marks to paint: each joins the fouling points of two legs that part.

    Where these lie far from each other, or one of them beyond the track's end, the
    other has a mark of its own across its track.
    """
    half_mm = 0.8 * (found.plan.laid_gauge_mm or USUAL_GAUGE_MM)
    for point in found.points:
        spots = {leg.leg: _leg_spot(found, leg) for leg in point.legs}
        known = {leg: spot for leg, spot in spots.items() if spot is not None}
        most_mm = _MOST_SPACINGS * (point.spacing_mm or _USUAL_SPACING_MM)
        marked: set[str] = set()
        for pair in _beside_each_other(found.network.shapes[point.points], known):
            one, other = (known[leg].point for leg in pair)
            if abs(one - other) <= most_mm:
                marked |= {*pair}
                yield (one, other)
        for leg, spot in known.items():
            if leg not in marked:
                yield across(spot, half_mm)


def _beside_each_other(
    shape: Shape, known: Mapping[str, Spot]
) -> Iterator[tuple[str, str]]:
    """Yield the pairs of legs between which marks are painted: each leg with the
    nearest of those that part from it.
    """
    pairs: dict[tuple[str, str], None] = {}
    for leg, spot in known.items():
        near = [pair for pair in shape.pairs if leg in pair and known.keys() >= {*pair}]
        apart_mm = {
            pair: sum(abs(known[other].point - spot.point) for other in pair)
            for pair in near
        }
        if near:
            pairs[min(near, key=apart_mm.__getitem__)] = None
    yield from pairs


def _leg_spot(found: Survey, leg: LegFouling) -> Spot | None:
    """Return where a leg's fouling point lies, along the way on that sets it.

    None where nobody knows, and where it lies beyond the end of the track.
    """
    reach = leg.farthest
    if reach.along_mm is None or reach.along_mm == inf:
        return None
    left_mm = reach.along_mm
    for course in reach.courses:
        length_mm = found.network.strand(course).length_mm or 0.0
        if left_mm <= length_mm:
            return spot_at(found, course, left_mm)
        left_mm -= length_mm
    return None


def spot_at(found: Survey, course: Course, along_mm: float) -> Spot | None:
    """Return a place so far along a course; None where that has no place.

    Before its start and past its end the course runs on as it does there.
    """
    bends = bends_of(found, course >> 1)
    if not bends:
        return None
    left_mm = along_mm
    if course & 1:
        left_mm = sum(bend.length_mm for bend in bends) - along_mm
    spot = _along(bends, left_mm)
    if course & 1:
        return spot.turned_about
    return spot


def _along(bends: Sequence[Bend], left_mm: float) -> Spot:
    *before, last = bends
    for bend in before:
        if left_mm <= bend.length_mm:
            return along_arc(bend.start, left_mm, bend.curvature)
        left_mm -= bend.length_mm
    return along_arc(last.start, left_mm, last.curvature)


def across(spot: Spot, half_mm: float) -> Line:
    """Return a line across the track, so far to either side of its middle."""
    aside = 1j * spot.direction * half_mm
    return (spot.point + aside, spot.point - aside)
