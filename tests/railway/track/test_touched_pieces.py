"""Which pieces of a plan its faults are about."""

import pytest

from standage.railway.track.survey.survey import survey
from standage.railway.track.survey.touched import touched_pieces
from support.track_plans import Document, read_plan, straight


def touched(document: Document) -> set[str]:
    return set(touched_pieces(survey(read_plan(document))))


def row(*joins: list[str]) -> Document:
    names = ("A", "B", "C", "D")
    pieces = {name: straight(100.0) for name in names}
    return {"pieces": pieces, "joins": [["A.b", "B.a"], *joins]}


def test_a_sound_plan_touches_none() -> None:
    assert touched(row(["B.b", "C.a"])) == set()


@pytest.mark.parametrize(
    ("join", "pieces"),
    [
        (["B.b", "Z.a"], {"B", "Z"}),
        (["C.a", "B.a"], {"B", "C"}),
        (["C.toe", "D.a"], {"C", "D"}),
        (["C.a", "C.a"], {"C"}),
    ],
)
def test_a_join_at_fault_touches_both_its_pieces(
    join: list[str], pieces: set[str]
) -> None:
    assert touched(row(join)) == pieces


def test_what_lies_beside_the_track_touches_none() -> None:
    beside = {
        "places": [{"name": "Coal", "on": ["Z"]}],
        "heights": [{"piece": "Z", "at_mm": 0.0, "height_mm": 1.0}],
        "fittings": [{"kind": "feed", "piece": "Z", "at_mm": 0.0}],
    }
    assert touched({**row(), **beside}) == set()


def module(*joins: list[str]) -> Document:
    ends = [{"name": "west end", "tracks": ["A.a"]}]
    return {**row(*joins), "module_ends": ends}


def test_a_modules_pieces_bear_its_name() -> None:
    plan = {"modules": {"west": {"plan": module(["B.b", "Z.a"])}}}
    assert touched(plan) == {"west/B", "west/Z"}


def test_tracks_that_meet_a_module_without_a_plan_are_touched() -> None:
    modules = {"west": {"plan": module()}, "bay": {"module_id": "bay"}}
    joins = [["west.west end", "bay.east end"]]
    assert touched({"modules": modules, "module_joins": joins}) == {"west/A"}
