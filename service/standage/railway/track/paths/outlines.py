"""Bodies on a path as rectangles in the plane, and how near two of them come.

A body is a rectangle on the chord between its pivots. Two rectangles that lie apart are
nearest where a corner of the one faces a side or a corner of the other, so that eight
corners tell how far they are.
"""

from typing import NamedTuple

import msgspec
import numpy as np

from standage.railway.track.paths.cells import Points
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import Floats
from standage.railway.track.paths.wheels import Wheels, stood


class Outline(msgspec.Struct, frozen=True, kw_only=True):
    """A body on its wheels: how far it reaches ahead of and behind its pivots' middle.

    ``behind_mm`` may be less than half of its pivots where a bogie is shared.
    """

    wheels: Wheels
    ahead_mm: float
    behind_mm: float
    half_width_mm: float

    @property
    def length_mm(self) -> float:
        """The length of the body."""
        return self.ahead_mm + self.behind_mm

    @property
    def half_wheelbase_mm(self) -> float:
        """From its pivots' middle to its first axle, on straight track."""
        wheels = self.wheels
        return (wheels.pivots_mm + wheels.bogie_wheelbase_mm) / 2

    @property
    def turned_about(self) -> "Outline":
        """The body the other way round."""
        return msgspec.structs.replace(
            self,
            ahead_mm=self.behind_mm,
            behind_mm=self.ahead_mm,
        )


class Rectangles(NamedTuple):
    """Like rectangles at many places: their middles, and which way they lie.

    A middle is nan where the body cannot stand.
    """

    middle: Points
    axis: Points
    half_length_mm: float
    half_width_mm: float

    @property
    def corners(self) -> Points:
        """The four corners of each, a row for each corner."""
        return self.middle + self.axis * self._out[:, np.newaxis]

    @property
    def _out(self) -> Points:
        """The corners in a rectangle's own frame."""
        length_mm = self.half_length_mm
        width_mm = self.half_width_mm
        left = np.array((length_mm, -length_mm)) + 1j * width_mm
        return np.concatenate((left, left.conj()))

    def only(self, places: np.ndarray) -> "Rectangles":
        """Return some of them, by their numbers."""
        middle = self.middle[places]
        axis = self.axis[places]
        return self._replace(
            middle=middle,
            axis=axis,
        )


def rectangles(path: Path, first_axles_mm: Floats, outline: Outline) -> Rectangles:
    """Return a body as it stands with its first axle at each of many places of a path.

    Lengths in mm, in the path's frame. Raises ValueError for wheels off the path, but
    where that goes on. **Source** derived: the definition of ``wheels``.
    """
    bodies = stood(path, first_axles_mm, outline.wheels)
    # Its middle lies between its two ends, which may lie unevenly about the pivots.
    to_middle_mm = (outline.ahead_mm - outline.behind_mm) / 2
    return Rectangles(
        middle=bodies.at(to_middle_mm),
        axis=bodies.axis,
        half_length_mm=outline.length_mm / 2,
        half_width_mm=outline.half_width_mm,
    )


class _Placed(NamedTuple):
    """Rectangles as they lie in the frames of others, one in each."""

    middle: Points
    axis: Points
    half_length_mm: float
    half_width_mm: float


def surely_apart_mm(one: Rectangles, other: Rectangles) -> Floats:
    """Return how far two rectangles are apart at least, pair by pair, in mm.

    By the widest gap that a side of either leaves. Less than 0 where they overlap: then
    by how much they would have to move to lie side by side. nan where a body cannot
    stand. **Source** derived: separating axes.
    """
    there = _in_frame(one, other)
    here = _in_frame(other, one)
    return np.maximum(_gap(one, there), _gap(other, here))


def apart_mm(one: Rectangles, other: Rectangles) -> Floats:
    """Return how far two rectangles are apart, pair by pair, in mm.

    Exact to rounding; less than 0 where they overlap, and nan where a body cannot
    stand, as in ``surely_apart_mm``. **Source** derived.
    """
    surely_mm = surely_apart_mm(one, other)
    there = _nearest_corner_mm(one, _in_frame(one, other))
    here = _nearest_corner_mm(other, _in_frame(other, one))
    nearest_mm = np.minimum(there, here)
    return np.where(surely_mm < 0, surely_mm, nearest_mm)


def _in_frame(frame: Rectangles, seen: Rectangles) -> _Placed:
    back = frame.axis.conj()
    return _Placed(
        middle=(seen.middle - frame.middle) * back,
        axis=seen.axis * back,
        half_length_mm=seen.half_length_mm,
        half_width_mm=seen.half_width_mm,
    )


def _gap(frame: Rectangles, seen: _Placed) -> Floats:
    """Return the wider of the gaps along a rectangle and across it."""
    along = np.abs(seen.axis.real)
    across = np.abs(seen.axis.imag)
    reach_mm = seen.half_length_mm * along + seen.half_width_mm * across
    girth_mm = seen.half_length_mm * across + seen.half_width_mm * along
    ahead_mm = np.abs(seen.middle.real) - frame.half_length_mm - reach_mm
    aside_mm = np.abs(seen.middle.imag) - frame.half_width_mm - girth_mm
    gap: Floats = np.maximum(ahead_mm, aside_mm)
    return gap


def _nearest_corner_mm(frame: Rectangles, seen: _Placed) -> Floats:
    """Return how near a rectangle's corners come to another that lies about 0."""
    along = seen.axis * seen.half_length_mm
    across = seen.axis * (1j * seen.half_width_mm)
    nearest = np.full(seen.middle.shape, np.inf)
    for end in (along, -along):
        for side in (across, -across):
            corner = seen.middle + end + side
            ahead_mm = np.maximum(np.abs(corner.real) - frame.half_length_mm, 0.0)
            aside_mm = np.maximum(np.abs(corner.imag) - frame.half_width_mm, 0.0)
            np.minimum(nearest, np.hypot(ahead_mm, aside_mm), out=nearest)
    return nearest
