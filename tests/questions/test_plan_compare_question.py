"""What an alteration changes: every verdict against the same asked one by one of each
plan, and the other way round.
"""

from copy import deepcopy
from itertools import permutations
from typing import Any

import msgspec
import pytest

from questions.test_blocked_moves import TRAINS, WHARF, by_itself, vehicles
from standage.questions.plan_compare import QUESTION
from standage.questions.plan_compare_answer import PlanCompareAnswer, ToldTurn
from standage.questions.sources import Sources
from standage.questions.train_fit import QUESTION as TRAIN_FIT
from standage.shapes.decoding import convert

Json = dict[str, Any]
NAMED_TRAINS = [{"name": name, **train} for name, train in TRAINS.items()]
BACK = {"better": "worse", "worse": "better", "otherwise": "otherwise"}


def asked(question: Any, body: Json) -> Any:
    request = convert(body, question.request)
    return question.reckon(question.gather(Sources(None, ""), request))


def compared(before: Json, after: Json, **about: Any) -> PlanCompareAnswer:
    body = {"before": before, "after": after, "trains": NAMED_TRAINS, **about}
    answer = asked(QUESTION, body)
    assert isinstance(answer, PlanCompareAnswer)
    return answer


def with_piece(plan: Json, name: str, **figures: Any) -> Json:
    altered = deepcopy(plan)
    altered["pieces"][name] |= figures
    return altered


WHARF_PIECE = "W"
"""The track that lies in the wharf: 600 mm of it can be used."""
OTHERS = {
    "longer": with_piece(
        WHARF,
        WHARF_PIECE,
        length_mm=WHARF["pieces"][WHARF_PIECE]["length_mm"] + 71,
    ),
    "shorter": with_piece(
        WHARF,
        WHARF_PIECE,
        length_mm=WHARF["pieces"][WHARF_PIECE]["length_mm"] - 63.5,
    ),
    "much shorter": with_piece(WHARF, WHARF_PIECE, length_mm=20),
}


def key(turn: ToldTurn) -> tuple[str, str, str, str | None]:
    return turn.question, turn.train, turn.place, turn.to


def one_by_one(before: Json, after: Json) -> dict[Any, tuple[str, str]]:
    """Return every verdict that turns, each asked of both plans by itself."""
    turns: dict[Any, tuple[str, str]] = {}
    names = [place["name"] for place in WHARF["places"]]
    for train in NAMED_TRAINS:
        made_up = {"vehicles": train["vehicles"]}
        for name in names:
            found = [
                asked(
                    TRAIN_FIT, {"train": made_up, "place": {"plan": plan, "road": name}}
                )
                for plan in (before, after)
            ]
            was, now = (one.standing for one in found)
            if was != now:
                turns["fits", train["name"], name, None] = (was, now)
        for place, to in permutations(names, 2):
            moves = [by_itself(plan, made_up, place, to) for plan in (before, after)]
            was, now = (one.verdict for one in moves)
            if was != now:
                turns["moves", train["name"], place, to] = (was, now)
    return turns


@pytest.mark.parametrize("name", OTHERS)
def test_every_verdict_that_turns_is_told_and_no_other(name: str) -> None:
    answer = compared(WHARF, OTHERS[name])
    places = {place["name"] for place in WHARF["places"]}
    told = {
        key(turn): (turn.before, turn.after)
        for turn in answer.verdicts
        if turn.place in places and turn.question != "runs"
    }
    assert told == one_by_one(WHARF, OTHERS[name])
    assert told, "nothing turns: the test shows nothing"


def test_a_plan_compared_with_itself_changes_nothing() -> None:
    answer = compared(WHARF, WHARF)
    assert answer.verdict == "same"
    assert not any((answer.verdicts, answer.roads, answer.laid_to_come_up))
    assert [one.code for one in answer.because] == ["same"]


@pytest.mark.parametrize("name", OTHERS)
def test_the_other_way_round_everything_turns_back(name: str) -> None:
    there = compared(WHARF, OTHERS[name])
    back = compared(OTHERS[name], WHARF)
    forth = {key(one): (one.before, one.after, one.turns) for one in there.verdicts}
    again = {
        key(one): (one.after, one.before, BACK[one.turns]) for one in back.verdicts
    }
    assert forth == again
    roads = {one.name: (one.before, one.after) for one in there.roads}
    assert roads == {one.name: (one.after, one.before) for one in back.roads}


def test_what_is_laid_and_comes_up_stands_first() -> None:
    laid = with_piece(WHARF, WHARF_PIECE, state="laid")
    altered = with_piece(OTHERS["longer"], WHARF_PIECE, state="laid")
    answer = compared(laid, altered)
    assert answer.because[0].code == "laid_comes_up"
    assert answer.because[0].message.startswith(WHARF_PIECE)
    assert WHARF_PIECE in answer.laid_to_come_up


