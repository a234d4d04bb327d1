"""Two tracks side by side: how near the bodies on them come to each other.

On concentric curves a body on the outer track stands nearest where its inner edge
crosses the middle of its pivots, and one on the inner track where its outer corner
swings out, so their least gap is ``spacing − stands_in(outer body) − stands_out(inner
body)``: it is reached when corner and middle lie on one radius, and no other place of
the two along their tracks brings them nearer. What either body does to the gap does not
depend on the other, so the worst of all pairs is the worst outer body beside the worst
inner one. **Source** derived.

A radius of ``inf`` is straight track. Half of each width's ± makes the ± of a pair.
"""

from collections.abc import Callable, Iterable, Sequence
from itertools import product
from math import ceil, floor, hypot, inf, sqrt
from typing import Literal, NamedTuple

import msgspec

from standage.railway.curving.throws import centre_throw_mm, end_throw_mm, stands_on
from standage.railway.terms.figures import LONGEST_MM, exceeds, goes_into, tidy

PassingVerdict = Literal["clear", "marginal", "fouls", "cannot_tell"]

_FINEST_MM = 1e-4
_MOST_STEPS = 4000
_MICRO = 1e6


class Passer(msgspec.Struct, frozen=True, kw_only=True):
    """One body that passes others; all lengths in mm, the half-length to the end
    farther from the pivots' middle.

    ``pivots_given`` tells whether its pivots were measured rather than guessed.
    """

    vehicle: str
    width_mm: float
    width_plus_minus_mm: float = 0.0
    pivots_mm: float = 0.0
    bogie_wheelbase_mm: float = 0.0
    half_length_mm: float = 0.0
    pivots_given: bool = True

    def stands_on(self, radius_mm: float) -> bool:
        """Tell whether it can stand on a curve of that radius at all."""
        return stands_on(
            radius_mm,
            pivots_mm=self.pivots_mm,
            bogie_wheelbase_mm=self.bogie_wheelbase_mm,
        )

    def stands_in_mm(self, radius_mm: float) -> float:
        """Return how far it reaches inwards from the centre line of a track of that
        radius.
        """
        throw_mm = centre_throw_mm(
            radius_mm,
            pivots_mm=self.pivots_mm,
            bogie_wheelbase_mm=self.bogie_wheelbase_mm,
        )
        return self.width_mm / 2 + throw_mm

    @property
    def half_span_mm(self) -> float:
        """Half of what its wheels span: no sharper radius can be stood on."""
        span_mm = hypot(self.pivots_mm, self.bogie_wheelbase_mm)
        return span_mm / 2

    @property
    def half_width_mm(self) -> float:
        """Half of its width and of the ± of that: the widest it may be."""
        widest_mm = self.width_mm + self.width_plus_minus_mm
        return widest_mm / 2

    def stands_out_mm(self, radius_mm: float) -> float:
        """Return how far its worse end reaches outwards from the centre line of a track
        of that radius.
        """
        throw_mm = end_throw_mm(
            radius_mm,
            pivots_mm=self.pivots_mm,
            bogie_wheelbase_mm=self.bogie_wheelbase_mm,
            half_length_mm=self.half_length_mm,
            width_mm=self.width_mm,
        )
        return self.width_mm / 2 + throw_mm


class Pair(msgspec.Struct, frozen=True, kw_only=True):
    """Two vehicles side by side at their nearest; a negative gap is an overlap."""

    on_outer: str
    on_inner: str
    gap_mm: float
    plus_minus_mm: float

    def overlaps(self) -> bool:
        """Tell whether the bodies overlap by more than the ±."""
        at_most_mm = self.gap_mm + self.plus_minus_mm
        return exceeds(0.0, limit=at_most_mm)

    def keeps(self, margin_mm: float) -> bool:
        """Tell whether the margin is left even where the ± is all against it."""
        at_least_mm = self.gap_mm - self.plus_minus_mm
        return goes_into(margin_mm, room_mm=at_least_mm)

    def tidied(self) -> "Pair":
        """Return the pair as it is answered, without the dust of binary fractions."""
        gap_mm = tidy(self.gap_mm)
        plus_minus_mm = tidy(self.plus_minus_mm)
        return msgspec.structs.replace(self, gap_mm=gap_mm, plus_minus_mm=plus_minus_mm)


class Tracks(msgspec.Struct, frozen=True, kw_only=True):
    """Two tracks with one centre: the inner one's radius (``inf`` where straight) and
    the spacing, in mm.
    """

    inner_radius_mm: float
    spacing_mm: float

    @property
    def outer_radius_mm(self) -> float:
        """The outer track's radius."""
        return self.inner_radius_mm + self.spacing_mm


class _Reaching(NamedTuple):
    """How far a body reaches to the other track, and with its doubt counted."""

    doubted_mm: float
    far_mm: float
    body: Passer


