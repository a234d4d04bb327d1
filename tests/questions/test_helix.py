"""A helix out of some of its figures: any of them that give it give the same, and so
does walking up it step by step.
"""

import math
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from standage.questions.gradient import GradientRequest, reckon
from standage.questions.gradient_answer import GradientAnswer
from standage.questions.helix import HelixAnswer
from standage.shapes.decoding import convert
from standage.shapes.faults import Fault, Faulty
from support.walks import at_each

Json = dict[str, Any]
FIGURES = ("radius_mm", "turns", "percent", "rise_mm", "rise_per_turn_mm")
ONE_SLOPE = {"percent", "rise_per_turn_mm"}
"""With the radius these two are one figure."""


def asked(helix: Json, **more: Any) -> GradientAnswer:
    return reckon(convert({"helix": helix, **more}, GradientRequest))


def helix_of(helix: Json, **more: Any) -> HelixAnswer:
    found = asked(helix, **more).helix
    assert found is not None
    return found


def faults(helix: Json, **more: Any) -> tuple[Fault, ...]:
    with pytest.raises(Faulty) as refused:
        asked(helix, **more)
    return refused.value.faults


def test_three_turns_of_radius_500_at_two_per_cent() -> None:
    """A turn is 2π × 500 = 3141.6 mm, 2 % of that 62.8 mm, three of those 188.5 mm."""
    found = helix_of({"radius_mm": 500, "turns": 3, "percent": 2})
    assert found.run_mm == pytest.approx(3 * 3141.592654, abs=1e-5)
    assert found.rise_per_turn_mm == pytest.approx(62.831853, abs=1e-6)
    assert found.rise_mm == pytest.approx(188.495559, abs=1e-6)


def test_a_rise_a_turn_and_a_gradient_give_the_radius() -> None:
    """60 mm a turn at 2 % are 3 m of track, 2 × 477.46 mm across."""
    answer = asked({"percent": 2, "rise_per_turn_mm": 60})
    assert answer.helix is not None
    assert answer.helix.radius_mm == pytest.approx(3000 / (2 * math.pi), abs=1e-6)
    assert (answer.helix.turns, answer.helix.run_mm) == (1, 3000)
    assert "helix/turns" in {one.field for one in answer.assumed}


radii = st.integers(1000, 20000).map(lambda tenths: tenths / 10)
windings = st.tuples(
    radii,
    st.integers(50, 1000).map(lambda hundredths: hundredths / 100),
    st.integers(50, 600).map(lambda hundredths: hundredths / 100),
)


def gives_all(names: frozenset[str]) -> bool:
    """Tell whether the figures give a helix: two of radius and slopes, and what tells
    how many turns.
    """
    shape = names & {"radius_mm", *ONE_SLOPE}
    if len(shape) >= 2:
        return True
    # of one of them, with the turns and the rise that they make together
    return bool(shape - {"rise_per_turn_mm"}) and names >= {"turns", "rise_mm"}


@given(windings, st.sampled_from([0.0, 100.0, 250.0]))
def test_any_figures_that_give_a_helix_give_the_same(
    winding: tuple[float, float, float], curve_mm: float
) -> None:
    radius_mm, turns, percent = winding
    assume(2 * math.pi * radius_mm * turns > 2.2 * curve_mm)
    more = {"vertical_curve_mm": curve_mm}
    whole = helix_of(
        {"radius_mm": radius_mm, "turns": turns, "percent": percent}, **more
    )
    tried = 0
    for three in combinations(FIGURES, 3):
        names = frozenset(three)
        counts_turns = names & {"turns", "rise_mm"}
        if not gives_all(names) or not counts_turns:
            continue
        again = helix_of({name: getattr(whole, name) for name in three}, **more)
        for name in (*FIGURES, "run_mm"):
            expected = getattr(whole, name)
            assert getattr(again, name) == pytest.approx(expected, rel=1e-4), three
        tried += 1
    assert tried >= 6


def climbed_mm(found: HelixAnswer, at_mm: float, curve_mm: float) -> float:
    """Walk up to a place in small steps, each as steep as its middle: from level to the
    gradient evenly over a vertical curve, and back.
    """
    steps = 400
    height = 0.0
    for step in range(steps):
        middle = at_mm * (step + 0.5) / steps
        eased = min(middle, found.run_mm - middle) / curve_mm if curve_mm else 1.0
        height += min(eased, 1.0) * found.percent / 100 * at_mm / steps
    return height


