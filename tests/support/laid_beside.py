"""Bodies laid down by hand on a curve that runs out into straight track, and what
stands beside it, as shapely has both: for want of the service's own sweep.

The curve ends at 0 and bends to the left before it. Places count along the centre line,
before 0 on the curve. Wheels are found by halving, and a platform is a strip of points.
"""

from typing import NamedTuple

import numpy as np
import shapely  # type: ignore[import-untyped] # ships no types
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Points = NDArray[np.complex128]

STEP_MM = 0.5
_HALVINGS = 36
_DEEP_MM = 400.0


class Laid(NamedTuple):
    """A body by its pivots, its bogies' wheelbase, its halves and its width."""

    pivots_mm: float
    bogie_mm: float
    ahead_mm: float
    behind_mm: float
    width_mm: float


class Line(NamedTuple):
    """The centre line, and where what stands beside it begins."""

    radius_mm: float
    from_mm: float

    def at(self, places_mm: Floats) -> tuple[Points, Points]:
        """Return points of the line and which way it runs there."""
        turned = np.minimum(places_mm, 0.0) / self.radius_mm
        on_arc = 1j * self.radius_mm * (1 - np.exp(1j * turned))
        point = on_arc + np.maximum(places_mm, 0.0)
        return point, np.exp(1j * turned)

    def behind(self, places_mm: Floats, chord_mm: float) -> Floats:
        """Return the places behind whose points lie a chord off."""
        if chord_mm == 0:
            return places_mm
        ahead, _ = self.at(places_mm)
        near, far = places_mm.copy(), places_mm - 1.6 * chord_mm
        for _ in range(_HALVINGS):
            middle = (near + far) / 2
            point, _ = self.at(middle)
            is_short = np.abs(ahead - point) < chord_mm
            near = np.where(is_short, middle, near)
            far = np.where(is_short, far, middle)
        return (near + far) / 2

    def pivot(self, leading_axles_mm: Floats, bogie_mm: float) -> Points:
        """Return the pivots of bogies: midway between their axles."""
        last_mm = self.behind(leading_axles_mm, bogie_mm)
        one, _ = self.at(leading_axles_mm)
        other, _ = self.at(last_mm)
        middle: Points = (one + other) / 2
        return middle

    def rear_axles(self, leading_axles_mm: Floats, body: Laid) -> Floats:
        """Return the leading axles of the rear bogies."""
        front = self.pivot(leading_axles_mm, body.bogie_mm)
        near = leading_axles_mm.copy()
        far = leading_axles_mm - 1.6 * body.pivots_mm
        for _ in range(_HALVINGS):
            middle = (near + far) / 2
            apart = np.abs(front - self.pivot(middle, body.bogie_mm))
            is_short = apart < body.pivots_mm
            near = np.where(is_short, middle, near)
            far = np.where(is_short, far, middle)
        return (near + far) / 2

    def bodies(self, body: Laid) -> list[shapely.Polygon]:
        """Return the body as a rectangle at every half mm, from where it is wholly on
        the curve to where it is wholly on straight track.
        """
        length_mm = body.pivots_mm + body.ahead_mm + body.behind_mm + 2 * body.bogie_mm
        first_mm = min(self.from_mm, 0.0) - length_mm
        off_mm = body.pivots_mm + 2 * body.bogie_mm
        places = np.arange(first_mm, off_mm, STEP_MM)
        front = self.pivot(places, body.bogie_mm)
        rear = self.pivot(self.rear_axles(places, body), body.bogie_mm)
        middle = (front + rear) / 2
        axis = (front - rear) / np.abs(front - rear)
        half_mm = body.width_mm / 2
        corners = [
            middle + axis * complex(along_mm, aside_mm)
            for along_mm, aside_mm in (
                (body.ahead_mm, half_mm),
                (-body.behind_mm, half_mm),
                (-body.behind_mm, -half_mm),
                (body.ahead_mm, -half_mm),
            )
        ]
        rings = np.stack(corners, axis=1)
        coordinates = np.stack((rings.real, rings.imag), axis=2)
        return list(shapely.polygons(coordinates))

    def platform(self, edge_mm: float, *, is_inside: bool) -> shapely.Polygon:
        """Return what stands beside the line from ``from_mm`` on, its edge so far off."""
        places = np.arange(self.from_mm, 900.0, STEP_MM)
        point, along = self.at(places)
        aside = along * (1j if is_inside else -1j)
        deep_mm = edge_mm + min(_DEEP_MM, self.radius_mm / 3)
        near = point + aside * edge_mm
        far = (point + aside * deep_mm)[::-1]
        ring = np.concatenate((near, far))
        return shapely.Polygon(np.column_stack((ring.real, ring.imag)))

    def is_fouled(
        self, bodies: list[shapely.Polygon], edge_mm: float, *, is_inside: bool
    ) -> bool:
        """Tell whether a body overlaps what stands beside the line anywhere."""
        platform = self.platform(edge_mm, is_inside=is_inside)
        shapely.prepare(platform)
        return bool(shapely.intersects(platform, bodies).any())
