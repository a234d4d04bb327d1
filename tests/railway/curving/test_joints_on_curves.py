"""Verdicts on the joints of a train, their reasons, and what would cure them."""

from itertools import pairwise

import pytest
from msgspec import structs

from standage.railway.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.curving.alignment import Alignment
from standage.railway.curving.joints_on_curves import MOST_CURED, JointOnCurve, TrainOnCurve, couplings_on_curve
from standage.railway.vehicles import Body, Standing

CURVE = Alignment(radius_mm=600, entry=False)
HOOK = Coupling(reach_mm=3.0, play_mm=0.0, swing_deg=15.0, pivot_behind_mm=8.0, mounting="body")
COACH = Standing(
    name="Coach",
    length_mm=270.0,
    length_over="buffers",
    width_mm=36.0,
    bogie_centres_mm=186.0,
    bogie_wheelbase_mm=34.0,
    buffer_centres_mm=0.0,
    front_coupling=HOOK,
    rear_coupling=HOOK,
)
WAGON = structs.replace(
    COACH, name="Wagon", length_mm=92.0, bogie_centres_mm=None, bogie_wheelbase_mm=None, rigid_wheelbase_mm=46.0
)


def tried(*vehicles: Standing, on: Alignment = CURVE, types: CouplingTypes | None = None) -> TrainOnCurve:
    return couplings_on_curve(vehicles, on, types=types or CouplingTypes())


def only(*vehicles: Standing, on: Alignment = CURVE, types: CouplingTypes | None = None) -> JointOnCurve:
    (joint,) = tried(*vehicles, on=on, types=types).couplings
    return joint


def with_coupling(vehicle: Standing, **figures: object) -> Standing:
    coupling = structs.replace(HOOK, **figures)
    return structs.replace(vehicle, front_coupling=coupling, rear_coupling=coupling)


def codes(joint: JointOnCurve) -> list[str]:
    return [reason.code for reason in joint.because]


def test_one_vehicle_has_no_joints_and_runs() -> None:
    assert tried(COACH) == TrainOnCurve(verdict="runs", couplings=(), least_straight_mm=None, least_radius_mm=None)


def test_every_neighbour_of_a_row_of_like_vehicles_is_a_joint() -> None:
    found = tried(structs.replace(WAGON, count=3), COACH).couplings
    assert [(joint.joint, joint.between) for joint in found] == [
        (1, ("Wagon", "Wagon")),
        (2, ("Wagon", "Wagon")),
        (3, ("Wagon", "Coach")),
    ]


def test_a_swing_to_spare_runs_without_a_word() -> None:
    joint = only(WAGON, WAGON)
    assert (joint.verdict, joint.because) == ("runs", ())
    assert joint.swing_limit_deg == 15
    assert joint.cures is None


@pytest.mark.parametrize(
    ("part", "verdict"), [(0.79, "runs"), (0.81, "marginal"), (0.99, "marginal"), (1.01, "does_not_run")]
)
def test_the_swing_decides_at_four_fifths_and_at_the_whole(part: float, verdict: str) -> None:
    free = only(with_coupling(COACH, swing_deg=90.0), with_coupling(COACH, swing_deg=90.0))
    assert free.swing_deg is not None
    short = with_coupling(COACH, swing_deg=free.swing_deg / part)
    joint = only(short, short)
    assert joint.verdict == verdict
    assert joint.swing_deg == free.swing_deg


def test_the_coupling_that_uses_most_of_its_swing_is_shown_with_what_it_has() -> None:
    joint = only(with_coupling(COACH, swing_deg=40.0), with_coupling(COACH, swing_deg=12.5))
    assert joint.swing_limit_deg == 12.5
    assert [(reason.vehicle, reason.field) for reason in joint.because if reason.limit_deg] == [
        ("Coach", "front_coupling.swing_deg")
    ]


@pytest.mark.parametrize("field", ["pivot_behind_mm", "swing_deg"])
def test_without_a_couplings_pivot_or_swing_nobody_can_tell_and_the_field_is_named(field: str) -> None:
    bare = structs.replace(WAGON, name="Bare", front_coupling=structs.replace(HOOK, **{field: None}))
    joint = only(WAGON, bare)
    assert (joint.verdict, joint.pulling) == ("cannot_tell", "cannot_tell")
    assert [(reason.code, reason.vehicle, reason.field) for reason in joint.because] == [
        ("missing_figure", "Bare", f"front_coupling.{field}")
    ]
    assert (joint.swing_deg is None) == (field == "pivot_behind_mm")
    assert joint.offset_mm == 0


