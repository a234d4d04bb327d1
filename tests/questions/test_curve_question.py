"""What is answered to the question whether stock goes round a curve."""

import pickle
from typing import Any

import pytest
from msgspec import structs

from standage.questions.curve import (
    AskedCurve,
    CurveAnswer,
    CurveCase,
    CurveRequest,
    reckon,
)
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.vehicles import Body, Standing
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each


def coach(name: str = "Coach", **figures: object) -> Standing:
    """Return a coach of which all is known that a curve asks, its maker's least radius
    too, or as ``figures`` say.
    """
    known: dict[str, object] = {
        "name": name,
        "minimum_radius_mm": 400.0,
        "length_mm": 260.0,
        "length_over": "buffers",
        "bogie_centres_mm": 180.0,
        "bogie_wheelbase_mm": 33.0,
        "width_mm": 37.0,
    }
    return Standing(**(known | figures))  # type: ignore[arg-type] # figures by name, as a request gives them


def ask(
    *vehicles: Standing, radius_mm: float = 438, radius_plus_minus_mm: float = 0.0
) -> CurveAnswer:
    curve = AskedCurve(radius_mm=radius_mm, radius_plus_minus_mm=radius_plus_minus_mm)
    return reckon(CurveCase(vehicles=vehicles, curve=curve))


def test_each_vehicle_is_answered_in_the_order_asked() -> None:
    answer = ask(coach("B"), coach("A", minimum_radius_mm=600), coach("B"))
    assert [each.name for each in answer.vehicles] == ["B", "A", "B"]
    assert [each.verdict for each in answer.vehicles] == [
        "runs",
        "does_not_run",
        "runs",
    ]


@pytest.mark.parametrize(
    ("others", "verdict"),
    [
        ([], "runs"),
        (["marginal"], "marginal"),
        (["marginal", "engine"], "cannot_tell"),
        (["marginal", "engine", "below"], "does_not_run"),
    ],
)
def test_the_worst_vehicle_decides_and_its_reason_comes_first(
    others: list[str], verdict: str
) -> None:
    kinds = {
        "marginal": coach("marginal", minimum_radius_mm=None),
        "engine": coach("engine", kind="engine", minimum_radius_mm=None),
        "below": coach("below", minimum_radius_mm=600),
    }
    answer = ask(coach("good"), *(kinds[other] for other in others))
    assert answer.verdict == verdict
    assert answer.because[0].vehicle == (others[-1] if others else "good")
    assert [
        reason.vehicle
        for reason in answer.because
        if reason.code == "within_stated_radius"
    ] == ([] if others else ["good"])


def test_a_figure_that_a_running_vehicle_lacks_is_named_beside_the_worst() -> None:
    answer = ask(coach("good", width_mm=None), coach("below", minimum_radius_mm=600))
    assert [(reason.vehicle, reason.field) for reason in answer.because] == [
        ("below", None),
        ("good", "width_mm"),
    ]


def test_like_assumptions_of_several_vehicles_are_told_once() -> None:
    answer = ask(
        coach("A", bogie_wheelbase_mm=None), coach("B", bogie_wheelbase_mm=None)
    )
    told = [note for note in answer.assumed if note.field == "bogie_wheelbase_mm"]
    assert [note.message for note in told] == [
        "A and B, each: its bogies' wheelbase is not given and counts as 0"
    ]


def test_the_curve_s_own_doubt_reaches_every_vehicle() -> None:
    answer = ask(coach(minimum_radius_mm=438), radius_mm=440, radius_plus_minus_mm=4)
    assert (answer.verdict, answer.vehicles[0].verdict) == ("marginal", "marginal")


def test_a_curve_has_a_doubt_smaller_than_itself() -> None:
    request = {
        "vehicles": [{"name": "Coach"}],
        "curve": {"radius_mm": 400, "radius_plus_minus_mm": 400},
    }
    with pytest.raises(Faulty) as refused:
        convert(request, CurveRequest)
    assert [fault.pointer for fault in refused.value.faults] == [
        "/curve/radius_plus_minus_mm"
    ]
    request["curve"] = {"radius_mm": 400, "radius_plus_minus_mm": 399}
    assert convert(request, CurveRequest).curve.radius_mm == 400


