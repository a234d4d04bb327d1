"""The metal as a graph: what is left of it where dead ends are taken off, and runs
without a choice are one edge.

Every edge has a parity, so that a closed run exchanges rails where those of its edges
add up to an odd number.
"""

from collections.abc import Iterator, Sequence

import msgspec

from standage.railway.polarity.metal import Metal
from standage.railway.track.plans.parts import Parts

Course = int
Vertex = int
_THROUGH = 2
"""So many ends at a vertex that leads on without a choice."""


class Edge(msgspec.Struct, frozen=True, kw_only=True, gc=False):
    """Tracks without a choice from one vertex to another, and whether to run over them
    adds an exchange of rails.
    """

    one: Vertex
    other: Vertex
    tracks: tuple[int, ...]
    is_odd: bool

    @property
    def ends(self) -> tuple[Vertex, Vertex]:
        """Its two vertices."""
        return self.one, self.other


class Meeting(msgspec.Struct, frozen=True, kw_only=True):
    """Where track ends meet: the vertex of each by the course that arrives there, and
    on which of its two sides it lies.

    A run that enters and leaves by one side, as from leg to leg of points, exchanges
    rails.
    """

    vertex: Sequence[Vertex]
    side: Sequence[int]


def meeting(metal: Metal) -> Meeting:
    """Return where the ends of all tracks meet. **Source** derived."""
    beside: list[list[Course]] = [[] for _ in range(2 * len(metal.parts))]
    for joint in metal.joints:
        beside[joint.arriving].append(joint.leaving ^ 1)
        beside[joint.leaving ^ 1].append(joint.arriving)
    vertex = [-1] * len(beside)
    side = [0] * len(beside)
    for first in range(len(beside)):
        if vertex[first] >= 0:
            continue
        vertex[first] = first
        reached = [first]
        while reached:
            here = reached.pop()
            for other in beside[here]:
                if vertex[other] < 0:
                    vertex[other] = first
                    side[other] = 1 - side[here]
                    reached.append(other)
    return Meeting(vertex=vertex, side=side)


def edges_of(metal: Metal, met: Meeting) -> list[Edge]:
    """Return every track as an edge. **Source** derived: in a closed run each vertex
    has as many edges of it as edges have vertices, so that the parity of a vertex can be
    given to the edges.
    """
    return [
        Edge(
            one=met.vertex[2 * track + 1],
            other=met.vertex[2 * track],
            tracks=(track,),
            is_odd=met.side[2 * track] == met.side[2 * track + 1],
        )
        for track in range(len(metal.parts))
    ]


def condensed(edges: Sequence[Edge]) -> list[Edge]:
    """Return the edges without dead ends, those without a choice between them as one.

    Takes as many steps as there are edges. **Source** derived.
    """
    return list(_Condensing(edges).left())


class _Condensing:
    def __init__(self, edges: Sequence[Edge]) -> None:
        self._edges: dict[int, Edge] = dict(enumerate(edges))
        self._at: dict[Vertex, list[int]] = {}
        for number, edge in self._edges.items():
            for end in edge.ends:
                self._at.setdefault(end, []).append(number)
        self._take_dead_ends()
        for vertex in list(self._at):
            self._run_through(vertex)

    def left(self) -> Iterator[Edge]:
        """Yield what is left, in the order of the tracks."""
        return iter(sorted(self._edges.values(), key=lambda edge: edge.tracks))

    def _take_dead_ends(self) -> None:
        dead = [vertex for vertex, at in self._at.items() if len(at) == 1]
        while dead:
            vertex = dead.pop()
            for number in list(self._at[vertex]):
                edge = self._edges[number]
                self._take(number)
                [beyond] = {*edge.ends} - {vertex} or {vertex}
                if len(self._at[beyond]) == 1:
                    dead.append(beyond)

    def _take(self, number: int) -> None:
        for end in self._edges.pop(number).ends:
            self._at[end].remove(number)

    def _run_through(self, vertex: Vertex) -> None:
        at = self._at[vertex]
        if len(at) != _THROUGH or at[0] == at[1]:
            return
        first, second = self._edges[at[0]], self._edges[at[1]]
        joined = Edge(
            one=_beyond(first, vertex),
            other=_beyond(second, vertex),
            tracks=_in_order(first, vertex) + _in_order(second, vertex)[::-1],
            is_odd=first.is_odd != second.is_odd,
        )
        number, gone = at
        self._take(gone)
        self._take(number)
        self._edges[number] = joined
        for end in joined.ends:
            self._at[end].append(number)


def _beyond(edge: Edge, vertex: Vertex) -> Vertex:
    if edge.other == vertex:
        return edge.one
    return edge.other


