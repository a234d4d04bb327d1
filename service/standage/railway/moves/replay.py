"""Runs played over again, without the search: everything that is wrong with them.

The train is laid down at every place at which anything changes and between these, and
what lies under it is looked at.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from standage.railway.moves.ground import Ground, Span, span_on
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Finish, Run, Wanted
from standage.railway.terms.unsound import UnsoundError
from standage.railway.track.network.network import Course

_NEAR_MM = 1e-5
"""Runs are told to a millionth of a millimetre; sums of them are a little less exact."""


def replayed(ground: Ground, wanted: Wanted, finish: Finish) -> Finish:
    """Return a finish whose runs break no rule; raises ``UnsoundError`` for others.

    **Source** the rules of moves.
    """
    broken = list(broken_rules(ground, wanted, finish))
    if broken:
        raise UnsoundError("; ".join(broken))
    return finish


class _Part(NamedTuple):
    course: Course
    base_mm: float
    own_mm: float


def broken_rules(ground: Ground, wanted: Wanted, finish: Finish) -> Iterator[str]:
    """Yield in words every rule that the runs of a finish break; nothing for sound ones.

    **Source** the rules of moves, each looked at by itself.
    """
    runs = finish.runs
    train_mm = wanted.train_mm
    if len(runs) != finish.reversals + 1:
        yield f"{len(runs)} runs have not {finish.reversals} reversals"
    distance_mm = sum(run.to_mm - run.from_mm for run in runs)
    if abs(distance_mm - finish.distance_mm) > _NEAR_MM:
        yield f"the runs come to {distance_mm:.3f} mm, not {finish.distance_mm:.3f}"
    yield from _wrong_start(ground, wanted, runs[0])
    for number, run in enumerate(runs):
        for words in (
            *_wrong_run(ground, run, train_mm),
            *_wrong_propelling(ground, wanted, run),
        ):
            yield f"run {number + 1}: {words}"
    for number, (one, other) in enumerate(pairwise(runs)):
        if one.engine_leads == other.engine_leads:
            yield f"run {number + 2}: the same end leads as before"
        if not _is_turned(ground, one, other, train_mm):
            yield f"run {number + 2} does not begin where the one before ends"
        yield from _wrong_reversal(ground, wanted, one, number)
    if wanted.every_goal:
        yield from _wrong_goal(ground, wanted.every_goal, runs[-1], train_mm)
    yield from _wrong_touch(ground, wanted, runs[-1])
    yield from _wrong_end(wanted, finish)


def _wrong_start(ground: Ground, wanted: Wanted, run: Run) -> Iterator[str]:
    under = _under(_parts(ground, run), run.from_mm, wanted.train_mm)
    starts = (wanted.start, *wanted.also_starts)
    if not any(_lies_in(ground, under, start) for start in starts):
        yield "it does not begin in its place"
    for words in _amiss(ground, under):
        yield f"where it begins {words}"


def _wrong_goal(
    ground: Ground, goals: Sequence[Stand], run: Run, train_mm: float
) -> Iterator[str]:
    under = _under(_parts(ground, run), run.to_mm, train_mm)
    if not any(_lies_in(ground, under, goal) for goal in goals):
        yield "it does not end in its goal"


def _wrong_touch(ground: Ground, wanted: Wanted, run: Run) -> Iterator[str]:
    """Yield where the lead does not come to what it is to touch."""
    if wanted.touches is None:
        return
    last = _parts(ground, run)[-1]
    apart_mm = abs(run.to_mm - last.base_mm - wanted.touches.at_mm)
    if last.course != wanted.touches.course or apart_mm > _NEAR_MM:
        yield "it does not end touching the train"


def _wrong_end(wanted: Wanted, finish: Finish) -> Iterator[str]:
    if wanted.ends_towards not in {None, finish.engine_towards}:
        yield "the engine points the other way at the goal"
    if wanted.leads_out not in {None, finish.engine_leads}:
        yield "the other end leads out of the plan"


def _wrong_run(ground: Ground, run: Run, train_mm: float) -> Iterator[str]:
    for one, other in pairwise(run.courses):
        if other not in ground.onwards(one):
            yield f"no way leads from course {one} to {other}"
    if run.to_mm < run.from_mm - _NEAR_MM:
        yield "it goes back"
    parts = _parts(ground, run)
    for lead_mm in _looked_at(ground, run, train_mm):
        under = _under(parts, lead_mm, train_mm)
        for words in _amiss(ground, under):
            yield f"at {lead_mm:.3f} mm {words}"


def _wrong_propelling(ground: Ground, wanted: Wanted, run: Run) -> Iterator[str]:
    """Yield where a train is propelled that may not be."""
    if run.engine_leads or run.to_mm - run.from_mm <= _NEAR_MM:
        return
    if not wanted.propels:
        yield "the engine does not lead"
    if not wanted.no_propelling:
        return
    parts = _parts(ground, run)
    for lead_mm in (run.from_mm, run.to_mm, *_looked_at(ground, run, wanted.train_mm)):
        under = _under(parts, lead_mm, wanted.train_mm)
        if any(_overlap(one, span) for one in under for span in wanted.no_propelling):
            yield f"at {lead_mm:.3f} mm it is propelled where it may not be"


def _looked_at(ground: Ground, run: Run, train_mm: float) -> list[float]:
    """Return the lead's places between those at which anything changes."""
    edges_mm = {run.from_mm, run.to_mm}
    for part in _parts(ground, run):
        for at_mm in _edges_of(ground, part):
            lead_there_mm = part.base_mm + at_mm
            rear_there_mm = lead_there_mm + train_mm
            edges_mm |= {lead_there_mm, rear_there_mm}
    within = [mm for mm in edges_mm if run.from_mm <= mm <= run.to_mm]
    within.sort()
    between = [(one + other) / 2 for one, other in pairwise(within)]
    return [run.from_mm, *between, run.to_mm]


