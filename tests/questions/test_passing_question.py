"""What is answered to the question whether trains pass each other on two tracks."""

import pickle
from fractions import Fraction
from math import sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.questions.passing import (
    PassingAnswer,
    PassingCase,
    PassingRequest,
    reckon,
)
from standage.railway.curving.throws import end_throw_mm
from standage.railway.passing import gaps
from standage.railway.stock.couplings import Coupling, CouplingKind
from standage.railway.stock.vehicles import Body, Vehicle
from standage.shapes.decoding import convert, faults_in
from standage.shapes.faults import Faulty
from support.walks import at_each


def wagon(name: str = "Wagon", **figures: object) -> Vehicle:
    """Return a wagon 36 mm wide on a rigid wheelbase of 120, 180 mm over buffers, or as
    ``figures`` say.
    """
    known: dict[str, object] = {
        "name": name,
        "length_mm": 180.0,
        "length_over": "buffers",
        "rigid_wheelbase_mm": 120.0,
        "width_mm": 36.0,
    }
    return Vehicle(**(known | figures))  # type: ignore[arg-type] # figures by name, as a request gives them


def ask(
    *vehicles: Vehicle,
    spacing_mm: float,
    radius_mm: float | None = None,
    **more: object,
) -> PassingAnswer:
    case: dict[str, object] = {
        "vehicles": vehicles,
        "inner_radius_mm": radius_mm,
        "spacing_mm": spacing_mm,
    }
    return reckon(PassingCase(**(case | more)))  # type: ignore[arg-type] # figures by name, as a request gives them


def codes(answer: PassingAnswer) -> list[str]:
    return [reason.code for reason in answer.because]


# --- the gap and the pair


def test_on_straight_track_half_of_each_width_is_taken_off_the_spacing() -> None:
    answer = ask(wagon("Wide", width_mm=40), wagon("Slim", width_mm=30), spacing_mm=45)
    assert (answer.verdict, answer.least_gap_mm) == ("clear", 5)
    assert (answer.on_outer, answer.on_inner) == ("Wide", "Wide")
    assert answer.spacing_needed_mm == 40


def test_a_nose_inside_a_coach_is_worse_than_coach_and_coach() -> None:
    """R 400, 500 outside. Coach: pivots 200, ends at ±120; engine: pivots 100, nose 120
    from their middle; 30 wide.

    Coach outside: middle at √(500² − 100²) = 489.90. Coach inside: R_m 387.30, corner
    √(402.30² + 120²) = 419.82. Engine inside: R_m 396.86, corner √(411.86² + 120²) =
    428.99.
    """
    coach = wagon(
        "Coach",
        length_mm=240,
        rigid_wheelbase_mm=None,
        bogie_centres_mm=200,
        width_mm=30,
    )
    engine = wagon(
        "Engine",
        length_mm=200,
        rigid_wheelbase_mm=100,
        front_overhang_mm=70,
        width_mm=30,
    )
    answer = ask(coach, engine, spacing_mm=100, radius_mm=400)
    assert (answer.on_outer, answer.on_inner) == ("Coach", "Engine")
    assert answer.least_gap_mm == pytest.approx(489.90 - 15 - 428.99, abs=0.01)
    like = [
        pair.gap_mm
        for pair in answer.pairs
        if (pair.on_outer, pair.on_inner) == ("Coach", "Coach")
    ]
    assert like == pytest.approx([489.90 - 15 - 419.82], abs=0.01)


def test_a_vehicle_meets_its_own_like() -> None:
    """R 300, 360 outside: √(360² − 60²) − 18 = 336.96; R_m √(300² − 60²) = 293.94,
    corner √(311.94² + 90²) = 324.66.
    """
    answer = ask(wagon(), spacing_mm=60, radius_mm=300)
    expected = (
        sqrt(360**2 - 60**2) - 18 - sqrt((sqrt(300**2 - 60**2) + 18) ** 2 + 90**2)
    )
    assert answer.least_gap_mm == pytest.approx(expected, abs=1e-6)
    assert expected == pytest.approx(12.30, abs=0.01)


def test_the_worse_end_of_a_vehicle_counts_whichever_it_is() -> None:
    front = ask(wagon(front_overhang_mm=50), spacing_mm=60, radius_mm=300)
    rear = ask(wagon(rear_overhang_mm=50), spacing_mm=60, radius_mm=300)
    assert front.least_gap_mm == rear.least_gap_mm
    assert front.least_gap_mm is not None
    assert front.least_gap_mm < 12.3


