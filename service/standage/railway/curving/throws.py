"""How far a body stands out from the centre line of a curve.

Each axle stands on the centre line of a curve of radius R. A bogie's pivot is midway
between its axles, so it runs on a slightly smaller circle; the body's middle line is
the chord between its pivots, and its nearest point to the curve's centre is midway
between them, at ``R_m = √(R² − (p/2)² − (a/2)²)`` with a between the pivots and p
between a bogie's axles. A rigid wheelbase is a body whose pivots are its end axles: p
is then 0.

**Source** derived; for long radii it falls back on the text-books' a²/8R inside and (L²
− a²)/8R outside. All figures in mm of the model, or all in any other one unit.
"""

from math import asin, degrees, hypot, inf, sqrt


def stands_on(
    radius_mm: float, *, pivots_mm: float, bogie_wheelbase_mm: float = 0.0
) -> bool:
    """Tell whether a body with these wheels can stand on the curve at all: its axles
    must span less than the circle. **Source** derived.

    >>> stands_on(100, pivots_mm=200)
    False
    """
    return radius_mm > hypot(pivots_mm / 2, bogie_wheelbase_mm / 2)


def centre_throw_mm(
    radius_mm: float, *, pivots_mm: float, bogie_wheelbase_mm: float = 0.0
) -> float:
    """Return how far the body's middle line stands inside the curve, midway between the
    pivots; 0 on straight track.

    Straight track is a radius of ``inf``. Raises ValueError where the body cannot stand
    on the curve. **Source** derived.

    >>> round(centre_throw_mm(438, pivots_mm=190), 2)
    10.43
    """
    if not stands_on(
        radius_mm, pivots_mm=pivots_mm, bogie_wheelbase_mm=bogie_wheelbase_mm
    ):
        least_mm = hypot(pivots_mm / 2, bogie_wheelbase_mm / 2)
        raise ValueError(
            f"radius_mm is {radius_mm:g} mm, but these wheels need more than"
            f" {least_mm:g} mm"
        )
    if radius_mm == inf:
        return 0.0
    square = (pivots_mm / 2) ** 2 + (bogie_wheelbase_mm / 2) ** 2
    return square / (
        radius_mm + sqrt(radius_mm**2 - square)
    )  # R − √(R² − s) without its loss of figures


def end_throw_mm(
    radius_mm: float,
    *,
    pivots_mm: float,
    half_length_mm: float,
    width_mm: float,
    bogie_wheelbase_mm: float = 0.0,
) -> float:
    """Return how much farther out the body's outer corner stands than it would on
    straight track.

    ``half_length_mm`` runs from the middle of the pivots to the end in question.
    Negative where the end stays inside the pivots' circle by more than it swings out. 0
    on straight track (a radius of ``inf``). Raises ValueError where the body cannot
    stand on the curve. **Source** derived.

    >>> round(end_throw_mm(438, pivots_mm=190, half_length_mm=135, width_mm=37), 2)
    9.55
    """
    inside_mm = centre_throw_mm(
        radius_mm, pivots_mm=pivots_mm, bogie_wheelbase_mm=bogie_wheelbase_mm
    )
    if radius_mm == inf:
        return 0.0
    edge_mm = radius_mm - inside_mm + width_mm / 2
    return half_length_mm**2 / (hypot(edge_mm, half_length_mm) + edge_mm) - inside_mm


def versine_mm(radius_mm: float, *, chord_mm: float) -> float:
    """Return how far the arc stands off the middle of its chord: ``R − √(R² −
    (c/2)²)``.

    The sideplay that the middle axle of three in one rigid frame needs. Raises
    ValueError for a chord of the diameter or more. **Source** permanent-way handbooks.

    >>> round(versine_mm(875_000, chord_mm=30_500), 1)
    132.9
    """
    return centre_throw_mm(radius_mm, pivots_mm=chord_mm)


def run_on_angle_deg(radius_mm: float, *, wheelbase_mm: float) -> float:
    """Return the angle at which the end axle of a rigid wheelbase meets the rail, in
    degrees; 90 at the diameter.

    Play is ignored. Raises ValueError for a wheelbase beyond the diameter. **Source**
    derived.

    >>> round(run_on_angle_deg(438, wheelbase_mm=40), 2)
    2.62
    """
    if wheelbase_mm > 2 * radius_mm:
        raise ValueError(
            f"wheelbase_mm is {wheelbase_mm:g} mm, but the curve's diameter is"
            f" {2 * radius_mm:g} mm"
        )
    sine = wheelbase_mm / 2 / radius_mm
    return degrees(asin(sine))
