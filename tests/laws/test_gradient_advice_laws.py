"""The advice of the gradient question, asked again; and against a train placed at many
positions along the climb.
"""

from collections.abc import Iterator
from itertools import pairwise
from math import pi

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.questions.gradient import GradientRequest, reckon
from standage.questions.gradient_answer import GradientAnswer
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty

STEP_MM = 0.1
POSITIONS = 1500


class Profile:
    """A climb's height, added up from its slope, which rises, stays and falls evenly:
    no formula for a parabola.
    """

    def __init__(self, asked: GradientRequest) -> None:
        foot_mm = asked.vertical_curve_mm or 0.0
        top_mm = (
            foot_mm
            if asked.top_vertical_curve_mm is None
            else asked.top_vertical_curve_mm
        )
        self.run_mm, self.rise_mm = asked.run_mm or 0.0, asked.rise_mm or 0.0
        self.foot_mm, self.top_mm = foot_mm, top_mm
        self.whole = 1.0
        self.whole = self.height_mm(self.run_mm) / self.rise_mm

    def slope(self, at_mm: float) -> float:
        foot = 1.0 if self.foot_mm == 0 else min(1.0, at_mm / self.foot_mm)
        top = 1.0 if self.top_mm == 0 else min(1.0, (self.run_mm - at_mm) / self.top_mm)
        return min(foot, top)

    def height_mm(self, at_mm: float) -> float:
        at_mm = min(max(at_mm, 0.0), self.run_mm)
        bends = {0.0, self.foot_mm, self.run_mm - self.top_mm, at_mm}
        stretches = pairwise(sorted(bend for bend in bends if bend <= at_mm))
        return (
            sum(
                (there - here) * (self.slope(here) + self.slope(there)) / 2
                for here, there in stretches
            )
            / self.whole
        )

    def worst_percent(self, train_mm: float) -> float:
        tails = [
            (self.run_mm + train_mm) * number / POSITIONS - train_mm
            for number in range(POSITIONS + 1)
        ]
        apart = (
            self.height_mm(tail + train_mm) - self.height_mm(tail) for tail in tails
        )
        return 100 * max(apart) / train_mm


def simulated_percent(asked: GradientRequest) -> float:
    """Return what the train feels; without one, what a very short one would."""
    profile = Profile(asked)
    very_short_mm = profile.run_mm / POSITIONS
    return profile.worst_percent(asked.train_length_mm or very_short_mm)


def tenths(least: float, most: float) -> st.SearchStrategy[float]:
    return st.integers(round(least * 10), round(most * 10)).map(
        lambda tenth: tenth / 10
    )


