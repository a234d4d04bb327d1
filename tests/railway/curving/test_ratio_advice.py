"""The ratio of radius to coupled length, where nothing better is known: advice, and the
one refusal in it.
"""

from math import asin, degrees

import msgspec
import pytest

from standage.railway.curving.curves import OnCurve, on_curve
from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Body, Standing, Trial, Vehicle
from support.stock import ask, road


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


def fields(answer: OnCurve) -> set[str]:
    return {note.field for note in answer.assumed}


def missing(answer: OnCurve) -> list[str | None]:
    return [
        reason.field for reason in answer.because if reason.code == "missing_figure"
    ]


@pytest.mark.parametrize(
    ("radius_mm", "verdict"),
    [(600, "runs"), (500, "runs"), (499.9, "marginal"), (200, "marginal")],
)
def test_where_nothing_else_is_known_the_ratio_advises(
    radius_mm: float, verdict: str
) -> None:
    """200 mm coupled, nobody knows by what: 2.5 × 200 = 500."""
    answer = on_curve(unknown(), radius_mm=radius_mm)
    assert (answer.verdict, codes(answer)[0]) == (verdict, "ratio_advice")
    assert "mounting" in fields(answer)
    assert "common practice" in answer.because[0].message


@pytest.mark.parametrize("mounting", [None, "body"])
def test_a_vehicle_longer_than_the_radius_does_not_run_with_couplings_on_the_body(
    mounting: str | None,
) -> None:
    end = Coupling(mounting=mounting)  # type: ignore[arg-type] # parametrized by its name
    long = unknown(front_coupling=end, rear_coupling=end)
    assert on_curve(long, radius_mm=200).verdict == "marginal"
    answer = on_curve(long, radius_mm=199.96)
    assert (answer.verdict, codes(answer)[0]) == ("does_not_run", "longer_than_radius")
    assert (
        "is 200 mm long coupled, more than the radius of 199.96 mm"
        in answer.because[0].message
    )
    assert ("mounting" in fields(answer)) == (mounting is None)


@pytest.mark.parametrize("mounting", ["bogie", "guided"])
@pytest.mark.parametrize(
    ("radius_mm", "verdict"), [(300, "runs"), (299.9, "marginal"), (120, "marginal")]
)
def test_couplings_that_the_body_does_not_carry_take_sharper_curves_and_are_never_refused(
    mounting: str, radius_mm: float, verdict: str
) -> None:
    """1.5 × 200 = 300."""
    end = Coupling(mounting=mounting)  # type: ignore[arg-type] # parametrized by its name
    answer = on_curve(
        unknown(front_coupling=end, rear_coupling=end), radius_mm=radius_mm
    )
    assert (answer.verdict, codes(answer)[0]) == (verdict, "ratio_advice")
    assert "mounting" not in fields(answer)


@pytest.mark.parametrize("mounting", [None, "body", "bogie", "guided"])
def test_a_bogie_that_must_swivel_by_more_than_thirty_degrees_does_not_run(
    mounting: str | None,
) -> None:
    """asin(140 ÷ 2R) is 30° where R is 140; a rigid wheelbase has its own bound."""
    end = Coupling(mounting=mounting)  # type: ignore[arg-type] # parametrized by its name
    long = unknown(bogie_centres_mm=140.0, front_coupling=end, rear_coupling=end)
    assert "bogies_swivel_too_far" not in codes(on_curve(long, radius_mm=140))
    answer = on_curve(long, radius_mm=139.9)
    assert (answer.verdict, codes(answer)[0]) == (
        "does_not_run",
        "bogies_swivel_too_far",
    )
    assert answer.because[0].value_deg == pytest.approx(degrees(asin(140 / 2 / 139.9)))
    assert "by 30.02°, more than the 30°" in answer.because[0].message


def test_pivots_that_are_only_assumed_refuse_nothing() -> None:
    end = Coupling(mounting="guided")
    coach = unknown(kind="coach", scale="H0", front_coupling=end, rear_coupling=end)
    assert on_curve(coach, radius_mm=120).verdict == "marginal"


def test_a_trial_or_the_makers_radius_overrules_what_the_length_refuses() -> None:
    assert (
        on_curve(unknown(trial=Trial(ran_at_radius_mm=150)), radius_mm=150).verdict
        == "runs"
    )
    assert (
        on_curve(
            unknown(minimum_radius_mm=150, bogie_centres_mm=160), radius_mm=150
        ).verdict
        == "runs"
    )


def test_a_long_coach_on_a_sharp_curve_is_no_plain_yes() -> None:
    """381 ÷ 297.5 = 1.28."""
    coach = unknown(length_mm=297.5, length_over="buffers", bogie_centres_mm=208.2)
    answer = on_curve(coach, radius_mm=381)
    assert (answer.verdict, codes(answer)) == (
        "marginal",
        ["ratio_advice", "missing_figure"],
    )
    assert "1.28 times" in answer.because[0].message
    assert "mounting" in fields(answer)


