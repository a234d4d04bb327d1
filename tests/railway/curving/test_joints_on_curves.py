"""Verdicts on the joints of a train, and their reasons."""

import re
from itertools import pairwise

import pytest
from msgspec import structs

from standage.railway.curving.joints_on_curves import TrainOnCurve
from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Body
from standage.railway.track.paths.alignment import Alignment
from support.stock_on_curves import (
    COACH,
    HOOK,
    WAGON,
    codes,
    only,
    tried,
    with_coupling,
)


def test_one_vehicle_has_no_joints_and_runs() -> None:
    assert tried(COACH) == TrainOnCurve(
        verdict="runs", couplings=(), least_straight_mm=None, least_radius_mm=None
    )


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
    ("part", "verdict"),
    [(0.79, "runs"), (0.81, "marginal"), (0.99, "marginal"), (1.01, "does_not_run")],
)
def test_the_swing_decides_at_four_fifths_and_at_the_whole(
    part: float, verdict: str
) -> None:
    free = only(
        with_coupling(COACH, swing_deg=90.0), with_coupling(COACH, swing_deg=90.0)
    )
    assert free.swing_deg is not None
    short = with_coupling(COACH, swing_deg=free.swing_deg / part)
    joint = only(short, short)
    assert joint.verdict == verdict
    assert joint.swing_deg == free.swing_deg


def test_the_coupling_that_uses_most_of_its_swing_is_shown_with_what_it_has() -> None:
    joint = only(
        with_coupling(COACH, swing_deg=40.0), with_coupling(COACH, swing_deg=12.5)
    )
    assert joint.swing_limit_deg == 12.5
    assert [
        (reason.vehicle, reason.field) for reason in joint.because if reason.limit_deg
    ] == [("Coach", "front_coupling.swing_deg")]


@pytest.mark.parametrize("field", ["pivot_behind_mm", "swing_deg"])
def test_without_a_couplings_pivot_or_swing_nobody_can_tell_and_the_field_is_named(
    field: str,
) -> None:
    bare = structs.replace(
        WAGON, name="Bare", front_coupling=structs.replace(HOOK, **{field: None})
    )
    joint = only(WAGON, bare)
    assert (joint.verdict, joint.pulling) == ("cannot_tell", "cannot_tell")
    assert [
        (reason.code, reason.vehicle, reason.field) for reason in joint.because
    ] == [("missing_figure", "Bare", f"front_coupling.{field}")]
    assert (joint.swing_deg is None) == (field == "pivot_behind_mm")
    assert joint.offset_mm == 0


def test_a_coupling_that_is_known_to_swing_too_little_fails_whatever_the_other_does() -> (
    None
):
    joint = only(
        with_coupling(COACH, swing_deg=1.0), with_coupling(COACH, swing_deg=None)
    )
    assert joint.verdict == "does_not_run"
    assert codes(joint)[0] == "swing_too_great"


def test_a_coupling_that_cannot_swing_at_all_runs_on_the_straight_only() -> None:
    stiff = with_coupling(WAGON, swing_deg=0.0)
    joint = only(stiff, stiff)
    assert joint.verdict == "does_not_run"
    assert joint.cures is not None
    assert (joint.cures.least_radius_mm, joint.cures.bare_radius_mm) == (None, None)
    assert codes(joint)[-1] == "radius_does_not_help"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"rigid_wheelbase_mm": None}, "bogie_centres_mm"),
        ({"length_mm": None, "length_over": None}, "length_mm"),
        (
            {"rear_coupling": structs.replace(HOOK, reach_mm=None)},
            "rear_coupling.reach_mm",
        ),
    ],
)
def test_a_vehicle_that_cannot_be_placed_is_told_what_to_measure(
    changed: dict[str, object], field: str
) -> None:
    joint = only(structs.replace(WAGON, name="Bare", **changed), WAGON)
    assert (joint.verdict, joint.offset_mm, joint.gap_mm) == ("cannot_tell", None, None)
    assert ("Bare", field) in [
        (reason.vehicle, reason.field) for reason in joint.because
    ]


def test_couplings_whose_pivots_meet_are_asked_about() -> None:
    joint = only(*[with_coupling(WAGON, pivot_behind_mm=0.0, reach_mm=0.0)] * 2)
    assert joint.pulling == "cannot_tell"
    assert "figures_disagree" in codes(joint)


def test_couplings_that_do_not_take_hold_of_each_other_do_not_run() -> None:
    joint = only(
        with_coupling(WAGON, type="loop"), with_coupling(WAGON, type="three-link")
    )
    assert joint.verdict == "does_not_run"
    assert codes(joint) == ["do_not_mate"]


