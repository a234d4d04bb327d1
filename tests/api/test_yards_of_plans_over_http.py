"""A yard of a plan over HTTP, given or on record: the answer is that of its figures."""

from typing import Any

from api.asking import Caller, faults
from api.ground import Ground
from api.test_plans_on_record import above, sent

PLAN = "/v1/checks/shunting-plan"
Body = dict[str, Any]


def points(branch_mm: int) -> Body:
    return {
        "kind": "points",
        "toe_mm": 20,
        "through_mm": 160,
        "branch_mm": branch_mm,
        "fouling_through_mm": 140,
        "fouling_branch_mm": 150,
    }


YARD: Body = {
    "scale": "00",
    "fouling_spacing_mm": 45,
    "pieces": {
        "Stop": {"kind": "buffer_stop", "length_mm": 10},
        "Neck": {"kind": "track", "length_mm": 270},
        "East points": points(170),
        "Mill track": {"kind": "track", "length_mm": 300},
        "Mill stop": {"kind": "buffer_stop"},
        "Lead": {"kind": "track", "length_mm": 40},
        "West points": points(180),
        "Quay track": {"kind": "track", "length_mm": 220},
        "Quay stop": {"kind": "buffer_stop"},
        "Shed track": {"kind": "track", "length_mm": 230},
        "Shed stop": {"kind": "buffer_stop"},
    },
    "joins": [
        ["Stop.a", "Neck.a"],
        ["Neck.b", "East points.toe"],
        ["East points.branch", "Mill track.a"],
        ["Mill track.b", "Mill stop.a"],
        ["East points.through", "Lead.a"],
        ["Lead.b", "West points.toe"],
        ["West points.branch", "Quay track.a"],
        ["Quay track.b", "Quay stop.a"],
        ["West points.through", "Shed track.a"],
        ["Shed track.b", "Shed stop.a"],
    ],
    "places": [
        {"name": "Mill", "kind": "siding", "on": ["Mill track"]},
        {"name": "Quay", "kind": "siding", "on": ["Quay track"]},
        {"name": "Shed", "kind": "siding", "on": ["Shed track"]},
    ],
    "fittings": [{"kind": "uncoupling", "piece": "Shed track", "at_mm": 70}],
}
BY_FIGURES: Body = {
    # 10 of stop, 270 and 20 of toe
    "headshunt_usable_length_mm": 300,
    "sidings": [
        {"name": "Mill", "usable_length_mm": 300 + 170 - 150},
        {"name": "Quay", "usable_length_mm": 220 + 180 - 150},
        {
            "name": "Shed",
            "usable_length_mm": 230 + 160 - 140,
            "uncoupling_places_mm": [70 + 160 - 140],
        },
    ],
    # 160 of leg, 40 and 20 of toe farther
    "rooms": [{"between": ["Quay", "Shed"], "room_mm": 300 + 220}],
}
ASKED: Body = {
    "engine_length_mm": 120,
    "wagons": [
        {"name": name, "length_mm": 78, "length_over": "couplings"}
        for name in ("Flour", "Slate", "Fish")
    ],
    "start": {"sidings": [[], ["Flour", "Slate", "Fish"], []]},
    "goal": {"siding": "Shed", "train": ["Flour", "Slate", "Fish"]},
}


def solved(caller: Caller, yard: Body) -> Body:
    answer = caller.ask("POST", PLAN, {**ASKED, "yard": yard})
    assert answer.status_code == 200, answer.text
    told: Body = answer.json()
    told.pop("assumed")
    return told


def test_a_yard_of_a_plan_is_answered_as_its_figures_are(steward: Caller) -> None:
    by_figures = solved(steward, BY_FIGURES)
    # only the room between the two takes the engine with all three
    assert (by_figures["verdict"], by_figures["visits"]) == ("solved", 2)
    by_plan = {"plan": YARD, "headshunt": "headshunt Neck"}
    assert solved(steward, by_plan) == by_figures
    named = by_plan | {"sidings": ["Mill", "Quay", "Shed"]}
    assert solved(steward, named) == by_figures


def test_a_yard_of_a_layout_on_record_follows_its_plan(steward: Caller) -> None:
    ground = Ground(steward)
    layout = above(ground, "layout")
    sent(steward, layout, YARD)
    on_record = {
        "plan": {"layout_id": layout.rpartition("/")[2]},
        "headshunt": "headshunt Neck",
    }
    assert solved(steward, on_record) == solved(steward, BY_FIGURES)


def test_what_makes_no_yard_is_refused_where_it_was_asked(steward: Caller) -> None:
    yard = {"plan": YARD, "headshunt": "Mill"}
    answer = steward.ask("POST", PLAN, {**ASKED, "yard": yard})
    assert answer.status_code == 422
    assert "/yard/headshunt" in faults(answer)
