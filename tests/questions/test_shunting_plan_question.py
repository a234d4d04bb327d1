"""What is answered of a yard: the plan, what is proved of it, and what is offered
beside it.
"""

import pickle
from typing import Any

import msgspec
import pytest

from standage.questions import shunting_plan
from standage.questions.asked import inline_yard
from standage.railway.shunting.check import broken, couplings
from standage.railway.stock.couplings import CouplingKind
from standage.shapes.decoding import convert
from support.yard_questions import START, WAGONS, YARD, codes, faults, vehicles

PLAN = {
    "engine_length_mm": 100,
    "yard": YARD,
    "wagons": WAGONS,
    "start": START,
    "goal": {"siding": "Long", "train": list("HDBFA"), "rest": "anywhere"},
    "fewest": "visits",
}


def planned(
    types: tuple[CouplingKind, ...] = (), **changes: Any
) -> shunting_plan.ShuntingPlanAnswer:
    request = convert(PLAN | changes, shunting_plan.ShuntingPlanRequest)
    return shunting_plan.reckon(
        shunting_plan.case_of(
            request, inline_yard(request.yard), vehicles(request.wagons), types
        )
    )


def test_the_plan_is_given_as_the_contract_says() -> None:
    answer = msgspec.to_builtins(planned())
    assert {
        name: answer[name] for name in ("verdict", "proved", "visits", "bound")
    } == {
        "verdict": "solved",
        "proved": True,
        "visits": 12,
        "bound": 12,
    }
    assert len(answer["moves"]) == 12
    assert set(answer["moves"][0]) == {"siding", "action", "wagons"}
    assert answer["couplings"] >= 12


def test_the_referee_finds_no_fault_and_the_same_couplings() -> None:
    request = convert(PLAN | {"fewest": "couplings"}, shunting_plan.ShuntingPlanRequest)
    case = shunting_plan.case_of(
        request, inline_yard(request.yard), vehicles(request.wagons)
    )
    answer = shunting_plan.reckon(case)
    assert broken(case.puzzle, answer.moves) == []
    assert (answer.couplings, answer.bound) == (
        couplings(case.puzzle, answer.moves),
        answer.couplings,
    )


def test_an_impossible_train_has_no_plan_and_says_why() -> None:
    answer = planned(
        yard=YARD | {"headshunt_usable_length_mm": 260},
        goal={"siding": "Long", "train": list("FGHAB")},
    )
    assert (
        answer.verdict,
        answer.proved,
        answer.visits,
        answer.couplings,
        answer.bound,
        answer.moves,
    ) == (*("impossible", True, None, None, None, ()),)
    # three wagons of 80 and the engine of 100 are 340: the published headshunt
    assert codes(answer) == ["headshunt_too_short", "no_way"]
    assert answer.because[0].message.startswith(
        "the engine and 3 wagons are 80 mm too long for the headshunt"
    )


def test_a_spent_budget_gives_the_bound_that_is_proved() -> None:
    answer = planned(budget_steps=1)
    assert (answer.verdict, answer.proved, answer.bound) == ("budget_spent", False, 1)
    assert codes(answer) == ["budget_spent"]


def test_every_sidings_full_contents_can_be_the_goal() -> None:
    answer = planned(goal={"sidings": [list("ABCDE"), list("GH"), ["F"]]})
    assert (answer.verdict, answer.visits, answer.moves[0].wagons) == (
        "solved",
        2,
        ("F",),
    )


def test_wagons_over_buffers_are_as_long_as_their_couplings_reach() -> None:
    ends = {"front_coupling": {"reach_mm": 2.5}, "rear_coupling": {"reach_mm": 1.5}}
    over_buffers = [
        {"name": name, "length_mm": 76, "length_over": "buffers", **ends}
        for name in "ABCDEFGH"
    ]
    assert planned(wagons=over_buffers).visits == 12
    longer = [one | {"rear_coupling": {"reach_mm": 1.6}} for one in over_buffers]
    assert ("/start/sidings/0", "does_not_fit") in faults(
        shunting_plan.ShuntingPlanRequest,
        PLAN | {"wagons": longer},
        shunting_plan.case_of,
    )


def test_a_wagon_over_buffers_takes_its_reach_from_the_clubs_own_type() -> None:
    kind = CouplingKind(name="ours", reach_mm=2.0)
    ends = {"front_coupling": {"type": "ours"}, "rear_coupling": {"type": "ours"}}
    over_buffers = [
        {"name": name, "length_mm": 76, "length_over": "buffers", **ends}
        for name in "ABCDEFGH"
    ]
    assert planned(types=(kind,), wagons=over_buffers).visits == 12


