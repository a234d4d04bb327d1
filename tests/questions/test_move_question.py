"""What is answered of a move on a plan, and what is refused."""

import json
from copy import deepcopy
from typing import Any

import pytest

from standage.questions.move import MoveRequest, gather, reckon
from standage.questions.move_answer import MoveAnswer
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

Json = dict[str, Any]
POINTS = {
    "kind": "points",
    "toe_mm": 30,
    "through_mm": 180,
    "branch_mm": 190,
    "fouling_through_mm": 215,
    "fouling_branch_mm": 210,
}
FULLERS_WHARF: Json = {
    "name": "Fuller's wharf",
    "pieces": {
        "B1": {"kind": "buffer_stop"},
        "H": {"kind": "track", "length_mm": 700},
        "P1": POINTS,
        "W": {"kind": "track", "length_mm": 620},
        "B2": {"kind": "buffer_stop"},
        "P2": POINTS,
        "M": {"kind": "track", "length_mm": 900},
        "L": {"kind": "track", "length_mm": 880},
        "P3": POINTS,
        "E": {"kind": "track", "length_mm": 300},
    },
    "joins": [
        ["B1.a", "H.a"],
        ["H.b", "P1.toe"],
        ["P1.branch", "W.a"],
        ["W.b", "B2.a"],
        ["P1.through", "P2.toe"],
        ["P2.through", "M.a"],
        ["M.b", "P3.through"],
        ["P2.branch", "L.a"],
        ["L.b", "P3.branch"],
        ["P3.toe", "E.a"],
    ],
    "places": [
        {"name": "Headshunt", "on": ["H"]},
        {"name": "Wharf", "on": ["W"]},
        {"name": "Loop", "on": ["L"]},
    ],
}
"""Measured with a tape, and invented."""
EXAMPLE: Json = {
    "plan": FULLERS_WHARF,
    "train": {"length_mm": 540, "engine_length_mm": 128},
    "from": {"place": "Loop", "engine_towards": "points P2"},
    "to": {"place": "Wharf"},
}


def body(**changed: Any) -> Json:
    """Return the example, a train of 540 mm from the loop to the wharf, changed."""
    return {**deepcopy(EXAMPLE), **changed}


def answered(**changed: Any) -> MoveAnswer:
    request = convert(body(**changed), MoveRequest)
    return reckon(gather(Sources(None, ""), request))


def refused(**changed: Any) -> set[tuple[str | None, str]]:
    with pytest.raises(Faulty) as refusal:
        answered(**changed)
    return {(fault.pointer, fault.code) for fault in refusal.value.faults}


def plan(**pieces: Json) -> Json:
    """Return the example's plan with figures of some pieces changed."""
    changed: Json = json.loads(json.dumps(EXAMPLE["plan"]))
    for name, figures in pieces.items():
        changed["pieces"][name] |= figures
    return changed


def length(mm: float, **more: Any) -> Json:
    return {"length_mm": mm, **more}


# Toe 30, through 180, branch 190 from the blades; clear at 215 and 210. By hand:
# the wharf holds 190 + 620 - 210 = 600, the headshunt 30 + 700 = 730 from the blades of
# P1, the loop 190 + 880 + 190 - 2 × 210 = 840.
WHARF_MM = 600.0
HEADSHUNT_MM = 730.0


def test_a_train_is_drawn_into_the_headshunt_and_pushed_back() -> None:
    answer = answered()
    assert answer.verdict == "possible"
    assert (answer.reversals, answer.leading_at_finish) == (1, "tail")
    # Its tail goes from 20 + 540 mm along the loop over P2 and past the blades of P1;
    # then its tail leads by 210 mm clear of them, and its whole length.
    out_mm = 560 + 190 + 30 + 180
    assert answer.distance_mm == out_mm + 210 + 540
    assert [run.leading for run in answer.runs] == ["engine", "tail"]
    assert [run.distance_mm for run in answer.runs] == [out_mm, 210 + 540]
    assert [run.spare_mm for run in answer.runs] == [HEADSHUNT_MM - 540, WHARF_MM - 540]
    assert answer.runs[0].message == (
        "Draw forward over P2 and P1 into Headshunt until the last vehicle is clear of"
        " the blades of P1: 190 mm to spare."
    )
    assert answer.runs[1].message == (
        "Propel over P1 into Wharf until the whole train is in: 60 mm to spare."
    )


def test_the_longest_train_is_told_with_the_piece_that_limits_it() -> None:
    answer = answered()
    assert answer.longest_train_mm == WHARF_MM
    assert answer.longest_with_these_reversals_mm == WHARF_MM
    assert answer.spare_mm == WHARF_MM - 540
    assert answer.limited_by == ("W",)
    short = answered(plan=plan(H={"length_mm": 400}))
    assert short.verdict == "impossible"
    assert short.longest_train_mm == 430
    assert short.limited_by == ("H",)
    assert [reason.code for reason in short.because] == ["too_long", "limited_by"]


