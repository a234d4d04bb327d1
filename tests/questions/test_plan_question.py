"""What is answered of a plan: verdicts, doubt, stock, and what stands behind them."""

from math import atan, cos, radians, sin
from time import process_time
from typing import Any

import pytest

from standage.questions.fouling_point import FoulingPointCase
from standage.questions.fouling_point import reckon as point_of
from standage.questions.plan import (
    MALT_HOUSE,
    PlanAnswer,
    PlanRequest,
    gather,
    reckon,
)
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from support.track_plans import (
    Document,
    curve,
    oval,
    passing_loop,
    points,
    read_plan,
    straight,
    taped_points,
)

LONG_COACH = {
    "name": "Long coach",
    "length_mm": 300.0,
    "length_over": "buffers",
    "width_mm": 36.0,
    "bogie_centres_mm": 220.0,
    "bogie_wheelbase_mm": 34.0,
}


LONGEST_S = 30.0


def answered(document: Document, **beside: Any) -> PlanAnswer:
    body = {"plan": {"scale": "00", **document}, **beside}
    return reckon(gather(Sources(None, ""), convert(body, PlanRequest)))


def codes(answer: PlanAnswer) -> list[str]:
    return [one.code for one in answer.because]


def test_a_measured_plan_with_nothing_amiss_is_sound() -> None:
    pieces = {
        "P": taped_points(fouling_through_mm=150.0, fouling_branch_mm=160.0),
        "S": {"kind": "track", "length_mm": 700.0},
    }
    answer = answered({"pieces": pieces, "joins": [["P.through", "S.a"]]})
    assert answer.verdict == "sound"
    usable_mm = {road.name: road.usable_length_mm for road in answer.roads}
    assert usable_mm["running line S"] == 180.0 + 700.0 - 150.0
    assert answer.poses == {}


def test_measured_points_without_figures_cannot_be_told_and_are_named() -> None:
    answer = answered({"pieces": {"P": taped_points()}, "joins": []})
    assert answer.verdict == "cannot_tell"
    assert "P: where its through is clear cannot be told" in answer.because[0].message


def test_without_a_scale_the_spacing_is_asked_for_once() -> None:
    pieces = {"P": points(), "Q": points()}
    answer = answered({"pieces": pieces, "joins": [], "scale": None})
    assert answer.verdict == "cannot_tell"
    assert [one.field for one in answer.because if one.code == "missing_figure"] == [
        "fouling_spacing_mm"
    ]


def test_faults_come_before_gaps() -> None:
    plan = oval()
    plan["pieces"]["S2"] = straight(540.0)
    assert answered(plan).verdict == "gaps"
    plan["joins"].append(["S1.a", "S2.a"])
    assert answered(plan).verdict == "faults"