def test_each_body_of_several_counts() -> None:
    tender = Body(name="tender", length_mm=80, rigid_wheelbase_mm=60, width_mm=34)
    engine = Body(name="engine", length_mm=180, rigid_wheelbase_mm=120, width_mm=36)
    both = Vehicle(name="Locomotive", bodies=(tender, engine))
    single = ask(wagon("Locomotive"), spacing_mm=60, radius_mm=300)
    assert ask(both, spacing_mm=60, radius_mm=300).least_gap_mm == single.least_gap_mm


def test_the_worst_few_pairs_are_shown_the_worst_first() -> None:
    answer = ask(
        *(wagon(f"W{each}", width_mm=30 + each) for each in range(4)), spacing_mm=60
    )
    assert [pair.gap_mm for pair in answer.pairs] == [27, 27.5, 27.5, 28, 28]


# --- verdicts


@pytest.mark.parametrize(
    ("spacing_mm", "verdict", "code"),
    [
        (38, "clear", "margin_kept"),
        (37.9, "marginal", "less_than_margin"),
        (36, "marginal", "less_than_margin"),
        (35.9, "fouls", "bodies_overlap"),
    ],
)
def test_the_margin_parts_clear_from_marginal_and_overlap_fouls(
    spacing_mm: float, verdict: str, code: str
) -> None:
    answer = ask(wagon(), spacing_mm=spacing_mm, margin_mm=2)
    assert (answer.verdict, codes(answer)[0]) == (verdict, code)


@pytest.mark.parametrize(
    ("spacing_mm", "verdict"),
    [(39, "clear"), (38.9, "marginal"), (35, "marginal"), (34.9, "fouls")],
)
def test_the_doubt_about_the_widths_counts_against_clear_and_against_fouls(
    spacing_mm: float, verdict: str
) -> None:
    """Two widths of 36 ± 1: half of each makes the gap ± 1."""
    answer = ask(wagon(width_plus_minus_mm=1), spacing_mm=spacing_mm, margin_mm=2)
    assert (answer.verdict, answer.plus_minus_mm) == (verdict, 1)
    assert answer.spacing_needed_mm == 39


def test_a_margin_that_is_missed_for_certain_is_said_to_be_and_one_in_doubt_is_not_certain() -> (
    None
):
    """Two wagons of 34 mm at 35.2 mm leave 1.2 mm; with widths of ± 1 mm that may be
    2.2 mm and enough.
    """

    def said(wide: Vehicle) -> str:
        return (
            ask(wide, spacing_mm=35.2, margin_mm=2)
            .because[0]
            .message.partition(": ")[2]
        )

    assert said(wagon(width_mm=34)) == "0.8 mm less than the margin of 2 mm"
    assert (
        said(wagon(width_mm=34, width_plus_minus_mm=1))
        == "the margin of 2 mm is not certain"
    )


def test_the_reason_names_the_pair_and_its_figures() -> None:
    reason = ask(wagon(), spacing_mm=35, margin_mm=2).because[0]
    assert (reason.vehicle, reason.other_vehicle, reason.value_mm, reason.limit_mm) == (
        "Wagon",
        "Wagon",
        -1,
        2,
    )
    assert (
        reason.message
        == "Wagon on the outer track and Wagon on the inner one overlap by 1 mm"
    )


@pytest.mark.parametrize(
    ("spacing_mm", "amount_mm", "words"),
    [
        (35, 1.0, "overlap by 1 mm"),
        (35.96, 0.04, "overlap by less than 0.1 mm"),
        (37.8, 0.2, "leave 1.8 mm: 0.2 mm less than the margin of 2 mm"),
        (38, None, "leave 2 mm between them"),
    ],
)
def test_the_amount_is_the_one_that_is_told(
    spacing_mm: float, amount_mm: float | None, words: str
) -> None:
    reason = ask(wagon(), spacing_mm=spacing_mm, margin_mm=2).because[0]
    assert (reason.amount_mm, reason.message.partition("inner one ")[2]) == (
        amount_mm,
        words,
    )


# --- the margin


