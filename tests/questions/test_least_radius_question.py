"""What is answered to the question on how sharp a curve stock just runs."""

import pickle
from fractions import Fraction
from typing import Any

import pytest

from standage.questions.least_radius import (
    LeastRadiusAnswer,
    LeastRadiusCase,
    LeastRadiusRequest,
    gather,
    reckon,
)
from standage.questions.sources import Sources
from standage.railway.stock.couplings import Coupling, CouplingKind
from standage.railway.stock.vehicles import Body, Standing, Trial
from standage.shapes.decoding import convert, faults_in
from support.walks import at_each


def coach(name: str = "Coach", **figures: Any) -> Standing:
    """Return a coach of 258 mm over its buffers and nothing else that a curve asks, or
    as ``figures`` say.
    """
    known: dict[str, Any] = {
        "name": name,
        "length_mm": 258.0,
        "length_over": "buffers",
    }
    return Standing(**(known | figures))


def ask(*vehicles: Standing, **case: Any) -> LeastRadiusAnswer:
    return reckon(LeastRadiusCase(vehicles=vehicles, **case))


def radii(answer: LeastRadiusAnswer) -> dict[str, float]:
    return {rule.rule: rule.radius_mm for rule in answer.by}


def counting(answer: LeastRadiusAnswer) -> set[str]:
    return {rule.rule for rule in answer.by if rule.counts}


def codes(answer: LeastRadiusAnswer) -> list[str]:
    return [reason.code for reason in answer.because]


RATIOS = {
    "1.5_times_coupled_length": Fraction(3, 2),
    "2.5_times_coupled_length": Fraction(5, 2),
    "3_times_coupled_length": Fraction(3),
    "5_times_coupled_length": Fraction(5),
}

# --- the rules


@at_each("length", ["258", "85.3", "60.2", "0.1", "213.37"])
def test_by_its_length_a_vehicle_is_told_what_each_ratio_of_common_practice_asks_for(
    length: str,
) -> None:
    """Common practice: 1.5 on bogies or guided, 2.5 on the body, 3 reliable, 5 couples;
    in exact fractions.
    """
    answer = ask(coach(length_mm=float(length)))
    expected = {rule: float(Fraction(length) * ratio) for rule, ratio in RATIOS.items()}
    assert radii(answer) == expected
    assert answer.radius_mm == expected["2.5_times_coupled_length"]
    assert counting(answer) == {"2.5_times_coupled_length"}
    assert (answer.verdict, codes(answer)) == ("found", ["decides"])


@at_each(
    "front, rear, ratio",
    [
        ("guided", "guided", "1.5"),
        ("bogie", "guided", "1.5"),
        ("body", "guided", "2.5"),
        (None, "guided", "2.5"),
    ],
)
def test_couplings_on_bogies_or_guided_take_a_sharper_curve_if_both_are(
    front: Any, rear: Any, ratio: str
) -> None:
    one = coach(
        front_coupling=Coupling(mounting=front, reach_mm=1.0),
        rear_coupling=Coupling(mounting=rear, reach_mm=1.0),
    )
    assert counting(ask(one)) == {f"{ratio}_times_coupled_length"}
    assert ask(one).radius_mm == 260 * float(ratio)


@at_each("radius_mm, wheelbase_mm", [(363, 150.94), (412, 171.32), (495, 205.83)])
def test_a_rigid_wheelbase_meets_the_rail_at_twelve_degrees(
    radius_mm: float, wheelbase_mm: float
) -> None:
    """NEM 111 (2016), section 2.1: 2 R sin 12°, with sin 12° = 0.207912 from a table of
    sines; the maker states less.
    """
    wagon = coach(rigid_wheelbase_mm=wheelbase_mm, minimum_radius_mm=100.0)
    answer = ask(wagon)
    assert answer.radius_mm == pytest.approx(radius_mm, abs=0.03)
    assert answer.by[0].rule == "rigid_wheelbase"


def test_bogies_swivel_by_thirty_degrees_where_their_middles_are_a_radius_apart() -> (
    None
):
    """Its couplings guided, 1.5 times its 120 mm are 180, and half of 190 is 95: sin 30°
    of 190.
    """
    guided = Coupling(mounting="guided", reach_mm=0.0)
    bogies = coach(
        length_mm=None,
        length_over=None,
        bodies=(Body(length_mm=120.0, bogie_centres_mm=190.0), Body(length_mm=40.0)),
        front_coupling=guided,
        rear_coupling=guided,
    )
    answer = ask(bogies)
    assert (answer.radius_mm, answer.by[0].rule) == (190.0, "bogie_swivel")


