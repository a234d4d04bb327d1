"""How far two ways must run before they are so far apart, to the exact place.

A way is laid of arcs and straights. From a place on the one way that is nearer than the
spacing, the next place that may be the wanted one is found in one step, however far:
the way cannot leave a circle of that radius about the nearest place of the other way
before it does, nor the strip beside the arc or straight on which that nearest place
lies. So the first place is found and none is stepped over; no step is a guess.
"""

from cmath import phase
from collections.abc import Iterator, Sequence
from math import acos, copysign, inf, pi, sqrt
from typing import NamedTuple

from standage.railway.track.paths.runs import Run
from standage.railway.track.paths.spots import Spot, along_arc, in_arcs, onwards
from standage.shapes.remembering import remembered

REACHED_MM = 1e-9
"""A distance so little short of the spacing is the spacing, to rounding."""
_WHOLE_TURN = 2 * pi
_NO_TURN = 1e-12
_MOST_STEPS = 4_000
"""Steps grow short only where two ways run on side by side at nearly the spacing."""
_ARCS_IN_A_STEP = 32
_MOST_REMEMBERED = 4096


class Arc(NamedTuple):
    """An arc or straight of a way: where it begins along the way, and in the plane."""

    start_mm: float
    length_mm: float
    point: complex
    direction: complex
    curvature: float

    @property
    def centre(self) -> complex:
        """The middle of its circle; only for an arc."""
        return self.point + 1j * self.direction / self.curvature

    def at(self, along_mm: float) -> Spot:
        """Return a place of it, so far along the way."""
        spot = Spot(self.point, self.direction)
        return along_arc(spot, along_mm - self.start_mm, self.curvature)


class Way(NamedTuple):
    """Arcs laid end to end up to ``end``, at ``length_mm``."""

    arcs: tuple[Arc, ...]
    end: Spot
    length_mm: float

    def with_runs(self, runs: Sequence[Run]) -> "Way":
        """Return the way with more laid on at its end."""
        return _lengthened(self, tuple(runs))

    def going_on(self) -> "Way":
        """Return the way with endless straight track laid on at its end."""
        last = Arc(
            self.length_mm,
            inf,
            self.end.point,
            self.end.direction,
            0.0,
        )
        return Way(
            (*self.arcs, last),
            self.end,
            inf,
        )


@remembered(most=_MOST_REMEMBERED)
def _lengthened(way: Way, runs: tuple[Run, ...]) -> Way:
    arcs = list(way.arcs)
    length_mm = way.length_mm
    end = way.end
    for run in runs:
        arcs += _arcs(run, end, length_mm)
        end = onwards(end, run)
        length_mm += run.length_mm
    return Way(
        tuple(arcs),
        end,
        length_mm,
    )


def _arcs(run: Run, spot: Spot, start_mm: float) -> Iterator[Arc]:
    """Yield what stands for a run, each part begun where the run itself has got to."""
    parts = in_arcs(run)
    here = spot
    for number, part in enumerate(parts):
        length_mm = part.length_mm
        from_mm = number * length_mm
        yield Arc(
            start_mm + from_mm,
            length_mm,
            *here,
            part.curvature_from,
        )
        if number + 1 < len(parts):
            to_mm = min(run.length_mm, from_mm + length_mm)
            here = onwards(here, run.part(from_mm, to_mm))


def way_from(spot: Spot) -> Way:
    """Return a way of no length. **Source** derived."""
    return Way(
        (),
        spot,
        0.0,
    )


def up_to(arcs: tuple[Arc, ...], to_mm: float) -> tuple[Arc, ...]:
    """Return what of a way lies no farther along than a place.

    What leads on differently is the same up to there, and so found again.
    **Source** derived.
    """
    kept: list[Arc] = []
    for arc in arcs:
        left_mm = to_mm - arc.start_mm
        if left_mm < 0:
            break
        if arc.length_mm > left_mm:
            arc = arc._replace(length_mm=left_mm)  # noqa: PLW2901 - the last one, cut
        kept.append(arc)
    return tuple(kept)


class Near(NamedTuple):
    """The nearest place of a way: how far, where, on which arc, and whether within
    it."""

    distance_mm: float
    point: complex
    arc: Arc
    is_within: bool
    along_mm: float


