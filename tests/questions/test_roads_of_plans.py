"""A road of a track plan is a place in every question: the same verdict as of the
figures that the plan gives, and never a guess.
"""

import pickle
from collections.abc import Iterator
from typing import Any, get_args

import msgspec
import pytest

from standage.questions.asked import AskedPlace
from standage.questions.capacity import QUESTION as CAPACITY
from standage.questions.catalogue import every_question
from standage.questions.fill import QUESTION as FILL
from standage.questions.question import Drawing, Question
from standage.questions.sources import Sources
from standage.questions.train_fit import QUESTION as TRAIN_FIT
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.track_plans import (
    Document,
    ladder,
    passing_loop,
    points,
    straight,
    taped_points,
)

Body = dict[str, Any]

VAN = {
    "name": "Van",
    "kind": "wagon",
    "length_mm": 100.0,
    "length_over": "couplings",
    "length_plus_minus_mm": 0.0,
}


def sent_away(case: Any) -> Any:
    """Return a case as another process receives it."""
    return pickle.loads(pickle.dumps(case))  # noqa: S301 - our own


def answered(question: Any, body: Body) -> Any:
    """Return what is answered, by way of another process where it is heavy."""
    request = convert(body, question.request)
    if isinstance(question, Drawing):
        look = question.look and question.look()
        return question.draw(question.gather(Sources(None, ""), request, look))
    case = question.gather(Sources(None, ""), request)
    if question.heavy is not None and question.heavy(case):
        case = sent_away(case)
    return question.reckon(case)


def fit(place: Body, *, vans: int = 3, **beside: Any) -> Any:
    train = {"vehicles": [{**VAN, "count": vans}]}
    return answered(TRAIN_FIT, {"train": train, "place": place, **beside})


def siding_by_tape(**figures: Any) -> Document:
    """Return measured points with a siding of 1,000 mm that can be used: its leg is 190
    mm long and fouled for 160 mm.
    """
    return {
        "scale": "00",
        "pieces": {
            "P": taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0),
            "S": {"kind": "track", "length_mm": 970.0, "minimum_radius_mm": 500.0},
            "B": {"kind": "buffer_stop"},
        },
        "joins": [["P.branch", "S.a"], ["S.b", "B.a"]],
        **figures,
    }


SIDING = {"plan": siding_by_tape(), "road": "siding S"}


def faults(body: Body) -> list[tuple[str | None, str]]:
    with pytest.raises(Faulty) as refused:
        fit(body)
    return [(one.pointer, one.code) for one in refused.value.faults]


def test_the_usable_length_runs_from_the_fouling_point_to_the_stops_face() -> None:
    answer = fit(SIDING)
    assert (answer.verdict, answer.usable_length_mm) == ("fits", 1000.0)
    assert (answer.spare_mm, answer.stopping_margin_mm) == (700.0, 0.0)


def test_a_train_that_is_longer_than_the_plan_allows_does_not_fit() -> None:
    assert fit(SIDING, vans=10).verdict == "fits"
    assert fit(SIDING, vans=11).verdict == "does_not_fit"


@pytest.mark.parametrize("name", ["siding S", "Siding s", "SIDING S"])
def test_capitals_do_not_matter_in_a_roads_name(name: str) -> None:
    assert fit({"plan": siding_by_tape(), "road": name}).usable_length_mm == 1000.0


def test_a_place_of_the_plan_is_a_road_by_its_own_name() -> None:
    plan = siding_by_tape(places=[{"name": "Coal", "kind": "siding", "on": ["S"]}])
    answer = fit({"plan": plan, "road": "Coal"}, vans=11)
    assert answer.usable_length_mm == 1000.0
    assert "Coal" in answer.because[0].message


def test_a_place_is_taken_before_a_road_of_the_same_name() -> None:
    stretch = [{"piece": "S", "from_mm": 0.0, "to_mm": 640.0}]
    plan = siding_by_tape(places=[{"name": "siding S", "stretch": stretch}])
    assert fit({"plan": plan, "road": "siding S"}).usable_length_mm == 640.0


