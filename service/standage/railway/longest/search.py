"""The longest train behind given engines, exact: what a length of room takes at most,
then whether it can be coupled.

First the pool is weighed without regard to which couplings take hold; what comes out
best is put in an order in which they do. Where that cannot be had, trains are built up
from the engines backwards, and a branch is left as soon as no more can come of it than
of the best so far.
"""

from collections.abc import Callable, Iterator, Sequence
from math import inf
from typing import NamedTuple

import msgspec

from standage.railway.longest.cars import Car, Front, Piece, joined, made_up_of
from standage.railway.longest.families import families
from standage.railway.longest.room import By, Role, Roomful, Taken, roomful, worth
from standage.railway.stock.coupled import Coupled, Member
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.terms.figures import DUST_MM, goes_into

DEFAULT_BUDGET = 2_000
"""So many trains are looked at before the best so far is given as not proved."""
_HAIR: dict[By, float] = {"number": 5e-7, "length": 0.03}
"""Worths that differ by less are one: half a millionth of a millimetre."""
_MOST_ORDERS = 2_000
_FARTHEST_MM = 1e12  # longer than any train: what is longer has a figure missing
_ENDLESS = Piece(inf, inf)  # what is not known goes in nowhere

Order = tuple[int, ...]
"""Cars by their numbers, from the engines backwards."""


class Task(msgspec.Struct, frozen=True, kw_only=True, eq=False):
    """What is looked for: the best train of ``cars`` behind ``front`` that stands.

    ``room_mm`` is the room for a train's length and its ± together; None where another
    length than the train pulled out counts. ``order_counts`` tells that it matters in
    which order the same vehicles stand. ``hopeless`` tells of a train that none which
    begins like it stands either.
    """

    cars: Sequence[Car]
    front: Front | None
    by: By
    room_mm: float | None
    order_counts: bool
    stands: Callable[[Coupled], bool]
    hopeless: Callable[[Coupled], bool] | None = None
    types: CouplingTypes


class Found(msgspec.Struct, frozen=True, kw_only=True):
    """The best train found, engines aside; None where none stands, not even the engines
    by themselves.

    ``proved`` tells that none is better, ``at_most`` is the worth that none can exceed.
    """

    order: Order | None
    worth: float
    proved: bool
    at_most: float
    steps: int


class _Node(NamedTuple):
    """A train built up so far: its cars, and what all of it comes to with more to
    follow, and without its last car.
    """

    order: Order
    used: tuple[int, ...]
    with_more: Piece
    without_last: Piece


