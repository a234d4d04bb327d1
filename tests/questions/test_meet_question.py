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


def test_a_train_waits_with_its_rear_past_the_blades_by_the_margin() -> None:
    # 300 past P1's blades, and short of where it is foul at P2: of 1260 on L.
    room_mm = LOOP_MM - 300 - 210
    more = {"margin_mm": 300, "plan": west(1500)}
    assert asked_of(train(room_mm), train(1100), **more).verdict == "possible"
    assert asked_of(train(room_mm + 0.1), train(1100), **more).verdict == "impossible"


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


def west(length_mm: float) -> Json:
    """Return the example's plan with so much track in the west."""
    plan: Json = deepcopy(BODY["plan"])
    plan["pieces"]["W"]["length_mm"] = length_mm
    return plan


def test_where_neither_gets_by_whole_one_of_them_is_divided() -> None:
    answer = asked_of(train(1000), train(1150))
    assert answer.verdict == "impossible"
    sawn = answer.saw_by
    assert sawn is not None
    assert (sawn.kept_whole, sawn.divided) == ("second", "first")
    # 840 of it stand on L; the 160 with the engine beside the whole second train, beyond
    # P1 or P2. There are 1330 and 1430 from the blades.
    assert list(sawn.parts_mm) == [1000 - ROOM_ON_L, ROOM_ON_L]
    assert list(sawn.room_needed_mm) == [1150, 1150 + 160]
    assert list(sawn.room_mm) == [30 + 1300, 30 + 1400]
    assert sawn.possible
    assert sawn.message == (
        "it works by dividing the first train once, with 1150 mm beyond P1 and 1310 mm"
        " beyond P2; there are 1330 mm and 1430 mm"
    )
    assert sawn.steps[0] == (
        "Leave the rest of the first train, 840 mm, at the far end beyond P1; its part"
        " with the engine, 160 mm, draws into loop M."
    )
    assert {told.field for told in answer.assumed} >= {"saw_by"}


ONE_PIECE = train(1150, engine_length_mm=1150)
"""All of it is an engine, so that the other train is divided."""


def test_the_engine_stays_whole_in_its_part() -> None:
    sawn = asked_of(train(1000, engine_length_mm=250), ONE_PIECE).saw_by
    assert sawn is not None
    assert list(sawn.parts_mm) == [250, 750]
    assert list(sawn.room_needed_mm) == [1150, 1150 + 250]


def test_an_engine_of_which_nobody_knows_the_length_is_taken_for_granted() -> None:
    # The part with the engine is what the loop leaves over: 160 mm.
    answer = asked_of(train(1000), ONE_PIECE)
    [told] = [one for one in answer.assumed if one.field.endswith("engine_length_mm")]
    assert told.field == "trains/0/train/engine_length_mm"
    assert told.message == (
        "nobody said how long the first train's engine is: it is taken to be no longer"
        " than the part it stays with, 160 mm"
    )
    assert told.value_mm == 1000 - ROOM_ON_L
    known = asked_of(train(1000, engine_length_mm=250), ONE_PIECE)
    assert all("engine" not in one.field for one in known.assumed)


def test_the_room_that_a_saw_by_needs_is_just_enough() -> None:
    for there_mm, is_enough in ((1400, True), (1399.9, False)):
        plan = west(1300)
        plan["pieces"]["E"]["length_mm"] = there_mm - 30
        asked = (train(1000, engine_length_mm=250), ONE_PIECE)
        sawn = asked_of(*asked, plan=plan).saw_by
        assert sawn is not None
        assert list(sawn.room_needed_mm) == [1150, 1400]
        assert sawn.possible == is_enough
        begins = "it works" if is_enough else "it would work"
        assert sawn.message.startswith(begins)


def test_beyond_the_blades_the_margin_counts_too() -> None:
    sawn = asked_of(train(1000), train(1150), margin_mm=20).saw_by
    assert sawn is not None
    assert list(sawn.room_needed_mm) == [1150, 1150 + 160 + 20]


def test_where_they_get_by_whole_or_not_even_alone_nobody_is_divided() -> None:
    assert answered().saw_by is None
    assert asked_of(train(1000), train(1350)).saw_by is None
    # Longer than both roads of the loop together.
    both = west(3000)
    both["pieces"]["E"]["length_mm"] = 3000
    assert asked_of(train(1671), train(1671), plan=both).verdict == "impossible"
    assert asked_of(train(1671), train(1671), plan=both).saw_by is None
    assert asked_of(train(1670), train(1671), plan=both).saw_by is not None


def test_that_parts_are_pushed_is_said_where_that_is_barred() -> None:
    stretch = [{"piece": "E", "from_mm": 0, "to_mm": 10}]
    barred = [{"name": "Crossing", "stretch": stretch}]
    answer = asked_of(train(1000), train(1150), no_propelling=barred)
    assert answer.saw_by is not None
    assert {told.field for told in answer.assumed} >= {"saw_by", "no_propelling"}


def test_a_loop_in_which_something_stands_serves_no_saw_by() -> None:
    stock = {"name": "Van", "stretch": [{"piece": "M", "from_mm": 400, "to_mm": 500}]}
    answer = asked_of(train(1000), train(1150), standing=[stock])
    assert answer.verdict == "impossible"
    assert answer.saw_by is None


def test_every_step_of_a_saw_by_is_short_even_where_names_are_long() -> None:
    plan: Json = deepcopy(BODY["plan"])
    long = {"P1": "Points of the western loop and yard", "P2": "Points to the far quay"}
    pieces = {long.get(name, name): one for name, one in plan["pieces"].items()}
    joins = []
    for join in plan["joins"]:
        parted = [end.rpartition(".") for end in join]
        joins.append([f"{long.get(name, name)}.{end}" for name, _, end in parted])
    plan |= {"pieces": pieces, "joins": joins}
    for ends in (
        ("loop", "loop"),
        ("stop", "loop"),
        ("loop", "stop"),
        ("stop", "stop"),
    ):
        asked = trains(train(1000), train(1150))
        for one, end in zip(asked, ends, strict=True):
            one["from"]["engine_towards"] = end
        for first, second in ((1000, 1150), (1150, 1000)):
            asked[0]["train"], asked[1]["train"] = train(first), train(second)
            sawn = answered(plan=plan, trains=asked).saw_by
            assert sawn is not None
            for words in (sawn.message, *sawn.steps):
                assert len(words) <= 200
