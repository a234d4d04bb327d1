"""Rules and tables of the European model railway standards (NEM) that the answers lean on."""

from math import radians, sin
from typing import Literal

import msgspec

MOST_RUN_ON_DEG = 12.0
"""The steepest angle at which a rigid wheelbase may meet the rail. **Source** NEM 111 (2016), section 2.1."""

Size = Literal["N", "TT", "H0", "0"]


def longest_wheelbase_mm(radius_mm: float) -> float:
    """Return the longest rigid wheelbase that a curve can take: an upper bound only, since play is ignored.

    **Source** NEM 111 (2016), section 2.1, whose angle of 12° gives 2 R sin 12°.

    >>> round(longest_wheelbase_mm(438), 1)
    182.1
    """
    return 2 * radius_mm * sin(radians(MOST_RUN_ON_DEG))


class StructureGauge(msgspec.Struct, frozen=True, kw_only=True):
    """The room that stays free around straight track: full widths, and heights above the rail's top, in mm."""

    gauge_mm: float
    widths_mm: tuple[float, float, float]
    heights_mm: tuple[float, float, float, float]


_STRUCTURE_GAUGES: dict[Size, StructureGauge] = {
    "N": StructureGauge(gauge_mm=9, widths_mm=(27, 18, 25), heights_mm=(6, 8, 25, 33)),
    "TT": StructureGauge(gauge_mm=12, widths_mm=(36, 24, 32), heights_mm=(8, 10, 33, 43)),
    "H0": StructureGauge(gauge_mm=16.5, widths_mm=(48, 32, 42), heights_mm=(11, 14, 45, 59)),
    "0": StructureGauge(gauge_mm=32, widths_mm=(94, 63, 82), heights_mm=(21, 27, 85, 109)),
}


def structure_gauge(size: Size) -> StructureGauge:
    """Return the structure gauge on straight track. **Source** NEM 102 (2017): BL1 to BL3, HL1 to HL4."""
    return _STRUCTURE_GAUGES[size]


def tunnel_half_width_mm(size: Size, *, widening_mm: float = 0.0) -> float:
    """Return from the centre line of the outer track to the wall of a rectangular tunnel.

    ``widening_mm`` is the sheet NEM 103's E in a curve. **Source** NEM 105 (2013): 0.5 BL1 + 0.3 G (+ E).

    >>> round(tunnel_half_width_mm("H0"), 2)
    28.95
    """
    gauge = structure_gauge(size)
    return 0.5 * gauge.widths_mm[0] + 0.3 * gauge.gauge_mm + widening_mm
