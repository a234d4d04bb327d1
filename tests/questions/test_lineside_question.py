"""What is answered to the question how near to the track something may stand."""

from typing import Any

import pytest

from standage.questions.lineside import LinesideAnswer, LinesideRequest, gather, reckon
from standage.questions.sources import Sources
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

Json = dict[str, Any]

COACH: Json = {
    "name": "Coach",
    "kind": "coach",
    "length_mm": 258,
    "length_over": "buffers",
    "bogie_centres_mm": 186,
    "bogie_wheelbase_mm": 0.001,
    "width_mm": 36,
    "width_plus_minus_mm": 0,
}
ENGINE: Json = {
    "name": "Engine",
    "kind": "engine",
    "length_mm": 230,
    "length_over": "buffers",
}


def ask(*vehicles: Json, **asked: Any) -> LinesideAnswer:
    request = {
        "what": "platform",
        "radius_mm": 610,
        "scale": "00",
        "margin_mm": 1,
        "vehicles": list(vehicles or (COACH,)),
        **asked,
    }
    return reckon(gather(Sources(None, ""), convert(request, LinesideRequest)))


def codes(answer: LinesideAnswer) -> list[str]:
    return [reason.code for reason in answer.because]


@at_each("radius_mm, inside_mm, outside_mm", [(610, 26.13, 25.13), (914, 23.74, 23.19)])
def test_a_coach_s_edges_are_as_published(
    radius_mm: float, inside_mm: float, outside_mm: float
) -> None:
    """Coach 258, pivots 186, 36 wide, 1 mm margin: worked examples from outside."""
    answer = ask(radius_mm=radius_mm)
    assert answer.verdict == "found"
    assert answer.inside_mm == pytest.approx(inside_mm, abs=0.005)
    assert answer.outside_mm == pytest.approx(outside_mm, abs=0.005)


@at_each("radius_mm, swing_mm", [(438, 7.2), (610, 5.3), (914, 3.6)])
def test_its_end_swings_over_a_straight_platform_as_published(
    radius_mm: float, swing_mm: float
) -> None:
    answer = ask(radius_mm=radius_mm, ends_at_mm=0)
    swings_mm, outside_mm = answer.ends_beyond_middle_mm, answer.outside_mm
    assert swings_mm == pytest.approx(swing_mm, abs=0.05)
    assert swings_mm is not None
    assert outside_mm is not None
    # where the curve ends its end has not yet swung back so far
    assert outside_mm >= 18 + 1 + swings_mm


def test_by_the_standard_a_straight_00_platform_lies_19_mm_off_and_is_12_high() -> None:
    """British group standard: 730 + 717.5 mm and 915 in full size."""
    answer = ask(radius_mm=None)
    assert answer.inside_mm == answer.outside_mm == 19
    assert answer.by_table.edge_mm == pytest.approx(19.0, abs=0.05)
    assert answer.height_mm == pytest.approx(12.0, abs=0.05)
    assert answer.ends_beyond_middle_mm == 0


def test_what_a_curve_asks_for_beyond_the_standard_is_told() -> None:
    answer = ask()
    row = answer.by_table.rows[0]
    assert row.difference_mm == pytest.approx(26.131 - 18.996, abs=0.002)
    assert row.message in {reason.message for reason in answer.because}


@at_each("what", ["platform", "island", "wall", "portal", "pier"])
def test_the_margin_adds_exactly(what: str) -> None:
    near, far = (ask(what=what, margin_mm=margin_mm) for margin_mm in (0.2, 1.3))
    assert near.outside_mm is not None
    assert far.outside_mm == pytest.approx(near.outside_mm + 1.1, abs=1e-9)


def test_an_island_is_48_mm_wide_in_00_and_its_edges_make_up_the_centres() -> None:
    answer = ask(what="island", radius_mm=None)
    assert answer.track_centres_mm == 19 + 48 + 19
    curve = ask(what="island", island_width_mm=60)
    assert curve.inside_mm is not None
    assert curve.outside_mm is not None
    edges_mm = curve.inside_mm + curve.outside_mm
    assert curve.track_centres_mm == pytest.approx(edges_mm + 60, abs=1e-5)
    # the outer track is the easier one
    assert curve.inside_mm < 26.13
    assert curve.by_table.track_centres_mm == pytest.approx(60 + 2 * 18.996, abs=0.001)


def test_an_island_of_another_scale_is_as_wide_to_scale_and_says_so() -> None:
    answer = ask(what="island", radius_mm=None, scale="N British")
    assert answer.island_width_mm == pytest.approx(48 * 76.2 / 148, abs=1e-6)
    assert "island_width_mm" in {one.field for one in answer.assumed}


def test_the_worst_names_vehicle_and_end() -> None:
    nose = {**ENGINE, "rigid_wheelbase_mm": 90, "front_overhang_mm": 100}
    answer = ask(COACH, nose, radius_mm=500)
    assert answer.worst_inside is not None
    assert answer.worst_outside is not None
    assert (answer.worst_inside.vehicle, answer.worst_inside.part) == (
        "Coach",
        "middle",
    )
    assert (answer.worst_outside.vehicle, answer.worst_outside.part) == (
        "Engine",
        "front",
    )
    assert answer.worst in (answer.worst_inside, answer.worst_outside)


