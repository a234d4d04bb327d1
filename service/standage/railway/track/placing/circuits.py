"""Circuits of a placed plan, and how nearly each of them closes."""

from cmath import phase
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import degrees

import msgspec

from standage.railway.track.paths.spots import Spot
from standage.railway.track.pieces.crossing_pieces import Diamond
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.placing.placing import Placing
from standage.railway.track.plans.flat import End, EndJoin
from standage.railway.track.plans.parts import Parts
from standage.railway.track.plans.plan import Plan

MOST_GAP_MM = 3.0
MOST_GAP_DEG = 1.0
"""More than that is a gap, whatever slack the plan allows."""
MOST_TOLD = 100_000
"""So many pieces are told in all circuits together: each may run over all pieces."""
_NO_KINK = 1e-12
FIRST_ENDS = frozenset({"a", "a1", "b1", "toe"})
"""Ends at which a piece is entered; looking out of them, its left rail is on the
right."""


class Gap(msgspec.Struct, frozen=True, kw_only=True):
    """How far two ends that are joined lie from each other, and the kink there."""

    mm: float
    deg: float

    def is_open(self, plan: Plan) -> bool:
        """Tell whether it is more than what is taken up by the rails' own slack."""
        most_mm = min(plan.slack_mm, MOST_GAP_MM)
        most_deg = min(plan.slack_deg, MOST_GAP_DEG)
        return self.mm > most_mm or self.deg > most_deg


class Circuit(msgspec.Struct, frozen=True, kw_only=True):
    """A closed run of pieces, its gap left at ``closing_join``.

    Where the heading does not close, the gap is another at each join of the circuit:
    ``least_gap_mm`` and ``greatest_gap_mm`` are over all of them. ``whole`` is the gap
    with those at the joins of rigid modules that the circuit runs over. A circuit
    ``exchanges_rails`` where the rail on the left comes back as the one on the right;
    None over a deck, or from one road of a diamond to the other, which no rail joins.
    """

    pieces: tuple[str, ...]
    closing_join: EndJoin
    gap: Gap
    whole: Gap
    least_gap_mm: float
    greatest_gap_mm: float
    exchanges_rails: bool | None

    def is_open(self, plan: Plan) -> bool:
        """Tell whether the slack does not take up its gap, or not all of it round."""
        return self.gap.is_open(plan) or self.adds_up

    @property
    def adds_up(self) -> bool:
        """Whether gaps that may each be small are too much together."""
        return self.whole.mm > MOST_GAP_MM or self.whole.deg > MOST_GAP_DEG


class Unmated(msgspec.Struct, frozen=True, kw_only=True):
    """Tracks of two modules that are rigid, and do not meet where they are joined."""

    join: EndJoin
    gap: Gap


class Closures(msgspec.Struct, frozen=True, kw_only=True):
    """What the joins that are left over close.

    ``untold`` are those of circuits beyond ``MOST_TOLD``, of which only the gap is
    known.
    """

    circuits: tuple[Circuit, ...]
    unmated: tuple[Unmated, ...]
    untold: tuple[Unmated, ...] = ()


def closures(placed: Placing) -> Closures:
    """Return the circuits of a placed plan, one for each join left over, in their
    order.

    A join between parts that hold together only as modules closes no circuit; the next
    between the same parts does. Takes as many steps as there are pieces, and for each
    circuit as many as it has, up to ``MOST_TOLD``. Gaps in mm and degrees. **Source**
    derived: a spanning tree closes one circuit for each join that it leaves over.
    """
    left = list(_gaps_left(placed))
    unmated = tuple(_between_parts(placed, left))
    between = {one.join: one.gap for one in unmated}
    walked = _Walked(placed, between)
    circuits: list[Circuit] = []
    untold: list[Unmated] = []
    told = 0
    for one in left:
        if one.join in between:
            continue
        if told > MOST_TOLD:
            untold.append(one)
            continue
        circuits.append(walked.circuit(one))
        told += len(circuits[-1].pieces)
    return Closures(
        circuits=tuple(circuits),
        unmated=unmated,
        untold=tuple(untold),
    )


def _gaps_left(placed: Placing) -> Iterator[Unmated]:
    """Yield the joins that placed nothing, each with its gap."""
    for join in placed.left_over:
        one, other = (placed.spot(end) for end in join)
        if one is not None and other is not None:
            yield Unmated(join=join, gap=gap_between(one, other))


def _between_parts(placed: Placing, left: Iterable[Unmated]) -> Iterator[Unmated]:
    """Yield the first joins between parts that no track holds together yet."""
    parts = Parts()
    for join in placed.tree:
        parts.join(join[0][0], join[1][0])
    for one in left:
        near, far = (end[0] for end in one.join)
        if parts.of(near) != parts.of(far):
            parts.join(near, far)
            yield one


