"""How long one vehicle is taken to be, and how far off."""

from typing import Any

import pytest

from standage.railway.stock.extents import length_of, scaled_plus_minus_mm
from standage.railway.stock.vehicles import Body, Vehicle, VehicleKind
from standage.railway.terms.scales import Practice, ScaleName


def known(**figures: Any) -> tuple[float | None, float]:
    extent = length_of(Vehicle(name="It", **figures)).extent
    return extent.length_mm, extent.plus_minus_mm


@pytest.mark.parametrize(
    ("how", "plus_minus_mm"),
    [("measured", 0.5), ("maker", 1.0), (None, 1.0), ("scaled", 3.1)],
)
def test_a_length_is_as_good_as_the_way_it_was_found(
    how: str | None, plus_minus_mm: float
) -> None:
    assert known(length_mm=310.0, length_over="buffers", length_from=how) == (
        310.0,
        plus_minus_mm,
    )


def test_a_stated_plus_minus_overrules_the_default_and_is_no_guess() -> None:
    length = length_of(
        Vehicle(
            name="It", length_mm=310.0, length_over="buffers", length_plus_minus_mm=0.0
        )
    )
    assert length.extent.plus_minus_mm == 0.0
    assert length.guesses == ()


def test_a_scaled_length_is_never_better_than_two_millimetres() -> None:
    assert scaled_plus_minus_mm(150.0) == 2.0
    assert scaled_plus_minus_mm(250.0) == 2.5


def test_a_length_is_scaled_from_the_full_size_where_nobody_measured_it() -> None:
    length_mm, plus_minus_mm = known(full_size_length_m=14.04, scale="H0", kind="wagon")
    assert length_mm == pytest.approx(14_040 / 87)
    assert plus_minus_mm == 2.0


def test_a_scaled_length_is_told_as_a_guess_with_its_value() -> None:
    (guess,) = length_of(
        Vehicle(name="It", full_size_length_m=26.4, scale="N", kind="coach")
    ).guesses
    assert (guess.source, guess.field, guess.value_mm) == ("scaled", "length_mm", 165.0)


@pytest.mark.parametrize(
    ("scale", "practice"), [("H0", None), ("H0", "british"), ("HO", "continental")]
)
@pytest.mark.parametrize("kind", ["coach", "multiple_unit_car", None])
def test_a_carriage_of_over_24_m_is_not_scaled_to_h0_since_models_are_shortened(
    scale: ScaleName, practice: Practice | None, kind: VehicleKind | None
) -> None:
    coach = Vehicle(
        name="It", full_size_length_m=26.4, scale=scale, practice=practice, kind=kind
    )
    length = length_of(coach)
    assert [missing.field for missing in length.extent.missing] == ["length_mm"]


@pytest.mark.parametrize(
    ("full_size_m", "scale", "kind"),
    [(24.0, "H0", "coach"), (26.4, "N", "coach"), (26.4, "H0", "wagon")],
)
def test_other_vehicles_are_scaled(full_size_m: float, scale: str, kind: str) -> None:
    assert known(full_size_length_m=full_size_m, scale=scale, kind=kind)[0] is not None


def test_a_length_that_somebody_scaled_is_as_unknown_as_one_scaled_here() -> None:
    coach = {
        "kind": "coach",
        "scale": "H0",
        "length_over": "buffers",
        "length_from": "scaled",
    }
    assert known(length_mm=303.4, **coach)[0] is None
    assert known(length_mm=270.0, **coach)[0] == 270.0


def test_a_measured_length_of_a_long_coach_counts() -> None:
    assert (
        known(
            length_mm=282.0,
            length_over="buffers",
            kind="coach",
            scale="H0",
            full_size_length_m=26.4,
        )[0]
        == 282.0
    )


def test_several_bodies_count_with_the_gaps_between_them_and_a_millimetre_each() -> (
    None
):
    bodies = (
        Body(length_mm=150.0, gap_to_next_mm=4.0),
        Body(length_mm=90.0, gap_to_next_mm=2.5),
        Body(length_mm=60.0, gap_to_next_mm=9.0),
    )
    assert known(bodies=bodies) == (306.5, 3.0)


def test_a_length_over_all_counts_before_the_sum_of_the_bodies() -> None:
    bodies = (Body(length_mm=150.0), Body(length_mm=90.0))
    assert known(
        bodies=bodies, length_mm=244.0, length_over="buffers", length_from="measured"
    ) == (244.0, 0.5)


def test_a_vehicle_of_which_nothing_is_known_has_no_length() -> None:
    assert known(scale="N") == (None, 0.0)
