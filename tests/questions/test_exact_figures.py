"""Inline figures that are exactly as written: one word on a question, and what it
leaves as it is.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from msgspec import inspect

from standage.app import operations
from standage.questions import (
    capacity,
    curve,
    deal,
    every_train,
    fill,
    longest_train,
    parts,
    passing,
    road_allocation,
    shunting_plan,
    train_fit,
    wish_list,
)
from standage.questions.asked import AskedVehicle
from standage.questions.reckoning import MayBeExact, without_doubt
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.yard_questions import YARD

ENGINE = {
    "name": "Engine",
    "kind": "engine",
    "length_mm": 300,
    "length_over": "couplings",
}
WAGONS = {
    "name": "Wagon",
    "kind": "wagon",
    "length_mm": 100,
    "length_over": "couplings",
    "count": 20,
}
WAGON = WAGONS | {"count": 1}
TRAIN = {"vehicles": [ENGINE, WAGONS]}
JUST_ENOUGH = {"kind": "loop", "usable_length_mm": 2300}
INSIDE = {"kind": "loop", "usable_length_mm": 100}
YARD_WAGONS = [{"name": name, "length_mm": 80} for name in "AB"]

QUESTIONS: dict[str, tuple[Any, Any, dict[str, Any], str, str]] = {
    "train-fit": (
        train_fit,
        Sources,
        {"train": TRAIN, "place": JUST_ENOUGH},
        "tight",
        "fits",
    ),
    "parts": (
        parts,
        Sources,
        {"train": TRAIN, "place": JUST_ENOUGH},
        "in_parts",
        "whole",
    ),
    "road-allocation": (
        road_allocation,
        Sources,
        {"trains": [TRAIN], "roads": [JUST_ENOUGH]},
        "some_left_over",
        "all_stand",
    ),
    "wish-list": (
        wish_list,
        Sources,
        {"vehicles": [WAGON], "places": [INSIDE]},
        "marginal",
        "suits",
    ),
}


def asked(question: str, **more: Any) -> Any:
    module, sources, body, *_ = QUESTIONS[question]
    return answered(module, sources, body | more)


def answered(module: Any, sources: Any, body: dict[str, Any]) -> Any:
    request = next(
        one
        for name, one in vars(module).items()
        if name.endswith("Request") and issubclass(one, MayBeExact)
    )
    return module.reckon(module.gather(sources(None, ""), convert(body, request)))


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_train_that_just_fills_its_road_is_certain_only_where_its_figures_are_exact(
    question: str,
) -> None:
    """300 + 20 × 100 in 2300 mm, each length as good as 1 mm: ± 21, unless they are as
    written.
    """
    *_, without, with_it = QUESTIONS[question]
    assert asked(question).verdict == without
    assert asked(question, exact=False) == asked(question)
    assert asked(question, exact=True).verdict == with_it


@pytest.mark.parametrize("question", QUESTIONS)
def test_the_answer_says_so_once(question: str) -> None:
    assert [one.field for one in asked(question, exact=True).assumed].count(
        "exact"
    ) == 1
    assert "exact" not in {one.field for one in asked(question).assumed}
    assert "length_plus_minus_mm" not in {
        one.field for one in asked(question, exact=True).assumed
    }


def test_a_road_holds_for_certain_what_it_holds() -> None:
    body = {"vehicle": WAGON, "usable_length_mm": 2000}
    held = [
        answered(capacity, Sources, body | {"exact": exact}) for exact in (False, True)
    ]
    assert [
        (one.standing_capacity, one.standing_capacity_for_certain) for one in held
    ] == [(20, 19), (20, 20)]


def test_the_longest_train_fills_the_road() -> None:
    body = {"engines": [ENGINE], "pool": [WAGONS], "place": JUST_ENOUGH}
    found = [
        answered(longest_train, Sources, body | {"exact": exact})
        for exact in (False, True)
    ]
    assert [one.from_pool for one in found] == [19, 20]


def test_nothing_is_off_in_a_yard_nor_in_a_fill_nor_on_a_curve_nor_side_by_side() -> (
    None
):
    yard = {
        "engine_length_mm": 100,
        "yard": YARD,
        "wagons": YARD_WAGONS,
        "start": {"sidings": [["A", "B"], [], []]},
        "goal": {"siding": "Left", "train": ["A"]},
    }
    assert [
        answered(shunting_plan, Sources, yard | {"exact": exact}).tightest.plus_minus_mm
        > 0
        for exact in (False, True)
    ] == [True, False]
    others: list[tuple[Any, Any, dict[str, Any]]] = [
        (
            every_train,
            Sources,
            {
                "engine_length_mm": 100,
                "yard": YARD,
                "wagons": YARD_WAGONS,
                "train_wagons": 1,
                "siding": "Left",
                "start": {"sidings": [["A", "B"], [], []]},
            },
        ),
        (
            deal,
            Sources,
            {
                "engine_length_mm": 100,
                "yard": YARD,
                "wagons": YARD_WAGONS,
                "train_wagons": 1,
                "siding": "Left",
                "seed": 1,
            },
        ),
        (fill, Sources, {"roads": [{"road": JUST_ENOUGH, "trains": [TRAIN]}]}),
        (curve, Sources, {"vehicles": [WAGON], "curve": {"radius_mm": 600}}),
        (
            passing,
            Sources,
            {"vehicles": [WAGON], "inner_radius_mm": 600, "spacing_mm": 60},
        ),
    ]
    for module, sources, body in others:
        answer = answered(module, sources, body | {"exact": True})
        assert [one.field for one in answer.assumed].count("exact") == 1


def test_a_plus_minus_that_is_given_stays_and_so_does_one_that_is_scaled() -> None:
    given = {"vehicles": [ENGINE | {"length_plus_minus_mm": 0.4}, WAGONS]}
    assert asked("train-fit", train=given, exact=True).plus_minus_mm == 0.4
    scaled = {"name": "Van", "kind": "wagon", "scale": "00", "full_size_length_m": 6.1}
    answer = asked(
        "train-fit",
        train={
            "vehicles": [
                scaled
                | {
                    "front_coupling": {"reach_mm": 0},
                    "rear_coupling": {"reach_mm": 0},
                }
            ]
        },
        exact=True,
    )
    assert answer.plus_minus_mm == 2.0
    bodies = {
        "name": "Set",
        "bodies": [{"length_mm": 100}, {"length_mm": 100}],
        "front_coupling": {"reach_mm": 0},
        "rear_coupling": {"reach_mm": 0},
    }
    assert (
        asked("train-fit", train={"vehicles": [bodies]}, exact=True).plus_minus_mm == 0
    )
    rakes = {
        "vehicles": [WAGON, WAGON],
        "measured_rakes": [
            {"first": 1, "last": 2, "length_mm": 200, "length_over": "couplings"}
        ],
    }
    assert [
        asked("train-fit", train=rakes, exact=exact).plus_minus_mm
        for exact in (False, True)
    ] == [0.5, 0]


def test_what_is_on_record_stays_as_it_is() -> None:
    request = convert(
        {
            "train": {"vehicles": [{"vehicle_id": "a"}, WAGON]},
            "place": {"place_id": "b"},
            "exact": True,
        },
        train_fit.TrainFitRequest,
    )
    exact = without_doubt(request)
    assert exact.place == request.place
    assert [one.length_plus_minus_mm for one in exact.train.vehicles or ()] == [
        None,
        0.0,
    ]


def types_inside(kind: inspect.Type, seen: set[type]) -> Iterator[type]:
    """Yield every struct that a value of ``kind`` may hold, however deep."""
    if isinstance(kind, inspect.Metadata):
        yield from types_inside(kind.type, seen)
    elif isinstance(kind, inspect.UnionType):
        for one in kind.types:
            yield from types_inside(one, seen)
    elif isinstance(kind, inspect.VarTupleType):
        yield from types_inside(kind.item_type, seen)
    elif isinstance(kind, inspect.StructType) and kind.cls not in seen:
        seen.add(kind.cls)
        yield kind.cls
        for field in kind.fields:
            yield from types_inside(field.type, seen)


def test_every_question_that_takes_a_vehicle_inline_can_be_told_that_its_figures_are_exact() -> (
    None
):
    bodies = {one.takes.body for one in operations() if one.takes.body is not None}
    takes = {
        body
        for body in bodies
        if any(
            issubclass(one, AskedVehicle)
            for one in types_inside(inspect.type_info(body), set())
        )
    }
    assert len(takes) >= 12
    assert {
        body.__name__ for body in takes if not issubclass(body, MayBeExact)
    } == set()