def _edges_of(ground: Ground, part: _Part) -> Iterator[float]:
    """Yield where along a course anything begins or ends."""
    yield 0.0
    yield part.own_mm
    for from_mm, to_mm in ground.shut.get(part.course, ()):
        yield from_mm
        yield to_mm
    for zone in ground.zones.get(part.course, ()):
        yield zone.from_mm
        yield zone.to_mm


def _parts(ground: Ground, run: Run) -> list[_Part]:
    parts = []
    base_mm = 0.0
    for course in run.courses:
        own_mm = ground.length_mm(course)
        parts.append(_Part(course, base_mm, own_mm))
        base_mm += own_mm
    return parts


def _base_mm(part: _Part) -> float:
    return part.base_mm


def _under(parts: Sequence[_Part], lead_mm: float, train_mm: float) -> list[Span]:
    """Return the stretches of track under the train, touching ones left out."""
    spans = []
    rear_mm = lead_mm - train_mm
    # One before the rear's own part: what lies at its very end is as near.
    first = max(0, bisect_right(parts, rear_mm, key=_base_mm) - 2)
    for part in parts[first:]:
        if part.base_mm > lead_mm:
            break
        from_mm = max(0.0, lead_mm - train_mm - part.base_mm)
        to_mm = min(part.own_mm, lead_mm - part.base_mm)
        if to_mm - from_mm > _NEAR_MM:
            spans.append(span_on(part.course, from_mm, to_mm, own_mm=part.own_mm))
    return spans


def _amiss(ground: Ground, under: Sequence[Span]) -> Iterator[str]:
    for one, other in combinations(under, 2):
        if _overlap(one, other):
            yield "the train lies on itself"
    for span in under:
        for from_mm, to_mm in ground.shut.get(2 * span.strand, ()):
            if _shares(span, from_mm, to_mm):
                yield "other stock is in the way"
    sides: dict[int, set[int]] = {}
    for span in under:
        for zone in ground.zones.get(2 * span.strand, ()):
            if _shares(span, zone.from_mm, zone.to_mm):
                sides.setdefault(zone.rivalry, set()).add(zone.side)
    if any(len(both) > 1 for both in sides.values()):
        yield "the train is foul of itself"


def _overlap(one: Span, other: Span) -> bool:
    return one.strand == other.strand and _shares(one, other.from_mm, other.to_mm)


def _shares(span: Span, from_mm: float, to_mm: float) -> bool:
    """Tell whether a stretch has track in common with one of the same strand."""
    # Most of what is looked at lies apart: it is told first.
    if span.to_mm <= from_mm or to_mm <= span.from_mm:
        return False
    return min(span.to_mm, to_mm) - max(span.from_mm, from_mm) > _NEAR_MM


def _is_turned(ground: Ground, one: Run, other: Run, train_mm: float) -> bool:
    """Tell whether the next run begins on the same track, the other way round."""
    before = _under(_parts(ground, one), one.to_mm, train_mm)
    after = _under(_parts(ground, other), other.from_mm, train_mm)
    if len(before) != len(after):
        return False
    turned = reversed(after)
    pairs = zip(before, turned, strict=True)
    return all(_is_same(here, there) for here, there in pairs)


def _is_same(one: Span, other: Span) -> bool:
    apart_from_mm = abs(one.from_mm - other.from_mm)
    apart_to_mm = abs(one.to_mm - other.to_mm)
    is_near = apart_from_mm + apart_to_mm < _NEAR_MM
    return one.strand == other.strand and is_near


def _wrong_reversal(
    ground: Ground, wanted: Wanted, run: Run, number: int
) -> Iterator[str]:
    """Yield where a rear stands past blades, but not by the margin."""
    rear_mm = run.to_mm - wanted.train_mm
    least_mm = wanted.margin_mm - _NEAR_MM
    parts = _parts(ground, run)
    for before, part in pairwise(parts):
        past_mm = rear_mm - part.base_mm
        is_behind = past_mm >= -_NEAR_MM
        is_too_near = is_behind and past_mm < least_mm
        if is_too_near and _has_blades(ground, before.course, part.course):
            yield f"run {number + 1} ends {past_mm:.1f} mm past blades"


def _has_blades(ground: Ground, before: Course, after: Course) -> bool:
    """Tell whether there are blades between two courses, met from either side."""
    ways_on = ground.network.onwards(before)
    ways_back = ground.network.onwards(after ^ 1)
    return max(len(ways_on), len(ways_back)) > 1


def _lies_in(ground: Ground, under: Sequence[Span], stand: Stand) -> bool:
    """Tell whether every stretch lies between the limits of a place."""
    within: list[Span] = []
    base_mm = 0.0
    for course in stand.courses:
        own_mm = ground.length_mm(course)
        from_mm = max(0.0, stand.from_mm - base_mm)
        to_mm = min(own_mm, stand.to_mm - base_mm)
        if to_mm > from_mm:
            within.append(span_on(course, from_mm, to_mm, own_mm=own_mm))
        base_mm += own_mm
    return all(any(_holds(one, span) for one in within) for span in under)


def _holds(one: Span, span: Span) -> bool:
    if one.strand != span.strand:
        return False
    begins = one.from_mm - _NEAR_MM <= span.from_mm
    return begins and span.to_mm <= one.to_mm + _NEAR_MM
