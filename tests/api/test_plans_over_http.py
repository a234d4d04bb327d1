"""Track plans over HTTP: what a plan is, and documents that are meant to do harm."""

from time import monotonic
from typing import Any

import pytest

from api.asking import Caller
from standage.questions.plan import MALT_HOUSE
from support.track_plans import curve, oval, points, straight

PLAN = "/v1/checks/plan"
FOULING_POINT = "/v1/checks/fouling-point"
LONGEST_S = 60.0
"""In a run that shares the processor with many others."""

Json = dict[str, Any]


def asked(steward: Caller, plan: Json) -> Json:
    answer = steward.ask("POST", PLAN, {"plan": plan})
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def refused(steward: Caller, plan: Json) -> dict[str, str]:
    answer = steward.ask("POST", PLAN, {"plan": plan})
    assert answer.status_code == 422, answer.text
    return {fault["pointer"]: fault["code"] for fault in answer.json()["faults"]}


def test_a_plan_tells_its_roads_its_fouling_points_and_where_it_lies(
    steward: Caller,
) -> None:
    told = asked(steward, MALT_HOUSE)
    assert told["verdict"] == "sound"
    assert [road["name"] for road in told["roads"]] == [
        "Malt siding",
        "running line M",
        "running line W",
    ]
    (place,) = told["places"]
    assert place["name"] == "Malt siding"
    assert place["usable_length_mm"] == told["roads"][0]["usable_length_mm"]
    assert told["poses"]["W"]["a"] == {"x_mm": 0.0, "y_mm": 0.0, "heading_deg": 180.0}


def test_a_plan_with_faults_is_answered_with_all_of_them(steward: Caller) -> None:
    plan = oval()
    plan["joins"] += [["C9.a", "S1.x"], ["S1.a", "S2.b"]]
    told = asked(steward, plan)
    assert told["verdict"] == "faults"
    assert {fault["pointer"] for fault in told["faults"]} >= {
        "/joins/10/0",
        "/joins/10/1",
        "/joins/11/0",
    }
    assert told["circuits"]


def test_what_is_no_plan_is_refused_with_every_fault(steward: Caller) -> None:
    pieces = {"A": {"kind": "strait"}, "B": {"kind": "straight", "length_mm": "long"}}
    assert refused(steward, {"pieces": pieces}) == {
        "/plan/pieces/A/kind": "not_a_choice",
        "/plan/pieces/B/length_mm": "wrong_type",
    }


def test_a_gap_is_told_at_its_join_and_makes_the_verdict(steward: Caller) -> None:
    plan = oval()
    plan["pieces"]["S2"] = straight(520.0)
    told = asked(steward, plan)
    assert told["verdict"] == "gaps"
    (circuit,) = told["circuits"]
    assert circuit["gap_mm"] == pytest.approx(20.0)
    assert circuit["closing_join"] == ["C8.b", "S1.a"]
    assert circuit["exchanges_rails"] is False


def test_the_fouling_point_alone_is_what_the_whole_plan_has(steward: Caller) -> None:
    whole = asked(steward, MALT_HOUSE)["fouling_points"][0]
    alone = steward.ask("POST", FOULING_POINT, {"plan": MALT_HOUSE, "points": "P1"})
    assert alone.status_code == 200, alone.text
    assert alone.json()["legs"] == whole["legs"]
    assert alone.json()["mark_length_mm"] == whole["mark_length_mm"]


def test_points_that_the_plan_has_not_are_told_with_those_meant(
    steward: Caller,
) -> None:
    answer = steward.ask("POST", FOULING_POINT, {"plan": MALT_HOUSE, "points": "p1"})
    assert answer.status_code == 422
    (fault,) = answer.json()["faults"]
    assert (fault["pointer"], fault["code"]) == ("/points", "unknown_piece")
    assert "did you mean P1?" in fault["message"]


def test_a_spacing_that_is_asked_for_overrules_the_plan(steward: Caller) -> None:
    body = {"plan": MALT_HOUSE, "points": "P1", "spacing_mm": 46.0}
    told = steward.ask("POST", FOULING_POINT, body).json()
    assert told["spacing_mm"] == 46.0
    assert all(one["field"] != "fouling_spacing_mm" for one in told["assumed"])


def test_more_joins_than_any_plan_has_are_refused(steward: Caller) -> None:
    assert refused(steward, {"joins": [["A", "B"]] * 100_000})


def test_a_body_of_more_than_a_megabyte_is_refused(steward: Caller) -> None:
    joins = [["AAAAAAAAAAAAAAAA.a", "BBBBBBBBBBBBBBBB.b"]] * 40_000
    answer = steward.ask("POST", PLAN, {"plan": {"joins": joins}})
    assert answer.status_code == 413


def test_modules_in_modules_are_refused(steward: Caller) -> None:
    inner: Json = {"pieces": {}}
    for _ in range(9):
        inner = {"modules": {"again": {"plan": inner}}}
    assert "/plan/modules/again/plan/modules" in refused(steward, inner)


def test_modules_nested_without_end_are_no_request(steward: Caller) -> None:
    inner: Json = {"pieces": {}}
    for _ in range(200):
        inner = {"modules": {"again": {"plan": inner}}}
    assert steward.ask("POST", PLAN, {"plan": inner}).status_code == 400


@pytest.mark.parametrize("name", ["up\u202eloop", "a.b", "x" * 81, ""])
def test_a_name_that_no_piece_can_bear_is_refused(steward: Caller, name: str) -> None:
    assert refused(steward, {"pieces": {name: straight(9.0)}})


@pytest.mark.parametrize("figure", [0, 1e-9, 1e6])
def test_absurd_figures_are_answered_in_words(steward: Caller, figure: float) -> None:
    pieces = {
        "P1": points(lead_in_mm=figure, through_after_blades_mm=figure),
        "C": curve(max(figure, 1.0), 90.0),
        "S": straight(figure),
    }
    joins = [["P1.through", "S.a"], ["P1.branch", "C.a"], ["C.b", "S.b"]]
    told = asked(steward, {"pieces": pieces, "joins": joins, "scale": "00"})
    assert told["verdict"] in {"sound", "gaps", "faults", "cannot_tell"}


def test_a_plan_made_to_take_long_is_answered_in_time(steward: Caller) -> None:
    count = 9000
    pieces = {f"T{n}": {"kind": "straight", "length_mm": 1} for n in range(count)}
    joins = [[f"T{n}.b", f"T{n + 1}.a"] for n in range(count - 1)]
    begun_s = monotonic()
    told = asked(steward, {"scale": "00", "pieces": pieces, "joins": joins})
    assert told["verdict"] in {"sound", "gaps", "faults", "cannot_tell"}
    assert monotonic() - begun_s < LONGEST_S
