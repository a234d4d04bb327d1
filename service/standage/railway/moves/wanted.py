"""What is wanted of a train, and the runs by which it is done."""

from typing import Literal, NamedTuple

import msgspec

from standage.railway.moves.ground import Ground, Span, spans_met
from standage.railway.moves.room import TOUCHING_MM, free_mm
from standage.railway.moves.standing import Lying, Stand
from standage.railway.track.network.network import Course

End = Literal[0, 1]
"""The first or the last end of a place."""


class Touch(NamedTuple):
    """A point of the track as it is come upon: so far along a course, in mm."""

    course: Course
    at_mm: float


class Wanted(msgspec.Struct, frozen=True, kw_only=True):
    """A train, where it stands and where it is to go: to a place, or out of the plan.

    An engine by itself may go to any of several ``goals``, or until its lead
    ``touches`` what stands there; whichever of its ends leads. It may stand on any of
    ``also_starts`` too.

    ``engine_towards`` is the end of the start to which its engine points; it stands
    against ``stands_against``, or wherever suits best. ``out_at`` is the course at
    whose end the plan ends. ``margin_mm`` is how far its rear passes blades before
    these are thrown. ``ends_towards`` is the end of the goal to which the engine is to
    point, ``leads_out`` whether it is to lead out of the plan; None for either. Unless
    it ``propels`` its engine always leads, and it never propels with any of it on what
    is ``no_propelling``.
    """

    start: Stand
    engine_towards: End
    train_mm: float
    goal: Stand | None = None
    out_at: Course | None = None
    stands_against: End | None = None
    margin_mm: float = 0.0
    ends_towards: End | None = None
    leads_out: bool | None = None
    propels: bool = True
    no_propelling: tuple[Span, ...] = ()
    also_starts: tuple[Stand, ...] = ()
    goals: tuple[Stand, ...] = ()
    touches: Touch | None = None

    @property
    def is_by_itself(self) -> bool:
        """Whether an engine is moved, whichever of its ends leads."""
        return bool(self.goals) or self.touches is not None

    @property
    def every_goal(self) -> tuple[Stand, ...]:
        """The places at any of which the train is to stand."""
        if self.goal is None:
            return self.goals
        return (self.goal, *self.goals)


class Run(msgspec.Struct, frozen=True, kw_only=True):
    """A way without a reversal: the courses under the train and before it.

    The lead goes from ``from_mm`` to ``to_mm``, from the start of the first course.
    """

    engine_leads: bool
    courses: tuple[Course, ...]
    from_mm: float
    to_mm: float

    @property
    def distance_mm(self) -> float:
        """How far the train goes."""
        return self.to_mm - self.from_mm


class Finish(msgspec.Struct, frozen=True, kw_only=True):
    """A way to the goal; ``engine_towards`` an end of it, None out of the plan."""

    engine_leads: bool
    engine_towards: End | None
    reversals: int
    distance_mm: float
    runs: tuple[Run, ...]


def propelled_mm(ground: Ground, wanted: Wanted, train: Lying) -> float:
    """Return how far along its last course a train may be propelled, in mm from that
    one's start. **Source** the rules of moves.
    """
    if wanted.propels and not wanted.no_propelling:
        return free_mm(ground, train, wanted.train_mm)
    barred = spans_met(ground, train.courses[-1], wanted.no_propelling)
    lead_mm = train.rear_mm + wanted.train_mm - train.bases_mm[-1]
    if not wanted.propels or _lies_on(ground, train, wanted):
        return lead_mm
    return free_mm(
        ground,
        train,
        wanted.train_mm,
        barred,
    )


def _lies_on(ground: Ground, train: Lying, wanted: Wanted) -> bool:
    """Tell whether any of a train is where it may not be propelled."""
    lead_mm = train.rear_mm + wanted.train_mm
    for course, base_mm in zip(train.courses, train.bases_mm, strict=True):
        for from_mm, to_mm in spans_met(ground, course, wanted.no_propelling):
            begins_mm = max(train.rear_mm, base_mm + from_mm)
            ends_mm = min(lead_mm, base_mm + to_mm)
            if ends_mm - begins_mm > TOUCHING_MM:
                return True
    return False
