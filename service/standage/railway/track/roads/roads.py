"""Roads: plain track from limit to limit, found on the network and named by kind.

A road is told from its first end to its last. Which end is first hangs on the names
there and on nothing else: legs before toes, and these before all other limits.
"""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Literal

import msgspec

from standage.railway.track.network.network import Course, Network, Stop
from standage.railway.track.pieces.shapes import LimitKind, is_knot
from standage.railway.track.plans.plan import PlannedPlace

RoadKind = Literal["circuit", "balloon", "headshunt", "siding", "loop", "running_line"]
_FIRST_ENDS: tuple[LimitKind, ...] = (
    "fouling_point",
    "blade_tips",
    "deck_edge",
    "open_end",
    "buffer_stop",
    "trap",
)
Natural = tuple[tuple[int, int, str], ...]
_DIGITS = re.compile(r"(\d+)")


class Road(msgspec.Struct, frozen=True, kw_only=True):
    """A road by its courses in order; no ``stops`` where it closes on itself.

    ``pieces`` are those of plain track that it runs over. ``starts_mm`` is where each
    course begins, from the first; None, as the length, beyond one of unknown length.
    ``place_of`` has the place of each strand in ``courses``.
    Its ``name`` is that of the place that lies on it, else its kind with its first
    piece; of a road without plain track, with the leg that it begins at.
    """

    name: str
    kind: RoadKind
    courses: tuple[Course, ...]
    stops: tuple[Stop, Stop] | None
    pieces: tuple[str, ...]
    starts_mm: tuple[float | None, ...]
    length_mm: float | None
    place_of: Mapping[int, int]


class _Found(msgspec.Struct, frozen=True, kw_only=True):
    courses: tuple[Course, ...]
    stops: tuple[Stop, Stop] | None


def roads(network: Network, places: Sequence[PlannedPlace] = ()) -> tuple[Road, ...]:
    """Return all roads of a plan, by their names in natural order; each strand is in
    one. A road bears the name of the first of ``places`` that lies on it.

    Cores, between the knots of one piece, are in none, nor is a leg that leads to a
    trap. Takes as many steps as there are strands. **Source** derived.
    """
    found = list(_all(network))
    entered = [one for one in found if not _leads_to_trap(one)]
    between = Counter(_points_of(one) for one in entered)
    called = _called(network, entered, places)
    made = [
        _road(
            network,
            one,
            between,
            called.get(number),
        )
        for number, one in enumerate(entered)
    ]
    return tuple(sorted(made, key=lambda road: natural(road.name)))


def _called(
    network: Network, found: Sequence[_Found], places: Sequence[PlannedPlace]
) -> dict[int, str]:
    """Return the names of places by the number of the one road that each lies on."""
    road_of: dict[str, int] = {}
    for number, one in enumerate(found):
        road_of |= dict.fromkeys(plain_pieces(network, one.courses), number)
    called: dict[int, str] = {}
    for place in places:
        lies_on = {road_of.get(piece) for piece in place.on or ()}
        if len(lies_on) == 1:
            (only,) = lies_on
            if only is not None:
                called.setdefault(only, place.name)
    return called


