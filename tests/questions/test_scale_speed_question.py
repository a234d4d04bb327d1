"""What is asked about scale speed, and what is answered."""

from fractions import Fraction
from typing import Any

import pytest

from standage.questions.scale_speed import (
    ScaleSpeedAnswer,
    ScaleSpeedRequest,
    reckon,
)
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


def answer(**asked: Any) -> ScaleSpeedAnswer:
    return reckon(convert(asked, ScaleSpeedRequest))


def refused(**asked: Any) -> list[tuple[str, str | None]]:
    with pytest.raises(Faulty) as caught:
        convert(asked, ScaleSpeedRequest)
    return [(fault.code, fault.pointer) for fault in caught.value.faults]


def test_sixty_miles_an_hour_in_00_is_timed_over_three_seconds() -> None:
    # 88 ft/s at 4 mm to the foot are 352 mm/s; three of them are 1056 mm
    found = answer(speed_mph=60, scale="00", length_mm=1056)
    assert (found.model_speed_mm_s, found.seconds_over_length) == (352.0, 3.0)
    assert found.verdict == "by_mph"
    assert [reason.message for reason in found.because] == [
        "60 mph is 352 mm a second in 00, 1:76.2",
        "over 1056 mm it then takes 3 s",
    ]


def test_the_same_speed_in_either_unit_is_the_same_speed() -> None:
    by_mph = answer(speed_mph=25, scale="N British")
    by_kmh = answer(speed_kmh=float(25 * Fraction("1.609344")), scale="N British")
    assert by_mph.model_speed_mm_s == by_kmh.model_speed_mm_s
    assert (by_mph.verdict, by_kmh.verdict) == ("by_mph", "by_kmh")


def test_without_a_length_no_time_is_told() -> None:
    found = answer(speed_kmh=80, scale="H0")
    assert found.seconds_over_length is None
    assert [reason.code for reason in found.because] == ["scaled_down"]


def test_that_time_is_not_scaled_is_said() -> None:
    (assumed,) = answer(speed_kmh=80, scale="H0").assumed
    assert (assumed.field, assumed.source) == ("model_speed_mm_s", "common_practice")


@pytest.mark.parametrize(
    ("asked", "fault"),
    [
        ({}, ("missing", "/speed_kmh")),
        ({"speed_kmh": 80, "speed_mph": 50}, ("one_or_the_other", "/speed_mph")),
        ({"speed_kmh": 0}, ("too_small", "/speed_kmh")),
        ({"speed_kmh": 601}, ("too_large", "/speed_kmh")),
        ({"speed_mph": 376}, ("too_large", "/speed_mph")),
        ({"speed_kmh": 80, "length_mm": 0}, ("too_small", "/length_mm")),
    ],
)
def test_one_speed_within_bounds_is_asked_for(
    asked: dict[str, Any], fault: tuple[str, str]
) -> None:
    assert refused(scale="H0", **asked) == [fault]


def test_a_length_written_in_metres_is_suspected() -> None:
    found = answer(speed_kmh=80, scale="H0", length_mm=1.5)
    assert [(slip.code, slip.field) for slip in found.warnings] == [
        ("unit", "length_mm")
    ]