def _in_order(edge: Edge, vertex: Vertex) -> tuple[int, ...]:
    """Return an edge's tracks from its far end to a vertex."""
    if edge.other == vertex:
        return edge.tracks
    return edge.tracks[::-1]


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """Tracks that circuits hold together, and the joints of the plan between them."""

    tracks: tuple[int, ...]
    joints: frozenset[int]


def reversing_parts(metal: Metal) -> Iterator[Part]:
    """Yield the tracks that circuits hold together where one of these exchanges rails,
    with those over decks.

    All that may be a short lies within one such part: a train that left it would come
    back the way it went. Takes as many steps as there are tracks. **Source** derived:
    two edges that no single edge parts from each other are in one part.
    """
    edges = _with_decks(metal)
    joints: dict[int, list[int]] = {}
    own = list(_blocks(edges))
    part_of = {track: number for number, tracks in enumerate(own) for track in tracks}
    for number, joint in enumerate(metal.joints):
        part = part_of.get(joint.arriving >> 1)
        is_within = part == part_of.get(joint.leaving >> 1)
        if joint.join is not None and part is not None and is_within:
            joints.setdefault(part, []).append(number)
    for part, tracks in enumerate(own):
        if _exchanges([edges[track] for track in tracks]):
            within = frozenset(joints.get(part, ()))
            yield Part(tracks=tuple(tracks), joints=within)


def _with_decks(metal: Metal) -> list[Edge]:
    """Return all tracks as edges, those over decks between the roads that they meet."""
    met = meeting(metal)
    edges = edges_of(metal, met)
    for track in range(len(metal.network.strands), len(edges)):
        # no metal joins a deck to its roads, yet trains lie over it
        [first], [last] = metal.ways[2 * track + 1], metal.ways[2 * track]
        one, other = first ^ 1, last ^ 1
        edges[track] = Edge(
            one=met.vertex[one],
            other=met.vertex[other],
            tracks=(track,),
            is_odd=met.side[one] == met.side[other],
        )
    return edges


def _exchanges(edges: Sequence[Edge]) -> bool:
    """Tell whether any circuit of edges that hang together is odd: then no two kinds of
    vertices can be told apart so that odd edges alone lead from one kind to the other.
    """
    at: dict[Vertex, list[Edge]] = {}
    for edge in edges:
        for end in edge.ends:
            at.setdefault(end, []).append(edge)
    kind: dict[Vertex, bool] = {edges[0].one: False}
    reached = [edges[0].one]
    while reached:
        here = reached.pop()
        for edge in at[here]:
            beyond = _beyond(edge, here)
            if beyond not in kind:
                kind[beyond] = kind[here] ^ edge.is_odd
                reached.append(beyond)
            elif kind[beyond] != kind[here] ^ edge.is_odd:
                return True
    return False


def _blocks(edges: Sequence[Edge]) -> Iterator[list[int]]:
    """Yield the edges that lie on circuits, by number, those together that circuits hold
    together.
    """
    at: dict[Vertex, list[int]] = {}
    for number, edge in enumerate(edges):
        for end in edge.ends:
            at.setdefault(end, []).append(number)
    parting = _parting(edges, at)
    parts = Parts()
    for number, edge in enumerate(edges):
        if number not in parting:
            parts.join(str(edge.one), str(edge.other))
    found: dict[str, list[int]] = {}
    for number, edge in enumerate(edges):
        if number not in parting:
            found.setdefault(parts.of(str(edge.one)), []).append(number)
    yield from found.values()


def _parting(edges: Sequence[Edge], at: dict[Vertex, list[int]]) -> set[int]:
    """Return the edges that part the graph, by the lowest vertex that can be reached
    from beneath them."""
    order: dict[Vertex, int] = {}
    lowest: dict[Vertex, int] = {}
    parting: set[int] = set()
    for root, beside in at.items():
        if root in order:
            continue
        order[root] = lowest[root] = len(order)
        walk = [(root, -1, iter(beside))]
        while walk:
            vertex, came_by, left = walk[-1]
            number = next(left, None)
            if number is None:
                walk.pop()
                if walk:
                    above = walk[-1][0]
                    lowest[above] = min(lowest[above], lowest[vertex])
                    if lowest[vertex] > order[above]:
                        parting.add(came_by)
                continue
            if number == came_by:
                continue
            beyond = _beyond(edges[number], vertex)
            if beyond in order:
                lowest[vertex] = min(lowest[vertex], order[beyond])
            else:
                order[beyond] = lowest[beyond] = len(order)
                walk.append((beyond, number, iter(at[beyond])))
    return parting
