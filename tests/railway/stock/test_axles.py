"""Where a vehicle's outermost axles are taken to stand."""

from typing import Any

import pytest
from msgspec import structs

from standage.railway.stock.axles import Axles, axles_of
from standage.railway.stock.extents import length_of
from standage.railway.stock.vehicles import Body, Vehicle


def axles(length_mm: float | None = 200.0, **figures: Any) -> Axles:
    vehicle = Vehicle(name="It", length_mm=length_mm, length_over="buffers", **figures)
    return axles_of(vehicle, length_of(vehicle))


def placed(**figures: Any) -> tuple[float | None, float | None, float | None]:
    found = axles(**figures)
    return found.wheelbase_mm, found.front_mm, found.rear_mm


@pytest.mark.parametrize(
    ("figures", "expected"),
    [
        ({"total_wheelbase_mm": 150.0, "first_axle_mm": 20.0}, (150, 20, 30)),
        ({"rigid_wheelbase_mm": 120.0, "front_overhang_mm": 30.0}, (120, 30, 50)),
        ({"rigid_wheelbase_mm": 120.0, "rear_overhang_mm": 30.0}, (120, 50, 30)),
        (
            {
                "bogie_centres_mm": 100.0,
                "bogie_wheelbase_mm": 20.0,
                "front_overhang_mm": 45.0,
            },
            (120, 35, 45),
        ),
        (
            {
                "bogie_centres_mm": 100.0,
                "bogie_wheelbase_mm": 20.0,
                "rear_overhang_mm": 45.0,
            },
            (120, 45, 35),
        ),
    ],
)
def test_axles_that_are_known_are_placed_for_sure(
    figures: dict[str, float], expected: tuple[float, ...]
) -> None:
    found = axles(kind="wagon", **figures)
    assert (found.wheelbase_mm, found.front_mm, found.rear_mm) == expected
    assert found.sure
    assert found.plus_minus_mm == 0.0


def test_overhangs_that_nobody_measured_are_taken_to_be_alike_and_told() -> None:
    found = axles(kind="engine", total_wheelbase_mm=150.0)
    assert (found.front_mm, found.rear_mm) == (25.0, 25.0)
    assert [guess.field for guess in found.guesses] == ["first_axle_mm"]
    assert not found.sure


def test_an_overhang_from_the_rigid_wheels_says_nothing_of_the_axles_beyond_them() -> (
    None
):
    assert placed(
        total_wheelbase_mm=150.0, rigid_wheelbase_mm=80.0, front_overhang_mm=60.0
    ) == (150.0, 25.0, 25.0)


@pytest.mark.parametrize("kind", ["engine", None, "other"])
def test_the_wheelbase_of_an_engine_is_never_guessed(kind: Any) -> None:
    found = axles(kind=kind, scale="H0")
    assert found.wheelbase_mm is None
    assert [missing.field for missing in found.missing] == ["total_wheelbase_mm"]


def test_an_engines_rigid_wheelbase_stands_for_the_whole_one_and_that_is_told() -> None:
    assert [
        guess.source for guess in axles(kind="engine", rigid_wheelbase_mm=90.0).guesses
    ] == [
        "taken_as_read",
        "common_practice",
    ]


@pytest.mark.parametrize("kind", ["wagon", "brake_van"])
def test_a_two_axle_wagons_wheelbase_is_taken_as_half_its_length(kind: Any) -> None:
    found = axles(kind=kind)
    assert (found.wheelbase_mm, found.plus_minus_mm, found.front_mm) == (
        100.0,
        2.0,
        50.0,
    )


def test_a_coachs_wheels_are_taken_as_carriages_commonly_are() -> None:
    found = axles(kind="coach", scale="N", body_length_mm=160.0)
    assert found.wheelbase_mm == pytest.approx(0.72 * 160 + 2600 / 160)
    assert axles(kind="coach").wheelbase_mm is None


def test_a_bogies_wheelbase_is_taken_from_practice_only_where_the_scale_is_known_and_never_an_engines() -> (
    None
):
    assert placed(kind="wagon", bogie_centres_mm=100.0, scale="N")[0] == pytest.approx(
        100 + 2600 / 160
    )
    for lacking in (
        axles(bogie_centres_mm=100.0, kind="wagon"),
        axles(bogie_centres_mm=100.0, kind="engine", scale="N"),
    ):
        assert [one.field for one in lacking.missing] == ["bogie_wheelbase_mm"]


def test_several_bodies_stand_on_the_outer_axles_of_the_outer_bodies() -> None:
    engine = Body(length_mm=150.0, rigid_wheelbase_mm=80.0, front_overhang_mm=45.0)
    tender = Body(
        length_mm=90.0,
        bogie_centres_mm=40.0,
        bogie_wheelbase_mm=12.0,
        front_overhang_mm=20.0,
    )
    found = axles(length_mm=None, kind="engine", bodies=(engine, tender))
    assert (found.front_mm, found.rear_mm, found.wheelbase_mm) == (
        45.0,
        24.0,
        240 - 45 - 24,
    )
    assert found.sure


@pytest.mark.parametrize("side", ["front_overhang_mm", "rear_overhang_mm"])
def test_a_bogie_under_a_body_stands_half_its_wheelbase_beyond_its_pivot(
    side: str,
) -> None:
    bogies = Body(length_mm=120.0, bogie_centres_mm=70.0, bogie_wheelbase_mm=20.0)
    outer = structs.replace(bogies, **{side: 30.0})
    found = axles(
        length_mm=None,
        bodies=(
            outer,
            Body(length_mm=120.0, rigid_wheelbase_mm=80.0, front_overhang_mm=10.0),
        ),
    )
    assert found.front_mm == (20.0 if side == "front_overhang_mm" else 10.0)
    assert found.rear_mm == 30.0


def test_bodies_of_which_the_wheels_are_unknown_lack_the_wheelbase() -> None:
    bodies = (
        Body(length_mm=150.0, rigid_wheelbase_mm=80.0),
        Body(length_mm=90.0, bogie_centres_mm=40.0),
    )
    assert [one.field for one in axles(length_mm=None, bodies=bodies).missing] == [
        "total_wheelbase_mm"
    ]


def test_a_body_stands_midway_on_its_wheels_unless_its_overhangs_say_otherwise() -> (
    None
):
    bodies = (
        Body(length_mm=150.0, rigid_wheelbase_mm=80.0),
        Body(length_mm=90.0, rigid_wheelbase_mm=40.0),
    )
    found = axles(length_mm=None, bodies=bodies)
    assert (found.front_mm, found.rear_mm, found.sure) == (35.0, 25.0, False)


def test_without_a_length_the_wheelbase_is_known_and_the_ends_are_not() -> None:
    found = axles(length_mm=None, kind="engine", total_wheelbase_mm=150.0)
    assert found.wheelbase_mm == 150.0
    assert [missing.field for missing in found.missing] == ["length_mm"]


def test_the_figure_that_is_told_of_wheels_midway_is_the_one_that_is_used() -> None:
    found = axles(kind="wagon", rigid_wheelbase_mm=120.0)
    assert (found.front_mm, found.rear_mm) == (40, 40)
    assert [
        (one.field, one.value_mm)
        for one in found.guesses
        if one.field == "first_axle_mm"
    ] == [("first_axle_mm", 40.0)]
