"""Rules and tables of the European model railway standards (NEM) that the answers lean
on.
"""

from math import ceil, log, radians, sin
from typing import Literal

import msgspec

from standage.railway.terms.figures import tidy
from standage.railway.terms.scales import Practice, ScaleName, full_size_mm, scale

MOST_RUN_ON_DEG = 12.0
"""The steepest angle at which a rigid wheelbase may meet the rail. **Source** NEM 111
(2016), section 2.1.
"""

DOUBLE_STACK_M = 6.15
"""The greatest full-size height of North American stock, containers stacked double.
**Source** common practice.
"""

Size = Literal["N", "TT", "H0", "0"]
_SIZES: tuple[Size, ...] = ("N", "TT", "H0", "0")


def longest_wheelbase_mm(radius_mm: float) -> float:
    """Return the longest rigid wheelbase that a curve can take: an upper bound only,
    since play is ignored.

    **Source** NEM 111 (2016), section 2.1, whose angle of 12° gives 2 R sin 12°.

    >>> round(longest_wheelbase_mm(438), 1)
    182.1
    """
    steepest = radians(MOST_RUN_ON_DEG)
    return 2 * radius_mm * sin(steepest)


class StructureGauge(msgspec.Struct, frozen=True, kw_only=True):
    """The room that stays free around straight track: full widths, and heights above
    the rail's top, in mm.
    """

    gauge_mm: float
    widths_mm: tuple[float, float, float]
    heights_mm: tuple[float, float, float, float]


_STRUCTURE_GAUGES: dict[Size, StructureGauge] = {
    "N": StructureGauge(gauge_mm=9, widths_mm=(27, 18, 25), heights_mm=(6, 8, 25, 33)),
    "TT": StructureGauge(
        gauge_mm=12, widths_mm=(36, 24, 32), heights_mm=(8, 10, 33, 43)
    ),
    "H0": StructureGauge(
        gauge_mm=16.5, widths_mm=(48, 32, 42), heights_mm=(11, 14, 45, 59)
    ),
    "0": StructureGauge(
        gauge_mm=32, widths_mm=(94, 63, 82), heights_mm=(21, 27, 85, 109)
    ),
}


def structure_gauge(size: Size) -> StructureGauge:
    """Return the structure gauge on straight track. **Source** NEM 102 (2017): BL1 to
    BL3, HL1 to HL4.
    """
    return _STRUCTURE_GAUGES[size]


def ample_height_mm(name: ScaleName, *, practice: Practice | None = None) -> float:
    """Return the height above the rail's top under which any stock of that scale
    passes.

    ``practice`` is the stock's, where it is not the scale's own; stock of narrow gauge
    stands no higher than that of standard gauge. **Source** NEM 102 (2017), HL4; in
    other scales that of the nearest size brought to the scale and rounded up (derived).
    North American stock stands higher than that sheet allows for: its tallest counts
    instead.

    >>> ample_height_mm("H0"), ample_height_mm("00"), ample_height_mm("HO")
    (59.0, 68.0, 71.0)
    """
    model = scale(name)
    if (practice or model.practice) == "american":
        stacked_mm = full_size_mm(DOUBLE_STACK_M, ratio=model.ratio)
        return float(ceil(stacked_mm))

    def how_far(size: Size) -> float:
        times = scale(size).ratio / model.ratio
        return abs(log(times))

    size = min(_SIZES, key=how_far)
    height_mm = structure_gauge(size).heights_mm[-1]
    scaled_mm = height_mm * scale(size).ratio / model.ratio
    return float(ceil(tidy(scaled_mm)))


def tunnel_half_width_mm(size: Size, *, widening_mm: float = 0.0) -> float:
    """Return from the centre line of the outer track to the wall of a rectangular
    tunnel.

    ``widening_mm`` is the sheet NEM 103's E in a curve. **Source** NEM 105 (2013): 0.5
    BL1 + 0.3 G (+ E).

    >>> round(tunnel_half_width_mm("H0"), 2)
    28.95
    """
    gauge = structure_gauge(size)
    half_mm = 0.5 * gauge.widths_mm[0]
    beside_mm = 0.3 * gauge.gauge_mm
    return half_mm + beside_mm + widening_mm