def test_two_roads_that_limit_at_once_are_named_together() -> None:
    answer = answered(plan=plan(H={"length_mm": WHARF_MM - 30}))
    assert answer.longest_train_mm == WHARF_MM
    assert answer.limited_by == ()
    limit = answer.because[-1].message
    assert "Headshunt and Wharf limit it together" in limit


def test_a_train_that_fits_exactly_gets_there_and_a_tenth_more_does_not() -> None:
    assert answered(train=length(WHARF_MM)).verdict == "possible"
    assert answered(train=length(WHARF_MM + 0.1)).verdict == "impossible"


def test_only_with_a_doubt_is_it_tight() -> None:
    near = length(WHARF_MM - 1, length_plus_minus_mm=1.5)
    assert answered(train=near).verdict == "tight"
    assert answered(train=length(WHARF_MM + 1, length_plus_minus_mm=1.5)).verdict == (
        "tight"
    )
    enough = length(WHARF_MM - 1, length_plus_minus_mm=1.0)
    assert answered(train=enough).verdict == "possible"
    doubtful = {**plan(), "plus_minus": {"mm": 1, "mm_per_m": 1}}
    # 1 mm and 0.6 mm of the plan's 600.
    assert answered(plan=doubtful, train=length(WHARF_MM - 1.5)).verdict == "tight"
    assert answered(plan=doubtful, train=length(WHARF_MM - 1.6)).verdict == "possible"


def test_vehicles_bring_their_own_doubt_and_lengths() -> None:
    hook = {"reach_mm": 0, "reach_plus_minus_mm": 0}
    wagon = {
        "name": "Wagon",
        "kind": "wagon",
        "length_mm": 100,
        "length_over": "buffers",
        "length_plus_minus_mm": 0.5,
        "front_coupling": hook,
        "rear_coupling": hook,
    }
    engine = {**wagon, "name": "Tank engine", "kind": "engine"}
    answer = answered(train={"vehicles": [engine, {**wagon, "count": 3}]})
    assert answer.train_length_mm == 400
    assert answer.plus_minus_mm == 2.0
    assert answer.verdict == "possible"
    unknown = {"name": "Van", "kind": "wagon"}
    missing = answered(train={"vehicles": [engine, unknown]})
    assert missing.verdict == "cannot_tell"
    assert missing.longest_train_mm == WHARF_MM
    assert {reason.vehicle for reason in missing.because} >= {"Van"}
    long = [{**wagon, "count": 7}, unknown]
    assert answered(train={"vehicles": long}).verdict == "impossible"


def test_an_engine_that_must_lead_everywhere_does_not_get_there() -> None:
    answer = answered(propelling="forbidden")
    assert answer.verdict == "impossible"
    assert answer.longest_train_mm == 0
    light = length(128, engine_length_mm=128)
    assert answered(propelling="forbidden", train=light).verdict == "possible"


def test_nobody_propels_over_a_stretch_where_it_is_barred() -> None:
    wharf = [{"piece": "W", "from_mm": 0, "to_mm": 100}]
    barred = [{"name": "Crossing", "stretch": wharf}]
    assert answered(no_propelling=barred).longest_train_mm == 0
    turned = {"place": "Loop", "engine_towards": "points P3"}
    pulled_back = answered(no_propelling=barred, **{"from": turned})
    # Propelled into the headshunt, it comes back with its engine in front.
    assert pulled_back.verdict == "possible"
    assert pulled_back.leading_at_finish == "engine"


def test_stock_that_stands_takes_its_length_and_bars_what_it_is_foul_of() -> None:
    last = [{"piece": "W", "from_mm": 520, "to_mm": 620}]
    answer = answered(standing=[{"name": "Coal wagon", "stretch": last}])
    assert answer.longest_train_mm == WHARF_MM - 100
    foul = [{"piece": "P1", "leg": "through", "from_mm": 100, "to_mm": 180}]
    barred = answered(standing=[{"name": "Coal wagon", "stretch": foul}])
    assert barred.longest_train_mm == 0


@pytest.mark.parametrize(
    ("changed", "shut"),
    [
        # 190 + 10 are less than 210 from the blades.
        (
            {"plan": plan(W={"length_mm": 10})},
            ": Wharf holds none, its limits leave no room",
        ),
        (
            {"plan": plan(L={"length_mm": 10})},
            ": Loop holds none, its limits leave no room",
        ),
        (
            {
                "standing": [
                    {
                        "name": "Vans",
                        "stretch": [{"piece": "W", "from_mm": 0, "to_mm": 620}],
                    }
                ]
            },
            ": all of Wharf is taken up by what stands there, or shut",
        ),
        (
            {"out_of_use": {"P1": "through"}},
            ": no track in use leads there from Loop",
        ),
        ({"propelling": "forbidden"}, ""),
    ],
)
def test_where_no_train_gets_there_it_is_said_what_shuts_it(
    changed: Json, shut: str
) -> None:
    told = answered(**changed).because[0]
    assert told.code == "no_way"
    assert told.message == f"no train gets there, however short{shut}"


