"""Trains pushed cell by cell over a network: a second definition of what can be done.

Nothing is reckoned ahead: a train is the list of cells under it, it moves by one cell
or turns its direction, and each time all cells are looked at.
"""

from collections.abc import Iterator, Mapping, Sequence
from heapq import heapify, heappop, heappush
from typing import NamedTuple

from standage.railway.track.network.network import Course, Network

CELL_MM = 10
Cell = tuple[Course, int]
"""A cell as it is run over: its course, and which one along it."""
Bare = tuple[int, int]
"""A cell whichever way it is run over."""
Zones = tuple[frozenset[Bare], frozenset[Bare]]
Best = dict[tuple[str, int], tuple[int, int]]
"""By the engine's end at the goal, or the end that leads out: reversals, and cells."""


class Yard(NamedTuple):
    """A network in cells, and the zones that exclude each other."""

    network: Network
    rivals: Sequence[Zones]
    taken: frozenset[Bare] = frozenset()
    shut: frozenset[tuple[Course, Course]] = frozenset()

    def cells(self, course: Course) -> int:
        length_mm = self.network.strand(course).length_mm or 0.0
        return round(length_mm / CELL_MM)

    def bare(self, cell: Cell) -> Bare:
        course, at = cell
        return course >> 1, self.cells(course) - 1 - at if course & 1 else at

    def turned(self, cell: Cell) -> Cell:
        course, at = cell
        return course ^ 1, self.cells(course) - 1 - at

    def ahead(self, cell: Cell) -> Iterator[Cell]:
        course, at = cell
        if at + 1 < self.cells(course):
            yield course, at + 1
            return
        yield from self._after(course)

    def _after(self, course: Course) -> Iterator[Cell]:
        for way in self.network.onwards(course):
            if (course, way) in self.shut:
                continue
            if self.cells(way):
                yield way, 0
            else:
                yield from self._after(way)

    def is_near_blades(self, rear: Cell, margin: int) -> bool:
        """Tell whether a rear stands less than a margin past blades."""
        course, past = rear
        while past < margin:
            back = self.network.onwards(course ^ 1)
            is_blades = len(back) > 1 or (
                bool(back) and len(self.network.onwards(back[0] ^ 1)) > 1
            )
            if is_blades:
                return True
            if len(back) != 1:
                return False
            course = back[0] ^ 1
            past += self.cells(course)
        return False

    def stands(self, cells: Sequence[Cell]) -> bool:
        """Tell whether a train may be on cells: each once, and on nothing else."""
        under = [self.bare(cell) for cell in cells]
        is_once = len(set(under)) == len(under)
        return is_once and not set(under) & self.taken and self.is_clear(cells)

    def moves(self, cells: Sequence[Cell], ahead: Cell) -> bool:
        """Tell whether a train gets on by a cell: on its way it is on one more.

        Round a circuit its lead may follow its rear, but not meet it.
        """
        if ahead == self.turned(cells[0]):
            return False
        return self.stands((*cells[1:], ahead)) and self.is_clear((*cells, ahead))

    def is_clear(self, cells: Sequence[Cell]) -> bool:
        """Tell whether nothing lies in two zones that exclude each other."""
        under = {self.bare(cell) for cell in cells} | self.taken
        return not any(under & one and under & other for one, other in self.rivals)


def outwards(network: Network, course: Course, cells: int) -> frozenset[Bare]:
    """Return the cells up to so far along a course and over every way on."""
    yard = Yard(network, ())
    found: set[Bare] = set()
    wanted = [(course, cells)]
    while wanted:
        here, left = wanted.pop()
        own = yard.cells(here)
        found |= {yard.bare((here, at)) for at in range(min(own, left))}
        if left > own:
            wanted += [(way, left - own) for way in network.onwards(here)]
    return frozenset(found)


