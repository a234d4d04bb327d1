"""Where a vehicle's bodies end and pivot, as measured or as practice has it, seen
through the throws.
"""

from math import sqrt

import pytest

from standage.railway.curving.curves import on_curve
from standage.railway.stock.bodies import BodyShape, length_over_buffers, shapes
from standage.railway.stock.couplings import Coupling
from standage.railway.stock.vehicles import Vehicle


def only(vehicle: Vehicle) -> BodyShape:
    (shape,) = shapes(vehicle)
    return shape


def halves(shape: BodyShape) -> tuple[float | None, float | None]:
    return shape.half_front_mm, shape.half_rear_mm


def guessed(shape: BodyShape) -> dict[str, float | None]:
    return {guess.field: guess.value_mm for guess in shape.guesses}


def missing(shape: BodyShape) -> list[str]:
    return [each.field for each in shape.missing]


# --- where the body ends


def test_overhangs_that_nobody_measured_are_taken_to_be_alike() -> None:
    shape = only(
        Vehicle(
            name="Van",
            length_mm=200,
            length_over="buffers",
            bogie_centres_mm=120,
            width_mm=36,
        )
    )
    assert halves(shape) == (100, 100)
    assert "front_overhang_mm" in guessed(shape)


def test_one_measured_overhang_leaves_the_rest_of_the_length_to_the_other() -> None:
    van = Vehicle(
        name="Van",
        length_mm=200,
        length_over="buffers",
        rigid_wheelbase_mm=120,
        front_overhang_mm=30,
    )
    assert halves(only(van)) == (90, 110)
    rear = Vehicle(
        name="Van",
        length_mm=200,
        length_over="buffers",
        rigid_wheelbase_mm=120,
        rear_overhang_mm=30,
    )
    assert halves(only(rear)) == (110, 90)
    assert "front_overhang_mm" not in guessed(only(van))


def test_two_measured_overhangs_need_no_length() -> None:
    van = Vehicle(
        name="Van",
        rigid_wheelbase_mm=120,
        front_overhang_mm=30,
        rear_overhang_mm=40,
        width_mm=36,
    )
    shape = only(van)
    assert (halves(shape), guessed(shape), missing(shape)) == ((90, 100), {}, [])


def test_a_body_shorter_than_the_buffers_loses_as_much_at_both_ends() -> None:
    """200 over buffers, body 184: 8 off each end."""
    van = Vehicle(
        name="Van",
        length_mm=200,
        length_over="buffers",
        body_length_mm=184,
        rigid_wheelbase_mm=120,
        front_overhang_mm=30,
    )
    assert halves(only(van)) == (82, 102)
    assert "body_length_mm" in guessed(only(van))


def test_a_body_s_own_length_does_without_that_over_buffers() -> None:
    van = Vehicle(name="Van", body_length_mm=184, rigid_wheelbase_mm=120)
    assert halves(only(van)) == (92, 92)
    known = Vehicle(
        name="Van",
        body_length_mm=184,
        length_mm=200,
        length_over="buffers",
        rigid_wheelbase_mm=120,
    )
    assert halves(only(known)) == (92, 92)


@pytest.mark.parametrize(("front_mm", "rear_mm"), [(30, None), (None, 30)])
def test_one_overhang_and_no_length_asks_for_the_length(
    front_mm: float | None, rear_mm: float | None
) -> None:
    van = Vehicle(
        name="Van",
        rigid_wheelbase_mm=120,
        width_mm=36,
        body_length_mm=150,
        front_overhang_mm=front_mm,
        rear_overhang_mm=rear_mm,
    )
    shape = only(van)
    assert (halves(shape), missing(shape), shape.half_length_mm) == (
        (None, None),
        ["length_mm"],
        None,
    )


def test_overhangs_that_leave_no_body_are_questioned() -> None:
    van = Vehicle(
        name="Van",
        rigid_wheelbase_mm=100,
        front_overhang_mm=-60,
        rear_overhang_mm=30,
        width_mm=36,
    )
    assert missing(only(van)) == ["front_overhang_mm"]
    assert halves(only(van)) == (None, None)


