"""What a hauled vehicle ought to weigh by NMRA RP-20.1, as far as it is held."""

from standage.railway.published.tables import Standard
from standage.railway.terms.scales import ScaleName

NMRA_RP_20_1 = Standard(name="NMRA RP-20.1")
_INCH_MM = 25.4
_OUNCE_G = 28.349523125
_OUNCES: dict[ScaleName, tuple[float, float]] = {
    "N": (0.5, 0.15),
    "TT": (0.75, 0.375),
    "H0": (1.0, 0.5),
    "HO": (1.0, 0.5),
    "S": (2.0, 0.5),
    "O": (5.0, 1.0),
}
"""Ounces for any vehicle, and for each inch of its body."""
NEAREST_ROW: dict[ScaleName, ScaleName] = {"0": "O"}
"""A size of the same gauge that is not quite the sheet's: 1:45 beside 1:48."""


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


def mass_off_g(length_off_mm: float, *, scale: ScaleName) -> float:
    """Return how far off the recommended mass is where the body's length is off by so
    much; 0 in a scale that the sheet does not have. **Source** derived.
    """
    if scale not in _OUNCES:
        return 0.0
    _, inch_oz = _OUNCES[scale]
    off_in = length_off_mm / _INCH_MM
    return inch_oz * off_in * _OUNCE_G
