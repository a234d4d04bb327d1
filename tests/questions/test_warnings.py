"""Likely slips of the pen come back as warnings with every answer, and never
change it.
"""

import pytest

from standage.questions import capacity, curve, passing, train_fit
from standage.questions.sources import Sources
from standage.railway.slips.slip import Slip
from standage.shapes.decoding import convert

NOBODY = Sources(None, "")
REACH = {"reach_mm": 4.5}


def coach(length_mm: float = 262.0, **figures: object) -> dict[str, object]:
    ends = {"front_coupling": REACH, "rear_coupling": REACH}
    return (
        {
            "name": "Coach",
            "kind": "coach",
            "scale": "00",
            "length_mm": length_mm,
            "length_over": "buffers",
        }
        | ends
        | figures
    )


def fit_warnings(vehicle: dict[str, object], **place: object) -> tuple[Slip, ...]:
    road = {
        "kind": "loop",
        "name": "the 7 ft loop",
        "usable_length_mm": 2133.6,
        "scale": "00",
    } | place
    asked = {"train": {"vehicles": [vehicle]}, "place": road}
    return train_fit.reckon(
        train_fit.gather(NOBODY, convert(asked, train_fit.TrainFitRequest))
    ).warnings


@pytest.mark.parametrize(
    ("length_mm", "likely"), [(26.2, "centimetres"), (10.3, "inches")]
)
def test_a_coach_in_the_wrong_unit_is_named_with_the_unit_meant(
    length_mm: float, likely: str
) -> None:
    (slip,) = fit_warnings(coach(length_mm))
    assert (slip.code, slip.vehicle, slip.field, slip.likely) == (
        "unit",
        "Coach",
        "length_mm",
        likely,
    )


def test_a_train_with_sensible_figures_brings_no_warning() -> None:
    assert fit_warnings(coach()) == ()


def test_two_metres_in_a_road_called_seven_feet_is_a_warning() -> None:
    (slip,) = fit_warnings(coach(), usable_length_mm=2000)
    assert (slip.code, slip.field, slip.likely_value) == (
        "two_lengths",
        "usable_length_mm",
        2133.6,
    )


def test_a_radius_less_than_the_vehicle_is_a_warning() -> None:
    asked = {"vehicles": [coach()], "curve": {"radius_mm": 200}}
    answer = curve.reckon(curve.gather(NOBODY, convert(asked, curve.CurveRequest)))
    assert [slip.field for slip in answer.warnings] == ["radius_mm"]


def test_thirty_millimetres_between_centres_in_h0_is_taken_for_the_gap() -> None:
    wide = coach(width_mm=33, bogie_centres_mm=180)
    asked = {
        "inner_radius_mm": None,
        "spacing_mm": 30,
        "scale": "H0",
        "vehicles": [wide],
    }
    answer = passing.reckon(
        passing.gather(NOBODY, convert(asked, passing.PassingRequest))
    )
    assert "spacing_or_gap" in {slip.code for slip in answer.warnings}


def test_a_wagon_in_metres_is_a_warning_beside_its_capacity() -> None:
    asked = {
        "usable_length_mm": 500,
        "vehicle": coach(0.082) | {"name": "Wagon", "kind": "wagon"},
    }
    answer = capacity.reckon(
        capacity.gather(NOBODY, convert(asked, capacity.CapacityRequest))
    )
    assert [slip.vehicle for slip in answer.warnings] == ["Wagon"]