def natural(name: str) -> Natural:
    """Return a key by which S2 comes before S10. **Source** derived.

    >>> sorted(["S10", "S2"], key=natural)
    ['S2', 'S10']
    """
    parts = [part for part in _DIGITS.split(name) if part]
    return tuple(
        (0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts
    )


def _all(network: Network) -> Iterator[_Found]:
    seen: set[int] = set()
    for number, strand in enumerate(network.strands):
        if strand.core:
            seen.add(number)
    for start, stop in _beginnings(network):
        if start >> 1 not in seen:
            yield _from_stop(
                network,
                start,
                stop,
                seen,
            )
    for number in range(len(network.strands)):
        if number not in seen:
            yield _round(network, 2 * number, seen)


def _beginnings(network: Network) -> Iterator[tuple[Course, Stop]]:
    """Yield every course that sets out from a limit, with that limit."""
    for number in range(len(network.strands)):
        for course in (2 * number, 2 * number + 1):
            stop = network.stop(course ^ 1)
            if stop is not None:
                yield course, stop


def _from_stop(network: Network, start: Course, stop: Stop, seen: set[int]) -> _Found:
    courses = list(_along(network, start, seen))
    far = network.stop(courses[-1])
    return _oriented(network, _Found(courses=tuple(courses), stops=(stop, far or stop)))


def _along(network: Network, start: Course, seen: set[int]) -> Iterator[Course]:
    course = start
    while course >> 1 not in seen:
        seen.add(course >> 1)
        yield course
        if network.stop(course) is not None:
            return
        course = network.onwards(course)[0]


def _round(network: Network, start: Course, seen: set[int]) -> _Found:
    """Return a circuit, told from its first piece by name, from end a on."""
    courses = list(_along(network, start, seen))
    first = min(courses, key=lambda course: _order(network, course))
    if first & 1:
        courses = [course ^ 1 for course in reversed(courses)]
        first ^= 1
    at = courses.index(first)
    return _Found(courses=tuple(courses[at:] + courses[:at]), stops=None)


def _order(network: Network, course: Course) -> tuple[Natural, int]:
    return natural(network.piece(course)), course >> 1


def _oriented(network: Network, found: _Found) -> _Found:
    if found.stops is None:
        return found
    near, far = found.stops
    if _rank(near) < _rank(far):
        return found
    if _rank(near) == _rank(far):
        first, last = found.courses[0], found.courses[-1]
        if natural(network.piece(first)) <= natural(network.piece(last)):
            return found
    courses = tuple(course ^ 1 for course in reversed(found.courses))
    return _Found(courses=courses, stops=(far, near))


def _rank(stop: Stop) -> tuple[object, ...]:
    kind = _FIRST_ENDS.index(stop.kind)
    return kind, natural(stop.piece), stop.leg or "", stop.at


def _leads_to_trap(found: _Found) -> bool:
    if found.stops is None:
        return False
    return any(stop.kind == "trap" for stop in found.stops)


def _points_of(found: _Found) -> frozenset[str]:
    """Return the two sets of points that a road lies between; nothing for other
    limits."""
    if found.stops is None or not _is_at_points(found.stops):
        return frozenset()
    return frozenset(stop.piece for stop in found.stops)


def _is_at_points(stops: Iterable[Stop]) -> bool:
    return all(stop.kind in {"fouling_point", "blade_tips"} for stop in stops)


def _kind(found: _Found, between: Counter[frozenset[str]]) -> RoadKind:
    if found.stops is None:
        return "circuit"
    kinds = {stop.kind for stop in found.stops}
    points = _points_of(found)
    if kinds == {"fouling_point"}:
        if len(points) == 1:
            # What leaves a diamond and comes back to it has not turned round.
            words = {stop.word for stop in found.stops}
            return "running_line" if words == {"crossing"} else "balloon"
        return "loop" if between[points] > 1 else "running_line"
    if kinds == {"buffer_stop", "blade_tips"}:
        return "headshunt"
    if kinds == {"buffer_stop", "fouling_point"}:
        return "siding"
    return "running_line"


def _road(
    network: Network,
    found: _Found,
    between: Counter[frozenset[str]],
    called: str | None,
) -> Road:
    starts_mm: list[float | None] = []
    along_mm: float | None = 0.0
    for course in found.courses:
        starts_mm.append(along_mm)
        length_mm = network.strand(course).length_mm
        known = along_mm is not None and length_mm is not None
        along_mm = (along_mm or 0.0) + (length_mm or 0.0) if known else None
    kind = _kind(found, between)
    own = f"{kind.replace('_', ' ')} {_first(network, found.courses)}"
    return Road(
        name=called or own,
        kind=kind,
        courses=found.courses,
        stops=found.stops,
        pieces=plain_pieces(network, found.courses),
        starts_mm=tuple(starts_mm),
        length_mm=along_mm,
        place_of={course >> 1: place for place, course in enumerate(found.courses)},
    )


def _first(network: Network, courses: Sequence[Course]) -> str:
    """Return the first piece of plain track; without any, the leg that a road begins
    with."""
    pieces = plain_pieces(network, courses)
    if pieces:
        return pieces[0]
    first = courses[0]
    piece = network.piece(first)
    if len(network.shapes[piece].ends) == 1:
        return piece
    end = network.begins(first)
    if is_knot(end):
        end = network.leads_to(first)
    return f"{piece} {end}"


def plain_pieces(network: Network, courses: Sequence[Course]) -> tuple[str, ...]:
    """Return the pieces of plain track that courses run over, in their order.
    **Source** derived.
    """
    pieces = [network.piece(course) for course in courses if _is_plain(network, course)]
    return tuple(pieces)


def _is_plain(network: Network, course: Course) -> bool:
    return not is_knot(network.begins(course)) and not is_knot(network.leads_to(course))
