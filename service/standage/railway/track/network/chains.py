"""Courses that follow each other by the first way on, to go far along them at once.

A *chain* runs on from course to course until there is no way on, until a length is not
known, or until it meets a course that is in a chain already, its own included: then
that is where it goes on.
"""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from math import ceil

import msgspec

_LEAST_RING_MM = 1e-6
"""A shorter ring has no length: who goes round it as often as it takes never ends."""


class Chain(msgspec.Struct, frozen=True):
    """Courses in their order, and how far from the first each of them ends.

    ``onwards`` is the course with which it goes on; None where it ends.
    """

    courses: tuple[int, ...]
    ends_mm: tuple[float, ...]
    onwards: int | None

    def start_mm(self, place: int) -> float:
        """Return how far from the first its course at a place begins."""
        if place:
            return self.ends_mm[place - 1]
        return 0.0


class Chains:
    """All courses of a network in chains.

    Takes as many steps to make as there are courses. ``ways`` are those on from each,
    ``lengths_mm`` one for each strand.
    """

    def __init__(
        self, ways: Sequence[tuple[int, ...]], lengths_mm: Sequence[float | None]
    ) -> None:
        self._ways = ways
        self._lengths_mm = lengths_mm
        self._at: list[tuple[int, int] | None] = [None] * len(ways)
        self._chains: list[Chain] = []
        for course in self._firsts():
            if self._at[course] is None:
                self._add(course)

    def _firsts(self) -> Iterator[int]:
        """Yield those first to which none leads, so that chains are long; then all."""
        led_to = bytearray(len(self._ways))
        for ways in self._ways:
            for onwards in ways[:1]:
                led_to[onwards] = 1
        yield from (course for course, is_led in enumerate(led_to) if not is_led)
        yield from range(len(self._ways))

    def _add(self, first: int) -> None:
        number = len(self._chains)
        courses: list[int] = []
        ends_mm: list[float] = []
        at_mm = 0.0
        here: int | None = first
        while here is not None and self._at[here] is None:
            self._at[here] = (number, len(courses))
            courses.append(here)
            length_mm = self._lengths_mm[here >> 1]
            at_mm += length_mm or 0.0
            ends_mm.append(at_mm)
            ways = self._ways[here]
            here = ways[0] if ways and length_mm is not None else None
        self._chains.append(Chain(tuple(courses), tuple(ends_mm), here))

    def onwards(self, course: int, along_mm: float) -> tuple[int, float]:
        """Return the course that is so far on from the start of another, and how far
        along it that is; on the last, or on a ring without a length, it may be more
        than its length.

        A place just at a joint is at the end of the course before it.
        """
        number, place = self._at[course] or (0, 0)
        chain = self._chains[number]
        whole_mm = chain.start_mm(place) + along_mm
        while whole_mm > chain.ends_mm[-1] and chain.onwards is not None:
            beyond, begins = self._at[chain.onwards] or (0, 0)
            if beyond == number:
                return self._round(chain, begins, whole_mm) or (course, along_mm)
            whole_mm -= chain.ends_mm[-1]
            number, place = beyond, begins
            chain = self._chains[number]
            whole_mm += chain.start_mm(place)
        return _on(chain, place, whole_mm)

    def _round(
        self, chain: Chain, begins: int, whole_mm: float
    ) -> tuple[int, float] | None:
        """Return a place on a ring, as often as it goes round; None on one without a
        length."""
        ring_mm = chain.ends_mm[-1] - chain.start_mm(begins)
        if ring_mm < _LEAST_RING_MM:
            return None
        rounds = ceil((whole_mm - chain.ends_mm[-1]) / ring_mm)
        return _on(chain, begins, whole_mm - rounds * ring_mm)


def _on(chain: Chain, lowest: int, whole_mm: float) -> tuple[int, float]:
    """Return a place of a chain, not before the course at ``lowest``."""
    last = len(chain.courses) - 1
    found = min(last, bisect_left(chain.ends_mm, whole_mm, lo=lowest))
    return chain.courses[found], whole_mm - chain.start_mm(found)
