"""Whether given trains all go into given roads, nose to tail: an arrangement, a proof
that there is none, or neither.

The longest train is placed first. A branch is left as soon as what the roads can still
be filled with, by sums that the trains to come can make, is less than those trains. The
sums are of lengths rounded down to whole cells, so that nothing possible is missed.
"""

from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import NamedTuple

import msgspec

from standage.railway.terms.figures import grains

GRIDS_MM = (1.0, 0.5, 0.25, 0.1)
"""The steps in which people measure, coarsest first; the finest is taken where figures
lie on none.
"""


class StoredTrain(msgspec.Struct, frozen=True, kw_only=True):
    """A train: its length pulled out, and its weight, which is that length and its ±
    together; ``roads`` suit it.
    """

    length_mm: float
    weight_mm: float
    roads: frozenset[int]


class StorageRoad(msgspec.Struct, frozen=True, kw_only=True):
    """A road: the room for the weights of its trains, margin and its own ± taken off;
    ``several`` may stand in it.
    """

    room_mm: float
    several: bool = True


class Storage(msgspec.Struct, frozen=True, kw_only=True):
    """What is to be stored where: between two trains in one road stay ``gap_mm``; so
    many roads are to stay empty.
    """

    trains: tuple[StoredTrain, ...]
    roads: tuple[StorageRoad, ...]
    gap_mm: float
    keep_empty: int = 0

    @property
    def may_fill(self) -> int:
        """How many roads may be used."""
        rest = len(self.roads) - self.keep_empty
        return max(0, rest)

    def heaviest_first(self) -> list[int]:
        """Return the trains by their numbers, those first that ask for most room."""

        def lightness(number: int) -> tuple[float, float]:
            train = self.trains[number]
            return -train.weight_mm, -train.length_mm

        return sorted(range(len(self.trains)), key=lightness)

    def lighter_suit_more(self) -> bool:
        """Tell whether every road that suits a train suits all lighter ones too, as
        where only lengths count.
        """
        suits: frozenset[int] = frozenset()
        for number in self.heaviest_first():
            lighter = self.trains[number].roads
            if not suits <= lighter:
                return False
            suits = lighter
        return True


class Packed(NamedTuple):
    """The road of each train that was to be placed; None where there is no way, or
    where the budget was spent first.
    """

    road_of: dict[int, int] | None
    decided: bool
    steps: int


def pack(storage: Storage, numbers: Sequence[int], *, budget_steps: int) -> Packed:
    """Return roads for the trains with those ``numbers``, all of them, within
    ``budget_steps``. **Source** derived: bin packing by depth-first search.
    """
    return _Packing(storage, numbers, budget_steps).run()


