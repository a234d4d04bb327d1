"""The way through places in their order, without a reversal."""

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

import msgspec

from standage.railway.moves.ground import Ground
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.standing import Stand
from standage.railway.track.network.network import Course


class Through(msgspec.Struct, frozen=True, kw_only=True):
    """A way from the first limit of a first place to the last limit of the last.

    Counted in mm from the start of the first course. ``chosen`` are the places, by
    their numbers, to which another way leads too, a longer one; 0 where all can be run
    through the other way round. ``is_ring`` where the end runs on into the start.
    """

    courses: tuple[Course, ...]
    from_mm: float
    to_mm: float
    chosen: frozenset[int] = frozenset()
    is_ring: bool = False

    @property
    def length_mm(self) -> float:
        """How long it is."""
        return self.to_mm - self.from_mm

    def gone_round(self, train_mm: float) -> "Through":
        """Return a ring for a train that goes all the way round it, its tail too."""
        return msgspec.structs.replace(
            self, courses=self.courses * 2, to_mm=self.to_mm + train_mm, is_ring=False
        )


class NoWay(NamedTuple):
    """To the place of that number no way leads on from the one before; ``turns``:
    unless the train turns back.
    """

    number: int
    turns: bool


class _Came(NamedTuple):
    """A way that has come to the last limit of a place."""

    courses: tuple[Course, ...]
    from_mm: float
    to_mm: float
    chosen: frozenset[int]


def way_through(ground: Ground, stands: Sequence[Stand]) -> Through | NoWay:
    """Return the shortest way of a train through places in their order, each from limit
    to limit; every place may be run through either way round.

    It takes no way over points out of use, enters no trap, and leads over nothing that
    other stock stands on or bars but in the places themselves. Takes as many steps for
    each place as there are ways. In mm. **Source** derived.
    """
    first = stands[0]
    came: list[_Came] = [
        _Came(
            one.courses,
            one.from_mm,
            one.to_mm,
            frozenset(),
        )
        for one in (first, first.turned(ground))
    ]
    if len(stands) == 1:
        alone = came[0]
        return _through(ground, alone, alone.chosen)
    for number, stand in enumerate(stands[1:], start=1):
        further = list(
            _each_way_on(
                ground,
                came,
                stand,
                number,
            )
        )
        if not further:
            turns = _is_joined(ground, stands[number - 1], stand)
            return NoWay(number, turns)
        came = further
    best = min(came, key=_length_mm)
    is_either_way = len(came) > 1
    chosen = best.chosen | ({0} if is_either_way else set())
    return _through(ground, best, chosen)


def _length_mm(came: _Came) -> float:
    return came.to_mm - came.from_mm


def _through(ground: Ground, came: _Came, chosen: frozenset[int]) -> Through:
    courses = came.courses
    whole_mm = _sum_mm(ground, courses)
    runs_on = courses[0] in ground.onwards(courses[-1])
    is_whole = came.from_mm <= TOUCHING_MM and came.to_mm >= whole_mm - TOUCHING_MM
    return Through(
        courses=courses,
        from_mm=came.from_mm,
        to_mm=came.to_mm,
        chosen=chosen,
        is_ring=runs_on and is_whole,
    )


def _sum_mm(ground: Ground, courses: Sequence[Course]) -> float:
    return sum(ground.length_mm(course) for course in courses)


def _each_way_on(
    ground: Ground, came: Sequence[_Came], stand: Stand, number: int
) -> Iterator[_Came]:
    """Yield the shortest way to a place run through each way round, if there is one."""
    for goal in (stand, stand.turned(ground)):
        towards = _Towards(ground, goal.courses[0])
        found = [
            _onwards(
                ground,
                one,
                goal,
                towards,
                number,
            )
            for one in came
        ]
        known = [one for one in found if one is not None]
        if known:
            yield min(known, key=_length_mm)


