"""Whether a vehicle suits a road apart from its length."""

from typing import Any

import pytest

from standage.railway.roads.places import Place
from standage.railway.standing.suitability import (
    Suited,
    ample_headroom_mm,
    not_compared,
    suited,
)
from standage.railway.stock.vehicles import Trial, Vehicle
from standage.railway.terms.scales import ScaleName


def on(place: dict[str, Any], **figures: Any) -> Suited:
    return suited(
        Vehicle(name="It", **figures), Place(kind="loop", name="Loop", **place)
    )


def found(place: dict[str, Any], **figures: Any) -> list[tuple[str, str]]:
    return [
        (finding.verdict, finding.reason.code)
        for finding in on(place, **figures).findings
    ]


def guessed(place: dict[str, Any], **figures: Any) -> list[str]:
    return [guess.field for guess in on(place, **figures).guesses]


@pytest.mark.parametrize(
    ("road", "figures"),
    [
        ({"gauge_mm": 9.0}, {"gauge_mm": 12.0}),
        ({"scale": "N"}, {"scale": "H0"}),
        ({"scale": "H0m"}, {"scale": "H0"}),
        ({"scale": "00"}, {"scale": "EM"}),
        ({"scale": "N", "gauge_mm": 6.5}, {"scale": "N"}),
    ],
)
def test_another_gauge_does_not_fit(
    road: dict[str, Any], figures: dict[str, Any]
) -> None:
    assert found(road, **figures) == [("does_not_fit", "gauge_differs")]


def test_a_gauge_is_the_same_within_its_nominal_figures() -> None:
    """EM is laid to 18.0 or 18.2 mm; size 0 to 31.8 or 32 mm."""
    assert found({"gauge_mm": 18.2}, gauge_mm=18.0) == []
    assert found({"gauge_mm": 32.0}, gauge_mm=31.8) == []
    assert found({"gauge_mm": 16.5}, gauge_mm=16.0) == [
        ("does_not_fit", "gauge_differs")
    ]


@pytest.mark.parametrize(
    ("road", "its"), [("N", "N British"), ("H0", "00"), ("TT", "3 mm")]
)
def test_another_scale_on_the_same_gauge_is_noted_and_refused_in_no_case(
    road: ScaleName, its: ScaleName
) -> None:
    assert found({"scale": road}, scale=its) == [("fits", "other_scale")]
    assert on({"scale": road}, scale=its).suits


@pytest.mark.parametrize(("road", "its"), [("H0", "HO"), ("00", "OO"), ("N", "N")])
def test_two_names_of_one_scale_are_not_worth_a_note(
    road: ScaleName, its: ScaleName
) -> None:
    assert found({"scale": road}, scale=its) == []


def test_what_a_vehicle_does_not_say_of_gauge_scale_and_wheels_is_taken_to_be_the_roads_and_told() -> (
    None
):
    assert guessed({"scale": "N", "wheels": "NEM 311"}) == [
        "gauge_mm",
        "scale",
        "wheels",
    ]
    assert guessed({"gauge_mm": 9.0}) == ["gauge_mm"]
    assert guessed({}) == []
    assert (
        guessed({"scale": "N", "wheels": "NEM 311"}, scale="N", wheels="nem 311") == []
    )


def test_other_wheels_cannot_be_told_of_and_must_be_tried() -> None:
    assert found({"wheels": "NEM 311"}, wheels="RP-25") == [
        ("cannot_tell", "wheels_differ")
    ]
    assert found({}, wheels="RP-25") == []


@pytest.mark.parametrize(
    ("figures", "verdict"),
    [
        ({"minimum_radius_mm": 438.0}, "does_not_fit"),
        ({"minimum_radius_mm": 400.0}, None),
        ({"kind": "engine"}, "cannot_tell"),
        ({"length_mm": 150.0, "length_over": "couplings"}, None),
        ({"length_mm": 170.0, "length_over": "couplings"}, "tight"),
        ({"length_mm": 401.0, "length_over": "couplings"}, "does_not_fit"),
    ],
)
def test_the_sharpest_curve_is_asked_of_each_vehicle(
    figures: dict[str, Any], verdict: str | None
) -> None:
    """400 ÷ 150 = 2.67 and 400 ÷ 170 = 2.35, where most stock takes 2.5; 401 mm are
    more than the radius.
    """
    assert [each for each, _ in found({"minimum_radius_mm": 400.0}, **figures)] == (
        [verdict] if verdict else []
    )