def gap_between(one: Spot, other: Spot) -> Gap:
    """Return the gap between two ends that should meet, each pointing out of its piece.
    In mm and degrees; 0 where they meet in line. **Source** derived.
    """
    kink = phase(one.direction / -other.direction)
    return Gap(
        mm=abs(one.point - other.point),
        deg=abs(degrees(kink)),
    )


class _Forest:
    """The joins along which pieces were placed, as trees with a root each.

    Joins ``between`` parts hang these on each other.
    """

    def __init__(self, placed: Placing, between: Iterable[EndJoin]) -> None:
        self._above: dict[str, tuple[str, End]] = {}
        self._depth: dict[str, int] = {}
        below: dict[str, list[tuple[End, End]]] = {}
        for one, other in (*placed.tree, *between):
            below.setdefault(one[0], []).append((one, other))
            below.setdefault(other[0], []).append((other, one))
        for root in placed.frames:
            if root not in self._depth:
                self._grow(root, below)

    def _grow(self, root: str, below: Mapping[str, list[tuple[End, End]]]) -> None:
        self._depth[root] = 0
        reached = [root]
        while reached:
            piece = reached.pop()
            for own, other in below.get(piece, ()):
                if other[0] not in self._depth:
                    self._depth[other[0]] = self._depth[piece] + 1
                    self._above[other[0]] = (piece, own)
                    reached.append(other[0])

    def path(self, one: str, other: str) -> tuple[list[str], list[End]]:
        """Return the pieces from one to another of the same tree, and the joins' ends
        between them.
        """
        near, far = [one], [other]
        ends: list[End] = []
        while near[-1] != far[-1]:
            rising = near if self._depth[near[-1]] >= self._depth[far[-1]] else far
            above, end = self._above[rising[-1]]
            rising.append(above)
            ends.append(end)
        return near + far[-2::-1], ends


class _Walked:
    """A placed plan, walked from join to join round its circuits."""

    def __init__(self, placed: Placing, between: Mapping[EndJoin, Gap]) -> None:
        self._placed = placed
        self._forest = _Forest(placed, between)
        self._gap_at = {end: gap for join, gap in between.items() for end in join}

    def circuit(self, left: Unmated) -> Circuit:
        """Return the circuit that a join closes."""
        join, gap = left.join, left.gap
        pieces, ends = self._forest.path(join[0][0], join[1][0])
        between = [self._gap_at[end] for end in ends if end in self._gap_at]
        gaps_mm = [gap.mm, *(one.mm for one in between)]
        whole = Gap(mm=sum(gaps_mm), deg=gap.deg + sum(one.deg for one in between))
        if gap.deg > _NO_KINK:
            gaps_mm += _gaps_elsewhere(self._placed, join, ends)
        return Circuit(
            pieces=tuple(pieces),
            closing_join=join,
            gap=gap,
            whole=whole,
            least_gap_mm=min(gaps_mm),
            greatest_gap_mm=max(gaps_mm),
            exchanges_rails=_exchanges_rails(self._placed, join, ends),
        )


def _exchanges_rails(
    placed: Placing, join: EndJoin, ends: Sequence[End]
) -> bool | None:
    """Tell whether a circuit comes back with its rails exchanged.

    They are where a piece is entered and left by ends at one side of it, as points by
    two legs, an odd number of times. **Source** derived.
    """
    mates = [placed.flat.joint[end] for end in ends]
    met: dict[str, list[str]] = {}
    for name, end in (*join, *ends, *mates):
        met.setdefault(name, []).append(end)
    exchanged = False
    for name, (one, other) in met.items():
        piece = placed.flat.pieces[name]
        is_deck = placed.shapes[name].edge == "deck_edge"
        if is_deck or _crosses(piece, one, other):
            return None
        at_one_side = (one in FIRST_ENDS) == (other in FIRST_ENDS)
        exchanged ^= at_one_side
    return exchanged


def _crosses(piece: AnyPiece, one: str, other: str) -> bool:
    """Tell whether two ends are those of a diamond's two roads."""
    if not isinstance(piece, Diamond):
        return False
    return one[0] != other[0]


def _gaps_elsewhere(
    placed: Placing, join: EndJoin, ends: Sequence[End]
) -> Iterator[float]:
    """Yield the gap at each other join of a circuit, had it been left open there.

    The rest of the circuit then moves as a rigid body by what does not close.
    """
    one, other = (placed.spot(end) for end in join)
    if one is None or other is None:
        return
    turn = one.direction / -other.direction
    for end in ends:
        spot = placed.spot(end)
        if spot is not None:
            moved = one.point + turn * (spot.point - other.point)
            yield abs(moved - spot.point)
