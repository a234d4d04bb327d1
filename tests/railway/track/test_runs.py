"""One run of track: where a transition leads, by a series in fifty figures."""

from decimal import Decimal, localcontext
from math import cos, inf, nan, sin

import pytest

from standage.railway.track.paths.paths import Path
from standage.railway.track.paths.runs import (
    Run,
    arc,
    curvature_of,
    even,
    straight,
    transition,
)

EXACT_MM = 1e-9
SPIRALS = [
    (300.0, 0.0, 1 / 400),
    (300.0, 1 / 400, 0.0),
    (250.0, 0.0, -1 / 150),
    (500.0, -1 / 600, 1 / 350),
    (120.0, 1 / 900, 1 / 438),
    (2000.0, 0.0, 1 / 250),
]
"""Length, and the curvatures between which it runs."""


def spiral_end(length_mm: float, curvature_from: float, curvature_to: float) -> complex:
    """Return where a transition from the origin along x ends.

    **Source** the power series of Fresnel's integrals, summed in fifty figures. The run
    is part of a spiral that begins straight, so one sum is taken from another.
    """
    with localcontext() as context:
        context.prec = 50
        first, last = Decimal(curvature_from), Decimal(curvature_to)
        rate = (last - first) / Decimal(length_mm)
        from_mm, to_mm = first / rate, last / rate
        one, other = fresnel(rate, from_mm), fresnel(rate, to_mm)
        along = float(other[0] - one[0])
        aside = float(other[1] - one[1])
        turned = float(rate * from_mm * from_mm / 2)
    return complex(along, aside) * complex(cos(turned), -sin(turned))


def fresnel(rate: Decimal, to_mm: Decimal) -> tuple[Decimal, Decimal]:
    """Return the integrals of the cosine and the sine of rate · s² ÷ 2."""
    sums = [Decimal(0), Decimal(0)]
    term = to_mm
    for order in range(400):
        signed = -term if order % 4 in (2, 3) else term
        sums[order % 2] += signed / (2 * order + 1)
        term *= rate * to_mm * to_mm / 2 / (order + 1)
    return sums[0], sums[1]


@pytest.mark.parametrize(("length_mm", "curvature_from", "curvature_to"), SPIRALS)
def test_a_transition_ends_where_the_series_in_fifty_figures_does(
    length_mm: float, curvature_from: float, curvature_to: float
) -> None:
    run = Run(
        length_mm=length_mm, curvature_from=curvature_from, curvature_to=curvature_to
    )
    seen = spiral_end(length_mm, curvature_from, curvature_to)
    assert abs(Path((run,)).end.point - seen) < EXACT_MM


def simpson_end(run: Run, *, steps: int = 40_000) -> complex:
    """Return the end by Simpson's rule, in steps of less than a tenth of a mm."""
    step_mm = run.length_mm / steps
    total = 0j
    for step in range(steps + 1):
        along_mm = step * step_mm
        turned = along_mm * (run.curvature_from + run.rate * along_mm / 2)
        inner = 4 if step % 2 else 2
        weight = 1 if step in (0, steps) else inner
        total += weight * complex(cos(turned), sin(turned))
    return total * step_mm / 3


@pytest.mark.parametrize(("length_mm", "curvature_from", "curvature_to"), SPIRALS)
def test_a_transition_ends_where_simpsons_rule_does(
    length_mm: float, curvature_from: float, curvature_to: float
) -> None:
    run = Run(
        length_mm=length_mm, curvature_from=curvature_from, curvature_to=curvature_to
    )
    assert abs(Path((run,)).end.point - simpson_end(run)) < EXACT_MM


@pytest.mark.parametrize("radius_mm", [30.0, 371.0, 438.0, 1e6])
@pytest.mark.parametrize("length_mm", [1.0, 250.0, 3000.0])
def test_an_arc_ends_where_the_circle_does(radius_mm: float, length_mm: float) -> None:
    end = Path((arc(length_mm, radius_mm=radius_mm, hand="left"),)).end
    turned = length_mm / radius_mm
    versine_mm = 2 * radius_mm * sin(turned / 2) ** 2
    assert abs(end.point - complex(radius_mm * sin(turned), versine_mm)) < EXACT_MM
    assert end.heading == pytest.approx(turned)


def test_a_transition_between_equal_radii_is_an_arc() -> None:
    same = transition(250.0, radius_from_mm=400, radius_to_mm=400, hand="right")
    assert same == arc(250.0, radius_mm=400, hand="right")
    assert same.is_even


def test_met_from_the_other_end_a_transition_eases_and_is_of_the_other_hand() -> None:
    run = transition(250.0, radius_from_mm=None, radius_to_mm=400, hand="left")
    back = transition(250.0, radius_from_mm=400, radius_to_mm=None, hand="right")
    assert run.reversed == back
    assert run.reversed.reversed == run


def test_in_the_mirror_a_run_is_of_the_other_hand() -> None:
    run = transition(250.0, radius_from_mm=None, radius_to_mm=400, hand="left")
    other = transition(250.0, radius_from_mm=None, radius_to_mm=400, hand="right")
    assert run.mirrored == other


def test_a_run_turns_by_the_mean_of_its_curvatures() -> None:
    assert transition(
        300.0, radius_from_mm=None, radius_to_mm=400, hand="left"
    ).turn == pytest.approx(300 / 800)
    assert straight(300.0).turn == 0


def test_no_radius_is_straight() -> None:
    assert curvature_of(None, hand="right") == 0
    assert curvature_of(500, hand="left") == 1 / 500


@pytest.mark.parametrize("radius_mm", [0.0, -1.0, nan])
def test_a_radius_of_nothing_is_an_error(radius_mm: float) -> None:
    with pytest.raises(
        ValueError, match=r"radius_mm is .* mm, but has to be more than 0"
    ):
        arc(10.0, radius_mm=radius_mm, hand="left")


@pytest.mark.parametrize("length_mm", [-1.0, inf, nan])
def test_a_length_that_no_track_has_is_an_error(length_mm: float) -> None:
    with pytest.raises(
        ValueError, match=r"length_mm is .* mm, but has to be 0 mm or more"
    ):
        straight(length_mm)


def test_a_curvature_that_is_no_number_is_an_error() -> None:
    with pytest.raises(ValueError, match="curvature_from is inf per mm"):
        even(inf)


def test_a_run_wound_up_beyond_all_sense_is_an_error() -> None:
    with pytest.raises(ValueError, match="but 1000 radians is the most"):
        arc(10_001.0, radius_mm=10, hand="left")
