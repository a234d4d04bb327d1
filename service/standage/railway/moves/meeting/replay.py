"""The runs of two trains played over again, without the search: everything that is wrong
with them.

Both trains are laid down at every place at which anything changes, and between these.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from standage.railway.moves.ground import Ground, Span, span_on
from standage.railway.moves.meeting.meet import Meeting
from standage.railway.moves.meeting.met_runs import Both, MetRun, Which
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted
from standage.railway.terms.unsound import UnsoundError

_NEAR_MM = 1e-5
"""Runs are told to a millionth of a millimetre; sums of them are a little less exact."""


def replayed_meeting(ground: Ground, both: Both, meeting: Meeting) -> Meeting:
    """Return a meeting whose runs break no rule; raises ``UnsoundError`` for others.

    **Source** the rules of moves.
    """
    broken = list(broken_meeting_rules(ground, both, meeting))
    if broken:
        raise UnsoundError("; ".join(broken))
    return meeting


class _Met(NamedTuple):
    """A stretch that a train lies on, as its course is run over."""

    course: int
    from_mm: float
    to_mm: float


def broken_meeting_rules(ground: Ground, both: Both, meeting: Meeting) -> Iterator[str]:
    """Yield in words every rule that the runs of two trains break; nothing for sound
    ones. **Source** the rules of moves, each looked at by itself.
    """
    runs = meeting.runs
    distance_mm = sum(one.run.to_mm - one.run.from_mm for one in runs)
    if abs(distance_mm - meeting.distance_mm) > _NEAR_MM:
        yield f"the runs come to {distance_mm:.3f} mm, not {meeting.distance_mm:.3f}"
    reversals = 0
    for which in _WHICH:
        own = [one for one in runs if one.which == which]
        reversals += sum(
            one.run.engine_leads != other.run.engine_leads
            for one, other in pairwise(own)
        )
        for words in _wrong_train(ground, both[which], own):
            yield f"train {which}: {words}"
    if reversals != meeting.reversals:
        yield f"there are {reversals} reversals, not {meeting.reversals}"
    for number, one in enumerate(runs):
        for words in (
            *_wrong_run(ground, both[one.which], one),
            *_wrong_beside(ground, both, runs, number),
        ):
            yield f"run {number + 1}: {words}"


_WHICH: tuple[Which, Which] = (0, 1)


def _wrong_train(
    ground: Ground, wanted: Wanted, own: Sequence[MetRun]
) -> Iterator[str]:
    """Yield what is wrong with where one train begins, stops and ends."""
    if not own:
        return
    yield from _wrong_start(ground, wanted, own[0])
    for one, other in pairwise(own):
        before = _under(ground, one, one.run.to_mm, wanted.train_mm)
        after = _under(ground, other, other.run.from_mm, wanted.train_mm)
        if one.run.engine_leads != other.run.engine_leads:
            after = [_turned(ground, met) for met in reversed(after)]
        if not _is_same(before, after):
            yield "a run does not begin where the one before ended"
    for one in own:
        if wanted.out_at is None or one is not own[-1]:
            yield from _too_near_blades(ground, wanted, one)
    yield from _wrong_end(ground, wanted, own[-1])


def _wrong_start(ground: Ground, wanted: Wanted, one: MetRun) -> Iterator[str]:
    under = _under(ground, one, one.run.from_mm, wanted.train_mm)
    towards = int(wanted.engine_towards)
    if not one.run.engine_leads:
        towards = 1 - towards
    if not _lies_in(ground, under, wanted.start):
        yield "it does not begin in its place"
    elif not _runs_to(ground, under, wanted.start, towards):
        yield "it begins the wrong way round"


def _wrong_end(ground: Ground, wanted: Wanted, one: MetRun) -> Iterator[str]:
    under = _under(ground, one, one.run.to_mm, wanted.train_mm)
    leads = one.run.engine_leads
    if wanted.goal is None:
        if under:
            yield "it does not leave the plan"
        if wanted.leads_out not in {None, leads}:
            yield "the other end leads it out"
        return
    if not _lies_in(ground, under, wanted.goal):
        yield "it does not end in its goal"
    if wanted.ends_towards is not None:
        towards = wanted.ends_towards if leads else 1 - wanted.ends_towards
        if not _runs_to(ground, under, wanted.goal, towards):
            yield "its engine points the other way at its goal"


def _wrong_beside(
    ground: Ground, both: Both, runs: Sequence[MetRun], number: int
) -> Iterator[str]:
    """Yield where the other train does not stand where it was left."""
    one = runs[number]
    others_mm = both[1 - one.which].train_mm
    earlier = [run for run in runs[:number] if run.which != one.which]
    later = [run for run in runs[number:] if run.which != one.which]
    stands = sorted(one.beside)
    if earlier:
        left = _under(ground, earlier[-1], earlier[-1].run.to_mm, others_mm)
    elif later:
        left = _under(ground, later[0], later[0].run.from_mm, others_mm)
    else:
        asked = both[1 - one.which]
        for stand in (asked.start, asked.goal):
            if stand is None or not _covers(ground, stand, stands):
                yield "the other train, which never moves, is not in its place"
        return
    known = sorted(_span(ground, met) for met in left)
    is_near = len(known) == len(stands) and all(
        a.strand == b.strand
        and abs(a.from_mm - b.from_mm) + abs(a.to_mm - b.to_mm) < _NEAR_MM
        for a, b in zip(known, stands, strict=True)
    )
    if not is_near:
        yield "the other train does not stand where it was left"


def _wrong_run(ground: Ground, wanted: Wanted, one: MetRun) -> Iterator[str]:
    run = one.run
    for before, after in pairwise(run.courses):
        if after not in ground.onwards(before):
            yield f"no way leads from course {before} to {after}"
    if run.to_mm <= run.from_mm:
        yield "it goes nowhere"
    for lead_mm in _looked_at(ground, wanted, one):
        under = _under(ground, one, lead_mm, wanted.train_mm)
        spans = [_span(ground, met) for met in under]
        for words in _amiss(ground, spans, one.beside):
            yield f"at {lead_mm:.3f} mm {words}"
        if not run.engine_leads:
            barred = wanted.no_propelling
            if not wanted.propels or any(
                _overlap(span, other) for span in spans for other in barred
            ):
                yield f"at {lead_mm:.3f} mm it is propelled where it may not be"


def _amiss(
    ground: Ground, spans: Sequence[Span], beside: Sequence[Span]
) -> Iterator[str]:
    for one, other in combinations(spans, 2):
        if _overlap(one, other):
            yield "the train lies on itself"
    if any(_overlap(one, other) for one in spans for other in beside):
        yield "it lies on the other train"
    for one in spans:
        for from_mm, to_mm in ground.shut.get(2 * one.strand, ()):
            if _overlap(one, Span(one.strand, from_mm, to_mm)):
                yield "other stock is in the way"
    for side, rival in ground.rivals:
        own = _is_in(spans, side), _is_in(spans, rival)
        others = _is_in(beside, side), _is_in(beside, rival)
        if all(own):
            yield "the train is foul of itself"
        if (own[0] and others[1]) or (own[1] and others[0]):
            yield "it is foul of the other train"


def _is_in(spans: Sequence[Span], zone: Sequence[Span]) -> bool:
    return any(_overlap(one, other) for one in spans for other in zone)


def _looked_at(ground: Ground, wanted: Wanted, one: MetRun) -> list[float]:
    """Return the lead's places at which anything changes, and between these."""
    run = one.run
    edges_mm = {run.from_mm, run.to_mm}
    every = [*one.beside, *wanted.no_propelling]
    every += [span for rivals in ground.rivals for zone in rivals for span in zone]
    base_mm = 0.0
    for course in run.courses:
        own_mm = ground.length_mm(course)
        at_mm = [0.0, own_mm]
        for span in every:
            if span.strand == course >> 1:
                both_mm = (span.from_mm, span.to_mm)
                at_mm += [own_mm - mm if course & 1 else mm for mm in both_mm]
        for stretch in ground.shut.get(course, ()):
            at_mm += stretch
        for mm in at_mm:
            edges_mm |= {base_mm + mm, base_mm + mm + wanted.train_mm}
        base_mm += own_mm
    within = sorted(mm for mm in edges_mm if run.from_mm <= mm <= run.to_mm)
    return [*within, *((a + b) / 2 for a, b in pairwise(within))]


