"""Where pieces lie, what closes, and what has no place."""

from math import atan, cos, degrees, hypot, isclose, pi, radians, sin, tan
from typing import Any

import pytest

from standage.railway.track.paths.spots import heading_deg
from standage.railway.track.placing.circuits import MOST_TOLD, Gap, closures
from standage.railway.track.placing.footprint import footprint
from standage.railway.track.placing.placing import placing
from support.track_plans import (
    Worked,
    curve,
    oval,
    passing_loop,
    points,
    read_plan,
    straight,
    taped_points,
    worked,
)


def end(found: Worked, piece: str, name: str) -> tuple[float, float, float]:
    spot = found.placed.spot((piece, name))
    assert spot is not None
    x, y = spot.point.real, spot.point.imag
    return x, y, heading_deg(spot.direction)


def near(found: tuple[float, ...], wanted: tuple[float, ...]) -> bool:
    pairs = zip(found, wanted, strict=True)
    return all(isclose(one, two, rel_tol=0, abs_tol=1e-9) for one, two in pairs)


def test_the_first_piece_of_the_first_join_lies_at_the_origin_to_the_right() -> None:
    found = worked(oval())
    assert near(end(found, "S1", "a"), (0, 0, 180))
    assert near(end(found, "S1", "b"), (500, 0, 0))


def test_a_curve_ends_where_a_compass_puts_it() -> None:
    document = {"pieces": {"C": curve(438, 30, "right")}}
    x, y = 438 * sin(pi / 6), -438 * (1 - cos(pi / 6))
    assert near(end(worked(document), "C", "b"), (x, y, -30))


def test_points_put_their_branch_where_a_compass_does() -> None:
    found = worked({"pieces": {"P": points()}})
    turn = radians(12)
    x = 30 + 610 * sin(turn) + 95 * cos(turn)
    y = 610 * (1 - cos(turn)) + 95 * sin(turn)
    assert near(end(found, "P", "branch"), (x, y, 12))
    assert near(end(found, "P", "through"), (210, 0, 0))


def test_b1_of_a_diamond_lies_to_the_right_as_seen_from_a1() -> None:
    document = {
        "pieces": {
            "D": {
                "kind": "diamond",
                "angle_deg": 15,
                "a_mm": [80, 90],
                "b_mm": [70, 60],
            }
        },
        "placed": [{"piece": "D", "x_mm": 0, "y_mm": 0, "heading_deg": 0}],
    }
    turn = radians(15)
    found = worked(document)
    assert near(end(found, "D", "a2"), (170, 0, 0))
    assert near(end(found, "D", "b1"), (80 - 70 * cos(turn), -70 * sin(turn), -165))


def test_an_oval_closes() -> None:
    (circuit,) = worked(oval()).closed.circuits
    assert circuit.gap.mm < 1e-9
    assert circuit.gap.deg < 1e-9
    assert len(circuit.pieces) == 10


def test_unequal_sides_leave_a_gap_at_a_named_join() -> None:
    document = oval()
    document["pieces"]["S2"]["length_mm"] = 490.0
    (circuit,) = worked(document).closed.circuits
    assert isclose(circuit.gap.mm, 10, abs_tol=1e-9)
    assert {one[0] for one in circuit.closing_join} == {"C8", "S1"}
    assert isclose(circuit.least_gap_mm, circuit.greatest_gap_mm, abs_tol=1e-6)


def test_a_gap_in_the_heading_is_another_at_each_join() -> None:
    """Opened where it turns, a kink of 1° about the far end of the oval is widest."""
    document = oval()
    document["pieces"]["C5"]["angle_deg"] = 44.0
    (circuit,) = worked(document).closed.circuits
    assert isclose(circuit.gap.deg, 1, abs_tol=1e-9)
    assert circuit.least_gap_mm <= circuit.gap.mm <= circuit.greatest_gap_mm
    reopened = [gap_opened_at(document, join) for join in range(10)]
    assert isclose(min(reopened), circuit.least_gap_mm, abs_tol=1e-6)
    assert isclose(max(reopened), circuit.greatest_gap_mm, abs_tol=1e-6)


def gap_opened_at(document: Any, join: int) -> float:
    """The same plan with another join given last, so that it is left over."""
    joins = document["joins"][:join] + document["joins"][join + 1 :]
    other = {**document, "joins": [*joins, document["joins"][join]]}
    (circuit,) = worked(other).closed.circuits
    assert circuit.closing_join[0][0] == document["joins"][join][0].split(".")[0]
    return circuit.gap.mm


def test_slack_takes_up_a_small_gap_and_never_more_than_three_millimetres() -> None:
    plan = read_plan({"slack_mm": 50, "slack_deg": 50})
    assert not Gap(mm=2.9, deg=0.9).is_open(plan)
    assert Gap(mm=3.1, deg=0).is_open(plan)
    assert Gap(mm=0, deg=1.1).is_open(plan)
    assert Gap(mm=1.1, deg=0).is_open(read_plan({}))


