"""What is asked and answered of the mark beyond points."""

from typing import Any

import pytest

from standage.questions.points_mark import PointsMarkRequest, reckon
from standage.questions.points_mark_answer import PointsMarkAnswer
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

PLAIN = {"number": 6, "scale": "00", "spacing_mm": 45}
BACK = {"parallel_spacing_mm": 50, "curve_back_radius_mm": 914}


def answer(**asked: Any) -> PointsMarkAnswer:
    return reckon(convert({**PLAIN, **asked}, PointsMarkRequest))


def refused(body: dict[str, Any]) -> set[tuple[str | None, str]]:
    with pytest.raises(Faulty) as refusal:
        convert(body, PointsMarkRequest)
    return {(fault.pointer, fault.code) for fault in refusal.value.faults}


@at_each(
    "body, faults",
    [
        (
            {},
            {
                ("/number", "missing"),
                ("/spacing_mm", "missing"),
                ("/gauge_mm", "missing"),
            },
        ),
        (PLAIN | {"angle_deg": 9.5}, {("/angle_deg", "one_or_the_other")}),
        (PLAIN | {"near_rails_mm": 28.5}, {("/near_rails_mm", "one_or_the_other")}),
        (PLAIN | {"spacing_mm": 16.5}, {("/spacing_mm", "too_small")}),
        (PLAIN | {"spacing_mm": 0}, {("/spacing_mm", "too_small")}),
        (PLAIN | {"ends": 2}, {("/ends", "contradiction")}),
        (
            PLAIN | BACK | {"curve_back_radius_mm": 8.25},
            {("/curve_back_radius_mm", "too_small")},
        ),
    ],
)
def test_what_is_asked_amiss_is_refused_all_at_once(
    body: dict[str, Any], faults: set[tuple[str, str]]
) -> None:
    assert refused(body) == faults


def test_without_a_way_back_it_holds_as_long_as_the_legs_stay_straight() -> None:
    found = answer()
    assert found.verdict == "clear_if_straight"
    assert found.stays_straight_to_mm == found.from_crossing_of_lines_mm == 271.875
    assert found.because[0].code == "stays_straight"
    assert "as long as both legs stay straight to 271.9 mm" in found.because[0].message
    assert [one.leg for one in found.legs] == ["through", "branch"]


def test_with_a_way_back_the_farther_leg_counts_and_both_are_told() -> None:
    found = answer(**BACK)
    through, branch = found.legs
    assert found.verdict == "clear"
    assert found.stays_straight_to_mm is None
    assert found.from_crossing_of_lines_mm == branch.from_crossing_of_lines_mm
    assert through.from_crossing_of_lines_mm < branch.from_crossing_of_lines_mm
    assert found.from_nose_mm == branch.from_nose_mm
    assert [reason.code for reason in found.because][:2] == ["mark", "curves_back"]
    assert "spacing_mm" in {one.field for one in found.assumed}
    rails = {"number": 6, "scale": "00", "near_rails_mm": 28.5, **BACK}
    by_rails = reckon(convert(rails, PointsMarkRequest))
    assert "near_rails_mm" in {one.field for one in by_rails.assumed}
    # Far enough apart both legs are clear before the curve begins.
    wide = answer(parallel_spacing_mm=80, curve_back_radius_mm=914)
    assert wide.from_crossing_of_lines_mm == 271.875
    assert [reason.code for reason in wide.because][:2] == ["mark", "straight_to_mark"]


def test_parallel_closer_than_the_mark_is_never_clear_whatever_the_curve() -> None:
    for more in ({}, {"curve_back_radius_mm": 914}):
        found = answer(parallel_spacing_mm=44.96, **more)
        assert found.verdict == "never_clear"
        assert found.from_crossing_of_lines_mm is None
        assert found.legs == ()
        assert "44.96 mm" in found.because[0].message
    rails = {
        "number": 6,
        "scale": "00",
        "near_rails_mm": 28.5,
        "parallel_spacing_mm": 44,
    }
    found = reckon(convert(rails, PointsMarkRequest))
    assert found.verdict == "never_clear"


@at_each("given, missing", [*zip(BACK, reversed(BACK), strict=True)])
def test_half_of_the_way_back_tells_nothing_and_names_the_other_half(
    given: str, missing: str
) -> None:
    found = answer(**{given: BACK[given]})
    assert found.verdict == "cannot_tell"
    assert found.from_crossing_of_lines_mm is None
    assert [(one.code, one.field) for one in found.because] == [
        ("missing_figure", missing)
    ]


