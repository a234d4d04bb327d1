"""Track that is longer or shorter than it is: the ground, and places as they then lie."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import inf
from typing import NamedTuple, TypeVar

from msgspec.structs import replace

from standage.railway.moves.ground import Ground, Span, with_lengths
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.search import ANY_END, Effort, Searched, searched
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Wanted
from standage.railway.track.fouling.fouling import Reach
from standage.railway.track.network.network import Course

_DUST_MM = 1e-9
_MOST_WAYS = 200
T = TypeVar("T")


class Change(NamedTuple):
    """By how much a strand is longer at each of its ends, in mm; shorter where less
    than 0.

    A limit at an end goes with it, unless the track is put on ``beyond`` all that is
    told of it; all else stays as far from the other end as it is. So does stock, but for
    what stands against a finish that ``carries`` it.
    """

    at_start_mm: float = 0.0
    at_finish_mm: float = 0.0
    carries: bool = False
    beyond: bool = False

    @property
    def by_mm(self) -> float:
        """By how much it is longer in all."""
        return self.at_start_mm + self.at_finish_mm

    def and_also(self, other: "Change") -> "Change":
        """Return both changes at once."""
        return Change(
            self.at_start_mm + other.at_start_mm,
            self.at_finish_mm + other.at_finish_mm,
            self.carries or other.carries,
            self.beyond or other.beyond,
        )

    def moved(self, at_mm: float, *, own_mm: float) -> float:
        """Return where a limit then is on a strand that was ``own_mm`` long."""
        new_own_mm = own_mm + self.by_mm
        if self.beyond:
            return at_mm + self.at_start_mm
        if at_mm <= _DUST_MM:
            return 0.0
        if at_mm >= own_mm - _DUST_MM:
            return new_own_mm
        return min(max(at_mm + self.at_start_mm, 0.0), new_own_mm)

    def of_stretch(self, span: Span, *, own_mm: float) -> Span:
        """Return where a stretch then lies."""
        from_mm = self.moved(span.from_mm, own_mm=own_mm)
        to_mm = self.moved(span.to_mm, own_mm=own_mm)
        return Span(span.strand, from_mm, to_mm)

    def of_stock(self, span: Span, *, own_mm: float) -> Span:
        """Return where stock then stands."""
        by_mm = self.at_start_mm
        is_at_finish = span.to_mm >= own_mm - _DUST_MM
        is_at_start = span.from_mm <= _DUST_MM
        if self.carries and is_at_finish and not is_at_start:
            by_mm = self.by_mm
        return Span(span.strand, span.from_mm + by_mm, span.to_mm + by_mm)


Changes = Mapping[int, Change]
"""By the numbers of strands."""


def longer(strands: Sequence[int], *, by_mm: float) -> Changes:
    """Return that strands are so much longer at their finish, as a cure is counted.

    **Source** the rules of moves.
    """
    change = Change(at_finish_mm=by_mm, carries=True)
    return dict.fromkeys(strands, change)


def altered(ground: Ground, wanted: Wanted, changes: Changes) -> tuple[Ground, Wanted]:
    """Return the ground, and what is wanted on it, once some strands are changed.

    **Source** the rules of moves.
    """
    on = altered_ground(ground, changes)
    barred = [
        changes[span.strand].of_stretch(span, own_mm=ground.lengths_mm[span.strand])
        if span.strand in changes
        else span
        for span in wanted.no_propelling
    ]
    start = altered_stand(ground, on, wanted.start, changes)
    goal = wanted.goal
    if goal is not None:
        goal = altered_stand(ground, on, goal, changes)
    return on, replace(
        wanted,
        start=start,
        goal=goal,
        no_propelling=tuple(barred),
    )


def altered_ground(ground: Ground, changes: Changes) -> Ground:
    """Return the ground once some strands are changed. **Source** the rules of moves."""
    own_mm = ground.lengths_mm
    new_mm = {
        strand: own_mm[strand] + change.by_mm for strand, change in changes.items()
    }
    standing = [
        changes[span.strand].of_stock(span, own_mm=own_mm[span.strand])
        if span.strand in changes
        else span
        for span in ground.standing
    ]
    return with_lengths(ground, new_mm, standing=standing)


def altered_stand(
    before: Ground, after: Ground, stand: Stand, changes: Changes
) -> Stand:
    """Return where a place then lies, from the ground before and after the changes.
    **Source** the rules of moves.
    """
    if stand.measured:
        from_mm = _limit_mm(
            before,
            stand.courses,
            stand.from_mm,
            changes,
        )
        to_mm = _limit_mm(
            before,
            stand.courses,
            stand.to_mm,
            changes,
            is_last=True,
        )
        return replace(
            stand,
            from_mm=from_mm,
            to_mm=to_mm,
        )
    courses = stand.courses
    whole_mm = sum(after.length_mm(course) for course in courses)
    is_shorter = any(change.by_mm < 0 for change in changes.values())
    near_mm, far_mm = (
        _reached_mm(after, start, of_all=is_shorter)
        for start in (courses[0], courses[-1] ^ 1)
    )
    to_mm = max(near_mm, whole_mm - far_mm)
    return replace(
        stand,
        from_mm=min(near_mm, to_mm),
        to_mm=to_mm,
    )


def _limit_mm(
    before: Ground,
    courses: Sequence[Course],
    limit_mm: float,
    changes: Changes,
    *,
    is_last: bool = False,
) -> float:
    """Return where a limit along courses then is: where two meet it is of the one that
    the place is on.
    """
    base_mm = new_base_mm = 0.0
    for number, course in enumerate(courses, start=1):
        own_mm = before.length_mm(course)
        change = changes.get(course >> 1, Change())
        left_mm = own_mm - (limit_mm - base_mm)
        is_within = left_mm >= -_DUST_MM if is_last else left_mm > _DUST_MM
        if is_within or number == len(courses):
            at_mm = limit_mm - base_mm
            if course & 1:
                new_own_mm = own_mm + change.by_mm
                from_finish_mm = change.moved(own_mm - at_mm, own_mm=own_mm)
                return new_base_mm + new_own_mm - from_finish_mm
            return new_base_mm + change.moved(at_mm, own_mm=own_mm)
        base_mm += own_mm
        new_base_mm += own_mm + change.by_mm
    return limit_mm


def _reached_mm(ground: Ground, start: Course, *, of_all: bool) -> float:
    """Return how far the limits of points reach into a road from its start.

    Those that were found beyond it, or ``of_all``, as shorter track may let others in.
    """
    reaches = ground.reaches.get(start, ())
    if of_all:
        reaches = tuple(reach for point in ground.points for reach in point.reaches)
    left_mm = [mm for reach in reaches for mm in _left_at(ground, reach, start)]
    return max(left_mm, default=0.0)


def _left_at(ground: Ground, reach: Reach, start: Course) -> Iterator[float]:
    """Yield what is left of a limit's way where it comes to a course."""
    left_mm = reach.along_mm or 0.0
    for course in reach.courses:
        if left_mm <= 0:
            return
        if course == start:
            yield left_mm
        left_mm -= ground.length_mm(course)
    if left_mm <= 0 or left_mm == inf:
        return
    # Of track that is shorter now, the limit may lie beyond what it was found on.
    waiting = [(way, left_mm) for way in ground.network.onwards(reach.courses[-1])]
    for _ in range(_MOST_WAYS):
        if not waiting:
            return
        course, left_mm = waiting.pop()
        if course == start:
            yield left_mm
        left_mm -= ground.length_mm(course)
        if left_mm > 0:
            waiting += [(way, left_mm) for way in ground.network.onwards(course)]


