"""Circuits of plans joined at random, against what a library of graphs says of them.

**Source** graph theory: a connected graph of n nodes and m edges has m - n + 1
independent circuits; networkx, a general library of graphs, finds them by its own
means.
"""

from random import Random
from typing import Any

import networkx as nx

from standage.railway.track.placing.circuits import Circuit, closures
from standage.railway.track.placing.placing import placing
from support.track_plans import curve, points, read_plan, straight
from support.walks import at_each

ENDS = {"S": ("a", "b"), "C": ("a", "b"), "P": ("toe", "through", "branch")}


def pieces_at_random(chance: Random) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for number in range(chance.randint(1, 9)):
        made[f"P{number}"] = points(hand=chance.choice(["left", "right"]))
        made[f"S{number}"] = straight(chance.randint(1, 900))
        made[f"C{number}"] = curve(438, chance.choice([15, 30, 45]))
    return made


def joins_at_random(chance: Random, pieces: dict[str, Any]) -> list[list[str]]:
    ends = [f"{name}.{end}" for name in pieces for end in ENDS[name[0]]]
    chance.shuffle(ends)
    count = chance.randint(1, len(ends) // 2)
    return [ends[2 * n : 2 * n + 2] for n in range(count)]


def graph_of(joins: list[list[str]]) -> nx.MultiGraph:
    """Return the pieces that hang together with the first join, each a node; an edge
    for each of their joins, by its ends.
    """
    graph = nx.MultiGraph()
    for one, other in joins:
        key = frozenset((one, other))
        graph.add_edge(one.partition(".")[0], other.partition(".")[0], key=key)
    first = joins[0][0].partition(".")[0]
    return graph.subgraph(nx.node_connected_component(graph, first)).copy()


def key_of(circuit: Circuit) -> frozenset[str]:
    return frozenset(f"{piece}.{end}" for piece, end in circuit.closing_join)


@at_each("seed", range(200))
def test_there_are_as_many_circuits_as_in_the_graph_and_each_is_one(seed: int) -> None:
    chance = Random(seed)
    pieces = pieces_at_random(chance)
    joins = joins_at_random(chance, pieces)
    graph = graph_of(joins)
    told = closures(placing(read_plan({"pieces": pieces, "joins": joins}))).circuits
    assert len(told) == graph.number_of_edges() - graph.number_of_nodes() + 1
    tree = graph.copy()
    for one in told:
        near, far = (end[0] for end in one.closing_join)
        tree.remove_edge(near, far, key=key_of(one))
    assert nx.is_tree(tree)
    for one in told:
        near, far = (end[0] for end in one.closing_join)
        assert set(one.pieces) == set(nx.shortest_path(tree, near, far))
        assert len(one.pieces) == len(set(one.pieces))
