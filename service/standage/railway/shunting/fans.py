"""Fans of a track plan: all roads into which trains get from a headshunt without turning
back, over points from the toe to a leg.
"""

from collections.abc import Mapping
from typing import NamedTuple

import msgspec

from standage.railway.roads.plan_roads import PlanRoad
from standage.railway.terms.figures import cut
from standage.railway.track.network.network import Course, Network, Stop
from standage.shapes.faults import Fault, Faulty

A_STRETCH = (
    "is a place measured as a stretch: name the road that it lies on, or give the place"
    " by its pieces"
)


class Neck(NamedTuple):
    """A headshunt as trains run over it towards its points: up to the blade tips.

    ``far`` is 0 or 1, whichever of the road's limits lies at its other end.
    """

    road: PlanRoad
    courses: tuple[Course, ...]
    points: str
    far: int


class Fan(msgspec.Struct, frozen=True, kw_only=True):
    """Where trains come from a headshunt: ``before`` has the course before each, and
    ``ends`` the last course of each way with what ends it.
    """

    before: Mapping[Course, Course]
    ends: Mapping[Course, Stop]

    def way_to(self, end: Course) -> tuple[Course, ...]:
        """Return the courses from the first blade tips to the end of a way."""
        way = [end]
        while way[-1] in self.before:
            way.append(self.before[way[-1]])
        # the last one is the headshunt's own
        return tuple(reversed(way[:-1]))


def neck_of(network: Network, road: PlanRoad) -> Neck:
    """Return a road as a headshunt; raises ``Faulty`` where it does not meet blades at
    one end, and at one only. **Source** the rules of moves: a headshunt runs from the
    tips of blades.
    """
    if not road.courses:
        raise _refused(road, A_STRETCH, code="no_headshunt")
    about = tuple(course ^ 1 for course in reversed(road.courses))
    necks = []
    for courses, far in ((road.courses, 0), (about, 1)):
        stop = network.stop(courses[-1])
        if stop is not None and stop.kind == "blade_tips":
            necks.append(Neck(road, courses, stop.piece, far))
    if not necks:
        message = "meets no points at their toe: a headshunt begins at blade tips"
        raise _refused(road, message, code="no_headshunt")
    if len(necks) > 1:
        both = f"{cut(necks[1].points)} and {cut(necks[0].points)}"
        message = f"lies between the toes of {both}: name a road that ends at buffers"
        raise _refused(road, message, code="no_headshunt")
    return necks[0]


def fan_of(network: Network, neck: Neck) -> Fan:
    """Return all ways out of a headshunt over points from the toe to a leg, and straight
    on over crossings; each ends at whatever else it meets.

    Raises ``Faulty`` where a way comes back to the headshunt from behind. Takes as many
    steps as there are courses. **Source** derived.
    """
    own = {course >> 1 for course in neck.courses}
    before: dict[Course, Course] = {}
    ends: dict[Course, Stop] = {}
    waiting = [neck.courses[-1]]
    while waiting:
        here = waiting.pop()
        stop = network.stop(here)
        if stop is not None and not _runs_on(network, here, stop):
            ends[here] = stop
            continue
        for onwards in network.onwards(here):
            # nowhere else do two ways meet, since none comes to points from a leg
            if onwards >> 1 in own:
                over = cut(network.piece(here))
                message = (
                    f"is part of a circuit: over {over} trains come back to it from"
                    " behind; name a road that ends at buffers"
                )
                raise _refused(neck.road, message, code="circuit")
            before[onwards] = here
            waiting.append(onwards)
    return Fan(before=before, ends=ends)


def _runs_on(network: Network, course: Course, stop: Stop) -> bool:
    """Tell whether a way goes on where a road ends: over blades met from the toe, or
    straight over a crossing. Between two blades of one piece no road ends.
    """
    if network.strand(course).core or stop.kind == "blade_tips":
        return True
    return stop.kind == "fouling_point" and stop.word == "crossing"


def crossed_twice(network: Network, way: tuple[Course, ...]) -> str | None:
    """Return the crossing over which a way runs twice, where there is one. **Source**
    derived.
    """
    over: set[str] = set()
    last = ""
    for course in way:
        piece = network.piece(course)
        if piece in over and piece != last:
            return piece
        over.add(piece)
        last = piece
    return None


def why_no_siding(stop: Stop) -> str:
    """Return why what ends there is no siding, in words that follow its name; buffers
    end one. **Source** plain English.
    """
    if stop.kind == "fouling_point":
        return f"goes on over {stop.word} {cut(stop.piece)}"
    if stop.kind == "trap":
        return "leads to a trap"
    if stop.kind == "deck_edge":
        return f"ends at the deck {cut(stop.piece)} and not at buffers"
    return "ends at an open end and not at buffers"


def _refused(road: PlanRoad, message: str, *, code: str) -> Faulty:
    fault = Fault(
        code=code, message=f"{cut(road.name)} {message}", pointer="/headshunt"
    )
    return Faulty([fault])
