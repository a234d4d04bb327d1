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
from standage.railway.stock.extents import Extent
from standage.railway.stock.joints import End, gap
from standage.railway.terms.comparison import exceeds

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
    do not take hold are left out.
    """
    ways = _Ways(train, kept=kept, unfit=unfit)
    layers: list[dict[State, None]] = [{} for _ in range(len(train.members) + 1)]
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
            rests[state] = (
                ways.end(state)
                if state.place == len(train.members)
                else _rest(moves[state], rests)
            )
    return MakeUp(moves=moves, rests=rests)


def longest_made_up(
    makeup: MakeUp, *, drops: int, within_mm: float, most_steps: int
) -> MadeUp:
    """Return the longest train with ``drops`` left off whose weight is ``within_mm``;
    there is one at least.

    Branch and bound: a branch is left as soon as it must come out too heavy, or no
    longer than the best so far. After ``most_steps`` the best so far is returned.
    """
    best_mm, best, steps = -inf, Places(), 0
    waiting: list[tuple[State, int, float, float, tuple[int, ...]]] = [
        (START, drops, 0.0, 0.0, ())
    ]
    while waiting:
        state, to_drop, weight_mm, length_mm, left_off = waiting.pop()
        rest = makeup.rests[state]
        if exceeds(weight_mm + rest.weights_mm[to_drop], limit=within_mm):
            continue
        if not exceeds(length_mm + rest.lengths_mm[to_drop], limit=best_mm):
            continue
        steps += 1
        if steps > most_steps and best_mm > -inf:
            return MadeUp(dropped=best, proved=False)
        if not makeup.moves[state]:
            best_mm, best = length_mm + rest.lengths_mm[0], Places(left_off)
            continue
        branches = [
            (
                move.to,
                to_drop - move.drops,
                weight_mm + move.weight_mm,
                length_mm + move.length_mm,
                (*left_off, state.place) if move.drops else left_off,
            )
            for move in makeup.moves[state]
            if to_drop - move.drops in range(len(makeup.rests[move.to].weights_mm))
        ]
        branches.sort(
            key=lambda branch: branch[3] + makeup.rests[branch[0]].lengths_mm[branch[1]]
        )
        waiting.extend(branches)
    return MadeUp(dropped=best, proved=True)


def _rest(moves: list[Move], rests: dict[State, Rest]) -> Rest:
    weights_mm: list[float] = []
    lengths_mm: list[float] = []
    for move in moves:
        rest = rests[move.to]
        longer = len(rest.weights_mm) + move.drops - len(weights_mm)
        weights_mm.extend([inf] * longer)
        lengths_mm.extend([-inf] * longer)
        for drops, weight_mm in enumerate(rest.weights_mm, start=move.drops):
            weights_mm[drops] = min(weights_mm[drops], weight_mm + move.weight_mm)
        for drops, length_mm in enumerate(rest.lengths_mm, start=move.drops):
            lengths_mm[drops] = max(lengths_mm[drops], length_mm + move.length_mm)
    return Rest(weights_mm, lengths_mm)


class _Ways:
    """The moves from one state to the next."""

    def __init__(self, train: Coupled, *, kept: Places, unfit: Places) -> None:
        self._train = train
        self._kept = kept
        self._unfit = unfit
        self._rake_of = {
            place: rake
            for rake in train.rakes
            for place in range(rake.first, rake.last + 1)
        }
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
        intact = rake is not None and (place == rake.first or state.intact)
        whole_one_by_one = intact and rake is not None and place == rake.last
        if place not in self._kept:
            yield Move(State(place + 1, state.end, intact=False), 0.0, 0.0, 1)
        if place not in self._unfit and not whole_one_by_one:
            to = State(place + 1, self._sort(member.tail), intact=intact)
            yield from self._keep(state, member.length.extent, head=member.head, to=to)
        if rake is not None and place == rake.first and self._holds_together(rake):
            to = State(rake.last + 1, self._sort(rake.tail), intact=False)
            yield from self._keep(state, rake.extent, head=rake.head, to=to)

    def end(self, state: State) -> Rest:
        """Return what the free end at the tail adds; a train of nothing is none."""
        if state.end is None or self._ends[state.end].projection.missing:
            return Rest([inf], [-inf])
        projection = self._ends[state.end].projection
        return Rest(
            [projection.known_mm + projection.plus_minus_mm], [projection.known_mm]
        )

    def _keep(
        self, state: State, extent: Extent, *, head: End, to: State
    ) -> Iterator[Move]:
        joint = self._joint(state.end, head)
        if joint is not None and not extent.missing:
            length_mm = joint.known_mm + extent.known_mm
            yield Move(
                to, length_mm + joint.plus_minus_mm + extent.plus_minus_mm, length_mm, 0
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
            return None if head.projection.missing else head.projection
        tail = self._ends[before]
        between = gap(tail, head)
        return (
            between
            if take_hold(tail, head, types=self._train.types) and not between.missing
            else None
        )

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
