"""Whether one vehicle runs on one curve: each sort of evidence, in its order."""

import pytest

from standage.railway.curving.curves import OnCurve, on_curve
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.vehicles import Body, Trial, Vehicle


def coach(**figures: object) -> Vehicle:
    """Return a coach of 260 mm with pivots 180 mm apart, or as ``figures`` say."""
    known: dict[str, object] = {
        "name": "Coach",
        "kind": "coach",
        "length_mm": 260.0,
        "length_over": "buffers",
        "bogie_centres_mm": 180.0,
        "bogie_wheelbase_mm": 33.0,
        "width_mm": 37.0,
    }
    return Vehicle(**(known | figures))  # type: ignore[arg-type] # figures by name, as a request gives them


def unknown(**figures: object) -> Vehicle:
    """Return a vehicle of 200 mm over couplings whose wheels nobody measured."""
    known: dict[str, object] = {
        "name": "Vehicle",
        "length_mm": 200.0,
        "length_over": "couplings",
    }
    return Vehicle(**(known | figures))  # type: ignore[arg-type] # figures by name, as a request gives them


def codes(answer: OnCurve) -> list[str]:
    return [reason.code for reason in answer.because]


def missing(answer: OnCurve) -> list[str | None]:
    return [
        reason.field for reason in answer.because if reason.code == "missing_figure"
    ]


# --- a trial


def test_a_curve_as_wide_as_one_it_ran_on_overrules_the_maker() -> None:
    answer = on_curve(
        coach(minimum_radius_mm=600, trial=Trial(ran_at_radius_mm=438)), radius_mm=438
    )
    assert (answer.verdict, codes(answer)) == ("runs", ["ran_in_trial"])


def test_a_trial_overrules_the_bound_of_twelve_degrees() -> None:
    engine = coach(
        kind="engine",
        bogie_centres_mm=None,
        bogie_wheelbase_mm=None,
        rigid_wheelbase_mm=200,
        trial=Trial(ran_at_radius_mm=400),
    )
    assert on_curve(engine, radius_mm=400).verdict == "runs"
    assert on_curve(engine, radius_mm=399).verdict == "does_not_run"


def test_a_curve_as_sharp_as_one_it_failed_on_overrules_the_maker() -> None:
    answer = on_curve(
        coach(minimum_radius_mm=300, trial=Trial(failed_at_radius_mm=438)),
        radius_mm=438,
    )
    assert (answer.verdict, codes(answer)) == ("does_not_run", ["failed_in_trial"])


def test_between_the_two_trials_the_maker_s_word_counts() -> None:
    trial = Trial(ran_at_radius_mm=500, failed_at_radius_mm=400)
    assert codes(
        on_curve(coach(minimum_radius_mm=420, trial=trial), radius_mm=410)
    ) == ["below_stated_radius"]
    assert codes(
        on_curve(coach(minimum_radius_mm=420, trial=trial), radius_mm=430)
    ) == ["within_stated_radius"]


# --- the maker's figure


def test_below_the_stated_radius_it_does_not_run_and_is_told_by_how_much() -> None:
    answer = on_curve(coach(minimum_radius_mm=505), radius_mm=438)
    reason = answer.because[0]
    assert answer.verdict == "does_not_run"
    assert (
        reason.code,
        reason.vehicle,
        reason.value_mm,
        reason.limit_mm,
        reason.amount_mm,
    ) == (
        "below_stated_radius",
        "Coach",
        438,
        505,
        67,
    )
    assert "67 mm" in reason.message


def test_on_the_stated_radius_it_runs() -> None:
    answer = on_curve(coach(minimum_radius_mm=438), radius_mm=438)
    assert (answer.verdict, codes(answer)) == ("runs", ["within_stated_radius"])


def test_no_maker_s_word_lets_wheels_stand_where_they_cannot() -> None:
    answer = on_curve(coach(minimum_radius_mm=80), radius_mm=85)
    assert (answer.verdict, codes(answer)) == ("does_not_run", ["cannot_stand"])
    assert (answer.centre_throw_mm, answer.end_throw_mm) == (None, None)


def test_only_a_trial_overrules_the_bound_of_twelve_degrees() -> None:
    wagon = unknown(rigid_wheelbase_mm=190, minimum_radius_mm=438)
    assert on_curve(wagon, radius_mm=438).verdict == "does_not_run"
    tried = unknown(rigid_wheelbase_mm=190, trial=Trial(ran_at_radius_mm=438))
    assert on_curve(tried, radius_mm=438).verdict == "runs"


def test_an_engine_with_a_stated_radius_needs_no_other_figure_to_run() -> None:
    engine = Vehicle(name="Engine", kind="engine", minimum_radius_mm=371)
    answer = on_curve(engine, radius_mm=438)
    assert answer.verdict == "runs"
    assert answer.centre_throw_mm is None
    assert missing(answer) == ["rigid_wheelbase_mm", "width_mm"]


# --- bounds