def nearest_pairs(
    passers: Sequence[Passer],
    tracks: Tracks,
    *,
    doubt: Literal[-1, 0, 1] = 0,
    most: int = 1,
) -> tuple[Pair, ...]:
    """Return the ``most`` pairs of vehicles that come nearest, the nearest first; a
    vehicle meets its like as well.

    ``doubt`` says by what the pairs are put in order: 0 the gap itself, 1 the gap less
    its ±, -1 the gap and its ±. A body that cannot stand on one of the tracks is left
    out there. Gaps in mm, less than 0 where bodies overlap. **Source** derived: every
    body of one against every body of the other.
    """
    outer = _farthest(
        passers, Passer.stands_in_mm, radius_mm=tracks.outer_radius_mm, doubt=doubt
    )
    inner = _farthest(
        passers, Passer.stands_out_mm, radius_mm=tracks.inner_radius_mm, doubt=doubt
    )
    # what is not among the farthest of its side is in none of the nearest pairs
    meeting = list(product(outer[:most], inner[:most]))
    meeting.sort(key=lambda two: two[0].doubted_mm + two[1].doubted_mm, reverse=True)
    return tuple(_pair(one, other, tracks) for one, other in meeting[:most])


def _pair(on_outer: _Reaching, on_inner: _Reaching, tracks: Tracks) -> Pair:
    one, other = on_outer.body, on_inner.body
    plus_minus_mm = (one.width_plus_minus_mm + other.width_plus_minus_mm) / 2
    return Pair(
        on_outer=one.vehicle,
        on_inner=other.vehicle,
        gap_mm=tracks.spacing_mm - on_outer.far_mm - on_inner.far_mm,
        plus_minus_mm=plus_minus_mm,
    )


def _farthest(
    passers: Sequence[Passer],
    stands: Callable[[Passer, float], float],
    *,
    radius_mm: float,
    doubt: int,
) -> list[_Reaching]:
    """Return how far each vehicle's worst body reaches, the farthest first."""
    worst: dict[str, _Reaching] = {}
    for body in passers:
        if not body.stands_on(radius_mm):
            continue
        far_mm = stands(body, radius_mm)
        doubted_mm = far_mm + doubt * body.width_plus_minus_mm / 2
        so_far = worst.get(body.vehicle)
        if so_far is None or doubted_mm > so_far.doubted_mm:
            worst[body.vehicle] = _Reaching(doubted_mm, far_mm, body)
    # stable: of those that reach as far the first given comes first
    return sorted(worst.values(), key=lambda each: each.doubted_mm, reverse=True)


def verdict_of(
    passers: Sequence[Passer], tracks: Tracks, *, margin_mm: float
) -> tuple[PassingVerdict, Pair | None]:
    """Return whether all pairs are clear, and the pair that decides it; cannot_tell
    without any pair.

    ``fouls`` where some pair overlaps beyond its ±, ``clear`` where every gap less its
    ± keeps the margin. Gaps and margin in mm. **Source** derived.
    """
    for pair in nearest_pairs(passers, tracks, doubt=-1):
        if pair.overlaps():
            return "fouls", pair
    for pair in nearest_pairs(passers, tracks, doubt=1):
        if pair.keeps(margin_mm):
            return "clear", pair
        return "marginal", pair
    return "cannot_tell", None


def spacing_needed_mm(
    passers: Iterable[Passer], *, inner_radius_mm: float, margin_mm: float
) -> float:
    """Return the least spacing at which every pair keeps the margin beyond its ±,
    rounded up to a millionth.

    The outer track's radius grows with the spacing, so the outer body's throw shrinks:
    solved exactly. Raises ValueError for a body that cannot stand on the inner track.
    **Source** derived.
    """
    bodies = tuple(passers)
    reach_out_mm = [
        body.stands_out_mm(inner_radius_mm) + body.width_plus_minus_mm / 2
        for body in bodies
    ]
    beyond_mm = max(reach_out_mm) + margin_mm
    needed_mm = [
        _spacing_for(body, inner_radius_mm=inner_radius_mm, beyond_mm=beyond_mm)
        for body in bodies
    ]
    return _rounded_up(max(needed_mm))


def _rounded_up(mm: float) -> float:
    """Return the next whole millionth of a millimetre."""
    return ceil(mm * _MICRO) / _MICRO


def _spacing_for(body: Passer, *, inner_radius_mm: float, beyond_mm: float) -> float:
    """Return the spacing that puts the inner edge of ``body`` just ``beyond_mm``
    outside the inner centre line.
    """
    half_span_mm = body.half_span_mm
    middle_mm = beyond_mm + body.half_width_mm
    from_centre_mm = inner_radius_mm + middle_mm
    # sagitta of the pivots about the inner centre, without the difference of roots
    to_pivots_mm = hypot(from_centre_mm, half_span_mm)
    throw_mm = half_span_mm**2 / (to_pivots_mm + from_centre_mm)
    return middle_mm + throw_mm


