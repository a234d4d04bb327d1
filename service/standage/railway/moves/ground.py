"""Where trains may go: the network of a plan, with what excludes what on it."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import NamedTuple

import msgspec

from standage.railway.moves.ways import Ways
from standage.railway.track.fouling.fouling import FoulingPoint, Reach
from standage.railway.track.network.network import Course, Network
from standage.railway.track.pieces.shapes import Shape, Strand

MOST_SPANS = 20_000
"""So many stretches of track may belong to the zones of one plan."""
_CLEAR_MM = 1e-9
"""What overlaps by less only touches."""


class Span(NamedTuple):
    """A stretch of a strand, by its number, counted from the strand's start."""

    strand: int
    from_mm: float
    to_mm: float

    def meets(self, other: "Span") -> bool:
        """Tell whether both have track in common; to touch is not enough."""
        if self.strand != other.strand:
            return False
        shared_mm = min(self.to_mm, other.to_mm) - max(self.from_mm, other.from_mm)
        return shared_mm > _CLEAR_MM


class Zone(NamedTuple):
    """A stretch of a course from which a vehicle is foul of its rivals.

    ``rivalry`` is the number of the two zones that exclude each other, and ``side`` 0
    or 1 which of them this is part of; from the course's start.
    """

    rivalry: int
    side: int
    from_mm: float
    to_mm: float


Rivals = tuple[tuple[Span, ...], tuple[Span, ...]]
"""Two zones: anything in one bars the whole of the other."""


class Ground(msgspec.Struct, frozen=True, kw_only=True):
    """A network with its zones and with what is shut on it.

    ``zones`` and ``shut`` (stretches that nothing may enter) are by course and counted
    from its start. ``unknown`` are pieces of which a length or a fouling point is not
    known. All of it follows from the network, its fouling ``points`` and what is
    ``standing``. ``reaches`` are the limits by the courses that they lie on or beyond,
    and ``owners`` the points, by number, of each of ``rivals``.
    """

    network: Network
    points: tuple[FoulingPoint, ...]
    reaches: Mapping[Course, tuple[Reach, ...]]
    lengths_mm: tuple[float, ...]
    rivals: tuple[Rivals, ...]
    owners: tuple[int, ...]
    standing: tuple[Span, ...]
    zones: Mapping[Course, tuple[Zone, ...]]
    shut: Mapping[Course, tuple[tuple[float, float], ...]]
    ways: Ways
    unknown: tuple[str, ...]

    def length_mm(self, course: Course) -> float:
        """Return how long a course is, in mm; 0 where nobody knows."""
        return self.lengths_mm[course >> 1]

    def onwards(self, course: Course) -> tuple[Course, ...]:
        """Return the ways on that may be taken at the end of a course."""
        return self.ways.onwards(course)


def ground(
    network: Network,
    points: Iterable[FoulingPoint],
    *,
    standing: Sequence[Span] = (),
    out_of_use: Mapping[str, str] | None = None,
) -> Ground:
    """Return where trains may go on a network.

    ``standing`` is where other stock stands, ``out_of_use`` the leg for which points
    lie that are not thrown, "none" for no leg. Anything in one zone of points bars the
    other. Takes as many steps as there are stretches in all zones. **Source** derived.
    """
    points = tuple(points)
    unknown = [
        network.piece_of[number]
        for number, strand in enumerate(network.strands)
        if strand.length_mm is None
    ]
    unknown += [point.points for point in points if _is_unknown(point)]
    lengths_mm = tuple(strand.length_mm or 0.0 for strand in network.strands)
    each = [(number, one) for number, one in enumerate(points)]
    owned = [(number, sides) for number, one in each for sides in _rivals(network, one)]
    rivals = tuple(sides for _, sides in owned)
    return Ground(
        network=network,
        points=points,
        reaches=_reaches(points),
        lengths_mm=lengths_mm,
        rivals=rivals,
        owners=tuple(number for number, _ in owned),
        standing=tuple(standing),
        zones=_zones(dict(enumerate(rivals)), lengths_mm),
        shut=_shut(rivals, standing, lengths_mm),
        ways=Ways(network, frozenset(_closed(network, out_of_use or {}))),
        unknown=tuple(dict.fromkeys(unknown)),
    )


