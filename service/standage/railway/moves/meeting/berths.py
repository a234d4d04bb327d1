"""Every berth of one train: where it may come to stand at all, and how it gets from one
to the next.
"""

from bisect import bisect_right
from collections import deque
from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

from standage.railway.moves.ground import Ground
from standage.railway.moves.meeting.marks import Marks
from standage.railway.moves.room import TOUCHING_MM, blades_behind, free_mm
from standage.railway.moves.standing import Lying, Stand, free_parts, lying
from standage.railway.moves.wanted import Wanted, propelled_mm
from standage.railway.track.network.network import Course

MOST_BERTHS = 8_000
"""So many berths of one train are looked at."""
A_REVERSAL = 10**15
"""A reversal costs more than any way: costs are in millionths of a millimetre."""
MILLIONTHS = 1_000_000
_PLACES = 6


class Berth(NamedTuple):
    """A train as it lies, facing the way it last ran; ``gone`` once it has left the
    plan. ``may_wait`` where blades may be thrown behind its rear.
    """

    train: Lying
    engine_leads: bool
    may_wait: bool
    gone: bool = False


class Step(NamedTuple):
    """From one berth to the next one: a little farther on, or turned about.

    ``onto`` are the courses that its lead enters. Costs are in millionths of a
    millimetre.
    """

    to: int
    cost: int
    onto: tuple[Course, ...] = ()
    turns: bool = False


class Berths(NamedTuple):
    """The berths of a train by number, the steps from each, where it may begin, and
    what it costs at the least from each to get to its goal, alone; None for no way.
    """

    berths: Sequence[Berth]
    steps: Sequence[Sequence[Step]]
    starts: Sequence[int]
    left: Sequence[int | None]
    gave_up: bool

    def alone(self) -> int | None:
        """Return what it costs at the least from the best start, alone."""
        known = [self.left[number] for number in self.starts]
        return min((cost for cost in known if cost is not None), default=None)

    def goes_round(self) -> bool:
        """Tell whether it can come back to a berth without turning back."""
        waiting = [0] * len(self.steps)
        for step in self._ahead():
            waiting[step.to] += 1
        free = [number for number, count in enumerate(waiting) if count == 0]
        left = len(waiting)
        while free:
            left -= 1
            for step in self.steps[free.pop()]:
                if not step.turns:
                    waiting[step.to] -= 1
                    if waiting[step.to] == 0:
                        free.append(step.to)
        return left > 0

    def _ahead(self) -> Iterator[Step]:
        for steps in self.steps:
            yield from (step for step in steps if not step.turns)


def berths_of(ground: Ground, wanted: Wanted, marks: Marks) -> Berths:
    """Return every berth that a train may come to: where either of its ends is at a
    mark, or its lead gets no farther.

    Takes as many steps as there are berths, ``MOST_BERTHS`` at most. **Source**
    derived.
    """
    return _Walk(ground, wanted, marks).berths()


class _Way(NamedTuple):
    """A train on its way from a berth: how far it has come, and onto what."""

    train: Lying
    gone_mm: float
    onto: tuple[Course, ...]


class _Stop(NamedTuple):
    """How far it is to where something changes, and whether a train may berth there."""

    ahead_mm: float
    is_berth: bool


