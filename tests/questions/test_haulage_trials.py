"""Haulage from a trial on another gradient, and by mass: against trains that are pulled
up a slope, whose engines pull what they pulled in the trial.
"""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standage.questions.haulage import reckon
from standage.questions.haulage_answer import HaulageAnswer
from standage.questions.haulage_load import HaulageRequest
from standage.railway.climbs.haulage import Trial, Way, hauled_from_trial
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty
from support.walks import at_each

Json = dict[str, Any]
ROLLING = [Fraction(percent, 10) for percent in range(8, 21)]
"""From 0.8 to 2.0 % of a vehicle's weight. Common practice, no source."""


def answer(**asked: Any) -> HaulageAnswer:
    return reckon(convert(asked, HaulageRequest))


def faults(**asked: Any) -> set[tuple[str, str | None]]:
    with pytest.raises(Faulty) as refused:
        answer(**asked)
    return {(fault.code, fault.pointer) for fault in refused.value.faults}


@pytest.mark.parametrize(
    ("tried", "vehicles", "there", "hauled"),
    [
        (0, 100, 1, 50),
        (0, 100, 2, 33.3),
        (1, 50, 2, 33.3),
        (2, 30, 0, 90),
        (4, 18, 2, 30),
    ],
)
def test_haulage_falls_as_practitioners_have_found_from_whatever_gradient_it_was_tried_on(
    tried: float, vehicles: float, there: float, hauled: float
) -> None:
    """Source: common practice, of 100 wagons on the level 50 on 1 in 100 and 33 on 1 in
    50 with r of 1 %; the others by the same fraction.
    """
    trial = Trial(vehicles=vehicles, way=Way(gradient_percent=tried))
    found = hauled_from_trial(
        trial, way=Way(gradient_percent=there), rolling_percent=1.0
    )
    assert found == pytest.approx(hauled, abs=0.05)


def test_what_practitioners_have_found_lies_in_the_band_of_a_trial() -> None:
    """Source: common practice, of 100 wagons 30 at 1 in 50 and 20 at 1 in 30."""
    found = answer(trial={"vehicles": 30, "gradient_percent": 2}, gradient_one_in=30)
    assert found.vehicles_fewest is not None
    assert found.vehicles_most is not None
    assert found.vehicles_fewest <= 20 <= found.vehicles_most


@at_each("engines, radius_mm", [(1, None), (2, None), (3, 610), (1, 438)])
def test_a_trial_on_the_very_way_that_is_asked_about_gives_itself(
    engines: int, radius_mm: float | None
) -> None:
    where: Json = {"gradient_percent": 2.7}
    if radius_mm is not None:
        where["radius_mm"] = radius_mm
    about: Json = {"scale": "00", "engines": engines, **where}
    found = answer(trial={"vehicles": 17, **where}, **about, vehicles=17)
    assert (found.vehicles_fewest, found.vehicles_most) == (17, 17)
    assert found.verdict == "hauls"
    assert answer(trial={"vehicles": 17, **where}, **about, vehicles=18).verdict == (
        "does_not_haul"
    )
    by_mass = answer(trial={"mass_g": 812.5, **where}, **about, mass_g=812.5)
    assert (by_mass.mass_fewest_g, by_mass.mass_most_g) == (812.5, 812.5)
    assert (by_mass.verdict, by_mass.vehicles_most) == ("hauls", None)


tenths = st.integers(0, 60).map(lambda tenth: tenth / 10)
trials = st.fixed_dictionaries(
    {
        "trial": st.fixed_dictionaries(
            {
                "vehicles": st.integers(1, 60),
                "gradient_percent": tenths,
                "engines": st.integers(1, 3),
            }
        ),
        "gradient_percent": tenths,
        "curve_drag_percent": st.integers(0, 20).map(lambda tenth: tenth / 10),
        "engines": st.integers(1, 3),
        "vehicles": st.integers(1, 90),
    }
)


