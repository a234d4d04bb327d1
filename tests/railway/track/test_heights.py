"""Heights of rails and gradients, over joints and points."""

from math import pi
from typing import Any

import pytest

from standage.railway.track.network.heights import Heights, heights
from support.track_plans import Worked, oval, passing_loop, straight, worked


def risen(document: Any, *points: dict[str, Any]) -> tuple[Worked, Heights]:
    found = worked({**document, "heights": list(points)})
    return found, heights(found.plan, found.network)


def at(piece: str, at_mm: float, height_mm: float, **more: Any) -> dict[str, Any]:
    return {"piece": piece, "at_mm": at_mm, "height_mm": height_mm, **more}


def row() -> Any:
    pieces = {"A": straight(500), "B": straight(1000), "C": straight(700)}
    return {"pieces": pieces, "joins": [["A.b", "B.a"], ["B.b", "C.a"]]}


def steepest(found: Worked, risen_to: Heights, name: str) -> float | None:
    (road,) = [one for one in found.roads if one.name == name]
    return risen_to.steepest_percent(road.courses)


def test_track_climbs_evenly_between_two_heights() -> None:
    found, known = risen(row(), at("A", 500, 10), at("C", 0, 40))
    course = found.network.at_end["B", "a"]
    assert known.height_mm(course, 250) == 17.5
    assert steepest(found, known, "running line A") == 3


def test_past_the_last_height_the_rail_is_level() -> None:
    found, known = risen(row(), at("A", 500, 10), at("C", 0, 40))
    assert known.height_mm(found.network.at_end["A", "a"], 0) == 10
    assert known.height_mm(found.network.at_end["C", "a"], 600) == 40


def test_vertical_curves_make_the_middle_steeper() -> None:
    """30 mm in 1,000 with 200 mm of curve at each end: 30 ÷ (1,000 − 200) = 3.75 %."""
    curve = {"vertical_curve_mm": 200}
    found, known = risen(row(), at("A", 500, 10, **curve), at("C", 0, 40, **curve))
    assert steepest(found, known, "running line A") == pytest.approx(3.75)


def test_vertical_curves_longer_than_the_run_are_a_fault() -> None:
    curve = {"vertical_curve_mm": 501}
    found, known = risen(row(), at("A", 500, 10, **curve), at("C", 0, 40, **curve))
    assert [one.pointer for one in known.faults] == ["/heights/1/vertical_curve_mm"]
    assert steepest(found, known, "running line A") is None


def test_two_heights_at_one_place_are_a_fault() -> None:
    _, known = risen(row(), at("A", 500, 10), at("B", 0, 11))
    assert [(one.pointer, one.code) for one in known.faults] == [
        ("/heights/1", "contradiction")
    ]


def test_two_heights_at_the_ends_that_close_a_circuit_are_no_fault() -> None:
    document = oval()
    last_mm = 438.0 * pi / 4
    document["heights"] = [at("S1", 0, 10), at("C8", last_mm, 12)]
    found = worked(document)
    ends = {("S1", "a"), ("C8", "b")}
    assert heights(found.plan, found.network, ends).faults == ()
    (fault,) = heights(found.plan, found.network).faults
    assert (fault.code, fault.pointer) == ("contradiction", "/heights/1")


def test_without_a_height_no_gradient_is_known() -> None:
    found, known = risen(row())
    assert steepest(found, known, "running line A") is None


def test_one_height_is_level_everywhere() -> None:
    found, known = risen(passing_loop(), at("W", 0, 25))
    for road in found.roads:
        assert known.steepest_percent(road.courses) == 0
        assert known.height_mm(road.courses[0], 0) == 25


def test_a_branch_begins_at_the_height_of_the_points() -> None:
    """The main line rises 1 in 100: both ends of the loop lie where the points do."""
    found, known = risen(passing_loop(), at("W", 0, 0), at("E", 300, 22.2))
    course = found.network.at_end["P1", "branch"] ^ 1
    far = found.network.at_end["P2", "branch"] ^ 1
    assert known.height_mm(course, 0) == pytest.approx(5.3)
    assert known.height_mm(far, 0) == pytest.approx(18.9)


def test_a_ring_climbs_round_its_join_too() -> None:
    found, known = risen(oval(), at("S1", 0, 0), at("S2", 0, 30))
    round_mm = found.usable[0].usable_length_mm
    assert round_mm is not None
    steep = steepest(found, known, "circuit C1")
    assert steep == pytest.approx(100 * 30 / (round_mm / 2))


def crossed(kind: str = "diamond") -> Any:
    """Return two roads that cross, 500 mm to every side, and no heights."""
    figures = {"angle_deg": 30, "a_mm": [80, 80], "b_mm": [80, 80]}
    if kind != "diamond":
        figures = {"angle_deg": 15, "arm_mm": 60, "core_mm": 120}
    pieces = {name: straight(500) for name in ("A1", "A2", "B1", "B2")}
    joins = [[f"{name}.a", f"X.{name.lower()}"] for name in pieces]
    return {"pieces": {"X": {"kind": kind, **figures}, **pieces}, "joins": joins}


@pytest.mark.parametrize("kind", ["diamond", "single_slip", "double_slip"])
def test_roads_that_cross_at_two_heights_are_a_fault(kind: str) -> None:
    _, known = risen(crossed(kind), at("A1", 0, 0), at("B1", 0, 20))
    (fault,) = known.faults
    assert (fault.code, fault.pointer) == ("contradiction", "/heights/1")
    assert fault.message == (
        "the two roads of X cross on one level, but the heights put them at 0 mm and 20"
        " mm there"
    )


def test_roads_on_a_slope_cross_where_their_heights_meet() -> None:
    """Road a climbs from 0 to 10 mm over 1,160 mm and is at 5 mm half way."""
    slope = at("A1", 500, 0), at("A2", 500, 10)
    assert risen(crossed(), *slope, at("B2", 30, 5))[1].faults == ()
    (fault,) = risen(crossed(), *slope, at("B2", 30, 6.5))[1].faults
    assert "5 mm and 6.5 mm" in fault.message


def test_a_difference_that_the_slack_takes_up_is_no_fault() -> None:
    document = {**crossed(), "slack_mm": 2}
    assert risen(document, at("A1", 0, 0), at("B1", 0, 2))[1].faults == ()
    (fault,) = risen(document, at("A1", 0, 0), at("B1", 0, 2.1))[1].faults
    assert fault.pointer == "/heights/1"


def test_a_road_has_the_height_of_the_one_it_crosses() -> None:
    found, known = risen(crossed(), at("A1", 500, 0), at("A2", 500, 10))
    assert known.height_mm(found.network.at_end["B1", "b"], 0) == 5
    assert known.faults == ()


def test_a_crossing_measured_with_a_tape_is_looked_at_too() -> None:
    document = crossed()
    del document["pieces"]["X"]["angle_deg"]
    _, known = risen(document, at("A1", 0, 0), at("B1", 0, 20))
    assert [one.code for one in known.faults] == ["contradiction"]
