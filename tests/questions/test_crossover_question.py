"""What is asked and answered of a crossover."""

from typing import Any

import pytest

from standage.questions.crossover import CrossoverAnswer, CrossoverRequest, reckon
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

ROADS = {"spacing_mm": 50, "angle_deg": 30, "gauge_mm": 9}


def answer(**asked: Any) -> CrossoverAnswer:
    return reckon(convert({**ROADS, **asked}, CrossoverRequest))


@at_each(
    "more, verdict, s_bend",
    [
        ({}, "cannot_tell", "cannot_tell"),
        ({"radius_mm": 100}, "cannot_tell", "cannot_tell"),
        # 100 mm from crossing to crossing, less two curves of 26.8 each: 46.4.
        ({"radius_mm": 100, "longest_vehicle_mm": 46.4}, "runs", "none"),
        ({"radius_mm": 100, "longest_vehicle_mm": 46.5}, "marginal", "short"),
        ({"longest_vehicle_mm": 99.9}, "cannot_tell", "cannot_tell"),
        ({"longest_vehicle_mm": 100}, "marginal", "short"),
        ({"radius_mm": 190}, "cannot_be_laid", "short"),
        ({"radius_mm": 190, "longest_vehicle_mm": 1}, "cannot_be_laid", "short"),
        # Both noses are g(N) from where the lines cross: 2 × 16.8.
        ({"spacing_mm": 16.7}, "cannot_be_laid", "cannot_tell"),
        ({"spacing_mm": 16.9}, "cannot_tell", "cannot_tell"),
    ],
)
def test_the_straight_is_held_against_the_longest_vehicle(
    more: dict[str, float], verdict: str, s_bend: str
) -> None:
    found = answer(**more)
    assert (found.verdict, found.s_bend) == (verdict, s_bend)


@at_each(
    "more, fields",
    [
        ({}, ["longest_vehicle_mm", "radius_mm"]),
        ({"radius_mm": 100}, ["longest_vehicle_mm"]),
        ({"longest_vehicle_mm": 50}, ["radius_mm"]),
        # the rest of the answer does not need it: the noses overlap whatever runs there
        ({"spacing_mm": 16.7, "radius_mm": 5}, ["longest_vehicle_mm"]),
    ],
)
def test_all_that_is_missing_is_named_at_once_in_plain_words(
    more: dict[str, float], fields: list[str]
) -> None:
    missing = [one for one in answer(**more).because if one.code == "missing_figure"]
    assert [one.field for one in missing] == fields
    assert not any("_" in one.message for one in missing)


def test_noses_that_lie_past_each_other_along_the_roads_alone_are_told_so() -> None:
    """45°, 21.5 mm, gauge 9, by hand: each nose is 9/2 × (1 + √2) = 10.864 from where its
    lines cross, and these are 21.5√2 = 30.406 along the crossover, 21.5 along the roads.
    """
    found = answer(angle_deg=45, spacing_mm=21.5, longest_vehicle_mm=1, radius_mm=5)
    assert found.nose_to_nose_along_crossover_mm == pytest.approx(8.678, abs=1e-3)
    assert found.nose_to_nose_along_line_mm == pytest.approx(-0.228, abs=1e-3)
    told = found.because[-1]
    assert told.code == "nose_to_nose"
    assert told.message.endswith("along the roads they lie 0.2 mm past each other")
    overlap = answer(spacing_mm=16.7)
    assert "nose_to_nose" not in {one.code for one in overlap.because}


def test_an_s_bend_is_told_with_what_would_take_the_vehicle() -> None:
    found = answer(radius_mm=150, longest_vehicle_mm=60)
    by_code = {one.code: one for one in found.because}
    assert list(by_code) == [
        "s_bend_short",
        "lay_wider",
        "curve_sharper",
        "nose_to_nose",
    ]
    assert by_code["lay_wider"].brings == by_code["curve_sharper"].brings == "runs"
    assert found.straight_mm == pytest.approx(100 - 300 * 0.26794919, abs=1e-5)


@at_each(
    "more",
    [
        {"radius_mm": 150, "longest_vehicle_mm": 60},
        {"spacing_mm": 16.7},
        {"spacing_mm": 16.7, "radius_mm": 20, "longest_vehicle_mm": 5},
        {"radius_mm": 190},
        {"radius_mm": 190, "longest_vehicle_mm": 10},
    ],
)
def test_each_advice_turns_the_verdict_and_a_tenth_short_of_it_does_not(
    more: dict[str, float],
) -> None:
    found = answer(**more)
    advice = [one for one in found.because if one.brings is not None]
    assert advice
    for one in advice:
        figure_mm = one.limit_mm
        assert one.field is not None
        assert figure_mm is not None
        assert answer(**more | {one.field: figure_mm}).verdict == one.brings
        short_mm = -0.1 if one.code == "lay_wider" else 0.1
        short = more | {one.field: figure_mm + short_mm}
        assert answer(**short).verdict != one.brings


@at_each(
    "more, faults",
    [
        ({"number": 5}, {"/angle_deg"}),
        ({"angle_deg": None, "gauge_mm": None}, {"/number", "/gauge_mm"}),
        ({"spacing_mm": 9}, {"/spacing_mm"}),
        ({"radius_mm": 4.5}, {"/radius_mm"}),
        ({"angle_deg": 53.1}, {"/angle_deg"}),
    ],
)
def test_what_is_asked_amiss_is_refused(more: dict[str, Any], faults: set[str]) -> None:
    with pytest.raises(Faulty) as refusal:
        convert(ROADS | more, CrossoverRequest)
    assert {fault.pointer for fault in refusal.value.faults} == faults


@at_each("scale, by_hand_mm", [("N", 25 * 8 - 9 * (8 + 65**0.5)), ("N British", None)])
def test_the_number_is_by_the_scale_s_practice(
    scale: str, by_hand_mm: float | None
) -> None:
    body = {"spacing_mm": 25, "number": 8, "scale": scale}
    found = reckon(convert(body, CrossoverRequest))
    if by_hand_mm is None:
        by_hand_mm = 25 * (8 - 1 / 32) - 2 * 9 * 8
    assert found.nose_to_nose_along_line_mm == pytest.approx(by_hand_mm, abs=1e-5)
    assert "from nose to nose" in found.assumed[0].message


@at_each(
    "body",
    [{"spacing_mm": 1e6, "gauge_mm": 999_999, "radius_mm": 1e6}, {"radius_mm": 1e6}],
)
def test_figures_at_their_bounds_are_answered(body: dict[str, Any]) -> None:
    found = answer(angle_deg=0.5, longest_vehicle_mm=1e6, **body)
    assert found.verdict == "cannot_be_laid"
    told = [one.message for one in found.because]
    told += [one.message for one in found.assumed]
    assert max(map(len, told)) <= 200


def test_no_spacing_is_advised_that_nobody_can_ask_about() -> None:
    found = answer(spacing_mm=1e6, radius_mm=1e6, longest_vehicle_mm=1e6, angle_deg=53)
    assert found.verdict == "marginal"
    assert "lay_wider" not in {one.code for one in found.because}
