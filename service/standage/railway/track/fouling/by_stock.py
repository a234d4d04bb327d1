"""Fouling points by stock: where one vehicle stands clear of all that another sweeps.

The least distance from the blades, along the standing leg, such that a vehicle standing
there or anywhere beyond keeps a margin to everything that the other vehicle sweeps on
the whole of the other way. Where a vehicle stands is the foot, on its own centre line,
of the middle of the body end nearer the blades.
"""

from collections.abc import Iterator, Sequence
from functools import cached_property
from itertools import product
from math import inf
from typing import Literal, NamedTuple

import msgspec
import numpy as np

from standage.railway.track.fouling.clearing import Wanted, cleared
from standage.railway.track.fouling.stock_bodies import (
    BOTH_ENDS,
    BodyEnd,
    Clearance,
    Stock,
)
from standage.railway.track.fouling.sweeps import Swept, TooMuchError, swept
from standage.railway.track.fouling.ways_out import (
    Bounds,
    Laid,
    Passage,
    WayOut,
    laid_through,
    meeting,
    ways_out,
)
from standage.railway.track.network.network import Course, Network
from standage.railway.track.paths.outlines import Outline
from standage.railway.track.paths.spots import Spot, length_of
from standage.railway.track.pieces.shapes import Rivals, Shape, Strand

Outcome = Literal[
    "clear", "too_close", "no_shape", "too_much", "cannot_stand", "cannot_move", "trap"
]
"""What came out; all but the first two are reasons why nobody can tell."""
_WORST_FIRST: tuple[Outcome, ...] = (
    "trap",
    "no_shape",
    "cannot_stand",
    "cannot_move",
    "too_much",
    "too_close",
    "clear",
)
MOST_WIDTHS = 100
"""No place is looked at farther from the blades than so many widths."""
LEAST_REACH_MM = 1_000.0
MOST_REACH_MM = 20_000.0
"""Nor farther than so, the vehicles' lengths apart; but always as far as the least."""
MOST_PASSAGES = 400
"""So many ways are tried against each other."""
_NOT_FARTHER_MM = 10.0
"""On a curve a body's end stands no farther from its foot than that, by far."""
_FEET_TRIES = 40
_FOOT_MM = 1e-9


class StockLimit(msgspec.Struct, frozen=True, kw_only=True):
    """Where a vehicle stands clear, and by which way round the two decided that.

    ``along_mm`` is from the first of ``courses`` on; ``because`` names the piece that
    has no shape. ``taken_on`` is a piece without shape beyond which the ways are taken
    to stay apart.
    """

    outcome: Outcome
    from_blades_mm: float | None = None
    along_mm: float | None = None
    courses: tuple[Course, ...] = ()
    other: str | None = None
    standing_end: BodyEnd | None = None
    moving_end: BodyEnd | None = None
    because: str | None = None
    taken_on: str | None = None
    runs_off_the_end: bool = False


def stock_limit(network: Network, points: str, wanted: Clearance) -> StockLimit:
    """Return where a vehicle stands clear on one leg of points, a crossing or a slip.

    Lengths in mm, to 0.001 mm; the limit is 0 where it is clear at the blades, inf where
    it never is. What nobody can tell comes before what is too close. Raises ValueError
    where no way parts from the leg. **Source** the definition above.
    """
    shape = network.shapes[points]
    rivals = [one for one in shape.rivals if wanted.leg in {one.leg, one.other}]
    if not any(wanted.leg in pair for pair in shape.pairs):
        raise ValueError(f"no other way of {points} parts from its {wanted.leg}")
    if not rivals:
        return StockLimit(
            outcome="no_shape",
            because=points,
        )
    search = _Search(network, points, wanted)
    if search.strand_course(wanted.leg) in network.trapped:
        return StockLimit(
            outcome="trap",
            because=points,
        )
    try:
        found = list(search.limits(rivals))
    except TooMuchError:
        return StockLimit(
            outcome="too_much",
            because=points,
        )
    if not found:
        return StockLimit(
            outcome="clear",
            from_blades_mm=0.0,
        )
    return min(found, key=_worst_first)


