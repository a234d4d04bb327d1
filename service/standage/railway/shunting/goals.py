"""The positions that a goal asks for: how to tell one, and all of them where they are
not too many.
"""

from collections.abc import Iterator
from functools import cached_property
from math import factorial, prod

import numpy as np

from standage.railway.shunting.states import Ints
from standage.railway.shunting.visits import Visits
from standage.railway.shunting.yard import Puzzle, Rest


class Goals:
    """What one puzzle's goal asks of a position."""

    def __init__(self, puzzle: Puzzle, visits: Visits) -> None:
        self._visits = visits
        self._coding = visits.coding
        wanted = (puzzle.goal.engine, *puzzle.goal.contents(puzzle.yard.sidings))
        self._wanted = {
            place: names for place, names in enumerate(wanted) if names is not None
        }
        self._fixed = {
            place: visits.coding.word(names)
            for place, names in enumerate(wanted)
            if names is not None
        }
        named = {name for names in wanted if names is not None for name in names}
        others = [
            visits.coding.codes[wagon.name]
            for wagon in puzzle.wagons
            if wagon.name not in named
        ]
        self._others = np.bincount(
            np.array(others, np.int64), minlength=len(visits.coding.lengths)
        )
        counts = {
            place: len(names) for place, names in enumerate(wanted) if names is not None
        }
        self.shapes = _shapes(visits.shapes.counts, counts, rest=puzzle.goal.rest)

    @property
    def arrangements(self) -> int:
        """In how many ways the wagons that are not named can follow each other."""
        return factorial(int(self._others.sum())) // prod(
            factorial(int(one)) for one in self._others
        )

    @property
    def most(self) -> int:
        """No more positions than this are what the goal asks for."""
        return self.arrangements * len(self.shapes)

    @cached_property
    def _asked(self) -> tuple[Ints, Ints, Ints]:
        """By shape: whether it is one of the goal's, which bits of the word it fixes,
        and to what.
        """
        forms, bits = self._visits.shapes, self._coding.bits
        asked = np.zeros(len(forms.counts), bool)
        asked[self.shapes] = True
        mask, value = (np.zeros(len(forms.counts), np.int64) for _ in range(2))
        for place, word in self._fixed.items():
            shift = forms.before[self.shapes, place] * bits
            mask[self.shapes] |= (
                self._coding.mask(forms.counts[self.shapes, place]) << shift
            )
            value[self.shapes] |= np.int64(word) << shift
        return asked, mask, value

    def met(self, keys: Ints) -> Ints:
        """Return those of the positions (of trip 0) that are what the goal asks for."""
        asked, mask, value = self._asked
        shape = keys >> self._coding.word_bits
        return np.asarray(keys[asked[shape] & ((keys & mask[shape]) == value[shape])])

    def strings(self, keys: Ints, place: int) -> Ints:
        """Return what stands at a place, as a word, each once: in positions whose shape
        the goal asks for.
        """
        asked, *_ = self._asked
        keys = keys[asked[keys >> self._coding.word_bits]]
        return np.unique(self._visits.string(keys, place))

    def nearest(self, keys: Ints, most: int) -> Ints:
        """Return, in order, at most so many of the positions: those that look nearest
        to the goal.
        """
        if len(keys) <= most:
            return keys
        return np.sort(keys[np.argsort(-self._nearness(keys), kind="stable")[:most]])

    def _nearness(self, keys: Ints) -> Ints:
        """Tell how near each position looks: wagons in place at the far end count for
        it, those in the way against.
        """
        forms, bits = self._visits.shapes, self._coding.bits
        shape, word = (
            keys >> self._coding.word_bits,
            keys & ((1 << self._coding.word_bits) - 1),
        )
        nearness = np.zeros(len(keys), np.int64)
        for place, names in (
            (place, names) for place, names in self._wanted.items() if place
        ):
            count, first = forms.counts[shape, place], forms.before[shape, place]
            right, placed, wanted = (
                np.ones(len(keys), bool),
                np.zeros(len(keys), np.int64),
                np.zeros(len(keys), np.int64),
            )
            for back, name in enumerate(reversed(names), 1):
                code = self._coding.codes[name]
                wanted[right] = code
                standing = (word >> (np.maximum(first + count - back, 0) * bits)) & (
                    (1 << bits) - 1
                )
                right &= (back <= count) & (standing == code)
                placed += right
                wanted[right] = 0
            nearness += (
                8 * placed - 2 * (count - placed) - self._covered(word, shape, wanted)
            )
        return nearness

    def _covered(self, word: Ints, shape: Ints, wanted: Ints) -> Ints:
        """Return how many wagons stand before the wanted one (a code; 0: none) in the
        same siding.
        """
        forms, bits = self._visits.shapes, self._coding.bits
        covered = np.zeros(len(word), np.int64)
        for at in range(self._coding.wagons):
            here = (wanted > 0) & (
                ((word >> (at * bits)) & ((1 << bits) - 1)) == wanted
            )
            ahead = np.max(
                np.where(forms.before[shape] <= at, forms.before[shape], 0), axis=1
            )
            covered[here] = (at - ahead)[here]
        return covered

    def all(self) -> Ints:
        """Return every position that the goal asks for and that fits, in order."""
        words = self._orders()
        found = (
            self._placed(words, int(shape))
            | (np.int64(shape) << self._coding.word_bits)
            for shape in self.shapes
        )
        keys = np.concatenate([np.zeros(0, np.int64), *found])
        return np.unique(keys[self._visits.fits(keys)])

    def _orders(self) -> Ints:
        """Return a word for every order of the wagons that are not named."""
        words, left = np.zeros(1, np.int64), self._others[np.newaxis].copy()
        for place in range(int(self._others.sum())):
            parts = list(self._with_one_more(words, left, place))
            words, left = (
                np.concatenate(column) for column in zip(*parts, strict=True)
            )
        return words

    def _with_one_more(
        self, words: Ints, left: Ints, place: int
    ) -> Iterator[tuple[Ints, Ints]]:
        for code in np.flatnonzero(self._others):
            some = left[:, code] > 0
            fewer = left[some]
            fewer[:, code] -= 1
            yield words[some] | (np.int64(code) << (place * self._coding.bits)), fewer

    def _placed(self, words: Ints, shape: int) -> Ints:
        """Return the words of a shape's positions: what the goal names in its place,
        the others around it.
        """
        keys = np.zeros(len(words), np.int64)
        for place, count in enumerate(self._visits.shapes.counts[shape]):
            shift = int(self._visits.shapes.before[shape, place]) * self._coding.bits
            if place in self._fixed:
                keys |= np.int64(self._fixed[place]) << shift
            else:
                keys |= (words & self._coding.mask(int(count))) << shift
                words = words >> (int(count) * self._coding.bits)
        return keys


def _shapes(counts: Ints, fixed: dict[int, int], *, rest: Rest) -> Ints:
    """Return the numbers of the shapes with these counts at the fixed places, the rest
    as the goal allows.
    """
    fits = np.ones(len(counts), bool)
    for place, count in fixed.items():
        fits &= counts[:, place] == count
    if rest != "anywhere":
        fits &= counts[:, 0] == 0
    if rest == "one_siding":
        others = [place for place in range(1, counts.shape[1]) if place not in fixed]
        fits &= np.count_nonzero(counts[:, others], axis=1) <= 1
    return np.flatnonzero(fits)
