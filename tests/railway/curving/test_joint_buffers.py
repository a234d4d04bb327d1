"""Whether buffers let a joint be pushed round a curve."""

from typing import Any

import pytest
from msgspec import structs

from standage.railway.curving.joints import joint_ends
from standage.railway.curving.joints_on_curves import MOST_CURED
from standage.railway.stock.couplings import Coupling, CouplingKind, CouplingTypes
from standage.railway.stock.vehicles import Standing
from standage.railway.track.paths.alignment import Alignment
from support.stock_on_curves import (
    COACH,
    HOOK,
    SHARP,
    WAGON,
    buffered,
    codes,
    only,
    tried,
    with_coupling,
)


def test_buffers_that_touch_out_of_line_lock() -> None:
    joint = only(buffered(COACH), buffered(WAGON), on=SHARP)
    assert (joint.verdict, joint.pulling, joint.pushing) == (
        "does_not_run",
        "runs",
        "does_not_run",
    )
    assert codes(joint)[0] == "buffers_lock"
    assert joint.least_buffer_gap_mm is not None
    assert joint.least_buffer_gap_mm < 0


def test_the_radius_that_cures_locked_buffers_is_the_least_that_does() -> None:
    pair = (buffered(COACH), buffered(WAGON))
    joint = only(*pair, on=SHARP)
    assert joint.cures is not None
    least_mm = joint.cures.least_radius_mm
    assert least_mm is not None
    assert only(*pair, on=Alignment(radius_mm=least_mm, entry=False)).verdict == "runs"
    assert (
        only(*pair, on=Alignment(radius_mm=least_mm - 1, entry=False)).verdict
        == "does_not_run"
    )


def test_locked_buffers_come_before_a_swing_that_is_a_little_short_when_cures_are_worked_out() -> (
    None
):
    row = [
        structs.replace(
            with_coupling(COACH, swing_deg=14.0),
            name=f"Coach {place}",
            length_mm=270.0 + place,
        )
        for place in range(MOST_CURED + 1)
    ]
    found = tried(*row, buffered(COACH), buffered(WAGON), on=SHARP).couplings
    assert all(joint.verdict == "does_not_run" for joint in found[:MOST_CURED])
    assert found[-1].cures is not None


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


def test_buffers_that_touch_with_their_outer_edges_only_lock_as_well() -> None:
    near = only(buffered(COACH), buffered(WAGON), on=SHARP)
    assert near.least_buffer_gap_mm is not None
    closing_mm = (
        1.0 - near.least_buffer_gap_mm
    )  # on the inside, at the edges of heads of 5 mm, 25 mm apart
    for part, pushing in ((22.5 / 25, "does_not_run"), (1.02, "runs")):
        reach_mm = closing_mm * part / 2
        joint = only(
            buffered(COACH, reach_mm=reach_mm),
            buffered(WAGON, reach_mm=reach_mm),
            on=SHARP,
        )
        assert joint.pushing == pushing


def test_play_brings_the_buffers_together() -> None:
    loose = [buffered(each, reach_mm=6.0, play_mm=5.5) for each in (COACH, WAGON)]
    joint = only(*loose, on=SHARP)
    assert (joint.gap_mm, joint.buffered_up_gap_mm, joint.pushing) == (
        12,
        1,
        "does_not_run",
    )
    tight = only(buffered(COACH), buffered(WAGON), on=SHARP)
    assert (tight.gap_mm, tight.least_buffer_gap_mm) == (1, joint.least_buffer_gap_mm)


def test_a_head_of_unknown_width_that_could_lock_is_asked_about_with_the_width_that_would_do() -> (
    None
):
    bare = [buffered(each, head_mm=None) for each in (COACH, WAGON)]
    joint = only(*bare, on=SHARP)
    assert (joint.verdict, joint.pushing) == ("cannot_tell", "cannot_tell")
    assert {
        reason.field for reason in joint.because if reason.code == "missing_figure"
    } == {"buffer_head_width_mm"}
    (needed,) = [
        reason.limit_mm for reason in joint.because if reason.code == "head_needed"
    ]
    assert needed is not None
    for head_mm, expected in ((needed + 0.01, "runs"), (needed - 0.01, "does_not_run")):
        heads = [buffered(each, head_mm=head_mm) for each in (COACH, WAGON)]
        assert only(*heads, on=SHARP).pushing == expected


def test_a_head_of_unknown_width_that_could_not_lock_is_not_asked_about() -> None:
    bare = buffered(COACH, head_mm=None)
    assert only(bare, bare, on=SHARP).pushing == "runs"


def test_buffers_nobody_has_placed_cannot_be_farther_out_than_the_vehicle_is_wide() -> (
    None
):
    def unplaced(vehicle: Standing, reach_mm: float) -> Standing:
        return structs.replace(
            buffered(vehicle, reach_mm=reach_mm, head_mm=None), buffer_centres_mm=None
        )

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
    assert (
        joint.least_buffer_gap_mm
        == only(buffered(COACH), buffered(COACH), on=SHARP).least_buffer_gap_mm
    )
    assert "buffer_centres_mm" in {note.field for note in joint.assumed}


