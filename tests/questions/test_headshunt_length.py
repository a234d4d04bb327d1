"""What is answered of how long a headshunt must be, or an engine may be."""

import pickle
from typing import Any

import msgspec
import pytest

from standage.questions import headshunt_length as asked
from standage.questions.deal import QUESTION as DEAL
from standage.questions.every_train import QUESTION as EVERY_TRAIN
from standage.questions.headshunt_length_answer import HeadshuntLengthAnswer
from standage.questions.shunting_plan import QUESTION as PLAN
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each
from support.yard_questions import codes

Body = dict[str, Any]
SIDINGS = [
    {"name": name, "usable_length_mm": length_mm}
    for name, length_mm in (("A", 700), ("B", 400), ("C", 500))
]
NAMES = ["1", "2", "3", "4", "5"]
WAGONS = [
    *({"name": name, "length_mm": 91} for name in NAMES),
    {"name": "Brake", "length_mm": 107},
]
YARD: Body = {"sidings": SIDINGS}
ONE: Body = {
    "engine_length_mm": 264,
    "yard": YARD,
    "wagons": WAGONS,
    "start": {"sidings": [["1", "2", "3", "4"], [], ["5", "Brake"]]},
    "goal": {"siding": "A", "train": ["4", "1", "3", "5", "Brake", "2"]},
}
"""The yard whose lengths tests/published has from outside."""
EVERY: Body = {key: ONE[key] for key in ONE if key != "goal"} | {
    "every_train_of": 2,
    "siding": "B",
}


def with_headshunt(length_mm: float, **beside: Any) -> Body:
    return {"yard": {**YARD, "headshunt_usable_length_mm": length_mm}, **beside}


def told(question: Any, body: Body) -> Any:
    """Return an answer, by way of what another process is sent."""
    request = convert(body, question.request)
    case = question.gather(Sources(None, ""), request)
    return question.reckon(pickle.loads(pickle.dumps(case)))  # noqa: S301 - our own


def answer(body: Body, **changes: Any) -> HeadshuntLengthAnswer:
    found = told(asked.QUESTION, body | changes)
    assert isinstance(found, HeadshuntLengthAnswer)
    return found


def faults(body: Body) -> set[tuple[str | None, str]]:
    with pytest.raises(Faulty) as refused:
        told(asked.QUESTION, body)
    return {(fault.pointer, fault.code) for fault in refused.value.faults}


def test_the_lengths_are_told_with_the_least_of_them_and_what_it_takes() -> None:
    found = answer(ONE, minutes_per_visit=2.5)
    lengths_mm = [one.headshunt_usable_length_mm for one in found.steps]
    assert lengths_mm == [371, 446, 462, 537, 628, 644, 735]
    assert [one.visits for one in found.steps] == [24, 15, 13, 10, 9, 8, 7]
    assert [one.minutes for one in found.steps[:2]] == [60.0, 37.5]
    assert {one.engine_length_mm for one in found.steps} == {264.0}
    assert (found.verdict, found.proved, found.least_mm) == ("solved", True, 371.0)
    assert (found.longest_engine_mm, found.own) == (None, None)
    assert found.because[0].message == (
        "it can be made from 371 mm on, and with no less: the engine and one wagon are"
        " as long as that"
    )
    assert found.steps[0].cut == ("Brake",)
    assert not [one for one in found.assumed if one.field == "minutes_per_visit"]


def test_a_visit_takes_a_minute_where_nobody_says_and_that_is_assumed() -> None:
    found = answer(ONE)
    assert [one.minutes for one in found.steps] == [24, 15, 13, 10, 9, 8, 7]
    [one] = [one for one in found.assumed if one.field == "minutes_per_visit"]
    assert (one.source, one.value) == ("default", "1")


def test_asked_again_with_the_least_the_plan_is_possible_and_with_less_not() -> None:
    least_mm = answer(ONE).least_mm
    assert least_mm is not None
    at_least = told(PLAN, ONE | with_headshunt(least_mm))
    assert (at_least.verdict, at_least.visits) == ("solved", 24)
    less = told(PLAN, ONE | with_headshunt(least_mm - 0.1))
    assert (less.verdict, codes(less)[0]) == ("impossible", "headshunt_too_short")
    assert less.because[0].amount_mm == 0.1


