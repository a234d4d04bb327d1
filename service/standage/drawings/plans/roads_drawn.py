"""A road of a plan, or a place on one, straightened: what lies where along it, from its
first end.
"""

from collections.abc import Iterator, Sequence
from math import inf

import msgspec

from standage.drawings.plans.content import called_roads
from standage.drawings.plans.lettering import kept_apart
from standage.railway.terms.figures import millimetres
from standage.railway.track.network.network import Course
from standage.railway.track.network.positions import resolved
from standage.railway.track.plans.plan import FittingKind
from standage.railway.track.roads.limits import EndLimit, Usable
from standage.railway.track.roads.road_places import FoundPlace, end_name
from standage.railway.track.survey.survey import Survey


class OnRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A fitting on a road, so far from its first end."""

    kind: FittingKind
    at_mm: float


class PartOfRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A piece that a road runs over, from where to where."""

    piece: str
    from_mm: float
    to_mm: float


class StraightRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road from its first end to its last; ``length_mm`` None where nobody knows.

    ``limits_mm`` are where trains must stop short, from the first end: two, or none
    where it closes on itself; None for one that nobody can tell.
    """

    name: str
    ends: tuple[str, ...]
    courses: tuple[Course, ...]
    length_mm: float | None
    limits_mm: tuple[float | None, ...]
    usable_mm: float | None
    parts: tuple[PartOfRoad, ...]
    fittings: tuple[OnRoad, ...]

    @property
    def usable_from_mm(self) -> float | None:
        """Where trains may stand from; None where that is not known."""
        if not self.limits_mm:
            return 0.0
        return self.limits_mm[0]

    @property
    def said(self) -> str:
        """Its name as it stands among other words."""
        return kept_apart(self.name)

    @property
    def length(self) -> str:
        """Its usable length in words."""
        if self.usable_mm is None:
            return "usable length not known"
        return f"usable {millimetres(self.usable_mm)}"


def straight_roads(found: Survey) -> Iterator[StraightRoad]:
    """Yield every road of a plan, as its place is called."""
    called = called_roads(found)
    for usable in found.usable:
        name = called.get(
            usable.road.name,
            usable.road.name,
        )
        yield _of_road(found, usable, name)


def straight_road(found: Survey, name: str) -> StraightRoad | None:
    """Return a place, or else a road, by its name; None where there is no such."""
    for place in found.places:
        if place.place.name == name and place.courses:
            return _of_place(found, place)
    for usable in found.usable:
        if usable.road.name == name:
            return _of_road(found, usable, name)
    return None


def road_names(found: Survey) -> list[str]:
    """Return the names by which roads can be asked for."""
    places = [one.place.name for one in found.places if one.courses]
    return [*places, *(one.road.name for one in found.usable)]


def _of_road(found: Survey, usable: Usable, name: str) -> StraightRoad:
    stops = usable.road.stops or ()
    return _road(
        found,
        name,
        tuple(end_name(stop) for stop in stops),
        usable.road.courses,
        usable.limits,
        usable.usable_length_mm,
    )


def _of_place(found: Survey, place: FoundPlace) -> StraightRoad:
    ends = place.ends if place.limits else ()
    return _road(
        found,
        place.place.name,
        ends,
        place.courses,
        place.limits,
        place.usable_length_mm,
    )


def _road(
    found: Survey,
    name: str,
    ends: tuple[str, ...],
    courses: tuple[Course, ...],
    limits: Sequence[EndLimit],
    usable_mm: float | None,
) -> StraightRoad:
    parts = tuple(_parts(found, courses))
    is_known = len(parts) == len(courses)
    length_mm = parts[-1].to_mm if parts and is_known else None
    return StraightRoad(
        name=name,
        ends=ends,
        courses=courses,
        length_mm=length_mm,
        limits_mm=tuple(_limits_mm(limits, length_mm)),
        usable_mm=usable_mm,
        parts=parts,
        fittings=tuple(_fittings(found, courses, parts)),
    )


def _parts(found: Survey, courses: Sequence[Course]) -> Iterator[PartOfRoad]:
    """Yield what a road runs over, as far as its lengths are known."""
    from_mm = 0.0
    for course in courses:
        length_mm = found.network.strand(course).length_mm
        if length_mm is None:
            return
        to_mm = from_mm + length_mm
        piece = found.network.piece(course)
        yield PartOfRoad(
            piece=piece,
            from_mm=from_mm,
            to_mm=to_mm,
        )
        from_mm = to_mm


def _limits_mm(
    limits: Sequence[EndLimit], length_mm: float | None
) -> Iterator[float | None]:
    if len(limits) != 2:  # noqa: PLR2004 - two ends, or none on a ring
        return
    near_mm, far_mm = (limit.from_blades_mm for limit in limits)
    yield None if near_mm == inf else near_mm
    if far_mm is None or far_mm == inf or length_mm is None:
        yield None
    else:
        yield length_mm - far_mm


def _fittings(
    found: Survey, courses: Sequence[Course], parts: Sequence[PartOfRoad]
) -> Iterator[OnRoad]:
    places = {
        course >> 1: (course, part)
        for course, part in zip(courses, parts, strict=False)
    }
    for fitting in found.plan.fittings:
        if fitting.piece not in found.network.shapes:
            continue
        spotted = resolved(found.network, fitting)
        if spotted is None or spotted.course >> 1 not in places:
            continue
        course, part = places[spotted.course >> 1]
        at_mm = part.from_mm + spotted.along_mm
        if course != spotted.course:
            at_mm = part.to_mm - spotted.along_mm
        yield OnRoad(kind=fitting.kind, at_mm=at_mm)
