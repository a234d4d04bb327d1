"""Stock on curves and stock that passes, as callers ask about it: inline and on
record.
"""

from typing import Any

import pytest

from api.asked_stock import COACH, ENGINE, WAGON, fields, recorded, throws
from api.asking import Caller, faults
from api.ground import Ground, one_of


def test_a_vehicle_is_told_its_throws_inline_and_on_record(ground: Ground) -> None:
    vehicle = ground.make("Vehicle", **COACH, rigid_wheelbase_mm=None)
    inline = ground.steward.ask(
        "POST", "/v1/checks/curve", {"vehicles": [COACH], "curve": {"radius_mm": 505}}
    ).json()
    on_record = ground.steward.read(f"{one_of('Vehicle', vehicle)}/curve?radius_mm=505")
    assert inline == on_record
    centre_mm, end_mm = throws(COACH, radius_mm=505)
    told = inline["vehicles"][0]
    assert (told["name"], told["centre_throw_mm"]) == (
        "Coach",
        pytest.approx(centre_mm, abs=0.001),
    )
    assert told["end_throw_mm"] == pytest.approx(end_mm, abs=0.001)


def test_a_bogie_wheelbase_that_is_missing_counts_as_none_and_is_told(
    steward: Caller,
) -> None:
    coach = {
        name: value for name, value in COACH.items() if name != "bogie_wheelbase_mm"
    }
    answer = steward.ask(
        "POST", "/v1/checks/curve", {"vehicles": [coach], "curve": {"radius_mm": 505}}
    ).json()
    centre_mm, _ = throws(COACH | {"bogie_wheelbase_mm": 0}, radius_mm=505)
    assert answer["vehicles"][0]["centre_throw_mm"] == pytest.approx(
        centre_mm, abs=0.001
    )
    assert ("Coach", "bogie_wheelbase_mm") in fields(answer)


@pytest.mark.parametrize(
    ("minimum_radius_mm", "verdict"), [(505, "runs"), (506, "does_not_run")]
)
def test_the_makers_least_radius_decides(
    steward: Caller, minimum_radius_mm: float, verdict: str
) -> None:
    body = {
        "vehicles": [COACH | {"minimum_radius_mm": minimum_radius_mm}],
        "curve": {"radius_mm": 505},
    }
    answer = steward.ask("POST", "/v1/checks/curve", body).json()
    assert (answer["verdict"], answer["vehicles"][0]["verdict"]) == (verdict, verdict)


def test_a_train_on_record_is_judged_by_its_worst_vehicle_in_its_own_order(
    ground: Ground,
) -> None:
    train_id = recorded(
        ground,
        ENGINE | {"minimum_radius_mm": 600, "rigid_wheelbase_mm": 60},
        WAGON | {"minimum_radius_mm": 400},
    )
    answer = ground.steward.read(f"/v1/trains/{train_id}/curve?radius_mm=505")
    assert answer["verdict"] == "does_not_run"
    told = [(one["name"], one["verdict"]) for one in answer["vehicles"]]
    assert told == [("Heron", "does_not_run"), ("Coal wagon", "runs")]
    assert answer["because"][0]["vehicle"] == "Heron"


def test_a_radius_may_be_uncertain_in_a_question_on_record(ground: Ground) -> None:
    path = f"{one_of('Vehicle', ground.make('Vehicle', minimum_radius_mm=500))}/curve"
    verdicts = [
        ground.steward.read(f"{path}?radius_mm={radius_mm}&radius_plus_minus_mm=10")[
            "verdict"
        ]
        for radius_mm in (511, 505, 489)
    ]
    assert (verdicts[0], verdicts[2]) == ("runs", "does_not_run")
    assert verdicts[1] not in {"runs", "does_not_run"}


@pytest.mark.parametrize("radius", ["0", "-1", "nan", "inf", "1e400", "text", ""])
def test_a_radius_must_be_one(ground: Ground, radius: str) -> None:
    path = one_of("Vehicle", ground.make("Vehicle"))
    assert list(
        faults(ground.steward.ask("GET", f"{path}/curve?radius_mm={radius}"))
    ) == ["radius_mm"]


