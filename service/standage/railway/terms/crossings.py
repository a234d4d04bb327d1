"""Points by their number: the angle at which their two roads part, and the simple set
that fits it.

A number is measured in one of two ways, which differ a little: along the line that
halves the angle (North American and British practice), or along one of the two roads
(continental practice, 1:n).
"""

import math
from typing import Literal

Measure = Literal["centre_line", "tangent"]


def crossing_angle_deg(number: float, *, measure: Measure) -> float:
    """Return the angle of a crossing of that number, in degrees; ``number`` is above 0
    (and then the angle below 180).

    By the centre line it is 2·atan(1/(2N)), by the tangent atan(1/n), which is below
    90. **Source** North American practice and continental practice; both are the
    trade's definitions.

    >>> (
    ...     round(crossing_angle_deg(6, measure="centre_line"), 2),
    ...     round(crossing_angle_deg(9, measure="tangent"), 2),
    ... )
    (9.53, 6.34)
    """
    _positive("number", number)
    if measure == "tangent":
        return math.degrees(math.atan(1 / number))
    half_angle = math.atan(1 / (2 * number))
    return math.degrees(2 * half_angle)


def crossing_number(angle_deg: float, *, measure: Measure) -> float:
    """Return the number of a crossing of that angle: the inverse of
    ``crossing_angle_deg``.

    ``angle_deg`` lies above 0 and below 90. **Source** derived.

    >>> round(crossing_number(9.527, measure="centre_line"), 2)
    6.0
    """
    _positive("angle_deg", angle_deg)
    if angle_deg >= 90:  # noqa: PLR2004 - a right angle
        message = f"angle_deg {angle_deg:g} must be below 90 degrees"
        raise ValueError(message)
    angle = math.radians(angle_deg)
    if measure == "tangent":
        return 1 / math.tan(angle)
    return 1 / (2 * math.tan(angle / 2))


def simple_lead_mm(angle_deg: float, *, gauge_mm: float) -> float:
    """Return how far the crossing's nose lies from the blade tips in a simple set: one
    curve from tip to nose, in mm.

    It is 2gN with N by the centre line, exactly. A set with straight blades or a
    straight crossing is shorter. **Source** text-books' simple turnout.

    >>> round(simple_lead_mm(crossing_angle_deg(6, measure="centre_line"), gauge_mm=914.4) / 25.4)
    432
    """
    _positive("gauge_mm", gauge_mm)
    number = crossing_number(
        angle_deg,
        measure="centre_line",
    )
    return 2 * gauge_mm * number


def simple_radius_mm(angle_deg: float, *, gauge_mm: float) -> float:
    """Return the radius of that one curve, to the centre line, in mm: the greatest that
    such a set can have.

    It is 2gN² with N by the centre line, exactly. Straight blades or a straight
    crossing make the curve sharper. **Source** text-books' simple turnout.

    >>> round(simple_radius_mm(crossing_angle_deg(6, measure="centre_line"), gauge_mm=914.4) / 25.4)
    2592
    """
    _positive("gauge_mm", gauge_mm)
    number = crossing_number(
        angle_deg,
        measure="centre_line",
    )
    return 2 * gauge_mm * number * number


def _positive(name: str, value: float) -> None:
    is_a_figure = math.isfinite(value)
    if is_a_figure and value > 0:
        return
    message = f"{name} {value:g} must be above 0"
    raise ValueError(message)