def _reaches(points: Iterable[FoulingPoint]) -> dict[Course, tuple[Reach, ...]]:
    found: dict[Course, list[Reach]] = {}
    for point in points:
        for reach in point.reaches:
            for course in reach.courses:
                found.setdefault(course, []).append(reach)
    return {course: tuple(reaches) for course, reaches in found.items()}


def _is_unknown(point: FoulingPoint) -> bool:
    return any(leg.farthest.from_blades_mm is None for leg in point.legs)


def with_lengths(
    ground: Ground, lengths_mm: Mapping[int, float], *, standing: Sequence[Span]
) -> Ground:
    """Return the ground with some strands of another length, in mm, and other stock.

    Zones stay as far from their blades as they are. **Source** the rules of moves.
    """
    known = list(ground.network.strands)
    all_mm = list(ground.lengths_mm)
    for strand, own_mm in lengths_mm.items():
        known[strand] = msgspec.structs.replace(known[strand], length_mm=own_mm)
        all_mm[strand] = own_mm
    network = msgspec.structs.replace(ground.network, strands=known)
    rivals = list(ground.rivals)
    again = _touched(rivals, lengths_mm)
    for number in {ground.owners[rivalry] for rivalry in again}:
        # Those of one set of points have numbers that follow each other.
        first = ground.owners.index(number)
        for place, sides in enumerate(_rivals(network, ground.points[number])):
            rivals[first + place] = sides
            again.add(first + place)
    return msgspec.structs.replace(
        ground,
        network=network,
        lengths_mm=tuple(all_mm),
        rivals=tuple(rivals),
        standing=tuple(standing),
        zones=_zones_again(
            ground,
            rivals,
            again,
            all_mm,
        ),
        shut=_shut(rivals, standing, all_mm),
    )


def _touched(rivals: Sequence[Rivals], strands: Collection[int]) -> set[int]:
    """Return the numbers of the zones that lie on some strands."""
    return {
        rivalry
        for rivalry, sides in enumerate(rivals)
        if any(span.strand in strands for span in chain(*sides))
    }


def _zones_again(
    ground: Ground,
    rivals: Sequence[Rivals],
    again: Collection[int],
    lengths_mm: Sequence[float],
) -> dict[Course, tuple[Zone, ...]]:
    """Return all zones, those of some rivals anew."""
    zones = dict(ground.zones)
    before = {rivalry: ground.rivals[rivalry] for rivalry in again}
    for course in _zones(before, lengths_mm):
        kept = [zone for zone in zones.get(course, ()) if zone.rivalry not in again]
        zones[course] = tuple(kept)
    after = {rivalry: rivals[rivalry] for rivalry in again}
    for course, new in _zones(after, lengths_mm).items():
        both = (*zones.get(course, ()), *new)
        zones[course] = tuple(sorted(both))
    return {course: own for course, own in zones.items() if own}


def with_stock(ground: Ground, spans: Sequence[Span]) -> Ground:
    """Return the ground with more stock on it, which is foul of nothing. **Source** the
    rules of moves.
    """
    shut = dict(ground.shut)
    for span in spans:
        own_mm = ground.lengths_mm[span.strand]
        for course in (2 * span.strand, 2 * span.strand + 1):
            met = on_course(span, course, own_mm=own_mm)
            shut[course] = tuple(sorted((*shut.get(course, ()), met)))
    standing = (*ground.standing, *spans)
    return msgspec.structs.replace(
        ground,
        standing=standing,
        shut=shut,
    )


