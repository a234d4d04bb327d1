"""Fouling points: where a train on one way out of points stands clear of the other.

By spacing: going away from the blades along a leg, the first place whose nearest
distance to the other way, taken no farther from the blades than this place plus the
spacing, is the spacing. A measured figure overrules it.
"""

from collections.abc import Iterator, Sequence
from math import inf, radians, sin, tan
from typing import Literal

import msgspec

from standage.railway.track.fouling.beside import arc_at, side_of, straight_again
from standage.railway.track.fouling.noses import Rails, nose_mm
from standage.railway.track.fouling.parting import Arc, Search, up_to
from standage.railway.track.fouling.spacings import Spacing, Throw
from standage.railway.track.fouling.ways_apart import Budget, Pair, Wanted, limits
from standage.railway.track.fouling.ways_on import (
    WayOn,
    begun,
    taped,
)
from standage.railway.track.network.network import Course, Network
from standage.railway.track.pieces.shapes import Rivals, Shape, Strand

By = Literal["spacing", "stock", "measured", "nose"]
_STRAIGHT = 1e-9
MOST_STEPS = 80_000
"""So much is looked at for one plan: some six seconds, for plans made to take long."""


class Reach(msgspec.Struct, frozen=True, kw_only=True):
    """A limit on one way on from a leg: ``along_mm`` from the first course's start.

    It is ``from_blades_mm`` from the blades; inf where the ways never part so far, and
    None where nobody can tell, for want of the shape of ``unknown``.
    """

    points: str
    leg: str
    courses: tuple[Course, ...]
    along_mm: float | None
    from_blades_mm: float | None
    by: By
    other: str
    from_nose_mm: float | None = None
    place: complex | None = None
    unknown: str | None = None
    gave_up: bool = False
    where_straight: bool = False
    only_nearly: bool = False
    runs_off_the_end: bool = False


class LegFouling(msgspec.Struct, frozen=True, kw_only=True):
    """A leg's fouling point: the farthest over all ways on from it and from its
    rivals."""

    leg: str
    farthest: Reach


class FoulingPoint(msgspec.Struct, frozen=True, kw_only=True):
    """The fouling points of one piece's legs; the mark joins those of its first
    pair."""

    points: str
    legs: tuple[LegFouling, ...]
    reaches: tuple[Reach, ...]
    mark_length_mm: float | None
    spacing_mm: float | None


class Rules(msgspec.Struct, frozen=True, kw_only=True):
    """By what fouling points are found; without a spacing, only by what was
    measured."""

    spacing: Spacing | None
    gauge_mm: float | None


def fouling_points(network: Network, rules: Rules) -> tuple[FoulingPoint, ...]:
    """Return the fouling points of all points, crossings and slips of a plan.

    Each leg's point by every way on; what lies beyond points that are far away, or
    beyond ``MOST_WAYS`` ways, is not looked at. All of it takes ``MOST_STEPS`` steps at
    most; where they do not do, the last points are unknown. **Source** the definition
    above.
    """
    budget = Budget(MOST_STEPS)
    return tuple(
        _fouling_point(
            network,
            piece,
            rules,
            budget,
        )
        for piece, shape in network.shapes.items()
        if shape.pairs
    )


def fouling_point(network: Network, piece: str, rules: Rules) -> FoulingPoint:
    """Return the fouling points of one piece's legs.

    Raises ValueError for a piece that has no legs that part.
    **Source** the definition above.
    """
    shape = network.shapes[piece]
    if not shape.pairs:
        raise ValueError(f"piece {piece} has no two ways that part from each other")
    return _fouling_point(
        network,
        piece,
        rules,
        Budget(MOST_STEPS),
    )


def _fouling_point(
    network: Network, piece: str, rules: Rules, budget: Budget
) -> FoulingPoint:
    shape = network.shapes[piece]
    reaches = list(_measured(network, piece, rules))
    given = {reach.leg for reach in reaches}
    spacing_mm = None
    for rivals in shape.rivals:
        if rules.spacing is None or {rivals.leg, rivals.other} <= given:
            continue
        found, spacing_mm = _by_spacing(
            network,
            rivals,
            piece,
            rules,
            budget,
        )
        reaches += [reach for reach in found if reach.leg not in given]
    legs = tuple(_farthest(network, piece, reaches))
    return FoulingPoint(
        points=piece,
        legs=legs,
        reaches=tuple(reaches),
        mark_length_mm=_mark_mm(shape, legs, reaches),
        spacing_mm=spacing_mm,
    )


