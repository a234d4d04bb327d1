"""How near to the track an edge may lie, inside and outside of a curve and beyond it,
and which vehicle decides.
"""

from collections.abc import Callable, Sequence
from math import hypot, inf
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.railway.lineside.beyond_curves import CurveEnd, Sweep
from standage.railway.lineside.bodies_beside import BodyBeside, Part
from standage.railway.terms.figures import says, tidy
from standage.railway.track.paths.outlines import Outline

Side = Literal["inside", "outside"]

_NEAR_MM = 1e-7
_MOST_SPAN = 1.9
"""Of a curve's radius, between the wheels of what is swept; the circle is 2 across."""
_MOST_STEPS = 20
_MOST_TRIES = 90


class Reach(msgspec.Struct, frozen=True, kw_only=True):
    """The part of a vehicle that reaches farthest from the centre line."""

    vehicle: Annotated[str, says("The vehicle.")]
    body: Annotated[str, says("Which of its bodies, where it has several.")]
    part: Annotated[Part, says("Which part of it.")]
    side: Annotated[Side, says("Inside or outside of the curve.")]
    reach_mm: Annotated[float, says("How far from the centre line, in mm.")]
    plus_minus_mm: Annotated[
        float, says("How much of that is what its width may be off, in mm.")
    ]


class Reaches(NamedTuple):
    """The farthest reaches to both sides, in mm; how much farther than the vehicle's
    side an end swings out: on the curve, or where that ends, over the straight beyond
    it once the leading pivot has left the curve; and what they reach on straight track.
    """

    inside: Reach
    outside: Reach
    ends_mm: float
    straight_mm: float = 0.0

    @property
    def worse(self) -> Reach:
        """The part that reaches farther of the two."""
        if self.inside.reach_mm >= self.outside.reach_mm:
            return self.inside
        return self.outside


class Beside(NamedTuple):
    """The track beside an edge: its radius, ``inf`` where it is straight, and where a
    curve ends counted from where the edge begins; None where it does not end there.
    """

    radius_mm: float
    ends_at_mm: float | None = None

    def at(self, radius_mm: float) -> "Beside":
        """Return the same about the same centre at another radius."""
        return self._replace(radius_mm=radius_mm)


_Kept = dict[Outline, tuple[Sweep, ...]]
Figure = Literal["inside_mm", "outside_mm", "ends_mm"]


class _Farthest(NamedTuple):
    """The body whose figure is the greatest of all, and that figure."""

    body: BodyBeside
    reach_mm: float


def reaches(bodies: Sequence[BodyBeside], beside: Beside) -> Reaches:
    """Return how far the bodies reach from the centre line, at their widest within the
    ±, and which part of which vehicle does.

    At least one body; all of them can stand on the curve, else ValueError. Lengths in
    mm. **Source** derived: on a curve by ``passing.gaps``, beyond one by
    ``beyond_curves``.
    """
    passing = _Passing(beside)
    inside = passing.farthest(bodies, "inside_mm")
    outside = passing.farthest(bodies, "outside_mm")
    swings = passing.farthest(bodies, "ends_mm")
    is_straight = beside.radius_mm == inf
    middle: Part = "side" if is_straight else "middle"
    end: Part = "side" if is_straight else passing.end_of(outside.body)
    return Reaches(
        inside=_reach(inside, middle, "inside"),
        outside=_reach(outside, end, "outside"),
        ends_mm=swings.reach_mm,
        straight_mm=max(body.half_width_mm for body in bodies),
    )


def _reach(farthest: _Farthest, part: Part, side: Side) -> Reach:
    body, reach_mm = farthest
    return Reach(
        vehicle=body.passer.vehicle,
        body=body.name,
        part=part,
        side=side,
        reach_mm=tidy(reach_mm),
        plus_minus_mm=tidy(body.passer.width_plus_minus_mm / 2),
    )