@pytest.mark.parametrize(
    ("figures", "margin_mm"),
    [
        ({"scale": "00"}, 2.0625),
        ({"gauge_mm": 32.0}, 4.0),
        ({"scale": "00", "gauge_mm": 18.2}, 2.275),
        ({"scale": "N", "margin_mm": 3.0}, 3.0),
        ({"scale": "N", "margin_mm": 0.0}, 0.0),
        ({}, 0.0),
    ],
)
def test_the_margin_is_an_eighth_of_the_gauge_where_a_scale_is_given_else_none(
    figures: dict[str, object], margin_mm: float
) -> None:
    answer = ask(wagon(), spacing_mm=60, radius_mm=None, **figures)
    assert answer.margin_mm == pytest.approx(margin_mm)
    stated = [note for note in answer.assumed if note.field == "margin_mm"]
    assert bool(stated) == ("margin_mm" not in figures)


def test_the_greatest_gauge_of_the_vehicles_makes_the_margin_where_the_tracks_have_none() -> (
    None
):
    answer = ask(
        wagon("A", scale="N"),
        wagon("B", scale="00"),
        wagon("C", scale="N", gauge_mm=6.5),
        spacing_mm=60,
    )
    assert answer.margin_mm == 2.0625
    assert ask(wagon(scale="N", gauge_mm=12), spacing_mm=60).margin_mm == 1.5


# --- what is not known


def test_a_vehicle_of_unknown_width_is_named_and_the_answer_open() -> None:
    answer = ask(wagon(), wagon("Van", width_mm=None), spacing_mm=60)
    assert (answer.verdict, answer.spacing_needed_mm, answer.least_radius_mm) == (
        "cannot_tell",
        None,
        None,
    )
    assert (answer.because[0].vehicle, answer.because[0].field) == ("Van", "width_mm")
    assert answer.least_gap_mm == 24


def test_known_vehicles_that_foul_do_so_whatever_else_is_unknown() -> None:
    answer = ask(wagon(), wagon("Van", width_mm=None), spacing_mm=35)
    assert (answer.verdict, codes(answer)[0]) == ("fouls", "bodies_overlap")


def test_with_nothing_known_there_is_no_gap_and_no_pair() -> None:
    answer = ask(wagon(width_mm=None), spacing_mm=60)
    assert (answer.verdict, answer.least_gap_mm, answer.on_outer, answer.pairs) == (
        "cannot_tell",
        None,
        None,
        (),
    )


def test_the_request_s_scale_lends_a_width_to_vehicles_that_give_none() -> None:
    """2.8 m at 1:76.2 is 36.75 mm, ± 1."""
    answer = ask(wagon(width_mm=None), spacing_mm=60, scale="00")
    assert answer.least_gap_mm == pytest.approx(60 - 36.745, abs=0.001)
    assert answer.plus_minus_mm == 1
    assert "width_mm" in {note.field for note in answer.assumed}


def test_wheels_do_not_matter_on_straight_track_but_for_the_curves_it_would_do_on() -> (
    None
):
    answer = ask(wagon(rigid_wheelbase_mm=None), spacing_mm=60)
    assert (answer.verdict, answer.least_radius_mm) == ("clear", None)
    assert [
        reason.field for reason in answer.because if reason.code == "missing_figure"
    ] == ["bogie_centres_mm"]


def test_wheels_matter_on_a_curve() -> None:
    answer = ask(wagon(rigid_wheelbase_mm=None), spacing_mm=60, radius_mm=400)
    assert (answer.verdict, answer.because[0].field) == (
        "cannot_tell",
        "bogie_centres_mm",
    )


def test_a_vehicle_that_cannot_stand_on_the_inner_track_is_a_certain_no() -> None:
    answer = ask(
        wagon(),
        wagon("Long", length_mm=500, rigid_wheelbase_mm=420),
        spacing_mm=200,
        radius_mm=200,
    )
    assert (answer.verdict, codes(answer)[0], answer.because[0].vehicle) == (
        "fouls",
        "cannot_stand",
        "Long",
    )
    assert (answer.on_outer, answer.on_inner) == ("Long", "Wagon")
    assert (answer.spacing_needed_mm, answer.spacing_needed_brings) == (None, None)
    assert answer.least_radius_mm is not None
    assert answer.least_radius_mm > 210