def test_a_trial_overrules_the_makers_radius_on_the_road_too() -> None:
    figures = {"minimum_radius_mm": 438.0, "trial": Trial(ran_at_radius_mm=380.0)}
    assert found({"minimum_radius_mm": 400.0}, **figures) == []


@pytest.mark.parametrize(
    ("height_mm", "verdict"), [(60.0, None), (60.1, "does_not_fit")]
)
def test_a_vehicle_passes_under_what_is_as_high_as_itself_and_no_lower(
    height_mm: float, verdict: str | None
) -> None:
    assert [each for each, _ in found({"headroom_mm": 60.0}, height_mm=height_mm)] == (
        [verdict] if verdict else []
    )


@pytest.mark.parametrize(
    ("scale", "ample_mm"),
    [
        ("N", 33),
        ("TT", 43),
        ("H0", 59),
        ("0", 109),
        ("00", 68),
        ("OO", 68),
        ("EM", 68),
        ("N British", 36),
    ],
)
def test_an_unknown_height_cannot_matter_under_the_standards_headroom(
    scale: ScaleName, ample_mm: float
) -> None:
    """NEM 102 (2017), HL4; 59 × 87 ÷ 76.2 = 67.4 and 33 × 160 ÷ 148 = 35.7,
    rounded up.
    """
    assert (
        ample_headroom_mm(Vehicle(name="It", scale=scale), Place(kind="loop"))
        == ample_mm
    )
    assert found({"headroom_mm": float(ample_mm)}, scale=scale) == []
    assert guessed({"headroom_mm": float(ample_mm)}, scale=scale) == ["height_mm"]
    assert found({"headroom_mm": ample_mm - 0.1}, scale=scale) == [
        ("cannot_tell", "missing_figure")
    ]


def test_the_roads_scale_tells_the_height_where_the_vehicle_says_none() -> None:
    assert found({"headroom_mm": 33.0, "scale": "N"}) == []
    assert found({"headroom_mm": 500.0}) == [("cannot_tell", "missing_figure")]


@pytest.mark.parametrize(
    ("figures", "ample_mm"),
    [
        ({"scale": "HO"}, 71),
        ({"scale": "N", "practice": "american"}, 39),
        ({"scale": "O"}, 129),
    ],
)
def test_north_american_stock_may_be_stacked_higher_than_the_continental_standard(
    figures: dict[str, Any], ample_mm: float
) -> None:
    """Double-stacked containers, 6.15 m: ÷ 87.1 = 70.6, ÷ 160 = 38.4, ÷ 48 = 128.1,
    rounded up.
    """
    assert (
        ample_headroom_mm(Vehicle(name="It", **figures), Place(kind="loop")) == ample_mm
    )


@pytest.mark.parametrize(
    ("scale", "ample_mm"),
    [
        *(
            ("Z", 24),
            ("2 mm fine", 35),
            ("3 mm", 51),
            ("H0e", 59),
            ("H0 Japanese", 65),
            ("P4", 68),
            ("009", 68),
        ),
        *(("S7", 113), ("1", 154), ("G", 218), ("Sn3", 97)),
    ],
)
def test_a_size_that_the_sheet_does_not_have_goes_by_the_nearest(
    scale: ScaleName, ample_mm: float
) -> None:
    """NEM 102 (2017), HL4: N 33, H0 59, 0 109, each × its ratio ÷ the scale's, rounded
    up; Sn3 6.15 m ÷ 64 = 96.1.
    """
    assert (
        ample_headroom_mm(Vehicle(name="It", scale=scale), Place(kind="loop"))
        == ample_mm
    )


def test_what_the_road_leaves_open_is_listed() -> None:
    assert not_compared(Place(kind="loop")) == (
        "gauge_mm",
        "scale",
        "wheels",
        "minimum_radius_mm",
        "headroom_mm",
    )
    whole = Place(
        kind="loop",
        scale="N",
        wheels="NEM 311",
        minimum_radius_mm=300.0,
        headroom_mm=40.0,
    )
    assert not_compared(whole) == ()
    assert not_compared(
        Place(kind="loop", gauge_mm=9.0, wheels="x", headroom_mm=40.0)
    ) == (
        "scale",
        "minimum_radius_mm",
    )