class Push(NamedTuple):
    """A train of so many cells, the place where it stands, and the goal.

    ``engine_ahead`` where the engine points to the place's last cell. It turns back
    nowhere with its rear less than ``margin`` past blades. It stands ``against`` the
    place's first end, 0, or its last, 1. From the cell ``out`` it leaves the plan.
    Unless it ``propels`` its engine always leads; it is never propelled with any of it
    on what is ``no_propelling``.
    """

    place: Sequence[Cell]
    goal: Sequence[Cell]
    train: int
    engine_ahead: bool = True
    margin: int = 0
    against: int | None = None
    out: Cell | None = None
    propels: bool = True
    no_propelling: frozenset[Bare] = frozenset()
    towards: int | None = None


class State(NamedTuple):
    reversals: int
    gone: int
    cells: tuple[Cell, ...]
    leads: bool


def best_ways(yard: Yard, push: Push, *, most: int = 20_000) -> Best | None:
    """Return the best ways to a goal; None to give up after so many states."""
    heap = list(beginnings(yard, push))
    heapify(heap)
    ends = ends_of(yard, push.goal)
    seen: set[tuple[tuple[Cell, ...], bool]] = set()
    best: Best = {}
    while heap and len(seen) < most:
        state = heappop(heap)
        if state[2:] in seen:
            continue
        seen.add(state[2:])
        for end, cost in ended(yard, push, state, ends):
            best.setdefault(end, cost)
        for after in further(yard, push, state):
            heappush(heap, after)
    return None if heap else best


def beginnings(yard: Yard, push: Push) -> Iterator[State]:
    firsts = range(len(push.place) - push.train + 1)
    if push.against is not None:
        firsts = firsts[:1] if push.against == 0 else firsts[-1:]
    for first in firsts:
        cells = tuple(push.place[first : first + push.train])
        if yard.stands(cells):
            yield State(0, 0, cells, push.engine_ahead)
            yield State(0, 0, _turned(yard, cells), not push.engine_ahead)


def _turned(yard: Yard, cells: Sequence[Cell]) -> tuple[Cell, ...]:
    return tuple(yard.turned(cell) for cell in reversed(cells))


def ended(
    yard: Yard, push: Push, state: State, ends: Mapping[Cell, tuple[int, int]]
) -> Iterator[tuple[tuple[str, int], tuple[int, int]]]:
    reversals, gone, cells, leads = state
    if cells[-1] == push.out:
        # All of it is still before the joint.
        yield ("leads", int(leads)), (reversals, gone + push.train)
    towards = _stands_in(cells, ends)
    has_moved = gone > 0 or reversals > 0
    if towards is None or (has_moved and yard.is_near_blades(cells[0], push.margin)):
        return
    yield ("towards", towards if leads else 1 - towards), (reversals, gone)


def further(yard: Yard, push: Push, state: State) -> Iterator[State]:
    """Yield a train a cell farther on, and turned back where it stands."""
    reversals, gone, cells, leads = state
    for ahead in yard.ahead(cells[-1]):
        if yard.moves(cells, ahead) and (
            leads or _may_be_pushed(yard, push, state, ahead)
        ):
            yield State(reversals, gone + 1, (*cells[1:], ahead), leads)
    if not yard.is_near_blades(cells[0], push.margin):
        yield State(reversals + 1, gone, _turned(yard, cells), not leads)


def _may_be_pushed(yard: Yard, push: Push, state: State, ahead: Cell) -> bool:
    under = {yard.bare(cell) for cell in (*state.cells, ahead)}
    return push.propels and not under & push.no_propelling


def ends_of(yard: Yard, goal: Sequence[Cell]) -> Mapping[Cell, tuple[int, int]]:
    """Return each cell of a goal with its number, and the end that it is run towards."""
    back = [yard.turned(cell) for cell in reversed(goal)]
    onwards = {cell: (number, 1) for number, cell in enumerate(goal)}
    return onwards | {cell: (number, 0) for number, cell in enumerate(back)}


def _stands_in(
    cells: Sequence[Cell], ends: Mapping[Cell, tuple[int, int]]
) -> int | None:
    known = [ends.get(cell) for cell in cells]
    if None in known:
        return None
    numbers = [one[0] for one in known if one is not None]
    if numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        return None
    first = known[0]
    return None if first is None else first[1]
