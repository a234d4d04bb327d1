"""What is answered of two trains that meet on a plan, and what is refused."""

from copy import deepcopy
from typing import Any

import pytest

from standage.questions.meet import EXAMPLE, MeetRequest, gather, reckon
from standage.questions.meet_answer import MeetAnswer
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

Json = dict[str, Any]
BODY: Json = {**EXAMPLE}
# Toe 30, through 180, branch 190 from the blades; clear at 215 and 210. By hand: M holds
# 900 + 2 × 180 - 2 × 215, L 880 + 2 × 190 - 2 × 210; from P1's blades to P2's it is
# 1260 either way.
ROOM_ON_M = 830.0
ROOM_ON_L = 840.0
LOOP_MM = 1260.0
POINTS: Json = BODY["plan"]["pieces"]["P1"]


def train(length_mm: float, **more: Any) -> Json:
    return {"length_mm": length_mm, **more}


def trains(first: Json, second: Json) -> list[Json]:
    """Return both trains of the example, from west to east and from east to west."""
    asked: list[Json] = deepcopy(BODY["trains"])
    asked[0]["train"], asked[1]["train"] = first, second
    return asked


def answered(**changed: Any) -> MeetAnswer:
    body = {**deepcopy(BODY), **changed}
    return reckon(gather(Sources(None, ""), convert(body, MeetRequest)))


def asked_of(first: Json, second: Json, **changed: Any) -> MeetAnswer:
    return answered(trains=trains(first, second), **changed)


def codes(answer: MeetAnswer) -> list[str]:
    return [reason.code for reason in answer.because]


def test_one_train_waits_in_the_loop_while_the_other_goes_by() -> None:
    answer = answered()
    assert (answer.verdict, answer.reversals) == ("possible", 0)
    # Each from up against the loop's blades, over it and its own length.
    assert answer.distance_mm == (LOOP_MM + 820) + (LOOP_MM + 1150)
    assert [run.train for run in answer.runs] == ["first", "second", "first"]
    assert [run.leading for run in answer.runs] == ["engine"] * 3
    messages = [run.message for run in answer.runs]
    # 215 to be clear of P1, and its own length.
    assert messages[0] == (
        "First train: draw forward 1035 mm over P1 into loop M and wait there: 10 mm to"
        " spare."
    )
    assert messages[1] == (
        "Second train: draw forward over P2 and P1 into West until the whole train is"
        " in: 180 mm to spare."
    )
    assert messages[2] == (
        "First train: draw forward over P2 into East until the whole train is in: 610 mm"
        " to spare."
    )
    # In the loop, as far as where it would be foul of the other.
    assert answer.runs[0].spare_mm == ROOM_ON_M - 820
    assert answer.runs[1].spare_mm == 1330 - 1150


def test_the_shorter_train_fits_between_the_fouling_points_or_neither_gets_by() -> None:
    assert asked_of(train(ROOM_ON_L), train(1150)).verdict == "possible"
    none = asked_of(train(ROOM_ON_L + 0.1), train(1150))
    assert none.verdict == "impossible"
    assert (none.reversals, none.distance_mm, none.runs) == (None, None, ())
    assert codes(none) == ["no_passing"]
    # It makes no odds which of them is the shorter.
    assert asked_of(train(1150), train(ROOM_ON_L)).verdict == "possible"
    assert asked_of(train(1150), train(ROOM_ON_L + 0.1)).verdict == "impossible"


def test_a_train_that_does_not_get_there_alone_is_named() -> None:
    answer = asked_of(train(500), train(600), out_of_use={"P2": "none"})
    assert answer.verdict == "impossible"
    assert codes(answer) == ["not_alone", "not_alone"]
    assert [reason.field for reason in answer.because] == ["trains/0", "trains/1"]


def test_by_a_siding_the_one_goes_in_and_comes_out_again() -> None:
    plan = {
        "pieces": {
            "BW": {"kind": "buffer_stop"},
            "W": {"kind": "track", "length_mm": 3000},
            "P1": POINTS,
            "E": {"kind": "track", "length_mm": 2000},
            "BE": {"kind": "buffer_stop"},
            "S": {"kind": "track", "length_mm": 600},
            "BS": {"kind": "buffer_stop"},
        },
        "joins": [
            ["BW.a", "W.a"],
            ["W.b", "P1.toe"],
            ["P1.through", "E.a"],
            ["E.b", "BE.a"],
            ["P1.branch", "S.a"],
            ["S.b", "BS.a"],
        ],
        "places": [
            {"name": "West", "on": ["W"], "ends": ["stop", "loop"]},
            {"name": "East", "on": ["E"], "ends": ["loop", "stop"]},
        ],
    }
    answer = asked_of(train(400), train(500), plan=plan)
    assert (answer.verdict, answer.reversals) == ("possible", 2)
    # The first in, back behind the blades, and on into East past P1's fouling point;
    # the second from there past the blades, and by the first one's length more.
    first_mm = (210 + 400) + (210 + 400) + (215 + 400)
    assert answer.distance_mm == first_mm + (215 + 500) + 400
    assert [run.train for run in answer.runs] == ["first", "second", "first", "first"]
    # The other way about, by the second in the siding, costs as many reversals.
    short = asked_of(train(900), train(500), plan=plan)
    assert (short.verdict, short.reversals) == ("possible", 2)
    assert [run.train for run in short.runs if run.leading == "tail"] == ["second"]