def _under(ground: Ground, one: MetRun, lead_mm: float, train_mm: float) -> list[_Met]:
    """Return the stretches under a train, from rear to lead, touching ones left out."""
    found = []
    base_mm = 0.0
    for course in one.run.courses:
        own_mm = ground.length_mm(course)
        from_mm = max(0.0, lead_mm - train_mm - base_mm)
        to_mm = min(own_mm, lead_mm - base_mm)
        if to_mm - from_mm > _NEAR_MM:
            found.append(_Met(course, from_mm, to_mm))
        base_mm += own_mm
    return found


def _span(ground: Ground, met: _Met) -> Span:
    own_mm = ground.length_mm(met.course)
    return span_on(met.course, met.from_mm, met.to_mm, own_mm=own_mm)


def _turned(ground: Ground, met: _Met) -> _Met:
    own_mm = ground.length_mm(met.course)
    return _Met(met.course ^ 1, own_mm - met.to_mm, own_mm - met.from_mm)


def _is_same(one: Sequence[_Met], other: Sequence[_Met]) -> bool:
    return len(one) == len(other) and all(
        a.course == b.course
        and abs(a.from_mm - b.from_mm) + abs(a.to_mm - b.to_mm) < _NEAR_MM
        for a, b in zip(one, other, strict=True)
    )


