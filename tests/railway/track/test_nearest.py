"""The nearest place of a path, against all of its places."""

from math import pi

import numpy as np
import pytest

from standage.railway.track.paths.nearest import nearest
from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import arc, straight, transition

WAY = Path(
    (
        straight(200.0),
        transition(250.0, radius_from_mm=None, radius_to_mm=300, hand="left"),
        arc(500.0, radius_mm=300, hand="left"),
        straight(90.0),
        arc(400.0, radius_mm=371, hand="right"),
    )
)


def test_no_place_of_the_path_is_nearer_than_the_foot() -> None:
    drawn = np.random.default_rng(7)
    x_mm, y_mm = drawn.uniform(-500, 1000, (2, 600))
    found = nearest(WAY, x_mm, y_mm)
    everywhere = WAY.at(np.linspace(0, WAY.length_mm, 20_000))
    for x, y, left_mm in zip(x_mm, y_mm, found.left_mm, strict=True):
        least_mm = np.hypot(x - everywhere.x_mm, y - everywhere.y_mm).min()
        # The nearest of places 0.07 mm apart; outside a curve they stand wider.
        assert abs(left_mm) <= least_mm + 1e-9
        assert least_mm <= np.hypot(left_mm, 0.15) + 1e-9
    feet = WAY.at(found.position_mm)
    assert np.hypot(x_mm - feet.x_mm, y_mm - feet.y_mm) == pytest.approx(
        np.abs(found.left_mm), abs=1e-9
    )


def test_a_point_beside_the_path_is_found_at_its_place_and_on_its_side() -> None:
    positions = np.linspace(1.0, WAY.length_mm - 1, 200)
    off_mm = np.where(np.arange(200) % 2, 17.0, -23.0)
    there = WAY.at(positions)
    found = nearest(
        WAY,
        there.x_mm - off_mm * np.sin(there.heading),
        there.y_mm + off_mm * np.cos(there.heading),
    )
    assert found.position_mm == pytest.approx(positions, abs=1e-9)
    assert found.left_mm == pytest.approx(off_mm, abs=1e-9)


def test_beyond_an_end_the_end_is_nearest_and_the_straight_where_the_path_goes_on() -> (
    None
):
    way = Path((straight(100.0),))
    ended = nearest(way, [-30.0, 140.0], [40.0, -30.0])
    assert list(ended.position_mm) == [0, 100]
    assert ended.left_mm == pytest.approx([50, -50])
    gone_on = nearest(way.going_on, [-30.0, 140.0, 60.0], [40.0, -30.0, 0.0])
    assert gone_on.position_mm == pytest.approx([-30, 140, 60])
    assert gone_on.left_mm == pytest.approx([40, -30, 0])


def test_from_beyond_a_curves_centre_one_of_its_ends_is_nearest() -> None:
    half = Path((arc(300 * pi / 2, radius_mm=300, hand="left"),))
    found = nearest(half, [-10.0, 10.0], [320.0, 310.0])
    assert found.position_mm == pytest.approx([0, half.length_mm], abs=300 * pi / 2)
    ends = half.at([0.0, half.length_mm])
    for x, y, left_mm in zip((-10.0, 10.0), (320.0, 310.0), found.left_mm, strict=True):
        to_ends_mm = np.hypot(x - ends.x_mm, y - ends.y_mm)
        assert abs(left_mm) == pytest.approx(to_ends_mm.min())


def test_a_path_of_one_place_has_that_place_nearest() -> None:
    found = nearest(Path(()), [3.0], [4.0])
    assert found.position_mm[0] == 0
    assert abs(found.left_mm[0]) == pytest.approx(5)