def test_a_train_that_now_stands_is_said_to_with_what_it_has_to_spare() -> None:
    shorter = OTHERS["shorter"]
    train = {"name": "Morning coal", **vehicles(280, 282)}
    body = {"before": shorter, "after": WHARF, "trains": [train]}
    answer = asked(QUESTION, body)
    wharf = "Wharf"
    (turn,) = [
        one for one in answer.verdicts if one.place == wharf and one.question == "fits"
    ]
    # The wharf holds 600 mm, and 563.5 less where it is 63.5 mm shorter.
    assert turn.spare_mm == 38
    assert turn.message == (
        f"Morning coal now stands in {wharf}, 38 mm to spare; it did not before"
    )


def test_a_road_that_is_gone_or_new_counts_where_it_held_the_train() -> None:
    gone = deepcopy(WHARF)
    gone["places"] = [one for one in gone["places"] if one["name"] != "Wharf"]
    name = "Wharf"
    lost = [one for one in compared(WHARF, gone).verdicts if one.place == name]
    assert lost
    assert {one.after for one in lost} == {None}
    assert {one.turns for one in lost} == {"worse"}


def test_a_sentence_on_a_move_names_where_it_begins_and_ends_and_is_said_once() -> None:
    answers = [compared(WHARF, other) for other in OTHERS.values()]
    answers += [compared(other, WHARF) for other in OTHERS.values()]
    turns = [turn for answer in answers for turn in answer.verdicts]
    tight = [turn for turn in turns if "tight" in {turn.before, turn.after}]
    moves = [turn for turn in tight if turn.question == "moves"]
    assert moves
    for turn in moves:
        assert f"from {turn.place} to {turn.to}" in turn.message
    for answer in answers:
        sentences = [turn.message for turn in answer.verdicts]
        assert len(sentences) == len(set(sentences))


def test_any_more_is_said_of_what_was_so_before_and_of_nothing_else() -> None:
    turns = [
        turn
        for other in OTHERS.values()
        for turn in compared(WHARF, other).verdicts
        if turn.after in {"does_not_fit", "impossible"}
    ]
    assert {turn.before for turn in turns} >= {"fits", "tight", "possible"}
    for turn in turns:
        was_so = turn.before in {"fits", "possible"}
        assert ("any more" in turn.message) == was_so, turn.message


def test_a_plan_that_is_less_exact_turns_verdicts_by_that_alone() -> None:
    doubtful = {**WHARF, "plus_minus": {"mm": 30}}
    train = {"name": "Morning coal", **vehicles(300, 290)}
    answer = asked(QUESTION, {"before": WHARF, "after": doubtful, "trains": [train]})
    told = {key(turn): (turn.before, turn.after) for turn in answer.verdicts}
    made_up = {"vehicles": train["vehicles"]}
    for place, to in permutations(("Headshunt", "Wharf", "Loop", "Main"), 2):
        moves = [by_itself(plan, made_up, place, to) for plan in (WHARF, doubtful)]
        was, now = (one.verdict for one in moves)
        if was != now:
            assert told.pop(("moves", "Morning coal", place, to)) == (was, now)
    assert {question for question, *_ in told} == {"fits"}
    assert any(turn.question == "moves" for turn in answer.verdicts)


def test_without_places_of_one_name_it_is_said_that_no_moves_are_compared() -> None:
    unnamed = {name: said for name, said in WHARF.items() if name != "places"}
    answer = compared(unnamed, with_piece(unnamed, WHARF_PIECE, length_mm=300))
    assert "no_moves" in {one.code for one in answer.because}
    assert {turn.question for turn in answer.verdicts} == {"fits"}
    assert "no_moves" not in {one.code for one in compared(WHARF, WHARF).because}


def test_what_is_lost_decides_whatever_of_another_train_nobody_can_tell() -> None:
    unknown = {"name": "Visitor", "vehicles": [{"name": "Van", "kind": "wagon"}]}
    coal = {"name": "Morning coal", **vehicles(280, 282)}
    shorter = OTHERS["shorter"]
    unmeasured = deepcopy(WHARF)
    # where the wharf is clear of the main line nobody has measured any more
    del unmeasured["pieces"]["P1"]["fouling_branch_mm"]
    for train, after, verdict in (
        (coal, shorter, "worse"),
        (coal, unmeasured, "cannot_tell"),
        (unknown, shorter, "no_verdict_turns"),
    ):
        answer = asked(QUESTION, {"before": WHARF, "after": after, "trains": [train]})
        assert answer.verdict == verdict
    both = with_piece(unmeasured, "M", length_mm=300)
    answer = asked(QUESTION, {"before": WHARF, "after": both, "trains": [coal]})
    assert {"worse", "otherwise"} <= {turn.turns for turn in answer.verdicts}
    assert answer.verdict == "worse"


