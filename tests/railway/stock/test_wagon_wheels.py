"""What a wagon stands on whose wheels nobody measured, and what that does on curves and
turntables.
"""

from math import hypot, sqrt
from typing import Any

import pytest

from standage.railway.curving.curves import on_curve
from standage.railway.passing.gaps import Tracks, nearest_pairs
from standage.railway.passing.passers import passing_stock
from standage.railway.stock.axles import axles_of
from standage.railway.stock.bodies import BodyShape, shapes
from standage.railway.stock.extents import length_of
from standage.railway.stock.vehicles import Vehicle

RADIUS_MM = 600.0
AMERICAN_89_FT_MM = 89 * 304.8 / 87.1


def wagon(**figures: Any) -> Vehicle:
    return Vehicle(
        **{"name": "Wagon", "kind": "wagon", "scale": "H0", "length_over": "buffers"}
        | figures
    )


def long(metres: float, *, ratio: float = 87.0) -> float:
    return metres * 1000 / ratio


def pivots_mm(vehicle: Vehicle) -> list[float | None]:
    (shape,) = shapes(vehicle)
    return [way.pivots_mm for way in shape.ways]


@pytest.mark.parametrize(
    ("metres", "parts"),
    [
        (9.04, (0.5,)),
        (11.99, (0.5,)),
        (12.0, (0.5, 0.7)),
        (14.02, (0.5, 0.7)),
        (14.04, (0.5, 0.7)),
        (18.0, (0.5, 0.7)),
        (18.01, (0.7,)),
        (27.1, (0.7,)),
    ],
)
def test_a_wagons_full_size_tells_what_it_stands_on(
    metres: float, parts: tuple[float, ...]
) -> None:
    length_mm = long(metres)
    assert pivots_mm(wagon(length_mm=length_mm)) == pytest.approx(
        [part * length_mm for part in parts]
    )
    assert len(pivots_mm(wagon(length_mm=length_mm, full_size_length_m=metres))) == len(
        parts
    )


def test_a_two_axle_van_and_a_bogie_wagon_of_one_length_are_both_reckoned_with() -> (
    None
):
    """UIC 571-2: 14.04 m over buffers, pivots 9.00 m; two-axle vans of 14.02 m run
    beside it.
    """
    axles_mm, bogies_mm = pivots_mm(wagon(length_mm=long(14.04)))
    assert axles_mm is not None
    assert bogies_mm is not None
    assert axles_mm < long(9.00) < bogies_mm


@pytest.mark.parametrize("length_mm", [100.0, 154.6, AMERICAN_89_FT_MM])
@pytest.mark.parametrize(
    "said",
    [
        {"scale": "HO"},
        {"scale": "H0", "practice": "american"},
        {"practice": "american"},
    ],
)
def test_an_american_wagon_stands_on_bogies_however_short(
    length_mm: float, said: dict[str, str]
) -> None:
    assert pivots_mm(wagon(length_mm=length_mm, **said)) == pytest.approx(
        [0.7 * length_mm]
    )
    assert pivots_mm(
        wagon(length_mm=length_mm, **said, kind="brake_van")
    ) == pytest.approx([0.7 * length_mm])


def test_what_is_said_of_its_wheels_decides_first() -> None:
    length_mm = long(14.02)
    assert pivots_mm(wagon(length_mm=length_mm, rigid_axles=2)) == pytest.approx(
        [length_mm / 2]
    )
    assert pivots_mm(
        wagon(length_mm=length_mm, bogie_wheelbase_mm=20)
    ) == pytest.approx([0.7 * length_mm])
    assert pivots_mm(wagon(length_mm=length_mm, rigid_wheelbase_mm=92)) == [92]
    assert pivots_mm(wagon(length_mm=length_mm, bogie_centres_mm=103)) == [103]
    assert pivots_mm(wagon(length_mm=length_mm, scale=None)) == pytest.approx(
        [length_mm / 2]
    )