def ring_of_modules(*, too_long_mm: float) -> Document:
    """Return four quarters of a double line, laid by the inner one."""
    spot = {"x_mm": 0, "heading_deg": 0}
    quarter = {
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
    joins = [["n.e", "o.w"], ["o.e", "p.w"], ["p.e", "q.w"], ["q.e", "n.w"]]
    modules = {name: {"plan": quarter} for name in "nopq"}
    return {"modules": modules, "module_joins": joins}


def test_small_gaps_that_add_up_along_a_circuit_are_a_gap() -> None:
    answer = answered(ring_of_modules(too_long_mm=0.9))
    assert answer.verdict == "gaps"
    assert answer.because[0].message == (
        "the gaps round the circuit over q/OC.b and n/O.a add up to 3.6 mm and 0.00°"
    )
    assert codes(answer) == ["gaps_add_up", "slack", "slack", "slack"]
    assert answer.because[1].message == (
        "n/OC.b and o/O.a are 0.9 mm apart: the rails' slack takes it up"
    )
    assert answered(ring_of_modules(too_long_mm=0.7)).verdict == "sound"


def test_a_kink_is_told_where_it_shows() -> None:
    plan = oval()
    plan["pieces"]["S2"] = straight(520.0)
    assert answered(plan).because[0].message == (
        "the circuit does not meet at C8.b and S1.a: 20 mm apart"
    )
    plan["pieces"]["C1"] = curve(438.0, 47.0)
    assert answered(plan).because[0].message.endswith(" apart, with a kink of 2.00°")


def test_fitted_track_tells_its_length_and_its_least_radius() -> None:
    """Two equal arcs from one line to another: R = (x² + y²) ÷ 4y, each turning by
    2 atan(y ÷ x).
    """
    spot = {"heading_deg": 0}
    plan: Document = {
        "pieces": {
            "A": straight(9.0),
            "F": {"kind": "flexible", "fitted": True},
            "B": straight(9.0),
        },
        "joins": [["A.b", "F.a"], ["F.b", "B.a"]],
        "placed": [
            {"piece": "A", "x_mm": -9, "y_mm": 0, **spot},
            {"piece": "B", "x_mm": 300, "y_mm": 50, **spot},
        ],
    }
    (fitted,) = answered(plan).fitted
    radius_mm = (300**2 + 50**2) / (4 * 50)
    assert fitted.piece == "F"
    assert fitted.least_radius_mm == pytest.approx(radius_mm, abs=1e-5)
    length_mm = 4 * radius_mm * atan(50 / 300)
    assert fitted.length_mm == pytest.approx(length_mm, abs=1e-5)
    plan["placed"] = plan["placed"][:1]
    (fitted,) = answered(plan).fitted
    assert (fitted.length_mm, fitted.least_radius_mm) == (None, None)


def test_parts_without_a_place_are_told_once_each() -> None:
    pieces = {name: straight(50.0) for name in ("A", "B", "C", "D", "E")}
    pieces["T"] = {"kind": "track", "length_mm": 90}
    joins = [["A.b", "T.a"], ["T.b", "B.a"], ["B.b", "C.a"], ["D.b", "E.a"]]
    plan = {"pieces": pieces, "joins": joins}
    told = [one.message for one in answered(plan).because]
    assert told == [
        "T has no shape, so that nothing can be drawn of it",
        "B and 1 more lie beyond T, which has no shape",
        "D and 1 more are joined to nothing that has a place: say where D lies",
    ]


def test_a_module_without_a_place_is_told_by_its_own_name() -> None:
    module = {
        "pieces": {"N": straight(90.0), "S": straight(90.0)},
        "placed": [
            {"piece": "N", "x_mm": 0, "y_mm": 50, "heading_deg": 0},
            {"piece": "S", "x_mm": 0, "y_mm": 0, "heading_deg": 0},
        ],
    }
    plan = {"modules": {name: {"plan": module} for name in ("bay", "quay")}}
    assert [one.message for one in answered(plan).because] == [
        "quay is joined to no module that has a place: say where it is placed"
    ]


def test_a_track_that_meets_none_is_told_with_the_neighbour() -> None:
    def module(*tracks: str) -> Document:
        ends = [f"{track}.b" for track in tracks]
        return {
            "pieces": {track: straight(90.0) for track in tracks},
            "module_ends": [{"name": "e", "tracks": ends}],
        }

    modules = {"bay": {"plan": module("N")}, "quay": {"plan": module("N", "S")}}
    plan = {"modules": modules, "module_joins": [["bay.e", "quay.e"]]}
    messages = [one.message for one in answered(plan).because]
    assert "quay/N.b meets no track of bay, and is left open" in messages


def test_thousands_of_places_on_one_long_road_take_no_time() -> None:
    names = [f"T{n}" for n in range(2000)]
    plan = {
        "pieces": {name: straight(9.0) for name in names},
        "joins": [[f"T{n}.b", f"T{n + 1}.a"] for n in range(1999)],
        "places": [{"name": f"Road {n}", "on": [f"T{n % 2000}"]} for n in range(4000)],
    }
    begun_s = process_time()
    assert len(answered(plan).places) == 4000
    assert process_time() - begun_s < 8.0


def test_lengths_are_as_far_off_as_a_tape_over_them() -> None:
    """1 mm and 1 mm a metre: 1 + usable length ÷ 1000."""
    exact = answered(MALT_HOUSE)
    taped = answered(MALT_HOUSE | {"plus_minus": {"mm": 1, "mm_per_m": 1}})
    assert {road.plus_minus_mm for road in exact.roads} == {None}
    told = [(one.usable_length_mm, one.plus_minus_mm) for one in taped.roads]
    told += [(one.usable_length_mm, one.plus_minus_mm) for one in taped.places]
    legs = taped.fouling_points[0].legs
    told += [(one.from_blades_mm, one.plus_minus_mm) for one in legs]
    assert len(told) == 6
    for length_mm, plus_minus_mm in told:
        assert length_mm is not None
        assert plus_minus_mm == pytest.approx(1 + length_mm / 1000, abs=1e-6)


def test_longer_stock_needs_more_where_a_leg_curves() -> None:
    usual = answered({"pieces": {"P": points(angle_deg=30.0)}, "joins": []})
    longer = answered(
        {"pieces": {"P": points(angle_deg=30.0)}, "joins": []}, stock=[LONG_COACH]
    )
    one, two = (answer.fouling_points[0] for answer in (usual, longer))
    assert one.spacing_mm is not None
    assert two.spacing_mm is not None
    assert two.spacing_mm > one.spacing_mm
    assert "stock" in [assumed.field for assumed in usual.assumed]
    assert "stock" not in [assumed.field for assumed in longer.assumed]


def test_heights_that_do_not_meet_are_a_gap_of_the_circuit_in_height() -> None:
    plan = oval()
    plan["heights"] = [
        {"piece": "S1", "at_mm": 0, "height_mm": 2.0},
        {"piece": "C8", "at_mm": 438.0 * 0.7853981633974483, "height_mm": 14.5},
    ]
    answer = answered(plan)
    (circuit,) = answer.circuits
    assert circuit.closing_join == ("C8.b", "S1.a")
    assert circuit.gap_height_mm == 12.5
    assert (answer.verdict, answer.faults) == ("gaps", ())
    assert answer.because[0].message == (
        "the rails at C8.b and S1.a differ in height by 12.5 mm"
    )
    plan["heights"][1]["height_mm"] = 2.9
    assert answered(plan).verdict == "sound"


def test_track_beyond_the_last_height_is_assumed_to_be_level() -> None:
    plan = {"pieces": {"A": straight(500.0)}}
    at_end = [{"piece": "A", "at_mm": at_mm, "height_mm": 9} for at_mm in (0, 500)]
    assert answered({**plan, "heights": at_end}).assumed == ()
    short = [{"piece": "A", "at_mm": at_mm, "height_mm": 9} for at_mm in (0, 400)]
    (assumed,) = answered({**plan, "heights": short}).assumed
    assert assumed.field == "heights"
    assert "level" in assumed.message


def test_a_circuit_without_heights_has_no_gap_in_height_to_tell() -> None:
    assert answered(oval()).circuits[0].gap_height_mm is None


def test_tracks_too_near_for_curves_say_where_they_are_clear() -> None:
    answer = answered(passing_loop())
    assert answer.verdict == "sound"
    assert codes(answer).count("clear_where_straight") == 4


def test_a_position_before_an_open_end_counts_back_from_it() -> None:
    """Beyond an end that nothing is joined to, a place is told on the last piece: less
    than 0 before its end a.
    """
    plan = {
        "pieces": {"P": points(), "S": straight(20.0)},
        "joins": [["P.through", "S.b"]],
    }
    (leg, _) = answered(plan).fouling_points[0].legs
    assert leg.position is not None
    assert leg.position.piece == "S"
    assert leg.position.at_mm < 0


def test_points_of_a_plan_with_faults_are_answered() -> None:
    plan = MALT_HOUSE | {"joins": [["W.b", "P1.nose"]]}
    case = FoulingPointCase(plan=read_plan(plan), points="P1")
    assert point_of(case).verdict == "clear"


def test_measured_points_with_a_nose_are_assumed_straight_beyond_it() -> None:
    plan = {"pieces": {"P": taped_points(number=6, nose_mm=100.0)}, "joins": []}
    answer = answered(plan)
    told = [one.message for one in answer.assumed if one.field == "pieces/P"]
    assert any("straight beyond the crossing's nose" in message for message in told)
    assert {leg.by for leg in answer.fouling_points[0].legs} == {"measured"}


def test_tracks_that_are_only_nearly_clear_are_told() -> None:
    """0.009 mm less than the 46.41 mm that the loop's roads lie apart."""
    turn = radians(12)
    apart_mm = 2 * 610 * (1 - cos(turn)) + 95 * sin(turn)
    plan = passing_loop() | {"fouling_spacing_mm": apart_mm + 0.009}
    assert codes(answered(plan)).count("only_nearly_clear") == 4


def _tangle(points_count: int) -> Document:
    """Return points joined leg to toe in a ring of rings, each with two ways on."""
    names = [f"P{number}" for number in range(points_count)]
    joins = [
        [f"{name}.through", f"{names[(number + 1) % points_count]}.toe"]
        for number, name in enumerate(names)
    ]
    halfway = points_count // 2
    joins += [
        [f"{name}.branch", f"{names[number + halfway]}.branch"]
        for number, name in enumerate(names[:halfway])
    ]
    pieces = {
        name: points(angle_deg=0.5, radius_mm=9000.0 + number)
        for number, name in enumerate(names)
    }
    return {"scale": "00", "pieces": pieces, "joins": joins}


def _spirals(count: int) -> Document:
    """Return points whose branches run into transitions of hundreds of turns."""
    pieces: Document = {}
    joins = []
    for number in range(count):
        pieces[f"P{number}"] = points(radius_mm=610.0 + number)
        pieces[f"T{number}"] = {
            "kind": "transition",
            "length_mm": 900.0 + number,
            "radius_from_mm": 300,
            "radius_to_mm": 1,
            "hand": "left",
        }
        joins.append([f"P{number}.branch", f"T{number}.a"])
    return {"scale": "00", "pieces": pieces, "joins": joins}


@pytest.mark.parametrize(
    "plan", [_tangle(400), _spirals(40)], ids=["points without end", "spirals"]
)
def test_a_plan_made_to_take_long_is_answered_in_time(plan: Document) -> None:
    begun_s = process_time()
    assert answered(plan).verdict in {"sound", "gaps", "faults", "cannot_tell"}
    assert process_time() - begun_s < LONGEST_S
