"""Two trains at a loop, one of them in two parts, moved cell by cell: whether they get by.

Whatever touches may be coupled or parted at any time; what moves is a row of what touches
with an engine in it, by one cell. Nothing is known of how it is done.
"""

from collections import deque
from collections.abc import Iterator, Sequence
from typing import NamedTuple

Cell = tuple[str, int]
Unit = tuple[Cell, ...]
"""The cells under a train or a part, from west to east."""
State = tuple[Unit, ...]
"""The whole train, the part with the engine, and the part without."""


class Line(NamedTuple):
    """A single line with a loop: so many cells west of the western blades, on each of
    two roads from blades to blades, and east of the eastern ones; from each blades so
    many cells of either road are foul of the other.
    """

    west: int
    roads: tuple[int, int]
    east: int
    foul: int
    margin: int = 0

    def east_of(self, cell: Cell) -> list[Cell]:
        road, at = cell
        if road == "w":
            return [("w", at - 1)] if at else [("0", 0), ("1", 0)]
        last = self.east if road == "e" else self.roads[int(road)]
        if at + 1 < last:
            return [(road, at + 1)]
        return [] if road == "e" else [("e", 0)]

    def west_of(self, cell: Cell) -> list[Cell]:
        road, at = cell
        if road == "w":
            return [("w", at + 1)] if at + 1 < self.west else []
        if at:
            return [(road, at - 1)]
        if road == "e":
            return [(name, self.roads[int(name)] - 1) for name in "01"]
        return [("w", 0)]

    def is_sound(self, units: Sequence[Unit]) -> bool:
        cells = [cell for unit in units for cell in unit]
        return len(set(cells)) == len(cells) and not self.is_foul(cells)

    def is_foul(self, cells: Sequence[Cell]) -> bool:
        """Tell whether anything is foul at either end of the loop."""
        west = {road for road, at in cells if road in "01" and at < self.foul}
        east = {
            road
            for road, at in cells
            if road in "01" and at >= self.roads[int(road)] - self.foul
        }
        return len(west) > 1 or len(east) > 1


def standing(line: Line, length: int, side: str) -> Iterator[Unit]:
    """Yield where a train stands wholly on one side."""
    room = line.west if side == "w" else line.east
    for first in range(room - length + 1):
        cells = [(side, first + at) for at in range(length)]
        yield tuple(reversed(cells)) if side == "w" else tuple(cells)


def rows(line: Line, units: State) -> Iterator[tuple[int, ...]]:
    """Yield the units that touch each other in a row, from west to east."""
    follows = {
        (one, other)
        for one in range(3)
        for other in range(3)
        if one != other and units[other][0] in line.east_of(units[one][-1])
    }
    yield from ((one,) for one in range(3))
    yield from follows
    for one, other in follows:
        yield from ((one, other, last) for first, last in follows if first == other)


def further(line: Line, units: State) -> Iterator[State]:
    """Yield everything moved by one cell that may be."""
    for row in rows(line, units):
        if set(row) == {2}:
            continue
        cells = [cell for unit in row for cell in units[unit]]
        for ahead in line.east_of(cells[-1]):
            yield from _moved(line, units, row, [*cells, ahead], 1)
        for ahead in line.west_of(cells[0]):
            yield from _moved(line, units, row, [ahead, *cells], 0)


def _moved(
    line: Line, units: State, row: Sequence[int], cells: Sequence[Cell], first: int
) -> Iterator[State]:
    others = [units[unit] for unit in range(3) if unit not in row]
    if not line.is_sound([tuple(cells), *others]):
        return
    moved = list(units)
    for unit in row:
        moved[unit] = tuple(cells[first : first + len(units[unit])])
        first += len(units[unit])
    yield tuple(moved)


def get_by(
    line: Line, whole: int, parts: tuple[int, int], *, leads: bool = True
) -> bool:
    """Tell whether a train from the west gets by one from the east that is in two parts,
    and is whole again at last; whose engine's part is to the west where it ``leads``.
    """
    train = sum(parts)
    starts: list[State] = [
        (one, *_parted(other, parts, leads=leads))
        for one in standing(line, whole, "w")
        for other in standing(line, train, "e")
    ]
    goals = {
        (one, *_parted(other, parts, leads=leads))
        for one in standing(line, whole, "e")
        for other in standing(line, train, "w")
    }
    waiting = deque(starts)
    seen = set(starts)
    while waiting:
        here = waiting.popleft()
        if here in goals:
            return True
        for there in further(line, here):
            if there not in seen:
                seen.add(there)
                waiting.append(there)
    return False


def _parted(unit: Unit, parts: tuple[int, int], *, leads: bool) -> tuple[Unit, Unit]:
    engine, other = parts
    if leads:
        return unit[:engine], unit[engine:]
    return unit[other:], unit[:other]
