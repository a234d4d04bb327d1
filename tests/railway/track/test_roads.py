"""Roads by kind and name, and how much of each can be used."""

from typing import Any

import pytest

from standage.railway.track.network.positions import resolved, told
from standage.railway.track.plans.plan import PlannedPlace, Position
from standage.railway.track.roads.road_figures import bending
from standage.railway.track.roads.road_places import Places, end_name, places
from standage.railway.track.roads.roads import roads
from standage.railway.track.roads.stopping import stopping
from support.track_plans import (
    Worked,
    curve,
    ladder,
    oval,
    passing_loop,
    points,
    read_plan,
    straight,
    taped_points,
    worked,
)


def kinds(found: Worked) -> dict[str, str]:
    return {road.name: road.kind for road in found.roads}


def placed_on(found: Worked) -> Places:
    marks = stopping(found.plan, found.network, found.usable)
    return places(found.plan, found.network, found.usable, marks)


def test_a_circuit_has_no_limit_and_is_usable_all_round() -> None:
    found = worked(oval())
    assert kinds(found) == {"circuit C1": "circuit"}
    (usable,) = found.usable
    assert usable.limits == ()
    assert usable.usable_length_mm == usable.blades_to_blades_mm


def test_a_loop_its_main_line_and_the_headshunt_are_told_apart() -> None:
    assert kinds(worked(passing_loop())) == {
        "headshunt E": "headshunt",
        "loop C1": "loop",
        "loop M": "loop",
        "running line W": "running_line",
    }


def test_roads_without_plain_track_are_told_apart_by_their_legs() -> None:
    document = {
        "pieces": {"P1": points(), "P2": points(hand="right")},
        "joins": [["P1.through", "P2.through"], ["P1.branch", "P2.branch"]],
    }
    assert set(kinds(worked(document))) == {
        "loop P1 through",
        "loop P1 branch",
        "running line P1 toe",
        "running line P2 toe",
    }


def test_a_road_bears_the_name_of_the_first_place_that_lies_on_it() -> None:
    document = passing_loop()
    found = worked(document)
    places = [
        PlannedPlace(name="Both", on=("M", "C1")),
        PlannedPlace(name="Over points", on=("W", "P1", "M")),
        PlannedPlace(name="Loop", on=("L", "C1")),
        PlannedPlace(name="Loop again", on=("C2",)),
    ]
    names = {road.name for road in roads(found.network, places)}
    assert names == {"headshunt E", "Loop", "loop M", "running line W"}


def test_what_crosses_itself_on_a_diamond_is_no_balloon() -> None:
    """Three quarters of a circle from one road of a square crossing to the other."""
    document = {
        "pieces": {
            "X": {
                "kind": "diamond",
                "angle_deg": 90,
                "a_mm": [99, 99],
                "b_mm": [99, 99],
            },
            "C": curve(99.0, 270.0),
        },
        "joins": [["X.a2", "C.a"], ["C.b", "X.b2"]],
    }
    found = worked(document)
    (lobe,) = [road for road in found.roads if road.pieces == ("C",)]
    assert lobe.kind == "running_line"
    assert lobe.stops is not None
    assert [end_name(stop) for stop in lobe.stops] == ["crossing X", "crossing X"]


def test_a_balloon_has_both_limits_at_one_set_of_points() -> None:
    document = {
        "pieces": {
            "P": taped_points(fouling_through_mm=200, fouling_branch_mm=210),
            "T": {"kind": "track", "length_mm": 3000},
        },
        "joins": [["P.through", "T.a"], ["T.b", "P.branch"]],
    }
    found = worked(document)
    assert kinds(found)["balloon T"] == "balloon"
    # 180 and 190 mm of legs, less 200 and 210 to the fouling points.
    assert found.usable_mm("balloon T") == 3000 + 180 + 190 - 200 - 210


def test_a_siding_runs_from_the_fouling_point_to_the_stops_face() -> None:
    document = {
        "pieces": {
            "P": taped_points(fouling_through_mm=200, fouling_branch_mm=210),
            "S": straight(800),
            "B": {"kind": "buffer_stop", "length_mm": 15},
        },
        "joins": [["P.branch", "S.a"], ["S.b", "B.a"]],
    }
    found = worked(document)
    assert kinds(found)["siding S"] == "siding"
    assert found.usable_mm("siding S") == 800 + 190 + 15 - 210


