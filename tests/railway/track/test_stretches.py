"""Places by their stretch: its parts follow one another as a train runs."""

from itertools import pairwise
from time import process_time
from typing import Any

import pytest

from standage.railway.track.roads.road_places import Places, places
from standage.railway.track.roads.stopping import stopping
from support.track_plans import Worked, passing_loop, straight, worked


def placed_on(found: Worked) -> Places:
    marks = stopping(found.plan, found.network, found.usable)
    return places(found.plan, found.network, found.usable, marks)


def part(piece: str, from_mm: float, to_mm: float, leg: str | None = None) -> Any:
    return {"piece": piece, "from_mm": from_mm, "to_mm": to_mm} | (
        {} if leg is None else {"leg": leg}
    )


@pytest.mark.parametrize(
    "stretch",
    [
        [part("W", 0, 500), part("P1", 30, 0, "toe"), part("P1", 0, 180, "through")],
        [part("M", 900, 0), part("P1", 180, 0, "through"), part("P1", 0, 30, "toe")],
        [part("M", 100, 1000), part("P2", 180, 100, "through")],
        [part("E", 0, 100), part("E", 100, 200.5), part("E", 201, 300)],
        [part("E", 0, 300.4), part("B", 0, 0)],
        # So far past W, over the toe, and on from there on the through leg.
        [part("W", 400, 540), part("P1", 10, 90, "through")],
        [part("M", 0, 400), part("M", 399.5, 500)],
    ],
)
def test_parts_that_follow_one_another_are_a_stretch(stretch: list[Any]) -> None:
    found = worked({**passing_loop(), "places": [{"name": "X", "stretch": stretch}]})
    assert placed_on(found).faults == ()


@pytest.mark.parametrize(
    ("stretch", "wrong"),
    [
        # Something is left out.
        ([part("W", 0, 500), part("P1", 0, 180, "through")], [1]),
        ([part("M", 0, 400), part("M", 402, 500), part("M", 500, 600)], [1]),
        # One part lies over another.
        ([part("M", 0, 400), part("M", 390, 500)], [1]),
        # A train would have to go back.
        ([part("P1", 180, 0, "through"), part("P1", 0, 190, "branch")], [1]),
        ([part("M", 0, 400), part("M", 400, 0)], [1]),
        # Each lies elsewhere.
        ([part("W", 0, 500), part("E", 0, 300), part("W", 0, 500)], [1, 2]),
    ],
)
def test_parts_that_do_not_follow_one_another_are_faults(
    stretch: list[Any], wrong: list[int]
) -> None:
    found = worked({**passing_loop(), "places": [{"name": "X", "stretch": stretch}]})
    told = placed_on(found)
    assert [(one.pointer, one.code) for one in told.faults] == [
        (f"/places/0/stretch/{number}", "does_not_follow") for number in wrong
    ]
    (place,) = told.found
    parts_mm = [abs(one["to_mm"] - one["from_mm"]) for one in stretch]
    assert place.usable_length_mm == sum(parts_mm)


def test_ten_thousand_parts_between_pieces_of_no_length_take_no_time() -> None:
    """Each part ends where thousands of pieces of no length begin."""
    none = {f"N{number}": straight(0.0) for number in range(3_000)}
    names = list(none)
    joins = [[f"{one}.b", f"{two}.a"] for one, two in pairwise(names)]
    pieces = {"S": straight(100.0), **none}
    stretch = [part("S", 0, 100), part("S", 100, 0)] * 2_500
    document = {
        "pieces": pieces,
        "joins": [["S.b", "N0.a"], *joins],
        "places": [{"name": "X", "stretch": stretch}],
    }
    found = worked(document)
    before_s = process_time()
    placed_on(found)
    assert process_time() - before_s < 2


def test_a_part_of_a_stretch_that_does_not_follow_is_told_in_words() -> None:
    stretch = [part("M", 0, 400), part("P1", 0, 90, "branch")]
    found = worked({**passing_loop(), "places": [{"name": "X", "stretch": stretch}]})
    (fault,) = placed_on(found).faults
    assert fault.message == (
        "P1's branch at 0 mm is not where the part before it ends, M at 400 mm: name"
        " what lies between, or part the place"
    )
