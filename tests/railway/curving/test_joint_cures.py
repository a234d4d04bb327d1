"""What would cure a joint that does not run well."""

import pytest
from msgspec import structs

from standage.railway.curving.joints_on_curves import MOST_CURED
from standage.railway.stock.vehicles import Standing
from standage.railway.track.paths.alignment import Alignment
from support.stock_on_curves import (
    COACH,
    WAGON,
    codes,
    only,
    reversed_verdict,
    tried,
    with_coupling,
)


@pytest.fixture
def supple() -> Standing:
    """A coach that runs into a curve of 800 mm but not through a reverse curve of
    that.
    """
    return with_coupling(COACH, swing_deg=28.0)


def test_the_straight_that_cures_is_the_least_that_does(supple: Standing) -> None:
    joint = only(supple, supple, on=Alignment(radius_mm=800, reverse=True))
    assert joint.verdict == "does_not_run"
    cures = joint.cures
    assert cures is not None
    assert cures.least_straight_mm is not None
    assert cures.bare_straight_mm is not None
    assert (cures.straight_helps, cures.bare_straight_mm < cures.least_straight_mm) == (
        True,
        True,
    )
    for straight_mm, expected in (
        (cures.least_straight_mm, "runs"),
        (cures.least_straight_mm - 1, "marginal"),
        (cures.bare_straight_mm, "marginal"),
        (cures.bare_straight_mm - 1, "does_not_run"),
    ):
        assert (
            reversed_verdict(supple, radius_mm=800, straight_mm=straight_mm) == expected
        )
    (told,) = [reason for reason in joint.because if reason.code == "straight_cures"]
    assert told.limit_mm == cures.least_straight_mm
    assert f"{cures.least_straight_mm} mm of straight" in told.message


def test_the_radius_that_cures_is_the_least_that_does(supple: Standing) -> None:
    joint = only(
        supple, supple, on=Alignment(radius_mm=800, reverse=True, reverse_radius_mm=850)
    )
    assert joint.cures is not None
    least_mm, bare_mm = joint.cures.least_radius_mm, joint.cures.bare_radius_mm
    assert least_mm is not None
    assert bare_mm is not None
    assert [
        reason.limit_mm for reason in joint.because if reason.code == "radius_cures"
    ] == [least_mm]
    for radius_mm, expected in (
        (least_mm, "runs"),
        (least_mm - 1, "marginal"),
        (bare_mm, "marginal"),
        (bare_mm - 1, "does_not_run"),
    ):
        assert reversed_verdict(supple, radius_mm=radius_mm) == expected


def test_a_little_straight_is_found_where_a_little_will_do(supple: Standing) -> None:
    free = only(supple, supple, on=Alignment(radius_mm=800, reverse=True))
    assert free.swing_deg is not None
    almost = with_coupling(supple, swing_deg=free.swing_deg * 0.999 / 0.8)
    cures = only(almost, almost, on=Alignment(radius_mm=800, reverse=True)).cures
    assert cures is not None
    assert cures.least_straight_mm is not None
    assert 0 < cures.least_straight_mm < 30
    assert cures.bare_straight_mm == 0
    assert (
        reversed_verdict(almost, radius_mm=800, straight_mm=cures.least_straight_mm)
        == "runs"
    )
    assert (
        reversed_verdict(almost, radius_mm=800, straight_mm=cures.least_straight_mm - 1)
        == "marginal"
    )


def test_where_the_entry_fails_by_itself_more_straight_does_not_help() -> None:
    joint = only(
        COACH, COACH, on=Alignment(radius_mm=600, reverse=True, straight_between_mm=50)
    )
    assert joint.cures is not None
    assert (joint.cures.least_straight_mm, joint.cures.bare_straight_mm) == (None, None)
    assert joint.cures.straight_helps is False
    assert "straight_does_not_help" in codes(joint)


def test_where_nothing_fails_and_straight_does_not_cure_nothing_is_said_to_fail(
    supple: Standing,
) -> None:
    stiffer = with_coupling(supple, swing_deg=24.0)
    joint = only(
        stiffer,
        stiffer,
        on=Alignment(radius_mm=800, reverse=True, straight_between_mm=600),
    )
    assert joint.verdict == "marginal"
    (told,) = [
        reason for reason in joint.because if reason.code == "straight_does_not_help"
    ]
    assert "fail" not in told.message
    assert "Coach (rear) and Coach (front)" in told.message


