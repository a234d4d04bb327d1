"""The runs by which a train gets to its goal: fewest reversals, then least distance."""

from collections.abc import Iterator
from heapq import heappop, heappush
from itertools import count
from typing import Literal, NamedTuple

import msgspec

from standage.railway.moves.ground import Ground
from standage.railway.moves.room import (
    TOUCHING_MM,
    blades_passed,
    free_mm,
    ways_back,
)
from standage.railway.moves.standing import Lying, Stand, lying
from standage.railway.track.network.network import Course

MOST_STEPS = 60_000
"""So many courses are looked at for one train."""
End = Literal[0, 1]
"""The first or the last end of a place."""


class Wanted(msgspec.Struct, frozen=True, kw_only=True):
    """A train, where it stands and where it is to go: to a place, or out of the plan.

    ``engine_towards`` is the end of the start to which its engine points; it stands
    against ``stands_against``, or wherever suits best. ``out_at`` is the course at
    whose end the plan ends. ``margin_mm`` is how far its rear passes blades before
    these are thrown.
    """

    start: Stand
    engine_towards: End
    train_mm: float
    goal: Stand | None = None
    out_at: Course | None = None
    stands_against: End | None = None
    margin_mm: float = 0.0


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


class Searched(msgspec.Struct, frozen=True, kw_only=True):
    """The best way for each end to which the engine may point at the goal, best first;
    out of the plan for each end of the train that may lead.

    ``gave_up`` where the budget of steps was spent before all was looked at.
    """

    finishes: tuple[Finish, ...]
    gave_up: bool = False


class _Node(NamedTuple):
    train: Lying
    lead_mm: float
    from_mm: float
    engine_leads: bool
    reversals: int
    distance_mm: float
    runs: tuple[Run, ...]

    @property
    def key(self) -> tuple[tuple[Course, ...], float, bool]:
        """What the train's future hangs on: the track under it, and where on it."""
        train = self.train
        first = _first_under(train)
        rear_mm = train.rear_mm - train.bases_mm[first]
        return train.courses[first:], round(rear_mm, 6), self.engine_leads

    def gone_to(self, lead_mm: float) -> float:
        """Return the whole distance once the lead is there."""
        return self.distance_mm + lead_mm - self.lead_mm

    def run_to(self, lead_mm: float) -> Run:
        """Return the run that ends there."""
        return Run(
            engine_leads=self.engine_leads,
            courses=self.train.courses,
            from_mm=self.from_mm,
            to_mm=lead_mm,
        )


def _first_under(train: Lying) -> int:
    """Return the number of the first course that is not yet behind the train."""
    later = [
        number
        for number, base_mm in enumerate(train.bases_mm)
        if base_mm > train.rear_mm + TOUCHING_MM
    ]
    return later[0] - 1 if later else len(train.bases_mm) - 1


def searched(ground: Ground, wanted: Wanted) -> Searched:
    """Return the best ways to the goal; none where there is none.

    Best is with the fewest reversals, then the shortest. Takes ``MOST_STEPS`` steps at
    most. **Source** derived; a simulation in the tests pushes trains cell by cell.
    """
    return _Search(ground, wanted).found()