@st.composite
def requests(draw: st.DrawFn) -> GradientRequest:
    run_mm = draw(tenths(100, 6000))
    half_mm = round(run_mm * 5 // 1) / 10
    return convert(
        {
            "rise_mm": draw(tenths(0.1, run_mm / 5)),
            "run_mm": run_mm,
            "vertical_curve_mm": draw(st.none() | tenths(0, half_mm)),
            "train_length_mm": draw(st.none() | tenths(50, 8000)),
            "limit_percent": draw(
                st.none() | st.integers(50, 600).map(lambda hundredth: hundredth / 100)
            ),
            "longest_vehicle_mm": draw(st.none() | tenths(50, 300)),
        },
        GradientRequest,
    )


def again(asked: GradientRequest, **changed: float | None) -> GradientAnswer | None:
    """Return the answer to what the advice says, asked as a caller would; None where it
    cannot be built.
    """
    try:
        sent = msgspec.to_builtins(msgspec.structs.replace(asked, **changed))
        return reckon(convert(sent, GradientRequest))
    except Faulty:
        return None


def advised(asked: GradientRequest) -> Iterator[tuple[str, float, float]]:
    """Yield each advice with the field that it is for, and one step less of it."""
    instead = reckon(asked).instead
    yield "run_mm", instead.run_needed_mm, instead.run_needed_mm - STEP_MM
    yield "rise_mm", instead.rise_allowed_mm, instead.rise_allowed_mm + STEP_MM


@given(requests())
def test_advice_brings_the_verdict_that_it_says_and_one_step_less_does_not(
    asked: GradientRequest,
) -> None:
    for field, advice_mm, less_mm in advised(asked):
        then = again(asked, **{field: advice_mm})
        assert then is not None
        assert then.verdict == "good"
        less = again(asked, **{field: less_mm})
        assert less is None or less.verdict != "good"
    instead = reckon(asked).instead
    assert (instead.run_needed_brings, instead.rise_allowed_brings) == ("good", "good")


@given(requests())
def test_a_train_placed_along_the_climb_agrees_with_the_advice(
    asked: GradientRequest,
) -> None:
    limit = asked.limit_percent or 2.0
    for field, advice_mm, less_mm in advised(asked):
        there = msgspec.structs.replace(asked, **{field: advice_mm})
        assert simulated_percent(there) <= limit * (1 + 4e-6)
        if again(asked, **{field: less_mm}) is not None:
            assert simulated_percent(
                msgspec.structs.replace(asked, **{field: less_mm})
            ) > limit * (1 - 4e-6)


@given(requests())
def test_the_vertical_curve_that_is_advised_brings_what_it_says(
    asked: GradientRequest,
) -> None:
    instead = reckon(asked).instead
    if instead.vertical_curve_mm is None:
        assert instead.vertical_curve_brings is None
        return
    then = again(
        asked, vertical_curve_mm=instead.vertical_curve_mm, top_vertical_curve_mm=None
    )
    assert then is not None
    assert then.verdict == instead.vertical_curve_brings
    assert "vertical_curve_short" not in [reason.code for reason in then.because]


def test_nineteen_millimetres_in_three_hundred_may_be_climbed_by_a_train_of_a_metre() -> (
    None
):
    """19 mm between the ends of 1,000 mm is 1.9 %, wherever the train stands; the climb
    itself is 6.33 %.
    """
    asked = convert(
        {"rise_mm": 19, "run_mm": 300, "train_length_mm": 1000, "limit_percent": 1.9},
        GradientRequest,
    )
    found = reckon(asked)
    assert (found.verdict, found.instead.rise_allowed_mm) == ("good", 19.0)
    assert found.run_needed_mm <= 300
    alone = reckon(msgspec.structs.replace(asked, train_length_mm=None))
    assert (alone.verdict, alone.instead.rise_allowed_mm, alone.run_needed_mm) == (
        "too_steep",
        5.7,
        1000.0,
    )


@pytest.mark.parametrize("needed_mm", [50, 70, 90])
def test_in_a_helix_the_advice_says_where_the_turns_stay_too_low(
    needed_mm: float,
) -> None:
    """Two turns of 500 mm rise 80 mm each: 70 mm clear. A gentler climb in a longer run
    leaves less.
    """
    helix = {
        "radius_mm": 500,
        "deck_mm": 6,
        "track_mm": 4,
        "headroom_needed_mm": needed_mm,
    }
    asked = convert({"rise_mm": 160, "run_mm": 6283.2, "helix": helix}, GradientRequest)
    instead = reckon(asked).instead
    for field, advice_mm, brings in (
        ("run_mm", instead.run_needed_mm, instead.run_needed_brings),
        ("rise_mm", instead.rise_allowed_mm, instead.rise_allowed_brings),
    ):
        then = again(asked, **{field: advice_mm})
        assert then is not None
        assert then.verdict == brings
    assert instead.run_needed_brings == ("good" if needed_mm == 50 else "no_headroom")


@given(tenths(30, 90), tenths(1, 30), tenths(1, 8), st.integers(2, 4))
def test_the_rise_of_a_turn_that_is_advised_clears_the_turns_and_a_tenth_less_does_not(
    needed_mm: float, deck_mm: float, track_mm: float, turns: int
) -> None:
    """Without vertical curves every turn rises alike, so the whole rise is so many
    times one turn's.
    """
    helix = {
        "radius_mm": 500,
        "deck_mm": deck_mm,
        "track_mm": track_mm,
        "headroom_needed_mm": needed_mm,
    }
    asked = convert(
        {"rise_mm": 10, "run_mm": 2 * pi * 500 * turns, "helix": helix}, GradientRequest
    )
    first = reckon(asked).helix
    assert first is not None
    assert first.turn_rise_needed_mm is not None
    for turn_rise_mm, verdict in (
        (first.turn_rise_needed_mm, first.turn_rise_needed_brings),
        (first.turn_rise_needed_mm - STEP_MM, "no_headroom"),
    ):
        then = again(asked, rise_mm=turn_rise_mm * turns)
        assert then is not None
        assert then.helix is not None
        assert then.helix.verdict == verdict
    assert first.turn_rise_needed_brings == "clear"
