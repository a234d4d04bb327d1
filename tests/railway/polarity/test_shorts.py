"""Where rails are joined, against a train that is laid on every run of cells."""

import os
from collections.abc import Sequence
from random import Random
from typing import Any

import msgspec
import pytest

from railway.polarity.test_circuits import POINTS, metal_of, track
from standage.railway.polarity.polarity import polarity
from standage.railway.polarity.shorts import least_short, lies, shorts_at_rest
from standage.railway.track.network.network import network
from standage.railway.track.plans.flat import flattened
from standage.railway.track.plans.plan import Plan
from support.rail_cells import (
    Cells,
    is_shorted,
    least_short_mm,
    random_gaps,
    random_plan,
)

PLANS = int(os.environ.get("STANDAGE_POLARITY_PLANS", "60"))
SHORTED = "shorted"
BALLOON: dict[str, Any] = {
    "pieces": {"P": POINTS, "R": track(2000), "A": track(500)},
    "joins": [["P.through", "R.a"], ["R.b", "P.branch"], ["P.toe", "A.b"]],
}


def gap(piece: str, at_mm: float, rails: str = "both", **leg: str) -> dict[str, Any]:
    return {"kind": "gap", "piece": piece, "at_mm": at_mm, "rails": rails, **leg}


def free_mm(
    document: dict[str, Any], gaps: Sequence[dict[str, Any]] = ()
) -> float | str | None:
    """Return the least lie that is a short, wherever on the plan it is looked for; and
    so it is where only what can reverse trains is looked at.
    """
    plan = msgspec.convert(document | {"fittings": list(gaps)}, Plan)
    flat = flattened(plan)
    found = polarity(network(flat, flat.shapes), plan.fittings)
    over = lies(found.metal)
    conductors = found.metal.conductors()
    if any(shorts_at_rest(over, conductors)):
        assert found.joined_over
        return SHORTED
    least = least_short(over, conductors)
    within = None if found.least is None else found.least.length_mm
    assert within == (None if least is None else least.length_mm)
    return within


@pytest.mark.parametrize("seed", range(PLANS))
def test_a_train_that_is_laid_everywhere_finds_the_same(seed: int) -> None:
    random = Random(7_000 + seed)
    document = random_plan(random, most_junctions=2)
    gaps = random_gaps(random, document, random.randint(0, 9))
    cells = Cells(document | {"fittings": gaps})
    expected: float | str | None = SHORTED
    if not is_shorted(cells):
        expected = least_short_mm(cells)
    assert free_mm(document, gaps) == expected


def test_a_reversing_loop_without_gaps_is_shorted_at_rest() -> None:
    assert free_mm(BALLOON) == SHORTED


def test_one_gap_in_a_reversing_loop_is_never_enough() -> None:
    assert free_mm(BALLOON, [gap("R", 1000)]) == 0


def test_gaps_in_one_rail_only_are_not_enough() -> None:
    gaps = [gap("R", 400, "left"), gap("R", 1600, "left")]
    assert free_mm(BALLOON, gaps) == SHORTED
    gaps = [gap("R", 400, "left"), gap("R", 1600, "right")]
    assert free_mm(BALLOON, gaps) == SHORTED


def test_two_gaps_leave_the_track_between_them() -> None:
    assert free_mm(BALLOON, [gap("R", 400), gap("R", 1600)]) == 1200
    # or round the other way, over the points, where a train does not lie: leg to leg
    assert free_mm(BALLOON, [gap("R", 900), gap("R", 1600)]) == 700


def test_gaps_a_little_aside_from_each_other_are_as_good() -> None:
    gaps = [gap("R", 400, "left"), gap("R", 403, "right")]
    gaps += [gap("R", 1600, "left"), gap("R", 1603, "right")]
    # from the second rail of the one to the first rail of the other
    assert free_mm(BALLOON, gaps) == 1197


def test_a_gap_at_the_end_of_a_piece_is_one_in_the_joint() -> None:
    at_the_joints = [gap("R", 0), gap("R", 2000)]
    from_the_points = [gap("P", 150, leg="through"), gap("P", 150, leg="branch")]
    past_the_end = [gap("P", 400, leg="through"), gap("P", 400, leg="branch")]
    assert free_mm(BALLOON, at_the_joints) == 2000
    assert free_mm(BALLOON, from_the_points) == 2000
    assert free_mm(BALLOON, past_the_end) == 1500


def test_left_and_right_are_as_positions_count_on_the_piece_where_the_gap_lies() -> (
    None
):
    # 100 mm before A's end a lies on W, which counts the other way
    document = {
        "pieces": BALLOON["pieces"] | {"W": track(500)},
        "joins": [*BALLOON["joins"], ["W.a", "A.a"]],
    }
    of = metal_of(document | {"fittings": [gap("A", -100, "left")]})
    (number,) = (n for n, name in enumerate(of.piece_of) if name == "W")
    assert [part.to_mm for part in of.parts[number]] == [100, 500]
    assert len({part.left for part in of.parts[number]}) == 2
    assert len({part.right for part in of.parts[number]}) == 1