def test_parts_that_nothing_joins_are_placed_by_their_own_piece_or_named() -> None:
    document: Any = {
        "pieces": {"A": straight(9), "B": straight(9), "C": straight(9)},
        "joins": [["A.b", "B.a"]],
    }
    assert [one.piece for one in worked(document).placed.unplaced] == ["C"]
    document["placed"] = [
        {"piece": "B", "x_mm": 5, "y_mm": 6, "heading_deg": 90},
        {"piece": "C", "x_mm": 0, "y_mm": 50, "heading_deg": -90},
    ]
    found = worked(document)
    assert found.placed.unplaced == ()
    assert near(end(found, "A", "a"), (5, -3, -90))
    assert near(end(found, "C", "b"), (0, 41, -90))


def test_beyond_a_piece_without_a_shape_nothing_has_a_place_and_it_is_named() -> None:
    document = {
        "pieces": {"A": straight(9), "P": taped_points(), "B": straight(9)},
        "joins": [["A.b", "P.toe"], ["P.branch", "B.a"]],
    }
    found = {one.piece: one for one in worked(document).placed.unplaced}
    assert found["P"].because == "no_shape"
    assert (found["B"].because, found["B"].over) == ("beyond_no_shape", "P")
    assert "A" not in found


def test_fitted_track_is_the_second_straight_of_a_loop() -> None:
    """By trigonometry: what the main line has, less what both curves reach along it."""
    found = worked(passing_loop())
    turn = radians(12)
    reach_mm = 2 * 610 * sin(turn) + 95 * cos(turn)
    fit = found.placed.fits["L"]
    assert fit.least_radius_mm is None
    assert fit.length_mm is not None
    assert isclose(fit.length_mm, 1000 + 2 * (180 - reach_mm), abs_tol=1e-6)
    assert found.closed.circuits == ()


def test_fitted_track_between_parallel_ends_is_an_s_of_the_greatest_radius() -> None:
    """Two equal arcs from one line to another: R = (x² + y²) ÷ 4y."""
    document = {
        "pieces": {
            "A": straight(9),
            "F": {"kind": "flexible", "fitted": True},
            "B": straight(9),
        },
        "joins": [["A.b", "F.a"], ["F.b", "B.a"]],
        "placed": [
            {"piece": "A", "x_mm": -9, "y_mm": 0, "heading_deg": 0},
            {"piece": "B", "x_mm": 300, "y_mm": 50, "heading_deg": 0},
        ],
    }
    fit = worked(document).placed.fits["F"]
    radius_mm = (300**2 + 50**2) / (4 * 50)
    assert fit.least_radius_mm is not None
    assert fit.length_mm is not None
    assert isclose(fit.least_radius_mm, radius_mm, rel_tol=1e-6)
    turn = 2 * atan(50 / 300)
    assert isclose(fit.length_mm, 2 * radius_mm * turn, rel_tol=1e-6)


def test_fitted_track_round_a_corner_is_one_arc() -> None:
    document = {
        "pieces": {
            "A": straight(9),
            "F": {"kind": "flexible", "fitted": True},
            "B": straight(9),
        },
        "joins": [["A.b", "F.a"], ["F.b", "B.a"]],
        "placed": [
            {"piece": "A", "x_mm": -9, "y_mm": 0, "heading_deg": 0},
            {"piece": "B", "x_mm": 400, "y_mm": 400, "heading_deg": 90},
        ],
    }
    fit = worked(document).placed.fits["F"]
    assert fit.least_radius_mm is not None
    assert isclose(fit.least_radius_mm, 400, rel_tol=1e-6)


def test_ends_that_look_away_from_each_other_are_not_fitted() -> None:
    document = {
        "pieces": {
            "A": straight(9),
            "F": {"kind": "flexible", "fitted": True},
            "B": straight(9),
        },
        "joins": [["A.b", "F.a"], ["F.b", "B.a"]],
        "placed": [
            {"piece": "A", "x_mm": 0, "y_mm": 0, "heading_deg": 0},
            {"piece": "B", "x_mm": -100, "y_mm": 0, "heading_deg": 0},
        ],
    }
    assert worked(document).placed.fits["F"].runs is None


def double_track(length_mm: float, *, apart_mm: float = 50.0) -> Any:
    """A module with two lines, its end w to the left and e to the right."""
    spots = [
        {"piece": "N", "x_mm": 0, "y_mm": apart_mm, "heading_deg": 0},
        {"piece": "S", "x_mm": 0, "y_mm": 0, "heading_deg": 0},
    ]
    return {
        "pieces": {"N": straight(length_mm), "S": straight(length_mm)},
        "placed": spots,
        "module_ends": [
            {"name": "w", "tracks": ["S.a", "N.a"]},
            {"name": "e", "tracks": ["N.b", "S.b"]},
        ],
    }