@at_each(
    "figures, radius_mm, rule",
    [
        ({"minimum_radius_mm": 438.0}, 438.0, "makers_radius"),
        ({"trial": Trial(ran_at_radius_mm=371.0)}, 371.0, "ran_in_trial"),
        # beside what its length asks for a trial that failed counts as well
        ({"trial": Trial(failed_at_radius_mm=700.0)}, 700.1, "failed_in_trial"),
        (
            {"trial": Trial(ran_at_radius_mm=505.0), "minimum_radius_mm": 438.0},
            438.0,
            "makers_radius",
        ),
        (
            {
                "trial": Trial(ran_at_radius_mm=505.0, failed_at_radius_mm=460.0),
                "minimum_radius_mm": 438.0,
            },
            460.1,
            "failed_in_trial",
        ),
        # only a trial overrules the bound of 12°
        (
            {"trial": Trial(ran_at_radius_mm=300.0), "rigid_wheelbase_mm": 150.94},
            300.0,
            "ran_in_trial",
        ),
    ],
)
def test_better_evidence_than_its_length_decides(
    figures: dict[str, Any], radius_mm: float, rule: str
) -> None:
    answer = ask(coach(**figures))
    assert (answer.radius_mm, answer.by[0].rule) == (radius_mm, rule)


def test_the_largest_of_several_vehicles_decides_and_is_named() -> None:
    answer = ask(coach("Short", length_mm=100.0), coach("Long"), coach("Short"))
    assert (answer.radius_mm, answer.because[0].vehicle) == (645.0, "Long")


# --- what is missing


@at_each(
    "figures, field",
    [
        ({"kind": "engine"}, "minimum_radius_mm"),
        ({"rigid_axles": 3, "rigid_wheelbase_mm": 60.0}, "minimum_radius_mm"),
        ({"length_mm": None, "length_over": None}, "length_mm"),
        (
            {
                "length_mm": None,
                "length_over": None,
                "kind": "coach",
                "scale": "H0",
                "full_size_length_m": 26.4,
            },
            "length_mm",
        ),
    ],
)
def test_what_is_missing_is_named_beside_what_the_others_ask_for(
    figures: dict[str, Any], field: str
) -> None:
    answer = ask(coach("Known", length_mm=100.0), coach("Unknown", **figures))
    assert (answer.verdict, answer.radius_mm) == ("cannot_tell", None)
    assert (answer.because[0].vehicle, answer.because[0].field) == ("Unknown", field)
    assert answer.at_least_mm == 250.0
    assert "at_least" in codes(answer)


def test_wheels_refuse_sharp_curves_whatever_else_is_missing() -> None:
    """145.2 mm between the axles of an engine: 12° on 349.2 mm."""
    engine = coach("Engine", kind="engine", rigid_wheelbase_mm=145.2)
    answer = ask(engine)
    assert answer.verdict == "cannot_tell"
    assert answer.at_least_mm == pytest.approx(349.2, abs=0.02)


def test_a_curve_easier_than_any_is_none() -> None:
    answer = ask(coach(length_mm=500_000.0))
    assert (answer.verdict, answer.radius_mm) == ("none", None)
    assert codes(answer)[0] == "no_curve_so_easy"


def test_of_a_length_over_couplings_no_reach_is_assumed() -> None:
    answer = ask(
        coach(
            scale="HO",
            kind="coach",
            length_mm=None,
            length_over=None,
            nominal_length_ft=85,
        )
    )
    # 85 ft at 1:87.1 are 297.45 mm
    assert answer.radius_mm == pytest.approx(2.5 * 85 * 304.8 / 87.1, abs=1e-5)
    assert {one.field for one in answer.assumed} == {"length_mm", "mounting"}


def test_of_a_class_that_is_not_held_the_length_is_asked_for_by_its_class() -> None:
    odd: dict[str, Any] = {"scale": "HO", "length_mm": None, "length_over": None}
    (lack,) = ask(coach(**odd, kind="wagon", nominal_length_ft=45)).because
    assert (lack.field, "45 ft" in lack.message) == ("length_mm", True)


# --- trains

HOOK = Coupling(reach_mm=4.5, swing_deg=31.0, mounting="body", pivot_behind_mm=10.0)
HOOKED: dict[str, Any] = {
    "bogie_centres_mm": 186.0,
    "bogie_wheelbase_mm": 33.0,
    "buffer_centres_mm": 0.0,
    "front_coupling": HOOK,
    "rear_coupling": HOOK,
}


def test_joints_that_can_be_swept_count_and_the_lengths_give_way() -> None:
    answer = ask(coach("Coach", count=6, **HOOKED), coupled=True)
    assert answer.couplings == "all"
    assert counting(answer).isdisjoint(RATIOS)
    assert answer.radius_mm == radii(answer)["swept_joint"]
    assert answer.radius_mm < 2.5 * 267


def test_vehicles_by_themselves_have_no_joints() -> None:
    answer = ask(coach("Coach", count=6, **HOOKED))
    assert (answer.couplings, answer.radius_mm) == ("none", 2.5 * 267)


def test_where_not_every_joint_can_be_swept_the_lengths_count_as_well() -> None:
    loose = HOOKED | {"front_coupling": None}
    train = (coach("A", **HOOKED), coach("B", **HOOKED), coach("C", **loose))
    answer = ask(*train, coupled=True)
    assert (answer.verdict, answer.couplings) == ("found", "in_part")
    assert answer.radius_mm == 2.5 * 267
    assert "couplings_not_tried" in codes(answer)
    lacking = {(one.vehicle, one.field) for one in answer.because if one.field}
    assert ("C", "front_coupling.reach_mm") in lacking