def test_a_case_and_its_answer_travel_to_another_process() -> None:
    case = CurveCase(vehicles=(coach(),), curve=AskedCurve(radius_mm=438))
    sent = pickle.loads(pickle.dumps(case))  # noqa: S301 - own bytes
    received = pickle.loads(pickle.dumps(reckon(sent)))  # noqa: S301 - own bytes
    assert received == reckon(case)


SWINGING = {
    "reach_mm": 4.0,
    "play_mm": 0.5,
    "swing_deg": 25.0,
    "mounting": "body",
    "pivot_behind_mm": 8.0,
}


def test_couplings_are_left_alone_unless_they_are_asked_about() -> None:
    answer = ask(coach(), coach())
    assert answer.couplings == ()
    assert answer.verdict == "runs"


@pytest.mark.parametrize(
    "curve", [{"couplings": True}, {"reverse": True}, {"entry": True}, {"entry": False}]
)
def test_couplings_are_judged_joint_by_joint_where_they_are_in_question(
    curve: dict[str, bool],
) -> None:
    request = convert({"radius_mm": 900, **curve}, AskedCurve)
    case = CurveCase(vehicles=(coach("A"), coach("B"), coach("C")), curve=request)
    answer = reckon(case)
    assert [joint.between for joint in answer.couplings] == [("A", "B"), ("B", "C")]
    assert answer.verdict == "cannot_tell"
    assert {reason.field for reason in answer.because if reason.field} >= {
        "rear_coupling.reach_mm"
    }


def test_a_reverse_curve_judges_each_vehicle_on_the_sharper_of_the_two() -> None:
    request = convert(
        {"radius_mm": 900, "reverse": True, "reverse_radius_mm": 500}, AskedCurve
    )
    answer = reckon(CurveCase(vehicles=(coach(minimum_radius_mm=600),), curve=request))
    assert answer.verdict == "does_not_run"


def test_a_reverse_curve_without_a_straight_swings_a_coupling_further_than_one_with_it() -> (
    None
):
    coaches = tuple(
        convert(
            {
                "name": name,
                "length_mm": 260,
                "length_over": "buffers",
                "bogie_centres_mm": 180,
                "bogie_wheelbase_mm": 33,
                "front_coupling": SWINGING,
                "rear_coupling": SWINGING,
            },
            Standing,
        )
        for name in ("A", "B")
    )
    swings = []
    for straight_mm in (0, 300):
        asked = {"radius_mm": 900, "reverse": True, "straight_between_mm": straight_mm}
        (joint,) = reckon(
            CurveCase(vehicles=coaches, curve=convert(asked, AskedCurve))
        ).couplings
        swings.append(joint.swing_deg or 0.0)
    assert swings[0] > swings[1] > 0


HOOK = Coupling(reach_mm=4.5, swing_deg=31.0, mounting="body", pivot_behind_mm=10.0)


def hooked(name: str, **figures: object) -> Standing:
    """Return a coach without a maker's radius, of whose couplings all is known, and
    which has no buffers.
    """
    known: dict[str, object] = {
        "minimum_radius_mm": None,
        "buffer_centres_mm": 0.0,
        "front_coupling": HOOK,
        "rear_coupling": HOOK,
    }
    return coach(name, **(known | figures))


def reverse(
    *vehicles: Standing, radius_mm: float = 600, straight_mm: float = 0.0
) -> CurveAnswer:
    curve = AskedCurve(
        radius_mm=radius_mm, reverse=True, straight_between_mm=straight_mm
    )
    return reckon(CurveCase(vehicles=vehicles, curve=curve))


def test_where_every_joint_of_a_vehicle_is_swept_its_length_has_nothing_to_say() -> (
    None
):
    """600 ÷ 269 is 2.23, where most stock takes 2.5; coupled up, and swept, the coaches
    run.
    """
    a, b, c = hooked("A"), hooked("B"), hooked("C")
    easy = AskedCurve(radius_mm=600, couplings=True)
    answer = reckon(CurveCase(vehicles=(a, b, c), curve=easy))
    assert [each.verdict for each in answer.vehicles] == ["runs", "runs", "runs"]
    assert {each.because[0].code for each in answer.vehicles} == {"judged_by_couplings"}
    assert answer.verdict == "runs"
    alone = reckon(CurveCase(vehicles=(a,), curve=easy))
    assert (alone.verdict, alone.because[0].code) == ("marginal", "ratio_advice")