def layout(*joins: list[str], **modules: Any) -> Any:
    plans = {name: {"plan": plan} for name, plan in modules.items()}
    return {"modules": plans, "module_joins": list(joins)}


def test_modules_are_placed_end_to_end() -> None:
    found = worked(layout(["x.e", "y.w"], x=double_track(1000), y=double_track(600)))
    assert near(end(found, "y/N", "b"), (1600, 50, 0))
    assert found.closed.unmated[0].gap.mm == 0


def test_a_module_is_turned_to_meet_its_neighbour() -> None:
    found = worked(layout(["x.e", "y.e"], x=double_track(1000), y=double_track(600)))
    assert near(end(found, "y/N", "a"), (1600, 0, 0))
    assert near(end(found, "y/S", "a"), (1600, 50, 0))


def test_tracks_of_rigid_modules_that_do_not_meet_are_named() -> None:
    found = worked(
        layout(["x.e", "y.w"], x=double_track(1000), y=double_track(9, apart_mm=62))
    )
    (unmated,) = found.closed.unmated
    assert isclose(unmated.gap.mm, 12)
    assert {piece for piece, _ in unmated.join} <= {"x/S", "y/S", "x/N", "y/N"}


def test_more_tracks_than_the_neighbour_has_are_named_and_left_open() -> None:
    single = {
        "pieces": {"T": straight(400)},
        "module_ends": [{"name": "w", "tracks": ["T.a"]}],
    }
    found = worked(layout(["x.e", "y.w"], x=double_track(1000), y=single))
    (mating,) = found.placed.flat.matings
    assert mating.unmet == (("x/S", "b"),)
    assert near(end(found, "y/T", "b"), (1400, 50, 0))


def test_track_of_the_layout_leads_from_one_whole_module_to_the_next() -> None:
    """A module keeps its two lines side by side, wherever the layout's own track puts
    it: here a quarter circle of 300 mm on.
    """
    plan = layout(x=double_track(500), y=double_track(400))
    plan["pieces"] = {"L": curve(300.0, 90.0)}
    plan["joins"] = [["x/S.b", "L.a"], ["L.b", "y/S.a"]]
    plan["placed"] = [{"piece": "x", "x_mm": 0, "y_mm": 0, "heading_deg": 0}]
    found = worked(plan)
    assert near(end(found, "x/N", "b"), (500, 50, 0))
    assert near(end(found, "y/S", "a"), (800, 300, -90))
    assert near(end(found, "y/N", "a"), (750, 300, -90))


def test_only_what_is_joined_to_the_first_module_has_a_place_unless_placed() -> None:
    joins = ["x.e", "y.w"], ["v.e", "w.w"]
    modules = {name: double_track(500) for name in "vwxy"}
    found = worked(layout(*joins, **modules))
    assert {one.part for one in found.placed.unplaced} in ({"v"}, {"w"})
    assert set(found.placed.bodies) == {"x", "y"}


def quarter_of_two_rings(*, too_long_mm: float = 0.0) -> Any:
    """Return a quarter of a double line round a ring; its inner line too long."""
    spot = {"x_mm": 0, "heading_deg": 0}
    return {
        "pieces": {
            "O": straight(300.0),
            "OC": curve(1000.0, 90.0),
            "I": straight(300.0 + too_long_mm),
            "IC": curve(950.0, 90.0),
        },
        "joins": [["O.b", "OC.a"], ["I.b", "IC.a"]],
        "placed": [
            {"piece": "O", "y_mm": 0, **spot},
            {"piece": "I", "y_mm": 50, **spot},
        ],
        "module_ends": [
            {"name": "w", "tracks": ["O.a", "I.a"]},
            {"name": "e", "tracks": ["IC.b", "OC.b"]},
        ],
    }


def two_rings(quarter: Any) -> Any:
    """Return four quarters that are joined to a whole."""
    names = ["n", "o", "p", "q"]
    rounds = zip(names, [*names[1:], names[0]], strict=True)
    joins = [[f"{one}.e", f"{two}.w"] for one, two in rounds]
    return layout(*joins, **dict.fromkeys(names, quarter))


def test_each_line_of_a_double_ring_of_modules_is_a_circuit() -> None:
    closed = worked(two_rings(quarter_of_two_rings())).closed
    rings = [{piece[2:] for piece in one.pieces} for one in closed.circuits]
    assert rings in ([{"O", "OC"}, {"I", "IC"}], [{"I", "IC"}, {"O", "OC"}])
    assert [len(one.pieces) for one in closed.circuits] == [8, 8]
    assert len(closed.unmated) == 3


