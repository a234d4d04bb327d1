"""The plain track that a train may come to: what limits moves, and what may be longer."""

from collections.abc import Iterable, Mapping, Sequence

from standage.questions.moves_ground import Surveyed
from standage.railway.moves.reach import strands_in_reach
from standage.railway.track.network.network import Course
from standage.railway.track.pieces.plain_pieces import (
    Curve,
    Flexible,
    Straight,
    Track,
    Transition,
)

PLAIN = (Straight, Curve, Transition, Flexible, Track)


def plain_roads(
    known: Surveyed, courses: Iterable[Course]
) -> Mapping[str, Sequence[int]]:
    """Return the strands of plain track in reach of some courses, by the roads that they
    lie on.
    """
    network = known.network
    reached = strands_in_reach(known.ground, courses)
    roads: dict[str, list[int]] = {}
    for usable in known.found.usable:
        for piece in usable.road.pieces:
            strand = network.first_of[piece]
            is_plain = isinstance(network.flat.pieces[piece], PLAIN)
            if is_plain and strand in reached:
                roads.setdefault(usable.road.name, []).append(strand)
    return roads


def to_lengthen(
    known: Surveyed, courses: Iterable[Course]
) -> Mapping[str, Sequence[int]]:
    """Return the strands that may be longer, by road; fitted track follows from what it
    is laid between.
    """
    roads = plain_roads(known, courses)
    return {
        name: [one for one in own if not _is_fitted(known, one)]
        for name, own in roads.items()
    }


def _is_fitted(known: Surveyed, strand: int) -> bool:
    network = known.network
    piece = network.flat.pieces[network.piece_of[strand]]
    if not isinstance(piece, Flexible):
        return False
    return piece.fitted
