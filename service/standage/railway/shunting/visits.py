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
from itertools import chain
from typing import NamedTuple

import numpy as np

from standage.railway.shunting.states import Coding, Flags, Ints, Shapes, coding, shapes
from standage.railway.shunting.yard import Fewest, Puzzle, Yard
from standage.railway.terms.figures import grains

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
        most_across = int(self.across.max())
        return max(self.headshunt, most_across)


def limits(yard: Yard, *, engine_length_mm: float) -> Limits:
    """Return the yard's lengths as the search uses them. In grains, millionths of a
    millimetre, the engine's length taken off the headshunt's. **Source** derived.
    """
    engine = grains(engine_length_mm)
    headshunt = grains(yard.headshunt_usable_length_mm)
    return Limits(
        headshunt=headshunt - engine,
        sidings=tuple(grains(siding.usable_length_mm) for siding in yard.sidings),
        across=_across(yard, headshunt=headshunt, engine=engine),
        left_free=_left_free(yard),
        kept_free=_kept_free(yard, longest=headshunt - engine),
    )


def _across(yard: Yard, *, headshunt: int, engine: int) -> Ints:
    number = {siding.name: place for place, siding in enumerate(yard.sidings, 1)}
    size = len(number) + 1
    across = np.full((size, size), -1, np.int64)
    for room in yard.rooms:
        one, other = (number[name] for name in room.between)
        length = grains(room.room_mm)
        if length > headshunt:
            across[one, other] = length - engine
            across[other, one] = length - engine
    return across


def _left_free(yard: Yard) -> Ints:
    left_free = [-1]  # sidings are counted from 1
    for siding in yard.sidings:
        usable = grains(siding.usable_length_mm)
        places_mm = siding.uncoupling_places_mm or ()
        beyond = (usable - grains(place_mm) for place_mm in places_mm)
        left_free.append(max(beyond, default=-1))
    return np.array(left_free, np.int64)


def _kept_free(yard: Yard, *, longest: int) -> int:
    # a cut in the headshunt leaves nothing there unless what is uncoupled is pushed on
    if not yard.uncoupled_ahead:
        return -1
    places_mm = yard.headshunt_uncoupling_places_mm or ()
    beyond = (longest - grains(place_mm) for place_mm in places_mm)
    return max(beyond, default=-1)


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
    """Return every visit between shapes: picks, and the drops that undo them.
    **Source** derived: the two blocks of a line that a visit exchanges.
    """
    places = forms.counts.shape[1]
    parts = [_picks_and_drops(forms, siding) for siding in range(1, places)]
    visits = np.concatenate(parts, axis=1)
    order = np.argsort(visits[0], kind="stable")
    source, target, siding, couplings, low, one, two = visits[:, order]
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


def _picks_and_drops(forms: Shapes, siding: int) -> Ints:
    """Return the columns of the table for one siding, from source to two."""
    found = [np.zeros((7, 0), np.int64)]
    standing = forms.counts[:, siding]
    between = forms.before[:, siding] - forms.counts[:, 0]
    most = int(standing.max(initial=0))
    for wagons in range(1, most + 1):
        source, target = forms.after_pick(siding, wagons)
        moved = np.full(len(source), wagons)
        where = np.full(len(source), siding)
        # a second coupling is taken apart where some stay behind
        cost = 1 + (standing[source] > wagons)
        low = forms.counts[source, 0]
        passed = between[source]
        pick = (source, target, where, cost, low, passed, moved)
        drop = (target, source, where, cost, low, moved, passed)
        found.append(np.stack(pick))
        found.append(np.stack(drop))
    return np.concatenate(found, axis=1)


class _Pairs(NamedTuple):
    """Positions with one visit each, and what it makes of them."""

    visit: Ints
    before: Ints
    after: Ints

    def where(self, wanted: Flags) -> "_Pairs":
        """Return the pairs that are flagged, in their order."""
        visit = self.visit[wanted]
        before = self.before[wanted]
        after = self.after[wanted]
        return _Pairs(visit, before, after)