def test_both_are_told_in_one_sentence_and_the_bogies_alone_too() -> None:
    def told(length_mm: float) -> dict[str, str]:
        (shape,) = shapes(wagon(length_mm=length_mm))
        return {guess.field: guess.about for guess in shape.guesses}

    either = told(160)["rigid_wheelbase_mm"]
    assert (
        either
        == "it may stand on two axles, 80 mm apart, or on bogies whose middles are 112"
        " mm apart: both are reckoned, and the worse counts"
    )
    assert "bogie_centres_mm" not in told(160)
    assert told(300)["bogie_centres_mm"].startswith("it is taken to stand on bogies")


def throws(length_mm: float, pivots_mm: float, width_mm: float) -> tuple[float, float]:
    """Return centre and end throw, worked out from the circle that the pivots run
    on.
    """
    middle_mm = sqrt(RADIUS_MM**2 - (pivots_mm / 2) ** 2)
    return (
        RADIUS_MM - middle_mm,
        hypot(middle_mm + width_mm / 2, length_mm / 2) - RADIUS_MM - width_mm / 2,
    )


def test_on_a_curve_the_worse_of_both_counts_for_each_throw() -> None:
    length_mm, width_mm = 180.0, 33.0
    found = on_curve(wagon(length_mm=length_mm, width_mm=width_mm), radius_mm=RADIUS_MM)
    on_axles, on_bogies = (
        throws(length_mm, part * length_mm, width_mm) for part in (0.5, 0.7)
    )
    assert on_axles[0] < on_bogies[0]
    assert on_axles[1] > on_bogies[1]
    assert found.centre_throw_mm == pytest.approx(on_bogies[0], abs=1e-5)
    assert found.end_throw_mm == pytest.approx(on_axles[1], abs=1e-5)


def test_an_89_ft_wagon_stands_in_on_a_curve_as_far_as_its_bogies_let_it() -> None:
    figures = {"length_mm": AMERICAN_89_FT_MM, "width_mm": 36, "scale": "HO"}
    found = on_curve(wagon(**figures), radius_mm=RADIUS_MM)
    centre_mm, end_mm = throws(AMERICAN_89_FT_MM, 0.7 * AMERICAN_89_FT_MM, 36)
    assert (found.centre_throw_mm, found.end_throw_mm) == pytest.approx(
        (centre_mm, end_mm), abs=1e-5
    )
    assert centre_mm > 1.9 * throws(AMERICAN_89_FT_MM, 0.5 * AMERICAN_89_FT_MM, 36)[0]


def gap_mm(
    one: BodyShape, other: BodyShape, *, spacing_mm: float, inner_mm: float
) -> float:
    """Return how far the chord of one, on the outer track, stays from the corner of the
    other, on the inner one.
    """
    outer_mm = inner_mm + spacing_mm
    chord_mm = sqrt(outer_mm**2 - ((one.pivots_mm or 0) / 2) ** 2) - 33 / 2
    middle_mm = sqrt(inner_mm**2 - ((other.pivots_mm or 0) / 2) ** 2) + 33 / 2
    return chord_mm - hypot(middle_mm, other.half_length_mm or 0)


def test_in_passing_the_worst_pair_of_both_ways_decides() -> None:
    one = wagon(length_mm=180, width_mm=33)
    (shape,) = shapes(one)
    (stock,) = passing_stock([one], scale=None)
    tracks = Tracks(inner_radius_mm=500, spacing_mm=52)
    worst_mm = min(
        gap_mm(a, b, spacing_mm=52, inner_mm=500)
        for a in shape.ways
        for b in shape.ways
    )
    (found,) = nearest_pairs(tuple(stock.passers(straight=False)), tracks)
    assert found.gap_mm == pytest.approx(worst_mm, abs=1e-6)
    assert len(shape.ways) == 2


@pytest.mark.parametrize(
    ("metres", "span_m"),
    [(10.0, 5.0), (14.02, 0.7 * 14.02 + 2.6), (20.0, 0.7 * 20 + 2.6)],
)
def test_on_a_turntable_its_wheels_span_what_they_may_at_most(
    metres: float, span_m: float
) -> None:
    one = wagon(length_mm=long(metres))
    assert axles_of(one, length_of(one)).wheelbase_mm == pytest.approx(long(span_m))