def _worst_first(limit: StockLimit) -> tuple[int, float]:
    rank = _WORST_FIRST.index(limit.outcome)
    return rank, -(limit.from_blades_mm or 0.0)


class _Pairing(NamedTuple):
    """A way on which a vehicle stands, and a whole way on which the other moves."""

    own: WayOut
    passage: Passage
    standing: Laid
    moving: Laid


class _Search:
    """What is looked at for one leg; what is swept once is not swept again."""

    def __init__(self, network: Network, points: str, wanted: Clearance) -> None:
        self._network = network
        self._points = points
        self._wanted = wanted
        self._farthest_mm = 0.0

    @cached_property
    def _reach_mm(self) -> float:
        """How far from the blades a standing vehicle is looked at."""
        wanted = self._wanted
        apart_mm = wanted.margin_mm
        for one in (wanted.standing, wanted.moving):
            apart_mm += one.half_width_mm
        reach_mm = MOST_WIDTHS * apart_mm
        reach_mm = max(reach_mm, LEAST_REACH_MM)
        reach_mm = min(reach_mm, MOST_REACH_MM)
        return reach_mm + self._lengths_mm

    @cached_property
    def _lengths_mm(self) -> float:
        return self._wanted.standing.length_mm + self._wanted.moving.length_mm

    def _bounds(self, stock: Stock, *, more_mm: float = 0.0) -> Bounds:
        return Bounds(self._reach_mm + more_mm, stock.least_radius_mm)

    @property
    def _shape(self) -> Shape:
        return self._network.shapes[self._points]

    def strand_course(self, leg: str) -> Course:
        """Return the course out along a leg from its blades or crossing."""
        return self._network.at_end[self._points, leg] ^ 1

    def limits(self, rivals: Sequence[Rivals]) -> Iterator[StockLimit]:
        """Yield the limit for every way on and every way round."""
        start = self.strand_course(self._wanted.leg)
        own = ways_out(self._network, [start], self._bounds(self._wanted.standing))
        tried = 0
        are_all = own.are_all
        for rival in rivals:
            other = rival.other if rival.leg == self._wanted.leg else rival.leg
            course = self.strand_course(other)
            if course in self._network.trapped:
                continue
            passages, are_all_there = self._passages(course)
            are_all = are_all and are_all_there
            for way, passage in product(own.ways, passages):
                tried += 1
                if tried > MOST_PASSAGES:
                    raise TooMuchError
                limit = self._limit(rival, way, passage)
                yield msgspec.structs.replace(
                    limit,
                    other=other,
                )
        if not are_all:
            raise TooMuchError

    def _passages(self, course: Course) -> tuple[list[Passage], bool]:
        """Return the whole ways out over a leg, but those over the standing one."""
        network = self._network
        wanted = self._wanted
        standing = self.strand_course(wanted.leg)
        far = self._bounds(wanted.moving, more_mm=self._lengths_mm)
        ahead = ways_out(network, [course], far)
        inwards = network.onwards(course ^ 1)
        near = far._replace(to_mm=2 * self._lengths_mm)
        behind = ways_out(network, inwards, near)
        backs = [way for way in behind.ways if way.courses]
        backs = [way for way in backs if standing not in way.courses]
        if not backs:
            backs = [WayOut(ended=True)]
        passages = [Passage(*both) for both in product(backs, ahead.ways)]
        are_all = ahead.are_all and behind.are_all
        return passages, are_all

    def _limit(self, rival: Rivals, own: WayOut, passage: Passage) -> StockLimit:
        unknown = passage.ahead.unknown
        if not own.courses or not passage.ahead.courses:
            return _never(own, passage)
        pairing = self._laid(own, passage)
        tried = self._ways_round(pairing)
        worst = min(tried, key=_worst_first)
        along_mm = worst.along_mm
        if along_mm is None:
            return msgspec.structs.replace(
                worst,
                courses=own.courses,
            )
        before_mm = _before_mm(rival, self._wanted.leg)
        reaches_mm = along_mm + self._wanted.standing.length_mm
        is_off_own = own.ended and reaches_mm > own.length_mm
        is_off_other = passage.ahead.ended and along_mm > passage.ahead.length_mm
        return msgspec.structs.replace(
            worst,
            courses=own.courses,
            from_blades_mm=max(0.0, along_mm + before_mm),
            taken_on=own.unknown or unknown,
            runs_off_the_end=is_off_own or is_off_other,
        )

    def _laid(self, own: WayOut, passage: Passage) -> _Pairing:
        network = self._network
        inwards = network.onwards(own.courses[0] ^ 1)[:1]
        bounds = Bounds(self._lengths_mm, self._wanted.standing.least_radius_mm)
        back = ways_out(network, inwards, bounds).ways
        return _Pairing(
            own=own,
            passage=passage,
            standing=self._path(own, back[0] if back else WayOut(ended=True)),
            moving=self._path(passage.ahead, passage.behind),
        )

    def _path(self, ahead: WayOut, behind: WayOut) -> Laid:
        strand = self._network.strand(ahead.courses[0])
        return laid_through(
            self._network,
            _spot(strand),
            behind,
            ahead,
        )

    def _ways_round(self, pairing: _Pairing) -> Iterator[StockLimit]:
        """Yield the limits of each body against each, for each way round they may be."""
        wanted = self._wanted
        meets = meeting(self._network, pairing.own, pairing.passage)
        standing_bodies = product(wanted.standing.ends, wanted.standing.bodies)
        moving = list(product(self._moving_ends, wanted.moving.bodies))
        sweeps = [
            self._moving(pairing, body.towards(end), meets.other_mm)
            for end, body in moving
        ]
        for end, body in standing_bodies:
            stands = self._standing(pairing, body.towards(end), meets.own_mm)
            for (other_end, _), sweep in zip(moving, sweeps, strict=True):
                limit = self._one_way_round(
                    stands,
                    sweep,
                    pairing,
                    meets.own_mm,
                )
                limit = _moved(limit, body.from_end_mm(end))
                yield msgspec.structs.replace(
                    limit, standing_end=end, moving_end=other_end
                )

    @property
    def _moving_ends(self) -> tuple[BodyEnd, ...]:
        """Return which ends of the moving vehicle may be towards the blades.

        Over a crossing, whichever is towards it before is away from it after.
        """
        moving = self._wanted.moving
        if "toe" in self._shape.ends or moving.is_alike_both_ways:
            return moving.ends
        return BOTH_ENDS

    def _standing(
        self, pairing: _Pairing, outline: Outline, to_mm: float
    ) -> Swept | None:
        """Return a body at all places where it may stand; None for none."""
        laid = pairing.standing
        known_mm = self._reach_mm
        if not pairing.own.ended:
            known_mm = min(known_mm, pairing.own.length_mm)
        if pairing.passage.ahead.is_cut:
            known_mm = min(known_mm, pairing.passage.ahead.length_mm)
        last_mm = laid.ahead_from_mm + min(to_mm, known_mm) - _head_mm(outline)
        first_mm = laid.ahead_from_mm + outline.behind_mm + outline.half_wheelbase_mm
        if last_mm < first_mm:
            return None
        return swept(
            laid.path,
            outline,
            first_mm,
            last_mm,
        )

    def _moving(self, pairing: _Pairing, outline: Outline, to_mm: float) -> Swept:
        """Return a body all the way from before the blades."""
        laid = pairing.moving
        ahead = pairing.passage.ahead
        end_mm = self._reach_mm + self._lengths_mm
        if not ahead.ended:
            end_mm = min(end_mm, ahead.length_mm)
        last_mm = laid.ahead_from_mm + min(to_mm, end_mm) - _head_mm(outline)
        first_mm = laid.ahead_from_mm - _head_mm(outline)
        return swept(
            laid.path,
            outline,
            first_mm,
            last_mm,
        )

    def _one_way_round(
        self, stands: Swept | None, sweep: Swept, pairing: _Pairing, own_mm: float
    ) -> StockLimit:
        if np.isnan(sweep.bodies.middle).any():
            return StockLimit(outcome="cannot_move")
        if stands is None:
            return _never(pairing.own, pairing.passage)
        if np.isnan(stands.bodies.middle).any():
            return StockLimit(outcome="cannot_stand")
        found = cleared(
            stands,
            sweep,
            Wanted(
                margin_mm=self._wanted.margin_mm,
                ends_together=own_mm < inf,
                beyond_mm=self._beyond_mm(stands, pairing),
            ),
        )
        if found.first_axle_mm is None:
            return _never(pairing.own, pairing.passage)
        foot_mm = _foot_mm(stands, found.first_axle_mm)
        along_mm = max(0.0, foot_mm - pairing.standing.ahead_from_mm)
        self._farthest_mm = max(self._farthest_mm, along_mm)
        return StockLimit(
            outcome="clear",
            along_mm=along_mm,
        )

    def _beyond_mm(self, stands: Swept, pairing: _Pairing) -> float:
        """Return up to where the first axle need not be known: others are farther."""
        outline = stands.outline
        behind_mm = outline.behind_mm + outline.half_wheelbase_mm
        from_mm = pairing.standing.ahead_from_mm + behind_mm
        return from_mm + self._farthest_mm - _NOT_FARTHER_MM


