"""Whether engines take a train up over a route, and what would do."""

from typing import Any

import pytest

from standage.questions.climb_answer import ClimbAnswer
from support.asked_climbs import asked, over
from support.climbing import Peg, row

Json = dict[str, Any]


def test_practice_finds_thirty_of_a_hundred_left_at_one_in_fifty() -> None:
    """Source: common practice. 40 mm in 2,000, and a train of 900 mm all on it."""
    one = row([500, 2000, 500], [Peg(500, 0.0), Peg(2500, 40.0)])
    level = {"vehicles_on_level": 100, "vehicles": 30}
    answer = over(one, 900, haulage=level)
    assert answer.worst is not None
    assert answer.worst.one_in == 50
    assert answer.haulage is not None
    assert answer.haulage.vehicles_fewest <= 30 <= answer.haulage.vehicles_most
    # 100 × 0.8 ÷ 2.8 and 100 × 2 ÷ 4
    told = (answer.haulage.vehicles_fewest, answer.haulage.vehicles_most)
    assert told == (28, 50)


STEEP = row([500, 2000, 500], [Peg(500, 0.0), Peg(2500, 60.0)])
"""3 %: of so many on the level 0.8 ÷ 3.8 to 2 ÷ 5 are left."""


@pytest.mark.parametrize(
    ("vehicles", "verdict"),
    [(8, "climbs"), (9, "marginal"), (16, "marginal"), (17, "does_not_climb")],
)
def test_the_verdict_says_where_in_the_band_the_train_lies(
    vehicles: int, verdict: str
) -> None:
    """Of 40 on the level 8.4 to 16 are left."""
    haulage = {"vehicles_on_level": 40, "vehicles": vehicles}
    assert over(STEEP, 400, haulage=haulage).verdict == verdict


def test_fewer_vehicles_and_more_engines_turn_the_verdict_when_asked_again() -> None:
    haulage = {"vehicles_on_level": 40, "vehicles": 20}
    answer = over(STEEP, 1700, haulage=haulage)
    assert answer.verdict == "does_not_climb"
    off = answer.vehicles_off
    assert off is not None
    reasons = {one.code: one for one in answer.because}
    shorter_mm = reasons["vehicles_off"].value_mm
    assert shorter_mm is not None
    assert reasons["vehicles_off"].brings == "climbs"
    fewer = haulage | {"vehicles": 20 - off}
    assert over(STEEP, shorter_mm, haulage=fewer).verdict == "climbs"
    # one more is one too many, at the length that it then has
    each_mm = (1700 - shorter_mm) / off
    one_more = haulage | {"vehicles": 21 - off}
    assert over(STEEP, shorter_mm + each_mm, haulage=one_more).verdict != "climbs"
    engines = answer.engines_needed
    assert engines == 3
    assert over(STEEP, 1700, haulage=haulage | {"engines": 3}).verdict == "climbs"
    assert over(STEEP, 1700, haulage=haulage | {"engines": 2}).verdict != "climbs"


def vehicle(name: str, kind: str, length_mm: float, **more: Any) -> Json:
    over_what = {"length_over": "couplings", "length_plus_minus_mm": 0}
    return {"name": name, "kind": kind, "length_mm": length_mm, **over_what, **more}


ENGINE = vehicle("Harbour tank", "engine", 150.0)
WAGONS = vehicle("Coal wagon", "wagon", 80.0, count=9)
BRAKE = vehicle("Brake van", "brake_van", 90.0)
LONG = row([900, 2000, 1500], [Peg(900, 0.0), Peg(2900, 60.0)])


def trained(*vehicles: Json, **haulage: Any) -> ClimbAnswer:
    more: Json = {"haulage": haulage} if haulage else {}
    return over(LONG, 1, ends="ab", train={"vehicles": list(vehicles)}, **more)


def test_neither_engine_nor_brake_van_comes_off() -> None:
    """3 % of 20: 4.2 to 8 of them; the nine wagons and the brake van are ten."""
    answer = trained(ENGINE, WAGONS, BRAKE, vehicles_on_level=20)
    assert answer.haulage is not None
    assert answer.haulage.vehicles == 10
    assert answer.verdict == "does_not_climb"
    assert answer.vehicles_off == 6
    three = trained(ENGINE, WAGONS | {"count": 3}, BRAKE, vehicles_on_level=20)
    assert three.verdict == "climbs"
    four = trained(ENGINE, WAGONS | {"count": 4}, BRAKE, vehicles_on_level=20)
    assert four.verdict == "marginal"
    # of three one is hauled for certain; without the wagon there are still two
    brakes = trained(ENGINE, WAGONS | {"count": 1}, BRAKE, BRAKE, vehicles_on_level=6)
    assert (brakes.verdict, brakes.vehicles_off) == ("does_not_climb", None)
    hopeless = trained(ENGINE, BRAKE, vehicles_on_level=2)
    assert (hopeless.verdict, hopeless.vehicles_off) == ("does_not_climb", None)


