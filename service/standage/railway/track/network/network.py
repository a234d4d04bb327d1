"""The strands of all pieces as one network, and the way on from each.

A strand is run one of two ways; such a *course* has a number: twice the strand's, and 1
more where it is run from its finish to its start. Turning about changes the last bit.
"""

from collections.abc import Mapping, Sequence

import msgspec

from standage.railway.track.network.chains import Chains
from standage.railway.track.paths.runs import Run
from standage.railway.track.paths.spots import turned_round
from standage.railway.track.pieces.shapes import LimitKind, Shape, Strand, is_knot
from standage.railway.track.plans.flat import End, Flat

Course = int


class Stop(msgspec.Struct, frozen=True, kw_only=True):
    """What ends a road there: at a piece's knot or end, met along a strand's leg.

    ``word`` is what its piece is called where that has legs.
    """

    kind: LimitKind
    piece: str
    at: str
    leg: str | None = None
    word: str = "points"


class Network(msgspec.Struct, frozen=True, kw_only=True):
    """Strands by number with the pieces they are of, and the first number of each
    piece."""

    flat: Flat
    shapes: Mapping[str, Shape]
    strands: Sequence[Strand]
    piece_of: Sequence[str]
    first_of: Mapping[str, int]
    at_end: Mapping[End, Course]
    ways: Sequence[tuple[Course, ...]]
    chains: Chains
    trapped: frozenset[Course]

    def strand(self, course: Course) -> Strand:
        """Return the strand that a course runs along."""
        return self.strands[course >> 1]

    def piece(self, course: Course) -> str:
        """Return the piece that a course runs over."""
        return self.piece_of[course >> 1]

    def begins(self, course: Course) -> str:
        """Return the end or knot that a course sets out from."""
        strand = self.strands[course >> 1]
        if course & 1:
            return strand.finish
        return strand.start

    def leads_to(self, course: Course) -> str:
        """Return the end or knot that a course arrives at."""
        return self.begins(course ^ 1)

    def runs(self, course: Course) -> tuple[Run, ...] | None:
        """Return a course's track as it is met; None where its shape is not known."""
        strand = self.strands[course >> 1]
        if strand.runs is None:
            return None
        if course & 1:
            return turned_round(strand.runs)
        return strand.runs

    def onwards(self, course: Course) -> tuple[Course, ...]:
        """Return the ways on: over a joint, or over blades and crossings; maybe
        none."""
        return self.ways[course]

    def stop(self, course: Course) -> Stop | None:
        """Return what ends a road where a course arrives; None where plain track goes
        on."""
        node = self.leads_to(course)
        piece = self.piece(course)
        strand = self.strand(course)
        if is_knot(node):
            kind = strand.limit or "open_end"
            return Stop(
                kind=kind,
                piece=piece,
                at=node,
                leg=strand.leg,
                word=self.shapes[piece].word,
            )
        mate = self.flat.joint.get((piece, node))
        if mate is None:
            return Stop(
                kind="open_end",
                piece=piece,
                at=node,
            )
        if mate in self.at_end:
            return None
        edge = self.shapes[mate[0]].edge or "open_end"
        return Stop(
            kind=edge,
            piece=mate[0],
            at=mate[1],
        )


def network(flat: Flat, shapes: Mapping[str, Shape]) -> Network:
    """Return the network of a plan's pieces; ``shapes`` have fitted track as it came
    out.

    Takes as many steps as there are strands. Lengths in mm. **Source** derived.
    """
    strands: list[Strand] = []
    piece_of: list[str] = []
    first_of: dict[str, int] = {}
    at_end: dict[End, Course] = {}
    for piece, shape in shapes.items():
        first_of[piece] = len(strands)
        for strand in shape.strands:
            number = len(strands)
            strands.append(strand)
            piece_of.append(piece)
            if not is_knot(strand.start):
                at_end[piece, strand.start] = 2 * number
            if not is_knot(strand.finish):
                at_end[piece, strand.finish] = 2 * number + 1
    ways: list[tuple[Course, ...]] = [()] * (2 * len(strands))
    _over_joints(flat, at_end, ways)
    for piece, shape in shapes.items():
        _over_knots(shape, first_of[piece], ways)
    traps = {piece for piece, shape in shapes.items() if shape.edge == "trap"}
    mates = [flat.joint.get((piece, "a")) for piece in traps]
    trapped = [at_end[mate] ^ 1 for mate in mates if mate in at_end]
    return Network(
        flat=flat,
        shapes=shapes,
        strands=strands,
        piece_of=piece_of,
        first_of=first_of,
        at_end=at_end,
        ways=ways,
        chains=Chains(ways, [strand.length_mm for strand in strands]),
        trapped=frozenset(trapped),
    )


def _over_joints(
    flat: Flat, at_end: Mapping[End, Course], ways: list[tuple[Course, ...]]
) -> None:
    for end, course in at_end.items():
        mate = flat.joint.get(end)
        if mate is not None and mate in at_end:
            ways[course ^ 1] = (at_end[mate],)


def _over_knots(shape: Shape, first: int, ways: list[tuple[Course, ...]]) -> None:
    """Note the ways over a piece's blades or crossing, from each strand to the
    others."""
    for knot, pairs in shape.passages.items():
        for one, other in pairs:
            strand, other_strand = shape.strands[one], shape.strands[other]
            from_one = _out_of(strand, knot, first + one)
            from_other = _out_of(other_strand, knot, first + other)
            # into the knot by one, out of it by the other
            ways[from_one ^ 1] += (from_other,)
            ways[from_other ^ 1] += (from_one,)


def _out_of(strand: Strand, knot: str, number: int) -> Course:
    return 2 * number + (0 if strand.start == knot else 1)
