"""Trains into roads, nose to tail where they fit: the fewest left over, and of as few
the least length of them.

For none left over, for one, for two and so on, the choices of which are tried in order
of their length, each by packing all the others: the first that goes is the best. Where
only lengths count, leaving the heaviest tells whether so few can be left at all, since
whatever stands in a road leaves room for anything lighter.
"""

from collections.abc import Sequence
from itertools import accumulate

import msgspec

from standage.railway.storing.packing import (
    Packed,
    Storage,
    StorageRoad,
    StoredTrain,
    pack,
)
from standage.railway.terms.comparison import grains

__all__ = [
    "DEFAULT_BUDGET",
    "Allotment",
    "Storage",
    "StorageRoad",
    "StoredTrain",
    "allot",
]

DEFAULT_BUDGET = 10_000
"""So many steps are taken in all before the best so far is given as not proved."""
_AT_ONCE = 3_000  # steps for one packing that settles how few can be left over
_EACH = 300  # steps for one choice among as few
_STEPS_TO_BEGIN = (
    10  # a packing costs as much as so many steps before it takes its first
)
_MOST_LOOKED_AT = 20_000  # parts of choices, before there are too many to list
_FIRST_WINDOW = grains(1.0)


class Allotment(msgspec.Struct, frozen=True, kw_only=True):
    """The road of each train, None where it is left over.

    ``at_least`` so many are left over whatever is done; ``proved`` tells that these are
    no more. ``least_length`` tells that no other choice of as few is shorter.
    """

    road_of: tuple[int | None, ...]
    at_least: int
    proved: bool
    least_length: bool
    steps: int

    @property
    def left_over(self) -> int:
        """How many trains have no road."""
        return self.road_of.count(None)


def allot(storage: Storage, *, budget_steps: int = DEFAULT_BUDGET) -> Allotment:
    """Return which train stands in which road, the best there is; the best found where
    the budget was spent.

    Same question, same answer; the order in which trains are given decides only among
    trains that are alike.
    """
    return _Allotting(storage, budget_steps).run()