def test_a_coupling_that_is_known_to_swing_too_little_fails_whatever_the_other_does() -> None:
    joint = only(with_coupling(COACH, swing_deg=1.0), with_coupling(COACH, swing_deg=None))
    assert joint.verdict == "does_not_run"
    assert codes(joint)[0] == "swing_too_great"


def test_a_coupling_that_cannot_swing_at_all_runs_on_the_straight_only() -> None:
    stiff = with_coupling(WAGON, swing_deg=0.0)
    assert only(stiff, stiff).verdict == "does_not_run"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"rigid_wheelbase_mm": None}, "bogie_centres_mm"),
        ({"length_mm": None, "length_over": None}, "length_mm"),
        ({"rear_coupling": structs.replace(HOOK, reach_mm=None)}, "rear_coupling.reach_mm"),
    ],
)
def test_a_vehicle_that_cannot_be_placed_is_told_what_to_measure(changed: dict[str, object], field: str) -> None:
    joint = only(structs.replace(WAGON, name="Bare", **changed), WAGON)
    assert (joint.verdict, joint.offset_mm, joint.gap_mm) == ("cannot_tell", None, None)
    assert ("Bare", field) in [(reason.vehicle, reason.field) for reason in joint.because]


def test_couplings_whose_pivots_meet_are_asked_about() -> None:
    joint = only(*[with_coupling(WAGON, pivot_behind_mm=0.0, reach_mm=0.0)] * 2)
    assert joint.pulling == "cannot_tell"
    assert "figures_disagree" in codes(joint)


def test_couplings_that_do_not_take_hold_of_each_other_do_not_run() -> None:
    joint = only(with_coupling(WAGON, type="hook"), with_coupling(WAGON, type="link"))
    assert joint.verdict == "does_not_run"
    assert codes(joint) == ["do_not_mate"]


def test_a_type_supplies_swing_and_pivot_and_is_named_in_what_was_assumed() -> None:
    kind = CouplingKind(name="Long hook", reach_mm=3.0, swing_deg=15.0, pivot_behind_mm=8.0, mounting="body")
    typed = structs.replace(WAGON, front_coupling=Coupling(type="long hook"), rear_coupling=Coupling(type="long hook"))
    joint = only(typed, typed, types=CouplingTypes([kind]))
    own = only(WAGON, WAGON)
    assert (joint.swing_deg, joint.swing_limit_deg, joint.gap_mm) == (own.swing_deg, 15, 6)
    fields = {note.field for note in joint.assumed}
    assert {"swing_deg", "pivot_behind_mm", "mounting", "reach_mm"} <= fields
    assert not {"swing_deg", "pivot_behind_mm", "mounting", "reach_mm"} & {note.field for note in own.assumed}


def test_the_same_vehicles_measured_over_their_couplings_are_the_same_joint() -> None:
    over = structs.replace(COACH, length_mm=276.0, length_over="couplings")
    one, other = only(COACH, WAGON), only(over, WAGON)
    for field in ("offset_mm", "swing_deg", "gap_mm"):
        assert getattr(other, field) == pytest.approx(getattr(one, field), abs=1e-6)


def test_a_body_that_ends_short_of_its_buffers_reaches_to_them_at_a_joint() -> None:
    short = structs.replace(COACH, body_length_mm=250.0)
    assert only(short, WAGON).offset_mm == only(COACH, WAGON).offset_mm


def test_a_vehicle_standing_reversed_shows_its_other_end() -> None:
    lopsided = structs.replace(COACH, front_overhang_mm=62.0, rear_overhang_mm=22.0)
    turned = structs.replace(lopsided, reversed=True)
    ends = structs.replace(COACH, front_overhang_mm=22.0, rear_overhang_mm=62.0)
    assert only(turned, WAGON).offset_mm == only(ends, WAGON).offset_mm
    assert only(turned, WAGON).offset_mm != only(lopsided, WAGON).offset_mm


def test_of_several_bodies_the_one_at_the_joint_counts() -> None:
    bodies = (
        Body(name="engine", length_mm=150.0, rigid_wheelbase_mm=80.0, width_mm=36.0),
        Body(name="tender", length_mm=92.0, rigid_wheelbase_mm=46.0, width_mm=36.0),
    )
    engine = structs.replace(
        COACH, name="Engine", length_mm=245.0, bogie_centres_mm=None, bogie_wheelbase_mm=None, bodies=bodies
    )
    assert only(engine, COACH).offset_mm == only(WAGON, COACH).offset_mm
    assert only(COACH, engine).offset_mm != only(COACH, WAGON).offset_mm


