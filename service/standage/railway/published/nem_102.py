"""The structure gauge of straight track by NEM 102, with the widening of NEM 103 in
curves.
"""

from typing import cast, get_args

from standage.railway.published.tables import Found, Held, NotHeld, Standard
from standage.railway.terms.nem import Size, structure_gauge
from standage.railway.terms.scales import ScaleName

NEM_102 = Standard(name="NEM 102", edition="2017")
HALF_WIDTH = "half the structure gauge's width"


def size_of(name: ScaleName) -> Size | None:
    """Return the size of the sheets that a scale is; None where they have none.

    HO, British scales and narrow gauges are nearly such sizes, and are none. **Source**
    NEM 102 (2017).

    >>> size_of("H0"), size_of("HO"), size_of("H0m")
    ('H0', None, None)
    """
    if name in get_args(Size):
        return cast("Size", name)
    return None


def structure_half_width(name: ScaleName) -> Found:
    """Return from the centre line of straight track to the structure gauge where it is
    widest, in mm. **Source** NEM 102 (2017): half of BL1.

    >>> structure_half_width("H0").value_mm
    24.0
    """
    words = f"{name}, straight, {HALF_WIDTH}"
    size = size_of(name)
    if size is None:
        return NotHeld(standard=NEM_102, row=words)
    half_mm = structure_gauge(size).widths_mm[0] / 2
    return Held(standard=NEM_102, row=words, value_mm=half_mm)


def structure_height(name: ScaleName) -> Found:
    """Return from the rail's top to the structure gauge's, in mm. **Source** NEM 102
    (2017): HL4.

    >>> structure_height("N").value_mm
    33.0
    """
    words = f"{name}, the structure gauge's height"
    size = size_of(name)
    if size is None:
        return NotHeld(standard=NEM_102, row=words)
    height_mm = float(structure_gauge(size).heights_mm[-1])
    return Held(standard=NEM_102, row=words, value_mm=height_mm)