class _Blocks(NamedTuple):
    """For each visit: the bits that stay, that come forward, that go back, how far
    each, and the new shape.
    """

    stay: Ints
    forward: Ints
    back: Ints
    down: Ints
    up: Ints
    shape_after: Ints


class _Growing(NamedTuple):
    """For each visit, of the string that grows: whether its fit must be measured, its
    place, mask and limit.
    """

    doubtful: Flags
    shift: Ints
    mask: Ints
    limit: Ints


class Visits:
    """The visits of one puzzle. Positions are keys: a shape's number above a word."""

    def __init__(
        self, puzzle: Puzzle, *, fewest: Fewest, named: frozenset[str]
    ) -> None:
        self.coding: Coding = coding(puzzle.wagons, named)
        self.limits = limits(puzzle.yard, engine_length_mm=puzzle.engine_length_mm)
        self.fewest = fewest
        holds = (self.limits.engine, *self.limits.sidings)
        codes = self.coding.codes.values()
        shortest_first = sorted(self.coding.lengths[code] for code in codes)
        longest_first = shortest_first[::-1]
        most = [_most(shortest_first, hold) for hold in holds]
        self.shapes: Shapes = shapes(most, wagons=len(shortest_first))
        # so many fit whichever they are; of more the lengths must be added up
        self._sure = np.array([_most(longest_first, hold) for hold in holds])
        self._holds = np.array(holds, np.int64)
        self._table = table(self.shapes)
        self._rooms = bool((self.limits.across >= 0).any())

    @property
    def heaviest(self) -> int:
        """The most that one visit can weigh."""
        if self.fewest == "visits":
            return 1
        if self.fewest == "couplings":
            return 2
        return 1 + BY_HAND

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
        strings = [engine, *sidings]
        number = self.shapes.number([len(string) for string in strings])
        if number is None:
            return None
        word = self.coding.word(chain.from_iterable(strings))
        return (number << self.coding.word_bits) | word

    def fits(self, keys: Ints) -> Flags:
        """Tell for each position whether every string fits its road, the engine's the
        headshunt.
        """
        shape, word = self._split(keys)
        fits = np.ones(len(keys), bool)
        holds = (self.limits.headshunt, *self.limits.sidings)
        for place, hold in enumerate(holds):
            length = self._length(word, shape, place)
            fits &= length <= hold
        return fits

    def string(self, keys: Ints, place: int) -> Ints:
        """Return what stands at a place (0: on the engine) in each position, as a
        word.
        """
        shape, word = self._split(keys)
        return self._string(word, shape, place)

    def visit(self, before: int, after: int) -> tuple[int, int]:
        """Return the siding (counted from 1) and the wagons picked (dropped: less than
        0) between two keys.
        """
        counts = self.shapes.counts
        one = counts[before >> self.coding.word_bits]
        other = counts[after >> self.coding.word_bits]
        picked = int(other[0] - one[0])
        changed = np.flatnonzero(one[1:] != other[1:])
        siding = int(changed[0]) + 1
        return siding, picked

    def neighbours(self, keys: Ints, *, trip: int, onward: bool) -> Iterator[Found]:
        """Yield what one visit leads to from positions of one trip; not ``onward``:
        what one visit leads from.
        """
        pairs = self._fitting(self._pairs(keys))
        for fresh_trip, some in self._by_trip(pairs, trip, onward=onward):
            for weight, alike in self._by_weight(some, onward=onward):
                yield Found(weight, fresh_trip, alike.after)

    def _split(self, keys: Ints) -> tuple[Ints, Ints]:
        word_bits = self.coding.word_bits
        word = keys & ((1 << word_bits) - 1)
        return keys >> word_bits, word

    @cached_property
    def _blocks(self) -> _Blocks:
        rows, mask, bits = self._table, self.coding.mask, self.coding.bits
        low = mask(rows.low)
        through = mask(rows.low + rows.one + rows.two)
        everything = mask(self.coding.wagons)
        return _Blocks(
            stay=everything & ~(through ^ low),
            forward=mask(rows.low + rows.two) ^ low,
            back=mask(rows.low + rows.one) ^ low,
            down=rows.one * bits,
            up=rows.two * bits,
            shape_after=rows.target << self.coding.word_bits,
        )

    def _pairs(self, keys: Ints) -> _Pairs:
        blocks = self._blocks
        shape, word = self._split(keys)
        count = self._table.count[shape]
        skipped = self._table.first[shape] - np.cumsum(count) + count
        visit = np.arange(int(count.sum())) + np.repeat(skipped, count)
        before = np.repeat(word, count)
        after = before & blocks.stay[visit]
        after |= (before >> blocks.down[visit]) & blocks.forward[visit]
        after |= blocks.shape_after[visit]
        after |= (before & blocks.back[visit]) << blocks.up[visit]
        return _Pairs(visit, before, after)

    @cached_property
    def _growing(self) -> _Growing:
        rows, counts = self._table, self.shapes.counts
        picked = counts[rows.target, 0] > counts[rows.source, 0]
        place = np.where(picked, 0, rows.siding)
        after = counts[rows.target, place]
        before = self.shapes.before[rows.target, place]
        return _Growing(
            doubtful=after > self._sure[place],
            shift=before * self.coding.bits,
            mask=self.coding.mask(after),
            limit=self._holds[place],
        )

    def _fitting(self, pairs: _Pairs) -> _Pairs:
        growing = self._growing
        if not growing.doubtful.any():
            return pairs
        asked = np.flatnonzero(growing.doubtful[pairs.visit])
        visit = pairs.visit[asked]
        above = pairs.after[asked] >> growing.shift[visit]
        string = above & growing.mask[visit]
        fits = np.ones(len(pairs.visit), bool)
        fits[asked] = self.coding.measure(string) <= growing.limit[visit]
        return pairs.where(fits)

    def _string(self, word: Ints, shape: Ints, place: Ints | int) -> Ints:
        before = self.shapes.before[shape, place]
        count = self.shapes.counts[shape, place]
        shift = before * self.coding.bits
        mask = self.coding.mask(count)
        return np.asarray((word >> shift) & mask)

    def _length(self, word: Ints, shape: Ints, place: Ints | int) -> Ints:
        string = self._string(word, shape, place)
        return self.coding.measure(string)

    def _by_trip(
        self, pairs: _Pairs, trip: int, *, onward: bool
    ) -> Iterator[tuple[int, _Pairs]]:
        """Yield the pairs that the rooms allow, by the trip of the position they lead
        to (or from).
        """
        if not self._rooms:
            yield 0, pairs
            return
        if trip:
            pairs = self._allowed_from(trip, pairs, onward=onward)
        shape, word = self._split(pairs.after)
        length = self._length(word, shape, 0)
        in_headshunt = length <= self.limits.headshunt
        yield 0, pairs.where(in_headshunt)
        across = self.limits.across
        siding = self._table.siding[pairs.visit]
        for other in range(1, len(across)):
            if onward:
                fits = (siding == other) & (length <= across[other].max())
            else:
                fits = (siding != other) & (length <= across[other, siding])
            yield other, pairs.where(~in_headshunt & fits)

    def _allowed_from(self, trip: int, pairs: _Pairs, *, onward: bool) -> _Pairs:
        siding = self._table.siding[pairs.visit]
        if not onward:
            return pairs.where(siding == trip)
        source = self._table.source[pairs.visit]
        length = self._length(pairs.before, source, 0)
        return pairs.where(self.limits.across[trip, siding] >= length)

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
        if onward:
            shape = rows.target[pairs.visit]
            _, word = self._split(pairs.after)
        else:
            shape = rows.source[pairs.visit]
            word = pairs.before
        left = self._length(word, shape, siding)
        kept = self._length(word, shape, 0)
        free_there = left <= self.limits.left_free[siding]
        free_ahead = kept <= self.limits.kept_free
        nothing_cut = left == 0
        return np.asarray(~(nothing_cut | free_there | free_ahead))


def _most(lengths: Sequence[int], hold: int) -> int:
    """Return how many of the lengths, taken in order, fit."""
    in_order = np.asarray(lengths, np.int64)
    total = np.cumsum(in_order)
    fit = np.searchsorted(total, hold, side="right")
    return int(fit)
