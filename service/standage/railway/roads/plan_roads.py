"""Roads and places of a surveyed track plan, as places where trains stand."""

from collections.abc import Callable, Iterator, Sequence

import msgspec

from standage.railway.roads.places import LimitKind, Place, PlaceEnd, PlaceKind
from standage.railway.terms.figures import tidy
from standage.railway.track.network.network import Course
from standage.railway.track.pieces.shapes import LimitKind as TrackLimit
from standage.railway.track.roads.limits import EndLimit, Usable
from standage.railway.track.roads.road_figures import bending
from standage.railway.track.roads.road_places import FoundPlace, end_name
from standage.railway.track.roads.stopping import Stopping
from standage.railway.track.survey.survey import Survey
from standage.railway.track.survey.touched import touched_pieces

_KINDS: dict[str, PlaceKind] = {
    "siding": "siding",
    "headshunt": "headshunt",
    "platform": "platform",
    "storage_road": "storage_road",
    "cassette": "cassette",
    "traverser": "traverser",
    "sector_plate": "sector_plate",
    "turntable": "turntable",
    "reversing_section": "reversing_section",
}
"""Whatever else a plan has is a road between two limits, and judged as a loop is."""
_LIMITS: dict[TrackLimit, LimitKind] = {
    "fouling_point": "fouling_point",
    "blade_tips": "blade_tips",
    "buffer_stop": "buffer_stop",
    "deck_edge": "rail_end",
}


class PlanRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road or a place of a plan: where it runs, and what can be used of it.

    ``pieces`` are all that it runs over or ends at. Without ``courses`` it is a stretch
    that somebody measured. ``surveyed_mm`` is its usable length by a tape.
    """

    name: str
    kind: str
    courses: tuple[Course, ...]
    pieces: frozenset[str]
    limits: tuple[EndLimit, ...]
    ends: tuple[str, ...]
    usable_length_mm: float | None
    blades_to_blades_mm: float | None
    stop_to_stop_mm: float | None
    is_too_close: bool = False
    surveyed_mm: float | None = None


def roads_called(found: Survey, name: str) -> tuple[PlanRoad, ...]:
    """Return what a plan has under a name: its places before its roads, and names that
    differ in capitals only where there is none just so.

    Two of one name are two; none is no road. Takes as many steps as there are roads.
    **Source** derived.
    """
    exact = _called(found, name, str)
    return exact or _called(found, name.casefold(), str.casefold)


def road_names(found: Survey) -> tuple[str, ...]:
    """Return the names under which a plan's places and roads can be asked for, each
    once. **Source** derived."""
    places = [one.place.name for one in found.places]
    roads = [one.road.name for one in found.usable]
    return tuple(dict.fromkeys([*places, *roads]))


def names_over(found: Survey, piece: str) -> tuple[str, ...]:
    """Return the names of the roads that run over a piece of plain track. **Source**
    derived."""
    names = [one.road.name for one in found.usable if piece in one.road.pieces]
    return tuple(dict.fromkeys(names))


def _called(
    found: Survey, name: str, spelt: Callable[[str], str]
) -> tuple[PlanRoad, ...]:
    places = [one for one in found.places if spelt(one.place.name) == name]
    if places:
        return tuple(_of_place(found, one) for one in places)
    both = zip(found.usable, found.stopping, strict=True)
    return tuple(
        road_of(found, usable, marks)
        for usable, marks in both
        if spelt(usable.road.name) == name
    )


def road_of(found: Survey, usable: Usable, marks: Stopping) -> PlanRoad:
    """Return a road of a plan with its stopping marks by its own name, whatever places
    lie on it. **Source** derived.
    """
    road = usable.road
    stops = road.stops or ()
    return PlanRoad(
        name=road.name,
        kind=road.kind,
        courses=road.courses,
        pieces=_pieces(found, road.courses, usable.limits),
        limits=usable.limits,
        ends=tuple(end_name(stop) for stop in stops),
        usable_length_mm=usable.usable_length_mm,
        blades_to_blades_mm=usable.blades_to_blades_mm,
        stop_to_stop_mm=marks.stop_to_stop_mm,
        is_too_close=usable.is_too_close,
    )


def _of_place(found: Survey, one: FoundPlace) -> PlanRoad:
    kinds = [
        usable.road.kind for usable in found.usable if usable.road.name in one.roads
    ]
    return PlanRoad(
        name=one.place.name,
        kind=one.place.kind or next(iter(kinds), "loop"),
        courses=one.courses,
        pieces=_pieces(found, one.courses, one.limits),
        limits=one.limits,
        ends=one.ends,
        usable_length_mm=one.usable_length_mm,
        blades_to_blades_mm=one.blades_to_blades_mm,
        stop_to_stop_mm=one.marks.stop_to_stop_mm,
        is_too_close=bool(one.limits) and one.usable_length_mm == 0,
        surveyed_mm=one.place.surveyed_usable_length_mm,
    )


def _pieces(
    found: Survey, courses: Sequence[Course], limits: Sequence[EndLimit]
) -> frozenset[str]:
    over = {found.network.piece(course) for course in courses}
    return frozenset(over | {limit.because for limit in limits})


def place_of_road(found: Survey, road: PlanRoad) -> Place:
    """Return a road of a plan as a place, with all figures that the plan gives of it.

    Its sharpest curve lies on the road itself, from blades to blades; there is none to
    tell where a piece of it has no known shape. A ``usable_length_mm`` of None is one
    that ``why_unknown`` explains. **Source** derived.
    """
    plan = found.plan
    usable_mm = road.usable_length_mm
    if why_unknown(found, road) is not None:
        usable_mm = None
    radius_mm, no_curves = _curves(found, road)
    return Place(
        kind=_KINDS.get(road.kind, "loop"),
        name=road.name,
        usable_length_mm=_tidied(usable_mm),
        blades_to_blades_mm=_tidied(road.blades_to_blades_mm),
        stop_to_stop_mm=road.stop_to_stop_mm,
        scale=plan.scale,
        gauge_mm=plan.gauge_mm,
        minimum_radius_mm=_tidied(radius_mm),
        no_curves=no_curves,
        steepest_gradient_percent=_steepest_percent(found, road),
        ends=tuple(_ends(road)) or None,
    )


def why_unknown(found: Survey, road: PlanRoad) -> str | None:
    """Return why nobody can tell the usable length of a road, with the piece that it
    hangs on; None where the plan tells it.

    A road at which the plan itself is at fault is not told, nor is a reversing section
    between fouling points: it lies between isolation gaps. **Source** derived.
    """
    for piece in touched_pieces(found):
        if piece in road.pieces:
            return (
                f"{road.name}: its length cannot be told while the plan is at fault at"
                f" {piece}: check the plan"
            )
    if road.kind == "reversing_section" and road.courses:
        return (
            f"{road.name}: give the reversing section of the plan as a stretch, from"
            " isolation gap to isolation gap"
        )
    if road.usable_length_mm is not None:
        return None
    return next(_unknown(found, road), f"{road.name}: its length cannot be told")


def _unknown(found: Survey, road: PlanRoad) -> Iterator[str]:
    for course in road.courses:
        if found.network.strand(course).length_mm is None:
            piece = found.network.piece(course)
            yield f"{road.name}: how long {piece} is, by the plan, cannot be told"
    for limit in road.limits:
        if limit.from_blades_mm is None:
            yield f"{road.name}: {_unknown_limit(found, limit)}"


def _unknown_limit(found: Survey, limit: EndLimit) -> str:
    what = f"where it is clear of {limit.because} cannot be told"
    if limit.unknown is not None and limit.unknown != limit.because:
        return f"{what}, since the shape of {limit.unknown} is not known"
    if found.spacing is None:
        return f"{what}: give the plan its scale, or fouling_spacing_mm"
    return f"{what}: measure the fouling points of {limit.because}"


def _curves(found: Survey, road: PlanRoad) -> tuple[float | None, bool]:
    """Return the sharpest curve, and whether there is none at all."""
    bends = bending(found.network, road.courses)
    if bends.unknown or not road.courses:
        return None, False
    return bends.minimum_radius_mm, bends.minimum_radius_mm is None


def _steepest_percent(found: Survey, road: PlanRoad) -> float | None:
    if not road.courses:
        return None
    return _tidied(found.heights.steepest_percent(road.courses))


def _ends(road: PlanRoad) -> Iterator[PlaceEnd]:
    for limit, name in zip(road.limits, road.ends, strict=False):
        yield PlaceEnd(limit=_LIMITS.get(limit.kind, "other"), note=name)


def _tidied(figure: float | None) -> float | None:
    if figure is None:
        return None
    return tidy(figure)