def test_points_out_of_use_lead_one_way() -> None:
    assert answered(out_of_use={"P1": "through"}).longest_train_mm == 0
    assert answered(out_of_use={"P3": "through"}).verdict == "possible"


def test_a_margin_past_the_blades_takes_its_room_from_the_headshunt() -> None:
    answer = answered(plan=plan(H={"length_mm": 500}), margin_mm=25)
    assert answer.longest_train_mm == 30 + 500 - 25


def test_a_train_leaves_by_an_open_end_when_its_tail_has_passed_it() -> None:
    answer = answered(to={"open_end": "E.b"})
    assert answer.verdict == "possible"
    assert answer.reversals == 0
    # It stands against P3's end of the loop: its lead has 20 + 190 to the blades, 30 of
    # the toe and 300 to go, then its own length.
    assert answer.distance_mm == 20 + 190 + 30 + 300 + 540
    assert answer.leading_at_finish == "tail"
    assert answer.runs[-1].to == ()
    led = answered(to={"open_end": "E", "leading": "engine"})
    # No track beyond, and no way to turn: it never leaves with its engine in front.
    assert led.longest_train_mm == 0


def test_the_start_counts_from_where_the_train_stands() -> None:
    against = {
        "place": "Loop",
        "engine_towards": "points P2",
        "stands_against": "points P3",
    }
    answer = answered(**{"from": against})
    best = answered()
    assert answer.distance_from_best_start_mm == best.distance_mm
    # 840 of the loop, 540 of the train.
    assert answer.distance_mm == (best.distance_mm or 0) + 840 - 540


def test_what_nobody_measured_cannot_be_told_and_is_named() -> None:
    unknown = plan()
    del unknown["pieces"]["P1"]["fouling_branch_mm"]
    del unknown["pieces"]["P1"]["fouling_through_mm"]
    answer = answered(plan=unknown)
    assert answer.verdict == "cannot_tell"
    assert answer.runs == ()
    assert [reason.field for reason in answer.because] == ["P1"]


def test_a_plan_with_faults_in_its_track_cannot_be_told() -> None:
    torn = plan()
    torn["joins"].append(["W.a", "E.b"])
    answer = answered(plan=torn)
    assert answer.verdict == "cannot_tell"
    assert {reason.code for reason in answer.because} == {"plan_fault"}


def test_a_measured_place_is_where_its_stretch_lies() -> None:
    stretch = [
        {"piece": "P1", "leg": "branch", "from_mm": 150, "to_mm": 190},
        {"piece": "W", "from_mm": 0, "to_mm": 300},
    ]
    changed = plan()
    changed["places"].append({"name": "Crane", "stretch": stretch})
    answer = answered(plan=changed, to={"place": "Crane", "engine_towards": "first"})
    # 40 on the leg and 300 on the wharf: foul or not, whoever measured it says so.
    assert answer.longest_train_mm == 340


@pytest.mark.parametrize(
    ("changed", "faults"),
    [
        (
            {"from": {"place": "Lop", "engine_towards": "points P2"}},
            {("/from/place", "no_such_road")},
        ),
        (
            {
                "from": {"place": "Loop", "engine_towards": "north"},
                "to": {"place": "Wharf", "engine_towards": "south"},
            },
            {
                ("/from/engine_towards", "no_such_end"),
                ("/to/engine_towards", "no_such_end"),
            },
        ),
        ({"to": {"open_end": "W.b"}}, {("/to/open_end", "no_such_end")}),
        ({"to": {}}, {("/to/place", "one_or_the_other")}),
        (
            {"to": {"place": "Wharf", "leading": "tail"}},
            {("/to/leading", "one_or_the_other")},
        ),
        (
            {"out_of_use": {"P9": "through", "P1": "left"}},
            {("/out_of_use/P9", "unknown_piece"), ("/out_of_use/P1", "unknown_leg")},
        ),
        (
            {
                "standing": [
                    {
                        "name": "Van",
                        "stretch": [{"piece": "W", "from_mm": 0, "to_mm": 900}],
                    }
                ]
            },
            {("/standing/0/stretch/0", "past_the_end")},
        ),
        ({"layout_id": "Wharf"}, {("/layout_id", "one_or_the_other")}),
        ({"revision": 2}, {("/revision", "contradiction")}),
        (
            {"train": {"length_mm": 100, "vehicles": [{"name": "Van"}]}},
            {("/train/vehicles", "one_or_the_other")},
        ),
        (
            {"train": {"length_mm": 100, "engine_length_mm": 120}},
            {("/train/engine_length_mm", "contradiction")},
        ),
    ],
)
def test_what_is_not_there_is_refused_where_it_was_named(
    changed: Json, faults: set[tuple[str, str]]
) -> None:
    assert refused(**changed) == faults
