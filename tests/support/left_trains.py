"""Engines that leave their trains, pushed cell by cell: a second definition.

The train is laid on every run of cells of its place, the engine on every run of cells
from there on, and the engine is pushed until it is there.
"""

from collections.abc import Iterator, Sequence
from heapq import heapify, heappop, heappush
from typing import NamedTuple

from support.pushed_trains import Bare, Cell, Yard

Cost = tuple[int, int]
"""Reversals, and cells."""


class Leave(NamedTuple):
    """A train of so many cells in a place, and its engine beyond the first cell of that.

    It goes round to the train's other end; or, where there are ``goals``, to any of
    those. Its joint is parted ``at`` some cells' beginnings alone, counted along the
    place.
    """

    place: Sequence[Cell]
    train: int
    engine: int
    margin: int = 0
    goals: Sequence[Sequence[Cell]] | None = None
    at: frozenset[int] | None = None


class _State(NamedTuple):
    reversals: int
    gone: int
    cells: tuple[Cell, ...]


def best_leave(yard: Yard, leave: Leave, *, most: int = 20_000) -> Cost | None:
    """Return the best of all ways, wherever the train stands; None where there is none.

    Raises ``OverflowError`` where that takes too long.
    """
    costs: list[Cost] = []
    zoned = [cell for rivals in yard.rivals for zone in rivals for cell in zone]
    for first in range(len(leave.place) - leave.train + 1):
        if leave.at is not None and first not in leave.at:
            continue
        train = tuple(leave.place[first : first + leave.train])
        if not yard.stands(train) or {yard.bare(cell) for cell in train} & set(zoned):
            continue
        found = _from(yard, leave, train, most)
        if found is not None:
            costs.append(found)
    return min(costs, default=None)


def _from(yard: Yard, leave: Leave, train: Sequence[Cell], most: int) -> Cost | None:
    taken = yard.taken | {yard.bare(cell) for cell in train}
    with_train = yard._replace(taken=frozenset(taken))
    out = yard.turned(train[0])
    heap = list(_beginnings(with_train, leave, out))
    heapify(heap)
    goals = _goal_cells(yard, leave)
    other_end = yard.turned(train[-1])
    seen: set[tuple[Cell, ...]] = set()
    while heap:
        state = heappop(heap)
        if state.cells in seen:
            continue
        seen.add(state.cells)
        if len(seen) > most:
            raise OverflowError
        if _is_done(with_train, leave, state, goals, other_end):
            return state.reversals, state.gone
        for further in _further(with_train, leave, state):
            heappush(heap, further)
    return None


def _beginnings(yard: Yard, leave: Leave, out: Cell) -> Iterator[_State]:
    """Yield the engine ready to set off; at blades at its train's very end it may go
    back over these, unless it is to pass them by a margin first.
    """
    for cells in _coupled(yard, out, leave.engine):
        yield _State(0, 0, cells)
        if not yard.is_near_blades(cells[0], leave.margin):
            yield _State(0, 0, _turned(yard, cells))


def _turned(yard: Yard, cells: Sequence[Cell]) -> tuple[Cell, ...]:
    return tuple(yard.turned(cell) for cell in reversed(cells))


def _coupled(yard: Yard, out: Cell, engine: int) -> Iterator[tuple[Cell, ...]]:
    """Yield the engine on all runs of cells that begin at its train."""
    waiting: list[tuple[Cell, ...]] = [(out,)]
    while waiting:
        cells = waiting.pop()
        own = cells[1:]
        if len(own) == engine:
            yield own
            continue
        waiting += [
            (*cells, ahead)
            for ahead in yard.ahead(cells[-1])
            if yard.stands((*own, ahead))
        ]


def _further(yard: Yard, leave: Leave, state: _State) -> Iterator[_State]:
    reversals, gone, cells = state
    for ahead in yard.ahead(cells[-1]):
        if yard.moves(cells, ahead):
            yield _State(reversals, gone + 1, (*cells[1:], ahead))
    if not yard.is_near_blades(cells[0], leave.margin):
        yield _State(reversals + 1, gone, _turned(yard, cells))


def _goal_cells(yard: Yard, leave: Leave) -> list[dict[Bare, int]]:
    goals = leave.goals or ()
    return [
        {yard.bare(cell): number for number, cell in enumerate(goal)} for goal in goals
    ]


def _is_done(
    yard: Yard,
    leave: Leave,
    state: _State,
    goals: Sequence[dict[Bare, int]],
    other_end: Cell,
) -> bool:
    lead = state.cells[-1]
    if leave.goals is None:
        return other_end in yard.ahead(lead)
    has_moved = state.gone > 0 or state.reversals > 0
    if has_moved and yard.is_near_blades(state.cells[0], leave.margin):
        return False
    return any(_lies_in(yard, state.cells, goal) for goal in goals)


def _lies_in(yard: Yard, cells: Sequence[Cell], goal: dict[Bare, int]) -> bool:
    numbers = [goal.get(yard.bare(cell), -9) for cell in cells]
    ordered = sorted(numbers)
    runs = ordered == list(range(ordered[0], ordered[0] + len(ordered)))
    return -9 not in numbers and runs and numbers in (ordered, ordered[::-1])
