"""Two coupled vehicles standing on a path: how far their ends stand aside, and how
their couplings swing.

Every axle stands on the path; a bogie's pivot is midway between its axles; a body's
axis is the chord between its pivots, and a rigid wheelbase is a body whose pivots are
its end axles. A coupling that is pulled, and whose two pivots are known, is a link of
fixed length: the follower stands where the pivots are that far apart. Otherwise it
stands where the gap between the middles of the two ends, measured along the mean
direction of the two bodies, is the coupled gap.

Points of the plane are complex numbers, as in ``endless``. All lengths in mm of the
model, all angles in radians. **Source** derived.
"""

from math import atan2, sqrt

import msgspec

from standage.railway.track.paths.endless import EndlessPath

_NEAR = 1e-10
"""How near a body is put to its place, as a part of the length of all the wheels."""
_MOST_TRIES = 40
_LEAST_SLOPE = 0.1
"""Of a distance with the place along the path; less of it would throw the search too
far.
"""


class PairBody(msgspec.Struct, frozen=True, kw_only=True):
    """The body at one end of a vehicle, as the joint at that end sees it.

    ``half_length_mm`` runs from the middle of the pivots to the end in question: its
    buffer face, or the pulling face where it was measured to that. ``pivot_behind_mm``
    runs from there back to the coupling's own pivot, which the body carries, or its
    bogie.
    """

    pivots_mm: float
    bogie_wheelbase_mm: float = 0.0
    half_length_mm: float
    pivot_behind_mm: float | None = None
    on_bogie: bool = False

    @property
    def to_last_axle_mm(self) -> float:
        """From the end in question to the axle at the other end, on straight track."""
        return self.half_length_mm + (self.pivots_mm + self.bogie_wheelbase_mm) / 2


class CoupledPair(msgspec.Struct, frozen=True, kw_only=True):
    """The body at the rear of a vehicle, the one at the front of its follower, and the
    gap between their ends.

    ``gap_mm`` is that on straight track. ``linked`` tells whether the coupling holds
    the two pivots as far apart on every curve as there; otherwise it is the gap that is
    held.
    """

    leading: PairBody
    following: PairBody
    gap_mm: float
    linked: bool = False

    @property
    def wheels_mm(self) -> float:
        """From the first axle of the leading body to the last axle of the following
        one, on straight track.
        """
        return (
            self.leading.to_last_axle_mm + self.gap_mm + self.following.to_last_axle_mm
        )

    @property
    def link_mm(self) -> float | None:
        """Between the two couplings' pivots, where the coupling is a link; None where
        it is not taken for one.
        """
        leading_mm = self.leading.pivot_behind_mm
        following_mm = self.following.pivot_behind_mm
        if not self.linked:
            return None
        if leading_mm is None or following_mm is None:
            return None
        return self.gap_mm + leading_mm + following_mm