@pytest.mark.parametrize("radius", ["505", "505.0", "5.05e2", "5.05E+02"])
def test_a_radius_may_be_written_as_any_number(ground: Ground, radius: str) -> None:
    path = one_of("Vehicle", ground.make("Vehicle", minimum_radius_mm=505))
    radius = radius.replace("+", "%2B")
    assert ground.steward.read(f"{path}/curve?radius_mm={radius}")["verdict"] == "runs"


def passing(caller: Caller, **about: Any) -> dict[str, Any]:
    response = caller.ask(
        "POST",
        "/v1/checks/passing",
        {"inner_radius_mm": None, "vehicles": [COACH]} | about,
    )
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.json()
    return answer


def test_on_straight_track_half_of_each_width_is_taken_from_the_spacing(
    steward: Caller,
) -> None:
    answer = passing(steward, spacing_mm=50)
    assert (answer["verdict"], answer["least_gap_mm"], answer["margin_mm"]) == (
        "clear",
        50 - 35,
        0,
    )
    assert (answer["on_outer"], answer["on_inner"]) == ("Coach", "Coach")
    assert "margin_mm" in {field for _, field in fields(answer)}


def test_bodies_that_overlap_have_a_gap_below_nothing(steward: Caller) -> None:
    answer = passing(steward, spacing_mm=30)
    assert (answer["verdict"], answer["least_gap_mm"]) == ("fouls", 30 - 35)


def test_the_default_margin_is_an_eighth_of_the_gauge_where_a_scale_is_given(
    steward: Caller,
) -> None:
    answer = passing(steward, spacing_mm=50, scale="00")
    assert answer["margin_mm"] == pytest.approx(16.5 / 8, abs=1e-6)
    assert "margin_mm" in {field for _, field in fields(answer)}
    assert passing(steward, spacing_mm=50, scale="00", margin_mm=4)["margin_mm"] == 4


def test_on_a_curve_the_inner_corner_nears_the_outer_middle(steward: Caller) -> None:
    inner_mm, spacing_mm = 505, 67
    answer = passing(steward, inner_radius_mm=inner_mm, spacing_mm=spacing_mm)
    centre_mm, _ = throws(COACH, radius_mm=inner_mm + spacing_mm)
    _, end_mm = throws(COACH, radius_mm=inner_mm)
    # The outer vehicle's middle comes in by its centre throw, the inner one's corner
    # goes out by its end throw.
    assert answer["least_gap_mm"] == pytest.approx(
        spacing_mm - 35 - centre_mm - end_mm, abs=0.001
    )
    needed_mm = answer["spacing_needed_mm"]
    assert (
        passing(steward, inner_radius_mm=inner_mm, spacing_mm=needed_mm + 0.01)[
            "verdict"
        ]
        == "clear"
    )
    assert (
        passing(steward, inner_radius_mm=inner_mm, spacing_mm=needed_mm - 0.01)[
            "verdict"
        ]
        != "clear"
    )


def test_the_worst_pair_is_named_and_need_not_be_two_alike(steward: Caller) -> None:
    short = WAGON | {"width_mm": 30, "rigid_wheelbase_mm": 50}
    answer = passing(
        steward, spacing_mm=60, inner_radius_mm=505, vehicles=[short, COACH]
    )
    assert (answer["on_outer"], answer["on_inner"]) == ("Coach", "Coach")
    nosed = COACH | {"name": "Nosed", "length_mm": 300, "bogie_centres_mm": 120}
    answer = passing(
        steward, spacing_mm=60, inner_radius_mm=505, vehicles=[COACH, nosed]
    )
    assert (answer["on_outer"], answer["on_inner"]) == ("Coach", "Nosed")


def test_straight_track_must_be_said_to_be_so(steward: Caller) -> None:
    body = {"spacing_mm": 50, "vehicles": [COACH]}
    assert faults(steward.ask("POST", "/v1/checks/passing", body)) == {
        "/inner_radius_mm": "missing"
    }
