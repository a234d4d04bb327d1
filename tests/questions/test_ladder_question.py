"""What is asked and answered of a ladder."""

from typing import Any

import pytest

from standage.questions.ladder import LadderAnswer, LadderRequest, reckon
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

YARD = {
    "roads": 5,
    "lead_counts": True,
    "spacing_mm": 50,
    "angle_deg": 30,
    "scale": "00",
}
SET_OF_80 = {"points_length_mm": 80}


def answer(**asked: Any) -> LadderAnswer:
    return reckon(convert({**YARD, **asked}, LadderRequest))


def test_the_length_is_as_many_pitches_as_there_are_roads_to_lead_to() -> None:
    found = answer()
    assert found.pitches == 4
    # At 30 degrees a pitch is twice the spacing along the ladder.
    assert (found.pitch_along_ladder_mm, found.length_along_ladder_mm) == (100, 400)
    without = answer(lead_counts=False)
    assert (without.pitches, without.length_along_ladder_mm) == (5, 500)


def test_a_ladder_to_no_other_road_is_none() -> None:
    found = answer(roads=1)
    assert (found.verdict, found.pitches, found.length_along_line_mm) == ("fits", 0, 0)
    assert found.least_spacing_mm is None
    assert [one.code for one in found.because] == ["no_ladder"]


@at_each(
    "more, verdict, least_mm",
    [
        ({}, "cannot_tell", None),
        ({"points_length_mm": 100}, "fits", 50),
        ({"points_length_mm": 100.2}, "too_close", 50.1),
        # Without a straight the curves come to 2R (1 − cos α).
        ({"radius_mm": 200}, "too_close", 53.589839),
        ({"radius_mm": 100}, "cannot_tell", 26.79492),
        (SET_OF_80 | {"radius_mm": 100}, "fits", 40),
        (SET_OF_80 | {"radius_mm": 100, "longest_vehicle_mm": 46}, "fits", 49.79492),
        (SET_OF_80 | {"radius_mm": 100, "longest_vehicle_mm": 47}, "tight", 50.29492),
        (SET_OF_80 | {"longest_vehicle_mm": 47}, "cannot_tell", 40),
        # As long as a pitch: no radius leaves a straight for it.
        (SET_OF_80 | {"longest_vehicle_mm": 100}, "tight", 40),
        ({"radius_mm": 100, "longest_vehicle_mm": 47}, "cannot_tell", 50.29492),
    ],
)
def test_what_is_known_decides_how_near_roads_may_lie(
    more: dict[str, float], verdict: str, least_mm: float | None
) -> None:
    found = answer(**more)
    assert found.verdict == verdict
    if least_mm is None:
        assert found.least_spacing_mm is None
    else:
        assert found.least_spacing_mm == pytest.approx(least_mm, abs=2e-6)
        assert found.least_spacing_by[0].spacing_mm == found.least_spacing_mm


def test_what_cannot_be_laid_is_told_before_what_runs_badly() -> None:
    found = answer(points_length_mm=120, radius_mm=100, longest_vehicle_mm=258)
    codes = [one.code for one in found.because]
    assert codes == [
        "too_close_for_points",
        "too_close_for_s_bend",
        "lay_wider",
        "ladder",
    ]
    assert [one.rule for one in found.least_spacing_by] == [
        "s_bend",
        "points",
        "curves",
    ]


def test_a_missing_figure_is_named() -> None:
    named = [one.field for one in answer(longest_vehicle_mm=50).because if one.field]
    assert named == ["points_length_mm", "radius_mm"]


@at_each(
    "more, pointer",
    [
        ({"roads": 0}, "/roads"),
        ({"roads": 201}, "/roads"),
        ({"lead_counts": None}, "/lead_counts"),
        ({"number": 6}, "/angle_deg"),
        ({"spacing_mm": 16.5}, "/spacing_mm"),
        ({"radius_mm": 8}, "/radius_mm"),
    ],
)
def test_what_is_asked_amiss_is_refused(more: dict[str, Any], pointer: str) -> None:
    with pytest.raises(Faulty) as refusal:
        convert(YARD | more, LadderRequest)
    assert [fault.pointer for fault in refusal.value.faults] == [pointer]


def test_a_gauge_is_not_needed() -> None:
    body = {"roads": 3, "lead_counts": True, "spacing_mm": 50, "number": 6}
    found = reckon(convert(body, LadderRequest))
    assert "gauge_mm" not in {one.field for one in found.assumed}
    assert found.pitch_along_line_mm == round(50 * (6 - 1 / 24), 6)


@at_each("number, spacing_mm", [(100, 1e6), (1, 1e6), (100, 0.001), (1, 0.001)])
def test_figures_at_their_bounds_are_answered(number: float, spacing_mm: float) -> None:
    body = YARD | {"number": number, "spacing_mm": spacing_mm, "roads": 200}
    body |= {"points_length_mm": 1e6, "radius_mm": 1e6, "longest_vehicle_mm": 1e6}
    del body["angle_deg"], body["scale"]
    found = reckon(convert(body, LadderRequest))
    told = [one.message for one in found.because]
    told += [one.message for one in found.assumed]
    assert max(map(len, told)) <= 200


def test_no_spacing_is_advised_that_nobody_can_ask_about() -> None:
    found = answer(radius_mm=1e6, longest_vehicle_mm=1e6, angle_deg=53)
    assert found.least_spacing_mm is not None
    assert found.least_spacing_mm > 1e6
    assert "lay_wider" not in {one.code for one in found.because}