def test_the_plans_plus_minus_is_the_roads() -> None:
    # 1 mm, and 2 mm for each of 1.000 m
    plan = siding_by_tape(plus_minus={"mm": 1.0, "mm_per_m": 2.0})
    answer = fit({"plan": plan, "road": "siding S"}, vans=10)
    assert (answer.verdict, answer.plus_minus_mm) == ("tight", 3.0)
    (told,) = [one for one in answer.assumed if one.field == "plus_minus_mm"]
    assert "by the plan" in told.message


def test_a_plan_that_says_no_plus_minus_counts_as_exact() -> None:
    answer = fit(SIDING)
    assert answer.plus_minus_mm == 0.0
    (told,) = [one for one in answer.assumed if one.field == "plus_minus_mm"]
    assert "the plan says nothing" in told.message


def test_the_least_radius_of_the_road_says_whether_the_train_gets_there() -> None:
    long = {**VAN, "kind": "coach", "minimum_radius_mm": 600.0}
    body = {"train": {"vehicles": [long]}, "place": SIDING}
    assert answered(TRAIN_FIT, body).reaching == "cannot_tell"
    body["place"] = {
        "plan": siding_by_tape(
            pieces={
                **siding_by_tape()["pieces"],
                "P": points(),
            }
        ),
        "road": "siding S",
    }
    answer = answered(TRAIN_FIT, body)
    assert (answer.reaching, answer.verdict) == ("does_not_run", "does_not_fit")


def test_a_road_that_is_straight_all_along_has_no_curve_to_get_round() -> None:
    plan = {
        "scale": "00",
        "pieces": {"A": straight(700.0), "B": {"kind": "buffer_stop"}},
        "joins": [["A.b", "B.a"]],
    }
    answer = fit({"plan": plan, "road": "running line A"})
    assert "minimum_radius_mm" not in answer.not_compared
    assert answer.usable_length_mm == 700.0


def test_what_the_plan_cannot_tell_is_never_guessed_and_names_the_piece() -> None:
    plan = siding_by_tape()
    plan["pieces"]["P"] = taped_points()
    answer = fit({"plan": plan, "road": "siding S"})
    assert (answer.verdict, answer.usable_length_mm) == ("cannot_tell", None)
    assert answer.because[0].message == (
        "siding S: where it is clear of P cannot be told: measure the fouling points"
        " of P"
    )


def test_without_a_scale_the_spacing_is_asked_for() -> None:
    plan = siding_by_tape(scale=None)
    plan["pieces"]["P"] = points()
    answer = fit({"plan": plan, "road": "siding S"})
    assert answer.verdict == "cannot_tell"
    assert "give the plan its scale, or fouling_spacing_mm" in answer.because[0].message


def test_the_piece_whose_shape_is_missing_is_named() -> None:
    plan = ladder(roads=2)
    plan["pieces"]["S1"] = {"kind": "flexible", "fitted": True}
    answer = fit({"plan": {"scale": "00", **plan}, "road": "siding S1"})
    assert answer.verdict == "cannot_tell"
    assert "S1" in answer.because[0].message


def test_a_road_with_which_nothing_is_wrong_is_told_in_spite_of_faults() -> None:
    plan = siding_by_tape()
    plan["pieces"]["X"] = straight(100.0)
    plan["joins"].append(["X.a", "Y.b"])
    answer = fit({"plan": plan, "road": "siding S"})
    assert answer.usable_length_mm == 1000.0
    assert "plan" in {one.field for one in answer.assumed}


def test_a_road_at_which_the_plan_is_at_fault_is_not_told() -> None:
    plan = siding_by_tape()
    plan["pieces"]["X"] = straight(100.0)
    plan["joins"].append(["S.b", "X.a"])
    answer = fit({"plan": plan, "road": "siding S"})
    assert answer.verdict == "cannot_tell"
    assert "check the plan" in answer.because[0].message


@pytest.mark.parametrize(
    ("place", "pointer", "code"),
    [
        ({**SIDING, "road": "siding Z9"}, "/place/road", "no_such_road"),
        ({"plan": SIDING["plan"]}, "/place/road", "missing"),
        ({"road": "siding S"}, "/place/road", "one_or_the_other"),
        ({**SIDING, "place_id": "Coal"}, "/place/plan", "one_or_the_other"),
        ({**SIDING, "usable_length_mm": 9}, "/place/usable_length_mm", None),
        ({**SIDING, "scale": "00"}, "/place/scale", "one_or_the_other"),
        ({**SIDING, "ends": []}, "/place/ends", "one_or_the_other"),
    ],
)
def test_what_is_amiss_is_pointed_at(
    place: Body, pointer: str, code: str | None
) -> None:
    assert (pointer, code or "one_or_the_other") in faults(place)


