"""Waves of positions that spread over a yard from where it stands, or back from where
it is to stand.

A wave keeps every position it has reached, in order of weight, so that a plan can be
read off it. A narrow one keeps only the nearest to the goal of each front: it proves
nothing, but it gets far.
"""

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np

from standage.railway.shunting.goals import Goals
from standage.railway.shunting.states import Flags, Ints
from standage.railway.shunting.visits import Visits

AT_ONCE = 8_000
"""Positions spread from in one go: bounds the memory, and says how closely a budget is
kept.
"""
MOST_KEPT = 8_000_000
"""Positions held at once, all waves together: about 64 MB, and some times that while a
front is worked on.
"""
_MOST_PARTS = 16  # of a front to come, before what is in several of them is thrown out


class Meeting(NamedTuple):
    """A position that both waves reached, and what the plan through it weighs."""

    weight: int
    trip: int
    key: int
    out: int
    """What of the weight lies on the side that found it."""


class Wave:
    """Positions reached from one end, in order of weight; the front's neighbours have
    yet to be looked at.
    """

    def __init__(
        self,
        visits: Visits,
        seeds: Ints,
        *,
        onward: bool,
        narrow: Callable[[Ints], Ints] | None = None,
    ) -> None:
        self.onward = onward
        self.weight: int | None = None
        self.front: dict[int, Ints] = {}
        self.reached: dict[tuple[int, int], Ints] = {}
        self._visits = visits
        self._waiting: dict[int, dict[int, list[Ints]]] = {0: {0: [np.unique(seeds)]}}
        self._narrow = narrow
        # Where every visit can be undone, none leads to what was reached with less by
        # more than two visits. A narrow wave has not kept all that it reached.
        self._back: int | None = None
        if visits.undirected and narrow is None:
            self._back = 2 * visits.heaviest
        self.advance()

    @property
    def size(self) -> int:
        """How many positions are at the front."""
        size = 0
        for keys in self.front.values():
            size += len(keys)
        return size

    @property
    def kept(self) -> int:
        """How many positions are held in memory."""
        kept = sum(map(len, self.reached.values()))
        for trips in self._waiting.values():
            for parts in trips.values():
                kept += sum(map(len, parts))
        return kept

    def spread(self, trip: int, keys: Ints) -> Iterator[tuple[int, int, Ints]]:
        """Yield what part of the front leads to: weight, trip, and the positions in
        order.
        """
        if self.weight is None:
            return
        for found in self._visits.neighbours(keys, trip=trip, onward=self.onward):
            if not len(found.keys):
                continue
            weight = self.weight + found.weight
            fresh = _in_order(found.keys)
            trips = self._waiting.setdefault(weight, {})
            parts = trips.setdefault(found.trip, [])
            parts.append(fresh)
            if len(parts) > _MOST_PARTS:
                parts[:] = [_in_order(np.concatenate(parts))]
            yield weight, found.trip, fresh

    def advance(self) -> None:
        """Make the lightest positions that are new the front; none are left where
        ``weight`` is None then.
        """
        self.weight, self.front = None, {}
        while self._waiting and not self.front:
            weight = min(self._waiting)
            for trip, parts in self._waiting.pop(weight).items():
                fresh = self._new(weight, trip, parts)
                if self._narrow is not None:
                    fresh = self._narrow(fresh)
                if not len(fresh):
                    continue
                self.weight = weight
                self.front[trip] = fresh
                self.reached[weight, trip] = fresh

    def _new(self, weight: int, trip: int, parts: list[Ints]) -> Ints:
        """Return what was not reached with less. Where visits can be undone, that
        cannot be much less.
        """
        fresh = parts[0]
        if len(parts) > 1:
            fresh = _in_order(np.concatenate(parts))
        for (before, same_trip), keys in self.reached.items():
            if same_trip != trip:
                continue
            if self._back is None or before >= weight - self._back:
                fresh = fresh[~_among(fresh, keys)]
        return fresh

    def meeting(
        self,
        weight: int,
        trip: int,
        keys: Ints,
        *,
        at_least: int,
        less_than: int | None,
    ) -> Meeting | None:
        """Return the lightest meeting with positions that the other wave reached with
        ``weight``.
        """
        weights = [own for own, same_trip in self.reached if same_trip == trip]
        for own in sorted(weights):
            whole = own + weight
            if whole < at_least:
                continue
            if less_than is not None and whole >= less_than:
                return None
            common = keys[_among(keys, self.reached[own, trip])]
            if len(common):
                return Meeting(whole, trip, int(common[0]), weight)
        return None

    def path(self, trip: int, key: int, weight: int) -> list[int]:
        """Return the positions from ``key``, which this wave reaches with ``weight``,
        back to where it came from.
        """
        path = [key]
        while weight:
            trip, key, weight = self._step_back(trip, key, weight)
            path.append(key)
        return path

    def _step_back(self, trip: int, key: int, weight: int) -> tuple[int, int, int]:
        here = np.array([key])
        for found in self._visits.neighbours(here, trip=trip, onward=not self.onward):
            left = weight - found.weight
            before = self.reached.get((left, found.trip))
            if before is None:
                continue
            common = found.keys[_among(found.keys, before)]
            if len(common):
                return found.trip, int(common[0]), left
        raise AssertionError((trip, key, weight))


class Watch:
    """A goal that asks for too many positions to start a wave from: it only tells them
    when it sees them.
    """

    def __init__(self, goals: Goals) -> None:
        self._goals = goals

    def meeting(
        self,
        weight: int,
        trip: int,
        keys: Ints,
        *,
        at_least: int,  # noqa: ARG002 - as a wave's
        less_than: int | None,
    ) -> Meeting | None:
        """Return a position that the goal asks for."""
        if trip:
            return None
        if less_than is not None and weight >= less_than:
            return None
        met = self._goals.met(keys)
        if not len(met):
            return None
        return Meeting(weight, 0, int(met[0]), weight)


def _in_order(keys: Ints) -> Ints:
    """Return the keys in order, each once."""
    keys = np.sort(keys)
    if not len(keys):
        return keys
    is_new = np.concatenate(([True], keys[1:] != keys[:-1]))
    return keys[is_new]


def _among(keys: Ints, ordered: Ints) -> Flags:
    """Tell for each key whether it is in a list in order that is not empty."""
    place = np.searchsorted(ordered, keys)
    place[place == len(ordered)] = 0
    return np.asarray(ordered[place] == keys)
