"""Where an end of a train may have to come to stand, so that another gets by."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence

from standage.railway.moves.ground import Ground, Span
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.standing import Stand
from standage.railway.track.network.network import Course

MOST_MARKS = 4_000
"""So many marks are counted on one plan."""
_PLACES = 6

Spot = tuple[Course, float]
"""A point of the track, in mm from the start of a course on it."""


class Marks:
    """Points of the track by the courses over it, in mm from the start of each."""

    def __init__(self, ground: Ground, spots: Iterable[Spot]) -> None:
        found: dict[Course, set[float]] = {}
        waiting = list(spots)
        while waiting:
            course, at_mm = waiting.pop()
            own_mm = ground.length_mm(course)
            at_mm = round(at_mm, _PLACES)
            marks = found.setdefault(course, set())
            if at_mm in marks:
                continue
            marks.add(at_mm)
            waiting.append((course ^ 1, own_mm - at_mm))
            if at_mm >= own_mm - TOUCHING_MM:
                # The same point begins whatever follows.
                waiting += [(way, 0.0) for way in ground.network.onwards(course)]
        self._by_course = {course: sorted(marks) for course, marks in found.items()}

    def __len__(self) -> int:
        return sum(len(marks) for marks in self._by_course.values()) // 2

    def after(self, course: Course, at_mm: float) -> float | None:
        """Return the next mark along a course, from its start; None where none is."""
        marks = self._by_course.get(course, ())
        number = bisect_right(marks, at_mm + 10 * TOUCHING_MM)
        if number < len(marks):
            return marks[number]
        return None

    def spots(self) -> Iterator[Spot]:
        """Yield every mark, once for each way over its track."""
        for course, marks in self._by_course.items():
            for at_mm in marks:
                yield course, at_mm


def lasting_marks(
    ground: Ground, stands: Iterable[Stand], barred: Sequence[Span], *, margin_mm: float
) -> Marks:
    """Return the points at which it changes what stands in whose way.

    These are blades, and the margin past them; ends of zones, of what is shut, of
    ``barred`` stretches, of the track, and the limits of places. In mm. **Source**
    derived.
    """
    spots = [
        *_blades_and_stops(ground, margin_mm),
        *_edges(ground, barred),
        *_limits(ground, stands),
    ]
    return Marks(ground, spots)


def with_touching(ground: Ground, marks: Marks, *, train_mm: float) -> Marks:
    """Return marks with the points where one train's end lies while its other end, or
    another train's that it touches, is at one of them; in mm. **Source** derived.
    """
    spots = list(marks.spots())
    reached: set[Spot] = set()
    for course, at_mm in list(spots):
        reached |= _so_far_on(ground, course, at_mm + train_mm)
        if len(reached) > MOST_MARKS:
            break
    return Marks(ground, [*spots, *reached])


def _so_far_on(ground: Ground, course: Course, at_mm: float) -> set[Spot]:
    """Return where one comes so far from the start of a course, over every way on."""
    found: set[Spot] = set()
    seen: set[Spot] = set()
    waiting = [(course, at_mm)]
    while waiting and len(seen) < MOST_MARKS:
        here, left_mm = waiting.pop()
        if (here, left_mm) in seen:
            continue
        seen.add((here, left_mm))
        own_mm = ground.length_mm(here)
        if left_mm <= own_mm + TOUCHING_MM:
            found.add((here, round(min(left_mm, own_mm), _PLACES)))
            continue
        beyond_mm = round(left_mm - own_mm, _PLACES)
        waiting += [(way, beyond_mm) for way in ground.onwards(here)]
    return found


def _blades_and_stops(ground: Ground, margin_mm: float) -> Iterator[Spot]:
    for course in range(2 * len(ground.lengths_mm)):
        own_mm = ground.length_mm(course)
        ways = ground.network.onwards(course)
        back = ground.network.onwards(ways[0] ^ 1) if len(ways) == 1 else ()
        if len(back) == 1 and ground.onwards(course) == ways:
            continue
        yield course, own_mm
        if not margin_mm or not ways:
            continue
        for way in (course ^ 1, *ways):
            yield from _so_far_on(ground, way, margin_mm)


def _edges(ground: Ground, barred: Sequence[Span]) -> Iterator[Spot]:
    for course, zones in ground.zones.items():
        for zone in zones:
            yield course, zone.from_mm
            yield course, zone.to_mm
    for course, shut in ground.shut.items():
        for stretch in shut:
            for at_mm in stretch:
                yield course, at_mm
    for span in barred:
        yield 2 * span.strand, span.from_mm
        yield 2 * span.strand, span.to_mm


def _limits(ground: Ground, stands: Iterable[Stand]) -> Iterator[Spot]:
    for stand in stands:
        base_mm = 0.0
        for course in stand.courses:
            own_mm = ground.length_mm(course)
            for limit_mm in (stand.from_mm, stand.to_mm):
                at_mm = limit_mm - base_mm
                if -TOUCHING_MM <= at_mm <= own_mm + TOUCHING_MM:
                    yield course, min(max(at_mm, 0.0), own_mm)
            base_mm += own_mm
