"""Paths in the plane: places, ends, cuts and joins."""

from math import hypot, pi

import numpy as np
import pytest

from standage.railway.track.paths.paths import BLOCK, Path, Pose
from standage.railway.track.paths.runs import arc, even, straight, transition

WAY = Path(
    (
        straight(200.0),
        transition(150.0, radius_from_mm=None, radius_to_mm=400, hand="left"),
        arc(400.0, radius_mm=400, hand="left"),
        transition(150.0, radius_from_mm=400, radius_to_mm=None, hand="left"),
        arc(300.0, radius_mm=500, hand="right"),
    ),
    start=Pose(x_mm=30.0, y_mm=-70.0, heading=0.6),
)


def test_a_quarter_of_a_circle_to_the_left_ends_to_the_left_and_faces_that_way() -> (
    None
):
    end = Path((straight(100.0), arc(400 * pi / 2, radius_mm=400, hand="left"))).end
    assert (end.x_mm, end.y_mm) == pytest.approx((500, 400))
    assert end.heading == pytest.approx(pi / 2)


def test_a_whole_circle_comes_back_and_its_heading_has_grown_by_a_round() -> None:
    end = Path((arc(2 * pi * 400, radius_mm=400, hand="right"),)).end
    assert hypot(end.x_mm, end.y_mm) < 1e-9
    assert end.heading == pytest.approx(-2 * pi)


def test_the_places_of_a_path_are_those_of_its_frame() -> None:
    found = WAY.at([0.0, 200.0])
    assert (found.x_mm[0], found.y_mm[0], found.heading[0]) == (30.0, -70.0, 0.6)
    assert found.x_mm[1] == pytest.approx(30 + 200 * np.cos(0.6))
    assert found.y_mm[1] == pytest.approx(-70 + 200 * np.sin(0.6))


def test_where_two_runs_meet_the_curvature_is_that_of_the_one_that_begins() -> None:
    way = Path((straight(10.0), even(0.002, length_mm=10.0)))
    assert list(way.at([0.0, 9.0, 10.0, 20.0]).curvature) == [0, 0, 0.002, 0.002]


def test_along_a_transition_curvature_grows_evenly() -> None:
    found = WAY.at([200.0, 275.0, 350.0])
    assert list(found.curvature) == pytest.approx([0, 1 / 800, 1 / 400])


def test_positions_may_come_in_any_order_and_shape() -> None:
    positions = np.random.default_rng(1).random((3, BLOCK)) * WAY.length_mm
    found = WAY.at(positions)
    assert found.x_mm.shape == positions.shape
    row, column = 2, 4711
    alone = WAY.pose(positions[row, column])
    assert found.x_mm[row, column] == pytest.approx(alone.x_mm, abs=1e-9)
    assert found.heading[row, column] == pytest.approx(alone.heading, abs=1e-12)
    assert WAY.at([]).x_mm.size == 0


@pytest.mark.parametrize("position_mm", [-0.1, 1200.1])
def test_off_its_ends_a_path_is_an_error_that_names_position_and_limits(
    position_mm: float,
) -> None:
    words = (
        f"positions_mm holds {position_mm:g} mm, but the path runs from 0 mm to 1200 mm"
    )
    with pytest.raises(ValueError, match=words):
        WAY.at([5.0, position_mm])


def test_a_sum_of_lengths_that_is_rounded_is_still_the_end() -> None:
    assert WAY.pose(1200 + 1e-7).x_mm == pytest.approx(WAY.end.x_mm)


def test_asked_to_go_on_a_path_runs_on_straight_beyond_both_ends() -> None:
    found = WAY.going_on.at([-100.0, 1300.0])
    end = WAY.end
    assert found.x_mm == pytest.approx(
        [30 - 100 * np.cos(0.6), end.x_mm + 100 * np.cos(end.heading)]
    )
    assert found.heading == pytest.approx([0.6, end.heading])
    assert list(found.curvature) == [0, 0]


def test_a_path_of_nothing_has_one_place() -> None:
    for nothing in (Path((), start=WAY.start), Path((straight(0.0),), start=WAY.start)):
        assert nothing.length_mm == 0
        assert nothing.end == WAY.start
        assert nothing.going_on.pose(-10.0).heading == 0.6


def test_a_run_of_no_length_changes_nothing() -> None:
    first, *others = WAY.runs
    more = Path((first, even(0.01), *others), start=WAY.start)
    assert more.end == WAY.end


def test_what_is_cut_out_lies_where_it_lay() -> None:
    part = WAY.cut(260.0, 900.0)
    assert part.length_mm == pytest.approx(640)
    assert same_place(part.start, WAY.pose(260.0))
    assert same_place(part.pose(300.0), WAY.pose(560.0))
    assert same_place(part.end, WAY.pose(900.0))


def test_a_cut_of_no_length_is_a_place() -> None:
    part = WAY.cut(260.0, 260.0)
    assert part.length_mm == 0
    assert same_place(part.end, WAY.pose(260.0))


def test_cut_at_a_joint_no_run_of_no_length_is_left_over() -> None:
    before, beyond = WAY.split(350.0)
    assert (before.runs, beyond.runs) == (WAY.runs[:2], WAY.runs[2:])


@pytest.mark.parametrize(
    ("from_mm", "to_mm", "words"),
    [
        (-1.0, 5.0, "positions_mm holds -1 mm"),
        (5.0, 1201.0, "positions_mm holds 1201 mm"),
        (6.0, 5.0, "from_mm is 6 mm, but to_mm is 5 mm"),
    ],
)
def test_a_cut_off_the_path_or_the_wrong_way_round_is_an_error(
    from_mm: float, to_mm: float, words: str
) -> None:
    for way in (WAY, WAY.going_on):
        with pytest.raises(ValueError, match=words):
            way.cut(from_mm, to_mm)


def same_place(one: Pose, other: Pose) -> bool:
    near = abs(one.point - other.point) < 1e-9
    return near and abs(one.heading - other.heading) < 1e-12
