"""A whole plan surveyed: rails exchanged, heights that do not meet, modules' own lists,
and what a builder is warned of.
"""

from time import process_time

import pytest

from standage.railway.track.network.heights import heights_at_ends
from standage.railway.track.survey.plan_warnings import plan_warnings
from standage.railway.track.survey.survey import Survey, survey
from support.track_plans import (
    Document,
    curve,
    oval,
    passing_loop,
    points,
    read_plan,
    straight,
)


def surveyed(document: Document) -> Survey:
    return survey(read_plan({"scale": "00", **document}))


def warned_of(document: Document) -> dict[str, str | None]:
    return {one.code: one.piece for one in plan_warnings(surveyed(document))}


def balloon() -> Document:
    """Return points whose two legs are joined to each other round a loop."""
    pieces = {
        "P": points(angle_deg=30.0, branch_straight_mm=0.0),
        "C1": curve(400.0, 150.0, "right"),
        "C2": curve(400.0, 90.0, "right"),
    }
    joins = [["P.branch", "C1.a"], ["C1.b", "C2.a"], ["C2.b", "P.through"]]
    return {"pieces": pieces, "joins": joins}


def test_a_balloon_exchanges_the_rails() -> None:
    (circuit,) = surveyed(balloon()).closed.circuits
    assert circuit.exchanges_rails is True


def test_an_oval_brings_each_rail_back_to_itself() -> None:
    (circuit,) = surveyed(oval()).closed.circuits
    assert circuit.exchanges_rails is False


def test_a_circuit_over_a_diamonds_two_roads_cannot_be_told() -> None:
    pieces = {
        "X": {"kind": "diamond", "angle_deg": 90, "a_mm": [99, 99], "b_mm": [99, 99]},
        "C": curve(99.0, 270.0),
    }
    joins = [["X.a2", "C.a"], ["C.b", "X.b2"]]
    (circuit,) = surveyed({"pieces": pieces, "joins": joins}).closed.circuits
    assert circuit.exchanges_rails is None


def test_a_triangle_of_points_exchanges_the_rails() -> None:
    """Three sets of points, each joined by its legs to the others': a train that goes
    round comes out the other way round.
    """
    pieces = {name: points(lead_in_mm=0.0) for name in ("P", "Q", "R")}
    joins = [
        ["P.through", "Q.branch"],
        ["Q.through", "R.branch"],
        ["R.through", "P.branch"],
    ]
    (circuit,) = surveyed({"pieces": pieces, "joins": joins}).closed.circuits
    assert circuit.exchanges_rails is True


def test_heights_given_at_both_sides_of_a_join_are_found_there() -> None:
    plan = oval()
    plan["heights"] = [
        {"piece": "S1", "at_mm": 0, "height_mm": 0},
        {"piece": "C8", "at_mm": 344.0044, "height_mm": 12},
        {"piece": "S2", "at_mm": 500, "height_mm": 7},
    ]
    found = surveyed(plan)
    assert heights_at_ends(found.plan, found.network) == {
        ("S1", "a"): 0,
        ("S2", "b"): 7,
    }


def test_a_modules_heights_and_places_count_under_its_name() -> None:
    inner = {
        "pieces": {"S": straight(400.0), "B": {"kind": "buffer_stop"}},
        "joins": [["S.b", "B.a"]],
        "heights": [{"piece": "S", "at_mm": 100, "height_mm": 5}],
        "places": [{"name": "Bay", "on": ["S"]}, {"name": "Lost", "on": ["B", "Q"]}],
    }
    found = surveyed({"modules": {"west": {"plan": inner}}})
    assert [place.place.name for place in found.places] == ["Bay"]
    assert found.heights.height_mm(0, 0.0) == 5
    pointers = {fault.pointer for fault in found.faults}
    assert "/modules/west/plan/places/1/on/1" in pointers


def test_a_module_of_which_no_plan_is_given_is_told() -> None:
    one = "01890a5d-ac96-774b-bcce-b302099a8057"
    (fault,) = surveyed({"modules": {"west": {"module_id": one}}}).faults
    assert (fault.pointer, fault.code) == ("/modules/west/plan", "missing")


@pytest.mark.parametrize(
    ("pieces", "joins", "message"),
    [
        ({}, [["A.b", "F.a"]], "F is laid between two ends: join its b too"),
        (
            {"B": straight(50.0)},
            [["A.b", "F.a"], ["F.b", "B.a"]],
            (
                "F is laid between two ends that have a place, and B has none: say where it"
                " is placed"
            ),
        ),
        (
            {"T": {"kind": "track", "length_mm": 50}},
            [["A.b", "F.a"], ["F.b", "T.a"]],
            (
                "F is laid between two ends that have a place, and T has none: lay F of"
                " segments, or give its length as a track"
            ),
        ),
        (
            {},
            [["F.a", "F.b"]],
            "F is joined to itself: join it to two ends that have a place",
        ),
    ],
)
def test_fitted_track_says_what_it_needs(
    pieces: Document, joins: list[list[str]], message: str
) -> None:
    fitted = {"F": {"kind": "flexible", "fitted": True}, "A": straight(100.0)}
    (fault,) = surveyed({"pieces": pieces | fitted, "joins": joins}).faults
    assert (fault.pointer, fault.message) == ("/pieces/F", message)