@pytest.mark.parametrize(
    ("radius_mm", "printed", "verdict"),
    [
        (499.96, "2.49", "marginal"),
        (500, "2.50", "runs"),
        (599.2, "2.99", "runs"),
        (510, "2.55", "runs"),
    ],
)
def test_what_is_printed_of_a_ratio_agrees_with_what_is_judged(
    radius_mm: float, printed: str, verdict: str
) -> None:
    answer = on_curve(unknown(), radius_mm=radius_mm)
    assert answer.verdict == verdict
    assert f"is {printed} times" in answer.because[0].message


def test_a_figure_that_is_missing_for_a_yes_is_asked_for() -> None:
    assert (
        "its maker's least radius"
        in on_curve(unknown(), radius_mm=400).because[0].message
    )


@pytest.mark.parametrize(
    ("radius_mm", "verdict"),
    [(390.7, "runs"), (390.6, "cannot_tell"), (100, "cannot_tell")],
)
def test_a_length_that_is_only_scaled_has_to_be_measured_before_it_speaks_against_a_vehicle(
    radius_mm: float, verdict: str
) -> None:
    """10 m at 1:64 is 156.25 mm; 2.5 times that is 390.625."""
    answer = on_curve(
        Vehicle(name="Wagon", scale="S", full_size_length_m=10), radius_mm=radius_mm
    )
    assert answer.verdict == verdict
    assert ("length_mm" in missing(answer)) == (verdict == "cannot_tell")


def test_a_coupling_on_a_bogie_that_there_is_none_of_is_taken_to_be_on_the_body() -> (
    None
):
    end = Coupling(mounting="bogie")
    rigid = unknown(rigid_wheelbase_mm=60, front_coupling=end, rear_coupling=end)
    assert on_curve(rigid, radius_mm=499).verdict == "marginal"


def test_couplings_known_to_be_on_the_body_are_no_assumption() -> None:
    answer = on_curve(unknown(front_coupling=Coupling(mounting="body")), radius_mm=600)
    assert "mounting" not in fields(answer)


def test_one_end_that_may_be_on_the_body_is_enough_for_the_ratio() -> None:
    one_end = unknown(front_coupling=Coupling(mounting="guided"))
    assert [on_curve(one_end, radius_mm=each).verdict for each in (500, 499)] == [
        "runs",
        "marginal",
    ]


def test_without_a_length_there_is_no_ratio_and_the_length_is_asked_for() -> None:
    answer = on_curve(Vehicle(name="Vehicle"), radius_mm=438)
    assert (answer.verdict, answer.ratio) == ("cannot_tell", None)
    assert "length_mm" in missing(answer)


def test_reaches_make_the_coupled_length_and_an_unknown_one_adds_nothing() -> None:
    wagon = unknown(length_over="buffers", front_coupling=Coupling(reach_mm=5))
    answer = on_curve(wagon, radius_mm=410)
    assert answer.ratio == pytest.approx(2.0)
    assert "reach_mm" in fields(answer)


def test_the_longest_of_several_bodies_makes_the_ratio() -> None:
    bodies = (Body(length_mm=100), Body(length_mm=200), Body(length_mm=150))
    assert on_curve(
        Vehicle(name="Set", bodies=bodies), radius_mm=600
    ).ratio == pytest.approx(3)


def test_two_measured_overhangs_and_the_wheels_make_the_length() -> None:
    vehicle = Vehicle(
        name="Van", bogie_centres_mm=120, front_overhang_mm=30, rear_overhang_mm=50
    )
    assert on_curve(vehicle, radius_mm=400).ratio == pytest.approx(2)


def test_assumed_wheels_are_no_evidence_for_running() -> None:
    """A coach of 200 mm without wheels is weighed by the ratio, though its throws are
    given.
    """
    answer = on_curve(unknown(kind="coach", scale="H0"), radius_mm=450)
    assert (answer.verdict, answer.centre_throw_mm is None) == ("marginal", False)


def test_where_assumed_wheels_could_not_stand_the_throws_are_null_and_it_is_said() -> (
    None
):
    answer = on_curve(unknown(kind="coach", scale="H0"), radius_mm=60)
    assert (answer.verdict, answer.centre_throw_mm) == ("does_not_run", None)
    assert "cannot_stand" in codes(answer)


def test_a_length_that_was_scaled_and_a_reach_that_nobody_gave_are_both_told() -> None:
    """10 m at 1:32 is 312.5 mm; 312.5 × 4 = 1250."""
    vehicle = Vehicle(
        name="Wagon",
        scale="1",
        full_size_length_m=10,
        front_overhang_mm=12,
        rear_overhang_mm=12,
    )
    answer = on_curve(vehicle, radius_mm=1250)
    assert answer.ratio == pytest.approx(4)
    assert {"length_mm", "reach_mm", "mounting"} <= fields(answer)


