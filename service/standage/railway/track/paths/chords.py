"""Where chords end on a path, many at once: by Newton's method, on complex numbers.

A place is nan where the method lost its way; whoever asked looks for it by walking.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from standage.railway.track.paths.cells import Cells, Points, curvatures, trace
from standage.railway.track.paths.endless import FARTHEST, LEAST_COSINE
from standage.railway.track.paths.runs import Floats

NEAR_MM = 5e-10
"""How near each chord comes to its length."""
_FIGURES = 2e-15
"""What is added for points far from the origin, as a part of how far they are."""
_MOST_TRIES = 12
_STRAIGHT = 1e-12
"""A curvature counts as this much at least: as an arc it is straight to all figures."""

_Places = NDArray[np.intp]


class Met(NamedTuple):
    """Places along the path where chords end, and the points there."""

    place_mm: Floats
    point: Points


class Rear(NamedTuple):
    """Where the two axles of rear bogies stand, and their pivots."""

    leading_mm: Floats
    last_mm: Floats
    pivot: Points


def met(cells: Cells, from_mm: Floats, point: Points, *, chord_mm: float) -> Met:
    """Return the places behind ``from_mm`` that lie a chord off the points there.

    **Source** derived.
    """
    half_way_mm = from_mm - chord_mm / 2
    bend = curvatures(cells, half_way_mm)
    guess_mm = from_mm - _arc(chord_mm, bend)
    near_mm = _near(point)
    search = _Search(cells, near_mm)
    found = search.closed_in(
        point,
        guess_mm,
        chord_mm,
        tries=_MOST_TRIES,
    )
    farthest_mm = from_mm - FARTHEST * chord_mm
    astray = found.place_mm < farthest_mm
    found.place_mm[astray] = np.nan
    return found


def rear_met(
    cells: Cells,
    front_mm: Floats,
    front: Points,
    *,
    pivots_mm: float,
    bogie_wheelbase_mm: float,
) -> Rear:
    """Return where the rear bogies stand whose pivots lie a chord off the front ones.

    ``front_mm`` are midway, along the path, between the axles of the front bogies.
    **Source** derived.
    """
    wheelbase_mm = bogie_wheelbase_mm
    half_way_mm = front_mm - pivots_mm / 2
    bend = curvatures(cells, half_way_mm)
    guess = _guess(
        cells,
        front_mm,
        bend,
        (pivots_mm, wheelbase_mm),
    )
    wanted = _Wanted(front, pivots_mm, wheelbase_mm)
    search = _Search(cells, _near(front))
    found = search.rear_closed_in(wanted, guess, tries=_MOST_TRIES)
    span_mm = pivots_mm + wheelbase_mm
    farthest_mm = front_mm - FARTHEST * span_mm
    astray = found.last_mm < farthest_mm
    found.last_mm[astray] = np.nan
    return found


def _guess(
    cells: Cells, front_mm: Floats, bend: Floats, lengths_mm: tuple[float, float]
) -> Rear:
    """Return where the rear axles would stand, were the path an arc between pivots.

    Pivots run on a smaller circle than axles do: the same angle takes a longer chord.
    """
    pivots_mm, wheelbase_mm = lengths_mm
    half_sine = bend * wheelbase_mm / 2
    square = 1 - half_sine * half_sine
    smaller = np.sqrt(np.maximum(square, _STRAIGHT))
    rear_mm = front_mm - _arc(pivots_mm / smaller, bend)
    bend_there = curvatures(cells, rear_mm)
    half_mm = _arc(wheelbase_mm, bend_there) / 2
    nowhere = np.empty(rear_mm.shape, np.complex128)
    return Rear(
        rear_mm + half_mm,
        rear_mm - half_mm,
        nowhere,
    )


class _Chord(NamedTuple):
    """The directions of chords, and how much they are too short."""

    direction: Points
    short_mm: Floats

    def only(self, places: _Places) -> "_Chord":
        return _Chord(
            direction=self.direction[places],
            short_mm=self.short_mm[places],
        )


class _Wanted(NamedTuple):
    """Front pivots, and the two lengths that rear bogies have to keep."""

    front: Points
    pivots_mm: float
    wheelbase_mm: float

    def only(self, places: _Places) -> "_Wanted":
        front = self.front[places]
        return self._replace(front=front)


class _Search(NamedTuple):
    """Newton's method, each time on those places alone that are not yet met."""

    cells: Cells
    near_mm: float

    def closed_in(
        self, point: Points, place_mm: Floats, chord_mm: float, *, tries: int
    ) -> Met:
        there = trace(self.cells, place_mm)
        chord = _chord(point, there.point, chord_mm)
        found = Met(place_mm, there.point)
        wrong = self._wrong(chord.short_mm)
        if wrong.size == 0:
            return found
        left = chord.only(wrong)
        cosine = _along(left.direction, there.direction[wrong])
        step_mm = left.short_mm / _kept(cosine, tries=tries)
        better_mm = place_mm[wrong] - step_mm
        rest = point[wrong]
        inner = self.closed_in(
            rest,
            better_mm,
            chord_mm,
            tries=tries - 1,
        )
        found.place_mm[wrong] = inner.place_mm
        found.point[wrong] = inner.point
        return found

    def rear_closed_in(self, wanted: _Wanted, guess: Rear, *, tries: int) -> Rear:
        """Close in on both axles of rear bogies at once.

        Two lengths are to be met: the bogie's wheelbase, and that between the pivots.
        """
        cells = self.cells
        leading = trace(cells, guess.leading_mm)
        last = trace(cells, guess.last_mm)
        both = leading.point + last.point
        pivot = both / 2
        bogie = _chord(leading.point, last.point, wanted.wheelbase_mm)
        body = _chord(wanted.front, pivot, wanted.pivots_mm)
        found = Rear(
            guess.leading_mm,
            guess.last_mm,
            pivot,
        )
        wrong = self._wrong(bogie.short_mm, body.short_mm)
        if wrong.size == 0:
            return found
        slopes = _Slopes.of(
            bogie.only(wrong),
            body.only(wrong),
            leading.direction[wrong],
            last.direction[wrong],
        )
        step = slopes.steps(tries=tries)
        better = Rear(
            leading_mm=found.leading_mm[wrong] + step.leading_mm,
            last_mm=found.last_mm[wrong] + step.last_mm,
            pivot=found.pivot[wrong],
        )
        left = tries - 1
        rest = wanted.only(wrong)
        inner = self.rear_closed_in(rest, better, tries=left)
        for whole, figures in zip(found, inner, strict=True):
            whole[wrong] = figures
        return found

    def _wrong(self, *shorts_mm: Floats) -> _Places:
        """Return which places are not yet met; those that are nan are given up."""
        wrong = np.zeros(shorts_mm[0].shape, np.bool_)
        for short_mm in shorts_mm:
            wrong |= np.abs(short_mm) > self.near_mm
        return np.flatnonzero(wrong)


