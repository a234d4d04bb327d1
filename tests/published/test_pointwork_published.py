"""Marks, ladders and crossovers against figures published elsewhere, and against figures
that follow from a number in exact fractions.
"""

from fractions import Fraction
from math import isclose, sqrt
from typing import Any

from standage.questions import crossover, ladder, points_mark
from standage.questions.crossover import CrossoverAnswer
from standage.questions.ladder import LadderAnswer
from standage.questions.points_mark_answer import PointsMarkAnswer
from standage.shapes.decoding import convert
from support.walks import at_each

INCH_MM = 25.4


def marked(**asked: Any) -> PointsMarkAnswer:
    return points_mark.reckon(convert(asked, points_mark.PointsMarkRequest))


def crossed(**asked: Any) -> CrossoverAnswer:
    return crossover.reckon(convert(asked, crossover.CrossoverRequest))


def laddered(**asked: Any) -> LadderAnswer:
    body = {"roads": 2, "lead_counts": True, **asked}
    return ladder.reckon(convert(body, ladder.LadderRequest))


def test_the_mark_of_a_1_in_9_25_crossing_between_near_rails() -> None:
    """Source: a permanent-way engineer's published example, 2023: 1,970 mm between near
    rails on a broad gauge; 1,972.86 long, 18,328.7 from the nose, 106.18 off square.
    """
    found = marked(number=9.25, number_is="tangent", near_rails_mm=1970, gauge_mm=1676)
    assert isclose(found.angle_deg, 6.17, abs_tol=0.005)
    assert isclose(found.mark_length_mm or 0, 1972.86, abs_tol=0.005)
    assert isclose(found.from_nose_mm or 0, 18328.7, abs_tol=0.05)
    assert isclose(found.squared_from_one_line_mm or 0, 106.18, abs_tol=0.005)
    # squared it would stand that much nearer, at S cot α: 1,970 × 9.25
    squared_mm = found.from_nose_if_squared_mm or 0
    assert isclose(squared_mm, 18222.5, abs_tol=0.0005)
    assert isclose((found.from_nose_mm or 0) - squared_mm, 106.18, abs_tol=0.005)


def test_a_mark_between_near_rails_is_no_wider_spacing() -> None:
    """From the nose S ÷ sin α along the rail: with the spacing that is S and a gauge it
    would stand farther out by g ÷ 4N. Source: derived, in exact fractions.
    """
    rails = marked(number=6, near_rails_mm=28.5, scale="00")
    lines = marked(number=6, spacing_mm=45, scale="00")
    pitch = 6 + Fraction(1, 24)
    assert rails.from_nose_mm == float(Fraction("28.5") * pitch)
    farther = Fraction("16.5") / 24
    assert lines.from_nose_mm == float(Fraction("28.5") * pitch + farther)


@at_each(
    "scale, spacing, number, number_is, from_nose_mm",
    [
        ("00", 45, 6, "centre_line", 172.875),
        ("H0", 46, 9, "tangent", 267.591),
        ("N", 25, 6, "centre_line", 97.042),
    ],
)
def test_marks_of_straight_legs_from_the_nose(
    scale: str, spacing: int, number: int, number_is: str, from_nose_mm: float
) -> None:
    """Source: derived, 1 ÷ sin α = N + 1/4N by the centre line, √(N² + 1) by tangent."""
    found = marked(number=number, number_is=number_is, scale=scale, spacing_mm=spacing)
    assert found.verdict == "clear_if_straight"
    assert isclose(found.from_nose_mm or 0, from_nose_mm, abs_tol=0.0005)
    assert found.stays_straight_to_mm == found.from_crossing_of_lines_mm


def test_a_number_6_in_00_has_a_mark_of_45_156_and_squaring_errs_by_3_75() -> None:
    """Source: derived; squaring errs by c ÷ 2N exactly."""
    found = marked(number=6, scale="00", spacing_mm=45)
    assert isclose(found.mark_length_mm or 0, 45.156, abs_tol=0.0005)
    assert found.squared_from_one_line_mm == 3.75
    assert found.from_nose_if_squared_mm == 172.875 - 3.75
    assert found.from_crossing_of_lines_mm == 271.875


@at_each(
    "parallel_mm, mark_mm",
    [(None, 271.9), (50, 282.3), (45, 347.7)],
)
def test_a_leg_that_curves_back_to_parallel_is_clear_farther_out(
    parallel_mm: float | None, mark_mm: float
) -> None:
    """No. 6, mark 45, R 914. Source: worked examples of the trade, to a tenth."""
    back = {}
    if parallel_mm is not None:
        back = {"parallel_spacing_mm": parallel_mm, "curve_back_radius_mm": 914}
    found = marked(number=6, scale="00", spacing_mm=45, **back)
    assert isclose(found.from_crossing_of_lines_mm or 0, mark_mm, abs_tol=0.05)


