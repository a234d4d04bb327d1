"""Trains into roads, nose to tail where they fit: the fewest left over, and of as few
the least length of them.

For none left over, for one, for two and so on, the choices of which are tried in order
of their length, each by packing all the others: the first that goes is the best. Where
only lengths count, leaving the heaviest tells whether so few can be left at all, since
whatever stands in a road leaves room for anything lighter.
"""

from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

import msgspec

from standage.railway.storing.packing import (
    Packed,
    Storage,
    StorageRoad,
    StoredTrain,
    pack,
)
from standage.railway.terms.figures import grains

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
    trains that are alike. **Source** derived: depth-first search with bounds.
    """
    return _Allotting(storage, budget_steps).run()


class _Left(NamedTuple):
    """Roads for all but so many trains; ``settled`` tells of no roads that there are
    none, ``least`` that no other choice of as few is shorter.
    """

    road_of: dict[int, int] | None
    settled: bool
    least: bool


class _Allotting:
    def __init__(self, storage: Storage, budget_steps: int) -> None:
        self._storage = storage
        self._budget = budget_steps
        self._steps = 0
        self._nested = storage.lighter_suit_more()
        self._never = 0
        self._can: list[int] = []
        for number in storage.heaviest_first():
            if storage.trains[number].roads:
                self._can.append(number)
            else:
                self._never += 1
        self._anywhere = self._with_any_road()

    def run(self) -> Allotment:
        """Return the allotment that leaves the fewest trains over, found or proved
        within the budget of steps.
        """
        at_least, sure = self._never, True
        for many in range(len(self._can) + 1):
            found, settled, least = self._leaving(many)
            if found is not None:
                return self._told(
                    found,
                    at_least=at_least,
                    least=least,
                )
            sure = sure and settled
            if sure:
                at_least = self._never + many + 1
        return self._told(
            {},
            at_least=at_least,
            least=False,
        )

    def _told(
        self, road_of: dict[int, int], *, at_least: int, least: bool
    ) -> Allotment:
        trains = range(len(self._storage.trains))
        roads = tuple(road_of.get(number) for number in trains)
        proved = roads.count(None) == at_least
        return Allotment(
            road_of=roads,
            at_least=at_least,
            proved=proved,
            least_length=least and proved,
            steps=self._steps,
        )

    def _leaving(self, many: int) -> _Left:
        """Return roads with so many left over, whether it is settled where there are
        none, and if none is shorter.
        """
        if len(self._can) == many:
            return _Left({}, settled=True, least=True)
        rest = self._can[many:]
        if self._nested:
            # what stands in a road leaves room for anything lighter: if the heaviest
            # are not enough to leave, no others are
            first = self._pack(self._storage, rest, _AT_ONCE)
            if first.road_of is None:
                return _Left(None, settled=first.decided, least=False)
        else:
            anywhere = self._pack(self._anywhere, rest, _AT_ONCE)
            if anywhere.road_of is None and anywhere.decided:
                return _Left(None, settled=True, least=False)
            first = self._pack(self._storage, rest, _AT_ONCE)
        if many == 0:
            return _Left(
                first.road_of,
                settled=first.decided,
                least=True,
            )
        return self._shortest(many, first.road_of)

    def _shortest(self, many: int, found: dict[int, int] | None) -> _Left:
        """Try the choices of so many in order of their length, in windows that widen,
        up to what is found already.
        """
        trains = self._storage.trains
        lengths = {number: grains(trains[number].length_mm) for number in self._can}
        in_order = sorted(lengths.values())
        limit = sum(in_order[-many:]) + 1
        if found:
            limit = sum(lengths[one] for one in self._can if one not in found)
        low = max(sum(in_order[:many]), self._must_leave(many))
        width, sure = _FIRST_WINDOW, True
        while low < limit:
            high = min(low + width, limit)
            choices = _choices(
                lengths,
                many,
                low,
                high,
            )
            if choices is None:
                return _Left(
                    found,
                    settled=False,
                    least=False,
                )
            for left in choices:
                if self._steps > self._budget:
                    return _Left(
                        found,
                        settled=False,
                        least=False,
                    )
                others = [one for one in self._can if one not in left]
                packed = self._pack(self._storage, others, _EACH)
                if packed.road_of is not None:
                    return _Left(
                        packed.road_of,
                        settled=True,
                        least=sure,
                    )
                sure = sure and packed.decided
            low, width = low + width, width * 2
        return _Left(
            found,
            settled=sure,
            least=sure,
        )

    def _must_leave(self, many: int) -> int:
        """Return a length in grains that any choice of so many comes to at least, by
        the room of all roads together.
        """
        storage = self._storage
        gap = grains(storage.gap_mm)
        asked = 0
        most_beside = 0  # what a train asks for besides its length
        for one in self._can:
            train = storage.trains[one]
            weight = grains(train.weight_mm)
            asked += weight + gap
            most_beside = max(most_beside, weight - grains(train.length_mm))
        rooms = [grains(road.room_mm) + gap for road in storage.roads]
        rooms.sort(reverse=True)
        over = asked - sum(rooms[: storage.may_fill])
        return over - many * (most_beside + gap)

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
        storage = self._storage
        everywhere = frozenset(range(len(storage.roads)))
        trains = [
            msgspec.structs.replace(train, roads=everywhere) for train in storage.trains
        ]
        return msgspec.structs.replace(storage, trains=tuple(trains))


def _choices(
    lengths: dict[int, int], many: int, low: int, high: int
) -> list[frozenset[int]] | None:
    """Return the choices of ``many`` that come to ``low`` or more and less than
    ``high``, the shortest first.

    All lengths are in grains. None where there are too many of them to list.
    """
    ordered = sorted(lengths, key=lambda number: (lengths[number], number))
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
            if low <= length < high:
                found.append((length, choice))
            continue
        if position + more > len(ordered):
            continue
        # with the next ones, which are the shortest left, and with the longest
        least = length + up_to[position + more] - up_to[position]
        most = length + up_to[-1] - up_to[-1 - more]
        if least >= high or most < low:
            continue
        taken = ordered[position]
        waiting.append((position + 1, length, choice))
        waiting.append((position + 1, length + lengths[taken], (*choice, taken)))
    return [frozenset(choice) for _, choice in sorted(found)]