def test_a_missing_reach_is_asked_for_at_its_place() -> None:
    wagons = [*WAGONS[:7], {"name": "H", "length_mm": 76, "length_over": "buffers"}]
    assert faults(
        shunting_plan.ShuntingPlanRequest,
        PLAN | {"wagons": wagons},
        shunting_plan.case_of,
    ) == {
        ("/wagons/7/front_coupling/reach_mm", "missing"),
        ("/wagons/7/rear_coupling/reach_mm", "missing"),
    }


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"wagons": [*WAGONS[:7], {"name": "A", "length_mm": 80}]}, "/wagons/7/name"),
        (
            {"wagons": [*WAGONS[:7], {"name": "H", "length_mm": 80, "count": 2}]},
            "/wagons/7/count",
        ),
        ({"wagons": [*WAGONS[:7], {"name": "H"}]}, "/wagons/7/length_mm"),
        ({"yard": YARD | {"sidings": []}}, "/yard/sidings"),
        ({"yard": YARD | {"sidings": YARD["sidings"] * 3}}, "/yard/sidings"),
        ({"goal": {"siding": "Long"}}, "/goal/train"),
        ({"budget_steps": 0}, "/budget_steps"),
        ({"fewest": "minutes"}, "/fewest"),
        ({"colour": "red"}, "/colour"),
    ],
)
def test_what_cannot_be_is_refused_at_its_place(
    change: dict[str, Any], pointer: str
) -> None:
    found = faults(
        shunting_plan.ShuntingPlanRequest, PLAN | change, shunting_plan.case_of
    )
    assert pointer in {at for at, _ in found}


def test_a_plan_that_leaves_less_room_than_the_wagons_may_be_off_says_so() -> None:
    assert codes(planned()) == ["tight", "fewest"]
    exact = [one | {"length_plus_minus_mm": 0} for one in WAGONS]
    assert codes(planned(wagons=exact)) == ["fewest"]


def test_couplings_that_do_not_take_hold_are_named() -> None:
    ends = {
        "front_coupling": {"type": "three-link"},
        "rear_coupling": {"type": "three-link"},
    }
    other = {
        "front_coupling": {"type": "knuckle"},
        "rear_coupling": {"type": "knuckle"},
    }
    wagons = [one | (ends if place else other) for place, one in enumerate(WAGONS)]
    answer = planned(wagons=wagons)
    assert codes(answer)[0] == "couplings_do_not_mate"
    assert (answer.because[0].vehicle, answer.because[0].other_vehicle) == ("A", "B")
    assert codes(answer).count("couplings_do_not_mate") == 1


def test_where_uncoupling_places_are_given_cuts_are_told_and_a_plan_with_fewer_by_hand_is_offered() -> (
    None
):
    places = [
        YARD["sidings"][0] | {"uncoupling_places_mm": [10]},
        YARD["sidings"][1] | {"hand_reaches_from_mm": 0},
        YARD["sidings"][2],
    ]
    goal = {"sidings": [list("ABCDE"), list("GH"), ["F"]]}
    answer = planned(yard=YARD | {"sidings": places}, goal=goal)
    assert [
        (cut.siding, cut.before, cut.after, cut.by_hand, cut.hand_reaches)
        for cut in answer.cuts
    ] == [
        ("Left", "F", "G", True, True),
        ("Right", None, "F", True, None),
    ]
    assert (answer.cuts_by_hand, answer.instead) == (2, None)
    assert planned(goal=goal).cuts_by_hand is None
    with_headshunt = YARD | {
        "headshunt_uncoupling_places_mm": [0],
        "uncoupled_ahead": True,
    }
    answer = planned(yard=with_headshunt, goal=goal)
    assert [(cut.by_hand, cut.pushed_on) for cut in answer.cuts] == [
        (False, True),
        (False, True),
    ]


def test_the_plan_with_fewest_cuts_by_hand_is_offered_beside_one_with_fewest_visits() -> (
    None
):
    sidings = [
        {"name": "Front", "usable_length_mm": 160, "uncoupling_places_mm": [0]},
        {"name": "Back", "usable_length_mm": 240, "uncoupling_places_mm": [0]},
        {
            "name": "Third",
            "usable_length_mm": 160,
            "uncoupling_places_mm": [81],
        },  # 79 mm beyond it: no wagon's length
    ]
    answer = planned(
        yard=YARD | {"sidings": sidings},
        wagons=WAGONS[:4],
        start={"sidings": [["C", "B"], ["D", "A"], []]},
        goal={"siding": "Front", "train": ["B", "A"]},
    )
    assert [cut.siding for cut in answer.cuts if cut.by_hand] == ["Third"]
    assert answer.instead is not None
    assert (answer.instead.cuts_by_hand, answer.instead.proved) == (0, True)
    assert answer.visits is not None
    assert answer.instead.visits == len(answer.instead.moves) > answer.visits


def test_a_case_and_its_answer_can_be_sent_to_another_process() -> None:
    request = convert(PLAN, shunting_plan.ShuntingPlanRequest)
    case = shunting_plan.case_of(
        request, inline_yard(request.yard), vehicles(request.wagons)
    )
    assert pickle.loads(pickle.dumps(case)) == case  # noqa: S301 - our own bytes, as the pool sends them
    answer = shunting_plan.reckon(case)
    assert pickle.loads(pickle.dumps(answer)) == answer  # noqa: S301 - our own bytes, as the pool sends them


def test_where_cuts_by_hand_are_to_be_fewest_they_are_counted_and_told_without_uncoupling_places_too() -> (
    None
):
    """All but the first wagon stay where they are: one cut, and nothing but a hand
    makes it.
    """
    goal = {"sidings": [list("BCDE"), list("FGH"), ["A"]]}
    answer = planned(goal=goal, fewest="cuts_by_hand")
    assert (answer.cuts_by_hand, answer.bound) == (len(answer.cuts), len(answer.cuts))
    assert all(cut.by_hand for cut in answer.cuts)
    words = "1 cut by hand" if answer.bound == 1 else f"{answer.bound} cuts by hand"
    assert f"every plan has at least {words}, and" in answer.because[-1].message
