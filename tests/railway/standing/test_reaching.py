"""Standing in a place and reaching it are two answers, side by side, in every question
that asks of both.
"""

from typing import Any

import pytest

from standage.railway.curving.verdicts import CurveVerdict
from standage.railway.roads.allowances import GIVEN
from standage.railway.roads.places import Place
from standage.railway.standing.crosswise import Crosswise
from standage.railway.standing.verdicts import FitVerdict, verdict_of_both
from standage.railway.stock.couplings import CouplingTypes
from standage.railway.stock.trains import Train
from standage.railway.stock.vehicles import Standing
from support.stock import ask, codes, plain, road

TABLE: list[tuple[FitVerdict, CurveVerdict, FitVerdict]] = [
    ("fits", "runs", "fits"),
    ("fits", "marginal", "fits"),
    ("fits", "cannot_tell", "fits"),
    ("fits", "does_not_run", "does_not_fit"),
    ("tight", "runs", "tight"),
    ("tight", "marginal", "tight"),
    ("tight", "cannot_tell", "tight"),
    ("tight", "does_not_run", "does_not_fit"),
    ("cannot_tell", "runs", "cannot_tell"),
    ("cannot_tell", "marginal", "cannot_tell"),
    ("cannot_tell", "cannot_tell", "cannot_tell"),
    ("cannot_tell", "does_not_run", "does_not_fit"),
    ("does_not_fit", "runs", "does_not_fit"),
    ("does_not_fit", "marginal", "does_not_fit"),
    ("does_not_fit", "cannot_tell", "does_not_fit"),
    ("does_not_fit", "does_not_run", "does_not_fit"),
]
"""Standing, reaching, and what they come to: a certain no of either decides, else
standing does.
"""

ON_THE_WAY: dict[CurveVerdict, dict[str, Any]] = {
    "runs": {"minimum_radius_mm": 370.0},
    "marginal": {},
    "cannot_tell": {"kind": "engine"},
    "does_not_run": {"minimum_radius_mm": 438.0},
}
"""A vehicle of 150 mm on the way round 370 mm: 370 ÷ 150 is 2.47, less than most stock
takes.
"""
ROOMS: dict[FitVerdict, float | None] = {
    "fits": 1000.0,
    "tight": 149.0,
    "cannot_tell": None,
    "does_not_fit": 100.0,
}
"""Usable lengths, each ± 5 mm, for a train of 150 mm."""


def both(standing: FitVerdict, reaching: CurveVerdict) -> tuple[Standing, Place]:
    vehicle = plain("It", 150.0, **ON_THE_WAY[reaching])
    return vehicle, road(
        ROOMS[standing], plus_minus_mm=5.0, minimum_radius_mm=370.0, name="Loop"
    )


@pytest.mark.parametrize(("standing", "reaching", "verdict"), TABLE)
def test_a_certain_no_of_either_decides_and_else_what_is_found_of_standing(
    standing: FitVerdict, reaching: CurveVerdict, verdict: FitVerdict
) -> None:
    assert verdict_of_both(standing, reaching) == verdict
    vehicle, place = both(standing, reaching)
    answer = ask(vehicle, place=place)
    assert (answer.standing, answer.reaching, answer.verdict) == (
        standing,
        reaching,
        verdict,
    )


@pytest.mark.parametrize(("standing", "reaching", "verdict"), TABLE)
def test_a_pair_of_many_is_answered_as_one_by_itself(
    standing: FitVerdict, reaching: CurveVerdict, verdict: FitVerdict
) -> None:
    vehicle, place = both(standing, reaching)
    pairs = Crosswise(
        [Train(vehicles=(vehicle,))], [place], known_by=[GIVEN], types=CouplingTypes()
    )
    paired = pairs.pair(0, 0)
    assert (paired.standing, paired.reaching, paired.verdict) == (
        standing,
        reaching,
        verdict,
    )
    assert (pairs.standing(0, 0), pairs.reaching(0, 0), pairs.verdict(0, 0)) == (
        standing,
        reaching,
        verdict,
    )


