"""The metal of a plan: its rails between gaps, and what joins them.

Tracks are the network's strands by number, and after them the ways over decks. A course
is a track in one of its directions, as in ``network``. Rails lie left and right as one
looks along the track.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import msgspec

from standage.railway.track.network.network import Course, Network
from standage.railway.track.network.positions import Spotted, counted_along
from standage.railway.track.pieces.end_pieces import (
    Cassette,
    SectorPlate,
    Traverser,
    Turntable,
)
from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.plans.flat import End, EndJoin
from standage.railway.track.plans.plan import Fitting

AT_THE_JOINT_MM = 0.1
"""A gap so near a joint is one in that joint."""
_OPPOSITE_DEG = 180.0
_IN_LINE = 0.01
"""Roads of a deck that differ by no more, in degrees or mm, are in line."""

Rail = int


class Part(NamedTuple):
    """A stretch of a track between gaps, with the rail on either side of it."""

    from_mm: float
    to_mm: float
    left: Rail
    right: Rail


class Joint(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Two tracks that metal joins: a course that arrives, and the one that goes on.

    ``join`` is that of the plan; None at blades and crossings. ``open_left`` and
    ``open_right`` tell of a gap in that rail, seen along the course that arrives.
    """

    arriving: Course
    leaving: Course
    join: EndJoin | None
    open_left: bool = False
    open_right: bool = False


class Metal(msgspec.Struct, frozen=True, kw_only=True):
    """All rails of a plan, and what joins them.

    ``lengths_mm`` is 0 for tracks in ``unknown``. ``ways`` are those on for a train.
    ``touching`` has for each rail the rails that metal joins to it, each with the joint.
    """

    network: Network
    piece_of: Sequence[str]
    lengths_mm: Sequence[float]
    unknown: frozenset[int]
    ways: Sequence[tuple[Course, ...]]
    joints: Sequence[Joint]
    parts: Sequence[tuple[Part, ...]]
    touching: Sequence[tuple[tuple[Rail, int], ...]]
    decks: tuple[str, ...]
    off_the_track: tuple[Fitting, ...]

    def at_start(self, course: Course) -> tuple[Rail, Rail]:
        """Return the rails on the left and the right where a course sets out."""
        if course & 1:
            last = self.parts[course >> 1][-1]
            return last.right, last.left
        first = self.parts[course >> 1][0]
        return first.left, first.right

    def conductors(
        self,
        gapped: frozenset[int] = frozenset(),
        rails: Iterable[Rail] | None = None,
    ) -> list[int]:
        """Return the conductor that each rail is part of, by number, with gaps in both
        rails at the joints ``gapped`` too; -1 for those that no metal joins to any of
        ``rails``, where these are given.
        """
        of = [-1] * len(self.touching)
        count = 0
        for rail in range(len(of)) if rails is None else rails:
            if of[rail] >= 0:
                continue
            of[rail] = count
            reached = [rail]
            while reached:
                for other, joint in self.touching[reached.pop()]:
                    if of[other] < 0 and joint not in gapped:
                        of[other] = count
                        reached.append(other)
            count += 1
        return of


def metal(network: Network, fittings: Iterable[Fitting] = ()) -> Metal:
    """Return the metal of a plan with the gaps among its fittings.

    Points and slips join all their roads, a diamond joins none to the other, and a deck
    joins nothing. A gap at the end of a piece is one in the joint there; one beyond the
    track is told in ``off_the_track``. In mm. **Source** derived.
    """
    laid = _Laid(network)
    gaps = [fitting for fitting in fittings if fitting.kind == "gap"]
    off_the_track = [gap for gap in gaps if not laid.cut(gap)]
    parts = tuple(laid.parts())
    return Metal(
        network=network,
        piece_of=laid.piece_of,
        lengths_mm=laid.lengths_mm,
        unknown=laid.unknown,
        ways=laid.ways,
        joints=laid.joints,
        parts=parts,
        touching=_touching(parts, laid.joints),
        decks=laid.decks,
        off_the_track=tuple(off_the_track),
    )