def test_fitted_track_that_no_curve_leads_along_is_a_fault() -> None:
    pieces = {
        "A": straight(100.0),
        "F": {"kind": "flexible", "fitted": True},
    }
    joins = [["A.a", "F.a"], ["A.b", "F.b"]]
    faults = surveyed({"pieces": pieces, "joins": joins}).faults
    assert {(one.pointer, one.code) for one in faults} <= {
        ("/pieces/F", "cannot_be_fitted")
    }


@pytest.mark.parametrize(
    ("second_mm", "vertical_mm", "is_warned"),
    [
        (350.0, 0.0, True),
        (700.0, 0.0, False),
        (700.0, 200.0, False),
        (600.0, 200.0, True),
        (200.0, 0.0, False),
    ],
)
def test_points_where_the_gradient_changes_are_warned_of(
    second_mm: float, vertical_mm: float, *, is_warned: bool
) -> None:
    """The points lie from 300 to 510 along the main line."""
    pieces = {"W": straight(300.0), "P": points(), "M": straight(500.0)}
    heights = [
        {"piece": "W", "at_mm": 0, "height_mm": 0},
        {
            "piece": "W",
            "at_mm": second_mm,
            "height_mm": 0,
            "vertical_curve_mm": vertical_mm,
        },
        {"piece": "M", "at_mm": 400, "height_mm": 9},
    ]
    joins = [["W.b", "P.toe"], ["P.through", "M.a"]]
    plan = {"pieces": pieces, "joins": joins, "heights": heights}
    assert ("points_on_a_bend" in warned_of(plan)) is is_warned


@pytest.mark.parametrize(("x_mm", "is_near"), [(249.0, False), (251.0, True)])
def test_points_within_fifty_millimetres_of_a_joint_are_warned_of(
    x_mm: float, *, is_near: bool
) -> None:
    pieces = {"W": straight(300.0), "P": points()}
    edge = [[x_mm - 1, -300], [x_mm, -300], [x_mm, 300], [x_mm - 1, 300]]
    obstacles = [{"kind": "board_edge", "outline": edge}]
    plan = {"pieces": pieces, "joins": [["W.b", "P.toe"]], "obstacles": obstacles}
    assert ("points_near_a_joint" in warned_of(plan)) is is_near


def test_points_among_very_many_frames_are_looked_at_up_to_a_bound() -> None:
    pieces = {f"P{n}": points(lead_in_mm=30 + n / 1000) for n in range(600)}
    placed = [
        {"piece": name, "x_mm": 10 * n, "y_mm": 0, "heading_deg": 0}
        for n, name in enumerate(pieces)
    ]
    corners = [[6000.0 * (n % 2), 50.0 * n - 5000] for n in range(200)]
    frames = [{"kind": "board_edge", "outline": corners}] * 200
    begun_s = process_time()
    told = warned_of({"pieces": pieces, "placed": placed, "obstacles": frames})
    assert process_time() - begun_s < 10.0
    assert "too_many" in told


@pytest.mark.parametrize(("from_mm", "is_over"), [(320.0, True), (340.0, False)])
def test_a_tie_bar_over_a_frame_is_warned_of(from_mm: float, *, is_over: bool) -> None:
    """The tips lie at 330."""
    pieces = {"W": straight(300.0), "P": points()}
    frame = [[from_mm, -99], [from_mm + 18, -99], [from_mm + 18, 99], [from_mm, 99]]
    obstacles = [{"kind": "frame", "outline": frame}]
    plan = {"pieces": pieces, "joins": [["W.b", "P.toe"]], "obstacles": obstacles}
    assert ("tie_bar_over_frame" in warned_of(plan)) is is_over


@pytest.mark.parametrize(
    ("first_mm", "codes"),
    [
        (100.0, set()),
        (99.0, {"end_not_straight"}),
        (49.0, {"end_not_straight", "points_near_a_joint"}),
    ],
)
def test_the_first_of_a_modules_end_is_to_be_straight_and_free(
    first_mm: float, codes: set[str]
) -> None:
    plan = {
        "pieces": {"W": straight(first_mm), "P": points()},
        "joins": [["W.b", "P.toe"]],
        "module_ends": [{"name": "west", "tracks": ["W.a"]}],
    }
    assert set(warned_of(plan)) == codes