def test_a_rigid_wheelbase_beyond_twelve_degrees_does_not_run() -> None:
    """2 × 438 × sin 12° = 182.13."""
    assert (
        on_curve(unknown(rigid_wheelbase_mm=182.0), radius_mm=438).verdict == "marginal"
    )
    answer = on_curve(unknown(rigid_wheelbase_mm=182.2), radius_mm=438)
    assert (answer.verdict, codes(answer)[0]) == ("does_not_run", "wheelbase_too_long")
    assert answer.because[0].limit_mm == pytest.approx(182.13, abs=0.01)


def test_a_bogie_s_wheelbase_is_bound_by_twelve_degrees_as_well() -> None:
    """2 × 200 × sin 12° = 83.16."""
    assert "wheelbase_too_long" not in codes(
        on_curve(coach(bogie_wheelbase_mm=83.0), radius_mm=200)
    )
    assert codes(on_curve(coach(bogie_wheelbase_mm=83.3), radius_mm=200)) == [
        "wheelbase_too_long"
    ]


def test_what_is_said_to_go_round_at_most_does_go_round() -> None:
    """2 × 438.1 × sin 12° = 182.170: said to be 182.1, and not 182.2, which is
    refused.
    """
    refused = on_curve(unknown(rigid_wheelbase_mm=182.2), radius_mm=438.1)
    assert "at most 182.1 mm goes round here" in refused.because[0].message
    assert (
        on_curve(unknown(rigid_wheelbase_mm=182.1), radius_mm=438.1).verdict
        != "does_not_run"
    )


def test_a_body_of_several_is_bound_by_its_own_wheels() -> None:
    tender = Body(name="Tender", length_mm=80, rigid_wheelbase_mm=60)
    engine = Body(name="Engine", length_mm=150, rigid_wheelbase_mm=100)
    both = Vehicle(name="Locomotive", kind="engine", bodies=(engine, tender))
    assert codes(on_curve(both, radius_mm=200))[0] == "wheelbase_too_long"
    assert on_curve(both, radius_mm=300).verdict == "cannot_tell"


def test_wheels_that_span_the_circle_cannot_stand_on_it() -> None:
    """(180/2)² + (33/2)² = 91.5²."""
    assert codes(on_curve(coach(), radius_mm=91.5))[0] == "cannot_stand"
    assert on_curve(coach(), radius_mm=91.51).centre_throw_mm is not None


# --- sideplay and engines


def test_three_rigid_axles_need_sideplay_and_nobody_can_tell() -> None:
    """Wheelbase 120 on R 500: 500 − √(500² − 60²) = 3.61 mm."""
    answer = on_curve(unknown(rigid_wheelbase_mm=120, rigid_axles=3), radius_mm=500)
    reason = answer.because[0]
    assert (answer.verdict, reason.code, reason.field) == (
        "cannot_tell",
        "needs_sideplay",
        "minimum_radius_mm",
    )
    assert reason.amount_mm == pytest.approx(3.61, abs=0.005)
    assert "3.61 mm" in reason.message


def test_two_rigid_axles_need_none() -> None:
    assert (
        on_curve(unknown(rigid_wheelbase_mm=120, rigid_axles=2), radius_mm=500).verdict
        == "runs"
    )


def test_rigid_axles_without_a_wheelbase_cannot_be_told_either() -> None:
    answer = on_curve(unknown(rigid_axles=3), radius_mm=5000)
    assert (answer.verdict, answer.because[0].amount_mm) == ("cannot_tell", None)


def test_an_engine_s_least_radius_is_asked_for_even_where_its_wheels_are_known() -> (
    None
):
    answer = on_curve(coach(kind="engine"), radius_mm=5000)
    assert (answer.verdict, missing(answer)) == ("cannot_tell", ["minimum_radius_mm"])
    assert answer.centre_throw_mm is not None


# --- known wheels


def test_wheels_that_nothing_is_known_against_are_no_evidence_for_running() -> None:
    """438 ÷ 260 = 1.68."""
    answer = on_curve(coach(), radius_mm=438)
    assert (answer.verdict, codes(answer)) == ("marginal", ["ratio_advice"])


@pytest.mark.parametrize(
    ("radius_mm", "verdict"), [(670, "runs"), (669.9, "marginal"), (268, "marginal")]
)
@pytest.mark.parametrize("end", ["front_coupling", "rear_coupling"])
def test_couplings_on_the_body_of_known_stock_are_weighed_by_the_ratio(
    end: str, radius_mm: float, verdict: str
) -> None:
    """Coupled 260 + 4 + 4 = 268 mm; 2.5 × 268 = 670."""
    ends = {
        "front_coupling": Coupling(reach_mm=4),
        "rear_coupling": Coupling(reach_mm=4),
    }
    ends[end] = Coupling(reach_mm=4, mounting="body")
    answer = on_curve(coach(**ends), radius_mm=radius_mm)
    assert (answer.verdict, codes(answer)[-1]) == (verdict, "ratio_advice")
    assert answer.ratio == pytest.approx(radius_mm / 268, abs=1e-6)