class _Packing:
    def __init__(
        self, storage: Storage, numbers: Sequence[int], budget_steps: int
    ) -> None:
        self._roads = storage.roads
        self._trains = storage.trains
        chosen = set(numbers)
        heaviest_first = storage.heaviest_first()
        self._order = [number for number in heaviest_first if number in chosen]
        # a gap is added to each train and to each road, as the last needs none
        gap = grains(storage.gap_mm)
        weights = [grains(storage.trains[number].weight_mm) for number in self._order]
        self._asks = [weight + gap for weight in weights]
        self._left = [grains(road.room_mm) + gap for road in storage.roads]
        self._cell = _cell([*self._asks, *self._left])
        asks = [one // self._cell for one in self._asks]
        self._lightest = min(asks, default=0)
        self._sums = _sums_of(asks)
        self._still_to_come = [*accumulate(reversed(asks), initial=0)][::-1]
        self._alike = _likenesses(storage)
        all_hold_several = all(road.several for road in storage.roads)
        self._exact_fit_is_best = all_hold_several and storage.lighter_suit_more()
        self._closed = set(range(len(storage.roads)))
        self._may_open = storage.may_fill
        self._road_of: dict[int, int] = {}
        self._seen: set[object] = set()
        self._budget = budget_steps
        self._steps = 0

    def run(self) -> Packed:
        """Return a road for every train, or that there is none, or neither where the
        budget of steps was spent.
        """
        found = self._place(0)
        road_of = dict(self._road_of) if found else None
        return Packed(
            road_of,
            decided=found is not None,
            steps=self._steps,
        )

    def _place(self, position: int) -> bool | None:
        """Place the trains from ``position`` on; False where there is no way, None
        where the budget was spent.
        """
        if position == len(self._order):
            return True
        self._steps += 1
        if self._steps > self._budget:
            return None
        if self._can_be_filled(position) < self._still_to_come[position]:
            return False
        states = sorted(map(self._state, range(len(self._left))))
        key = (position, tuple(states))
        if key in self._seen:
            return False
        self._seen.add(key)
        return self._try_roads(position)

    def _try_roads(self, position: int) -> bool | None:
        number, asks = self._order[position], self._asks[position]
        for road in list(self._choices(number, asks)):
            opened, before = road in self._closed, self._left[road]
            self._closed.discard(road)
            self._left[road] = before - asks if self._roads[road].several else 0
            self._may_open -= opened
            self._road_of[number] = road
            found = self._place(position + 1)
            if found is not False:
                return found
            self._left[road] = before
            self._may_open += opened
            if opened:
                self._closed.add(road)
            del self._road_of[number]
            if before == asks and self._nothing_is_better(opened=opened):
                return False
        return False

    def _nothing_is_better(self, *, opened: bool) -> bool:
        """Tell whether a road that a train fills exactly is the best for it: whatever
        else stood in that road would stand where this train would then.
        """
        if not self._exact_fit_is_best:
            return False
        # a road that need not be opened may be spared for others
        return not opened or self._may_open >= len(self._closed)

    def _choices(self, number: int, asks: int) -> Iterator[int]:
        """Yield the roads that can take a train, the fullest first; of roads that are
        alike and as full only one.
        """
        tried: set[object] = set()
        for road in sorted(self._trains[number].roads, key=self._fullest_first):
            if asks > self._left[road]:
                continue
            if self._may_open == 0 and road in self._closed:
                continue
            state = self._state(road)
            if state not in tried:
                tried.add(state)
                yield road

    def _fullest_first(self, road: int) -> tuple[int, bool, int]:
        left = self._left[road]
        is_closed = road in self._closed
        return left, is_closed, road

    def _state(self, road: int) -> tuple[int, bool, int]:
        alike, left = self._alike[road], self._left[road]
        is_closed = road in self._closed
        return alike, is_closed, left

    def _can_be_filled(self, position: int) -> int:
        """Return how many cells of all roads the trains from ``position`` on can fill
        at most.
        """
        opened = 0
        closed: list[int] = []
        for road, left in enumerate(self._left):
            fill = self._filled(position, left)
            if road in self._closed:
                closed.append(fill)
            else:
                opened += fill
        closed.sort(reverse=True)
        return opened + sum(closed[: self._may_open])

    def _filled(self, position: int, left: int) -> int:
        cells = left // self._cell
        if cells < self._lightest:
            return 0
        up_to_cells = (1 << cells + 1) - 1
        # the highest bit of the sums that go in
        go_in = self._sums[position] & up_to_cells
        return go_in.bit_length() - 1


def _cell(lengths: Sequence[int]) -> int:
    for grid_mm in GRIDS_MM:
        cell = grains(grid_mm)
        if all(length % cell == 0 for length in lengths):
            return cell
    return grains(GRIDS_MM[-1])


def _sums_of(asks: Sequence[int]) -> list[int]:
    """Return for each position the lengths in cells that the trains from there on can
    come to, as bits set.
    """
    sums = [1]
    for cells in reversed(asks):
        without = sums[-1]
        sums.append(without | without << cells)
    return sums[::-1]


def _likenesses(storage: Storage) -> list[int]:
    """Return for each road the number of its sort: roads of one sort take the same
    trains in the same way.
    """
    sorts: dict[object, int] = {}
    likenesses: list[int] = []
    for number, road in enumerate(storage.roads):
        suits = tuple(number in train.roads for train in storage.trains)
        sort = (road.several, suits)
        likeness = sorts.setdefault(sort, len(sorts))
        likenesses.append(likeness)
    return likenesses