def test_a_length_over_couplings_is_shortened_by_what_they_reach() -> None:
    van = Vehicle(
        name="Van",
        length_mm=210,
        length_over="couplings",
        rigid_wheelbase_mm=120,
        front_coupling=Coupling(reach_mm=4),
        rear_coupling=Coupling(reach_mm=6),
    )
    shape = only(van)
    assert halves(shape) == (100, 100)
    assert "length_mm" not in guessed(shape)


def test_an_unknown_reach_leaves_the_body_too_long_rather_than_too_short() -> None:
    van = Vehicle(
        name="Van",
        length_mm=210,
        length_over="couplings",
        rigid_wheelbase_mm=120,
        front_coupling=Coupling(reach_mm=4),
    )
    assert halves(only(van)) == (103, 103)
    assert guessed(only(van))["length_mm"] == 206
    assert length_over_buffers(van).value_mm == 206


def test_the_farther_end_counts() -> None:
    van = Vehicle(
        name="Van", rigid_wheelbase_mm=120, front_overhang_mm=30, rear_overhang_mm=40
    )
    assert only(van).half_length_mm == 100


# --- what practice supplies


@pytest.mark.parametrize(
    ("scale", "practice", "width_mm"),
    [
        ("00", None, 36.75),
        ("H0", None, 33.33),
        ("HO", None, 36.74),
        ("H0", "american", 36.78),
        ("N British", None, 18.92),
        ("0", "british", 62.22),
    ],
)
def test_an_unknown_width_is_scaled_by_whose_railway_it_is(
    scale: str, practice: str | None, width_mm: float
) -> None:
    """2.8 m British, 2.9 continental, 3.2 American, divided by the scale's ratio; ± 1
    mm.
    """
    shape = only(Vehicle(name="Van", scale=scale, practice=practice))  # type: ignore[arg-type] # by name
    assert shape.width_mm == pytest.approx(width_mm, abs=0.005)
    assert shape.width_plus_minus_mm == 1.0
    assert guessed(shape)["width_mm"] == pytest.approx(width_mm, abs=0.005)


def test_a_measured_width_is_as_good_as_it_is_said_to_be() -> None:
    assert only(Vehicle(name="Van", scale="00", width_mm=36)).width_plus_minus_mm == 0
    shape = only(Vehicle(name="Van", scale="00", width_mm=36, width_plus_minus_mm=0.4))
    assert (shape.width_mm, shape.width_plus_minus_mm) == (36, 0.4)
    assert "width_mm" not in guessed(shape)


def test_without_a_scale_the_width_is_asked_for_and_the_centre_throw_given() -> None:
    van = Vehicle(
        name="Van", length_mm=200, length_over="buffers", bogie_centres_mm=120
    )
    answer = on_curve(van, radius_mm=500)
    assert answer.centre_throw_mm == pytest.approx(500 - sqrt(500**2 - 60**2), abs=1e-5)
    assert answer.end_throw_mm is None
    assert [
        reason.field for reason in answer.because if reason.code == "missing_figure"
    ] == ["width_mm"]


def test_a_coach_pivots_at_0_72_of_its_body_on_bogies_of_2_6_m() -> None:
    """300 mm: 216 mm; 2.6 m at 1:87 is 29.89 mm."""
    shape = only(
        Vehicle(
            name="Coach", kind="coach", scale="H0", length_mm=300, length_over="buffers"
        )
    )
    assert (shape.pivots_mm, shape.pivots_given) == (216, False)
    assert shape.bogie_wheelbase_mm == pytest.approx(29.885, abs=0.001)
    assert {
        "bogie_centres_mm",
        "bogie_wheelbase_mm",
        "front_overhang_mm",
        "width_mm",
    } <= set(guessed(shape))


