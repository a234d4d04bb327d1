"""What is answered of an engine that runs round its train, and what is refused."""

import json
from copy import deepcopy
from math import cos, radians, sin
from typing import Any

import pytest

from questions.test_move_question import FULLERS_WHARF, length
from standage.questions.engine_leaves import EngineLeavesRequest
from standage.questions.engine_leaves_answer import EngineLeavesAnswer
from standage.questions.run_round import gather, reckon
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

Json = dict[str, Any]
# Toe 30, through 180, branch 190 from the blades; clear at 215 and 210. By hand: the loop
# holds 190 + 880 + 190 - 2 × 210 = 840; beyond the blades of P3 there are 30 + 300.
LOOP_MM = 840.0
NECK_MM = 330.0


def body(**changed: Any) -> Json:
    """Return a train of 540 mm in the loop with its engine towards P3, changed."""
    asked: Json = {
        "plan": FULLERS_WHARF,
        "place": "Loop",
        "train": {"length_mm": 540},
        "engine": {"length_mm": 128},
        "engine_at": "points P3",
    }
    return {**deepcopy(asked), **changed}


def answered(**changed: Any) -> EngineLeavesAnswer:
    request = convert(body(**changed), EngineLeavesRequest)
    return reckon(gather(Sources(None, ""), request))


def plan(**pieces: Json) -> Json:
    """Return the wharf with figures of some pieces changed."""
    changed: Json = json.loads(json.dumps(FULLERS_WHARF))
    for name, figures in pieces.items():
        changed["pieces"][name] |= figures
    return changed


def advised(answer: EngineLeavesAnswer) -> dict[str, str]:
    """Return the words of every advice by its code."""
    return {one.code: one.message for one in answer.because if one.brings is not None}


def test_an_engine_runs_round_over_the_other_road_of_the_loop() -> None:
    answer = answered()
    assert answer.verdict == "possible"
    assert answer.reversals == 2
    # Clear of P3's blades, over the main to clear of P2's, and back to the train.
    main_mm = 180 + 900 + 180
    back_mm = 190 + 880 + 190 - 210 - 540
    assert [run.distance_mm for run in answer.runs] == [210, main_mm + 128, back_mm]
    assert answer.distance_mm == 210 + main_mm + 128 + back_mm
    assert [run.leading for run in answer.runs] == ["engine", "tail", "engine"]
    # The train stands against P3, its other end as far from P2 as is left.
    assert answer.train_stands_from_first_end_mm == LOOP_MM - 540
    assert [run.spare_mm for run in answer.runs] == [
        NECK_MM - 128,
        # Over P2, past P1 and to the buffers.
        30 + 180 + 30 + 700 - 128,
        None,
    ]
    first, middle, last = (run.message for run in answer.runs)
    assert first == (
        "Run the engine over P3 into running line E until the engine is clear of the"
        " blades of P3: 202 mm to spare."
    )
    assert middle.startswith("Run the engine over P3 and P2 into")
    assert middle.endswith("is clear of the blades of P2: 812 mm to spare.")
    assert last == "Run the engine over P2 until it touches the train's other end."


def test_a_train_that_just_fits_and_an_engine_that_just_fits_get_round() -> None:
    answer = answered()
    assert answer.longest_train_mm == LOOP_MM
    assert answer.longest_engine_mm == NECK_MM
    for train_mm, engine_mm, verdict in (
        (LOOP_MM, NECK_MM, "possible"),
        (LOOP_MM + 0.1, NECK_MM, "impossible"),
        (LOOP_MM, NECK_MM + 0.1, "impossible"),
    ):
        again = answered(train=length(train_mm), engine=length(engine_mm))
        assert again.verdict == verdict


def test_from_the_loop_s_other_end_it_stands_against_that() -> None:
    answer = answered(engine_at="points P2")
    assert answer.verdict == "possible"
    assert answer.train_stands_from_first_end_mm == 0
    assert answer.distance_mm == answered().distance_mm


