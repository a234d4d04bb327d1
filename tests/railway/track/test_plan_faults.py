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
        ("/module_joins/0/0", "west has no end e: its plan names no module_ends"),
        ("/module_joins/0/1", "there is no module x"),
    ]


def test_ten_thousand_faults_are_not_told_and_take_no_time() -> None:
    pieces = {f"T{number}": straight(5) for number in range(20_000)}
    joins = [["T1.a", f"T{number}.b"] for number in range(20_000)]
    document = {"pieces": pieces, "joins": joins * 3}
    assert len(plan_faults(read_plan(document))) == MOST_FAULTS


def module(*tracks: str) -> Any:
    return {
        "pieces": {track: straight(500) for track in tracks},
        "module_ends": [
            {"name": "west", "tracks": [f"{track}.a" for track in reversed(tracks)]},
            {"name": "east", "tracks": [f"{track}.b" for track in tracks]},
        ],
    }


def layout(*joins: list[str], **beside: Any) -> Any:
    modules = {"bay": {"plan": module("T")}, "quay": {"plan": module("T")}}
    return {"modules": modules, "module_joins": list(joins), **beside}


def test_ends_of_modules_are_joined_once_and_not_to_themselves() -> None:
    joins = [
        ["bay.east", "quay.west"],
        ["quay.west", "bay.east"],
        ["quay.east", "bay.east"],
        ["bay.west", "bay.west"],
    ]
    assert told(layout(*joins)) == [
        ("/module_joins/1", "quay.west and bay.east are joined already"),
        (
            "/module_joins/2/1",
            "bay.east is joined twice: to quay.west and to quay.east",
        ),
        ("/module_joins/3", "bay.west is joined to itself"),
    ]


def test_a_name_without_its_end_is_asked_which_end() -> None:
    document = layout(["bay", "quai.west"], pieces={"P1": points(), "A": straight(5)})
    document["joins"] = [["P1", "A.a"], ["B", "A.b"]]
    assert told(document) == [
        ("/joins/0/0", "say which end of P1 it is: it has toe, through and branch"),
        ("/joins/1/0", "there is no piece B"),
        ("/module_joins/0/0", "say which end of bay it is, as bay.east"),
        ("/module_joins/0/1", "there is no module quai; did you mean quay?"),
    ]


def test_an_end_in_a_module_is_joined_there_or_in_the_layout_and_not_both() -> None:
    inner = module("T", "U")
    inner["joins"] = [["T.b", "U.a"]]
    inner["module_ends"] = [{"name": "west", "tracks": ["T.a"]}]
    modules = {"bay": {"plan": inner}, "quay": {"plan": module("T")}}
    document = {
        "modules": modules,
        "pieces": {"L": straight(9), "M": straight(9)},
        "joins": [["bay/T.b", "L.a"], ["bay/T.a", "M.a"]],
        "module_joins": [["bay.west", "quay.east"]],
    }
    assert told(document) == [
        ("/joins/0/0", "bay/T.b is joined twice: to bay/U.a and to L.a"),
        (
            "/module_joins/0/0",
            "bay/T.a is joined twice: to track, and at bay.west",
        ),
    ]


def test_modules_that_hold_together_are_placed_by_one_of_them() -> None:
    spot = {"x_mm": 0, "y_mm": 0, "heading_deg": 0}
    placed = [{"piece": name, **spot} for name in ("bay", "quay")]
    apart = layout(placed=placed)
    joined = layout(["bay.east", "quay.west"], placed=placed)
    over = layout(
        placed=placed,
        pieces={"L": straight(9)},
        joins=[["bay/T.b", "L.a"], ["L.b", "quay/T.a"]],
    )
    message = "quay is joined to bay, which is placed: place one of them"
    assert told(apart) == []
    assert told(joined) == told(over) == [("/placed/1/piece", message)]


def test_what_has_no_shape_of_its_own_is_not_placed() -> None:
    spot = {"x_mm": 0, "y_mm": 0, "heading_deg": 0}
    document = {
        "pieces": {
            "T": {"kind": "track", "length_mm": 50},
            "F": {"kind": "flexible", "fitted": True},
            "S": straight(5),
        },
        "placed": [{"piece": name, **spot} for name in ("T", "F", "S", "S")],
    }
    assert told(document) == [
        ("/placed/0/piece", "T has no shape: place a piece that is laid out"),
        (
            "/placed/1/piece",
            "F is laid between its ends: place what it is joined to",
        ),
        ("/placed/3/piece", "S is placed twice: place it once"),
    ]


def test_a_piece_is_named_before_what_is_wrong_with_its_figures() -> None:
    document = {"pieces": {"P2": {"kind": "points", "toe_mm": 10, "through_mm": 90}}}
    assert told(document) == [("/pieces/P2/branch_mm", "P2: branch_mm is missing")]


def test_of_many_ends_the_first_are_told_and_how_many_more() -> None:
    roads = [float(bearing) for bearing in range(0, 80, 10)]
    document = {
        "pieces": {
            "K": {"kind": "turntable", "deck_mm": 300, "roads": roads},
            "D": {
                "kind": "diamond",
                "angle_deg": 20,
                "a_mm": [80, 90],
                "b_mm": [70, 60],
            },
        },
        "joins": [["K.east", "D.a"]],
    }
    assert told(document) == [
        (
            "/joins/0/0",
            "K has no end east; it has r1, r2, r3, r4, r5, r6 and 2 more",
        ),
        ("/joins/0/1", "D has no end a; it has a1, a2, b1 and b2"),
    ]


def test_a_traverser_has_roads_each_in_a_place_of_its_own() -> None:
    pieces = {
        "V": {"kind": "traverser", "deck_mm": 400},
        "W": {"kind": "traverser", "deck_mm": 400, "left": [0, 0], "right": [0]},
    }
    assert told({"pieces": pieces}) == [
        ("/pieces/V/left", "V: give left or right: where its roads lie"),
        ("/pieces/W/left/1", "W: there is a road at 0 mm already"),
    ]