def test_touching_buffers_bring_in_the_standards_word() -> None:
    """**Source** NEM 111 (2016), 3.2: a coach of 26.4 m with pivots 19.0 m is in the
    group of 84 times the gauge.
    """
    coach = structs.replace(
        buffered(COACH, reach_mm=0.0),
        scale="H0",
        length_mm=26400 / 87,
        bogie_centres_mm=19000 / 87,
    )
    (reason,) = [
        each
        for each in only(coach, coach).because
        if each.code == "touching_buffers_by_standard"
    ]
    assert (reason.limit_mm, reason.value_mm) == (84 * 16.5, 600)
    apart = only(*[structs.replace(coach, front_coupling=HOOK, rear_coupling=HOOK)] * 2)
    assert "touching_buffers_by_standard" not in codes(apart)


def test_a_wagon_on_two_axles_is_in_the_standards_group_for_those() -> None:
    """**Source** NEM 111 (2016), 3.2: 50 times the gauge up to 9.8 m over buffers and
    5.0 m of wheelbase.
    """
    wagon = structs.replace(
        buffered(WAGON, reach_mm=0.0),
        scale="H0",
        length_mm=9040 / 87,
        rigid_wheelbase_mm=4850 / 87,
    )
    limits = [
        each.limit_mm
        for each in only(wagon, wagon).because
        if each.code == "touching_buffers_by_standard"
    ]
    assert limits == [50 * 16.5]


def test_in_size_0_a_model_is_held_against_the_standards_groups_at_their_own_scale() -> (
    None
):
    """**Source** NEM 103 (2016): group C in size 0 ends at 625 mm, which is 27.2 m at
    1:43.5.
    """
    coach = structs.replace(
        buffered(COACH, reach_mm=0.0),
        scale="0",
        length_mm=625.0,
        bogie_centres_mm=448.0,
        bogie_wheelbase_mm=60.0,
    )
    on = structs.replace(SHARP, radius_mm=1500)
    limits = [
        each.limit_mm
        for each in only(coach, coach, on=on).because
        if each.code == "touching_buffers_by_standard"
    ]
    assert limits == [84 * 32]


def test_heads_of_unknown_width_are_no_wider_than_the_narrower_vehicle_leaves_room_for() -> (
    None
):
    bare, narrow = (
        buffered(COACH, reach_mm=2.6, head_mm=None),
        buffered(WAGON, reach_mm=2.6, head_mm=None),
    )
    assert only(bare, narrow, on=SHARP).pushing == "cannot_tell"
    assert (
        only(bare, structs.replace(narrow, width_mm=20.5), on=SHARP).pushing == "runs"
    )


@pytest.mark.parametrize(
    ("figures", "touching_mm"),
    [
        # 92 mm are 8.0 m, 46 mm 4.0 m: two axles, 50 gauges
        ({}, 825.0),
        # the same on bogies whose wheelbase nobody measured, and on bogies of 20 mm:
        # group A, 57 gauges
        ({"rigid_wheelbase_mm": None, "bogie_centres_mm": 46.0}, 940.5),
        (
            {
                "rigid_wheelbase_mm": None,
                "bogie_centres_mm": 46.0,
                "bogie_wheelbase_mm": 20.0,
            },
            940.5,
        ),
        # a coach of 20 m, its pivots and bogies as practice has them: 14.4 m apart are
        # group B, 60 gauges
        ({"rigid_wheelbase_mm": None, "length_mm": 229.5, "kind": "coach"}, 990.0),
        # the gauge that is said counts before the scale's
        ({"gauge_mm": 12.0}, 600.0),
        ({"scale": "00"}, None),
        ({"scale": None}, None),
    ],
)
def test_touching_buffers_ask_for_a_radius_by_the_standards_groups(
    figures: dict[str, Any], touching_mm: float | None
) -> None:
    """NEM 111 (2016), 3.2: 50 G for two axles to 9.8 m and 5.0 m; by NEM 103's groups
    57, 60 and 84 G on bogies.
    """
    wagon = structs.replace(buffered(WAGON), **({"scale": "H0"} | figures))
    head, tail = joint_ends(wagon, types=CouplingTypes())
    assert (head.touching_radius_mm, tail.touching_radius_mm) == (
        touching_mm,
        touching_mm,
    )


def test_what_the_clubs_type_supplies_counts_and_is_no_guess() -> None:
    kind = CouplingKind(name="club hook", swing_deg=12.0, pivot_behind_mm=9.0)
    own = Coupling(type="club hook", reach_mm=3.0, pivot_behind_mm=7.0, mounting="body")
    head, tail = joint_ends(
        structs.replace(WAGON, front_coupling=own, rear_coupling=HOOK),
        types=CouplingTypes((kind,)),
    )
    told = [
        (guess.field, guess.source, guess.value_mm)
        for guess in head.guesses
        if "coupling" in guess.field
    ]
    assert told == []
    assert (head.swing_deg, head.body and head.body.pivot_behind_mm) == (12.0, 7.0)
    assert [guess for guess in tail.guesses if "coupling" in guess.field] == []
    bare = structs.replace(
        WAGON, front_coupling=Coupling(type="club hook"), rear_coupling=HOOK
    )
    head, _ = joint_ends(bare, types=CouplingTypes((kind,)))
    assert (head.swing_deg, head.body and head.body.pivot_behind_mm) == (12.0, 9.0)
    assert [
        (guess.field, guess.source, guess.value_mm)
        for guess in head.guesses
        if "coupling" in guess.field
    ] == [
        ("front_coupling.mounting", "default", None),
    ]
