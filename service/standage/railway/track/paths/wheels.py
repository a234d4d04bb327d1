"""Wheels on a path, many positions at once: where a chord ends, how a body stands.

Every axle stands on the path. A bogie's pivot is midway between its axles, that is in
the middle of the chord that joins them; a body's axis is the chord between its two
pivots. A body on two axles has its pivots there. **Source** derived.
"""

from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import ArrayLike

from standage.railway.track.paths.cells import Points, trace
from standage.railway.track.paths.chords import NEAR_MM, met, rear_met
from standage.railway.track.paths.endless import EndlessPath, endless, walked_back
from standage.railway.track.paths.paths import ROUNDING_MM, Path, blocks
from standage.railway.track.paths.runs import Floats, straight


class Wheels(msgspec.Struct, frozen=True, kw_only=True):
    """What a body stands on; without a bogie's wheelbase, on two axles at its pivots.

    Raises ValueError for pivots that are not apart, and a wheelbase below 0.
    """

    pivots_mm: float
    bogie_wheelbase_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no body can stand on."""
        if not self.pivots_mm > 0:
            figure = f"pivots_mm is {self.pivots_mm:g} mm"
            raise ValueError(f"{figure}, but has to be more than 0 mm")
        if not self.bogie_wheelbase_mm >= 0:
            figure = f"bogie_wheelbase_mm is {self.bogie_wheelbase_mm:g} mm"
            raise ValueError(f"{figure}, but has to be 0 mm or more")


class Bodies(NamedTuple):
    """A body at many positions: its pivots in the plane, nan where it cannot stand.

    ``last_axle_mm`` is where along the path its last axle stands.
    """

    front: Points
    rear: Points
    last_axle_mm: Floats

    @property
    def axis(self) -> Points:
        """The direction from the rear pivot to the front one."""
        front, rear, _ = self
        between = front - rear
        length_mm = np.abs(between)
        axis: Points = between / length_mm
        return axis

    @property
    def middle(self) -> Points:
        """The point midway between the pivots."""
        front, rear, _ = self
        both = front + rear
        middle: Points = both / 2
        return middle

    def at(self, ahead_mm: float, *, left_mm: float = 0.0) -> Points:
        """Return the places of a point of the body, counted from its pivots' middle."""
        middle = self.middle
        out = complex(ahead_mm, left_mm)
        turned = self.axis * out
        place: Points = middle + turned
        return place


def behind(path: Path, positions_mm: ArrayLike, *, chord_mm: float) -> Floats:
    """Return the first place behind each position that lies a chord off.

    As the crow flies, to 1e-9 mm. nan where the path bends too sharply for a chord of
    that length to end on it. Raises ValueError for a chord of 0 mm or less, and for a
    place off the path, but where that goes on. **Source** derived.
    """
    wheels = Wheels(pivots_mm=chord_mm)
    body = stood(path, positions_mm, wheels)
    return body.last_axle_mm


def stood(path: Path, first_axles_mm: ArrayLike, wheels: Wheels) -> Bodies:
    """Return how a body stands with its first axle at each position, in any order.

    All chords are kept to 1e-9 mm. nan where the path bends too sharply for the body
    to stand on it. Raises ValueError for wheels off the path, but where that goes on.
    **Source** derived.
    """
    positions = np.asarray(first_axles_mm, np.float64)
    path.must_hold(positions)
    flat = positions.ravel()
    shape = positions.shape
    front = np.empty(flat.size, np.complex128)
    rear = np.empty(flat.size, np.complex128)
    last_axle_mm = np.empty(flat.size)
    for block in blocks(flat.size):
        part = _stood(path, flat[block], wheels)
        front[block] = part.front
        rear[block] = part.rear
        last_axle_mm[block] = part.last_axle_mm
    if not path.goes_on:
        _must_reach(flat, last_axle_mm)
    return Bodies(
        front=front.reshape(shape),
        rear=rear.reshape(shape),
        last_axle_mm=last_axle_mm.reshape(shape),
    )


def _must_reach(first_axles_mm: Floats, last_axles_mm: Floats) -> None:
    off = np.flatnonzero(last_axles_mm < -ROUNDING_MM)
    if off.size == 0:
        return
    one = off[0]
    first_mm = first_axles_mm[one]
    before_mm = -last_axles_mm[one]
    figure = f"first_axles_mm holds {first_mm:g} mm"
    limit = f"{before_mm:g} mm before the path's start at 0 mm"
    raise ValueError(f"{figure}, but the last axle then stands {limit}")


