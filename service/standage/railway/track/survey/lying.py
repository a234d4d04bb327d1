"""Where track lies in the plane: places along it, for whoever draws it."""

from collections.abc import Iterator, Sequence
from math import ceil
from typing import NamedTuple

from standage.railway.track.network.network import Course
from standage.railway.track.paths.spots import Spot, along_arc, in_arcs
from standage.railway.track.placing.placing import within
from standage.railway.track.survey.survey import Survey

_MOST_TURN = 0.05
"""So far, in radians, an arc turns between two places."""
_MOST_PLACES = 400


class Lying(NamedTuple):
    """A place of track: how far along, and where."""

    along_mm: float
    spot: Spot


def lying(found: Survey, course: Course) -> list[Lying]:
    """Return places along a course, from its start to its end; none without a place.

    Between two of them an arc turns by a twentieth of a radian at most, but a course
    has no more than 400. In mm. **Source** derived.
    """
    strand = found.network.strand(course)
    frame = found.placed.frames.get(found.network.piece(course))
    if frame is None or strand.spot is None or strand.runs is None:
        return []
    places = [Lying(0.0, within(frame, strand.spot))]
    for run in strand.runs:
        for arc in in_arcs(run):
            start = places[-1]
            turn = abs(arc.length_mm * arc.curvature_from)
            steps = max(1, min(_MOST_PLACES, ceil(turn / _MOST_TURN)))
            for step in range(1, steps + 1):
                along_mm = arc.length_mm * step / steps
                spot = along_arc(start.spot, along_mm, arc.curvature_from)
                places.append(Lying(start.along_mm + along_mm, spot))
    if course & 1:
        return list(_turned(places))
    return places


def _turned(places: Sequence[Lying]) -> Iterator[Lying]:
    length_mm = places[-1].along_mm
    for along_mm, spot in reversed(places):
        yield Lying(length_mm - along_mm, spot.turned_about)


def road_lying(found: Survey, courses: Sequence[Course]) -> list[Lying]:
    """Return places along a road, counted from its first end; none where any of it has
    no place. **Source** derived.
    """
    places: list[Lying] = []
    for course in courses:
        own = lying(found, course)
        if not own:
            return []
        start_mm = places[-1].along_mm if places else 0.0
        places += [Lying(start_mm + along_mm, spot) for along_mm, spot in own]
    return places


def between(places: Sequence[Lying], from_mm: float, to_mm: float) -> list[Lying]:
    """Return the places of a road from one to another, both included. In mm along the
    road. **Source** derived.
    """
    inner = [one for one in places if from_mm < one.along_mm < to_mm]
    first = at(places, from_mm)
    last = at(places, to_mm)
    return [first, *inner, last]


def at(places: Sequence[Lying], along_mm: float) -> Lying:
    """Return the place so far along, on the chord between those beside it; beyond an
    end, straight on. **Source** derived.
    """
    after = next(
        (
            number
            for number, one in enumerate(places)
            if one.along_mm >= along_mm and number > 0
        ),
        len(places) - 1,
    )
    one, two = places[max(0, after - 1)], places[after]
    span_mm = two.along_mm - one.along_mm
    if span_mm <= 0:
        return Lying(along_mm, two.spot)
    share = (along_mm - one.along_mm) / span_mm
    point = one.spot.point + share * (two.spot.point - one.spot.point)
    return Lying(along_mm, Spot(point, one.spot.direction))
