"""What a vehicle ought to weigh."""

from standage.railway.terms.scales import ScaleName

_INCH_MM = 25.4
_OUNCE_G = 28.349523125
_OUNCES: dict[ScaleName, tuple[float, float]] = {
    "N": (0.5, 0.15),
    "TT": (0.75, 0.375),
    "H0": (1.0, 0.5),
    "HO": (1.0, 0.5),
    "S": (2.0, 0.5),
    "0": (5.0, 1.0),
    "O": (5.0, 1.0),
}
"""Ounces for any vehicle, and for each inch of its body."""


def recommended_mass_g(body_length_mm: float, *, scale: ScaleName) -> float | None:
    """Return the recommended mass of a hauled vehicle in grams; None in a scale that
    the sheet does not have.

    **Source** NMRA RP-20.1: the whole vehicle, by the length of its body.

    >>> round(recommended_mass_g(152.4, scale="HO"), 1)
    113.4
    """
    if scale not in _OUNCES:
        return None
    initial_oz, inch_oz = _OUNCES[scale]
    body_in = body_length_mm / _INCH_MM
    mass_oz = initial_oz + inch_oz * body_in
    return mass_oz * _OUNCE_G