class Trials:
    """Asks whether a train gets there once track is altered, within so many steps."""

    def __init__(self, ground: Ground, wanted: Wanted, *, most_steps: int) -> None:
        self.ground = ground
        self.wanted = wanted
        self.steps = 0
        self._gave_up = False
        self._most_steps = most_steps

    def have_stopped(self) -> bool:
        """Tell whether the steps were spent before an answer was found."""
        return self._gave_up

    def helps(self, changes: Changes) -> bool:
        """Tell whether the train gets there with some changes."""
        if self.steps > self._most_steps:
            self._gave_up = True
            return False
        found = self.searched(changes, ANY_END)
        if not found.finishes:
            self._gave_up = self._gave_up or found.gave_up
        return bool(found.finishes)

    def searched(self, changes: Changes, effort: Effort) -> Searched:
        """Return what a search comes to on the altered track."""
        on, asked = altered(self.ground, self.wanted, changes)
        if effort == ANY_END and not has_room(asked):
            return Searched(finishes=())
        found = searched(on, asked, effort)
        self.steps += found.steps
        return found


def has_room(wanted: Wanted) -> bool:
    """Tell whether a train is no longer than its place and its goal. **Source** the
    rules of moves.
    """
    room_mm = wanted.start.length_mm
    if wanted.goal is not None:
        room_mm = min(room_mm, wanted.goal.length_mm)
    return wanted.train_mm <= room_mm + TOUCHING_MM


def each_alone(some: Sequence[T], helps: Callable[[Sequence[T]], bool]) -> Iterator[T]:
    """Yield those of some that help alone, where what helps also helps with others.

    What does not help together does not help alone: so it is asked of all, then of
    each half. **Source** derived.
    """
    if not some or not helps(some):
        return
    if len(some) == 1:
        yield some[0]
        return
    middle = len(some) // 2
    yield from each_alone(some[:middle], helps)
    yield from each_alone(some[middle:], helps)


def least_mm(
    helps: Callable[[int], bool], *, enough_mm: int, too_little_mm: int = 0
) -> int:
    """Return the least whole mm that help, where ``enough_mm`` do, ``too_little_mm`` do
    not, and more are no worse. **Source** derived.
    """
    while enough_mm - too_little_mm > 1:
        middle_mm = (too_little_mm + enough_mm) // 2
        if helps(middle_mm):
            enough_mm = middle_mm
        else:
            too_little_mm = middle_mm
    return enough_mm