@at_each("headshunt_mm, enough, spare_mm, visits, code", [
    (300, False, -71.0, None, "own_too_short"),
    (371, True, 0.0, 24, "tight"),
    (372, True, 1.0, 24, "least"),
    (536.9, True, 165.9, 13, "least"),
    (900, True, 529.0, 7, "least"),
])  # fmt: skip
def test_the_yards_own_headshunt_is_told_beside(
    headshunt_mm: float, *, enough: bool, spare_mm: float, visits: int, code: str
) -> None:
    found = answer(ONE, **with_headshunt(headshunt_mm))
    assert found.own is not None
    assert (found.own.is_enough, found.own.spare_mm) == (enough, spare_mm)
    assert found.own.visits == visits
    assert codes(found)[0] == code
    assert found.least_mm == 371


def test_figures_that_are_exactly_as_written_leave_nothing_to_try_first() -> None:
    found = answer(ONE, **with_headshunt(371), exact=True)
    assert "tight" not in codes(found)
    assert {step.plus_minus_mm for step in found.steps} == {0.0}
    assert [one.field for one in found.assumed if one.field == "exact"] == ["exact"]


def test_by_the_engine_the_headshunt_is_given_and_the_longest_engine_told() -> None:
    found = answer(ONE, **with_headshunt(735), by="engine", engine_length_mm=300)
    # 735 less the cuts by which the headshunt is longer than an engine of 264
    lengths_mm = [one.engine_length_mm for one in found.steps]
    assert lengths_mm == [628, 553, 537, 462, 371, 355, 264]
    assert [one.visits for one in found.steps] == [24, 15, 13, 10, 9, 8, 7]
    assert (found.least_mm, found.longest_engine_mm) == (None, 628)
    assert found.own is not None
    assert (found.own.length_mm, found.own.spare_mm, found.own.visits) == (300, 328, 8)
    without = {key: ONE[key] for key in ONE if key != "engine_length_mm"}
    assert answer(without, **with_headshunt(735), by="engine").own is None
    short = answer(ONE, **with_headshunt(371), by="engine", engine_length_mm=264.1)
    assert codes(short)[0] == "engine_too_long"
    assert short.because[0].message == "the engine is 0.1 mm too long"


def test_every_train_of_so_many_is_asked_at_once() -> None:
    found = answer(EVERY)
    assert found.proved
    for step in found.steps:
        body = EVERY | with_headshunt(step.headshunt_usable_length_mm)
        body |= {"train_wagons": body.pop("every_train_of")}
        census = told(EVERY_TRAIN, body)
        assert (census.verdict, census.hardest_par) == ("every_train", step.visits)
        alone = {**ONE, **with_headshunt(step.headshunt_usable_length_mm)}
        alone["goal"] = {"siding": "B", "train": list(step.train)}
        assert told(PLAN, alone).bound == step.visits
        shorter = with_headshunt(step.headshunt_usable_length_mm - 0.1)
        par = told(EVERY_TRAIN, body | shorter).hardest_par or 0
        possible = told(EVERY_TRAIN, body | shorter).verdict == "every_train"
        assert par > step.visits or not possible


def test_fewest_couplings_are_asked_as_fewest_visits_are() -> None:
    found = answer(ONE, fewest="couplings")
    for step in found.steps:
        body = ONE | with_headshunt(step.headshunt_usable_length_mm)
        assert told(PLAN, body | {"fewest": "couplings"}).bound == step.couplings
    counts = [step.couplings for step in found.steps]
    assert counts == sorted(set(counts), reverse=True)


def test_where_the_wagons_stand_as_wanted_that_is_all_there_is_to_say() -> None:
    goal = {"siding": "C", "train": ["5", "Brake"]}
    found = answer(ONE, goal=goal, **with_headshunt(300))
    assert (found.verdict, found.least_mm) == ("solved", 264)
    assert [one.visits for one in found.steps] == [0]
    [only] = found.because
    assert only.message == (
        "the wagons stand as they are wanted: there is nothing to shunt, and the"
        " headshunt need only hold the engine"
    )
    by_engine = answer(ONE, goal=goal, **with_headshunt(300), by="engine")
    assert [one.message for one in by_engine.because] == [
        "the wagons stand as they are wanted: there is nothing to shunt"
    ]
    # a headshunt that does not even hold the engine is told first
    short = answer(ONE, goal=goal, **with_headshunt(263))
    assert codes(short) == ["own_too_short", "as_wanted"]


