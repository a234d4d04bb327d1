"""A line without ends, one number at a time: what a search asks of a curve.

The first run goes on for ever backwards and the last for ever forwards, each with its
curvature; positions are 0 where the first run ends, and there lies the origin, looking
along the x axis. A search asks for one place after another, each by the answer to the
one before: there plain numbers are many times as fast as arrays. For many positions at
once see ``paths``.
"""

from bisect import bisect_right
from cmath import rect
from collections.abc import Callable, Iterator, Sequence
from math import asin, pi, sin

import msgspec

from standage.railway.track.paths.runs import Run, chord_of_cell

_NEAR = 1e-11
_FIGURES = 1e-15
"""How near a place is met: a part of the chord, and of what such a number can tell."""
_MOST_TRIES = 40
LEAST_COSINE = 0.1
"""Of the angle between track and chord; below it Newton's method may lose its way."""
FARTHEST = pi
"""No place is looked for farther back than that many chords: half a circle is 1.6."""
_STEPS_TO_A_CHORD = 64
_HALVINGS = 60


_Stretch = tuple[float, complex, complex, float, float]
"""Where a run begins: position, point, direction, curvature, and the curvature's rate.

A bare tuple, since a search unpacks it some hundred thousand times.
"""


class EndlessPath(msgspec.Struct, frozen=True, kw_only=True):
    """Runs that meet without a kink; ``ends_mm`` are where one changes into the next.

    A transition is cut into cells, each with an end of its own.
    """

    ends_mm: tuple[float, ...]
    stretches: tuple[_Stretch, ...]

    @property
    def curvatures(self) -> tuple[float, ...]:
        """The curvature with which each stretch begins."""
        return tuple(curvature for _, _, _, curvature, _ in self.stretches)

    def at(self, along_mm: float) -> tuple[complex, complex]:
        """Return the point and the direction of the line at a place."""
        stretch = self.stretches[bisect_right(self.ends_mm, along_mm)]
        return _onwards(stretch, along_mm - stretch[0])

    def behind(self, along_mm: float, *, chord_mm: float) -> float | None:
        """Return the first place behind that lies ``chord_mm`` off as the crow flies.

        Exact within an arc or a straight; otherwise by Newton's method, to a
        hundred-thousand-millionth of the chord, or by walking where that loses its way.
        None where the line bends too sharply for a chord of that length to end on it.
        """
        place = bisect_right(self.ends_mm, along_mm)
        _, _, _, curvature, rate = self.stretches[place]
        arc_mm = None if rate else _arc(chord_mm, curvature)
        if arc_mm is not None:
            found_mm = along_mm - arc_mm
            if place == 0 or found_mm >= self.ends_mm[place - 1]:
                return found_mm
        if place == 0:
            return None
        met_mm = self._met(along_mm, chord_mm)
        if met_mm is not None:
            return met_mm
        return self._walked_to(along_mm, chord_mm)

    def _met(self, along_mm: float, chord_mm: float) -> float | None:
        """Return the place by Newton's method; None where that loses its way.

        It sets out from where the place would be on an arc as sharp as half-way there.
        """
        point = self.at(along_mm)[0]
        half_way = bisect_right(self.ends_mm, along_mm - chord_mm / 2)
        turn = chord_mm * self.stretches[half_way][3]
        # The arc is longer than its chord by so much, to the first order.
        found_mm = along_mm - chord_mm - min(turn * turn, 1.0) * chord_mm / 24
        near_mm = _NEAR * chord_mm + _FIGURES * abs(point)
        for _ in range(_MOST_TRIES):
            other, direction = self.at(found_mm)
            chord = point - other
            length_mm = abs(chord)
            short_mm = chord_mm - length_mm
            if abs(short_mm) <= near_mm:
                farthest_mm = along_mm - FARTHEST * chord_mm
                if found_mm >= farthest_mm:
                    return found_mm
                return None
            cosine = (chord * direction.conjugate()).real / length_mm
            if cosine < LEAST_COSINE:
                return None
            found_mm -= short_mm / cosine
        return None

    def _walked_to(self, along_mm: float, chord_mm: float) -> float | None:
        point = self.at(along_mm)[0]

        def short(place_mm: float) -> bool:
            return abs(point - self.at(place_mm)[0]) < chord_mm

        return walked_back(short, along_mm, chord_mm=chord_mm)


