"""All the ways of making up a train by leaving vehicles off, laid out so that the best
of them can be found.

From the head, each vehicle is kept or left off. What matters of the choices so far is
the last end that was kept, and whether a measured rake is still whole; so there are few
states, and their moves lead only onwards.
"""

from collections.abc import Iterator
from itertools import pairwise
from math import inf
from typing import NamedTuple

from standage.railway.stock.coupled import Block, Coupled, take_hold
from standage.railway.stock.ends import End
from standage.railway.stock.extents import Extent
from standage.railway.stock.joints import gap
from standage.railway.terms.figures import exceeds

Places = frozenset[int]


class State(NamedTuple):
    """How far a train has been made up: the next vehicle, and the sort of the last end
    kept (None: none yet).

    ``intact`` tells that the next vehicle is inside a measured rake of which all so far
    were kept one by one.
    """

    place: int
    end: int | None
    intact: bool


START = State(0, None, intact=False)


class Move(NamedTuple):
    """What is done with the next vehicle or rake: where that leads, what it adds, and 1
    where it is left off.
    """

    to: State
    weight_mm: float
    length_mm: float
    drops: int


class Rest(NamedTuple):
    """The best that can still become of a state, by how many are yet to be left off:
    least weight, greatest length.
    """

    weights_mm: list[float]
    lengths_mm: list[float]


class MakeUp(NamedTuple):
    """Every state that can be come to, its moves, and the best that can become of
    it.
    """

    moves: dict[State, list[Move]]
    rests: dict[State, Rest]


class MadeUp(NamedTuple):
    """A train made up by leaving off ``dropped``; ``proved`` if none of as few is
    longer.
    """

    dropped: Places
    proved: bool


def laid_out(
    train: Coupled, *, kept: Places, unfit: Places, most_cells: int
) -> MakeUp | None:
    """Return all ways of making up ``train`` with all of ``kept`` and none of
    ``unfit``; None if there are too many.

    A weight is a length and its ±. Ways with an unknown figure or with couplings that
    do not take hold are left out. ``kept`` and ``unfit`` are places from the head, from
    0. **Source** derived: dynamic programming by place and number left off.
    """
    ways = _Ways(
        train,
        kept=kept,
        unfit=unfit,
    )
    vehicles = len(train.members)
    layers: list[dict[State, None]] = [{} for _ in range(vehicles + 1)]
    layers[0][START] = None
    moves: dict[State, list[Move]] = {}
    cells = 0
    for states in layers:
        for state in states:
            cells += len(layers) - state.place
            if cells > most_cells:
                return None
            moves[state] = list(ways.onwards(state))
            for move in moves[state]:
                layers[move.to.place][move.to] = None
    rests: dict[State, Rest] = {}
    for states in reversed(layers):
        for state in states:
            if state.place == vehicles:
                rests[state] = ways.end(state)
            else:
                rests[state] = _rest(moves[state], rests)
    return MakeUp(
        moves=moves,
        rests=rests,
    )


class _Begun(NamedTuple):
    """A train made up so far: how many are to be left off still, what it comes to, and
    what was left off.
    """

    state: State
    to_drop: int
    weight_mm: float
    length_mm: float
    left_off: tuple[int, ...]

    def onwards(self, makeup: MakeUp) -> "Iterator[_Begun]":
        """Yield what comes of each way to go on with which enough can be left off."""
        for move in makeup.moves[self.state]:
            to_drop = self.to_drop - move.drops
            counted = len(makeup.rests[move.to].weights_mm)
            if to_drop not in range(counted):
                continue
            left_off = self.left_off
            if move.drops:
                left_off = (*left_off, self.state.place)
            yield _Begun(
                move.to,
                to_drop,
                self.weight_mm + move.weight_mm,
                self.length_mm + move.length_mm,
                left_off,
            )

    def most_mm(self, makeup: MakeUp) -> float:
        """Return what it can be long at most."""
        return self.length_mm + makeup.rests[self.state].lengths_mm[self.to_drop]


def longest_made_up(
    makeup: MakeUp, *, drops: int, within_mm: float, most_steps: int
) -> MadeUp:
    """Return the longest train with ``drops`` left off whose weight is ``within_mm``;
    there is one at least.

    Branch and bound: a branch is left as soon as it must come out too heavy, or no
    longer than the best so far. After ``most_steps`` the best so far is returned.
    Lengths in mm. **Source** derived.
    """
    best_mm, best, steps = -inf, Places(), 0
    waiting = [
        _Begun(
            START,
            drops,
            0.0,
            0.0,
            (),
        )
    ]
    while waiting:
        begun = waiting.pop()
        rest = makeup.rests[begun.state]
        least_mm = begun.weight_mm + rest.weights_mm[begun.to_drop]
        most_mm = begun.most_mm(makeup)
        if exceeds(least_mm, limit=within_mm) or not exceeds(most_mm, limit=best_mm):
            continue
        steps += 1
        if steps > most_steps and best_mm > -inf:
            return MadeUp(
                dropped=best,
                proved=False,
            )
        if not makeup.moves[begun.state]:
            best_mm = begun.length_mm + rest.lengths_mm[0]
            best = Places(begun.left_off)
            continue
        # the most promising last, since it is looked at next
        branches = [(one.most_mm(makeup), one) for one in begun.onwards(makeup)]
        branches.sort(key=lambda branch: branch[0])
        waiting.extend(one for _, one in branches)
    return MadeUp(
        dropped=best,
        proved=True,
    )


