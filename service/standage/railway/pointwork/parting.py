"""Two straight roads that part at the angle of a set of points: how far along them a
distance lies, where the crossing's nose is, and how much of them a curve takes up.
"""

from math import cos, radians, sin, tan

import msgspec

_WIDEST_DEG = 90


class Parting(msgspec.Struct, frozen=True):
    """Two lines that cross at an angle, in degrees above 0 and below 90; everything is
    measured from where they cross.
    """

    angle_deg: float

    def __post_init__(self) -> None:
        """Refuse lines that lie in one, or part at a right angle or more."""
        if 0 < self.angle_deg < _WIDEST_DEG:
            return
        message = f"angle_deg {self.angle_deg:g} must be above 0 and below 90 degrees"
        raise ValueError(message)

    @property
    def angle(self) -> float:
        """The angle in radians."""
        return radians(self.angle_deg)

    @property
    def sine(self) -> float:
        """How far apart the lines are for each mm along one of them."""
        return sin(self.angle)

    @property
    def half_tangent(self) -> float:
        """The tangent of half the angle: 1/(2N) of a number N by the centre line."""
        return tan(self.angle / 2)

    def along_leg_mm(self, apart_mm: float) -> float:
        """How far along one line its distance from the other comes to ``apart_mm``.

        It is c ÷ sin α. **Source** derived.

        >>> round(Parting(30.0).along_leg_mm(45.0), 6)
        90.0
        """
        return apart_mm / self.sine

    def along_line_mm(self, apart_mm: float) -> float:
        """How far along the other line that place stands abreast, square across.

        It is c cot α: nearer than ``along_leg_mm`` by c tan(α ÷ 2). **Source** derived.

        >>> round(Parting(45.0).along_line_mm(50.0), 6)
        50.0
        """
        return apart_mm * cos(self.angle) / self.sine

    def nose_mm(self, gauge_mm: float) -> float:
        """How far along either line the nose of the crossing stands abreast, where the
        near rails of both roads meet.

        It is (g ÷ 2) cot(α ÷ 2): gN of a number N by the centre line. **Source**
        derived.

        >>> round(Parting(53.130102354).nose_mm(16.5), 6)
        16.5
        """
        return gauge_mm / 2 / self.half_tangent

    def curve_mm(self, radius_mm: float) -> float:
        """How far before and beyond where the lines cross a curve from the one into the
        other begins and ends.

        It is R tan(α ÷ 2). **Source** derived: the tangents of a circle.

        >>> round(Parting(53.130102354).curve_mm(600.0), 6)
        300.0
        """
        return radius_mm * self.half_tangent