def test_a_certain_no_stays_one_where_another_vehicle_is_not_known() -> None:
    long = wagon("Long", length_mm=500, rigid_wheelbase_mm=420)
    answer = ask(wagon("Van", width_mm=None), long, spacing_mm=200, radius_mm=200)
    assert (answer.verdict, answer.because[0].vehicle) == ("fouls", "Long")


def test_wheels_that_are_only_guessed_to_be_too_far_apart_leave_the_answer_open() -> (
    None
):
    coach = wagon("Coach", kind="coach", length_mm=600, rigid_wheelbase_mm=None)
    answer = ask(coach, spacing_mm=900, radius_mm=210)
    assert (answer.verdict, codes(answer)[0]) == ("cannot_tell", "may_not_stand")
    assert (answer.because[0].vehicle, answer.because[0].field) == (
        "Coach",
        "bogie_centres_mm",
    )


def tenths(least: int, most: int) -> st.SearchStrategy[float]:
    return st.integers(least * 10, most * 10).map(lambda tenth: tenth / 10)


@given(
    st.lists(
        st.tuples(tenths(60, 300), tenths(20, 45), st.integers(30, 80)),
        min_size=1,
        max_size=3,
    ),
    tenths(20, 90),
    st.none() | tenths(250, 900),
)
def test_advice_brings_the_verdict_that_it_says_and_a_tenth_less_does_not(
    figures: list[tuple[float, float, int]], spacing_mm: float, radius_mm: float | None
) -> None:
    stock = [
        wagon(
            f"Wagon {number}",
            length_mm=length_mm,
            width_mm=width_mm,
            rigid_wheelbase_mm=length_mm * part / 100,
        )
        for number, (length_mm, width_mm, part) in enumerate(figures)
    ]
    answer = ask(*stock, spacing_mm=spacing_mm, radius_mm=radius_mm, margin_mm=2)
    assert answer.spacing_needed_mm is not None
    wider = ask(
        *stock, spacing_mm=answer.spacing_needed_mm, radius_mm=radius_mm, margin_mm=2
    )
    assert wider.verdict == answer.spacing_needed_brings == "clear"
    narrower = ask(
        *stock,
        spacing_mm=answer.spacing_needed_mm - 0.1,
        radius_mm=radius_mm,
        margin_mm=2,
    )
    assert narrower.verdict != "clear"
    if answer.least_radius_mm is not None:
        easier = ask(
            *stock, spacing_mm=spacing_mm, radius_mm=answer.least_radius_mm, margin_mm=2
        )
        assert easier.verdict == answer.least_radius_brings == "clear"
        if answer.least_radius_mm > 0.1:
            sharper = ask(
                *stock,
                spacing_mm=spacing_mm,
                radius_mm=answer.least_radius_mm - 0.1,
                margin_mm=2,
            )
            assert sharper.verdict != "clear"


def test_a_vehicle_that_does_not_run_on_the_inner_track_is_pointed_out() -> None:
    answer = ask(wagon("Big", minimum_radius_mm=500), spacing_mm=60, radius_mm=400)
    assert "does_not_run_there" in codes(answer)
    assert "does_not_run_there" not in codes(
        ask(wagon("Big", minimum_radius_mm=500), spacing_mm=60)
    )
    assert "does_not_run_there" not in codes(
        ask(wagon("Engine", kind="engine"), spacing_mm=60, radius_mm=400)
    )


# --- the inverses


def test_the_least_radius_and_the_spacing_needed_are_each_other_s_inverse() -> None:
    needed = ask(wagon(), spacing_mm=60, radius_mm=400, margin_mm=2).spacing_needed_mm
    assert needed is not None
    assert (
        ask(wagon(), spacing_mm=needed, radius_mm=400, margin_mm=2).verdict == "clear"
    )
    assert (
        ask(wagon(), spacing_mm=needed - 0.001, radius_mm=400, margin_mm=2).verdict
        == "marginal"
    )
    assert ask(
        wagon(), spacing_mm=needed, margin_mm=2
    ).least_radius_mm == pytest.approx(400, abs=0.01)


def test_where_not_even_straight_track_does_there_is_no_least_radius() -> None:
    answer = ask(wagon(), spacing_mm=37, margin_mm=2)
    assert answer.least_radius_mm is None
    assert codes(answer)[-1] == "no_radius_keeps_margin"


def test_straight_track_that_just_does_is_not_reached_by_any_curve() -> None:
    assert ask(wagon(), spacing_mm=38, margin_mm=2).least_radius_mm is None


