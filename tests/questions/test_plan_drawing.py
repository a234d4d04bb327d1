"""The question that draws a plan: what goes together, and what it says of what does
not.
"""

from typing import Any

import pytest

from standage.questions.plan import MALT_HOUSE
from standage.questions.plan_drawing import (
    PlanDrawingRequest,
    PlanDrawingWanted,
    gather,
    plan_drawing,
)
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.sheets import read, words

TRAIN = {
    "vehicles": [
        {"name": "Pilot", "length_mm": 110.0, "length_over": "couplings"},
        {"name": "Van", "length_mm": 80.0, "length_over": "couplings", "count": 2},
    ]
}
KINDS: dict[str, dict[str, Any]] = {
    "plan": {},
    "pages": {},
    "place": {"road": "Malt siding", "train": TRAIN},
    "strip": {"road": "Malt siding", "train": TRAIN, "one_in": 4.0},
    "profile": {"road": "Malt siding"},
    "labels": {"labels": [{"road": "Malt siding", "stands": "3 vans"}]},
}


def drawn(**asked: Any) -> str:
    request = convert({"plan": MALT_HOUSE, **asked}, PlanDrawingRequest)
    return plan_drawing(gather(Sources(None, ""), request))


def refused(**asked: Any) -> tuple[str | None, str]:
    with pytest.raises(Faulty) as caught:
        drawn(**asked)
    (fault,) = caught.value.faults
    return fault.pointer, fault.message


@pytest.mark.parametrize("kind", KINDS)
def test_every_drawing_is_drawn(kind: str) -> None:
    drawing = read(drawn(drawing=kind, **KINDS[kind]))
    assert drawing.get("role") == "img"
    assert words(drawing)


def test_not_said_it_is_the_plan_on_a4() -> None:
    assert drawn() == drawn(drawing="plan", paper="a4", track="plain")


def test_a_road_that_is_not_there_is_told_with_what_was_meant() -> None:
    pointer, message = refused(drawing="strip", road="Malt sidin")
    assert pointer == "/road"
    assert "did you mean Malt siding?" in message


def test_a_page_that_is_not_there_is_told_with_the_last_one() -> None:
    assert refused(page=7) == ("/page", "the last page is 1")


@pytest.mark.parametrize(
    ("asked", "pointer"),
    [
        ({"drawing": "place"}, "/road"),
        ({"drawing": "profile"}, "/road"),
        ({"drawing": "plan", "road": "Malt siding"}, "/road"),
        ({"drawing": "plan", "one_in": 2.0}, "/one_in"),
        ({"drawing": "pages", "paper": "phone"}, "/paper"),
        ({"drawing": "plan", "labels": [{"road": "Malt siding"}]}, "/labels"),
        ({"drawing": "profile", "road": "Malt siding", "train": TRAIN}, "/train"),
    ],
)
def test_what_does_not_go_together_is_refused(
    asked: dict[str, Any], pointer: str
) -> None:
    assert refused(**asked)[0] == pointer


def test_what_is_wanted_of_a_plan_on_record_is_refused_by_the_same_rules() -> None:
    with pytest.raises(Faulty):
        convert({"drawing": "strip"}, PlanDrawingWanted)
    wanted = convert({"drawing": "strip", "road": "Malt siding"}, PlanDrawingWanted)
    assert wanted.paper == "a4"