def test_a_coupling_that_swings_not_at_all_runs_on_no_curve() -> None:
    stiff = Coupling(reach_mm=4.5, swing_deg=0.0, mounting="body", pivot_behind_mm=10.0)
    ends = {"front_coupling": stiff, "rear_coupling": stiff}
    answer = ask(coach("A", **(HOOKED | ends)), coach("B", **HOOKED), coupled=True)
    assert (answer.verdict, answer.radius_mm) == ("none", None)
    assert codes(answer)[0] == "swing_too_great"


def test_couplings_that_do_not_take_hold_run_on_no_curve() -> None:
    ends = [
        {"rear_coupling": Coupling(type="peg"), "front_coupling": Coupling(type="peg")},
        {"rear_coupling": Coupling(type="eye"), "front_coupling": Coupling(type="eye")},
    ]
    types = (
        CouplingKind(name="peg", reach_mm=1.0, mates_with=()),
        CouplingKind(name="eye", reach_mm=1.0, mates_with=()),
    )
    train = [coach(f"Coach {at}", **(HOOKED | end)) for at, end in enumerate(ends)]
    answer = ask(*train, coupled=True, types=types)
    assert (answer.verdict, codes(answer)[0]) == ("none", "do_not_mate")


# --- the published tables


def test_rp_11_stands_beside_with_the_points_that_go_with_it() -> None:
    """NMRA RP-11 as quoted: HO main line 40 in with No. 7, branch 16 1/2 in with No. 5;
    2.5 × 200 mm are 500.
    """
    answer = ask(coach(scale="HO", length_mm=200.0))
    main, branch = answer.by_table[:2]
    assert (main.standard, main.table_mm, main.points_number) == (
        "NMRA RP-11",
        1016.0,
        7,
    )
    assert (branch.table_mm, branch.points_number) == (419.1, 5)
    assert main.difference_mm == 500 - 1016.0
    assert branch.difference_mm == pytest.approx(500 - 419.1)
    assert {one.outcome for one in answer.by_table[2:]} == {"not_held"}


@at_each(
    "length_m, pivots_m, radii_mm",
    [
        (20.0, 14.0, (363, 412, 495, 577)),
        (24.2, 17.2, (412, 495, 577, 660)),
        (27.2, 19.5, (495, 577, 660, 742)),
    ],
)
def test_nem_111_stands_beside_by_the_group_of_the_longest_vehicle(
    length_m: float, pivots_m: float, radii_mm: tuple[float, ...]
) -> None:
    """NEM 111 as quoted in 2012, H0: absolute, station side tracks, main tracks of
    branch lines and of main lines.
    """
    long = coach(
        scale="H0",
        length_mm=length_m * 1000 / 87,
        bogie_centres_mm=pivots_m * 1000 / 87,
    )
    short = coach("Van", scale="H0", length_mm=90.0, rigid_wheelbase_mm=45.0)
    answer = ask(short, long)
    nem = [one for one in answer.by_table if one.standard == "NEM 111"]
    assert tuple(one.table_mm for one in nem) == radii_mm


@at_each("scale", ["00", "N British", "S", None])
def test_no_table_is_made_up_for_another_scale(scale: Any) -> None:
    answer = ask(coach(scale=scale))
    assert answer.by_table
    assert {one.outcome for one in answer.by_table} == {"not_held"}


# --- the request


@at_each(
    "body, pointer",
    [
        ({}, "/vehicles"),
        ({"vehicles": []}, "/vehicles"),
        ({"vehicles": [{"name": "A"}], "train": {"train_id": "x"}}, "/train"),
        ({"train": {}}, "/train/vehicles"),
        ({"vehicles": [{}]}, "/vehicles/0/name"),
        ({"vehicles": [{"name": "A", "length_mm": -1}]}, "/vehicles/0/length_mm"),
    ],
)
def test_either_vehicles_or_a_train_is_asked_about(
    body: dict[str, Any], pointer: str
) -> None:
    faults = list(faults_in(body, LeastRadiusRequest))
    assert pointer in {fault.pointer for fault in faults}


def test_a_train_is_asked_about_coupled_up() -> None:
    body = {
        "train": {
            "vehicles": [{"name": "A", "length_mm": 100, "length_over": "buffers"}]
        }
    }
    case = gather(Sources(None, ""), convert(body, LeastRadiusRequest))
    assert case.coupled
    assert reckon(case).radius_mm == 250.0


def test_a_case_and_its_answer_travel_to_another_process() -> None:
    case = LeastRadiusCase(vehicles=(coach(count=2, **HOOKED),), coupled=True)
    sent = pickle.loads(pickle.dumps(case))  # noqa: S301 - own bytes
    received = pickle.loads(pickle.dumps(reckon(sent)))  # noqa: S301 - own bytes
    assert received == reckon(case)
