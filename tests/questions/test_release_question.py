"""What is answered of an engine at the stop of a dead end that leaves by a crossover."""

import json
from copy import deepcopy
from typing import Any

import pytest

from questions.test_move_question import POINTS, length
from standage.questions.engine_leaves import EngineLeavesRequest
from standage.questions.engine_leaves_answer import EngineLeavesAnswer
from standage.questions.release import gather, reckon
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

Json = dict[str, Any]
TERMINUS: Json = {
    "pieces": {
        "E": {"kind": "track", "length_mm": 600},
        "T": POINTS,
        "A": {"kind": "track", "length_mm": 800},
        "R": POINTS,
        "N": {"kind": "track", "length_mm": 150},
        "Z": {"kind": "buffer_stop"},
        "B": {"kind": "track", "length_mm": 700},
        "R2": POINTS,
        "S": {"kind": "track", "length_mm": 100},
        "Y": {"kind": "buffer_stop"},
    },
    "joins": [
        ["E.b", "T.toe"],
        ["T.through", "A.a"],
        ["A.b", "R.through"],
        ["R.toe", "N.a"],
        ["N.b", "Z.a"],
        ["T.branch", "B.a"],
        ["B.b", "R2.toe"],
        ["R2.branch", "R.branch"],
        ["R2.through", "S.a"],
        ["S.b", "Y.a"],
    ],
    "places": [
        {"name": "Platform", "on": ["A"]},
        {"name": "Middle road", "on": ["B"]},
        {"name": "Neck", "on": ["N"]},
    ],
}
"""Measured with a tape, and invented."""
# Toe 30, through 180, branch 190 from the blades; clear at 215 and 210. By hand: the
# platform holds 180 + 800 + 180 - 2 × 215, the middle road 190 + 700 + 30 - 210, and
# beyond the blades of R there are 30 + 150.
PLATFORM_MM = 730.0
MIDDLE_MM = 710.0
NECK_MM = 180.0


def plan(**pieces: Json) -> Json:
    """Return the terminus with figures of some pieces changed."""
    changed: Json = json.loads(json.dumps(TERMINUS))
    for name, figures in pieces.items():
        changed["pieces"][name] |= figures
    return changed


def answered(**changed: Any) -> EngineLeavesAnswer:
    asked: Json = {
        "plan": TERMINUS,
        "place": "Platform",
        "train": {"length_mm": 540},
        "engine": {"length_mm": 128},
        "engine_at": "points R",
    }
    request = convert({**deepcopy(asked), **changed}, EngineLeavesRequest)
    return reckon(gather(Sources(None, ""), request))


def advised(answer: EngineLeavesAnswer) -> dict[str, str]:
    """Return the words of every advice by its code."""
    return {one.code: one.message for one in answer.because if one.brings is not None}


def test_an_engine_leaves_by_the_crossover_once_it_is_clear_of_the_blades() -> None:
    answer = answered()
    assert (answer.verdict, answer.reversals) == ("possible", 1)
    # From where the platform's train is clear of R to past its blades; then over the
    # crossover and past the blades of R2.
    assert [run.distance_mm for run in answer.runs] == [215, 190 + 190 + 128]
    assert answer.distance_mm == 215 + 190 + 190 + 128
    # The nearer to R it stands, the shorter the way.
    assert answer.train_stands_from_first_end_mm == PLATFORM_MM - 540
    assert [run.spare_mm for run in answer.runs] == [NECK_MM - 128, MIDDLE_MM - 128]
    out, away = (run.message for run in answer.runs)
    assert out == (
        "Run the engine over R into Neck until the engine is clear of the blades of R:"
        " 52 mm to spare."
    )
    assert away == (
        "Run the engine over R and R2 into Middle road until the whole engine is in:"
        " 582 mm to spare."
    )


def test_what_just_fits_gets_away_and_a_tenth_more_does_not() -> None:
    answer = answered()
    assert answer.longest_train_mm == PLATFORM_MM
    assert answer.longest_engine_mm == NECK_MM
    for train_mm, engine_mm, verdict in (
        (PLATFORM_MM, NECK_MM, "possible"),
        (PLATFORM_MM + 0.1, NECK_MM, "impossible"),
        (PLATFORM_MM, NECK_MM + 0.1, "impossible"),
    ):
        again = answered(train=length(train_mm), engine=length(engine_mm))
        assert again.verdict == verdict


