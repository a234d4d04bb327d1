"""Positions: from a piece outwards, past it on what is joined there, and told again."""

from collections.abc import Iterator

import msgspec

from standage.railway.terms.figures import tidy
from standage.railway.track.network.network import Course, Network
from standage.railway.track.pieces.shapes import Strand
from standage.railway.track.plans.plan import Position


class Spotted(msgspec.Struct, frozen=True, kw_only=True):
    """A place on the network: so far along a course, which may go on beyond its end."""

    course: Course
    along_mm: float


def resolved(network: Network, position: Position) -> Spotted | None:
    """Return where a position is; None where the piece has no such leg.

    Past a piece it is told on what is joined there, by the first way on over points;
    past an end that is not joined, beyond the last piece. **Source** derived.
    """
    start = _course_of(network, position)
    if start is None:
        return None
    return onwards(network, *start)


def counted_along(network: Network, position: Position) -> Spotted | None:
    """Return where a position is, on the course that runs the way in which positions
    count on the piece where it lies; None where the piece has no such leg. In mm.
    **Source** derived.
    """
    spotted = resolved(network, position)
    if spotted is None:
        return None
    strand = network.strand(spotted.course)
    is_back = strand.rising == bool(spotted.course & 1)
    if not is_back:
        return spotted
    length_mm = strand.length_mm or 0.0
    return Spotted(course=spotted.course ^ 1, along_mm=length_mm - spotted.along_mm)


def onwards(network: Network, course: Course, along_mm: float) -> Spotted:
    """Return a place so far along a course, on the piece on which it lies.

    A place just at a joint is told on the piece that it was counted from. In mm from
    the course's start. **Source** derived.
    """
    course, along_mm = network.chains.onwards(course, along_mm)
    return Spotted(course=course, along_mm=along_mm)


def told(network: Network, spotted: Spotted) -> Position:
    """Return a place as a position, in the way that positions count on its piece.

    A place before its piece's first end, where nothing is joined, is less than 0.
    **Source** derived.
    """
    strand = network.strand(spotted.course)
    along_mm = spotted.along_mm
    if spotted.course & 1:
        along_mm = (strand.length_mm or 0.0) - along_mm
    at_mm = _at(strand, along_mm)
    return Position(
        piece=network.piece(spotted.course),
        leg=strand.leg,
        at_mm=tidy(at_mm),
    )


def _at(strand: Strand, along_mm: float) -> float:
    if strand.rising:
        return strand.at_mm + along_mm
    return strand.at_mm - along_mm


def legs_of(network: Network, piece: str) -> tuple[str | None, ...]:
    """Return the legs along which positions count on a piece; None for its only one.
    **Source** derived.
    """
    strands = network.shapes[piece].strands
    legs = (strand.leg for strand in strands)
    return tuple(dict.fromkeys(legs))


def _course_of(network: Network, position: Position) -> tuple[Course, float] | None:
    """Return the course along which a position counts, and how far along it that is."""
    candidates = list(_counted(network, position))
    if not candidates:
        return None
    for course, along_mm in candidates:
        length_mm = network.strand(course).length_mm
        if length_mm is None or 0 <= along_mm <= length_mm:
            return course, along_mm
    course, along_mm = candidates[0]
    if along_mm >= 0:
        return course, along_mm
    length_mm = network.strand(course).length_mm or 0.0
    return course ^ 1, length_mm - along_mm


def _counted(network: Network, position: Position) -> Iterator[tuple[Course, float]]:
    first = network.first_of.get(position.piece)
    if first is None:
        return
    for number, strand in enumerate(network.shapes[position.piece].strands):
        if strand.leg != position.leg:
            continue
        course = 2 * (first + number)
        if strand.rising:
            yield course, position.at_mm - strand.at_mm
        else:
            length_mm = strand.length_mm or 0.0
            along_mm = strand.at_mm - position.at_mm
            yield course + 1, length_mm - along_mm