def test_of_more_trains_than_the_budget_reaches_every_step_still_does() -> None:
    """So many wagons as surely go in need what wagons all alike need."""
    lengths_mm = (80, 83, 86.5, 91, 95, 99, 102.3, 107)
    names = "ABCDEFGH"
    sidings_mm = {"A": 560, "B": 330, "C": 330}
    body = ONE | {
        "engine_length_mm": 150,
        "yard": {
            "sidings": [
                {"name": name, "usable_length_mm": length_mm}
                for name, length_mm in sidings_mm.items()
            ]
        },
        "wagons": [
            {"name": name, "length_mm": length_mm}
            for name, length_mm in zip(names, lengths_mm, strict=True)
        ],
        "start": {"sidings": [[*"ABCDE"], [*"FGH"], []]},
        "goal": None,
        "every_train_of": 5,
        "siding": "A",
        "budget_steps": 1_300_000,
    }
    found = answer(body)
    assert (found.verdict, found.proved) == ("budget_spent", False)
    alike = [{"name": name, "length_mm": 107} for name in names]
    body["yard"] = {
        "sidings": [
            {"name": name, "usable_length_mm": 107 * holds}
            for name, holds in zip(sidings_mm, (5, 3, 3), strict=True)
        ]
    }
    surely = answer(body | {"wagons": alike, "budget_steps": 500_000}).steps[0]
    first, *_ = found.steps
    # an engine of 150 and the three longest wagons, or three of 107
    assert first.headshunt_usable_length_mm == 458.3
    assert surely.headshunt_usable_length_mm == 471
    assert first.visits == surely.visits
    assert codes(found) == ["budget_spent", "found", "fewest"]
    assert found.because[2].message.endswith(
        "visits will do; less room, or fewer, may do, too"
    )
    assert found.because[1].message == (
        "every train can be made with 458.3 mm; less may do, too"
    )


def test_where_it_is_impossible_the_reason_is_what_is_too_long() -> None:
    bound = answer(ONE, up_to_mm=300)
    assert (bound.verdict, bound.proved, bound.steps) == ("impossible", True, ())
    assert bound.because[0].message.startswith(
        "the engine and one wagon are 71 mm too long for the headshunt"
    )
    goal = {"siding": "B", "train": NAMES}
    full = answer(ONE, goal=goal)
    assert full.because[0].message == "B is 55 mm too short for the train"
    every = answer(EVERY, every_train_of=5)
    assert codes(every) == ["not_every_train", "goal_does_not_fit"]
    alone = answer(
        ONE,
        yard={"sidings": SIDINGS[:1]},
        start={"sidings": [[*NAMES, "Brake"]]},
    )
    assert codes(alone) == ["sidings_too_short"]


def test_where_no_engine_does_that_is_said_too() -> None:
    nothing = answer(ONE, **with_headshunt(0), by="engine")
    assert nothing.because[0].message == "no engine goes into the headshunt of 0 mm"
    on_it = {"engine": ["1"], "sidings": [["2", "3", "4"], [], ["5", "Brake"]]}
    full = answer(ONE, **with_headshunt(91), by="engine", start=on_it)
    assert full.because[0].message == (
        "no engine goes into the headshunt of 91 mm with what is on it at the start"
    )
    brake = answer(ONE, **with_headshunt(107), by="engine")
    assert (brake.verdict, codes(brake)) == ("impossible", ["no_engine_helps"])
    assert answer(ONE, **with_headshunt(107.1), by="engine").longest_engine_mm == 0.1


def test_the_other_answers_give_the_same_reason_first() -> None:
    short = with_headshunt(300)
    words = "the engine and one wagon are 71 mm too long for the headshunt"
    assert told(PLAN, ONE | short).because[0].message.startswith(words)
    every = EVERY | short | {"siding": "A", "train_wagons": 6}
    del every["every_train_of"]
    assert told(EVERY_TRAIN, every).because[0].message.startswith(words)
    dealt = {key: every[key] for key in every if key != "start"} | {"seed": 1}
    # the shortest of the wagons to draw from is 91
    reason = told(DEAL, dealt | {"train_wagons": 3}).because[0]
    assert reason.message == (
        "the engine and one wagon are 55 mm too long for the headshunt"
    )
    long = told(DEAL, dealt | with_headshunt(600) | {"siding": "B"}).because[0]
    assert long.message == "B is 162 mm too short for any train of 6 wagons"


