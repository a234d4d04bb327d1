"""Every visit from thousands of positions at once.

Between two positions that one visit turns into each other, the wagons picked or dropped
change places with those that stand in the sidings listed before: two neighbouring
blocks of the word. Where the blocks lie depends on the shape alone, so the visits are
tabled by shape once. What may fit by count but not by length is measured for each
position.

Where two sidings have more room between them than the headshunt gives, a string too
long for the headshunt may stand between a visit to one and a visit to the other. Such
positions are kept apart by their *trip*: the siding visited last, counted from 1. Trip
0 is every position whose engine's string fits the headshunt.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from standage.railway.shunting.states import Coding, Flags, Ints, Shapes, coding, shapes
from standage.railway.shunting.yard import Fewest, Puzzle, Yard
from standage.railway.terms.comparison import grains

BY_HAND = 1024
"""What a cut by hand weighs against a visit: more than any fewest number of visits."""


class Found(NamedTuple):
    """Positions of one trip that a visit of this weight leads to, as often as it is
    found, in no order.
    """

    weight: int
    trip: int
    keys: Ints


@dataclass(frozen=True)
class Limits:
    """How much fits where, in grains, engine taken off; and where couplings come apart
    without a hand.
    """

    headshunt: int
    sidings: tuple[int, ...]
    across: Ints
    """Between two sidings, both counted from 1; -1 where there is no more room than in
    the headshunt.
    """

    left_free: Ints
    """By siding from 1: how long what is left there may be for its joint to stand over
    an uncoupling place.
    """

    kept_free: int
    """How long what stays on the engine may be for its joint to stand over a place in
    the headshunt; -1: none there.
    """

    @property
    def engine(self) -> int:
        """The longest string that may ever be on the engine."""
        return max(self.headshunt, int(self.across.max()))


def limits(yard: Yard, *, engine_length_mm: float) -> Limits:
    """Return the yard's lengths as the search uses them."""
    engine = grains(engine_length_mm)
    number = {siding.name: place for place, siding in enumerate(yard.sidings, 1)}
    across = np.full((len(number) + 1, len(number) + 1), -1, np.int64)
    headshunt = grains(yard.headshunt_usable_length_mm)
    for room in yard.rooms:
        one, other = (number[name] for name in room.between)
        if grains(room.room_mm) > headshunt:
            across[one, other] = across[other, one] = grains(room.room_mm) - engine
    left_free = [-1] + [
        max(
            (
                grains(siding.usable_length_mm) - grains(place)
                for place in siding.uncoupling_places_mm or ()
            ),
            default=-1,
        )
        for siding in yard.sidings
    ]
    places = yard.headshunt_uncoupling_places_mm or () if yard.uncoupled_ahead else ()
    return Limits(
        headshunt=headshunt - engine,
        sidings=tuple(grains(siding.usable_length_mm) for siding in yard.sidings),
        across=across,
        left_free=np.array(left_free, np.int64),
        kept_free=max(
            (headshunt - engine - grains(place) for place in places), default=-1
        ),
    )


@dataclass(frozen=True)
class Table:
    """The visits from every shape, one after the other; ``first`` and ``count`` say
    whose are where.
    """

    first: Ints
    count: Ints
    source: Ints
    target: Ints
    siding: Ints
    couplings: Ints
    low: Ints
    """Wagons before the two blocks that change places."""
    one: Ints
    """Wagons in the block nearer the engine."""
    two: Ints
    """Wagons in the block that comes forward."""


def table(forms: Shapes) -> Table:
    """Return every visit between shapes: picks, and the drops that undo them."""
    parts = [
        _picks_and_drops(forms, siding) for siding in range(1, forms.counts.shape[1])
    ]
    columns = [np.concatenate(column) for column in zip(*parts, strict=True)]
    order = np.argsort(columns[0], kind="stable")
    source, target, siding, couplings, low, one, two = (
        column[order] for column in columns
    )
    count = np.bincount(source, minlength=len(forms.counts)).astype(np.int64)
    first = np.cumsum(count) - count
    return Table(
        first=first,
        count=count,
        source=source,
        target=target,
        siding=siding,
        couplings=couplings,
        low=low,
        one=one,
        two=two,
    )


def _picks_and_drops(forms: Shapes, siding: int) -> list[Ints]:
    found = [np.zeros((7, 0), np.int64)]
    between = forms.before[:, siding] - forms.counts[:, 0]
    for wagons in range(1, int(forms.counts[:, siding].max(initial=0)) + 1):
        source, target = forms.after_pick(siding, wagons)
        same = np.full(len(source), wagons)
        where, cost = (
            np.full(len(source), siding),
            1 + (forms.counts[source, siding] > wagons),
        )
        low = forms.counts[source, 0]
        found.append(
            np.stack((source, target, where, cost, low, between[source], same))
        )
        found.append(
            np.stack((target, source, where, cost, low, same, between[source]))
        )
    return list(np.concatenate(found, axis=1))