def test_round_an_oval_it_needs_no_reversal() -> None:
    pieces = {**FULLERS_WHARF["pieces"]}
    joins = [
        join
        for join in FULLERS_WHARF["joins"]
        if not {"B1.a", "H.a", "H.b", "W.a", "W.b", "P1.through"}.intersection(join)
    ]
    for name in ("B1", "H", "P1", "W", "B2"):
        del pieces[name]
    oval = {
        "pieces": pieces,
        "joins": [*joins, ["E.b", "P2.toe"]],
        "places": [{"name": "Loop", "on": ["L"]}],
    }
    answer = answered(plan=oval)
    assert (answer.verdict, answer.reversals) == ("possible", 0)
    # Once round, but for the train and the engine itself.
    round_mm = 190 + 880 + 190 + 30 + 300 + 30
    assert answer.distance_mm == round_mm - 540 - 128


def test_at_buffers_no_engine_gets_round() -> None:
    wharf = {"place": "Wharf", "engine_at": "buffers"}
    answer = answered(**wharf, train=length(200))
    assert answer.verdict == "impossible"
    assert (answer.longest_train_mm, answer.longest_engine_mm) == (0, 0)
    assert [one.code for one in answer.because] == ["no_way"]


def test_with_a_doubt_it_is_tight_where_that_decides() -> None:
    for train_mm, off_mm, verdict in (
        (LOOP_MM - 1, 1.0, "possible"),
        (LOOP_MM - 1, 1.1, "tight"),
        (LOOP_MM + 1, 1.1, "tight"),
        (LOOP_MM + 1, 1.0, "impossible"),
    ):
        train = length(train_mm, length_plus_minus_mm=off_mm)
        assert answered(train=train).verdict == verdict
    engine = length(NECK_MM + 1, length_plus_minus_mm=2)
    answer = answered(engine=engine)
    assert answer.verdict == "tight"
    assert (
        "the engine has 1 mm too much, give or take 2 mm" in answer.because[0].message
    )
    # The plan's own: 1 mm, and 0.33 mm of the engine's 330.
    doubtful = {**plan(), "plus_minus": {"mm": 1, "mm_per_m": 1}}
    assert answered(plan=doubtful, engine=length(NECK_MM - 1.3)).verdict == "tight"
    assert answered(plan=doubtful, engine=length(NECK_MM - 1.33)).verdict == "possible"


def vehicle(name: str, **more: Any) -> Json:
    hook = {"reach_mm": 0, "reach_plus_minus_mm": 0}
    return {
        "name": name,
        "kind": "wagon",
        "length_mm": 100,
        "length_over": "buffers",
        "length_plus_minus_mm": 0.5,
        "front_coupling": hook,
        "rear_coupling": hook,
        **more,
    }


def test_vehicles_bring_their_lengths_and_their_doubt() -> None:
    wagons = {"vehicles": [vehicle("Wagon", count=8)]}
    engine = {"vehicles": [vehicle("Tank engine", kind="engine")]}
    answer = answered(train=wagons, engine=engine)
    assert (answer.train_length_mm, answer.engine_length_mm) == (800, 100)
    # Eight wagons and an engine, half a millimetre each.
    assert answer.plus_minus_mm == 4.5
    assert answer.verdict == "possible"


def test_a_vehicle_of_unknown_length_is_named() -> None:
    engine = {"vehicles": [{"name": "Tank engine", "kind": "engine"}]}
    answer = answered(engine=engine)
    assert answer.verdict == "cannot_tell"
    assert answer.runs == ()
    # How long a train may be hangs on its engine.
    assert answer.longest_train_mm is None
    assert answer.longest_engine_mm == NECK_MM
    assert {one.vehicle for one in answer.because} >= {"Tank engine"}
    van = [vehicle("Wagon", count=9), {"name": "Van", "kind": "wagon"}]
    assert answered(train={"vehicles": van}).verdict == "impossible"


def test_what_the_plan_does_not_tell_is_named() -> None:
    unknown = plan()
    del unknown["pieces"]["P3"]["fouling_branch_mm"]
    del unknown["pieces"]["P3"]["fouling_through_mm"]
    answer = answered(plan=unknown)
    assert answer.verdict == "cannot_tell"
    assert {one.field for one in answer.because} == {"P3"}