def walked_back(
    short: Callable[[float], bool], along_mm: float, *, chord_mm: float
) -> float | None:
    """Return the first place behind ``along_mm`` that is no longer short of a chord.

    By small steps back until it is passed, then by halving; None if it never is.
    **Source** derived.
    """
    step_mm = chord_mm / _STEPS_TO_A_CHORD
    far_mm = along_mm - chord_mm
    while short(far_mm):
        far_mm -= step_mm
        if far_mm < along_mm - FARTHEST * chord_mm:
            return None
    near_mm = min(far_mm + step_mm, along_mm)
    for _ in range(_HALVINGS):
        middle_mm = (far_mm + near_mm) / 2
        if short(middle_mm):
            near_mm = middle_mm
        else:
            far_mm = middle_mm
    return far_mm


def endless(runs: Sequence[Run]) -> EndlessPath:
    """Return the line that goes through ``runs``, the first of which ends at 0.

    The lengths of the first and the last are not used. Raises ValueError for no runs
    at all, and where the first or the last is a transition. **Source** derived.
    """
    if not runs:
        raise ValueError("a path needs at least one run")
    if not (runs[0].is_even and runs[-1].is_even):
        raise ValueError(
            "a transition cannot go on for ever: begin and end with an arc"
        )
    ends_mm: list[float] = []
    stretches: list[_Stretch] = [(0.0, 0j, 1 + 0j, runs[0].curvature_from, 0.0)]
    end_mm, point, direction = 0.0, 0j, 1 + 0j
    for run in _cells(runs[1:]):
        stretch = (end_mm, point, direction, run.curvature_from, run.rate)
        ends_mm.append(end_mm)
        stretches.append(stretch)
        point, direction = _onwards(stretch, run.length_mm)
        end_mm += run.length_mm
    return EndlessPath(
        ends_mm=tuple(ends_mm),
        stretches=tuple(stretches),
    )


def turned_round(runs: Sequence[Run]) -> tuple[Run, ...]:
    """Return the runs as a train meets them that comes from the other end.

    **Source** derived.
    """
    return tuple(run.reversed for run in reversed(runs))


def _cells(runs: Sequence[Run]) -> Iterator[Run]:
    """Yield straights and arcs as they are, and transitions in their cells."""
    for run in runs:
        if run.is_even:
            yield run
            continue
        count = run.cells
        places_mm = [run.length_mm * cell / count for cell in range(count)]
        for from_mm, to_mm in zip(
            places_mm, [*places_mm[1:], run.length_mm], strict=True
        ):
            yield run.part(from_mm, to_mm)


def _onwards(stretch: _Stretch, run_mm: float) -> tuple[complex, complex]:
    """Return the point and the direction so many mm from where a stretch begins."""
    _, point, direction, curvature, rate = stretch
    if rate:
        return _along_transition(stretch, run_mm)
    if curvature == 0:
        return point + direction * run_mm, direction
    half = curvature * run_mm / 2
    if half == 0:
        return point, direction
    chord = rect(run_mm * sin(half) / half, half)
    return point + direction * chord, direction * rect(1.0, 2 * half)


def _along_transition(stretch: _Stretch, run_mm: float) -> tuple[complex, complex]:
    _, point, direction, curvature, rate = stretch
    half_mm = run_mm / 2
    grown = rate * half_mm
    half_turn = half_mm * (curvature + grown)
    along, aside = chord_of_cell(half_turn, half_mm * grown / 2)
    middle = rect(1.0, half_mm * (curvature + grown / 2))
    chord = middle * complex(run_mm * along, run_mm * aside)
    return point + direction * chord, direction * rect(1.0, 2 * half_turn)


def _arc(chord_mm: float, curvature: float) -> float | None:
    """Return the length of the arc over a chord; None where no chord is so long."""
    half = abs(curvature) * chord_mm / 2
    if half == 0:
        return chord_mm
    if half > 1:
        return None
    return chord_mm * asin(half) / half