@at_each("what", ["platform", "wall", "pier"])
def test_a_width_low_down_counts_only_where_it_is_the_greater(what: str) -> None:
    plain = ask(what=what)
    narrow = ask({**COACH, "width_at_platform_mm": 30}, what=what)
    wide = ask({**COACH, "width_at_platform_mm": 39}, what=what)
    assert narrow.inside_mm == plain.inside_mm
    assert plain.inside_mm is not None
    assert wide.inside_mm == pytest.approx(plain.inside_mm + 1.5, abs=1e-9)


def test_each_of_several_bodies_has_its_own_width_low_down() -> None:
    tender = {"length_mm": 90, "rigid_wheelbase_mm": 50, "width_mm": 34}
    engine = {"length_mm": 120, "rigid_wheelbase_mm": 70, "width_mm": 34}
    both = {"name": "Engine", "bodies": [engine, tender]}
    plain = ask(both, radius_mm=None)
    assert plain.inside_mm == 18
    wide = ask(
        {**both, "bodies": [engine | {"width_at_platform_mm": 37}, tender]},
        radius_mm=None,
    )
    assert wide.inside_mm == 19.5


def test_what_nobody_measured_leaves_no_edge_and_is_named() -> None:
    answer = ask(COACH, ENGINE)
    assert answer.verdict == "cannot_tell"
    assert (answer.inside_mm, answer.outside_mm, answer.worst) == (None, None, None)
    lack = answer.because[0]
    assert (lack.vehicle, lack.field) == ("Engine", "rigid_wheelbase_mm")
    # on straight track its width is all that counts
    straight = ask(COACH, ENGINE, radius_mm=None)
    assert straight.verdict == "found"
    assert {one.field for one in straight.assumed} >= {"width_mm"}


def test_a_guessed_width_counts_at_its_widest() -> None:
    """British stock 2.8 m wide, ± 1 mm: 36.745 + 1 in 00, and the margin."""
    unmeasured = {
        key: COACH[key] for key in COACH if key[:8] not in {"width_mm", "width_pl"}
    }
    answer = ask(unmeasured, radius_mm=None)
    assert answer.inside_mm == pytest.approx(2800 / 76.2 / 2 + 0.5 + 1, abs=1e-6)
    assert answer.worst is not None
    assert answer.worst.plus_minus_mm == 0.5


def test_a_vehicle_that_cannot_stand_on_the_curve_is_told() -> None:
    answer = ask(radius_mm=80)
    assert (answer.verdict, codes(answer)[0]) == ("does_not_run", "cannot_stand")
    assert answer.inside_mm is None


def test_a_vehicle_that_does_not_run_there_is_told_beside_the_edge() -> None:
    answer = ask({**COACH, "minimum_radius_mm": 700})
    assert answer.verdict == "found"
    assert "does_not_run_there" in codes(answer)


def test_without_a_margin_an_eighth_of_the_gauge_is_left() -> None:
    answer = ask(margin_mm=None)
    assert answer.margin_mm == 16.5 / 8
    assert "margin_mm" in {one.field for one in answer.assumed}


@at_each(
    "asked, edge_mm, height_mm, widening_mm",
    [
        # NEM 105: 24 + 4.95, and NEM 103's 6 for group B on R 600; NEM 102's HL4
        ({"what": "wall", "radius_mm": None}, 28.95, 59.0, 0.0),
        ({"what": "portal", "radius_mm": 600}, 34.95, 59.0, 6.0),
        ({"what": "pier", "radius_mm": 600}, 30.0, 59.0, 6.0),
        ({"what": "portal", "radius_mm": 610}, "not_held", 59.0, "not_held"),
        ({"what": "portal", "radius_mm": 350}, "not_allowed", 59.0, "not_allowed"),
    ],
)
def test_by_table_are_the_rows_of_the_sheets_and_nothing_else(
    asked: Json, edge_mm: object, height_mm: object, widening_mm: object
) -> None:
    """The coach of 258 mm, pivots 186, is of group B in H0."""
    table = ask(scale="H0", **asked).by_table
    found = (table.edge_mm, table.height_mm, table.widening_mm)
    assert found == (edge_mm, height_mm, widening_mm)


def test_the_widening_stands_beside_what_the_curve_adds_to_the_stock() -> None:
    """H0, R 600: 600 - √(600² - 93²) = 7.251 beyond the coach's side, 6 by NEM 103."""
    rows = ask(scale="H0", what="pier", radius_mm=600).by_table.rows
    (widened,) = [row for row in rows if row.standard == "NEM 103"]
    assert widened.geometry_mm == pytest.approx(7.251, abs=0.0005)
    assert widened.difference_mm == pytest.approx(1.251, abs=0.0005)