def test_one_joint_that_cannot_be_told_leaves_the_lengths_of_both_its_vehicles_in_question() -> (
    None
):
    unknown = hooked("C", front_coupling=None)
    answer = reckon(
        CurveCase(
            vehicles=(hooked("A", count=2), hooked("B"), unknown),
            curve=AskedCurve(radius_mm=600, couplings=True),
        )
    )
    assert [each.verdict for each in answer.vehicles] == [
        "runs",
        "marginal",
        "marginal",
    ]


@pytest.mark.parametrize("straight_mm", [0.0, 20.0])
def test_what_cures_the_joints_says_the_verdict_that_it_brings_and_a_little_less_does_not(
    straight_mm: float,
) -> None:
    train = (hooked("A"), hooked("B"), hooked("C", bogie_centres_mm=170.0))
    answer = reverse(*train, straight_mm=straight_mm)
    assert (answer.verdict, answer.least_straight_by) == ("does_not_run", "swept_joint")
    assert answer.least_straight_mm is not None
    assert answer.least_radius_mm is not None
    assert (answer.least_straight_brings, answer.least_radius_brings) == (
        "runs",
        "runs",
    )
    assert reverse(*train, straight_mm=answer.least_straight_mm).verdict == "runs"
    assert (
        reverse(*train, straight_mm=answer.least_straight_mm - 1).verdict == "marginal"
    )
    assert (
        reverse(
            *train, radius_mm=answer.least_radius_mm, straight_mm=straight_mm
        ).verdict
        == "runs"
    )
    assert (
        reverse(
            *train, radius_mm=answer.least_radius_mm - 1, straight_mm=straight_mm
        ).verdict
        == "marginal"
    )


def test_two_joints_that_are_cured_differently_are_named_each() -> None:
    answer = reverse(hooked("A"), hooked("B"), hooked("C", bogie_centres_mm=170.0))
    cured = [reason for reason in answer.because if reason.code == "straight_cures"]
    assert len(cured) == 2
    assert {
        (reason.vehicle, reason.other_vehicle, reason.brings) for reason in cured
    } == {
        ("A", "B", "runs"),
        ("B", "C", "runs"),
    }
    assert len({reason.message for reason in cured}) == 2


def test_where_too_little_is_known_of_the_joints_the_straight_is_as_long_as_the_longest_vehicle() -> (
    None
):
    bare = [
        coach(name, length_mm=length_mm)
        for name, length_mm in (("A", 250.0), ("B", 260.4))
    ]
    answer = reverse(*bare)
    assert (answer.least_straight_mm, answer.least_straight_by) == (
        261,
        "longest_vehicle",
    )
    assert (answer.verdict, answer.least_straight_brings) == (
        "cannot_tell",
        "cannot_tell",
    )
    assert reverse(*bare, straight_mm=261).least_straight_mm is None


@at_each(
    "figures, straight_mm",
    [
        # over its body, where that ends short of the buffers, and in whole millimetres
        ({"body_length_mm": 246.3}, 247),
        ({"length_mm": 268.0, "length_over": "couplings", "front_coupling": HOOK}, 264),
        # whatever nobody knows of its wheels
        ({"kind": "engine", "bogie_centres_mm": None}, 260),
        (
            {
                "length_mm": None,
                "length_over": None,
                "bogie_centres_mm": None,
                "bodies": (Body(length_mm=150.2), Body(length_mm=110.0)),
            },
            151,
        ),
    ],
)
def test_the_longest_vehicle_counts_over_its_longest_body(
    figures: dict[str, Any], straight_mm: int
) -> None:
    answer = reverse(
        coach("Van", length_mm=90.0, bogie_centres_mm=50.0), coach("A", **figures)
    )
    assert (answer.least_straight_mm, answer.least_straight_by) == (
        straight_mm,
        "longest_vehicle",
    )
    (reason,) = [one for one in answer.because if one.code == "straight_by_practice"]
    assert reason.vehicle == "A"


def test_a_vehicle_by_itself_has_no_joint_to_be_swept() -> None:
    answer = reverse(coach(length_mm=260.0))
    assert (answer.verdict, answer.least_straight_mm) == ("runs", 260)
    assert answer.least_straight_by == "longest_vehicle"
    assert reverse(coach(length_mm=260.0), straight_mm=260).least_straight_mm is None