def with_standing(ground: Ground, stock: Sequence[Span]) -> Ground:
    """Return the ground with more stock, and what it bars. **Source** derived."""
    standing = (*ground.standing, *stock)
    return msgspec.structs.replace(
        ground,
        standing=standing,
        shut=_shut(ground.rivals, standing, ground.lengths_mm),
    )


def _rivals(network: Network, point: FoulingPoint) -> Iterator[Rivals]:
    """Yield the zones of one piece that exclude each other."""
    shape = network.shapes[point.points]
    first = network.first_of[point.points]
    reach_mm = {leg.leg: leg.farthest.from_blades_mm or 0.0 for leg in point.legs}
    cores = [number for number, one in enumerate(shape.strands) if one.core]
    is_slip = len(shape.pairs) > 1 and len(cores) > 1
    for leg, other in shape.pairs:
        # At the two ends of a slip nothing is foul of each other: a1 is of b1 alone.
        if is_slip and leg[-1] != other[-1]:
            continue
        one = _zone(
            network,
            point.points,
            (leg, other),
            reach_mm,
        )
        rival = _zone(
            network,
            point.points,
            (other, leg),
            reach_mm,
        )
        yield one, rival
    if is_slip:
        yield from _cores(
            network,
            point.points,
            cores,
            first,
            reach_mm,
        )


def _zone(
    network: Network, piece: str, legs: tuple[str, str], reach_mm: Mapping[str, float]
) -> tuple[Span, ...]:
    """Return the zone of the first of two legs, from where they part."""
    shape = network.shapes[piece]
    first = network.first_of[piece]
    number = _arm_to(shape, legs[0])
    strand = shape.strands[number]
    parted = shape.strands[_arm_to(shape, legs[1])]
    left_mm = reach_mm[legs[0]] - _from_blades_mm(strand)
    course = network.at_end[piece, legs[0]] ^ 1
    spans = list(_outwards(network, course, left_mm))
    if strand.start != parted.start:
        spans += [
            Span(first + one, 0.0, core.length_mm or 0.0)
            for one, core in enumerate(shape.strands)
            if core.core and core.finish == strand.start
        ]
    return tuple(spans)


def _arm_to(shape: Shape, end: str) -> int:
    """Return the number of the strand that leads out to an end."""
    numbers = (n for n, strand in enumerate(shape.strands) if strand.finish == end)
    return next(numbers)


def _from_blades_mm(strand: Strand) -> float:
    """Return how far from the blades a leg's strand begins: behind second tips."""
    is_leg = strand.leg == strand.finish
    if is_leg:
        return strand.at_mm
    return 0.0


def _outwards(network: Network, course: Course, length_mm: float) -> Iterator[Span]:
    """Yield all track up to so far beyond a course's start, over every way on."""
    wanted = [(course, length_mm)]
    reached: dict[Course, float] = {}
    while wanted:
        here, left_mm = wanted.pop()
        if left_mm <= reached.get(here, 0.0):
            continue
        reached[here] = left_mm
        if len(reached) > MOST_SPANS:
            break
        own_mm = network.strand(here).length_mm or 0.0
        wanted += [(way, left_mm - own_mm) for way in network.onwards(here)]
    for here, left_mm in reached.items():
        own_mm = network.strand(here).length_mm or 0.0
        yield _span(here, 0.0, min(left_mm, own_mm), own_mm=own_mm)


def _cores(
    network: Network,
    piece: str,
    cores: Sequence[int],
    first: int,
    reach_mm: Mapping[str, float],
) -> Iterator[Rivals]:
    """Yield what excludes what between the blades of a slip, and an arm from the roads
    of its neighbour.
    """
    shape = network.shapes[piece]
    spans = {
        number: Span(first + number, 0.0, shape.strands[number].length_mm or 0.0)
        for number in cores
    }
    for place, one in enumerate(cores):
        for other in cores[place + 1 :]:
            yield (spans[one],), (spans[other],)
    for leg, neighbour in shape.pairs:
        if leg[-1] != neighbour[-1]:
            continue
        for arm, beside in ((leg, neighbour), (neighbour, leg)):
            knot = shape.strands[_arm_to(shape, beside)].start
            used = [n for n in cores if knot in _ends(shape.strands[n])]
            zone = _zone(
                network,
                piece,
                (arm, beside),
                reach_mm,
            )
            yield zone, tuple(spans[number] for number in used)


