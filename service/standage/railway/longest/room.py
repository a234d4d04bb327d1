"""How much of a pool a length of room takes: an upper bound for every room, and the
vehicles that come to it.

The room is divided into cells. Weights rounded down to whole cells bound what is
possible from above; what the bound is made of is then held against the true figures.
Where all figures lie on the cells' grid nothing is lost by it. Couplings that do not
take hold of each other are left to the search.
"""

from collections.abc import Iterator, Sequence
from math import ceil, floor, inf
from typing import Literal, NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from standage.railway.longest.cars import Car, Piece

By = Literal["number", "length"]
Role = Literal["within", "first", "last"]

MOST_CELLS = 40_000
"""So many cells the room is divided into at most: a tenth of a millimetre each in four
metres.
"""
GRIDS_MM = (1.0, 0.5, 0.25, 0.1, 0.05, 0.025, 0.01)
"""The steps in which people measure, coarsest first."""
_DUST = 1e-6
A_VEHICLE = 2_000_000.0
A_MILLIMETRE = 65_536.0
"""One more vehicle counts for more than any length; one more millimetre for more than
any number of vehicles.
"""
_LAST, _FIRST = 1, 2


def worth(by: By, *, vehicles: int, length_mm: float) -> float:
    """Return one figure by which trains are compared: by number, then by length; or by
    length, then by number. **Source** derived.
    """
    if by == "number":
        return vehicles * A_VEHICLE + length_mm
    return length_mm * A_MILLIMETRE + vehicles


class Taken(NamedTuple):
    """Some of one car's copies, in one role."""

    car: int
    role: Role
    copies: int


class _Lot(NamedTuple):
    """Copies that are taken together or not at all; ``alone`` tells that it is one,
    which may be first or last too.
    """

    car: int
    copies: int
    single: bool


class Roomful(msgspec.Struct, frozen=True, kw_only=True):
    """What a pool comes to in every room up to the one asked about.

    ``rest`` holds, for each number of cells, the worth of the best that can still be
    coupled on behind and that ends the train there; it bounds what is possible from
    above where weights were rounded down. ``made_of`` is the best train in all the
    room, ``worth`` its worth; None where nothing goes in.
    """

    cell_mm: float
    rest: NDArray[np.float64]
    worth: float
    made_of: tuple[Taken, ...] | None

    def most(self, room_mm: float) -> float:
        """Return the most that may still be coupled on behind in ``room_mm``; minus
        infinity where nothing goes in.
        """
        # of next to no room the cells are so small that any other holds countless ones
        cells = room_mm / self.cell_mm + _DUST
        if cells < 0:
            return -inf
        last = len(self.rest) - 1
        whole = last if cells > last else floor(cells)
        return float(self.rest[whole])


def roomful(
    cars: Sequence[Car], *, room_mm: float, by: By, open_head: bool, safe: bool
) -> Roomful | None:
    """Return what ``cars`` come to in ``room_mm``; None where there is no room at all.

    With an ``open_head`` one of them is the train's first; else they follow what stands
    in front. Weights are rounded down, or up where it is to be ``safe``: then what it
    is made of goes in for certain, but may not be the best. **Source** derived: a
    knapsack by dynamic programming over whole steps of length.
    """
    if room_mm < 0 or not cars:
        return None
    cell_mm = _cell_mm(cars, room_mm)
    cells = floor(room_mm / cell_mm + _DUST)
    weighed = _Weighed(
        cells=cells,
        cell_mm=cell_mm,
        up=safe,
    )
    table = _Table(cars, weighed, by=by, open_head=open_head)
    goal = _LAST
    if open_head:
        goal |= _FIRST
    best = float(table.best[goal, cells])
    made_of: tuple[Taken, ...] | None = None
    if best > -inf:
        made_of = tuple(table.made_of(goal))
    return Roomful(
        cell_mm=cell_mm,
        rest=table.best[_LAST],
        worth=best,
        made_of=made_of,
    )


def _cell_mm(cars: Sequence[Car], room_mm: float) -> float:
    """Return the coarsest grid on which all weights lie; the finest that is affordable
    where there is none.
    """
    weights_mm: set[float] = set()
    for car in cars:
        for piece in car.pieces():
            weights_mm.add(piece.weight_mm)
    finest_mm = max(room_mm / MOST_CELLS, GRIDS_MM[-1])
    for grid_mm in GRIDS_MM:
        if grid_mm < finest_mm:
            break
        if all(_lies_on(grid_mm, weight_mm) for weight_mm in weights_mm):
            return grid_mm
    return finest_mm