def test_couplings_of_which_nobody_knows_whether_they_take_hold_are_asked_about() -> (
    None
):
    joint = only(with_coupling(WAGON, type="peg"), with_coupling(WAGON, type="eye"))
    assert joint.verdict == "cannot_tell"
    assert codes(joint)[-1] == "couplings_may_not_mate"
    assert "peg" in joint.because[-1].message
    assert "eye" in joint.because[-1].message


def test_a_clubs_type_supplies_swing_and_pivot_and_is_no_guess() -> None:
    kind = CouplingKind(
        name="Long hook",
        reach_mm=3.0,
        swing_deg=15.0,
        pivot_behind_mm=8.0,
        mounting="body",
    )
    typed = structs.replace(
        WAGON,
        front_coupling=Coupling(type="long hook"),
        rear_coupling=Coupling(type="long hook"),
    )
    joint = only(typed, typed, types=CouplingTypes((kind,)))
    own = only(WAGON, WAGON)
    assert (joint.swing_deg, joint.swing_limit_deg, joint.gap_mm) == (
        own.swing_deg,
        15,
        6,
    )
    fields = {note.field for note in (*joint.assumed, *own.assumed)}
    assert not {"swing_deg", "pivot_behind_mm", "mounting", "reach_mm"} & fields


def test_the_same_vehicles_measured_over_their_couplings_are_the_same_joint() -> None:
    over = structs.replace(COACH, length_mm=276.0, length_over="couplings")
    one, other = only(COACH, WAGON), only(over, WAGON)
    for field in ("offset_mm", "swing_deg", "gap_mm"):
        assert getattr(other, field) == pytest.approx(getattr(one, field), abs=1e-6)


def test_a_body_that_ends_short_of_its_buffers_reaches_to_them_at_a_joint() -> None:
    short = structs.replace(COACH, body_length_mm=250.0)
    assert only(short, WAGON).offset_mm == only(COACH, WAGON).offset_mm
    assert only(WAGON, short).offset_mm == only(WAGON, COACH).offset_mm


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
        COACH,
        name="Engine",
        length_mm=245.0,
        bogie_centres_mm=None,
        bogie_wheelbase_mm=None,
        bodies=bodies,
    )
    assert only(engine, COACH).offset_mm == only(WAGON, COACH).offset_mm
    assert only(COACH, engine).offset_mm != only(COACH, WAGON).offset_mm


def test_a_curve_too_sharp_for_the_wheels_is_refused_and_eased_until_it_does() -> None:
    joint = only(COACH, COACH, on=Alignment(radius_mm=90, entry=False))
    assert (joint.verdict, joint.offset_mm) == ("does_not_run", None)
    assert codes(joint)[0] == "cannot_stand"
    assert joint.cures is not None
    assert joint.cures.least_radius_mm is not None


def test_a_curve_is_judged_with_its_entry_unless_that_is_said_to_be_eased() -> None:
    alone = only(COACH, COACH, on=Alignment(radius_mm=600, entry=False))
    both = only(COACH, COACH, on=Alignment(radius_mm=600))
    entry = only(COACH, COACH, on=Alignment(radius_mm=600, entry=True))
    assert (alone.verdict, entry.verdict, both.verdict) == (
        "marginal",
        "does_not_run",
        "does_not_run",
    )
    assert (
        (both.offset_mm, both.swing_deg)
        == (alone.offset_mm, alone.swing_deg)
        == (0, alone.swing_deg)
    )
    assert both.on_entry is not None
    assert (both.on_entry.offset_mm, both.on_entry.verdict) == (
        entry.offset_mm,
        "does_not_run",
    )
    assert (alone.on_entry, entry.on_entry) == (None, None)


def test_a_joints_figures_agree_with_its_verdicts_and_the_entrys_stand_beside() -> None:
    both = only(COACH, COACH, on=Alignment(radius_mm=600))
    assert both.swing_deg is not None
    assert both.swing_limit_deg is not None
    assert both.swing_deg < both.swing_limit_deg
    assert both.pulling == "marginal"
    entry = both.on_entry
    assert entry is not None
    assert entry.swing_deg is not None
    assert entry.swing_limit_deg is not None
    assert entry.swing_deg > entry.swing_limit_deg
    assert (entry.pulling, both.verdict) == ("does_not_run", "does_not_run")


@pytest.mark.parametrize(
    ("more_deg", "code"), [(0.0004, "swing_near_limit"), (-0.0004, "swing_too_great")]
)
def test_what_is_printed_of_a_swing_agrees_with_what_is_judged(
    more_deg: float, code: str
) -> None:
    free = only(
        with_coupling(COACH, swing_deg=90.0), with_coupling(COACH, swing_deg=90.0)
    )
    assert free.swing_deg is not None
    close = with_coupling(COACH, swing_deg=free.swing_deg + more_deg)
    reason = only(close, close).because[0]
    assert reason.code == code
    swing, most = (float(each) for each in re.findall(r"([0-9.]+)°", reason.message))
    assert (swing > most) == (code == "swing_too_great")
    assert swing != most


