"""Roads that lead off a turntable like spokes: how far apart they are, and from where a
vehicle on one is clear of the next.
"""

from math import asin, degrees, radians, sin

import msgspec

OPPOSITE_DEG = 180.0


def chord_mm(angle_deg: float, *, from_centre_mm: float) -> float:
    """Return how far apart two roads are, so far along both of them: 2r sin(θ ÷ 2).

    ``angle_deg`` lies above 0 and up to 180, where they are opposite. **Source**
    derived.

    >>> round(chord_mm(60.0, from_centre_mm=150.0), 6)
    150.0
    """
    half = radians(angle_deg / 2)
    return 2 * from_centre_mm * sin(half)


def nearest_mm(angle_deg: float, *, from_centre_mm: float) -> float:
    """Return how far a place on one road is from the other road's line: r sin θ.

    The line goes on over the table, as a train does that moves on that road; so opposite
    roads, at 180 degrees, are nothing apart. **Source** derived.

    >>> round(nearest_mm(30.0, from_centre_mm=150.0), 6)
    75.0
    """
    if angle_deg >= OPPOSITE_DEG:
        return 0.0
    return from_centre_mm * sin(radians(angle_deg))


def angle_by_chord_deg(spacing_mm: float, *, from_centre_mm: float) -> float | None:
    """Return the angle at which two roads are so far apart there; None where the spacing
    is more than the diameter. **Source** derived: the inverse of ``chord_mm``.

    >>> angle_by_chord_deg(150.0, from_centre_mm=75.0)
    180.0
    """
    part = spacing_mm / from_centre_mm / 2
    if part > 1:
        return None
    return degrees(2 * asin(part))


def angle_by_nearest_deg(spacing_mm: float, *, from_centre_mm: float) -> float | None:
    """Return the least angle at which a place on one road is so far from the other
    road's line; None where the spacing is more than the radius. **Source** derived: the
    inverse of ``nearest_mm``.

    >>> round(angle_by_nearest_deg(75.0, from_centre_mm=150.0), 6)
    30.0
    """
    part = spacing_mm / from_centre_mm
    if part > 1:
        return None
    return degrees(asin(part))


def clear_by_chord_mm(spacing_mm: float, *, angle_deg: float) -> float:
    """Return how far from the centre two roads are so far apart, abreast of each other:
    s ÷ (2 sin(θ ÷ 2)). **Source** derived: the inverse of ``chord_mm``.

    >>> round(clear_by_chord_mm(45.0, angle_deg=60.0), 6)
    45.0
    """
    half = radians(angle_deg / 2)
    return spacing_mm / 2 / sin(half)


def clear_by_nearest_mm(spacing_mm: float, *, angle_deg: float) -> float | None:
    """Return how far from the centre a place on one road is so far from the other road's
    line: s ÷ sin θ; None where it never is, as between opposite roads. **Source**
    derived: the inverse of ``nearest_mm``.

    >>> round(clear_by_nearest_mm(45.0, angle_deg=30.0), 6)
    90.0
    """
    if angle_deg >= OPPOSITE_DEG:
        return None
    return spacing_mm / sin(radians(angle_deg))


class SpokeRoads(msgspec.Struct, frozen=True, kw_only=True):
    """Two roads off a turntable of that rim, by the angle between them, how far apart
    they are to be, or both. What does not exist, or rests on what is not given, is None.
    """

    rim_radius_mm: float
    given_angle_deg: float | None = None
    spacing_mm: float | None = None

    @property
    def angle_deg(self) -> float | None:
        """The angle: as it is given, or that whose chord at the rim is the spacing."""
        if self.given_angle_deg is not None or self.spacing_mm is None:
            return self.given_angle_deg
        return angle_by_chord_deg(self.spacing_mm, from_centre_mm=self.rim_radius_mm)

    @property
    def angle_by_nearest_deg(self) -> float | None:
        """The angle at which the rim is so far from the other road's line; None beside a
        given angle.
        """
        if self.given_angle_deg is not None or self.spacing_mm is None:
            return None
        return angle_by_nearest_deg(self.spacing_mm, from_centre_mm=self.rim_radius_mm)

    @property
    def at_rim_mm(self) -> float | None:
        """How far apart the roads begin."""
        if self.angle_deg is None:
            return None
        return chord_mm(self.angle_deg, from_centre_mm=self.rim_radius_mm)

    @property
    def nearest_at_rim_mm(self) -> float | None:
        """How far the beginning of one road is from the other's line."""
        if self.angle_deg is None:
            return None
        return nearest_mm(self.angle_deg, from_centre_mm=self.rim_radius_mm)

    @property
    def clear_by_chord_mm(self) -> float | None:
        """How far from the centre the roads are the spacing apart."""
        if self.given_angle_deg is None or self.spacing_mm is None:
            return None
        return clear_by_chord_mm(self.spacing_mm, angle_deg=self.given_angle_deg)

    @property
    def clear_by_nearest_mm(self) -> float | None:
        """How far from the centre a vehicle is clear of a train on the other road."""
        if self.given_angle_deg is None or self.spacing_mm is None:
            return None
        return clear_by_nearest_mm(self.spacing_mm, angle_deg=self.given_angle_deg)

    @property
    def beyond_rim_by_chord_mm(self) -> float | None:
        """The first of the two from the rim on; 0 where it lies within."""
        return self._beyond_rim_mm(self.clear_by_chord_mm)

    @property
    def beyond_rim_by_nearest_mm(self) -> float | None:
        """The second."""
        return self._beyond_rim_mm(self.clear_by_nearest_mm)

    def _beyond_rim_mm(self, from_centre_mm: float | None) -> float | None:
        if from_centre_mm is None:
            return None
        return max(0.0, from_centre_mm - self.rim_radius_mm)
