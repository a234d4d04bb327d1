"""What holds for any two coupled vehicles on any curve, entry or reverse curve."""

from collections.abc import Callable, Sequence
from math import degrees, radians

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec import structs

from standage.railway.curving.cures import cures, verdict_on
from standage.railway.curving.pairs import CoupledPair, PairBody, PairStanding
from standage.railway.curving.passages import greatest
from standage.railway.curving.strains import MARGINAL_FROM, TriedJoint, hardest
from standage.railway.curving.verdicts import CurveVerdict, better
from standage.railway.track.paths.alignment import (
    Alignment,
    entry_paths,
    reverse_paths,
    steady_paths,
)
from standage.railway.track.paths.endless import EndlessPath, endless, turned_round
from standage.railway.track.paths.runs import Run, even

FEW = settings(max_examples=25, deadline=None)
FEWER = settings(max_examples=6, deadline=None)


@st.composite
def bodies(draw: st.DrawFn) -> PairBody:
    pivots_mm = draw(st.floats(30, 220))
    return PairBody(
        pivots_mm=pivots_mm,
        bogie_wheelbase_mm=draw(st.sampled_from([0.0, 0.1, 0.2])) * pivots_mm,
        half_length_mm=pivots_mm / 2 + draw(st.floats(0, 60)),
        pivot_behind_mm=draw(st.floats(3, 20)),
        on_bogie=draw(st.booleans()),
    )


pairs = st.builds(
    CoupledPair,
    leading=bodies(),
    following=bodies(),
    gap_mm=st.floats(1, 12),
    linked=st.booleans(),
)
radii = st.floats(350, 3000)


@st.composite
def lines(draw: st.DrawFn) -> tuple[Run, ...]:
    """An entry, a way out, or a reverse curve with or without a straight between."""
    arc, other = even(1 / draw(radii)), even(-1 / draw(radii))
    straight = even(0.0, length_mm=draw(st.floats(0, 500)))
    return draw(
        st.sampled_from(
            [(straight, arc), (arc, straight), (arc, straight, other), (arc, other)]
        )
    )


def offset(standing: PairStanding) -> float:
    return abs(standing.offset_mm)


def leading(standing: PairStanding) -> float:
    return degrees(abs(standing.leading_swing or 0.0))


def following(standing: PairStanding) -> float:
    return degrees(abs(standing.following_swing or 0.0))


def bend(standing: PairStanding) -> float:
    return degrees(abs(standing.bend))


def worst(line: EndlessPath, pair: CoupledPair) -> tuple[float, ...]:
    found = greatest(line, pair, [offset, leading, following, bend])
    assume(found is not None)
    assert found is not None
    return found


def alike(one: Sequence[float], other: Sequence[float]) -> bool:
    return all(
        abs(a - b) < 0.005 + 0.0005 * abs(a) for a, b in zip(one, other, strict=True)
    )


def scaled(pair: CoupledPair, by: float) -> CoupledPair:
    def body(each: PairBody) -> PairBody:
        return structs.replace(
            each,
            pivots_mm=each.pivots_mm * by,
            bogie_wheelbase_mm=each.bogie_wheelbase_mm * by,
            half_length_mm=each.half_length_mm * by,
            pivot_behind_mm=(each.pivot_behind_mm or 0.0) * by,
        )

    return CoupledPair(
        leading=body(pair.leading),
        following=body(pair.following),
        gap_mm=pair.gap_mm * by,
        linked=pair.linked,
    )


@FEW
@given(pairs, lines())
def test_to_the_right_is_as_bad_as_to_the_left(
    pair: CoupledPair, runs: tuple[Run, ...]
) -> None:
    mirrored = [run.mirrored for run in runs]
    assert alike(worst(endless(runs), pair), worst(endless(mirrored), pair))


@FEW
@given(pairs, lines())
def test_pushed_back_the_way_it_came_a_pair_stands_as_it_stood(
    pair: CoupledPair, runs: tuple[Run, ...]
) -> None:
    turned = structs.replace(pair, leading=pair.following, following=pair.leading)
    one = worst(endless(runs), pair)
    other = worst(endless(turned_round(runs)), turned)
    assert alike(
        (one[0], one[1], one[2], one[3]), (other[0], other[2], other[1], other[3])
    )


@FEW
@given(pairs, lines(), st.floats(0.1, 8))
def test_in_a_larger_scale_offsets_grow_with_it_and_angles_stay(
    pair: CoupledPair, runs: tuple[Run, ...], by: float
) -> None:
    larger = [
        even(run.curvature_from / by, length_mm=run.length_mm * by) for run in runs
    ]
    one = worst(endless(runs), pair)
    other = worst(endless(larger), scaled(pair, by))
    assert alike(one, (other[0] / by, *other[1:]))


@FEW
@given(pairs, st.floats(1, 1000))
def test_towards_straight_track_everything_goes_to_nothing(
    pair: CoupledPair, by: float
) -> None:
    alignment = Alignment(radius_mm=1000 * by, reverse=True)
    limits = [40_000 / 1000 / by, *[60_000 / 1000 / by * 10] * 2, 360 / by]
    for line in (
        *reverse_paths(alignment, longest_mm=0),
        *entry_paths(alignment),
        *steady_paths(alignment),
    ):
        assert all(
            value <= most for value, most in zip(worst(line, pair), limits, strict=True)
        )