CROSSOVER: dict[str, Any] = {
    "P": POINTS,
    "Q": POINTS,
    "X": track(200),
    "U": track(3000),
    "V": track(3000),
}
"""From a line to the one beside it: one toe looks west, the other one east."""


def crossed(*joins: list[str]) -> dict[str, Any]:
    return {
        "pieces": CROSSOVER,
        "joins": [["P.branch", "X.a"], ["X.b", "Q.branch"], *joins],
    }


def test_a_crossover_between_two_circuits_exchanges_nothing() -> None:
    one = [["P.through", "U.a"], ["U.b", "P.toe"]]
    other = [["Q.through", "V.a"], ["V.b", "Q.toe"]]
    assert free_mm(crossed(*one, *other)) is None


def test_a_crossover_between_lines_of_one_circuit_run_in_opposite_ways_does() -> None:
    # out east by P's through, round, and back west into Q's toe
    east, west = [["P.through", "U.a"], ["U.b", "Q.toe"]], [["Q.through", "V.a"]]
    document = crossed(*east, *west, ["V.b", "P.toe"])
    assert free_mm(document) == SHORTED
    assert free_mm(document, [gap("U", 0), gap("U", 3000)]) == SHORTED
    assert free_mm(document, [gap("X", 0), gap("X", 200)]) == 200


def test_a_crossover_between_lines_of_one_circuit_run_one_way_does_not() -> None:
    # twice round: out east by P's through, and on east by Q's through to its toe
    once, twice = [["P.through", "U.a"], ["U.b", "Q.through"]], [["Q.toe", "V.a"]]
    assert free_mm(crossed(*once, *twice, ["V.b", "P.toe"])) is None


def test_a_wye_wants_gaps_on_one_side_of_the_triangle() -> None:
    pieces: dict[str, Any] = dict.fromkeys("PQR", POINTS)
    pieces |= {"X": track(900), "Y": track(900), "Z": track(900)}
    # each side of the triangle leads from a leg to a leg
    joins = [["P.branch", "X.a"], ["X.b", "Q.through"], ["Q.branch", "Y.a"]]
    joins += [["Y.b", "R.through"], ["R.branch", "Z.a"], ["Z.b", "P.through"]]
    document = {"pieces": pieces, "joins": joins}
    assert free_mm(document) == SHORTED
    assert free_mm(document, [gap("X", 0), gap("X", 900)]) == 900


def test_an_oval_with_a_diagonal_reverses_trains_and_is_shorted() -> None:
    pieces = {"P": POINTS, "Q": POINTS, "D": track(1500)}
    pieces |= {"U": track(2500), "V": track(2500)}
    joins = [["P.through", "U.a"], ["U.b", "Q.toe"], ["Q.through", "V.a"]]
    joins += [["V.b", "P.toe"], ["P.branch", "D.a"], ["D.b", "Q.branch"]]
    document = {"pieces": pieces, "joins": joins}
    # by the diagonal and either half of the oval a run passes from leg to leg once
    assert free_mm(document) == SHORTED
    assert free_mm(document, [gap("D", 0), gap("D", 1500)]) == 1500


def test_a_dogbone_of_single_line_is_shorted_at_both_ends() -> None:
    pieces = BALLOON["pieces"] | {"Q": POINTS, "S": track(800)}
    joins = [*BALLOON["joins"], ["A.a", "Q.toe"], ["Q.through", "S.a"]]
    document = {"pieces": pieces, "joins": [*joins, ["S.b", "Q.branch"]]}
    ends = [gap("R", 0), gap("R", 2000)]
    assert free_mm(document, ends) == SHORTED
    assert free_mm(document, [*ends, gap("S", 0), gap("S", 800)]) == 800


def test_a_diamond_joins_neither_road_to_the_other() -> None:
    diamond = {"kind": "diamond", "a_mm": [100, 100], "b_mm": [100, 100]}
    # a figure of eight, level: each road comes back as the other, the right way round
    eight = {
        "pieces": {"D": diamond, "U": track(900), "V": track(900)},
        "joins": [["D.a2", "U.a"], ["U.b", "D.b1"], ["D.b2", "V.a"], ["V.b", "D.a1"]],
    }
    assert free_mm(eight) is None


def test_trains_lie_over_a_deck_that_lines_up_and_no_farther_than_it_is_long() -> None:
    deck = {"kind": "turntable", "deck_mm": 300, "roads": [0, 180, 90]}
    pieces = {"T": deck, "P": POINTS, "X": track(800), "Y": track(800)}
    joins = [["P.through", "X.a"], ["X.b", "T.r1"], ["P.branch", "Y.a"]]
    document = {"pieces": pieces, "joins": [*joins, ["Y.b", "T.r2"]]}
    of = metal_of(document)
    assert of.decks == ("T",)
    assert free_mm(document) == 300
    # the roads no longer face each other
    document["joins"] = [*joins, ["Y.b", "T.r3"]]
    assert free_mm(document) is None