class _Search:
    def __init__(self, ground: Ground, wanted: Wanted) -> None:
        self.ground = ground
        self.wanted = wanted
        self.train_mm = wanted.train_mm
        self._heap: list[tuple[int, float, int, _Node | Finish]] = []
        self._numbers = count()
        self._seen: set[tuple[tuple[Course, ...], float, bool]] = set()
        goal = wanted.goal
        self._goals: tuple[tuple[Stand, End], ...] = ()
        if goal is not None:
            self._goals = ((goal, 1), (goal.turned(ground), 0))

    def found(self) -> Searched:
        """Go on from the best that is known until all finishes are found."""
        for node in self._beginnings():
            self._push(node, node.reversals, node.distance_mm)
        finishes: dict[tuple[bool, End | None], Finish] = {}
        steps = 0
        while self._heap and len(finishes) < 2:  # noqa: PLR2004 - a train has two ends
            _, _, _, best = heappop(self._heap)
            if isinstance(best, Finish):
                finishes.setdefault(_sort_of(best), best)
                continue
            if best.key in self._seen:
                continue
            steps += 1
            if steps > MOST_STEPS:
                return Searched(finishes=tuple(finishes.values()), gave_up=True)
            self._seen.add(best.key)
            self._go_on(best)
        return Searched(finishes=tuple(finishes.values()))

    def _push(self, item: _Node | Finish, reversals: int, distance_mm: float) -> None:
        entry = (reversals, round(distance_mm, 6), next(self._numbers), item)
        heappush(self._heap, entry)

    def _beginnings(self) -> Iterator[_Node]:
        """Yield the train as it may set out from its place, to either side."""
        start = self.wanted.start
        if self.train_mm > start.length_mm + TOUCHING_MM:
            return
        for towards, stand in ((1, start), (0, start.turned(self.ground))):
            lead_mm = stand.to_mm
            if self.wanted.stands_against == 1 - towards:
                lead_mm = stand.from_mm + self.train_mm
            rear_mm = lead_mm - self.train_mm
            train = _cut(self.ground, stand.courses, rear_mm, lead_mm)
            lead_mm = train.rear_mm + self.train_mm
            yield _Node(
                train=train,
                lead_mm=lead_mm,
                from_mm=lead_mm,
                engine_leads=self.wanted.engine_towards == towards,
                reversals=0,
                distance_mm=0.0,
                runs=(),
            )

    def _go_on(self, node: _Node) -> None:
        """Let the train run on to the end of its last course, if it gets so far."""
        ground = self.ground
        base_mm = node.train.bases_mm[-1]
        course = node.train.courses[-1]
        to_mm = base_mm + free_mm(ground, node.train, self.train_mm)
        for finish in self._finishes(node, to_mm):
            self._push(finish, finish.reversals, finish.distance_mm)
        for turned in self._reversals(node, to_mm):
            self._push(turned, turned.reversals, turned.distance_mm)
        end_mm = base_mm + ground.length_mm(course)
        if to_mm < end_mm - TOUCHING_MM:
            return
        for way in ground.onwards(course):
            further = self._onto(node, way, end_mm)
            self._push(further, further.reversals, further.distance_mm)

    def _onto(self, node: _Node, way: Course, end_mm: float) -> _Node:
        train = node.train
        extended = Lying(
            (*train.courses, way),
            (*train.bases_mm, end_mm),
            end_mm - self.train_mm,
        )
        return node._replace(
            train=extended, lead_mm=end_mm, distance_mm=node.gone_to(end_mm)
        )

    def _reversals(self, node: _Node, to_mm: float) -> Iterator[_Node]:
        """Yield the train turned back behind each blades that its rear clears."""
        for blades_mm in ways_back(self.ground, node.train):
            rear_mm = self._clear_of_blades(
                node.train, blades_mm + self.wanted.margin_mm
            )
            lead_mm = rear_mm + self.train_mm
            if lead_mm < node.lead_mm - TOUCHING_MM or lead_mm > to_mm + TOUCHING_MM:
                continue
            back = node.train.reversed_at(self.ground, rear_mm, train_mm=self.train_mm)
            new_lead_mm = back.rear_mm + self.train_mm
            yield _Node(
                train=back,
                lead_mm=new_lead_mm,
                from_mm=new_lead_mm,
                engine_leads=not node.engine_leads,
                reversals=node.reversals + 1,
                distance_mm=node.gone_to(lead_mm),
                runs=(*node.runs, node.run_to(lead_mm)),
            )

    def _clear_of_blades(self, train: Lying, rear_mm: float) -> float:
        """Return where a rear may stop: there, or past further blades by the margin."""
        margin_mm = self.wanted.margin_mm
        for blades_mm in blades_passed(self.ground, train):
            past_mm = rear_mm - blades_mm
            if -TOUCHING_MM <= past_mm < margin_mm - TOUCHING_MM:
                rear_mm = blades_mm + margin_mm
        return rear_mm

    def _finishes(self, node: _Node, to_mm: float) -> Iterator[Finish]:
        if self.wanted.out_at is not None:
            yield from self._out(node, to_mm)
        for stand, last in self._goals:
            within = self._within(node.train, stand)
            if within is None:
                continue
            from_mm, until_mm = within
            # It may stand there already, as a train does that was drawn past its goal.
            lead_mm = max(from_mm + self.train_mm, node.lead_mm)
            if node.gone_to(lead_mm) > 0:
                rear_mm = lead_mm - self.train_mm
                lead_mm = self._clear_of_blades(node.train, rear_mm) + self.train_mm
            if lead_mm > min(to_mm, until_mm) + TOUCHING_MM:
                continue
            towards = last if node.engine_leads else _other(last)
            yield self._finish(node, lead_mm, towards)

    def _out(self, node: _Node, to_mm: float) -> Iterator[Finish]:
        """Yield the train out of the plan, once its tail has passed the joint."""
        train = node.train
        course = train.courses[-1]
        end_mm = train.bases_mm[-1] + self.ground.length_mm(course)
        is_there = course == self.wanted.out_at
        gets_there = to_mm >= end_mm - TOUCHING_MM
        if is_there and gets_there:
            lead_mm = end_mm + self.train_mm
            yield self._finish(node, lead_mm, None)

    def _finish(self, node: _Node, lead_mm: float, towards: End | None) -> Finish:
        return Finish(
            engine_leads=node.engine_leads,
            engine_towards=towards,
            reversals=node.reversals,
            distance_mm=node.gone_to(lead_mm),
            runs=(*node.runs, node.run_to(lead_mm)),
        )

    def _within(self, train: Lying, stand: Stand) -> tuple[float, float] | None:
        """Return from where to where a train's way lies in a place, in one stretch up
        to its last course; None where that is not in it.
        """
        ground = self.ground
        number = _number_in(stand, train.courses[-1])
        if number is None:
            return None
        stand_bases = lying(ground, stand.courses, rear_mm=0.0).bases_mm
        shift_mm = train.bases_mm[-1] - stand_bases[number]
        own_mm = ground.length_mm(train.courses[-1])
        until_mm = min(stand.to_mm, stand_bases[number] + own_mm) + shift_mm
        back = 0
        while (
            back < number
            and back + 1 < len(train.courses)
            and train.courses[-2 - back] == stand.courses[number - 1 - back]
        ):
            back += 1
        begins_mm = stand_bases[number - back]
        from_mm = max(stand.from_mm, begins_mm) + shift_mm
        return from_mm, until_mm


def _number_in(stand: Stand, course: Course) -> int | None:
    if course not in stand.courses:
        return None
    return stand.courses.index(course)


def _other(end: End) -> End:
    return 0 if end == 1 else 1


def _sort_of(finish: Finish) -> tuple[bool, End | None]:
    """Return what a finish is the best of: an end of the goal, or one of the train."""
    if finish.engine_towards is None:
        return finish.engine_leads, None
    return True, finish.engine_towards


def _cut(
    ground: Ground, courses: tuple[Course, ...], rear_mm: float, lead_mm: float
) -> Lying:
    """Return a train on those of a place's courses that lie under it."""
    whole = lying(ground, courses, rear_mm=rear_mm)
    train_mm = lead_mm - rear_mm
    back = whole.reversed_at(ground, rear_mm, train_mm=train_mm)
    return back.reversed_at(ground, back.rear_mm, train_mm=train_mm)