def test_the_engines_of_the_train_haul_together() -> None:
    two = trained(ENGINE, ENGINE, WAGONS, BRAKE, vehicles_on_level=20)
    assert two.haulage is not None
    assert two.haulage.engines == 2
    # 8.4 to 16
    assert (two.haulage.vehicles_fewest, two.haulage.vehicles_most) == (8, 16)
    assert two.verdict == "marginal"


def test_a_pull_takes_the_masses_of_the_train_itself() -> None:
    """50 g of pull, 300 g of engine on 3 %: 41 g are left, and a wagon of 40 g needs
    0.4 × 5 g to 0.4 × 3.8 g: 20 to 26.
    """
    engine = ENGINE | {"mass_g": 300}
    wagons = WAGONS | {"mass_g": 40, "count": 20}
    answer = trained(engine, wagons, drawbar_pull_g=50)
    assert answer.haulage is not None
    assert (answer.haulage.vehicles_fewest, answer.haulage.vehicles_most) == (20, 26)
    assert answer.verdict == "climbs"
    unweighed = trained(ENGINE, wagons, drawbar_pull_g=50)
    assert unweighed.verdict == "cannot_tell"
    assert unweighed.because[0].field == "engine_mass_g"
    assert unweighed.worst is not None


@pytest.mark.parametrize(
    ("trial", "band"),
    [
        # 12 at 3 % stay 12 at 3 %, however the stock runs
        ({"vehicles": 12, "gradient_percent": 3.0}, (12, 12)),
        # 12 at 1 %: 12 × 1.8 ÷ 3.8 to 12 × 3 ÷ 5
        ({"vehicles": 12, "gradient_percent": 1.0}, (5, 7)),
        # the same by two engines, and by weight
        ({"vehicles": 24, "engines": 2, "gradient_percent": 1.0}, (5, 7)),
        ({"mass_g": 480, "gradient_percent": 1.0}, (5, 7)),
    ],
)
def test_a_trial_on_another_gradient_is_carried_over(
    trial: Json, band: tuple[int, int]
) -> None:
    wagons = WAGONS | {"mass_g": 40}
    answer = trained(ENGINE, wagons, trial=trial)
    assert answer.haulage is not None
    assert (answer.haulage.vehicles_fewest, answer.haulage.vehicles_most) == band


def test_without_the_engine_s_strength_only_what_is_felt_is_told() -> None:
    answer = trained(ENGINE, WAGONS, BRAKE)
    assert (answer.verdict, answer.haulage) == ("cannot_tell", None)
    assert answer.worst is not None
    assert answer.worst.percent == 3.0
    assert answer.because[0].field == "haulage"


CURVED: Json = {
    "scale": "00",
    "pieces": {
        "A": {"kind": "straight", "length_mm": 1000},
        "C": {"kind": "curve", "radius_mm": 700, "length_mm": 600, "hand": "left"},
        "D": {"kind": "straight", "length_mm": 1000},
    },
    "joins": [["A.b", "C.a"], ["C.b", "D.a"]],
    "heights": [{"piece": "C", "at_mm": 0, "height_mm": 0}],
    "places": [
        {"name": "West", "stretch": [{"piece": "A", "from_mm": 0, "to_mm": 1000}]},
        {"name": "East", "stretch": [{"piece": "D", "from_mm": 0, "to_mm": 1000}]},
    ],
}


@pytest.mark.parametrize(
    ("train_mm", "on_it_mm"), [(400, 400), (600, 600), (1500, 600)]
)
def test_curves_drag_by_how_much_of_the_train_is_on_them(
    train_mm: float, on_it_mm: float
) -> None:
    """700 mm in 00 is 53.34 m, 175 ft: 5,729.58 ft ÷ 175 ft degrees, 0.04 % each."""
    answer = asked(
        {
            "plan": CURVED,
            "train": {"length_mm": train_mm},
            "route": ["West", "East"],
            "haulage": {"vehicles_on_level": 100},
        }
    )
    assert answer.haulage is not None
    whole_percent = 0.04 * 5729.578 / 175
    drag = whole_percent * on_it_mm / train_mm
    assert answer.haulage.curve_drag_percent == pytest.approx(drag, abs=1e-5)
    assert answer.haulage.gradient_percent == 0
    assert answer.haulage.vehicles_fewest == int(100 * 0.8 / (0.8 + drag))


