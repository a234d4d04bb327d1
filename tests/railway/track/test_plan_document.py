"""The document of a plan: what is none at all is refused, each fault at its place."""

from typing import Any

import msgspec
import pytest

from standage.railway.track.pieces.piece_kinds import AnyPiece
from standage.railway.track.plans.plan import Plan
from standage.shapes.faults import MOST_FAULTS, Faulty
from support.track_plans import read_plan


def faults_of(document: Any) -> dict[str | None, str]:
    with pytest.raises(Faulty) as refused:
        read_plan(document)
    return {fault.pointer: fault.code for fault in refused.value.faults}


def test_the_least_plan_is_pieces_and_joins() -> None:
    plan = read_plan(
        {"pieces": {"T1": {"kind": "straight", "length_mm": 9}}, "joins": []}
    )
    assert list(plan.pieces) == ["T1"]
    assert (plan.form, plan.slack_mm, plan.slack_deg) == (1, 1.0, 0.5)


def test_a_plan_comes_back_from_what_is_kept_of_it() -> None:
    plan = read_plan({"pieces": {"P1": {"kind": "points", "toe_mm": 3}}, "scale": "N"})
    assert msgspec.json.decode(msgspec.json.encode(plan), type=Plan) == plan


def test_every_piece_tells_its_own_faults() -> None:
    pieces = {
        "T1": {"kind": "straight", "length_mm": -1},
        "T2": {"kind": "curve", "radius_mm": 300},
        "T3": {"kind": "stright"},
        "T4": 7,
    }
    assert faults_of({"pieces": pieces}) == {
        "/pieces/T1/length_mm": "too_small",
        "/pieces/T2/hand": "missing",
        "/pieces/T3/kind": "not_a_choice",
        "/pieces/T4": "wrong_type",
    }


@pytest.mark.parametrize(
    "name", ["T.1", "a/b", "", "x" * 81, "T\n", " T", "T ", "\x00"]
)
def test_a_name_that_an_end_could_not_bear_is_refused(name: str) -> None:
    track = {"kind": "straight", "length_mm": 1}
    assert faults_of({"pieces": {name: track}})


@pytest.mark.parametrize("document", [None, 3, [], "plan", {"pieces": []}])
def test_what_is_no_plan_is_refused(document: Any) -> None:
    assert faults_of(document)


@pytest.mark.parametrize("length", [1e300, float("inf"), -0.001])
def test_an_absurd_length_is_refused(length: float) -> None:
    track = {"kind": "straight", "length_mm": length}
    assert list(faults_of({"pieces": {"T1": track}})) == ["/pieces/T1/length_mm"]


def test_more_joins_than_any_plan_has_are_refused() -> None:
    assert faults_of({"joins": [["A.a", "B.b"]] * 100_000}) == {"/joins": "too_many"}


def test_points_are_laid_out_where_they_have_a_radius() -> None:
    laid = msgspec.convert({"kind": "points", "radius_mm": 610}, AnyPiece)
    taped = msgspec.convert({"kind": "points", "toe_mm": 30}, AnyPiece)
    assert (laid.without_shape, taped.without_shape) == (False, True)


@pytest.mark.parametrize("name", ["up\u202eloop", "T\u200b1", "half \ud800"])
def test_a_name_with_what_nobody_sees_is_refused_at_its_piece(name: str) -> None:
    track = {"kind": "straight", "length_mm": 1}
    (pointer,) = faults_of({"pieces": {name: track}})
    assert pointer is not None
    assert pointer.startswith("/pieces/")


def test_a_modules_plan_tells_its_faults_at_their_place() -> None:
    inner = {"pieces": {"a~b": {"kind": "straight", "length_mm": -1}}}
    assert faults_of({"modules": {"west": {"plan": inner}}}) == {
        "/modules/west/plan/pieces/a~0b/length_mm": "too_small"
    }


def test_more_pieces_than_any_plan_has_are_refused_without_looking_at_all() -> None:
    pieces = {f"T{number}": {"kind": "stright"} for number in range(30_000)}
    found = faults_of({"pieces": pieces})
    assert found["/pieces"] == "too_many"
    assert len(found) == MOST_FAULTS


def test_spirals_that_would_take_minutes_to_reckon_are_refused() -> None:
    """Thousands of turns each; the like of an ordinary plan's many are taken."""
    spiral = {
        "kind": "transition",
        "radius_from_mm": 1,
        "radius_to_mm": 300,
        "hand": "left",
    }
    spirals = {f"T{n}": {**spiral, "length_mm": 900 + n / 100} for n in range(900)}
    assert faults_of({"pieces": spirals}) == {"/pieces": "too_many"}
    within = {"modules": {"west": {"plan": {"pieces": spirals}}}}
    assert faults_of(within) == {"/pieces": "too_many"}
    easy = {**spiral, "radius_from_mm": 600}
    ordinary = {f"T{n}": {**easy, "length_mm": 90 + n / 100} for n in range(5000)}
    assert len(read_plan({"pieces": ordinary}).pieces) == 5000