def _lies_on(grid_mm: float, weight_mm: float) -> bool:
    cells = weight_mm / grid_mm
    return abs(cells - round(cells)) < _DUST


class _Weighed(NamedTuple):
    """Into how many cells of which length a room is divided, and whether weights are
    rounded up to whole ones.
    """

    cells: int
    cell_mm: float
    up: bool

    def weight(self, piece: Piece, count: int) -> int:
        """Return how many cells so many copies of a piece take."""
        cells = piece.weight_mm * count / self.cell_mm
        # a weight that lies on the grid but for binary dust is not moved off it
        if self.up:
            return ceil(cells - _DUST)
        return floor(cells + _DUST)


class _Table:
    """The best worth for each state (is there a last yet, is there a first yet) and
    each number of cells.
    """

    def __init__(
        self, cars: Sequence[Car], weighed: _Weighed, *, by: By, open_head: bool
    ) -> None:
        self._cars = cars
        self._weighed = weighed
        self._cells = weighed.cells
        self._by: By = by
        self._states = 4 if open_head else 2
        # one copy by itself for each end of the train that may take it
        singles = 2 if open_head else 1
        room_mm = weighed.cells * weighed.cell_mm
        self._lots = list(_lots(cars, room_mm=room_mm, singles=singles))
        self.best = np.full((self._states, self._cells + 1), -inf)
        self.best[0] = 0.0
        self._choices: list[NDArray[np.int8]] = [self._take(lot) for lot in self._lots]

    def made_of(self, state: int) -> Iterator[Taken]:
        """Yield what the best worth in the last cell is made of."""
        cell = self._cells
        # backwards: the last lot's choice was made with all others' known
        offered = list(zip(self._lots, self._choices, strict=True))
        for lot, choice in reversed(offered):
            number = int(choice[state, cell])
            if number == 0:
                continue
            role, mark = _ROLES[number - 1]
            yield Taken(lot.car, role, lot.copies)
            piece: Piece = getattr(self._cars[lot.car], role)
            cell -= self._weighed.weight(piece, lot.copies)
            state &= ~mark

    def _take(self, lot: _Lot) -> NDArray[np.int8]:
        """Offer one lot to every state in every cell; return how it was best taken: 0
        for not at all.
        """
        before = self.best
        after = before.copy()
        choice = np.zeros(before.shape, dtype=np.int8)
        for number, (role, mark) in enumerate(_ROLES, start=1):
            piece: Piece | None = getattr(self._cars[lot.car], role)
            if piece is None or mark >= self._states:
                continue
            if mark and not lot.single:
                continue  # several cannot all be the first, or the last
            weight = self._weighed.weight(piece, lot.copies)
            if weight > self._cells:
                continue
            length_mm = piece.length_mm * lot.copies
            more = worth(self._by, vehicles=lot.copies, length_mm=length_mm)
            for state in range(self._states):
                if state & mark != mark:
                    continue
                tried = before[state & ~mark, : self._cells + 1 - weight] + more
                best = after[state, weight:]
                better = tried > best
                best[better] = tried[better]
                choice[state, weight:][better] = number
        self.best = after
        return choice


_ROLES: tuple[tuple[Role, int], ...] = (
    ("within", 0),
    ("last", _LAST),
    ("first", _FIRST),
)


def _lots(cars: Sequence[Car], *, room_mm: float, singles: int) -> Iterator[_Lot]:
    """Yield each car's copies as lots, of which any number of copies can be put
    together.
    """
    for number, car in enumerate(cars):
        lightest_mm = min(piece.weight_mm for piece in car.pieces())
        go_in = floor(room_mm / lightest_mm) + singles
        copies = min(len(car.copies), go_in)
        for _ in range(min(singles, copies)):
            yield _Lot(number, 1, single=True)
        # 1, 2, 4 and so on: any number is a sum of these
        left, size = copies - singles, 1
        while left > 0:
            yield _Lot(number, min(size, left), single=False)
            left -= size
            size *= 2
