"""Runs played over again, without the search: everything that is wrong with them.

The train is laid down at every place at which anything changes and between these, and
what lies under it is looked at.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from standage.railway.moves.ground import Ground, Span
from standage.railway.moves.laid_down import (
    NEAR_MM,
    covers,
    leads_to_look,
    met_under,
    overlap,
    parts_of,
    spans_of,
    too_near_blades,
    wrong_with,
)
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Finish, Run, Wanted
from standage.railway.terms.unsound import UnsoundError


def replayed(ground: Ground, wanted: Wanted, finish: Finish) -> Finish:
    """Return a finish whose runs break no rule; raises ``UnsoundError`` for others.

    **Source** the rules of moves.
    """
    broken = list(broken_rules(ground, wanted, finish))
    if broken:
        raise UnsoundError("; ".join(broken))
    return finish


def broken_rules(ground: Ground, wanted: Wanted, finish: Finish) -> Iterator[str]:
    """Yield in words every rule that the runs of a finish break; nothing for sound ones.

    **Source** the rules of moves, each looked at by itself.
    """
    runs = finish.runs
    train_mm = wanted.train_mm
    if len(runs) != finish.reversals + 1:
        yield f"{len(runs)} runs have not {finish.reversals} reversals"
    distance_mm = sum(run.to_mm - run.from_mm for run in runs)
    if abs(distance_mm - finish.distance_mm) > NEAR_MM:
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
        if not _is_turned(
            ground,
            one,
            other,
            train_mm,
        ):
            yield f"run {number + 2} does not begin where the one before ends"
        yield from _wrong_reversal(
            ground,
            wanted,
            one,
            number,
        )
    if wanted.every_goal:
        yield from _wrong_goal(
            ground,
            wanted.every_goal,
            runs[-1],
            train_mm,
        )
    yield from _wrong_touch(ground, wanted, runs[-1])
    yield from _wrong_end(wanted, finish)


def _wrong_start(ground: Ground, wanted: Wanted, run: Run) -> Iterator[str]:
    under = _under(ground, run, run.from_mm, train_mm=wanted.train_mm)
    starts = (wanted.start, *wanted.also_starts)
    if not any(covers(ground, start, under) for start in starts):
        yield "it does not begin in its place"
    for words in wrong_with(ground, under):
        yield f"where it begins {words}"


def _wrong_goal(
    ground: Ground, goals: Sequence[Stand], run: Run, train_mm: float
) -> Iterator[str]:
    under = _under(ground, run, run.to_mm, train_mm=train_mm)
    if not any(covers(ground, goal, under) for goal in goals):
        yield "it does not end in its goal"


def _wrong_touch(ground: Ground, wanted: Wanted, run: Run) -> Iterator[str]:
    """Yield where the lead does not come to what it is to touch."""
    if wanted.touches is None:
        return
    last = parts_of(ground, run)[-1]
    apart_mm = abs(run.to_mm - last.base_mm - wanted.touches.at_mm)
    if last.course != wanted.touches.course or apart_mm > NEAR_MM:
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
    if run.to_mm < run.from_mm - NEAR_MM:
        yield "it goes back"
    parts = parts_of(ground, run)
    for lead_mm in leads_to_look(
        ground,
        run,
        parts,
        (),
        train_mm=train_mm,
    ):
        under = spans_of(ground, met_under(parts, lead_mm, train_mm=train_mm))
        for words in wrong_with(ground, under):
            yield f"at {lead_mm:.3f} mm {words}"


def _wrong_propelling(ground: Ground, wanted: Wanted, run: Run) -> Iterator[str]:
    """Yield where a train is propelled that may not be."""
    if run.engine_leads or run.to_mm - run.from_mm <= NEAR_MM:
        return
    if not wanted.propels:
        yield "the engine does not lead"
    if not wanted.no_propelling:
        return
    parts = parts_of(ground, run)
    barred, train_mm = wanted.no_propelling, wanted.train_mm
    for lead_mm in leads_to_look(
        ground,
        run,
        parts,
        barred,
        train_mm=train_mm,
    ):
        under = spans_of(ground, met_under(parts, lead_mm, train_mm=train_mm))
        if any(overlap(one, span) for one in under for span in barred):
            yield f"at {lead_mm:.3f} mm it is propelled where it may not be"


def _under(ground: Ground, run: Run, lead_mm: float, *, train_mm: float) -> list[Span]:
    """Return the stretches of track under the train."""
    parts = parts_of(ground, run)
    return spans_of(ground, met_under(parts, lead_mm, train_mm=train_mm))


def _is_turned(ground: Ground, one: Run, other: Run, train_mm: float) -> bool:
    """Tell whether the next run begins on the same track, the other way round."""
    before = _under(ground, one, one.to_mm, train_mm=train_mm)
    after = _under(ground, other, other.from_mm, train_mm=train_mm)
    if len(before) != len(after):
        return False
    turned = reversed(after)
    pairs = zip(before, turned, strict=True)
    return all(_is_same(here, there) for here, there in pairs)


def _is_same(one: Span, other: Span) -> bool:
    apart_from_mm = abs(one.from_mm - other.from_mm)
    apart_to_mm = abs(one.to_mm - other.to_mm)
    is_near = apart_from_mm + apart_to_mm < NEAR_MM
    return one.strand == other.strand and is_near


def _wrong_reversal(
    ground: Ground, wanted: Wanted, run: Run, number: int
) -> Iterator[str]:
    """Yield where a rear stands past blades, but not by the margin."""
    parts = parts_of(ground, run)
    rear_mm = run.to_mm - wanted.train_mm
    for past_mm in too_near_blades(ground, parts, rear_mm, margin_mm=wanted.margin_mm):
        yield f"run {number + 1} ends {past_mm:.1f} mm past blades"
