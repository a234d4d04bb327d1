"""The runs by which a train gets to its goal: fewest reversals, then least distance."""

from collections.abc import Iterable, Iterator
from heapq import heappop, heappush
from itertools import count
from math import inf
from typing import NamedTuple

import msgspec

from standage.railway.moves.distances import Distances
from standage.railway.moves.goals import Goal, goals_by_course
from standage.railway.moves.ground import Ground
from standage.railway.moves.nodes import Arrival, Node, Trail, set_out, trail_of
from standage.railway.moves.room import (
    TOUCHING_MM,
    clear_of_blades,
    cleared_mm,
    free_mm,
    ways_back,
)
from standage.railway.moves.standing import Lying, Stand, free_parts, lying
from standage.railway.moves.starts import (
    cut_to,
    leads_mm,
    where_it_may_stand,
)
from standage.railway.moves.wanted import End, Finish, Touch, Wanted, propelled_mm
from standage.railway.moves.ways import Heading, heading
from standage.railway.track.network.network import Course

MOST_STEPS = 60_000
"""So many courses are looked at for one train."""


class Searched(msgspec.Struct, frozen=True, kw_only=True):
    """The best way for each end to which the engine may point at the goal, best first;
    out of the plan for each end of the train that may lead.

    ``gave_up`` where the budget of steps was spent before all was looked at. ``near``
    are the strands about which a train was stopped that lacked little; ``lacking_mm``
    is by how much it was stopped short of turning back before what it was asked of.
    """

    finishes: tuple[Finish, ...]
    gave_up: bool = False
    near: frozenset[int] = frozenset()
    lacking_mm: frozenset[float] = frozenset()
    steps: int = 0


class Effort(NamedTuple):
    """How a search is done: the shortest way first, or that with fewest reversals; with
    at most so many of these, no farther than ``most_mm``, and in so many steps for each
    end, ``MOST_STEPS`` if None; noting where trains lack no more than ``near_mm``, and
    what they lack to turn back ``before`` a point. With ``any_end`` it is one search for
    whichever end is come to first.
    """

    shortest_first: bool = False
    most_reversals: int | None = None
    most_mm: float = inf
    most_steps: int | None = None
    near_mm: float = 0.0
    any_end: bool = False
    before: Touch | None = None


BY_REVERSALS = Effort()
ANY_END = Effort(any_end=True)
"""For whether a train gets there at all."""


def searched(ground: Ground, wanted: Wanted, effort: Effort = BY_REVERSALS) -> Searched:
    """Return the best ways to the goal; none where there is none.

    Best is with the fewest reversals, then the shortest; or the shortest, whatever its
    reversals. Takes ``MOST_STEPS`` steps at most for each end. **Source** derived; a
    simulation in the tests pushes trains cell by cell.
    """
    finishes: list[Finish] = []
    gave_up = False
    near: set[int] = set()
    lacking_mm: set[float] = set()
    steps = 0
    is_one_search = effort.any_end or wanted.is_by_itself
    each = [wanted] if is_one_search else _each_end(wanted)
    for one in each:
        search = _Search(ground, one, effort)
        finish = search.found()
        if finish is not None:
            finishes.append(finish)
        gave_up = gave_up or search.gave_up
        near |= search.near
        lacking_mm |= search.lacking_mm
        steps += search.steps
    finishes.sort(key=lambda one: _costs(one.reversals, one.distance_mm, effort))
    return Searched(
        finishes=tuple(finishes),
        gave_up=gave_up,
        near=frozenset(near),
        lacking_mm=frozenset(lacking_mm),
        steps=steps,
    )


def _each_end(wanted: Wanted) -> Iterator[Wanted]:
    """Yield what is wanted for each end that may lead or be pointed to."""
    ends: tuple[End, ...] = (0, 1)
    if wanted.goal is not None:
        if wanted.ends_towards is not None:
            ends = (wanted.ends_towards,)
        for end in ends:
            yield msgspec.structs.replace(wanted, ends_towards=end)
    if wanted.out_at is not None:
        leads = (True, False) if wanted.leads_out is None else (wanted.leads_out,)
        for leads_out in leads:
            yield msgspec.structs.replace(wanted, leads_out=leads_out)


def _costs(reversals: int, distance_mm: float, effort: Effort) -> tuple[float, float]:
    distance_mm = round(distance_mm, 6)
    if effort.shortest_first:
        return distance_mm, reversals
    return reversals, distance_mm


