"""What is advised where a train does not get there: each advice is asked again and
turns the verdict, and one step less does not.
"""

from typing import Any

import pytest

from questions.test_move_question import WHARF_MM, answered, length, plan
from standage.questions.move_answer import MoveAnswer

Json = dict[str, Any]


OF_THE_TRAIN = {"in_parts", "shorter_engine", "leave_off"}
MORE_TRACK = {"extension", "no_track_beyond"}


def advised(answer: MoveAnswer, *, but: set[str] = OF_THE_TRAIN) -> dict[str, str]:
    """Return the words of every advice by its code, some sorts left out."""
    return {one.code: one.message for one in answer.alternatives if one.code not in but}


def test_a_piece_that_is_longer_by_what_is_said_lets_the_train_through() -> None:
    short = plan(H={"length_mm": 400.3, "state": "laid"})
    answer = answered(plan=short, cures=True)
    assert answer.verdict == "impossible"
    # 540 of the train, 30 of the toe's own track.
    [cure] = answer.cures
    assert (cure.piece, cure.lengthen_mm, cure.state) == ("H", 110, "laid")
    for by_mm, verdict in ((110, "possible"), (109, "impossible")):
        again = plan(H={"length_mm": 400.3 + by_mm})
        assert answered(plan=again).verdict == verdict


def test_of_a_road_in_pieces_each_alone_is_a_cure_planned_ones_first() -> None:
    parted = plan(W={"length_mm": 300, "state": "laid"})
    parted["pieces"]["W2"] = {"kind": "track", "length_mm": 320}
    parted["joins"] = [
        ["W.b", "W2.a"] if join == ["W.b", "B2.a"] else join for join in parted["joins"]
    ]
    parted["joins"].append(["W2.b", "B2.a"])
    answer = answered(plan=parted, train=length(WHARF_MM + 12.5), cures=True)
    told = [(one.piece, one.lengthen_mm) for one in answer.cures]
    assert told == [("W2", 13), ("W", 13)]


def test_without_asking_for_them_no_cures_are_sought() -> None:
    assert answered(plan=plan(H={"length_mm": 400})).cures == ()


def test_stock_in_the_way_is_named() -> None:
    last = [{"piece": "W", "from_mm": 520, "to_mm": 620}]
    foul = [{"piece": "W", "from_mm": 30, "to_mm": 60}]
    standing = [{"name": "Coal wagon", "stretch": last}]
    alone = answered(standing=standing)
    assert advised(alone) == {
        "stock_in_the_way": (
            "Coal wagon is in the way: without it the train gets there"
        )
    }
    assert answered(standing=[]).verdict == "possible"
    # Of two that are both in the way neither alone would help.
    two = [*standing, {"name": "Van", "stretch": foul}]
    assert advised(answered(standing=two)) == {}


def test_points_that_would_have_to_be_thrown_are_named() -> None:
    answer = answered(out_of_use={"P1": "through", "P3": "branch"})
    assert advised(answer) == {
        "out_of_use": "with P1 in use again the train gets there"
    }
    assert answered(out_of_use={"P3": "branch"}).verdict == "possible"


@pytest.mark.parametrize(
    ("asked", "code", "instead"),
    [
        ({"propelling": "forbidden"}, "propelling", {"propelling": "allowed"}),
        (
            {"plan": plan(H={"length_mm": 520}), "margin_mm": 20},
            "margin",
            {"margin_mm": 0},
        ),
        (
            {"to": {"place": "Wharf", "engine_towards": "buffers"}},
            "other_end",
            {"to": {"place": "Wharf", "engine_towards": "points P1"}},
        ),
        (
            {"to": {"open_end": "E.b", "leading": "engine"}},
            "other_end",
            {"to": {"open_end": "E.b", "leading": "tail"}},
        ),
    ],
)
def test_what_else_was_asked_for_and_bars_the_move_is_named(
    asked: Json, code: str, instead: Json
) -> None:
    answer = answered(**asked)
    assert answer.verdict == "impossible"
    assert set(advised(answer, but=OF_THE_TRAIN | MORE_TRACK)) == {code}
    assert answered(**{**asked, **instead}).verdict == "possible"