def test_a_curve_too_sharp_for_the_wheels_is_refused_and_eased_until_it_does() -> None:
    joint = only(COACH, COACH, on=Alignment(radius_mm=90, entry=False))
    assert (joint.verdict, joint.offset_mm) == ("does_not_run", None)
    assert codes(joint)[0] == "cannot_stand"
    assert joint.cures is not None
    assert joint.cures.least_radius_mm is not None


# Entry


def test_a_curve_is_judged_with_its_entry_unless_that_is_said_to_be_eased() -> None:
    alone = only(COACH, COACH, on=Alignment(radius_mm=600, entry=False))
    both = only(COACH, COACH, on=Alignment(radius_mm=600))
    entry = only(COACH, COACH, on=Alignment(radius_mm=600, entry=True))
    assert (alone.verdict, entry.verdict, both.verdict) == ("marginal", "does_not_run", "does_not_run")
    assert (both.offset_mm, both.swing_deg) == (alone.offset_mm, alone.swing_deg) == (0, alone.swing_deg)
    assert both.on_entry is not None
    assert (both.on_entry.offset_mm, both.on_entry.verdict) == (entry.offset_mm, "does_not_run")
    assert (alone.on_entry, entry.on_entry) == (None, None)


def test_the_way_out_of_a_curve_counts_as_much_as_the_way_in() -> None:
    on = Alignment(radius_mm=600, entry=True)
    assert only(COACH, WAGON, on=on).offset_mm == pytest.approx(only(WAGON, COACH, on=on).offset_mm, abs=0.001)


def test_unlike_neighbours_stand_aside_on_the_steady_curve_and_that_is_told_beside_the_worst() -> None:
    steady = only(COACH, WAGON).offset_mm
    on = Alignment(radius_mm=600, reverse=True, straight_between_mm=100)
    joint = only(COACH, WAGON, on=on)
    assert joint.steady_offset_mm == steady
    assert joint.offset_mm is not None
    assert steady is not None
    assert joint.offset_mm > steady > 1


# Reverse curves


@pytest.fixture
def supple() -> Standing:
    """A coach that runs into a curve of 800 mm but not through a reverse curve of that."""
    return with_coupling(COACH, swing_deg=28.0)


def verdict(vehicle: Standing, *, radius_mm: float, straight_mm: float = 0.0) -> str:
    on = Alignment(radius_mm=radius_mm, reverse=True, straight_between_mm=straight_mm)
    return only(vehicle, vehicle, on=on).verdict


def test_the_straight_that_cures_is_the_least_that_does(supple: Standing) -> None:
    joint = only(supple, supple, on=Alignment(radius_mm=800, reverse=True))
    assert joint.verdict == "does_not_run"
    cures = joint.cures
    assert cures is not None
    assert cures.least_straight_mm is not None
    assert cures.bare_straight_mm is not None
    assert (cures.straight_helps, cures.bare_straight_mm < cures.least_straight_mm) == (True, True)
    for straight_mm, expected in (
        (cures.least_straight_mm, "runs"),
        (cures.least_straight_mm - 1, "marginal"),
        (cures.bare_straight_mm, "marginal"),
        (cures.bare_straight_mm - 1, "does_not_run"),
    ):
        assert verdict(supple, radius_mm=800, straight_mm=straight_mm) == expected
    assert f"{cures.least_straight_mm} mm of straight" in " ".join(reason.message for reason in joint.because)


def test_the_radius_that_cures_is_the_least_that_does(supple: Standing) -> None:
    joint = only(supple, supple, on=Alignment(radius_mm=800, reverse=True, reverse_radius_mm=850))
    assert joint.cures is not None
    least_mm, bare_mm = joint.cures.least_radius_mm, joint.cures.bare_radius_mm
    assert least_mm is not None
    assert bare_mm is not None
    for radius_mm, expected in (
        (least_mm, "runs"),
        (least_mm - 1, "marginal"),
        (bare_mm, "marginal"),
        (bare_mm - 1, "does_not_run"),
    ):
        assert verdict(supple, radius_mm=radius_mm) == expected


def test_where_the_entry_fails_by_itself_more_straight_does_not_help() -> None:
    joint = only(COACH, COACH, on=Alignment(radius_mm=600, reverse=True, straight_between_mm=50))
    assert joint.cures is not None
    assert (joint.cures.least_straight_mm, joint.cures.bare_straight_mm) == (None, None)
    assert joint.cures.straight_helps is False
    assert "straight_does_not_help" in codes(joint)


