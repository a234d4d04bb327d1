"""Circuits that two trains nearly fill: there they may have to creep round in turn, each
up against the other again and again.
"""

from standage.railway.moves.ground import Ground
from standage.railway.moves.meeting.berths import MILLIONTHS, Berths
from standage.railway.track.network.network import Course

_MOST_STEPS = 20_000


def may_creep(
    ground: Ground, roads: tuple[Berths, Berths], *, trains_mm: float
) -> bool:
    """Tell whether two trains, so long together, may get on by creeping round a circuit.

    So it is where a circuit leaves them room, and less than what lies between two
    berths; else they find berths to wait at. Also where there are too many circuits to
    look at. **Source** derived.
    """
    if not all(road.goes_round() for road in roads):
        return False
    costs = [
        step.cost
        for road in roads
        for steps in road.steps
        for step in steps
        if not step.turns
    ]
    gap_mm = max(costs, default=0) / MILLIONTHS
    return _Circuits(ground, trains_mm, trains_mm + gap_mm).is_any()


class _Circuits:
    """Looks for a circuit of a length between two others."""

    def __init__(self, ground: Ground, least_mm: float, most_mm: float) -> None:
        self.ground = ground
        self.least_mm = least_mm
        self.most_mm = most_mm
        self._steps = 0

    def is_any(self) -> bool:
        courses = range(2 * len(self.ground.lengths_mm))
        return any(self._is_from(course) for course in courses)

    def _is_from(self, first: Course) -> bool:
        """Tell whether one begins there, over no course with a lesser number."""
        waiting: list[tuple[Course, float, frozenset[Course]]] = [
            (first, self.ground.length_mm(first), frozenset({first}))
        ]
        while waiting:
            self._steps += 1
            if self._steps > _MOST_STEPS:
                return True
            here, gone_mm, over = waiting.pop()
            for way in self.ground.onwards(here):
                if way == first:
                    if self.least_mm < gone_mm < self.most_mm:
                        return True
                    continue
                there_mm = gone_mm + self.ground.length_mm(way)
                if way > first and way not in over and there_mm < self.most_mm:
                    waiting.append((way, there_mm, over | {way}))
        return False