def test_where_every_curve_does_the_least_radius_is_the_least_to_stand_on() -> None:
    least = ask(wagon(), spacing_mm=900, margin_mm=2).least_radius_mm
    assert least == pytest.approx(60, abs=0.001)
    assert least is not None
    assert ask(wagon(), spacing_mm=900, radius_mm=least, margin_mm=2).verdict == "clear"


def test_a_sharper_curve_that_does_is_no_proof_for_the_easier_ones_beyond_it() -> None:
    """Close to the least radius to stand on, 60 mm, the body draws in faster than its
    corner swings out.

    R 60.5, 135.5 outside: R_m 7.76; 121.49 − 18 − √(25.76² + 90²) = 9.88. R 72, 147
    outside: R_m 39.80; 134.20 − 18 − √(57.80² + 90²) = 9.24. R 100, 175 outside: R_m
    80; 164.39 − 18 − √(98² + 90²) = 13.34.
    """
    gaps = [
        ask(wagon(), spacing_mm=75, radius_mm=each).least_gap_mm
        for each in (60.5, 72, 100)
    ]
    assert gaps == pytest.approx([9.88, 9.24, 13.34], abs=0.01)
    least = ask(wagon(), spacing_mm=75, margin_mm=9.5).least_radius_mm
    assert least is not None
    assert 72 < least < 100
    assert ask(
        wagon(), spacing_mm=75, radius_mm=least, margin_mm=0
    ).least_gap_mm == pytest.approx(9.5, abs=1e-4)


# --- by the outer track


@pytest.mark.parametrize(("radius_mm", "spacing_mm"), [(400, 60), (438.3, 67.1)])
def test_two_tracks_are_the_same_by_the_radius_of_either(
    radius_mm: float, spacing_mm: float
) -> None:
    by_inner = ask(wagon(), spacing_mm=spacing_mm, radius_mm=radius_mm, margin_mm=2)
    by_outer = ask(
        wagon(),
        spacing_mm=spacing_mm,
        outer_radius_mm=float(Fraction(str(radius_mm)) + Fraction(str(spacing_mm))),
        margin_mm=2,
    )
    assert by_outer == by_inner
    assert by_outer.inner_radius_mm == radius_mm


@pytest.mark.parametrize("outer_mm", [505.0, 572.0, 914.4])
def test_the_inner_track_needed_is_asked_again_and_turns_the_verdict(
    outer_mm: float,
) -> None:
    asked = ask(wagon(), spacing_mm=30, outer_radius_mm=outer_mm, margin_mm=2)
    needed_mm = asked.inner_radius_needed_mm
    assert needed_mm is not None
    assert (asked.verdict, asked.inner_radius_needed_brings) == ("fouls", "clear")

    def between(inner_mm: float) -> PassingAnswer:
        spacing_mm = round(outer_mm - inner_mm, 6)
        return ask(
            wagon(), spacing_mm=spacing_mm, outer_radius_mm=outer_mm, margin_mm=2
        )

    assert between(needed_mm).verdict == "clear"
    assert between(needed_mm).spacing_needed_mm == pytest.approx(
        outer_mm - needed_mm, abs=1e-4
    )
    assert between(needed_mm + 0.1).verdict == "marginal"


def test_straight_track_has_no_inner_radius() -> None:
    answer = ask(wagon(), spacing_mm=60)
    assert (answer.inner_radius_mm, answer.inner_radius_needed_mm) == (None, None)
    assert "no_inner_track_keeps_margin" not in codes(answer)


def test_where_no_inner_track_would_do_it_is_said() -> None:
    """Wheels of 120 stand on nothing below 60 mm, where the corner is 92 mm out."""
    answer = ask(wagon(), spacing_mm=20, outer_radius_mm=105, margin_mm=2)
    assert answer.inner_radius_needed_mm is None
    assert "no_inner_track_keeps_margin" in codes(answer)


def test_beside_an_outer_track_too_sharp_to_stand_on_there_is_no_inner_one() -> None:
    """Wheels of 120 stand on nothing below 60 mm."""
    answer = ask(wagon(), spacing_mm=20, outer_radius_mm=59, margin_mm=2)
    assert (answer.verdict, answer.inner_radius_needed_mm) == ("fouls", None)
    assert "no_inner_track_keeps_margin" in codes(answer)