def inner_radius_needed_mm(
    passers: Iterable[Passer], *, outer_radius_mm: float, margin_mm: float
) -> float | None:
    """Return the largest inner radius at which every pair keeps the margin beyond its
    ± beside an outer track that stays where it is, rounded down to a millionth.

    Every smaller one that the wheels can stand on keeps it as well: a body's outer
    corner comes nearer to the centre with its track. None where a body stands on
    neither track, or where no radius that all can stand on is far enough inside.
    **Source** derived: the corner's distance from the centre is solved for the radius.
    """
    bodies = tuple(passers)
    if not all(body.stands_on(outer_radius_mm) for body in bodies):
        return None
    reach_in_mm = [
        body.stands_in_mm(outer_radius_mm) + body.width_plus_minus_mm / 2
        for body in bodies
    ]
    within_mm = outer_radius_mm - max(reach_in_mm) - margin_mm
    radii_mm = [_radius_within(body, within_mm) for body in bodies]
    known_mm = [radius_mm for radius_mm in radii_mm if radius_mm is not None]
    if len(known_mm) < len(radii_mm):
        return None
    needed_mm = floor(min(known_mm) * _MICRO) / _MICRO
    return needed_mm if all(body.stands_on(needed_mm) for body in bodies) else None


def _radius_within(body: Passer, within_mm: float) -> float | None:
    """Return the radius on which the outer corner of ``body`` just stays within a
    distance of the centre; None where no radius is small enough.
    """
    corner_mm = within_mm - body.width_plus_minus_mm / 2
    half_mm = body.half_length_mm
    if corner_mm <= half_mm:
        return None
    # to the middle of the body's outer edge, and of the body
    edge_mm = sqrt(corner_mm - half_mm) * sqrt(corner_mm + half_mm)
    middle_mm = edge_mm - body.width_mm / 2
    return hypot(middle_mm, body.half_span_mm) if middle_mm > 0 else None


def least_inner_radius_mm(
    passers: Iterable[Passer], *, spacing_mm: float, margin_mm: float
) -> float | None:
    """Return the least inner radius from which on every larger one keeps the margin
    beyond each pair's ±.

    Where any radius that the wheels can stand on will do, that least one. None where
    not even a radius of a kilometre does. Found to 0.001 mm, on the safe side, by
    cutting the radii into stretches that are proved clear from the large end down: over
    a stretch both throws' growing parts are taken at its sharp end and their shrinking
    part at its easy end, so a gap that does not shrink steadily cannot hide a bad
    radius. **Source** derived.
    """
    bodies = tuple(passers)
    floor_mm = max(body.half_span_mm for body in bodies)
    room_mm = spacing_mm - margin_mm

    def clear(low_mm: float, high_mm: float) -> bool:
        return _clear_between(
            bodies, low_mm, high_mm, spacing_mm=spacing_mm, room_mm=room_mm
        )

    if not clear(LONGEST_MM, inf):
        return None
    clear_from_mm = LONGEST_MM
    stretches = [(floor_mm, LONGEST_MM)]
    for _ in range(_MOST_STEPS):
        if not stretches:
            break
        low_mm, high_mm = stretches.pop()
        if clear(low_mm, high_mm):
            clear_from_mm = low_mm
            continue
        if high_mm - low_mm < _FINEST_MM:
            break
        middle_mm = _between(low_mm, high_mm)
        stretches += [(low_mm, middle_mm), (middle_mm, high_mm)]
    # where the wheels just span the radius the throws have no value
    at_least_mm = max(clear_from_mm, floor_mm + 1 / _MICRO)
    return _rounded_up(at_least_mm)


def _between(low_mm: float, high_mm: float) -> float:
    # far apart by ratio, lest the small radii be reached only after many halvings
    if high_mm > 2 * low_mm > 0:
        return sqrt(low_mm * high_mm)
    return (low_mm + high_mm) / 2


def _clear_between(
    bodies: Sequence[Passer],
    low_mm: float,
    high_mm: float,
    *,
    spacing_mm: float,
    room_mm: float,
) -> bool:
    """Tell whether every inner radius from ``low_mm`` to ``high_mm`` is proved to keep
    the margin.
    """
    outer_mm = inner_mm = -inf
    for body in bodies:
        sharpest_mm = _drawn_in_mm(body, low_mm + spacing_mm)
        easiest_mm = _drawn_in_mm(body, high_mm)
        corner_mm = body.half_width_mm + _corner_mm(body, low_mm)
        outer_mm = max(outer_mm, body.half_width_mm + sharpest_mm)
        inner_mm = max(inner_mm, corner_mm - easiest_mm)
    return outer_mm + inner_mm <= room_mm


def _drawn_in_mm(body: Passer, radius_mm: float) -> float:
    """Return the centre throw, and at the radius that the wheels just span the limit it
    tends to.
    """
    span_mm2 = body.half_span_mm**2
    # less than 0 only by dust, at the radius that the wheels just span
    middle_mm2 = max(radius_mm**2 - span_mm2, 0.0)
    return span_mm2 / (radius_mm + sqrt(middle_mm2))


def _corner_mm(body: Passer, radius_mm: float) -> float:
    """Return how much farther from the curve's centre the corner lies than the middle
    of the body's outer edge.
    """
    half_mm = body.half_length_mm
    edge_mm = radius_mm - _drawn_in_mm(body, radius_mm) + body.width_mm / 2
    corner_mm = hypot(edge_mm, half_mm)
    return half_mm**2 / (corner_mm + edge_mm)
