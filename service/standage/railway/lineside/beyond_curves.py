"""Bodies that run out of a curve, past what stands beside the track from some place on.

The curve ends at 0 and bends to the left before it, so that its centre lies at R above;
the straight runs on to the right. Swept is every place of a body from where its leading
end comes to the stretch until its last axle is off the curve. A body is a rectangle on
the chord between its pivots; what of it lies beside the stretch is cut out, and how far
that lies aside of the centre line is measured. **Source** derived.
"""

from functools import cached_property
from math import cos, inf, pi, sin
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from standage.railway.terms.figures import DUST_MM
from standage.railway.track.paths.cells import Points
from standage.railway.track.paths.outlines import (
    Outline,
    Rectangles,
    rectangles,
)
from standage.railway.track.paths.paths import Path, Pose
from standage.railway.track.paths.runs import Floats, arc, straight

_PLACES = 480
"""So many are tried at first."""
_FINER = 96
_PEAKS = 3
_ROUNDS = 2
"""About the worst few so many finer ones, and so again: to a few millionths of a step,
since a body's reach hardly changes from one place to the next."""
_QUARTER = pi / 2
_LONGER = 1.01
_MOST_TURN = 10.0
_SIDES = ((0, 1), (1, 3), (3, 2), (2, 0))
"""The corners of a rectangle about its edge, by their rows."""

_Truths = NDArray[np.bool_]


class CurveEnd(NamedTuple):
    """A curve's radius, and where it ends counted from where the stretch begins: less
    than 0 where it ends before that.
    """

    radius_mm: float
    ends_at_mm: float


class Reached(NamedTuple):
    """How far a body reaches aside of the centre line along the stretch, in mm, and how
    far its end does over the straight once its leading pivot has left the curve.
    """

    inside_mm: float
    outside_mm: float
    ends_mm: float


