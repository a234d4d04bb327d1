"""A crossover: a straight road between two parallel ones, with like points in both."""

import msgspec

from standage.railway.pointwork.parting import Parting


class Crossover(msgspec.Struct, frozen=True, kw_only=True):
    """Two sets of points of one angle, back to back between parallel roads; the spacing
    lies between centre lines.
    """

    parting: Parting
    spacing_mm: float
    gauge_mm: float

    @property
    def along_line_mm(self) -> float:
        """From where one road's lines cross to where the other's do, along the roads."""
        return self.parting.along_line_mm(self.spacing_mm)

    @property
    def along_crossover_mm(self) -> float:
        """The same along the crossover."""
        return self.parting.along_leg_mm(self.spacing_mm)

    @property
    def noses_along_line_mm(self) -> float:
        """From nose to nose along the roads; below 0 where the one has passed the other.

        It is c cot α less both noses, which is (c − g) cot α − g ÷ sin α. **Source**
        derived.
        """
        return self.along_line_mm - self._both_noses_mm

    @property
    def noses_along_crossover_mm(self) -> float:
        """The same along the crossover: c ÷ sin α less both noses. **Source** derived."""
        return self.along_crossover_mm - self._both_noses_mm

    @property
    def _both_noses_mm(self) -> float:
        return 2 * self.parting.nose_mm(self.gauge_mm)

    def straight_mm(self, *, radius_mm: float) -> float:
        """How much straight track lies between the curves of the two sets of points;
        below 0 where they would overlap.

        It is c ÷ sin α − 2R tan(α ÷ 2), where curves begin at the tips. **Source**
        derived.

        >>> crossover = Crossover(
        ...     parting=Parting(12.0), spacing_mm=50.0, gauge_mm=16.5
        ... )
        >>> round(crossover.straight_mm(radius_mm=610.0), 1)
        112.3
        """
        curves_mm = 2 * self.parting.curve_mm(radius_mm)
        return self.along_crossover_mm - curves_mm

    def greatest_radius_mm(self, *, straight_mm: float) -> float:
        """Return the greatest radius that leaves so much straight track; 0 or less where
        none does. **Source** derived: the inverse of ``straight_mm``.
        """
        left_mm = self.along_crossover_mm - straight_mm
        return left_mm / 2 / self.parting.half_tangent
