"""What stands beside North American track, and over it."""

from standage.railway.published.full_size import FullSize
from standage.railway.published.tables import Found, Standard
from standage.railway.terms.scales import ScaleName

AREMA = FullSize(Standard(name="AREMA"), "american")
_FOOT_M = 0.3048
ASIDE_M = 9 * _FOOT_M
ABOVE_M = 23 * _FOOT_M


def clear_aside(name: ScaleName) -> Found:
    """Return from the centre line of straight track to whatever stands beside it, in
    mm. **Source** AREMA: 9 ft each side.

    >>> round(clear_aside("HO").value_mm, 1)
    31.5
    """
    return AREMA.found(name, full_m=ASIDE_M, words="clear each side, 9 ft")


def clear_above(name: ScaleName) -> Found:
    """Return from the rail's top to whatever lies over it, in mm. **Source** AREMA:
    23 ft.

    >>> round(clear_above("HO").value_mm, 1)
    80.5
    """
    return AREMA.found(name, full_m=ABOVE_M, words="clear above the rail, 23 ft")
