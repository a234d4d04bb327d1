"""How a rail rises between two heights: against slopes that are added up."""

from itertools import pairwise

import pytest

from standage.railway.track.network.heights import Heights, heights
from standage.railway.track.network.network import Network
from standage.railway.track.network.profiles import Known, Part, eased, parts_between
from support.climbing import Peg, Row, row, walked_heights
from support.track_plans import worked


def risen(one: Row) -> tuple[Network, Heights]:
    found = worked(one.plan)
    return found.network, heights(found.plan, found.network)


PEGS = [Peg(130, 4.0, 100), Peg(430, 16.0), Peg(700, 16.0, 70), Peg(900, -3.0, 130)]
ROW = row([100, 350, 250, 400], PEGS, turned=[1, 2])


@pytest.mark.parametrize("piece", ["T0", "T1", "T2", "T3"])
def test_heights_with_vertical_curves_are_slopes_added_up(piece: str) -> None:
    walked = walked_heights(ROW)
    network, known = risen(ROW)
    own_mm = ROW.own_mm[piece]
    course = network.at_end[piece, "a"]
    for at_mm in range(own_mm + 1):
        from_start_mm = own_mm - at_mm if piece in ROW.turned else at_mm
        along_mm = ROW.starts_mm[piece] + from_start_mm
        found = known.height_mm(course, at_mm)
        assert found == pytest.approx(walked[along_mm], abs=1e-9)


@pytest.mark.parametrize("end", ["a", "b"])
@pytest.mark.parametrize("piece", ["T0", "T1", "T2", "T3"])
def test_the_parts_of_a_course_lie_end_to_end_at_its_heights(
    piece: str, end: str
) -> None:
    network, known = risen(ROW)
    course = network.at_end[piece, end]
    parts = known.parts(course)
    assert parts
    assert parts[0].from_mm == pytest.approx(0)
    assert parts[-1].to_mm == pytest.approx(ROW.own_mm[piece])
    for before, after in pairwise(parts):
        assert before.to_mm == pytest.approx(after.from_mm)
        assert before.end_mm == pytest.approx(after.height_mm)
    for part in parts:
        for share in (0.0, 0.3, 1.0):
            at_mm = part.from_mm + share * (part.to_mm - part.from_mm)
            height_mm = known.height_mm(course, at_mm)
            assert part.height_at(at_mm) == pytest.approx(height_mm)


def test_vertical_curves_that_just_fill_the_run_have_no_even_part() -> None:
    """1,000 mm, half and half: 30 ÷ 500 is twice the mean."""
    one = Known(at_mm=0, height_mm=0, vertical_curve_mm=600)
    two = Known(at_mm=1000, height_mm=30, vertical_curve_mm=400)
    assert eased(one, two) == (
        Part(0, 600, 0, 0.0, 0.06),
        Part(600, 1000, 18, 0.06, 0.0),
    )
    longer = Known(at_mm=1000, height_mm=30, vertical_curve_mm=400.1)
    assert eased(one, longer) is None
    assert parts_between([one, longer], 0, 1000) is None
    assert parts_between([one, longer], 1000, 1500) is not None


def test_before_the_first_height_and_past_the_last_the_rail_is_level() -> None:
    known = [Known(at_mm=100, height_mm=5), Known(at_mm=200, height_mm=7)]
    assert parts_between(known, 50, 300) == (
        Part(50, 100, 5, 0.0, 0.0),
        Part(100, 200, 5, 0.02, 0.02),
        Part(200, 300, 7, 0.0, 0.0),
    )
    assert parts_between(known, 0, 60) == (Part(0, 60, 5, 0.0, 0.0),)
    assert parts_between(known, 220, 260) == (Part(220, 260, 7, 0.0, 0.0),)
    (inside,) = parts_between(known, 120, 150) or ()
    assert inside.height_mm == pytest.approx(5.4)