class _Laid:
    """Tracks and joints of a network, with the gaps as they come to be known."""

    def __init__(self, network: Network) -> None:
        self._network = network
        lengths_mm = [strand.length_mm for strand in network.strands]
        self.lengths_mm = [length_mm or 0.0 for length_mm in lengths_mm]
        self.unknown = frozenset(
            number for number, known in enumerate(lengths_mm) if known is None
        )
        self.piece_of = list(network.piece_of)
        self.joints = list(_joints(network))
        self._joint_at: dict[Course, int] = {}
        for number, joint in enumerate(self.joints):
            if joint.join is not None:
                self._joint_at[joint.arriving] = number
                self._joint_at[joint.leaving ^ 1] = number
        trapped = network.trapped
        self.ways = [
            tuple(way for way in ways if way not in trapped) for ways in network.ways
        ]
        self.decks = tuple(self._lay_decks())
        self._cuts: dict[int, tuple[set[float], set[float]]] = {}

    def _lay_decks(self) -> Iterator[str]:
        flat = self._network.flat
        for name, piece in flat.pieces.items():
            if self._network.shapes[name].edge != "deck_edge":
                continue
            yield name
            for one, other, length_mm in _in_line(piece):
                ends = [flat.joint.get((name, end)) for end in (one, other)]
                self._lay_deck(name, ends, length_mm)

    def _lay_deck(
        self, name: str, mates: Sequence[End | None], length_mm: float
    ) -> None:
        roads = [self._network.at_end.get(mate) for mate in mates if mate is not None]
        inwards = [road for road in roads if road is not None]
        if len(inwards) < len(mates):
            return
        course = 2 * len(self.lengths_mm)
        self.piece_of.append(name)
        self.lengths_mm.append(length_mm)
        first, second = inwards
        self.ways += [(second,), (first,)]
        self.ways[first ^ 1] += (course,)
        self.ways[second ^ 1] += (course + 1,)

    def cut(self, gap: Fitting) -> bool:
        """Note a gap; return whether there is track where it is."""
        spotted = counted_along(self._network, gap)
        if spotted is None:
            return False
        left = gap.rails != "right"
        right = gap.rails != "left"
        joint = self._joint_near(spotted)
        if joint is not None:
            number, arriving = joint
            # seen along the course that arrives there, which may run the other way
            seen = (left, right) if arriving == spotted.course else (right, left)
            self._open(number, arriving, *seen)
            return True
        track = spotted.course >> 1
        length_mm = self.lengths_mm[track]
        along_mm = spotted.along_mm
        if spotted.course & 1:
            along_mm = length_mm - along_mm
            left, right = right, left
        if track not in self.unknown and not 0 <= along_mm <= length_mm:
            return False
        sides = self._cuts.setdefault(track, (set(), set()))
        for is_cut, side in zip((left, right), sides, strict=True):
            if is_cut:
                side.add(along_mm)
        return True

    def _joint_near(self, spotted: Spotted) -> tuple[int, Course] | None:
        """Return the joint that a place is at, and the course that arrives there."""
        course = spotted.course
        ends = [(course ^ 1, spotted.along_mm)]
        if course >> 1 not in self.unknown:
            left_mm = self.lengths_mm[course >> 1] - spotted.along_mm
            ends.append((course, left_mm))
        for arriving, away_mm in ends:
            number = self._joint_at.get(arriving)
            if number is not None and abs(away_mm) <= AT_THE_JOINT_MM:
                return number, arriving
        return None

    def _open(self, number: int, arriving: Course, left: bool, right: bool) -> None:  # noqa: FBT001 - two rails
        joint = self.joints[number]
        if joint.arriving != arriving:
            left, right = right, left
        self.joints[number] = msgspec.structs.replace(
            joint,
            open_left=joint.open_left or left,
            open_right=joint.open_right or right,
        )

    def parts(self) -> Iterator[tuple[Part, ...]]:
        """Yield the parts of each track, the rails numbered as they come."""
        rails = 0
        for track, length_mm in enumerate(self.lengths_mm):
            lefts, rights = self._cuts.get(track, (set(), set()))
            left, right = rails, rails + len(lefts) + 1
            rails = right + len(rights) + 1
            found: list[Part] = []
            at_mm = min([0.0, *lefts, *rights])
            for cut_mm in sorted(lefts | rights):
                found.append(
                    Part(
                        at_mm,
                        cut_mm,
                        left,
                        right,
                    )
                )
                left += cut_mm in lefts
                right += cut_mm in rights
                at_mm = cut_mm
            found.append(
                Part(
                    at_mm,
                    max(at_mm, length_mm),
                    left,
                    right,
                )
            )
            yield tuple(found)


def _joints(network: Network) -> Iterator[Joint]:
    """Yield all that is joined, each pair once."""
    join_at = {end: join for join in network.flat.joins for end in join}
    for course, ways in enumerate(network.ways):
        for way in ways:
            if course > way ^ 1:
                # the same pair comes up from the other side
                continue
            end = (network.piece(course), network.leads_to(course))
            yield Joint(
                arriving=course,
                leaving=way,
                join=join_at.get(end),
            )


def _touching(
    parts: Sequence[tuple[Part, ...]], joints: Sequence[Joint]
) -> list[tuple[tuple[Rail, int], ...]]:
    count = 1 + max((track[-1].right for track in parts), default=-1)
    touching: list[list[tuple[Rail, int]]] = [[] for _ in range(count)]
    for number, joint in enumerate(joints):
        own = _arriving(parts, joint.arriving)
        beyond = _arriving(parts, joint.leaving ^ 1)[::-1]
        is_open = (joint.open_left, joint.open_right)
        for rail, other, is_gap in zip(own, beyond, is_open, strict=True):
            if not is_gap:
                touching[rail].append((other, number))
                touching[other].append((rail, number))
    return [tuple(others) for others in touching]


def _arriving(parts: Sequence[tuple[Part, ...]], course: Course) -> tuple[Rail, Rail]:
    """Return the rails on the left and the right where a course arrives."""
    if course & 1:
        first = parts[course >> 1][0]
        return first.right, first.left
    last = parts[course >> 1][-1]
    return last.left, last.right


def _in_line(piece: AnyPiece) -> Iterator[tuple[str, str, float]]:
    """Yield the roads of a deck between which it can lie in line, and its length."""
    if isinstance(piece, Cassette):
        yield "a", "b", piece.length_mm
    elif isinstance(piece, SectorPlate):
        for end in piece.ends[1:]:
            yield "a", end, piece.deck_mm
    elif isinstance(piece, Traverser):
        yield from _across(piece)
    elif isinstance(piece, Turntable):
        roads = list(zip(piece.ends, piece.roads, strict=True))
        for number, (end, bearing) in enumerate(roads):
            for other, other_bearing in roads[number + 1 :]:
                turned = abs(bearing - other_bearing) % 360
                if abs(turned - _OPPOSITE_DEG) <= _IN_LINE:
                    yield end, other, piece.deck_mm


def _across(piece: Traverser) -> Iterator[tuple[str, str, float]]:
    offsets_mm: Mapping[str, float] = dict(
        zip(piece.ends, piece.left + piece.right, strict=True)
    )
    lefts = piece.ends[: len(piece.left)]
    for one in lefts:
        for other in piece.ends[len(lefts) :]:
            if abs(offsets_mm[one] - offsets_mm[other]) <= _IN_LINE:
                yield one, other, piece.deck_mm
