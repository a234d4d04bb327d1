"""The runs of two trains played over again, without the search: everything that is wrong
with them.

Both trains are laid down at every place at which anything changes, and between these.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from standage.railway.moves.ground import Ground
from standage.railway.moves.laid_down import (
    NEAR_MM,
    Met,
    covers,
    leads_to_look,
    met_under,
    overlap,
    parts_of,
    spans_of,
    too_near_blades,
    wrong_with,
)
from standage.railway.moves.meeting.meet import Meeting
from standage.railway.moves.meeting.met_runs import Both, MetRun, Which
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted
from standage.railway.terms.unsound import UnsoundError


def replayed_meeting(ground: Ground, both: Both, meeting: Meeting) -> Meeting:
    """Return a meeting whose runs break no rule; raises ``UnsoundError`` for others.

    **Source** the rules of moves.
    """
    broken = list(broken_meeting_rules(ground, both, meeting))
    if broken:
        raise UnsoundError("; ".join(broken))
    return meeting


def broken_meeting_rules(ground: Ground, both: Both, meeting: Meeting) -> Iterator[str]:
    """Yield in words every rule that the runs of two trains break; nothing for sound
    ones. **Source** the rules of moves, each looked at by itself.
    """
    runs = meeting.runs
    distance_mm = sum(one.run.to_mm - one.run.from_mm for one in runs)
    if abs(distance_mm - meeting.distance_mm) > NEAR_MM:
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
            *_wrong_beside(
                ground,
                both,
                runs,
                number,
            ),
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
        before = _under(
            ground,
            one,
            one.run.to_mm,
            wanted.train_mm,
        )
        after = _under(
            ground,
            other,
            other.run.from_mm,
            wanted.train_mm,
        )
        if one.run.engine_leads != other.run.engine_leads:
            after = [_turned(ground, met) for met in reversed(after)]
        if not _is_same(before, after):
            yield "a run does not begin where the one before ended"
    for one in own:
        if wanted.out_at is None or one is not own[-1]:
            yield from _too_near_blades(ground, wanted, one)
    yield from _wrong_end(ground, wanted, own[-1])


def _wrong_start(ground: Ground, wanted: Wanted, one: MetRun) -> Iterator[str]:
    under = _under(
        ground,
        one,
        one.run.from_mm,
        wanted.train_mm,
    )
    towards = int(wanted.engine_towards)
    if not one.run.engine_leads:
        towards = 1 - towards
    if not _lies_in(ground, under, wanted.start):
        yield "it does not begin in its place"
    elif not _runs_to(
        ground,
        under,
        wanted.start,
        towards,
    ):
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
        left = _under(
            ground,
            earlier[-1],
            earlier[-1].run.to_mm,
            others_mm,
        )
    elif later:
        left = _under(
            ground,
            later[0],
            later[0].run.from_mm,
            others_mm,
        )
    else:
        asked = both[1 - one.which]
        for stand in (asked.start, asked.goal):
            if stand is None or not (stands and covers(ground, stand, stands)):
                yield "the other train, which never moves, is not in its place"
        return
    known = sorted(spans_of(ground, left))
    is_near = len(known) == len(stands) and all(
        a.strand == b.strand
        and abs(a.from_mm - b.from_mm) + abs(a.to_mm - b.to_mm) < NEAR_MM
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
    barred, train_mm = wanted.no_propelling, wanted.train_mm
    also = (*one.beside, *barred)
    parts = parts_of(ground, run)
    for lead_mm in leads_to_look(
        ground,
        run,
        parts,
        also,
        train_mm=train_mm,
    ):
        spans = spans_of(ground, met_under(parts, lead_mm, train_mm=train_mm))
        for words in wrong_with(ground, spans, one.beside):
            yield f"at {lead_mm:.3f} mm {words}"
        is_barred = any(overlap(span, other) for span in spans for other in barred)
        if not run.engine_leads and (is_barred or not wanted.propels):
            yield f"at {lead_mm:.3f} mm it is propelled where it may not be"


def _under(ground: Ground, one: MetRun, lead_mm: float, train_mm: float) -> list[Met]:
    """Return the stretches under a train, from rear to lead, touching ones left out."""
    return met_under(parts_of(ground, one.run), lead_mm, train_mm=train_mm)


def _turned(ground: Ground, met: Met) -> Met:
    own_mm = ground.length_mm(met.course)
    return Met(met.course ^ 1, own_mm - met.to_mm, own_mm - met.from_mm)


def _is_same(one: Sequence[Met], other: Sequence[Met]) -> bool:
    return len(one) == len(other) and all(
        a.course == b.course
        and abs(a.from_mm - b.from_mm) + abs(a.to_mm - b.to_mm) < NEAR_MM
        for a, b in zip(one, other, strict=True)
    )


def _lies_in(ground: Ground, under: Sequence[Met], stand: Stand) -> bool:
    """Tell whether a train lies on the plan, all of it between the limits of a place."""
    return bool(under) and covers(ground, stand, spans_of(ground, under))


def _runs_to(ground: Ground, under: Sequence[Met], stand: Stand, end: int) -> bool:
    """Tell whether a train in a place runs towards one of its ends."""
    towards = stand if end else stand.turned(ground)
    return all(met.course in towards.courses for met in under)


def _too_near_blades(ground: Ground, wanted: Wanted, one: MetRun) -> Iterator[str]:
    """Yield where a train stops with its rear past blades, but not by the margin."""
    parts = parts_of(ground, one.run)
    rear_mm = one.run.to_mm - wanted.train_mm
    for past_mm in too_near_blades(ground, parts, rear_mm, margin_mm=wanted.margin_mm):
        yield f"it stops {past_mm:.1f} mm past blades"