def nearest(point: complex, arcs: Sequence[Arc], *, up_to_mm: float) -> Near | None:
    """Return the nearest place of a way to a point, no farther along than ``up_to_mm``.

    Exact. None where the way has no arc so near its start. **Source** derived.
    """
    best: tuple[Arc, _Foot] | None = None
    best_mm = inf
    for arc in reversed(arcs):
        length_mm = min(arc.length_mm, up_to_mm - arc.start_mm)
        if length_mm < 0 or abs(point - arc.point) - length_mm >= best_mm:
            continue
        foot = _foot_on(point, arc, length_mm)
        distance_mm = foot[0]
        if distance_mm < best_mm:
            best = (arc, foot)
            best_mm = distance_mm
    if best is None:
        return None
    arc, (distance_mm, run_mm, place, is_within) = best
    return Near(
        distance_mm,
        place,
        arc,
        is_within,
        arc.start_mm + run_mm,
    )


_Foot = tuple[float, float, complex, bool]
"""How far off, how far along an arc, where, and whether within it.

A bare tuple, since a search makes some for every step.
"""


def _foot_on(point: complex, arc: Arc, length_mm: float) -> _Foot:
    begin = arc.point
    if arc.curvature == 0:
        ahead_mm = ((point - begin) * arc.direction.conjugate()).real
        run_mm = min(max(ahead_mm, 0.0), length_mm)
        place = begin + arc.direction * run_mm
        return abs(point - place), run_mm, place, run_mm == ahead_mm
    run_mm = _turn_to(point, arc) / abs(arc.curvature)
    spot = Spot(begin, arc.direction)
    if run_mm <= length_mm:
        place = along_arc(spot, run_mm, arc.curvature).point
        return abs(point - place), run_mm, place, True
    end = along_arc(spot, length_mm, arc.curvature).point
    from_begin_mm = abs(point - begin)
    from_end_mm = abs(point - end)
    if from_begin_mm <= from_end_mm:
        return from_begin_mm, 0.0, begin, False
    return from_end_mm, length_mm, end, False


def _turn_to(point: complex, arc: Arc) -> float:
    """Return the angle about an arc's centre to where it passes a point, from its
    start."""
    centre = arc.centre
    radial = arc.point - centre
    wanted = point - centre
    turn = phase(wanted / radial)
    return copysign(turn, turn * arc.curvature) % _WHOLE_TURN


class Search(NamedTuple):
    """What is looked for: a place of the way between two others, so far from the
    other."""

    way: tuple[Arc, ...]
    other: tuple[Arc, ...]
    spacing_mm: float
    from_mm: float = 0.0
    to_mm: float = inf


class Parted(NamedTuple):
    """Where two ways are apart, None for nowhere; in so many steps.

    A step to a way of many arcs counts for several.
    """

    at_mm: float | None
    steps: int


def first_apart(search: Search) -> float | None:
    """Return the first place of a way, from a place on, that lies the spacing away.

    It is that far from the other way, taken no farther along than the place plus the
    spacing. None where there is no such place. Exact to rounding. **Source** derived.
    """
    return parted(search).at_mm


@remembered(most=_MOST_REMEMBERED)
def parted(search: Search) -> Parted:
    """Return the first place of a way that lies the spacing away, and what it took.

    Like sets of points are reckoned once. **Source** derived.
    """
    way, other, spacing_mm, from_mm, to_mm = search
    at_mm = from_mm
    steps = 0
    costs = 1 + len(other) // _ARCS_IN_A_STEP
    for arc in way:
        end_mm = min(to_mm, arc.start_mm + arc.length_mm)
        if end_mm <= at_mm:
            continue
        at_mm = max(at_mm, arc.start_mm)
        while at_mm < end_mm and steps < _MOST_STEPS:
            steps += 1
            spot = arc.at(at_mm)
            near = nearest(spot.point, other, up_to_mm=at_mm + spacing_mm)
            if near is None or near.distance_mm >= spacing_mm - REACHED_MM:
                return Parted(at_mm, steps * costs)
            room_mm = at_mm + spacing_mm - near.arc.start_mm
            at_mm += _step(
                spot,
                arc.curvature,
                near,
                spacing_mm,
                room_mm=room_mm,
            )
    return Parted(None, steps * costs)


