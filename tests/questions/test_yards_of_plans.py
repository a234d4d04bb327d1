"""A yard of a track plan is a yard in every shunting question: the same answer as of the
figures that the plan gives.
"""

from typing import Any, get_args

import msgspec
import pytest

from questions.test_roads_of_plans import sent_away
from standage.questions.asked import AskedYard
from standage.questions.catalogue import every_question
from standage.questions.question import Drawing, Question
from standage.questions.shunting_plan import QUESTION as PLAN
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Fault, Faulty
from support.track_plans import Document, taped_points

Body = dict[str, Any]
NOTHING = Sources(None, "")


def fan(**beside: Any) -> Document:
    """Return the yard of the questions' examples by tape: 320 mm of headshunt, of which
    30 are the toe's; of each leg 30 mm are clear.
    """
    return {
        "scale": "00",
        "pieces": {
            "BH": {"kind": "buffer_stop"},
            "H": {"kind": "track", "length_mm": 290.0},
            "P": taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0),
            "S1": {"kind": "track", "length_mm": 290.0},
            "B1": {"kind": "buffer_stop"},
            "S2": {"kind": "track", "length_mm": 180.0},
            "B2": {"kind": "buffer_stop"},
        },
        "joins": [
            ["BH.a", "H.a"],
            ["H.b", "P.toe"],
            ["P.branch", "S1.a"],
            ["S1.b", "B1.a"],
            ["P.through", "S2.a"],
            ["S2.b", "B2.a"],
        ],
        "places": [
            {"name": "Dairy", "kind": "siding", "on": ["S1"]},
            {"name": "Coal drop", "kind": "siding", "on": ["S2"]},
        ],
        **beside,
    }


NAMES = ["Dairy", "Coal drop"]


def yard(**beside: Any) -> Body:
    return {"plan": fan(), "headshunt": "headshunt H", "sidings": NAMES, **beside}


def gathered(question: Any, body: Body) -> Any:
    request = convert(body, question.request)
    if isinstance(question, Drawing):
        assert question.look is not None
        return question.gather(NOTHING, request, question.look())
    return question.gather(NOTHING, request)


def answered(question: Any, body: Body) -> Any:
    """Return what is answered, by way of another process."""
    case = gathered(question, body)
    assert question.heavy(case)
    sent = sent_away(case)
    if isinstance(question, Drawing):
        return question.draw(sent)
    return question.reckon(sent)


def faults(body: Body) -> list[Fault]:
    with pytest.raises(Faulty) as refused:
        answered(PLAN, body)
    return list(refused.value.faults)


def asked(**beside: Any) -> Body:
    """Return the example's question with its yard on a plan."""
    return {**PLAN.example, "yard": yard(**beside)}


def holds_a_yard(kind: Any) -> bool:
    if isinstance(kind, type) and issubclass(kind, AskedYard):
        return True
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        return any(holds_a_yard(one.type) for one in msgspec.structs.fields(kind))
    return any(map(holds_a_yard, get_args(kind)))


WITH_YARDS = [
    pytest.param(one, id=one.id)
    for one in every_question()
    if isinstance(one, Question | Drawing) and holds_a_yard(one.request)
]


def test_every_shunting_question_takes_a_yard() -> None:
    assert len(WITH_YARDS) == 6


@pytest.mark.parametrize("question", WITH_YARDS)
def test_every_question_takes_a_yard_of_a_plan_as_it_takes_its_figures(
    question: Any,
) -> None:
    by_plan = answered(question, {**question.example, "yard": yard()})
    by_figures = answered(question, question.example)
    if isinstance(by_plan, str):
        assert by_plan == by_figures
        return
    told, said = msgspec.to_builtins(by_plan), msgspec.to_builtins(by_figures)
    assert told.pop("assumed") != said.pop("assumed")
    assert told == said


