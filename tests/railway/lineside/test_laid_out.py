"""A body as it is drawn on a curve that runs out into straight track: by the circle that
its middle runs on, and by coordinates.
"""

from math import hypot, isclose, sqrt

import pytest

from standage.railway.lineside.laid_out import beside, laid
from standage.railway.track.paths.outlines import Outline
from standage.railway.track.paths.wheels import Wheels

RADIUS_MM = 600.0
CENTRE = complex(0, RADIUS_MM)
COACH = Outline(
    wheels=Wheels(pivots_mm=190, bogie_wheelbase_mm=34),
    ahead_mm=140,
    behind_mm=130,
    half_width_mm=18.5,
)


def sides(corners: tuple[complex, ...]) -> list[float]:
    following = (*corners[1:], corners[0])
    return [abs(b - a) for a, b in zip(corners, following, strict=True)]


@pytest.mark.parametrize("leading_mm", [-900.0, -300.0, -90.0, 40.0, 95.0, 400.0])
def test_a_body_is_as_long_and_as_wide_as_it_is_wherever_it_lies(
    leading_mm: float,
) -> None:
    corners = laid(COACH, radius_mm=RADIUS_MM, leading_pivot_mm=leading_mm)
    lengths = sorted(sides(corners))
    assert lengths == pytest.approx([37, 37, 270, 270])
    diagonals = [abs(corners[0] - corners[2]), abs(corners[1] - corners[3])]
    assert diagonals == pytest.approx([hypot(37, 270)] * 2)


def test_on_the_straight_it_lies_along_it() -> None:
    corners = laid(COACH, radius_mm=RADIUS_MM, leading_pivot_mm=500)
    # 500 less half of 190 is the pivots' middle: 405.
    ends = {round(one.real, 6) for one in corners}
    assert ends == {405.0 + 140, 405.0 - 130}
    assert {round(one.imag, 6) for one in corners} == {18.5, -18.5}


def test_on_the_curve_its_corners_lie_on_the_circles_of_its_throws() -> None:
    corners = laid(COACH, radius_mm=RADIUS_MM, leading_pivot_mm=-400)
    middle_mm = sqrt(RADIUS_MM**2 - 17**2 - 95**2)
    out_mm = middle_mm + 18.5
    in_mm = middle_mm - 18.5
    expected = [hypot(side, end) for side in (out_mm, in_mm) for end in (140, 130)]
    found = [abs(one - CENTRE) for one in corners]
    assert sorted(found) == pytest.approx(sorted(expected))


def test_what_spans_the_circle_stands_nowhere_on_it() -> None:
    assert laid(COACH, radius_mm=90, leading_pivot_mm=-400) == ()
    assert laid(COACH, radius_mm=120, leading_pivot_mm=-400) != ()


def test_a_point_beside_the_track_lies_so_far_from_it() -> None:
    for place_mm in (-700.0, -1.0, 0.0, 250.0):
        for aside_mm in (-60.0, 0.0, 45.0):
            found = beside(place_mm, radius_mm=RADIUS_MM, aside_mm=aside_mm)
            if place_mm >= 0:
                assert found == complex(place_mm, aside_mm)
                continue
            assert isclose(abs(found - CENTRE), RADIUS_MM - aside_mm)
            on_track = beside(place_mm, radius_mm=RADIUS_MM)
            assert isclose(abs(found - on_track), abs(aside_mm), abs_tol=1e-9)