class PairStanding(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """A pair as it stands on the path.

    ``offset_mm`` is how far the leading end stands to the left of the following one,
    square to the mean of the two axes; ``bend`` the angle through which the leading
    body is turned to the left against the following one; the swings are those of the
    two couplings from the axis of what carries them, None where a coupling's pivot is
    not known.
    """

    offset_mm: float
    bend: float
    leading_swing: float | None
    following_swing: float | None
    follows_by_mm: float
    last_axle_mm: float


class _Placed(msgspec.Struct, frozen=True, gc=False):
    """A body on the path: its middle and axis, its two bogies, and where its last axle
    stands.
    """

    middle: complex
    axis: complex
    front_pivot: complex
    front_axis: complex
    rear_pivot: complex
    rear_axis: complex
    last_axle_mm: float


def stand(
    path: EndlessPath,
    pair: CoupledPair,
    *,
    first_axle_mm: float,
    follows_by_mm: float | None = None,
) -> PairStanding | None:
    """Return how a pair stands with the first axle of the leading body at
    ``first_axle_mm`` along the path.

    ``follows_by_mm``, how far the follower's first axle stands behind that, is only
    where the search begins. None where the path bends too sharply for these wheels to
    stand on it so, or for the link to reach from pivot to pivot. **Source** derived.
    """
    near_mm = _NEAR * pair.wheels_mm
    leading = _placed(path, pair.leading, first_axle_mm, near_mm=near_mm)
    if leading is None:
        return None
    behind_mm = _follows_on_straight(pair) if follows_by_mm is None else follows_by_mm
    before_mm, before_miss_mm = behind_mm, 0.0
    link_mm = pair.link_mm
    for tried in range(_MOST_TRIES):
        following = _placed(
            path, pair.following, first_axle_mm - behind_mm, near_mm=near_mm
        )
        if following is None:
            return None
        held = _held(pair, leading, following, link_mm)
        if abs(held.miss_mm) <= near_mm:
            return (
                _standing(pair, leading, following, follows_by_mm=behind_mm)
                if held.reaches
                else None
            )
        slope = (
            (held.miss_mm - before_miss_mm) / (behind_mm - before_mm) if tried else 1.0
        )
        before_mm, before_miss_mm = behind_mm, held.miss_mm
        behind_mm -= held.miss_mm / max(slope, _LEAST_SLOPE)
    return None


class _Held(msgspec.Struct, frozen=True, gc=False):
    """How much too far behind the follower stands, and whether a link is long enough to
    reach it sideways.
    """

    miss_mm: float
    reaches: bool


def _held(
    pair: CoupledPair, leading: _Placed, following: _Placed, link_mm: float | None
) -> _Held:
    """Measure the joint along the mean of the two bodies' axes: between the ends, or
    between the link's pivots.

    Of a link what it has to reach sideways is taken off first, so that one place behind
    the leading body is found and not the other place, beyond its pivot, that is as far
    away.
    """
    square_on = _mean(leading.axis, following.axis).conjugate()
    if link_mm is None:
        between = _between_ends(pair, leading, following) * square_on
        return _Held(between.real - pair.gap_mm, reaches=True)
    one, other = _pivots(pair, leading, following)
    between = (one.point - other.point) * square_on
    square = link_mm**2 - between.imag**2
    along_mm = sqrt(max(square, 0.0))
    return _Held(between.real - along_mm, reaches=square > 0)


def _between_ends(pair: CoupledPair, leading: _Placed, following: _Placed) -> complex:
    behind = leading.axis * pair.leading.half_length_mm
    ahead = following.axis * pair.following.half_length_mm
    rear_end = leading.middle - behind
    return rear_end - following.middle - ahead


def _follows_on_straight(pair: CoupledPair) -> float:
    following = pair.following
    axles_mm = following.pivots_mm + following.bogie_wheelbase_mm
    overhang_mm = following.half_length_mm - axles_mm / 2
    return pair.leading.to_last_axle_mm + pair.gap_mm + overhang_mm


def _mean(one: complex, other: complex) -> complex:
    both = one + other
    size = abs(both)
    return both / size if size > 0 else one


def _placed(
    path: EndlessPath, body: PairBody, first_axle_mm: float, *, near_mm: float
) -> _Placed | None:
    """Return a body with the first axle of its front bogie at a place on the path."""
    front = _bogie(path, body, first_axle_mm)
    found_mm = path.behind(first_axle_mm, chord_mm=body.pivots_mm)
    if front is None or found_mm is None:
        return None
    before_mm, before_short_mm = found_mm, 0.0
    for tried in range(_MOST_TRIES):
        rear = _bogie(path, body, found_mm)
        if rear is None:
            return None
        chord = front[0] - rear[0]
        length_mm = abs(chord)
        short_mm = body.pivots_mm - length_mm
        if abs(short_mm) <= near_mm:
            return _Placed(
                (front[0] + rear[0]) / 2,
                chord / length_mm,
                front[0],
                front[1],
                rear[0],
                rear[1],
                rear[2],
            )
        slope = (short_mm - before_short_mm) / (found_mm - before_mm) if tried else 1.0
        before_mm, before_short_mm = found_mm, short_mm
        found_mm -= short_mm / max(slope, _LEAST_SLOPE)
    return None


def _bogie(
    path: EndlessPath, body: PairBody, first_axle_mm: float
) -> tuple[complex, complex, float] | None:
    """Return a bogie's pivot, its axis and where its last axle stands; an axle by
    itself is a bogie of length 0.
    """
    point, direction = path.at(first_axle_mm)
    if body.bogie_wheelbase_mm == 0:
        return point, direction, first_axle_mm
    last_mm = path.behind(first_axle_mm, chord_mm=body.bogie_wheelbase_mm)
    if last_mm is None:
        return None
    last = path.at(last_mm)[0]
    return (point + last) / 2, (point - last) / body.bogie_wheelbase_mm, last_mm


def _standing(
    pair: CoupledPair, leading: _Placed, following: _Placed, *, follows_by_mm: float
) -> PairStanding:
    mean = _mean(leading.axis, following.axis)
    aside = _between_ends(pair, leading, following) * mean.conjugate()
    swings = _swings(pair, leading, following)
    return PairStanding(
        offset_mm=aside.imag,
        bend=_angle(following.axis, leading.axis),
        leading_swing=swings[0],
        following_swing=swings[1],
        follows_by_mm=follows_by_mm,
        last_axle_mm=following.last_axle_mm,
    )


def _swings(
    pair: CoupledPair, leading: _Placed, following: _Placed
) -> tuple[float | None, float | None]:
    if pair.leading.pivot_behind_mm is None:
        return None, None
    if pair.following.pivot_behind_mm is None:
        return None, None
    one, other = _pivots(pair, leading, following)
    back = other.point - one.point
    return (
        _angle(one.outwards, back),
        _angle(other.outwards, -back),
    )


class _Pivot(msgspec.Struct, frozen=True, gc=False):
    """Where the pivot of a coupling stands, and the axis outwards of what carries
    it.
    """

    point: complex
    outwards: complex


def _pivots(
    pair: CoupledPair, leading: _Placed, following: _Placed
) -> tuple[_Pivot, _Pivot]:
    """Return the two couplings' pivots; one that is not known counts as standing at the
    end of its body.
    """
    if pair.leading.on_bogie:
        carrier = _Pivot(leading.rear_pivot, -leading.rear_axis)
    else:
        carrier = _Pivot(leading.middle, -leading.axis)
    one = _carried(pair.leading, carrier)
    if pair.following.on_bogie:
        carrier = _Pivot(following.front_pivot, following.front_axis)
    else:
        carrier = _Pivot(following.middle, following.axis)
    return one, _carried(pair.following, carrier)


def _carried(body: PairBody, carrier: _Pivot) -> _Pivot:
    """Return a coupling's pivot from the middle and the axis of what carries it."""
    out_mm = body.half_length_mm - (body.pivot_behind_mm or 0.0)
    if body.on_bogie:
        out_mm -= body.pivots_mm / 2
    point = carrier.point + carrier.outwards * out_mm
    return _Pivot(point, carrier.outwards)


def _angle(one: complex, other: complex) -> float:
    turned = other * one.conjugate()
    return atan2(turned.imag, turned.real)