@pytest.mark.parametrize("question", WITH_YARDS)
def test_every_question_refuses_a_headshunt_that_the_plan_has_not(
    question: Any,
) -> None:
    body = {**question.example, "yard": yard(headshunt="headshunt Q")}
    with pytest.raises(Faulty) as refused:
        answered(question, body)
    (fault,) = refused.value.faults
    assert (fault.pointer, fault.code) == ("/yard/headshunt", "no_such_road")
    assert "did you mean headshunt H?" in fault.message
    assert question.most_bytes == 1024 * 1024


def test_how_a_yard_stands_on_a_plan_is_drawn_in_another_process() -> None:
    (drawing,) = [
        one
        for one in every_question()
        if isinstance(one, Drawing) and one.id == "drawShuntingPlan"
    ]
    assert drawing.look is not None
    assert drawing.heavy is not None
    start = convert({"show": "start"}, drawing.look)
    for body, is_heavy in ((asked(), True), (PLAN.example, False)):
        request = convert(body, drawing.request)
        case = drawing.gather(NOTHING, request, start)
        assert drawing.heavy(case) == is_heavy
        assert drawing.draw(case).startswith("<svg")


@pytest.mark.parametrize(
    ("beside", "pointer", "code"),
    [
        ({"headshunt": None}, "/headshunt", "missing"),
        ({"yard_id": "Creamery"}, "/plan", "one_or_the_other"),
        ({"headshunt_usable_length_mm": 9}, "/headshunt_usable_length_mm", None),
        ({"rooms": [{"between": NAMES, "room_mm": 400}]}, "/rooms", None),
        ({"headshunt_uncoupling_places_mm": [9]}, None, None),
        (
            {"sidings": ["Dairy", {"name": "B", "usable_length_mm": 9}]},
            "/sidings/1",
            None,
        ),
        ({"plan": None}, "/headshunt", None),
        ({"plan": None}, "/sidings/0", None),
        ({"sidings": ["Dairy", "Barn"]}, "/sidings/1", "no_such_road"),
        ({"sidings": ["Dairy", "Dairy"]}, "/sidings/1", "not_unique"),
        ({"headshunt": "Dairy"}, "/headshunt", "no_headshunt"),
        ({"sidings": ["headshunt H"]}, "/sidings/0", "no_siding"),
        ({"sidings": []}, "/sidings", "too_few"),
    ],
)
def test_what_is_amiss_is_pointed_at(
    beside: Body, pointer: str | None, code: str | None
) -> None:
    pointer = pointer or f"/{next(iter(beside))}"
    found = {(one.pointer, one.code) for one in faults(asked(**beside))}
    assert (f"/yard{pointer}", code or "one_or_the_other") in found


def test_what_is_amiss_with_inline_sidings_is_told_as_ever() -> None:
    body = {**PLAN.example, "yard": {**PLAN.example["yard"], "sidings": [{"x": 1}]}}
    told = {(one.pointer, one.code) for one in faults(body)}
    assert told == {
        ("/yard/sidings/0/name", "missing"),
        ("/yard/sidings/0/usable_length_mm", "missing"),
        ("/yard/sidings/0/x", "unknown_field"),
    }


def test_what_is_wrong_with_the_wagons_is_told_before_the_plan_is_surveyed() -> None:
    body = asked(headshunt="headshunt Q")
    body["wagons"] = [{"name": name, "kind": "wagon"} for name in ("A", "B")]
    with pytest.raises(Faulty) as refused:
        gathered(PLAN, body)
    pointers = {one.pointer for one in refused.value.faults}
    assert {"/wagons/0/length_mm", "/wagons/1/front_coupling/reach_mm"} <= pointers
    assert "/yard/headshunt" not in pointers


def test_what_the_yard_has_no_room_for_is_refused_once_it_is_found() -> None:
    names = [wagon["name"] for wagon in PLAN.example["wagons"]]
    body = {**asked(), "start": {"sidings": [[], names]}}
    (fault,) = faults(body)
    assert (fault.pointer, fault.code) == ("/start/sidings/1", "does_not_fit")
    assert fault.message.startswith("Coal drop is 24 mm too short")


