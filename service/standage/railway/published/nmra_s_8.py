"""How far apart straight tracks lie by NMRA S-8, as far as it is held."""

from standage.railway.published.tables import Found, Standard, Table
from standage.railway.terms.figures import tidy
from standage.railway.terms.scales import ScaleName

NMRA_S_8 = Standard(name="NMRA S-8", as_quoted=True)
_INCH_MM = 25.4


def _mm(inches: float) -> float:
    return tidy(inches * _INCH_MM)


_TANGENT = Table[ScaleName](
    NMRA_S_8,
    {
        "N": _mm(1 + 1 / 32),
        "HO": _mm(1 + 13 / 16),
        "S": _mm(2 + 7 / 16),
        # 3 3/4 in stands in another column
        "O": _mm(3 + 1 / 4),
    },
)
_CURVES = Table[tuple[ScaleName, float]](NMRA_S_8, {})
"""Of its curves no row is held."""


def tangent_spacing(scale: ScaleName) -> Found:
    """Return the spacing of straight tracks in a scale, in mm. **Source** NMRA S-8 as
    quoted, in inches: N 1 1/32, HO 1 13/16, S 2 7/16, O 3 1/4.

    >>> tangent_spacing("HO").value_mm
    46.0375
    """
    return _TANGENT.found(scale, words=f"{scale}, straight")


def curve_spacing(scale: ScaleName, *, inner_radius_mm: float) -> Found:
    """Return that no row is held for curved tracks. **Source** NMRA S-8 as quoted.

    >>> type(curve_spacing("HO", inner_radius_mm=457)).__name__
    'NotHeld'
    """
    radius_mm = tidy(inner_radius_mm)
    words = f"{scale}, curve of {radius_mm:g} mm"
    return _CURVES.found((scale, radius_mm), words=words)
