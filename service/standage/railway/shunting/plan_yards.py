"""A yard as a track plan has it: its sidings, its headshunt, and the rooms between.

Lengths are mm. A siding's begins at the fouling point, the headshunt's at the tips of
the blades of its first points.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import partial
from itertools import combinations
from math import inf

import msgspec

from standage.railway.roads.plan_roads import (
    PlanRoad,
    road_of,
    roads_called,
    why_unknown,
)
from standage.railway.shunting.fans import (
    A_STRETCH,
    Fan,
    Neck,
    crossed_twice,
    fan_of,
    neck_of,
    why_no_siding,
)
from standage.railway.shunting.yard import (
    MOST_PLACES,
    MOST_SIDINGS,
    RoomBetween,
    Siding,
    Yard,
)
from standage.railway.terms.figures import cut, tidy
from standage.railway.track.network.network import Course, Network, Stop
from standage.railway.track.network.positions import resolved
from standage.railway.track.roads.roads import natural
from standage.railway.track.survey.survey import Survey
from standage.railway.track.survey.touched import touched_pieces
from standage.shapes.faults import Fault, Faulty, all_of

_LONGEST_MESSAGE = 200
_ON_THE_PLAN = "/plan"
_TOO_CLOSE = "lies too close to its neighbour: nothing can stand there"


class YardWish(msgspec.Struct, frozen=True, kw_only=True):
    """The headshunt of a yard, and which of its sidings are meant; None for all."""

    headshunt: PlanRoad
    sidings: tuple[PlanRoad, ...] | None = None
    uncoupled_ahead: bool = False


class PlanYard(msgspec.Struct, frozen=True, kw_only=True):
    """A yard with the roads of the plan that it is made of: the ``headshunt``, and the
    ``sidings`` in the yard's order.

    ``kept_clear_of`` is the piece that ends the headshunt where no buffers do; what is
    ``left_out`` is told in words.
    """

    yard: Yard
    headshunt: PlanRoad
    sidings: tuple[PlanRoad, ...]
    kept_clear_of: str | None
    left_out: tuple[str, ...]


class _Found(msgspec.Struct, frozen=True, kw_only=True):
    """A road that is wanted as a siding, the last course of the way there, and where it
    was asked for.
    """

    road: PlanRoad
    end: Course
    pointer: str


def yard_of_plan(found: Survey, wish: YardWish) -> PlanYard:
    """Return the yard that a headshunt of a plan makes with the dead ends which trains
    reach from it without turning back, by name in natural order or as they are wished.

    The headshunt is as long as the plan gives it from the tips of its first points; two
    sidings that part farther on have so much more room between them as the way is
    long from those tips to the tips where they part. Uncoupling fittings on the
    headshunt count from the tips, those on a siding from its fouling point. A length by
    tape counts before the plan's.

    Raises ``Faulty`` with pointers into the wish, or to ``/plan``, for what is no fan
    and for every length that nobody can tell. Takes as many steps as the plan has
    courses. **Source** derived from the rules of moves.
    """
    network = found.network
    neck = neck_of(network, wish.headshunt)
    fan = fan_of(network, neck)
    if wish.sidings is None:
        sidings, left_out = _all_sidings(found, neck, fan)
    else:
        sidings, left_out = _named_sidings(found, neck, fan, wish.sidings), ()
    parts = [partial(_siding, found, one) for one in sidings]
    measured: list[Siding]
    headshunt_mm, _, *measured = all_of(
        partial(_headshunt_mm, found, neck),
        partial(_ways_are_sound, found, neck, fan, sidings),
        *parts,
    )
    yard = Yard(
        headshunt_usable_length_mm=headshunt_mm,
        sidings=tuple(measured),
        rooms=tuple(_rooms(network, fan, sidings, headshunt_mm=headshunt_mm)),
        headshunt_uncoupling_places_mm=_places_mm(
            found, neck.road, _back(neck.courses), pointer="/headshunt"
        ),
        uncoupled_ahead=wish.uncoupled_ahead,
    )
    far = network.stop(neck.courses[0] ^ 1)
    ends_at_buffers = far is None or far.kind == "buffer_stop"
    return PlanYard(
        yard=yard,
        headshunt=neck.road,
        sidings=tuple(one.road for one in sidings),
        kept_clear_of=None if ends_at_buffers or far is None else far.piece,
        left_out=left_out,
    )


def _back(courses: Sequence[Course]) -> tuple[Course, ...]:
    return tuple(course ^ 1 for course in reversed(courses))


def _all_sidings(
    found: Survey, neck: Neck, fan: Fan
) -> tuple[list[_Found], tuple[str, ...]]:
    """Return every dead end of a fan on which anything can stand, and why the other
    roads are none.
    """
    roads = _roads_at(found, fan.ends)
    sidings: list[_Found] = []
    others: list[tuple[str, str]] = []
    for end, stop in fan.ends.items():
        road = roads.get(end)
        why = _why_left_out(road, stop)
        if why is not None:
            name = found.network.piece(end) if road is None else road.name
            others.append((name, why))
        elif road is not None:
            sidings.append(_Found(road=road, end=end, pointer=_ON_THE_PLAN))
    sidings.sort(key=lambda one: natural(one.road.name))
    others.sort(key=lambda one: natural(one[0]))
    left_out = tuple(f"{cut(name)} {why}" for name, why in others)
    if not sidings:
        message = (
            f"from {cut(neck.road.name)} no dead end is reached over {neck.points}"
        )
        message += f": {left_out[0]}" if left_out else ""
        raise _refused("no_sidings", message, "/headshunt")
    if len(sidings) > MOST_SIDINGS:
        message = (
            f"{len(sidings)} sidings are reached from {cut(neck.road.name)}: name at"
            f" most {MOST_SIDINGS} of them in sidings"
        )
        raise _refused("too_many", message, "/sidings")
    _require_names(sidings)
    return sidings, left_out


def _roads_at(found: Survey, ends: Collection[Course]) -> dict[Course, PlanRoad]:
    """Return the roads that end with some courses, by these."""
    roads: dict[Course, PlanRoad] = {}
    for usable, marks in zip(found.usable, found.stopping, strict=True):
        courses = usable.road.courses
        for end in (courses[-1], courses[0] ^ 1):
            if end in ends:
                roads[end] = _as_called(found, road_of(found, usable, marks))
    return roads


def _as_called(found: Survey, road: PlanRoad) -> PlanRoad:
    """Return a road as the place that lies on just it, which may have been measured."""
    called = roads_called(found, road.name)
    if len(called) == 1 and _strands(called[0]) == _strands(road):
        return called[0]
    return road


def _strands(road: PlanRoad) -> frozenset[int]:
    return frozenset(course >> 1 for course in road.courses)


def _why_left_out(road: PlanRoad | None, stop: Stop) -> str | None:
    if stop.kind != "buffer_stop":
        return why_no_siding(stop)
    if road is not None and road.surveyed_mm is None and road.is_too_close:
        return _TOO_CLOSE
    return None


def _named_sidings(
    found: Survey, neck: Neck, fan: Fan, named: Sequence[PlanRoad]
) -> list[_Found]:
    sidings: list[_Found] = []
    faults: list[Fault] = []
    by_strand = {end >> 1: end for end in fan.ends}
    roads = _roads_at(found, fan.ends)
    for number, road in enumerate(named):
        pointer = f"/sidings/{number}"
        ends = [by_strand[one] for one in _strands(road) if one in by_strand]
        why = _why_not(neck, fan, road, {end: roads.get(end) for end in ends})
        if why is None:
            sidings.append(_Found(road=road, end=ends[0], pointer=pointer))
        else:
            message = f"{cut(road.name)} {why}"
            faults.append(_fault("no_siding", message, pointer))
    if faults:
        raise Faulty(faults)
    _require_names(sidings)
    return sidings


def _why_not(
    neck: Neck, fan: Fan, road: PlanRoad, ends: Mapping[Course, PlanRoad | None]
) -> str | None:
    """Return why a road is no siding of a yard; None where it is one. ``ends`` are the
    ways that end on it, each with the whole road there.
    """
    if not road.courses:
        return A_STRETCH
    if not ends:
        return (
            f"is no end of a way from {cut(neck.road.name)}: no train gets there without"
            " turning back or going on"
        )
    end, whole = next(iter(ends.items()))
    why = _why_left_out(road, fan.ends[end])
    if why is not None:
        return why
    if whole is None or _strands(whole) != _strands(road):
        name = "the road that ends there" if whole is None else cut(whole.name)
        return f"runs over points or a crossing: name {name} instead"
    return None


def _require_names(sidings: Sequence[_Found]) -> None:
    """Raise ``Faulty`` where two sidings bear one name, or one is named twice."""
    seen: set[str] = set()
    faults = []
    for one in sidings:
        name = one.road.name
        if name in seen:
            message = f"there are two sidings {cut(name)}"
            faults.append(_fault("not_unique", message, one.pointer))
        seen.add(name)
    if faults:
        raise Faulty(faults)


def _siding(found: Survey, one: _Found) -> Siding:
    """Return a siding with its length; raises ``Faulty`` with what to measure."""
    road = one.road
    length_mm = _length_mm(found, road, road.usable_length_mm, one.pointer)
    # as the way from the headshunt runs into it, which ends where it does
    is_on = road.courses[-1] == one.end
    courses = road.courses if is_on else _back(road.courses)
    near = road.limits[0 if is_on else 1]
    return Siding(
        name=road.name,
        usable_length_mm=length_mm,
        uncoupling_places_mm=_places_mm(
            found,
            road,
            courses,
            from_mm=near.from_blades_mm or 0.0,
            pointer=one.pointer,
        ),
    )


def _headshunt_mm(found: Survey, neck: Neck) -> float:
    """Return the room from the blade tips to the headshunt's far limit: what is foul of
    points beyond the tips is room too, as long as nothing stands there.
    """
    road = neck.road
    room_mm = None
    far_mm = road.limits[neck.far].from_blades_mm
    if road.blades_to_blades_mm is not None and far_mm is not None:
        room_mm = road.blades_to_blades_mm - far_mm if far_mm < inf else 0.0
    return _length_mm(found, road, room_mm, "/headshunt")


def _length_mm(
    found: Survey, road: PlanRoad, by_plan_mm: float | None, pointer: str
) -> float:
    if road.surveyed_mm is not None:
        return road.surveyed_mm
    unknown = why_unknown(found, road)
    if unknown is not None or by_plan_mm is None:
        message = unknown or f"{road.name}: its length cannot be told"
        raise _refused("missing", message, pointer)
    return tidy(max(0.0, by_plan_mm))


def _ways_are_sound(
    found: Survey, neck: Neck, fan: Fan, sidings: Sequence[_Found]
) -> None:
    """Raise ``Faulty`` where the plan is at fault on a way into a siding, or that way
    crosses itself, and for track that two ways share and of which nobody knows the
    length.
    """
    network = found.network
    touched = set(touched_pieces(found))
    faults: list[Fault] = []
    for one in sidings:
        way = fan.way_to(one.end)
        name = cut(one.road.name)
        amiss = [piece for piece in map(network.piece, way) if piece in touched]
        if amiss:
            message = f"the plan is at fault at {cut(amiss[0])}, on the way into {name}"
            message += ": check the plan"
            faults.append(_fault("plan_fault", message, one.pointer))
        twice = crossed_twice(network, neck.courses + way)
        if twice is not None:
            message = f"the way into {name} runs over {cut(twice)} twice"
            faults.append(_fault("circuit", message, one.pointer))
    shared = (
        course
        for one, other in combinations(sidings, 2)
        for course in _shared(fan, one, other)
    )
    for piece in dict.fromkeys(map(network.piece, _unmeasured(network, shared))):
        message = f"how long {cut(piece)} is, by the plan, cannot be told: measure it"
        faults.append(_fault("missing", message, _ON_THE_PLAN))
    if faults:
        raise Faulty(faults)


def _unmeasured(network: Network, courses: Iterator[Course]) -> Iterator[Course]:
    for course in courses:
        if network.strand(course).length_mm is None:
            yield course


def _shared(fan: Fan, one: _Found, other: _Found) -> Iterator[Course]:
    """Yield the courses from the first blade tips on up to the tips at which the ways
    into two sidings part.
    """
    both = zip(fan.way_to(one.end), fan.way_to(other.end), strict=False)
    for course, beside in both:
        if course != beside:
            return
        yield course


def _rooms(
    network: Network, fan: Fan, sidings: Sequence[_Found], *, headshunt_mm: float
) -> Iterator[RoomBetween]:
    """Yield the room between every two sidings that part beyond the first points."""
    for one, other in combinations(sidings, 2):
        lengths_mm = [
            network.strand(course).length_mm or 0.0
            for course in _shared(fan, one, other)
        ]
        farther_mm = sum(lengths_mm)
        if farther_mm > 0:
            yield RoomBetween(
                between=(one.road.name, other.road.name),
                room_mm=tidy(headshunt_mm + farther_mm),
            )


def _places_mm(
    found: Survey,
    road: PlanRoad,
    courses: Sequence[Course],
    *,
    from_mm: float = 0.0,
    pointer: str,
) -> tuple[float, ...] | None:
    """Return where uncoupling fittings lie along courses, from so far along them on; in
    order, each once. None where there are none.
    """
    network = found.network
    begins_mm: dict[int, float] = {}
    along_mm = 0.0
    for course in courses:
        begins_mm[course] = along_mm
        along_mm += network.strand(course).length_mm or 0.0
    places_mm: set[float] = set()
    for fitting in found.plan.fittings:
        spotted = resolved(network, fitting) if fitting.kind == "uncoupling" else None
        if spotted is None:
            continue
        course, at_mm = spotted.course, spotted.along_mm
        if course not in begins_mm:
            course ^= 1
            at_mm = (network.strand(course).length_mm or 0.0) - at_mm
        if course in begins_mm:
            places_mm.add(tidy(begins_mm[course] + at_mm - from_mm))
    within_mm = sorted(place_mm for place_mm in places_mm if place_mm >= 0)
    if len(within_mm) > MOST_PLACES:
        message = (
            f"{cut(road.name)} has {len(within_mm)} uncoupling places, but at most"
            f" {MOST_PLACES} are taken on one road"
        )
        raise _refused("too_many", message, pointer)
    return tuple(within_mm) or None


def _fault(code: str, message: str, pointer: str) -> Fault:
    return Fault(code=code, message=message[:_LONGEST_MESSAGE], pointer=pointer)


def _refused(code: str, message: str, pointer: str) -> Faulty:
    return Faulty([_fault(code, message, pointer)])