def messages(**beside: Any) -> dict[str, list[Any]]:
    told: dict[str, list[Any]] = {}
    for one in answered(PLAN, asked(**beside)).assumed:
        told.setdefault(one.field, []).append(one)
    return told


def test_the_yard_that_was_found_is_told_length_by_length() -> None:
    told = messages()
    assert [one.message for one in told["yard"]] == [
        "the yard's lengths are the plan's, and count as exact"
    ]
    lengths = {
        field: (found[0].message, found[0].value_mm, found[0].plus_minus_mm)
        for field, found in told.items()
        if field.endswith("length_mm") and field.startswith("yard/")
    }
    assert lengths == {
        "yard/headshunt_usable_length_mm": (
            "headshunt H, the headshunt: 320 mm from the blade tips",
            320.0,
            None,
        ),
        "yard/sidings/0/usable_length_mm": (
            "Dairy: 320 mm from its fouling point",
            320.0,
            None,
        ),
        "yard/sidings/1/usable_length_mm": (
            "Coal drop: 210 mm from its fouling point",
            210.0,
            None,
        ),
    }


def test_the_plans_own_doubt_is_told_though_the_yard_counts_as_exact() -> None:
    told = messages(plan=fan(plus_minus={"mm": 1.0, "mm_per_m": 10.0}))
    (first,) = told["yard"]
    assert first.message.endswith(
        "by its own ± each may be as far off as is told with it"
    )
    (headshunt,) = told["yard/headshunt_usable_length_mm"]
    # 1 mm, and 10 for each metre of 320 mm
    assert headshunt.plus_minus_mm == 4.2


def test_roads_that_are_no_sidings_are_told_where_all_are_taken() -> None:
    document = fan()
    document["pieces"]["B1"] = {"kind": "open_end"}
    body = {**PLAN.example, "yard": yard(plan=document)}
    del body["yard"]["sidings"]
    body["goal"] = {"siding": "Coal drop", "train": ["Salt"]}
    body["start"] = {"sidings": [["Salt"]]}
    body["wagons"] = [one for one in body["wagons"] if one["name"] == "Salt"]
    told = answered(PLAN, body)
    assert told.verdict == "solved"
    assert "not in the yard: Dairy ends at an open end and not at buffers" in {
        one.message for one in told.assumed
    }


def test_a_fitting_takes_the_place_of_a_hand() -> None:
    fitting = {"kind": "uncoupling", "piece": "S1", "at_mm": 60.0}
    by_hand = answered(PLAN, asked())
    with_fitting = answered(PLAN, asked(plan=fan(fittings=[fitting])))
    inline = {**PLAN.example["yard"]}
    inline["sidings"] = [
        {**inline["sidings"][0], "uncoupling_places_mm": [90.0]},
        inline["sidings"][1],
    ]
    by_figures = answered(PLAN, {**PLAN.example, "yard": inline})
    assert by_hand.cuts_by_hand is None
    assert with_fitting.cuts_by_hand == by_figures.cuts_by_hand
    assert with_fitting.cuts == by_figures.cuts != ()


def test_what_is_uncoupled_in_the_headshunt_may_be_said_beside_the_plan() -> None:
    fitting = {"kind": "uncoupling", "piece": "H", "at_mm": 280.0}
    plan = fan(fittings=[fitting])
    pushed = [
        any(cut.pushed_on for cut in answered(PLAN, asked(plan=plan, **beside)).cuts)
        for beside in ({}, {"uncoupled_ahead": True})
    ]
    assert pushed == [False, True]


def test_figures_that_are_exact_stay_so_on_a_plan() -> None:
    told = answered(PLAN, {**asked(), "exact": True})
    assert [one.field for one in told.assumed][-1] == "exact"