@at_each("turns, curve_mm", [(3, 0), (1, 0), (2.5, 300), (4, 900), (1.2, 500)])
def test_walking_up_it_comes_to_the_same_heights(turns: float, curve_mm: float) -> None:
    found = helix_of(
        {"radius_mm": 400, "turns": turns, "rise_per_turn_mm": 70},
        vertical_curve_mm=curve_mm,
    )
    top_mm = climbed_mm(found, found.run_mm, curve_mm)
    assert top_mm == pytest.approx(found.rise_mm, rel=2e-3)
    # the lowest turn begins at the foot, where the track is low
    turn_mm = 2 * math.pi * 400
    assert climbed_mm(found, turn_mm, curve_mm) == pytest.approx(70, rel=2e-3)


def test_the_rise_and_the_run_of_the_climb_count_as_figures_of_its_helix() -> None:
    by_run = helix_of({"turns": 2}, rise_mm=100, run_mm=5000)
    assert by_run.radius_mm == pytest.approx(5000 / (4 * math.pi), abs=1e-6)
    assert (by_run.percent, by_run.rise_per_turn_mm) == (2, 50)
    by_rise = helix_of({"radius_mm": 500, "percent": 2}, rise_mm=188.495559)
    assert by_rise.turns == pytest.approx(3, abs=1e-6)
    same = helix_of({"radius_mm": 500, "percent": 2, "rise_mm": 100}, rise_mm=100)
    assert same.rise_mm == 100


def test_without_deck_and_track_it_is_wound_and_they_are_asked_for() -> None:
    answer = asked({"radius_mm": 800, "turns": 2, "percent": 2}, scale="00")
    assert answer.helix is not None
    assert answer.helix.headroom_mm is None
    assert answer.verdict == "good"
    assert answer.helix.verdict == "cannot_tell"
    assert answer.because[0].field == "helix/deck_mm"
    # of 20 mm a turn nothing is high enough, whatever the deck
    low = asked({"radius_mm": 500, "turns": 2, "rise_per_turn_mm": 20}, scale="H0")
    assert low.verdict == "no_headroom"


def test_turns_that_leave_nothing_for_a_train_are_refused_whatever_else_is_not_said() -> (
    None
):
    """No vehicle is 0 mm high."""
    level = reckon(
        convert(
            {"rise_mm": 0, "helix": {"radius_mm": 600, "turns": 3}}, GradientRequest
        )
    )
    just_taken = {"radius_mm": 500, "turns": 2, "rise_per_turn_mm": 13}
    decked = {**just_taken, "deck_mm": 9, "track_mm": 4}
    for answer in (level, asked(decked)):
        assert answer.helix is not None
        assert (answer.verdict, answer.helix.verdict) == ("no_headroom", "no_headroom")
        assert answer.because[0].code in {"no_headroom", "turns_overlap"}
    a_little_more = {**decked, "rise_per_turn_mm": 13.1}
    assert helix_of(a_little_more).verdict == "cannot_tell"
    # less than a turn lies over nothing
    assert (
        reckon(
            convert(
                {"rise_mm": 0, "helix": {"radius_mm": 600, "turns": 0.9}},
                GradientRequest,
            )
        ).verdict
        == "good"
    )


def test_too_steep_is_told_before_a_headroom_that_nobody_can_judge() -> None:
    steep = asked({"radius_mm": 500, "turns": 2, "percent": 5})
    assert [one.code for one in steep.because] == ["over_limit", "headroom_unjudged"]
    good = asked({"radius_mm": 500, "turns": 2, "percent": 1})
    assert [one.code for one in good.because] == ["headroom_unjudged", "within_limit"]


@pytest.mark.parametrize(
    ("helix", "field", "would_be"),
    [
        (
            {"radius_mm": 500, "turns": 3, "percent": 2, "rise_mm": 200},
            "percent",
            "2.12",
        ),
        (
            {"radius_mm": 500, "percent": 2, "rise_per_turn_mm": 60},
            "rise_per_turn_mm",
            "62.8319",
        ),
        (
            {"turns": 3, "rise_mm": 180, "rise_per_turn_mm": 50, "radius_mm": 500},
            "rise_per_turn_mm",
            "60",
        ),
    ],
)
def test_what_contradicts_itself_is_refused_with_what_it_would_have_to_be(
    helix: Json, field: str, would_be: str
) -> None:
    (fault,) = faults(helix)
    assert (fault.code, fault.pointer) == ("contradiction", f"/helix/{field}")
    assert f"make it {would_be}" in fault.message