def of_type(**figures: object) -> Vehicle:
    """Return a vehicle of 190 mm over buffers with a coupling of the club's type at
    both ends.
    """
    hook = Coupling(type="Staple hook")
    ends: dict[str, object] = {
        "length_mm": 190.0,
        "length_over": "buffers",
        "front_coupling": hook,
    }
    return unknown(**(ends | {"rear_coupling": hook} | figures))


def test_a_type_supplies_the_reach_that_the_coupled_length_takes_in() -> None:
    """190 + 2 × 5 = 200 mm coupled, as above; what the club recorded is no guess."""
    types = CouplingTypes((CouplingKind(name="Staple hook", reach_mm=5.0),))
    answer = on_curve(of_type(), radius_mm=600, types=types)
    assert (answer.verdict, answer.ratio) == ("runs", 3.0)
    assert on_curve(of_type(), radius_mm=499, types=types).verdict == "marginal"
    assert [note for note in answer.assumed if note.field == "reach_mm"] == []
    assert not [note for note in answer.assumed if "not given" in note.message]


def test_a_type_supplies_what_carries_the_coupling() -> None:
    types = CouplingTypes(
        (CouplingKind(name="Staple hook", reach_mm=5.0, mounting="guided"),)
    )
    answer = on_curve(of_type(), radius_mm=300, types=types)
    assert (answer.verdict, "mounting" in fields(answer)) == ("runs", False)
    assert on_curve(of_type(), radius_mm=300).verdict == "marginal"


def test_a_reach_of_the_type_is_taken_off_a_length_over_couplings() -> None:
    """210 mm over couplings that reach 5 mm each leave a body of 200, its ends 100 from
    the middle.
    """
    types = CouplingTypes((CouplingKind(name="Staple hook", reach_mm=5.0),))
    figures = {"bogie_centres_mm": 140.0, "bogie_wheelbase_mm": 30.0, "width_mm": 36.0}
    over = on_curve(
        of_type(length_mm=210.0, length_over="couplings", **figures),
        radius_mm=600,
        types=types,
    )
    assert (
        over.end_throw_mm
        == on_curve(of_type(length_mm=200.0, **figures), radius_mm=600).end_throw_mm
    )


def test_a_vehicles_own_figures_overrule_its_types() -> None:
    own = Coupling(type="Staple hook", reach_mm=2.0, mounting="body")
    types = CouplingTypes(
        (CouplingKind(name="Staple hook", reach_mm=5.0, mounting="guided"),)
    )
    answer = on_curve(
        of_type(front_coupling=own, rear_coupling=own), radius_mm=582, types=types
    )
    assert (answer.verdict, answer.ratio) == ("runs", 3.0)


def test_on_a_roads_curve_the_type_counts_as_much() -> None:
    types = (CouplingKind(name="Staple hook", reach_mm=5.0, mounting="guided"),)
    bend = road(1000.0, minimum_radius_mm=300.0)
    vehicle = Standing(**msgspec.structs.asdict(of_type()))
    assert ask(vehicle, place=bend, types=types).reaching == "runs"
    body = (CouplingKind(name="Staple hook", reach_mm=5.0, mounting="body"),)
    assert ask(vehicle, place=bend, types=body).reaching == "marginal"


def test_a_reach_that_is_only_typical_adds_nothing_so_that_a_measured_one_never_makes_the_verdict_milder() -> (
    None
):
    """The bare length makes the ratio: 237.5 ÷ 95 = 2.5."""
    bare = unknown(scale="N", length_mm=95.0, length_over="buffers")
    answer = on_curve(bare, radius_mm=237.5)
    assert (answer.verdict, answer.ratio) == ("runs", 2.5)
    assert "typical" not in {
        note.source for note in answer.assumed if note.field == "reach_mm"
    }
    measured = msgspec.structs.replace(bare, front_coupling=Coupling(reach_mm=0.1))
    assert on_curve(measured, radius_mm=237.5).verdict == "marginal"


def test_a_reach_behind_the_buffers_makes_no_vehicle_shorter() -> None:
    hidden = Coupling(reach_mm=-3.0)
    wagon = unknown(length_over="buffers", front_coupling=hidden, rear_coupling=hidden)
    assert on_curve(wagon, radius_mm=499).ratio == pytest.approx(499 / 200, abs=1e-6)


def test_overhangs_that_disagree_with_the_length_make_no_vehicle_shorter() -> None:
    figures = {
        "length_over": "buffers",
        "bogie_centres_mm": 140.0,
        "front_overhang_mm": 20.0,
    }
    assert on_curve(
        unknown(**figures, rear_overhang_mm=30.0), radius_mm=500
    ).ratio == pytest.approx(2.5)
    assert on_curve(
        unknown(**figures, rear_overhang_mm=50.0), radius_mm=500
    ).ratio == pytest.approx(500 / 210, abs=1e-6)
