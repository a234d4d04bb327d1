"""Every question names the slips in what it was told and in what is on record: the
whole document is walked.
"""

from typing import Any

import pytest

from api.asking import Caller
from api.ground import (
    CHECKS,
    LOOP,
    MODULE_END,
    OPERATIONS,
    QUERIES,
    SHUNTING,
    WAGON,
    YARD,
    Ground,
)

QUESTIONS = {
    one.id
    for one in OPERATIONS.values()
    if one.rate in {"check", "search"} and one.tag != "Files"
}
SHORT = LOOP | {"usable_length_mm": 0.9}
"""A loop whose length was written in metres."""
IN_CENTIMETRES = [WAGON | {"scale": "00", "length_mm": 10.0, "rigid_wheelbase_mm": 4.0}]
SMALL_WAGONS = {
    "wagons": [{"name": name, "length_mm": 8.0, "scale": "00"} for name in "ABC"]
}
NARROW_END = {
    "scale": "H0",
    "tracks": [{"name": "up", "offset_mm": 0.0}, {"name": "down", "offset_mm": 30.0}],
}
INLINE: dict[str, tuple[dict[str, Any], str, str]] = {
    "checkTrainFit": ({"place": SHORT}, "unit", "usable_length_mm"),
    "checkCurve": ({"curve": {"radius_mm": 24.0}}, "unit", "radius_mm"),
    "checkPassing": (
        {"spacing_mm": 30.0, "scale": "H0"},
        "spacing_or_gap",
        "spacing_mm",
    ),
    "checkCapacity": ({"usable_length_mm": 0.9}, "unit", "usable_length_mm"),
    "checkCouplingsFromTrain": (
        {"vehicles": [IN_CENTIMETRES[0] | {"count": 2}]},
        "unit",
        "length_mm",
    ),
    "checkGradient": ({"limit_percent": 50.0}, "percent_or_one_in", "limit_percent"),
    "checkHaulage": (
        {"gradient_percent": 50.0},
        "percent_or_one_in",
        "gradient_percent",
    ),
    "checkModuleJoin": (
        {"one": MODULE_END | NARROW_END},
        "spacing_or_gap",
        "tracks/1/offset_mm",
    ),
    "checkLongestTrain": ({"place": SHORT}, "unit", "usable_length_mm"),
    "checkWishList": ({"curve": {"radius_mm": 24.0}}, "unit", "radius_mm"),
    "checkRoadAllocation": ({"roads": [SHORT]}, "unit", "usable_length_mm"),
    "checkFill": ({"roads": [{"road": SHORT}]}, "unit", "usable_length_mm"),
    "checkParts": ({"train": {"vehicles": IN_CENTIMETRES}}, "unit", "length_mm"),
    "checkShuntingPlan": (SMALL_WAGONS, "unit", "length_mm"),
    "dealShuntingPuzzle": (
        {"yard": YARD | {"headshunt_usable_length_mm": 0.3}},
        "unit",
        "headshunt_usable_length_mm",
    ),
    "checkEveryTrain": (SMALL_WAGONS, "unit", "length_mm"),
}
"""What is put into a sound question, and the slip that is named for it."""
AT_A_SHORT_PLACE = {
    "getPlaceTrainFit",
    "getPlaceLongestTrain",
    "getLayoutLimits",
    "getLayoutFits",
    "getLayoutFill",
}
BY_QUERY = {
    "getVehicleCurve": ("radius_mm=24", "unit"),
    "getTrainCurve": ("radius_mm=24", "unit"),
    "getUnsuitableStock": ("radius_mm=24", "unit"),
    "readLength": ("text=2000%20mm%20(7%20ft)", "two_lengths"),
}
WITHOUT: dict[str, str] = {
    "readPoints": "a number and an angle have no unit that could be mistaken",
    "drawTrainFit": (
        "a drawing is looked at; it writes down what the answer of the same request"
        " warns of"
    ),
    "drawShuntingPlan": (
        "a drawing is looked at, and the plan of the same request warns"
    ),
    "drawShuntingPuzzle": (
        "a drawing is looked at, and the puzzle of the same request warns"
    ),
}
"""Why an answer names no slip."""


def test_every_question_is_here_once() -> None:
    tables = [*INLINE, *AT_A_SHORT_PLACE, *BY_QUERY, "getStandardReport", *WITHOUT]
    assert sorted(tables) == sorted(QUESTIONS)


@pytest.mark.parametrize("operation_id", INLINE)
def test_a_slip_in_a_question_is_named_and_refuses_nothing(
    steward: Caller, operation_id: str
) -> None:
    about, code, field = INLINE[operation_id]
    path = OPERATIONS[operation_id].path
    sound = steward.ask("POST", path, CHECKS[operation_id])
    assert sound.json()["warnings"] == []
    answer = steward.ask("POST", path, CHECKS[operation_id] | about)
    assert answer.status_code == 200, answer.text
    named = answer.json()["warnings"]
    assert (code, field) in {(one["code"], one["field"]) for one in named}
    assert all(one["message"] for one in named)


@pytest.mark.parametrize("operation_id", sorted(AT_A_SHORT_PLACE))
def test_a_slip_in_a_place_on_record_is_named_wherever_it_counts(
    ground: Ground, operation_id: str
) -> None:
    place, train = ground.make("Place", usable_length_mm=0.9), ground.make("Train")
    path = OPERATIONS[operation_id].path.format(
        layout_id=place["layout_id"], place_id=place["id"]
    )
    query = QUERIES.get(
        operation_id,
        f"train_id={train['id']}" if operation_id == "getPlaceTrainFit" else "",
    )
    (slip,) = ground.steward.read(f"{path}?{query}" if query else path)["warnings"]
    assert (slip["code"], slip["field"], slip["place"]) == (
        "unit",
        "usable_length_mm",
        place["name"],
    )


@pytest.mark.parametrize("operation_id", BY_QUERY)
def test_a_slip_in_a_query_is_named(ground: Ground, operation_id: str) -> None:
    query, code = BY_QUERY[operation_id]
    path = ground.request(operation_id).path.partition("?")[0]
    assert [
        one["code"] for one in ground.steward.read(f"{path}?{query}")["warnings"]
    ] == [code]


def test_a_slip_in_a_standard_is_named_in_its_report(ground: Ground) -> None:
    standard = ground.make("Standard", rules=[{"rule": "wire_area", "area_mm2": 0.8}])
    (slip,) = ground.steward.read(f"/v1/standards/{standard['id']}/report")["warnings"]
    assert (slip["code"], slip["field"]) == ("area_or_diameter", "rules/0/area_mm2")


def test_a_record_with_several_slips_names_them_all(steward: Caller) -> None:
    layout = steward.made("/v1/layouts", {"name": "Round", "scale": "00"})
    sidings = [
        {"name": "The 7 ft road", "usable_length_mm": 2000.0},
        {"name": "Dock", "usable_length_mm": 0.4},
    ]
    yard = steward.made(
        "/v1/yards",
        SHUNTING["yard"]
        | {
            "name": "Goods",
            "layout_id": layout["id"],
            "sidings": sidings,
        },
    )
    assert [(one["code"], one["place"]) for one in yard["warnings"]] == [
        ("two_lengths", "The 7 ft road"),
        ("unit", "Dock"),
    ]
