"""What is true of every mark, ladder, crossover and turntable: inverses invert, wider is
never nearer, and each piece of advice does what it says.
"""

from math import isclose
from typing import Any

import msgspec
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from standage.questions import crossover, ladder, points_mark, turntable_roads
from standage.railway.pointwork.marks import (
    Between,
    MarkWanted,
    WayBack,
    marks,
    outcome,
)
from standage.railway.pointwork.parting import Parting
from standage.shapes.decoding import convert

GAUGE_MM = 16.5
ANGLES_DEG = st.floats(3, 50)
SPACINGS_MM = st.floats(20, 150)
RADII_MM = st.floats(20, 2000)
BOTH_WAYS: list[Between] = ["centre_lines", "near_rails"]
BETWEEN = st.sampled_from(BOTH_WAYS)
FEW = settings(max_examples=40)


@st.composite
def ways_back(draw: st.DrawFn) -> MarkWanted:
    """Draw a mark on a branch that comes back to parallel."""
    apart_mm = draw(SPACINGS_MM)
    between = draw(BETWEEN)
    farther_mm = draw(st.floats(0, 60))
    less_mm = GAUGE_MM if between == "near_rails" else 0.0
    wanted = MarkWanted(
        parting=Parting(draw(ANGLES_DEG)),
        gauge_mm=GAUGE_MM,
        apart_mm=apart_mm,
        between=between,
        back=WayBack(
            parallel_mm=apart_mm + less_mm + farther_mm, radius_mm=draw(RADII_MM)
        ),
    )
    assume(outcome(wanted) == "clear")
    return wanted


@FEW
@given(ways_back(), st.floats(0.01, 0.99))
def test_a_mark_for_less_is_never_farther_out(wanted: MarkWanted, part: float) -> None:
    nearer = msgspec.structs.replace(wanted, apart_mm=wanted.apart_mm * part)
    near, far = marks(nearer), marks(wanted)
    assert near.through.from_crossing_mm <= far.through.from_crossing_mm + 1e-9
    assert near.branch.from_crossing_mm <= far.branch.from_crossing_mm + 1e-9


@FEW
@given(ways_back())
def test_a_branch_that_curves_back_is_never_clear_nearer_than_a_straight_one(
    wanted: MarkWanted,
) -> None:
    straight = marks(msgspec.structs.replace(wanted, back=None))
    curved = marks(wanted)
    assert curved.through.from_crossing_mm >= straight.through.from_crossing_mm - 1e-6
    assert curved.branch.from_crossing_mm >= straight.branch.from_crossing_mm - 1e-6
    # The farther leg is the one that curves back: by it the answer is judged.
    assert curved.from_crossing_mm == max(
        curved.through.from_crossing_mm, curved.branch.from_crossing_mm
    )


@FEW
@given(ways_back(), st.floats(1.0, 1.5))
def test_a_wider_parallel_is_never_clear_farther_out(
    wanted: MarkWanted, times: float
) -> None:
    back = wanted.back
    assert back is not None
    wider = msgspec.structs.replace(
        wanted,
        back=WayBack(parallel_mm=back.parallel_mm * times, radius_mm=back.radius_mm),
    )
    near, far = marks(wider), marks(wanted)
    assert near.from_crossing_mm <= far.from_crossing_mm + 1e-6


@FEW
@given(ANGLES_DEG, st.floats(60, 400))
def test_the_distance_between_straight_legs_at_a_mark_is_what_it_was_found_for(
    angle_deg: float, out_mm: float
) -> None:
    """The inverse: from a place on one leg the nearest of the other, by areas: half the
    base times the height of the triangle of the crossing and both marks.
    """
    parting = Parting(angle_deg)
    apart_mm = out_mm * parting.sine
    found = marks(MarkWanted(parting=parting, gauge_mm=GAUGE_MM, apart_mm=apart_mm))
    assert isclose(found.from_crossing_mm, out_mm, rel_tol=1e-9)
    one, other = found.through.place, found.branch.place
    twice_the_area = abs((one.conjugate() * other).imag)
    assert isclose(twice_the_area / abs(one), apart_mm, rel_tol=1e-9)


def answered(module: Any, body: dict[str, Any]) -> Any:
    return module.reckon(convert(body, module.QUESTION.request))


def follow(module: Any, body: dict[str, Any]) -> None:
    """Ask again with each piece of advice: it must turn the verdict into what it says."""
    answer = answered(module, body)
    for reason in answer.because:
        if reason.brings is None:
            continue
        again = answered(module, body | {reason.field: reason.limit_mm})
        assert again.verdict == reason.brings != answer.verdict, reason


MARKS = st.fixed_dictionaries(
    {
        "spacing_mm": st.floats(17, 120),
        "scale": st.just("00"),
        "angle_deg": ANGLES_DEG,
        "parallel_spacing_mm": st.floats(17, 150),
        "curve_back_radius_mm": st.floats(9, 3000),
    }
)
CURVED = st.fixed_dictionaries(
    {
        "spacing_mm": st.floats(17, 150),
        "scale": st.just("00"),
        "angle_deg": ANGLES_DEG,
        "radius_mm": st.floats(9, 3000),
        "longest_vehicle_mm": st.floats(30, 400),
    }
)
LADDERS = st.fixed_dictionaries(
    {
        "roads": st.just(4),
        "lead_counts": st.booleans(),
        "spacing_mm": st.floats(17, 150),
        "scale": st.just("00"),
        "angle_deg": ANGLES_DEG,
        "points_length_mm": st.floats(50, 400),
        "radius_mm": st.floats(9, 3000),
        "longest_vehicle_mm": st.floats(30, 400),
    }
)
SOME = st.sets(
    st.sampled_from(
        [
            "radius_mm",
            "longest_vehicle_mm",
            "points_length_mm",
            "parallel_spacing_mm",
            "curve_back_radius_mm",
        ]
    )
)