def refusal(plan: Document, road: str) -> str:
    with pytest.raises(Faulty) as refused:
        fit({"plan": plan, "road": road})
    (fault,) = refused.value.faults
    return fault.message


def test_an_unknown_road_is_refused_with_the_roads_there_are() -> None:
    assert refusal(siding_by_tape(), "sidng S") == (
        "the plan has no road sidng S; did you mean siding S?; its roads: running line"
        " P through, running line P toe, siding S"
    )


def test_a_piece_is_no_road_but_its_road_is_named() -> None:
    assert "did you mean siding S?" in refusal(siding_by_tape(), "S")


def test_a_plan_without_track_has_no_roads() -> None:
    assert refusal({"pieces": {}}, "siding S").endswith("there are no roads in it")


@pytest.mark.parametrize("name", ["siding Z", "q" * 200, "\u2603" * 30])
def test_a_refusal_is_short_however_many_roads_there_are(name: str) -> None:
    message = refusal({"scale": "00", **ladder(roads=40)}, name)
    assert len(message) <= 200
    assert "more" in message


def test_two_roads_of_one_name_are_asked_apart() -> None:
    siding = siding_by_tape(places=[{"name": "Coal", "on": ["S"]}])
    modules = {"west": {"plan": siding}, "east": {"plan": siding}}
    assert "2 roads called Coal" in refusal({"modules": modules}, "Coal")


def test_a_modules_road_is_called_by_the_modules_name() -> None:
    plan = {"scale": "00", "modules": {"west": {"plan": siding_by_tape()}}}
    answer = fit({"plan": plan, "road": "siding west/S"})
    assert answer.usable_length_mm == 1000.0


def test_beside_the_plan_stands_what_it_does_not_know() -> None:
    low = {**VAN, "height_mm": 60.0}
    place = {
        **SIDING,
        "name": "The Coal Hole",
        "minimum_radius_mm": 500.0,
        "headroom_mm": 50.0,
        "wheels": "fine",
    }
    answer = answered(TRAIN_FIT, {"train": {"vehicles": [low]}, "place": place})
    assert answer.verdict == "does_not_fit"
    assert any("The Coal Hole" in one.message for one in answer.because)
    assert answer.not_compared == ()


def test_a_platforms_face_is_given_beside_the_plan() -> None:
    coach = {**VAN, "kind": "coach", "count": 5}
    place = {**SIDING, "kind": "platform", "face_length_mm": 450.0}
    answer = answered(TRAIN_FIT, {"train": {"vehicles": [coach]}, "place": place})
    assert answer.face_spare_mm == -50.0


def test_a_length_by_tape_wins_over_the_plans_and_the_difference_is_told() -> None:
    place = {"name": "Coal", "on": ["S"], "surveyed_usable_length_mm": 988.0}
    answer = fit({"plan": siding_by_tape(places=[place]), "road": "Coal"})
    # as good as a tape over 0.988 m
    assert (answer.usable_length_mm, answer.plus_minus_mm) == (988.0, 1.988)
    (told,) = [one for one in answer.assumed if one.field == "usable_length_mm"]
    assert told.message == (
        "the tape's 988 mm count; by the plan it is 1000 mm, so that the road measured"
        " is 12 mm shorter"
    )


def test_a_length_by_tape_counts_where_the_plan_cannot_tell() -> None:
    plan = siding_by_tape(
        places=[{"name": "Coal", "on": ["S"], "surveyed_usable_length_mm": 988.0}]
    )
    plan["pieces"]["P"] = taped_points()
    answer = fit({"plan": plan, "road": "Coal"})
    assert (answer.verdict, answer.usable_length_mm) == ("fits", 988.0)