class _Walk:
    def __init__(self, ground: Ground, wanted: Wanted, marks: Marks) -> None:
        self.ground = ground
        self.wanted = wanted
        self.marks = marks
        self._train_mm = wanted.train_mm
        self._numbers: dict[tuple[object, ...], int] = {}
        self._berths: list[Berth] = []
        self._steps: list[list[Step]] = []
        self._waiting: deque[int] = deque()
        self._goals: list[tuple[Stand, int]] = []
        if wanted.goal is not None:
            self._goals = [(wanted.goal, 1), (wanted.goal.turned(ground), 0)]

    def berths(self) -> Berths:
        starts = sorted(set(self._starts()))
        gave_up = False
        while self._waiting:
            if len(self._berths) > MOST_BERTHS:
                gave_up = True
                break
            number = self._waiting.popleft()
            self._steps[number] += self._steps_from(self._berths[number])
        left = _left(self._steps, self._goals_reached())
        return Berths(
            self._berths,
            self._steps,
            starts,
            left,
            gave_up,
        )

    def _goals_reached(self) -> list[int]:
        return [
            number
            for number, berth in enumerate(self._berths)
            if berth.gone or (berth.may_wait and self._is_there(berth))
        ]

    def _starts(self) -> Iterator[int]:
        """Yield the berths where the train may stand at first, to go either way."""
        start = self.wanted.start
        left = free_parts(self.ground, start)
        against = self.wanted.stands_against
        if against is not None:
            nearest = 0 if against == 0 else -1
            left = left[nearest:][:1]
        for part in left:
            if part.length_mm < self._train_mm - TOUCHING_MM:
                continue
            for towards, stand in ((1, part), (0, part.turned(self.ground))):
                rears_mm = list(self._rears_in(stand))
                if against is not None:
                    rears_mm = rears_mm[:1] if against == 1 - towards else rears_mm[-1:]
                for rear_mm in rears_mm:
                    train = lying(self.ground, stand.courses, rear_mm=rear_mm)
                    train = self._trimmed(train)
                    leads = self.wanted.engine_towards == towards
                    yield self._number(
                        train,
                        engine_leads=leads,
                        begins=True,
                    )

    def _rears_in(self, stand: Stand) -> Iterator[float]:
        """Yield where a rear may stand in a place, from the one end to the other."""
        last_mm = max(stand.from_mm, stand.to_mm - self._train_mm)
        found_mm = {stand.from_mm, last_mm}
        base_mm = 0.0
        for course in stand.courses:
            at_mm: float | None = -1.0
            while at_mm is not None:
                for rear_mm in (base_mm + at_mm, base_mm + at_mm - self._train_mm):
                    if stand.from_mm < rear_mm < last_mm:
                        found_mm.add(rear_mm)
                at_mm = self.marks.after(course, at_mm)
            base_mm += self.ground.length_mm(course)
        yield from sorted(found_mm)

    def _number(self, train: Lying, *, engine_leads: bool, begins: bool = False) -> int:
        """Return the number of a berth, which is a new one or known already."""
        may_wait = self._may_wait(train)
        # Where it stands at first it may stand, even too near to blades.
        is_apart = begins and not may_wait
        key = (train.courses, round(train.rear_mm, _PLACES - 1), engine_leads, is_apart)
        number = self._numbers.get(key)
        if number is None:
            number = self._numbers[key] = len(self._berths)
            berth = Berth(train, engine_leads, may_wait=may_wait or begins)
            self._add(berth)
        return number

    def _add(self, berth: Berth) -> None:
        self._waiting.append(len(self._berths))
        self._berths.append(berth)
        self._steps.append([])

    def _may_wait(self, train: Lying) -> bool:
        margin_mm = self.wanted.margin_mm
        if not margin_mm:
            return True
        least_mm = train.rear_mm - margin_mm
        for blades_mm in blades_behind(self.ground, train, least_mm=least_mm):
            past_mm = train.rear_mm - blades_mm
            if -TOUCHING_MM <= past_mm < margin_mm - TOUCHING_MM:
                return False
        return True

    def _steps_from(self, berth: Berth) -> Iterator[Step]:
        if berth.gone:
            return
        yield from self._ahead(berth)
        if berth.may_wait:
            back = self._back(berth.train)
            number = self._number(back, engine_leads=not berth.engine_leads)
            yield Step(number, A_REVERSAL, turns=True)
        if self._leaves(berth):
            self._berths.append(berth._replace(gone=True))
            self._steps.append([])
            gone = len(self._berths) - 1
            yield Step(gone, round(self._train_mm * MILLIONTHS))

    def _leaves(self, berth: Berth) -> bool:
        wanted = self.wanted
        train = berth.train
        if train.courses[-1] != wanted.out_at:
            return False
        lead_mm = train.rear_mm + self._train_mm - train.bases_mm[-1]
        is_at_end = lead_mm >= self.ground.length_mm(wanted.out_at) - TOUCHING_MM
        return is_at_end and wanted.leads_out in {None, berth.engine_leads}

    def _ahead(self, berth: Berth) -> Iterator[Step]:
        """Yield the train farther on, each way on, up to the next mark."""
        waiting = [_Way(berth.train, 0.0, ())]
        while waiting:
            way = waiting.pop()
            for train, onto in self._entered(way.train, way.onto):
                stop = self._next_stop(train, berth)
                gone_mm = way.gone_mm + stop.ahead_mm
                there = train._replace(rear_mm=train.rear_mm + stop.ahead_mm)
                if not stop.is_berth:
                    waiting.append(_Way(there, gone_mm, onto))
                elif gone_mm > TOUCHING_MM:
                    there = self._trimmed(there)
                    number = self._number(there, engine_leads=berth.engine_leads)
                    yield Step(number, round(gone_mm * MILLIONTHS), onto)

    def _next_stop(self, train: Lying, berth: Berth) -> "_Stop":
        """Return how far a train gets until an end of it comes to a mark, or it gets no
        farther, or its track ends and goes on.
        """
        lead_mm = train.rear_mm + self._train_mm
        course, base_mm = train.courses[-1], train.bases_mm[-1]
        at_mm = lead_mm - base_mm
        free_mm = max(0.0, self._free_mm(train, berth) - at_mm)
        ahead = self._until_mark(course, at_mm)
        rear_at = self._under_rear(train)
        rear_at_mm = train.rear_mm - train.bases_mm[rear_at]
        behind = self._until_mark(train.courses[rear_at], rear_at_mm)
        if free_mm < min(ahead.ahead_mm, behind.ahead_mm) - TOUCHING_MM:
            return _Stop(free_mm, is_berth=True)
        if abs(ahead.ahead_mm - behind.ahead_mm) <= TOUCHING_MM:
            is_berth = ahead.is_berth or behind.is_berth
            return _Stop(ahead.ahead_mm, is_berth=is_berth)
        return min(ahead, behind)

    def _until_mark(self, course: Course, at_mm: float) -> "_Stop":
        mark_mm = self.marks.after(course, at_mm)
        if mark_mm is not None:
            return _Stop(mark_mm - at_mm, is_berth=True)
        left_mm = self.ground.length_mm(course) - at_mm
        return _Stop(left_mm, is_berth=False)

    def _entered(
        self, train: Lying, onto: tuple[Course, ...]
    ) -> Iterator[tuple[Lying, tuple[Course, ...]]]:
        """Yield the train with track before its lead, on each way on."""
        course, base_mm = train.courses[-1], train.bases_mm[-1]
        end_mm = base_mm + self.ground.length_mm(course)
        if train.rear_mm + self._train_mm < end_mm - TOUCHING_MM:
            yield train, onto
            return
        for way in self.ground.onwards(course):
            courses = (*train.courses, way)
            further = Lying(courses, (*train.bases_mm, end_mm), train.rear_mm)
            yield from self._entered(further, (*onto, way))

    def _free_mm(self, train: Lying, berth: Berth) -> float:
        if berth.engine_leads:
            return free_mm(self.ground, train, self._train_mm)
        return propelled_mm(self.ground, self.wanted, train)

    def _under_rear(self, train: Lying) -> int:
        """Return the number of the course on which a train's rear goes on."""
        past = bisect_right(train.bases_mm, train.rear_mm + TOUCHING_MM)
        return max(0, past - 1)

    def _trimmed(self, train: Lying) -> Lying:
        """Return a train on those of its courses that lie under it."""
        courses, bases_mm, rear_mm = train
        lead_mm = rear_mm + self._train_mm
        first = self._under_rear(train)
        last = len(courses) - 1
        while last > first and bases_mm[last] >= lead_mm - TOUCHING_MM:
            last -= 1
        base_mm = bases_mm[first]
        under = [mm - base_mm for mm in bases_mm[first : last + 1]]
        rear_mm = round(max(0.0, rear_mm - base_mm), _PLACES + 3)
        return Lying(courses[first : last + 1], tuple(under), rear_mm)

    def _back(self, train: Lying) -> Lying:
        courses = tuple(course ^ 1 for course in reversed(train.courses))
        last_mm = self.ground.length_mm(train.courses[-1])
        end_mm = train.bases_mm[-1] + last_mm
        lead_mm = train.rear_mm + self._train_mm
        turned = lying(self.ground, courses, rear_mm=end_mm - lead_mm)
        return self._trimmed(turned)

    def _is_there(self, berth: Berth) -> bool:
        """Tell whether a train stands wholly in its goal, pointing as it is to."""
        for stand, last in self._goals:
            towards = last if berth.engine_leads else 1 - last
            if self.wanted.ends_towards not in {None, towards}:
                continue
            if self._lies_in(berth.train, stand):
                return True
        return False

    def _lies_in(self, train: Lying, stand: Stand) -> bool:
        if train.courses[0] not in stand.courses:
            return False
        first = stand.courses.index(train.courses[0])
        if stand.courses[first : first + len(train.courses)] != train.courses:
            return False
        base_mm = sum(self.ground.length_mm(one) for one in stand.courses[:first])
        rear_mm = base_mm + train.rear_mm
        is_in = rear_mm >= stand.from_mm - TOUCHING_MM
        return is_in and rear_mm + self._train_mm <= stand.to_mm + TOUCHING_MM


def _left(steps: Sequence[Sequence[Step]], goals: Sequence[int]) -> list[int | None]:
    """Return what it costs at the least from each berth to a goal."""
    back: list[list[tuple[int, int]]] = [[] for _ in steps]
    for number, onwards in enumerate(steps):
        for step in onwards:
            back[step.to].append((number, step.cost))
    left: list[int | None] = [None] * len(steps)
    heap = [(0, goal) for goal in goals]
    while heap:
        cost, here = heappop(heap)
        if left[here] is not None:
            continue
        left[here] = cost
        for before, more in back[here]:
            if left[before] is None:
                heappush(heap, (cost + more, before))
    return left
