"""A figure that is missing is asked for once in an answer, whatever else would need it
too.
"""

from collections import Counter
from collections.abc import Iterator
from typing import Any, get_args

import msgspec
import pytest

from standage.questions import (
    curve,
    longest_train,
    parts,
    road_allocation,
    train_fit,
    wish_list,
)
from standage.questions.resolving.trains import NamedTrain, NamedVehicle
from standage.questions.sources import NamedPlace
from standage.railway.roads.places import Place, PlaceKind
from standage.railway.stock.trains import Train
from support.stock import vehicle

HERON = vehicle("Heron", 200.0, kind="engine", front_coupling=None, rear_coupling=None)
UNKNOWN = vehicle(
    "Coach", None, kind="coach", front_coupling=None, rear_coupling=None, count=3
)
KNOWN = vehicle("Coach", 100.0, kind="coach", front_coupling=None, rear_coupling=None)
TRAIN = Train(vehicles=(HERON, UNKNOWN, KNOWN))
ROOMS = (5000.0, 300.0, None)


def place(kind: PlaceKind, usable_length_mm: float | None, name: str = "One") -> Place:
    return Place(
        kind=kind,
        name=name,
        usable_length_mm=usable_length_mm,
        face_length_mm=400.0 if kind == "platform" else None,
        minimum_radius_mm=438.0,
        headroom_mm=60.0,
        scale="1",
    )


def asked_twice(answer: object) -> list[object]:
    twice: list[object] = []
    for because in lists_of_reasons(msgspec.to_builtins(answer)):
        figures = [
            tuple(
                one.get(name) for name in ("vehicle", "other_vehicle", "place", "field")
            )
            for one in because
            if one["code"] == "missing_figure"
        ]
        twice += [figure for figure, times in Counter(figures).items() if times > 1]
    return twice


def lists_of_reasons(answer: Any) -> Iterator[list[dict[str, Any]]]:
    inner = (
        answer.values()
        if isinstance(answer, dict)
        else answer
        if isinstance(answer, list | tuple)
        else ()
    )
    if isinstance(answer, dict) and isinstance(answer.get("because"), list | tuple):
        yield list(answer["because"])
    for one in inner:
        yield from lists_of_reasons(one)


def answers(where: Place) -> Iterator[object]:
    other = NamedPlace(place=msgspec.structs.replace(where, name="Two"))
    here = NamedPlace(place=where)
    pool = (NamedVehicle(vehicle=UNKNOWN), NamedVehicle(vehicle=KNOWN))
    yield train_fit.reckon(train_fit.TrainFitCase(train=TRAIN, place=where))
    yield parts.reckon(parts.PartsCase(train=TRAIN, place=where))
    yield wish_list.reckon(
        wish_list.WishListCase(vehicles=TRAIN.vehicles, places=(here,))
    )
    for engines in ((NamedVehicle(vehicle=HERON),), ()):
        yield longest_train.reckon(
            longest_train.LongestTrainCase(engines=engines, pool=pool, place=where)
        )
    trains = tuple(NamedTrain(name=name, train=TRAIN) for name in ("Coal", "Mail"))
    yield road_allocation.reckon(
        road_allocation.RoadAllocationCase(trains=trains, roads=(here, other))
    )


@pytest.mark.parametrize("kind", get_args(PlaceKind))
@pytest.mark.parametrize("usable_length_mm", ROOMS)
def test_no_question_about_a_place_asks_twice_for_a_figure(
    kind: PlaceKind, usable_length_mm: float | None
) -> None:
    told = list(answers(place(kind, usable_length_mm)))
    assert [asked_twice(answer) for answer in told] == [[]] * len(told)
    assert any(
        True
        for answer in told
        for because in lists_of_reasons(msgspec.to_builtins(answer))
        if because
    )


def test_a_curve_asks_once_too() -> None:
    asked = curve.AskedCurve(radius_mm=438.0)
    answer = curve.reckon(curve.CurveCase(vehicles=TRAIN.vehicles, curve=asked))
    assert asked_twice(answer) == []


def test_a_train_left_over_names_the_length_that_is_missing_once_and_first() -> None:
    told = road_allocation.reckon(
        road_allocation.RoadAllocationCase(
            trains=(NamedTrain(name="Mail", train=Train(vehicles=(UNKNOWN,))),),
            roads=(NamedPlace(place=place("loop", 900.0)),),
        )
    )
    because = told.left_over[0].because
    assert [one.vehicle for one in because if one.field == "length_mm"] == ["Coach"]
    assert because[0].field == "length_mm"