class _Step(NamedTuple):
    leading_mm: Floats
    last_mm: Floats


class _Slopes(NamedTuple):
    """How the two lengths of a rear bogie grow by each axle's way, and what lacks.

    The body's chord shrinks as the bogie comes nearer, by half of each axle's step.
    """

    bogie_short_mm: Floats
    body_short_mm: Floats
    bogie_by_leading: Floats
    bogie_by_last: Floats
    body_by_leading: Floats
    body_by_last: Floats

    @classmethod
    def of(
        cls, bogie: _Chord, body: _Chord, leading: Points, last: Points
    ) -> "_Slopes":
        return cls(
            bogie_short_mm=bogie.short_mm,
            body_short_mm=body.short_mm,
            bogie_by_leading=_along(bogie.direction, leading),
            bogie_by_last=_along(bogie.direction, last),
            body_by_leading=_along(body.direction, leading) / 2,
            body_by_last=_along(body.direction, last) / 2,
        )

    def steps(self, *, tries: int) -> _Step:
        """Return how far the axles have to go: two equations, by determinants."""
        one = self.bogie_by_leading * self.body_by_last
        other = self.bogie_by_last * self.body_by_leading
        # On straight track it is 1; of a tenth of a cosine each, next to nothing.
        determinant = _kept(one + other, tries=tries)
        leading_mm = self.body_by_last * self.bogie_short_mm
        leading_mm -= self.bogie_by_last * self.body_short_mm
        last_mm = self.bogie_by_leading * self.body_short_mm
        last_mm += self.body_by_leading * self.bogie_short_mm
        return _Step(
            leading_mm=leading_mm / determinant,
            last_mm=-last_mm / determinant,
        )


def _chord(ahead: Points, behind: Points, wanted_mm: float) -> _Chord:
    chord = ahead - behind
    length_mm = np.abs(chord)
    return _Chord(
        direction=chord / length_mm,
        short_mm=wanted_mm - length_mm,
    )


def _kept(cosine: Floats, *, tries: int) -> Floats:
    """Return the cosines, nan for those at which Newton's method may lose its way."""
    if tries == 0:
        return np.full(cosine.shape, np.nan)
    usable = cosine >= LEAST_COSINE
    return np.where(usable, cosine, np.nan)


def _along(chord: Points, direction: Points) -> Floats:
    """Return how far each chord reaches along a direction."""
    turned = chord * direction.conj()
    along: Floats = turned.real
    return along


def _arc(chord_mm: float | Floats, curvature: Floats) -> Floats:
    """Return the arc over a chord, half a circle where no chord is so long."""
    size = np.abs(curvature)
    bend = np.maximum(size, _STRAIGHT)
    half_sine = bend * chord_mm / 2
    half = np.arcsin(np.minimum(half_sine, 1.0))
    arc_mm: Floats = 2 * half / bend
    return arc_mm


def _near(points: Points) -> float:
    farthest_mm = np.abs(points).max(initial=0.0)
    return NEAR_MM + _FIGURES * float(farthest_mm)
