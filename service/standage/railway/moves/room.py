"""How far a train gets on over the next course, and where it may stop."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import inf

from standage.railway.moves.ground import Ground
from standage.railway.moves.standing import Lying
from standage.railway.track.network.network import Course

TOUCHING_MM = 1e-7
"""What lacks less than this lacks nothing: sums of lengths are no more exact."""


def free_mm(
    ground: Ground,
    train: Lying,
    train_mm: float,
    also_shut: Sequence[tuple[float, float]] = (),
) -> float:
    """Return how far along its last course a train's lead gets, from that one's start.

    It stops before other stock and what that bars, before a zone of which the rival
    lies under the train itself, and before its own rear. ``also_shut`` are stretches of
    the last course that this train may not enter. **Source** derived.
    """
    course = train.courses[-1]
    lead_mm = train.rear_mm + train_mm - train.bases_mm[-1]
    stops_mm = [
        ground.length_mm(course),
        *_before_others(
            ground,
            course,
            lead_mm,
            also_shut,
        ),
        *_before_rivals(ground, train, train_mm),
        *_before_itself(ground, train, train_mm),
    ]
    return max(lead_mm, min(stops_mm))


def _before_others(
    ground: Ground,
    course: Course,
    lead_mm: float,
    also_shut: Sequence[tuple[float, float]],
) -> Iterator[float]:
    shut = ground.shut.get(course, ())
    for from_mm, to_mm in (*shut, *also_shut):
        is_ahead = to_mm > lead_mm + TOUCHING_MM
        is_long = to_mm > from_mm + TOUCHING_MM
        if is_ahead and is_long:
            yield from_mm


def _before_rivals(ground: Ground, train: Lying, train_mm: float) -> Iterator[float]:
    """Yield where zones begin of which the rivals would still lie under the train."""
    course, base_mm = train.courses[-1], train.bases_mm[-1]
    entered = ground.zones.get(course)
    if not entered:
        return
    passed = _zones_passed(ground, train)
    lead_mm = train.rear_mm + train_mm
    for zone in entered:
        begins_mm = base_mm + zone.from_mm
        if begins_mm < lead_mm - TOUCHING_MM:
            continue
        rivals = passed.get((zone.rivalry, 1 - zone.side), ())
        ends_mm = [to_mm for from_mm, to_mm in rivals if from_mm <= begins_mm]
        if begins_mm - max(ends_mm, default=-inf) < train_mm - TOUCHING_MM:
            yield zone.from_mm


def _zones_passed(
    ground: Ground, train: Lying
) -> dict[tuple[int, int], list[tuple[float, float]]]:
    """Return from where to where the train's way lies in each side of each rivalry."""
    passed: dict[tuple[int, int], list[tuple[float, float]]] = defaultdict(list)
    for course, base_mm in zip(train.courses, train.bases_mm, strict=True):
        for zone in ground.zones.get(course, ()):
            side = (zone.rivalry, zone.side)
            from_mm = base_mm + zone.from_mm
            to_mm = base_mm + zone.to_mm
            passed[side].append((from_mm, to_mm))
    return passed


def _before_itself(ground: Ground, train: Lying, train_mm: float) -> Iterator[float]:
    """Yield the start of the last course where the train lies on it already."""
    course, base_mm = train.courses[-1], train.bases_mm[-1]
    if train.rear_mm + train_mm > base_mm + TOUCHING_MM:
        return
    for under, under_mm in zip(train.courses[:-1], train.bases_mm[:-1], strict=True):
        if under == course:
            apart_mm = base_mm - under_mm
        elif under == course ^ 1:
            apart_mm = base_mm - under_mm - ground.length_mm(under)
        else:
            continue
        if apart_mm < train_mm - TOUCHING_MM:
            yield 0.0


def ways_back(ground: Ground, train: Lying) -> Iterator[int]:
    """Yield the numbers of the courses that a train enters over blades over which it
    could go back another way. **Source** derived.
    """
    steps = pairwise(train.courses)
    for number, (before, course) in enumerate(steps, start=1):
        if any(way != before ^ 1 for way in ground.onwards(course ^ 1)):
            yield number


def blades_behind(ground: Ground, train: Lying, *, least_mm: float) -> Iterator[float]:
    """Yield where there are blades on a train's way and behind it, met from their toe
    or from a leg, from the farthest that is no less than ``least_mm``, in mm from the
    start of its run. **Source** derived.
    """
    yield from reversed(list(_blades_before(ground, train, least_mm=least_mm)))
    steps = pairwise(train.courses)
    for (before, after), base_mm in zip(steps, train.bases_mm[1:], strict=True):
        if _has_blades(ground, before, after):
            yield base_mm


def _blades_before(ground: Ground, train: Lying, *, least_mm: float) -> Iterator[float]:
    """Yield the nearest blades behind the first course that is known of a train."""
    course, base_mm = train.courses[0], train.bases_mm[0]
    while base_mm >= least_mm:
        back = ground.network.onwards(course ^ 1)
        if not back:
            return
        before = back[0] ^ 1
        if _has_blades(ground, before, course):
            yield base_mm
            return
        course = before
        base_mm -= ground.length_mm(course)


def _has_blades(ground: Ground, before: Course, after: Course) -> bool:
    ways_on = ground.network.onwards(before)
    back = ground.network.onwards(after ^ 1)
    return max(len(ways_on), len(back)) > 1


def clear_of_blades(
    ground: Ground, train: Lying, rear_mm: float, *, margin_mm: float
) -> float:
    """Return where a rear may stop: there, or past further blades by the margin, in mm
    from the start of its run. **Source** the rules of moves.
    """
    if not margin_mm:
        return rear_mm
    least_mm = rear_mm - margin_mm
    for blades_mm in blades_behind(ground, train, least_mm=least_mm):
        past_mm = rear_mm - blades_mm
        if -TOUCHING_MM <= past_mm < margin_mm - TOUCHING_MM:
            rear_mm = blades_mm + margin_mm
    return rear_mm


def cleared_mm(ground: Ground, train: Lying, *, margin_mm: float) -> Iterator[float]:
    """Yield where a rear has just cleared blades by the margin, those that it may go
    back over only as it came included, in mm from the start of its run. **Source** the
    rules of moves.
    """
    least_mm = train.rear_mm - margin_mm
    for blades_mm in blades_behind(ground, train, least_mm=least_mm):
        yield clear_of_blades(ground, train, blades_mm + margin_mm, margin_mm=margin_mm)
