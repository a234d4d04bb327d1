"""What is asked and answered of the roads off a turntable."""

from math import radians, sin
from typing import Any

import pytest

from standage.questions.turntable_roads import (
    TurntableRoadsAnswer,
    TurntableRoadsRequest,
    reckon,
)
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each


def answer(**asked: Any) -> TurntableRoadsAnswer:
    return reckon(convert({"rim_radius_mm": 150, **asked}, TurntableRoadsRequest))


def test_an_angle_alone_gives_the_spacing_at_the_rim() -> None:
    found = answer(angle_deg=60)
    assert (found.verdict, found.spacing_at_rim_mm) == ("by_angle", 150)
    assert found.clear_from_centre_by_chord_mm is None
    assert found.beyond_rim_by_nearest_mm is None
    assert found.assumed == ()


def test_a_spacing_alone_gives_the_angle_both_ways() -> None:
    found = answer(spacing_mm=150)
    assert (found.verdict, found.angle_deg) == ("by_spacing", 60)
    assert found.angle_by_nearest_deg == 90
    assert found.clear_from_centre_by_chord_mm is None


@at_each(
    "angle_deg, verdict, beyond_mm",
    [(30, "clear_at_rim", 0), (15, "clear_beyond_rim", 45 / sin(radians(15)) - 150)],
)
def test_both_tell_from_where_a_vehicle_is_clear(
    angle_deg: float, verdict: str, beyond_mm: float
) -> None:
    found = answer(angle_deg=angle_deg, spacing_mm=45)
    assert found.verdict == verdict
    assert found.beyond_rim_by_nearest_mm == pytest.approx(beyond_mm, abs=1e-3)
    assert found.because[0].code == "clear_by_nearest"


def test_a_spacing_of_more_than_the_diameter_is_told_not_to_exist() -> None:
    found = answer(spacing_mm=300.04)
    assert found.verdict == "no_such_angle"
    assert found.angle_deg is None
    assert found.spacing_at_rim_mm is None
    assert "300.04 mm" in found.because[0].message
    assert answer(spacing_mm=300).angle_deg == 180
    assert "no road begins" in answer(spacing_mm=151).because[0].message


def test_opposite_roads_are_never_clear_and_it_is_said_why() -> None:
    found = answer(angle_deg=180, spacing_mm=45)
    assert found.verdict == "never_clear"
    assert found.clear_from_centre_by_nearest_mm is None
    assert found.beyond_rim_by_nearest_mm is None
    assert "in one line" in found.because[0].message
    assert answer(angle_deg=180).spacing_at_rim_mm == 300


@at_each(
    "asked",
    [
        {},
        {"angle_deg": 0},
        {"angle_deg": 180.1},
        {"spacing_mm": 0},
        {"angle_deg": 0.05},
    ],
)
def test_what_is_asked_amiss_is_refused(asked: dict[str, Any]) -> None:
    with pytest.raises(Faulty):
        answer(**asked)


@at_each("angle_deg", [0.1, 90, 179.999999999, 180, None])
def test_figures_at_their_bounds_are_answered(angle_deg: float | None) -> None:
    for rim_mm in (1e-6, 1e6):
        asked = {} if angle_deg is None else {"angle_deg": angle_deg}
        found = answer(rim_radius_mm=rim_mm, spacing_mm=1e6, **asked)
        told = [one.message for one in found.because]
        told += [one.message for one in found.assumed]
        assert max(map(len, told)) <= 200


@at_each("spacing_mm", [28.5, 31, 40, 45, 150])
def test_roads_that_begin_nearer_than_tracks_lie_at_the_rim_raise_nothing(
    spacing_mm: float,
) -> None:
    """At 10 degrees and 180 mm from the centre they begin 31 mm apart."""
    assert answer(spacing_mm=spacing_mm, scale="00").warnings == ()


def test_with_an_angle_the_gap_between_rails_is_told_from_their_spacing() -> None:
    (slip,) = answer(spacing_mm=28.5, angle_deg=10, scale="00").warnings
    assert (slip.code, slip.likely_value) == ("spacing_or_gap", 45)


def test_a_spacing_at_the_rim_in_centimetres_is_told() -> None:
    (slip,) = answer(spacing_mm=4, scale="00").warnings
    assert (slip.code, slip.field, slip.likely) == ("unit", "spacing_mm", "centimetres")