def test_a_neck_that_is_too_short_is_named_with_what_it_lacks() -> None:
    answer = answered(engine=length(NECK_MM + 12.5))
    assert answer.verdict == "impossible"
    assert advised(answer) == {
        "shorter_engine": "an engine of at most 330 mm gets round with this train",
        "too_short": (
            "E is 12.5 mm too short for the engine beyond the blades of P3: with so"
            " much more of it the engine gets round"
        ),
    }
    assert answered(engine=length(330)).verdict == "possible"
    for more_mm, verdict in ((12.5, "possible"), (12.4, "impossible")):
        longer = plan(E={"length_mm": 300 + more_mm})
        again = answered(plan=longer, engine=length(NECK_MM + 12.5))
        assert again.verdict == verdict


def test_a_train_that_is_too_long_is_told_by_how_much() -> None:
    answer = answered(train=length(LOOP_MM + 60))
    assert answer.because[0].message == (
        "the train is 60 mm too long to stand clear in Loop, which holds 840 mm"
    )
    assert advised(answer) == {
        "shorter_train": "with a train of at most 840 mm the engine gets round",
        "too_short": (
            "L is 60 mm too short for the train: with so much more of it the engine"
            " gets round"
        ),
    }
    assert answered(train=length(840)).verdict == "possible"
    for more_mm, verdict in ((60, "possible"), (59.9, "impossible")):
        longer = plan(L={"length_mm": 880 + more_mm})
        assert answered(plan=longer, train=length(900)).verdict == verdict


def test_where_both_are_too_long_both_are_told() -> None:
    both = {"train": length(LOOP_MM + 60), "engine": length(NECK_MM + 10)}
    answer = answered(**both)
    assert advised(answer) == {
        "both_shorter": (
            "with a train of at most 840 mm an engine of at most 330 mm gets round"
        )
    }
    again = answered(train=length(840), engine=length(330))
    assert again.verdict == "possible"


@pytest.mark.parametrize(
    ("asked", "code", "instead"),
    [
        (
            {
                "standing": [
                    {
                        "name": "Van",
                        "stretch": [{"piece": "M", "from_mm": 400, "to_mm": 500}],
                    }
                ]
            },
            "stock_in_the_way",
            {"standing": []},
        ),
        ({"out_of_use": {"P2": "branch"}}, "out_of_use", {"out_of_use": {}}),
        (
            {"engine": length(320), "margin_mm": 20},
            "margin",
            {"margin_mm": 0},
        ),
        ({"uncoupling": "at_fittings"}, "uncoupling", {"uncoupling": "anywhere"}),
    ],
)
def test_what_else_was_asked_for_and_is_in_the_way_is_named(
    asked: Json, code: str, instead: Json
) -> None:
    answer = answered(**asked)
    assert answer.verdict == "impossible"
    assert code in advised(answer)
    assert answered(**{**asked, **instead}).verdict == "possible"


def fitted(*at_mm: float, **more: Any) -> Json:
    places = [{"kind": "uncoupling", "piece": "L", "at_mm": one} for one in at_mm]
    return {**plan(), "fittings": places, **more}


def test_the_joint_stands_over_an_uncoupling_place() -> None:
    # From P2's clearing point, 20 mm along L: 600 and 800 from there.
    asked = {"plan": fitted(620, 820), "uncoupling": "at_fittings"}
    answer = answered(**asked)
    assert answer.verdict == "possible"
    # The nearer to P3 the less far the engine stands in, which is as far in all.
    assert answer.train_stands_from_first_end_mm == 800 - 540
    assert answer.distance_mm == answered().distance_mm
    assert answer.longest_train_mm == 800
    for train_mm, verdict in ((800, "possible"), (800.1, "impossible")):
        assert answered(**asked, train=length(train_mm)).verdict == verdict
    near = {"plan": fitted(400), "uncoupling": "at_fittings"}
    assert answered(**near).longest_train_mm == 380