class _Pairs(NamedTuple):
    """Positions with one visit each, and what it makes of them."""

    visit: Ints
    before: Ints
    after: Ints

    def where(self, wanted: Flags) -> "_Pairs":
        """Return the pairs that are flagged, in their order."""
        return _Pairs(self.visit[wanted], self.before[wanted], self.after[wanted])


class Visits:
    """The visits of one puzzle. Positions are keys: a shape's number above a word."""

    def __init__(
        self, puzzle: Puzzle, *, fewest: Fewest, named: frozenset[str]
    ) -> None:
        self.coding: Coding = coding(puzzle.wagons, named)
        self.limits = limits(puzzle.yard, engine_length_mm=puzzle.engine_length_mm)
        self.fewest = fewest
        holds = (self.limits.engine, *self.limits.sidings)
        by_length = sorted(
            self.coding.lengths[code] for code in self.coding.codes.values()
        )
        self.shapes: Shapes = shapes(
            [_most(by_length, hold) for hold in holds], wagons=len(by_length)
        )
        self._sure = np.array([_most(by_length[::-1], hold) for hold in holds])
        self._holds = np.array(holds, np.int64)
        self._table = table(self.shapes)
        self._rooms = bool((self.limits.across >= 0).any())

    @property
    def heaviest(self) -> int:
        """The most that one visit can weigh."""
        return {"visits": 1, "couplings": 2, "cuts_by_hand": 1 + BY_HAND}[self.fewest]

    @property
    def undirected(self) -> bool:
        """Whether every visit can be undone by one from the position it leads to, trips
        and all.
        """
        return not self._rooms

    def key(
        self, engine: Sequence[str], sidings: Sequence[Sequence[str]]
    ) -> int | None:
        """Return the key of a position; None where more wagons stand somewhere than can
        fit there.
        """
        number = self.shapes.number([len(engine), *map(len, sidings)])
        names = [*engine, *(name for siding in sidings for name in siding)]
        return (
            None
            if number is None
            else (number << self.coding.word_bits) | self.coding.word(names)
        )

    def fits(self, keys: Ints) -> Flags:
        """Tell for each position whether every string fits its road, the engine's the
        headshunt.
        """
        shape, word = self._split(keys)
        fits = np.ones(len(keys), bool)
        for place, hold in enumerate((self.limits.headshunt, *self.limits.sidings)):
            fits &= self._length(word, shape, place) <= hold
        return fits

    def string(self, keys: Ints, place: int) -> Ints:
        """Return what stands at a place (0: on the engine) in each position, as a
        word.
        """
        shape, word = self._split(keys)
        string = word >> (self.shapes.before[shape, place] * self.coding.bits)
        return np.asarray(string & self.coding.mask(self.shapes.counts[shape, place]))

    def visit(self, before: int, after: int) -> tuple[int, int]:
        """Return the siding (counted from 1) and the wagons picked (dropped: less than
        0) between two keys.
        """
        one, other = (
            self.shapes.counts[key >> self.coding.word_bits] for key in (before, after)
        )
        picked = int(other[0] - one[0])
        return int(np.flatnonzero(one[1:] != other[1:])[0]) + 1, picked

    def neighbours(self, keys: Ints, *, trip: int, onward: bool) -> Iterator[Found]:
        """Yield what one visit leads to from positions of one trip; not ``onward``:
        what one visit leads from.
        """
        pairs = self._fitting(self._pairs(keys))
        for fresh_trip, some in self._by_trip(pairs, trip, onward=onward):
            for weight, alike in self._by_weight(some, onward=onward):
                yield Found(weight, fresh_trip, alike.after)

    def _split(self, keys: Ints) -> tuple[Ints, Ints]:
        return keys >> self.coding.word_bits, keys & ((1 << self.coding.word_bits) - 1)

    @cached_property
    def _blocks(self) -> tuple[Ints, Ints, Ints, Ints, Ints, Ints]:
        """For each visit: the bits that stay, that come forward, that go back, how far
        each, and the new shape.
        """
        rows, mask, bits = self._table, self.coding.mask, self.coding.bits
        low, through = mask(rows.low), mask(rows.low + rows.one + rows.two)
        stay = mask(self.coding.wagons) & ~(through ^ low)
        forward = mask(rows.low + rows.two) ^ low
        back = mask(rows.low + rows.one) ^ low
        return (
            stay,
            forward,
            back,
            rows.one * bits,
            rows.two * bits,
            rows.target << self.coding.word_bits,
        )

    def _pairs(self, keys: Ints) -> _Pairs:
        stay, forward, back, down, up, shape_after = self._blocks
        shape, word = self._split(keys)
        count = self._table.count[shape]
        skipped = self._table.first[shape] - np.cumsum(count) + count
        visit = np.arange(int(count.sum())) + np.repeat(skipped, count)
        before = np.repeat(word, count)
        after = (
            (before & stay[visit])
            | ((before >> down[visit]) & forward[visit])
            | shape_after[visit]
        )
        after |= (before & back[visit]) << up[visit]
        return _Pairs(visit, before, after)

    @cached_property
    def _growing(self) -> tuple[Flags, Ints, Ints, Ints]:
        """For each visit, of the string that grows: whether its fit must be measured,
        its place, mask and limit.
        """
        rows, counts = self._table, self.shapes.counts
        picked = counts[rows.target, 0] > counts[rows.source, 0]
        place = np.where(picked, 0, rows.siding)
        after = counts[rows.target, place]
        shift = self.shapes.before[rows.target, place] * self.coding.bits
        return (
            after > self._sure[place],
            shift,
            self.coding.mask(after),
            self._holds[place],
        )

    def _fitting(self, pairs: _Pairs) -> _Pairs:
        doubtful, shift, mask, limit = self._growing
        if not doubtful.any():
            return pairs
        asked = np.flatnonzero(doubtful[pairs.visit])
        visit = pairs.visit[asked]
        string = (pairs.after[asked] >> shift[visit]) & mask[visit]
        fits = np.ones(len(pairs.visit), bool)
        fits[asked] = self.coding.measure(string) <= limit[visit]
        return pairs.where(fits)

    def _length(self, word: Ints, shape: Ints, place: Ints | int) -> Ints:
        string = word >> (self.shapes.before[shape, place] * self.coding.bits)
        return self.coding.measure(
            string & self.coding.mask(self.shapes.counts[shape, place])
        )

    def _by_trip(
        self, pairs: _Pairs, trip: int, *, onward: bool
    ) -> Iterator[tuple[int, _Pairs]]:
        """Yield the pairs that the rooms allow, by the trip of the position they lead
        to (or from).
        """
        if not self._rooms:
            yield 0, pairs
            return
        across = self.limits.across
        if trip:
            siding, source = (
                self._table.siding[pairs.visit],
                self._table.source[pairs.visit],
            )
            length = self._length(pairs.before, source, 0)
            pairs = pairs.where(
                across[trip, siding] >= length if onward else siding == trip
            )
        shape, word = self._split(pairs.after)
        length = self._length(word, shape, 0)
        headshunt = length <= self.limits.headshunt
        yield 0, pairs.where(headshunt)
        siding = self._table.siding[pairs.visit]
        for other in range(1, len(across)):
            room = across[other].max() if onward else across[other, siding]
            yield (
                other,
                pairs.where(
                    ~headshunt & (length <= room) & ((siding == other) == onward)
                ),
            )

    def _by_weight(
        self, pairs: _Pairs, *, onward: bool
    ) -> Iterator[tuple[int, _Pairs]]:
        if self.fewest == "visits":
            yield 1, pairs
        elif self.fewest == "couplings":
            dear = self._table.couplings[pairs.visit] > 1
            yield 1, pairs.where(~dear)
            yield 2, pairs.where(dear)
        else:
            by_hand = self._by_hand(pairs, onward=onward)
            yield 1, pairs.where(~by_hand)
            yield 1 + BY_HAND, pairs.where(by_hand)

    def _by_hand(self, pairs: _Pairs, *, onward: bool) -> Flags:
        """Tell for each pair whether the visit, made onward, ends with a cut that no
        uncoupling place can make.
        """
        rows, siding = self._table, self._table.siding[pairs.visit]
        shape = (rows.target if onward else rows.source)[pairs.visit]
        word = self._split(pairs.after)[1] if onward else pairs.before
        left = self._length(word, shape, siding)
        free = (left == 0) | (left <= self.limits.left_free[siding])
        return np.asarray(
            ~(free | (self._length(word, shape, 0) <= self.limits.kept_free))
        )


def _most(lengths: Sequence[int], hold: int) -> int:
    """Return how many of the lengths, taken in order, fit."""
    total = np.cumsum(np.asarray(lengths, np.int64))
    return int(np.searchsorted(total, hold, side="right"))
