"""An engine as it stands coupled to its train, on whichever road goes on from there."""

from collections.abc import Iterator
from typing import NamedTuple

from standage.railway.moves.ground import Ground
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.standing import Stand
from standage.railway.moves.wanted import Touch
from standage.railway.track.network.network import Course

_MOST_COURSES = 3_000
"""So many courses are looked at for where one engine stands."""


class CoupledEngine(NamedTuple):
    """All the track on which an engine may stand at its train's end, from there on.

    ``lacking_mm`` is by how much it sticks out where it may not, and ``over_mm`` the
    same where it comes round to its train's other end.
    """

    stands: tuple[Stand, ...]
    lacking_mm: tuple[float, ...]
    over_mm: tuple[float, ...] = ()
    stopped_on: frozenset[int] = frozenset()
    gave_up: bool = False


class _Outwards(NamedTuple):
    """Track under an engine so far: ``left_mm`` of it is still to stand on more."""

    courses: tuple[Course, ...]
    from_mm: float
    left_mm: float
    strands: frozenset[int] = frozenset()
    sides: frozenset[tuple[int, int]] = frozenset()


def coupled_engine(
    ground: Ground, joint: Touch, engine_mm: float, other_end: Touch
) -> CoupledEngine:
    """Return where an engine may stand from a joint on, along the joint's course.

    It may be foul of other roads, but not of stock, nor of itself. ``other_end`` is
    where one comes upon its train from the other side. Takes as many steps as there are
    ways on. In mm. **Source** the rules of moves.
    """
    waiting = [_Outwards((joint.course,), joint.at_mm, engine_mm)]
    stands: list[Stand] = []
    lacking_mm: list[float] = []
    over_mm: list[float] = []
    stopped_on: set[int] = set()
    looked_at = 0
    while waiting and looked_at < _MOST_COURSES:
        looked_at += 1
        here = waiting.pop()
        course = here.courses[-1]
        begins_mm = here.from_mm if len(here.courses) == 1 else 0.0
        free_mm, further = _entered(ground, here, begins_mm)
        if free_mm - begins_mm >= here.left_mm - TOUCHING_MM:
            to_mm = here.from_mm + engine_mm
            stands.append(
                Stand(
                    courses=here.courses,
                    from_mm=here.from_mm,
                    to_mm=to_mm,
                )
            )
            continue
        left_mm = here.left_mm - (free_mm - begins_mm)
        ways = ground.onwards(course)
        is_stopped = free_mm < ground.length_mm(course) - TOUCHING_MM
        if is_stopped or not ways:
            at_train = abs(free_mm - other_end.at_mm) <= TOUCHING_MM
            is_round = course == other_end.course and at_train
            (over_mm if is_round else lacking_mm).append(left_mm)
            stopped_on.add(course >> 1)
            continue
        waiting += [
            further._replace(courses=(*here.courses, way), left_mm=left_mm)
            for way in ways
        ]
    return CoupledEngine(
        stands=tuple(stands),
        lacking_mm=tuple(lacking_mm),
        over_mm=tuple(over_mm),
        stopped_on=frozenset(stopped_on),
        gave_up=bool(waiting),
    )


def _entered(
    ground: Ground, here: _Outwards, begins_mm: float
) -> tuple[float, _Outwards]:
    """Return how far along the last course an engine may stand, with the track and the
    zones that it is then on.
    """
    course = here.courses[-1]
    free_mm = ground.length_mm(course)
    if course >> 1 in here.strands:
        # Round a circuit it may come up behind its train, on the course of the joint.
        is_behind = course == here.courses[0] and len(here.courses) > 1
        free_mm = min(free_mm, here.from_mm) if is_behind else begins_mm
    for from_mm, to_mm in ground.shut.get(course, ()):
        is_ahead = to_mm > begins_mm + TOUCHING_MM
        if is_ahead and to_mm > from_mm + TOUCHING_MM:
            free_mm = min(free_mm, max(from_mm, begins_mm))
    sides = set(here.sides)
    for enters_mm, rivalry, side in sorted(_zones_ahead(ground, course, begins_mm)):
        is_reached = enters_mm < begins_mm + here.left_mm - TOUCHING_MM
        if not is_reached or enters_mm >= free_mm - TOUCHING_MM:
            continue
        if (rivalry, 1 - side) in sides:
            free_mm = enters_mm
            break
        sides.add((rivalry, side))
    strands = here.strands | {course >> 1}
    return free_mm, here._replace(strands=strands, sides=frozenset(sides))


def _zones_ahead(
    ground: Ground, course: Course, begins_mm: float
) -> Iterator[tuple[float, int, int]]:
    for zone in ground.zones.get(course, ()):
        if zone.to_mm > begins_mm + TOUCHING_MM:
            yield max(zone.from_mm, begins_mm), zone.rivalry, zone.side