@FEW
@given(pairs, radii, st.floats(1, 3), st.floats(0, 300))
def test_a_larger_radius_never_tries_the_couplings_harder(
    pair: CoupledPair, radius_mm: float, by: float, straight_mm: float
) -> None:
    sharp = Alignment(
        radius_mm=radius_mm, reverse=True, straight_between_mm=straight_mm
    )
    joint = tried(pair)
    for paths in (
        entry_paths,
        steady_paths,
        lambda each: reverse_paths(each, longest_mm=pair.wheels_mm),
    ):
        assert (
            hardest(paths(sharp.no_sharper_than(radius_mm * by)), joint)
            <= hardest(paths(sharp), joint) + 0.002
        )


@FEW
@given(pairs, radii)
def test_a_reverse_curve_is_no_better_than_the_entry_of_it(
    pair: CoupledPair, radius_mm: float
) -> None:
    alignment = Alignment(radius_mm=radius_mm, reverse=True)
    joint = tried(pair)
    entry = hardest(entry_paths(alignment), joint)
    for straight_mm in (0.0, pair.wheels_mm / 2):
        reverse = reverse_paths(
            alignment.with_straight(straight_mm), longest_mm=pair.wheels_mm
        )
        assert hardest(reverse, joint) >= entry - 0.002


@FEW
@given(pairs, radii)
def test_with_room_for_all_the_wheels_on_the_straight_a_reverse_curve_is_two_entries(
    pair: CoupledPair, radius_mm: float
) -> None:
    alignment = Alignment(
        radius_mm=radius_mm, reverse=True, straight_between_mm=pair.wheels_mm
    )
    (line,) = reverse_paths(alignment, longest_mm=pair.wheels_mm)
    apart = [worst(each, pair) for each in entry_paths(alignment)]
    assert alike(worst(line, pair), [max(both) for both in zip(*apart, strict=True)])


@FEWER
@given(
    pairs,
    st.floats(350, 1200),
    st.lists(st.floats(0, 1), min_size=4, max_size=4),
    st.data(),
)
def test_from_the_straight_that_cures_on_every_longer_one_does_and_one_shorter_does_not(
    pair: CoupledPair, radius_mm: float, parts: list[float], data: st.DataObject
) -> None:
    alignment = Alignment(radius_mm=radius_mm, reverse=True)

    def hardness(straight_mm: float, joint: TriedJoint) -> float:
        return hardest(
            reverse_paths(
                alignment.with_straight(straight_mm), longest_mm=pair.wheels_mm
            ),
            joint,
        )

    free = tried(pair)
    low, high = hardness(pair.wheels_mm, free), hardness(0.0, free)
    assume(high > low + 0.01)
    wanted = low + (high - low) * data.draw(st.floats(0.1, 0.9))
    joint = tried(pair, swing=radians(20) * wanted / MARGINAL_FROM)
    least_mm = cures(joint, alignment).least_straight_mm
    assert least_mm is not None
    for part in (0.0, *parts):
        longer_mm = least_mm + part * max(0.0, pair.wheels_mm - least_mm)
        assert hardness(longer_mm, joint) <= MARGINAL_FROM + 1e-4
    assert least_mm == 0 or hardness(least_mm - 1, joint) > MARGINAL_FROM


@FEWER
@given(pairs, st.floats(350, 1200), st.floats(5, 35), st.none() | st.floats(0, 80))
def test_every_cure_brings_the_verdict_it_says_and_a_millimetre_less_does_not(
    pair: CoupledPair, radius_mm: float, swing_deg: float, straight_mm: float | None
) -> None:
    joint = tried(pair, swing=radians(swing_deg))
    alignment = Alignment(radius_mm=radius_mm)
    if straight_mm is not None:
        alignment = Alignment(
            radius_mm=radius_mm, reverse=True, straight_between_mm=straight_mm
        )
    present = verdict_on(joint, alignment)
    found = cures(joint, alignment)
    advice: list[
        tuple[int | None, CurveVerdict | None, Callable[[float], Alignment]]
    ] = [
        (found.least_radius_mm, "runs", alignment.no_sharper_than),
        (found.bare_radius_mm, found.bare_radius_brings, alignment.no_sharper_than),
        (found.least_straight_mm, "runs", alignment.with_straight),
        (found.bare_straight_mm, found.bare_straight_brings, alignment.with_straight),
    ]
    for figure_mm, brings, eased in advice:
        if figure_mm is None or brings is None or not better(brings, present):
            continue
        assert verdict_on(joint, eased(figure_mm)) == brings
        assert better(brings, verdict_on(joint, eased(figure_mm - 1)))


def tried(pair: CoupledPair, *, swing: float = radians(20)) -> TriedJoint:
    return TriedJoint(
        pulled=pair, pushed=pair, swings=(swing, swing), has_buffers=False
    )
