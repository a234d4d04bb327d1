"""All circuits: counted without being listed, and the first of them listed.

The edges are gone through in an order, each taken or left. What matters of those that
were taken is how their open ends hang together at the vertices where others are still
to come: such a *state* is looked at once, however many ways lead to it.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, combinations
from typing import NamedTuple

import msgspec

from standage.railway.polarity.closed_runs import (
    Edge,
    Meeting,
    Vertex,
    condensed,
    edges_of,
    meeting,
)
from standage.railway.polarity.metal import Metal

MOST_STATES = 400_000
"""So many are looked at, each counted once more for every vertex that is open in it."""
MOST_CIRCUITS = 1000
MOST_PIECES = 100_000
"""So many pieces are told in all circuits together."""
_MOST_CORES = 6

State = tuple[tuple[Vertex, Vertex | None], ...]
"""The vertices that were met, and the open end at the other end of the run from each;
None where a run passes through.
"""
_CLOSED: State = ((-1, None),)


class Circuit(msgspec.Struct, frozen=True, kw_only=True):
    """A closed run of metal: its pieces in order, and whether it exchanges rails."""

    pieces: tuple[str, ...]
    exchanges_rails: bool


class Circuits(msgspec.Struct, frozen=True, kw_only=True):
    """The first circuits, those that exchange rails first; how many more of either sort
    there are, None where there are too many to count.
    """

    told: tuple[Circuit, ...]
    more_reversing: int | None
    more_others: int | None


class _Item(NamedTuple):
    """Edges among which one of several choices is made, and what is done with after."""

    choices: tuple[tuple[Edge, ...], ...]
    done_with: tuple[Vertex, ...]


class _Onwards(NamedTuple):
    choice: tuple[Edge, ...]
    state: State


def circuits(metal: Metal) -> Circuits:
    """Return the circuits of a plan's metal, whatever gaps are in it.

    All are counted where ``MOST_STATES`` are enough, and at most ``MOST_CIRCUITS``
    listed. **Source** derived: circuits of a graph counted over its frontier.
    """
    met = meeting(metal)
    edges = condensed(edges_of(metal, met))
    items = _items(metal, edges)
    layers = _layers(items)
    if layers is None:
        return _some(metal, met, edges)
    ways = _completions(layers)
    told: dict[frozenset[str], Circuit] = {}
    seen = [0, 0]
    pieces = 0
    for is_odd in (True, False):
        for tracks in _listed(layers, ways, is_odd=is_odd):
            if len(told) >= MOST_CIRCUITS or pieces > MOST_PIECES:
                break
            seen[is_odd] += 1
            names = _in_order(metal, met, tracks)
            if frozenset(names) not in told:
                pieces += len(names)
                told[frozenset(names)] = Circuit(pieces=names, exchanges_rails=is_odd)
    others, reversing = ways[0].get((), (0, 0))
    return Circuits(
        told=tuple(told.values()),
        more_reversing=reversing - seen[True],
        more_others=others - seen[False],
    )


def _items(metal: Metal, edges: Sequence[Edge]) -> list[_Item]:
    """Return what is chosen one after another, so that few vertices are open at once."""
    order = _order(edges)
    grouped: dict[object, list[Edge]] = {}
    for number, edge in enumerate(edges):
        slip = _slip_of(metal, edge)
        grouped.setdefault(number if slip is None else slip, []).append(edge)
    found: list[tuple[tuple[Edge, ...], ...]] = []
    vertices: list[list[Vertex]] = []
    for own in sorted(grouped.values(), key=lambda own: _place(own, order)):
        within = _slip_of(metal, own[0]) is not None and len(own) <= _MOST_CORES
        for part in [own] if within else [[edge] for edge in own]:
            found.append(_choices(part, within=within))
            vertices.append([end for edge in part for end in edge.ends])
    last = {end: place for place, ends in enumerate(vertices) for end in ends}
    done: list[list[Vertex]] = [[] for _ in found]
    for end, place in last.items():
        done[place].append(end)
    return [
        _Item(choices, tuple(own)) for choices, own in zip(found, done, strict=True)
    ]


def _slip_of(metal: Metal, edge: Edge) -> str | None:
    """Return the slip between whose blades an edge lies as a whole; None elsewhere."""
    network = metal.network
    names = {metal.piece_of[track] for track in edge.tracks}
    is_core = all(network.strands[track].core for track in edge.tracks)
    if not is_core or len(names) > 1:
        return None
    [name] = names
    if network.shapes[name].word == "slip":
        return name
    return None


def _choices(edges: Sequence[Edge], *, within: bool) -> tuple[tuple[Edge, ...], ...]:
    """Return which of some edges may be taken together; within a slip those that join
    the same joints once, and never its own ring.
    """
    if not within:
        return ((), (edges[0],))
    sizes = range(len(edges) + 1)
    subsets = chain.from_iterable(combinations(edges, size) for size in sizes)
    found: dict[State, tuple[Edge, ...]] = {}
    for subset in subsets:
        state = _after((), subset)
        if state is None or state == _CLOSED:
            continue
        joined = tuple(sorted(pair for pair in state if pair[1] is not None))
        found.setdefault(joined, subset)
    return tuple(found.values())


def _order(edges: Sequence[Edge]) -> dict[Vertex, int]:
    """Return the vertices by their distance from one that lies at an edge of it all."""
    beside: dict[Vertex, list[Vertex]] = {}
    for edge in edges:
        beside.setdefault(edge.one, []).append(edge.other)
        beside.setdefault(edge.other, []).append(edge.one)
    order: dict[Vertex, int] = {}
    for vertex in beside:
        if vertex in order:
            continue
        farthest = list(_outwards(beside, vertex))[-1]
        for one in _outwards(beside, farthest):
            order[one] = len(order)
    return order


def _outwards(beside: dict[Vertex, list[Vertex]], start: Vertex) -> Iterator[Vertex]:
    reached = dict.fromkeys([start])
    queue = [start]
    for vertex in queue:
        yield vertex
        for other in beside[vertex]:
            if other not in reached:
                reached[other] = None
                queue.append(other)


def _place(edges: Sequence[Edge], order: dict[Vertex, int]) -> tuple[int, int]:
    places = [order[end] for edge in edges for end in edge.ends]
    return max(places), min(places)


def _layers(items: Sequence[_Item]) -> list[dict[State, list[_Onwards]]] | None:
    """Return the states before each item with what each choice makes of them; None
    where they are too many.
    """
    layers: list[dict[State, list[_Onwards]]] = []
    states: dict[State, None] = {(): None}
    in_all = 0
    for item in items:
        layer: dict[State, list[_Onwards]] = {}
        after: dict[State, None] = {}
        for state in states:
            in_all += 1 + len(state)
            if in_all > MOST_STATES:
                return None
            layer[state] = []
            for choice in item.choices:
                onwards = _left_behind(_after(state, choice), item.done_with)
                if onwards is None:
                    continue
                layer[state].append(_Onwards(choice, onwards))
                if onwards != _CLOSED:
                    after[onwards] = None
        layers.append(layer)
        states = after
    return layers


def _after(state: State, choice: Sequence[Edge]) -> State | None:
    """Return the state with some edges taken too; None where they cannot be."""
    if not choice:
        return state
    mates: dict[Vertex, Vertex | None] = dict(state)
    for place, edge in enumerate(choice):
        one, other = edge.ends
        far, far_other = mates.get(one, one), mates.get(other, other)
        if far is None or far_other is None:
            return None
        if far == other:
            # the run closes: nothing else may be open, and nothing may follow
            open_ends = {end for end, mate in mates.items() if mate is not None}
            is_whole = open_ends <= {one, other} and place == len(choice) - 1
            if is_whole:
                return _CLOSED
            return None
        if one == other:
            # another run ends where this one begins and ends
            return None
        mates[one] = mates[other] = None
        mates[far], mates[far_other] = far_other, far
    return tuple(sorted(mates.items(), key=lambda pair: pair[0]))


def _left_behind(state: State | None, done_with: Sequence[Vertex]) -> State | None:
    """Return a state without the vertices that nothing follows at; None where a run has
    an open end there.
    """
    if state is None or state == _CLOSED:
        return state
    kept = []
    for vertex, mate in state:
        if vertex not in done_with:
            kept.append((vertex, mate))
        elif mate is not None:
            return None
    return tuple(kept)


def _completions(
    layers: Sequence[dict[State, list[_Onwards]]],
) -> list[dict[State, tuple[int, int]]]:
    """Return in how many ways each state can become a circuit: with an even number of
    exchanges still to come, and with an odd one.
    """
    ways: list[dict[State, tuple[int, int]]] = [{} for _ in range(len(layers) + 1)]
    for place in range(len(layers) - 1, -1, -1):
        for state, onwards in layers[place].items():
            counts = [0, 0]
            for choice, then in onwards:
                odd = _is_odd(choice)
                beyond = (1, 0)
                if then != _CLOSED:
                    beyond = ways[place + 1].get(then, (0, 0))
                counts[0] += beyond[odd]
                counts[1] += beyond[1 - odd]
            ways[place][state] = (counts[0], counts[1])
    return ways


def _is_odd(edges: Sequence[Edge]) -> int:
    return sum(edge.is_odd for edge in edges) % 2


def _listed(
    layers: Sequence[dict[State, list[_Onwards]]],
    ways: Sequence[dict[State, tuple[int, int]]],
    *,
    is_odd: bool,
) -> Iterator[list[int]]:
    """Yield the tracks of each circuit that exchanges rails, or of each that does not."""
    start: State = ()
    todo: list[tuple[int, State, int, tuple[int, ...]]] = [(0, start, int(is_odd), ())]
    while todo:
        place, state, wanted, tracks = todo.pop()
        if state == _CLOSED:
            yield list(tracks)
            continue
        if place == len(layers):
            continue
        for choice, then in reversed(layers[place][state]):
            left = wanted ^ _is_odd(choice)
            possible = left == 0
            if then != _CLOSED:
                possible = bool(ways[place + 1].get(then, (0, 0))[left])
            if possible:
                taken = tuple(track for edge in choice for track in edge.tracks)
                todo.append((place + 1, then, left, tracks + taken))


def _in_order(metal: Metal, met: Meeting, tracks: Sequence[int]) -> tuple[str, ...]:
    """Return the pieces of a circuit in the order of a run round it."""
    at: dict[Vertex, list[int]] = {}
    for track in tracks:
        for course in (2 * track, 2 * track + 1):
            at.setdefault(met.vertex[course], []).append(track)
    here = min(tracks)
    vertex = met.vertex[2 * here]
    names: dict[str, None] = {}
    for _ in tracks:
        names[metal.piece_of[here]] = None
        here = sum(at[vertex]) - here
        ends = (met.vertex[2 * here], met.vertex[2 * here + 1])
        vertex = ends[1] if ends[0] == vertex else ends[0]
    return tuple(names)


class _Tree(msgspec.Struct, frozen=True, kw_only=True):
    """Edges by which all vertices hang together without a circuit: for each vertex the
    one above it with the edge between, and how far down it hangs.
    """

    above: dict[Vertex, tuple[Vertex, Edge]]
    depth: dict[Vertex, int]


def _tree(edges: Sequence[Edge]) -> _Tree:
    at: dict[Vertex, list[Edge]] = {}
    for edge in edges:
        for end in edge.ends:
            at.setdefault(end, []).append(edge)
    tree = _Tree(above={}, depth={})
    for root in at:
        if root in tree.depth:
            continue
        tree.depth[root] = 0
        queue = [root]
        for vertex in queue:
            for edge in at[vertex]:
                beyond = edge.one if edge.other == vertex else edge.other
                if beyond not in tree.depth:
                    tree.above[beyond] = (vertex, edge)
                    tree.depth[beyond] = tree.depth[vertex] + 1
                    queue.append(beyond)
    return tree


def _some(metal: Metal, met: Meeting, edges: Sequence[Edge]) -> Circuits:
    """Return circuits of which every other is made up: those that each edge closes
    which is left over where all hangs together as a tree.
    """
    tree = _tree(edges)
    taken = {edge.tracks for _, edge in tree.above.values()}
    told: dict[frozenset[str], Circuit] = {}
    pieces = 0
    for edge in edges:
        if edge.tracks in taken or _slip_of(metal, edge) is not None:
            continue
        if len(told) >= MOST_CIRCUITS or pieces > MOST_PIECES:
            break
        run = [edge, *_joining(edge, tree)]
        tracks = [track for one in run for track in one.tracks]
        names = _in_order(metal, met, tracks)
        pieces += len(names)
        told[frozenset(names)] = Circuit(
            pieces=names, exchanges_rails=bool(_is_odd(run))
        )
    first = sorted(told.values(), key=lambda one: not one.exchanges_rails)
    return Circuits(
        told=tuple(first),
        more_reversing=None,
        more_others=None,
    )


def _joining(edge: Edge, tree: _Tree) -> Iterator[Edge]:
    """Yield the edges of the tree between the two ends of another edge."""
    one, other = edge.ends
    while one != other:
        if tree.depth[one] < tree.depth[other]:
            one, other = other, one
        one, step = tree.above[one]
        yield step
