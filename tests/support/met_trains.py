"""Two trains pushed cell by cell past each other: a second definition of a meeting.

Each train has every state that it can be pushed to alone, one cell at a time; both are
then tried in every pair of states, and of each pair all cells are looked at.
"""

from heapq import heapify, heappop, heappush
from typing import NamedTuple

from support.pushed_trains import (
    Bare,
    Push,
    State,
    Yard,
    beginnings,
    ended,
    ends_of,
    further,
)

NEVER = "never"


class Onward(NamedTuple):
    """To the next state: by a turn or by cells, and all that is gone over."""

    there: int
    turned: int
    gone: int
    over: frozenset[Bare]


class Pushed(NamedTuple):
    """A train's states by number: the cells under it, the ways on, and whether it is
    there, or may be left standing.
    """

    under: list[frozenset[Bare]]
    onwards: list[list[Onward]]
    firsts: list[int]
    is_there: list[bool]
    may_wait: list[bool]


class _Pushing:
    """Pushes one train everywhere, alone."""

    def __init__(self, yard: Yard, push: Push) -> None:
        self.yard = yard
        self.push = push
        self.found = Pushed([], [], [], [], [])
        self.waiting: list[State] = []
        self._ends = ends_of(yard, push.goal)
        self._numbers: dict[object, int] = {}

    def pushed(self, most: int) -> Pushed | None:
        for state in beginnings(self.yard, self.push):
            self.found.firsts.append(self._number(state, begins=True))
        done = 0
        while done < len(self.waiting):
            if done > most:
                return None
            self._go_on(done, self.waiting[done])
            done += 1
        return self.found

    def _go_on(self, here: int, state: State) -> None:
        found = self.found
        if not state.cells:
            return
        for after in further(self.yard, self.push, state):
            there = self._number(after, begins=False)
            turned = after.reversals - state.reversals
            over = found.under[here] | found.under[there]
            onward = Onward(there, turned, after.gone - state.gone, over)
            found.onwards[here].append(onward)
        if state.cells[-1] == self.push.out:
            gone = self._number(state._replace(cells=()), begins=False)
            out = Onward(gone, 0, self.push.train, found.under[here])
            found.onwards[here].append(out)

    def _number(self, state: State, *, begins: bool) -> int:
        yard, push, found = self.yard, self.push, self.found
        is_near = bool(state.cells) and yard.is_near_blades(state.cells[0], push.margin)
        key = (state.cells, state.leads, begins and is_near)
        if key in self._numbers:
            return self._numbers[key]
        number = self._numbers[key] = len(found.under)
        found.under.append(frozenset(yard.bare(cell) for cell in state.cells))
        found.onwards.append([])
        found.is_there.append(self._is_there(state, begins=begins))
        found.may_wait.append(begins or not is_near)
        self.waiting.append(state)
        return number

    def _is_there(self, state: State, *, begins: bool) -> bool:
        if not state.cells:
            return self.push.towards in {None, int(state.leads)}
        gone = state._replace(gone=0 if begins else 1, reversals=0)
        ends = ended(self.yard, self.push, gone, self._ends)
        found = [end for (what, end), _ in ends if what == "towards"]
        return any(self.push.towards in {None, end} for end in found)


class Meet(NamedTuple):
    """What the best way for both costs."""

    reversals: int
    cells: int


def best_meet(
    yard: Yard, pushes: tuple[Push, Push], *, most: int = 250
) -> Meet | str | None:
    """Return the fewest reversals, then cells, by which both get to their goals; NEVER
    where they do not, None to give up after so many states of one of them.
    """
    one, other = (_Pushing(yard, push).pushed(most) for push in pushes)
    if one is None or other is None:
        return None
    is_clear = _Clear(yard).of
    heap = [
        (0, 0, first, second)
        for first in set(one.firsts)
        for second in set(other.firsts)
        if is_clear(one.under[first], other.under[second])
    ]
    heapify(heap)
    seen: set[tuple[int, int]] = set()
    while heap:
        reversals, gone, here, there = heappop(heap)
        if (here, there) in seen:
            continue
        seen.add((here, there))
        if one.is_there[here] and other.is_there[there]:
            return Meet(reversals, gone)
        ways: list[tuple[Onward, int, int]] = []
        if other.may_wait[there]:
            ways += [
                (on, on.there, there)
                for on in one.onwards[here]
                if is_clear(on.over, other.under[there])
            ]
        if one.may_wait[here]:
            ways += [
                (on, here, on.there)
                for on in other.onwards[there]
                if is_clear(on.over, one.under[here])
            ]
        for on, after, other_after in ways:
            cost = (reversals + on.turned, gone + on.gone)
            heappush(heap, (*cost, after, other_after))
    return NEVER


class _Clear:
    """Whether nothing of one train is on, or foul of, anything of another."""

    def __init__(self, yard: Yard) -> None:
        self._yard = yard
        self._barred: dict[frozenset[Bare], frozenset[Bare]] = {}

    def of(self, one: frozenset[Bare], other: frozenset[Bare]) -> bool:
        if other not in self._barred:
            barred = set(other)
            for zone, rival in self._yard.rivals:
                barred |= rival if other & zone else set()
                barred |= zone if other & rival else set()
            self._barred[other] = frozenset(barred)
        return one.isdisjoint(self._barred[other])
