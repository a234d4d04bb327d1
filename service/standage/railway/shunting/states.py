"""Every position of a yard as one number, so that thousands are reckoned with at once.

A position's *word* holds the wagons' codes one after the other, a few bits each: the
engine's string first (nearest the engine lowest), then each siding's from its points.
How many stand in each is its *shape*, a number of its own above the word. Wagons that
the goal names have a code each; others that are equally long share one. Code 0 means
none.

Lengths are whole millionths of a millimetre here, so that sums are exact.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from standage.railway.shunting.yard import Wagon
from standage.railway.terms.figures import grains

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

# of a word, measured by one look-up; a multiple of every number of bits that a code may
# have
_PIECE_BITS = 12


@dataclass(frozen=True)
class Coding:
    """Which code each wagon has, and how long a wagon of each code is."""

    codes: Mapping[str, int]
    lengths: tuple[int, ...]
    """By code, in grains; that of code 0 is 0."""

    @property
    def wagons(self) -> int:
        """How many wagons there are."""
        return len(self.codes)

    @property
    def bits(self) -> int:
        """How many bits one code takes."""
        last_code = len(self.lengths) - 1
        return max(1, last_code.bit_length())

    @property
    def word_bits(self) -> int:
        """How many bits all wagons take; at most 48."""
        return self.bits * self.wagons

    @cached_property
    def _by_piece(self) -> Ints:
        padded = np.zeros(1 << self.bits, np.int64)
        padded[: len(self.lengths)] = self.lengths
        one_code = (1 << self.bits) - 1
        pieces = np.arange(1 << _PIECE_BITS)
        total = np.zeros(len(pieces), np.int64)
        for shift in range(0, _PIECE_BITS, self.bits):
            codes = (pieces >> shift) & one_code
            total += padded[codes]
        return total

    def measure(self, words: Ints) -> Ints:
        """Return how long the wagons in each word, or in each masked part of one, are
        together.
        """
        table = self._by_piece
        one_piece = (1 << _PIECE_BITS) - 1
        total: Ints = table[words & one_piece]
        for shift in range(_PIECE_BITS, self.word_bits, _PIECE_BITS):
            total = total + table[(words >> shift) & one_piece]
        return total

    def mask(self, wagons: Ints | int) -> Ints:
        """Return the bits that so many wagons take at the low end of a word."""
        bits = np.asarray(wagons, np.int64) * self.bits
        above = np.int64(1) << bits
        return np.asarray(above - 1)

    def word(self, names: Iterable[str]) -> int:
        """Return the word of wagons in their order."""
        word = 0
        for place, name in enumerate(names):
            word |= self.codes[name] << (place * self.bits)
        return word


def coding(wagons: Sequence[Wagon], named: frozenset[str]) -> Coding:
    """Return the coding in which only wagons that are not ``named`` and are equally
    long share a code. Lengths are equal that are so to a millionth of a millimetre.
    **Source** derived.
    """
    lengths = [0]  # that of code 0, which is no wagon
    codes: dict[str, int] = {}
    shared: dict[int, int] = {}
    for wagon in wagons:
        length = grains(wagon.length_mm)
        is_named = wagon.name in named
        if not is_named and length in shared:
            codes[wagon.name] = shared[length]
            continue
        code = len(lengths)
        lengths.append(length)
        codes[wagon.name] = code
        if not is_named:
            shared[length] = code
    return Coding(
        codes=codes,
        lengths=tuple(lengths),
    )


@dataclass(frozen=True)
class Shapes:
    """All ways of sharing out the wagons among the engine and the sidings, by
    number.
    """

    counts: Ints
    """One row a shape: how many are on the engine, then in each siding."""

    radix: int

    @cached_property
    def _weights(self) -> Ints:
        places = self.counts.shape[1]
        powers = np.arange(places, dtype=np.int64)[::-1]
        radix = np.int64(self.radix)
        return radix**powers

    @cached_property
    def _keys(self) -> Ints:
        keys: Ints = self.counts @ self._weights
        return keys

    @cached_property
    def before(self) -> Ints:
        """How many wagons come before each place in the word, one row a shape."""
        sums = np.cumsum(self.counts, axis=1)
        return np.asarray(sums - self.counts)

    def after_pick(self, siding: int, wagons: int) -> tuple[Ints, Ints]:
        """Return the shapes from which so many can be picked in a siding (counted from
        1), and those they lead to.
        """
        source = np.flatnonzero(self.counts[:, siding] >= wagons)
        moved = self._weights[0] - self._weights[siding]
        wanted = self._keys[source] + wagons * moved
        place = np.searchsorted(self._keys, wanted)
        # what lies beyond the last shape is looked up as the last, and is not it
        target = np.minimum(place, len(self._keys) - 1)
        there = self._keys[target] == wanted
        return source[there], target[there]

    def number(self, counts: Sequence[int]) -> int | None:
        """Return the number of the shape with these counts, if it is one."""
        wanted = np.asarray(counts, np.int64) @ self._weights
        place = int(np.searchsorted(self._keys, wanted))
        if place == len(self._keys):
            return None
        if self._keys[place] != wanted:
            return None
        return place


def shapes(most: Sequence[int], *, wagons: int) -> Shapes:
    """Return the ways of sharing out so many ``wagons`` with at most so many at each
    place, the engine first. There is none where they cannot all stand. **Source**
    derived.
    """
    rows = np.zeros((1, 0), np.int64)
    left = np.full(1, wagons, np.int64)
    for place, here in enumerate(most):
        later = sum(most[place + 1 :])
        choices = here + 1
        taken = np.tile(np.arange(choices), len(rows))
        repeated = np.repeat(rows, choices, axis=0)
        left = np.repeat(left, choices) - taken
        # what is left must find room in the places to come
        possible = (left >= 0) & (left <= later)
        rows = np.column_stack((repeated, taken))[possible]
        left = left[possible]
    return Shapes(
        counts=rows,
        radix=wagons + 1,
    )
