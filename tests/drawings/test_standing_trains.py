"""Drawings of a train in its place: true to length, and the sum beneath it comes
out.
"""

import re
from fractions import Fraction
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from msgspec import structs

from standage.drawings.standing_trains import (
    DrawnFace,
    DrawnVehicle,
    StandingTrain,
    standing_drawing,
)

SVG = "{http://www.w3.org/2000/svg}"
VEHICLES = (
    DrawnVehicle(name="Tank", from_mm=4, length_mm=120, is_engine=True),
    DrawnVehicle(name="Van", from_mm=132, length_mm=90),
    DrawnVehicle(name="Salt <1> & co", from_mm=230, length_mm=150),
)
TRAIN = StandingTrain(
    place="Dock",
    usable_mm=400,
    margin_mm=20,
    length_mm=384,
    spare_mm=-4,
    vehicles=VEHICLES,
    face=None,
    because=("the train is 4 mm too long for Dock, with 20 mm left for stopping",),
)
SCALE = 190 / 400


def elements(drawing: str, tag: str) -> list[ET.Element]:
    return list(ET.fromstring(drawing).iter(f"{SVG}{tag}"))  # noqa: S314 - our own text


def words(drawing: str) -> list[str]:
    return [element.text or "" for element in elements(drawing, "text")]


def rules(drawing: str, *, down_mm: float) -> tuple[float, float]:
    """Return where the length that is drawn so far down begins and ends, in mm of
    paper.
    """
    (found,) = [
        (float(one.get("x1", 0)), float(one.get("x2", 0)))
        for one in elements(drawing, "line")
        if float(one.get("y1", 0)) == float(one.get("y2", 0)) == down_mm
        and one.get("stroke-width") == "0.2"
    ]
    return found


def test_vehicles_stand_where_they_stand_on_the_road_true_to_length() -> None:
    boxes = [
        box for box in elements(standing_drawing(TRAIN), "rect") if box.get("stroke")
    ]
    ends = [
        (float(box.get("x", 0)) - 0.4, float(box.get("width", 0)) + 0.8)
        for box in boxes
    ]  # 0.4 is left free
    expected = [
        ((10 + one.from_mm) * SCALE, one.length_mm * SCALE) for one in VEHICLES[1:]
    ]
    assert [left for left, _ in ends] == pytest.approx(
        [left for left, _ in expected], abs=0.02
    )
    assert [width for _, width in ends] == pytest.approx(
        [width for _, width in expected], abs=0.02
    )
    (nose,) = elements(standing_drawing(TRAIN), "polygon")
    across = [
        float(corner.split(",")[0]) for corner in (nose.get("points") or "").split()
    ]
    assert min(across) == pytest.approx(14 * SCALE, abs=0.02)
    assert max(across) == pytest.approx(134 * SCALE - 0.4, abs=0.02)


@pytest.mark.parametrize(
    ("usable_mm", "spare_mm", "said"),
    [
        (400.0, -4.0, "4 mm too long"),
        (404.0, 0.0, "0 mm to spare"),
        (450.5, 46.5, "46.5 mm to spare"),
    ],
)
def test_what_is_left_over_is_drawn_as_long_as_it_is(
    usable_mm: float, spare_mm: float, said: str
) -> None:
    drawing = standing_drawing(
        structs.replace(TRAIN, usable_mm=usable_mm, spare_mm=spare_mm)
    )
    left, right = rules(drawing, down_mm=39)
    assert right - left == pytest.approx(abs(spare_mm) * 190 / usable_mm, abs=0.02)
    assert said in words(drawing)


@pytest.mark.parametrize(
    "figures",
    [
        {},
        {
            "usable_mm": 1000.0,
            "length_mm": 1182.05,
            "margin_mm": 25.0,
            "spare_mm": -207.05,
        },
        {
            "usable_mm": 12345.678,
            "length_mm": 384.04,
            "margin_mm": 0.0,
            "spare_mm": 11961.638,
        },
        {"usable_mm": 400.3, "length_mm": 380.1, "margin_mm": 20.2, "spare_mm": 0.0},
    ],
)
def test_the_sum_comes_out_exactly(figures: dict[str, Any]) -> None:
    written = " ".join(words(standing_drawing(structs.replace(TRAIN, **figures))))
    told = re.search(r"[\d.]+ mm of train \+ .*? (to spare|too long)\.", written)
    assert told
    train, margin, needed, usable, left = [
        Fraction(figure) for figure in re.findall(r"[\d.]+(?= mm)", told[0])
    ]
    assert train + margin == needed
    assert abs(usable - needed) == left
    assert told[1] == ("to spare" if usable >= needed else "too long")


def test_a_train_longer_than_its_road_runs_beyond_it_and_stays_on_the_paper() -> None:
    drawing = standing_drawing(structs.replace(TRAIN, usable_mm=100, spare_mm=-304))
    assert rules(drawing, down_mm=14)[1] == pytest.approx(190)
    assert rules(drawing, down_mm=32)[1] == pytest.approx(100 * 190 / 394, abs=0.02)


def test_the_face_begins_where_the_passengers_do() -> None:
    face = DrawnFace(length_mm=200, from_mm=132, passengers_mm=248)
    drawing = standing_drawing(structs.replace(TRAIN, face=face))
    left, right = rules(drawing, down_mm=50)
    assert (left, right) == pytest.approx((142 * SCALE, 390 * SCALE), abs=0.02)
    drawn = [box for box in elements(drawing, "rect") if box.get("y") == "43.00"]
    assert [float(box.get("width", 0)) for box in drawn] == pytest.approx(
        [200 * SCALE], abs=0.02
    )
    assert "face 200 mm, passenger vehicles 248 mm" in words(drawing)


def test_names_too_long_for_their_vehicles_become_numbers_with_a_key() -> None:
    many = tuple(
        DrawnVehicle(name="Coal wagon of the company", from_mm=20 * n, length_mm=18)
        for n in range(12)
    )
    drawn = words(
        standing_drawing(structs.replace(TRAIN, vehicles=(*VEHICLES[:1], *many)))
    )
    assert drawn.count("2") == 12
    assert "1: Tank, 120 mm · 2: 12 × Coal wagon of the company, 18 mm" in drawn


@pytest.mark.parametrize(
    "unknown", [{"usable_mm": None}, {"length_mm": None, "vehicles": ()}]
)
def test_where_a_length_is_not_known_the_sheet_says_what_to_measure(
    unknown: dict[str, Any],
) -> None:
    figures = {
        "spare_mm": None,
        "because": ("Van: measure its length; without it nobody can tell",),
    } | unknown
    drawing = standing_drawing(structs.replace(TRAIN, **figures))
    assert "Van: measure its length; without it nobody can tell." in words(drawing)
    assert elements(drawing, "line") == []


def test_black_white_and_one_grey_are_all_it_needs() -> None:
    drawing = standing_drawing(
        structs.replace(
            TRAIN, face=DrawnFace(length_mm=200, from_mm=132, passengers_mm=248)
        )
    )
    assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', drawing)) == {
        "black",
        "white",
        "#d4d4d4",
    }