def test_every_advice_says_which_joint_and_which_verdict_it_brings(
    supple: Standing,
) -> None:
    stiffer = with_coupling(supple, swing_deg=24.0)
    for vehicle in (supple, stiffer):
        joint = only(vehicle, vehicle, on=Alignment(radius_mm=800, reverse=True))
        for reason in joint.because:
            if reason.code not in {
                "straight_cures",
                "straight_helps",
                "radius_cures",
                "radius_helps",
            }:
                continue
            assert "Coach (rear) and Coach (front)" in reason.message
            assert reason.limit_mm is not None
            at = {"straight_mm": reason.limit_mm, "radius_mm": 800.0}
            less = {"straight_mm": reason.limit_mm - 1, "radius_mm": 800.0}
            if reason.code.startswith("radius"):
                at, less = (
                    {"radius_mm": reason.limit_mm},
                    {"radius_mm": reason.limit_mm - 1},
                )
            assert reversed_verdict(vehicle, **at) == reason.brings
            assert reversed_verdict(vehicle, **less) != reason.brings


def test_a_joint_of_which_too_little_is_known_is_only_helped() -> None:
    """How far one of the couplings swings is not known: no advice promises more than
    that nothing known refuses it.
    """
    unknown = with_coupling(COACH, swing_deg=None).front_coupling
    coach = structs.replace(
        with_coupling(COACH, swing_deg=28.0), front_coupling=unknown
    )
    joint = only(coach, coach, on=Alignment(radius_mm=800, reverse=True))
    assert joint.verdict == "does_not_run"
    assert joint.cures is not None
    assert (joint.cures.least_straight_mm, joint.cures.bare_straight_brings) == (
        None,
        "cannot_tell",
    )
    assert joint.cures.bare_straight_mm is not None
    for straight_mm, expected in ((0, "cannot_tell"), (-1, "does_not_run")):
        tried_mm = joint.cures.bare_straight_mm + straight_mm
        assert reversed_verdict(coach, radius_mm=800, straight_mm=tried_mm) == expected
    assert "straight_helps" in codes(joint)


def test_no_curve_cures_couplings_that_do_not_take_hold(supple: Standing) -> None:
    one, other = (
        with_coupling(supple, type="knuckle"),
        with_coupling(supple, type="loop"),
    )
    joint = only(one, other, on=Alignment(radius_mm=800, reverse=True))
    assert joint.cures is None
    assert not {code for code in codes(joint) if "cure" in code or "help" in code}


def test_straight_that_only_makes_it_marginal_is_told_as_that(supple: Standing) -> None:
    stiffer = with_coupling(supple, swing_deg=24.0)
    joint = only(stiffer, stiffer, on=Alignment(radius_mm=800, reverse=True))
    assert joint.cures is not None
    assert (joint.cures.least_straight_mm, joint.cures.straight_helps) == (None, True)
    assert joint.cures.bare_straight_mm is not None
    assert "straight_helps" in codes(joint)
    marginal = only(
        stiffer,
        stiffer,
        on=Alignment(radius_mm=800, reverse=True, straight_between_mm=600),
    )
    assert (marginal.verdict, marginal.cures is not None) == ("marginal", True)
    assert marginal.cures is not None
    assert marginal.cures.straight_helps is False


def test_a_straight_beyond_all_the_wheels_is_as_good_as_any_longer_one() -> None:
    both = [
        only(
            COACH,
            WAGON,
            on=Alignment(radius_mm=600, reverse=True, straight_between_mm=straight_mm),
        )
        for straight_mm in (600.0, 1_000_000.0)
    ]
    assert both[0].offset_mm == pytest.approx(both[1].offset_mm, abs=0.001)


def test_a_reverse_curve_is_tried_both_ways_where_its_radii_differ() -> None:
    one = only(
        COACH, WAGON, on=Alignment(radius_mm=600, reverse=True, reverse_radius_mm=900)
    )
    other = only(
        COACH, WAGON, on=Alignment(radius_mm=900, reverse=True, reverse_radius_mm=600)
    )
    assert one.offset_mm == pytest.approx(other.offset_mm, abs=0.001)


def test_the_train_is_cured_by_what_cures_every_joint(supple: Standing) -> None:
    found = tried(supple, supple, WAGON, on=Alignment(radius_mm=800, reverse=True))
    worst = [
        joint.cures.least_radius_mm
        for joint in found.couplings
        if joint.cures is not None
    ]
    assert found.least_radius_mm == max(each for each in worst if each is not None)


def test_beyond_the_hardest_tried_joints_cures_are_not_worked_out_and_that_is_said() -> (
    None
):
    row = [
        structs.replace(COACH, name=f"Coach {place}", length_mm=270.0 + place)
        for place in range(MOST_CURED + 2)
    ]
    found = tried(*row, on=Alignment(radius_mm=600, entry=False)).couplings
    left = [joint for joint in found if "cure_not_worked_out" in codes(joint)]
    assert [joint.between for joint in left] == [("Coach 0", "Coach 1")]
    assert left[0].cures is None