def test_a_reversing_section_is_not_told_by_its_fouling_points() -> None:
    on = {"name": "Loop", "kind": "reversing_section", "on": ["S"]}
    answer = fit({"plan": siding_by_tape(places=[on]), "road": "Loop"})
    assert answer.verdict == "cannot_tell"
    stretch = [{"piece": "S", "from_mm": 100.0, "to_mm": 900.0}]
    between = {"name": "Loop", "kind": "reversing_section", "stretch": stretch}
    told = fit({"plan": siding_by_tape(places=[between]), "road": "Loop"})
    assert told.usable_length_mm == 800.0


def test_marks_and_blades_are_told_beside_the_usable_length() -> None:
    marks = [
        {"kind": "stopping_mark", "piece": "S", "at_mm": 100.0},
        {"kind": "stopping_mark", "piece": "S", "at_mm": 900.0},
    ]
    answer = fit({"plan": siding_by_tape(fittings=marks), "road": "siding S"})
    assert {one.field: one.length_mm for one in answer.also} == {
        "blades_to_blades_mm": 190.0 + 970.0,
        "stop_to_stop_mm": 800.0,
    }


def test_a_length_that_was_surveyed_is_told_where_no_margin_counts() -> None:
    place = {"name": "Coal", "on": ["S"], "surveyed_usable_length_mm": 988.0}
    road = {"plan": siding_by_tape(places=[place]), "road": "Coal"}
    answer = answered(FILL, {"roads": [{"road": road}]})
    (told,) = [one for one in answer.assumed if one.field == "usable_length_mm"]
    assert told.message.startswith("Coal: the tape's 988 mm count; by the plan")


def test_what_is_not_known_of_a_road_is_named_where_roads_are_filled() -> None:
    plan = siding_by_tape()
    plan["pieces"]["P"] = taped_points()
    road = {"plan": plan, "road": "siding S"}
    answer = answered(FILL, {"roads": [{"road": road}]})
    assert answer.verdict == "cannot_tell"
    assert any(
        "measure the fouling points of P" in one.message for one in answer.because
    )


def test_a_gradient_of_the_plan_may_let_stock_run_away() -> None:
    heights = [
        {"piece": "S", "at_mm": 0.0, "height_mm": 0.0},
        {"piece": "S", "at_mm": 900.0, "height_mm": 9.0},
    ]
    answer = fit({"plan": siding_by_tape(heights=heights), "road": "siding S"})
    assert "may_run_away" in [one.code for one in answer.because]


def test_tracks_too_close_leave_nothing_and_it_is_said() -> None:
    plan = passing_loop(main_mm=120.0)
    plan["pieces"]["L"] = straight(10.0)
    plan["joins"] = [pair for pair in plan["joins"] if pair != ["L.b", "C2.b"]]
    answer = fit({"plan": {"scale": "00", **plan}, "road": "running line M"})
    assert answer.verdict == "does_not_fit"


@pytest.mark.parametrize(
    ("beside", "pointers"),
    [
        ({}, {"/usable_length_mm"}),
        ({"place": SIDING, "usable_length_mm": 520.0}, {"/usable_length_mm"}),
        ({"place": SIDING, "plus_minus_mm": 1.0}, {"/plus_minus_mm"}),
    ],
)
def test_a_capacity_is_asked_of_a_length_or_of_a_place(
    beside: Body, pointers: set[str]
) -> None:
    with pytest.raises(Faulty) as refused:
        answered(CAPACITY, {"vehicle": VAN, **beside})
    assert {one.pointer for one in refused.value.faults} == pointers


def test_no_capacity_is_told_of_a_road_of_unknown_length() -> None:
    plan = siding_by_tape()
    plan["pieces"]["P"] = taped_points()
    with pytest.raises(Faulty) as refused:
        answered(
            CAPACITY, {"vehicle": VAN, "place": {"plan": plan, "road": "siding S"}}
        )
    (fault,) = refused.value.faults
    assert fault.pointer == "/place"
    assert "measure the fouling points of P" in fault.message


def places_in(value: object, body: Any, path: tuple[Any, ...] = ()) -> Iterator[Any]:
    """Yield the way to each inline place in what was asked."""
    if isinstance(value, AskedPlace):
        yield path
    elif isinstance(value, msgspec.Struct) and isinstance(body, dict):
        for field in msgspec.structs.fields(type(value)):
            if field.encode_name in body:
                within = getattr(value, field.name)
                key = field.encode_name
                yield from places_in(within, body[key], (*path, key))
    elif isinstance(value, tuple) and isinstance(body, list):
        for number, one in enumerate(value):
            yield from places_in(one, body[number], (*path, number))