def test_a_road_that_is_gone_stands_before_one_that_is_too_short() -> None:
    gone = with_piece(WHARF, "L", length_mm=300)
    gone["places"] = [one for one in gone["places"] if one["name"] != "Wharf"]
    turns = [one for one in compared(WHARF, gone).verdicts if one.question == "fits"]
    are_gone = [one.after is None for one in turns]
    assert {True, False} == set(are_gone)
    assert are_gone == sorted(are_gone, reverse=True)


def test_what_verdicts_rest_on_is_told_of_trains_and_roads() -> None:
    fields = {one.field for one in compared(WHARF, OTHERS["longer"]).assumed}
    assert {"stopping_margin_mm", "plus_minus_mm"} <= fields
    of_van = {"kind": "wagon", "length_mm": 100, "length_over": "buffers"}
    vans = [{"name": name, **of_van} for name in ("Van", "Brake")]
    train = {"name": "Two vans", "vehicles": vans}
    body = {"before": WHARF, "after": OTHERS["longer"], "trains": [train]}
    assert any("coupling" in one.message for one in asked(QUESTION, body).assumed)


def test_no_sentence_is_long_and_none_names_a_verdict_by_its_code() -> None:
    long = "Nineteen wagons of coal and a brake van from the colliery " * 2
    body = {
        "before": WHARF,
        "after": OTHERS["much shorter"],
        "trains": [{"name": long.strip()[:90], **vehicles(300, 200)}],
    }
    answer = asked(QUESTION, body)
    sentences = [one.message for one in (*answer.verdicts, *answer.roads)]
    sentences += [one.message for one in answer.because]
    assert sentences
    for sentence in sentences:
        assert len(sentence) <= 200
        assert "_" not in sentence


def test_faults_of_either_plan_are_told_and_nothing_is_promised() -> None:
    broken = deepcopy(WHARF)
    broken["joins"].append(["nobody.a", f"{WHARF_PIECE}.a"])
    answer = compared(WHARF, broken)
    assert answer.verdict == "cannot_tell"
    assert "plan_faults" in {one.code for one in answer.because}


def test_an_answer_goes_to_another_process_and_back() -> None:
    answer = compared(WHARF, OTHERS["longer"])
    encoded = msgspec.json.encode(answer)
    assert msgspec.json.decode(encoded)["verdict"] == answer.verdict


def test_of_many_roads_an_assumption_is_a_sentence_that_can_be_read() -> None:
    many = deepcopy(WHARF)
    for number in range(40):
        many["pieces"][f"T{number}"] = {"kind": "track", "length_mm": 500}
        many["places"].append({"name": f"Road {number}", "on": [f"T{number}"]})
    assumed = compared(many, with_piece(many, WHARF_PIECE, length_mm=400)).assumed
    of_margins = [one for one in assumed if one.field == "stopping_margin_mm"]
    assert len(of_margins) == 1
    assert all(len(one.message) <= 200 for one in of_margins)
    assert " more: " in of_margins[0].message


def test_a_road_that_is_new_counts_where_it_holds_the_train_and_nowhere_else() -> None:
    gone = deepcopy(WHARF)
    gone["places"] = [one for one in gone["places"] if one["name"] != "Wharf"]
    new = [one for one in compared(gone, WHARF).verdicts if one.place == "Wharf"]
    held = {
        name
        for name, train in TRAINS.items()
        if asked(
            TRAIN_FIT,
            {
                "train": {"vehicles": train["vehicles"]},
                "place": {"plan": WHARF, "road": "Wharf"},
            },
        ).standing
        in {"fits", "tight"}
    }
    assert {one.train for one in new if one.question == "fits"} == held
    assert 0 < len(held) < len(TRAINS)
    assert {one.before for one in new} == {None}


def test_a_sharper_curve_turns_whether_a_vehicle_gets_round_it() -> None:
    def siding(radius_mm: float) -> Json:
        curve = {"kind": "curve", "radius_mm": radius_mm, "angle_deg": 60}
        stops = {name: {"kind": "buffer_stop"} for name in ("A", "B")}
        return {
            "pieces": {"C": {**curve, "hand": "left"}, **stops},
            "joins": [["A.a", "C.a"], ["C.b", "B.a"]],
            "places": [{"name": "Bend", "on": ["C"]}],
        }

    pug = {
        "name": "Pug",
        "kind": "engine",
        "length_mm": 120,
        "length_over": "couplings",
    }
    train = {"name": "Pug", "vehicles": [{**pug, "minimum_radius_mm": 450}]}
    easy, sharp = siding(600), siding(440)
    for before, after, verdicts in (
        (easy, sharp, ("runs", "does_not_run")),
        (sharp, easy, ("does_not_run", "runs")),
        (easy, siding(700), None),
    ):
        answer = asked(QUESTION, {"before": before, "after": after, "trains": [train]})
        runs = [one for one in answer.verdicts if one.question == "runs"]
        told = {(one.before, one.after) for one in runs if one.place == "Bend"}
        assert told == ({verdicts} if verdicts else set())