def _farthest(
    network: Network, piece: str, reaches: Sequence[Reach]
) -> Iterator[LegFouling]:
    shape = network.shapes[piece]
    legs = dict.fromkeys(leg for pair in shape.pairs for leg in pair)
    for leg in legs:
        own = [reach for reach in reaches if reach.leg == leg]
        if not own:
            own = [_cannot_tell(network, piece, leg)]
        unknown = [reach for reach in own if reach.from_blades_mm is None]
        if unknown:
            yield LegFouling(
                leg=leg,
                farthest=unknown[0],
            )
        else:
            yield LegFouling(
                leg=leg,
                farthest=max(own, key=_how_far),
            )


def _how_far(reach: Reach) -> float:
    return reach.from_blades_mm or 0.0


def _cannot_tell(network: Network, piece: str, leg: str) -> Reach:
    return Reach(
        points=piece,
        leg=leg,
        courses=(_leg_course(network, piece, leg),),
        along_mm=None,
        from_blades_mm=None,
        by="measured",
        other="",
        unknown=piece,
    )


def _leg_course(network: Network, piece: str, leg: str) -> Course:
    """Return the course out along a leg; legs bear the name of the end they lead to."""
    end = network.at_end[piece, leg]
    return end ^ 1


def _measured(network: Network, piece: str, rules: Rules) -> Iterator[Reach]:
    """Yield the limits that were measured, or follow from where the nose was
    measured."""
    shape = network.shapes[piece]
    by_nose_mm = None if shape.rivals else _by_nose_mm(shape, rules)
    legs = dict.fromkeys(leg for pair in shape.pairs for leg in pair)
    for leg in legs:
        given_mm = shape.fouling_mm.get(leg)
        by: By = "measured" if given_mm is not None else "nose"
        from_blades_mm = by_nose_mm if given_mm is None else given_mm
        if from_blades_mm is None:
            continue
        course = _leg_course(network, piece, leg)
        along_mm = from_blades_mm - _before_mm(network.strand(course), leg)
        for courses in taped(network, course, along_mm):
            yield Reach(
                points=piece,
                leg=leg,
                courses=courses,
                along_mm=along_mm,
                from_blades_mm=from_blades_mm,
                by=by,
                other=_other_leg(shape, leg),
            )


def _before_mm(strand: Strand, leg: str) -> float:
    """Return how far from the blades a strand begins; three-way points' second legs
    do."""
    if strand.leg == leg:
        return strand.at_mm
    return 0.0


def _other_leg(shape: Shape, leg: str) -> str:
    pair = next(pair for pair in shape.pairs if leg in pair)
    if pair[0] == leg:
        return pair[1]
    return pair[0]


def _by_nose_mm(shape: Shape, rules: Rules) -> float | None:
    """Return the blades to the fouling point of straight legs beyond a measured nose.

    **Source** derived; check-values: 00, 45 mm, No. 6: 172.875 from the nose.
    """
    nose = shape.nose
    spacing = rules.spacing
    gauge_mm = rules.gauge_mm
    if nose is None or spacing is None or gauge_mm is None:
        return None
    angle = radians(nose.angle_deg)
    half_mm = gauge_mm / 2
    to_crossing_mm = half_mm / tan(angle / 2)
    apart_mm = spacing.mm / sin(angle)
    from_nose_mm = max(0.0, apart_mm - to_crossing_mm)
    return nose.from_blades_mm + from_nose_mm


def _by_spacing(
    network: Network, rivals: Rivals, piece: str, rules: Rules, budget: Budget
) -> tuple[list[Reach], float]:
    """Return both legs' limits for every way on, and the spacing that they were found
    by."""
    spacing = rules.spacing or Spacing(mm=0.0)
    leg, other = _begun(network, piece, rivals)
    if any(one.courses[0] in network.trapped for one in (leg, other)):
        return [], spacing.mm
    wanted = Wanted(spacing.mm, budget)
    bare = (
        list(
            limits(
                network,
                leg,
                other,
                wanted,
            )
        ),
        list(
            limits(
                network,
                other,
                leg,
                wanted,
            )
        ),
    )
    found = bare
    throws = [throw for pairs in bare for throw in _throws(pairs)]
    raised = spacing.raised(iter(throws))
    if raised.mm > spacing.mm:
        near, far = (
            Wanted(
                raised.mm,
                budget,
                beyond_mm=_least_mm(side),
            )
            for side in bare
        )
        found = (
            list(
                limits(
                    network,
                    leg,
                    other,
                    near,
                )
            ),
            list(
                limits(
                    network,
                    other,
                    leg,
                    far,
                )
            ),
        )
    own, others = ([_straight_again(one, spacing.mm) for one in side] for side in found)
    reaches = [
        _reach(
            piece,
            rivals,
            pair,
            rules,
            is_first=True,
        )
        for pair in own
    ]
    reaches += [
        _reach(
            piece,
            rivals,
            pair,
            rules,
            is_first=False,
        )
        for pair in others
    ]
    return reaches, raised.mm


