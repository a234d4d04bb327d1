"""All that is wrong with a plan is told at once, in plain words."""

from typing import Any

from standage.railway.track.plans.plan_faults import plan_faults
from standage.shapes.faults import MOST_FAULTS
from support.track_plans import curve, oval, passing_loop, points, read_plan, straight


def told(document: Any) -> list[tuple[str | None, str]]:
    return [(one.pointer, one.message) for one in plan_faults(read_plan(document))]


def test_sound_plans_have_no_faults() -> None:
    assert told(oval()) == told(passing_loop()) == []


def test_an_end_that_is_joined_twice_names_both() -> None:
    document = {
        "pieces": {"P3": points(), "T7": straight(9), "S1": straight(9)},
        "joins": [["T7.a", "P3.branch"], ["P3.branch", "S1.b"]],
    }
    message = "P3's branch is joined twice: to T7.a and to S1.b"
    assert told(document) == [("/joins/1/0", message)]


def test_a_join_that_is_given_twice_is_told_once() -> None:
    document = {
        "pieces": {"A": straight(1), "B": straight(1)},
        "joins": [["A.b", "B.a"], ["B.a", "A.b"]],
    }
    assert told(document) == [("/joins/1", "B.a and A.b are joined already")]


def test_a_piece_that_is_not_there_is_told_with_the_name_that_was_meant() -> None:
    document = {"pieces": {"S12": straight(1)}, "joins": [["s12.a", "S1.b"]]}
    assert told(document) == [
        ("/joins/0/0", "there is no piece s12; did you mean S12?"),
        ("/joins/0/1", "there is no piece S1; did you mean S12?"),
    ]


def test_an_end_that_a_piece_lacks_is_told_with_those_that_it_has() -> None:
    document = {
        "pieces": {"P1": points(), "A": straight(1)},
        "joins": [["P1.trough", "A.c"]],
    }
    assert told(document) == [
        ("/joins/0/0", "P1 has no end trough; did you mean P1.through?"),
        ("/joins/0/1", "A has no end c; it has a and b"),
    ]


def test_a_piece_may_be_joined_to_itself_but_no_end_to_itself() -> None:
    ring = {"pieces": {"C": curve(300, 360)}, "joins": [["C.a", "C.b"]]}
    assert told(ring) == []
    ring["joins"] = [["C.a", "C.a"]]
    assert told(ring) == [("/joins/0", "C.a is joined to itself")]


def test_figures_that_are_lacking_or_do_not_agree_are_faults_of_the_plan() -> None:
    pieces = {
        "P1": {"kind": "points", "radius_mm": 600, "lead_in_mm": 20, "blades_mm": 30},
        "P2": {"kind": "points", "toe_mm": 10, "through_mm": 90},
        "C1": {"kind": "curve", "radius_mm": 300, "hand": "left"},
        "F1": {"kind": "flexible"},
        "R1": {"kind": "turntable", "deck_mm": 300, "roads": [10, 90, 90]},
    }
    found = plan_faults(read_plan({"pieces": pieces}))
    assert [(one.pointer, one.code) for one in found] == [
        ("/pieces/P1/blades_mm", "too_long"),
        ("/pieces/P1/hand", "missing"),
        ("/pieces/P1/through_after_blades_mm", "missing"),
        ("/pieces/P1/angle_deg", "missing"),
        ("/pieces/P2/branch_mm", "missing"),
        ("/pieces/C1/angle_deg", "missing"),
        ("/pieces/F1/segments", "missing"),
        ("/pieces/R1/roads/0", "contradiction"),
        ("/pieces/R1/roads/2", "repeated"),
    ]


def test_a_leg_that_positions_need_is_asked_for() -> None:
    document = {
        "pieces": {"P1": points(), "S1": straight(5)},
        "fittings": [
            {"kind": "gap", "piece": "P1", "at_mm": 3},
            {"kind": "gap", "piece": "S1", "leg": "a", "at_mm": 3},
            {"kind": "gap", "piece": "P1", "leg": "toe", "at_mm": 3},
        ],
    }
    assert told(document) == [
        ("/fittings/0/leg", "say along which leg of P1: toe, through, branch"),
        ("/fittings/1/leg", "S1 has one track only: leave the leg out"),
    ]


def test_two_places_for_one_part_are_one_too_many() -> None:
    document = oval()
    spot = {"x_mm": 0, "y_mm": 0, "heading_deg": 0}
    document["placed"] = [{"piece": "S1", **spot}, {"piece": "S2", **spot}]
    message = "S2 is joined to S1, which is placed: place one of them"
    assert told(document) == [("/placed/1/piece", message)]


def test_faults_of_a_module_s_plan_are_told_at_their_place_in_the_layout() -> None:
    module = {"pieces": {"T": straight(5)}, "joins": [["T.a", "U.a"]]}
    layout = {
        "modules": {"west": {"plan": module}},
        "module_joins": [["west.e", "x.w"]],
    }
    assert told(layout) == [
        ("/modules/west/plan/joins/0/1", "there is no piece U"),
        ("/module_joins/0/0", "west has no end e"),
        ("/module_joins/0/1", "there is no module x"),
    ]


def test_ten_thousand_faults_are_not_told_and_take_no_time() -> None:
    pieces = {f"T{number}": straight(5) for number in range(20_000)}
    joins = [["T1.a", f"T{number}.b"] for number in range(20_000)]
    document = {"pieces": pieces, "joins": joins * 3}
    assert len(plan_faults(read_plan(document))) == MOST_FAULTS