def test_the_widening_is_that_of_the_longest_vehicle_s_group() -> None:
    """H0, R 600: group A 4 mm, group B 6."""
    van = {**COACH, "name": "Van", "length_mm": 200, "bogie_centres_mm": 140}
    for vehicles, widening_mm in (((van,), 4), ((van, COACH), 6), ((COACH, van), 6)):
        table = ask(*vehicles, scale="H0", radius_mm=600).by_table
        assert table.widening_mm == widening_mm


def test_a_row_of_a_curve_does_not_call_it_straight() -> None:
    rows = ask(scale="H0", what="pier", radius_mm=600).by_table.rows
    words = "H0, curve of 600 mm, group B, half the structure gauge's width"
    assert rows[0].row == words
    straight = ask(scale="H0", what="pier", radius_mm=None).by_table.rows
    assert straight[0].row == "H0, straight, half the structure gauge's width"


def test_a_curve_that_is_not_allowed_is_told_in_words() -> None:
    answer = ask(scale="H0", what="portal", radius_mm=350)
    assert any("does not allow" in reason.message for reason in answer.because)


def test_a_vehicle_longer_than_every_group_is_held_by_no_row() -> None:
    """Group C ends at 27.2 m, 313 mm in H0."""
    long = {**COACH, "length_mm": 330}
    assert ask(long, scale="H0", radius_mm=600).by_table.widening_mm == "not_held"
    assert ask(COACH, scale="H0", radius_mm=600).by_table.widening_mm == 6


def test_american_clearances_stand_beside_a_wall() -> None:
    """AREMA: 9 ft and 23 ft, HO 31.5 and 80.5."""
    table = ask(scale="HO", what="wall", radius_mm=None).by_table
    assert table.edge_mm == pytest.approx(31.5, abs=0.05)
    assert table.height_mm == pytest.approx(80.5, abs=0.05)


def test_a_portal_is_as_high_as_the_tallest_and_the_margin() -> None:
    answer = ask({**COACH, "height_mm": 52}, what="portal", margin_mm=2)
    assert answer.height_mm == 54
    unmeasured = ask(what="portal", margin_mm=2)
    assert unmeasured.height_mm == 70
    assert "height_mm" in {one.field for one in unmeasured.assumed}


def test_a_low_platform_is_taken_where_two_heights_are_usual_and_that_is_said() -> None:
    """Europe: 550 and 760 mm, H0 6.3 and 8.7."""
    answer = ask(scale="H0")
    assert answer.height_mm == pytest.approx(6.3, abs=0.05)
    (said,) = [one.message for one in answer.assumed if one.field == "height_mm"]
    assert "8.7 mm" in said


@at_each(
    "asked, pointer",
    [
        ({"radius_mm": None, "ends_at_mm": 0}, "/ends_at_mm"),
        ({"island_width_mm": 48}, "/island_width_mm"),
        ({"what": "bridge"}, "/what"),
        ({"margin_mm": -1}, "/margin_mm"),
        ({"vehicles": []}, "/vehicles"),
    ],
)
def test_what_does_not_go_together_is_refused(asked: Json, pointer: str) -> None:
    with pytest.raises(Faulty) as raised:
        ask(**asked)
    assert pointer in {fault.pointer for fault in raised.value.faults}


def test_beyond_a_curve_its_beginning_decides_which_edge_is_needed() -> None:
    """A platform that begins farther along the straight may lie as near, and far
    enough beyond the curve as near as on straight track.
    """
    edges = [ask(ends_at_mm=ends_at_mm) for ends_at_mm in (400, 50, 0, -50, -300)]
    inside_mm = [answer.inside_mm or 0.0 for answer in edges]
    assert inside_mm == sorted(inside_mm, reverse=True)
    assert inside_mm[0] == pytest.approx(26.13, abs=0.005)
    assert inside_mm[-1] == 19
    assert edges[-1].outside_mm == 19
    assert edges[-1].ends_beyond_middle_mm == 0


@at_each("what", ["platform", "island"])
def test_a_body_far_shorter_than_between_its_pivots_is_answered(what: str) -> None:
    """It lies all inside the centre line of a sharp curve: an edge is no nearer to that
    than the margin.
    """
    short = {**COACH, "bogie_centres_mm": 240, "body_length_mm": 50}
    answer = ask({**short, "front_overhang_mm": 9}, what=what, radius_mm=130)
    assert answer.outside_mm is not None
    assert answer.outside_mm >= 1


def test_wheels_nearly_at_one_place_stand_on_the_smallest_curve() -> None:
    dot = {**COACH, "bogie_centres_mm": 1e-9, "bogie_wheelbase_mm": None}
    for radius_mm in (1e-9, 1e-3):
        answer = ask(dot, radius_mm=radius_mm, ends_at_mm=0, what="island")
        assert answer.verdict == "found"
        assert answer.track_centres_mm is not None


@at_each("what", ["platform", "island", "wall", "portal", "pier"])
def test_no_sentence_is_long_however_a_vehicle_is_called(what: str) -> None:
    answer = ask({**COACH, "name": "Saloon coach " * 7}, what=what, ends_at_mm=40)
    for reason in answer.because:
        assert len(reason.message) <= 200, reason.message