def test_a_figure_that_people_round_agrees_and_one_per_cent_off_does_not() -> None:
    known = {"radius_mm": 500, "turns": 3, "percent": 2}
    assert helix_of(known | {"rise_mm": 188.5}).turns == 3
    for off in (Fraction(99, 100), Fraction(101, 100)):
        assert faults(known | {"rise_mm": float(Fraction("188.495559") * off)})


def test_a_run_and_turns_that_disagree_with_the_radius_are_refused() -> None:
    (fault,) = faults({"radius_mm": 500, "turns": 2}, rise_mm=50, run_mm=5000)
    assert fault.pointer == "/helix/turns"
    (fault,) = faults({"radius_mm": 500, "percent": 2, "rise_mm": 90}, rise_mm=100)
    assert fault.pointer == "/helix/rise_mm"


@at_each(
    "helix",
    [
        {},
        {"radius_mm": 500},
        {"radius_mm": 500, "turns": 2},
        {"turns": 2, "percent": 2},
        {"turns": 2, "rise_mm": 100},
        {"rise_mm": 100, "rise_per_turn_mm": 50},
        {"percent": 2},
    ],
)
def test_too_little_is_refused_with_what_else_to_say(helix: Json) -> None:
    (fault,) = faults(helix)
    assert fault.code == "missing"
    assert "radius_mm" in fault.message


@at_each(
    "helix, more",
    [
        ({"radius_mm": 1e6, "turns": 100, "percent": 1}, {}),
        ({"percent": 100, "rise_per_turn_mm": 1}, {}),
        ({"percent": 0.01, "rise_per_turn_mm": 1e6}, {}),
        ({"radius_mm": 10, "turns": 0.01, "percent": 1}, {"vertical_curve_mm": 100}),
        ({"radius_mm": 100, "rise_mm": 1, "rise_per_turn_mm": 1e6}, {}),
        ({"radius_mm": 100, "rise_per_turn_mm": 50}, {"rise_mm": 0}),
        ({"radius_mm": 100, "percent": 100, "turns": 10_000}, {"vertical_curve_mm": 9}),
        ({"radius_mm": 100, "rise_per_turn_mm": 900, "turns": 2}, {}),
        # vertical curves longer than any run
        (
            {"radius_mm": 14.2, "rise_per_turn_mm": 1e6},
            {"rise_mm": 1e6, "vertical_curve_mm": 1e6},
        ),
    ],
)
def test_at_the_bounds_there_is_a_clear_fault_or_a_sound_helix(
    helix: Json, more: Json
) -> None:
    try:
        found = helix_of(helix, **more)
    except Faulty as faulty:
        places = {fault.pointer for fault in faulty.faults}
        if any("e+" in fault.message for fault in faulty.faults):
            pytest.fail(f"nobody writes so: {faulty}")
        if None in places or not faulty.faults:
            pytest.fail(f"no fault says where: {faulty}")
        return
    figures = [getattr(found, name) for name in FIGURES]
    assert all(map(math.isfinite, figures))


@given(windings, st.integers(50, 400).map(lambda hundredths: hundredths / 100))
def test_the_radius_that_is_advised_keeps_to_the_limit_and_a_smaller_one_does_not(
    winding: tuple[float, float, float], limit: float
) -> None:
    radius_mm, turns, percent = winding
    helix: Json = {"radius_mm": radius_mm, "turns": turns, "percent": percent}
    answer = asked(helix, limit_percent=limit)
    advised_mm = answer.instead.radius_mm
    if advised_mm is None:
        return
    assert answer.helix is not None
    again: Json = {"turns": turns, "rise_mm": answer.helix.rise_mm}
    same = asked(again | {"radius_mm": advised_mm}, limit_percent=limit)
    assert same.verdict == answer.instead.radius_brings == "good"
    smaller = again | {"radius_mm": advised_mm * 0.999}
    assert asked(smaller, limit_percent=limit).verdict == "too_steep"


def test_a_larger_radius_is_never_steeper_and_more_turns_never_rise_less() -> None:
    steep = [
        helix_of({"radius_mm": radius, "rise_per_turn_mm": 80}).percent
        for radius in range(300, 900, 50)
    ]
    assert steep == sorted(steep, reverse=True)
    high = [
        helix_of({"radius_mm": 500, "percent": 2, "turns": turns}).rise_mm
        for turns in range(1, 9)
    ]
    assert high == sorted(high)


def test_without_a_helix_rise_and_run_are_needed_as_ever() -> None:
    with pytest.raises(Faulty) as refused:
        convert({"scale": "00"}, GradientRequest)
    assert {(one.code, one.pointer) for one in refused.value.faults} == {
        ("missing", "/rise_mm"),
        ("missing", "/run_mm"),
    }