def pulled_up(asked: Json, rolling: Fraction) -> bool:
    """Tell whether the train starts: one engine pulled in the trial what held back its
    share of the vehicles, and pulls no more now.
    """
    trial = asked["trial"]
    held_then = rolling + Fraction(str(trial["gradient_percent"]))
    one_pulls = trial["vehicles"] * held_then / trial["engines"]
    held_now = (
        rolling
        + Fraction(str(asked["gradient_percent"]))
        + Fraction(str(asked["curve_drag_percent"]))
    )
    held_back = sum([held_now] * asked["vehicles"])
    return bool(held_back <= asked["engines"] * one_pulls)


def simulated(asked: Json) -> str:
    started = [pulled_up(asked, rolling) for rolling in ROLLING]
    if all(started):
        return "hauls"
    return "marginal" if any(started) else "does_not_haul"


@given(trials)
def test_a_train_that_is_pulled_up_agrees_with_the_verdict_however_stiff_its_stock(
    asked: Json,
) -> None:
    assert answer(**asked).verdict == simulated(asked)


@given(trials)
def test_advice_turns_the_verdict_when_it_is_asked_again(asked: Json) -> None:
    instead = answer(**asked).instead
    assert instead is not None
    if instead.vehicles:
        again = answer(**asked | {"vehicles": instead.vehicles})
        assert again.verdict == instead.vehicles_brings == "hauls"
    if instead.engines is not None:
        again = answer(**asked | {"engines": instead.engines})
        assert again.verdict == instead.engines_brings == "hauls"
    percent = instead.gradient_percent
    if percent is not None:
        assert percent <= 4
        again = answer(**asked | {"gradient_percent": percent})
        assert again.verdict == instead.gradient_brings == "hauls"
        steeper = answer(**asked | {"gradient_percent": percent + 0.01})
        assert percent == 4 or steeper.verdict != "hauls"


@given(trials, tenths, st.integers(1, 60))
def test_steeper_hauls_no_more_and_a_better_trial_no_less(
    asked: Json, percent: float, vehicles: int
) -> None:
    def most(**more: Any) -> tuple[int, int]:
        found = answer(**asked | more)
        assert found.vehicles_fewest is not None
        assert found.vehicles_most is not None
        return found.vehicles_fewest, found.vehicles_most

    steeper = max(percent, asked["gradient_percent"])
    assert most(gradient_percent=steeper) <= most()
    trial = asked["trial"]
    better = trial | {"vehicles": max(vehicles, trial["vehicles"])}
    assert most(trial=better) >= most()
    steeper_trial = trial | {
        "gradient_percent": max(percent, trial["gradient_percent"])
    }
    assert most(trial=steeper_trial) >= most()


@given(
    st.integers(1, 60),
    tenths,
    tenths,
    st.sampled_from(ROLLING),
    st.integers(0, 10).map(lambda tenth: tenth / 10),
)
def test_there_and_back_again_a_trial_gives_itself(
    vehicles: int, there: float, here: float, rolling: Fraction, drag: float
) -> None:
    ways = [Way(gradient_percent=there, curve_drag_percent=drag)]
    ways.append(Way(gradient_percent=here))
    rolling_percent = float(rolling)
    tried = Trial(vehicles=vehicles, way=ways[0])
    carried = hauled_from_trial(tried, way=ways[1], rolling_percent=rolling_percent)
    back = Trial(vehicles=carried, way=ways[1])
    found = hauled_from_trial(back, way=ways[0], rolling_percent=rolling_percent)
    assert found == pytest.approx(vehicles)


def test_a_mass_is_carried_over_by_the_same_fraction() -> None:
    """1200 g up 1 % are 1200 × 1.8 ÷ 2.8 to 1200 × 3 ÷ 4 up 2 %."""
    found = answer(trial={"mass_g": 1200, "gradient_percent": 1}, gradient_percent=2)
    assert found.mass_fewest_g == pytest.approx(1200 * 1.8 / 2.8, abs=1e-6)
    assert found.mass_most_g == 900
    assert (found.verdict, found.vehicles_fewest, found.instead) == (
        "hauls",
        None,
        None,
    )
    assert found.because[0].message == (
        "one engine hauls between 771.4 g and 900 g up 2.00 % (1 in 50), as stiffly or"
        " freely as the vehicles run"
    )


