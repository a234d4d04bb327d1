"""The haulage question as it is asked over the wire, without the wire."""

import pytest

from standage.questions.haulage import reckon
from standage.questions.haulage_answer import HaulageAnswer
from standage.questions.haulage_load import HaulageRequest
from standage.shapes.decoding import convert
from standage.shapes.faults import Faulty


def answer(**asked: object) -> HaulageAnswer:
    return reckon(convert(asked, HaulageRequest))


PULL = {
    "drawbar_pull_g": 60,
    "engine_mass_g": 400,
    "vehicle_mass_g": 100,
    "gradient_percent": 2,
}


def test_haulage_is_a_band_that_holds_what_practitioners_have_found() -> None:
    for asked, band in (
        ({"gradient_percent": 1}, (44, 66)),
        ({"gradient_one_in": 50}, (28, 50)),
        ({"gradient_percent": 2.5}, (24, 44)),
    ):
        found = answer(vehicles_on_level=100, **asked)
        assert (found.vehicles_fewest, found.vehicles_most) == band
        assert found.rolling_resistance_percent == (0.8, 2.0)


@pytest.mark.parametrize(
    ("vehicles", "engines", "verdict"),
    [
        (28, 1, "hauls"),
        (29, 1, "marginal"),
        (50, 1, "marginal"),
        (51, 1, "does_not_haul"),
        (57, 2, "hauls"),
        (None, 1, "hauls"),
    ],
)
def test_the_verdict_says_where_in_the_band_the_train_lies(
    vehicles: int | None, engines: int, verdict: str
) -> None:
    found = answer(
        vehicles_on_level=100, gradient_percent=2, vehicles=vehicles, engines=engines
    )
    assert found.verdict == verdict


def test_engines_needed_are_a_band_too() -> None:
    found = answer(vehicles_on_level=100, gradient_percent=2, vehicles=100)
    assert (found.engines_needed_fewest, found.engines_needed_most) == (2, 4)


def test_from_a_measured_pull_the_engine_s_own_weight_is_taken_off() -> None:
    found = answer(**PULL)
    assert (found.vehicles_fewest, found.vehicles_most) == (13, 18)
    assert "engine_weight_left_out" not in [caution.code for caution in found.cautions]


def test_an_engine_that_cannot_lift_itself_hauls_nothing_however_many_there_are() -> (
    None
):
    found = answer(**{**PULL, "gradient_percent": 20})
    assert (found.verdict, found.vehicles_most, found.engines_needed_fewest) == (
        "does_not_haul",
        0,
        None,
    )
    assert found.instead is not None
    assert (found.instead.engines, found.instead.vehicles) == (None, 0)


def test_an_engine_that_nobody_weighed_is_named_and_nothing_made_up() -> None:
    found = answer(drawbar_pull_g=60, vehicle_mass_g=100, gradient_percent=2)
    assert (found.verdict, found.vehicles_fewest, found.engines_needed_most) == (
        "cannot_tell",
        None,
        None,
    )
    assert [(reason.code, reason.field) for reason in found.because] == [
        ("mass_unknown", "engine_mass_g")
    ]
    assert found.instead is None


def test_on_the_level_an_engine_s_mass_does_not_matter() -> None:
    assert (
        answer(
            drawbar_pull_g=60, vehicle_mass_g=100, gradient_percent=0
        ).vehicles_fewest
        == 30
    )


def test_without_the_engine_s_mass_no_steepest_gradient_is_promised() -> None:
    """60 g less 2 % of twenty 40 g vehicles is 44 g, which lifts 800 g of train and 400
    g of engine up 3.67 %.
    """
    unweighed = answer(
        drawbar_pull_g=60, vehicle_mass_g=40, gradient_percent=0, vehicles=20
    ).instead
    assert unweighed is not None
    assert (unweighed.vehicles, unweighed.gradient_percent) == (75, None)
    weighed = answer(
        drawbar_pull_g=60,
        vehicle_mass_g=40,
        gradient_percent=0,
        vehicles=20,
        engine_mass_g=400,
    ).instead
    assert weighed is not None
    assert weighed.gradient_percent == pytest.approx(100 * 44 / 1200, abs=1.1e-6)