def test_an_inner_track_too_sharp_to_stand_on_may_be_eased_towards_the_outer() -> None:
    """Wheels of 120 stand on nothing below 60 mm."""
    sharp = ask(wagon(), spacing_mm=450, outer_radius_mm=505, margin_mm=2)
    easy = ask(wagon(), spacing_mm=60, outer_radius_mm=505, margin_mm=2)
    assert (sharp.verdict, sharp.inner_radius_mm) == ("fouls", 55)
    assert sharp.inner_radius_needed_mm == easy.inner_radius_needed_mm
    assert sharp.inner_radius_needed_brings == "clear"


# --- the published tables

UIC = {
    "kind": "coach",
    "scale": "H0",
    "length_mm": 27_200 / 87,
    "rigid_wheelbase_mm": None,
    "bogie_centres_mm": 19_500 / 87,
    "width_mm": 2_825 / 87,
}


@at_each(
    "radius_mm, spacing_mm", [(400, 64), (500, 59), (600, 55), (800, 50), (1000, 47)]
)
def test_nem_112_leaves_two_long_coaches_a_few_millimetres_on_every_curve(
    radius_mm: float, spacing_mm: float
) -> None:
    """NEM 112 as quoted, H0, group C: two coaches of 27.2 m, pivots 19.5 m, 2.825 m
    wide must be left 2.5 to 4.5 mm.
    """
    answer = ask(
        wagon("Coach", **UIC), spacing_mm=spacing_mm, radius_mm=radius_mm, margin_mm=0
    )
    assert answer.least_gap_mm is not None
    assert 2.5 <= answer.least_gap_mm <= 4.5
    (nem, nmra) = answer.by_table
    assert (nem.outcome, nem.table_mm, nem.as_quoted) == ("held", spacing_mm, True)
    assert nem.geometry_mm == answer.spacing_needed_mm
    assert nem.difference_mm == pytest.approx(-answer.least_gap_mm, abs=0.2)
    assert (nmra.standard, nmra.outcome) == ("NMRA S-8", "not_held")


@at_each(
    "figures, radius_mm",
    [
        # no row between two, none for shorter vehicles, and none of another scale
        ({}, 450.0),
        ({"length_mm": 220.0, "bogie_centres_mm": 150.0}, 400.0),
        ({"length_mm": 320.0}, 400.0),
        ({"scale": "HO"}, 400.0),
        ({"scale": "00"}, 400.0),
        ({"scale": None}, 400.0),
        ({"bogie_centres_mm": None, "kind": "engine"}, 400.0),
    ],
)
def test_no_row_of_nem_112_is_invented(
    figures: dict[str, Any], radius_mm: float
) -> None:
    coach = wagon("Coach", **(UIC | figures))
    answer = ask(coach, spacing_mm=64, radius_mm=radius_mm)
    assert [each.outcome for each in answer.by_table] == ["not_held", "not_held"]
    assert {each.table_mm for each in answer.by_table} == {None}


@at_each(
    "scale, outcomes, figures_mm",
    [
        ("H0", ("held", "held", "not_held"), (46.0, 52.0, None)),
        ("N", ("held", "held", "held"), (25.0, 28.0, 26.19375)),
        ("TT", ("held", "not_held", "not_held"), (34.0, None, None)),
        ("HO", ("not_held", "not_held", "held"), (None, None, 46.0375)),
        ("S", ("not_held", "not_held", "held"), (None, None, 61.9125)),
        ("O", ("not_held", "not_held", "held"), (None, None, 82.55)),
        ("00", ("not_held", "not_held", "not_held"), (None, None, None)),
    ],
)
def test_straight_track_has_the_rows_of_both_tables_and_no_others(
    scale: Any, outcomes: tuple[str, ...], figures_mm: tuple[float | None, ...]
) -> None:
    """NEM 112 running line and station, NMRA S-8 tangent, as quoted."""
    answer = ask(wagon(width_mm=30), spacing_mm=60, scale=scale)
    assert tuple(each.outcome for each in answer.by_table) == outcomes
    assert tuple(each.table_mm for each in answer.by_table) == pytest.approx(figures_mm)
    assert {each.geometry_mm for each in answer.by_table} == {answer.spacing_needed_mm}


# --- the request