def test_gaps_between_modules_add_up_along_a_circuit() -> None:
    """The modules are laid by their inner lines, so that each pair of outer ends lies
    as far apart as the inner line is too long: four times 0.9 mm.
    """
    closed = worked(two_rings(quarter_of_two_rings(too_long_mm=0.9))).closed
    outer = next(one for one in closed.circuits if one.pieces[0].endswith("OC"))
    assert isclose(outer.gap.mm, 0.9, abs_tol=1e-9)
    assert isclose(outer.whole.mm, 3.6, abs_tol=1e-9)
    assert outer.is_open(read_plan({}))
    nearly = worked(two_rings(quarter_of_two_rings(too_long_mm=0.7))).closed
    assert not any(one.is_open(read_plan({})) for one in nearly.circuits)


def test_the_pieces_of_circuits_are_told_up_to_a_bound() -> None:
    """A chain of points whose other legs are joined the first to the last and so on:
    circuits of up to all pieces, of which nobody reads a million.
    """
    points_count = 1200
    pieces = {f"P{n}": points() for n in range(points_count)}
    joins = [[f"P{n}.through", f"P{n + 1}.toe"] for n in range(points_count - 1)]
    for number in range(points_count // 2):
        last = points_count - 1 - number
        joins.append([f"P{number}.branch", f"P{last}.branch"])
    closed = closures(placing(read_plan({"pieces": pieces, "joins": joins})))
    told = sum(len(one.pieces) for one in closed.circuits)
    assert MOST_TOLD < told <= MOST_TOLD + points_count
    assert len(closed.circuits) + len(closed.untold) == points_count // 2


def test_the_footprint_of_an_oval_is_its_greatest_width_and_length() -> None:
    document = {**oval(), "room_mm": [1000, 1500], "operating_space_mm": {"front": 100}}
    found = worked(document)
    size = footprint(found.plan, found.placed)
    assert size is not None
    assert isclose(size.length_mm, 500 + 2 * 438, abs_tol=1e-6)
    assert isclose(size.width_mm, 2 * 438, abs_tol=1e-6)
    assert size.goes_into_room


@pytest.mark.parametrize("angle_deg", [22.5, 90.0, 360.0, 900.0])
def test_a_transition_of_one_radius_is_the_arc(angle_deg: float) -> None:
    length_mm = 438 * radians(angle_deg)
    same = {"radius_from_mm": 438, "radius_to_mm": 438, "length_mm": length_mm}
    transition = {"kind": "transition", "hand": "left", **same}
    one = worked({"pieces": {"C": curve(438, angle_deg)}})
    two = worked({"pieces": {"C": transition}})
    assert near(end(one, "C", "b")[:2], end(two, "C", "b")[:2])


def test_a_decks_roads_lie_about_its_middle() -> None:
    table = {"kind": "turntable", "deck_mm": 300, "roads": [0, 90]}
    document = {
        "pieces": {"T": table, "A": straight(10), "B": straight(10)},
        "joins": [["A.b", "T.r1"], ["T.r2", "B.a"]],
    }
    found = worked(document)
    x, y, heading = end(found, "B", "b")
    assert isclose(hypot(x - 160, y), 160)
    assert isclose(abs(heading), 90)


def test_twenty_thousand_pieces_in_a_row_are_placed() -> None:
    pieces = {f"T{number}": straight(1) for number in range(20_000)}
    joins = [[f"T{one}.b", f"T{one + 1}.a"] for one in range(19_999)]
    found = placing(read_plan({"pieces": pieces, "joins": joins}))
    last = found.spot(("T19999", "b"))
    assert last is not None
    assert isclose(last.point.real, 20_000)


def test_a_slip_road_is_as_long_as_its_curve_between_the_blades() -> None:
    """The tangents of an arc that turns by α are R tan(α/2) long: here 60 mm."""
    slip = {"kind": "double_slip", "angle_deg": 12, "arm_mm": 50, "core_mm": 120}
    found = worked({"pieces": {"X": slip}})
    lengths = {one.leg: one.length_mm for one in found.network.strands}
    radius_mm = 60 / tan(radians(6))
    assert lengths["a1-b2"] is not None
    assert isclose(lengths["a1-b2"], radius_mm * radians(12))
    assert lengths["a1-a2"] == 120


def test_points_by_number_turn_by_the_practice_of_their_scale() -> None:
    by_number = points(number=9, angle_deg=None)
    british = worked({"pieces": {"P": by_number}})
    continental = worked({"scale": "H0", "pieces": {"P": by_number}})
    assert isclose(end(british, "P", "branch")[2], degrees(2 * atan(1 / 18)))
    assert isclose(end(continental, "P", "branch")[2], degrees(atan(1 / 9)))