def test_what_the_curve_costs_the_engine_itself_is_said_to_be_left_out() -> None:
    def codes(**asked: object) -> list[str]:
        return [caution.code for caution in answer(**asked).cautions]

    assert "engine_drag_left_out" in codes(**PULL, curve_drag_percent=2)
    assert "engine_drag_left_out" not in codes(**PULL)
    assert "engine_drag_left_out" in codes(
        vehicles_on_level=9, gradient_percent=0, radius_mm=438, scale="00"
    )


def test_a_vehicle_that_nobody_weighed_is_taken_to_weigh_what_is_recommended_and_it_is_said() -> (
    None
):
    asked = {
        "drawbar_pull_g": 60,
        "engine_mass_g": 400,
        "gradient_percent": 2,
        "vehicle_body_length_mm": 152.4,
    }
    found = answer(**asked, scale="HO")
    assert (found.vehicles_fewest, found.vehicles_most) == (
        int(52 / 113.398 / 0.04),
        int(52 / 113.398 / 0.028),
    )
    assert ("vehicle_mass_g", "113.4") in [
        (assumed.field, assumed.value) for assumed in found.assumed
    ]
    for unknown in ({}, {"scale": "00"}):
        assert [reason.field for reason in answer(**asked, **unknown).because] == [
            "vehicle_mass_g"
        ]


def test_a_curve_on_the_gradient_drags_and_it_is_said_how_much() -> None:
    found = answer(vehicles_on_level=100, gradient_percent=2, radius_mm=600, scale="H0")
    assert found.curve_drag_percent == pytest.approx(
        0.04 * 5729.578 / (600 * 87 / 304.8), rel=1e-6
    )
    assert (found.vehicles_fewest, found.vehicles_most) == (
        int(80 / 4.138),
        int(200 / 5.338),
    )
    assert [
        assumed.source
        for assumed in found.assumed
        if assumed.field == "curve_drag_percent"
    ] == ["scaled"]
    given = answer(vehicles_on_level=100, gradient_percent=2, curve_drag_percent=1)
    assert (given.vehicles_fewest, given.vehicles_most) == (21, 40)
    assert "curve_drag_percent" not in [assumed.field for assumed in given.assumed]


def test_what_would_do_for_certain_is_told() -> None:
    instead = answer(vehicles_on_level=100, gradient_percent=2, vehicles=50).instead
    assert instead is not None
    assert (instead.vehicles, instead.engines, instead.gradient_percent) == (28, 2, 0.8)


@pytest.mark.parametrize(
    ("asked", "percent"),
    [
        ({"vehicles": 9, "vehicles_on_level": 10}, 0.088888),
        ({"vehicles": 11, "vehicles_on_level": 20}, 0.654545),
        ({"vehicles": 1, "vehicles_on_level": 100}, 4.0),
        ({"vehicles": 11, "vehicles_on_level": 10}, None),
        ({"vehicles_on_level": 100}, None),
    ],
)
def test_the_gradient_that_is_advised_is_one_that_the_train_gets_up_and_somebody_builds(
    asked: dict[str, int], percent: float | None
) -> None:
    """0.8 (n - wanted)/wanted, never rounded up: 0.8 × 1/9 = 0.0889, 0.8 × 9/11 =
    0.654545.
    """
    instead = answer(gradient_percent=6, **asked).instead
    assert instead is not None
    assert (instead.gradient_percent, instead.gradient_brings) == (
        percent,
        None if percent is None else "hauls",
    )


def test_more_engines_than_anybody_couples_are_not_advised() -> None:
    instead = answer(vehicles_on_level=1, gradient_percent=4, vehicles=20).instead
    assert instead is not None
    assert (
        instead.engines,
        instead.engines_brings,
        instead.vehicles,
        instead.vehicles_brings,
    ) == (None, None, 0, None)


def test_what_runs_away_is_cautioned_from_half_a_per_cent() -> None:
    def codes(percent: float, engines: int = 1) -> list[str]:
        found = answer(vehicles_on_level=9, gradient_percent=percent, engines=engines)
        return [caution.code for caution in found.cautions]

    assert codes(0.5) == ["engine_weight_left_out", "runs_away", "try_it"]
    assert codes(0.49) == ["engine_weight_left_out", "try_it"]
    assert codes(0) == ["try_it"]
    assert codes(0, engines=2) == ["engines_must_match", "try_it"]