@pytest.mark.parametrize(("radius_mm", "verdict"), [(390, "runs"), (389.9, "marginal")])
def test_guided_couplings_of_known_stock_take_sharper_curves(
    radius_mm: float, verdict: str
) -> None:
    """1.5 × 260 = 390."""
    guided = Coupling(mounting="guided")
    assert (
        on_curve(
            coach(front_coupling=guided, rear_coupling=guided), radius_mm=radius_mm
        ).verdict
        == verdict
    )


# --- the curve's own ±


def test_a_curve_that_may_be_too_sharp_is_marginal() -> None:
    answer = on_curve(
        coach(minimum_radius_mm=438), radius_mm=440, radius_plus_minus_mm=5
    )
    assert answer.verdict == "marginal"
    assert codes(answer) == ["curve_uncertain", "below_stated_radius"]


def test_a_doubt_of_the_curve_never_betters_an_answer() -> None:
    """Without the ± the curve is too sharp, or sharper than any it was tried on."""
    assert (
        on_curve(
            coach(minimum_radius_mm=438), radius_mm=435, radius_plus_minus_mm=5
        ).verdict
        == "does_not_run"
    )
    engine = coach(kind="engine", trial=Trial(ran_at_radius_mm=438))
    assert on_curve(engine, radius_mm=437).verdict == "cannot_tell"
    assert (
        on_curve(engine, radius_mm=437, radius_plus_minus_mm=2).verdict == "cannot_tell"
    )


def test_a_curve_that_may_be_sharper_than_any_it_was_tried_on_cannot_be_told() -> None:
    """Even where it may be so sharp that the engine is known to fail there: a larger
    radius never runs worse.
    """
    engine = coach(
        kind="engine", trial=Trial(ran_at_radius_mm=438, failed_at_radius_mm=436)
    )
    for radius_mm in (438, 439):
        assert (
            on_curve(engine, radius_mm=radius_mm, radius_plus_minus_mm=2).verdict
            == "cannot_tell"
        )
    assert on_curve(engine, radius_mm=440, radius_plus_minus_mm=2).verdict == "runs"


@pytest.mark.parametrize(
    ("radius_mm", "verdict"),
    [
        (444, "runs"),
        (443, "runs"),
        (442.9, "marginal"),
        (438, "marginal"),
        (437.9, "does_not_run"),
    ],
)
def test_a_curve_that_is_certain_enough_keeps_its_verdict(
    radius_mm: float, verdict: str
) -> None:
    answer = on_curve(
        coach(minimum_radius_mm=438), radius_mm=radius_mm, radius_plus_minus_mm=5
    )
    assert answer.verdict == verdict


def test_a_curve_between_a_refusal_and_no_knowledge_cannot_be_told() -> None:
    engine = coach(kind="engine", trial=Trial(failed_at_radius_mm=400))
    assert (
        on_curve(engine, radius_mm=402, radius_plus_minus_mm=5).verdict == "cannot_tell"
    )


def test_the_throws_say_how_far_off_the_curve_s_doubt_makes_them() -> None:
    """R_m = √(R² − 91.5²): 430.42 → 8.37 at 438.79; by the sharp end the throw grows by
    about a²/8R² × 10 mm.
    """
    answer = on_curve(coach(), radius_mm=438, radius_plus_minus_mm=10)
    sharper = on_curve(coach(), radius_mm=428)
    assert answer.centre_throw_mm is not None
    assert sharper.centre_throw_mm is not None
    assert answer.throws_plus_minus_mm == pytest.approx(
        sharper.centre_throw_mm - answer.centre_throw_mm, abs=0.05
    )
    assert on_curve(coach(), radius_mm=438).throws_plus_minus_mm == 0


def test_a_doubt_that_reaches_down_to_where_it_cannot_stand_has_no_bound() -> None:
    assert (
        on_curve(coach(), radius_mm=95, radius_plus_minus_mm=10).throws_plus_minus_mm
        is None
    )


def test_the_steepest_run_on_of_any_wheels_is_told() -> None:
    """asin(33 / 2 / 438) = 2.159°; bogies turn, so that their own wheelbase counts and
    not their distance.
    """
    assert on_curve(coach(), radius_mm=438).run_on_angle_deg == pytest.approx(
        2.159, abs=0.001
    )
    assert on_curve(
        unknown(rigid_wheelbase_mm=100), radius_mm=100
    ).run_on_angle_deg == pytest.approx(30)
    assert on_curve(unknown(), radius_mm=438).run_on_angle_deg is None


@pytest.mark.parametrize(
    "figures",
    [
        {"length_mm": 1e-300},
        {"length_mm": None, "full_size_length_m": 1e-300, "scale": "00"},
    ],
)
def test_a_length_too_small_to_be_told_from_none_is_no_failure(
    figures: dict[str, object],
) -> None:
    for vehicle in (
        coach(bogie_centres_mm=None, bogie_wheelbase_mm=None, **figures),
        unknown(**figures),
    ):
        assert on_curve(vehicle, radius_mm=600).ratio is None