def test_only_with_a_doubt_is_it_too_close_to_call() -> None:
    near = train(ROOM_ON_L - 1, length_plus_minus_mm=1.5)
    assert asked_of(near, train(1150)).verdict == "tight"
    over = train(ROOM_ON_L + 1, length_plus_minus_mm=1.5)
    tight = asked_of(over, train(1150))
    assert tight.verdict == "tight"
    assert codes(tight) == ["tight"]
    just = train(ROOM_ON_L - 1, length_plus_minus_mm=1.0)
    assert asked_of(just, train(1150)).verdict == "possible"
    doubtful = {**BODY["plan"], "plus_minus": {"mm": 1, "mm_per_m": 0}}
    assert (
        asked_of(train(ROOM_ON_L - 0.9), train(1150), plan=doubtful).verdict == "tight"
    )
    assert (
        asked_of(train(ROOM_ON_L - 1), train(1150), plan=doubtful).verdict == "possible"
    )


def test_of_vehicles_of_which_something_is_missing_it_is_named() -> None:
    hook = {"reach_mm": 0, "reach_plus_minus_mm": 0}
    van: Json = {
        "name": "Van",
        "kind": "wagon",
        "length_mm": 200,
        "length_over": "buffers",
        "length_plus_minus_mm": 0,
        "front_coupling": hook,
        "rear_coupling": hook,
    }
    unknown = {"name": "Brake", "kind": "wagon"}
    answer = asked_of({"vehicles": [van, unknown]}, train(1150))
    assert answer.verdict == "cannot_tell"
    assert answer.runs == ()
    assert {reason.vehicle for reason in answer.because} >= {"Brake"}
    # What is known of it is too long already.
    long = {"vehicles": [{**van, "count": 5}, unknown]}
    assert asked_of(long, train(1150)).verdict == "impossible"


def test_what_nobody_measured_cannot_be_told_and_is_named_once() -> None:
    plan = deepcopy(BODY["plan"])
    lengths = {
        name: POINTS[name] for name in ("kind", "toe_mm", "through_mm", "branch_mm")
    }
    plan["pieces"]["P1"] = lengths
    answer = answered(plan=plan)
    assert answer.verdict == "cannot_tell"
    assert [reason.field for reason in answer.because] == ["P1"]


def test_stock_that_stands_in_the_loop_takes_its_length() -> None:
    stock = [{"piece": "M", "from_mm": 0, "to_mm": 100}]
    beside = [{"piece": "L", "from_mm": 800, "to_mm": 880}]
    van = {"name": "Van", "stretch": stock}
    assert answered(standing=[van]).verdict == "impossible"
    other = {"name": "Other van", "stretch": beside}
    assert answered(standing=[van, other]).verdict == "impossible"


def test_a_train_that_leaves_the_plan_is_out_of_the_others_way() -> None:
    plan: Json = deepcopy(BODY["plan"])
    del plan["pieces"]["BE"]
    plan["joins"].remove(["E.b", "BE.a"])
    asked = trains(train(820), train(1150))
    asked[0]["to"] = {"open_end": "E"}
    answer = answered(plan=plan, trains=asked)
    assert answer.verdict == "possible"
    # 1260 of the loop, 30 of P2's toe and 1400 of E, and its own length; the second as
    # ever.
    assert answer.distance_mm == (LOOP_MM + 30 + 1400 + 820) + (LOOP_MM + 1150)
    assert answer.runs[-1].to == ()


def test_on_a_plan_laid_the_other_way_round_every_figure_is_the_same() -> None:
    plan: Json = deepcopy(BODY["plan"])
    turned = {"M.a": "M.b", "M.b": "M.a", "L.a": "L.b", "L.b": "L.a"}
    plan["joins"] = [[turned.get(end, end) for end in join] for join in plan["joins"]]
    swapped = answered(plan=plan)
    as_laid = answered()
    assert swapped.distance_mm == as_laid.distance_mm
    assert [run.message for run in swapped.runs] == [
        run.message for run in as_laid.runs
    ]


@pytest.mark.parametrize(
    ("which", "changed", "faults"),
    [
        (
            0,
            {"from": {"place": "Wst", "engine_towards": "loop"}},
            {("from/place", "no_such_road")},
        ),
        (1, {"to": {"place": "Wharf"}}, {("to/place", "no_such_road")}),
        (
            1,
            {
                "from": {"place": "East", "engine_towards": "north"},
                "to": {"place": "West", "engine_towards": "south"},
            },
            {
                ("from/engine_towards", "no_such_end"),
                ("to/engine_towards", "no_such_end"),
            },
        ),
        (0, {"to": {"open_end": "W.b"}}, {("to/open_end", "no_such_end")}),
        (1, {"to": {}}, {("to/place", "one_or_the_other")}),
    ],
)
def test_what_is_not_there_is_refused_where_it_was_named(
    which: int, changed: Json, faults: set[tuple[str, str]]
) -> None:
    asked = trains(train(500), train(500))
    asked[which] |= changed
    with pytest.raises(Faulty) as refusal:
        answered(trains=asked)
    found = {(fault.pointer, fault.code) for fault in refusal.value.faults}
    assert found == {(f"/trains/{which}/{at}", code) for at, code in faults}


def test_there_are_two_trains_no_more_and_no_fewer() -> None:
    one = trains(train(500), train(500))[0]
    for asked in ([one], [one, one, one]):
        with pytest.raises(Faulty) as refusal:
            answered(trains=asked)
        assert {fault.pointer for fault in refusal.value.faults} == {"/trains"}