def test_a_neck_is_no_road_to_get_away_to_however_long() -> None:
    long = plan(N={"length_mm": 2000})
    answer = answered(plan=long)
    assert answer.reversals == 1
    # Nor are two roads beyond it.
    assert answered(plan=forked()).distance_mm == answered().distance_mm
    # Without the crossover it is shut in, whatever the neck.
    shut = answered(plan=long, out_of_use={"R": "through"})
    assert shut.verdict == "impossible"
    assert set(advised(shut)) == {"out_of_use"}


def forked() -> Json:
    """Return the terminus with two roads beyond the neck, over points F."""
    changed = plan()
    changed["pieces"]["F"] = POINTS
    changed["pieces"]["G"] = {"kind": "track", "length_mm": 900}
    changed["pieces"]["H"] = {"kind": "track", "length_mm": 900}
    changed["joins"] = [
        *(join for join in changed["joins"] if join != ["N.b", "Z.a"]),
        ["N.b", "F.toe"],
        ["F.through", "G.a"],
        ["F.branch", "H.a"],
        ["H.b", "Z.a"],
    ]
    return changed


def test_points_in_the_neck_are_not_said_to_help_where_they_do_not() -> None:
    # In use again they lead to H, which lies behind the train as G does.
    shut = {"R": "through", "F": "through"}
    answer = answered(plan=forked(), out_of_use=shut)
    assert answer.verdict == "impossible"
    told = [one.place for one in answer.because if one.code == "out_of_use"]
    assert told == ["R"]
    for points, verdict in (("R", "possible"), ("F", "impossible")):
        left = {name: leg for name, leg in shut.items() if name != points}
        assert answered(plan=forked(), out_of_use=left).verdict == verdict


def doubtful(**pieces: Json) -> Json:
    """Return the terminus with lengths that may be off by 2 mm, and 1 mm for each m."""
    return {**plan(**pieces), "plus_minus": {"mm": 2, "mm_per_m": 1}}


def test_what_is_too_short_is_told_with_what_the_longer_room_may_be_off() -> None:
    # 180 + 60 + 180 are less than 2 × 215: no train stands there. The room r for one of
    # 540 mm may be off by 2 mm + r ÷ 1000, so r is 542.6 to a tenth.
    answer = answered(plan=doubtful(A={"length_mm": 60}))
    assert answer.verdict == "impossible"
    [told] = [one for one in answer.because if one.code == "too_short"]
    enough_mm = 542.6 - (180 + 60 + 180 - 2 * 215)
    assert told.place == "A"
    assert told.amount_mm == pytest.approx(enough_mm)
    for more_mm, verdict in ((enough_mm, "possible"), (enough_mm - 0.1, "tight")):
        longer = doubtful(A={"length_mm": 60 + more_mm})
        assert answered(plan=longer).verdict == verdict


def test_where_both_are_shorter_neither_is_too_close_to_call() -> None:
    # The platform may be off by 2.73 mm, the neck by 2.18 mm.
    train, engine = length(PLATFORM_MM + 20), length(NECK_MM + 20)
    answer = answered(plan=doubtful(), train=train, engine=engine)
    assert advised(answer) == {
        "both_shorter": (
            "with a train of at most 727.2 mm an engine of at most 177.8 mm gets away"
        )
    }
    for train_mm, engine_mm, verdict in (
        (727.2, 177.8, "possible"),
        (727.3, 177.8, "tight"),
        (727.2, 177.9, "tight"),
    ):
        train, engine = length(train_mm), length(engine_mm)
        again = answered(plan=doubtful(), train=train, engine=engine)
        assert again.verdict == verdict


def test_a_line_that_comes_back_is_no_neck() -> None:
    looped = plan(N={"length_mm": 100})
    looped["pieces"]["F"] = POINTS
    looped["pieces"]["G"] = {"kind": "track", "length_mm": 1500}
    looped["joins"] = [
        *(join for join in looped["joins"] if join != ["N.b", "Z.a"]),
        ["N.b", "F.toe"],
        ["F.through", "G.a"],
        ["G.b", "F.branch"],
    ]
    # On the loop it is in nobody's way, and from there it goes on without turning back.
    answer = answered(plan=looped)
    assert (answer.verdict, answer.reversals) == ("possible", 0)
    assert " into balloon G until" in answer.runs[-1].message