def _ends(strand: Strand) -> tuple[str, str]:
    return strand.start, strand.finish


def _span(course: Course, from_mm: float, to_mm: float, *, own_mm: float) -> Span:
    """Return a stretch of a course as one of its strand."""
    if course & 1:
        return Span(course >> 1, own_mm - to_mm, own_mm - from_mm)
    return Span(course >> 1, from_mm, to_mm)


def on_course(span: Span, course: Course, *, own_mm: float) -> tuple[float, float]:
    """Return a stretch of a strand as it is met along a course over it, in mm from the
    course's start. **Source** derived.
    """
    if course & 1:
        return own_mm - span.to_mm, own_mm - span.from_mm
    return span.from_mm, span.to_mm


def spans_met(
    ground: Ground, course: Course, spans: Sequence[Span]
) -> tuple[tuple[float, float], ...]:
    """Return those of some stretches that lie on a course, as they are met along it, in
    mm from its start. **Source** derived.
    """
    own_mm = ground.length_mm(course)
    return tuple(
        on_course(span, course, own_mm=own_mm)
        for span in spans
        if span.strand == course >> 1
    )


def span_on(course: Course, from_mm: float, to_mm: float, *, own_mm: float) -> Span:
    """Return a stretch that is met along a course as one of its strand, in mm from the
    strand's start. **Source** derived.
    """
    return _span(course, from_mm, to_mm, own_mm=own_mm)


def _zones(
    rivals: Mapping[int, Rivals], lengths_mm: Sequence[float]
) -> dict[Course, tuple[Zone, ...]]:
    found: dict[Course, list[Zone]] = {}
    for rivalry, sides in rivals.items():
        for side, spans in enumerate(sides):
            for span in spans:
                if span.to_mm - span.from_mm <= _CLEAR_MM:
                    continue
                own_mm = lengths_mm[span.strand]
                for course in (2 * span.strand, 2 * span.strand + 1):
                    from_mm, to_mm = on_course(span, course, own_mm=own_mm)
                    zone = Zone(
                        rivalry,
                        side,
                        from_mm,
                        to_mm,
                    )
                    found.setdefault(course, []).append(zone)
    return {course: tuple(sorted(zones)) for course, zones in found.items()}


def _shut(
    rivals: Sequence[Rivals], standing: Sequence[Span], lengths_mm: Sequence[float]
) -> dict[Course, tuple[tuple[float, float], ...]]:
    """Return what other stock stands on, and what it bars by standing in zones."""
    spans = list(standing)
    for one, other in rivals:
        if _stands_in(standing, one):
            spans += other
        if _stands_in(standing, other):
            spans += one
    found: dict[Course, list[tuple[float, float]]] = {}
    for span in spans:
        own_mm = lengths_mm[span.strand]
        for course in (2 * span.strand, 2 * span.strand + 1):
            met = on_course(span, course, own_mm=own_mm)
            found.setdefault(course, []).append(met)
    return {course: tuple(sorted(met)) for course, met in found.items()}


def _stands_in(standing: Sequence[Span], zone: Sequence[Span]) -> bool:
    return any(one.meets(other) for one in standing for other in zone)


def _closed(
    network: Network, out_of_use: Mapping[str, str]
) -> Iterator[tuple[Course, Course]]:
    """Yield the ways over points that are not thrown, both ways round."""
    for piece, lies in out_of_use.items():
        for end in network.shapes[piece].ends:
            if end in {"toe", lies}:
                continue
            leg = network.at_end[piece, end]
            for toe in network.onwards(leg):
                yield leg, toe
                yield toe ^ 1, leg ^ 1