def _step(
    spot: Spot, curvature: float, near: Near, spacing_mm: float, *, room_mm: float
) -> float:
    """Return how far the way may go on and be nearer than the spacing all along."""
    circle_mm = _to_circle(
        spot,
        curvature,
        near.point,
        spacing_mm,
    )
    if not near.is_within:
        return circle_mm
    strip_mm = _out_of_strip(
        spot,
        curvature,
        near.arc,
        spacing_mm,
    )
    if strip_mm <= circle_mm:
        return circle_mm
    length_mm = min(near.arc.length_mm, room_mm)
    past_mm = _past_ends(
        spot,
        curvature,
        near.arc,
        length_mm,
    )
    return max(circle_mm, min(strip_mm, past_mm))


def _out_of_strip(spot: Spot, curvature: float, arc: Arc, spacing_mm: float) -> float:
    """Return how far it is until the whole circle or line of an arc is the spacing
    away."""
    if arc.curvature == 0:
        across = 1j * arc.direction
        sides = (arc.point + across * spacing_mm, arc.point - across * spacing_mm)
        return min(
            _to_line(
                spot,
                curvature,
                side,
                across,
            )
            for side in sides
        )
    radius_mm = 1 / abs(arc.curvature)
    outer_mm = _to_circle(
        spot,
        curvature,
        arc.centre,
        radius_mm + spacing_mm,
    )
    if radius_mm <= spacing_mm:
        return outer_mm
    inner_mm = _to_circle(
        spot,
        curvature,
        arc.centre,
        radius_mm - spacing_mm,
    )
    return min(inner_mm, outer_mm)


def _past_ends(spot: Spot, curvature: float, arc: Arc, length_mm: float) -> float:
    """Return how far it is at least until the nearest place may pass an end of the
    arc."""
    first = _to_line(
        spot,
        curvature,
        arc.point,
        arc.direction,
    )
    if length_mm == inf:
        return first
    end = along_arc(Spot(arc.point, arc.direction), length_mm, arc.curvature)
    return min(
        first,
        _to_line(
            spot,
            curvature,
            end.point,
            end.direction,
        ),
    )


def _to_circle(
    spot: Spot, curvature: float, centre: complex, radius_mm: float
) -> float:
    """Return how far a straight or an arc runs until it meets a circle; inf for
    never."""
    if abs(curvature) < _NO_TURN:
        return _straight_to_circle(spot, centre, radius_mm)
    own_centre = spot.point + 1j * spot.direction / curvature
    radial = spot.point - own_centre
    between = centre - own_centre
    own_mm = abs(radial)
    between_mm = abs(between)
    if between_mm == 0:
        return inf
    cosine = (own_mm**2 + between_mm**2 - radius_mm**2) / (2 * own_mm * between_mm)
    if abs(cosine) > 1:
        return inf
    turn = acos(cosine)
    start = phase(radial / between)
    return min(_arc_to(turn - start, curvature), _arc_to(-turn - start, curvature))


def _straight_to_circle(spot: Spot, centre: complex, radius_mm: float) -> float:
    beside = (centre - spot.point) * spot.direction.conjugate()
    square = radius_mm**2 - beside.imag**2
    if square < 0:
        return inf
    half_mm = sqrt(square)
    first_mm = beside.real - half_mm
    if first_mm > 0:
        return first_mm
    second_mm = beside.real + half_mm
    if second_mm > 0:
        return second_mm
    return inf


def _to_line(
    spot: Spot, curvature: float, through: complex, square_to: complex
) -> float:
    """Return how far it runs until it meets a line; inf for never."""
    before_mm = ((spot.point - through) * square_to.conjugate()).real
    rate = (spot.direction * square_to.conjugate()).real
    if abs(curvature) < _NO_TURN:
        run_mm = -before_mm / rate if rate else inf
        if run_mm > 0:
            return run_mm
        return inf
    radius_mm = 1 / curvature
    own_centre = spot.point + 1j * spot.direction * radius_mm
    centre_mm = ((own_centre - through) * square_to.conjugate()).real
    own = (spot.point - own_centre) * square_to.conjugate()
    cosine = -centre_mm / abs(own)
    if abs(cosine) > 1:
        return inf
    turn = acos(cosine)
    start = phase(own)
    return min(_arc_to(turn - start, curvature), _arc_to(-turn - start, curvature))


def _arc_to(turn: float, curvature: float) -> float:
    """Return how much of an arc turns by an angle, its own way round and more than
    0."""
    onwards_by = copysign(turn, turn * curvature) % _WHOLE_TURN
    run_mm = onwards_by / abs(curvature)
    if run_mm > 0:
        return run_mm
    return inf