def test_straight_that_only_makes_it_marginal_is_told_as_that(supple: Standing) -> None:
    stiffer = with_coupling(supple, swing_deg=24.0)
    joint = only(stiffer, stiffer, on=Alignment(radius_mm=800, reverse=True))
    assert joint.cures is not None
    assert (joint.cures.least_straight_mm, joint.cures.straight_helps) == (None, True)
    assert joint.cures.bare_straight_mm is not None
    assert "straight_helps" in codes(joint)
    marginal = only(stiffer, stiffer, on=Alignment(radius_mm=800, reverse=True, straight_between_mm=600))
    assert (marginal.verdict, marginal.cures is not None) == ("marginal", True)
    assert marginal.cures is not None
    assert marginal.cures.straight_helps is False


def test_a_straight_beyond_all_the_wheels_is_as_good_as_any_longer_one() -> None:
    both = [
        only(COACH, WAGON, on=Alignment(radius_mm=600, reverse=True, straight_between_mm=straight_mm))
        for straight_mm in (600.0, 1_000_000.0)
    ]
    assert both[0].offset_mm == pytest.approx(both[1].offset_mm, abs=0.001)


def test_a_reverse_curve_is_tried_both_ways_where_its_radii_differ() -> None:
    one = only(COACH, WAGON, on=Alignment(radius_mm=600, reverse=True, reverse_radius_mm=900))
    other = only(COACH, WAGON, on=Alignment(radius_mm=900, reverse=True, reverse_radius_mm=600))
    assert one.offset_mm == pytest.approx(other.offset_mm, abs=0.001)


def test_the_train_is_cured_by_what_cures_every_joint(supple: Standing) -> None:
    found = tried(supple, supple, WAGON, on=Alignment(radius_mm=800, reverse=True))
    worst = [joint.cures.least_radius_mm for joint in found.couplings if joint.cures is not None]
    assert found.least_radius_mm == max(each for each in worst if each is not None)


def test_beyond_the_hardest_tried_joints_cures_are_not_worked_out_and_that_is_said() -> None:
    row = [structs.replace(COACH, name=f"Coach {place}", length_mm=270.0 + place) for place in range(MOST_CURED + 2)]
    found = tried(*row, on=Alignment(radius_mm=600, entry=False)).couplings
    left = [joint for joint in found if "cure_not_worked_out" in codes(joint)]
    assert [joint.between for joint in left] == [("Coach 0", "Coach 1")]
    assert left[0].cures is None


# Buffers


def buffered(vehicle: Standing, *, reach_mm: float = 0.5, head_mm: float | None = 5.0, **figures: object) -> Standing:
    coupling = structs.replace(HOOK, reach_mm=reach_mm, swing_deg=80.0, **figures)
    return structs.replace(
        vehicle, buffer_centres_mm=20.0, buffer_head_width_mm=head_mm, front_coupling=coupling, rear_coupling=coupling
    )


SHARP = Alignment(radius_mm=500, entry=False)


def test_buffers_that_touch_out_of_line_lock() -> None:
    joint = only(buffered(COACH), buffered(WAGON), on=SHARP)
    assert (joint.verdict, joint.pulling, joint.pushing) == ("does_not_run", "runs", "does_not_run")
    assert codes(joint)[0] == "buffers_lock"
    assert joint.least_buffer_gap_mm is not None
    assert joint.least_buffer_gap_mm < 0


@pytest.mark.parametrize(
    ("leading", "following"),
    [
        (buffered(COACH, head_mm=15.0), buffered(WAGON, head_mm=15.0)),
        (buffered(COACH, reach_mm=6.0), buffered(WAGON, reach_mm=6.0)),
        (buffered(COACH), WAGON),
        (WAGON, buffered(COACH)),
        (buffered(COACH), buffered(COACH)),
    ],
    ids=["wide heads", "far apart", "none behind", "none ahead", "in line"],
)
def test_buffers_do_not_lock(leading: Standing, following: Standing) -> None:
    assert only(leading, following, on=SHARP).pushing == "runs"


def test_play_brings_the_buffers_together() -> None:
    loose = [buffered(each, reach_mm=6.0, play_mm=5.5) for each in (COACH, WAGON)]
    joint = only(*loose, on=SHARP)
    assert (joint.gap_mm, joint.buffered_up_gap_mm, joint.pushing) == (12, 1, "does_not_run")


def test_a_head_of_unknown_width_that_could_lock_is_asked_about_with_the_width_that_would_do() -> None:
    bare = [buffered(each, head_mm=None) for each in (COACH, WAGON)]
    joint = only(*bare, on=SHARP)
    assert (joint.verdict, joint.pushing) == ("cannot_tell", "cannot_tell")
    assert {reason.field for reason in joint.because if reason.code == "missing_figure"} == {"buffer_head_width_mm"}
    (needed,) = [reason.limit_mm for reason in joint.because if reason.code == "head_needed"]
    assert needed is not None
    for head_mm, expected in ((needed + 0.01, "runs"), (needed - 0.01, "does_not_run")):
        heads = [buffered(each, head_mm=head_mm) for each in (COACH, WAGON)]
        assert only(*heads, on=SHARP).pushing == expected