def _rest(moves: list[Move], rests: dict[State, Rest]) -> Rest:
    weights_mm: list[float] = []
    lengths_mm: list[float] = []
    for move in moves:
        rest = rests[move.to]
        longer = len(rest.weights_mm) + move.drops - len(weights_mm)
        weights_mm.extend([inf] * longer)
        lengths_mm.extend([-inf] * longer)
        for drops, rest_mm in enumerate(rest.weights_mm, start=move.drops):
            weight_mm = rest_mm + move.weight_mm
            weights_mm[drops] = min(weights_mm[drops], weight_mm)
        for drops, rest_mm in enumerate(rest.lengths_mm, start=move.drops):
            length_mm = rest_mm + move.length_mm
            lengths_mm[drops] = max(lengths_mm[drops], length_mm)
    return Rest(weights_mm, lengths_mm)


class _Ways:
    """The moves from one state to the next."""

    def __init__(self, train: Coupled, *, kept: Places, unfit: Places) -> None:
        self._train = train
        self._kept = kept
        self._unfit = unfit
        self._rake_of: dict[int, Block] = {}
        for rake in train.rakes:
            inside = range(rake.first, rake.last + 1)
            self._rake_of.update(dict.fromkeys(inside, rake))
        self._ends: list[End] = []
        self._sorts: dict[tuple[object, ...], int] = {}
        self._sort_of: dict[int, int] = {}
        self._joints: dict[tuple[int | None, int], Extent | None] = {}

    def onwards(self, state: State) -> Iterator[Move]:
        """Yield what may be done with the next vehicle: keep it, leave it off, or keep
        the rake that it begins.
        """
        place = state.place
        if place == len(self._train.members):
            return
        member = self._train.members[place]
        rake = self._rake_of.get(place)
        begins = rake is not None and place == rake.first
        ends = rake is not None and place == rake.last
        intact = begins or (rake is not None and state.intact)
        # a rake all of which stays counts as it was measured, not one by one
        whole_one_by_one = intact and ends
        if place not in self._kept:
            to = State(place + 1, state.end, intact=False)
            yield Move(
                to,
                0.0,
                0.0,
                1,
            )
        if place not in self._unfit and not whole_one_by_one:
            to = State(place + 1, self._sort(member.tail), intact=intact)
            yield from self._keep(
                state,
                member.length.extent,
                head=member.head,
                to=to,
            )
        if rake is not None and begins and self._holds_together(rake):
            to = State(rake.last + 1, self._sort(rake.tail), intact=False)
            yield from self._keep(
                state,
                rake.extent,
                head=rake.head,
                to=to,
            )

    def end(self, state: State) -> Rest:
        """Return what the free end at the tail adds; a train of nothing is none."""
        if state.end is None:
            return Rest([inf], [-inf])
        projection = self._ends[state.end].projection
        if projection.missing:
            return Rest([inf], [-inf])
        weight_mm = projection.known_mm + projection.plus_minus_mm
        return Rest([weight_mm], [projection.known_mm])

    def _keep(
        self, state: State, extent: Extent, *, head: End, to: State
    ) -> Iterator[Move]:
        joint = self._joint(state.end, head)
        if joint is None or extent.missing:
            return
        length_mm = joint.known_mm + extent.known_mm
        weight_mm = length_mm + joint.plus_minus_mm + extent.plus_minus_mm
        yield Move(
            to,
            weight_mm,
            length_mm,
            0,
        )

    def _joint(self, before: int | None, head: End) -> Extent | None:
        """Return the gap to the end kept before, or the free end at the head; None
        where that cannot be.
        """
        key = (before, self._sort(head))
        if key not in self._joints:
            self._joints[key] = self._gap(before, head)
        return self._joints[key]

    def _gap(self, before: int | None, head: End) -> Extent | None:
        if before is None:
            if head.projection.missing:
                return None
            return head.projection
        tail = self._ends[before]
        between = gap(tail, head)
        if between.missing:
            return None
        if not take_hold(tail, head, types=self._train.types):
            return None
        return between

    def _sort(self, end: End) -> int:
        """Return the number of the sort of end that ``end`` is: ends that make like
        joints are of one sort.
        """
        if id(end) not in self._sort_of:
            figures = (
                end.reach.known_mm,
                end.reach.plus_minus_mm,
                bool(end.reach.missing),
            )
            free = (
                end.projection.known_mm,
                end.projection.plus_minus_mm,
                bool(end.projection.missing),
            )
            sort = self._sorts.setdefault(
                (end.type, end.scale, figures, free), len(self._ends)
            )
            if sort == len(self._ends):
                self._ends.append(end)
            self._sort_of[id(end)] = sort
        return self._sort_of[id(end)]

    def _holds_together(self, rake: Block) -> bool:
        inside = range(rake.first, rake.last + 1)
        if not self._unfit.isdisjoint(inside):
            return False
        members = self._train.members[rake.first : rake.last + 1]
        return all(
            take_hold(one.tail, two.head, types=self._train.types)
            for one, two in pairwise(members)
        )