def _moved(limit: StockLimit, by_mm: float) -> StockLimit:
    """Return where the vehicle's end is, when a body of it so far behind is there."""
    if limit.along_mm is None:
        return limit
    along_mm = max(0.0, limit.along_mm - by_mm)
    return msgspec.structs.replace(
        limit,
        along_mm=along_mm,
        from_blades_mm=along_mm,
    )


def _never(own: WayOut, passage: Passage) -> StockLimit:
    """Return that it is in the way as far as the two can be followed."""
    unknown = own.unknown or passage.ahead.unknown
    if unknown is not None:
        return StockLimit(
            outcome="no_shape",
            because=unknown,
        )
    if own.too_sharp:
        return StockLimit(outcome="cannot_stand")
    if passage.ahead.too_sharp:
        return StockLimit(outcome="cannot_move")
    return StockLimit(
        outcome="too_close",
        from_blades_mm=inf,
    )


def _head_mm(outline: Outline) -> float:
    """Return how far a body reaches ahead of its first axle."""
    return outline.ahead_mm - outline.half_wheelbase_mm


def _before_mm(rival: Rivals, leg: str) -> float:
    """Return how far from the blades the standing leg's strand begins."""
    lead = rival.other_lead
    shift_mm = rival.other_shift_mm
    if rival.leg == leg:
        lead = rival.lead
        shift_mm = rival.shift_mm
    return length_of(lead) + shift_mm


def _spot(strand: Strand) -> Spot:
    if strand.spot is None:
        raise ValueError(f"the strand to {strand.finish} has no shape")
    return strand.spot


def _foot_mm(stands: Swept, first_axle_mm: float) -> float:
    """Return the foot of the middle of a body's near end on the path, by Newton's
    method."""
    outline = stands.outline
    body = stands.at(np.array([first_axle_mm]))
    near_end = complex(body.middle[0] - body.axis[0] * body.half_length_mm)
    foot_mm = first_axle_mm - outline.half_wheelbase_mm - outline.behind_mm
    for _ in range(_FEET_TRIES):
        here = stands.path.at(foot_mm)
        direction = complex(np.cos(here.heading), np.sin(here.heading))
        place = complex(here.x_mm, here.y_mm)
        beside = (near_end - place) * direction.conjugate()
        # On a curve a step along the track goes by as much more as the place lies out.
        room = max(1 - float(here.curvature) * beside.imag, 0.1)
        foot_mm += beside.real / room
        if abs(beside.real) < _FOOT_MM:
            break
    return foot_mm
