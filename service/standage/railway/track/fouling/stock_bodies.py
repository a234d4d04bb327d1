"""What stands and what moves where fouling points are found by stock."""

from math import hypot
from typing import Literal

import msgspec

from standage.railway.track.paths.outlines import Outline

BodyEnd = Literal["front", "rear"]
BOTH_ENDS: tuple[BodyEnd, ...] = ("front", "rear")
_FRONT: tuple[BodyEnd, ...] = ("front",)


class StockBody(msgspec.Struct, frozen=True, kw_only=True):
    """A body of a vehicle, its front ahead, and how far it lies from either end of the
    whole.

    Of a vehicle that may stand on its wheels in several ways there is one for each.
    """

    outline: Outline
    from_front_mm: float = 0.0
    from_rear_mm: float = 0.0

    def towards(self, end: BodyEnd) -> Outline:
        """Return the outline as one sees it from the blades, which ``end`` is
        nearer."""
        if end == "front":
            return self.outline.turned_about
        return self.outline

    def from_end_mm(self, end: BodyEnd) -> float:
        """Return how far it lies from an end of the vehicle."""
        if end == "front":
            return self.from_front_mm
        return self.from_rear_mm


class Stock(msgspec.Struct, frozen=True, kw_only=True):
    """A vehicle by its bodies, and which of its ends is towards the blades.

    Without an ``end`` it is tried both ways.
    """

    bodies: tuple[StockBody, ...]
    end: BodyEnd | None = None

    @property
    def ends(self) -> tuple[BodyEnd, ...]:
        """The ends that may be towards the blades; one where both are alike."""
        if self.end is not None:
            return (self.end,)
        if self.is_alike_both_ways:
            return _FRONT
        return BOTH_ENDS

    @property
    def is_alike_both_ways(self) -> bool:
        """Whether it is the same from either end."""
        turned = {
            StockBody(
                outline=body.outline.turned_about,
                from_front_mm=body.from_rear_mm,
                from_rear_mm=body.from_front_mm,
            )
            for body in self.bodies
        }
        return turned == set(self.bodies)

    @property
    def least_radius_mm(self) -> float:
        """The radius of the circle that its wheels span: it stands on no sharper
        curve."""
        wheels = (body.outline.wheels for body in self.bodies)
        return max(hypot(one.pivots_mm, one.bogie_wheelbase_mm) / 2 for one in wheels)

    @property
    def length_mm(self) -> float:
        """The length of its longest body."""
        return max(body.outline.length_mm for body in self.bodies)

    @property
    def half_width_mm(self) -> float:
        """Half of its greatest width."""
        return max(body.outline.half_width_mm for body in self.bodies)


class Clearance(msgspec.Struct, frozen=True, kw_only=True):
    """Which vehicle stands on which leg, what moves on the others, and what they keep."""

    leg: str
    standing: Stock
    moving: Stock
    margin_mm: float