def test_a_coach_s_own_body_length_comes_before_that_over_buffers() -> None:
    coach = Vehicle(
        name="Coach",
        kind="coach",
        length_mm=300,
        length_over="buffers",
        body_length_mm=290,
    )
    assert only(coach).pivots_mm == pytest.approx(208.8)


def test_a_coach_with_known_bogies_of_unknown_wheelbase_has_it_counted_as_nothing() -> (
    None
):
    coach = Vehicle(
        name="Coach",
        kind="coach",
        scale="H0",
        length_mm=300,
        length_over="buffers",
        bogie_centres_mm=218,
    )
    assert only(coach).bogie_wheelbase_mm == 0
    assert guessed(only(coach))["bogie_wheelbase_mm"] == 0


def test_a_coach_without_scale_has_its_bogies_wheelbase_counted_as_nothing() -> None:
    coach = Vehicle(name="Coach", kind="coach", length_mm=300, length_over="buffers")
    assert guessed(only(coach))["bogie_wheelbase_mm"] == 0


def test_a_coach_s_known_bogie_wheelbase_is_kept() -> None:
    coach = Vehicle(
        name="Coach",
        kind="coach",
        scale="H0",
        length_mm=300,
        length_over="buffers",
        bogie_wheelbase_mm=25,
    )
    assert only(coach).bogie_wheelbase_mm == 25


@pytest.mark.parametrize("kind", ["wagon", "brake_van"])
def test_a_wagon_is_taken_to_have_two_axles_half_its_length_apart(kind: str) -> None:
    shape = only(Vehicle(name="Wagon", kind=kind, length_mm=82, length_over="buffers"))  # type: ignore[arg-type] # by name
    assert (shape.pivots_mm, shape.bogie_wheelbase_mm) == (41, 0)
    assert guessed(shape)["rigid_wheelbase_mm"] == 41


def test_a_wagon_on_bogies_is_not_taken_to_have_two_axles() -> None:
    wagon = Vehicle(
        name="Wagon",
        kind="wagon",
        length_mm=160,
        length_over="buffers",
        bogie_wheelbase_mm=20,
    )
    assert only(wagon).pivots_mm == pytest.approx(0.7 * 160)
    assert only(wagon).bogie_wheelbase_mm == 20
    assert "bogie_centres_mm" in guessed(only(wagon))


@pytest.mark.parametrize("kind", ["coach", "wagon"])
def test_no_length_leaves_practice_nothing_to_go_by(kind: str) -> None:
    shape = only(Vehicle(name="Stock", kind=kind, width_mm=36))  # type: ignore[arg-type] # by name
    assert (shape.pivots_mm, missing(shape)) == (None, ["length_mm"])


@pytest.mark.parametrize(
    ("kind", "field"),
    [
        ("engine", "rigid_wheelbase_mm"),
        ("railcar", "bogie_centres_mm"),
        (None, "bogie_centres_mm"),
    ],
)
def test_the_wheels_of_engines_and_other_stock_are_never_guessed(
    kind: str | None, field: str
) -> None:
    vehicle = Vehicle(
        name="It",
        kind=kind,  # type: ignore[arg-type] # by name
        scale="00",
        length_mm=200,
        length_over="buffers",
    )
    assert (only(vehicle).pivots_mm, missing(only(vehicle))) == (None, [field])


def test_a_full_size_length_is_scaled_and_said_so() -> None:
    wagon = Vehicle(name="Wagon", kind="wagon", scale="N", full_size_length_m=10)
    assert halves(only(wagon)) == (31.25, 31.25)
    assert guessed(only(wagon))["length_mm"] == 62.5


def test_a_long_coach_in_h0_is_not_scaled_since_such_models_are_shortened() -> None:
    assert missing(
        only(Vehicle(name="Coach", kind="coach", scale="H0", full_size_length_m=26.4))
    ) == ["length_mm"]
    assert (
        only(
            Vehicle(name="Coach", kind="coach", scale="N", full_size_length_m=26.4)
        ).pivots_mm
        is not None
    )