def test_an_engine_without_a_stated_radius_stands_all_the_same_and_is_asked_for_it() -> (
    None
):
    engine, wagons = (
        plain("Heron", 200.0, kind="engine"),
        plain("Van", 100.0, minimum_radius_mm=300.0, count=3),
    )
    answer = ask(engine, wagons, place=road(500.0, minimum_radius_mm=438.0))
    assert (answer.verdict, answer.standing, answer.reaching) == (
        "fits",
        "fits",
        "cannot_tell",
    )
    assert codes(answer) == ["missing_figure", "stands_clear"]
    assert (answer.because[0].vehicle, answer.because[0].field) == (
        "Heron",
        "minimum_radius_mm",
    )
    assert answer.instead.drop == ()


@pytest.mark.parametrize(
    ("place", "figures", "reaching"),
    [
        ({"headroom_mm": 60.0}, {"height_mm": None}, "cannot_tell"),
        ({"headroom_mm": 60.0}, {"height_mm": 60.0}, "runs"),
        ({"headroom_mm": 60.0}, {"height_mm": 60.1}, "does_not_run"),
        ({"wheels": "NEM 311"}, {"wheels": "RP-25"}, "cannot_tell"),
        ({"gauge_mm": 9.0}, {"gauge_mm": 12.0}, "does_not_run"),
        ({"scale": "N"}, {"scale": "N British"}, "runs"),
    ],
)
def test_gauge_wheels_and_headroom_are_of_the_way_there_too(
    place: dict[str, Any], figures: dict[str, Any], reaching: CurveVerdict
) -> None:
    answer = ask(
        plain("Van", 100.0, minimum_radius_mm=300.0, **figures),
        place=road(minimum_radius_mm=438.0, **place),
    )
    assert (answer.standing, answer.reaching) == ("fits", reaching)
    assert answer.verdict == ("does_not_fit" if reaching == "does_not_run" else "fits")


def test_where_the_road_says_nothing_of_its_curves_nobody_can_tell_of_reaching_it() -> (
    None
):
    answer = ask(plain("Van", 100.0, minimum_radius_mm=300.0), place=road())
    assert (answer.verdict, answer.standing, answer.reaching) == (
        "fits",
        "fits",
        "cannot_tell",
    )
    assert "minimum_radius_mm" in answer.not_compared
    assert codes(answer) == ["stands_clear"]
    tall = ask(plain("Tall", 100.0, height_mm=90.0), place=road(headroom_mm=80.0))
    assert (tall.standing, tall.reaching, tall.verdict) == (
        "fits",
        "does_not_run",
        "does_not_fit",
    )


def test_the_worst_vehicle_says_whether_the_train_gets_there() -> None:
    bend = road(1000.0, minimum_radius_mm=370.0)
    runs, marginal, unknown, barred = (
        plain(name, 150.0, **figures) for name, figures in ON_THE_WAY.items()
    )
    assert ask(runs, marginal, place=bend).reaching == "marginal"
    assert ask(marginal, unknown, runs, place=bend).reaching == "cannot_tell"
    assert ask(unknown, barred, marginal, place=bend).reaching == "does_not_run"


def test_only_what_does_not_run_for_certain_is_left_off() -> None:
    bend = road(420.0, minimum_radius_mm=400.0)
    unknown = plain("Unknown", 100.0, rigid_axles=3)
    barred = plain("Wide", 100.0, minimum_radius_mm=438.0)
    train = (plain("Heron", 200.0, kind="engine"), unknown, barred)
    answer = ask(*train, place=bend)
    assert (answer.verdict, answer.standing, answer.instead.drop) == (
        "does_not_fit",
        "fits",
        ("Wide",),
    )
    assert ask(*train[:2], place=bend).verdict == "fits"
