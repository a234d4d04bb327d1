"""All circuits of a plan, against walks from joint to joint, and by counting."""

import os
from random import Random
from typing import Any

import msgspec
import pytest

from standage.railway.polarity.circuits import MOST_CIRCUITS, Circuits, circuits
from standage.railway.polarity.metal import Metal, metal
from standage.railway.track.network.network import network
from standage.railway.track.plans.flat import flattened
from standage.railway.track.plans.plan import Plan
from support.rail_cells import circuits_walked, random_plan

PLANS = int(os.environ.get("STANDAGE_POLARITY_PLANS", "60"))
POINTS = {"kind": "points", "toe_mm": 30, "through_mm": 150, "branch_mm": 150}


def track(length_mm: float) -> dict[str, Any]:
    return {"kind": "track", "length_mm": length_mm}


def metal_of(document: dict[str, Any]) -> Metal:
    plan = msgspec.convert(document, Plan)
    flat = flattened(plan)
    return metal(network(flat, flat.shapes), plan.fittings)


def told(found: Circuits) -> dict[frozenset[str], bool]:
    return {frozenset(one.pieces): one.exchanges_rails for one in found.told}


def loops(count: int) -> dict[str, Any]:
    """Return an oval with so many loops, one after another."""
    pieces: dict[str, Any] = {}
    joins = []
    for n in range(count):
        following = (n + 1) % count
        pieces |= {f"P{n}": POINTS, f"Q{n}": POINTS}
        pieces |= {f"M{n}": track(500), f"L{n}": track(500), f"C{n}": track(300)}
        joins += [[f"P{n}.through", f"M{n}.a"], [f"M{n}.b", f"Q{n}.through"]]
        joins += [[f"P{n}.branch", f"L{n}.a"], [f"L{n}.b", f"Q{n}.branch"]]
        joins += [[f"Q{n}.toe", f"C{n}.a"], [f"C{n}.b", f"P{following}.toe"]]
    return {"pieces": pieces, "joins": joins}


@pytest.mark.parametrize("seed", range(PLANS))
def test_circuits_are_those_that_are_walked(seed: int) -> None:
    document = random_plan(Random(seed), most_junctions=4)
    found = circuits(metal_of(document))
    assert (found.more_reversing, found.more_others) == (0, 0)
    assert told(found) == circuits_walked(document)


def all_joined(random: Random) -> dict[str, Any]:
    """Return points whose ends all lead to each other, so that nothing ends."""
    names = [f"P{number}" for number in range(random.choice([4, 6]))]
    free = [f"{name}.{end}" for name in names for end in ("toe", "through", "branch")]
    random.shuffle(free)
    pieces: dict[str, Any] = dict.fromkeys(names, POINTS)
    joins = []
    for number in range(len(free) // 2):
        pieces[f"T{number}"] = track(100)
        joins += [[free.pop(), f"T{number}.a"], [f"T{number}.b", free.pop()]]
    return {"pieces": pieces, "joins": joins}


@pytest.mark.parametrize("seed", range(PLANS))
def test_circuits_are_those_that_are_walked_where_no_track_ends(seed: int) -> None:
    document = all_joined(Random(500 + seed))
    found = circuits(metal_of(document))
    assert (found.more_reversing, found.more_others) == (0, 0)
    assert told(found) == circuits_walked(document)


@pytest.mark.parametrize("count", [1, 2, 5, 15, 60])
def test_an_oval_with_loops_has_as_many_as_there_are_ways_round_and_the_loops(
    count: int,
) -> None:
    found = circuits(metal_of(loops(count)))
    assert found.more_reversing == 0
    assert found.more_others is not None
    # each loop is passed by one road or the other, and is a circuit by itself
    assert len(found.told) + found.more_others == 2**count + count
    assert len(found.told) == min(2**count + count, MOST_CIRCUITS) or count > 15
    assert not any(one.exchanges_rails for one in found.told)


def test_pieces_are_told_in_the_order_of_a_run_round() -> None:
    found = circuits(metal_of(loops(1)))
    for one in found.told:
        if len(one.pieces) == 4 and "C0" in one.pieces:
            names = one.pieces
            place = names.index("C0")
            around = {names[place - 1], names[(place + 1) % 4]}
            assert around == {"P0", "Q0"}


def test_circuits_that_exchange_rails_are_told_first() -> None:
    document = loops(12)
    document["pieces"] |= {"R": POINTS, "X": POINTS, "D": track(900)}
    # a diagonal across the oval, from the toe's side of both
    cut = [["C0.b", "P1.toe"], ["C6.b", "P7.toe"]]
    document["joins"] = [join for join in document["joins"] if join not in cut]
    document["joins"] += [["C0.b", "R.toe"], ["R.through", "P1.toe"]]
    document["joins"] += [["C6.b", "X.through"], ["X.toe", "P7.toe"]]
    document["joins"] += [["R.branch", "D.a"], ["D.b", "X.branch"]]
    found = circuits(metal_of(document))
    flags = [one.exchanges_rails for one in found.told]
    assert flags == sorted(flags, reverse=True)


def test_a_double_slip_s_own_blades_are_no_circuit() -> None:
    slip = {"kind": "double_slip", "arm_mm": 50, "core_mm": 100, "core_slip_mm": 100}
    assert circuits(metal_of({"pieces": {"S": slip}})).told == ()


def test_too_many_to_count_are_said_to_be(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("standage.railway.polarity.circuits.MOST_STATES", 10)
    found = circuits(metal_of(loops(4)))
    assert (found.more_reversing, found.more_others) == (None, None)
    assert len(found.told) == 5
    assert set(told(found)) <= set(circuits_walked(loops(4)))