def test_the_length_that_is_told_in_words_does_when_it_is_built() -> None:
    """Figures to a hundredth: said to a tenth, no less than is needed."""
    wagons = [
        *({"name": name, "length_mm": 91.03} for name in NAMES),
        {"name": "Brake", "length_mm": 107.07},
    ]
    body = ONE | {"engine_length_mm": 264.05, "wagons": wagons}
    found = answer(body)
    assert found.least_mm == 371.12
    assert "from 371.2 mm on, and with no less" in found.because[0].message
    by_engine = answer(body, **with_headshunt(735), by="engine")
    assert by_engine.longest_engine_mm == 627.93
    assert "an engine of up to 627.9 mm" in by_engine.because[0].message
    short = told(PLAN, body | with_headshunt(300)).because[0]
    assert "71.2 mm too long" in short.message
    assert short.message.endswith("it would have to be 371.2 mm")


def test_a_spent_budget_says_what_is_proved() -> None:
    found = answer(ONE, budget_steps=300)
    assert (found.verdict, found.proved) == ("budget_spent", False)
    assert "budget_spent" in codes(found)
    assert found.impossible_to_mm is not None
    assert found.impossible_to_mm <= 371


@at_each("changes, expected", [
    ({"goal": None}, ("/goal", "missing")),
    ({"every_train_of": 2}, ("/goal", "one_or_the_other")),
    ({"goal": None, "every_train_of": 2}, ("/siding", "missing")),
    ({"siding": "A"}, ("/siding", "contradiction")),
    ({"rest": "engine_free"}, ("/rest", "contradiction")),
    ({"engine_length_mm": None}, ("/engine_length_mm", "missing")),
    ({"by": "engine"}, ("/yard/headshunt_usable_length_mm", "missing")),
    ({"fewest": "cuts_by_hand"}, ("/fewest", "not_a_choice")),
    ({"minutes_per_visit": 0}, ("/minutes_per_visit", "too_small")),
    ({"yard": {}}, ("/yard/sidings", "missing")),
    ({"goal": {"siding": "Q", "train": []}}, ("/goal/siding", "unknown_siding")),
    ({"start": {"sidings": [NAMES, [], []]}}, ("/start", "missing")),
])  # fmt: skip
def test_what_is_amiss_is_refused_at_its_place(
    changes: Body, expected: tuple[str, str]
) -> None:
    assert expected in faults(ONE | changes)


def test_trains_that_cannot_be_are_refused() -> None:
    assert faults(EVERY | {"every_train_of": 7}) == {
        ("/every_train_of", "contradiction")
    }
    assert faults(EVERY | {"siding": "Q"}) == {("/siding", "unknown_siding")}


def test_an_engine_with_wagons_on_it_must_go_into_the_headshunt_that_is_given() -> None:
    start = {"engine": ["1"], "sidings": [["2", "3", "4"], [], ["5", "Brake"]]}
    body = {**ONE, **with_headshunt(80), "by": "engine", "start": start}
    assert faults(body) == {("/start/engine", "does_not_fit")}
    # by the headshunt it is the least that is asked
    assert (answer(ONE, start=start).least_mm or 0) >= 355


def test_the_longest_figures_that_may_be_sent_are_answered() -> None:
    longest_mm = 1_000_000
    wagons = [{"name": name, "length_mm": longest_mm} for name in "AB"]
    found = answer(
        ONE,
        engine_length_mm=longest_mm,
        yard={
            "sidings": [{"name": name, "usable_length_mm": longest_mm} for name in "XY"]
        },
        wagons=wagons,
        start={"engine": ["A"], "sidings": [["B"], []]},
        goal={"siding": "Y", "train": ["B"]},
    )
    assert found.least_mm == 3 * longest_mm
    smallest = answer(ONE, engine_length_mm=1e-6)
    assert smallest.least_mm == 107.000001


def test_the_answer_is_written_out_with_its_steps() -> None:
    written = msgspec.to_builtins(answer(ONE))
    step = written["steps"][0]
    assert {"headshunt_usable_length_mm", "visits", "couplings"} <= set(step)
    assert len(step["moves"]) == step["visits"]