def without(body: dict[str, Any], fields: set[str]) -> dict[str, Any]:
    return {name: value for name, value in body.items() if name not in fields}


@FEW
@given(MARKS, SOME)
def test_advice_about_a_mark_turns_the_verdict(
    body: dict[str, Any], left_out: set[str]
) -> None:
    follow(points_mark, without(body, left_out))


@FEW
@given(CURVED, SOME)
def test_advice_about_a_crossover_turns_the_verdict(
    body: dict[str, Any], left_out: set[str]
) -> None:
    follow(crossover, without(body, left_out))


@FEW
@given(LADDERS, SOME)
def test_advice_about_a_ladder_turns_the_verdict(
    body: dict[str, Any], left_out: set[str]
) -> None:
    follow(ladder, without(body, left_out))


HARDEST_FIRST = {
    points_mark: [
        *("never_clear", "cannot_be_laid", "cannot_tell", "clear", "clear_if_straight")
    ],
    crossover: ["cannot_be_laid", "cannot_tell", "marginal", "runs"],
    ladder: ["too_close", "cannot_tell", "tight", "fits"],
}


def harder_or_as_hard(module: Any, body: dict[str, Any], left_out: set[str]) -> None:
    """Compare the verdicts with figures and without: those that are added make none
    milder, but where nobody could tell.
    """
    before = answered(module, without(body, left_out)).verdict
    after = answered(module, body).verdict
    order = HARDEST_FIRST[module]
    assert before == "cannot_tell" or order.index(after) <= order.index(before)


@FEW
@given(MARKS, SOME)
def test_an_added_figure_makes_no_mark_nearer(
    body: dict[str, Any], left_out: set[str]
) -> None:
    harder_or_as_hard(points_mark, body, left_out)
    before = answered(points_mark, without(body, left_out)).from_crossing_of_lines_mm
    after = answered(points_mark, body).from_crossing_of_lines_mm
    if before is not None and after is not None:
        assert after >= before - 1e-6


@FEW
@given(CURVED, SOME)
def test_an_added_figure_makes_no_crossover_milder(
    body: dict[str, Any], left_out: set[str]
) -> None:
    harder_or_as_hard(crossover, body, left_out)


@FEW
@given(LADDERS, SOME)
def test_an_added_figure_makes_no_ladder_milder(
    body: dict[str, Any], left_out: set[str]
) -> None:
    harder_or_as_hard(ladder, body, left_out)
    some = answered(ladder, without(body, left_out)).least_spacing_mm
    all_known = answered(ladder, body).least_spacing_mm
    assert (some or 0.0) <= all_known


@FEW
@given(CURVED, st.floats(1.0, 2.0))
def test_a_wider_crossover_is_never_harder(body: dict[str, Any], times: float) -> None:
    wider = body | {"spacing_mm": body["spacing_mm"] * times}
    order = HARDEST_FIRST[crossover]
    near, far = answered(crossover, body), answered(crossover, wider)
    assert order.index(far.verdict) >= order.index(near.verdict)
    assert far.straight_mm >= near.straight_mm - 1e-6


@FEW
@given(LADDERS, st.floats(1.0, 2.0))
def test_a_wider_ladder_is_never_harder(body: dict[str, Any], times: float) -> None:
    wider = body | {"spacing_mm": body["spacing_mm"] * times}
    order = HARDEST_FIRST[ladder]
    near, far = answered(ladder, body), answered(ladder, wider)
    assert order.index(far.verdict) >= order.index(near.verdict)
    assert far.least_spacing_mm == near.least_spacing_mm


@FEW
@given(st.floats(20, 1000), st.floats(0.5, 170))
def test_a_spacing_at_the_rim_gives_the_angle_it_came_from(
    rim_mm: float, angle_deg: float
) -> None:
    by_angle = answered(
        turntable_roads, {"rim_radius_mm": rim_mm, "angle_deg": angle_deg}
    )
    spacing_mm = by_angle.spacing_at_rim_mm
    by_spacing = answered(
        turntable_roads, {"rim_radius_mm": rim_mm, "spacing_mm": spacing_mm}
    )
    assert isclose(by_spacing.angle_deg, angle_deg, abs_tol=1e-4)
    both = {"rim_radius_mm": rim_mm, "angle_deg": angle_deg, "spacing_mm": spacing_mm}
    again = answered(turntable_roads, both)
    assert isclose(again.clear_from_centre_by_chord_mm, rim_mm, rel_tol=1e-4)


@FEW
@given(st.floats(20, 1000), st.floats(0.5, 179), st.floats(5, 200), st.floats(1, 2))
def test_a_greater_spacing_is_never_clear_nearer_a_turntable(
    rim_mm: float, angle_deg: float, spacing_mm: float, times: float
) -> None:
    asked = {"rim_radius_mm": rim_mm, "angle_deg": angle_deg}
    near = answered(turntable_roads, asked | {"spacing_mm": spacing_mm})
    far = answered(turntable_roads, asked | {"spacing_mm": spacing_mm * times})
    assert far.beyond_rim_by_chord_mm >= near.beyond_rim_by_chord_mm
    assert far.beyond_rim_by_nearest_mm >= near.beyond_rim_by_nearest_mm
    assert near.clear_from_centre_by_nearest_mm >= near.clear_from_centre_by_chord_mm