class _Search:
    """Looks for the best way to one end."""

    def __init__(self, ground: Ground, wanted: Wanted, effort: Effort) -> None:
        self.ground = ground
        self.wanted = wanted
        self.effort = effort
        self.gave_up = False
        self.near: set[int] = set()
        self.lacking_mm: set[float] = set()
        self.steps = 0
        self._most_steps = MOST_STEPS
        if effort.most_steps is not None:
            self._most_steps = effort.most_steps
        self._train_mm = wanted.train_mm
        self._heap: list[tuple[float, float, int, Node | Arrival]] = []
        self._numbers = count()
        self._seen: set[tuple[object, ...]] = set()
        self._goals = goals_by_course(ground, wanted.every_goal)
        self._least = ground.ways.least_reversals(self._headings())
        self._distances: Distances | None = None
        if effort.most_mm < inf and wanted.touches is None:
            self._distances = self._to_its_end()

    def _to_its_end(self) -> Distances:
        strands = {course >> 1 for course in self._goals}
        ends = [] if self.wanted.out_at is None else [self.wanted.out_at]
        return Distances(self.ground, strands, ends)

    def _headings(self) -> Iterator[Heading]:
        """Yield the courses on which a train may come to its end, as it runs over
        them.
        """
        touches = self.wanted.touches
        for leads in (True, False):
            if self.wanted.out_at is not None and self._may_lead_out(
                engine_leads=leads
            ):
                yield heading(self.wanted.out_at, engine_leads=leads)
            if touches is not None:
                yield heading(touches.course, engine_leads=leads)
            for course, goals in self._goals.items():
                if any(self._suits(goal, engine_leads=leads) for goal in goals):
                    yield heading(course, engine_leads=leads)

    def _may_lead_out(self, *, engine_leads: bool) -> bool:
        return self.wanted.leads_out in {None, engine_leads}

    def _suits(self, goal: Goal, *, engine_leads: bool) -> bool:
        """Tell whether the engine points to the right end of a place that is run over
        so.
        """
        return self.wanted.ends_towards in {
            None,
            goal.towards(engine_leads=engine_leads),
        }

    def found(self) -> Finish | None:
        """Go on from the best that is known until the end is reached."""
        for node in self._beginnings():
            self._push(node, node.reversals, node.distance_mm)
        while self._heap:
            _, _, _, best = heappop(self._heap)
            if isinstance(best, Arrival):
                return best.finish()
            key = best.key
            if key in self._seen:
                continue
            self.steps += 1
            if self.steps > self._most_steps:
                self.gave_up = True
                return None
            self._seen.add(key)
            self._go_on(best)
        return None

    def _push(self, item: Node | Arrival, reversals: int, distance_mm: float) -> None:
        """Keep for later what may yet lead to the end."""
        if isinstance(item, Node):
            course = item.train.courses[-1]
            more = self._least[heading(course, engine_leads=item.engine_leads)]
            if more is None:
                return
            reversals += more
            if self._is_too_far(item):
                return
        most = self.effort.most_reversals
        if most is not None and reversals > most:
            return
        if distance_mm > self.effort.most_mm:
            return
        costs = _costs(reversals, distance_mm, self.effort)
        heappush(self._heap, (*costs, next(self._numbers), item))

    def _is_too_far(self, node: Node) -> bool:
        """Tell whether the end that leads cannot come to the goal in time."""
        if self._distances is None:
            return False
        along_mm = node.lead_mm - node.train.bases_mm[-1]
        left_mm = self._distances.least_mm(node.train.courses[-1], along_mm)
        return node.distance_mm + left_mm > self.effort.most_mm + TOUCHING_MM

    def _beginnings(self) -> Iterator[Node]:
        """Yield the train as it may set out from its place, to either side."""
        for start in self._starts():
            yield from self._set_out(start)

    def _starts(self) -> list[Stand]:
        """Return what other stock leaves of the place, where the train has room."""
        start = self.wanted.start
        left = free_parts(self.ground, start)
        for other in self.wanted.also_starts:
            left += free_parts(self.ground, other)
        if self.wanted.stands_against is not None:
            nearest = 0 if self.wanted.stands_against == 0 else -1
            left = left[nearest:][:1]
        least_mm = self._train_mm - TOUCHING_MM
        if any(one.length_mm < least_mm for one in left):
            self._note(start.courses)
        return [one for one in left if one.length_mm >= least_mm]

    def _set_out(self, start: Stand) -> Iterator[Node]:
        wanted = self.wanted
        for towards, stand in ((1, start), (0, start.turned(self.ground))):
            # An engine at blades that its train ends at has not passed them by a margin.
            if wanted.is_by_itself and wanted.margin_mm and towards == 0:
                continue
            for lead_mm in self._leads_mm(stand, towards):
                yield self._standing(stand, lead_mm, towards)

    def _leads_mm(self, stand: Stand, towards: int) -> Iterator[float]:
        """Yield where the lead stands of a train that sets out towards an end."""
        train_mm = self._train_mm
        against = self.wanted.stands_against
        if against is None:
            return leads_mm(self.ground, stand, self._goals, train_mm=train_mm)
        at_mm = stand.to_mm if against == towards else stand.from_mm + train_mm
        return where_it_may_stand(self.ground, stand, [at_mm], train_mm=train_mm)

    def _standing(self, stand: Stand, lead_mm: float, towards: int) -> Node:
        rear_mm = lead_mm - self._train_mm
        # What lies behind an engine counts: it may go back over blades just there.
        train = lying(self.ground, stand.courses, rear_mm=rear_mm)
        if not self.wanted.is_by_itself or towards == 0:
            train = cut_to(self.ground, stand.courses, rear_mm, lead_mm)
        leads = self.wanted.engine_towards == towards
        return set_out(train, train_mm=self._train_mm, engine_leads=leads)

    def _note(self, courses: Iterable[Course]) -> None:
        """Note the strands about which a train lacked little: those that it is on, and
        those of the zones on them.
        """
        if not self.effort.near_mm:
            return
        for course in courses:
            self.near.add(course >> 1)
            for zone in self.ground.zones.get(course, ()):
                for spans in self.ground.rivals[zone.rivalry]:
                    self.near.update(span.strand for span in spans)

    def _note_stopped(self, node: Node, to_mm: float) -> None:
        """Note what stops a train that would get farther if it were a little shorter."""
        if not self.effort.near_mm:
            return
        train = node.train
        rear_mm = train.rear_mm + self.effort.near_mm
        shorter_mm = self._train_mm - self.effort.near_mm
        shorter = train._replace(rear_mm=rear_mm)
        goes_mm = train.bases_mm[-1] + free_mm(self.ground, shorter, shorter_mm)
        if goes_mm > to_mm + TOUCHING_MM:
            self._note(train.courses)

    def _note_lacking(self, node: Node, lead_mm: float, to_mm: float) -> None:
        """Note by how much a train is stopped short of turning back."""
        train = node.train
        lacking_mm = lead_mm - to_mm
        if self._lacks_little(lacking_mm):
            self._note(train.courses)
        before = self.effort.before
        if before is not None and before.course == train.courses[-1]:
            at_mm = train.bases_mm[-1] + before.at_mm
            if abs(at_mm - to_mm) <= TOUCHING_MM:
                self.lacking_mm.add(lacking_mm)

    def _lacks_little(self, lacking_mm: float) -> bool:
        return TOUCHING_MM < lacking_mm <= self.effort.near_mm

    def _go_on(self, node: Node) -> None:
        """Let the train run on to the end of its last course, if it gets so far."""
        base_mm = node.train.bases_mm[-1]
        course = node.train.courses[-1]
        to_mm = base_mm + self._free_mm(node)
        for end in self._ends(node, to_mm):
            self._push(end, node.reversals, node.gone_to(end.lead_mm))
        for turned in self._reversals(node, to_mm):
            self._push(turned, turned.reversals, turned.distance_mm)
        end_mm = base_mm + self.ground.length_mm(course)
        if to_mm < end_mm - TOUCHING_MM:
            self._note_stopped(node, to_mm)
            return
        for way in self.ground.onwards(course):
            if (course, way) != node.came_by:
                further = self._onto(node, way, end_mm)
                self._push(further, further.reversals, further.distance_mm)

    def _free_mm(self, node: Node) -> float:
        """Return how far along its last course the train may go, also by what is said
        of propelling.
        """
        if node.engine_leads:
            return free_mm(self.ground, node.train, self._train_mm)
        return propelled_mm(self.ground, self.wanted, node.train)

    def _onto(self, node: Node, way: Course, end_mm: float) -> Node:
        train = node.train
        rear_mm = end_mm - self._train_mm
        # What lies behind the rear counts no more, but for the margin past blades.
        kept_mm = rear_mm - self.wanted.margin_mm - TOUCHING_MM
        bases_mm = (*train.bases_mm, end_mm)
        first = 0
        while bases_mm[first + 1] <= kept_mm:
            first += 1
        courses = (*train.courses[first:], way)
        return Node(
            train=Lying(courses, bases_mm[first:], rear_mm),
            lead_mm=end_mm,
            from_mm=node.from_mm,
            engine_leads=node.engine_leads,
            reversals=node.reversals,
            distance_mm=node.gone_to(end_mm),
            trail=Trail(node.trail, way),
            done=node.done,
        )

    def _reversals(self, node: Node, to_mm: float) -> Iterator[Node]:
        """Yield the train turned back behind each blades that its rear clears, and where
        it has run past its goal so as to clear others.
        """
        train = node.train
        margin_mm = self.wanted.margin_mm
        for number in ways_back(self.ground, train):
            rear_mm = self._clear_of_blades(train, train.bases_mm[number] + margin_mm)
            if self._gets_to(node, rear_mm, to_mm):
                came_by = train.courses[number] ^ 1, train.courses[number - 1] ^ 1
                yield self._turned(node, rear_mm, came_by)
        if margin_mm:
            for rear_mm in self._past_its_goal(train):
                if self._gets_to(node, rear_mm, to_mm):
                    yield self._turned(node, rear_mm, None)

    def _gets_to(self, node: Node, rear_mm: float, to_mm: float) -> bool:
        """Tell whether a rear comes to be there on its way along the last course."""
        lead_mm = rear_mm + self._train_mm
        if lead_mm <= to_mm + TOUCHING_MM:
            return lead_mm >= node.lead_mm - TOUCHING_MM
        self._note_lacking(node, lead_mm, to_mm)
        return False

    def _past_its_goal(self, train: Lying) -> Iterator[float]:
        """Yield where a rear has cleared blades, and is on a goal to back into."""
        margin_mm = self.wanted.margin_mm
        for rear_mm in cleared_mm(self.ground, train, margin_mm=margin_mm):
            if train.course_at(self.ground, rear_mm) ^ 1 in self._goals:
                yield rear_mm

    def _turned(
        self, node: Node, rear_mm: float, came_by: tuple[Course, Course] | None
    ) -> Node:
        train = node.train
        lead_mm = rear_mm + self._train_mm
        back = train.reversed_at(self.ground, rear_mm, train_mm=self._train_mm)
        is_there = came_by is not None and back.courses[-1] == came_by[0]
        new_lead_mm = back.rear_mm + self._train_mm
        return Node(
            train=back,
            lead_mm=new_lead_mm,
            from_mm=new_lead_mm,
            engine_leads=not node.engine_leads,
            reversals=node.reversals + 1,
            distance_mm=node.gone_to(lead_mm),
            trail=trail_of(back.courses),
            done=node.done_to(lead_mm),
            came_by=came_by if is_there else None,
        )

    def _clear_of_blades(self, train: Lying, rear_mm: float) -> float:
        margin_mm = self.wanted.margin_mm
        return clear_of_blades(self.ground, train, rear_mm, margin_mm=margin_mm)

    def _ends(self, node: Node, to_mm: float) -> Iterator[Arrival]:
        course = node.train.courses[-1]
        leads = node.engine_leads
        if course == self.wanted.out_at and self._may_lead_out(engine_leads=leads):
            end_mm = node.train.bases_mm[-1] + self.ground.length_mm(course)
            # All of it is out once its tail has passed the joint.
            if to_mm >= end_mm - TOUCHING_MM:
                yield Arrival(node, end_mm + self._train_mm, None)
        touches = self.wanted.touches
        if touches is not None and course == touches.course:
            lead_mm = node.train.bases_mm[-1] + touches.at_mm
            if node.lead_mm - TOUCHING_MM <= lead_mm <= to_mm + TOUCHING_MM:
                yield Arrival(node, lead_mm, None)
        for goal in self._goals.get(course, ()):
            if self._suits(goal, engine_leads=leads):
                yield from self._end_in(node, goal, to_mm)

    def _end_in(self, node: Node, goal: Goal, to_mm: float) -> Iterator[Arrival]:
        from_mm, until_mm = goal.within(self.ground, node.train)
        # It may stand there already, as a train does that was drawn past its goal.
        lead_mm = max(from_mm + self._train_mm, node.lead_mm)
        if node.gone_to(lead_mm) > 0:
            rear_mm = lead_mm - self._train_mm
            lead_mm = self._clear_of_blades(node.train, rear_mm) + self._train_mm
        lacking_mm = lead_mm - min(to_mm, until_mm)
        if lacking_mm <= TOUCHING_MM:
            towards = goal.towards(engine_leads=node.engine_leads)
            yield Arrival(node, lead_mm, towards)
        elif self._lacks_little(lacking_mm):
            self._note((*node.train.courses, *goal.stand.courses))