def test_a_headshunt_runs_from_the_blade_tips_the_toes_track_included() -> None:
    document = {
        "pieces": {
            "P": taped_points(toe_mm=37),
            "S": straight(300),
            "B": {"kind": "buffer_stop"},
        },
        "joins": [["P.toe", "S.a"], ["S.b", "B.a"]],
    }
    assert worked(document).usable_mm("headshunt S") == 337


def test_an_open_end_adds_what_may_be_used_beyond() -> None:
    document = {
        "pieces": {"S": straight(300), "E": {"kind": "open_end", "beyond_mm": 120}},
        "joins": [["S.b", "E.a"]],
    }
    assert worked(document).usable_mm("running line S") == 420


def test_a_deck_ends_a_road_at_its_edge() -> None:
    table = {"kind": "turntable", "deck_mm": 300, "roads": [0, 90]}
    document = {"pieces": {"T": table, "S": straight(400)}, "joins": [["S.b", "T.r1"]]}
    found = worked(document)
    assert found.usable_mm("running line S") == 400
    (usable,) = found.usable
    assert [one.kind for one in usable.limits] == ["deck_edge", "open_end"]


def test_a_leg_that_leads_to_a_trap_is_no_road_and_bars_nothing() -> None:
    document = {
        "pieces": {"P": points(), "X": {"kind": "trap"}, "S": straight(400)},
        "joins": [["P.branch", "X.a"], ["P.through", "S.a"]],
    }
    found = worked(document)
    assert set(kinds(found)) == {"running line S", "running line P toe"}


def test_limits_that_cross_leave_nothing_and_say_that_tracks_are_too_close() -> None:
    document = {
        "pieces": {
            "P": taped_points(fouling_through_mm=300, fouling_branch_mm=300),
            "Q": taped_points(fouling_through_mm=300, fouling_branch_mm=300),
            "S": straight(100),
        },
        "joins": [["P.through", "S.a"], ["S.b", "Q.through"]],
    }
    found = worked(document)
    (usable,) = [one for one in found.usable if "S" in one.road.pieces]
    assert (usable.usable_length_mm, usable.is_too_close) == (0, True)


def test_points_without_fouling_figures_leave_their_own_roads_unknown_alone() -> None:
    document = {
        "pieces": {"P": taped_points(), "S": straight(100), "H": straight(200)},
        "joins": [["P.through", "S.a"], ["P.toe", "H.b"]],
    }
    found = worked(document)
    (usable,) = [one for one in found.usable if "S" in one.road.pieces]
    assert usable.usable_length_mm is None
    assert usable.limits[0].unknown == "P"
    assert found.usable_mm("running line H") == 230


def test_a_limit_beyond_later_points_ends_the_road_that_it_reaches_into() -> None:
    """P's branch is clear 500 mm out: 190 of leg, 20 of track, 30 of Q's toe, 260
    on."""
    document = {
        "pieces": {
            "P": taped_points(fouling_through_mm=500, fouling_branch_mm=500),
            "T": straight(20),
            "Q": taped_points(fouling_through_mm=240, fouling_branch_mm=270),
            "S": straight(900),
            "R": straight(900),
        },
        "joins": [
            ["P.branch", "T.a"],
            ["T.b", "Q.toe"],
            ["Q.through", "S.a"],
            ["Q.branch", "R.a"],
        ],
    }
    found = worked(document)
    limits = {one.road.name: one.limits[0] for one in found.usable}
    through, branch = limits["running line S"], limits["running line R"]
    assert (through.because, through.from_blades_mm) == ("P", 260)
    assert through.position == Position(piece="S", at_mm=80)
    assert (branch.because, branch.from_blades_mm) == ("Q", 270)
    assert found.usable_mm("running line T") == 0


@pytest.mark.parametrize("roads", [1, 5])
def test_a_ladder_has_a_siding_for_each_road(roads: int) -> None:
    found = worked(ladder(roads=roads))
    sidings = [name for name, kind in kinds(found).items() if kind == "siding"]
    assert sidings == [f"siding S{number}" for number in range(1, roads + 1)]


def position(**where: Any) -> Position:
    return Position(**where)


def test_a_position_past_a_piece_is_told_on_what_is_joined_there() -> None:
    found = worked(passing_loop())
    spotted = resolved(found.network, position(piece="W", at_mm=520))
    assert spotted is not None
    # 500 of W, 20 into the toe, which counts outwards from the tips, 30 mm off.
    wanted = position(piece="P1", leg="toe", at_mm=10)
    assert told(found.network, spotted) == wanted