def _onwards(
    ground: Ground, came: _Came, goal: Stand, towards: "_Towards", number: int
) -> _Came | None:
    """Return the way on to the last limit of a place; None where there is none."""
    last = came.courses[-1]
    if last in goal.courses:
        within = _within(ground, came, goal)
        if within is not None:
            return within
    link = towards.link(last)
    if link is None:
        return None
    courses = (*came.courses, *link)
    base_mm = _sum_mm(ground, courses)
    chosen = came.chosen
    if towards.has_another_way(came.courses, link):
        chosen |= {number}
    return _Came(
        courses=(*courses, *goal.courses),
        from_mm=came.from_mm,
        to_mm=base_mm + goal.to_mm,
        chosen=chosen,
    )


def _within(ground: Ground, came: _Came, goal: Stand) -> _Came | None:
    """Return the way on in a place that it has come into already; None where that has
    its last limit behind.
    """
    place = goal.courses.index(came.courses[-1])
    along_mm = came.to_mm - _sum_mm(ground, came.courses[:-1])
    at_mm = _sum_mm(ground, goal.courses[:place]) + along_mm
    left_mm = goal.to_mm - at_mm
    if left_mm <= TOUCHING_MM:
        return None
    courses = came.courses + goal.courses[place + 1 :]
    return _Came(
        courses,
        came.from_mm,
        came.to_mm + left_mm,
        came.chosen,
    )


class _Towards:
    """The shortest ways to one course, from the ends of all others."""

    def __init__(self, ground: Ground, goal: Course) -> None:
        self._ground = ground
        self._goal = goal
        self._next: dict[Course, Course] = {}
        self._spread()

    def _spread(self) -> None:
        """Go back from the goal over all ways that lead there."""
        back = _ways_back(self._ground)
        waiting: list[tuple[float, Course, Course]] = [
            (0.0, before, self._goal) for before in back.get(self._goal, ())
        ]
        waiting.sort()
        while waiting:
            left_mm, here, then = heappop(waiting)
            if here in self._next:
                continue
            self._next[here] = then
            if here == self._goal or _is_barred(self._ground, here):
                continue
            own_mm = self._ground.length_mm(here)
            for before in back.get(here, ()):
                heappush(waiting, (left_mm + own_mm, before, here))

    def link(self, course: Course) -> tuple[Course, ...] | None:
        """Return the courses between the end of one and the goal; None where no way
        leads there.
        """
        if course not in self._next:
            return None
        link: list[Course] = []
        here = self._next[course]
        while here != self._goal:
            link.append(here)
            here = self._next[here]
        return tuple(link)

    def has_another_way(self, before: Sequence[Course], link: Sequence[Course]) -> bool:
        """Tell whether a longer way leads to the goal, and over no track twice."""
        run_over = {course >> 1 for course in before}
        taken = (*link, self._goal)
        for here, then in zip((before[-1], *link), taken, strict=True):
            run_over.add(here >> 1)
            for other in self._ground.onwards(here):
                if other != then and self._gets_there(other, run_over):
                    return True
        return False

    def _gets_there(self, course: Course, run_over: set[int]) -> bool:
        if course == self._goal:
            return True
        if course not in self._next or _is_barred(self._ground, course):
            return False
        way = (course, *(self.link(course) or ()))
        return all(one >> 1 not in run_over for one in way)


def _is_barred(ground: Ground, course: Course) -> bool:
    return any(
        to_mm - from_mm > TOUCHING_MM for from_mm, to_mm in ground.shut.get(course, ())
    )


def _ways_back(ground: Ground) -> dict[Course, list[Course]]:
    back: dict[Course, list[Course]] = {}
    for course in range(2 * len(ground.lengths_mm)):
        for way in ground.onwards(course):
            back.setdefault(way, []).append(course)
    return back


def _is_joined(ground: Ground, one: Stand, other: Stand) -> bool:
    """Tell whether a train gets from one place to another if it may turn back."""
    wanted = {course >> 1 for course in other.courses}
    seen: set[int] = set()
    waiting = [course >> 1 for course in one.courses]
    while waiting:
        strand = waiting.pop()
        if strand in wanted:
            return True
        if strand in seen:
            continue
        seen.add(strand)
        for course in (2 * strand, 2 * strand + 1):
            waiting += [way >> 1 for way in ground.onwards(course)]
    return False