def _least_mm(pairs: Sequence[Pair]) -> float:
    """Return up to where no way is so far apart, nor farther: the least limit of
    all."""
    least_mm = min((pair.at_mm or 0.0 for pair in pairs), default=0.0)
    if least_mm < inf:
        return least_mm
    return 0.0


def _straight_again(pair: Pair, bare_mm: float) -> Pair:
    """Return the limit of ways that run on side by side, too near for curves."""
    if pair.at_mm != inf:
        return pair
    search = Search(
        pair.own.way.arcs,
        pair.other.way.arcs,
        bare_mm,
    )
    at_mm = straight_again(search)
    if at_mm is None:
        return pair
    return msgspec.structs.replace(
        pair,
        at_mm=at_mm,
        where_straight=True,
    )


def _begun(network: Network, piece: str, rivals: Rivals) -> tuple[WayOn, WayOn]:
    first = network.first_of[piece]
    leg = begun(
        network,
        rivals.spot,
        rivals.lead,
        2 * (first + rivals.strand),
    )
    other_course = 2 * (first + rivals.other_strand)
    other = begun(
        network,
        rivals.other_spot,
        rivals.other_lead,
        other_course,
    )
    return leg, other


def _throws(pairs: Sequence[Pair]) -> Iterator[tuple[Throw, float]]:
    """Yield the throw, with its radius, of a leg that curves at its farthest limit."""
    told = [pair for pair in pairs if pair.at_mm is not None]
    known = [pair for pair in told if pair.at_mm != inf]
    if not known:
        return
    farthest = max(known, key=_at_mm)
    at_mm = _at_mm(farthest)
    arc = arc_at(farthest.own.way.arcs, at_mm)
    if abs(arc.curvature) < _STRAIGHT:
        return
    own, other = _both_up_to(farthest, at_mm)
    curves_round = side_of(own, other, at_mm) * arc.curvature > 0
    yield "centre" if curves_round else "end", 1 / abs(arc.curvature)


def _at_mm(pair: Pair) -> float:
    return pair.at_mm or 0.0


def _reach(
    piece: str, rivals: Rivals, pair: Pair, rules: Rules, *, is_first: bool
) -> Reach:
    leg, other = rivals.leg, rivals.other
    shift_mm = rivals.shift_mm if is_first else rivals.other_shift_mm
    if not is_first:
        leg, other = other, leg
    at_mm = pair.at_mm
    is_found = at_mm is not None and at_mm < inf
    nose = _nose(pair, at_mm, rules) if at_mm is not None and is_found else None
    from_nose_mm = None if nose is None or at_mm is None else at_mm - nose
    place = None
    if at_mm is not None and is_found:
        place = arc_at(pair.own.way.arcs, at_mm).at(at_mm).point
    return Reach(
        points=piece,
        leg=leg,
        courses=pair.own.courses,
        along_mm=None if at_mm is None else at_mm - pair.own.lead_mm,
        from_blades_mm=None if at_mm is None else max(0.0, at_mm + shift_mm),
        by="spacing",
        other=other,
        from_nose_mm=from_nose_mm,
        place=place,
        unknown=pair.unknown,
        gave_up=pair.gave_up,
        where_straight=pair.where_straight,
        only_nearly=pair.only_nearly,
        runs_off_the_end=pair.own.ended or pair.other.ended,
    )


def _nose(pair: Pair, at_mm: float, rules: Rules) -> float | None:
    if rules.gauge_mm is None:
        return None
    own, other = _both_up_to(pair, at_mm)
    rails = Rails(
        way=own,
        other=other,
        gauge_mm=rules.gauge_mm,
        side=side_of(own, other, at_mm),
        from_mm=at_mm,
    )
    return nose_mm(rails)


def _both_up_to(pair: Pair, at_mm: float) -> tuple[tuple[Arc, ...], tuple[Arc, ...]]:
    """Return both ways as far as they matter to a place on the first."""
    return up_to(pair.own.way.arcs, at_mm), up_to(pair.other.way.arcs, 2 * at_mm)


def _mark_mm(
    shape: Shape, legs: Sequence[LegFouling], reaches: Sequence[Reach]
) -> float | None:
    """Return the length of the mark that joins the fouling points of the first pair."""
    if not shape.rivals:
        return None
    rivals = shape.rivals[0]
    pair = {rivals.leg, rivals.other}
    places: list[complex | None] = []
    for leg in legs:
        mine = [
            reach
            for reach in reaches
            if reach.leg == leg.leg and {reach.leg, reach.other} == pair
        ]
        if mine:
            farthest = max(mine, key=_how_far)
            places.append(farthest.place)
    known = [place for place in places if place is not None]
    if len(known) < len(pair) or None in places:
        return None
    one, other = known
    return abs(one - other)