def test_past_an_end_that_is_not_joined_a_position_stays_on_the_last_piece() -> None:
    found = worked({"pieces": {"S": straight(300)}})
    spotted = resolved(found.network, position(piece="S", at_mm=450))
    assert spotted is not None
    assert told(found.network, spotted) == position(piece="S", at_mm=450)


@pytest.mark.parametrize(
    ("leg", "at_mm"),
    [("a1", 20), ("b2", 50), ("a1-a2", 70), ("a1-b2", 5)],
)
def test_every_position_on_a_slip_comes_back(leg: str, at_mm: float) -> None:
    slip = {"kind": "single_slip", "angle_deg": 12, "arm_mm": 50, "core_mm": 120}
    found = worked({"pieces": {"X": slip}})
    where = position(piece="X", leg=leg, at_mm=at_mm)
    spotted = resolved(found.network, where)
    assert spotted is not None
    assert told(found.network, spotted) == where


@pytest.mark.parametrize("at_mm", [0, 30, 80, 120, 170])
def test_positions_on_a_diamonds_road_count_from_its_first_end(at_mm: float) -> None:
    diamond = {"kind": "diamond", "angle_deg": 15, "a_mm": [80, 90], "b_mm": [70, 60]}
    found = worked({"pieces": {"D": diamond}})
    where = position(piece="D", leg="a", at_mm=at_mm)
    spotted = resolved(found.network, where)
    assert spotted is not None
    assert told(found.network, spotted) == where


def test_a_three_way_sets_second_leg_counts_over_the_core_from_the_first_tips() -> None:
    three_way = {
        "kind": "three_way",
        "first_hand": "left",
        "toe_mm": 20,
        "second_after_mm": 60,
        "left_mm": 200,
        "middle_mm": 210,
        "right_mm": 220,
    }
    found = worked({"pieces": {"P": three_way}})
    for at_mm, leg in ((10, "middle"), (100, "right")):
        spotted = resolved(found.network, position(piece="P", leg="right", at_mm=at_mm))
        assert spotted is not None
        assert told(found.network, spotted) == position(piece="P", leg=leg, at_mm=at_mm)


def test_a_place_is_pinned_to_the_road_that_its_pieces_lie_on() -> None:
    document = {
        **passing_loop(),
        "places": [
            {
                "name": "Up loop",
                "kind": "loop",
                "on": ["C2", "C1"],
                "surveyed_usable_length_mm": 650,
            },
            {"name": "Bay", "on": ["E"]},
        ],
    }
    found = worked(document)
    loop, bay = placed_on(found).found
    usable_mm = found.usable_mm("loop C1")
    assert loop.ends == ("points P2", "points P1")
    assert usable_mm is not None
    assert loop.usable_length_mm == usable_mm
    assert loop.differs_by_mm == pytest.approx(650 - usable_mm, abs=1e-6)
    assert bay.ends == ("points P2", "buffers")


def road_places(document: Any, *places_on: list[str]) -> Places:
    named = [{"name": f"{n}", "on": on} for n, on in enumerate(places_on)]
    found = worked({**document, "places": named})
    return placed_on(found)


def test_a_place_over_points_runs_the_way_that_its_pieces_are_named() -> None:
    there, back = road_places(passing_loop(), ["W", "P1", "M"], ["M", "P1", "W"]).found
    assert there.ends == ("open end", "points P2")
    assert back.ends == ("points P2", "open end")
    assert there.usable_length_mm == back.usable_length_mm is not None


def test_two_legs_of_one_set_of_points_are_no_place() -> None:
    """No train stands over both at once: it would have to turn back at the points."""
    (fault,) = road_places(passing_loop(), ["M", "P1", "C1"]).faults
    assert (fault.code, fault.pointer) == ("two_roads", "/places/0/on/2")
    assert fault.message == "no train runs from M over P1 to C1"


def test_a_place_that_comes_back_to_its_road_is_told_where_it_does() -> None:
    (fault,) = road_places(passing_loop(), ["M", "P1", "M"]).faults
    assert (fault.code, fault.pointer) == ("two_roads", "/places/0/on/2")
    assert fault.message == "no train runs from M over P1 to M"


def test_a_place_over_two_sets_of_points_has_the_track_between_them_too() -> None:
    """180 mm of through road, and 180 of the next: 500 + 30, 360, 30 + 300 mm."""
    document = {
        "pieces": {
            "W": straight(500.0),
            "P1": points(),
            "P2": points(hand="right"),
            "E": straight(300.0),
        },
        "joins": [
            ["W.b", "P1.toe"],
            ["P1.through", "P2.through"],
            ["P2.toe", "E.a"],
        ],
    }
    (place,) = road_places(document, ["W", "P1", "P2", "E"]).found
    assert place.blades_to_blades_mm == 530 + 360 + 330