class _Passing:
    """Bodies that pass an edge, each looked at closely only where it may reach the
    farthest. ``sharper`` are the same on a sharper curve, where none reaches less.
    """

    def __init__(self, beside: Beside, sharper: "_Passing | None" = None) -> None:
        self._beside = beside
        self._sharper = sharper
        self._kept: _Kept = {}

    def farthest(self, bodies: Sequence[BodyBeside], figure: Figure) -> _Farthest:
        """Return the body whose figure is the greatest, the first of several; of
        ``ends_mm`` it is how far an end swings out beyond the body's side.
        """
        at_most = [(self._at_most_mm(body, figure), body) for body in bodies]
        at_most.sort(key=lambda one: one[0], reverse=True)
        best: _Farthest | None = None
        for most_mm, body in at_most:
            if best is not None and most_mm <= best.reach_mm:
                break
            if best is not None and self.glanced_mm(body, figure) <= best.reach_mm:
                continue
            reach_mm = self._reached_mm(body, figure)
            if best is None or reach_mm > best.reach_mm:
                best = _Farthest(body, reach_mm)
        if best is None:
            raise ValueError("bodies is empty, but has to hold one at least")
        return best

    def end_of(self, body: BodyBeside) -> Part:
        """Return which end of a body reaches farthest outside."""
        if not self._sweeps_it(body):
            return body.farther_end
        sweeps = self._sweeps(body)
        front, rear = sweeps[0].outside_mm, sweeps[-1].outside_mm
        if front == rear:
            return "either"
        return "front" if front > rear else "rear"

    @property
    def _is_swept(self) -> bool:
        radius_mm, ends_at_mm = self._beside
        return ends_at_mm is not None and radius_mm < inf

    def _sweeps_it(self, body: BodyBeside) -> bool:
        """Tell whether a body is swept: not one whose bogies would lie within each other,
        or whose wheels all but span the circle, which takes long and nobody has.
        """
        outline = body.outline
        if not self._is_swept or outline is None:
            return False
        wheels = outline.wheels
        spans_mm = hypot(wheels.pivots_mm, wheels.bogie_wheelbase_mm)
        are_apart = wheels.bogie_wheelbase_mm <= wheels.pivots_mm
        return are_apart and spans_mm < _MOST_SPAN * self._beside.radius_mm

    def _at_most_mm(self, body: BodyBeside, figure: Figure) -> float:
        """Return what a figure surely does not exceed: beyond a curve hardly more than
        on it, since a body stands as crookedly on its wheels there at most.
        """
        on_curve_mm = self._along_mm(body, figure)
        if not self._sweeps_it(body):
            return on_curve_mm
        if self._sharper is not None:
            return self._sharper.glanced_mm(body, figure)
        passer = body.passer
        longest_mm = max(passer.half_length_mm, passer.half_span_mm)
        if longest_mm > self._beside.radius_mm / 2:
            return inf
        half_mm = body.half_width_mm
        least_mm = 0.0 if figure == "ends_mm" else half_mm
        thrown_mm = self._along_mm(body, "inside_mm") - half_mm
        return max(least_mm, on_curve_mm) + thrown_mm / 4

    def _along_mm(self, body: BodyBeside, figure: Figure) -> float:
        """Return a figure on the curve itself, or on straight track."""
        radius_mm = self._beside.radius_mm
        half_mm = body.half_width_mm
        if radius_mm == inf:
            return 0.0 if figure == "ends_mm" else half_mm
        passer = body.passer
        doubt_mm = passer.width_plus_minus_mm / 2
        if figure == "inside_mm":
            return passer.stands_in_mm(radius_mm) + doubt_mm
        # a body far shorter than between its pivots is all inside the centre line
        outside_mm = max(0.0, passer.stands_out_mm(radius_mm) + doubt_mm)
        return outside_mm - half_mm if figure == "ends_mm" else outside_mm

    def glanced_mm(self, body: BodyBeside, figure: Figure) -> float:
        """Return what a figure surely does not exceed, by a few places."""
        if not self._sweeps_it(body):
            return self._along_mm(body, figure)
        reach_mm = max(getattr(one.at_most, figure) for one in self._sweeps(body))
        return _as_figure(body, figure, reach_mm)

    def _reached_mm(self, body: BodyBeside, figure: Figure) -> float:
        if not self._sweeps_it(body):
            return self._along_mm(body, figure)
        reach_mm = max(getattr(one, figure) for one in self._sweeps(body))
        return _as_figure(body, figure, reach_mm)

    def _sweeps(self, body: BodyBeside) -> tuple[Sweep, ...]:
        """Return a body's sweeps, with either of its ends ahead."""
        radius_mm, ends_at_mm = self._beside
        outline = body.outline
        if outline is None or ends_at_mm is None:  # of straight track alone
            raise ValueError(f"of {body.name} something is lacking for a curve")
        if outline not in self._kept:
            curve = CurveEnd(radius_mm, ends_at_mm)
            ways = dict.fromkeys((outline, outline.turned_about))
            self._kept[outline] = tuple(Sweep(way, curve) for way in ways)
        return self._kept[outline]


def _as_figure(body: BodyBeside, figure: Figure, reach_mm: float) -> float:
    """Return a reach, that of an end as it swings out beyond the body's side."""
    if figure == "ends_mm":
        return reach_mm - body.half_width_mm
    return reach_mm


def track_centres_mm(
    bodies: Sequence[BodyBeside], beside: Beside, *, between_mm: float
) -> float:
    """Return how far apart the centre lines of two tracks about one centre are, with
    ``between_mm`` left between what runs on them.

    ``beside`` is the inner track; the outer one's radius grows with the distance, and
    what stands inside of it the less. Lengths in mm. Raises ValueError as ``reaches``
    does. **Source** derived: closed in on, since the reach changes by far less than the
    radius does.
    """
    out_mm = _Passing(beside).farthest(bodies, "outside_mm").reach_mm
    narrowest_mm = min(body.half_width_mm for body in bodies)
    at_least_mm = out_mm + between_mm + narrowest_mm
    # no outer track is sharper than that
    sharpest = _Passing(beside.at(beside.radius_mm + at_least_mm))

    def needed_mm(centres_mm: float) -> float:
        outer = _Passing(beside.at(beside.radius_mm + centres_mm), sharper=sharpest)
        in_mm = outer.farthest(bodies, "inside_mm").reach_mm
        return out_mm + between_mm + in_mm

    return _settled(needed_mm, at_least_mm=at_least_mm)


def _settled(needed_mm: Callable[[float], float], *, at_least_mm: float) -> float:
    """Return where what is needed is what there is; it shrinks as there is more."""
    low_mm = at_least_mm
    high_mm = needed_mm(low_mm)
    there_mm = high_mm
    for number in range(_MOST_TRIES):
        now_mm = needed_mm(there_mm)
        if abs(now_mm - there_mm) <= _NEAR_MM:
            return max(now_mm, there_mm)
        if now_mm > there_mm:
            low_mm = there_mm
        else:
            high_mm = there_mm
        # where the reach changes as fast as the radius, each is as far off as the last
        is_slow = number >= _MOST_STEPS
        there_mm = (low_mm + high_mm) / 2 if is_slow else now_mm
    return high_mm