class Sweep:
    """A body that runs out of a curve with its front ahead, past a stretch.

    All lengths in mm; on the straight it reaches by half of its width at least. The
    body has to be able to stand on the curve. **Source** derived.
    """

    def __init__(self, outline: Outline, curve: CurveEnd) -> None:
        self._outline = outline
        self._radius_mm = curve.radius_mm
        wheels = outline.wheels
        # an arc is no longer than a quarter of a circle is over its chord
        axles_mm = _QUARTER * (wheels.pivots_mm + 2 * wheels.bogie_wheelbase_mm)
        most_mm = _QUARTER * curve.radius_mm
        leads_mm = max(0.0, outline.ahead_mm - outline.half_wheelbase_mm)
        length_mm = axles_mm + outline.ahead_mm + outline.behind_mm
        on_curve_mm = max(0.0, curve.ends_at_mm)
        # farther back a body is on the curve alone, as it is here already
        self._on_curve_mm = min(on_curve_mm, most_mm, length_mm)
        self._straight_from_mm = max(0.0, -curve.ends_at_mm)
        # farther back its leading end looks away from the stretch
        self._from_mm = -self._on_curve_mm - min(leads_mm, most_mm)
        self._to_mm = axles_mm
        before_mm = _LONGER * axles_mm - self._from_mm
        # what can stand there spans half a circle, and leads by two quarters at most
        self._path = self._laid(min(before_mm, _MOST_TURN * curve.radius_mm))

    def _laid(self, before_mm: float) -> Path:
        radius_mm = self._radius_mm
        turned = before_mm / radius_mm
        start = Pose(
            x_mm=-radius_mm * sin(turned),
            y_mm=radius_mm * (1 - cos(turned)),
            heading=-turned,
        )
        bend = arc(before_mm, radius_mm=radius_mm, hand="left")
        runs = (bend, straight(self._to_mm))
        self._before_mm = before_mm
        return Path(runs=runs, start=start).going_on

    @cached_property
    def at_most(self) -> Reached:
        """What its reaches surely do not exceed: between two places each is taken to
        grow by as much again as it differs by anywhere.
        """
        half_mm = self._outline.half_width_mm
        inside_mm, outside_mm, ends_mm = (
            max(half_mm, float(reach.max()) + _greatest_step_mm(reach))
            for reach in self._found
        )
        return Reached(inside_mm, outside_mm, ends_mm)

    @cached_property
    def inside_mm(self) -> float:
        """How far it reaches inside."""
        return self._closer(0)

    @cached_property
    def outside_mm(self) -> float:
        """How far it reaches outside."""
        return self._closer(1)

    @cached_property
    def ends_mm(self) -> float:
        """How far its end reaches outside on the straight, its leading pivot there."""
        return self._closer(2)

    @cached_property
    def _found(self) -> tuple[Floats, Floats, Floats]:
        return self._at(self._places)

    @cached_property
    def _places(self) -> Floats:
        """Return the first places of the first axle: most of them while the wheels are
        on the curve and on the straight, be the body ever so much longer.
        """
        near_mm = max(self._from_mm, -self._to_mm)
        before = np.linspace(self._from_mm, near_mm, _PLACES // 2)
        about = np.linspace(near_mm, self._to_mm, _PLACES)
        return np.unique(np.concatenate((before, about)))

    def _closer(self, which: int) -> float:
        """Return the farthest reach of all, about some places looked at more and more
        finely.
        """
        places, reach = self._places, self._found[which]
        farthest = max(self._outline.half_width_mm, float(reach.max()))
        gaps = np.diff(places, append=places[-1])
        peaks = _peaks(reach)
        steps = np.maximum(gaps[peaks], gaps[peaks - 1])
        about = np.linspace(-1.0, 1.0, _FINER)
        for _ in range(_ROUNDS):
            finer = places[peaks, np.newaxis] + steps[:, np.newaxis] * about
            places = finer.ravel()
            reach = self._at(places)[which]
            best = int(reach.argmax())
            farthest = max(farthest, float(reach[best]))
            peaks = np.array([best])
            steps = np.array([steps.max() * (about[1] - about[0])])
        return farthest

    def _at(self, places_mm: Floats) -> tuple[Floats, Floats, Floats]:
        """Return how far the body reaches inside, outside, and outside on the straight,
        with its first axle at each of some places; -inf where it is not beside the
        stretch.
        """
        first_axles_mm = places_mm + self._before_mm
        # what cannot stand half on the curve has no corners, and is beside nothing
        with np.errstate(invalid="ignore"):
            bodies = rectangles(self._path, first_axles_mm, self._outline)
            corners = bodies.corners
        inside, outside = _beside_straight(corners - self._straight_from_mm)
        ends = np.where(self._leads_straight(bodies), outside, -inf)
        if self._on_curve_mm > 0:
            back, out = self._beside_curve(corners)
            inside = np.maximum(inside, back)
            outside = np.maximum(outside, out)
        return inside, outside, ends

    def _leads_straight(self, bodies: Rectangles) -> _Truths:
        """Tell of each body whether its leading pivot has left the curve."""
        outline = self._outline
        to_middle_mm = (outline.ahead_mm - outline.behind_mm) / 2
        to_pivot_mm = outline.wheels.pivots_mm / 2 - to_middle_mm
        pivot = bodies.middle + bodies.axis * to_pivot_mm
        has_left: _Truths = pivot.real >= -DUST_MM
        return has_left

    def _beside_curve(self, corners: Points) -> tuple[Floats, Floats]:
        radius_mm = self._radius_mm
        # about the curve's centre, its end to the right of that
        about = (corners - 1j * radius_mm) * 1j
        back = np.exp(1j * self._on_curve_mm / radius_mm)
        nearest, farthest = _from_apex(about, back)
        return radius_mm - nearest, farthest - radius_mm


def _greatest_step_mm(reach: Floats) -> float:
    """Return by how much a reach differs from its neighbour at most."""
    beside = np.isfinite(reach)
    both = beside[1:] & beside[:-1]
    steps = np.abs(np.diff(np.where(beside, reach, 0.0)))
    return float(steps[both].max(initial=0.0))


def _peaks(reach: Floats) -> NDArray[np.intp]:
    """Return the places of the few farthest reaches that no neighbour outdoes."""
    walled = np.concatenate(([-inf], reach, [-inf]))
    is_peak = (reach >= walled[:-2]) & (reach >= walled[2:])
    peaks = np.flatnonzero(is_peak)
    by_reach = np.argsort(-reach[peaks], kind="stable")
    return peaks[by_reach[:_PEAKS]]


def _beside_straight(corners: Points) -> tuple[Floats, Floats]:
    """Return the farthest to the left and to the right that lies beyond 0."""
    left = np.full(corners.shape[1], -inf)
    right = left.copy()

    def take(points: Points, there: _Truths) -> None:
        np.maximum(left, np.where(there, points.imag, -inf), out=left)
        np.maximum(right, np.where(there, -points.imag, -inf), out=right)

    for corner in corners:
        take(corner, corner.real >= 0)
    for one, other in _SIDES:
        take(*_crossing(corners[one], corners[other], corners.real[[one, other]]))
    return left, right


def _crossing(one: Points, other: Points, beyond: Floats) -> tuple[Points, _Truths]:
    """Return where the line from one point to the other crosses the 0 of what tells how
    far they lie beyond it, and whether it does.
    """
    here, there = beyond
    does = (here > 0) != (there > 0)
    apart = np.where(does, there - here, 1.0)
    part = np.where(does, -here / apart, 0.0)
    return one + part * (other - one), does


def _from_apex(corners: Points, back: complex) -> tuple[Floats, Floats]:
    """Return how near to 0 and how far from it what of rectangles lies within a cone:
    from the direction to the right back to ``back``'s conjugate, at most a quarter.
    """
    nearest = np.full(corners.shape[1], inf)
    farthest = np.full(corners.shape[1], -inf)

    def take(points: Points, there: _Truths) -> None:
        away = np.abs(points)
        np.minimum(nearest, np.where(there, away, inf), out=nearest)
        np.maximum(farthest, np.where(there, away, -inf), out=farthest)

    turned = corners * back
    before = -corners.imag
    beyond = turned.imag
    for corner, one, other in zip(corners, before, beyond, strict=True):
        take(corner, (one >= 0) & (other >= 0))
    inside = np.ones(corners.shape[1], np.bool_)
    for one, other in _SIDES:
        here, there = corners[one], corners[other]
        at_end, does = _crossing(here, there, before[[one, other]])
        take(at_end, does & (at_end.real >= 0))
        at_back, does = _crossing(here, there, beyond[[one, other]])
        take(at_back, does & ((at_back * back).real >= 0))
        foot, on_it, is_left = _foot(here, there)
        in_cone = (foot.imag <= 0) & ((foot * back).imag >= 0)
        take(foot, on_it & in_cone)
        inside &= is_left
    # a body that lies across the curve's centre
    take(np.zeros(corners.shape[1], np.complex128), inside)
    return nearest, farthest


def _foot(one: Points, other: Points) -> tuple[Points, _Truths, _Truths]:
    """Return the point of a line that is nearest to 0, whether it lies between its two
    ends, and whether 0 lies to the left of it.
    """
    along = other - one
    length = np.abs(along)
    length = np.where(length > 0, length, 1.0)
    unit = along / length
    reach = -(one * unit.conj()).real
    on_it = (reach >= 0) & (reach <= length)
    is_left = (-one * unit.conj()).imag >= 0
    return one + reach * unit, on_it, is_left
