"""How near to the track an edge may lie, inside and outside of a curve and beyond it,
and which vehicle decides.
"""

from collections.abc import Callable, Sequence
from math import inf
from typing import Annotated, Literal, NamedTuple

import msgspec

from standage.railway.lineside.beyond_curves import CurveEnd, reached
from standage.railway.lineside.bodies_beside import BodyBeside, Part
from standage.railway.terms.figures import says, tidy
from standage.railway.track.paths.outlines import Outline

Side = Literal["inside", "outside"]

_NEAR_MM = 1e-9
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


class _Far(NamedTuple):
    """How far a body reaches, how far its end swings out beyond its side, and which end
    that is.
    """

    inside_mm: float
    outside_mm: float
    swing_mm: float
    end: Part


_ANYTHING = _Far(inf, inf, inf, "either")
_Figure = Callable[[_Far], float]


def reaches(bodies: Sequence[BodyBeside], beside: Beside) -> Reaches:
    """Return how far the bodies reach from the centre line, at their widest within the
    ±, and which part of which vehicle does.

    At least one body; all of them can stand on the curve, else ValueError. Lengths in
    mm. **Source** derived: on a curve by ``passing.gaps``, beyond one by
    ``beyond_curves``.
    """
    passing = _Passing(beside)
    one, inside = passing.farthest(bodies, _inside_mm)
    other, outside = passing.farthest(bodies, _outside_mm)
    _, swing = passing.farthest(bodies, _swing_mm)
    is_straight = beside.radius_mm == inf
    middle: Part = "side" if is_straight else "middle"
    return Reaches(
        inside=_reach(one, middle, "inside", inside.inside_mm),
        outside=_reach(other, outside.end, "outside", outside.outside_mm),
        ends_mm=swing.swing_mm,
        straight_mm=max(body.half_width_mm for body in bodies),
    )


def _inside_mm(far: _Far) -> float:
    return far.inside_mm


def _outside_mm(far: _Far) -> float:
    return far.outside_mm


def _swing_mm(far: _Far) -> float:
    return far.swing_mm


def _reach(body: BodyBeside, part: Part, side: Side, reach_mm: float) -> Reach:
    return Reach(
        vehicle=body.passer.vehicle,
        body=body.name,
        part=part,
        side=side,
        reach_mm=tidy(reach_mm),
        plus_minus_mm=tidy(body.passer.width_plus_minus_mm / 2),
    )


class _Passing:
    """Bodies that pass an edge, each swept only where it may reach the farthest."""

    def __init__(self, beside: Beside) -> None:
        self._beside = beside
        self._swept: dict[Outline, _Far] = {}

    def farthest(
        self, bodies: Sequence[BodyBeside], figure: _Figure
    ) -> tuple[BodyBeside, _Far]:
        """Return the body whose figure is the greatest, the first of several.

        What cannot reach as far as another is known to is not swept.
        """
        at_most = [(figure(self._at_most(body)), body) for body in bodies]
        at_most.sort(key=lambda one: one[0], reverse=True)
        best: tuple[BodyBeside, _Far] | None = None
        for most_mm, body in at_most:
            if best is not None and most_mm <= figure(best[1]):
                break
            far = self._far(body)
            if best is None or figure(far) > figure(best[1]):
                best = body, far
        if best is None:
            raise ValueError("bodies is empty, but has to hold one at least")
        return best

    def _at_most(self, body: BodyBeside) -> _Far:
        """Return what it surely does not exceed: beyond a curve hardly more than on it,
        since it stands on its wheels as crookedly there at most.
        """
        far = self._along(body)
        radius_mm, ends_at_mm = self._beside
        if ends_at_mm is None or radius_mm == inf:
            return far
        passer = body.passer
        longest_mm = max(passer.half_length_mm, passer.half_span_mm)
        if longest_mm > radius_mm / 2:
            return _ANYTHING
        throw_mm = passer.stands_in_mm(radius_mm) - passer.width_mm / 2
        more_mm = throw_mm / 4
        return _Far(
            inside_mm=max(body.half_width_mm, far.inside_mm) + more_mm,
            outside_mm=max(body.half_width_mm, far.outside_mm) + more_mm,
            swing_mm=max(0.0, far.swing_mm) + more_mm,
            end=far.end,
        )

    def _along(self, body: BodyBeside) -> _Far:
        radius_mm = self._beside.radius_mm
        half_mm = body.half_width_mm
        if radius_mm == inf:
            return _Far(half_mm, half_mm, 0.0, "side")
        passer = body.passer
        doubt_mm = passer.width_plus_minus_mm / 2
        outside_mm = passer.stands_out_mm(radius_mm) + doubt_mm
        return _Far(
            inside_mm=passer.stands_in_mm(radius_mm) + doubt_mm,
            outside_mm=outside_mm,
            swing_mm=outside_mm - half_mm,
            end=body.farther_end,
        )

    def _far(self, body: BodyBeside) -> _Far:
        radius_mm, ends_at_mm = self._beside
        if ends_at_mm is None or radius_mm == inf:
            return self._along(body)
        outline = body.outline
        if outline is None:
            raise ValueError(f"of {body.name} something is lacking for a curve")
        if outline not in self._swept:
            curve = CurveEnd(radius_mm, ends_at_mm)
            self._swept[outline] = _swept(outline, curve)
        return self._swept[outline]


def _swept(outline: Outline, curve: CurveEnd) -> _Far:
    """Return how far a body reaches, whichever of its ends is ahead."""
    front = reached(outline, curve)
    rear = front
    if outline.ahead_mm != outline.behind_mm:
        rear = reached(outline.turned_about, curve)
    end: Part = "either"
    if front.outside_mm != rear.outside_mm:
        end = "front" if front.outside_mm > rear.outside_mm else "rear"
    ends_mm = max(front.ends_mm, rear.ends_mm)
    return _Far(
        inside_mm=max(front.inside_mm, rear.inside_mm),
        outside_mm=max(front.outside_mm, rear.outside_mm),
        swing_mm=ends_mm - outline.half_width_mm,
        end=end,
    )


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
    out_mm = reaches(bodies, beside).outside.reach_mm

    def needed_mm(centres_mm: float) -> float:
        outer = beside.at(beside.radius_mm + centres_mm)
        in_mm = reaches(bodies, outer).inside.reach_mm
        return out_mm + between_mm + in_mm

    narrowest_mm = min(body.half_width_mm for body in bodies)
    at_least_mm = out_mm + between_mm + narrowest_mm
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
