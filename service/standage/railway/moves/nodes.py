"""Trains on their way: where each is, and the runs that brought it there."""

from collections.abc import Iterable
from typing import NamedTuple

from standage.railway.moves.standing import Lying
from standage.railway.moves.wanted import End, Finish, Run
from standage.railway.track.network.network import Course


class Trail(NamedTuple):
    """The courses of a run, each with those before it."""

    before: "Trail | None"
    course: Course


class Done(NamedTuple):
    """A run that is done, with those before it."""

    before: "Done | None"
    engine_leads: bool
    trail: Trail
    from_mm: float
    to_mm: float


class Node(NamedTuple):
    """A train whose lead has come to the start of its last course, or turned there.

    Its courses are those under it, and those behind it that it has just left; counted
    from the start of its run. ``came_by`` is the way over blades that it came by when it
    turned back: to take it again is to undo the run before.
    """

    train: Lying
    lead_mm: float
    from_mm: float
    engine_leads: bool
    reversals: int
    distance_mm: float
    trail: Trail
    done: Done | None
    came_by: tuple[Course, Course] | None = None

    @property
    def key(self) -> tuple[object, ...]:
        """What the train's future hangs on: the track under it, and where on it."""
        train = self.train
        rear_mm = round(train.rear_mm - train.bases_mm[0], 6)
        return train.courses, rear_mm, self.engine_leads, self.came_by

    def gone_to(self, lead_mm: float) -> float:
        """Return the whole distance once the lead is there."""
        return self.distance_mm + lead_mm - self.lead_mm

    def done_to(self, lead_mm: float) -> Done:
        """Return the run that ends there, with those before it."""
        return Done(
            self.done,
            self.engine_leads,
            self.trail,
            self.from_mm,
            lead_mm,
        )


class Arrival(NamedTuple):
    """A train that is there, once its lead has come so far."""

    node: Node
    lead_mm: float
    towards: End | None

    def finish(self) -> Finish:
        """Return the whole way there."""
        node = self.node
        return Finish(
            engine_leads=node.engine_leads,
            engine_towards=self.towards,
            reversals=node.reversals,
            distance_mm=node.gone_to(self.lead_mm),
            runs=_runs(node.done_to(self.lead_mm)),
        )


def _runs(done: Done | None) -> tuple[Run, ...]:
    runs: list[Run] = []
    while done is not None:
        run = Run(
            engine_leads=done.engine_leads,
            courses=_courses(done.trail),
            from_mm=done.from_mm,
            to_mm=done.to_mm,
        )
        runs.append(run)
        done = done.before
    return tuple(reversed(runs))


def _courses(trail: Trail | None) -> tuple[Course, ...]:
    courses: list[Course] = []
    while trail is not None:
        courses.append(trail.course)
        trail = trail.before
    return tuple(reversed(courses))


def trail_of(courses: Iterable[Course]) -> Trail:
    """Return the courses of a run that begins on them. **Source** derived."""
    first, *others = courses
    trail = Trail(None, first)
    for course in others:
        trail = Trail(trail, course)
    return trail


def set_out(train: Lying, *, train_mm: float, engine_leads: bool) -> Node:
    """Return a train that sets out from where it lies. **Source** derived."""
    lead_mm = train.rear_mm + train_mm
    return Node(
        train=train,
        lead_mm=lead_mm,
        from_mm=lead_mm,
        engine_leads=engine_leads,
        reversals=0,
        distance_mm=0.0,
        trail=trail_of(train.courses),
        done=None,
    )