def test_a_guided_coupling_is_no_link_of_fixed_length() -> None:
    """Guided at either end, the gap is held along the two bodies; on neither, the
    pivots stand apart alike.
    """
    on = Alignment(radius_mm=600, reverse=True)
    ends = [with_coupling(COACH, mounting=each) for each in ("body", "guided")]
    linked, held, mixed = (
        only(ends[0], ends[0], on=on),
        only(ends[1], ends[1], on=on),
        only(ends[0], ends[1], on=on),
    )
    assert linked.swing_deg is not None
    assert held.swing_deg is not None
    assert linked.swing_deg > held.swing_deg + 1
    assert mixed.swing_deg == held.swing_deg
    unsaid = with_coupling(COACH, mounting=None)
    assert only(unsaid, unsaid, on=on).swing_deg == linked.swing_deg


def test_two_coaches_need_a_hundred_and_four_millimetres_of_straight() -> None:
    """258 over buffers, pivots 186, reach 4.5, coupling pivots 10 behind, R 600: 25.20°
    at 100 mm of straight.
    """
    coach = with_coupling(COACH, reach_mm=4.5, pivot_behind_mm=10.0, swing_deg=25.0)
    coach = structs.replace(coach, length_mm=258.0, bogie_wheelbase_mm=None)
    joint = only(
        coach, coach, on=Alignment(radius_mm=600, reverse=True, straight_between_mm=100)
    )
    assert joint.verdict == "does_not_run"
    assert joint.swing_deg == pytest.approx(25.20, abs=0.005)
    assert joint.cures is not None
    assert (joint.cures.bare_straight_mm, joint.cures.bare_straight_brings) == (
        104,
        "marginal",
    )


def test_the_way_out_of_a_curve_counts_as_much_as_the_way_in() -> None:
    on = Alignment(radius_mm=600, entry=True)
    assert only(COACH, WAGON, on=on).offset_mm == pytest.approx(
        only(WAGON, COACH, on=on).offset_mm, abs=0.001
    )


def test_unlike_neighbours_stand_aside_on_the_steady_curve_and_that_is_told_beside_the_worst() -> (
    None
):
    steady = only(COACH, WAGON).offset_mm
    on = Alignment(radius_mm=600, reverse=True, straight_between_mm=100)
    joint = only(COACH, WAGON, on=on)
    assert joint.steady_offset_mm == steady
    assert joint.offset_mm is not None
    assert steady is not None
    assert joint.offset_mm > steady > 1


def test_couplings_on_the_bogies_of_a_vehicle_without_any_are_taken_to_be_on_the_body() -> (
    None
):
    odd = with_coupling(WAGON, mounting="bogie")
    joint = only(odd, odd)
    assert joint.swing_deg == only(WAGON, WAGON).swing_deg
    assert "mounting" in {note.field for note in joint.assumed}


def test_couplings_on_the_bogies_swing_less_than_on_the_body_of_a_long_coach() -> None:
    carried = with_coupling(COACH, mounting="bogie")
    on_bogies, on_bodies = (
        only(carried, carried).swing_deg,
        only(COACH, COACH).swing_deg,
    )
    assert on_bogies is not None
    assert on_bodies is not None
    assert on_bogies < on_bodies / 2


def test_reasons_come_worst_first() -> None:
    joint = only(COACH, COACH, on=Alignment(radius_mm=600))
    order = ["swing_too_great", "swing_near_limit", "radius_cures"]
    places = [order.index(code) for code in codes(joint)]
    assert all(one <= two for one, two in pairwise(places))
    assert set(codes(joint)) == set(order)


@pytest.mark.parametrize("beside", ["its like", "a coach"])
@pytest.mark.parametrize("radius_mm", [500.0, 800.0])
def test_a_wagon_that_may_have_two_axles_or_bogies_is_tried_on_those_that_try_the_joint_hardest(
    beside: str, radius_mm: float
) -> None:
    """14 m at 1:87: two axles half its length apart, or bogies with 0.7 of it between
    their middles.
    """
    bare = structs.replace(
        WAGON,
        kind="wagon",
        length_mm=160,
        length_over="buffers",
        scale="H0",
        rigid_wheelbase_mm=None,
    )
    sorts = [
        structs.replace(bare, rigid_wheelbase_mm=80.0),
        structs.replace(bare, bogie_centres_mm=112.0, bogie_wheelbase_mm=None),
    ]
    on = Alignment(radius_mm=radius_mm, reverse=True)
    pairs = [
        (one, other)
        for one in sorts
        for other in (sorts if beside == "its like" else [COACH])
    ]
    swings = [only(one, other, on=on).swing_deg for one, other in pairs]
    found = only(bare, bare if beside == "its like" else COACH, on=on)
    assert found.swing_deg == max(swing for swing in swings if swing is not None)
    assert len(set(swings)) > 1