def test_a_crossover_of_two_and_a_quarter_inches_and_a_number_5() -> None:
    """Gauge 0.65 in: 4.6375 in along the line, 4.8625 along the crossover. Source:
    derived.
    """
    found = crossed(spacing_mm=2.25 * INCH_MM, gauge_mm=0.65 * INCH_MM, number=5)
    assert isclose(found.nose_to_nose_along_line_mm / INCH_MM, 4.6375, abs_tol=1e-6)
    along_mm = found.nose_to_nose_along_crossover_mm
    assert isclose(along_mm / INCH_MM, 4.8625, abs_tol=1e-6)


def test_a_crossover_of_50_mm_and_a_number_6() -> None:
    """99.917 and 104.083 mm. Source: derived."""
    found = crossed(spacing_mm=50, gauge_mm=16.5, number=6)
    assert isclose(found.nose_to_nose_along_line_mm, 99.917, abs_tol=0.0005)
    assert isclose(found.nose_to_nose_along_crossover_mm, 104.083, abs_tol=0.0005)


@at_each("radius_mm, straight_mm", [(610, 112.3), (914, 48.4)])
def test_the_straight_of_a_crossover_of_12_degrees(
    radius_mm: float, straight_mm: float
) -> None:
    """Roads 50 mm apart. Source: derived."""
    found = crossed(spacing_mm=50, angle_deg=12, scale="00", radius_mm=radius_mm)
    assert isclose(found.straight_mm or 0, straight_mm, abs_tol=0.05)


def test_a_ladder_of_2_inches_and_a_number_6() -> None:
    """Pitch 11.9167 along the line, 12.0833 along the ladder; by tangent 12 and 12.166.
    Source: derived.
    """
    found = laddered(number=6, spacing_mm=2 * INCH_MM, scale="HO")
    assert isclose(found.pitch_along_line_mm / INCH_MM, 11.9167, abs_tol=0.00005)
    assert isclose(found.pitch_along_ladder_mm / INCH_MM, 12.0833, abs_tol=0.00005)
    found = laddered(number=6, number_is="tangent", spacing_mm=2 * INCH_MM)
    assert isclose(found.pitch_along_line_mm / INCH_MM, 12.0, abs_tol=1e-6)
    assert isclose(found.pitch_along_ladder_mm / INCH_MM, 12.166, abs_tol=0.0006)


NUMBERS = [Fraction(one, 4) for one in (4, 9, 17, 24, 37, 400)]
TENTHS = [Fraction(one, 10) for one in (166, 450, 523, 8901)]


@at_each("number, spacing", [(n, c) for n in NUMBERS for c in TENTHS])
def test_figures_of_a_number_by_the_centre_line_are_exact(
    number: Fraction, spacing: Fraction
) -> None:
    """cot α = N − 1/4N, 1 ÷ sin α = N + 1/4N, the nose gN. Source: derived."""
    gauge = Fraction("16.5")
    cotangent, pitch = number - 1 / (4 * number), number + 1 / (4 * number)
    asked = {"number": float(number), "spacing_mm": float(spacing), "scale": "00"}
    mark, cross, row = marked(**asked), crossed(**asked), laddered(**asked)
    for told, exact in (
        (mark.from_crossing_of_lines_mm, spacing * pitch),
        (mark.from_nose_mm, spacing * pitch - gauge * number),
        (mark.squared_from_one_line_mm, spacing / (2 * number)),
        (
            cross.nose_to_nose_along_line_mm,
            (spacing - gauge) * cotangent - gauge * pitch,
        ),
        (cross.nose_to_nose_along_crossover_mm, spacing * pitch - 2 * gauge * number),
        (row.pitch_along_line_mm, spacing * cotangent),
        (row.pitch_along_ladder_mm, spacing * pitch),
    ):
        assert told == round(float(exact), 6) + 0.0


@at_each("number, spacing", [(n, c) for n in NUMBERS for c in TENTHS])
def test_figures_of_a_number_by_the_tangent(
    number: Fraction, spacing: Fraction
) -> None:
    """cot α = N, 1 ÷ sin α = √(N² + 1), the nose (g ÷ 2)(N + √(N² + 1))."""
    n, c, root = float(number), float(spacing), sqrt(number**2 + 1)
    asked = {"number": n, "number_is": "tangent", "spacing_mm": c, "scale": "00"}
    mark, row = marked(**asked), laddered(**asked)
    nose_mm = 16.5 / 2 * (n + root)
    assert isclose(mark.from_nose_mm or 0, c * root - nose_mm, abs_tol=1e-5)
    assert row.pitch_along_line_mm == round(float(spacing * number), 6)
    assert isclose(row.pitch_along_ladder_mm, c * root, abs_tol=1e-5)