class _Allotting:
    def __init__(self, storage: Storage, budget_steps: int) -> None:
        self._storage = storage
        self._budget = budget_steps
        self._steps = 0
        self._nested = storage.lighter_suit_more()
        self._order = storage.heaviest_first()
        self._never = [
            number for number in self._order if not storage.trains[number].roads
        ]
        self._can = [number for number in self._order if storage.trains[number].roads]
        self._anywhere = self._with_any_road()

    def run(self) -> Allotment:
        """Return the allotment that leaves the fewest trains over, found or proved
        within the budget of steps.
        """
        at_least, sure = len(self._never), True
        for many in range(len(self._can) + 1):
            found, settled, least = self._leaving(many)
            if found is not None:
                return self._told(
                    found,
                    at_least=len(self._never) + many if sure else at_least,
                    least=least,
                )
            sure = sure and settled
            if sure:
                at_least = len(self._never) + many + 1
        return self._told({}, at_least=at_least, least=False)

    def _told(
        self, road_of: dict[int, int], *, at_least: int, least: bool
    ) -> Allotment:
        roads = tuple(
            road_of.get(number) for number in range(len(self._storage.trains))
        )
        return Allotment(
            road_of=roads,
            at_least=at_least,
            proved=roads.count(None) == at_least,
            least_length=least and roads.count(None) == at_least,
            steps=self._steps,
        )

    def _leaving(self, many: int) -> tuple[dict[int, int] | None, bool, bool]:
        """Return roads with so many left over, whether it is settled where there are
        none, and if none is shorter.
        """
        if len(self._can) == many:
            return {}, True, True
        rest = self._can[many:]
        heaviest = self._pack(
            self._storage if self._nested else self._anywhere, rest, _AT_ONCE
        )
        if heaviest.road_of is None and (heaviest.decided or self._nested):
            return None, heaviest.decided, False
        first = heaviest if self._nested else self._pack(self._storage, rest, _AT_ONCE)
        return (
            (first.road_of, first.decided, True)
            if many == 0
            else self._shortest(many, first.road_of)
        )

    def _shortest(
        self, many: int, found: dict[int, int] | None
    ) -> tuple[dict[int, int] | None, bool, bool]:
        """Try the choices of so many in order of their length, in windows that widen,
        up to what is found already.
        """
        lengths = {
            number: grains(self._storage.trains[number].length_mm)
            for number in self._can
        }
        longest = sum(sorted(lengths.values(), reverse=True)[:many])
        limit = (
            sum(lengths[one] for one in self._can if one not in found)
            if found
            else longest + 1
        )
        low, width, sure = sum(sorted(lengths.values())[:many]), _FIRST_WINDOW, True
        low = max(low, self._must_leave(many))
        while low < limit:
            choices = _choices(self._can, lengths, many, low, min(low + width, limit))
            if choices is None:
                return found, False, False
            for left in choices:
                if self._steps > self._budget:
                    return found, False, False
                packed = self._pack(
                    self._storage, [one for one in self._can if one not in left], _EACH
                )
                if packed.road_of is not None:
                    return packed.road_of, True, sure
                sure = sure and packed.decided
            low, width = low + width, width * 2
        return found, sure, sure

    def _must_leave(self, many: int) -> int:
        """Return a length in grains that any choice of so many comes to at least, by
        the room of all roads together.
        """
        storage = self._storage
        gap = grains(storage.gap_mm)
        trains = [storage.trains[one] for one in self._can]
        weights = [grains(train.weight_mm) for train in trains]
        lengths = [grains(train.length_mm) for train in trains]
        rooms = sorted(
            (grains(road.room_mm) + gap for road in storage.roads), reverse=True
        )
        asked = sum(weights) + gap * len(weights)
        over = asked - sum(rooms[: storage.may_fill])
        beside = [
            weight - length for weight, length in zip(weights, lengths, strict=True)
        ]
        most_by_one = max(beside, default=0) + gap
        return over - many * most_by_one

    def _pack(
        self, storage: Storage, numbers: Sequence[int], most_steps: int
    ) -> Packed:
        left = max(0, self._budget - self._steps)
        packed = pack(storage, numbers, budget_steps=min(left, most_steps))
        self._steps += max(packed.steps, _STEPS_TO_BEGIN)
        return packed

    def _with_any_road(self) -> Storage:
        """Return the storage with every road suiting every train: what cannot be done
        there cannot be done at all.
        """
        everywhere = frozenset(range(len(self._storage.roads)))
        trains = (
            msgspec.structs.replace(train, roads=everywhere)
            for train in self._storage.trains
        )
        return msgspec.structs.replace(self._storage, trains=tuple(trains))


def _choices(
    numbers: Sequence[int], lengths: dict[int, int], many: int, low: int, high: int
) -> list[frozenset[int]] | None:
    """Return the choices of ``many`` that come to ``low`` or more and less than
    ``high``, the shortest first.

    All lengths are in grains. None where there are too many of them to list.
    """
    ordered = sorted(numbers, key=lambda number: (lengths[number], number))
    up_to = [0, *accumulate(lengths[number] for number in ordered)]
    found: list[tuple[int, tuple[int, ...]]] = []
    waiting: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
    looked_at = 0
    while waiting:
        position, length, choice = waiting.pop()
        more = many - len(choice)
        looked_at += 1
        if looked_at > _MOST_LOOKED_AT:
            return None
        if more == 0:
            found += [(length, choice)] if low <= length < high else []
        elif position + more <= len(ordered):
            least = length + up_to[position + more] - up_to[position]
            most = length + up_to[-1] - up_to[-1 - more]
            if least < high and most >= low:
                taken = ordered[position]
                waiting.append((position + 1, length, choice))
                waiting.append(
                    (position + 1, length + lengths[taken], (*choice, taken))
                )
    return [frozenset(choice) for _, choice in sorted(found)]
