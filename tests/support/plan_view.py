"""Bodies put on a circle in plan, step by step, by plane geometry and bisection: a
second way to the throws.

It knows none of the formulas: axles are put on the circle, a bogie's pivot midway
between its axles, the second pivot is searched for along the circle until it is as far
from the first as it must be, and the body's corners follow.
"""

from cmath import exp
from typing import NamedTuple

from shapely.geometry import Polygon  # type: ignore[import-untyped] # shapely ships no types


class Plan(NamedTuple):
    """A body in plan, the circle's centre at 0: where it is midway between its pivots,
    and its corners.
    """

    middle: complex
    inner_front: complex
    outer_front: complex
    outer_rear: complex
    inner_rear: complex

    def polygon(self) -> Polygon:
        """Return the body's outline."""
        return Polygon([(corner.real, corner.imag) for corner in self[1:]])

    def turned(self, angle: float) -> "Plan":
        """Return the body moved on along the circle by an angle in radians."""
        return Plan(*(point * exp(1j * angle) for point in self))


class Stock(NamedTuple):
    """A body's figures in mm; the half-lengths run from midway between the pivots."""

    pivots: float
    bogie: float
    front: float
    rear: float
    width: float


def angle_of_chord(radius: float, chord: float) -> float:
    """Return by bisection the angle at the centre between two points of a circle that
    are ``chord`` apart.
    """
    low, high = 0.0, 3.141592653589793
    for _ in range(200):
        middle = (low + high) / 2
        if abs(radius * exp(1j * middle) - radius) < chord:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def stood(radius: float, stock: Stock) -> Plan:
    """Return the body on a circle round 0, its middle at the top, its front to the
    left.
    """
    bogie_angle = angle_of_chord(radius, stock.bogie)
    pivot = (
        radius * exp(1j * bogie_angle / 2) + radius * exp(-1j * bogie_angle / 2)
    ) / 2
    half_turn = angle_of_chord(abs(pivot), stock.pivots) / 2
    up = 1j * abs(pivot)
    front_pivot, rear_pivot = up * exp(1j * half_turn), up * exp(-1j * half_turn)
    middle = (front_pivot + rear_pivot) / 2
    along = (front_pivot - rear_pivot) / abs(front_pivot - rear_pivot)
    outwards = along * -1j
    ends = (middle + along * stock.front, middle - along * stock.rear)
    half = outwards * stock.width / 2
    return Plan(middle, ends[0] - half, ends[0] + half, ends[1] + half, ends[1] - half)
