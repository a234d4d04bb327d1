"""A ladder: a road that leads at an angle across others, with points to each of them."""

import msgspec

from standage.railway.pointwork.parting import Parting


class Ladder(msgspec.Struct, frozen=True, kw_only=True):
    """Roads at one spacing that a ladder leads to, by points of one angle.

    ``lead_counts`` says whether the road that the ladder leaves is one of ``roads``.
    """

    parting: Parting
    spacing_mm: float
    roads: int
    lead_counts: bool

    @property
    def pitches(self) -> int:
        """How many times the spacing the last road lies off the lead; at least 0."""
        if self.lead_counts:
            return self.roads - 1
        return self.roads

    @property
    def along_line_mm(self) -> float:
        """From one set of points to the next along the roads: c cot α. **Source**
        derived.
        """
        return self.parting.along_line_mm(self.spacing_mm)

    @property
    def along_ladder_mm(self) -> float:
        """The same along the ladder: c ÷ sin α. **Source** derived."""
        return self.parting.along_leg_mm(self.spacing_mm)


def spacing_for_points_mm(parting: Parting, *, points_length_mm: float) -> float:
    """Return how far apart roads must lie at least for sets of points of that length,
    tips to the end of the leg, to lie one behind another along the ladder.

    From set to set it is c ÷ sin α along the ladder, so c is at least the length times
    sin α. **Source** derived.

    >>> round(spacing_for_points_mm(Parting(30.0), points_length_mm=180.0), 6)
    90.0
    """
    return points_length_mm * parting.sine


def spacing_for_curves_mm(
    parting: Parting, *, radius_mm: float, straight_mm: float
) -> float:
    """Return how far apart two roads must lie at least for a curve off the one and a
    curve into the other, with so much straight track between them.

    Each curve takes up R tan(α ÷ 2) of the road between; without a straight it comes to
    2R (1 − cos α). **Source** derived.

    >>> round(spacing_for_curves_mm(Parting(60.0), radius_mm=500.0, straight_mm=0.0), 6)
    500.0
    """
    curves_mm = 2 * parting.curve_mm(radius_mm)
    return (curves_mm + straight_mm) * parting.sine
