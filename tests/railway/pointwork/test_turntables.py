"""Roads off a turntable, against places on two lines and shapely's distances."""

from cmath import rect
from math import isclose, radians

from shapely import LineString, Point  # type: ignore[import-untyped] # ships no types

from standage.railway.pointwork.turntables import SpokeRoads
from support.walks import at_each

FAR_MM = 100_000.0
ANGLES_DEG = [0.5, 7.5, 15, 22.5, 45, 89, 90, 91, 120, 179]


def place(from_centre_mm: float, angle_deg: float) -> Point:
    """Return a place on a road, so far from the centre."""
    there = rect(from_centre_mm, radians(angle_deg))
    return Point(there.real, there.imag)


def roads(
    rim_mm: float, angle_deg: float | None = None, spacing_mm: float | None = None
) -> SpokeRoads:
    return SpokeRoads(
        rim_radius_mm=rim_mm, given_angle_deg=angle_deg, spacing_mm=spacing_mm
    )


@at_each("angle_deg", ANGLES_DEG)
def test_at_the_rim_roads_are_as_far_apart_as_the_places_where_they_begin(
    angle_deg: float,
) -> None:
    found = roads(150.0, angle_deg)
    line = LineString([(-FAR_MM, 0), (FAR_MM, 0)])
    begins = place(150.0, angle_deg)
    assert found.at_rim_mm is not None
    assert found.nearest_at_rim_mm is not None
    assert isclose(found.at_rim_mm, begins.distance(place(150.0, 0)), abs_tol=1e-9)
    assert isclose(found.nearest_at_rim_mm, begins.distance(line), abs_tol=1e-9)


@at_each("angle_deg", ANGLES_DEG)
def test_clear_is_where_places_on_both_roads_are_the_spacing_apart(
    angle_deg: float,
) -> None:
    found = roads(150.0, angle_deg, 45.0)
    by_chord_mm, by_nearest_mm = found.clear_by_chord_mm, found.clear_by_nearest_mm
    assert by_chord_mm is not None
    assert by_nearest_mm is not None
    abreast = place(by_chord_mm, angle_deg).distance(place(by_chord_mm, 0))
    assert isclose(abreast, 45.0, abs_tol=1e-6)
    # A train that moves on the other road may be anywhere on it, the table included.
    line = LineString([(-FAR_MM, 0), (FAR_MM, 0)])
    assert isclose(place(by_nearest_mm, angle_deg).distance(line), 45.0, abs_tol=1e-6)
    assert by_nearest_mm >= by_chord_mm
    beyond_mm = found.beyond_rim_by_nearest_mm
    assert beyond_mm == max(0.0, by_nearest_mm - 150.0)
    assert found.beyond_rim_by_chord_mm == max(0.0, by_chord_mm - 150.0)


@at_each("spacing_mm", [0.1, 30, 45, 149.999, 150])
def test_an_angle_found_by_a_spacing_leaves_that_spacing(spacing_mm: float) -> None:
    found = roads(150.0, None, spacing_mm)
    by_chord_deg, by_nearest_deg = found.angle_deg, found.angle_by_nearest_deg
    assert by_chord_deg is not None
    assert by_nearest_deg is not None
    there = place(150.0, by_chord_deg)
    assert isclose(there.distance(place(150.0, 0)), spacing_mm, abs_tol=1e-6)
    line = LineString([(-FAR_MM, 0), (FAR_MM, 0)])
    there = place(150.0, by_nearest_deg)
    assert isclose(there.distance(line), spacing_mm, abs_tol=1e-6)


def test_what_does_not_exist_is_none() -> None:
    assert roads(150.0, None, 300.0).angle_deg == 180.0
    assert roads(150.0, None, 300.1).angle_deg is None
    assert roads(150.0, None, 300.1).at_rim_mm is None
    assert roads(150.0, None, 300.1).nearest_at_rim_mm is None
    assert roads(150.0, None, 150.1).angle_by_nearest_deg is None
    opposite = roads(150.0, 180.0, 45.0)
    assert opposite.clear_by_nearest_mm is None
    assert opposite.beyond_rim_by_nearest_mm is None
    assert opposite.nearest_at_rim_mm == 0.0
    assert opposite.at_rim_mm == 300.0


def test_what_was_not_asked_about_is_none() -> None:
    by_angle, by_spacing = roads(150.0, 15.0), roads(150.0, None, 45.0)
    for found in (by_angle, by_spacing):
        assert found.clear_by_chord_mm is None
        assert found.clear_by_nearest_mm is None
        assert found.beyond_rim_by_chord_mm is None
    assert by_angle.angle_by_nearest_deg is None
    assert by_angle.angle_deg == 15.0
    assert roads(150.0, 15.0, 45.0).angle_by_nearest_deg is None
