"""Ways on from points: over joints and over later points, laid end to end as they go.

Gaps in the plan move nothing: a way is laid from the points themselves.
"""

from collections.abc import Iterator
from math import inf

import msgspec

from standage.railway.track.fouling.parting import Way, way_from
from standage.railway.track.network.network import Course, Network
from standage.railway.track.paths.runs import Run
from standage.railway.track.paths.spots import Spot, length_of


class WayOn(msgspec.Struct, frozen=True, kw_only=True):
    """A way as far as it has been followed.

    ``lead_mm`` of it lie before the first course. It is ``unknown`` beyond where a
    piece has no shape, and goes straight on for ever where track ends (``ended``).
    """

    way: Way
    courses: tuple[Course, ...]
    lead_mm: float
    unknown: str | None = None
    ended: bool = False

    @property
    def is_whole(self) -> bool:
        """Whether it can be followed no farther."""
        return self.ended or self.unknown is not None

    @property
    def length_mm(self) -> float:
        """How far it has been followed."""
        return self.way.length_mm


def begun(network: Network, spot: Spot, lead: tuple[Run, ...], course: Course) -> WayOn:
    """Return the way from a spot over ``lead`` and along a first course.

    **Source** derived.
    """
    runs = network.runs(course)
    way = way_from(spot).with_runs(lead)
    unknown = None
    if runs is None:
        unknown = network.piece(course)
    else:
        way = way.with_runs(runs)
    return WayOn(
        way=way,
        courses=(course,),
        lead_mm=length_of(lead),
        unknown=unknown,
    )


def followed(network: Network, way_on: WayOn) -> Iterator[WayOn]:
    """Yield the ways on from where one has been followed to; straight on beyond an
    end.

    **Source** derived.
    """
    last = way_on.courses[-1]
    nexts = [one for one in network.onwards(last) if one not in network.trapped]
    if not nexts:
        way = way_on.way.going_on()
        yield msgspec.structs.replace(
            way_on,
            way=way,
            ended=True,
        )
    for course in nexts:
        runs = network.runs(course)
        courses = (*way_on.courses, course)
        if runs is None:
            unknown = network.piece(course)
            yield msgspec.structs.replace(
                way_on,
                courses=courses,
                unknown=unknown,
            )
        else:
            way = way_on.way.with_runs(runs)
            yield msgspec.structs.replace(
                way_on,
                way=way,
                courses=courses,
            )


def taped(
    network: Network, course: Course, along_mm: float
) -> Iterator[tuple[Course, ...]]:
    """Yield every way on from a course's start that is so long, or as far as it goes.

    Also where it comes round to a piece again, and where there are too many of them.
    **Source** derived.
    """
    waiting: list[tuple[tuple[Course, ...], float]] = [((course,), along_mm)]
    for _ in range(_MOST_STEPS):
        if not waiting:
            return
        courses, left_mm = waiting.pop()
        *before, last = courses
        length_mm = network.strand(last).length_mm
        if length_mm is None:
            length_mm = inf
        rest_mm = left_mm - length_mm
        nexts = network.onwards(last)
        if rest_mm <= 0 or last in before:
            nexts = ()
        if not nexts:
            yield courses
        waiting += [((*courses, one), rest_mm) for one in nexts]
    for courses, _ in waiting:
        yield courses


_MOST_STEPS = 3_000
"""So many pieces are looked at on the ways on from one leg."""
