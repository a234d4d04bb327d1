"""Circuits of metal against those that a library of graphs finds.

Where at most three runs of metal meet, a closed run that uses no stretch twice passes no
place twice either: it is what graph theory calls a simple cycle. **Source** networkx, a
general library of graphs, which lists these by its own means.
"""

from random import Random
from typing import Any

import networkx as nx
import pytest

from railway.polarity.test_circuits import metal_of
from standage.railway.polarity.circuits import circuits
from support.track_plans import points, straight


def plan_at_random(chance: Random) -> dict[str, Any]:
    """Return points and track, joined any way; ends may be left open."""
    pieces: dict[str, Any] = {}
    ends: list[str] = []
    for number in range(chance.randint(1, 6)):
        pieces[f"P{number}"] = points(hand=chance.choice(["left", "right"]))
        pieces[f"S{number}"] = straight(chance.randint(1, 900))
        ends += [f"P{number}.{end}" for end in ("toe", "through", "branch")]
        ends += [f"S{number}.a", f"S{number}.b"]
    chance.shuffle(ends)
    count = chance.randint(1, len(ends) // 2)
    joins = [ends[2 * n : 2 * n + 2] for n in range(count)]
    return {"pieces": pieces, "joins": joins}


def cycles_of(joins: list[list[str]]) -> set[frozenset[str]]:
    """Return the pieces of every simple cycle; a piece is a node, a join an edge."""
    graph = nx.MultiGraph()
    for one, other in joins:
        graph.add_edge(one.partition(".")[0], other.partition(".")[0])
    return {frozenset(cycle) for cycle in nx.simple_cycles(graph)}


@pytest.mark.parametrize("seed", range(150))
def test_circuits_are_the_simple_cycles_of_the_graph(seed: int) -> None:
    plan = plan_at_random(Random(seed))
    found = circuits(metal_of(plan))
    assert (found.more_reversing, found.more_others) == (0, 0)
    assert {frozenset(one.pieces) for one in found.told} == cycles_of(plan["joins"])