def test_a_null_radius_must_be_written_and_is_straight_track() -> None:
    request = {"spacing_mm": 60, "vehicles": [{"name": "Wagon", "width_mm": 36}]}
    with pytest.raises(Faulty) as refused:
        convert(request, PassingRequest)
    assert [fault.pointer for fault in refused.value.faults] == ["/inner_radius_mm"]
    assert (
        convert(request | {"inner_radius_mm": None}, PassingRequest).inner_radius_mm
        is None
    )


@pytest.mark.parametrize(
    ("radii", "pointer"),
    [
        ({}, "/inner_radius_mm"),
        ({"inner_radius_mm": 440, "outer_radius_mm": 500}, "/outer_radius_mm"),
        ({"outer_radius_mm": 60}, "/spacing_mm"),
        ({"outer_radius_mm": 0}, "/outer_radius_mm"),
        ({"outer_radius_mm": None}, "/inner_radius_mm"),
    ],
)
def test_just_one_of_the_two_tracks_has_a_radius_with_room_for_the_other(
    radii: dict[str, object], pointer: str
) -> None:
    request = {"spacing_mm": 60, "vehicles": [{"name": "Wagon", "width_mm": 36}]}
    found = list(faults_in(request | radii, PassingRequest))
    assert [fault.pointer for fault in found] == [pointer]


def test_a_null_inner_radius_beside_an_outer_one_says_nothing() -> None:
    request = {
        "inner_radius_mm": None,
        "outer_radius_mm": 60.1,
        "spacing_mm": 60,
        "vehicles": [{"name": "Wagon", "width_mm": 36}],
    }
    assert convert(request, PassingRequest).outer_radius_mm == 60.1


def test_a_case_and_its_answer_travel_to_another_process() -> None:
    case = PassingCase(vehicles=(wagon(),), inner_radius_mm=400, spacing_mm=60)
    sent = pickle.loads(pickle.dumps(case))  # noqa: S301 - own bytes
    received = pickle.loads(pickle.dumps(reckon(sent)))  # noqa: S301 - own bytes
    assert received == reckon(case)


def test_thirty_vehicles_are_judged_without_trying_nine_hundred_pairs_one_by_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    tried: list[float] = []

    def counted(radius_mm: float, **figures: float) -> float:
        tried.append(radius_mm)
        return end_throw_mm(radius_mm, **figures)

    monkeypatch.setattr(gaps, "end_throw_mm", counted)
    fleet = tuple(
        wagon(f"W{each}", width_mm=30 + each / 10, length_mm=180 + each)
        for each in range(30)
    )
    ask(*fleet, spacing_mm=60, radius_mm=400)
    assert 30 <= len(tried) < 400


def test_what_a_types_couplings_reach_is_no_part_of_the_body_that_passes() -> None:
    """190 mm over couplings that reach 5 mm each are 180 over buffers."""
    hook = Coupling(type="Staple hook")
    types = (CouplingKind(name="Staple hook", reach_mm=5.0),)
    over = wagon(
        length_mm=190.0,
        length_over="couplings",
        front_coupling=hook,
        rear_coupling=hook,
    )
    answer = ask(over, spacing_mm=60, radius_mm=400, types=types)
    assert (
        answer.least_gap_mm == ask(wagon(), spacing_mm=60, radius_mm=400).least_gap_mm
    )
    assert "reach_mm" not in {note.field for note in answer.assumed}, (
        "the club recorded it"
    )


def test_a_width_low_down_counts_where_it_is_the_greater() -> None:
    """Two engines 34 mm wide over their bodies and 40 over their cylinders, 41 apart:
    41 - 40 = 1 between the cylinders, which are at one height; not 41 - 34 = 7.
    """
    plain = ask(wagon(width_mm=34.0), spacing_mm=41)
    low = wagon(width_mm=34.0, width_at_platform_mm=40.0)
    wide = ask(low, spacing_mm=41)
    assert (plain.least_gap_mm, wide.least_gap_mm) == (7, 1)
    assert wide.spacing_needed_mm == 40
    narrow = wagon(width_mm=34.0, width_at_platform_mm=30.0)
    assert ask(narrow, spacing_mm=41).least_gap_mm == 7
    bend = [ask(one, spacing_mm=60, radius_mm=400) for one in (wagon(), low)]
    assert [answer.least_gap_mm is not None for answer in bend] == [True, True]
    assert (bend[1].least_gap_mm or 0) < (bend[0].least_gap_mm or 0)