@pytest.mark.parametrize(
    ("name", "short", "words"),
    [
        ("N", {"N": 90}, "N is 8 mm too short for the engine beyond the blades of R:"),
        # 190 + 70 + 30 - 210 are left of the middle road, 30 + 50 beyond the throat.
        (
            "B",
            {"B": 70, "E": 50},
            "B is 48 mm too short for the engine beyond the blades of R2:",
        ),
        # 180 + 600 + 180 - 2 × 215 are left of the platform.
        ("A", {"A": 600}, "A is 10 mm too short for the train:"),
    ],
)
def test_of_train_neck_and_other_road_that_is_named_which_is_too_short(
    name: str, short: dict[str, float], words: str
) -> None:
    pieces: Json = {one: {"length_mm": mm} for one, mm in short.items()}
    answer = answered(plan=plan(**pieces))
    assert answer.verdict == "impossible"
    [told] = [
        one for one in answer.because if one.code == "too_short" and one.place == name
    ]
    assert told.message == f"{words} with so much more of it the engine gets away"
    by_mm = told.amount_mm or 0.0
    for more_mm, verdict in ((by_mm, "possible"), (by_mm - 0.1, "impossible")):
        longer = pieces | {name: {"length_mm": short[name] + more_mm}}
        assert answered(plan=plan(**longer)).verdict == verdict


def test_beyond_the_throat_an_engine_is_away_too() -> None:
    short = plan(B={"length_mm": 70})
    answer = answered(plan=short)
    assert (answer.verdict, answer.reversals) == ("possible", 1)
    assert " into running line E until" in answer.runs[-1].message


def test_a_shorter_train_or_engine_is_told_and_does() -> None:
    long = answered(train=length(PLATFORM_MM + 20))
    assert long.because[0].message == (
        "the train is 20 mm too long to stand clear in Platform, which holds 730 mm"
    )
    assert advised(long)["shorter_train"] == (
        "with a train of at most 730 mm the engine gets away"
    )
    assert answered(train=length(730)).verdict == "possible"
    big = answered(engine=length(NECK_MM + 20))
    assert advised(big)["shorter_engine"] == (
        "an engine of at most 180 mm gets away with this train"
    )
    assert answered(engine=length(180)).verdict == "possible"
    both = answered(train=length(PLATFORM_MM + 20), engine=length(NECK_MM + 20))
    assert advised(both) == {
        "both_shorter": (
            "with a train of at most 730 mm an engine of at most 180 mm gets away"
        )
    }


def test_stock_on_the_other_road_leaves_what_is_left_of_it() -> None:
    van = [{"piece": "B", "from_mm": 560, "to_mm": 700}]
    answer = answered(standing=[{"name": "Van", "stretch": van}])
    # It stands 30 from the blades of R2: no engine gets by, nor goes on to the stub.
    assert answer.verdict == "impossible"
    assert "stock_in_the_way" in advised(answer)
    assert answered(standing=[]).verdict == "possible"
    back = [{"piece": "B", "from_mm": 0, "to_mm": 560}]
    left = answered(standing=[{"name": "Van", "stretch": back}])
    # 140 and the toe's 30.
    assert left.longest_engine_mm == 170


def test_the_joint_stands_over_an_uncoupling_place() -> None:
    fitted = {
        **plan(),
        "fittings": [{"kind": "uncoupling", "piece": "A", "at_mm": 700}],
    }
    answer = answered(plan=fitted, uncoupling="at_fittings")
    # 65 short of where the train is clear of R: that much farther to go.
    assert answer.distance_mm == (answered().distance_mm or 0) + 65
    assert answer.longest_train_mm == PLATFORM_MM - 65


def test_an_end_that_the_place_has_not_is_refused() -> None:
    with pytest.raises(Faulty) as refusal:
        answered(engine_at="buffers")
    assert [fault.pointer for fault in refusal.value.faults] == ["/engine_at"]