def with_place(body: Any, path: tuple[Any, ...], place: Body) -> Any:
    """Return what is asked with another place there."""
    if not path:
        return place
    changed = dict(body) if isinstance(body, dict) else list(body)
    changed[path[0]] = with_place(body[path[0]], path[1:], place)
    return changed


def asked_with_a_place(question: Any) -> Body:
    """Return the example of a question, with its road as a place."""
    example: Body = {**question.example}
    if question.id == CAPACITY.id:
        length_mm = example.pop("usable_length_mm")
        example["place"] = {"kind": "siding", "usable_length_mm": length_mm}
    return example


def examples() -> Iterator[tuple[Any, tuple[Any, ...]]]:
    for question in every_question():
        if isinstance(question, Question | Drawing):
            body = asked_with_a_place(question)
            for path in places_in(convert(body, question.request), body):
                yield question, path


WITH_PLACES = list(examples())
BY_FIGURES = {
    "kind": "siding",
    "name": "siding S",
    "usable_length_mm": 1000.0,
    "blades_to_blades_mm": 1160.0,
    "scale": "00",
    "ends": [{"limit": "fouling_point"}, {"limit": "buffer_stop"}],
}


def holds_a_place(kind: Any) -> bool:
    if kind is AskedPlace:
        return True
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        if kind.__module__.startswith("standage.railway"):
            return False
        types = msgspec.structs.fields(kind)
        return any(holds_a_place(one.type) for one in types)
    return any(map(holds_a_place, get_args(kind)))


def test_every_question_that_takes_a_place_shows_one_in_its_example() -> None:
    taking = {
        one.id
        for one in every_question()
        if isinstance(one, Question | Drawing) and holds_a_place(one.request)
    }
    assert {question.id for question, _ in WITH_PLACES} == taking
    assert len(taking) >= 7


@pytest.mark.parametrize(
    ("question", "path"),
    [pytest.param(*one, id=f"{one[0].id} {one[1]}") for one in WITH_PLACES],
)
def test_every_question_takes_a_road_of_a_plan_as_it_takes_its_figures(
    question: Any, path: tuple[Any, ...]
) -> None:
    body = asked_with_a_place(question)
    by_plan = with_place(body, path, SIDING)
    by_figures = with_place(body, path, BY_FIGURES)
    one, other = answered(question, by_plan), answered(question, by_figures)
    if isinstance(one, str):
        assert one == other
        return
    told, said = msgspec.to_builtins(one), msgspec.to_builtins(other)
    # What is taken for granted is told in other words of a plan.
    told.pop("assumed")
    said.pop("assumed")
    assert told == said


@pytest.mark.parametrize(
    ("question", "path"),
    [pytest.param(*one, id=f"{one[0].id} {one[1]}") for one in WITH_PLACES],
)
def test_every_question_refuses_a_road_that_the_plan_has_not(
    question: Any, path: tuple[Any, ...]
) -> None:
    asked = asked_with_a_place(question)
    body = with_place(asked, path, {**SIDING, "road": "siding Z"})
    with pytest.raises(Faulty) as refused:
        answered(question, body)
    (fault,) = refused.value.faults
    way = "".join(f"/{step}" for step in path)
    assert (fault.pointer, fault.code) == (f"{way}/road", "no_such_road")


@pytest.mark.parametrize(
    ("question", "path"),
    [pytest.param(*one, id=f"{one[0].id} {one[1]}") for one in WITH_PLACES],
)
def test_every_question_hands_a_large_plan_to_another_process(
    question: Any, path: tuple[Any, ...]
) -> None:
    plan = {"scale": "00", **ladder(roads=8)}
    place = {"plan": plan, "road": "siding S1"}
    body = with_place(asked_with_a_place(question), path, place)
    request = convert(body, question.request)
    beside = (None,) if isinstance(question, Drawing) else ()
    case = question.gather(Sources(None, ""), request, *beside)
    assert question.heavy(case)
    assert question.most_bytes == 1024 * 1024
    assert sent_away(case) == case