def laid_out(*, edge_mm: float) -> Json:
    """Return a loop that has a place in the plane, on a board so far from its middle."""
    points = {
        "kind": "points",
        "lead_in_mm": 20,
        "radius_mm": 610,
        "angle_deg": 18,
        "through_after_blades_mm": 150,
        "branch_straight_mm": 20,
    }
    back = {"kind": "curve", "radius_mm": 610, "angle_deg": 18}
    long_mm = 900.0
    return {
        "gauge_mm": 16.5,
        "scale": "00",
        "fouling_spacing_mm": 45,
        "pieces": {
            "N": {"kind": "straight", "length_mm": 400},
            "P": {**points, "hand": "left"},
            "C": {**back, "hand": "right"},
            "L": {"kind": "straight", "length_mm": long_mm},
            "D": {**back, "hand": "right"},
            "Q": {**points, "hand": "right"},
            "M": {"kind": "flexible", "fitted": True},
            "O": {"kind": "straight", "length_mm": 400},
        },
        "joins": [
            ["N.b", "P.toe"],
            ["P.branch", "C.a"],
            ["C.b", "L.a"],
            ["L.b", "D.a"],
            ["D.b", "Q.branch"],
            ["Q.toe", "O.a"],
            ["P.through", "M.a"],
            ["M.b", "Q.through"],
        ],
        "fittings": [{"kind": "uncoupling", "piece": "L", "at_mm": 800}],
        "board": {
            "outline": [
                [-3000, -edge_mm],
                [5000, -edge_mm],
                [5000, edge_mm],
                [-3000, edge_mm],
            ]
        },
    }


def test_an_uncoupling_place_that_no_arm_reaches_is_said() -> None:
    asked: Json = {
        "place": "loop C",
        "engine_at": "points Q",
        "train": length(300),
        "uncoupling": "at_fittings",
    }
    # Two curves of 18° and 20 mm between them lead that far off the middle.
    off_mm = 2 * 610 * (1 - cos(radians(18))) + 20 * sin(radians(18))
    near = answered(plan=laid_out(edge_mm=off_mm + 599.9), **asked)
    assert near.verdict == "possible"
    assert [one for one in near.assumed if one.field == "uncoupling"] == []
    far = answered(plan=laid_out(edge_mm=off_mm + 600.2), **asked)
    [said] = [one for one in far.assumed if one.field == "uncoupling"]
    assert said.message == (
        "the uncoupling place on L is 600.2 mm from the board's edge: an arm reaches"
        " 600 mm"
    )


def test_a_joint_made_on_a_curve_is_warned_of() -> None:
    curve = {"kind": "curve", "radius_mm": 480, "angle_deg": 105, "hand": "left"}
    curved = plan()
    curved["pieces"]["L"] = curve
    asked: Json = {
        "plan": curved,
        "train": {"vehicles": [vehicle("Wagon", count=3)]},
        "engine": {"vehicles": [vehicle("Tank engine", kind="engine")]},
    }
    codes = [one.code for one in answered(**asked).because]
    assert "joint_on_a_curve" in codes
    # Five times its length, and no more to be said.
    gentle = plan(
        L={"kind": "curve", "radius_mm": 500, "angle_deg": 105, "hand": "left"}
    )
    del gentle["pieces"]["L"]["length_mm"]
    codes = [one.code for one in answered(**{**asked, "plan": gentle}).because]
    assert "joint_on_a_curve" not in codes
    assert "joint_on_a_curve" not in [one.code for one in answered(plan=curved).because]


@pytest.mark.parametrize(
    ("changed", "faults"),
    [
        ({"place": "Lop"}, {("/place", "no_such_road")}),
        ({"engine_at": "north"}, {("/engine_at", "no_such_end")}),
        (
            {"train": {"length_mm": 500, "engine_length_mm": 100}},
            {("/train/engine_length_mm", "contradiction")},
        ),
        ({"layout_id": "Wharf"}, {("/layout_id", "one_or_the_other")}),
        ({"out_of_use": {"P9": "through"}}, {("/out_of_use/P9", "unknown_piece")}),
    ],
)
def test_what_is_not_there_is_refused_where_it_was_named(
    changed: Json, faults: set[tuple[str, str]]
) -> None:
    with pytest.raises(Faulty) as refusal:
        answered(**changed)
    found = {(fault.pointer, fault.code) for fault in refusal.value.faults}
    assert found == faults
