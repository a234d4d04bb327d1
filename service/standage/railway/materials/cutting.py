"""Pieces of track cut from stock lengths, as few as can be.

Lengths are whole millionths of a mm within, so that what fills a stock length exactly
does. A piece and the cut beside it go into a length that is longer by one cut: the last
piece needs none.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate

import msgspec

from standage.railway.terms.figures import grains, tidy

_GRAINS = 1_000_000
MOST_TRIED = 24
"""Of so many cuts every way is tried, as long as it takes no more than
``MOST_STEPS``."""
MOST_STEPS = 40_000


class Cut(msgspec.Struct, frozen=True, kw_only=True):
    """A length of track to be cut, and the piece that it is for."""

    piece: str
    length_mm: float


class StockLength(msgspec.Struct, frozen=True, kw_only=True):
    """One stock length, or several cut alike; what is ``left_mm`` of each is without
    the saw's cuts.
    """

    times: int
    cuts: tuple[Cut, ...]
    left_mm: float


class Cutting(msgspec.Struct, frozen=True, kw_only=True):
    """A cut list: no list does with fewer than ``at_least`` stock lengths."""

    lengths: tuple[StockLength, ...]
    needed: int
    at_least: int

    @property
    def is_proved(self) -> bool:
        """Whether no other list does with fewer."""
        return self.needed == self.at_least


def in_lengths(length_mm: float, *, stock_length_mm: float) -> tuple[int, float]:
    """Return how many whole stock lengths a piece takes, and what is left to be cut, in
    mm. **Source** derived.

    >>> in_lengths(2400.0, stock_length_mm=914.0), in_lengths(914.0, stock_length_mm=914.0)
    ((2, 572.0), (1, 0.0))
    """
    whole, rest = divmod(grains(length_mm), grains(stock_length_mm))
    return whole, tidy(rest / _GRAINS)


def cutting(wanted: Iterable[Cut], *, stock_length_mm: float, saw_mm: float) -> Cutting:
    """Return how pieces are cut from stock lengths, longer ones from whole lengths and
    one cut.

    ``saw_mm`` is what each cut takes. Of nothing to cut the list is empty. **Source**
    derived; the bound is L2 of Martello and Toth (1990).
    """
    lengths: list[StockLength] = []
    rests: list[Cut] = []
    for one in wanted:
        whole, rest_mm = in_lengths(one.length_mm, stock_length_mm=stock_length_mm)
        if whole:
            cut = Cut(piece=one.piece, length_mm=stock_length_mm)
            lengths.append(StockLength(times=whole, cuts=(cut,), left_mm=0.0))
        if rest_mm > 0:
            rests.append(Cut(piece=one.piece, length_mm=rest_mm))
    rests.sort(key=lambda one: (-one.length_mm, one.piece))
    saw = grains(saw_mm)
    sizes = [grains(one.length_mm) + saw for one in rests]
    room = grains(stock_length_mm) + saw
    bins, bound = _packed(sizes, room)
    whole_lengths = sum(one.times for one in lengths)
    for numbers in bins:
        cuts = tuple(rests[number] for number in numbers)
        left = room - sum(sizes[number] for number in numbers)
        # the last cut may take what is left, and is then none
        left_mm = max(0, left - saw) / _GRAINS
        lengths.append(StockLength(times=1, cuts=cuts, left_mm=tidy(left_mm)))
    return Cutting(
        lengths=tuple(lengths),
        needed=whole_lengths + len(bins),
        at_least=whole_lengths + bound,
    )


def _packed(sizes: Sequence[int], room: int) -> tuple[list[list[int]], int]:
    """Return sizes, longest first, in rooms by their numbers, and how many rooms there
    are at least.
    """
    found = _first_fit(sizes, room)
    bound = _bound(sizes, room)
    if len(sizes) > MOST_TRIED:
        return found, bound
    search = _Search(sizes, room)
    while len(found) > bound:
        fewer = search.into(len(found) - 1)
        if search.stopped:
            break
        if fewer is None:
            bound = len(found)
        else:
            found = fewer
    return found, bound


def _first_fit(sizes: Sequence[int], room: int) -> list[list[int]]:
    """Return each size in the first room that has place for it, by a tree that knows
    the most that is free below each of its forks.
    """
    leaves = 1
    while leaves < len(sizes):
        leaves *= 2
    free = [room] * (2 * leaves)
    bins: list[list[int]] = []
    for number, size in enumerate(sizes):
        at = 1
        while at < leaves:
            at *= 2
            at += free[at] < size
        place = at - leaves
        if place == len(bins):
            bins.append([])
        bins[place].append(number)
        free[at] -= size
        while at > 1:
            at //= 2
            free[at] = max(free[2 * at], free[2 * at + 1])
    return bins


def _bound(sizes: Sequence[int], room: int) -> int:
    """Return how many rooms are needed at least. **Source** Martello and Toth, bound
    L2.
    """
    rising = sorted(sizes)
    sums = list(accumulate(rising, initial=0))
    half = bisect_right(rising, room // 2)
    small = dict.fromkeys((0, *rising[:half]))
    return max(_bound_by(rising, sums, half, least, room=room) for least in small)


def _bound_by(
    rising: Sequence[int], sums: Sequence[int], half: int, least: int, *, room: int
) -> int:
    """Return the bound that leaves out sizes below ``least``: the large ones each have
    a room of their own, and the small ones go beside those where they can.
    """
    alone = bisect_right(rising, room - least)
    from_least = bisect_left(rising, least)
    large = len(rising) - half
    beside = (alone - half) * room - (sums[alone] - sums[half])
    over = sums[half] - sums[from_least] - beside
    return large + max(0, -(-over // room))


class _Search:
    """Tries every way of putting sizes into rooms, up to so many steps in all."""

    def __init__(self, sizes: Sequence[int], room: int) -> None:
        self._sizes = sizes
        self._room = room
        self._steps = 0
        self._free: list[int] = []
        self._bins: list[list[int]] = []

    @property
    def stopped(self) -> bool:
        """Whether it was broken off."""
        return self._steps > MOST_STEPS

    def into(self, count: int) -> list[list[int]] | None:
        """Return the sizes in so many rooms; None where they do not go in."""
        self._free = [self._room] * count
        self._bins = [[] for _ in range(count)]
        return self._bins if self._place(0) else None

    def _place(self, number: int) -> bool:
        if number == len(self._sizes):
            return True
        self._steps += 1
        if self.stopped or not self._may_go_in(number):
            return False
        size = self._sizes[number]
        for place in self._places(size):
            self._free[place] -= size
            self._bins[place].append(number)
            if self._place(number + 1):
                return True
            self._bins[place].pop()
            self._free[place] += size
        return False

    def _may_go_in(self, number: int) -> bool:
        """Tell whether what is free, in rooms that still take something, is enough."""
        least = self._sizes[-1]
        usable = sum(free for free in self._free if free >= least)
        return usable >= sum(self._sizes[number:])

    def _places(self, size: int) -> Iterator[int]:
        """Yield the rooms that take a size, of those with as much free one alone."""
        tried: set[int] = set()
        for place, free in enumerate(self._free):
            if free >= size and free not in tried:
                tried.add(free)
                yield place