def test_without_a_scale_no_curve_drags_and_that_is_said() -> None:
    plan = {name: value for name, value in CURVED.items() if name != "scale"}
    plan["fouling_spacing_mm"] = 45
    body = {"plan": plan, "train": {"length_mm": 400}, "route": ["West", "East"]}
    strength = {"vehicles_on_level": 100}
    answer = asked({**body, "haulage": strength})
    assert answer.haulage is not None
    assert answer.haulage.curve_drag_percent == 0
    assert "scale" in {one.field for one in answer.assumed}
    said = asked({**body, "haulage": strength | {"scale": "00"}})
    assert said.haulage is not None
    assert said.haulage.curve_drag_percent > 1


def test_downhill_nothing_is_won_and_the_way_down_is_cautioned() -> None:
    answer = over(
        STEEP, 400, ends="ba", haulage={"vehicles_on_level": 40, "vehicles": 40}
    )
    assert answer.worst is not None
    assert (answer.worst.percent, answer.worst.one_in) == (0.0, None)
    assert answer.verdict == "climbs"
    codes = [one.code for one in answer.cautions]
    assert "steeper_down" in codes
    assert "steeper_down" not in [one.code for one in over(STEEP, 400).cautions]


def test_advised_engines_are_said_to_leave_the_length_and_to_have_to_match() -> None:
    def told(vehicles: int) -> tuple[bool, bool]:
        haulage = {"vehicles_on_level": 40, "vehicles": vehicles}
        answer = over(STEEP, 400, haulage=haulage)
        fields = {one.field for one in answer.assumed}
        cautions = {one.code for one in answer.cautions}
        return "engines_needed" in fields, "engines_must_match" in cautions

    assert told(8) == (False, False)
    assert told(20) == (True, True)


def test_where_nothing_helps_that_is_said() -> None:
    """A pull of 1 g does not lift an engine of 300 g up 3 %: that takes 9 g."""
    masses = {"engine_mass_g": 300, "vehicle_mass_g": 40, "vehicles": 5}
    weak = over(STEEP, 400, haulage={"drawbar_pull_g": 1, **masses})
    assert (weak.vehicles_off, weak.engines_needed) == (None, None)
    assert "nothing_helps" in {one.code for one in weak.because}
    # 20 g lift it and two vehicles of at most 40 g × 5 %
    strong = over(STEEP, 400, haulage={"drawbar_pull_g": 20, **masses})
    assert strong.vehicles_off is not None
    assert "nothing_helps" not in {one.code for one in strong.because}


def test_a_number_of_vehicles_beside_another_train_is_said_to_count() -> None:
    def said(vehicles: int) -> list[str]:
        answer = trained(ENGINE, WAGONS, vehicles_on_level=40, vehicles=vehicles)
        return [
            one.message for one in answer.assumed if one.field == "haulage/vehicles"
        ]

    assert said(9) == []
    (message,) = said(20)
    assert "9 vehicles" in message
    assert "says 20" in message


def test_vehicles_of_a_light_engine_have_no_length_to_lose() -> None:
    light = {"length_mm": 180, "engine_length_mm": 180}
    haulage = {"vehicles_on_level": 40, "vehicles": 20}
    answer = over(STEEP, 180, train=light, haulage=haulage)
    (said,) = [one.message for one in answer.assumed if one.field == "vehicles_off"]
    assert "all of the train's length is its engine" in said


@pytest.mark.parametrize(
    ("vehicles", "engines", "said"),
    [
        ([ENGINE, WAGONS], {}, []),
        ([ENGINE, WAGONS], {"engines": 2}, ["2 engines are taken", "itself has 1"]),
        ([WAGONS], {}, ["1 engine is taken", "itself has 0"]),
        ([vehicle("Unit", "multiple_unit_car", 200.0, count=2), WAGONS], {}, []),
    ],
)
def test_other_engines_than_the_train_has_are_said_to_leave_its_length(
    vehicles: list[Json], engines: Json, said: list[str]
) -> None:
    answer = trained(*vehicles, vehicles_on_level=40, **engines)
    told = [one.message for one in answer.assumed if one.field == "haulage/engines"]
    assert len(told) == bool(said)
    for words in said:
        assert words in told[0]


def test_a_trace_of_a_rise_is_told_as_none() -> None:
    """0.04 mm in 2,000 mm: 0.002 %."""
    one = row([500, 2000, 500], [Peg(500, 0.0), Peg(2500, 0.04)])
    answer = over(one, 900, haulage={"vehicles_on_level": 40, "vehicles": 20})
    said = " ".join(reason.message for reason in answer.because)
    assert "0.00 %" not in said
    assert "on the level" in said
    assert "more than a trace" in said