@pytest.mark.parametrize(
    "strength",
    [
        {"trial": {"mass_g": 1200, "gradient_percent": 1}},
        {"trial": {"vehicles": 24, "gradient_percent": 1}, "vehicle_mass_g": 50},
        {"vehicles_on_level": 54, "vehicle_mass_g": 50},
        {"drawbar_pull_g": 40, "engine_mass_g": 400},
    ],
)
def test_a_train_asked_for_by_its_mass_is_judged_and_advised_by_mass(
    strength: Json,
) -> None:
    about: Json = {"gradient_percent": 2, **strength}
    band = answer(**about, mass_g=1)
    assert band.mass_fewest_g is not None
    assert band.mass_most_g is not None
    for mass_g, verdict in (
        (band.mass_fewest_g - 1, "hauls"),
        (band.mass_fewest_g + 1, "marginal"),
        (band.mass_most_g - 1, "marginal"),
        (band.mass_most_g + 1, "does_not_haul"),
    ):
        found = answer(**about, mass_g=mass_g)
        assert found.verdict == verdict
        assert found.instead is None
        advice = found.instead_by_mass
        assert advice is not None
        again = answer(**about, mass_g=advice.mass_g)
        assert again.verdict == advice.mass_brings == "hauls"
        assert advice.gradient_percent is not None
        milder = about | {"gradient_percent": advice.gradient_percent}
        assert answer(**milder, mass_g=mass_g).verdict == "hauls"


def test_a_mass_and_a_number_say_together_what_a_vehicle_weighs() -> None:
    """12 of 600 g are 50 g each: 1200 g in the trial were 24."""
    about: Json = {"gradient_percent": 1, "vehicles": 12, "mass_g": 600}
    found = answer(trial={"mass_g": 1200, "gradient_percent": 1}, **about)
    assert (found.vehicles_fewest, found.vehicles_most) == (24, 24)
    assert (found.mass_fewest_g, found.verdict) == (1200, "hauls")
    by_number = answer(trial={"vehicles": 24, "gradient_percent": 1}, **about)
    assert (by_number.vehicles_most, by_number.mass_most_g) == (24, 1200)


def test_by_its_pull_an_engine_hauls_grams_whatever_a_vehicle_weighs() -> None:
    """60 g of pull less 2 % of 400 g leave 52 g, for 2.8 to 4 % of the train."""
    found = answer(
        drawbar_pull_g=60, engine_mass_g=400, gradient_percent=2, mass_g=1300
    )
    assert found.verdict == "hauls"
    assert found.mass_fewest_g == 1300
    assert found.mass_most_g == pytest.approx(52 / 0.028)


@pytest.mark.parametrize(
    "asked",
    [
        {"trial": {"mass_g": 900, "gradient_percent": 1}, "vehicles": 4},
        {"trial": {"vehicles": 9, "gradient_percent": 1}, "mass_g": 400},
        {"vehicles_on_level": 9, "mass_g": 400},
        {"drawbar_pull_g": 30, "engine_mass_g": 300},
    ],
)
def test_between_a_number_and_a_mass_a_vehicle_must_be_weighed(asked: Json) -> None:
    found = answer(gradient_percent=1, **asked)
    assert (found.verdict, found.instead, found.instead_by_mass) == (
        "cannot_tell",
        None,
        None,
    )
    assert [one.field for one in found.because] == ["vehicle_mass_g"]


def test_beside_a_trial_by_mass_what_is_advised_is_taken_and_answers() -> None:
    """A trial and a number on the level are one or the other."""
    asked: Json = {"trial": {"mass_g": 900, "gradient_percent": 1}, "vehicles": 4}
    (lack,) = answer(gradient_percent=1, **asked).because
    assert "weigh together" in lack.message
    assert "on the level" not in lack.message
    assert answer(gradient_percent=1, **asked, mass_g=900).verdict == "hauls"


