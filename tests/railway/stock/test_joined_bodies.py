"""Vehicles of several bodies on a curve: each throws by its own wheels, and the worst
counts.
"""

import pytest

from standage.railway.curving.curves import on_curve
from standage.railway.stock.bodies import BodyShape, shapes
from standage.railway.stock.vehicles import Body, Vehicle


def halves(shape: BodyShape) -> tuple[float | None, float | None]:
    return shape.half_front_mm, shape.half_rear_mm


def test_each_body_of_a_tender_engine_throws_by_itself_and_the_worst_counts() -> None:
    """Engine 120 wide apart on 300: 300 − √(300² − 60²) = 6.061; tender 60: 1.504."""
    both = Vehicle(
        name="Locomotive",
        kind="engine",
        width_mm=36,
        bodies=(
            Body(
                name="engine",
                length_mm=170,
                rigid_wheelbase_mm=120,
                front_overhang_mm=40,
            ),
            Body(name="tender", length_mm=80, rigid_wheelbase_mm=60),
        ),
    )
    answer = on_curve(both, radius_mm=300)
    assert answer.centre_throw_mm == pytest.approx(6.061, abs=0.001)
    assert [body.centre_throw_mm for body in answer.bodies] == pytest.approx(
        [6.061, 1.504], abs=0.001
    )
    assert [body.name for body in answer.bodies] == [
        "Locomotive (engine)",
        "Locomotive (tender)",
    ]
    assert answer.front_end_throw_mm == answer.bodies[0].front_end_throw_mm
    assert answer.rear_end_throw_mm == answer.bodies[1].rear_end_throw_mm
    assert answer.end_throw_mm == answer.front_end_throw_mm


def test_the_worst_end_may_be_at_a_joint_between_bodies() -> None:
    both = Vehicle(
        name="Pair",
        width_mm=36,
        bodies=(
            Body(length_mm=200, bogie_centres_mm=100, front_overhang_mm=10),
            Body(length_mm=100, bogie_centres_mm=70),
        ),
    )
    answer = on_curve(both, radius_mm=500)
    assert answer.end_throw_mm == answer.bodies[0].rear_end_throw_mm


def test_a_body_without_wheels_of_its_own_leaves_the_worst_unknown_and_is_named() -> (
    None
):
    both = Vehicle(
        name="Pair",
        kind="coach",
        width_mm=36,
        bodies=(
            Body(length_mm=200, bogie_centres_mm=100),
            Body(name="rear car", length_mm=100),
        ),
    )
    answer = on_curve(both, radius_mm=500)
    assert (answer.centre_throw_mm, answer.end_throw_mm) == (None, None)
    assert answer.bodies[0].centre_throw_mm is not None
    (reason,) = [
        reason
        for reason in answer.because
        if reason.field == "bodies[1].bogie_centres_mm"
    ]
    assert "rear car" in reason.message


def test_a_shared_bogie_pivots_midway_in_the_gap() -> None:
    """Cars of 200 with 6 between: the pivot is 3 beyond the body's end. Front pivot 30
    in: 200 − 30 + 3 = 173 apart.
    """
    cars = (
        Body(
            length_mm=200,
            front_overhang_mm=30,
            gap_to_next_mm=6,
            shares_bogie_with_next=True,
        ),
        Body(length_mm=200, gap_to_next_mm=8, shares_bogie_with_next=True),
        Body(length_mm=200, rear_overhang_mm=40),
    )
    first, middle, last = shapes(Vehicle(name="Set", width_mm=36, bodies=cars))
    assert (first.pivots_mm, middle.pivots_mm, last.pivots_mm) == (173, 207, 164)
    assert halves(first) == (116.5, 83.5)
    assert halves(middle) == (100.5, 99.5)
    assert halves(last) == (78, 122)
    assert all(shape.pivots_given for shape in (first, middle, last))


def test_a_shared_bogie_with_given_centres_leaves_the_rest_to_the_other_end() -> None:
    cars = (
        Body(
            length_mm=200,
            bogie_centres_mm=170,
            gap_to_next_mm=6,
            shares_bogie_with_next=True,
        ),
        Body(length_mm=200, bogie_centres_mm=170),
    )
    first, _ = shapes(Vehicle(name="Set", width_mm=36, bodies=cars))
    assert halves(first) == (118, 82)


def test_the_last_body_has_no_next_to_share_a_bogie_with() -> None:
    cars = (
        Body(length_mm=200, bogie_centres_mm=150),
        Body(length_mm=200, bogie_centres_mm=150, shares_bogie_with_next=True),
    )
    assert halves(shapes(Vehicle(name="Set", width_mm=36, bodies=cars))[1]) == (
        100,
        100,
    )


def test_a_body_of_several_takes_the_vehicle_s_width_unless_it_has_its_own() -> None:
    cars = (Body(length_mm=200, width_mm=30), Body(length_mm=200))
    assert [
        shape.width_mm
        for shape in shapes(Vehicle(name="Set", width_mm=36, bodies=cars))
    ] == [30, 36]
