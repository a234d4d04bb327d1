"""What lengthening of plain track lets a train through that does not get there."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from typing import NamedTuple

from standage.railway.moves.alterations import (
    Change,
    Changes,
    Trials,
    each_alone,
    least_mm,
    longer,
)
from standage.railway.moves.ground import Ground
from standage.railway.moves.wanted import Wanted
from standage.railway.track.network.network import Course

MOST_MM = 2_000
"""Nobody lengthens a piece by more."""
MOST_STEPS = 150_000
"""So many courses are looked at for what would help."""


class Cures(NamedTuple):
    """By how much each of some strands alone must be longer for a move, in whole mm.

    Where none alone is enough: what is enough ``together``, and with less of any one
    is not. ``gave_up`` where the budget of steps was spent before all was looked at.
    """

    lengthen_mm: Mapping[int, int]
    together_mm: Mapping[int, int]
    gave_up: bool = False


def cures(ground: Ground, wanted: Wanted, roads: Mapping[str, Sequence[int]]) -> Cures:
    """Return by how much each strand of some roads alone must be longer for the move.

    In whole mm up to ``MOST_MM``; those that do not help so far are left out. Added
    track bars no move: so it is asked halfway again and again, once for a road, as all
    of it is alike unless something is told of a part of it. **Source** the rules of
    moves.
    """
    trials = Trials(ground, wanted, most_steps=MOST_STEPS)
    alike = dict(_alike(ground, wanted, roads))
    each = list(alike)
    found: dict[int, int] = {}
    for strand in each_alone(each, partial(_with_all, trials)):
        by_mm = least_mm(partial(_with_more, trials, strand), enough_mm=MOST_MM)
        if not trials.have_stopped():
            found |= dict.fromkeys(alike[strand], by_mm)
    if found or trials.have_stopped():
        return Cures(found, {}, trials.have_stopped())
    together = _together(trials, each)
    return Cures({}, {} if trials.have_stopped() else together, trials.have_stopped())


def extensions(
    ground: Ground, wanted: Wanted, ends: Sequence[Course]
) -> Mapping[Course, int]:
    """Return how much track beyond the end of some courses would do, each alone.

    In whole mm up to ``MOST_MM``; those that do not help so far are left out, and those
    for which the budget of steps does not last. What is measured stays where it is.
    **Source** the rules of moves.
    """
    trials = Trials(ground, wanted, most_steps=MOST_STEPS)
    found: dict[Course, int] = {}
    for end in each_alone(ends, partial(_with_beyond, trials, by_mm=MOST_MM)):
        helps = partial(_beyond_one, trials, end)
        by_mm = least_mm(helps, enough_mm=MOST_MM)
        if not trials.have_stopped():
            found[end] = by_mm
    return found


def _with_beyond(trials: Trials, ends: Sequence[Course], *, by_mm: int) -> bool:
    return trials.helps({end >> 1: _beyond(end, by_mm) for end in ends})


def _beyond_one(trials: Trials, end: Course, by_mm: int) -> bool:
    return _with_beyond(trials, [end], by_mm=by_mm)


def _beyond(end: Course, by_mm: int) -> Change:
    if end & 1:
        return Change(at_start_mm=by_mm, beyond=True)
    return Change(at_finish_mm=by_mm, beyond=True)


def _alike(
    ground: Ground, wanted: Wanted, roads: Mapping[str, Sequence[int]]
) -> Iterator[tuple[int, Sequence[int]]]:
    """Yield strands to be tried, each with those of its road that are as good."""
    spans = (*ground.standing, *wanted.no_propelling)
    stands = [one for one in (wanted.start, wanted.goal) if one is not None]
    courses = [course for one in stands if one.measured for course in one.courses]
    # What lies on these counts from one of their ends.
    told_apart = {span.strand for span in spans} | {course >> 1 for course in courses}
    for own in roads.values():
        if told_apart.isdisjoint(own):
            yield from ((strand, own) for strand in own[:1])
        else:
            yield from ((strand, (strand,)) for strand in own)


def _with_all(trials: Trials, strands: Sequence[int]) -> bool:
    return trials.helps(longer(strands, by_mm=MOST_MM))


def _with_more(trials: Trials, strand: int, by_mm: int) -> bool:
    return trials.helps(longer([strand], by_mm=by_mm))


def _together(trials: Trials, each: Sequence[int]) -> dict[int, int]:
    """Return by how much strands must be longer that help together, none of which can
    be left out; nothing where no more track helps.
    """
    if not _with_all(trials, each):
        return {}
    needed: list[int] = []
    left = list(each)
    while not _with_all(trials, needed) and not trials.have_stopped():
        # The last of the shortest beginning that does is needed for what comes before.
        does_with = partial(
            _with_first,
            trials,
            needed,
            left,
        )
        enough = least_mm(does_with, enough_mm=len(left))
        needed.append(left[enough - 1])
        left = left[: enough - 1]
    changes: dict[int, Change] = dict(longer(needed, by_mm=MOST_MM))
    for strand in needed:
        does = partial(
            _with_other,
            trials,
            changes,
            strand,
        )
        by_mm = least_mm(does, enough_mm=MOST_MM)
        changes |= longer([strand], by_mm=by_mm)
    return {strand: round(change.by_mm) for strand, change in changes.items()}


def _with_first(
    trials: Trials, needed: Sequence[int], left: Sequence[int], many: int
) -> bool:
    return _with_all(trials, [*needed, *left[:many]])


def _with_other(trials: Trials, changes: Changes, strand: int, by_mm: int) -> bool:
    return trials.helps({**changes, **longer([strand], by_mm=by_mm)})
