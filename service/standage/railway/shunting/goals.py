"""The positions that a goal asks for: how to tell one, and all of them where they are
not too many.
"""

from collections.abc import Iterator
from functools import cached_property
from itertools import chain
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
        goal = puzzle.goal
        contents = enumerate((goal.engine, *goal.contents(puzzle.yard.sidings)))
        self._wanted = {place: names for place, names in contents if names is not None}
        self._fixed = {
            place: self._coding.word(names) for place, names in self._wanted.items()
        }
        self._others = self._not_named(puzzle)
        counts = {place: len(names) for place, names in self._wanted.items()}
        self.shapes = _shapes(visits.shapes.counts, counts, rest=goal.rest)

    def _not_named(self, puzzle: Puzzle) -> Ints:
        """Return by code how many wagons the goal does not name."""
        named = frozenset(chain.from_iterable(self._wanted.values()))
        others = np.zeros(len(self._coding.lengths), np.int64)
        for wagon in puzzle.wagons:
            if wagon.name not in named:
                others[self._coding.codes[wagon.name]] += 1
        return others

    @property
    def arrangements(self) -> int:
        """In how many ways the wagons that are not named can follow each other."""
        alike = [factorial(int(count)) for count in self._others]
        in_all = factorial(int(self._others.sum()))
        return in_all // prod(alike)

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
        shapes = len(forms.counts)
        asked = np.zeros(shapes, bool)
        asked[self.shapes] = True
        mask = np.zeros(shapes, np.int64)
        value = np.zeros(shapes, np.int64)
        for place, word in self._fixed.items():
            shift = forms.before[self.shapes, place] * bits
            string = self._coding.mask(forms.counts[self.shapes, place])
            mask[self.shapes] |= string << shift
            value[self.shapes] |= np.int64(word) << shift
        return asked, mask, value

    def met(self, keys: Ints) -> Ints:
        """Return those of the positions (of trip 0) that are what the goal asks for."""
        asked, mask, value = self._asked
        shape = keys >> self._coding.word_bits
        as_wanted = (keys & mask[shape]) == value[shape]
        return np.asarray(keys[asked[shape] & as_wanted])

    def strings(self, keys: Ints, place: int) -> Ints:
        """Return what stands at a place, as a word, each once: in positions whose shape
        the goal asks for.
        """
        asked, *_ = self._asked
        shape = keys >> self._coding.word_bits
        strings = self._visits.string(keys[asked[shape]], place)
        return np.unique(strings)

    def nearest(self, keys: Ints, most: int) -> Ints:
        """Return, in order, at most so many of the positions: those that look nearest
        to the goal.
        """
        if len(keys) <= most:
            return keys
        # stable, so that of equally near ones the same are kept on every machine
        nearest_first = np.argsort(-self._nearness(keys), kind="stable")
        return np.sort(keys[nearest_first[:most]])

    def _nearness(self, keys: Ints) -> Ints:
        """Tell how near each position looks: wagons in place at the far end count for
        it, those in the way against.
        """
        shape = keys >> self._coding.word_bits
        word = keys & ((1 << self._coding.word_bits) - 1)
        nearness = np.zeros(len(keys), np.int64)
        for place in self._wanted:
            if place == 0:
                continue  # nothing is in the way on the engine
            placed, wanted = self._in_place(word, shape, place)
            others = self._visits.shapes.counts[shape, place] - placed
            nearness += 8 * placed - 2 * others - self._covered(word, shape, wanted)
        return nearness

    def _in_place(self, word: Ints, shape: Ints, place: int) -> tuple[Ints, Ints]:
        """Return how many wagons stand as wanted from the far end of a siding, and the
        code of the first that does not (0: none).
        """
        forms, bits = self._visits.shapes, self._coding.bits
        one_code = (1 << bits) - 1
        count = forms.counts[shape, place]
        end = forms.before[shape, place] + count
        right = np.ones(len(word), bool)
        placed = np.zeros(len(word), np.int64)
        wanted = np.zeros(len(word), np.int64)
        for back, name in enumerate(reversed(self._wanted[place]), 1):
            code = self._coding.codes[name]
            wanted[right] = code
            at = np.maximum(end - back, 0)
            standing = (word >> (at * bits)) & one_code
            right &= (back <= count) & (standing == code)
            placed += right
            wanted[right] = 0
        return placed, wanted

    def _covered(self, word: Ints, shape: Ints, wanted: Ints) -> Ints:
        """Return how many wagons stand before the wanted one (a code; 0: none) in the
        same siding.
        """
        bits = self._coding.bits
        one_code = (1 << bits) - 1
        before = self._visits.shapes.before[shape]
        covered = np.zeros(len(word), np.int64)
        for at in range(self._coding.wagons):
            standing = (word >> (at * bits)) & one_code
            here = (wanted > 0) & (standing == wanted)
            begun = np.where(before <= at, before, 0)
            ahead = at - np.max(begun, axis=1)
            covered[here] = ahead[here]
        return covered

    def all(self) -> Ints:
        """Return every position that the goal asks for and that fits, in order."""
        words = self._orders()
        found = [np.zeros(0, np.int64)]
        for shape in self.shapes:
            number = np.int64(shape) << self._coding.word_bits
            found.append(self._placed(words, int(shape)) | number)
        keys = np.concatenate(found)
        return np.unique(keys[self._visits.fits(keys)])

    def _orders(self) -> Ints:
        """Return a word for every order of the wagons that are not named."""
        words = np.zeros(1, np.int64)
        left = self._others[np.newaxis].copy()
        for place in range(int(self._others.sum())):
            longer = list(self._with_one_more(words, left, place))
            words = np.concatenate([words for words, _ in longer])
            left = np.concatenate([left for _, left in longer])
        return words

    def _with_one_more(
        self, words: Ints, left: Ints, place: int
    ) -> Iterator[tuple[Ints, Ints]]:
        shift = place * self._coding.bits
        for code in np.flatnonzero(self._others):
            some = left[:, code] > 0
            fewer = left[some]
            fewer[:, code] -= 1
            longer = words[some] | (np.int64(code) << shift)
            yield longer, fewer

    def _placed(self, words: Ints, shape: int) -> Ints:
        """Return the words of a shape's positions: what the goal names in its place,
        the others around it.
        """
        forms, bits = self._visits.shapes, self._coding.bits
        keys = np.zeros(len(words), np.int64)
        for place, count in enumerate(forms.counts[shape]):
            shift = int(forms.before[shape, place]) * bits
            if place in self._fixed:
                keys |= np.int64(self._fixed[place]) << shift
                continue
            string = words & self._coding.mask(int(count))
            keys |= string << shift
            words = words >> (int(count) * bits)
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
        sidings = range(1, counts.shape[1])
        others = [place for place in sidings if place not in fixed]
        taken = np.count_nonzero(counts[:, others], axis=1)
        fits &= taken <= 1
    return np.flatnonzero(fits)
