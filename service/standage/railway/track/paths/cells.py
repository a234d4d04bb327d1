"""How a path places many positions at once: cut into cells that one series describes.

A point of the plane is a complex number here, and a direction one of size 1.
"""

from collections.abc import Sequence
from itertools import accumulate
from math import inf, nextafter
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from standage.railway.track.paths.runs import Floats, Run, chord_of_cell, straight

Points = NDArray[np.complex128]


class Cells(NamedTuple):
    """The path cut into cells so short that one series places all that lies in them.

    Before the first and after the last lies one cell more, straight and endless; the
    ``edges`` are the positions where one cell changes into the next.
    """

    edges: Floats
    start_mm: Floats
    point: Points
    heading: Floats
    curvature: Floats
    rate: Floats


class Trace(NamedTuple):
    """Many places of a path: the point and the direction of each."""

    point: Points
    direction: Points


class Spots(NamedTuple):
    """Positions, each with how its cell begins and how far from there it lies."""

    run_mm: Floats
    point: Points
    heading: Floats
    curvature: Floats
    rate: Floats

    @property
    def curvature_here(self) -> Floats:
        """The curvature at each position itself."""
        gained = self.rate * self.run_mm
        curvature = self.curvature
        return curvature + gained

    @property
    def heading_here(self) -> Floats:
        """The heading at each position itself."""
        mean = self.curvature + self.rate * self.run_mm / 2
        turned = self.run_mm * mean
        return self.heading + turned


class Legs(NamedTuple):
    """From where cells begin to positions in them: chords, and directions midway."""

    chord: Points
    middle: Points
    from_middle: Floats
    """By how much the path still turns from the middle on, in radians."""


def spots(cells: Cells, positions_mm: Floats) -> Spots:
    """Return the cells in which positions lie. **Source** derived."""
    which = np.searchsorted(cells.edges, positions_mm, side="right")
    start_mm = cells.start_mm.take(which)
    return Spots(
        run_mm=positions_mm - start_mm,
        point=cells.point.take(which),
        heading=cells.heading.take(which),
        curvature=cells.curvature.take(which),
        rate=cells.rate.take(which),
    )


def curvatures(cells: Cells, positions_mm: Floats) -> Floats:
    """Return how a path bends at positions, per mm. **Source** derived."""
    which = np.searchsorted(cells.edges, positions_mm, side="right")
    run_mm = positions_mm - cells.start_mm.take(which)
    grown: Floats = cells.rate.take(which) * run_mm
    curvature: Floats = cells.curvature.take(which) + grown
    return curvature


def trace(cells: Cells, positions_mm: Floats) -> Trace:
    """Return the points and directions at positions, as if the path went on.

    **Source** derived.
    """
    here = spots(cells, positions_mm)
    leg = legs(here)
    rest = _small_turn(leg.from_middle)
    return Trace(
        point=here.point + leg.chord,
        direction=leg.middle * rest,
    )


def legs(here: Spots) -> Legs:
    """Return the legs from where cells begin to positions in them.

    **Source** derived.
    """
    half_mm = here.run_mm / 2
    grown = here.rate * half_mm
    at_middle = here.curvature + grown
    half_turn = half_mm * at_middle
    bow = half_mm * grown / 2
    along, aside = chord_of_cell(half_turn, bow)
    to_middle = half_turn - bow
    middle = _direction(here.heading + to_middle)
    chord = _complex(
        here.run_mm * along,
        here.run_mm * aside,
    )
    return Legs(
        chord=middle * chord,
        middle=middle,
        from_middle=half_turn + bow,
    )


def cells_of(runs: Sequence[Run], *, start: complex, heading: float) -> Cells:
    """Return the cells of the path that goes from a point through runs.

    **Source** derived.
    """
    rows = _rows(runs, heading)
    start_mm, length_mm, headings, curvature, rate = rows
    whole = Spots(
        run_mm=length_mm,
        point=np.zeros(length_mm.shape, np.complex128),
        heading=headings,
        curvature=curvature,
        rate=rate,
    )
    chords = legs(whole).chord
    points = start + np.concatenate(([0], np.cumsum(chords)))
    last_heading = whole.heading_here[-1]
    end_mm = start_mm[-1] + length_mm[-1]
    # At the very end still counts as in the last cell, for its curvature.
    beyond_mm = nextafter(end_mm, inf)
    starts_mm = ([0.0], start_mm, [end_mm])
    all_headings = ([heading], headings, [last_heading])
    return Cells(
        edges=np.append(start_mm, beyond_mm),
        start_mm=np.concatenate(starts_mm),
        point=np.append(start, points),
        heading=np.concatenate(all_headings),
        curvature=np.pad(curvature, 1),
        rate=np.pad(rate, 1),
    )


def _rows(runs: Sequence[Run], heading: float) -> Floats:
    """Return start, length, heading, curvature and rate of all cells, each a row.

    A path of no length is one cell of none.
    """
    laid = [run for run in runs if run.length_mm > 0]
    laid = laid or [straight(0.0)]
    lengths_mm = (run.length_mm for run in laid)
    turns = (run.turn for run in laid)
    begins_mm = accumulate(lengths_mm, initial=0.0)
    headings = accumulate(turns, initial=heading)
    columns = map(
        _cells_of_run,
        laid,
        begins_mm,
        headings,
    )
    return np.concatenate(list(columns), axis=1)


def _cells_of_run(run: Run, begins_mm: float, heading: float) -> Floats:
    count = run.cells
    length_mm = run.length_mm / count
    along_mm = np.arange(count) * length_mm
    curvature = run.curvature_from + run.rate * along_mm
    mean = (run.curvature_from + curvature) / 2
    columns = (
        begins_mm + along_mm,
        np.full(count, length_mm),
        heading + along_mm * mean,
        curvature,
        np.full(count, run.rate),
    )
    return np.stack(columns)


def _complex(real: Floats, imaginary: Floats) -> Points:
    """Return complex numbers by their parts, faster than by a sum."""
    both = np.empty(real.shape, np.complex128)
    both.real = real
    both.imag = imaginary
    return both


def _direction(heading: Floats) -> Points:
    return _complex(
        np.cos(heading),
        np.sin(heading),
    )


def _small_turn(angle: Floats) -> Points:
    """Return the direction of an angle of no more than a cell's turn, to 1e-15."""
    square = angle * angle
    sine = 1 - square / 42
    sine = 1 - square / 20 * sine
    sine = 1 - square / 6 * sine
    cosine = 1 - square / 56
    cosine = 1 - square / 30 * cosine
    cosine = 1 - square / 12 * cosine
    cosine = 1 - square / 2 * cosine
    return _complex(cosine, angle * sine)
