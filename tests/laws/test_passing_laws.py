"""What holds for bodies side by side on two tracks, whatever they are."""

from math import atan2, hypot, inf

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec import structs

from standage.railway.passing.gaps import (
    Passer,
    Tracks,
    inner_radius_needed_mm,
    least_inner_radius_mm,
    nearest_pairs,
    spacing_needed_mm,
    verdict_of,
)
from support.plan_view import Plan, Stock, stood


@st.composite
def bodies(draw: st.DrawFn, name: str = "a") -> Passer:
    pivots = draw(st.floats(30, 250))
    return Passer(
        vehicle=name,
        width_mm=draw(st.floats(15, 60)),
        width_plus_minus_mm=draw(st.just(0.0) | st.floats(0, 2)),
        pivots_mm=pivots,
        bogie_wheelbase_mm=draw(st.just(0.0) | st.floats(5, 50)),
        half_length_mm=pivots / 2 + draw(st.floats(-10, 90)),
    )


few = st.lists(bodies(), min_size=1, max_size=5).map(
    lambda found: [
        structs.replace(one, vehicle=str(number)) for number, one in enumerate(found)
    ]
)


def span(found: list[Passer]) -> float:
    return max(hypot(one.pivots_mm, one.bogie_wheelbase_mm) / 2 for one in found)


def plan_of(one: Passer, radius: float) -> Plan:
    half = one.half_length_mm
    return stood(
        radius,
        Stock(
            pivots=one.pivots_mm,
            bogie=one.bogie_wheelbase_mm,
            front=half,
            rear=half,
            width=one.width_mm,
        ),
    )


def gap_of(outer: Passer, inner: Passer, tracks: Tracks) -> float:
    """Return the least gap with one body on the outer and the other on the inner
    track.
    """
    return (
        tracks.spacing_mm
        - outer.stands_in_mm(tracks.outer_radius_mm)
        - inner.stands_out_mm(tracks.inner_radius_mm)
    )


@settings(max_examples=60)
@given(
    outer=bodies(),
    inner=bodies("b"),
    radius=st.floats(250, 2000),
    spacing=st.floats(25, 150),
)
def test_the_gap_is_the_least_distance_of_the_two_bodies_in_plan(
    outer: Passer, inner: Passer, radius: float, spacing: float
) -> None:
    """With the inner body's outer corner on the radius through the outer one's middle
    they are exactly as near as that; wherever else they stand on their tracks they are
    no nearer. Where it is negative the bodies overlap there.
    """
    gap = gap_of(outer, inner, Tracks(inner_radius_mm=radius, spacing_mm=spacing))
    far, near = plan_of(outer, radius + spacing), plan_of(inner, radius)
    corner_to_top = atan2(near.outer_front.real, near.outer_front.imag)
    worst = far.polygon().distance(near.turned(corner_to_top).polygon())
    assert worst == pytest.approx(max(gap, 0), abs=1e-6)
    for step in range(-60, 61):
        assert (
            far.polygon().distance(near.turned(corner_to_top + step * 0.004).polygon())
            >= gap - 1e-6
        )


@given(found=few, radius=st.floats(200, 3000) | st.just(inf), spacing=st.floats(5, 200))
def test_the_worst_pair_is_the_worst_of_all_pairs_tried_one_by_one(
    found: list[Passer], radius: float, spacing: float
) -> None:
    tracks = Tracks(inner_radius_mm=radius, spacing_mm=spacing)
    by_name = {one.vehicle: one for one in found}
    everyone = sorted(
        gap_of(outer, inner, tracks) for outer in found for inner in found
    )
    pairs = nearest_pairs(found, tracks, most=5)
    assert [pair.gap_mm for pair in pairs] == pytest.approx(everyone[:5], abs=1e-5)
    for pair in pairs:
        assert pair.gap_mm == pytest.approx(
            gap_of(by_name[pair.on_outer], by_name[pair.on_inner], tracks), abs=1e-5
        )


