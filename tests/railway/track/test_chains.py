"""Going far along track at once, which comes out as going from joint to joint does."""

from collections.abc import Sequence
from fractions import Fraction
from time import process_time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.railway.track.network.chains import Chains
from standage.railway.track.network.network import network
from standage.railway.track.network.positions import resolved
from standage.railway.track.placing.placing import placing
from standage.railway.track.plans.plan import Position
from standage.railway.track.survey.survey import survey
from support.track_plans import Document, read_plan, straight

Ways = list[tuple[int, ...]]


def from_joint_to_joint(
    ways: Ways, lengths_mm: Sequence[float | None], course: int, along_mm: float
) -> tuple[int, float]:
    for _ in range(1000):
        length_mm = lengths_mm[course >> 1]
        if length_mm is None or along_mm <= length_mm or not ways[course]:
            break
        along_mm -= length_mm
        course = ways[course][0]
    return course, along_mm


@st.composite
def webs(draw: st.DrawFn) -> tuple[Ways, list[float | None]]:
    """Draw strands with lengths in whole mm, and a way on from some of their ends."""
    count = draw(st.integers(1, 6))
    length = st.sampled_from([None, 0.0, 1.0, 2.0, 5.0, 9.0])
    lengths_mm = draw(st.lists(length, min_size=count, max_size=count))
    way = st.lists(st.integers(0, 2 * count - 1), max_size=1)
    ways = draw(st.lists(way, min_size=2 * count, max_size=2 * count))
    return [tuple(one) for one in ways], lengths_mm


@given(webs(), st.integers(0, 11), st.integers(0, 60))
def test_a_leap_ends_where_steps_from_joint_to_joint_do(
    web: tuple[Ways, list[float | None]], course: int, along_mm: int
) -> None:
    ways, lengths_mm = web
    course %= len(ways)
    wanted = from_joint_to_joint(ways, lengths_mm, course, along_mm)
    found = Chains(ways, lengths_mm).onwards(course, along_mm)
    # Only round a ring without a length do the steps never end.
    never_ends = bool(ways[wanted[0]]) and lengths_mm[wanted[0] >> 1] is not None
    if never_ends and wanted[1] > (lengths_mm[wanted[0] >> 1] or 0.0):
        assert lengths_mm[found[0] >> 1] == 0
    else:
        assert found == wanted


def ring(count: int, length_mm: float) -> Document:
    pieces = {f"T{n}": straight(length_mm) for n in range(count)}
    joins = [[f"T{n}.b", f"T{(n + 1) % count}.a"] for n in range(count)]
    return {"pieces": pieces, "joins": joins}


def test_a_position_may_go_round_a_circuit_a_million_times() -> None:
    """What is left after whole rounds, in exact fractions."""
    placed = placing(read_plan(ring(3, 0.7)))
    laid = network(placed.flat, placed.shapes)
    spotted = resolved(laid, Position(piece="T0", at_mm=999_999.5))
    assert spotted is not None
    left_mm = Fraction(9_999_995, 10) % Fraction(21, 10)
    piece, along_mm = divmod(left_mm, Fraction(7, 10))
    assert laid.piece(spotted.course) == f"T{piece}"
    assert spotted.along_mm == pytest.approx(float(along_mm), abs=1e-6)


@pytest.mark.parametrize("length_mm", [0.0, 1.0])
def test_thousands_of_marks_far_round_a_small_circuit_take_no_time(
    length_mm: float,
) -> None:
    plan = ring(2, length_mm)
    plan["fittings"] = [
        {"kind": "stopping_mark", "piece": "T0", "at_mm": 900_000 + n}
        for n in range(5000)
    ]
    begun_s = process_time()
    survey(read_plan({"scale": "00", **plan}))
    assert process_time() - begun_s < 5.0
