"""A train laid down along a run, for referees: what lies under it, and what is wrong with
that. Nothing here is the search's.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from standage.railway.moves.ground import Ground, Span, on_course, span_on
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Run
from standage.railway.track.network.network import Course

NEAR_MM = 1e-5
"""Runs are told to a millionth of a millimetre; sums of them are a little less exact."""


class Part(NamedTuple):
    """A course of a run: where it begins, from the run's start, and how long it is."""

    course: Course
    base_mm: float
    own_mm: float


class Met(NamedTuple):
    """A stretch of a course that a train lies on, from the course's start."""

    course: Course
    from_mm: float
    to_mm: float


def parts_of(ground: Ground, run: Run) -> list[Part]:
    """Return the courses of a run, in mm. **Source** derived."""
    parts = []
    base_mm = 0.0
    for course in run.courses:
        own_mm = ground.length_mm(course)
        parts.append(Part(course, base_mm, own_mm))
        base_mm += own_mm
    return parts


def met_under(parts: Sequence[Part], lead_mm: float, *, train_mm: float) -> list[Met]:
    """Return the stretches under a train, from its rear to its lead, in mm; what it only
    touches is left out. **Source** derived.
    """
    rear_mm = lead_mm - train_mm
    found = []
    # One before the rear's own part: what lies at its very end is as near.
    first = max(0, bisect_right(parts, rear_mm, key=_base_mm) - 2)
    for part in parts[first:]:
        if part.base_mm > lead_mm:
            break
        from_mm = max(0.0, rear_mm - part.base_mm)
        to_mm = min(part.own_mm, lead_mm - part.base_mm)
        if to_mm - from_mm > NEAR_MM:
            found.append(Met(part.course, from_mm, to_mm))
    return found


def _base_mm(part: Part) -> float:
    return part.base_mm


def spans_of(ground: Ground, under: Sequence[Met]) -> list[Span]:
    """Return the same stretches by strand, in mm. **Source** derived."""
    return [
        span_on(met.course, met.from_mm, met.to_mm, own_mm=ground.length_mm(met.course))
        for met in under
    ]


def leads_to_look(
    ground: Ground,
    run: Run,
    parts: Sequence[Part],
    also: Sequence[Span],
    *,
    train_mm: float,
) -> list[float]:
    """Return where a train's lead is to be looked at, in mm: at both ends of a run, and
    between the places at which anything changes under its lead or its rear.

    ``also`` are stretches that matter besides what is shut or foul. **Source** derived.
    """
    edges_mm = {run.from_mm, run.to_mm}
    for part in parts:
        for at_mm in _edges_of(ground, part, also):
            lead_there_mm = part.base_mm + at_mm
            rear_there_mm = lead_there_mm + train_mm
            edges_mm |= {lead_there_mm, rear_there_mm}
    within = sorted(mm for mm in edges_mm if run.from_mm <= mm <= run.to_mm)
    between = [(one + other) / 2 for one, other in pairwise(within)]
    return [run.from_mm, *between, run.to_mm]


def _edges_of(ground: Ground, part: Part, also: Sequence[Span]) -> Iterator[float]:
    """Yield where along a course anything begins or ends."""
    yield 0.0
    yield part.own_mm
    for from_mm, to_mm in ground.shut.get(part.course, ()):
        yield from_mm
        yield to_mm
    for zone in ground.zones.get(part.course, ()):
        yield zone.from_mm
        yield zone.to_mm
    for span in also:
        if span.strand == part.course >> 1:
            yield from on_course(span, part.course, own_mm=part.own_mm)


def wrong_with(
    ground: Ground, under: Sequence[Span], beside: Sequence[Span] = ()
) -> Iterator[str]:
    """Yield in words what is wrong with where a train lies, while another one, if any,
    stands ``beside``. **Source** the rules of moves.
    """
    if any(overlap(one, other) for one, other in combinations(under, 2)):
        yield "the train lies on itself"
    if any(overlap(one, other) for one in under for other in beside):
        yield "it lies on the other train"
    for span in under:
        for from_mm, to_mm in ground.shut.get(2 * span.strand, ()):
            if shares(span, from_mm, to_mm):
                yield "other stock is in the way"
    own = set(_sides(ground, under))
    others = set(_sides(ground, beside))
    rivals = {(rivalry, 1 - side) for rivalry, side in own}
    if own & rivals:
        yield "the train is foul of itself"
    if others & rivals:
        yield "it is foul of the other train"


def _sides(ground: Ground, spans: Sequence[Span]) -> Iterator[tuple[int, int]]:
    """Yield the zones that stretches lie in: the rivalry, and the side of it."""
    for span in spans:
        for zone in ground.zones.get(2 * span.strand, ()):
            if shares(span, zone.from_mm, zone.to_mm):
                yield zone.rivalry, zone.side


def overlap(one: Span, other: Span) -> bool:
    """Tell whether two stretches have track in common. **Source** derived."""
    return one.strand == other.strand and shares(one, other.from_mm, other.to_mm)


def shares(span: Span, from_mm: float, to_mm: float) -> bool:
    """Tell whether a stretch has track in common with one of the same strand, in mm.
    **Source** derived.
    """
    # Most of what is looked at lies apart: it is told first.
    if span.to_mm <= from_mm or to_mm <= span.from_mm:
        return False
    return min(span.to_mm, to_mm) - max(span.from_mm, from_mm) > NEAR_MM


def covers(ground: Ground, stand: Stand, spans: Sequence[Span]) -> bool:
    """Tell whether every stretch lies between the limits of a place. **Source**
    derived.
    """
    within: list[Span] = []
    base_mm = 0.0
    for course in stand.courses:
        own_mm = ground.length_mm(course)
        from_mm = max(0.0, stand.from_mm - base_mm)
        to_mm = min(own_mm, stand.to_mm - base_mm)
        if to_mm > from_mm:
            within.append(span_on(course, from_mm, to_mm, own_mm=own_mm))
        base_mm += own_mm
    return all(any(_holds(one, span) for one in within) for span in spans)


def _holds(one: Span, span: Span) -> bool:
    if one.strand != span.strand:
        return False
    begins = one.from_mm - NEAR_MM <= span.from_mm
    return begins and span.to_mm <= one.to_mm + NEAR_MM


def too_near_blades(
    ground: Ground, parts: Sequence[Part], rear_mm: float, *, margin_mm: float
) -> Iterator[float]:
    """Yield how far a rear stands past blades, in mm, where that is less than the margin.
    **Source** the rules of moves.
    """
    for before, part in pairwise(parts):
        past_mm = rear_mm - part.base_mm
        is_too_near = -NEAR_MM <= past_mm < margin_mm - NEAR_MM
        if is_too_near and _has_blades(ground, before.course, part.course):
            yield past_mm


def _has_blades(ground: Ground, before: Course, after: Course) -> bool:
    """Tell whether there are blades between two courses, met from either side."""
    ways_on = ground.network.onwards(before)
    ways_back = ground.network.onwards(after ^ 1)
    return max(len(ways_on), len(ways_back)) > 1
