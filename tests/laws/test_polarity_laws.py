"""What holds of polarity, whatever the plan: its order, its mirror image, its pieces."""

from copy import deepcopy
from random import Random
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from railway.polarity.test_circuits import metal_of, told
from railway.polarity.test_shorts import SHORTED, free_mm
from standage.railway.polarity.circuits import circuits
from support.rail_cells import random_gaps, random_plan

Document = dict[str, Any]
seeds = st.integers(min_value=0, max_value=1_000_000)
OTHER = {"left": "right", "right": "left", "both": "both"}


def drawn(seed: int) -> Document:
    random = Random(seed)
    document = random_plan(random, most_junctions=3)
    document["fittings"] = random_gaps(random, document, random.randint(0, 6))
    return document


def found(document: Document) -> tuple[Any, Any]:
    return told(circuits(metal_of(document))), free_mm(document, document["fittings"])


def _turned(document: Document) -> Document:
    joins = [join[::-1] for join in reversed(document["joins"])]
    pieces = dict(reversed(document["pieces"].items()))
    return document | {"joins": joins, "pieces": pieces}


@given(seeds)
def test_the_order_of_joins_and_pieces_changes_nothing(seed: int) -> None:
    document = drawn(seed)
    assert found(_turned(document)) == found(document)


@given(seeds)
def test_a_mirrored_plan_has_the_same_circuits_and_is_as_free(seed: int) -> None:
    document = drawn(seed)
    mirrored = deepcopy(document)
    for gap in mirrored["fittings"]:
        gap["rails"] = OTHER[gap.get("rails", "both")]
    assert found(mirrored) == found(document)


@given(seeds)
def test_another_gap_never_joins_rails_that_are_apart_at_rest(seed: int) -> None:
    # under a train one more may: it lies over two gaps that are nearer each other
    document = drawn(seed)
    fittings = document["fittings"]
    for count in range(len(fittings)):
        if free_mm(document, fittings[:count]) != SHORTED:
            assert free_mm(document, fittings) != SHORTED
            return


@given(seeds)
def test_track_in_two_pieces_is_as_good_as_in_one(seed: int) -> None:
    document = drawn(seed)
    name = next(one for one in document["pieces"] if one.startswith("T"))
    halved = _halved(document, name)
    assert free_mm(halved, halved["fittings"]) == free_mm(
        document, document["fittings"]
    )


def _halved(document: Document, name: str) -> Document:
    """Return a plan in which a track goes on in a second piece after its first cell; all
    positions stay counted from the first, past its end."""
    halved = deepcopy(document)
    moved = {f"{name}.b": "Z.b"}
    length_mm = halved["pieces"][name]["length_mm"]
    halved["pieces"][name]["length_mm"] = 10
    halved["pieces"]["Z"] = {"kind": "track", "length_mm": length_mm - 10}
    joined = [[moved.get(end, end) for end in join] for join in halved["joins"]]
    halved["joins"] = [*joined, [f"{name}.b", "Z.a"]]
    return halved
