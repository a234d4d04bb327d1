"""What an alteration makes of roads: lengths by hand, and how good they are."""

from copy import deepcopy
from typing import Any

from questions.test_blocked_moves import WHARF
from standage.railway.alterations.roads_changed import (
    ChangedRoad,
    known_roads,
    roads_changed,
)
from standage.railway.track.survey.survey import survey
from support.track_plans import Document, read_plan


def altered(**lengths_mm: float) -> Document:
    """Return the wharf with pieces of other lengths: 600 mm of W's 620 can be used."""
    plan: Document = deepcopy(WHARF)
    for name, length_mm in lengths_mm.items():
        plan["pieces"][name]["length_mm"] = length_mm
    return plan


def without(*names: str) -> Document:
    plan: Document = deepcopy(WHARF)
    plan["places"] = [one for one in plan["places"] if one["name"] not in names]
    return plan


def changed(before: Document, after: Document) -> tuple[ChangedRoad, ...]:
    plans = [known_roads(survey(read_plan(one))) for one in (before, after)]
    return roads_changed(*plans)


def figures(plan: Document, name: str = "Wharf") -> Any:
    (road,) = [one for one in changed(without(name), plan) if one.name == name]
    return road.after


def test_what_is_gone_stands_first_and_then_what_loses_most() -> None:
    after = altered(W=700, L=830, M=890)
    after["places"] = [one for one in after["places"] if one["name"] != "Headshunt"]
    told = {one.name: one.longer_by_mm for one in changed(WHARF, after)}
    named = [name for name in told if not name.startswith("running line")]
    assert named[0] == "Headshunt"
    assert told["Headshunt"] is None
    assert [(name, told[name]) for name in named if told[name] is not None] == [
        ("Loop", -50.0),
        ("Main", -10.0),
        ("Wharf", 80.0),
    ]


def test_a_length_is_as_good_as_its_plan_says_and_else_taken_as_it_is() -> None:
    said = {**WHARF, "plus_minus": {"mm": 1, "mm_per_m": 2}}
    assert figures(said).usable_length_mm == 600.0
    # 1 mm, and 2 mm a metre of 0.6 m.
    assert figures(said).plus_minus_mm == 2.2
    assert figures(WHARF).plus_minus_mm is None


def test_a_length_by_tape_counts_before_the_plan_s_and_is_as_good_as_a_tape() -> None:
    taped: Document = deepcopy(WHARF)
    for place in taped["places"]:
        if place["name"] == "Wharf":
            place["surveyed_usable_length_mm"] = 590
    assert figures(taped).usable_length_mm == 590.0
    # Common practice: 1 mm, and 1 mm a metre.
    assert figures(taped).plus_minus_mm == 1.59
    assert [one.name for one in changed(taped, {**taped, "plus_minus": {"mm": 3}})] == [
        name for name in known_roads(survey(read_plan(taped))) if name != "Wharf"
    ]
