"""What there is to say of a run: what it goes over, what it clears, what it has to
spare.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from standage.railway.moves.ground import Ground
from standage.railway.moves.room import TOUCHING_MM, free_mm, ways_back
from standage.railway.moves.standing import Lying, Stand, lying
from standage.railway.moves.wanted import Finish, Run, Wanted, propelled_mm
from standage.railway.terms.figures import tidy
from standage.railway.track.network.network import Course, Network

NOTHING_STOPS_MM = 5_000.0
"""A train that could go on so far is stopped by nothing."""
_MOST_WAYS = 300


class RunFacts(NamedTuple):
    """A run with what there is to say of it.

    ``pieces`` are all that the train comes over, ``points`` those of them at which it
    passes blades or a crossing. ``cleared`` is the piece of which its rear clears the
    blades, before it turns back. ``spare_mm`` is how much farther it could have gone;
    None where nothing stops it.
    """

    run: Run
    begins: Lying
    ends: Lying
    pieces: tuple[str, ...]
    points: tuple[str, ...]
    cleared: str | None
    spare_mm: float | None

    @property
    def last_course(self) -> Course:
        """Where its lead comes to stand."""
        return self.ends.courses[-1]


def facts_of(ground: Ground, wanted: Wanted, finish: Finish) -> tuple[RunFacts, ...]:
    """Return what there is to say of each run of a finish, in mm. **Source** the rules
    of moves.
    """
    last = len(finish.runs) - 1
    return tuple(
        facts_of_run(ground, wanted, run, is_last=number == last)
        for number, run in enumerate(finish.runs)
    )


def least_spare_mm(ground: Ground, wanted: Wanted, finish: Finish) -> float | None:
    """Return by how much farther the train could have gone in whichever of its runs that
    is least, in mm; None where nothing stops it in any. **Source** the rules of moves.
    """
    spares_mm = [one.spare_mm for one in facts_of(ground, wanted, finish)]
    return min((mm for mm in spares_mm if mm is not None), default=None)


def facts_of_run(
    ground: Ground, wanted: Wanted, run: Run, *, is_last: bool
) -> RunFacts:
    """Return what there is to say of one run, the last one or another, in mm. **Source**
    the rules of moves.
    """
    whole = lying(ground, run.courses, rear_mm=run.from_mm - wanted.train_mm)
    ends = whole._replace(rear_mm=run.to_mm - wanted.train_mm)
    courses = _under_way(whole, run)
    pieces = dict.fromkeys(ground.network.piece(course) for course in courses)
    cleared = None if is_last else _cleared(ground, ends, wanted)
    spare_mm = _spare_mm(
        ground,
        wanted,
        run,
        ends,
        is_last=is_last,
    )
    return RunFacts(
        run=run,
        begins=whole,
        ends=ends,
        pieces=tuple(pieces),
        points=_points_passed(ground.network, whole, run),
        cleared=cleared,
        spare_mm=None if spare_mm is None else tidy(spare_mm),
    )


def _under_way(train: Lying, run: Run) -> list[Course]:
    """Return the courses that any of the train is on during a run."""
    ends_mm = [*train.bases_mm[1:], run.to_mm]
    each = zip(train.courses, train.bases_mm, ends_mm, strict=True)
    return [
        course
        for course, base_mm, end_mm in each
        if end_mm > train.rear_mm + TOUCHING_MM and base_mm < run.to_mm - TOUCHING_MM
    ]


def _points_passed(network: Network, train: Lying, run: Run) -> tuple[str, ...]:
    """Return the pieces at whose blades or crossing any of the train passes."""
    passed: dict[str, None] = {}
    steps = pairwise(train.courses)
    for (before, after), base_mm in zip(steps, train.bases_mm[1:], strict=True):
        is_within = train.rear_mm + TOUCHING_MM < base_mm < run.to_mm - TOUCHING_MM
        is_inside = network.piece(before) == network.piece(after)
        if is_within and is_inside:
            passed[network.piece(after)] = None
    return tuple(passed)


def _cleared(ground: Ground, ends: Lying, wanted: Wanted) -> str | None:
    """Return the piece of the last blades that the rear has passed, where the train may
    go back another way.
    """
    behind = [
        number
        for number in ways_back(ground, ends)
        if ends.bases_mm[number] + wanted.margin_mm <= ends.rear_mm + TOUCHING_MM
    ]
    if not behind:
        return None
    return ground.network.piece(ends.courses[behind[-1]])


def _spare_mm(
    ground: Ground, wanted: Wanted, run: Run, ends: Lying, *, is_last: bool
) -> float | None:
    goals = wanted.every_goal
    if is_last and not goals:
        return None
    further_mm = _further_mm(ground, wanted, run, ends)
    if not is_last:
        return further_mm
    left_mm = _left_in(ground, goals, ends, lead_mm=run.to_mm)
    if further_mm is None:
        return left_mm
    return min(left_mm, further_mm)


def _left_in(
    ground: Ground, goals: Sequence[Stand], ends: Lying, *, lead_mm: float
) -> float:
    """Return how far it is from a train's lead to the end of the place it is in."""
    course, base_mm = ends.courses[-1], ends.bases_mm[-1]
    turned = [goal.turned(ground) for goal in goals]
    for stand in (*goals, *turned):
        if course in stand.courses:
            bases_mm = lying(ground, stand.courses, rear_mm=0.0).bases_mm
            begins_mm = base_mm - bases_mm[stand.courses.index(course)]
            return max(0.0, begins_mm + stand.to_mm - lead_mm)
    return 0.0


def _further_mm(ground: Ground, wanted: Wanted, run: Run, ends: Lying) -> float | None:
    """Return how much farther a train could go, on whichever way leads farthest."""
    waiting = [ends]
    farthest_mm = run.to_mm
    looked_at = 0
    while waiting:
        train = waiting.pop()
        looked_at += 1
        base_mm = train.bases_mm[-1]
        end_mm = base_mm + ground.length_mm(train.courses[-1])
        stops_mm = base_mm + _stops_mm(
            ground, wanted, train, propelled=not run.engine_leads
        )
        farthest_mm = max(farthest_mm, min(stops_mm, end_mm))
        if farthest_mm - run.to_mm > NOTHING_STOPS_MM or looked_at > _MOST_WAYS:
            return None
        if stops_mm < end_mm - TOUCHING_MM:
            continue
        for way in ground.onwards(train.courses[-1]):
            rear_mm = end_mm - wanted.train_mm
            bases_mm = (*train.bases_mm, end_mm)
            waiting.append(Lying((*train.courses, way), bases_mm, rear_mm))
    return farthest_mm - run.to_mm


def _stops_mm(
    ground: Ground, wanted: Wanted, train: Lying, *, propelled: bool
) -> float:
    if propelled:
        return propelled_mm(ground, wanted, train)
    return free_mm(ground, train, wanted.train_mm)