@at_each(
    "figures, is_told",
    [({}, True), ({"buffer_centres_mm": 0.0}, False), ({"scale": "HO"}, False)],
)
def test_where_buffers_may_touch_the_standard_s_straight_is_told_as_well(
    figures: dict[str, Any], *, is_told: bool
) -> None:
    """NEM 111 (2016), section 3.2: a transition, or a straight longer than the longest
    vehicle.
    """
    bare = {"rear_coupling": Coupling(type="never heard of"), **figures}
    answer = reverse(coach("A", **bare), coach("B", **bare))
    assert answer.least_straight_by == "longest_vehicle"
    codes = [reason.code for reason in answer.because]
    assert ("straight_by_standard" in codes) is is_told


def test_the_longest_vehicle_s_straight_refuses_nothing() -> None:
    """Common practice is no evidence: with it and without it the verdict is the same."""
    for straight_mm in (0.0, 100.0, 259.9, 260.0, 300.0):
        answer = reverse(coach("A"), coach("B"), straight_mm=straight_mm)
        assert answer.verdict == "cannot_tell"
        assert {each.verdict for each in answer.vehicles} == {"runs"}


def test_beside_a_joint_that_is_swept_one_that_is_not_asks_for_the_longest_vehicle() -> (
    None
):
    loose = hooked("C", length_mm=240.0, front_coupling=None)
    answer = reverse(hooked("A"), hooked("B"), loose)
    swept = answer.couplings[0].cures
    assert swept is not None
    assert swept.least_straight_mm is not None
    assert swept.least_straight_mm < 260
    assert (answer.least_straight_mm, answer.least_straight_by) == (
        260,
        "longest_vehicle",
    )


def test_where_a_length_is_missing_it_is_named_and_no_straight_is_guessed() -> None:
    bare = coach(
        "A", kind="engine", length_mm=None, length_over=None, bogie_centres_mm=None
    )
    answer = reverse(bare, coach("B"))
    assert (answer.least_straight_mm, answer.least_straight_by) == (None, None)
    assert ("A", "length_mm") in {(one.vehicle, one.field) for one in answer.because}


def test_joints_of_which_all_is_known_need_no_rule_of_thumb() -> None:
    """On an easy reverse curve swept joints run without any straight."""
    answer = reverse(hooked("A"), hooked("B"), radius_mm=3000)
    assert (answer.verdict, answer.least_straight_mm) == ("runs", None)
    assert "straight_by_practice" not in {one.code for one in answer.because}


def test_where_only_the_buffers_are_not_known_the_longest_vehicle_counts_as_well() -> (
    None
):
    """What the couplings need is found, but whether buffers lock is not."""
    closing = structs.replace(HOOK, play_mm=9.0)
    unknown = {
        "buffer_centres_mm": 20.0,
        "front_coupling": closing,
        "rear_coupling": closing,
    }
    answer = reverse(hooked("A", **unknown), hooked("B", **unknown))
    assert {joint.pushing for joint in answer.couplings} == {"cannot_tell"}
    assert (answer.least_straight_mm, answer.least_straight_by) == (
        260,
        "longest_vehicle",
    )


def test_of_joints_that_fail_alike_the_one_that_swings_farthest_is_told_first() -> None:
    """A longer coach swings its couplings farther: the pair of them fails worse than
    the pair of short ones.
    """
    coupling = Coupling(
        reach_mm=4.5,
        projection_mm=4.5,
        swing_deg=8,
        pivot_behind_mm=12,
        mounting="body",
    )
    ends: dict[str, object] = {
        "front_coupling": coupling,
        "rear_coupling": coupling,
        "minimum_radius_mm": 400,
    }
    short = [
        coach(f"Short {number}", length_mm=230.0, bogie_centres_mm=160.0, **ends)
        for number in (1, 2)
    ]
    long = [coach(f"Long {number}", **ends) for number in (1, 2)]
    for vehicles in ([*short, *long], [*long, *short]):
        curve = AskedCurve(radius_mm=610, reverse=True)
        answer = reckon(CurveCase(vehicles=tuple(vehicles), curve=curve))
        assert answer.verdict == "does_not_run"
        swings = [
            reason for reason in answer.because if reason.code == "swing_too_great"
        ]
        farthest = max(swings, key=lambda reason: reason.value_deg or 0.0)
        assert {answer.because[0].vehicle, answer.because[0].other_vehicle} == {
            farthest.vehicle,
            farthest.other_vehicle,
        }
