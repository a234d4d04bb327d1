"""Track as SVG paths: rails, sleepers and centre lines, true to the arcs they are.

A *bend* is a straight or an arc where it lies in the plan. A *view* says how the plan
comes on the paper: one in so many, perhaps turned by a quarter.
"""

from collections.abc import Iterable, Iterator
from math import cbrt, ceil
from typing import NamedTuple

import msgspec

from standage.railway.track.paths.runs import Run
from standage.railway.track.paths.spots import Spot, along_arc
from standage.railway.track.placing.placing import within
from standage.railway.track.survey.survey import Survey

_STRAIGHT = 1e-7
"""A curvature that no drawing shows: a radius of ten kilometres."""
_MOST_TURN = 2.0
"""So far, in radians, one arc of a path may turn: half a round would be two ways."""
_MOST_PARTS = 500
_DRIFT_MM = 0.02
"""So far the arcs that stand for a transition may run aside from it: less than a line
is wide.
"""
_MOST_ARCS = 60


class Bend(NamedTuple):
    """A straight or an arc of a strand, where it lies."""

    start: Spot
    length_mm: float
    curvature: float

    @property
    def end(self) -> Spot:
        """Where it leads."""
        return along_arc(self.start, self.length_mm, self.curvature)


class View(msgspec.Struct, frozen=True):
    """How a plan comes on the paper; ``turn`` is 1, or -1j where it is turned.

    ``corner`` is the place of the plan that lies at the paper's 0.
    """

    one_in: float
    turn: complex
    corner: complex

    def place(self, point: complex) -> complex:
        """Return where a point of the plan lies on the paper; y is down there."""
        return ((point - self.corner) * self.turn).conjugate() / self.one_in


def bends_of(found: Survey, strand: int) -> list[Bend]:
    """Return the straights and arcs of a strand; none where it has no place."""
    own = found.network.strands[strand]
    frame = found.placed.frames.get(found.network.piece_of[strand])
    if frame is None or own.spot is None or own.runs is None:
        return []
    bends: list[Bend] = []
    spot = within(frame, own.spot)
    for run in own.runs:
        for length_mm, curvature in _arcs(run):
            bend = Bend(spot, length_mm, curvature)
            bends.append(bend)
            spot = bend.end
    return bends


def _arcs(run: Run) -> Iterator[tuple[float, float]]:
    """Yield the lengths and curvatures of arcs that stand for a run."""
    parts = _parts(run)
    part_mm = run.length_mm / parts
    for part in range(parts):
        middle_mm = (part + 0.5) * part_mm
        yield part_mm, run.curvature_at(middle_mm)


def _parts(run: Run) -> int:
    """Return into how many arcs a run is cut; each leaves where it begins by less than
    rate · u³ ÷ 12. **Source** derived.
    """
    sharpest = max(abs(run.curvature_from), abs(run.curvature_to))
    wanted = ceil(sharpest * run.length_mm / _MOST_TURN)
    if run.is_even or run.rate == 0:
        return min(_MOST_PARTS, max(1, wanted))
    part_mm = cbrt(12 * _DRIFT_MM / abs(run.rate))
    by_drift = ceil(min(run.length_mm / part_mm, _MOST_ARCS))
    return min(_MOST_PARTS, max(1, wanted, by_drift))


def path(bends: Iterable[Bend], view: View, *, aside_mm: float = 0.0) -> str:
    """Return SVG's path along bends, so far to their left; one after another."""
    return " ".join(_steps(bends, view, aside_mm))


def _steps(bends: Iterable[Bend], view: View, aside_mm: float) -> Iterator[str]:
    is_begun = False
    for bend in bends:
        if not is_begun:
            yield _at(
                "M",
                _aside(bend.start, aside_mm),
                view,
            )
            is_begun = True
        end = _aside(bend.end, aside_mm)
        radius_mm = _radius_mm(bend, aside_mm)
        if radius_mm is None:
            yield _at("L", end, view)
            continue
        on_paper_mm = radius_mm / view.one_in
        # Paper counts y downwards: what bends to the left goes against its clock.
        sweep = 0 if bend.curvature > 0 else 1
        arc = f"A{on_paper_mm:.3f} {on_paper_mm:.3f} 0 0 {sweep} "
        yield _at(arc, end, view)


def _radius_mm(bend: Bend, aside_mm: float) -> float | None:
    """Return the radius of a bend so far aside; None for what is drawn straight."""
    if abs(bend.curvature) < _STRAIGHT:
        return None
    radius_mm = abs(1 / bend.curvature)
    inwards_mm = aside_mm if bend.curvature > 0 else -aside_mm
    left_mm = radius_mm - inwards_mm
    if left_mm > 0:
        return left_mm
    return None


def _aside(spot: Spot, aside_mm: float) -> complex:
    return spot.point + 1j * spot.direction * aside_mm


def _at(letter: str, point: complex, view: View) -> str:
    place = view.place(point)
    return f"{letter}{place.real:.2f} {place.imag:.2f}"


def along(bends: Iterable[Bend], *, step_mm: float) -> Iterator[complex]:
    """Yield places along bends, no farther apart than a step, both ends included."""
    for bend in bends:
        steps = min(_MOST_PARTS, max(1, ceil(bend.length_mm / step_mm)))
        part_mm = bend.length_mm / steps
        spot = bend.start
        yield spot.point
        for _ in range(steps):
            spot = along_arc(spot, part_mm, bend.curvature)
            yield spot.point
