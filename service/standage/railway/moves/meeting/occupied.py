"""What two trains occupy and bar, so that one look tells whether both find room."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from standage.railway.moves.ground import Ground, Span, span_on
from standage.railway.moves.meeting.berths import MILLIONTHS, Berth, Berths
from standage.railway.moves.room import TOUCHING_MM
from standage.railway.moves.standing import Lying, lying


class Occupied(NamedTuple):
    """What a train takes at each of its berths and on each step from there, and what it
    bars to another train.

    All are sets of bits: stretches of track, and sides of zones. Two trains find room
    where what the one takes and what the other bars have no bit in common.
    """

    takes: Sequence[int]
    takes_on_way: Sequence[Sequence[int]]
    bars: Sequence[int]


def occupied(
    ground: Ground, trains: Sequence[tuple[Berths, float]]
) -> tuple[Occupied, ...]:
    """Return what each of some trains occupies; each train with its length in mm.
    **Source** the rules of moves.
    """
    every = [
        [spans_under(ground, berth, train_mm=train_mm) for berth in road.berths]
        for road, train_mm in trains
    ]
    bits = _Bits(ground, [spans for one in every for spans in one])
    return tuple(
        Occupied(
            takes=[bits.taken(spans) for spans in under],
            takes_on_way=list(_on_ways(ground, bits, road, train_mm=train_mm)),
            bars=[bits.barred(spans) for spans in under],
        )
        for (road, train_mm), under in zip(trains, every, strict=True)
    )


def _on_ways(
    ground: Ground, bits: "_Bits", road: Berths, *, train_mm: float
) -> Iterator[list[int]]:
    """Yield for each berth the bits of all that a train takes on each step from it.

    That is the track of both berths, and what lies between where it goes farther than
    its own length.
    """
    every = [
        bits.taken(spans_under(ground, berth, train_mm=train_mm))
        for berth in road.berths
    ]
    for here, steps in enumerate(road.steps):
        taken = []
        for step in steps:
            over = every[here] | every[step.to]
            gone_mm = step.cost / MILLIONTHS
            if not step.turns and gone_mm > train_mm + TOUCHING_MM:
                train = road.berths[here].train
                way = (*train.courses, *step.onto)
                stretched = lying(ground, way, rear_mm=train.rear_mm)
                reach_mm = train_mm + gone_mm
                over |= bits.taken(spans_of(ground, stretched, train_mm=reach_mm))
            taken.append(over)
        yield taken


def spans_under(ground: Ground, berth: Berth, *, train_mm: float) -> tuple[Span, ...]:
    """Return the stretches of track under a train, in mm; none once it has left the
    plan. **Source** derived.
    """
    if berth.gone:
        return ()
    return spans_of(ground, berth.train, train_mm=train_mm)


def spans_of(ground: Ground, train: Lying, *, train_mm: float) -> tuple[Span, ...]:
    """Return the stretches of track under a train as it lies, in mm. **Source**
    derived.
    """
    lead_mm = train.rear_mm + train_mm
    found = []
    for course, base_mm in zip(train.courses, train.bases_mm, strict=True):
        own_mm = ground.length_mm(course)
        from_mm = max(0.0, train.rear_mm - base_mm)
        to_mm = min(own_mm, lead_mm - base_mm)
        if to_mm - from_mm > TOUCHING_MM:
            found.append(span_on(course, from_mm, to_mm, own_mm=own_mm))
    return tuple(found)


class _Bits:
    """Bits for the stretches of track between all places where anything ends, and for
    the sides of zones.
    """

    def __init__(self, ground: Ground, every: Sequence[Sequence[Span]]) -> None:
        self._ground = ground
        ends: dict[int, set[float]] = {}
        for spans in every:
            for span in spans:
                ends.setdefault(span.strand, set()).update((span.from_mm, span.to_mm))
        self._cuts: dict[int, list[float]] = {}
        self._first_bit: dict[int, int] = {}
        bit = 2 * len(ground.rivals)
        for strand, found_mm in ends.items():
            self._cuts[strand] = _apart(sorted(found_mm))
            self._first_bit[strand] = bit
            bit += len(self._cuts[strand])
        self._known: dict[Span, tuple[int, int]] = {}

    def taken(self, spans: Iterable[Span]) -> int:
        """Return the bits of what a train on some stretches takes."""
        bits = 0
        for span in spans:
            bits |= self._of(span)[0]
        return bits

    def barred(self, spans: Iterable[Span]) -> int:
        """Return the bits of what it bars: the same track, and the other sides."""
        bits = 0
        for span in spans:
            bits |= self._of(span)[1]
        return bits

    def _of(self, span: Span) -> tuple[int, int]:
        known = self._known.get(span)
        if known is None:
            known = self._known[span] = self._looked_up(span)
        return known

    def _looked_up(self, span: Span) -> tuple[int, int]:
        # No train ever stands where there are no cuts: all pass over it.
        cuts_mm = self._cuts.get(span.strand, ())
        first = bisect_left(cuts_mm, span.from_mm - TOUCHING_MM)
        last = bisect_left(cuts_mm, span.to_mm - TOUCHING_MM)
        track = (1 << last) - (1 << first) << self._first_bit.get(span.strand, 0)
        takes = bars = track
        for zone in self._ground.zones.get(2 * span.strand, ()):
            if Span(span.strand, zone.from_mm, zone.to_mm).meets(span):
                takes |= 1 << (2 * zone.rivalry + zone.side)
                bars |= 1 << (2 * zone.rivalry + 1 - zone.side)
        return takes, bars


def _apart(found_mm: Sequence[float]) -> list[float]:
    """Return rising figures without those that are the same but for dust."""
    apart: list[float] = []
    for mm in found_mm:
        if not apart or mm > apart[-1] + TOUCHING_MM:
            apart.append(mm)
    return apart