def test_with_how_many_engines_it_was_tried_is_told_and_decides() -> None:
    """24 by two engines: one hauls 12."""
    trial = {"vehicles": 24, "gradient_percent": 2}
    unsaid = answer(trial=trial, gradient_percent=2, engines=2, vehicles=30)
    assert unsaid.vehicles_most == 24
    assert "trial/engines" in {one.field for one in unsaid.assumed}
    assert unsaid.instead is not None
    assert unsaid.instead.engines is None
    said = answer(trial=trial | {"engines": 2}, gradient_percent=2, vehicles=30)
    assert said.vehicles_most == 12
    assert said.instead is not None
    assert said.instead.engines == 3


def test_the_drag_of_the_trial_s_curve_is_told() -> None:
    """R 610 in 00 is 152.5 ft, 37.57 degrees in 100 ft of it: 1.503 % (AREA as quoted)."""
    trial = {"vehicles": 9, "gradient_percent": 2, "radius_mm": 610}
    found = answer(trial=trial, gradient_percent=2, scale="00")
    told = {one.field: one.value_percent for one in found.assumed}
    assert told["trial/radius_mm"] == pytest.approx(0.04 * 5729.578 / 152.5, rel=1e-4)


def test_only_beyond_the_gradient_of_the_trial_is_the_engine_s_weight_left_out() -> (
    None
):
    def codes(percent: float) -> list[str]:
        trial = {"vehicles": 9, "gradient_percent": 2}
        found = answer(trial=trial, gradient_percent=percent)
        return [one.code for one in found.cautions]

    assert "engine_weight_left_out" in codes(2.1)
    assert "engine_weight_left_out" not in codes(2)
    assert "engine_weight_left_out" not in codes(1)


@pytest.mark.parametrize(
    ("asked", "refused"),
    [
        ({"trial": {"gradient_percent": 1}}, ("one_or_the_other", "/trial/vehicles")),
        (
            {"trial": {"gradient_percent": 1, "vehicles": 3, "mass_g": 9}},
            ("one_or_the_other", "/trial/vehicles"),
        ),
        ({"trial": {"vehicles": 3}}, ("missing", "/trial/gradient_percent")),
        (
            {"trial": {"vehicles": 3, "gradient_percent": 1, "radius_mm": 600}},
            ("missing", "/scale"),
        ),
        (
            {
                "trial": {"vehicles": 3, "gradient_percent": 1},
                "vehicles_on_level": 4,
            },
            ("one_or_the_other", "/trial"),
        ),
        (
            {"trial": {"vehicles": 3, "gradient_percent": 1}, "engine_mass_g": 300},
            ("one_or_the_other", "/engine_mass_g"),
        ),
        (
            {
                "trial": {"mass_g": 300, "gradient_percent": 1},
                "vehicles": 3,
                "mass_g": 100,
                "vehicle_mass_g": 40,
            },
            ("one_or_the_other", "/vehicle_mass_g"),
        ),
        (
            {"vehicles_on_level": 9, "vehicle_mass_g": 40},
            ("one_or_the_other", "/vehicle_mass_g"),
        ),
    ],
)
def test_what_contradicts_or_is_missing_is_refused_at_its_place(
    asked: Json, refused: tuple[str, str]
) -> None:
    assert refused in faults(gradient_percent=2, **asked)


@at_each("least_g, most_g", [(0.1, 1e6), (1e6, 0.1), (0.1, 0.1)])
def test_no_mass_however_small_or_large_ends_in_nonsense(
    least_g: float, most_g: float
) -> None:
    trial = {"mass_g": least_g, "gradient_percent": 100}
    found = answer(trial=trial, gradient_percent=0, mass_g=most_g, engines=20)
    assert found.mass_most_g is not None
    assert 0 < found.mass_most_g < 1e12
    assert found.instead_by_mass is not None
    assert found.instead_by_mass.mass_g <= 1e6
