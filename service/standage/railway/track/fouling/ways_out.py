"""Ways out from a piece by their courses, up to where two of them come together again.

For stock, which is followed far: ``ways_on`` follows only as far as a spacing needs.
"""

from cmath import phase
from collections.abc import Iterator, Sequence
from math import inf
from typing import NamedTuple

from standage.railway.track.network.network import Course, Network
from standage.railway.track.paths.paths import Path, Pose
from standage.railway.track.paths.runs import Run
from standage.railway.track.paths.spots import Spot, length_of, through, turned_round
from standage.railway.track.pieces.shapes import is_knot

MOST_WAYS = 64
_MOST_STEPS = 3_000


class WayOut(NamedTuple):
    """Courses one after the other, and how far the last of them leads.

    It is followed no farther where it is ``unknown`` beyond, for want of that piece's
    shape, or ``too_sharp``, where track ends (``ended``), and where it comes to itself.
    """

    courses: tuple[Course, ...] = ()
    length_mm: float = 0.0
    unknown: str | None = None
    too_sharp: bool = False
    ended: bool = False

    @property
    def is_cut(self) -> bool:
        """Whether there is more track that is not followed for what it is."""
        return self.too_sharp or self.unknown is not None


class Bounds(NamedTuple):
    """How far ways are followed, and over no sharper curve than what."""

    to_mm: float
    least_radius_mm: float = 0.0


class WaysOut(NamedTuple):
    """Every way out, or the first of them where there are too many to follow."""

    ways: tuple[WayOut, ...]
    are_all: bool


def ways_out(network: Network, starts: Sequence[Course], bounds: Bounds) -> WaysOut:
    """Return every way out that begins with one of some courses, as long as it is
    wanted or as far as it goes.

    No more than ``MOST_WAYS``, in thousands of steps. **Source** derived.
    """
    waiting = [WayOut((start,)) for start in reversed(starts)]
    found: list[WayOut] = []
    for _ in range(_MOST_STEPS):
        if not waiting or len(found) >= MOST_WAYS:
            break
        way = _with_last(network, waiting.pop(), bounds.least_radius_mm)
        nexts = _onwards(network, way)
        if way.is_cut or way.length_mm >= bounds.to_mm:
            found.append(way)
        elif not nexts:
            found.append(way._replace(ended=True))
        elif nexts[0] in way.courses or nexts[0] ^ 1 in way.courses:
            found.append(way)
        else:
            longer = (way._replace(courses=(*way.courses, one)) for one in nexts)
            waiting += reversed(list(longer))
    return WaysOut(
        tuple(found),
        are_all=not waiting,
    )


def _with_last(network: Network, way: WayOut, least_radius_mm: float) -> WayOut:
    """Return the way with the last of its courses counted; without, if that has no
    shape or is too sharp."""
    last = way.courses[-1]
    runs = network.runs(last)
    if runs is None:
        return way._replace(
            courses=way.courses[:-1],
            unknown=network.piece(last),
        )
    bends = [max(abs(run.curvature_from), abs(run.curvature_to)) for run in runs]
    if max(bends, default=0.0) * least_radius_mm > 1:
        return way._replace(
            courses=way.courses[:-1],
            too_sharp=True,
        )
    length_mm = sum(run.length_mm for run in runs)
    return way._replace(length_mm=way.length_mm + length_mm)


def _onwards(network: Network, way: WayOut) -> list[Course]:
    if not way.courses:
        return []
    beyond = network.onwards(way.courses[-1])
    return [course for course in beyond if course not in network.trapped]


class Meeting(NamedTuple):
    """How far along two ways a body may be: inf where they do not come together."""

    own_mm: float = inf
    other_mm: float = inf


class Passage(NamedTuple):
    """The whole other way: over the piece from ``behind``, whose courses lead away from
    it, and on along ``ahead``."""

    behind: WayOut
    ahead: WayOut


def meeting(network: Network, own: WayOut, passage: Passage) -> Meeting:
    """Return how far along two ways bodies may be before these come together again.

    They come together at the blades or the crossing of a piece that both pass, and
    where both lie on one track. Where the one goes on as the other, round a balloon,
    each counts as far as the middle of the round. **Source** derived.
    """
    ahead = dict(_with_starts(network, passage.ahead))
    behind = {course ^ 1 for course in passage.behind.courses}
    passed = {*passage.ahead.courses, *passage.behind.courses}
    crossed = {network.piece(course) for course in passed}
    own_mm = inf
    for course, start_mm in _with_starts(network, own):
        end_mm = start_mm + _length_mm(network, course)
        if course ^ 1 in ahead:
            half_mm = (end_mm + ahead[course ^ 1]) / 2
            return Meeting(half_mm, half_mm)
        if course in ahead or course in behind:
            own_mm = start_mm
            break
        if is_knot(network.leads_to(course)) and network.piece(course) in crossed:
            own_mm = end_mm
            break
    return Meeting(
        own_mm,
        _onto_own(
            network,
            own,
            passage.ahead,
            own_mm,
        ),
    )


def _onto_own(network: Network, own: WayOut, ahead: WayOut, own_mm: float) -> float:
    """Return how far the other way leads before it comes onto this one's track."""
    starts = _with_starts(network, own)
    kept = {course for course, start_mm in starts if start_mm < own_mm}
    for course, start_mm in _with_starts(network, ahead):
        if course in kept or course ^ 1 in kept:
            return start_mm
    return inf


def _with_starts(network: Network, way: WayOut) -> Iterator[tuple[Course, float]]:
    """Yield the courses of a way, each with where along the way it begins."""
    start_mm = 0.0
    for course in way.courses:
        yield course, start_mm
        start_mm += _length_mm(network, course)


def _length_mm(network: Network, course: Course) -> float:
    runs = network.runs(course) or ()
    return length_of(runs)


class Laid(NamedTuple):
    """A path with what lies behind a piece on it, and how far along the piece is."""

    path: Path
    ahead_from_mm: float


def laid_through(network: Network, spot: Spot, behind: WayOut, ahead: WayOut) -> Laid:
    """Return the path of a way behind a spot, run the other way, and of one ahead.

    It goes on straight beyond both ends. **Source** derived.
    """
    back = tuple(_runs(network, behind))
    on = tuple(_runs(network, ahead))
    start = through(spot.turned_about, back).turned_about
    pose = Pose(
        x_mm=start.point.real,
        y_mm=start.point.imag,
        heading=phase(start.direction),
    )
    path = Path(
        turned_round(back) + on,
        pose,
        goes_on=True,
    )
    return Laid(path, length_of(back))


def _runs(network: Network, way: WayOut) -> Iterator[Run]:
    for course in way.courses:
        yield from network.runs(course) or ()
