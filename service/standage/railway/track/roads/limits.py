"""How much of each road can be used: from its farthest limit at one end to that at the
other."""

from collections.abc import Iterable, Mapping, Sequence
from math import inf

import msgspec

from standage.railway.terms.figures import tidy
from standage.railway.track.fouling.fouling import FoulingPoint, Reach
from standage.railway.track.network.network import Course, Network, Stop
from standage.railway.track.network.positions import Spotted, onwards, told
from standage.railway.track.pieces.shapes import LimitKind
from standage.railway.track.plans.plan import Position
from standage.railway.track.roads.roads import Road


class EndLimit(msgspec.Struct, frozen=True, kw_only=True):
    """Where trains must stop short at one end of a road, ``from_blades_mm`` from it.

    From the blades there, or whatever else ends the road. ``because`` names the piece
    that puts it there. The length is inf where the ways never part, and None where
    nobody can tell for want of ``unknown``'s shape or measures.
    """

    kind: LimitKind
    because: str
    from_blades_mm: float | None
    position: Position | None
    unknown: str | None = None


class Usable(msgspec.Struct, frozen=True, kw_only=True):
    """The three lengths of a road but that between stopping marks; None for not known.

    ``is_too_close`` where its limits meet or cross, so that nothing is left of it.
    """

    road: Road
    limits: tuple[EndLimit, ...]
    usable_length_mm: float | None
    blades_to_blades_mm: float | None
    is_too_close: bool


class _Entry(msgspec.Struct, frozen=True, kw_only=True):
    reach: Reach
    beyond_mm: float | None


def usable_lengths(
    network: Network, roads: Sequence[Road], points: Iterable[FoulingPoint]
) -> tuple[Usable, ...]:
    """Return what can be used of each road, in the order of ``roads``.

    A road ends at the farthest limit that reaches into it, whichever points put it
    there. Takes as many steps as the ways on that lead to limits have pieces. In mm;
    nothing is less than 0. **Source** common practice: clear of the fouling points.
    """
    entries = _by_entry(network, roads, points)
    return tuple(_usable(network, road, entries) for road in roads)


def _by_entry(
    network: Network, roads: Sequence[Road], points: Iterable[FoulingPoint]
) -> dict[Course, list[_Entry]]:
    """Return the limits by the courses with which ways enter a road from its end."""
    starts = {course for road in roads for course in ends_of_road(road)}
    entries: dict[Course, list[_Entry]] = {}
    for point in points:
        for reach in point_reaches(point):
            for entered, beyond_mm in _entered(network, reach, starts):
                entry = _Entry(reach=reach, beyond_mm=beyond_mm)
                entries.setdefault(entered, []).append(entry)
    return entries


def point_reaches(point: FoulingPoint) -> Iterable[Reach]:
    """Return the limits on all ways on, and those legs' of which nothing is known.
    **Source** derived.
    """
    yield from point.reaches
    for leg in point.legs:
        if leg.farthest.from_blades_mm is None:
            yield leg.farthest


def ends_of_road(road: Road) -> tuple[Course, ...]:
    """Return the two courses with which a road is entered from its ends. **Source**
    derived.
    """
    if road.stops is None:
        return ()
    return road.courses[0], road.courses[-1] ^ 1


def _entered(
    network: Network, reach: Reach, starts: set[Course]
) -> Iterable[tuple[Course, float | None]]:
    """Yield the roads that a limit's way enters, with how far in the limit then
    lies."""
    if reach.along_mm is None:
        yield reach.courses[0], None
        return
    left_mm = reach.along_mm
    for course in reach.courses:
        if course in starts and left_mm > 0:
            yield course, left_mm
        length_mm = network.strand(course).length_mm
        if length_mm is None or left_mm <= 0:
            return
        left_mm -= length_mm


def _usable(
    network: Network, road: Road, entries: Mapping[Course, list[_Entry]]
) -> Usable:
    length_mm = road.length_mm
    if road.stops is None:
        return Usable(
            road=road,
            limits=(),
            usable_length_mm=length_mm,
            blades_to_blades_mm=length_mm,
            is_too_close=False,
        )
    both = zip(ends_of_road(road), road.stops, strict=True)
    limits = tuple(
        _limit(network, start, stop, entries.get(start, ())) for start, stop in both
    )
    left_mm = left_between(length_mm, [limit.from_blades_mm for limit in limits])
    return Usable(
        road=road,
        limits=limits,
        usable_length_mm=None if left_mm is None else max(0.0, left_mm),
        blades_to_blades_mm=length_mm,
        is_too_close=left_mm is not None and left_mm <= 0 < (length_mm or inf),
    )


def left_between(
    length_mm: float | None, limits_mm: Sequence[float | None]
) -> float | None:
    """Return what is left of a length between limits; less than 0 where they cross. In
    mm; None where the length or a limit is not known, ``-inf`` where a limit takes all
    of it. **Source** derived.
    """
    known_mm = [limit_mm for limit_mm in limits_mm if limit_mm is not None]
    if length_mm is None or len(known_mm) < len(limits_mm):
        return None
    if inf not in known_mm:
        return tidy(length_mm - sum(known_mm))
    return -inf


def _limit(
    network: Network, start: Course, stop: Stop, entries: Sequence[_Entry]
) -> EndLimit:
    unknown = [entry for entry in entries if entry.beyond_mm is None]
    if unknown:
        reach = unknown[0].reach
        return EndLimit(
            kind="fouling_point",
            because=reach.points,
            from_blades_mm=None,
            position=None,
            unknown=reach.unknown,
        )
    if not entries:
        return _own_limit(network, start, stop)
    farthest = max(entries, key=_beyond)
    beyond_mm = _beyond(farthest)
    return EndLimit(
        kind="fouling_point",
        because=farthest.reach.points,
        from_blades_mm=beyond_mm,
        position=position_along(network, start, beyond_mm),
    )


def _beyond(entry: _Entry) -> float:
    return entry.beyond_mm or 0.0


def _own_limit(network: Network, start: Course, stop: Stop) -> EndLimit:
    return EndLimit(
        kind=stop.kind,
        because=stop.piece,
        from_blades_mm=0.0,
        position=position_along(network, start, 0.0),
    )


def position_along(network: Network, start: Course, along_mm: float) -> Position | None:
    """Return a place so far along from a course's start; None where it is endless. In
    mm. **Source** derived.
    """
    if along_mm == inf:
        return None
    spotted: Spotted = onwards(network, start, along_mm)
    return told(network, spotted)