def test_track_beyond_the_plan_is_told_where_only_that_is_missing() -> None:
    # From the main to the loop over P3: 30 of the toe's own track and 300 of E.
    asked: Json = {
        "plan": plan(H={"length_mm": 100}),
        "from": {"place": "running line M", "engine_towards": "first"},
        "to": {"place": "Loop"},
    }
    main = {"name": "Main", "on": ["M"], "ends": ["west", "east"]}
    asked["plan"]["places"].append(main)
    asked["from"] = {"place": "Main", "engine_towards": "west"}
    answer = answered(**asked)
    assert answer.verdict == "impossible"
    assert advised(answer)["no_track_beyond"] == (
        "with 210 mm of the running line beyond E.b to draw out on, it gets there"
    )
    for beyond_mm, verdict in ((210, "possible"), (209, "impossible")):
        again = {**asked, "plan": {**asked["plan"]}}
        again["plan"]["pieces"] = {
            **asked["plan"]["pieces"],
            "X": {"kind": "open_end", "beyond_mm": beyond_mm},
        }
        again["plan"]["joins"] = [*asked["plan"]["joins"], ["E.b", "X.a"]]
        assert answered(**again).verdict == verdict


def beyond_another_road(**lengths_mm: float) -> Json:
    """Return a plan on which P1's fouling point lies beyond the whole of the road K:
    300 from its blades are 190 of its leg, 50 of K, 30 of P4's toe and 30 beyond.
    """
    measured = plan()["pieces"]["P1"]
    pieces: Json = {
        "P1": {**measured, "fouling_branch_mm": 300},
        "P4": {**measured, "fouling_through_mm": 20, "fouling_branch_mm": 20},
    }
    roads = {"H": 700, "L": 900, "K": 50, "R": 400, "S": 400} | lengths_mm
    for name, length_mm in roads.items():
        pieces[name] = {"kind": "track", "length_mm": length_mm}
    pieces |= {f"B{name}": {"kind": "buffer_stop"} for name in "HLRS"}
    return {
        "pieces": pieces,
        "joins": [
            ["BH.a", "H.a"],
            ["H.b", "P1.toe"],
            ["P1.through", "L.a"],
            ["L.b", "BL.a"],
            ["P1.branch", "K.a"],
            ["K.b", "P4.toe"],
            ["P4.through", "R.a"],
            ["R.b", "BR.a"],
            ["P4.branch", "S.a"],
            ["S.b", "BS.a"],
        ],
    }


def test_a_limit_that_lies_beyond_a_whole_other_road_gives_way_with_that_road() -> None:
    # The siding R holds 180 of P4's leg and its own 400, less the 30.
    asked: Json = {
        "from": {"place": "siding L", "engine_towards": "points P1"},
        "to": {"place": "siding R"},
    }
    exact = answered(plan=beyond_another_road(), train=length(550), **asked)
    assert (exact.verdict, exact.longest_train_mm) == ("possible", 550)
    assert set(exact.limited_by) == {"K", "R"}
    long = {"train": length(553), **asked}
    answer = answered(plan=beyond_another_road(), cures=True, **long)
    assert answer.verdict == "impossible"
    assert {one.piece: one.lengthen_mm for one in answer.cures} == {"K": 3, "R": 3}
    for piece, now_mm in (("K", 50), ("R", 400)):
        for by_mm, verdict in ((3, "possible"), (2, "impossible")):
            again = beyond_another_road(**{piece: now_mm + by_mm})
            assert answered(plan=again, **long).verdict == verdict
    # Of K no more than 10: then P4's own fouling point, 20 from its blades, is it.
    longer = {"train": length(561), **asked}
    more = answered(plan=beyond_another_road(), cures=True, **longer)
    assert {one.piece: one.lengthen_mm for one in more.cures} == {"R": 11}