def test_a_curve_at_a_modules_end_is_warned_of() -> None:
    plan = {
        "pieces": {"W": straight(60.0), "C": curve(500.0, 30.0)},
        "joins": [["W.b", "C.a"]],
        "module_ends": [{"name": "west", "tracks": ["W.a"]}],
    }
    assert warned_of(plan) == {"end_not_straight": "W.a"}


def test_an_end_on_a_ring_of_no_length_is_looked_at_once() -> None:
    plan = {
        "pieces": {"W": straight(0.0)},
        "joins": [["W.a", "W.b"]],
        "module_ends": [{"name": "west", "tracks": ["W.a"]}],
    }
    assert warned_of(plan) == {"end_not_straight": "W.a"}


def test_one_module_laid_twice_is_warned_of() -> None:
    one = "01890a5d-ac96-774b-bcce-b302099a8057"
    modules = {"west": {"module_id": one}, "east": {"module_id": one}}
    assert "module_twice" in warned_of({"modules": modules})


def bay(**figures: object) -> Document:
    """Return a module of one track, 500 mm of it."""
    ends = [{"name": "west", "tracks": ["T.a"]}, {"name": "east", "tracks": ["T.b"]}]
    return {"plan": {"pieces": {"T": straight(500.0)}, "module_ends": ends, **figures}}


def put_together(one: Document, other: Document, **layout: object) -> list[str]:
    """Return what is told of two modules that are joined end to end."""
    modules = {"quay": one, "bay": other}
    joins = [["bay.west", "quay.east"]]
    document = {"scale": "00", "modules": modules, "module_joins": joins, **layout}
    warnings = plan_warnings(survey(read_plan(document)))
    return [one.message for one in warnings if one.code == "unlike_boards"]


def test_modules_of_unlike_gauge_are_warned_of() -> None:
    assert put_together(bay(scale="00"), bay(scale="EM")) == [
        "the rails do not meet: their gauge is 16.5 mm on quay, 18.2 mm on bay"
    ]
    assert put_together(bay(gauge_mm=16.5), bay(gauge_mm=9)) == [
        "the rails do not meet: their gauge is 16.5 mm on quay, 9 mm on bay"
    ]


def test_modules_of_unlike_scale_are_warned_of() -> None:
    assert put_together(bay(scale="00"), bay(scale="H0")) == [
        "quay is 00 and bay H0: what stands clear on one may not do so on the other"
    ]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ({"scale": "00"}, {"scale": "OO"}),
        ({"scale": "H0"}, {"scale": "HO"}),
        ({"scale": "00"}, {}),
        ({"scale": "P4"}, {"scale": "S4", "gauge_mm": 18.8}),
    ],
)
def test_modules_alike_or_that_do_not_say_are_not_warned_of(
    one: Document, other: Document
) -> None:
    assert put_together(bay(**one), bay(**other)) == []


def test_a_layouts_own_track_is_looked_at_beside_its_modules() -> None:
    layout = {"pieces": {"S": straight(300.0)}, "joins": [["S.a", "quay/T.a"]]}
    assert put_together(bay(scale="N"), bay(scale="N"), **layout) == [
        (
            "the rails do not meet: their gauge is 16.5 mm on the layout's own track, 9 mm"
            " on quay"
        ),
        (
            "the layout's own track is 00 and quay N: what stands clear on one may not do"
            " so on the other"
        ),
    ]


@pytest.mark.parametrize(
    ("count", "said"),
    [
        (200, None),
        (237, "and 37 more, which are not listed: mend these first"),
        (2_000, "and over 1,000 more, which are not listed: mend these first"),
    ],
)
def test_how_many_faults_are_not_listed_is_told(count: int, said: str | None) -> None:
    joins = [["S.a", f"T{number}.a"] for number in range(count)]
    found = surveyed({"pieces": {"S": straight(9.0)}, "joins": joins})
    listed, beyond = found.faults[:200], found.faults[200:]
    assert len(listed) == min(count, 200)
    assert [one.message for one in beyond] == ([] if said is None else [said])


def test_a_sound_loop_is_warned_of_nothing() -> None:
    assert warned_of(passing_loop()) == {}


@pytest.mark.parametrize("length_mm", [0.0, 5e-324, 2.3e-311, 1e-9])
def test_a_ring_of_next_to_no_length_is_surveyed(length_mm: float) -> None:
    pieces = {"T": {"kind": "transition", "length_mm": length_mm, "hand": "left"}}
    heights = [{"piece": "T", "at_mm": 1.5, "height_mm": 20}]
    found = surveyed({"pieces": pieces, "joins": [["T.a", "T.b"]], "heights": heights})
    (circuit,) = found.closed.circuits
    assert circuit.gap.mm == pytest.approx(length_mm)
