"""Where runs of track lead, one at a time: for walking a plan from piece to piece.

A *spot* is a point of the plane and a direction there, as complex numbers. Many places
of one path at once are the business of paths.
"""

from cmath import phase
from collections.abc import Iterable
from math import cos, degrees, pi, sin
from typing import NamedTuple

from standage.railway.track.paths.runs import Run, chord_of_cell, even
from standage.shapes.remembering import remembered

_DRIFT_MM = 1e-4
"""So far a transition may run aside from the arcs that stand for it."""
_MOST_ARCS = 2_000
_MOST_REMEMBERED = 4096


class Spot(NamedTuple):
    """A point of the plane, in mm, and a direction there, of size 1."""

    point: complex
    direction: complex

    @property
    def turned_about(self) -> "Spot":
        """The same point, looking back."""
        return Spot(self.point, -self.direction)


ORIGIN = Spot(0j, 1 + 0j)


def onwards(spot: Spot, run: Run) -> Spot:
    """Return where a run that sets off from ``spot`` ends, and which way it points.

    Exact to rounding. **Source** derived.
    """
    if run.curvature_from == run.curvature_to:
        return along_arc(spot, run.length_mm, run.curvature_from)
    cells = run.cells
    length_mm = run.length_mm / cells
    for cell in range(cells):
        curvature = run.curvature_at((cell + 0.5) * length_mm)
        spot = _along_cell(
            spot,
            length_mm,
            curvature=curvature,
            rate=run.rate,
        )
    return spot


def along_arc(spot: Spot, length_mm: float, curvature: float) -> Spot:
    """Return where so many mm of one curvature lead: a straight for 0.

    **Source** derived.
    """
    point, direction = spot
    if curvature == 0:
        return Spot(point + direction * length_mm, direction)
    half = curvature * length_mm / 2
    if half == 0:
        return spot
    middle = direction * complex(cos(half), sin(half))
    chord_mm = length_mm * sin(half) / half
    turned = complex(cos(2 * half), sin(2 * half))
    return Spot(point + middle * chord_mm, direction * turned)


def _along_cell(spot: Spot, length_mm: float, *, curvature: float, rate: float) -> Spot:
    """Return where a cell of a transition leads, whose middle has that curvature."""
    point, direction = spot
    half_mm = length_mm / 2
    along, aside = chord_of_cell(curvature * half_mm, rate * half_mm * half_mm / 2)
    before = half_mm * (curvature - rate * half_mm / 2)
    turn = curvature * length_mm
    middle = direction * complex(cos(before), sin(before))
    chord = middle * complex(along, aside) * length_mm
    return Spot(point + chord, direction * complex(cos(turn), sin(turn)))


def through(spot: Spot, runs: Iterable[Run]) -> Spot:
    """Return where the last of ``runs`` ends, laid end to end from ``spot``.

    **Source** derived.
    """
    for run in runs:
        spot = onwards(spot, run)
    return spot


@remembered(most=_MOST_REMEMBERED)
def turned_round(runs: tuple[Run, ...]) -> tuple[Run, ...]:
    """Return the runs as met by somebody who comes from the other end.

    **Source** derived.
    """
    return tuple(run.reversed for run in reversed(runs))


def length_of(runs: Iterable[Run]) -> float:
    """Return the length of runs laid end to end, in mm. **Source** derived."""
    return sum(run.length_mm for run in runs)


def in_arcs(run: Run) -> tuple[Run, ...]:
    """Return straights and arcs that stand for a run; itself where it is one.

    A transition's parts each have the curvature of their middle, and run aside from it
    by a ten-thousandth of a millimetre at most where each is begun where it begins.
    **Source** derived.
    """
    if run.is_even or run.length_mm == 0:
        return (run,)
    parts = arcs_of(run)
    length_mm = run.length_mm / parts
    middles_mm = [(part + 0.5) * length_mm for part in range(parts)]
    return tuple(
        even(run.curvature_at(middle_mm), length_mm=length_mm)
        for middle_mm in middles_mm
    )


def arcs_of(run: Run) -> int:
    """Return how many arcs stand for a run. **Source** derived."""
    rate = abs(run.rate)
    if rate == 0:
        return 1
    part_mm = (12 * _DRIFT_MM / rate) ** (1 / 3)
    wanted = int(run.length_mm / part_mm) + 1
    return min(_MOST_ARCS, wanted)


def heading_deg(direction: complex) -> float:
    """Return a direction in degrees, anticlockwise from the right, in (−180, 180].

    **Source** derived.
    """
    heading = degrees(phase(direction))
    return heading if heading > -180 else 180.0  # noqa: PLR2004 - half a turn


def towards(heading: float) -> complex:
    """Return the direction of a heading in degrees; whole quarter turns are exact.

    **Source** derived.
    """
    quarters, rest = divmod(heading, 90)
    turn = rest * pi / 180
    return _QUARTERS[int(quarters) % 4] * complex(cos(turn), sin(turn))


_QUARTERS = (1 + 0j, 1j, -1 + 0j, -1j)