def test_points_alone_are_no_place_and_what_is_not_there_is_told_once() -> None:
    found = road_places(passing_loop(), ["P1"], ["M", "Q"])
    assert [(one.code, one.pointer) for one in found.faults] == [
        ("no_road", "/places/0/on/0")
    ]


def test_points_lie_within_a_place_only_where_it_names_them() -> None:
    document = {
        **passing_loop(),
        "places": [
            {"name": "All", "on": ["W", "P1", "M", "P2", "E"]},
            {"name": "Torn", "on": ["W", "M"]},
            {"name": "Nowhere", "on": ["B", "P9"]},
        ],
    }
    found = worked(document)
    pinned = placed_on(found)
    (whole,) = pinned.found
    assert whole.usable_length_mm == 500 + 30 + 180 + 1000 + 180 + 30 + 300
    assert [(one.pointer, one.code) for one in pinned.faults] == [
        ("/places/1/on/1", "two_roads")
    ]


def test_a_stretch_is_taken_as_it_was_measured() -> None:
    stretch = [{"piece": "M", "from_mm": 100, "to_mm": 700.5}]
    document = {**passing_loop(), "places": [{"name": "X", "stretch": stretch}]}
    found = worked(document)
    (place,) = placed_on(found).found
    assert place.usable_length_mm == 600.5


def test_the_least_radius_and_reverse_curves_of_a_road_are_found() -> None:
    document = {
        "pieces": {
            "A": curve(600, 10),
            "S": straight(75),
            "B": curve(450, 10, "right"),
            "C": curve(500, 10),
        },
        "joins": [["A.b", "S.a"], ["S.b", "B.a"], ["B.b", "C.a"]],
    }
    found = worked(document)
    (road,) = found.roads
    bends = bending(found.network, road.courses)
    assert bends.minimum_radius_mm == pytest.approx(450)
    between = [one.straight_between_mm for one in bends.reverse_curves]
    assert between == [75, 0]


def test_track_without_a_shape_tells_its_least_radius_or_is_named() -> None:
    document = {
        "pieces": {
            "A": {"kind": "track", "length_mm": 9, "minimum_radius_mm": 400},
            "B": {"kind": "track", "length_mm": 9},
        },
        "joins": [["A.b", "B.a"]],
    }
    found = worked(document)
    bends = bending(found.network, found.roads[0].courses)
    assert (bends.minimum_radius_mm, bends.unknown) == (400, ("B",))


def test_a_measured_plan_needs_no_scale_and_no_shape() -> None:
    document = {
        "pieces": {
            "P": taped_points(fouling_through_mm=200, fouling_branch_mm=210),
            "T": {"kind": "track", "length_mm": 800},
        },
        "joins": [["P.branch", "T.a"]],
        "scale": None,
    }
    found = worked(document)
    assert read_plan(document).laid_gauge_mm is None
    assert found.usable_mm("running line T") == 800 + 190 - 210


def test_marks_tell_how_far_they_stand_within_the_limits() -> None:
    """From the tips 190 mm of leg, then S: marks at 100 and 700 of it, clear at 210."""
    document = {
        "pieces": {
            "P": taped_points(fouling_through_mm=200, fouling_branch_mm=210),
            "S": straight(800),
            "B": {"kind": "buffer_stop"},
        },
        "joins": [["P.branch", "S.b"], ["S.a", "B.a"]],
        "fittings": [
            {"kind": "stopping_mark", "piece": "S", "at_mm": 700},
            {"kind": "stopping_mark", "piece": "S", "at_mm": 100},
            {"kind": "signal", "piece": "S", "at_mm": 5},
        ],
    }
    found = worked(document)
    marks = stopping(found.plan, found.network, found.usable)
    (own,) = [one for one in marks if one.marks_mm]
    assert own.stop_to_stop_mm == 600
    assert own.from_marks_mm == (190 + 100 - 210, 100)


def test_one_mark_makes_no_length_between_marks() -> None:
    fitting = {"kind": "stopping_mark", "piece": "M", "at_mm": 7}
    found = worked({**passing_loop(), "fittings": [fitting]})
    marks = stopping(found.plan, found.network, found.usable)
    assert {one.stop_to_stop_mm for one in marks} == {None}
    assert sum(len(one.marks_mm) for one in marks) == 1
