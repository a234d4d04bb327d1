"""Buffers on a curve: their faces drawn and measured, and when they lock."""

from math import cos, radians, sin

import pytest
from shapely.geometry import LineString  # type: ignore[import-untyped] # shapely ships no types

from standage.railway.curving.buffers import (
    Faces,
    standard_buffers,
    usual_centres_mm,
)
from standage.railway.curving.pairs import PairStanding
from standage.railway.published.nem_111 import touching_buffers_radius_mm
from standage.railway.terms.scales import ScaleName


def standing(*, offset_mm: float, bend_deg: float) -> PairStanding:
    return PairStanding(
        offset_mm=offset_mm,
        bend=radians(bend_deg),
        leading_swing=None,
        following_swing=None,
        follows_by_mm=0.0,
        last_axle_mm=0.0,
    )


def head(
    *, at: tuple[float, float], tilt: float, centres: float, width: float, side: int
) -> LineString:
    """Draw the face of the head on one side (1 is left) of an end whose middle is at a
    point, tilted to the left.
    """
    edges = [side * centres / 2 - width / 2, side * centres / 2 + width / 2]
    return LineString(
        [(at[0] - edge * sin(tilt), at[1] + edge * cos(tilt)) for edge in edges]
    )


def drawn_faces(
    *, gap: float, offset: float, bend: float, side: int, width: float = 6.0
) -> tuple[LineString, LineString]:
    leading = head(
        at=(gap, offset), tilt=bend / 2, centres=20.0, width=width, side=side
    )
    return leading, head(
        at=(0.0, 0.0), tilt=-bend / 2, centres=20.0, width=width, side=side
    )


@pytest.mark.parametrize("bend_deg", [-14.0, -3.0, 0.0, 5.0, 12.0])
@pytest.mark.parametrize("gap_mm", [0.0, 1.5, 6.0])
def test_the_gap_is_the_least_there_is_between_the_faces_as_drawn(
    bend_deg: float, gap_mm: float
) -> None:
    sides = []
    for side in (1, -1):
        leading, following = drawn_faces(
            gap=gap_mm, offset=0.0, bend=radians(bend_deg), side=side
        )
        sides.append(
            min(x for x, _ in leading.coords) - max(x for x, _ in following.coords)
        )
    faces = Faces(centres_mm=(20.0, 20.0), heads_mm=(6.0, 6.0))
    assert faces.gap_mm(gap_mm, bend=radians(bend_deg)) == pytest.approx(min(sides))


@pytest.mark.parametrize(
    ("bend_deg", "offset_mm"),
    [(15.0, 5.0), (-15.0, 5.0), (15.0, -3.0), (4.0, 5.0), (15.0, 4.1)],
)
def test_buffers_lock_where_the_heads_drawn_pass_into_each_other_and_overlap_by_less_than_a_third(
    bend_deg: float, offset_mm: float
) -> None:
    locked = False
    for side in (1, -1):
        leading, following = drawn_faces(
            gap=2.0, offset=offset_mm, bend=radians(bend_deg), side=side
        )
        touch = min(x for x, _ in leading.coords) < max(x for x, _ in following.coords)
        middles = leading.centroid.y - following.centroid.y
        locked |= touch and 6.0 - abs(middles) < 2.0
    margin_mm = Faces(centres_mm=(20.0, 20.0), heads_mm=(6.0, 6.0)).locking_margin_mm(
        standing(offset_mm=offset_mm, bend_deg=bend_deg), gap_mm=2.0
    )
    assert (margin_mm < 0) == locked


@pytest.mark.parametrize(
    ("offset_mm", "locks"), [(3.99, False), (4.01, True), (-3.99, False), (-4.01, True)]
)
def test_touching_heads_of_six_lock_once_they_are_four_out_of_line(
    offset_mm: float,
    locks: bool,  # noqa: FBT001 - a table
) -> None:
    faces = Faces(centres_mm=(20.0, 20.0), heads_mm=(6.0, 6.0))
    assert (
        faces.locking_margin_mm(standing(offset_mm=offset_mm, bend_deg=10), gap_mm=0.0)
        < 0
    ) == locks