def _lies_in(ground: Ground, under: Sequence[_Met], stand: Stand) -> bool:
    """Tell whether every stretch lies between the limits of a place."""
    return _covers(ground, stand, [_span(ground, met) for met in under])


def _covers(ground: Ground, stand: Stand, spans: Sequence[Span]) -> bool:
    within = []
    base_mm = 0.0
    for course in stand.courses:
        own_mm = ground.length_mm(course)
        from_mm = max(0.0, stand.from_mm - base_mm)
        to_mm = min(own_mm, stand.to_mm - base_mm)
        if to_mm > from_mm:
            within.append(span_on(course, from_mm, to_mm, own_mm=own_mm))
        base_mm += own_mm
    return bool(spans) and all(
        any(
            span.strand == place.strand
            and place.from_mm - _NEAR_MM <= span.from_mm
            and span.to_mm <= place.to_mm + _NEAR_MM
            for place in within
        )
        for span in spans
    )


def _runs_to(ground: Ground, under: Sequence[_Met], stand: Stand, end: int) -> bool:
    """Tell whether a train in a place runs towards one of its ends."""
    towards = stand if end else stand.turned(ground)
    return all(met.course in towards.courses for met in under)


def _too_near_blades(ground: Ground, wanted: Wanted, one: MetRun) -> Iterator[str]:
    """Yield where a train stops with its rear past blades, but not by the margin."""
    rear_mm = one.run.to_mm - wanted.train_mm
    base_mm = 0.0
    for before, after in pairwise(one.run.courses):
        base_mm += ground.length_mm(before)
        past_mm = rear_mm - base_mm
        ways = (ground.network.onwards(before), ground.network.onwards(after ^ 1))
        is_blades = max(map(len, ways)) > 1
        if is_blades and -_NEAR_MM <= past_mm < wanted.margin_mm - _NEAR_MM:
            yield f"it stops {past_mm:.1f} mm past blades"


def _overlap(one: Span, other: Span) -> bool:
    if one.strand != other.strand:
        return False
    shared_mm = min(one.to_mm, other.to_mm) - max(one.from_mm, other.from_mm)
    return shared_mm > _NEAR_MM
