"""Places as a train comes to stand in them."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from standage.railway.moves.ground import Ground
from standage.railway.moves.standing import Lying, Stand, lying
from standage.railway.moves.wanted import End
from standage.railway.track.network.network import Course


class Goal(NamedTuple):
    """A place as it is run over towards its end ``last``."""

    stand: Stand
    bases_mm: tuple[float, ...]
    last: End

    def towards(self, *, engine_leads: bool) -> End:
        """Return the end to which an engine points that leads, or does not."""
        if engine_leads:
            return self.last
        if self.last:
            return 0
        return 1

    def within(self, ground: Ground, train: Lying) -> tuple[float, float]:
        """Return from where to where a train's way lies in the place, in one stretch up
        to its last course.
        """
        stand = self.stand
        number = stand.courses.index(train.courses[-1])
        shift_mm = train.bases_mm[-1] - self.bases_mm[number]
        own_mm = ground.length_mm(train.courses[-1])
        until_mm = min(stand.to_mm, self.bases_mm[number] + own_mm) + shift_mm
        back = 0
        while (
            back < number
            and back + 1 < len(train.courses)
            and train.courses[-2 - back] == stand.courses[number - 1 - back]
        ):
            back += 1
        begins_mm = self.bases_mm[number - back]
        from_mm = max(stand.from_mm, begins_mm) + shift_mm
        return from_mm, until_mm


def goals_by_course(
    ground: Ground, places: Iterable[Stand]
) -> Mapping[Course, list[Goal]]:
    """Return the goals by the courses on which a train may come to stand in them.
    **Source** derived.
    """
    goals: dict[Course, list[Goal]] = {}
    for place in places:
        for stand, last in _both_ways(ground, place):
            bases_mm = lying(ground, stand.courses, rear_mm=0.0).bases_mm
            goal = Goal(stand, bases_mm, last)
            for course in dict.fromkeys(stand.courses):
                goals.setdefault(course, []).append(goal)
    return goals


def _both_ways(ground: Ground, place: Stand) -> tuple[tuple[Stand, End], ...]:
    return (place, 1), (place.turned(ground), 0)