def test_a_head_of_unknown_width_that_could_not_lock_is_not_asked_about() -> None:
    bare = buffered(COACH, head_mm=None)
    assert only(bare, bare, on=SHARP).pushing == "runs"


def test_buffers_nobody_has_placed_cannot_be_farther_out_than_the_vehicle_is_wide() -> None:
    def unplaced(vehicle: Standing, reach_mm: float) -> Standing:
        return structs.replace(buffered(vehicle, reach_mm=reach_mm, head_mm=None), buffer_centres_mm=None)

    far = only(unplaced(COACH, 6.0), unplaced(WAGON, 6.0), on=SHARP)
    assert (far.pushing, far.least_buffer_gap_mm) == ("runs", None)
    near = only(unplaced(COACH, 0.5), unplaced(WAGON, 0.5), on=SHARP)
    assert near.pushing == "cannot_tell"
    assert "buffer_centres_mm" in {reason.field for reason in near.because}


def test_guided_couplings_are_never_refused_for_their_buffers() -> None:
    guided = [buffered(each, mounting="guided") for each in (COACH, WAGON)]
    joint = only(*guided, on=SHARP)
    assert joint.pushing == "cannot_tell"
    assert "guided_couplings" in codes(joint)
    one = only(guided[0], buffered(WAGON), on=SHARP)
    assert one.pushing == "does_not_run"


def test_buffers_are_taken_to_stand_as_is_usual_in_the_scale() -> None:
    scaled = structs.replace(buffered(COACH), buffer_centres_mm=None, scale="H0")
    joint = only(scaled, scaled, on=SHARP)
    assert joint.least_buffer_gap_mm == only(buffered(COACH), buffered(COACH), on=SHARP).least_buffer_gap_mm
    assert "buffer_centres_mm" in {note.field for note in joint.assumed}


def test_touching_buffers_bring_in_the_standards_word() -> None:
    """**Source** NEM 111 (2016), 3.2: a coach of 26.4 m with pivots 19.0 m is in the group of 84 times the gauge."""
    coach = structs.replace(
        buffered(COACH, reach_mm=0.0), scale="H0", length_mm=26400 / 87, bogie_centres_mm=19000 / 87
    )
    (reason,) = [each for each in only(coach, coach).because if each.code == "touching_buffers_by_standard"]
    assert (reason.limit_mm, reason.value_mm) == (84 * 16.5, 600)
    apart = only(*[structs.replace(coach, front_coupling=HOOK, rear_coupling=HOOK)] * 2)
    assert "touching_buffers_by_standard" not in codes(apart)


def test_a_wagon_on_two_axles_is_in_the_standards_group_for_those() -> None:
    """**Source** NEM 111 (2016), 3.2: 50 times the gauge up to 9.8 m over buffers and 5.0 m of wheelbase."""
    wagon = structs.replace(
        buffered(WAGON, reach_mm=0.0), scale="H0", length_mm=9040 / 87, rigid_wheelbase_mm=4850 / 87
    )
    limits = [each.limit_mm for each in only(wagon, wagon).because if each.code == "touching_buffers_by_standard"]
    assert limits == [50 * 16.5]


def test_couplings_on_the_bogies_of_a_vehicle_without_any_are_taken_to_be_on_the_body() -> None:
    odd = with_coupling(WAGON, mounting="bogie")
    joint = only(odd, odd)
    assert joint.swing_deg == only(WAGON, WAGON).swing_deg
    assert "mounting" in {note.field for note in joint.assumed}


def test_couplings_on_the_bogies_swing_less_than_on_the_body_of_a_long_coach() -> None:
    carried = with_coupling(COACH, mounting="bogie")
    on_bogies, on_bodies = only(carried, carried).swing_deg, only(COACH, COACH).swing_deg
    assert on_bogies is not None
    assert on_bodies is not None
    assert on_bogies < on_bodies / 2


def test_reasons_come_worst_first() -> None:
    joint = only(COACH, COACH, on=Alignment(radius_mm=600))
    order = ["swing_too_great", "swing_near_limit", "radius_cures"]
    places = [order.index(code) for code in codes(joint)]
    assert all(one <= two for one, two in pairwise(places))
    assert set(codes(joint)) == set(order)