def longest(task: Task, *, budget_steps: int = DEFAULT_BUDGET) -> Found:
    """Return the best train there is; the best found, not proved, where the budget was
    spent.

    Vehicles that cannot come into one train, for their couplings, are looked at apart.
    Same task, same answer. **Source** derived: branch and bound.
    """
    kin = families(task.cars, task.front, types=task.types)
    found: list[Found] = []
    for family in kin:
        part = _search_of(task, family, budget_steps // len(kin))
        found.append(part)
    best = max(found, key=lambda one: one.worth)
    enough = best.worth + _HAIR[task.by]
    at_most, steps, proved = -inf, 0, True
    for one in found:
        at_most = max(at_most, one.at_most)
        steps += one.steps
        proved = proved and (one.proved or one.at_most <= enough)
    return Found(
        order=best.order,
        worth=best.worth,
        proved=proved,
        at_most=at_most,
        steps=steps,
    )


def _search_of(task: Task, family: Sequence[int], budget_steps: int) -> Found:
    """Return the best train of one family, its cars by their numbers in the task."""
    cars = [task.cars[car] for car in family]
    part = msgspec.structs.replace(task, cars=cars)
    found = _Search(part, budget_steps).run()
    if found.order is None:
        return found
    order = tuple(family[car] for car in found.order)
    return msgspec.structs.replace(found, order=order)


class _Search:
    def __init__(self, task: Task, budget_steps: int) -> None:
        self._task = task
        self._hair = _HAIR[task.by]
        self._budget = budget_steps
        self._front: Piece | None = Piece(0.0, 0.0)
        if task.front is not None:
            self._front = task.front.leading
        self._steps = 0
        self._best: Order | None = None
        self._best_worth = -inf
        self._follows = [self._joined_to(car.member) for car in task.cars]

    def run(self) -> Found:
        """Return the best choice within the budget and whether it is proved; none where
        not even the shortest goes.
        """
        self._try_the_shortest()
        if self._task.room_mm is None:
            finished = self._build_up(None)
            at_most = self._best_worth if finished else inf
            return self._found(proved=finished, at_most=at_most)
        bound = self._bound(safe=False)
        at_most = self._best_worth
        if bound is not None:
            at_most = max(at_most, bound.worth + self._worth_of_front())
        if self._best_worth >= at_most - self._hair:
            return self._found(proved=True, at_most=self._best_worth)
        if self._take_up(bound, at_least=at_most):
            return self._found(proved=True, at_most=self._best_worth)
        # what goes in for certain is a first best, by which branches are left sooner
        self._take_up(self._bound(safe=True))
        if self._build_up(bound):
            return self._found(proved=True, at_most=self._best_worth)
        return self._found(proved=False, at_most=at_most)

    def _found(self, *, proved: bool, at_most: float) -> Found:
        return Found(
            order=self._best,
            worth=self._best_worth,
            proved=proved,
            at_most=at_most,
            steps=self._steps,
        )

    def _bound(self, *, safe: bool) -> Roomful | None:
        task = self._task
        if task.room_mm is None or self._front is None:
            return None
        return roomful(
            task.cars,
            room_mm=task.room_mm - self._front.weight_mm + DUST_MM,
            by=task.by,
            open_head=task.front is None,
            safe=safe,
        )

    def _worth_of_front(self) -> float:
        if self._front is None:
            return 0.0
        return self._worth(0, self._front)

    def _worth(self, vehicles: int, piece: Piece) -> float:
        by, length_mm = self._task.by, piece.length_mm
        return worth(
            by,
            vehicles=vehicles,
            length_mm=length_mm,
        )

    def _goes_in(self, piece: Piece) -> bool:
        room_mm = self._task.room_mm
        if room_mm is None:
            room_mm = _FARTHEST_MM
        return goes_into(piece.weight_mm, room_mm=room_mm)

    def _try_the_shortest(self) -> None:
        """Offer the engines by themselves; without engines, each vehicle by itself."""
        front = self._task.front
        if front is not None:
            if front.alone is not None:
                self._offer((), front.alone)
            return
        for place, car in enumerate(self._task.cars):
            if car.alone is not None:
                self._offer((place,), car.alone)

    def _offer(self, order: Order, whole: Piece) -> bool:
        """Take a train as the best so far if it is and stands; tell whether it is now
        the best.
        """
        gain = self._worth(len(order), whole)
        if gain <= self._best_worth + self._hair:
            return False
        if not self._goes_in(whole):
            return False
        if not self._task.stands(self._made_up(order)):
            return False
        self._best, self._best_worth = order, gain
        return True

    def _take_up(self, room: Roomful | None, *, at_least: float = -inf) -> bool:
        """Offer what a room was filled with, in an order in which it can be coupled.

        Tell whether it is the best so far and worth ``at_least`` so much.
        """
        if room is None or room.made_of is None:
            return False
        order = self._coupled_up(room.made_of)
        if order is None:
            return False
        if not self._offer(order, self._whole(order)):
            return False
        return self._best_worth >= at_least - self._hair

    def _whole(self, order: Order) -> Piece:
        node = self._start()
        for car in order:
            onwards = self._onwards(node, car)
            if onwards is None:
                return _ENDLESS
            node = onwards
        return self._ended(node) or _ENDLESS

    def _coupled_up(self, made_of: Sequence[Taken]) -> Order | None:
        """Return those vehicles in an order in which each takes hold of the next: the
        first first, the last last.
        """
        counts = [0] * len(self._task.cars)
        ends: dict[Role, int] = {}
        for car, role, count in made_of:
            counts[car] += count
            ends[role] = car
        first, last = ends.get("first"), ends["last"]
        counts[last] -= 1  # kept back for the end
        waiting: list[tuple[Order, tuple[int, ...]]] = [((), tuple(counts))]
        seen: set[tuple[int, tuple[int, ...]]] = set()
        while waiting and len(seen) < _MOST_ORDERS:
            order, left = waiting.pop()
            nexts = self._next(order)
            if not any(left):
                if last in nexts:
                    return (*order, last)
                continue
            if first is not None and not order:
                nexts = [first]
            for car in reversed(nexts):
                if not left[car]:
                    continue
                fewer = (*left[:car], left[car] - 1, *left[car + 1 :])
                if (car, fewer) not in seen:
                    seen.add((car, fewer))
                    waiting.append(((*order, car), fewer))
        return None

    def _next(self, order: Order) -> Sequence[int]:
        if order:
            return self._follows[order[-1]]
        front = self._task.front
        if front is None:
            return range(len(self._task.cars))
        return self._joined_to(front.members[-1])

    def _joined_to(self, leading: Member) -> list[int]:
        return [
            place
            for place, car in enumerate(self._task.cars)
            if joined(leading, car.member, types=self._task.types)
        ]

    def _leads(self, order: Order) -> bool:
        """Tell whether the next vehicle is the train's first."""
        return not order and self._task.front is None

    def _start(self) -> _Node:
        front = self._front or _ENDLESS
        none_used = (0,) * len(self._task.cars)
        return _Node(
            (),
            none_used,
            front,
            front,
        )

    def _onwards(self, node: _Node, car: int) -> _Node | None:
        """Return the train with one more vehicle, which others may follow; None where
        that cannot be reckoned.
        """
        role = self._task.cars[car]
        inner, ending = role.within, role.last
        if self._leads(node.order):
            inner, ending = role.first, role.alone
        if inner is None and ending is None:
            return None
        piece = inner or _ENDLESS  # only its end is known: nothing can follow it
        used = (*node.used[:car], node.used[car] + 1, *node.used[car + 1 :])
        with_more = _sum(node.with_more, piece)
        return _Node(
            (*node.order, car),
            used,
            with_more,
            node.with_more,
        )

    def _ended(self, node: _Node) -> Piece | None:
        """Return what a train comes to that ends here; None where its last coupling is
        not known.
        """
        car = self._task.cars[node.order[-1]]
        piece = car.last
        if self._leads(node.order[:-1]):
            piece = car.alone
        if piece is None:
            return None
        return _sum(node.without_last, piece)

    def _build_up(self, bound: Roomful | None) -> bool:
        """Look at every train that may yet be better; tell whether all were looked at
        within the budget.

        Of the same vehicles with the same first and the same last one order is enough,
        where order does not count.
        """
        seen: set[tuple[int | None, int, tuple[int, ...]]] = set()
        waiting = [] if self._front is None else [self._start()]
        while waiting:
            node = waiting.pop()
            if not self._may_be_better(node, bound):
                continue
            for onwards in self._branches(node):
                first = onwards.order[0] if self._task.front is None else None
                key = (first, onwards.order[-1], onwards.used)
                if key in seen:
                    continue
                if not self._task.order_counts:
                    seen.add(key)
                self._steps += 1
                if self._steps > self._budget:
                    return False
                whole = self._ended(onwards)
                if whole is not None:
                    self._offer(onwards.order, whole)
                waiting.append(onwards)
        return True

    def _branches(self, node: _Node) -> Iterator[_Node]:
        """Yield every train with one more vehicle, the most promising last: by number
        the shortest.
        """
        # cars are numbered from the longest down
        nexts = self._next(node.order)
        if self._task.by == "length":
            nexts = nexts[::-1]
        for car in nexts:
            if node.used[car] == len(self._task.cars[car].copies):
                continue
            onwards = self._onwards(node, car)
            if onwards is not None:
                yield onwards

    def _may_be_better(self, node: _Node, bound: Roomful | None) -> bool:
        task = self._task
        if task.room_mm is None:
            return not self._is_hopeless(node.order)
        if bound is None:
            return False
        if not node.order:
            return True
        left_mm = task.room_mm - node.with_more.weight_mm + DUST_MM
        so_far = self._worth(len(node.order), node.with_more)
        return so_far + bound.most(left_mm) > self._best_worth + self._hair

    def _is_hopeless(self, order: Order) -> bool:
        if not order or self._task.hopeless is None:
            return False
        return self._task.hopeless(self._made_up(order))

    def _made_up(self, order: Order) -> Coupled:
        members = [self._task.cars[car].member for car in order]
        if self._task.front is not None:
            members[:0] = self._task.front.members
        return made_up_of(members, types=self._task.types)


def _sum(one: Piece, other: Piece) -> Piece:
    length_mm = one.length_mm + other.length_mm
    weight_mm = one.weight_mm + other.weight_mm
    return Piece(length_mm, weight_mm)