@given(
    found=few,
    radius=st.floats(200, 3000) | st.just(inf),
    spacing=st.floats(5, 200),
    margin=st.floats(0, 5),
)
def test_the_verdict_is_the_worst_of_all_pairs_tried_one_by_one(
    found: list[Passer], radius: float, spacing: float, margin: float
) -> None:
    tracks = Tracks(inner_radius_mm=radius, spacing_mm=spacing)
    bounds = [
        (
            gap_of(one, other, tracks),
            (one.width_plus_minus_mm + other.width_plus_minus_mm) / 2,
        )
        for one in found
        for other in found
    ]
    assume(
        all(
            abs(gap + doubt) > 1e-4 and abs(gap - doubt - margin) > 1e-4
            for gap, doubt in bounds
        )
    )
    verdict, _ = verdict_of(found, tracks, margin_mm=margin)
    if any(gap + doubt < 0 for gap, doubt in bounds):
        assert verdict == "fouls"
    elif all(gap - doubt >= margin for gap, doubt in bounds):
        assert verdict == "clear"
    else:
        assert verdict == "marginal"


@given(found=few, radius=st.floats(200, 3000) | st.just(inf), margin=st.floats(0, 5))
def test_the_spacing_needed_is_the_least_that_is_clear(
    found: list[Passer], radius: float, margin: float
) -> None:
    needed = spacing_needed_mm(found, inner_radius_mm=radius, margin_mm=margin)
    verdict, _ = verdict_of(
        found, Tracks(inner_radius_mm=radius, spacing_mm=needed), margin_mm=margin
    )
    closer, _ = verdict_of(
        found,
        Tracks(inner_radius_mm=radius, spacing_mm=needed - 0.001),
        margin_mm=margin,
    )
    assert (verdict, closer == "clear") == ("clear", False)


@given(
    found=few, spacing=st.floats(20, 150), margin=st.floats(0, 5), over=st.floats(0, 1)
)
def test_every_radius_from_the_least_one_on_is_clear_and_just_below_is_not(
    found: list[Passer], spacing: float, margin: float, over: float
) -> None:
    least = least_inner_radius_mm(found, spacing_mm=spacing, margin_mm=margin)
    if least is None:
        tracks = Tracks(inner_radius_mm=1e6, spacing_mm=spacing - 0.05)
        assert verdict_of(found, tracks, margin_mm=margin)[0] != "clear"
        return
    for radius in (
        least,
        least + over,
        least + 100 * over,
        least * (1 + over),
        least * 10 ** (4 * over),
    ):
        tracks = Tracks(inner_radius_mm=radius, spacing_mm=spacing)
        assert verdict_of(found, tracks, margin_mm=margin)[0] == "clear"
    if least > span(found) + 0.1:
        just_below = Tracks(inner_radius_mm=least - 0.01, spacing_mm=spacing - 1e-5)
        assert verdict_of(found, just_below, margin_mm=margin)[0] != "clear"


@given(
    one=bodies(),
    spacing=st.floats(40, 300),
    above=st.floats(0.0005, 0.05),
    over=st.floats(0, 1),
)
def test_a_gap_that_shrinks_before_it_grows_hides_no_bad_radius(
    one: Passer, spacing: float, above: float, over: float
) -> None:
    """The margin is what is left just above the least radius to stand on, where the gap
    shrinks as the radius grows.
    """
    close = Tracks(inner_radius_mm=span([one]) * (1 + above), spacing_mm=spacing)
    margin = nearest_pairs([one], close)[0].gap_mm - one.width_plus_minus_mm - 1e-5
    assume(margin > 0)
    least = least_inner_radius_mm([one], spacing_mm=spacing, margin_mm=margin)
    if least is None:
        straight = Tracks(inner_radius_mm=inf, spacing_mm=spacing - 0.05)
        assert verdict_of([one], straight, margin_mm=margin)[0] != "clear"
        return
    for step in range(40):
        tracks = Tracks(inner_radius_mm=least + (step * over) ** 2, spacing_mm=spacing)
        assert verdict_of([one], tracks, margin_mm=margin)[0] == "clear"


@given(found=few, radius=st.floats(200, 3000))
def test_the_least_radius_at_the_spacing_that_a_radius_needs_is_that_radius_or_less(
    found: list[Passer], radius: float
) -> None:
    """Less where the gap does not grow steadily; more only where a larger radius needs
    more room than this one.
    """
    needed = spacing_needed_mm(found, inner_radius_mm=radius, margin_mm=1)
    least = least_inner_radius_mm(found, spacing_mm=needed, margin_mm=1)
    if all(
        one.half_length_mm >= hypot(one.pivots_mm, one.bogie_wheelbase_mm) / 2 * 1.2
        for one in found
    ):
        assert least is not None
        assert least == pytest.approx(radius, abs=0.05)