@pytest.mark.parametrize(
    ("asked", "faults"),
    [
        ({"vehicles_on_level": 9}, [("missing", "/gradient_percent")]),
        ({"gradient_percent": 1}, [("missing", "/vehicles_on_level")]),
        (
            {"vehicles_on_level": 9, "gradient_percent": 1, "gradient_one_in": 100},
            [("one_or_the_other", "/gradient_one_in")],
        ),
        (
            {"vehicles_on_level": 9, "drawbar_pull_g": 9, "gradient_percent": 1},
            [("one_or_the_other", "/drawbar_pull_g")],
        ),
        (
            {**PULL, "vehicle_body_length_mm": 100, "scale": "HO"},
            [("one_or_the_other", "/vehicle_body_length_mm")],
        ),
        (
            {
                "vehicles_on_level": 9,
                "gradient_percent": 1,
                "curve_drag_percent": 1,
                "radius_mm": 500,
                "scale": "HO",
            },
            [("one_or_the_other", "/radius_mm")],
        ),
        (
            {"vehicles_on_level": 9, "gradient_percent": 1, "radius_mm": 500},
            [("missing", "/scale")],
        ),
        (
            {
                "vehicles_on_level": 9,
                "gradient_percent": 1,
                "engine_mass_g": 400,
                "vehicle_mass_g": 100,
            },
            [
                ("one_or_the_other", "/engine_mass_g"),
                ("one_or_the_other", "/vehicle_mass_g"),
            ],
        ),
    ],
)
def test_what_contradicts_itself_is_refused_at_its_place(
    asked: dict[str, object], faults: list[tuple[str, str]]
) -> None:
    with pytest.raises(Faulty) as refused:
        answer(**asked)
    assert [(fault.code, fault.pointer) for fault in refused.value.faults] == faults


def test_one_in_fifty_given_as_fifty_per_cent_is_warned_of() -> None:
    found = answer(vehicles_on_level=100, gradient_percent=50)
    assert [
        (slip.field, slip.likely, slip.likely_value) for slip in found.warnings
    ] == [("gradient_percent", "one_in", 2.0)]
    sharp = answer(vehicles_on_level=100, gradient_percent=1, radius_mm=18, scale="00")
    assert [(slip.field, slip.likely) for slip in sharp.warnings] == [
        ("radius_mm", "inches")
    ]


def test_the_message_is_one_that_can_be_read_out() -> None:
    found = answer(vehicles_on_level=100, gradient_percent=2, vehicles=40, engines=2)
    assert (
        found.because[0].message
        == "2 engines haul between 57 and 100 vehicles up 2.00 % (1 in 50), as stiffly"
        " or freely as the vehicles run; 40 are wanted"
    )
    level = answer(vehicles_on_level=12, gradient_percent=0, curve_drag_percent=0.5)
    assert level.because[0].message.startswith(
        "one engine hauls between 7 and 9 vehicles on the level in a curve that drags"
        " like 0.50 %"
    )


@pytest.mark.parametrize(
    ("asked", "begins"),
    [
        (
            {"vehicles_on_level": 1, "gradient_percent": 0},
            "one engine hauls 1 vehicle on the level,",
        ),
        (
            {"vehicles_on_level": 2, "gradient_percent": 2},
            "one engine hauls at most 1 vehicle up 2.00 % (1 in 50),",
        ),
        (
            {"vehicles_on_level": 1, "gradient_percent": 2},
            "one engine hauls no vehicle up 2.00 % (1 in 50),",
        ),
    ],
)
def test_one_vehicle_and_none_are_spoken_of_as_people_do(
    asked: dict[str, object], begins: str
) -> None:
    assert answer(**asked).because[0].message.startswith(begins)


def test_one_that_is_wanted_is_one() -> None:
    found = answer(vehicles_on_level=100, gradient_percent=2, vehicles=1)
    assert found.because[0].message.endswith("; 1 is wanted")


@pytest.mark.parametrize("smallest", [0.1, 1e-300])
def test_no_figure_however_small_ends_in_nonsense(smallest: float) -> None:
    asked = {
        "drawbar_pull_g": 1e6,
        "engine_mass_g": 0.1,
        "vehicle_mass_g": 0.1,
        "gradient_percent": smallest,
    }
    most = answer(**asked).vehicles_most
    assert most is not None
    assert most > 0