def test_a_curve_back_within_the_points_is_told_with_what_would_do() -> None:
    found = answer(parallel_spacing_mm=46, curve_back_radius_mm=3000)
    assert found.verdict == "cannot_be_laid"
    assert [one.code for one in found.because] == [
        "curve_at_nose",
        "lay_wider",
        "curve_sharper",
    ]


@at_each(
    "scale, measure, angle",
    [
        ("H0", "tangent", "9.53°"),
        ("HO", "centre_line", "9.46°"),
        ("00", "centre_line", "9.46°"),
        ("H0m", "tangent", "9.53°"),
    ],
)
def test_a_number_is_measured_by_the_scale_s_practice_and_the_other_is_told(
    scale: str, measure: str, angle: str
) -> None:
    found = answer(scale=scale)
    told = {one.field: one for one in found.assumed}
    assert told["number_is"].value == measure
    assert angle in told["number_is"].message
    assert "and the mark 27" in told["number_is"].message
    other = {"tangent": "centre_line", "centre_line": "tangent"}[measure]
    differs = answer(scale=scale, number_is=other)
    assert "number_is" not in {one.field for one in differs.assumed}
    assert differs.from_crossing_of_lines_mm != found.from_crossing_of_lines_mm


def test_a_gauge_that_is_given_counts_before_the_scale_s() -> None:
    narrow = answer(scale="00", gauge_mm=9)
    assert narrow.from_nose_mm == 271.875 - 54
    assert "gauge_mm" not in {one.field for one in narrow.assumed}
    assert {one.field for one in answer().assumed} == {"number_is", "gauge_mm"}
    found = reckon(
        convert({"angle_deg": 12, "gauge_mm": 9, "spacing_mm": 30}, PointsMarkRequest)
    )
    assert found.assumed == ()


@at_each(
    "ends, nose_to_nose_mm, nose_to_stop_mm",
    [(1, None, 1172.875), (2, 1345.75, None), (None, 1345.75, 1172.875)],
)
def test_a_length_to_be_held_makes_a_road(
    ends: int | None, nose_to_nose_mm: float | None, nose_to_stop_mm: float | None
) -> None:
    more = {} if ends is None else {"ends": ends}
    found = answer(standing_length_mm=1000, **more)
    assert found.nose_to_nose_mm == nose_to_nose_mm
    assert found.nose_to_stop_mm == nose_to_stop_mm


@at_each(
    "body",
    [
        {"number": 100, "spacing_mm": 1e6, "gauge_mm": 1e-3},
        {"number": 1, "spacing_mm": 1e6, "gauge_mm": 999_999},
        {"angle_deg": 0.5, "near_rails_mm": 1e-6, "gauge_mm": 1e6},
        {
            "angle_deg": 53,
            "spacing_mm": 45,
            "scale": "00",
            "parallel_spacing_mm": 1e6,
            "curve_back_radius_mm": 1e6,
            "standing_length_mm": 1e6,
        },
        {
            "angle_deg": 0.5,
            "near_rails_mm": 1e-3,
            "scale": "Z",
            "parallel_spacing_mm": 1e6,
            "curve_back_radius_mm": 3.26,
        },
    ],
)
def test_figures_at_their_bounds_are_answered(body: dict[str, Any]) -> None:
    found = reckon(convert(body, PointsMarkRequest))
    assert found.verdict in {"clear", "clear_if_straight"}
    told = [one.message for one in found.because]
    told += [one.message for one in found.assumed]
    assert max(map(len, told)) <= 200


@at_each(
    "more",
    [{}, BACK, {"parallel_spacing_mm": 50}, {"curve_back_radius_mm": 914}],
)
def test_no_message_has_the_name_of_a_field(more: dict[str, Any]) -> None:
    found = answer(**more)
    told = [one.message for one in found.because]
    told += [one.message for one in found.assumed]
    assert not any("_" in message for message in told)


def test_no_parallel_is_advised_that_nobody_can_ask_about() -> None:
    """A million millimetres between near rails, a gauge more between centre lines."""
    found = reckon(
        convert(
            {
                "number": 6,
                "scale": "00",
                "near_rails_mm": 1e6,
                "parallel_spacing_mm": 50,
            },
            PointsMarkRequest,
        )
    )
    assert found.verdict == "never_clear"
    assert not any(one.brings for one in found.because)