@given(
    found=few,
    radius=st.floats(200, 3000) | st.just(inf),
    spacing=st.floats(5, 200),
    wider=st.floats(0.1, 50),
)
def test_wider_spacing_never_brings_bodies_nearer(
    found: list[Passer], radius: float, spacing: float, wider: float
) -> None:
    (close,) = nearest_pairs(found, Tracks(inner_radius_mm=radius, spacing_mm=spacing))
    (apart,) = nearest_pairs(
        found, Tracks(inner_radius_mm=radius, spacing_mm=spacing + wider)
    )
    assert apart.gap_mm > close.gap_mm


@given(
    found=few,
    extra=bodies("extra"),
    radius=st.floats(200, 3000) | st.just(inf),
    spacing=st.floats(5, 200),
)
def test_one_more_vehicle_never_widens_the_least_gap(
    found: list[Passer], extra: Passer, radius: float, spacing: float
) -> None:
    tracks = Tracks(inner_radius_mm=radius, spacing_mm=spacing)
    assert (
        nearest_pairs([*found, extra], tracks)[0].gap_mm
        <= nearest_pairs(found, tracks)[0].gap_mm
    )


@given(found=few, radius=st.floats(200, 3000), spacing=st.floats(5, 200))
def test_the_order_of_the_vehicles_changes_nothing(
    found: list[Passer], radius: float, spacing: float
) -> None:
    tracks, turned = Tracks(inner_radius_mm=radius, spacing_mm=spacing), found[::-1]
    assert (
        nearest_pairs(turned, tracks)[0].gap_mm
        == nearest_pairs(found, tracks)[0].gap_mm
    )
    assert spacing_needed_mm(
        turned, inner_radius_mm=radius, margin_mm=1
    ) == spacing_needed_mm(found, inner_radius_mm=radius, margin_mm=1)


def beside(outer: float, inner: float) -> Tracks:
    return Tracks(inner_radius_mm=inner, spacing_mm=outer - inner)


@given(
    found=few,
    outer=st.floats(200, 3000),
    margin=st.floats(0, 5),
    part=st.floats(0, 1),
)
def test_the_inner_radius_needed_is_the_largest_that_is_clear_beside_the_same_outer_track(
    found: list[Passer], outer: float, margin: float, part: float
) -> None:
    needed = inner_radius_needed_mm(found, outer_radius_mm=outer, margin_mm=margin)
    standing = span(found) + 0.001
    if needed is None:
        for step in range(40):
            inner = standing + (outer - standing - 0.1) * step / 39
            if inner > standing:
                tried = beside(outer, inner)
                assert verdict_of(found, tried, margin_mm=margin)[0] != "clear"
        return
    just_more = beside(outer, needed + 0.001)
    assert verdict_of(found, beside(outer, needed), margin_mm=margin)[0] == "clear"
    assert verdict_of(found, just_more, margin_mm=margin)[0] != "clear"
    if needed > standing:
        smaller = beside(outer, standing + (needed - standing) * part)
        assert verdict_of(found, smaller, margin_mm=margin)[0] == "clear"


@given(found=few, outer=st.floats(200, 3000), margin=st.floats(0, 5))
def test_the_spacing_needed_beside_the_inner_radius_needed_is_what_is_between_the_tracks(
    found: list[Passer], outer: float, margin: float
) -> None:
    inner = inner_radius_needed_mm(found, outer_radius_mm=outer, margin_mm=margin)
    assume(inner is not None)
    assert inner is not None
    spacing = spacing_needed_mm(found, inner_radius_mm=inner, margin_mm=margin)
    assert spacing == pytest.approx(outer - inner, abs=1e-4)


@given(
    found=few,
    outer=st.floats(200, 3000),
    more=st.floats(0, 500),
    margin=st.floats(0, 5),
)
def test_a_larger_outer_radius_never_needs_a_smaller_inner_one(
    found: list[Passer], outer: float, more: float, margin: float
) -> None:
    sharp = inner_radius_needed_mm(found, outer_radius_mm=outer, margin_mm=margin)
    easy = inner_radius_needed_mm(found, outer_radius_mm=outer + more, margin_mm=margin)
    if sharp is not None:
        assert easy is not None
        assert easy >= sharp - 1e-5