@np.errstate(divide="ignore", invalid="ignore")  # no figure: the body is then walked
def _stood(path: Path, first_axles_mm: Floats, wheels: Wheels) -> Bodies:
    if wheels.bogie_wheelbase_mm == 0:
        found = _on_axles(path, first_axles_mm, wheels)
    else:
        found = _on_bogies(path, first_axles_mm, wheels)
    lost = np.isnan(found.last_axle_mm)
    for place in np.flatnonzero(lost):
        first_mm = float(first_axles_mm[place])
        walked = _walked(path, first_mm, wheels)
        for whole, figure in zip(found, walked, strict=True):
            whole[place] = figure
    return found


def _on_axles(path: Path, first_axles_mm: Floats, wheels: Wheels) -> Bodies:
    cells = path.cells
    first = trace(cells, first_axles_mm).point
    last = met(
        cells,
        first_axles_mm,
        first,
        chord_mm=wheels.pivots_mm,
    )
    return Bodies(
        front=first,
        rear=last.point,
        last_axle_mm=last.place_mm,
    )


def _on_bogies(path: Path, first_axles_mm: Floats, wheels: Wheels) -> Bodies:
    cells = path.cells
    wheelbase_mm = wheels.bogie_wheelbase_mm
    first = trace(cells, first_axles_mm).point
    second = met(
        cells,
        first_axles_mm,
        first,
        chord_mm=wheelbase_mm,
    )
    front = (first + second.point) / 2
    front_mm = (first_axles_mm + second.place_mm) / 2
    rear = rear_met(
        cells,
        front_mm,
        front,
        pivots_mm=wheels.pivots_mm,
        bogie_wheelbase_mm=wheelbase_mm,
    )
    return Bodies(
        front=front,
        rear=rear.pivot,
        last_axle_mm=rear.last_mm,
    )


class _Walked(NamedTuple):
    """One body, in the order of ``Bodies``."""

    front: complex
    rear: complex
    last_axle_mm: float


class _Bogie(NamedTuple):
    pivot: complex
    last_mm: float


_NO_POINT = complex(np.nan, np.nan)
_NOWHERE = _Walked(_NO_POINT, _NO_POINT, np.nan)


def _walked(path: Path, first_mm: float, wheels: Wheels) -> _Walked:
    """Place one body by small steps, for which Newton's method lost its way."""
    line = endless((straight(0.0), *path.runs, straight(0.0)))
    front = _bogie(line, first_mm, wheels)
    if front is None:
        return _NOWHERE

    def between_mm(leading_mm: float) -> float | None:
        rear = _bogie(line, leading_mm, wheels)
        if rear is None:
            return None
        return abs(front.pivot - rear.pivot)

    def short(leading_mm: float) -> bool:
        reached_mm = between_mm(leading_mm)
        if reached_mm is None:
            return False
        return reached_mm < wheels.pivots_mm

    leading_mm = walked_back(short, first_mm, chord_mm=wheels.pivots_mm)
    if leading_mm is None:
        return _NOWHERE
    reached_mm = between_mm(leading_mm)
    # What stops the walk may also be that the bogie cannot stand there.
    if reached_mm is None or abs(reached_mm - wheels.pivots_mm) > 2 * NEAR_MM:
        return _NOWHERE
    return _in_frame(
        path,
        line,
        wheels,
        (first_mm, leading_mm),
    )


def _in_frame(
    path: Path, line: EndlessPath, wheels: Wheels, leading_mm: tuple[float, float]
) -> _Walked:
    """Return a body whose bogies' first axles are known, in the path's own frame."""
    axles_mm: list[float] = []
    for each_mm in leading_mm:
        bogie = _bogie(line, each_mm, wheels)
        if bogie is None:
            return _NOWHERE
        axles_mm += (each_mm, bogie.last_mm)
    points = trace(path.cells, np.array(axles_mm)).point
    front, rear = points.reshape(2, 2).mean(axis=1)
    return _Walked(front, rear, axles_mm[-1])


def _bogie(line: EndlessPath, first_mm: float, wheels: Wheels) -> _Bogie | None:
    """Return a bogie by its first axle; an axle alone is one of no length."""
    point, _ = line.at(first_mm)
    wheelbase_mm = wheels.bogie_wheelbase_mm
    if wheelbase_mm == 0:
        return _Bogie(point, first_mm)
    last_mm = line.behind(first_mm, chord_mm=wheelbase_mm)
    if last_mm is None:
        return None
    last, _ = line.at(last_mm)
    pivot = (point + last) / 2
    return _Bogie(pivot, last_mm)