def test_the_narrower_head_says_what_a_third_is() -> None:
    faces = Faces(centres_mm=(20.0, 20.0), heads_mm=(9.0, 3.0))
    assert faces.locking_margin_mm(
        standing(offset_mm=4.9, bend_deg=20), gap_mm=0.0
    ) == pytest.approx(0.1)
    assert faces.locking_margin_mm(
        standing(offset_mm=5.1, bend_deg=20), gap_mm=0.0
    ) == pytest.approx(-0.1)


def test_buffers_closer_together_on_one_vehicle_are_out_of_line_without_standing_aside() -> (
    None
):
    faces = Faces(centres_mm=(30.0, 20.0), heads_mm=(6.0, 6.0))
    bend_deg = 10.0
    out_mm = 5 * cos(radians(bend_deg / 2))
    assert faces.locking_margin_mm(
        standing(offset_mm=0.0, bend_deg=bend_deg), gap_mm=0.0
    ) == pytest.approx(4 - out_mm)


def test_heads_that_cannot_touch_do_not_lock_however_far_out_of_line() -> None:
    faces = Faces(centres_mm=(20.0, 20.0), heads_mm=(6.0, 6.0))
    assert (
        faces.locking_margin_mm(standing(offset_mm=30.0, bend_deg=5.0), gap_mm=4.0) > 0
    )


def test_the_head_that_is_needed_is_one_and_a_half_times_what_they_are_out_of_line() -> (
    None
):
    bare = Faces(centres_mm=(20.0, 20.0))
    found = standing(offset_mm=3.0, bend_deg=15.0)
    assert bare.head_needed_mm(found, gap_mm=2.0, widest_mm=15.0) == pytest.approx(4.5)
    for width_mm, locks in ((4.4, True), (4.6, False)):
        heads = Faces(centres_mm=(20.0, 20.0), heads_mm=(width_mm, width_mm))
        assert (heads.locking_margin_mm(found, gap_mm=2.0) < 0) == locks


@pytest.mark.parametrize("bend_deg", [15.0, -15.0])
def test_no_head_is_needed_where_none_can_touch(bend_deg: float) -> None:
    bare = Faces(centres_mm=(20.0, 20.0))
    reach_mm = 5.0 / sin(radians(7.5)) - 20.0
    found = standing(offset_mm=30.0, bend_deg=bend_deg)
    assert bare.head_needed_mm(found, gap_mm=5.0, widest_mm=reach_mm - 0.1) == 0
    assert bare.head_needed_mm(
        found, gap_mm=5.0, widest_mm=reach_mm + 0.1
    ) == pytest.approx(45)


def test_no_head_is_needed_where_touching_heads_are_in_line() -> None:
    bare = Faces(centres_mm=(20.0, 20.0))
    assert (
        bare.head_needed_mm(
            standing(offset_mm=0.0, bend_deg=25.0), gap_mm=0.0, widest_mm=15.0
        )
        == 0
    )


@pytest.mark.parametrize("name", ["HO", "S", "O"])
def test_american_stock_has_no_buffers(name: ScaleName) -> None:
    assert usual_centres_mm(name) == 0


def test_practice_overrules_what_the_scale_is_mostly_used_for() -> None:
    assert usual_centres_mm("H0", practice="american") == 0
    assert usual_centres_mm("HO", practice="continental") == pytest.approx(1750 / 87.1)


def test_where_the_standard_says_nothing_the_full_size_is_scaled() -> None:
    assert standard_buffers("00") is None
    assert usual_centres_mm("00") == pytest.approx(1740 / 76.2)


def test_a_vehicle_beyond_the_groups_has_no_radius_for_touching_buffers() -> None:
    assert (
        touching_buffers_radius_mm(
            16.5, over_buffers_m=27.3, pivots_m=19.0, gear="bogies"
        )
        is None
    )
    assert (
        touching_buffers_radius_mm(
            16.5, over_buffers_m=9.9, pivots_m=5.0, gear="two_axle"
        )
        is None
    )
    assert (
        touching_buffers_radius_mm(
            16.5, over_buffers_m=9.8, pivots_m=5.1, gear="two_axle"
        )
        is None
    )
